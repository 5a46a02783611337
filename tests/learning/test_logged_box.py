"""Runs that a log is compared with: the room as it was logged, what the diary tells, devices by their log, the start."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.describe.light import Window
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.learning.bank import run_members, run_values
from terralab.learning.logged_box import LEVEL, POURED, SUCTION, SUNNED, WARMED, LoggedBox, logged_box, saturated
from terralab.learning.readings import channels_of, gaps, hourly, window_of
from terralab.learning.unknowns import unknowns_of
from terralab.logs.diary import Diary, Entry
from terralab.logs.log import HIDE, ROOM, Log, SensorLog
from terralab.physics.moist_air import saturation_pressure
from terralab.simulation.simulate import run_job
from terralab.uncertainty.overrides import shifted
from tests.learning.logs_of_runs import demo, room_of_days, times_of, without


@pytest.fixture(scope="module")
def logged() -> LoggedBox:
    """A demo box in three days of an invented room."""
    room = room_of_days(3)
    return logged_box(demo(), room, room, None, window_of(room, None))


def vapour(room: RoomState) -> np.ndarray:
    """Vapour pressure [Pa] along a room, by the formula the engine uses."""
    return np.array(room.humidity.values) / 100.0 * np.array([saturation_pressure(t) for t in room.temperature.values])


def test_a_room_sensor_that_is_warmed_keeps_its_vapour(logged):
    plain, warmed = logged.room({}), logged.room({WARMED: 2.0})
    assert np.array(plain.temperature.values) - np.array(warmed.temperature.values) == pytest.approx(2.0)
    assert vapour(warmed) == pytest.approx(vapour(plain), rel=1e-5)


def test_a_room_sensor_by_a_window_may_be_warmed_by_day(logged):
    lit = replace(demo(), room=replace(demo().room, window=Window(distance_m=1.0, faces="south")))
    room = room_of_days(3)
    one = logged_box(lit, room, room, None, window_of(room, None))
    assert SUNNED in unknowns_of(one).keys
    assert SUNNED not in unknowns_of(logged).keys
    off = np.array(one.room({}).temperature.values) - np.array(one.room({SUNNED: 3.0}).temperature.values)
    assert off[one.room_h == 13.0] == pytest.approx(3.0)
    assert off[(one.room_h % 24.0 < 7.0) | (one.room_h % 24.0 > 19.0)] == pytest.approx(0.0)
    assert vapour(one.room({SUNNED: 3.0})) == pytest.approx(vapour(one.room({})), rel=1e-5)


def test_a_room_sensor_with_an_offset_changes_its_vapour_at_its_temperature(logged):
    plain, damper = logged.room({}), logged.room({"room.humidity": 3.0})
    assert np.array(damper.humidity.values) - np.array(plain.humidity.values) == pytest.approx(3.0)
    assert np.array(damper.temperature.values) == pytest.approx(np.array(plain.temperature.values))


def test_the_quick_curve_of_saturation_is_the_slow_one():
    t = np.linspace(-9.7, 59.3, 97)
    assert saturated(t) == pytest.approx(np.array([saturation_pressure(x) for x in t]), rel=2e-6)


def test_a_long_series_is_shifted_to_the_very_numbers_of_one_that_is_checked():
    hours = np.arange(0.0, 200.0, 0.25)
    values = 20.0 + 30.0 * np.sin(hours / 7.0)
    room = RoomState(Signal.series(hours, values), Signal.series(hours, 50.0 + values, repeat=True))
    moved = shifted(room, {"room.temperature": 1.3, "room.humidity": -41.0})
    assert moved.temperature == Signal.series(hours, [min(60.0, max(-10.0, x + 1.3)) for x in values])
    # a log that comes again comes again when it is shifted too
    assert moved.humidity == Signal.series(hours, [min(98.0, max(2.0, 50.0 + x - 41.0)) for x in values], repeat=True)


def test_the_logged_room_is_what_a_run_lives_in(logged):
    record = run_job(logged.job({}))
    assert record.times_h[0] == 0.0
    assert record.times_h[-1] == 72.0
    assert abs(record.closure_water) < 1e-9
    hours, room = logged.room_h, logged.room({})
    inside = record.box.room.now
    assert inside.temperature.values == room.temperature.values
    assert len(hours) == 2 * 72 + 1


def test_a_drier_start_is_drier_and_a_larger_share_pours_more(logged):
    soil = lambda values: run_job(logged.job(values)).series["soil water ml"]  # noqa: E731
    wet, dry = soil({SUCTION: 0.02}), soil({SUCTION: 2.0})
    assert dry[0] < 0.95 * wet[0]
    record = {share: run_job(logged.job({POURED: share})) for share in (0.9, 1.1)}
    poured = {share: one.moved_kg("poured").sum() for share, one in record.items()}
    assert poured[1.1] / poured[0.9] == pytest.approx(1.1 / 0.9, rel=1e-6)


def test_a_start_of_the_least_suction_is_that_of_the_word(logged):
    # readings of a probe stand in for the word; with next to nothing beyond it the soil holds what the word means
    plain = run_job(logged.job({})).series["soil water ml"][0]
    assert run_job(logged.job({SUCTION: 1e-4})).series["soil water ml"][0] == pytest.approx(plain, rel=0.005)


def test_what_the_diary_tells_takes_the_place_of_the_routine():
    room = room_of_days(3)
    at = lambda text: np.datetime64(text, "s")  # noqa: E731
    entries = (
        Entry(at("2026-08-03T00:10"), "gap below mesh", 3.0),
        Entry(at("2026-08-04T09:00"), "poured", 333.0),
        Entry(at("2026-08-05T12:00"), "lid covered", 0.9),
    )
    one = logged_box(demo(), room, room, Diary(entries), window_of(room, None))
    assert one.written
    assert one.level_read
    assert not [pour for pour in one.box.routine.pours if pour.into == "soil"]
    assert one.box.enclosure.drainage.level_cm == pytest.approx(one.box.enclosure.drainage.depth_cm - 3.0)
    record = run_job(one.job({POURED: 1.1}))
    assert 1000.0 * record.moved_kg("poured").sum() == pytest.approx(1.1 * 333.0)
    level = next(x for x in unknowns_of(one).inputs if x.key == LEVEL)
    assert level.high - level.low < 1.0
    # the closed lid renews the air less often
    changes = record.series["air changes per hour"]
    assert np.median(changes[-40:]) < 0.7 * np.median(changes[24:190])


def test_a_logged_lamp_does_what_its_log_says():
    room = room_of_days(3)
    hours = np.arange(len(room.times)) * 0.25
    lit = ((hours % 24.0 >= 2.0) & (hours % 24.0 < 4.0)).astype(float)
    lit[40:44] = np.nan
    log = Log(room.times, room.sensors, {"plant light": lit})
    one = logged_box(demo(), log, room, None, window_of(room, None))
    lamp = one.box.routine.lamps[0]
    assert lamp.timer.is_log
    assert lamp.timer.on_s == pytest.approx(2 * 3600.0)
    assert lamp.timer.hours[0] == 0.0
    assert lamp.timer.hours[-1] == 72.0
    run_job(one.job({}))
    with pytest.raises(tl.TerralabError, match="plant light"):
        logged_box(demo(), replace(log, devices={"moon": lit}), room, None, window_of(room, None))


def test_a_log_that_begins_in_the_afternoon_runs_from_its_first_whole_hour():
    room = room_of_days(3, first="2026-08-03T14:20:00")
    window = window_of(room, None)
    assert (window.begins, window.ends) == (15, 14 + 72)
    one = logged_box(demo(), room, room, None, window)
    record = run_job(one.job({}))
    assert (record.times_h[0], record.times_h[-1]) == (15.0, 86.0)


def test_the_hours_of_a_log_are_means_of_what_ends_in_them_and_gaps_stay_gaps():
    log = room_of_days(3)
    window = window_of(log, None)
    hours = np.arange(len(log.times)) * 0.25
    found = hourly(hours, hours, window)
    # rows at :15, :30, :45 and on the hour
    assert found == pytest.approx(window.hours - 0.375)
    holed = without(log, (hours > 30.0) & (hours <= 36.0))
    lost = hourly((holed.times - log.times[0]) / np.timedelta64(1, "s") / 3600.0, holed.sensors[ROOM].humidity, window)
    assert np.isnan(lost[30:36]).all()
    assert np.isfinite(np.delete(lost, range(30, 36))).all()
    unsure = gaps(holed, window, holed.sensors[ROOM])
    assert unsure[30:38].all()
    assert not unsure[:29].any()
    assert not unsure[41:].any()


def test_a_log_with_a_row_every_two_hours_is_read_between_its_rows():
    log = room_of_days(4, every_min=120.0)
    window = window_of(log, None)
    found = channels_of(Log(log.times, {"box": log.sensors[ROOM]}), window)
    assert {one.quantity for one in found} == {"temperature", "humidity"}
    assert np.isfinite(found[0].values).all()


@pytest.mark.parametrize("days", [0.5, 1.9])
def test_too_short_a_log_is_refused_in_words(days):
    with pytest.raises(tl.TerralabError, match="at least 2"):
        window_of(room_of_days(days), None)


def test_a_log_of_another_month_than_the_rooms_is_refused():
    with pytest.raises(tl.TerralabError, match=r"share no day: the box's holds .* right order"):
        window_of(room_of_days(5), room_of_days(5, first="2026-10-03T00:00:00"))


def test_a_room_without_humidity_is_refused_with_what_to_do():
    log, room = room_of_days(5), room_of_days(5)
    dry = Log(room.times, {ROOM: SensorLog(room.sensors[ROOM].temperature_c, None)})
    with pytest.raises(tl.TerralabError, match=r"lacks humidity; .*--column"):
        logged_box(demo(), log, dry, None, window_of(log, dry))


def test_a_log_a_little_too_short_is_not_said_to_be_long_enough():
    """It said that a log of 2.0 days is too short, since at least 2 are needed."""
    with pytest.raises(tl.TerralabError, match="holds 47 whole hours"):
        window_of(room_of_days(1.99), None)


def test_a_log_without_a_sensor_in_the_box_is_refused():
    room = room_of_days(3)
    with pytest.raises(tl.TerralabError, match="inside the box"):
        channels_of(room, window_of(room, None))


def test_a_sensor_in_a_hide_that_is_not_there_is_refused(logged):
    log = Log(times_of(3), {HIDE: SensorLog(np.full(289, 22.0), np.full(289, 80.0))})
    channels = channels_of(log, logged.window)
    with pytest.raises(tl.TerralabError, match="no hide is described"):
        run_values(logged, [{}], channels)


def test_no_member_leaves_the_tables_however_far_it_is_moved(logged):
    unknowns = unknowns_of(logged)
    far = np.random.default_rng(1).normal(size=unknowns.first(8, 1).shape) * 40.0
    values = unknowns.values(far)
    for j, one in enumerate(unknowns.inputs):
        slack = 1e-12 * abs(one.high)
        assert one.low - slack <= values[:, j].min() <= values[:, j].max() <= one.high + slack, one.key


def test_members_are_the_runs_of_their_values(logged):
    unknowns = unknowns_of(logged)
    log = Log(times_of(3), {"box": SensorLog(np.full(289, 22.0), np.full(289, 80.0))})
    channels = channels_of(log, logged.window)
    z = unknowns.first(4, 5)
    runs = run_members(logged, unknowns, z, channels)
    record = run_job(logged.job(dict(zip(unknowns.keys, map(float, unknowns.values(z)[2]), strict=True))))
    assert runs.size == 4
    assert runs.read[0][2] == pytest.approx(record.air_c[1:].reshape(72, 4).mean(axis=1))
    assert runs.lost_ml[2].sum() == pytest.approx(1000.0 * record.arrow_kg("vapour_out").sum())
