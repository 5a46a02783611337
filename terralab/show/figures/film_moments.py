"""Which moments of a run a film shows: all of them around the greatest change, the other days once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.simulation.record import Record
from terralab.units import DAY_S

FINE_DAYS = 1.0  # around the greatest change
BEFORE_DAYS = 1.0 / 24.0  # of which so much before it
LEAST_STEP_DAYS = 20.0 / 1440.0  # between two moments of that day
_FINE_SHARE = 0.6  # of the moments, where there are too few for all


def moments(records: Sequence[Record], first: float, last: float, most: int) -> np.ndarray:
    """Return the moments of a film [days since the start of the records], at least 2 and at most `most`, in order.

    The 24 hours that begin one hour before the greatest change of the water below the air, in any of the records, are
    shown in steps of 20 minutes, or of the records' rows where these lie further apart. From there on and before there is
    one moment a day, at the hour at which those 24 hours end. Where that makes more than `most`, both lie further apart.
    """
    step = max(LEAST_STEP_DAYS, *(record.step_s / DAY_S for record in records))
    start = min(max(first, _greatest_change(records, first, last) - BEFORE_DAYS), max(first, last - FINE_DAYS))
    end = min(last, start + FINE_DAYS)
    fine = start + step * np.arange(int((end - start) / step + 1e-6) + 1)
    daily = np.concatenate([np.arange(start - 1.0, first - 1e-6, -1.0)[::-1], np.arange(end + 1.0, last + 1e-6, 1.0)])
    if len(fine) + len(daily) > most:
        few = max(2, most - len(daily), round(_FINE_SHARE * most)) if len(daily) else most
        fine = _thinned(fine, few)
        daily = _thinned(daily, most - len(fine))
    return np.unique(np.round(np.concatenate([fine, daily]), 9))


def _thinned(moments: np.ndarray, most: int) -> np.ndarray:
    if len(moments) <= most:
        return moments
    return moments[np.round(np.linspace(0, len(moments) - 1, most)).astype(int)] if most > 0 else moments[:0]


def _greatest_change(records: Sequence[Record], first: float, last: float) -> float:
    """When within the film most water arrived, left or moved in one row of any record [days since its start]."""
    best, when = -1.0, first
    for record in records:
        moved = np.abs(np.diff(record.cell_water_m, axis=0)).sum(axis=1)
        if record.has_reservoir:
            moved = moved + np.abs(np.diff(record.reservoir_water_m))
        days = record.times_days - record.times_days[0]
        inside = (days[:-1] >= first - 1e-9) & (days[1:] <= last + 1e-9)
        if inside.any():
            at = int(np.argmax(np.where(inside, moved, -1.0)))
            if moved[at] > best:
                best, when = float(moved[at]), float(days[at])
    return when
