"""The day from which a log no longer goes with its box: a step in level, by day or by night, that chance hardly makes.

For every quarter of a day, and for changes that last one day, three days, or to the end, the step that fits best is found by
generalised least squares, with the covariance of everything that may stray in a sound log. The statistic of a step is the fall
in misfit that it brings (chi-square with as many degrees of freedom as it has numbers). The largest of all is held against
what sound logs give: drawn from that covariance, and made of each box drawn in turn as if it were the true one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from terralab.answers.normal.log_model import Model
from terralab.learning.errors import BLOCK_H
from terralab.learning.readings import HUMIDITY

LASTS_D = (1.0, 3.0, np.inf)  # how long a change may last
BEFORE_D, AFTER_D = 2.0, 0.75  # what has to be known before and after it
ALARMS_A_MONTH = (
    0.05  # in so many of months in which nothing changed something is found; a twentieth of what is allowed
)
SIMULATED = 600
TWINS = 3  # logs made of each box drawn
NEAR = 4.0  # a beginning whose statistic is no smaller than the best less this is possible too
LEAST = {HUMIDITY: 2.0}  # points; a smaller step in all parts is not worth a search
LEAST_K = 0.5
DAY_FROM_H, DAY_TO_H = 6, 18  # the two six-hour means that count as day


@dataclass(frozen=True)
class Step:
    """A candidate: from which hour to which (inf: the end)."""

    begins_h: float
    ends_h: float


@dataclass(frozen=True, eq=False)
class Change:
    """What was found: whether there was a change, its statistic beside the limit, when, and by how much.

    `begins_h`, `ends_h` as of `Step`; `earliest_h`, `latest_h`: between which it began. `size`: by channel and part (day, night),
    how much more was read than before [K or points]; `error`: its covariance. `shows_points`: the smallest lasting step of the
    humidity [points], day and night alike, that would show from the middle of the log on; NaN without a hygrometer.
    """

    is_one: bool
    statistic: float
    limit: float
    begins_h: float
    ends_h: float
    earliest_h: float
    latest_h: float
    size: np.ndarray
    error: np.ndarray
    shows_points: float = np.nan


@dataclass(frozen=True, eq=False)
class Search:
    """The steps that are looked at in one log, ready to be held against any residual."""

    model: Model
    members: np.ndarray
    steps: tuple[Step, ...]
    designs: np.ndarray

    @cached_property
    def covariance(self) -> np.ndarray:
        """Of the residuals of a sound log."""
        about = self.members - self.members.mean(axis=0)
        return self.model.errors + about.T @ about / max(1, len(about) - 1)

    @cached_property
    def _inverse(self) -> np.ndarray:
        return np.linalg.inv(self.covariance)

    @cached_property
    def _tools(self) -> np.ndarray:
        """For each step (parts x blocks) what gives the whitened sizes, whose squares add up to the statistic."""
        weighed = self._inverse @ self.designs
        gram = self.designs.transpose(0, 2, 1) @ weighed
        nothing = np.einsum("spp->sp", gram) == 0.0  # parts in which nothing was read
        gram = gram + np.eye(gram.shape[1]) * np.where(nothing, 1.0, 1e-9)[:, None, :]
        return np.linalg.solve(np.linalg.cholesky(gram), weighed.transpose(0, 2, 1))

    def statistics(self, residuals: np.ndarray) -> np.ndarray:
        """The statistic of every step (rows) for some residuals (logs x blocks)."""
        return ((self._tools @ np.atleast_2d(residuals).T) ** 2).sum(axis=1)

    def size(self, step: Step, residual: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The size of a step by channel and part, with its covariance; NaN for parts in which nothing was read."""
        s = design(self.model, step.begins_h, step.ends_h)
        held = s.any(axis=0)
        s = s[:, held]
        error = np.linalg.inv(s.T @ self._inverse @ s)
        size, whole = np.full(len(held), np.nan), np.full((len(held), len(held)), np.nan)
        size[held] = error @ (s.T @ self._inverse @ residual)
        whole[np.ix_(held, held)] = error
        return size, whole


def steps_of(model: Model) -> tuple[Step, ...]:
    """All candidates."""
    at = np.unique(model.blocks.at_h)
    first, last = at[0] + 24.0 * BEFORE_D, at[-1] + BLOCK_H - 24.0 * AFTER_D
    out = []
    for begins in at[(at >= first) & (at <= last)]:
        for days in LASTS_D:
            ends = begins + 24.0 * days
            if np.isinf(ends) or ends <= last:
                out.append(Step(float(begins), float(ends)))
    return tuple(out)


def design(model: Model, begins_h: float, ends_h: float) -> np.ndarray:
    """(blocks x parts), two parts a channel: day, then night."""
    blocks = model.blocks
    holds = (blocks.at_h >= begins_h - 1e-9) & (blocks.at_h < ends_h - 1e-9)
    clock = blocks.at_h % 24.0
    day = (clock >= DAY_FROM_H) & (clock < DAY_TO_H)
    out = np.zeros((blocks.size, 2 * len(model.channels)))
    for c in range(len(model.channels)):
        own = holds & (blocks.channel == c)
        out[own & day, 2 * c] = 1.0
        out[own & ~day, 2 * c + 1] = 1.0
    return out


def change_of(model: Model, limit: float | None = None) -> Change:
    """Look for the step that fits best, and say whether sound logs give as large a one; `limit`: what these pass seldom, if known."""
    steps = steps_of(model)
    designs = np.array([design(model, one.begins_h, one.ends_h) for one in steps])
    search = Search(model, model.means, steps, designs)
    residual = model.y - model.means.mean(axis=0)
    statistics = search.statistics(residual)[:, 0]
    best = int(np.argmax(statistics))
    step = search.steps[best]
    near = [
        one.begins_h for one, value in zip(search.steps, statistics, strict=True) if value >= statistics[best] - NEAR
    ]
    near = [begins for begins in near if abs(begins - step.begins_h) <= 72.0]
    size, error = search.size(step, residual)
    limit = limit_of(model, search) if limit is None else limit
    least = np.repeat([LEAST.get(one.quantity, LEAST_K) for one in model.channels], 2)
    large = bool(np.nanmax(np.abs(size) / least) >= 1.0)
    return Change(
        bool(statistics[best] > limit) and large, float(statistics[best]), limit, step.begins_h, step.ends_h,
        min(near), max(near), size, error, _shows_points(model, search, limit),
    )  # fmt: skip


def _shows_points(model: Model, search: Search, limit: float) -> float:
    """The smallest lasting step of the humidity that would show from the middle of the log on."""
    at = model.blocks.at_h
    middle = float(np.unique(at)[len(np.unique(at)) // 2])
    _, error = search.size(Step(middle, np.inf), np.zeros(model.blocks.size))
    own = [n for c, one in enumerate(model.channels) if one.quantity == HUMIDITY for n in (2 * c, 2 * c + 1)]
    held = [n for n in own if np.isfinite(error[n, n])]
    if not held:
        return np.nan
    return float(np.sqrt(limit / np.linalg.inv(error[np.ix_(held, held)]).sum()))


def limit_of(model: Model, search: Search) -> float:
    """The statistic that so few sound logs of this length pass as `ALARMS_A_MONTH` says."""
    share = min(0.5, ALARMS_A_MONTH * model.window.days / 30.0)
    rng = np.random.default_rng(29)
    lower = np.linalg.cholesky(search.covariance + 1e-9 * np.eye(model.blocks.size))
    drawn = rng.normal(size=(SIMULATED, model.blocks.size)) @ lower.T
    by_law = float(np.quantile(search.statistics(drawn).max(axis=0), 1.0 - share))
    errors = np.linalg.cholesky(model.errors + 1e-9 * np.eye(model.blocks.size))
    largest = []
    for i in range(len(model.means)):
        others = np.delete(model.means, i, axis=0)
        twins = model.means[i] - others.mean(axis=0) + rng.normal(size=(TWINS, model.blocks.size)) @ errors.T
        largest += list(Search(model, others, search.steps, search.designs).statistics(twins).max(axis=0))
    return max(by_law, float(np.quantile(largest, 1.0 - share)))
