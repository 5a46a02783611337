"""What terralab says when something is wrong: in plain words, with the field, what was given and what to
do.
"""

from __future__ import annotations

import re
import traceback
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from difflib import SequenceMatcher, get_close_matches
from pathlib import PurePath

from terralab.trade_words import TRADE_WORDS, in_our_words, singular

HANDFUL = 5  # names in one message; more are not read
SLIP = 0.85  # of the letters: one name, wrongly typed
ALIKE, ALIKE_SHORT = 0.66, 0.5  # of the letters of two words that look alike to a reader; of words such as "cm"
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e0fff]"
)
_COMMON = frozenset({"and", "for", "the", "mix", "other", "any", "under", "with", "off", "box"})


class TerralabError(ValueError):
    """Anything terralab refuses to do. The message says what is wrong and what to do instead."""


class TerralabWarning(UserWarning):
    """Something that is allowed but that a keeper should know, such as a flooded start."""


class UnknownName(TerralabError):
    """A name that no table or list holds. The message gives the nearest good one."""

    @classmethod
    def among(cls, what: str, given: object, names: Iterable[str], lists: str = "") -> UnknownName:
        """Word the error for `given`, a `what` (such as "material") that is not one of `names`; see `advice`."""
        known = tuple(names)
        return cls(f"There is no {what} called {quoted(given)}. {advice(given, known, lists)}")


class RunError(TerralabError):
    """A run that could not be finished. No numbers are given for it.

    `why`: the cause in words, without the box; `day`: when it stopped, in days, None where it never began.
    """

    def __init__(self, message: str, why: str = "", day: float | None = None) -> None:
        super().__init__(message)
        self.why = why or message
        self.day = day


def fault_words(error: BaseException) -> str:
    """What to say where a fault in terralab itself stopped it: the class of `error`, the place, and whom to tell.

    Nothing of the keeper's machine is named, only the file and line inside terralab.
    """
    place = ""
    for frame in traceback.extract_tb(error.__traceback__):
        parts = PurePath(frame.filename).parts
        if "terralab" in parts:
            inside = parts[len(parts) - parts[::-1].index("terralab") :]
            place = f", {'/'.join(inside)} line {frame.lineno}"
    text = " ".join(str(error).split())
    return (
        f"A fault in terralab stopped this, not your description ({type(error).__name__}: {text}{place}). Please report it, with "
        "your box file."
    )


class FileError(TerralabError):
    """A file that cannot be read or written: missing, a folder, too large, not text, or already there."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a description.

    `owner` is the part it stands in ("enclosure.layers.1"), `key` the entry of that part ("depth"), `given`
    what was written, `allowed` what may be written, `hint` what to do. All are ready to be shown.
    """

    owner: str
    key: str
    given: str
    allowed: str
    hint: str = ""

    @property
    def field(self) -> str:
        """The dotted place, such as "enclosure.layers.1.depth"."""
        return visible(".".join(part for part in (self.owner, self.key) if part))

    def under(self, owner: str) -> Problem:
        """Return the same problem as part of `owner`."""
        return replace(self, owner=owner)

    def __str__(self) -> str:
        return f"{self.field}: {self.given}. Allowed: {self.allowed}.{' ' if self.hint else ''}{self.hint}"


class DescriptionError(TerralabError):
    """A description of a box that cannot be right. `problems` lists all that were found, in order.

    `field`, `given`, `allowed` and `hint` are those of the first problem.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        if not self.problems:
            raise ValueError("a DescriptionError needs at least one problem")
        # The problems are the only argument, so the error survives the trip between two processes.
        super().__init__(self.problems)

    @classmethod
    def of(cls, field: str, given: str, allowed: str, hint: str = "") -> DescriptionError:
        """Make an error with one problem at the dotted place `field`."""
        owner, _, key = field.rpartition(".")
        return cls([Problem(owner, key, given, allowed, hint)])

    @property
    def field(self) -> str:
        """The dotted place of the first problem."""
        return self.problems[0].field

    @property
    def given(self) -> str:
        """What was written at the first problem."""
        return self.problems[0].given

    @property
    def allowed(self) -> str:
        """What may be written at the first problem."""
        return self.problems[0].allowed

    @property
    def hint(self) -> str:
        """What to do about the first problem; empty where there is nothing to add."""
        return self.problems[0].hint

    def under(self, owner: str) -> DescriptionError:
        """Return the same error with every problem placed under `owner`."""
        return DescriptionError(problem.under(owner) for problem in self.problems)

    def __str__(self) -> str:
        if len(self.problems) == 1:
            return str(self.problems[0])
        lines = [f"{len(self.problems)} entries need a change:"]
        return "\n".join(lines + [f"  - {problem}" for problem in self.problems])


def nearest(name: object, names: Iterable[str]) -> str | None:
    """Return the one of `names` that `name` most likely means, or None where nothing is close.

    Capitals do not matter. Looked at in turn: a word of the trade (`trade_words`), a word that stands whole in a
    longer name, so that "coir" finds "fine coir mix", and letters that look alike.
    """
    found = closest(name, names)
    return found[0] if found else None


def closest(name: object, names: Iterable[str], most: int = HANDFUL) -> tuple[str, ...]:
    """Return up to `most` of `names` that `name` may mean, all by the same way of looking, the likeliest first."""
    known = {str(good).lower(): str(good) for good in names}
    # Comparing letters is slow for very long texts, and nothing that long is a slip of the pen.
    wanted = " ".join(_in_letters(name).split()).lower()[:100]
    if wanted in known:
        return (known[wanted],)
    meant = [known[low] for low in in_our_words(wanted) if low in known]
    if meant:
        return tuple(meant[:most])
    alike = {low: SequenceMatcher(None, low, wanted).ratio() for low in known if wanted}
    top = max(alike.values(), default=0.0)
    # Of names that are equally close the one listed first is the more usual.
    first = next((low for low in known if wanted and alike[low] >= top), "")
    if top >= SLIP:
        return (known[first],)
    mine = _words(wanted)
    shared = {low: len(mine & _words(low)) for low in known}
    best = max(shared.values(), default=0)
    if best and len(wanted) >= 3:
        return tuple([good for low, good in known.items() if shared[low] == best][:most])
    if first and top >= (ALIKE if min(len(first), len(wanted)) > 3 else ALIKE_SHORT):
        return (known[first],)
    return tuple(known[low] for low in _trade_slip(wanted) if low in known)[:most]


def _trade_slip(wanted: str) -> tuple[str, ...]:
    """Our names for the word of the trade that `wanted` is a slip of."""
    close = get_close_matches(wanted, TRADE_WORDS, n=1, cutoff=0.8)
    return TRADE_WORDS[close[0]] if close else ()


def _words(text: str) -> set[str]:
    """The words of a name that tell it from others, without the endings of plurals."""
    parts = text.replace("_", " ").replace("-", " ").split()
    return {singular(part) for part in parts if len(part) > 2} - _COMMON


def advice(given: object, names: Iterable[str], lists: str = "") -> str:
    """Say which of `names` is nearest to `given`, and list them: all where they are few, else the likeliest of them.

    `lists`: what shows all of them, such as "`terralab material groups`".
    """
    known = tuple(names)
    near = suggestion(given, known)
    if len(known) <= HANDFUL + 2:
        return f"{near} Known: {', '.join(known) if known else 'none'}.".strip()
    first = list(closest(given, known, 1))
    shown = [*first, *(name for name in known if name not in first)][:HANDFUL]
    all_of_them = f" {lists} lists them all." if lists else ""
    return f"{near} Known: {', '.join(shown)} and {len(known) - len(shown)} more.{all_of_them}".strip()


def suggestion(given: object, names: Iterable[str]) -> str:
    """Ask whether the nearest of `names` to `given` was meant; empty where nothing is close."""
    close = closest(given, names, 2)
    return f"Did you mean {' or '.join(quoted(one) for one in close)}?" if close else ""


def quoted(value: object) -> str:
    """Show a value the way it was written, cut short where it is very long, with its signs that cannot be seen spelled out.

    >>> print(quoted("fern"), quoted("fern\\x1b[2J"), quoted(10**5000))
    "fern" "fern\\x1b[2J" a number that is too long to be shown
    """
    if isinstance(value, str):
        text = f'"{visible(value[:100])}"' if len(value) <= 100 else visible(f'"{value[:100]}')
    else:
        text = _in_letters(value, repr)
    return text if len(text) <= 80 else f"{text[:76]} ..."


def _in_letters(value: object, way: Callable[[object], str] = str) -> str:
    try:
        return way(value)
    except ValueError:  # Python writes no whole number of more than 4300 digits
        return "a number that is too long to be shown"


def visible(text: str) -> str:
    """The text with what no screen shows as a sign spelled out: orders to a terminal, and marks that turn what follows.

    Blanks, ends of lines and the joiners within a word (as between the parts of an emoji) stay.
    """
    return _UNSEEN.sub(lambda found: found[0].encode("unicode_escape").decode(), text)
