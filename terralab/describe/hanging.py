"""Timers that hang on another device: 'with "plant light"', 'from 1 h before "plant light" until 1 h after'."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from terralab.errors import DescriptionError, quoted
from terralab.units import DAY_S, parse

Period = tuple[float, float]
BEFORE, AFTER, AT = -1.0, 1.0, 0.0
LONGEST_S = 0.5 * DAY_S

_NAME = r"""(?:"(?P<{0}a>[^"]+)"|'(?P<{0}b>[^']+)')"""
_WITH = re.compile(r"with\s+" + _NAME.format("x"), re.IGNORECASE)
_EDGE = (
    r"(?:(?P<{0}time>\S+(?:\s*[a-z]+)?)\s+(?P<{0}side>before|after)\s*)?(?:" + _NAME + r")?(?:\s+(?P<{0}ends>on|off))?"
)
_BETWEEN = re.compile(
    r"(?:from\s+)?" + _EDGE.format("x") + r"\s*(?:\bto\b|\buntil\b|-|–)\s*" + _EDGE.format("y"), re.IGNORECASE
)
HANGS = """'with "plant light"', 'from 1 h before "plant light" until 1 h after'"""


@dataclass(frozen=True, slots=True)
class Edge:
    """A time that hangs on another device: `shift_s` after it goes on or off (below 0: before)."""

    shift_s: float
    off: bool


@dataclass(frozen=True, slots=True)
class Hanging:
    """An entry of a timer that hangs on the device `name`: from one edge to another."""

    name: str
    first: Edge
    last: Edge

    def periods(self, theirs: tuple[Period, ...]) -> list[Period]:
        """Return when it runs, within 0 to 86400 s, where the other device runs in the periods `theirs`."""
        if theirs == ((0.0, DAY_S),):
            # what is never switched has no edges; what lasts while it is on lasts all day
            return [(0.0, DAY_S)] if not self.first.off and self.last.off else []
        out: list[Period] = []
        for on, off in _around_midnight(theirs):
            start = (off if self.first.off else on) + self.first.shift_s
            end = (off if self.last.off else on) + self.last.shift_s
            if end - start >= DAY_S:
                return [(0.0, DAY_S)]
            if end > start:
                out += _within_a_day(start, end)
        return out


def read_hanging(text: str, refused: Callable[[str, str], DescriptionError]) -> Hanging | None:
    """Return what an entry says, None where it hangs on nothing; `refused` makes the error of given and advice."""
    if '"' not in text and "'" not in text:
        return None
    if found := _WITH.fullmatch(text.strip()):
        return Hanging(_named(found, "x"), Edge(AT, False), Edge(AT, True))
    found = _BETWEEN.fullmatch(text.strip())
    if found is None or not (_named(found, "x") or _named(found, "y")):
        raise refused(f"given {quoted(text)}", f"Write it as {HANGS}.")
    name, other = _named(found, "x"), _named(found, "y")
    if name and other and name != other:
        raise refused(f"given {quoted(text)}, which hangs on two devices", "Write an entry for each.")
    first, last = _edge(found, "x", False, text, refused), _edge(found, "y", True, text, refused)
    if first.off and not last.off:
        raise refused(
            f"given {quoted(text)}, from when it is off until it is on again",
            'Write two entries: "always", and not with the name of the device.',
        )
    return Hanging(name or other, first, last)


def _named(found: re.Match[str], side: str) -> str:
    return " ".join((found[f"{side}a"] or found[f"{side}b"] or "").split())


def _edge(
    found: re.Match[str], side: str, last: bool, text: str, refused: Callable[[str, str], DescriptionError]
) -> Edge:
    way = (found[f"{side}side"] or "").lower()
    ends = (found[f"{side}ends"] or "").lower()
    try:
        shift = parse(found[f"{side}time"], "duration", "s", bare=False) if way else 0.0
    except DescriptionError as error:
        raise refused(f"given {quoted(text)}: {error.given.removeprefix('given ')}", error.hint) from None
    if not 0.0 <= shift <= LONGEST_S:
        raise refused(f"given {quoted(text)}", "A timer begins and ends at most 12 h from the other device.")
    if not ends and way == ("before" if last else "after"):
        raise refused(f"given {quoted(text)}", f"Say of which switching, as in '30 min {way} \"plant light\" on'.")
    return Edge((BEFORE if way == "before" else AFTER) * shift, ends == "off" or (not ends and last))


def _around_midnight(periods: tuple[Period, ...]) -> list[Period]:
    """The periods with one that runs past midnight in one piece."""
    if len(periods) > 1 and periods[0][0] == 0.0 and periods[-1][1] == DAY_S:
        return [*periods[1:-1], (periods[-1][0], DAY_S + periods[0][1])]
    return list(periods)


def _within_a_day(start: float, end: float) -> list[Period]:
    start, length = start % DAY_S, end - start
    end = start + length
    return [(start, end)] if end <= DAY_S else [(start, DAY_S), (0.0, end - DAY_S)]
