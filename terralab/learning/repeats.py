"""What a model misses at the same hour every day: known after a log, it is counted in when later readings are foretold.

By quarters of the day as the errors say (`Errors.repeating`), and within a quarter hour by hour in so far as the days agree
on it: the more they differ the less of it counts (after James and Stein 1961; from memory).
"""

from __future__ import annotations

import numpy as np

from terralab.learning.errors import BLOCK_H, SLOTS

CLOCK = np.arange(24) + 0.5  # h: the middle of each hour of the day
LIKE_ONE = 2.0  # days that follow each other count as one of two: their weather is alike
FEWEST_DAYS = 3  # of an hour of the day, to be judged at all


def repeats_of(quarters: np.ndarray, hours: np.ndarray, residual: np.ndarray) -> np.ndarray:
    """Return what comes again in each of the 24 hours of a day.

    `quarters`: that of the quarters, from midnight on. `residual`: what was read less what was computed, its offset taken
    off, at `hours` (each the end of its hour; NaN: nothing read).
    """
    broad = np.interp(CLOCK, np.array(SLOTS) + 0.5 * BLOCK_H, quarters, period=24.0)
    block, clock = (hours - 1) // BLOCK_H, (hours - 1).astype(int) % 24
    detail = residual - broad[clock]
    good = np.isfinite(detail)
    for one in np.unique(block):
        here = good & (block == one)
        detail[here] -= detail[here].mean() if here.any() else 0.0
    means, unsure = np.zeros(24), np.zeros(24)
    for hour in range(24):
        own = detail[good & (clock == hour)]
        if len(own) < FEWEST_DAYS:
            continue
        means[hour] = own.mean()
        unsure[hour] = LIKE_ONE * own.var(ddof=1) / len(own)
    size = float(np.mean(means**2))
    return broad + (max(0.0, 1.0 - float(unsure.mean()) / size) if size > 0.0 else 0.0) * means
