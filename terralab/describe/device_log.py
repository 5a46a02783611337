"""The log of a device: from each hour on it works at its load, until the next."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from terralab.describe.log_times import period_h, repeated
from terralab.errors import DescriptionError, quoted
from terralab.units import DAY_S, HOUR_S, as_float, is_number

MOST_ROWS = 100_000
LATEST_H = 24 * 366 * 10
MEAN_STEP_S = 900.0  # s: so finely a log is turned into its mean day
_NEEDS = "hours that rise from 0, and as many loads of 0 to 1"


def _refused(given: str, hint: str) -> DescriptionError:
    return DescriptionError.of("timer", given, _NEEDS, hint)


def _numbers(values: object, what: str) -> tuple[float, ...]:
    if (
        isinstance(values, (str, bytes, dict, set, frozenset))
        or not hasattr(values, "__iter__")
        or not hasattr(values, "__len__")
    ):
        raise _refused(f"given {quoted(values)} as {what}", "Give two lists of numbers.")
    if len(values) > MOST_ROWS:
        raise _refused(f"given {len(values)} {what}", f"Thin the log out to {MOST_ROWS} rows.")
    for one in values:
        if not is_number(one) or not abs(as_float(one)) < 1e9:
            raise _refused(f"given {quoted(one)} among the {what}", "Write plain numbers; on is 1, off is 0.")
    return tuple(float(one) for one in values)


def checked_log(hours: object, loads: object, repeat: object) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the hours and loads of a log as they may stand; raises DescriptionError for any others."""
    times, held = _numbers(hours, "hours"), _numbers(loads, "loads")
    if not isinstance(repeat, bool):
        raise _refused(f"given {quoted(repeat)} as repeat", "Write true or false.")
    if len(times) != len(held) or len(times) < 2:
        raise _refused(f"given {len(times)} hours and {len(held)} loads", "The last hour ends the log.")
    fallen = next((k for k in range(1, len(times)) if times[k] <= times[k - 1]), None)
    if fallen is not None or not 0.0 <= times[0] <= times[-1] <= LATEST_H:
        k = fallen or 0
        raise _refused(f"given the hour {times[k]:g}" + (f" after {times[k - 1]:g}" if k else ""), "Sort the rows.")
    if not all(0.0 <= load <= 1.0 for load in held):
        raise _refused(f"given a load of {next(x for x in held if not 0 <= x <= 1):g}", "100 % is a load of 1.")
    if repeat and not period_h(times):
        raise _refused(
            f"given a log of {times[-1] - times[0]:.3g} hours to repeat", "A log that is repeated takes a day at least."
        )
    return times, held


def steps_s(
    hours: Sequence[float], loads: Sequence[float], repeat: bool, end_s: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return the times [s] at which a load begins, and the loads, up to `end_s`; outside a log nothing runs."""
    if not repeat:
        times, held = np.asarray(hours, float), np.append(np.asarray(loads, float)[:-1], 0.0)
    else:
        # the last row only ends the log: what comes next begins there with the load of a whole number of days before
        period = period_h(hours)
        ends = np.asarray(hours, float)
        held = np.asarray(loads, float)
        back = ends[-1] - period
        if back >= ends[0]:
            held = np.append(held[:-1], held[int(np.searchsorted(ends, back + 1e-9, "right")) - 1])
        times, held = repeated(tuple(ends), tuple(held), end_s / HOUR_S)
    return HOUR_S * times, held


@lru_cache(maxsize=64)
def mean_day(hours: tuple[float, ...], loads: tuple[float, ...]) -> tuple[float, ...]:
    """Return the mean load in each step of the day, from midnight on, over the whole log; 0 where none was logged."""
    n = round(DAY_S / MEAN_STEP_S)
    edges = np.array(hours) * HOUR_S
    # the work done up to each time runs in straight lines, so that its differences are exact
    done = np.concatenate([[0.0], np.cumsum(np.array(loads)[:-1] * np.diff(edges))])
    steps = np.arange(np.floor(edges[0] / MEAN_STEP_S), np.ceil(edges[-1] / MEAN_STEP_S) + 1) * MEAN_STEP_S
    work = np.diff(np.interp(steps, edges, done))
    spans = np.diff(np.clip(steps, edges[0], edges[-1]))
    place = np.round(steps[:-1] / MEAN_STEP_S).astype(int) % n
    sums, lasts = np.bincount(place, work, n), np.bincount(place, spans, n)
    return tuple(float(x) for x in np.divide(sums, lasts, out=np.zeros(n), where=lasts > 0.0))
