"""How far a log and a right model of its box lie apart: the errors that decide how much a log may claim.

Six-hour means, of which each sensor's errors are: an offset; an error that repeats every day, since the same sun, lamp and
law are wrong at the same hour again; one that fades over a day; and one of each mean alone. Twins showed that the second
part decides whether stated ranges hold: without it they hold the truth in half of the cases that they claim.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from terralab.learning.readings import HUMIDITY, TEMPERATURE, Channel

BLOCK_H = 6  # h: an hour's detail (a spray, a thermostat, a sensor's lag of ten minutes) is not trusted
LEAST_HOURS = 3  # of a block that must have been read
#: Standard deviations by quantity [K, % RH]; choices of a study of twins, near what two good sensors side by side differ
#: by (0.43 K and 2.1 points).
OFFSET = {TEMPERATURE: 0.5, HUMIDITY: 3.0}  # of one sensor, for as long as the log lasts
DAILY = {TEMPERATURE: 0.3, HUMIDITY: 2.0}  # repeats every day
FADING = {TEMPERATURE: 0.2, HUMIDITY: 1.5}  # fades in `FADES_H`
OWN = {TEMPERATURE: 0.15, HUMIDITY: 1.0}  # of one mean alone
DAILY_H = 8.0  # h of the clock over which the daily error stays alike: a morning, an afternoon, a night
FADES_H = 24.0  # h: weather and work about a box last about a day
SLOTS = (0.0, 6.0, 12.0, 18.0)  # h: where the blocks of a day begin
SHARED = 0.7  # correlation of the daily and fading errors of two sensors in one box: the model errs for both


@dataclass(frozen=True, eq=False)
class Blocks:
    """The six-hour means of a log that count, of all channels one after the other.

    `channel`: to which of the channels each belongs; `at_h`: the hour at which its block begins; `weights`: for each channel
    (blocks x hours), what turns hours into means; `y`: the means that were read.
    """

    channels: tuple[Channel, ...]
    channel: np.ndarray
    at_h: np.ndarray
    share: np.ndarray
    weights: tuple[np.ndarray, ...]
    y: np.ndarray

    @property
    def size(self) -> int:
        """How many means there are."""
        return len(self.y)

    def means(self, read: Sequence[np.ndarray]) -> np.ndarray:
        """Return the means (members x blocks) of what perfect sensors would have read (a member x hour array a channel).

        Where the log only says "at least", a member counts as far as it reaches: above that it agrees with the log.
        """
        parts = []
        for one, rows, weights in zip(self.channels, read, self.weights, strict=True):
            held = np.where(one.at_least, np.minimum(rows, np.nan_to_num(one.values)), rows)
            parts.append(held @ weights.T)
        return np.concatenate(parts, axis=1)

    def only(self, these: np.ndarray) -> Blocks:
        """Return some of the blocks, by flags."""
        weights = tuple(rows[these[self.channel == c]] for c, rows in enumerate(self.weights))
        return Blocks(self.channels, self.channel[these], self.at_h[these], self.share[these], weights, self.y[these])


def blocks_of(channels: Sequence[Channel], hours: np.ndarray, counts: np.ndarray) -> Blocks:
    """Return the blocks of channels on `hours`, of the hours flagged in `counts`; those with too few readings are left out."""
    block = (hours - 1) // BLOCK_H
    channel, at, share, weights, y = [], [], [], [], []
    for c, one in enumerate(channels):
        good = np.isfinite(one.values) & counts
        rows = []
        for k in np.unique(block[good]):
            these = good & (block == k)
            if these.sum() < LEAST_HOURS:
                continue
            rows.append(these / these.sum())
            channel.append(c)
            at.append(k * BLOCK_H)
            share.append(these.sum() / BLOCK_H)
            y.append(float(one.values[these].mean()))
        weights.append(np.array(rows).reshape(len(rows), len(hours)))
    whole = lambda held, kind: np.array(held, kind)  # noqa: E731
    return Blocks(
        tuple(channels), whole(channel, int), whole(at, float), whole(share, float), tuple(weights), whole(y, float)
    )


@dataclass(frozen=True, eq=False)
class Errors:
    """The covariance of the errors of some blocks.

    `offset`: (middle, standard deviation) of each channel's offset, what it reads too high; usual ones have the middle 0.
    """

    blocks: Blocks
    offset: tuple[tuple[float, float], ...]
    model: float = 1.0  # factor on all but the offsets, widened where a model fits badly
    daily: float = 1.0  # factor on what repeats daily; 0 only to show what it is for

    @property
    def covariance(self) -> np.ndarray:
        """Covariance (blocks x blocks)."""
        return self.between(self.blocks)

    def between(self, others: Blocks) -> np.ndarray:
        """Covariance of the errors of `others` (rows) with those of the own blocks (columns), of the same channels."""
        mine, theirs = self.blocks, others
        lag = np.abs(theirs.at_h[:, None] - mine.at_h[None, :])
        clock = np.minimum(lag % 24.0, 24.0 - lag % 24.0)
        quantity = np.array([one.quantity for one in mine.channels])
        a, b = theirs.channel[:, None], mine.channel[None, :]
        same = a == b
        alike = np.where(same, 1.0, np.where(quantity[a] == quantity[b], SHARED, 0.0))
        sd = lambda table: np.array([table[q] for q in quantity])[mine.channel][None, :]  # noqa: E731
        moved = alike * (
            (self.daily * sd(DAILY)) ** 2 * np.exp(-clock / DAILY_H) + sd(FADING) ** 2 * np.exp(-lag / FADES_H)
        )
        own = np.where(same & (lag == 0.0), sd(OWN) ** 2 / np.maximum(mine.share[None, :], 1e-9), 0.0)
        fixed = np.array([error for _, error in self.offset])[mine.channel][None, :]
        return np.where(same, fixed**2, 0.0) + self.model**2 * (moved + own)

    @property
    def middle(self) -> np.ndarray:
        """The expected error of each block: the middle of its sensor's offset."""
        return np.array([middle for middle, _ in self.offset])[self.blocks.channel]

    def rest_sd(self, quantity: str) -> float:
        """Standard deviation of one mean's error beside its offset [K, % RH]."""
        return self.model * float(
            np.sqrt((self.daily * DAILY[quantity]) ** 2 + FADING[quantity] ** 2 + OWN[quantity] ** 2)
        )

    def offsets(self, residual: np.ndarray, chance: np.random.Generator) -> np.ndarray:
        """Return offsets (members x channels) drawn given `residual`, log less what perfect sensors would have read (members x blocks)."""
        c = len(self.offset)
        of = np.zeros((c, self.blocks.size))
        for k, (_, error) in enumerate(self.offset):
            of[k, self.blocks.channel == k] = error**2
        gain = np.linalg.solve(self.covariance, of.T).T
        left = np.diag([error**2 for _, error in self.offset]) - gain @ of.T
        low = np.linalg.cholesky(0.5 * (left + left.T) + 1e-12 * np.eye(c))
        middle = np.array([m for m, _ in self.offset])
        return middle + (residual - self.middle) @ gain.T + chance.normal(size=(len(residual), c)) @ low.T

    def repeating(self, residual: np.ndarray) -> np.ndarray:
        """Return (channels x `SLOTS`): what of a mean residual (blocks) comes again each day, beside the offset."""
        of = np.zeros((len(self.offset), len(SLOTS), self.blocks.size))
        quantity = [one.quantity for one in self.blocks.channels]
        for c, mine in enumerate(quantity):
            alike = np.array([1.0 if k == c else SHARED if quantity[k] == mine else 0.0 for k in self.blocks.channel])
            for s, hour in enumerate(SLOTS):
                lag = np.abs(self.blocks.at_h - hour) % 24.0
                clock = np.minimum(lag, 24.0 - lag)
                of[c, s] = alike * (self.model * self.daily * DAILY[mine]) ** 2 * np.exp(-clock / DAILY_H)
        return of @ np.linalg.solve(self.covariance, residual - self.middle)
