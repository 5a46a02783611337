"""Small words for every face: counted days, gaps and numbers compared, lines that break only at blanks."""

from __future__ import annotations

import re
import textwrap

from terralab.quantities import quantity, said, split

GLUE = "\u00a0"  # a blank at which no line ends
_UNITS = (
    "%", "°C", "°F", "C", "F", "K", "W", "Pa", "ppm", "points", "ml", "l", "litres", "gal", "gallons", "fl", "oz", "tsp", "tbsp", "cm", "mm",
    "m", "in", "ft", "cm2", "m2", "in2", "ft2", "m3", "m3/h", "cfm", "cm/s", "ft/min", "ml/min", "l/h", "kg", "g", "lb",
    "s", "min", "minutes", "h", "hours", "hour", "d", "day", "days", "weeks", "am", "pm",
)  # fmt: skip
_BEFORE_UNIT = re.compile(
    rf"(?<=\d) (?=(?:{'|'.join(sorted(map(re.escape, _UNITS), key=len, reverse=True))})(?![\w/]))"
)
_WITHIN_UNIT = re.compile(r"(?<=\bfl) (?=oz\b)")
_WITHIN_NUMBER = re.compile(r"(?<=\d) (?=\d+/\d)")
_COMMAND = re.compile(r"`[^`\n]{1,60}`")


def together(text: str) -> str:
    """The text with glued blanks where no line may end: between a number and its unit, and within a command.

    >>> together("pour 4 fl oz, see `terralab water`").count(GLUE)
    3
    """
    text = _WITHIN_NUMBER.sub(GLUE, _WITHIN_UNIT.sub(GLUE, _BEFORE_UNIT.sub(GLUE, text)))
    return _COMMAND.sub(lambda found: found[0].replace(" ", GLUE), text)


def lines(text: str, columns: int, first: str = "", later: str = "") -> list[str]:
    """Break a text into lines of at most `columns`, never inside a word, at its hyphen, or between number and unit.

    A word that is longer than a line stands out. `first` and `later` stand before the first and the other lines.
    """
    broken = textwrap.wrap(
        together(text), columns, initial_indent=first, subsequent_indent=later, break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace(GLUE, " ") for line in broken]


def days(count: float, unit: str = "day") -> str:
    """So many whole days, or what else is counted.

    >>> days(1.2), days(3.0), days(0.6, "hour")
    ('1 day', '3 days', '1 hour')
    """
    return f"{count:.0f} {unit}{'' if f'{count:.0f}' == '1' else 's'}"


def points(count: float) -> str:
    """Points of humidity, rounded, in words.

    >>> points(1.2), points(-4.6)
    ('1 point', '5 points')
    """
    whole = round(abs(count))
    return f"{whole} {'point' if whole == 1 else 'points'}"


def span(low: float, high: float) -> str:
    """Two ends of a range of per cent, rounded; one number where both read the same.

    >>> span(39.7, 45.2), span(39.7, 40.1)
    ('40 to 45', '40')
    """
    ends = f"{low:.0f}", f"{high:.0f}"
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def under_mesh(length_cm: float) -> bool:
    """True where the gap under the mesh is one that can be said; else the water stands at the mesh or over it."""
    return round(length_cm, 1) > 0.0


def gap(length_cm: float) -> str:
    """The gap under the mesh as a mark; where there is none, how far the water stands over the mesh.

    >>> [said(gap(cm)) for cm in (2.61, -0.04, -0.3)]
    ['2.6 cm', 'at the mesh', '0.3 cm over the mesh']
    """
    if round(length_cm, 1) == 0.0:
        return "at the mesh"
    length = quantity("cm", ".1f", abs(length_cm))
    return length if under_mesh(length_cm) else f"{length} over the mesh"


def level(length_cm: float) -> str:
    """Where the water below stands, from the gap under the mesh, as a mark.

    >>> [said(level(cm)) for cm in (2.61, 0.0, -0.3)]
    ['2.6 cm under the mesh', 'at the mesh', '0.3 cm over the mesh']
    """
    return f"{gap(length_cm)} under the mesh" if under_mesh(length_cm) else gap(length_cm)


def levels(low_cm: float, high_cm: float) -> str:
    """Two gaps under the mesh as levels of the water below, as marks; the unit once where both are on one side of it.

    >>> said(levels(1.2, 3.0)), said(levels(-4.6, -4.2)), said(levels(-0.3, 1.9))
    ('1.2 to 3.0 cm', '4.2 to 4.6 cm', '0.3 cm over the mesh to 1.9 cm under the mesh')
    """
    if under_mesh(low_cm):
        return quantity("cm", ".1f", low_cm, high_cm)
    if high_cm <= 0.0:
        return quantity("cm", ".1f", -high_cm, -low_cm)
    return f"{level(low_cm)} to {level(high_cm)}"


def instead_of(unit: str, form: str, now: float, before: float, of: str = "") -> str:
    """Two numbers compared, as marks, in words that hold where both read the same in either system of units.

    >>> said(instead_of("cm", ".1f", 2.93, 1.1)), said(instead_of("%", ".0f", 5.1, 4.9, " air"))
    ('2.9 cm instead of 1.1', '5 % air as before')
    """
    new = f"{quantity(unit, form, now)}{of}"
    old, same = (quantity(unit, form, one, bare=True) for one in (before, now))
    if any(said(old, us) == said(same, us) for us in (False, True)):
        return f"{new} as before"
    return f"{new} instead of {old}"


def cut(text: str, most: int) -> str:
    """A text of at most `most` characters in either system of units, cut at a blank, never within a measure or its mark.

    >>> cut("stop pouring, siphon daily, fan all day", 36), cut("exchange 15 min an hour", 14)
    ('stop pouring, siphon daily, fan ..', 'exchange ..')
    """
    if _long(text) <= most:
        return text
    words = split(together(text))
    while len(words) > 1:
        words.pop()
        kept = f"{' '.join(words)} ..".replace(GLUE, " ")
        if _long(kept) <= most:
            return kept
    return f"{said(words[0])[: most - 2]}..".replace(GLUE, " ")


def _long(text: str) -> int:
    return max(len(said(text, us)) for us in (False, True))
