"""Readings that a box may give, as a cloud of computed points with a sensor's errors about each: how likely is one, how usual?

A point is what one box drawn has at one time: (temperature [C], humidity [%]). About it lie the errors: the sensor's offset, and
what a model of any real box misses. As few boxes are drawn, each stands for its neighbours too: a kernel with the spread of the
cloud, which is drawn in by as much, so that the cloud as a whole keeps its mean and its spread.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from terralab.answers.normal.typed import Typed

T, RH = 0, 1
FULL = 98.5  # %: a hygrometer near saturation sticks, so a reading from here on says "at least"; common practice, no source
TOP_WIDE = 3.0  # points that such a reading stands for, to compare it with one below
DRAWN = 1500  # readings drawn to say how usual one is


@dataclass(frozen=True, eq=False)
class Cloud:
    """`points` (n, 2): temperature [C] and humidity [%]. `error`: standard deviations of a reading about them [K, points].
    `boxes`: how many boxes were drawn for them.
    """

    points: np.ndarray
    error: np.ndarray
    boxes: int

    @cached_property
    def _drawn(self) -> dict[tuple[bool, bool], np.ndarray]:
        """How likely readings drawn from it are, by what was read; filled as it is asked for."""
        return {}

    @cached_property
    def _kernel(self) -> tuple[np.ndarray, np.ndarray]:
        """Centres, and the covariance of a reading about each."""
        errors = np.diag(self.error**2)
        if self.boxes < 3:
            return self.points, errors
        h2 = self.boxes ** (-1.0 / 3.0)  # square of the width of Scott's rule in two dimensions
        middle = self.points.mean(axis=0)
        drawn_in = middle + np.sqrt(1.0 - h2) * (self.points - middle)
        return drawn_in, errors + h2 * np.cov(self.points.T)

    def density(self, readings: np.ndarray) -> np.ndarray:
        """How likely readings (m, 2) are, with NaN where one of the two was not read; a humidity near 100 % says "at least"."""
        from scipy.special import ndtr  # late: half a second to load

        centres, cov = self._kernel
        y = np.atleast_2d(readings)
        out = np.ones((len(y), len(centres)))
        var_t, var_rh, both = cov[T, T], cov[RH, RH], cov[T, RH]
        gap_t = y[:, None, T] - centres[None, :, T]
        known_t = ~np.isnan(y[:, T])
        out[known_t] *= (_normal(gap_t, var_t))[known_t]
        # humidity, once the temperature is known
        mean = np.where(
            known_t[:, None], centres[None, :, RH] + both / var_t * np.nan_to_num(gap_t), centres[None, :, RH]
        )
        var = np.where(known_t, var_rh - both**2 / var_t, var_rh)[:, None]
        full = y[:, RH] >= FULL
        below = ~np.isnan(y[:, RH]) & ~full
        out[below] *= _normal(y[:, None, RH] - mean, var)[below]
        out[full] *= (ndtr((mean - FULL) / np.sqrt(var)) / TOP_WIDE)[full]
        return out.mean(axis=1)

    def below(self, typed: Typed) -> tuple[float, float]:
        """The share of likely readings that lie below what was read: of temperature and of humidity, NaN where not read."""
        from scipy.special import ndtr

        centres, cov = self._kernel
        y = np.array([typed.temperature_c, typed.humidity])
        y[RH] = min(y[RH], 100.0)
        shares = ndtr((y - centres) / np.sqrt(np.diag(cov))).mean(axis=0)
        if typed.has_humidity and typed.humidity >= FULL:  # half of all that read as much lie below
            shares[RH] = 0.5 * (1.0 + ndtr((FULL - centres[:, RH]) / np.sqrt(cov[RH, RH])).mean())
        return float(shares[T]), float(shares[RH])

    def drawn(self, n: int, seed: int, what: tuple[bool, bool] = (True, True)) -> np.ndarray:
        """Likely readings (n, 2), seeded; NaN in the column that is not read."""
        rng = np.random.default_rng(seed)
        centres, cov = self._kernel
        out = centres[rng.integers(len(centres), size=n)] + rng.multivariate_normal(np.zeros(2), cov, size=n)
        out[:, RH] = np.clip(out[:, RH], 0.0, 100.0)
        out[:, ~np.array(what)] = np.nan
        return out

    def as_far_out(self, typed: Typed) -> float:
        """The share of likely readings that are no likelier than the one that was read: small where it is unusual."""
        what = (typed.has_temperature, typed.has_humidity)
        if what not in self._drawn:
            self._drawn[what] = self.density(self.drawn(DRAWN, 11, what))
        return float(np.mean(self._drawn[what] <= self.density(as_row(typed))[0] * (1.0 + 1e-9)))

    def span(self, share: float = 0.8) -> np.ndarray:
        """(low, middle, high) of likely readings of temperature and of humidity: 2 rows of the central `share`."""
        cut = 50.0 * (1.0 - share)
        return np.percentile(self.drawn(DRAWN, 12), [cut, 50.0, 100.0 - cut], axis=0).T

    def middle(self) -> tuple[float, float]:
        """The middle of its points: temperature and humidity."""
        return float(np.median(self.points[:, T])), float(np.median(self.points[:, RH]))


def as_row(typed: Typed) -> np.ndarray:
    """A reading as one row for `Cloud.density`."""
    return np.array([[typed.temperature_c, typed.humidity]])


def mistaken(one: Cloud, other: Cloud, what: tuple[bool, bool]) -> float:
    """How often a reading from `one` would be taken for one from `other`, were both as likely before: 0 never, 0.5 always."""
    readings = one.drawn(200, 13, what)
    own, its = one.density(readings), other.density(readings)
    return float(np.mean(its / np.maximum(own + its, 1e-300)))


def _normal(gap: np.ndarray, var: np.ndarray | float) -> np.ndarray:
    return np.exp(-0.5 * gap**2 / var) / np.sqrt(2.0 * np.pi * var)
