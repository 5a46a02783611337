"""What if a device fails: laws that must hold whatever the box, floods poured out by runs, alarms counted, and the words."""

from __future__ import annotations

import json
import math
import warnings
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.limits import WATER_AT_MESH, WATER_IN_SOIL, limits_of
from terralab.answers.common.statement import Kind, Verdict
from terralab.answers.fails import runs
from terralab.answers.fails.alarms import AlarmKind, alarms_for, course_of, past, sensor_error
from terralab.answers.fails.faults import MOST_DEVICES, Fault, FaultKind, faults_of, reads_on
from terralab.answers.fails.flood import MESH, SOIL, flood_of
from terralab.answers.fails.hours_words import hours_cell, hours_words
from terralab.answers.fails.runs import Course, Plan, Season, followed, season_of
from terralab.answers.fails.words import NAME_WIDE, _cut
from terralab.describe import Control, Heater, HumidityTarget, Lamp, Mist, Timer
from terralab.describe.trial import Trial
from terralab.errors import TerralabWarning
from terralab.quantities import said
from tests.answers.faces import check
from tests.keepers import keepers_box

FEW = Plan((0, 12), 48.0, 2)
ALWAYS = Timer(("always",))


@cache
def fern() -> tl.Box:
    return tl.load("fern-hollow")


def heated(power_w: float, set_point: float = 21.0, timer: Timer = ALWAYS) -> tl.Box:
    """The demo with one heater on a thermostat and no other device."""
    hold = Control("temperature", "below", set_point, 1.0, 2.0)
    heater = Heater("heater", "ceramic emitter", power_w, timer, hold, place="wall")
    return replace(fern(), routine=replace(fern().routine, heaters=(heater,), lamps=(), fans=()))


@cache
def misted(tank_ml: float | None = None) -> tl.Box:
    """The demo with a mister of 80 ml a minute."""
    mist = Mist("mister", 80.0, Timer(("1 min every 6 h",)), tank_ml=tank_ml)
    return replace(fern(), routine=replace(fern().routine, mists=(mist,)))


def typical(box: tl.Box, fault: Fault, season: Season, hour: int = 0, watched_h: float = 48.0) -> Course:
    """What a fault does in the typical box."""
    (course,) = followed(box, season, [(fault, hour, season.typical)], watched_h)
    assert course is not None
    return course


# -- laws -------------------------------------------------------------------------------------------------------------


def test_a_stronger_heater_that_is_stuck_on_is_never_later_dangerous() -> None:
    found = []
    for power in (10.0, 40.0, 80.0, 160.0):
        box = heated(power)
        (heater,) = box.routine.heaters
        found.append(typical(box, Fault(FaultKind.STUCK_ON, heater), season_of(box, "now", FEW)))
    hours = [one.danger for one in found]
    assert hours == sorted(hours, reverse=True)
    assert math.isinf(hours[0])
    assert hours[-1] < 6.0
    assert all(one.band <= one.danger and one.warm <= one.danger for one in found)


def test_a_longer_cut_of_the_mains_never_ends_earlier_and_never_begins_later() -> None:
    box = heated(60.0, set_point=23.0).change(**{"room.temperature": "15 C"})
    season = season_of(box, "now", FEW)
    cuts = [typical(box, Fault(FaultKind.MAINS, None, hours), season, 12) for hours in (1.0, 6.0, 24.0)]
    assert cuts[0].back <= cuts[1].back <= cuts[2].back
    assert 24.0 <= cuts[2].back < 48.0
    # the colder it gets the longer it lasts, and what it passes it passes at the same time
    assert cuts[0].far_k >= cuts[1].far_k >= cuts[2].far_k
    assert cuts[1].band == cuts[2].band <= cuts[0].band


def test_a_failure_that_changes_nothing_is_never_dangerous_and_rings_nothing() -> None:
    """A lamp that always burns, stuck on: the run is cut where the failure begins, and yet an ordinary one."""
    lamp = Lamp("plant light", "led bar outside lid", 24.0, ALWAYS)
    box = replace(fern(), routine=replace(fern().routine, lamps=(lamp,)))
    season = season_of(box, "now", FEW)
    for drawn in (season.typical, *season.members):
        (one,) = followed(box, season, [(Fault(FaultKind.STUCK_ON, lamp), 12, drawn)], 48.0)
        assert one is not None
        assert math.isinf(one.danger)
        assert math.isinf(one.band)
        assert all(map(math.isinf, one.alarms))
        assert abs(one.far_k) < 0.1
    assert Fault(FaultKind.STUCK_ON, lamp) not in faults_of(box, 8.0)[0]


@pytest.mark.parametrize(("room", "like"), [(14.0, FaultKind.STUCK_ON), (26.0, FaultKind.STUCK_OFF)])
def test_a_probe_in_the_room_holds_its_heater_on_in_a_cold_room_and_off_in_a_warm_one(
    room: float, like: FaultKind
) -> None:
    box = heated(30.0).change(**{"room.temperature": f"{room} C"})
    (heater,) = box.routine.heaters
    season = season_of(box, "now", FEW)
    probe, stuck = (typical(box, Fault(kind, heater), season, 6, 24.0) for kind in (FaultKind.PROBE_OUT, like))
    assert probe.far_c == pytest.approx(stuck.far_c, abs=0.02)
    assert probe.danger == stuck.danger


def test_a_control_keeps_its_state_between_its_two_points() -> None:
    warm = Control("temperature", "below", 20.0, 2.0)
    readings = np.array([20.5, 19.5, 18.9, 19.5, 20.5, 21.1, 20.5, 19.5])
    assert reads_on(warm, readings).tolist() == [False, False, True, True, True, False, False, False]
    cool = Control("temperature", "above", 20.0, 2.0)
    assert reads_on(cool, readings).tolist() == [True, True, False, False, False, True, True, True]


def test_what_cannot_get_stuck_does_not_and_too_many_devices_are_named() -> None:
    never = Lamp("spare", "led bar outside lid", 20.0, Timer(("never",)))
    box = replace(fern(), routine=replace(fern().routine, lamps=(never,), heaters=(), fans=()))
    assert [one.kind for one in faults_of(box, 8.0)[0]] == [FaultKind.STUCK_ON, FaultKind.MAINS]
    many = tuple(replace(never, name=f"lamp {n}") for n in range(MOST_DEVICES + 2))
    found, left_out = faults_of(replace(box, routine=replace(box.routine, lamps=many)), 8.0)
    assert left_out == ("lamp 6", "lamp 7")
    assert len({one.name for one in found}) == MOST_DEVICES + 1  # the mains have no name
    assert faults_of(replace(box, routine=replace(box.routine, lamps=())), 8.0) == ((), ())


# -- floods -----------------------------------------------------------------------------------------------------------


def stuck(tank_ml: float) -> tl.Record:
    """Three days at normal accuracy in which the mister is stuck on and its tank, full at first, is all the water there is."""
    box = Trial.of(
        misted(), routine=misted(tank_ml).routine
    )  # a run goes on with the box that it began with, or a trial of it
    begin = tl.simulate(misted(), 6, accuracy="preview", record_every_min=60)
    change = [tl.Event(6.0, None, "no hand"), tl.Event(6.0, None, {"stuck on": "mister"}), tl.Event("8641 min", None, {"refill": "mister"})]  # fmt: skip
    return tl.simulate(box, 3, start=begin, events=change)


def test_the_largest_tank_that_cannot_flood_does_not_and_half_as_much_again_as_what_floods_does() -> None:
    box = misted()
    found = flood_of(box, box.routine.mists[0], season_of(box, "now", FEW))
    assert found.tank_ml is not None
    safe = stuck(found.tank_ml)
    passed = limits_of(safe).passed
    assert safe.ran_dry_h["mister"] == pytest.approx(6 * 24 + found.tank_ml / 80.0 / 60.0 + 1 / 60.0, abs=0.01)
    assert not passed[WATER_AT_MESH].any()
    assert not passed[WATER_IN_SOIL].any()
    assert safe.closure_water < 1e-9
    floods = found.ml(max(found.hours[MESH]))
    assert floods > found.tank_ml
    wet = limits_of(stuck(1.5 * floods)).passed
    assert wet[WATER_AT_MESH].any()


def test_water_stands_at_the_mesh_before_it_stands_over_the_soil_and_over_the_sill() -> None:
    box = misted()
    found = flood_of(box, box.routine.mists[0], season_of(box, "now", FEW))
    for mesh, soil, sill in zip(*found.hours.values(), strict=True):
        assert 0.0 < mesh < soil < sill < math.inf
    assert list(found.hours)[:2] == [MESH, SOIL]


def test_no_tank_is_called_safe_where_water_stands_already() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        full = misted().change(**{"enclosure.drainage.level": "6 cm", "routine.siphons": []})
    assert flood_of(full, full.routine.mists[0], season_of(full, "now", FEW)).tank_ml is None


# -- alarms -----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def ordinary() -> list[tl.Record]:
    rooms = [(20.0, 17.0), (22.0, 19.0), (24.0, 20.0)]
    change = lambda d, n: fern().change(**{"room.temperature": {"day": d, "night": n}})  # noqa: E731
    return [tl.simulate(change(d, n), 3, accuracy="preview", record_every_min=15) for d, n in rooms]


def test_a_limit_lies_beyond_most_ordinary_days_and_further_out_it_cries_wolf_less(ordinary: list[tl.Record]) -> None:
    for alarm in alarms_for(fern(), ordinary):
        if alarm.limit is None:
            continue
        upward = alarm.kind in (AlarmKind.HOT, AlarmKind.DAMP)
        silent = [not alarm.sounds(record).any() for record in ordinary]
        assert sum(silent) >= len(ordinary) - 1, alarm
        assert 0.0 <= alarm.wolf <= 7.0
        if alarm.edge is not None:  # the nearer of two limits is never the quieter one
            nearer = alarm.edge < alarm.limit if upward else alarm.edge > alarm.limit
            assert (alarm.edge_wolf >= alarm.wolf) if nearer else (alarm.edge_wolf <= alarm.wolf)


def test_an_alarm_that_sounds_all_day_cries_wolf_seven_days_a_week(ordinary: list[tl.Record]) -> None:
    warmer = HumidityTarget(60, 90, 60, 90, day_temp_low_c=26.0, day_temp_high_c=30.0)
    cold = replace(fern(), humidity_target=warmer, group="")
    edge = next(one for one in alarms_for(cold, ordinary[:1]) if one.kind is AlarmKind.COLD)
    assert edge.edge > ordinary[0].air_c.max() + sensor_error(AlarmKind.COLD)
    assert edge.edge_wolf == 7.0


def test_weather_in_a_log_moves_a_limit_out(ordinary: list[tl.Record]) -> None:
    calm = alarms_for(fern(), ordinary[1:2])
    stormy = alarms_for(fern(), ordinary[1:2], ordinary[2:])
    hot = [next(one for one in each if one.kind is AlarmKind.HOT) for each in (calm, stormy)]
    assert hot[1].limit > hot[0].limit
    assert not past(AlarmKind.HOT, course_of(AlarmKind.HOT, ordinary[2]), hot[1].limit).any()


# -- the answer -------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hot_box() -> tl.Answer:
    """A box whose heater is far too strong: what the answer must say first."""
    box = replace(heated(70.0), name="Too strong").change(**{"room.winter": None, "room.summer": None})
    return tl.fails(box, members=4)


def test_the_soonest_danger_comes_first_with_its_range_and_its_alarm(hot_box: tl.Answer) -> None:
    assert hot_box.verdict is Verdict.ONE_FAILURE
    assert hot_box.table[0]["fault"] in ('"heater" stuck on', 'probe of "heater" out')
    assert hot_box.low <= hot_box.value <= hot_box.high
    assert hot_box.value == hot_box.table[0]["hours_until_danger"][1]
    assert hot_box.table[0]["danger"] == "dangerously hot"
    dangers = [math.inf if (h := row["hours_until_danger"][1]) is None else h for row in hot_box.table]
    assert dangers == sorted(dangers)
    (do,) = [one.said() for one in hot_box.of_kind(Kind.DO) if "Set a" in one.text]
    assert do.startswith("Soonest dangerous: ")
    assert "dangerously hot (air over 28 °C" in do
    text = hot_box.text("all")
    assert "replaces no guard, no fuse, no thermostat and no vet" in hot_box.text("short")
    assert "electrician" in text
    assert "drip loop" in text


def test_all_is_data_and_both_systems_say_it(hot_box: tl.Answer) -> None:
    check(hot_box)
    data = json.loads(hot_box.json(), parse_constant=lambda word: pytest.fail(word))
    assert data["table"] == json.loads(json.dumps(data["table"]))
    assert hot_box.closure_water < 1e-9
    assert hot_box.closure_energy < 1e-6
    for row in data["table"]:
        low, middle, high = (math.inf if h is None else h for h in row["hours_until_out_of_band"])
        assert 0.0 < low <= middle <= high
    wide = [line for one in hot_box.of_kind(Kind.TABLE) for line in one.under]
    assert max(map(len, wide)) <= 76


def test_a_long_name_is_cut_and_what_is_wrong_with_it_is_not() -> None:
    lamp = Lamp("the old lamp from the attic, left", "led bar outside lid", 24.0, ALWAYS)
    for kind in (FaultKind.STUCK_ON, FaultKind.STUCK_OFF, FaultKind.PROBE_OUT):
        cut = _cut(Fault(kind, lamp))
        assert len(cut) <= NAME_WIDE
        assert "the " in cut
        assert cut.endswith(" out" if kind is FaultKind.PROBE_OUT else str(kind))


def test_what_no_alarm_shows_is_named_and_is_in_no_table_with_an_alarm(hot_box: tl.Answer) -> None:
    unseen = hot_box.details["not_shown"]
    assert {row["fault"] for row in hot_box.table if not row["alarm"]} == set(unseen)


def test_a_run_that_had_to_be_given_up_counts_as_far_as_it_went(monkeypatch: pytest.MonkeyPatch) -> None:
    """A heater may drive the air out of what can be computed: by then it is dangerous, and that was seen."""
    box = heated(160.0)
    (heater,) = box.routine.heaters
    season = season_of(box, "now", FEW)
    fault = Fault(FaultKind.STUCK_ON, heater)
    whole = typical(box, fault, season, 12)
    given_up = tl.RunError("stopped", "air left its range", 6.5 + 5.0 / 24.0)  # five hours after it began
    run = runs.run_many
    stopped = lambda jobs, **how: [given_up if job.days > 0.75 else run([job])[0] for job in jobs]  # noqa: E731
    monkeypatch.setattr(runs, "run_many", stopped)
    found = typical(box, fault, season, 12)
    assert found.danger == whole.danger < 4.0
    assert found.danger_what == "dangerously hot"
    # what was not seen to be dangerous by then is not called safe: it is left out
    (weak,) = heated(10.0).routine.heaters
    calm = heated(10.0)
    monkeypatch.setattr(runs, "run_many", run)
    season = season_of(calm, "now", FEW)
    monkeypatch.setattr(runs, "run_many", stopped)
    assert followed(calm, season, [(Fault(FaultKind.STUCK_ON, weak), 12, season.typical)], 48.0) == [None]


def test_a_tank_that_is_too_large_stands_on_the_short_screen() -> None:
    found = tl.fails(misted(20_000.0), ("now",), members=2)
    assert 'the tank of "mister" holds 20.0 l; at most' in found.text("short")
    (flood,) = found.details["floods"]
    assert flood["largest_tank_that_cannot_flood_ml"] < 20_000.0
    check(found)


def test_a_box_without_a_device_gets_a_short_and_honest_answer() -> None:
    bare = replace(fern(), routine=replace(fern().routine, lamps=(), heaters=(), fans=()))
    found = tl.fails(bare)
    assert found.value is None
    assert found.table == ()
    assert "No device here can fail." in found.text("short")
    assert "the room" in found.text("short")
    check(found)


def test_a_logged_room_is_lived_through_to_count_false_alarms() -> None:
    """One day of the log is hot: the mean day knows nothing of it, the alarm does."""
    hours = tuple(float(h) for h in range(24 * 6 + 1))
    values = tuple(30.0 if 72 <= h < 84 else 20.0 for h in hours)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        logged = fern().change(**{"room.temperature": {"hours": list(hours), "values": list(values)}})
        found = tl.fails(logged, ("now",), members=2)
        calm = tl.fails(fern().change(**{"room.temperature": "20 C"}), ("now",), members=2)
    limit = lambda answer: next(a["limit"] for a in answer.details["alarms"]["now"] if a["alarm"] == "temperature high")  # noqa: E731
    assert limit(found) > limit(calm) + 3.0
    assert any("mean day" in text for text in found.assumptions)


@pytest.mark.parametrize("seed", [101, 107, 111, 10])
def test_keepers_boxes_get_an_answer_in_words(seed: int) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        found = tl.fails(keepers_box(seed), ("now",), mains_h=4.0, members=2)
    check(found)
    text = found.text("all")
    assert not any(odd in text for odd in (" nan", " inf ", "None"))
    for row in found.table:
        assert row["ran"] >= 1
        assert -60.0 < row["farthest_air_c"] < 90.0
        assert 0.0 <= row["farthest_humidity_percent"] <= 100.0


def test_hours_that_never_come_are_said_so() -> None:
    inf = math.inf
    assert hours_words((inf, inf, inf)) == "not in that time"
    assert hours_words((3.0, inf, inf)) == "after about 3 h in the worst tenth of the boxes, in most not"
    assert hours_words((0.2, 5.0, 8.0)) == "after about 5 h (under 0.5 to 8)"
    assert hours_words((0.2, 0.2, 0.3)) == "in under half an hour"
    assert [hours_cell(span) for span in ((inf, inf, inf), (0.2, 5.0, inf), (4.0, 4.1, 4.2))] == ["-", "5 (<1-..)", "4"]


def test_the_short_screen_the_long_answer_and_the_table_tell_the_same_hours(hot_box: tl.Answer) -> None:
    """Until the band is left, until it is too hot or cold, until danger: each of the three spans is in the sentences."""
    said_all = hot_box.text("why").replace("\n", " ")
    said_all = " ".join(said_all.split())
    for row in hot_box.table:
        sentence = next(
            one.text for one in hot_box.of_kind(Kind.MISHAP) if one.text.lower().startswith(row["fault"].lower())
        )
        for name in ("hours_until_out_of_band", "hours_until_too_hot_or_cold", "hours_until_danger"):
            span = tuple(math.inf if hours is None else hours for hours in row[name])
            if not math.isinf(span[0]):
                assert hours_words(span) in said(sentence), (row["fault"], name)
                assert hours_words(span) in said_all


def test_an_end_that_is_never_reached_is_no_figure() -> None:
    assert hours_words((0.8, 2.2, math.inf)) == "after about 2.2 h (0.8 at the soonest, in some boxes never)"
