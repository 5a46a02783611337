"""What a log teaches, the whole way: a true box of the tables, its log, a small bank, members run again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.describe.box import Box
from terralab.learning import from_log
from terralab.learning.bank import Runs, run_members
from terralab.learning.case import Case, case_of
from terralab.learning.conclusion import concluded
from terralab.learning.excess import excess_of
from terralab.learning.fit import EXCHANGE, LOSS, RESULTS, Fit
from terralab.learning.from_log import fit, taught
from terralab.learning.learned_box import learned_box
from terralab.learning.logged_box import OF_THE_LOG
from terralab.learning.predict import predict
from terralab.learning.refusals import HOPELESS, MOST_LEFT, cannot_explain
from terralab.learning.weighing import lost_between
from terralab.logs.diary import Weighed
from terralab.logs.log import BOX, Log, SensorLog
from tests.learning.logs_of_runs import FIRST, demo, true_box

DAYS, BANK, MEMBERS = 4, 128, 24


@pytest.fixture(scope="module")
def truth():
    """A log, its room, the true run and the true numbers of a demo box."""
    return true_box(demo(), DAYS, seed=3)


@pytest.fixture(scope="module")
def bank(truth) -> tuple[Case, Runs]:
    """The case of that log and its bank."""
    log, room, _, _ = truth
    case = case_of(demo(), log, room)
    return case, run_members(case.logged, case.unknowns, case.unknowns.first(BANK, 1), case.channels)


@pytest.fixture(scope="module")
def found(bank) -> Fit:
    """What is learned from that log, step by step."""
    case, runs = bank
    learned = taught(case, runs, (), 1)
    moved = run_members(case.logged, case.unknowns, learned.smoother.moved(MEMBERS), case.channels)
    return concluded(demo(), case, runs, learned, moved, {})


def lost(record) -> float:
    """What a run really lost after its first day [ml a day]."""
    return record.vapour_out_ml_a_day(record.rows(1.0, DAYS))


def scale(ml: float, error: float, begins: str = "2026-08-04T00:00", ends: str = "2026-08-07T00:00") -> Weighed:
    """A loss as a scale told it."""
    return Weighed(np.datetime64(begins, "s"), np.datetime64(ends, "s"), ml, error, "box on a scale")


def test_a_fit_holds_what_its_shapes_promise(truth, found):
    assert set(found.results) == set(RESULTS)
    assert found.first_day.isoformat() == FIRST[:10]
    assert (found.hours[0], found.hours[-1]) == (25, 24 * DAYS)
    assert {(one.place, one.quantity) for one in found.courses} == {(BOX, "temperature"), (BOX, "humidity")}
    for one in found.courses:
        assert one.measured.shape == found.hours.shape
        assert one.after.shape == one.before.shape == one.held_out.shape == (3, len(found.hours))
        assert np.all(np.diff(one.after, axis=0) >= 0.0)
        assert len(one.offsets) == len(next(iter(found.draws.values())))
        assert one.missed() < one.missed("before")
    assert set(found.typical) == set(found.draws)
    # what belongs to these weeks alone, such as how wet the soil was at their beginning, is no draw of the box
    assert not set(OF_THE_LOG) & set(found.draws)
    assert set(OF_THE_LOG) & set(found.members)


def test_members_stay_inside_the_tables_and_every_run_takes_them(found):
    inputs = {one.key: one for one in tl.uncertainty.uncertain_inputs(demo())}
    for key, values in found.draws.items():
        if not key.startswith("room."):
            slack = 1e-9 * abs(inputs[key].high)
            assert inputs[key].low - slack <= min(values) <= max(values) <= inputs[key].high + slack, key
    member = {key: values[3] for key, values in found.draws.items()}
    assert tl.simulate(demo(), 1, overrides=member).closure_water < 1e-9


def test_leaf_numbers_are_never_shown_as_learned(found):
    for one in found.numbers:
        if one.name.endswith((".resistance_full", ".resistance_dark", ".resistance_lit")):
            assert one.refused
            assert one.after == one.before


def test_the_same_seed_gives_the_same_in_one_go_and_progress_is_told(truth, found):
    log, room, _, _ = truth
    steps = []
    again = fit(demo(), log, room=room, bank=BANK, members=MEMBERS, seed=1, progress=lambda *now: steps.append(now))
    assert again.results == found.results
    assert again.draws == found.draws
    assert np.array_equal(again.courses[1].after, found.courses[1].after)
    assert steps[0][0] == "bank"
    assert steps[-1] == ("members", MEMBERS, MEMBERS)


def test_a_stop_while_it_learns_goes_through(truth):
    log, room, _, _ = truth

    def stop(what: str, done: int, of: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fit(demo(), log, room=room, bank=BANK, members=MEMBERS, progress=stop)


def test_a_weighed_loss_pins_the_loss(truth, bank):
    case, runs = bank
    true = lost(truth[2])
    told = taught(case, runs, (scale(true, 0.002 * true),), 1)
    low, _, high = told.smoother.after(LOSS)
    assert LOSS not in told.refused
    assert 0.85 * true < low < true * 1.04
    assert true * 0.96 < high < 1.15 * true
    # and the sharper the scale, the less is left
    left = [
        taught(case, runs, (scale(true, share * true),), 1).smoother.expected_width(LOSS) for share in (0.4, 0.1, 0.03)
    ]
    assert left[0] > left[1] > left[2]


def test_a_weighing_over_some_days_is_held_against_those_days(truth, bank):
    case, runs = bank
    hours = case.logged.window
    first = lost_between(runs, hours, 24.0, 48.0)
    both = lost_between(runs, hours, 24.0, 72.0)
    second = lost_between(runs, hours, 48.0, 72.0)
    assert both == pytest.approx(0.5 * (first + second))
    assert first == pytest.approx(runs.lost_ml[:, 24:48].sum(axis=1))
    assert lost_between(runs, hours, 30.25, 31.25) == pytest.approx(
        24.0 * (0.75 * runs.lost_ml[:, 30] + 0.25 * runs.lost_ml[:, 31])
    )


def test_a_log_far_from_all_that_the_tables_hold_is_refused_with_a_number_named(truth, bank):
    case, runs = bank
    log = truth[0]
    sensor = log.sensors[BOX]
    hours = np.arange(len(log.times)) * 0.25
    odd = 8.0 * np.sin(2.0 * np.pi * hours / 11.0)
    wrong = replace(log, sensors={BOX: SensorLog(sensor.temperature_c + odd, sensor.humidity - 20.0, sensor.at_least)})
    told = taught(case.with_log(wrong), runs, (), 1)
    assert {one.kind for one in told.against} & {"outside the tables", "model cannot explain"}
    assert all(one.why and one.ask for one in told.against)
    assert not taught(case, runs, (), 1).against


def test_errors_are_widened_where_the_model_fits_badly_and_not_where_it_fits(truth, bank):
    case, runs = bank
    log = truth[0]
    sensor = log.sensors[BOX]
    hours = np.arange(len(log.times)) * 0.25
    off = 4.5 * np.sign(np.sin(2.0 * np.pi * hours / 48.0))
    worse = replace(log, sensors={BOX: SensorLog(sensor.temperature_c, np.clip(sensor.humidity + off, 0, 98), None)})
    told = taught(case.with_log(worse), runs, (), 1)
    assert told.smoother.errors.model > 1.1
    assert taught(case, runs, (), 1).smoother.errors.model == 1.0
    assert cannot_explain(HOPELESS - 0.1) is None
    assert cannot_explain(HOPELESS + 0.1).kind == "model cannot explain"


def shut_jar() -> Box:
    """The demo jar with its lid shut and its leak unknown."""
    jar = demo("moss-jar")
    return replace(jar, enclosure=replace(jar.enclosure, openings=(), leakage_ach=None))


def test_a_shut_jar_tells_nothing_until_it_is_weighed():
    log, room, record, _ = true_box(shut_jar(), 3, seed=2)
    case = case_of(shut_jar(), log, room)
    runs = run_members(case.logged, case.unknowns, case.unknowns.first(BANK, 1), case.channels)
    alone = taught(case, runs, (), 1)
    assert alone.refused[LOSS].kind == "no information"
    assert "Weigh" in alone.refused[LOSS].ask
    assert alone.smoother.expected_width(LOSS) > MOST_LEFT
    true = record.vapour_out_ml_a_day(record.rows(1.0, 3.0))
    weighed = taught(case, runs, (scale(true, 0.05 * true, ends="2026-08-06T00:00"),), 1)
    assert LOSS not in weighed.refused
    assert weighed.smoother.expected_width(LOSS) < 0.3


def test_air_no_damper_than_the_rooms_bounds_a_loss_on_one_side_and_names_what_does_not_fit(truth, bank):
    case, runs = bank
    log, room, _, _ = truth
    # the sensor reads the room's own air: nothing evaporates there
    dry = case.with_log(Log(log.times, {BOX: SensorLog(*_of(room))}))
    excess = excess_of(dry, runs)
    assert excess.none
    told = taught(dry, runs, (), 1)
    assert told.refused[LOSS].kind == "no vapour excess"
    assert told.bounds[LOSS][0] is None
    assert told.bounds[LOSS][1] > 0.0
    assert told.bounds[EXCHANGE][1] is None
    assert any(one.kind == "contradiction" and "dry, covered, or absent" in one.ask for one in told.doubts)
    assert not excess_of(case, runs).none
    assert not taught(case, runs, (), 1).doubts


def _of(room: Log) -> tuple[np.ndarray, np.ndarray]:
    sensor = next(iter(room.sensors.values()))
    return sensor.temperature_c, sensor.humidity


def test_members_foretell_what_comes_after_what_they_were_learned_from(truth):
    log, room, _, _ = truth
    early = fit(demo(), log, room=room, until="2026-08-05T18:00", bank=BANK, members=MEMBERS, seed=1)
    assert early.hours[-1] == 66
    warm, damp = predict(early, log, room=room)
    assert np.isnan(damp.held_out[1][:66]).all()
    assert np.isfinite(damp.held_out[1][66:]).all()
    assert warm.missed("held_out") < 0.5
    assert damp.missed("held_out") < 2.5
    inside = (damp.measured >= damp.held_out[0]) & (damp.measured <= damp.held_out[2])
    assert inside[66:].mean() > 0.6


def test_a_box_that_was_learned_is_learned_anew_from_the_tables(truth, found, bank):
    log, room, _, _ = truth
    learned = learned_box(found, demo())
    assert learned.learned is not None
    again = case_of(learned, log, room)
    assert again.unknowns.inputs == bank[0].unknowns.inputs
    assert again.logged.box.learned is None
    assert found.box.learned is None


@pytest.mark.parametrize("which", ["temperature", "humidity"])
def test_a_log_of_one_quantity_is_learned_from_too(truth, which):
    log, room, _, _ = truth
    one = log.sensors[BOX]
    kept = SensorLog(one.temperature_c, None) if which == "temperature" else SensorLog(None, one.humidity, one.at_least)
    case = case_of(demo(), Log(log.times, {BOX: kept}), room)
    assert [one.quantity for one in case.channels] == [which]
    assert case.blocks.size >= 11
    assert excess_of(case, None) is None


def test_without_a_log_of_the_room_the_described_one_and_its_error_count(truth):
    log, _, _, _ = truth
    case = case_of(demo(), log)
    assert case.logged.room_c is None
    assert "room.humidity" in case.unknowns.keys
    assert from_log.BANK == 1024
