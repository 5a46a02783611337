"""How what is wanted looks in every picture: one look by day, one by night, told apart in grey and by every eye.

By day the corridor is a plain pale green with a solid edge, by night it is hatched and its edge is dashed. What is outside
it is filled between line and corridor.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.patches import Patch

from terralab.show.figures.style import BLACK, GREEN, ORANGE, PURPLE

#: part of the day -> colour of its face, strength of its face, hatch, stroke of its edge, colour of edge and hatch, words for a legend
LOOKS = {
    "day": (GREEN, 0.25, "", "-", GREEN, "wanted by day"),
    "night": (PURPLE, 0.12, "////", (0, (4, 2)), PURPLE, "wanted by night"),
}

#: what lies between the line and what is wanted
OUTSIDE = {"facecolor": ORANGE, "alpha": 0.55, "edgecolor": BLACK, "hatch": "...", "linewidth": 0.0, "zorder": 4}


def draw_wanted(axes: Axes, start: float, end: float, low: float, high: float, part: str) -> None:
    """Outline what is wanted by "day" or "night" (`part`) from `start` to `end` on the axis of time, between `low` and `high`."""
    colour, strength, hatch, stroke, edge, _ = LOOKS[part]
    common = {"zorder": 1, "linewidth": 0.0}
    axes.fill_between([start, end], low, high, facecolor=colour, alpha=strength, **common)
    axes.fill_between(
        [start, end],
        low,
        high,
        facecolor="none",
        edgecolor=edge,
        hatch=hatch,
        **(common | {"linewidth": 1.3, "linestyle": stroke}),
    )


def wanted_key(part: str) -> Patch:
    """How the corridor of "day" or "night" looks in a legend."""
    colour, strength, hatch, stroke, edge, words = LOOKS[part]
    face = to_rgba(colour, strength)
    return Patch(facecolor=face, edgecolor=edge, hatch=hatch, linestyle=stroke, linewidth=1.3, label=words)


def draw_outside(
    axes: Axes,
    time: np.ndarray,
    values: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    under: np.ndarray,
    over: np.ndarray,
) -> None:
    """Fill between a line and what is wanted, from `low` to `high` at each time, where it is `under` or `over` that."""
    for where, end in ((under, low), (over, high)):
        if np.any(where):
            axes.fill_between(time, values, end, where=where, **OUTSIDE)
