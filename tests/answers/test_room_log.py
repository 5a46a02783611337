"""A room logged for longer than the few days a question runs: the whole log counts, or words say what does not."""

from __future__ import annotations

import inspect
import warnings

import numpy as np
import pytest

import terralab as tl
from terralab import answers
from terralab.answers.common.room_log import mean_day, typical_room
from terralab.answers.normal.normal import _normal as judging
from terralab.describe import RoomState, Signal
from terralab.errors import DescriptionError, TerralabWarning

DAY = np.array([40.0, 42.0, 34.0, 38.0])  # % at 0, 6, 15 and 20 o'clock


def logged(days: np.ndarray) -> tl.Box:
    """Fern Hollow in a room whose humidity is logged at the four hours of each day, damper by `days[i]` on day i."""
    hours = np.append((24.0 * np.arange(len(days))[:, None] + [0.0, 6.0, 15.0, 20.0]).ravel(), 24.0 * len(days))
    values = np.append((np.asarray(days)[:, None] + DAY).ravel(), DAY[0] + days[0])
    return tl.load("fern-hollow").change(**{"room.humidity": {"hours": hours.tolist(), "values": values.tolist()}})


def water(box: tl.Box) -> tl.Answer:
    with pytest.warns(TerralabWarning, match="mean day of the whole log"):
        return tl.daily_water(box, members=2)


def test_every_day_of_a_log_counts_and_none_more_than_another() -> None:
    """A fortnight whose second week is damp: the same days in another order give the same, fewer damp days more."""
    dry = water(logged(np.zeros(14)))
    late = water(logged(np.repeat([0.0, 20.0], 7)))
    early = water(logged(np.repeat([20.0, 0.0], 7)))
    damp = water(logged(np.full(14, 20.0)))
    assert late.value == pytest.approx(early.value, rel=0.01)
    assert damp.value * 1.1 < late.value < dry.value * 0.9
    assert any("logged for 14 days" in line for line in late.assumptions)


def test_a_log_of_like_days_is_that_day() -> None:
    """Also when it starts at noon and ends in the middle of a day."""
    hours = [12.0 + 6.0 * i for i in range(39)]
    course = lambda h: 20.0 + 3.0 * np.cos(2.0 * np.pi * (h - 15.0) / 24.0)  # noqa: E731
    state = RoomState(Signal.series(hours, [float(course(h)) for h in hours]), 40.0)
    usual = mean_day(state, hours[0], hours[-1])
    t = 3600.0 * np.arange(0.25, 24.0, 0.5)
    assert usual.temperature.repeats
    assert usual.temperature.at(t) == pytest.approx(np.asarray(state.temperature.at(t + 48 * 3600.0)), abs=1e-9)
    # in a room that keeps its humidity the mean vapour at a time of day is that humidity
    assert usual.humidity.at(t) == pytest.approx(40.0, abs=1e-6)


def test_vapour_is_averaged_and_not_the_per_cent() -> None:
    """A cold damp day and a warm dry one: by Magnus' formula their vapour is that of 39.5 % at the mean of 20 C."""
    state = RoomState(
        Signal.series([0, 23.99, 24, 48], [10.0, 10.0, 30.0, 30.0]), Signal.series([0, 23.99, 24, 48], [60, 60, 20, 20])
    )
    usual = mean_day(state, 0.0, 48.0)
    magnus = lambda t: 6.112 * np.exp(17.62 * t / (243.12 + t))  # noqa: E731
    expected = (0.5 * 60.0 * magnus(10.0) + 0.5 * 20.0 * magnus(30.0)) / magnus(20.0)
    assert float(usual.humidity.at(12 * 3600.0)) == pytest.approx(expected, abs=0.2)
    assert float(usual.temperature.at(12 * 3600.0)) == pytest.approx(20.0, abs=1e-6)


def test_a_log_of_less_than_a_day_is_refused_with_words() -> None:
    box = tl.load("fern-hollow").change(**{"room.temperature": {"hours": [0, 7], "values": [20, 22]}})
    with pytest.raises(DescriptionError, match=r"room\.temperature: given a log of 7 hours.*at least 24 hours"):
        tl.daily_water(box, members=2)
    apart = box.change(
        **{
            "room.temperature": {"hours": [0, 60], "values": [20, 22]},
            "room.humidity": {"hours": [40, 100], "values": [40, 50]},
        }
    )
    with pytest.raises(DescriptionError, match="20 hours together"):
        tl.first_soak(apart, members=2)


def test_a_room_that_repeats_is_left_as_it_is() -> None:
    box = tl.load("fern-hollow")
    assert typical_room(box) == (box, "")
    daily = box.change(**{"room.temperature": {"hours": [0, 12, 24], "values": [18, 24, 18]}})
    assert typical_room(daily) == (daily, "")


def test_a_logged_season_is_asked_in_its_mean_day_too() -> None:
    winter = {"temperature": {"hours": [0, 240], "values": [15, 19]}, "humidity": "30 %"}
    usual, words = typical_room(tl.load("fern-hollow").change(**{"room.winter": winter}))
    assert "10 days in winter" in words
    low, high = usual.room.winter.temperature.range()
    assert 16.7 < low < high < 17.3


def test_no_question_forgets_the_log() -> None:
    """Every function of `answers` that asks about a box."""
    for name in answers.__all__:
        asked = getattr(answers, name)
        if inspect.isfunction(asked) and next(iter(inspect.signature(asked).parameters)) == "box":
            # failures are followed through the log itself, since alarms answer to unusual days, and a log of the box is
            # held against the very days in which it was read
            through_days = name in ("fails", "learn", "normal_log")
            asked = judging if name == "normal" else asked  # which first looks at what was typed
            assert through_days or hasattr(asked, "__wrapped__"), name


def test_a_run_beyond_the_log_is_refused_unless_it_is_to_be_repeated() -> None:
    log = {"hours": [0, 36, 60], "values": [20, 22, 21]}
    box = tl.load("moss-jar").change(**{"room.temperature": log})
    with pytest.raises(
        DescriptionError, match=r"room\.temperature: given a log from day 0 to day 2\.5 .*repeat = true"
    ):
        tl.simulate(box, 3, record_every_min=60)
    late = box.change(**{"room.temperature": {"hours": [30, 90], "values": [20, 21]}})
    with pytest.raises(DescriptionError, match=r"log from day 1\.25"):
        tl.simulate(late, 2, record_every_min=60)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        tl.simulate(box, 2.5, record_every_min=60)
        record = tl.simulate(box.change(**{"room.temperature": log | {"repeat": True}}), 6, record_every_min=60)
    assert record.settings["days"] == 6
    event = tl.Event(1, 5, {"room.temperature": log})
    with pytest.raises(DescriptionError, match="a log that lasts as long"):
        tl.simulate(tl.load("moss-jar"), 6, record_every_min=60, events=[event])


def test_the_log_of_a_device_is_asked_in_its_mean_day() -> None:
    """A lamp on for 12 h one day, for 6 h at half load the next: three hours' worth of each on the mean day, in the same hours."""
    log = {"hours": [0, 8, 20, 32, 38, 48], "loads": [0, 1, 0, 0.5, 0, 0]}
    box = tl.load("fern-hollow").change(**{"routine.lamps.plant light.timer": log})
    usual, words = typical_room(box)
    (lamp,) = usual.routine.lamps
    assert "plant light" in words
    assert "2 days" in words
    assert lamp.timer.on_s == pytest.approx(box.routine.lamps[0].timer.on_s) == pytest.approx(0.5 * (12 + 3) * 3600.0)
    assert dict(zip(lamp.timer.hours, lamp.timer.loads, strict=True)) == {0: 0, 8: 0.75, 14: 0.5, 20: 0, 24: 0}
    assert tl.simulate(usual, 3, record_every_min=60).closure_energy < 1e-10
    with pytest.raises(DescriptionError, match="at least 24 hours"):
        typical_room(box.change(**{"routine.lamps.plant light.timer": {"hours": [0, 9], "loads": [1, 0]}}))


def test_what_only_one_of_two_logs_has_is_not_left_out_in_silence() -> None:
    humid = {"hours": [0, 48], "values": [40, 50]}
    warm = {"hours": [0, 720], "values": [20, 22]}
    _, words = typical_room(tl.load("fern-hollow").change(**{"room.humidity": humid, "room.temperature": warm}))
    assert "2 days in which temperature and humidity both were (30 days of one of them)" in words
