"""Several logs as one, and a log moved by its clock: nothing is made up between readings that lie far apart."""

from __future__ import annotations

import numpy as np
import pytest

from terralab.errors import TerralabError
from terralab.logs.joined import joined, shifted
from terralab.logs.log import Log, SensorLog


def log(
    place: str, first_min: float, rows: int, step_min: float, *, slope: float = 1.0, devices: dict | None = None
) -> Log:
    """A log whose temperature is `slope` for each hour since the midnight of 1 May, and its humidity 50 more."""
    minutes = first_min + step_min * np.arange(rows)
    times = np.datetime64("2026-05-01", "s") + np.round(60 * minutes).astype("timedelta64[s]")
    course = slope * minutes / 60
    return Log(times, {place: SensorLog(course, 50 + course, course > 100)}, devices or {}, f"The {place}.")


def test_rows_of_the_box_stand_and_the_room_is_taken_at_their_times():
    whole = joined(log("room", 0, 200, 7), log("box", 3, 100, 10))
    box = log("box", 3, 100, 10)
    inside = (whole.times >= box.times[0]) & (whole.times <= box.times[-1])
    np.testing.assert_array_equal(whole.times[inside], box.times)
    np.testing.assert_allclose(whole.sensors["room"].temperature_c[inside], box.sensors["box"].temperature_c)
    assert whole.times[0] == np.datetime64("2026-05-01T00:00")
    assert whole.times[-1] == np.datetime64("2026-05-01T23:13")
    assert np.isnan(whole.sensors["box"].temperature_c[~inside]).all()
    assert "The box." in whole.understood


def test_the_order_of_the_logs_does_not_matter():
    one, other = (
        joined(*pair)
        for pair in ((log("room", 0, 90, 7), log("box", 3, 100, 10)), (log("box", 3, 100, 10), log("room", 0, 90, 7)))
    )
    np.testing.assert_array_equal(one.times, other.times)
    np.testing.assert_array_equal(one.sensors["room"].humidity, other.sensors["room"].humidity)


def test_a_gap_stays_a_gap():
    room = log("room", 0, 100, 10)
    keep = (np.arange(100) < 40) | (np.arange(100) > 60)
    sensor = room.sensors["room"]
    holed = Log(
        room.times[keep], {"room": SensorLog(sensor.temperature_c[keep], sensor.humidity[keep], sensor.at_least[keep])}
    )
    whole = joined(log("box", 5, 99, 10), holed)
    held = whole.sensors["room"].temperature_c
    inside = (whole.times > room.times[39]) & (whole.times < room.times[61])
    assert np.isnan(held[inside]).all()
    assert np.isfinite(held[~inside]).mean() > 0.95


def test_between_a_reading_and_a_lower_bound_lies_a_lower_bound():
    whole = joined(log("box", 5, 200, 60, slope=0), log("room", 0, 200, 60))
    flags, held = whole.sensors["room"].at_least, whole.sensors["room"].temperature_c
    assert flags[np.nan_to_num(held) > 100].all()
    assert not flags[np.nan_to_num(held) < 99].any()


def test_a_log_that_goes_on_from_another_is_put_behind_it():
    whole = joined(log("box", 1000, 50, 10), log("box", 0, 100, 10))
    np.testing.assert_array_equal(whole.times, log("box", 0, 150, 10).times)
    np.testing.assert_allclose(whole.sensors["box"].humidity, log("box", 0, 150, 10).sensors["box"].humidity)
    with pytest.raises(TerralabError, match="Two logs tell of"):
        joined(log("box", 0, 100, 10), log("box", 500, 100, 10))


def test_the_load_of_a_device_holds_until_its_next_row():
    lamp = np.where(np.arange(24) >= 8, 1.0, 0.0)
    whole = joined(log("box", 0, 139, 10), log("room", 0, 24, 60, devices={"plant light": lamp}))
    hours = whole.hours
    held = whole.devices["plant light"]
    np.testing.assert_array_equal(held, (hours >= 8).astype(float))


def test_a_moved_log_is_the_same_at_other_times():
    moved = shifted(log("box", 0, 100, 10), -25)
    np.testing.assert_array_equal(moved.times + np.timedelta64(1500, "s"), log("box", 0, 100, 10).times)
    assert "25 minutes back" in moved.understood
    for bad in (True, "5", float("nan"), 1e9):
        with pytest.raises(TerralabError, match="minutes must be"):
            shifted(log("box", 0, 100, 10), bad)


def test_what_is_no_log_is_refused():
    for wrong in ((), ("log.csv",), (log("box", 0, 9, 10), None)):
        with pytest.raises(TerralabError):
            joined(*wrong)
