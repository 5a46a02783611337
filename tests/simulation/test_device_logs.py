"""Timers that hang on others, of a season, or a log: what runs then is what was said, and the books close."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import terralab as tl
from terralab.describe import Signal
from terralab.describe.device_log import mean_day, steps_s
from terralab.describe.log_times import period_h, repeated
from terralab.errors import DescriptionError
from tests.simulation.test_resume import same_to_the_last_bit

H, DAY = 3600.0, 86_400.0
LOG = {"hours": [0, 8, 20, 32, 44, 48], "loads": [0, 1, 0.25, 1, 0, 0]}


@pytest.fixture(autouse=True)
def quietly():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        yield


def fern(**changes: object) -> tl.Box:
    """The fern box with one lamp of 20 W as its only source of heat."""
    bare = {"routine.heaters": [], "routine.fans": [], "routine.lamps.plant light.power": "20 W"}
    return tl.load("fern-hollow").change(**(bare | changes))


def joules(record: tl.Record, first_h: float, last_h: float) -> float:
    rows = (record.times_h > first_h + 1e-9) & (record.times_h <= last_h + 1e-9)
    return float(record.raw.amount("heat_devices")[rows].sum())


def test_a_lamp_gives_what_its_log_says_and_part_load_is_part_of_the_power() -> None:
    """Held against the same lamp on a clock: hour by hour the heat of a quarter load is a quarter of the heat."""
    record = tl.simulate(fern(**{"routine.lamps.plant light.timer": LOG}), 2)
    full = tl.simulate(fern(**{"routine.lamps.plant light.timer": ["always"]}), 2)
    hour = joules(full, 10, 11)
    for first, last, load in ((0, 8, 0.0), (8, 20, 1.0), (20, 32, 0.25), (32, 44, 1.0), (44, 48, 0.0)):
        assert joules(record, first, last) == pytest.approx(load * (last - first) * hour, rel=1e-9, abs=1e-6)
    assert record.closure_energy < 1e-10


def test_a_log_is_the_same_as_the_timer_that_it_writes_down() -> None:
    hours = [0, 7.5, 19.5, 31.5, 43.5, 48]
    logged = tl.simulate(fern(**{"routine.lamps.plant light.timer": {"hours": hours, "loads": [0, 1, 0, 1, 0, 0]}}), 2)
    clocked = tl.simulate(fern(), 2)
    # both begin in the balance of their first day, which is one and the same
    assert np.array_equal(logged.raw.water, clocked.raw.water)
    assert joules(logged, 0, 48) == pytest.approx(joules(clocked, 0, 48), rel=1e-9)


def test_a_repeated_log_goes_on_and_one_that_is_not_is_refused() -> None:
    once = fern(**{"routine.lamps.plant light.timer": LOG})
    with pytest.raises(DescriptionError, match=r"routine\.lamps\.plant light\.timer: given a log .*repeat = true"):
        tl.simulate(once, 3)
    again = tl.simulate(fern(**{"routine.lamps.plant light.timer": LOG | {"repeat": True}}), 6)
    for first in (0, 48):
        assert joules(again, first + 48, first + 96) == pytest.approx(joules(again, first, first + 48), rel=1e-9)


@pytest.mark.parametrize("row", [30, 97, 200])
def test_a_run_with_a_log_may_be_cut_anywhere(row) -> None:
    box = fern(**{"routine.lamps.plant light.timer": LOG | {"repeat": True}})
    whole, first = tl.simulate(box, 3), tl.simulate(box, row / 96)
    same_to_the_last_bit(whole, first, tl.simulate(box, 3 - row / 96, start=first))


def test_a_fan_hangs_on_the_lamp_and_follows_it_into_winter() -> None:
    fan = {
        "name": "fan",
        "mode": "exchange",
        "flow": "2 m3/h",
        "timer": ['from 1 h before "plant light" until 1 h after'],
    }
    box = fern(**{"routine.fans": [fan], "routine.lamps.plant light.timer_winter": ["10:00-16:00"]})
    for season, first, last in (("now", 6.5, 20.5), ("winter", 9.0, 17.0), ("summer", 6.5, 20.5)):
        record = tl.simulate(box, 1, season)
        runs = record.raw.amount("vapour_fan") != 0.0
        assert record.times_h[runs].min() == pytest.approx(first + 0.25)
        assert record.times_h[runs].max() == pytest.approx(last)
        assert record.box == box
    assert tl.loads(tl.dumps(box)) == box
    assert f"timer = ['{fan['timer'][0]}']" in tl.dumps(box)


def test_a_timer_of_a_season_is_that_of_a_box_described_so() -> None:
    box = fern(**{"routine.lamps.plant light.timer_summer": ["10:00-16:00"]})
    plain = fern(**{"routine.lamps.plant light.timer": ["10:00-16:00"]})
    assert np.array_equal(tl.simulate(box, 1, "summer").raw.water, tl.simulate(plain, 1, "summer").raw.water)
    assert np.array_equal(tl.simulate(box, 1).raw.water, tl.simulate(fern(), 1).raw.water)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"routine.lamps.plant light.timer": ['with "sun"']}, "the name of another device"),
        ({"routine.lamps.plant light.timer": ['with "plant light"']}, "waits for this one|another device"),
        ({"routine.lamps.plant light.timer_winter": ['with "plant lihgt"']}, "plant light|another device"),
        ({"room.sun": {"times": ['with "plant light"']}}, "The sun keeps its own"),
    ],
)
def test_what_cannot_hang_is_refused(changes, words) -> None:
    with pytest.raises(DescriptionError, match=words):
        fern(**changes)


LOGGED = st.lists(st.integers(1, 300), min_size=2, max_size=12, unique=True).map(sorted)


@given(steps=LOGGED, first=st.integers(0, 50), data=st.data())
def test_a_log_that_is_repeated_keeps_every_hour_of_the_clock(steps, first, data) -> None:
    """Beyond its end a log shows what it showed some whole days before, and within it what it shows."""
    hours = [first, *(first + step for step in steps)]
    if not (period := period_h(hours)):
        return
    values = data.draw(st.lists(st.integers(0, 9), min_size=len(hours), max_size=len(hours)))
    times, held = repeated(hours, values, 900.0)
    assert period % 24 == 0
    assert (np.diff(times) > 0.0).all()
    assert times[0] <= 0.0 or times[0] < 24
    assert times[-1] >= 900.0 or times[-1] > 900.0 - period
    inside = (times >= hours[0]) & (times <= hours[-1])
    assert times[inside].tolist() == hours
    later = times > hours[-1]
    at = dict(zip(times.tolist(), held.tolist(), strict=True))
    assert all(at[t] == at[t - period] for t in times[later].tolist())


@given(steps=LOGGED, data=st.data())
def test_the_mean_day_of_a_log_does_the_work_of_the_log(steps, data) -> None:
    hours = (0.0, *map(float, steps))
    loads = tuple(data.draw(st.lists(st.floats(0, 1), min_size=len(hours), max_size=len(hours))))
    whole = 24.0 * np.floor(hours[-1] / 24.0)
    if whole == hours[-1]:
        work = float(np.array(loads)[:-1] @ np.diff(hours))
        assert 0.25 * sum(mean_day(hours, loads)) * whole / 24.0 == pytest.approx(work, abs=1e-9)
    times, held = steps_s(hours, loads, False, hours[-1] * H)
    assert held[-1] == 0.0
    assert np.array_equal(times, np.array(hours) * H)


def test_an_hourly_log_of_a_fortnight_is_a_fortnight() -> None:
    """Rows 0 to 335: the hour from the last row to the end belongs to it, and the next fortnight begins at 336."""
    hours = list(range(336))
    signal = Signal.series(hours, [20.0 + (h % 24) / 10 + h // 24 for h in hours], repeat=True)
    assert signal.at(336 * H) == pytest.approx(20.0)
    assert signal.at(np.array([5.0, 341.0, 677.0]) * H) == pytest.approx(20.5)
    assert signal.at(335.5 * H) == pytest.approx(0.5 * (20.0 + 2.3 + 13 + 20.0))
