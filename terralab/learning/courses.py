"""What each sensor measured beside what members compute for it: before, after, and from a fit to the first part alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.learning.bank import Runs
from terralab.learning.case import Case
from terralab.learning.errors import BLOCK_H, Errors
from terralab.learning.fit import Course
from terralab.learning.readings import HUMIDITY, Channel
from terralab.learning.repeats import repeats_of
from terralab.learning.smoother import Scores, Smoother
from terralab.uncertainty.spread import SHARE, middle_range

FIRST_PART = 0.7  # of the six-hour means: what the held-out fit sees
REPEATS = 4  # errors drawn for each member
EDGES = (0.5 - 0.5 * SHARE, 0.5, 0.5 + 0.5 * SHARE)
LEAST_BLOCKS = 4  # that a held-out fit must see, and that must be left


def courses_of(
    case: Case, bank: Runs, moved: Runs, smoother: Smoother, residual: np.ndarray, offsets: np.ndarray
) -> tuple[Course, ...]:
    """Return the course of every channel over the hours shown.

    `residual`: log less what perfect sensors would have read in `moved` (members x blocks); `offsets`: of its sensors (members
    x channels).
    """
    chance = np.random.default_rng([smoother.seed, 2])
    channels, shown, hours = case.channels, case.shown, case.logged.window.hours
    held = held_out(channels, hours[shown], bank, shown, smoother, chance)
    errors = smoother.errors
    quarters = errors.repeating(residual.mean(axis=0))
    found = []
    for c, one in enumerate(channels):
        middle, error = errors.offset[c]
        before = band(bank.read[c][:, shown], middle + error * chance.normal(size=bank.size), errors, one, chance)
        after = band(moved.read[c][:, shown], offsets[:, c], errors, one, chance)
        found.append(
            Course(
                one.place,
                one.quantity,
                one.values[shown],
                one.at_least[shown],
                before,
                after,
                held[c],
                middle_range(offsets[:, c]),
                tuple(map(float, offsets[:, c])),
                tuple(map(float, repeats_of(quarters[c], hours[shown], missing(one, shown, after[1])))),
            )
        )
    return tuple(found)


def band(
    read: np.ndarray, offsets: np.ndarray, errors: Errors, channel: Channel, chance: np.random.Generator
) -> np.ndarray:
    """Return (3, hours): low, middle and high of likely readings, members with their offsets and all other errors."""
    likely = np.concatenate([read + offsets[:, None]] * REPEATS)
    low, middle, high = np.quantile(
        likely + errors.rest_sd(channel.quantity) * chance.normal(size=(len(likely), 1)), EDGES, axis=0
    )
    middle = np.median(read + offsets[:, None], axis=0)
    return within(np.array([low, middle, high]), channel)


def held_out(
    channels: Sequence[Channel],
    hours: np.ndarray,
    bank: Runs,
    shown: np.ndarray,
    smoother: Smoother,
    chance: np.random.Generator,
) -> list[np.ndarray]:
    """Return the band of each channel as the first part of the log alone foretells it: a regression on the bank, no new runs.

    Errors of the first part and of what comes after are drawn together, so that offsets and what repeats daily carry over.
    `hours` are those flagged in `shown`.
    """
    blocks, errors = smoother.errors.blocks, smoother.errors
    lines = [np.full((3, len(hours)), np.nan) for _ in channels]
    times = np.unique(blocks.at_h)
    cut = times[min(len(times) - 1, int(FIRST_PART * len(times)))]
    first = blocks.at_h < cut
    late = hours > cut
    if min(first.sum(), (~first).sum()) < LEAST_BLOCKS or not late.any():
        return lines
    part = Smoother(
        Errors(blocks.only(first), errors.offset, errors.model, errors.daily), smoother.means[:, first], bank.z, {}
    )
    lower = np.linalg.cholesky(errors.covariance + 1e-9 * np.eye(blocks.size))
    wrong = chance.normal(size=(REPEATS, bank.size, blocks.size)) @ lower.T
    noisy = np.array([part.seen(part.means + one[:, first]) for one in wrong])
    scores = [Scores(noisy[:, :, k].ravel()) for k in range(noisy.shape[2])]
    x = np.stack([one.of(noisy[:, :, k]) for k, one in enumerate(scores)], axis=-1).reshape(-1, len(scores))
    here = np.array([float(one.of(part.read[k])) for k, one in enumerate(scores)])
    about = x - x.mean(axis=0)
    inverse = np.linalg.pinv(about.T @ about, hermitian=True)
    for c, one in enumerate(channels):
        own = np.flatnonzero(blocks.channel == c)
        if not first[own].any():
            continue
        begins = (hours[late] - 1) // BLOCK_H * BLOCK_H
        near = own[np.argmin(np.abs(blocks.at_h[own][None, :] - begins[:, None]), axis=1)]
        # a salt test says by how much the sensor reads too high; what is drawn is only how far that may be off
        right = bank.read[c][None, :, shown][:, :, late] + errors.offset[c][0]
        read = (right + wrong[:, :, near]).reshape(len(x), -1)
        slopes = inverse @ (about.T @ (read - read.mean(axis=0)))
        middle = read.mean(axis=0) + (here - x.mean(axis=0)) @ slopes
        left = (read - read.mean(axis=0) - about @ slopes) * part.spent
        ends = np.quantile(left, EDGES, axis=0)
        lines[c][:, late] = within(middle + ends - ends[1], one)
    return lines


def missing(channel: Channel, shown: np.ndarray, middle: np.ndarray) -> np.ndarray:
    """Return what was read less the middle; nothing where that lies above what was read as "at least"."""
    gap = channel.values[shown] - middle
    return np.where(channel.at_least[shown] & (gap < 0.0), 0.0, gap)


def within(lines: np.ndarray, channel: Channel) -> np.ndarray:
    """Return lines of readings within what a sensor can show."""
    return np.clip(lines, 0.0, 100.0) if channel.quantity == HUMIDITY else lines
