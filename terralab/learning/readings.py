"""The readings of a log on the hours of a run: one channel a sensor and quantity, each hour the mean of what was read in it.

The hour h is the one that ends h hours after the midnight of the first day, as rows of a record mean what moved before them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from terralab.errors import TerralabError
from terralab.logs.log import ROOM, Log, SensorLog, hours_since

TEMPERATURE, HUMIDITY = "temperature", "humidity"
LEAST_DAYS = 2.0  # the first day is a warm-up, and one day at least has to be left
LEAST_SHARE = 0.25  # of an hour must have been read for the hour to count, where a log has many rows an hour
WARM_UP_H = 24  # h: begun in balance with one day, soil and glass take another to follow the room
LONG_GAP_H = 3.0  # over a longer gap in the room's log nobody knows what the box saw


@dataclass(frozen=True, eq=False)
class Channel:
    """What one sensor read of one quantity, hour by hour: `values` (NaN: nothing), `at_least` where it was that or more."""

    place: str
    quantity: str
    values: np.ndarray
    at_least: np.ndarray

    @property
    def name(self) -> str:
        """Place and quantity in one text."""
        return f"{self.place} {self.quantity}"


@dataclass(frozen=True, eq=False)
class Window:
    """The time a log covers, in whole hours since the midnight of `first_day`: from `begins` to `ends`."""

    first_day: date
    begins: int
    ends: int

    @property
    def hours(self) -> np.ndarray:
        """The hours that end in it."""
        return np.arange(self.begins + 1, self.ends + 1)

    @property
    def days(self) -> float:
        """How long it is, in days."""
        return (self.ends - self.begins) / 24.0

    def hour_of(self, when: np.datetime64) -> float:
        """Return hours since the midnight of the first day."""
        return float(hours_since(self.first_day, when))


def window_of(log: Log, room: Log | None, until: np.datetime64 | None = None) -> Window:
    """Return the whole hours that the box's log and the room's share; raises TerralabError for fewer than two days."""
    logs = [log] if room is None else [log, room]
    begins, ends = max(one.times[0] for one in logs), min(one.times[-1] for one in logs)
    if until is not None:
        ends = min(ends, np.datetime64(until, "s"))
    first = begins.astype("datetime64[D]").item()
    at = [float(hours_since(first, when)) for when in (begins, ends)]
    found = Window(first, int(np.ceil(at[0] - 1e-6)), int(np.floor(at[1] + 1e-6)))
    if found.days < LEAST_DAYS:
        need = f"at least {LEAST_DAYS:g} days of 24 whole hours are needed to learn from, since the first day only lets the box settle."
        if len(logs) == 1 or found.days > 0.0:
            what = "The log holds" if len(logs) == 1 else "The logs of box and room share"
            raise TerralabError(
                f"{what} {24.0 * max(0.0, found.days):.0f} whole hours; {need} Log on for a week or two."
            )
        spans = [
            " to ".join(f"{when.astype('datetime64[m]').item():%Y-%m-%d %H:%M}" for when in one.times[[0, -1]])
            for one in logs
        ]
        raise TerralabError(
            f"The logs share no day: the box's holds {spans[0]}, the room's {spans[1]}; {need} Look whether the files belong "
            "together, and whether day and month were read in the right order."
        )
    return found


def channels_of(log: Log, window: Window) -> tuple[Channel, ...]:
    """Return the channels of the sensors in the box, on `window.hours`; those that read nothing there are left out."""
    found = []
    hours = hours_since(window.first_day, log.times)
    for place in (place for place in log.sensors if place != ROOM):
        sensor = log.sensors[place]
        for quantity, rows in ((TEMPERATURE, sensor.temperature_c), (HUMIDITY, sensor.humidity)):
            if rows is None:
                continue
            values = hourly(hours, rows, window)
            flags = sensor.at_least if quantity == HUMIDITY else None
            share = (
                np.zeros(len(values))
                if flags is None
                else hourly(hours, np.where(np.isfinite(rows), flags, np.nan), window)
            )
            if np.isfinite(values).any():
                found.append(Channel(place, quantity, values, np.nan_to_num(share) > 0.0))
    if not found:
        raise TerralabError(
            "The log holds no readings from inside the box. Name the column of the sensor in the box, such as "
            'sensors={"box": "..."}.'
        )
    return tuple(found)


def hourly(hours: np.ndarray, rows: np.ndarray, window: Window) -> np.ndarray:
    """Return the mean of `rows`, read at `hours`, in each hour of the window; NaN where too little was read.

    Where a log has fewer rows than hours, straight lines between rows up to `LONG_GAP_H` apart stand for what is between.
    """
    good = np.isfinite(rows)
    hours, rows = hours[good], np.asarray(rows, float)[good]
    n = window.ends - window.begins
    if len(hours) < 2:
        return np.full(n, np.nan)
    every = float(np.median(np.diff(hours)))
    if every > 0.5:
        middle = window.hours - 0.5
        after = np.clip(np.searchsorted(hours, middle), 1, len(hours) - 1)
        near = (
            (hours[after] - hours[after - 1] <= max(LONG_GAP_H, 1.5 * every))
            & (middle >= hours[0] - every)
            & (middle <= hours[-1] + every)
        )
        return np.where(near, np.interp(middle, hours, rows), np.nan)
    # an hour's own rows end with the one on the full hour
    place = np.ceil(hours - 1e-6).astype(int) - window.begins - 1
    inside = (place >= 0) & (place < n)
    sums = np.bincount(place[inside], rows[inside], n)
    counts = np.bincount(place[inside], minlength=n)
    enough = counts >= max(1.0, LEAST_SHARE / every)
    return np.where(enough, sums / np.maximum(counts, 1), np.nan)


def gaps(log: Log, window: Window, sensor: SensorLog) -> np.ndarray:
    """Return the hours of the window in, or within `LONG_GAP_H` after, a long gap in what `sensor` read."""
    good = np.isfinite(sensor.temperature_c) & np.isfinite(sensor.humidity)
    hours = hours_since(window.first_day, log.times)[good]
    lost = np.zeros(window.ends - window.begins, bool)
    for k in np.flatnonzero(np.diff(hours) > LONG_GAP_H):
        lost |= (window.hours > hours[k]) & (window.hours - 1 < hours[k + 1] + LONG_GAP_H)
    return lost
