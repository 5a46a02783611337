"""Rows in their order, each time once; humidity at the top of a sensor's range; sensors that froze.

From where on a reading counts as at its top, or as frozen, is a choice (G).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.units import DAY_S, HOUR_S

FULL = 99.0  # % RH: from here on most sensors read the same whatever the air holds
_LOWEST_TOP = 94.0  # % RH: a top of a sensor's range below that is not looked for
_TOP_S = 6 * HOUR_S  # so long a reading stays at the top at a stretch
_FROZEN_S, _FROZEN_COARSE_S = DAY_S, 2 * DAY_S
#: Humidity at one single reading for so long, while the temperature moves by kelvins, is no coarse step.
STUCK_S = 3 * DAY_S
#: K: in air that keeps its vapour that moves the humidity by a fifth of itself and more, many coarse steps.
_STUCK_K = 4.0
_STEADY = 85.0  # % RH: air over wet soil or moss, shut in, may keep such a humidity whatever the warmth does
_MOVED = {"temperature": 2.0, "humidity": 6.0}  # K and points: what others must have moved meanwhile
_LONE_GAP_S = 180 * DAY_S


@dataclass
class Order:
    """Rows to take, in their order, and what was dropped: rows without a time, twice the same, far from the rest."""

    rows: np.ndarray
    timeless: int = 0
    twice: int = 0
    unlike: int = 0
    far: int = 0
    unsorted: bool = False


def ordered(seconds: np.ndarray, readings: np.ndarray) -> Order:
    """Return the order of rows by time; of rows with one time the first that read most stands. `readings`: (rows, columns)."""
    known = np.flatnonzero(np.isfinite(seconds))
    out = Order(known, timeless=len(seconds) - len(known))
    if not len(known):
        return out
    out.unsorted = bool(np.any(np.diff(seconds[known]) < 0))
    held = np.isfinite(readings[known]).sum(axis=1)
    order = known[np.lexsort((-held, seconds[known]))]
    same = np.concatenate([[False], np.diff(seconds[order]) == 0.0])
    first = np.maximum.accumulate(np.where(same, 0, np.arange(len(order))))
    unlike = (
        np.any((readings[order] != readings[order[first]]) & np.isfinite(readings[order]), axis=1)
        if readings.size
        else same & False
    )
    out.twice, out.unlike = int(same.sum()), int((same & unlike).sum())
    order = order[~same]
    gaps = np.flatnonzero(np.diff(seconds[order]) > _LONE_GAP_S)
    if len(gaps):
        parts = np.split(order, gaps + 1)
        longest = max(parts, key=len)
        # a logger whose clock had lost the date
        if len(longest) >= 0.8 * len(order):
            out.far = len(order) - len(longest)
            order = longest
    out.rows = order
    return out


def usual_step(seconds: np.ndarray) -> float:
    """The usual time between rows [s]."""
    return float(np.median(np.diff(seconds)))


def missing_share(seconds: np.ndarray) -> float:
    """How many rows an even log would have had and this one lacks, 0 to 1."""
    steps = np.diff(seconds)
    usual = float(np.median(steps))
    even = np.abs(steps / usual - np.round(steps / usual)) < 0.1
    # a logger that writes where something changed has no rows to miss but those of its longest waits
    widest = usual if even.mean() > 0.9 else float(np.quantile(steps, 0.9))
    lacking = np.sum(np.round(steps[steps > 1.5 * widest] / widest) - 1.0)
    return float(lacking / (lacking + len(seconds)))


def at_the_top(seconds: np.ndarray, humidity: np.ndarray) -> tuple[np.ndarray, float]:
    """Return the rows whose humidity is a lower bound, and the reading from which on it is one (100 where none is)."""
    held = humidity[np.isfinite(humidity)]
    if not len(held):
        return np.zeros(len(humidity), bool), 100.0
    top = float(held.max())
    if top < FULL and top >= _LOWEST_TOP:
        levels = np.unique(held)
        at_top = int((held == top).sum())
        # a reading that comes and goes passes the next lower ones about as often
        next_lower = int((held == levels[-2]).sum()) if len(levels) > 1 else 0
        longest = max((seconds[b] - seconds[a] for a, b in runs(humidity) if humidity[a] == top), default=0.0)
        if longest >= _TOP_S and at_top >= 4 * next_lower:
            return humidity >= top, top
    return humidity >= FULL, FULL


def runs(values: np.ndarray) -> list[tuple[int, int]]:
    """Return first and last row of each stretch in which the reading stays the same, rows without a reading left aside."""
    rows = np.flatnonzero(np.isfinite(values))
    if not len(rows):
        return []
    change = np.flatnonzero(np.diff(values[rows]) != 0.0)
    first = np.concatenate([[0], change + 1])
    last = np.concatenate([change, [len(rows) - 1]])
    return [(int(rows[a]), int(rows[b])) for a, b in zip(first, last, strict=True)]


def frozen(
    seconds: np.ndarray, columns: dict[tuple[str, str], np.ndarray], at_least: dict[str, np.ndarray]
) -> list[tuple[str, str, int, int, bool]]:
    """Return stretches in which one column stayed the same while another moved: place, quantity, first and last row, and whether fine.

    Fine: it is no air's doing, since the sensor reads in small steps and stood for a day, or its humidity stood for days at one
    reading while a temperature moved by many kelvin, which no step is coarse enough for.
    """
    out = []
    for (place, quantity), values in columns.items():
        held = np.unique(values[np.isfinite(values)])
        fine = len(held) > 2 and float(np.median(np.diff(held))) < (0.3 if quantity == "temperature" else 0.6)
        for a, b in runs(values):
            if seconds[b] - seconds[a] < (_FROZEN_S if fine else _FROZEN_COARSE_S):
                continue
            if quantity == "humidity" and at_least[place][a]:
                continue
            moved = any(
                np.isfinite(other[a : b + 1]).any()
                and float(np.nanmax(other[a : b + 1]) - np.nanmin(other[a : b + 1])) >= _MOVED[kind]
                for (where, kind), other in columns.items()
                if (where, kind) != (place, quantity)
            )
            if moved:
                stuck = quantity == "humidity" and values[a] < _STEADY and _warmth_moved(seconds, columns, place, a, b)
                out.append((place, quantity, a, b, fine or stuck))
    return out


def _warmth_moved(
    seconds: np.ndarray, columns: dict[tuple[str, str], np.ndarray], place: str, first: int, last: int
) -> bool:
    """Whether the temperature at a place (or where it has none, at any) moved by kelvins over days between two rows."""
    if seconds[last] - seconds[first] < STUCK_S:
        return False
    own = [columns[place, "temperature"]] if (place, "temperature") in columns else []
    each = own or [values for (_, kind), values in columns.items() if kind == "temperature"]
    held = [one[first : last + 1][np.isfinite(one[first : last + 1])] for one in each]
    return any(len(one) > 0 and float(np.ptp(one)) >= _STUCK_K for one in held)
