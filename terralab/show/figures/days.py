"""The time axis all panels share: days of the run, numbered from 1, with the nights in grey."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from terralab.describe.box import HumidityTarget
from terralab.errors import TerralabError, quoted
from terralab.show.figures.style import NIGHT, TEXT_PT
from terralab.simulation.record import Record
from terralab.units import DAY_S, clock
from terralab.validate import whole

MOST_DAYS = 31  # in more days than these the lines of day and night run into each other
DAY_FROM_S, DAY_TO_S = 8 * 3600.0, 20 * 3600.0  # day and night where no band says otherwise


@dataclass(frozen=True)
class Span:
    """The part of a run that is shown.

    `first` and `last` in days as the record counts them, which a run that goes on from another counts on; and the hours
    that count as day, in seconds after midnight.
    """

    first: float
    last: float
    day_from_s: float
    day_to_s: float

    @classmethod
    def of(cls, record: Record, days: int, target: HumidityTarget | None) -> Span:
        """The last `days` days of a record, or all of a shorter one; raises TerralabError for other days."""
        if not isinstance(record, Record):
            raise TerralabError(f"A picture needs a record, as simulate gives it; given {quoted(record)}.")
        days = whole("days", days, 1, MOST_DAYS)
        if target is not None and not isinstance(target, HumidityTarget):
            raise TerralabError(
                "target must be a HumidityTarget(day_low=..., day_high=..., night_low=..., night_high=...), or nothing for "
                f"that of the box; {quoted(target)} was given."
            )
        start, end = (float(day) for day in record.times_days[[0, -1]])
        hours = (DAY_FROM_S, DAY_TO_S) if target is None else (target.day_from_s, target.day_to_s)
        return cls(max(start, end - days), end, *hours)

    def rows(self, record: Record) -> np.ndarray:
        """Indices of the record's rows that are shown, the first moment included."""
        return np.flatnonzero(record.times_s >= self.first * DAY_S - 1.0)

    def daytimes(self) -> list[tuple[float, float]]:
        """The days within the span, as (start, end) in days since the start of the run."""
        start, end = self.day_from_s / DAY_S, self.day_to_s / DAY_S
        end += 1.0 if end <= start else 0.0
        whole = range(int(np.floor(self.first)) - 1, int(np.ceil(self.last)) + 1)
        cut = [(max(self.first, day + start), min(self.last, day + end)) for day in whole]
        return [(a, b) for a, b in cut if a < b]

    def nights(self) -> list[tuple[float, float]]:
        """The nights within the span, likewise."""
        edges = [self.first, *(edge for day in self.daytimes() for edge in day), self.last]
        return [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b]

    @property
    def words(self) -> str:
        """Which days are shown, such as "days 8 to 14 of 14"."""
        first, last = int(self.first) + 1, int(np.ceil(self.last))
        shown = f"day {first}" if first == last else f"days {first} to {last}"
        return f"{shown} of {self.last:g}"

    @property
    def night_words(self) -> str:
        """The hours of the night, such as "20:00 to 08:00"."""
        return f"{clock(self.day_to_s)} to {clock(self.day_from_s)}"


def shade_nights(axes: Axes, span: Span) -> None:
    """Make the nights grey and mark every midnight."""
    for start, end in span.nights():
        axes.axvspan(start, end, facecolor=NIGHT, edgecolor="none", zorder=0)


def share_days(axes: list[Axes], span: Span) -> None:
    """Return panels one time axis; the lowest carries the names of the days."""
    count = int(np.ceil(span.last - span.first))
    step = max(1, int(np.ceil(count / 8)))
    starts = np.arange(int(np.floor(span.first)), span.last, step)
    for one in axes:
        one.set_xlim(span.first, span.last)
        one.set_xticks(np.arange(np.floor(span.first), span.last + 0.5, step))
        one.set_xticklabels([])
    lowest = axes[-1]
    # A day's name stands under its middle, between its two midnights.
    lowest.set_xticks(starts + 0.5, minor=True)
    lowest.set_xticklabels([f"day {start + 1:.0f}" for start in starts], minor=True)
    lowest.tick_params(axis="x", which="minor", length=0, labelsize=TEXT_PT, pad=5)
    lowest.set_xlabel(
        f"time in days, each from midnight; grey is night, {span.night_words}\n"
        "brief events are drawn wider than they last",
        fontsize=TEXT_PT,
    )
