"""From a low, a typical and a high value to a distribution, and from many results to a middle and a range.

A number is as likely below its typical value as above it, and its likelihood falls off in a straight line to
nothing at either end (two right triangles). Where the ends differ more than threefold the line is drawn over the
logarithm. Where the typical value is itself an end, one triangle stands on it. Nothing beyond the ends is drawn,
since beyond them the tables hold nothing believable. The shape is a choice, not a finding: it asks for no more than
three numbers and keeps every draw inside the published range.
"""

from __future__ import annotations

import math

import numpy as np

LOG_BEYOND = 3.0  # -, ratio of high to low from which the logarithm is used
SHARE = 0.8  # of the results that a stated range holds


def quantile(u: float, low: float, typical: float, high: float) -> float:
    """The value below which the number lies with probability u (0 to 1), for ends low <= typical <= high."""
    if not (0.0 <= u <= 1.0 and low <= typical <= high):
        return math.nan
    if low > 0.0 and high > LOG_BEYOND * low:
        return math.exp(_triangles(u, math.log(low), math.log(typical), math.log(high)))
    return _triangles(u, low, typical, high)


def _triangles(u: float, low: float, typical: float, high: float) -> float:
    if high == low:
        return typical
    if typical == low:
        return high - (high - low) * math.sqrt(1.0 - u)
    if typical == high:
        return low + (high - low) * math.sqrt(u)
    if u < 0.5:
        return low + (typical - low) * math.sqrt(2.0 * u)
    return high - (high - typical) * math.sqrt(2.0 * (1.0 - u))


def middle_range(
    values: np.ndarray, share: float = SHARE, weights: np.ndarray | None = None
) -> tuple[float, float, float]:
    """(low, middle, high) of results: the median and the central `share` of them, by weight where given.

    Results that are not numbers are left out; with none left all three are NaN.
    """
    x = np.asarray(values, float)
    w = np.ones(x.shape) if weights is None else np.asarray(weights, float)
    good = np.isfinite(x) & (w > 0.0)
    if not good.any():
        return math.nan, math.nan, math.nan
    order = np.argsort(x[good], kind="stable")
    x, w = x[good][order], w[good][order]
    # each result stands for the middle of its share of the whole
    at = (np.cumsum(w) - 0.5 * w) / w.sum()
    low, middle, high = np.interp([0.5 - 0.5 * share, 0.5, 0.5 + 0.5 * share], at, x)
    return float(low), float(middle), float(high)
