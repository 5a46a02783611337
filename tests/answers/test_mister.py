"""An automatic watering: what more water may do and what not, what may be recommended, and that the tank lasts."""

from __future__ import annotations

import re
import warnings
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.balance import DRY_HEAD_M, kept_dry, roots_have_air, top_suction_m
from terralab.answers.common.humidity_target import hours, target_of
from terralab.answers.common.temperature import heat_of, keeps_temperature
from terralab.answers.drainage.bottoms import litres_under_mesh
from terralab.answers.fails.flood import RESERVE
from terralab.answers.mister.choices import Choice, standing
from terralab.answers.mister.plan import Plan, nozzles_of, spread
from terralab.answers.mister.scan import (
    Base,
    Seen,
    Tried,
    base_of,
    front_of,
    scan,
    seen_in,
    settled_rows,
    timers,
    tried,
)
from terralab.describe import Control, HumidityTarget, Mist, Timer
from terralab.describe.hot import sends_heat_rays
from terralab.errors import TerralabError, TerralabWarning
from terralab.simulation.places import VISIBLE_FILM
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from tests.answers.faces import check
from tests.answers.plausible import drawn
from tests.asked import asked
from tests.keepers import keepers_box

# Drawn, but for 105 and 111: in these two of the first twenty keepers' boxes a mister helps.
KEEPERS = (101, 103, 105, 106, 109, 111)
PLAUSIBLE = (0, 3, 5, 8)


def fern() -> tl.Answer:
    return asked("mister", "fern-hollow", members=4)  # as the notebook on going away asks


@cache
def base(seed: int) -> Base:
    box = drawn(seed)
    return base_of(box, target_of(box)[0], nozzles_of(box, None, None), "now")


@cache
def scanned(seed: int) -> tuple[Tried, ...]:
    return tuple(scan(base(seed)))


@cache
def keepers(seed: int) -> tl.Answer:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.mister(keepers_box(seed), members=4)


def run_of(b: Base, plan: Plan) -> Record:
    return run_job(b.job(b.with_plan(plan)))


def hot_hours(box: tl.Box) -> set[int]:
    """Full hours at which glass is hot or about to be, worked out minute by minute from the timers alone."""
    hot = [one for one in (*box.routine.lamps, *box.routine.heaters) if sends_heat_rays(one)]
    hot = [one for one in hot if getattr(one, "place", "") != "wall"]
    on = np.zeros(24 * 60, bool)
    for device in hot:
        for start, end in device.timer.periods_s():
            on[int(start // 60) : int(np.ceil(end / 60))] = True
    near = on.copy()
    for minute in np.flatnonzero(on):
        near[np.arange(minute - 29, minute + 60) % on.size] = True
    return {hour for hour in range(24) if near[60 * hour]}


def holds_for(answer: tl.Answer, box: tl.Box) -> None:
    """What must hold for every answer, whatever the box."""
    check(answer)
    assert answer.closure_water <= 1e-9
    assert answer.closure_energy <= 1e-6
    if answer.value is None:
        assert target_of(box)[0] is None
        return
    assert answer.low <= answer.value <= answer.high
    if answer.value == 0.0:
        assert not answer.details["choices"]
        assert any(ch.isdigit() for ch in answer.reason)
        return
    rows = answer.table
    for one in answer.details["choices"]:
        row = next(
            r
            for r in rows
            if (r["seconds"], r["hours"], r["set_point"]) == (one["seconds"], one["hours"], one["set_point"])
        )
        assert row["allowed"]
        assert row["named"] == ", ".join(one["kinds"])
        assert not set(one["hours"]) & hot_hours(box)
        assert row["wet_h"] <= 18.0
        assert row["inside_h"] >= answer.details["without_typical"]["inside_h"] + 1.0 - 0.1
        assert one["gain_h"][1] >= 1.0 - 0.05
        assert one["pour_ml"] >= 0.0
        assert 1000.0 * one["tank_l"] >= answer.window["tank_days"] * one["ml"][2]
        others = [r for r in rows if r["allowed"] and r is not row]
        for other in others:  # on the trade-off front: nothing allowed is as good in all and better in one
            better = (other["inside_h"] - row["inside_h"], row["wet_h"] - other["wet_h"], row["ml"] - other["ml"])
            assert not (min(better) > -1e-9 and max(better) > 0.1), (row, other)
    for one in answer.details["choices"]:  # nor does a named one beat another over the draws
        for other in answer.details["choices"]:
            better = (other["inside_h"][1] - one["inside_h"][1], *(one[n][1] - other[n][1] for n in ("wet_h", "ml")))
            assert other is one or min(better) < 0.0 or max(better) < 0.1, (one, other)
    assert answer.details["choices"][0]["kinds"][0] == "balanced"
    every = [kind for one in answer.details["choices"] for kind in one["kinds"]]
    assert set(every) <= {"gentlest", "balanced", "dampest"}
    assert len(set(every)) == len(every)


@pytest.mark.parametrize("seed", KEEPERS)
def test_any_keepers_box_gets_an_answer_that_holds(seed: int) -> None:
    holds_for(keepers(seed), keepers_box(seed))


def test_the_demo_gets_choices_that_hold_and_the_soil_bears_them() -> None:
    answer = fern()
    box = tl.load("fern-hollow")
    holds_for(answer, box)
    assert answer.details["choices"]
    record = answer.record
    rows = settled_rows(record)
    assert roots_have_air(record, rows)
    assert top_suction_m(record, rows) < -DRY_HEAD_M
    assert np.min(record.gap_below_mesh_cm) > 0.0
    settled = base_of(box, target_of(box)[0], nozzles_of(box, None, None), "now")
    assert keeps_temperature(heat_of(record, rows), settled.heat)
    wet = 24.0 * (record.film("leaves")[rows] > VISIBLE_FILM).mean()
    assert wet <= 18.0
    h = hours(record, rows, target_of(box)[0])
    assert h["day inside"] + h["night inside"] > settled.seen.inside_h + 1.0


@pytest.mark.parametrize("seed", PLAUSIBLE)
def test_more_water_never_makes_air_or_soil_drier(seed: int) -> None:
    """The same bursts, each twice as long: the air's vapour, the films and the water in the soil can only grow.

    Below saturation a step of the air clock may err by some hundredths of a point.
    """
    b = base(seed)
    if not b.hours:
        pytest.skip("hot glass all day")
    at = spread(b.hours, min(3, len(b.hours)))
    runs = [run_of(b, Plan(b.nozzles, seconds, at)) for seconds in (5, 10, 20, 40, 80)]
    rows = settled_rows(runs[0])
    held = [r.stored_kg["soil"][-1] + r.stored_kg["reservoir"][-1] + r.moved_kg("siphoned").sum() for r in runs]
    rh = [float(r.humidity_shown[rows].mean()) for r in runs]
    given = [seen_in(r, b.target).ml for r in runs]
    for less, more in pairwise(range(len(runs))):
        assert given[more] == pytest.approx(2.0 * given[less], rel=1e-6)
        assert rh[more] >= rh[less] - 0.05
        assert held[more] >= held[less] - 1e-4


@pytest.mark.parametrize("seed", PLAUSIBLE)
def test_a_switch_never_takes_more_than_the_clock_with_the_same_bursts(seed: int) -> None:
    """It can only leave bursts out, and what it gives are whole bursts."""
    b = base(seed)
    rows = list(scanned(seed))
    clocked = {(one.plan.seconds, one.plan.hours): one for one in rows if one.plan.set_point is None}
    switched = [one for one in rows if one.plan.set_point is not None]
    assert switched or b.seen.dry_h < 1.0 or len(b.hours) < 4
    for one in switched:
        other = clocked[one.plan.seconds, one.plan.hours]
        assert one.seen.ml <= other.seen.ml + 1e-6
        low = min(b.target.day_low, b.target.night_low)
        assert one.plan.set_point >= low
        assert one.plan.control.on_at > low


def test_a_front_leaves_out_what_another_beats_and_nothing_else() -> None:
    seen = lambda inside, wet, ml: Tried(None, Seen(inside, 0, 0, wet, 0, ml, 0, 0, 0, 0), "")  # noqa: E731
    best, gentle, beaten, same = seen(20, 10, 100), seen(15, 2, 30), seen(15, 3, 30), seen(15, 2, 30)
    assert front_of([best, gentle, beaten, same]) == [best, gentle, same]


def made_up(inside: float, wet: float, ml: float) -> Choice:
    """A choice of which only what the draws say is known."""
    spans = {name: (value, value, value) for name, value in (("inside_h", inside), ("wet_h", wet), ("ml", ml))}
    return Choice((), None, 0.0, None, None, {}, 0.0, 0.0, spans)


@pytest.mark.parametrize(
    ("given", "named"),
    [
        # the first brings most of the gain with few wet hours, the last a little more with many
        ([(19, 4, 50), (16, 1, 20), (20, 12, 90)], [("balanced",), ("gentlest",), ("dampest",)]),
        # what seemed balanced brings too little over the draws
        ([(12, 0, 10), (20, 3, 50)], [("balanced", "gentlest", "dampest")]),
        # one that is beaten in everything is not named
        ([(19, 4, 50), (18, 5, 60)], [("balanced", "gentlest", "dampest")]),
        # the middle of the draws may lie under that without a mister though most draws gain
        ([(9, 4, 50)], [("balanced", "gentlest", "dampest")]),
    ],
)
def test_choices_are_named_by_what_the_draws_say(given: list, named: list) -> None:
    found = standing([made_up(*one) for one in given], (10.0, 10.0, 10.0))
    assert [tuple(map(str, one.kinds)) for one in found] == named


def test_the_tank_lasts_for_the_days_that_are_said_and_no_tank_of_a_third_does() -> None:
    answer = fern()
    days = answer.window["tank_days"]
    assert days == 14
    for share, lasts in ((1.0, True), (0.3, False)):
        box = answer.record.box
        tank = replace(box.routine.mists[0], tank_ml=1000.0 * share * answer.window["tank_l"])
        record = tl.simulate(replace(box, routine=replace(box.routine, mists=(tank,))), days, accuracy="preview")
        assert (tank.name not in record.ran_dry_h) is lasts
        assert record.closure_water <= 1e-9


def test_more_days_take_more_tank_and_the_same_plan() -> None:
    short, long = fern(), asked("mister", "fern-hollow", members=4, days=90)
    assert short.value == long.value
    assert short.window["tank_l"] < long.window["tank_l"]
    assert "90 days" in str(long)


def test_what_lands_adds_up_to_what_is_misted() -> None:
    for one in fern().details["choices"]:
        plan = (
            one["seconds"]
            * len(one["hours"])
            * fern().details["nozzles"]["ml_min"]
            * fern().details["nozzles"]["count"]
            / 60.0
        )
        assert sum(one["lands_ml"].values()) <= plan + 0.3
        if one["set_point"] is None:
            assert sum(one["lands_ml"].values()) == pytest.approx(plan, abs=0.3)


@pytest.mark.parametrize("name", ["moss-jar", "dry-ledge"])
def test_where_the_air_is_damp_enough_by_itself_no_mister_is_sold(name: str) -> None:
    answer = asked("mister", name, members=4)
    holds_for(answer, tl.load(name))
    assert answer.value == 0.0
    assert "out" in answer.text("short")
    assert "h a day in the band" in answer.reason
    assert "°C" in answer.text("short")


def test_a_closed_box_is_told_that_more_water_makes_it_worse() -> None:
    box = tl.load("fern-hollow").change(
        **{
            "routine.fans": [],
            "enclosure.openings.lid.covered": "100 %",
            "enclosure.openings.front vent.covered": "100 %",
        }
    )
    answer = tl.mister(box, members=4)
    holds_for(answer, box)
    assert answer.value == 0.0
    assert "worse" in answer.reason


def test_without_a_band_there_is_no_number_and_what_to_do_is_said() -> None:
    box = tl.load("fern-hollow").change(group="")
    answer = tl.mister(box, members=4)
    holds_for(answer, box)
    assert answer.value is None
    assert "group or a band" in str(answer)


def test_a_soil_that_drowns_without_a_mister_comes_first() -> None:
    answer = keepers(103)
    assert answer.value == 0.0
    assert "rescue" in str(answer)


def test_soil_that_is_to_stay_dry_stays_dry() -> None:
    answer = keepers(111)
    assert kept_dry(answer.record.box)
    assert answer.value > 0.0
    assert all(one["pour_ml"] == 0.0 for one in answer.details["choices"])
    assert top_suction_m(answer.record, settled_rows(answer.record)) >= -DRY_HEAD_M


def test_no_burst_falls_near_hot_glass_and_none_is_tried_where_it_never_cools() -> None:
    glen = replace(tl.load("tall-glen"), group="", humidity_target=HumidityTarget(80, 95, 85, 100))
    b = base_of(glen, glen.humidity_target, nozzles_of(glen, None, None), "now")
    plans = timers(b)
    assert plans
    hot = hot_hours(glen)
    assert len(hot) > 6
    assert not {hour for plan in plans for hour in plan.hours} & hot
    always = glen.change(**{"routine.lamps.warm spot.timer": ["always"]})
    answer = tl.mister(always, members=4)
    assert answer.value == 0.0
    assert "hot glass" in answer.reason


def test_a_mister_that_is_there_is_taken_as_it_is_and_replaced() -> None:
    """The flow of its nozzles was caught by the keeper; its fog is not taken for mist."""
    f = tl.load("fern-hollow")
    own = Mist("rain", 50.0, Timer(("30 s every 6 h",)))
    fog = Mist("fogger", 20.0, Timer(("10 min every 2 h",)), Control("humidity", "below", 85.0, 5.0, 1.0), 0.9)
    kept = tl.mister(replace(f, routine=replace(f.routine, mists=(own,))), members=4)
    assert kept.details["nozzles"]["ml_min"] == 50.0
    assert '"rain"' in kept.text("all")
    fogged = tl.mister(replace(f, routine=replace(f.routine, sprays=(), mists=(fog,))), members=4)
    assert fogged.details["nozzles"]["ml_min"] == 80.0
    assert fogged.details["now"]["ml"][1] > 0.0
    for answer in (kept, fogged):
        check(answer)
        assert len(answer.record.box.routine.mists) == 1
        assert not answer.record.box.routine.sprays


def test_a_name_that_a_lamp_has_is_not_taken() -> None:
    f = tl.load("fern-hollow")
    lamp = replace(f.routine.lamps[0], name="mister")
    box = replace(f, routine=replace(f.routine, lamps=(lamp,)))
    assert nozzles_of(box, None, None).name != "mister"


def test_cautions_stand_beside_it_and_nothing_is_buried() -> None:
    text = fern().text("all")
    for word in (
        "Legionella",
        "residual-current",
        "drip loops",
        "electrician",
        "vet",
        "under pressure",
        "lime",
        "buried",
    ):
        assert word in text, word
    assert fern().details["drip"]["ml"] > 0.0
    assert "drip on the soil instead" in text


def test_other_seasons_and_nozzles_can_be_asked_for() -> None:
    winter = tl.mister(tl.load("fern-hollow"), "winter", members=4, nozzles=1, nozzle_ml_min=60.0)
    check(winter)
    assert "winter" in winter.text("short").splitlines()[0]
    assert winter.details["nozzles"]["count"] == 1
    assert winter.details["nozzles"]["ml_min"] == 60.0


@pytest.mark.parametrize(
    "wrong",
    [{"days": 0}, {"days": 91}, {"season": "spring"}, {"nozzles": 0}, {"nozzle_ml_min": 0.0}, {"members": 1}],
)
def test_what_cannot_be_is_refused_in_words(wrong: dict) -> None:
    with pytest.raises(TerralabError):
        tl.mister(tl.load("moss-jar"), **wrong)
    with pytest.raises(TerralabError):
        tl.mister("moss-jar")


def test_a_plan_says_its_bursts_to_the_engine() -> None:
    """Seconds, flow and hours of the plan are what the run gives, day after day."""
    b = base(0)
    plan = Plan(b.nozzles, 20, (6, 13, 23))
    found = tried(b, [plan])[0]
    assert found.seen.ml == pytest.approx(plan.most_ml, rel=1e-6)
    assert plan.pause_h == 7
    for at, pause in (((20,), 24), ((20, 2), 6), ((22, 4, 10, 20), 2)):
        assert replace(plan, hours=at).pause_h == pause
    assert run_job(Job(b.with_plan(plan), 2, accuracy="preview")).closure_water <= 1e-9


def test_a_tank_that_could_flood_the_box_is_not_what_the_screen_says_to_take() -> None:
    """For three months the tank would hold more than fits under the mesh: the screen names one that fits, with its reserve."""
    answer = asked("mister", "fern-hollow", members=4, days=90)
    said_l = float(re.search(r"a tank of at most ([0-9.]+) l, filled every", " ".join(str(answer).split()))[1])
    assert 0.0 < said_l <= (1.0 - RESERVE) * litres_under_mesh(answer.record, 6.0) < answer.window["tank_l"]
    assert f"{answer.window['tank_l']:.1f} l of tank" not in answer.text("short")


def test_hours_lost_in_some_boxes_are_no_gain() -> None:
    one = Choice((), None, 0.0, None, None, {}, 0.0, 0.0)
    assert replace(one, spans={"gain_h": (0.0, 1.2, 5.0)}).gains
    assert not replace(one, spans={"gain_h": (-3.0, 1.3, 7.0)}).gains
    assert not replace(one, spans={"gain_h": (0.0, 0.9, 7.0)}).gains
