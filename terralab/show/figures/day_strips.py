"""What runs when in one day: a row a device, and one for all pours, sprays or siphonings, with a few words beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from terralab.quantities import said
from terralab.show.figures.days import Span
from terralab.show.figures.strips import Strip, draw_rows, strips_of
from terralab.show.figures.style import LINE, TEXT_PT
from terralab.simulation.record import Record
from terralab.units import clock

MOST_ROWS = 10
_LEAST_H = 0.12  # a pour lasts a minute and would vanish
_BRIEF_H = 0.5  # what runs for less in all is told by its times


@dataclass(frozen=True)
class DayStrip(Strip):
    """A strip whose periods are in hours after midnight, and the words beside it."""

    note: str = ""


def day_strips(record: Record, days: int = 7) -> list[DayStrip]:
    """The rows of a record's routine, with what its last `days` days have laid over each other."""
    span = Span.of(record, days, None)
    return [_one_day(strip, max(1, round(span.last - span.first))) for strip in strips_of(record, span)]


def _one_day(strip: Strip, days: int) -> DayStrip:
    on = {int(start + 1e-6) for start, _ in strip.periods}
    found: set[tuple[float, float]] = set()
    for start, end in strip.periods:
        first = int(start + 1e-6)
        one = (round(24.0 * max(0.0, start - first), 3), round(24.0 * (end - first), 3))
        found.add((one[0], min(24.0, one[1])))
        if one[1] > 24.0:  # it runs past midnight
            found.add((0.0, one[1] - 24.0))
    periods = tuple(sorted(found))
    note = _note(periods)
    if strip.may:
        note = "when needed"
    elif 0 < len(on) < days:
        note = f"on {len(on)} of {days} days"
    return DayStrip(strip.name, strip.colour, periods, strip.may, note)


def _note(periods: Sequence[tuple[float, float]]) -> str:
    """How long it runs, or at what times where that is brief."""
    lengths = [end - start for start, end in periods]
    if not periods:
        return ""
    if len(periods) <= 2 and sum(lengths) < _BRIEF_H:
        return ", ".join(clock(3600.0 * start) for start, _ in periods)
    if len(periods) > 2 and max(lengths) - min(lengths) < 0.02:
        return f"{len(periods)} × {max(1.0, 60.0 * lengths[0]):.0f} min"
    return f"{sum(lengths):.3g} h"


def draw_day_strips(axes: Axes, strips: Sequence[DayStrip], us: bool) -> None:
    """Draw the rows, the first on top, with their words on the right; what does not fit is counted."""
    for row, strip in enumerate(draw_rows(axes, strips, MOST_ROWS, _LEAST_H, us)):
        axes.text(24.25, row, strip.note, fontsize=TEXT_PT, va="center", color=LINE)


def rows_of(strips: Sequence[DayStrip]) -> int:
    """How many rows the strips take."""
    return max(1, min(MOST_ROWS, len(strips)))


def in_words(strips: Sequence[DayStrip], us: bool) -> str:
    """What the rows say, for the picture's words."""
    if not strips:
        return "Nothing is poured, sprayed or switched"
    rows = [said(strip.name, us) + (f" ({strip.note})" if strip.note else "") for strip in strips[:MOST_ROWS]]
    more = f" and {len(strips) - MOST_ROWS} more" if len(strips) > MOST_ROWS else ""
    return f"Through the day: {', '.join(rows)}{more}"
