"""How far what was computed lies from what was read: sensor by sensor, by hour of the day, and on days the fit never saw."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from terralab.learning.fit import Course, Fit
from terralab.learning.readings import HUMIDITY, TEMPERATURE
from terralab.logs.log import ROOM

#: How a difference of a quantity is said.
UNIT_OF = {HUMIDITY: "points", TEMPERATURE: "K"}
BLOCK_H = 3
WHICH = ("before", "after", "held_out")


@dataclass(frozen=True)
class Missed:
    """Over some hours of one sensor: root mean square and mean of measured less computed, and the share within the band."""

    rms: float
    mean: float
    within: float
    hours: int


def missed(course: Course, which: str = "after", hours: np.ndarray | None = None) -> Missed:
    """How far the middle of `which` ("before", "after", "held_out") lies from what the sensor read; `hours`: flags, None for all.

    A reading that is a lower bound counts as within where the band reaches above it.
    """
    gap = course.residual(which)
    low, _, high = getattr(course, which)
    seen = np.isfinite(gap) if hours is None else np.isfinite(gap) & hours
    if not seen.any():
        return Missed(float("nan"), float("nan"), float("nan"), 0)
    inside = (course.measured >= low) & (course.measured <= high)
    inside |= course.at_least & (high >= course.measured)
    return Missed(course.missed(which, seen), float(gap[seen].mean()), float(inside[seen].mean()), int(seen.sum()))


def of_quantity(fit: Fit, quantity: str) -> tuple[Course, ...]:
    """The sensors of the box that read this quantity, in the order of the fit."""
    return tuple(one for one in fit.courses if one.quantity == quantity and one.place != ROOM)


def together(fit: Fit, quantity: str, which: str = "after") -> Missed:
    """The same over all sensors of the box that read this quantity."""
    found = [one for course in of_quantity(fit, quantity) if (one := missed(course, which)).hours]
    if not found:
        return Missed(float("nan"), float("nan"), float("nan"), 0)
    hours = np.array([one.hours for one in found], float)
    mean = lambda values: float(np.average(list(values), weights=hours))  # noqa: E731
    return Missed(
        float(np.sqrt(mean(one.rms**2 for one in found))),
        mean(one.mean for one in found),
        mean(one.within for one in found),
        int(hours.sum()),
    )


def by_clock(fit: Fit, course: Course, which: str = "after") -> tuple[tuple[int, Missed], ...]:
    """How far it misses in each three hours of the clock: (the hour at which they begin, what is missed)."""
    clock = np.mod(fit.hours, 24.0)
    return tuple(
        (begin, missed(course, which, (clock >= begin) & (clock < begin + BLOCK_H))) for begin in range(0, 24, BLOCK_H)
    )


def worst(fit: Fit, courses: Iterable[Course]) -> tuple[Course, int, Missed] | None:
    """The sensor and the three hours of the clock in which the mean lies furthest off; None where nothing was read."""
    found = [(course, begin, one) for course in courses for begin, one in by_clock(fit, course) if one.hours]
    return max(found, key=lambda each: abs(each[2].mean), default=None)
