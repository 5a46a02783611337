"""The amounts that the arrows of a cross-section stand for."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from terralab.answers.common.rounding import jug
from terralab.simulation.record import Record


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
    """An amount for a label, rounded as the answers do: "120 ml a day"; below ten it keeps a digit."""
    shown = f"{jug(value):.0f}" if abs(value) >= 9.95 else f"{value:.1f}" if abs(value) >= 0.05 else "0"
    return f"{shown} ml {'a day' if per == 'day' else 'an hour'}"
