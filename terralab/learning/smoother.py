"""From a log to ranges: one step of an ensemble smoother whose gain comes from the whole bank, in normal scores.

What is read is whitened by its errors and cut to the directions in which the bank's members differ. Each direction, and
each result, is turned into normal scores by its rank in the bank, since half of them are skewed. The step itself:
Evensen (1994) with perturbed observations after Burgers, van Leeuwen and Evensen (1998); normal scores after Zhou and
others (2011).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from terralab.learning.errors import Errors
from terralab.uncertainty.spread import SHARE, middle_range

LEAST_SIGNAL = 0.2  # standard deviations of the error by which members must differ along a direction for it to count
REPEATS = 4  # perturbed readings a member of the bank, so that chance in them decides nothing
NEAR = 0.3  # of the spread of what is expected: readings so near alike say alike
CENTRAL = (0.5 - 0.5 * SHARE, 0.5 + 0.5 * SHARE)
#: How much less is cut off on the side towards which a log speaks, by standard deviation of what logs let expect. With 0.7
#: ranges hold 80 % of all boxes and 70 % of those in the outer tenths, with 0 also 80 %, but 45 % there (256 twins).
LEAN, MOST_LEAN = 0.7, 0.9
LEAST_STRAY = 0.35  # standard deviations: a number that logs move less is pulled by chance alone
LEADING = 6  # directions that tell whether the tables hold a box
RIDGE = 1e-6  # keeps directions that say the same from blowing up the gain


class Scores:
    """Normal scores of some numbers by their rank; beyond the outermost, straight on as the outer tenths run."""

    def __init__(self, x: np.ndarray) -> None:
        from scipy.special import ndtri  # late: half a second to load

        n = len(x)
        keep = np.unique(np.linspace(0, n - 1, min(n, 400)).astype(int))
        held = np.sort(x)[keep]
        score = ndtri((keep + 0.5) / n)
        held, first = np.unique(held, return_index=True)
        if len(held) < 2:
            # the same in every member: any score means that one number
            tiny = 1e-9 * max(1.0, abs(float(held[0])))
            self.x, self.score, self.ends = (
                np.array([held[0] - tiny, held[0] + tiny]),
                np.array([-1.0, 1.0]),
                (1.0, 1.0),
            )
            return
        last = np.append(first[1:] - 1, len(score) - 1)
        self.x, self.score = held, 0.5 * (score[first] + score[last])
        slope = lambda a, b: max(1e-9, (np.quantile(x, b) - np.quantile(x, a))) / float(ndtri(b) - ndtri(a))  # noqa: E731
        self.ends = slope(0.005, 0.1), slope(0.9, 0.995)

    def of(self, x: np.ndarray) -> np.ndarray:
        """Return the scores of numbers."""
        x = np.asarray(x, float)
        inside = np.interp(x, self.x, self.score)
        below, above = np.minimum(0.0, x - self.x[0]) / self.ends[0], np.maximum(0.0, x - self.x[-1]) / self.ends[1]
        return inside + below + above

    def back(self, score: np.ndarray) -> np.ndarray:
        """Return the numbers of scores; nothing beyond the outermost that was seen."""
        return np.interp(score, self.score, self.x)


@dataclass(frozen=True, eq=False)
class Datum:
    """A quantity that was weighed or measured beside the log: `of` each member, as `read`, and its standard deviation."""

    name: str
    of: np.ndarray
    read: float
    error: float


@dataclass(frozen=True, eq=False)
class Smoother:
    """The bank as a regression: unknowns `z` and `results` over noisy readings of the bank's members.

    `means`: (members x blocks) what perfect sensors would have read. `more`: what else was measured.
    """

    errors: Errors
    means: np.ndarray
    z: np.ndarray
    results: Mapping[str, np.ndarray]
    more: Sequence[Datum] = ()
    seed: int = 0

    def given(self, y: np.ndarray, reads: Sequence[float] = ()) -> Smoother:
        """Return the same bank with another log of the same means, and other readings of `more`; nothing is worked out twice."""
        blocks = replace(self.errors.blocks, y=np.asarray(y, float))
        more = tuple(replace(one, read=float(read)) for one, read in zip(self.more, reads, strict=True))
        other = replace(self, errors=replace(self.errors, blocks=blocks), more=more)
        other.__dict__.update({name: getattr(self, name) for name in _OF_THE_BANK})
        return other

    # -- readings, whitened and cut -----------------------------------------------------------------------------------

    @cached_property
    def _lower(self) -> np.ndarray:
        return np.linalg.cholesky(self.errors.covariance + 1e-9 * np.eye(self.errors.blocks.size))

    def white(self, blocks: np.ndarray) -> np.ndarray:
        """Return block means, whitened by the errors."""
        from scipy.linalg import solve_triangular  # late, as above

        return solve_triangular(self._lower, np.atleast_2d(blocks).T, lower=True).T

    @cached_property
    def _cut(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Mean of the whitened bank, the directions that count, and by how much members differ along each."""
        white = self.white(self.means)
        mean = white.mean(axis=0)
        _, size, across = np.linalg.svd(white - mean, full_matrices=False)
        signal = size / np.sqrt(len(white) - 1.0)
        count = max(1, int((signal > LEAST_SIGNAL).sum()))
        return mean, across[:count].T, signal[:count]

    @property
    def signal(self) -> np.ndarray:
        """Standard deviation of the bank along each direction, in those of the error."""
        return self._cut[2]

    def seen(self, means: np.ndarray, more: Sequence[np.ndarray] = ()) -> np.ndarray:
        """Return what counts of readings (members x directions), each with an error of 1."""
        mean, across, _ = self._cut
        found = (self.white(means) - mean) @ across
        extra = [np.atleast_1d(one) / datum.error for one, datum in zip(more, self.more, strict=True)]
        return np.column_stack([found, *extra]) if extra else found

    @cached_property
    def read(self) -> np.ndarray:
        """What counts of the log itself."""
        y = self.errors.blocks.y - self.errors.middle
        return self.seen(y[None, :], [np.array([one.read]) for one in self.more])[0]

    @cached_property
    def _noisy(self) -> tuple[np.ndarray, np.ndarray]:
        """Readings of the bank's members with errors drawn (REPEATS x members x directions), and these errors."""
        chance = np.random.default_rng(self.seed)
        perfect = self.seen(self.means, [one.of for one in self.more])
        error = chance.normal(size=(REPEATS, *perfect.shape))
        return perfect[None] + error, error

    @cached_property
    def _scores(self) -> list[Scores]:
        noisy = self._noisy[0]
        return [Scores(noisy[:, :, k].ravel()) for k in range(noisy.shape[2])]

    def _scored(self, readings: np.ndarray) -> np.ndarray:
        return np.stack([one.of(readings[..., k]) for k, one in enumerate(self._scores)], axis=-1)

    @cached_property
    def _x(self) -> np.ndarray:
        """Scores of the noisy readings (repeats x members x directions)."""
        return self._scored(self._noisy[0])

    @cached_property
    def x(self) -> np.ndarray:
        """Scores of the log."""
        return self._scored(self.read[None])[0]

    # -- regression ---------------------------------------------------------------------------------------------------

    @cached_property
    def _inverse(self) -> tuple[np.ndarray, np.ndarray]:
        """The middle of the scores of the noisy readings, and the inverse of their covariance."""
        x = self._x.reshape(-1, self._x.shape[-1])
        about = x - x.mean(axis=0)
        cov = about.T @ about / len(about)
        return x.mean(axis=0), np.linalg.inv(cov + RIDGE * np.trace(cov) / len(cov) * np.eye(len(cov)))

    def coefficients(self, y: np.ndarray) -> np.ndarray:
        """Return the slopes (directions x columns) of y (members x columns) over the scores of the readings."""
        y = np.asarray(y, float)
        shared = self._x.mean(axis=0)
        return self._inverse[1] @ ((shared - shared.mean(axis=0)).T @ (y - y.mean(axis=0)) / len(y))

    def expected(self, y: np.ndarray) -> np.ndarray:
        """Return what the log lets expect of y (members x columns), column by column."""
        return np.mean(y, axis=0) + (self.x - self._inverse[0]) @ self.coefficients(y)

    def _expected_of_bank(self, y: np.ndarray) -> np.ndarray:
        """Likewise for each noisy reading of the bank (repeats x members x columns)."""
        return np.mean(y, axis=0) + (self._x - self._inverse[0]) @ self.coefficients(y)

    @cached_property
    def spent(self) -> float:
        """By which factor scatter about the regression seems too small: coefficients are spent on it."""
        n, k = self._x.shape[1:]
        return float(np.sqrt((n - 1.0) / max(1.0, n - 1.0 - k)))

    @cached_property
    def _regressed(self) -> dict[str, tuple[Scores, np.ndarray, np.ndarray]]:
        """By result: its scores, what the bank's noisy readings let expect of them, and what is left."""
        found = {}
        for name, values in self.results.items():
            scores = Scores(values)
            y = scores.of(values)
            expected = self._expected_of_bank(y[:, None])[:, :, 0]
            left = (np.broadcast_to(y, expected.shape) - expected) * self.spent
            found[name] = scores, expected.ravel(), left.ravel()
        return found

    def cuts(self, name: str) -> tuple[float, float]:
        """Return the shares of what is likely that lie below the low end of a result's range and below its high end.

        Eight tenths lie between. Where the log speaks for more than the tables' middle, less is cut off above than below:
        ranges that a log narrows little would else hardly ever hold a box in the outer tenths.
        """
        expected, at = self._regressed[name][1], self.expected_score(name)
        lean = float(np.clip(LEAN * at / max(1e-9, float(expected.std())), -MOST_LEAN, MOST_LEAN))
        tail = 0.5 * (1.0 - SHARE)
        return tail * (1.0 + lean), 1.0 - tail * (1.0 - lean)

    def after(self, name: str) -> tuple[float, float, float]:
        """Return (low, middle, high) of a result given the log, by the bank's members that would have been read alike."""
        return self.within(name, self.cuts(name))

    def within(self, name: str, cuts: tuple[float, float]) -> tuple[float, float, float]:
        """Likewise between two shares of what is likely."""
        scores, expected, left = self._regressed[name]
        return _near(self.expected_score(name), expected, left, scores, cuts)

    def expected_score(self, name: str) -> float:
        """Return where the log lets expect a result among the boxes of the tables, in standard normals: 0 in their middle."""
        scores = self._regressed[name][0]
        return float(self.expected(scores.of(self.results[name])[:, None])[0])

    def expected_width(self, name: str) -> float:
        """Return the width that is left of a result's range after such a log, on average over the bank, 1 for all of it."""
        return self._expected_widths[name]

    @cached_property
    def _expected_widths(self) -> dict[str, float]:
        found = {}
        for name, (scores, expected, left) in self._regressed.items():
            before = middle_range(self.results[name])
            places = np.quantile(expected, np.arange(0.05, 1.0, 0.1))
            widths = [np.subtract(*_near(float(at), expected, left, scores, CENTRAL)[::-2]) for at in places]
            was = before[2] - before[0]
            # what is the same in nearly all members is known without a log
            found[name] = float(np.mean(widths)) / was if was > 1e-9 * max(1.0, abs(before[1])) else 0.0
        return found

    def moved(self, members: int) -> np.ndarray:
        """Return z of the first members of the bank, moved by what was read, each with errors of its own."""
        slopes = self.coefficients(self.z)
        return self.z[:members] + (self.x - self._x[0, :members]) @ slopes

    # -- what speaks against it ---------------------------------------------------------------------------------------

    @cached_property
    def strangeness(self) -> float:
        """Sum of squares of the log along the leading directions, each over its expected spread (chi-square of `LEADING`)."""
        leading = self.read[: len(self.signal)][:LEADING]
        return float(np.sum(leading**2 / (1.0 + self.signal[:LEADING] ** 2)))

    @cached_property
    def _stray(self) -> np.ndarray:
        """How far logs move each z [standard deviations of z]."""
        slopes = self.coefficients(self.z)
        x = self._x.reshape(-1, self._x.shape[-1])
        cov = np.cov(x.T).reshape(x.shape[1], x.shape[1])
        return np.sqrt(np.maximum(1e-12, np.einsum("kj,kl,lj->j", slopes, cov, slopes)))

    @cached_property
    def pulls(self) -> np.ndarray:
        """How far each z is moved by the log, in standard deviations of how far logs move it; 0 where logs hardly do."""
        moved = (self.x - self._inverse[0]) @ self.coefficients(self.z)
        return np.where(self._stray > LEAST_STRAY, moved / self._stray, 0.0)

    def misfit(self, means: np.ndarray) -> float:
        """Mean squared whitened residual of block means: about 1 where the stated errors are right."""
        y = self.errors.blocks.y - self.errors.middle
        return float(np.mean((self.white(means) - self.white(y)) ** 2))

    @cached_property
    def expected_means(self) -> np.ndarray:
        """Block means expected after the log, from the bank alone."""
        return self.expected(self.means)


#: What hangs on bank and errors alone, whatever was read.
_OF_THE_BANK = ("_lower", "_cut", "_noisy", "_scores", "_x", "_inverse", "_regressed", "_stray", "_expected_widths")


def _near(
    at: float, expected: np.ndarray, left: np.ndarray, scores: Scores, cuts: tuple[float, float]
) -> tuple[float, float, float]:
    """(low, middle, high) of a result expected at the score `at`: as bank members expected near there scatter."""
    width = NEAR * max(1e-9, float(np.std(expected)))
    place = min(max(at, float(np.quantile(expected, 0.02))), float(np.quantile(expected, 0.98)))
    weights = np.exp(-0.5 * ((expected - place) / width) ** 2)
    return cut(scores.back(at + left), cuts, weights)


def cut(values: np.ndarray, cuts: tuple[float, float], weights: np.ndarray | None = None) -> tuple[float, float, float]:
    """Return (low, middle, high) of values at two shares of them, by weight where given."""
    weights = np.ones(len(values)) if weights is None else weights
    order = np.argsort(values, kind="stable")
    at = (np.cumsum(weights[order]) - 0.5 * weights[order]) / weights.sum()
    low, middle, high = np.interp([cuts[0], 0.5, cuts[1]], at, values[order])
    return float(low), float(middle), float(high)
