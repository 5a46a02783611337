"""The clock of a logger held against the lamps of a simulated box: noise, a slow sensor, and clocks that are off.

What is seen has to be there: a box without a visible lamp, or a log without its room, gives no number.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import terralab as tl
from terralab.describe.signal import Signal
from terralab.errors import TerralabError
from terralab.logs.clock_shift import clock_shift
from terralab.logs.joined import shifted
from terralab.logs.log import Log, SensorLog

DAYS, STEP_MIN = 6, 10
BOXES = {
    "a jar with a small lamp": lambda: tl.load("moss-jar"),
    "a box with a heater on a thermostat, vents and a fan": lambda: tl.load("fern-hollow").change(**{"routine.lamps.1.power": "80 W"}),
    "two lamps and a heater": lambda: tl.load("dry-ledge"),
    "a basking lamp on a thermostat beside": lambda: tl.load("tall-glen"),
    "the same without a lamp": lambda: _without_lamps(tl.load("fern-hollow")),
}  # fmt: skip
JAR, VENTED, DRY, BASKING, DARK = BOXES


def _without_lamps(box: tl.Box) -> tl.Box:
    table = box.write()
    del table["routine"]["lamps"]
    return tl.Box.read(table)


def restless_room() -> tuple[np.ndarray, np.ndarray]:
    """Hours and temperatures of an invented room: a daily swing, heating by a timer of its own, weather, and doors."""
    hours = np.arange(0, 24 * (DAYS + 1) + 0.01, STEP_MIN / 60)
    chance = np.random.default_rng(7)

    def wandering(spread: float, over_h: float) -> np.ndarray:
        keep = np.exp(-STEP_MIN / 60 / over_h)
        course, kicks = np.zeros(len(hours)), chance.normal(0, spread * np.sqrt(1 - keep**2), len(hours))
        for k in range(1, len(hours)):
            course[k] = keep * course[k - 1] + kicks[k]
        return course

    clock = hours % 24
    heating = np.where((clock > 6.3) & (clock < 22.5), 1.5 * (1 - np.exp(-np.maximum(clock - 6.3, 0))), 0.0)
    return hours, 20 + 1.5 * np.sin((clock - 15) / 24 * 2 * np.pi) + wandering(0.8, 48) + wandering(0.15, 0.5) + heating


@cache
def run(name: str) -> tuple[tl.Box, np.ndarray, np.ndarray, np.ndarray]:
    """The box as described, times [s], and temperatures of its upper air and of the room it stood in, after a day to settle."""
    box = BOXES[name]()
    hours, room = restless_room()
    now = replace(box.room.now, temperature=Signal.series(hours, room))
    stood = replace(box, room=replace(box.room, now=now))
    record = tl.simulate(stood, DAYS + 1, accuracy="preview", record_every_min=STEP_MIN, cells=20)
    later = record.times_h >= 24
    return box, 3600 * record.times_h[later], record.zone_c(record.zone_names[-1])[later], room[later]


def logged(
    name: str, ahead_min: float, lag_min: float = 8.0, noise: float = 0.1, seed: int = 0, room: bool = True
) -> Log:
    """What a hygrometer whose clock is `ahead_min` ahead, and that follows the air by `lag_min`, shows: to a tenth of a degree."""
    _, seconds, air, outside = run(name)
    chance = np.random.default_rng(seed)
    slow = air.copy()
    for k in range(1, len(air)):
        slow[k] += (slow[k - 1] - slow[k]) * np.exp(-STEP_MIN / lag_min)
    times = np.datetime64("2026-05-01", "s") + np.round(seconds + 60 * ahead_min).astype("timedelta64[s]")
    show = lambda values: SensorLog(np.round(values + chance.normal(0, noise, len(values)), 1), None)  # noqa: E731
    return Log(times, {"box": show(slow)} | ({"room": show(outside)} if room else {}))


@pytest.mark.parametrize("ahead", [-310, -60, 0, 25, 120])
@pytest.mark.parametrize("name", [JAR, VENTED, DRY])
def test_a_clock_that_is_off_is_found_within_what_is_said(name, ahead):
    found = clock_shift(logged(name, ahead, seed=abs(ahead)), run(name)[0])
    assert found.minutes == pytest.approx(ahead, abs=1.5 * found.plus_minus)
    assert found.plus_minus < 15
    assert ("agrees" in found.words) == (abs(found.minutes) <= found.plus_minus)
    assert not found.contradicts


def test_a_clock_set_right_is_right():
    log = logged(VENTED, 95)
    found = clock_shift(log, run(VENTED)[0])
    again = clock_shift(shifted(log, -found.minutes), run(VENTED)[0])
    assert abs(again.minutes) < 6


def test_a_box_without_a_lamp_has_no_clock():
    assert clock_shift(logged(DARK, 0), run(DARK)[0]).minutes is None
    # described with a lamp that does not burn
    unlit = clock_shift(logged(DARK, 0), run(VENTED)[0])
    assert unlit.minutes is None
    assert "no clear hour" in unlit.words


@pytest.mark.parametrize("ahead", [0, -75])
def test_another_heat_source_by_the_clock_is_no_lamp_of_other_hours(ahead):
    found = clock_shift(logged(BASKING, ahead, lag_min=15), run(BASKING)[0])
    assert not found.contradicts
    assert found.minutes is None or found.minutes == pytest.approx(ahead, abs=1.5 * found.plus_minus)


def test_noise_alone_has_no_clock():
    quiet = logged(JAR, 0)
    chance = np.random.default_rng(5)
    noise = Log(
        quiet.times, {place: SensorLog(chance.normal(22, 0.3, len(quiet.times)), None) for place in ("box", "room")}
    )
    assert clock_shift(noise, run(JAR)[0]).minutes is None


def test_without_the_room_no_number_is_given():
    """Its heating rises and falls by the clock, as a lamp does."""
    found = clock_shift(logged(JAR, 0, room=False), run(JAR)[0])
    assert found.minutes is None
    assert "log of the room" in found.words


@pytest.mark.parametrize("said", ["06:00-22:00", "10:00-14:00"])
def test_lamps_that_burn_at_other_hours_than_described_are_named(said):
    box = run(JAR)[0].change(**{"routine.lamps.1.timer": [said]})
    found = clock_shift(logged(JAR, 0), box)
    assert found.contradicts
    assert found.minutes is None
    on, off = (int(hour[:2]) + int(hour[3:]) / 60 for hour in found.seen)
    assert on == pytest.approx(8, abs=0.4)
    assert off == pytest.approx(18, abs=0.4)


def test_rows_far_apart_or_too_few_days_give_no_number():
    log = logged(JAR, 0)
    for rows in (slice(0, 200), slice(None, None, 6)):
        short = Log(
            log.times[rows], {place: SensorLog(one.temperature_c[rows], None) for place, one in log.sensors.items()}
        )
        assert clock_shift(short, run(JAR)[0]).minutes is None


def test_what_is_no_log_is_refused():
    with pytest.raises(TerralabError, match="read_log"):
        clock_shift("log.csv", run(JAR)[0])
    with pytest.raises(TerralabError, match="needs a box"):
        clock_shift(logged(JAR, 0), "moss-jar")
