"""The amounts that the arrows of a cross-section stand for, how they are said, and the arrows."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import matplotlib.patheffects as effects
import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch

from terralab.answers.common.rounding import jug
from terralab.quantities import quantity
from terralab.simulation.record import Record

_LITRES_FROM_ML = 3000.0


@dataclass(frozen=True)
class Flows:
    """Amounts [ml per `per`] over a span of a record; what goes up through the mesh is counted apart from what drains.

    Each stands for the rows of the table of flows that name it as their arrow.
    """

    per: str
    poured: float
    sprayed: float
    vapour_out: float
    door: float
    evaporated: float
    breathed: float
    drained: float
    vapour_up: float
    contact_up: float
    wick_up: float
    tube: float
    taken_out: float


ARROWS = tuple(one.name for one in fields(Flows) if one.name != "per")


def flows_of(record: Record, rows: np.ndarray, per: str = "day") -> Flows:
    """Return the mean flows over the rows, in ml a "day" or an "hour"."""
    hours = len(rows) * record.step_s / 3600.0
    scale = 1000.0 / hours * (24.0 if per == "day" else 1.0)
    return Flows(per, **{arrow: scale * float(np.sum(record.arrow_kg(arrow)[rows])) for arrow in ARROWS})


def amount(value: float, per: str) -> str:
    """An amount for a label as a mark, rounded as the answers do: "120 ml a day"; below one ml it keeps a digit."""
    return f"{volume(value)} {'a day' if per == 'day' else 'an hour'}"


def volume(ml: float) -> str:
    """A volume as a mark, rounded as the answers do; below one ml it keeps a digit, and next to nothing is nothing.

    From three litres on it is said in litres.
    """
    if abs(ml) >= _LITRES_FROM_ML:
        return quantity("l", ".1f", ml / 1000.0)
    if abs(ml) < 0.05:
        return quantity("ml", ".0f", 0.0)
    return quantity("ml", ".1f", ml) if abs(ml) < 0.95 else quantity("ml", ".0f", jug(ml))


def draw_arrow(axes: Axes, x: float, start: float, end: float, value: float, colour: str, per: str) -> None:
    """An upright arrow, thicker the more flows; a thin dotted one for next to nothing."""
    biggest = 300.0 if per == "day" else 60.0
    thick = 0.8 + 4.2 * math.sqrt(min(1.0, abs(value) / biggest))
    axes.add_patch(
        FancyArrowPatch(
            (x, start), (x, end), arrowstyle="-|>", mutation_scale=9.0 + 2.2 * thick, linewidth=thick, color=colour,
            linestyle="-" if abs(value) >= 0.5 else (0, (1, 1)), shrinkA=0.0, shrinkB=0.0, zorder=12, clip_on=False,
            path_effects=[effects.withStroke(linewidth=thick + 2.2, foreground="white")],
        )
    )  # fmt: skip
