"""Logs that tests make of runs: an invented room, a run of an invented box in it, and what a hygrometer would have written."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np

import terralab as tl
from terralab.describe.box import Box
from terralab.errors import TerralabWarning
from terralab.learning.logged_box import logged_box
from terralab.learning.readings import window_of
from terralab.learning.unknowns import unknowns_of
from terralab.logs.diary import Diary
from terralab.logs.log import BOX, ROOM, Log, SensorLog
from terralab.simulation.record import Record
from terralab.simulation.simulate import run_job

FIRST = "2026-08-03T00:00:00"


def demo(name: str = "fern-hollow") -> Box:
    """One of the invented boxes that terralab ships."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.load(next(path for path in tl.demos() if name in str(path)))


def times_of(days: float, every_min: float = 15.0, first: str = FIRST) -> np.ndarray:
    """Times of the rows of a log."""
    minutes = np.arange(0.0, days * 1440.0 + 1e-6, every_min)
    return np.datetime64(first, "s") + (60.0 * minutes).astype(int).astype("timedelta64[s]")


def room_of_days(days: float, every_min: float = 15.0, seed: int = 1, first: str = FIRST) -> Log:
    """An invented room: warm afternoons, dry heating now and then."""
    chance = np.random.default_rng(seed)
    times = times_of(days, every_min, first)
    hours = np.arange(len(times)) * every_min / 60.0
    phase = chance.uniform(0.0, 2.0 * np.pi, 3)
    day = np.cos(2.0 * np.pi * (hours - 16.0) / 24.0)
    weather = np.sin(2.0 * np.pi * hours / 61.0 + phase[0]) + 0.5 * np.sin(2.0 * np.pi * hours / 37.0 + phase[1])
    return Log(times, {ROOM: SensorLog(20.0 + 1.5 * day + 0.5 * weather, 48.0 - 4.0 * day + 4.0 * weather)})


def log_of(record: Record, times: np.ndarray, seed: int = 1, kelvin: float = 0.0, points: float = 0.0) -> Log:
    """What a hygrometer would have written of a run: noise, an offset, and nothing above 99.9 %."""
    chance = np.random.default_rng(seed)
    hours = (times - times[0]) / np.timedelta64(1, "s") / 3600.0 + record.times_h[0]
    t = np.interp(hours, record.times_h, record.air_c) + kelvin + 0.1 * chance.normal(size=len(times))
    rh = np.interp(hours, record.times_h, record.humidity_shown) + points + 0.7 * chance.normal(size=len(times))
    rh = np.minimum(99.9, rh)
    return Log(times, {BOX: SensorLog(np.round(t, 1), np.round(rh, 1), rh >= 99.0)})


def true_box(
    box: Box, days: float, seed: int = 1, diary: Diary | None = None, **fixed: float
) -> tuple[Log, Log, Record, dict[str, float]]:
    """A log and its room, the run of the true box behind them, and the true values of its unknowns, drawn from their ranges."""
    room = room_of_days(days)
    logged = logged_box(box, room, room, diary, window_of(room, None))
    unknowns = unknowns_of(logged)
    z = np.random.default_rng(seed).normal(size=(1, unknowns.first(2, 1).shape[1]))
    values = dict(zip(unknowns.keys, map(float, unknowns.values(z)[0]), strict=True)) | fixed
    record = run_job(logged.job(values))
    return log_of(record, room.times, seed), room, record, values


def without(log: Log, rows: np.ndarray) -> Log:
    """The log without the rows flagged."""
    keep = ~rows
    cut = lambda x: None if x is None else x[keep]  # noqa: E731
    sensors = {
        place: SensorLog(*(cut(x) for x in (s.temperature_c, s.humidity, s.at_least)))
        for place, s in log.sensors.items()
    }
    return replace(log, times=log.times[keep], sensors=sensors)
