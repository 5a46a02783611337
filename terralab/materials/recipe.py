"""The words of a mix, "2 parts fine coir mix, 1 part sphagnum moss", and names that carry a keeper's own material.

A mix is known by its recipe alone: shares in lowest terms, the largest first. So "4 parts A, 2 parts B" and
"1 part B, 2 parts A" are one and the same mix, and a single part is that material itself.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from math import gcd, lcm
from types import MappingProxyType

from terralab.errors import TerralabError, quoted
from terralab.materials.number import Entry

MOST_PARTS = 8
LEAST_SHARE = Fraction(1, 100)  # less cannot be measured out with a scoop
LONGEST = 400
_NUMBER = r"(\d{1,6}(?:[.]\d{1,4})?|\d{1,4}/\d{1,4})"
_AMOUNT = re.compile(rf"(?<![\w./]){_NUMBER}\s*(parts?\b|%|percent\b|per cent\b)(?:\s+of\b)?", re.ASCII)
_RATIO = re.compile(rf"{_NUMBER}(?:\s*:\s*{_NUMBER})+", re.ASCII)
_AND = re.compile(r"^(?:and\b|[\s,;+])+|(?:\s+and|[\s,;+])+$")
_HOW = 'Write for example "2 parts fine coir mix, 1 part sphagnum moss", or shares such as "70 % ..., 30 % ...".'


class OwnName(str):
    """The name of a keeper's own material, or of a mix with one in it, together with the numbers behind it.

    It is the name to whoever reads it. `entries` holds the own materials by name. Two such names are equal only where
    name and numbers are; beside an ordinary text the name alone counts.
    """

    __slots__ = ("entries",)
    entries: Mapping[str, Entry]

    def __new__(cls, name: str, entries: Mapping[str, Entry]) -> OwnName:
        self = super().__new__(cls, name)
        self.entries = MappingProxyType(dict(entries))
        return self

    def __eq__(self, other: object) -> bool:
        if isinstance(other, OwnName) and self.entries != other.entries:
            return False
        return str.__eq__(self, other)

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = str.__hash__

    def __reduce__(self) -> tuple:
        return OwnName, (str(self), dict(self.entries))


def is_recipe(text: str) -> bool:
    """Whether a text speaks of parts or shares, rather than being a name."""
    return bool(_AMOUNT.search(text) or _RATIO.match(text.strip()))


def recipe(text: str) -> dict[str, Fraction]:
    """Return the share of each material that a recipe names, adding up to 1; the largest first, then by name.

    Raises TerralabError where the text is no recipe: a name or amount is missing, percentages do not add up to 100 (99
    to 101 are taken as meant), a share is below 1 %, or more than 8 materials are named. Whether the names are known is
    for the caller to say.

    >>> recipe("4 parts Loam topsoil, 2 parts washed sand")
    {'loam topsoil': Fraction(2, 3), 'washed sand': Fraction(1, 3)}
    """
    words = " ".join(text.split()).lower()
    if len(words) > LONGEST:
        raise TerralabError(f"A mix must be written in {LONGEST} characters at most; {len(words)} were given. {_HOW}")
    amounts, names, percent = _ratio(words) if _RATIO.match(words) else _amounts(words)
    if not 1 <= len(names) <= MOST_PARTS or not all(names):
        raise TerralabError(
            f"A mix must name 1 to {MOST_PARTS} materials, each after its share; {quoted(text)} was given. {_HOW}"
        )
    total = sum(amounts)
    if total <= 0 or not all(amounts):
        raise TerralabError(
            f"Each share of a mix must be more than 0; {quoted(text)} was given. Leave out what is not in it."
        )
    if percent and not 99 <= total <= 101:
        raise TerralabError(
            f"The shares of a mix must add up to 100 %; those of {quoted(text)} make {float(total):g} %."
        )
    shares: dict[str, Fraction] = {}
    for name, amount in zip(names, amounts, strict=True):
        shares[name] = shares.get(name, Fraction(0)) + amount / total
    if min(shares.values()) < LEAST_SHARE:
        raise TerralabError(
            f"Each share of a mix must be 1 % or more; {quoted(text)} was given. Leave out what is less."
        )
    return dict(sorted(shares.items(), key=lambda item: (-item[1], item[0])))


def written(shares: Mapping[str, Fraction]) -> str:
    """Return the one way in which a mix of these shares is written; the name itself where there is one material only.

    >>> written(recipe("30 % washed sand, 70 % fine coir mix"))
    '7 parts fine coir mix, 3 parts washed sand'
    """
    return ", ".join(_pieces(shares))


def spoken(name: str) -> str:
    """Return a name of a layer's material as it is said inside a sentence.

    >>> spoken("2 parts fine coir mix, 1 part sphagnum moss")
    '2 parts fine coir mix and 1 part sphagnum moss'
    """
    if not is_recipe(name):
        return str(name)
    *first, last = _pieces(recipe(name))
    return f"{', '.join(first)} and {last}" if first else last


def _pieces(shares: Mapping[str, Fraction]) -> list[str]:
    if len(shares) == 1:
        return list(shares)
    whole = lcm(*(share.denominator for share in shares.values()))
    counts = [int(share * whole) for share in shares.values()]
    common = gcd(*counts)
    return [f"{n // common} part{'' if n == common else 's'} {name}" for n, name in zip(counts, shares, strict=True)]


def _amounts(words: str) -> tuple[list[Fraction], list[str], bool]:
    found = list(_AMOUNT.finditer(words))
    if not found or _AND.sub("", words[: found[0].start()]).strip():
        raise TerralabError(f"A mix must begin with a share; {quoted(words)} was given. {_HOW}")
    percent = {match[2].startswith("part") for match in found}
    if len(percent) > 1:
        raise TerralabError(f"A mix must be in parts or in %, not in both; {quoted(words)} was given.")
    ends = [match.start() for match in found[1:]] + [len(words)]
    names = [_AND.sub("", words[match.end() : end]).strip() for match, end in zip(found, ends, strict=True)]
    return [_fraction(match[1]) for match in found], names, percent == {False}


def _ratio(words: str) -> tuple[list[Fraction], list[str], bool]:
    match = _RATIO.match(words)
    amounts = [_fraction(one.strip()) for one in match[0].split(":")]
    names = [name.strip() for name in re.split(r"[,;:+]", words[match.end() :])]
    if len(names) != len(amounts):
        raise TerralabError(
            f"A mix written {quoted(match[0])} must name {len(amounts)} materials with commas between; {quoted(words)} was given."
        )
    return amounts, names, False


def _fraction(text: str) -> Fraction:
    try:
        return Fraction(text)
    except ZeroDivisionError:
        return Fraction(0)
