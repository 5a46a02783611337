"""Steady, day-and-night and logged courses: values, bends and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terralab.describe import Room, RoomState, Signal
from terralab.describe.seasons import default_room

H = 3600.0


def test_a_steady_signal_never_bends():
    signal = Signal.constant(22)
    assert signal.at(np.array([0.0, 1e6])).tolist() == [22, 22]
    assert signal.knots_s(3).size == 0


def test_day_and_night_change_within_one_hour():
    signal = Signal.day_night(22, 18, "07:00", "22:00")
    hours = np.array([0, 7, 7.5, 8, 15, 22, 22.25, 23, 24, 31.5])
    assert signal.at(hours * H) == pytest.approx([18, 18, 20, 22, 22, 22, 21, 18, 18, 20])
    assert signal.knots_s(1.5).tolist() == [7 * H, 8 * H, 22 * H, 23 * H, 31 * H, 32 * H]


def test_a_day_may_run_past_midnight():
    signal = Signal.day_night(30, 20, "23:30", "06:00")
    assert signal.at(np.array([0.0, 0.5, 3.0, 6.5, 23.5, 23.75]) * H) == pytest.approx([25, 30, 30, 25, 20, 22.5])
    assert signal.knots_s(1).tolist() == [0.5 * H, 6 * H, 7 * H, 23.5 * H]


def test_a_series_of_24_hours_repeats():
    signal = Signal.series([0.1, 6, 24.1], [10, 16, 10])
    assert signal.repeats
    assert signal.at(np.array([6.0, 30.0, 54.0]) * H) == pytest.approx([16, 16, 16])
    assert signal.knots_s(2) == pytest.approx(np.array([0.1, 6, 24.1, 30]) * H)


def test_a_repeated_series_bends_at_the_same_times_every_day():
    """To the last moment of the run and not beyond; midnight is a bend of its own where the series begins there."""
    signal = Signal.series([0, 9.5, 20, 24], [10, 16, 12, 10])
    day = np.array([0.0, 9.5, 20.0])
    assert signal.knots_s(3).tolist() == [*(H * day), *(H * (day + 24)), *(H * (day + 48)), 72 * H]
    assert signal.knots_s(1.4).tolist() == [*(H * day), 24 * H, 33.5 * H]
    for later in range(1, 5):
        assert signal.at(H * (np.array([0.0, 4.75, 15.0, 22.0]) + 24 * later)) == pytest.approx(
            [10, 13, 16 - 4 * 5.5 / 10.5, 11]
        )
    late = Signal.series([6.0, 18.0, 30.0], [1, 3, 1])  # from six to six
    assert late.repeats
    assert late.at(H * np.array([0.0, 6.0, 12.0, 24.0, 48.0 + 18.0])) == pytest.approx([2, 1, 2, 2, 3])
    assert late.knots_s(2).tolist() == [6 * H, 18 * H, 30 * H, 42 * H]


def test_another_series_keeps_its_ends():
    signal = Signal.series(np.array([2.0, 4.0]), np.array([10.0, 20.0]))
    assert not signal.repeats
    assert signal.at(np.array([0.0, 3.0, 100.0]) * H).tolist() == [10, 15, 20]
    assert signal.knots_s(7).tolist() == [2 * H, 4 * H]
    assert signal.knots_s(3 / 24).tolist() == [2 * H]


@given(
    st.integers(0, 1439),
    st.integers(60, 1380),
    st.floats(-10, 60),
    st.floats(-10, 60),
    st.integers(1, 4),
    st.data(),
)
def test_between_its_knots_a_signal_is_straight(start, length, day, night, days, data):
    end = (start + length) % 1440
    signal = Signal.day_night(day, night, f"{start // 60:02d}:{start % 60:02d}", f"{end // 60:02d}:{end % 60:02d}")
    edges = np.unique(np.concatenate([[0.0], signal.knots_s(days), [days * 24 * H]]))
    place = data.draw(st.integers(0, len(edges) - 2))
    t = np.linspace(edges[place], edges[place + 1], 5)
    values = signal.at(t)
    assert values == pytest.approx(np.linspace(values[0], values[-1], 5), abs=1e-6)
    assert signal.at(t + 24 * H) == pytest.approx(values, abs=1e-6)


@pytest.mark.parametrize(
    ("given_values", "part"),
    [
        ({}, "given nothing"),
        ({"value": 20, "day": 22, "night": 18}, "value, day and night"),
        ({"day": 22}, "both the day and the night value"),
        ({"day": 22, "night": 18, "day_from": "07:00", "day_to": "07:30"}, "a day of 1 to 23 hours"),
        ({"day": 22, "night": 18, "day_from": "7"}, "not a time of day"),
        ({"value": "22 C"}, "not a number"),
        ({"value": float("nan")}, "not a usable number"),
        ({"hours": [0, 1], "values": [1]}, "2 hours and 1 values"),
        ({"hours": [0], "values": [1]}, "at least 2 long"),
        ({"hours": [0, 2, 2], "values": [1, 2, 3]}, "given 2 after 2"),
        ({"hours": [-1, 2], "values": [1, 2]}, "given -1 to 2"),
        ({"hours": [0, 24], "values": [1, 2]}, "same first and last value"),
        ({"hours": [0, 1], "values": [1, None]}, "nothing given"),
        ({"hours": "01", "values": [1, 2]}, "a list of numbers"),
        ({"hours": range(100_001), "values": range(100_001)}, "at most 100000"),
    ],
)
def test_a_wrong_signal_is_refused(given_values, part, refusal):
    assert part in str(refusal(Signal, **given_values))


@pytest.mark.parametrize(
    ("raw", "field", "part"),
    [
        ({"temperature": "22 C", "humidity": "140 %"}, "room.humidity", "0 % to 100 %"),
        ({"temperature": "22 C", "humidity": 0.45}, "room.humidity", 'Write "45 %".'),
        ({"temperature": "72 C", "humidity": "45 %"}, "room.temperature", 'write "72 F"'),
        ({"temperature": 72, "humidity": "45 %"}, "room.temperature", "without a unit"),
        ({"temperature": "22 C"}, "room.humidity", "nothing given"),
        ({"temperature": {"day": "22 C"}, "humidity": "45 %"}, "room.temperature.night", "nothing given"),
        (
            {"temperature": {"day": "22 C", "nite": "18 C"}, "humidity": "45 %"},
            "room.temperature.nite",
            '"night"',
        ),
        ({"temperature": "22 C", "humidity": {"day": 0.4, "night": "50 %"}}, "room.humidity.day", "fraction"),
        (
            {"temperature": {"hours": [0, 24], "values": [1, 2]}, "humidity": 45},
            "room.temperature.values",
            "repeats",
        ),
        (
            {"temperature": {"hours": [0, 2], "values": [1, 99]}, "humidity": 45},
            "room.temperature",
            "given 99 C",
        ),
        (
            {"temperature": {"hours": [0, 2], "values": 5}, "humidity": 45},
            "room.temperature.values",
            "a list",
        ),
        ({"temperature": "22 C", "humidity": "45 %", "autumn": {}}, "room.autumn", "winter, summer"),
        (
            {"temperature": "22 C", "humidity": "45 %", "winter": {}},
            "room.winter.temperature",
            "nothing given",
        ),
        ("22 C", "room", "below a line [room]"),
    ],
)
def test_a_wrong_room_is_refused(raw, field, part, refusal):
    error = refusal(Room.read, raw)
    assert field in [problem.field for problem in error.problems]
    assert part in str(error)


def test_a_room_is_read_in_any_unit_and_written_back():
    raw = {
        "temperature": {"day": "72 F", "night": "64.4 F", "day_from": "7 am", "day_to": "22:00"},
        "humidity": {"hours": [0, 12, 24], "values": [40, "50 %", 40]},
        "winter": {"temperature": "21 C", "humidity": 30},
    }
    room = Room.read(raw)
    temperature = room.now.temperature
    assert (temperature.day, temperature.night) == pytest.approx((200 / 9, 18))
    assert (temperature.day_from, temperature.day_to) == ("07:00", "22:00")
    assert room.now.humidity.values == (40, 50, 40)
    assert room.winter == RoomState(21, 30)
    assert room.summer is None
    assert Room.read(room.write()) == room


@pytest.mark.parametrize("season", ["winter", "summer"])
@pytest.mark.parametrize(
    "now",
    [
        Signal.day_night(22, 18, "07:00", "22:00"),
        Signal.day_night(30, 20, "23:30", "06:00"),
        Signal.series([0, 6, 15, 24], [17, 16, 24, 17]),
        Signal.constant(20),
    ],
)
def test_a_default_season_has_the_nights_of_the_room_that_is_described(season, now):
    """A box beside a cool night window is not warmer by night than by day in a winter that nobody typed."""
    room = default_room(season, RoomState(now, 45))
    times = np.arange(0.0, 24.0, 0.05) * H
    mean = default_room(season).temperature.value
    assert np.mean(room.temperature.at(times)) == pytest.approx(mean, abs=0.05)
    swing = room.temperature.at(times) - now.at(times)
    assert np.ptp(swing) < 0.02, "as the room now, but for its mean"


def test_a_log_of_weeks_lends_no_nights_to_a_season():
    room = default_room("winter", RoomState(Signal.series([0, 100, 200], [17, 25, 17]), 45))
    assert room.temperature.value == default_room("winter").temperature.value
