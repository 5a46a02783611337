"""A log as it is once understood: air temperature and humidity at places in and around a box, and loads of devices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from terralab.folded import page, paragraph
from terralab.units import HOUR_S

#: Where a sensor may hang: the box as a whole, low or high in it, in its hide, or in the room.
BOX, LOW, HIGH, HIDE, ROOM = "box", "box low", "box high", "hide", "room"
PLACES = (BOX, LOW, HIGH, HIDE, ROOM)


@dataclass(frozen=True, eq=False)
class SensorLog:
    """What one sensor read, row by row of its `Log`: `temperature_c` [C] and `humidity` [% RH], NaN where nothing was read.

    Either is None where the sensor has none. `at_least`: True in rows whose humidity stuck at the top of the sensor's range,
    so that it was that or more.
    """

    temperature_c: np.ndarray | None
    humidity: np.ndarray | None
    at_least: np.ndarray | None = None


@dataclass(frozen=True, eq=False)
class Log:
    """One or more sensors over the same times.

    `times`: wall-clock times of the box, numpy datetime64[s], rising, each once, without jumps for summer time. `sensors` by
    place (of `PLACES`); `devices`: the load, 0 to 1 and NaN where unknown, that each device named as in the description did
    from each time on. `understood`: one paragraph on how the file was read. `missing_share`: rows that an even log would have
    had and this one lacks, 0 to 1.
    """

    times: np.ndarray
    sensors: Mapping[str, SensorLog]
    devices: Mapping[str, np.ndarray] = field(default_factory=dict)
    understood: str = ""
    missing_share: float = 0.0

    @property
    def first_day(self) -> date:
        """The day on which the log begins."""
        return self.times[0].astype("datetime64[D]").item()

    @property
    def hours(self) -> np.ndarray:
        """Hours of each row since the midnight of the first day."""
        return hours_since(self.first_day, self.times)

    @property
    def days(self) -> float:
        """How long the log is, in days."""
        return float(self.hours[-1] - self.hours[0]) / 24.0

    def _repr_html_(self) -> str:
        """Return what a notebook shows: how long it is, what it holds, and how the file was read."""
        lead = f"A log of {self.days:.1f} days from {self.first_day}: {', '.join([*self.sensors, *self.devices])}."
        return page(paragraph(lead, large=True), paragraph(self.understood))


def hours_since(first_day: date, times: np.ndarray) -> np.ndarray:
    """Return the hours from the midnight of a day to one time or many (datetime64)."""
    return (times - np.datetime64(first_day, "s")) / np.timedelta64(1, "s") / HOUR_S
