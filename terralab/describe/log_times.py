"""A log over time that is repeated: its last whole days come again, so that each hour of the clock keeps its place."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

DAY_H = 24.0
SHORT_H = 1.0  # a log that lacks no more than this of a whole day counts as whole: one row an hour, 0 to 23


def period_h(hours: Sequence[float]) -> float:
    """Return after how many hours a log comes again, whole days; 0 for one of less than a day."""
    return DAY_H * math.floor((hours[-1] - hours[0] + SHORT_H) / DAY_H + 1e-9)


def repeated(hours: Sequence[float], values: Sequence[float], end_h: float) -> tuple[np.ndarray, np.ndarray]:
    """Return hours and values of a log that comes again, from before 0 to past `end_h`.

    After its end its last whole days follow, before its beginning its first ones.
    """
    period = period_h(hours)
    own_h, own = np.asarray(hours, float), np.asarray(values, float)
    later, sooner = own_h > own_h[-1] - period, own_h < own_h[0] + period
    times, held = [own_h], [own]
    for n in range(1, math.ceil(max(0.0, end_h - own_h[-1]) / period) + 2):
        times.append(own_h[later] + n * period)
        held.append(own[later])
    for n in range(1, math.ceil(max(0.0, own_h[0]) / period) + 1):
        times.insert(0, own_h[sooner] - n * period)
        held.insert(0, own[sooner])
    return np.concatenate(times), np.concatenate(held)
