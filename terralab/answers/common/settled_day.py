"""One day of a box that has settled, hour by hour: its humidity and temperature, and how far they are sure.

The middle is the box as answers show it, averaged over its settled days, so its mean by day and by night is the one that an
answer says. The ends hold the central 80 % of the draws of everything uncertain at that hour.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from terralab.simulation.record import Record
from terralab.uncertainty import middle_range
from terralab.units import DAY_S

HOURS = tuple(hour + 0.5 for hour in range(24))  # the middle of each hour of the day
#: what is kept of each draw -> its name among the results of a sample
BY_HOUR = {"rh": "rh by hour", "temperature_c": "C by hour"}


def hourly(record: Record, values: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """The mean of a series of `record` in each hour of the day, over `rows`, which are whole days.

    Of rows an hour apart it is the one at the hour's end: what is switched, is mostly switched at its beginning.
    """
    at = np.asarray(values, float)[rows]
    hour = (np.mod(record.times_s[rows] - 1.0, DAY_S) // 3600.0).astype(int)
    return np.bincount(hour, at, minlength=24) / np.bincount(hour, minlength=24)


def of_air(record: Record) -> dict[str, np.ndarray]:
    """The series that a settled day holds: humidity [%] as a hygrometer shows it, and temperature of the air [C]."""
    return {"rh": record.humidity_shown, "temperature_c": record.air_c}


def day_measures(rows: Callable[[Record], np.ndarray]) -> dict[str, Callable[[Record], np.ndarray]]:
    """What a sample measures of each draw so that `settled_day` can tell how sure each hour is."""
    return {
        name: lambda record, what=what: hourly(record, of_air(record)[what], rows(record))
        for what, name in BY_HOUR.items()
    }


def settled_day(record: Record, rows: np.ndarray, results: Mapping[str, np.ndarray]) -> dict[str, Any]:
    """The settled day as plain numbers: "hours" (the middle of each), and "rh" [%] and "temperature_c", each with "low",
    "middle" and "high" hour by hour. `results`: what the draws gave by `day_measures`.
    """
    out: dict[str, Any] = {"hours": list(HOURS)}
    for what, values in of_air(record).items():
        middle = hourly(record, values, rows)
        ends = np.array([middle_range(at) for at in results[BY_HOUR[what]].T])
        low, high = np.minimum(ends[:, 0], middle), np.maximum(ends[:, 2], middle)
        out[what] = {"low": _tenths(low), "middle": _tenths(middle), "high": _tenths(high)}
    return out


def _tenths(values: Sequence[float]) -> list[float]:
    return [round(float(value), 1) for value in values]
