"""What is said of schedules that come out alike: which they are, that any of them does the same, and what alike means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from terralab.answers.fans.alike import HOURS, MOST, SAME, SAME_SHARE
from terralab.answers.fans.compared import Compared
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN
from terralab.quantities import quantity

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_MIN = " min an hour"


def counted(number: int, one: str = "schedule", several: str = "schedules") -> str:
    """So many of them, small numbers in words.

    >>> counted(1), counted(7), counted(16)
    ('one schedule', 'seven schedules', '16 schedules')
    """
    return f"{_COUNTS[number] if number < len(_COUNTS) else number} {one if number == 1 else several}"


def listed(names: Sequence[str]) -> str:
    """Schedules by name, those of one kind of fan together.

    >>> listed(["no fan", "circulate 5 min an hour", "circulate 10 min an hour", "circulate all day", "my plan"])
    'no fan; circulate 5 and 10 min an hour, and all day; my plan'
    """
    out, kinds = [], ("exchange", "circulate")
    parts: dict[str, list[str]] = {}
    for name in names:
        kind, _, when = name.partition(" ")
        if kind not in kinds:
            out.append(f"your fans {AS_DESCRIBED}" if name == AS_DESCRIBED else name)
            continue
        if kind not in parts:
            parts[kind] = []
            out.append(kind)
        parts[kind].append(when)
    return "; ".join(f"{name} {_timings(parts[name])}" if name in parts else name for name in out)


def _timings(times: Sequence[str]) -> str:
    minutes = [when.removesuffix(_MIN) for when in times if when.endswith(_MIN)]
    others = [when for when in times if not when.endswith(_MIN)]
    first = f"{_and(minutes)}{_MIN}" if minutes else ""
    return _and([first, *others], ", and ") if first and others else first or _and(others)


def _and(items: Sequence[str], last: str = " and ") -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])}{last}{items[-1]}"


def recommended_group(c: Compared) -> Mapping[str, Any]:
    """The group of the recommended schedule."""
    return next(group for group in c.details["groups"] if group["recommended"])


def others(c: Compared) -> list[str]:
    """The schedules that come out like the recommended one, without itself."""
    return [name for name in recommended_group(c)["names"] if name != c.best["name"]]


def alike_in_short(c: Compared) -> str:
    """That others come out like the recommended schedule, as a short sentence; "" where none does."""
    found = others(c)
    if not found:
        return ""
    today = recommended_group(c)["today"] and c.best["name"] != AS_DESCRIBED and AS_DESCRIBED in found
    come = "comes" if len(found) == 1 else "come"
    return f"{counted(len(found), 'other', 'others').capitalize()} {come} out alike{', your fans as they are too' if today else ''}."


def alike_words(c: Compared) -> list[str]:
    """Which schedules come out like the recommended one and what to make of it, and the same of all other groups."""
    out = []
    if found := others(c):
        minutes = {row["name"]: row["minutes_a_day"] for row in c.rows}
        plainest = all(minutes[c.best["name"]] <= minutes[name] for name in found)
        say = "the plainest is" if plainest else "recommended is"
        none = "no fan" if c.best["name"] == NO_FAN else c.best["name"]
        out.append(f"Alike with it: {listed(found)}. Any of these {len(found) + 1} does the same; {say} {none}.")
    more = [group for group in c.details["groups"] if not group["recommended"] and len(group["names"]) > 1]
    out += [
        f"Alike with {group['name']}: {listed([name for name in group['names'] if name != group['name']])}."
        for group in more
    ]
    return [*out, rule_words(c)] if out else []


def rule_words(c: Compared) -> str:
    """What alike means, as a sentence."""
    hours = f", {quantity('h', 'g', SAME[HOURS])} a day inside what is wanted" if c.target is not None else ""
    return (
        f"Alike: in {10 * MOST:.0f} of 10 boxes that fit the description, seen in {c.details['draws_side_by_side']} draws, you could not tell "
        f"them apart: within {SAME['rh day']:g} points of humidity, {quantity('K', 'g', SAME['c day'])}{hours}, "
        f"{60 * SAME['fog h']:.0f} minutes of fog on the front pane, {quantity('h', 'g', SAME['dry h'])} until dry and "
        f"{quantity('ml', 'g', SAME['water ml'])} of water, or {100 * SAME_SHARE:.0f} % of these three (all choices)."
    )
