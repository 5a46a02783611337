"""Does a log go with its description at all: its mean level by day and by night beside what boxes so described would have read.

A change is looked for against the middle of the boxes drawn. Where the whole log lies far outside of them all, it is another
box's, or the box is described wrongly, and a step in it says little. The gap of the means, whitened by the covariance of the boxes
drawn and of the errors of sensor and model, is held against Hotelling's T-square, since the boxes' covariance is itself known from
few. It is also held against the boxes drawn, each beside the others: none of them may be said not to go with its description.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.answers.normal.change import Change, design
from terralab.answers.normal.log_model import Model
from terralab.answers.normal.runs import OF_NORMAL
from terralab.learning.errors import BLOCK_H
from terralab.learning.readings import HUMIDITY

SELDOM = 0.001  # of sound logs, so few may be said not to go with their description
GOOD_POINTS, GOOD_K = 5.0, 1.5  # with less in all parts a description is good enough to look for a change (choices)


@dataclass(frozen=True, eq=False)
class Level:
    """How a log's level lies, before any change; arrays by channel and part (day, night), NaN where nothing was read.

    `goes`: whether it goes with the description. `gap`: how much more was read than by the middle of the boxes drawn [K or points];
    `read`: what was read; `likely`: (2 x parts) the central 80 % of what boxes so described, with the errors, would have read.
    `days`: how many count. `statistic` beside the `limit` that sound logs seldom pass.
    """

    goes: bool
    statistic: float
    limit: float
    gap: np.ndarray
    error: np.ndarray
    read: np.ndarray
    likely: np.ndarray
    days: float


def level_of(model: Model, change: Change) -> Level:
    """Hold the level of a log before its change, if it has one, against the boxes drawn."""
    at = model.blocks.at_h
    ends = change.begins_h if change.is_one else np.inf
    whole = design(model, float(at.min()), ends)
    held = whole.any(axis=0)
    share = whole[:, held] / whole[:, held].sum(axis=0)
    read, boxes, errors = model.y @ share, model.means @ share, share.T @ model.errors @ share
    n = len(boxes)
    statistic = _statistic(read, boxes, errors)
    gap = read - boxes.mean(axis=0)
    error = _whole(boxes, errors)
    limit = max(_limit(boxes, errors), max(_statistic(boxes[i], np.delete(boxes, i, axis=0), errors) for i in range(n)))
    least = np.repeat([GOOD_POINTS if one.quantity == HUMIDITY else GOOD_K for one in model.channels], 2)[held]
    goes = statistic <= limit or bool(np.all(np.abs(gap) < least))
    days = (min(ends, at.max() + BLOCK_H) - at.min()) / 24.0
    wide = 0.5 * OF_NORMAL * np.sqrt(np.diag(error))
    spread = np.array([boxes.mean(axis=0) - wide, boxes.mean(axis=0) + wide])
    humid = np.repeat([one.quantity == HUMIDITY for one in model.channels], 2)[held]
    spread[:, humid] = np.clip(spread[:, humid], 0.0, 100.0)
    full = lambda row: _filled(row, held)  # noqa: E731
    return Level(
        goes, statistic, limit, full(gap), full(np.sqrt(np.diag(error))), full(read), np.array([*map(full, spread)]), days
    )  # fmt: skip


def _covariance(boxes: np.ndarray) -> np.ndarray:
    """Of one more box about the mean of those drawn."""
    about = boxes - boxes.mean(axis=0)
    return (1.0 + 1.0 / len(boxes)) * about.T @ about / max(1, len(boxes) - 1)


def _whole(boxes: np.ndarray, errors: np.ndarray) -> np.ndarray:
    return errors + _covariance(boxes)


def _statistic(read: np.ndarray, boxes: np.ndarray, errors: np.ndarray) -> float:
    """Squared distance of one log's level from the boxes', whitened by all that may lie between them."""
    gap = read - boxes.mean(axis=0)
    return float(gap @ np.linalg.solve(_whole(boxes, errors), gap))


def _limit(boxes: np.ndarray, errors: np.ndarray) -> float:
    """What sound logs pass as `SELDOM` says: T-square (Hotelling, 1931) of p numbers.

    The errors' covariance is given, the boxes' is estimated: the freedoms of their sum follow from what is estimated of it (Nel and
    van der Merwe, 1986); with no errors they are those of the boxes drawn.
    """
    from scipy.stats import f  # late: half a second to load

    n, p = boxes.shape
    estimated = np.linalg.solve(_whole(boxes, errors), _covariance(boxes))
    told = np.trace(estimated @ estimated) + np.trace(estimated) ** 2
    freedoms = max(float(p), (n - 1) * (p + p**2) / max(told, 1e-9))
    left = freedoms - p + 1.0
    return float(freedoms * p / left * f.ppf(1.0 - SELDOM, p, left))


def _filled(row: np.ndarray, held: np.ndarray) -> np.ndarray:
    out = np.full(len(held), np.nan)
    out[held] = row
    return out
