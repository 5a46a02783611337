"""Hours until something comes, as they are said; inf is never, in the time that was followed."""

from __future__ import annotations

import math

from terralab.answers.fails.found import Span


def hours_figure(hours: float) -> str:
    """Hours as they are said: tenths below three, whole ones above; "never" for those that were not seen to end."""
    if math.isinf(hours):
        return "never"
    return "under 0.5" if hours < 0.5 else f"{hours:.1f}" if hours < 3.0 else f"{hours:.0f}"


def hours_words(span: Span) -> str:
    """ "after about 5 h (3 to 8)", or that it does not come in the time followed."""
    low, middle, high = span
    if math.isinf(low):
        return "not in that time"
    if math.isinf(middle):
        return f"{_after(low)} in the worst tenth of the boxes, in most not"
    ends = (hours_figure(low), hours_figure(high))
    return _after(middle) + ("" if ends[0] == ends[1] else f" ({between(*ends)})")


def between(low: str, high: str) -> str:
    """Two ends of a range that are figures; the upper one may be "never"."""
    return f"{low} at the soonest, in some boxes never" if high == "never" else f"{low} to {high}"


def _after(hours: float) -> str:
    return "in under half an hour" if hours < 0.5 else f"after about {hours_figure(hours)} h"


def hours_cell(span: Span) -> str:
    """The same for a table: "5 (3-8)", "5 (3-..)" where it never comes in some boxes, "-" where it comes in none."""
    low, middle, high = span
    if math.isinf(low):
        return "-"
    figure = lambda h: ".." if math.isinf(h) else "<1" if h < 0.95 else f"{h:.0f}"  # noqa: E731
    if figure(low) == figure(high):
        return figure(middle)
    return f"{figure(middle)} ({figure(low)}-{figure(high)})"


def times_words(low: float, middle: float, high: float) -> str:
    """A middle and its range, in minutes where it is less than three hours, else in hours."""
    if middle < 3.0:
        figures = ["never" if math.isinf(x) else f"{max(1.0, 60.0 * x):.0f}" for x in (low, middle, high)]
        unit = "min"
    else:
        figures, unit = [hours_figure(x) for x in (low, middle, high)], "h"
    return f"{figures[1]} {unit}" + ("" if figures[0] == figures[2] else f" ({between(figures[0], figures[2])})")
