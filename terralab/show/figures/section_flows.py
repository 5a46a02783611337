"""The amounts that the arrows of a cross-section stand for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.answers.common.rounding import jug
from terralab.simulation.record import Record


@dataclass(frozen=True)
class Flows:
    """Amounts [ml per `per`] over a span of a record; what goes up through the mesh is counted apart from what drains."""

    per: str
    poured: float
    sprayed: float
    vapour_out: float
    evaporated: float
    breathed: float
    condensed: float
    drained: float
    vapour_up: float
    contact_up: float
    wick_up: float
    tube: float
    taken_out: float


def flows_of(record: Record, rows: np.ndarray, per: str = "day") -> Flows:
    """Mean flows over the rows, in ml a "day" or an "hour"."""
    f, m = record.raw.flow[rows], record.raw.moved[rows]
    hours = len(rows) * float(record.raw.t[1] - record.raw.t[0]) / 3600.0
    scale = 1000.0 / hours * (24.0 if per == "day" else 1.0)
    mean = lambda amount: scale * float(np.sum(amount))  # noqa: E731
    layer = record.has_reservoir
    return Flows(
        per=per,
        poured=mean(m["poured"]),
        sprayed=mean(f["spray_leaf"] + f["spray_glass"] + f["spray_ground"] + f["fog_in"]),
        vapour_out=mean(f["vapour_leak"] + f["vapour_openings"] + f["vapour_fan"]),
        evaporated=mean(f["soil_evaporation"] + f["cover_evaporation"]),
        breathed=mean(f["transpiration"]),
        condensed=mean(f["condensation"]),
        drained=mean(m["drained"] + m["contact_rise"] + m["bypassed"]) if layer else 0.0,
        vapour_up=mean(m["reservoir_vapour"]) if layer else 0.0,
        contact_up=mean(m["contact_rise"]) if layer else 0.0,
        wick_up=mean(m["wick_rise"]) if layer else 0.0,
        tube=mean(f["tube_evaporation"]),
        taken_out=mean(m["siphoned"] + m["drained_away"] + m["spilled"]),
    )


def amount(value: float, per: str) -> str:
    """An amount for a label, rounded as the answers do: "120 ml a day"; below ten it keeps a digit."""
    shown = f"{jug(value):.0f}" if abs(value) >= 9.95 else f"{value:.1f}" if abs(value) >= 0.05 else "0"
    return f"{shown} ml {'a day' if per == 'day' else 'an hour'}"
