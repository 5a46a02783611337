"""The pour that holds the water of the soil, as a run tells it."""

from __future__ import annotations

import numpy as np

from terralab.simulation.record import Record
from terralab.units import DAY_S


def needed_ml(record: Record, rows: np.ndarray) -> float:
    """The pour [ml a day] that would have left the soil's water unchanged over the rows, drainage aside.

    Evaporation from the soil and what roots drew, less what came back: drips, run-off from the glass to the
    soil's edge, vapour and water from below. Negative when more comes back than leaves.
    """
    total = lambda *names: record.moved_kg(*names)[rows].sum()  # noqa: E731
    lost = total("soil_evaporation") + total("transpiration")
    back = total("to_soil") - (total("poured") - total("bypassed"))
    risen = total("reservoir_vapour") - np.minimum(0.0, record.moved_kg("drained")[rows]).sum() + total("wick_rise")
    days = len(rows) * record.step_s / DAY_S
    return 1000.0 * float(lost - back - risen) / days


def balancing_ml(record: Record, rows: np.ndarray) -> float:
    """The daily pour to recommend [ml a day]: what holds the soil over the rows, at most what the box really loses.

    Where nobody siphons and no hole drains, what is poured beyond the vapour that leaves can only gather below: the soil of
    a nearly closed jar loses water to the panes all day, and gets it back or sends it down, but the box loses none. So
    the pour is then no more than the vapour, less what is sprayed, misted, topped up and poured below anyway.
    """
    needed = needed_ml(record, rows)
    box = record.box
    if not (box.routine.siphons or (box.enclosure.drain_hole and box.enclosure.drainage is None)):
        # what comes once a week counts by the day, so the whole run is looked at
        leaves, comes = record.vapour_out_ml_a_day(rows), record.given_ml_a_day()
        below = sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into != "soil")
        needed = min(needed, leaves - comes - below)
    return max(0.0, float(needed))
