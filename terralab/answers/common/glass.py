"""Which pane fogs and when: the hours of the day at which each pane is visibly fogged, front first, and how that is said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.simulation.record import Record
from terralab.units import DAY_S, clock

DIFFER_H = 1.0  # hours a day by which the lower and the upper part of a pane must differ to be told apart (a choice)
LEAST_H = 0.05  # hours a day: less is said as clear
AGREE_H = 0.5  # hours by which the spans and the mean of all days may differ and still be said as one (a choice)
MOST_SPANS = 3  # spans of the day that one sentence names
WORDS = {"front": "the front pane", "sides": "the side panes", "back": "the back pane", "lid": "the glass of the lid"}


@dataclass(frozen=True, slots=True)
class Fogged:
    """How one pane fogs: `hours` a day on the mean, and `spans` (start, end) [h of the day] in which it does on most days.

    `lower` and `upper`: hours a day of its parts beside the air below and above; the same number in a box with one air.
    """

    pane: str
    hours: float
    spans: tuple[tuple[float, float], ...]
    lower: float
    upper: float

    @property
    def always(self) -> bool:
        """True where it is fogged by day and by night."""
        return self.hours > 24.0 - LEAST_H

    @property
    def in_parts(self) -> bool:
        """True where its lower and its upper part differ by an hour a day or more."""
        return abs(self.lower - self.upper) >= DIFFER_H

    @property
    def usual_h(self) -> float:
        """Hours of all spans together."""
        return sum(_length(span) for span in self.spans)

    def when(self) -> str:
        """The times of day, such as "05:00 to 08:00"; longest first where there are more than are named."""
        if self.always:
            return "day and night"
        if self.hours < LEAST_H:
            return "never"
        if not self.spans:
            return "now and then"
        longest = sorted(self.spans, key=_length, reverse=True)[:MOST_SPANS]
        named = [f"{clock(3600.0 * start)} to {clock(3600.0 * end)}" for start, end in sorted(longest)]
        more = " and at other times" if len(self.spans) > MOST_SPANS else ""
        return f"{_and(named)}{more}"

    def clause(self) -> str:
        """When it fogs and for how long: "05:00 to 08:00 (3.0 h a day)". Where days differ, so that the hours are not those of the
        spans, it says so.
        """
        if self.always or self.hours < LEAST_H:
            return self.when()
        parts = f"; its lower part {self.lower:.1f} h, its upper part {self.upper:.1f} h" if self.in_parts else ""
        if not self.spans or len(self.spans) > MOST_SPANS or abs(self.hours - self.usual_h) <= AGREE_H:
            return f"{self.when()} ({self.hours:.1f} h a day{parts})"
        seldom = "not on all of them" if self.hours < self.usual_h else "on other days longer or at other times"
        return f"{self.when()} on most days, {seldom} ({self.hours:.1f} h a day on the mean of all days{parts})"

    def to_dict(self) -> dict[str, Any]:
        """The same as plain data."""
        return {
            "hours": round(self.hours, 2),
            "lower_hours": round(self.lower, 2),
            "upper_hours": round(self.upper, 2),
            "when": self.when(),
            "spans_h": [list(span) for span in self.spans],
        }


def fogged_panes(record: Record, rows: np.ndarray) -> dict[str, Fogged]:
    """Every pane of `record` over `rows`, which are evenly spaced over whole days: front, sides, back, lid."""
    airs = [name for name in record.zone_names if name != "hide"]
    out = {}
    for pane in record.pane_names:
        lower, upper = (record.fogged_hours_a_day(pane, rows, airs[end]) for end in (0, -1))
        spans = _spans(record, rows, record.fogged(pane))
        out[pane] = Fogged(pane, record.fogged_hours_a_day(pane, rows), spans, lower, upper)
    return out


def fogged_words(panes: Mapping[str, Fogged]) -> str:
    """All panes in one sentence, the front first; those that fog alike are named together."""
    if all(one.hours < LEAST_H for one in panes.values()):
        return "Fogged glass: none; every pane stays clear."
    groups: list[tuple[list[str], str]] = []
    for name, one in panes.items():
        said = one.clause()
        known = next((names for names, clause in groups if clause == said), None)
        if known is None:
            groups.append(([name], said))
        else:
            known.append(name)
    if len(groups) == 1:
        return f"Fogged glass: all panes, the front too, {groups[0][1]}."
    said = [f"{_and([WORDS[name] for name in names])} {clause}" for names, clause in groups]
    return f"Fogged glass: {'; '.join(said)}."


def _spans(record: Record, rows: np.ndarray, fogged: np.ndarray) -> tuple[tuple[float, float], ...]:
    """The spans of the day [h] in which `fogged` holds on half of the days or more."""
    count = max(1, round(DAY_S / record.step_s))
    slot = (np.round(record.times_s[rows] / record.step_s).astype(int) - 1) % count
    days = np.bincount(slot, minlength=count)
    share = np.bincount(slot, weights=fogged[rows].astype(float), minlength=count) / np.maximum(days, 1)
    on = (share >= 0.5) & (days > 0)
    if on.all():
        return ((0.0, 24.0),)
    begins = np.flatnonzero(on & ~np.roll(on, 1))
    ends = np.flatnonzero(on & ~np.roll(on, -1)) + 1
    if len(begins) and ends[0] <= begins[0]:
        ends = np.roll(ends, -1)  # the span that goes on over midnight
    hours = 24.0 / count
    return tuple((float(a * hours), float(b * hours % 24.0 or 24.0)) for a, b in zip(begins, ends, strict=True))


def _length(span: tuple[float, float]) -> float:
    return (span[1] - span[0]) % 24.0 or 24.0


def _and(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
