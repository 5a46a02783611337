"""What a reading would show: how much of a result's spread it takes away, from members that have been run already.

`narrowing` needs no further runs. It draws the result as a smooth curve over what is read (a straight line and
polynomials of low order on ranks), so that the spread left after the reading is the scatter about the curve plus what
the reading's own error leaves open along it. What is read is first stretched so that its error is the same
everywhere: where the error is large, members lie close together, and no member can stand far off merely because it
is nearly zero. A member far from all others counts as one at the edge, in the reading as in the result, since a range
is that of the middle 80 %. `sobol` gives full variance-based indices, for which the model is run many times more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from numbers import Integral

import numpy as np
from numpy.polynomial.legendre import legvander

from terralab.errors import TerralabError, quoted
from terralab.folded import fold, page, paragraph, table
from terralab.uncertainty.sampling import uniform
from terralab.units import is_number

MOST_ORDER = 7
GROUPS = 10  # of members, left out in turn to judge the estimate
LEAST_MEMBERS = 16
SHOWN = 6  # numbers that a notebook shows before the others are folded
_GRID = np.linspace(0.0005, 0.9995, 300)
_TRUTHS = np.linspace(0.01, 0.99, 50)
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(7)


@dataclass(frozen=True, eq=False)
class Reading:
    """One number that is read: what it is in each member, and how far a reading is off (one standard deviation).

    `error` is in the unit of `x`, or a share of it where `relative` is True; an array gives it for each member. It may
    be 0 (a perfect reading) or infinite (none at all). Raises TerralabError for a negative error.
    """

    x: np.ndarray
    error: float | np.ndarray
    relative: bool = False

    def __post_init__(self) -> None:
        if not np.all(np.asarray(self.error) >= 0.0):
            raise TerralabError(f"error: {quoted(self.error)} was given; a reading's error is 0 or more.")


def narrowing(y: np.ndarray, readings: Sequence[Reading]) -> tuple[float, float]:
    """(share, give or take): by which part the range of `y` shrinks, on average, once all `readings` are known.

    1 would leave nothing, 0 leaves the range as it is. The range is taken to shrink like the standard deviation. The
    second number is the standard error of the first, by leaving out a tenth of the members in turn. Members whose
    result is no number are left out. Raises TerralabError with fewer than 16 members.
    """
    y = np.asarray(y, float)
    good = np.isfinite(y) & np.all([np.isfinite(r.x) for r in readings], axis=0)
    y = _drawn_in(y[good])
    if len(y) < LEAST_MEMBERS:
        raise TerralabError(f"members: {len(y)} gave a number; at least {LEAST_MEMBERS} are needed to judge a reading.")
    even = [_even(r, good) for r in readings]
    curves = [_Curve(x, error) for x, error in even if np.isfinite(error) and np.ptp(x) > 0.0]
    if not curves or np.ptp(y) <= 0.0:
        return 0.0, 0.0
    whole = _share(y, curves, np.arange(len(y)))
    members = np.arange(len(y))
    parts = np.array([_share(y, curves, members[members % GROUPS != g]) for g in range(GROUPS)])
    return whole, float(np.sqrt((GROUPS - 1) / GROUPS * np.sum((parts - parts.mean()) ** 2)))


def _drawn_in(x: np.ndarray) -> np.ndarray:
    """x, with what lies far from the middle 80 % of it, by more than their width, drawn in to that distance.

    Of a normal sample that is beyond 3.8 standard deviations, so it bends nothing but a true outlier.
    """
    low, high = np.quantile(x, [0.1, 0.9])
    return np.clip(x, low - (high - low), high + (high - low)) if high > low else x


def _even(reading: Reading, good: np.ndarray) -> tuple[np.ndarray, float]:
    """What is read on a scale on which its error is the same everywhere, and that error there."""
    x = np.asarray(reading.x, float)[good]
    error = np.asarray(reading.error, float)
    if error.ndim == 0 and not reading.relative:
        return _drawn_in(x), float(error)
    error = np.broadcast_to(error, np.shape(reading.x))[good]
    if reading.relative:
        # what is nearly nothing is read no better than to a thousandth of the usual
        error = error * np.maximum(np.abs(x), max(1e-3 * float(np.median(np.abs(x))), 1e-300))
    if np.any(error <= 0.0):
        return _drawn_in(x), float(error.max())
    if not np.isfinite(error).any():
        return x, math.inf
    order = np.argsort(x, kind="stable")
    step, density = np.diff(x[order]), 1.0 / error[order]
    stretched = np.empty(len(x))
    stretched[order] = np.concatenate([[0.0], np.cumsum(step * _mean_density(density[:-1], density[1:]))])
    return _drawn_in(stretched), 1.0


def _mean_density(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """The mean of a density between two points, for an error that runs straight between them: their logarithmic mean."""
    apart = np.abs(a - b) > 1e-9 * (a + b)
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = a * b * np.log(a / b) / (a - b)
    return np.where(apart & np.isfinite(mean), mean, np.minimum(a, b))


class _Curve:
    """The terms of a curve over one reading: their values at the members, and what a reading leaves open of them."""

    def __init__(self, x: np.ndarray, error: float) -> None:
        order = np.argsort(x, kind="stable")
        first, last = (np.searchsorted(x[order], x, side) for side in ("left", "right"))
        u = 0.5 * (first + last) / len(x)  # members that read the same share their rank
        scale = x.mean(), x.std()
        self.terms = _terms(u, x, *scale)
        along = np.interp(_GRID, (np.arange(len(x)) + 0.5) / len(x), x[order])
        grid = _terms(np.interp(along, x[order], u[order]), along, *scale)
        self.open = np.zeros((MOST_ORDER, MOST_ORDER))
        if error <= 0.0:
            return
        for node, weight in zip(_NODES, _WEIGHTS / _WEIGHTS.sum(), strict=True):
            read = np.interp(_TRUTHS, _GRID, along) + error * node
            likely = np.exp(-0.5 * ((read[:, None] - along[None, :]) / error) ** 2) + 1e-300
            likely /= likely.sum(axis=1, keepdims=True)
            mean = likely @ grid
            self.open += weight * (np.einsum("tg,gi,gj->ij", likely, grid, grid) - mean.T @ mean) / len(_TRUTHS)


def _terms(u: np.ndarray, x: np.ndarray, middle: float, spread: float) -> np.ndarray:
    """Terms of rising order: what is read itself, then Legendre's polynomials of its rank u, which no outlier bends."""
    return np.column_stack([(x - middle) / spread, legvander(2.0 * u - 1.0, MOST_ORDER - 1)[:, 1:]])


def _share(y: np.ndarray, curves: Sequence[_Curve], rows: np.ndarray) -> float:
    """The part by which the spread shrinks, judged from some members."""
    y = y[rows] - y[rows].mean()
    n = len(y)
    left = y
    orders = []
    for curve in curves:
        order, left = _best_order(left, curve.terms[rows])
        orders.append(order)
    columns = [curve.terms[rows][:, :order] for curve, order in zip(curves, orders, strict=True)]
    x = np.column_stack([np.ones(n), *columns])
    coefficients = np.linalg.lstsq(x, y, rcond=None)[0]
    # as many degrees of freedom as coefficients are spent on the curve: what scatters about it is more than it seems
    remaining = float(np.sum((y - x @ coefficients) ** 2)) / (n - x.shape[1])
    start = 1
    for curve, order in zip(curves, orders, strict=True):
        b = coefficients[start : start + order]
        remaining += float(b @ curve.open[:order, :order] @ b)
        start += order
    return float(1.0 - np.sqrt(min(1.0, remaining / np.var(y, ddof=1))))


def _best_order(y: np.ndarray, terms: np.ndarray) -> tuple[int, np.ndarray]:
    """The order of a curve that Akaike's criterion for small samples prefers (0: none), and what is left of y then."""
    n = len(y)
    best = (0, y, np.inf)
    for order in range(min(MOST_ORDER, n // 8) + 1):
        x = np.column_stack([np.ones(n), terms[:, :order]])
        left = y - x @ np.linalg.lstsq(x, y, rcond=None)[0]
        k = order + 2
        score = n * np.log(max(float(left @ left), 1e-300) / n) + 2.0 * k + 2.0 * k * (k + 1) / (n - k - 1)
        if score < best[2]:
            best = (order, left, score)
    return best[0], best[1]


@dataclass(frozen=True, eq=False)
class Indices:
    """Shares of a result's variance: `first[name]` from that number alone, `total[name]` with all it acts through.

    `first_error` and `total_error` are half the width of a 95 % bootstrap range; `runs` is how many runs it took. A `total` that
    is no number (NaN) cannot be had; `note` says why.
    """

    first: Mapping[str, float]
    total: Mapping[str, float]
    first_error: Mapping[str, float]
    total_error: Mapping[str, float]
    runs: int
    failed: int
    note: str = ""

    @property
    def ranked(self) -> list[str]:
        """The names, that which decides most first."""
        return sorted(
            self.total, key=lambda name: -self.first[name] if np.isnan(self.total[name]) else -self.total[name]
        )

    def __str__(self) -> str:
        lines = [f"{'number':<44}{'alone':>8}{'':>8}{'in all':>8}"]
        for name in self.ranked:
            whole = f"{self.total[name]:8.2f} ±{self.total_error[name]:5.2f}"
            whole = f"{'-':>8}" if np.isnan(self.total[name]) else whole
            lines.append(f"{name:<44}{self.first[name]:8.2f} ±{self.first_error[name]:5.2f} {whole}")
        return "\n".join([*lines, self.note] if self.note else lines)

    __repr__ = __str__

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the numbers that decide most as a table, the others folded."""
        said = lambda share, error: "not known" if np.isnan(share) else f"{100 * share:.0f} % ± {100 * error:.0f}"  # noqa: E731
        rows = [
            (name, said(self.first[name], self.first_error[name]), said(self.total[name], self.total_error[name]))
            for name in self.ranked
        ]
        headings = ("number", "alone", "in all")
        more = [table(headings, rows[SHOWN:])] if rows[SHOWN:] else []
        return page(table(headings, rows[:SHOWN]), paragraph(self.note), fold("The other numbers", *more))


def sobol(
    function: Callable[[np.ndarray], np.ndarray], blocks: Mapping[str, Sequence[int]], samples: int, seed: int
) -> Indices:
    """Sobol indices of `function`, which takes points (rows, each number between 0 and 1) to one result each.

    `blocks` names the columns that are varied together; all columns must occur once. `samples` is a power of two; it
    takes samples x (blocks + 2) points. A result that is no number counts as the middle one. By
    `scipy.stats.sobol_indices` (the estimators of Saltelli and others 2010, as its documentation says).
    """
    from scipy.stats import sobol_indices  # late: half a second to load

    size = sum(len(columns) for columns in blocks.values())
    if not (isinstance(samples, Integral) and is_number(samples) and samples >= 8 and samples & (samples - 1) == 0):
        raise TerralabError(f"samples must be a power of two from 8, such as 128; {quoted(samples)} was given.")
    both = uniform(samples, 2 * size, seed)
    a, b = both[:, :size], both[:, size:]
    mixed = []
    for columns in blocks.values():
        one = a.copy()
        one[:, list(columns)] = b[:, list(columns)]
        mixed.append(one)
    y = np.asarray(function(np.concatenate([a, b, *mixed])), float)
    bad = ~np.isfinite(y)
    y = np.where(bad, np.median(y[~bad]) if not bad.all() else 0.0, y).reshape(-1, samples)
    if np.ptp(y[:2]) <= 0.0:
        zero = dict.fromkeys(blocks, 0.0)
        return Indices(zero, zero, zero, zero, y.size, int(bad.sum()))
    found = sobol_indices(func={"f_A": y[:1], "f_B": y[1:2], "f_AB": y[2:, None, :]}, n=samples)
    spread = found.bootstrap(confidence_level=0.95, n_resamples=200)
    named = lambda values: dict(zip(blocks, np.ravel(values).astype(float).tolist(), strict=True))  # noqa: E731
    half = lambda part: (part.confidence_interval.high - part.confidence_interval.low) / 2.0  # noqa: E731
    return Indices(
        named(found.first_order),
        named(found.total_order),
        named(half(spread.first_order)),
        named(half(spread.total_order)),
        y.size,
        int(bad.sum()),
    )
