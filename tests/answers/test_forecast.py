"""The next weeks: laws over keepers' boxes, a course that is cut and resumed, one number for the pour, and what is refused."""

from __future__ import annotations

import itertools
import json
import math
import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.balance import with_pour
from terralab.answers.common.ensemble import Course
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.recommended import typical_ml
from terralab.answers.common.rounding import jug
from terralab.answers.common.statement import Kind, Verdict
from terralab.answers.forecast.course import (
    DAMP,
    DRY,
    HUMIDITY,
    MESH,
    TOP,
    WILTING,
    course_of,
    courses,
    depths_of,
    facts_of,
    whens_of,
)
from terralab.answers.forecast.forecast import WITH, forecast
from terralab.describe import Box, HumidityTarget, Start
from terralab.describe.trial import Trial
from terralab.errors import TerralabError, TerralabWarning
from terralab.uncertainty import ensemble
from tests.answers.faces import check
from tests.keepers import keepers_box

FEW = {"members": 4, "pour_members": 4}
#: Drawn, not chosen: with and without a layer, plants, mosses, a mister, soil that is to stay dry.
SEEDS = (3, 7, 12)
SLOW_SEED = pytest.param(2, marks=pytest.mark.slow)  # a box of very many air steps
MEMBERS = 4


@pytest.fixture(scope="module")
def fern() -> Box:
    return tl.load("fern-hollow")


def asked(box: Box, *args, **more) -> tl.Answer:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return forecast(box, *args, **{**FEW, **more})


def same(one: np.ndarray, other: np.ndarray, name: str) -> None:
    """Courses of the same runs: means by depth are matrix products, which round as the number of rows has it."""
    np.testing.assert_allclose(one, other, rtol=1e-12, atol=1e-12, err_msg=name)


def changed(box: Box, **changes) -> Box:
    """The box with some entries changed, whatever `check` would ask about it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return box.change(**changes)


# ---- laws over keepers' boxes


@pytest.fixture(scope="module", params=[*SEEDS, SLOW_SEED])
def poured(request) -> list:
    """The same draws of a box for three weeks from drained soil: nothing poured, the loss poured, three times the loss."""
    box = Trial.of(keepers_box(request.param), start=Start("drained-moist"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        found = ensemble(box, MEMBERS)
        ml = max(typical_ml(box), 20.0)
        return [courses(with_pour(box, share * ml), 21, "now", found, Course()) for share in (0.0, 1.0, 3.0)]


def test_more_pour_dries_nothing_earlier_and_brings_water_to_the_mesh_no_later(poured) -> None:
    for less, more in itertools.pairwise(poured):
        for name in (TOP, WILTING):
            assert np.all((less.results[name] <= more.results[name]) | np.isnan(less.results[name])), name
        assert np.all((less.results[MESH] >= more.results[MESH]) | np.isnan(less.results[MESH]))
        assert np.all(less.results["litres"] <= more.results["litres"] + 1e-6)


def test_days_stand_in_order(poured) -> None:
    for sample in poured:
        got = sample.results
        assert np.all((got["thirst"] <= got[WILTING]) | np.isnan(got[WILTING]))
        np.testing.assert_array_equal(got[HUMIDITY], np.fmin(got[DRY], got[DAMP]))
        for name, when in whens_of(sample, 21).items():
            ends = [math.inf if day is None else day for day in when.span]
            assert ends == sorted(ends), name
            assert 0.0 <= when.share <= 1.0
            # with four draws half of them are two, and the soonest tenth is the soonest of them
            assert not when.comes or when.share >= 0.5
            assert when.may_come == (when.share > 0.0) or when.share < 0.25


def test_a_course_is_what_its_words_say(poured) -> None:
    """The top is dry from the row on which its suction passes 1 m; water by depth lies within the pores."""
    for sample in poured:
        got = sample.results
        for day, suction in zip(got[TOP], got["suction top"], strict=True):
            first = np.flatnonzero(suction >= 1.0)
            # courses keep a row every six hours
            assert (
                (len(first) == 0 and day > 20.7)
                or (len(first) and 0.0 <= got["time"][0][first[0]] - day <= 0.25)
                or (math.isfinite(day) and len(first) == 0)
            )
        for name in got:
            if name.startswith("water ") and got[name].ndim == 2:
                assert np.nanmin(got[name]) >= 0.0
                assert np.nanmax(got[name]) <= 100.0


@pytest.mark.parametrize("seed", SEEDS)
def test_the_books_close_and_every_face_says_the_same(seed) -> None:
    box = keepers_box(seed)
    answer = asked(box, 7, members=2, pour_members=2)
    assert answer.closure_water < 1e-9
    assert answer.closure_energy < 1e-6
    check(answer)
    assert "°C" in answer.text("all")
    json.loads(answer.json())


def test_a_narrower_band_is_left_no_later(fern) -> None:
    record = tl.simulate(fern, 6, record_every_min=60)
    days = []
    for low in (50.0, 70.0, 80.0, 88.0, 95.0):
        band = HumidityTarget(day_low=low, day_high=100.0, night_low=low, night_high=100.0)
        days.append(facts_of(replace(record, box=Trial.of(fern, humidity_target=band)))[DRY])
    assert days == sorted(days, reverse=True)
    assert days[0] == math.inf
    assert days[-1] < 1.0


def test_more_days_say_the_same_of_those_they_share(fern) -> None:
    dry = changed(fern, **{"room.humidity": "25 %", "routine.pours": [], "start.soil": "dry"})
    short, long = (asked(dry, days).sample.results for days in (4, 8))
    for name in (TOP, WILTING, DRY, "water top", "rh day"):
        a, b = short[name], long[name]
        if a.ndim == 2:
            same(a, b[:, : a.shape[1]], name)
        else:
            assert np.all((a == b) | (np.isinf(a) & (b > 4.0)) | np.isnan(a))


# ---- from how it is


def test_it_starts_from_how_the_soil_is_not_from_what_is_wanted(fern) -> None:
    first = {
        soil: asked(changed(fern, **{"start.soil": soil}), 2).table[0]["water top"][1]
        for soil in ("dry", "drained-moist", "wet")
    }
    assert first["dry"] < first["drained-moist"] < first["wet"]


def same_tail(tail: tl.Answer, whole: tl.Answer, days: int) -> None:
    """The courses of `tail` are the last of `whole`, and the water in every cell is so to the last bit."""
    got, all_ = tail.sample.results, whole.sample.results
    for name, rows in got.items():
        if rows.ndim != 2 or name.startswith(WITH) or "time" in name:
            continue
        same(rows, all_[name][:, -rows.shape[1] :], name)
    np.testing.assert_array_equal(tail.record.cell_water_m, whole.record.cell_water_m[-len(tail.record.cell_water_m) :])
    assert tail.details["begins_day"] == days
    assert got["litres"].tolist() == all_["litres"].tolist()


def test_a_forecast_that_goes_on_from_a_record_is_that_from_the_beginning(fern, tmp_path) -> None:
    """To the last bit where its rows are as far apart as those of a forecast: rows end steps of time."""
    record = tl.simulate(fern, 3, record_every_min=fair_rows_min(fern, 60.0))
    whole = asked(fern, 7)
    same_tail(asked(fern, 4, start=record), whole, 3)
    path = record.save(tmp_path / "three-days.npz")
    same_tail(asked(fern, 4, start=path), whole, 3)
    longer = tl.simulate(fern, 1, start=record, record_every_min=fair_rows_min(fern, 60.0))
    same_tail(asked(fern, 3, start=longer), whole, 4)


def test_a_record_knows_its_own_events(fern, tmp_path) -> None:
    """One that has passed, one that lasts on past the end of the record, and one that is still to come."""
    past = [tl.Event(1, 2, "no hand"), tl.Event("day 3 06:00", 5, {"stuck off": fern.routine.lamps[0].name})]
    to_come = tl.Event(4, None, {"pour": "2 l"})
    record = tl.simulate(fern, 3, events=past, record_every_min=fair_rows_min(fern, 60.0))
    path = record.save(tmp_path / "events.npz")
    tail = asked(fern, 3, start=path, events=[to_come])
    same_tail(tail, asked(fern, 6, events=[*past, to_come]), 3)
    assert tail.details["events"] == 3
    assert "the events given" in tail.text("short")


@pytest.mark.parametrize("seed", SEEDS[:2])
def test_that_holds_for_any_box(seed) -> None:
    box = keepers_box(seed)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        record = tl.simulate(box, 1.25, record_every_min=60)
    tail, whole = asked(box, 2, start=record, members=2).sample, asked(box, 4, members=2).sample
    for name in ("water whole", "water top", "water bottom", "suction roots"):
        if name in tail.results:
            rows = tail.results[name]
            same(rows, whole.results[name][:, 5 : 5 + rows.shape[1]], name)


def test_what_a_forecast_cannot_go_on_from(fern, tmp_path) -> None:
    record = tl.simulate(fern, 1, record_every_min=60)
    winter = tl.simulate(fern, 1, "winter", start=record, record_every_min=60)
    resumed = tl.simulate(fern, 1, start=winter, record_every_min=60)
    refused = {
        "cannot be run again from its beginning": resumed,
        "numbers of its own": tl.simulate(fern, 1, overrides={"leakage.ach": "high"}, record_every_min=60),
        "full hour": tl.simulate(fern, 0.25 / 24.0),
        "another box": tl.simulate(tl.load("moss-jar"), 1, record_every_min=60),
        "There is no file": tmp_path / "none.npz",
        "must be a Record": 7,
    }
    for words, start in refused.items():
        with pytest.raises(TerralabError, match=words):
            asked(fern, 2, start=start)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"days": 0}, "days"),
        ({"days": 2.5}, "days"),
        ({"days": 4000}, "days"),
        ({"season": "spring"}, "season"),
        ({"members": 1}, "members"),
        ({"events": "no hand"}, "events"),
    ],
)
def test_what_is_refused(fern, more, words) -> None:
    with pytest.raises(TerralabError, match=words):
        asked(fern, **more)


# ---- the recommended pour beside it


def test_the_pour_beside_it_is_that_of_daily_water(fern) -> None:
    thirsty = changed(fern, **{"routine.pours": []})
    answer, water = asked(thirsty, 3, season="now"), tl.daily_water(thirsty, members=4)
    assert answer.details["pour"] == {"ml": water.value, "low": water.low, "high": water.high, "as now": False}
    assert f"our {water.value:.0f} ml a day" in answer.text("short")
    assert f"is {water.value:.0f} ml a day" in answer.text("all")
    winter = asked(thirsty, 3, season="winter")
    assert winter.details["pour"]["ml"] == water.seasons["winter"]["value"]


def test_who_pours_what_is_recommended_is_told_so(fern) -> None:
    ml = asked(fern, 2).details["pour"]["ml"]
    assert ml == jug(ml)
    same = changed(fern, **{"routine.pours.1.amount": f"{ml:.0f} ml"})
    answer = asked(same, 3)
    assert answer.details["pour"]["as now"]
    assert answer.details["limits"] == answer.details["limits with the pour"]
    assert "That is the recommended pour." in " ".join(answer.text("short").split())
    assert not answer.of_kind(Kind.WINDOW)


def test_soil_that_is_to_stay_dry_has_no_day_on_which_it_dries() -> None:
    answer = asked(tl.load("dry-ledge"), 5)
    assert answer.value is answer.low is answer.high is None
    assert "dry" in answer.reason or "holds" in answer.reason
    assert "top" not in " ".join(line for one in answer.of_kind(Kind.DO) for line in one.under)
    assert answer.verdict is not Verdict.TOO_DRY


def test_what_is_dry_now_is_soaked_first(fern) -> None:
    answer = asked(changed(fern, **{"start.soil": "dry"}), 5)
    assert answer.value == 0.0
    assert answer.verdict is Verdict.TOO_DRY
    assert "oak the dry soil first" in answer.text("short")
    # the course with the pour is that after the soak
    assert answer.details["limits with the pour"][TOP] == [None, None, None]


def test_a_box_that_floods_is_told_when(fern) -> None:
    answer = asked(changed(fern, **{"routine.pours.1.amount": "1 l", "routine.siphons": []}), 21)
    low, middle, high = answer.details["limits"][MESH]
    assert 0.0 < low <= middle <= (high or math.inf) <= math.inf
    assert middle < 21.0
    assert answer.verdict is Verdict.NO_AIR
    assert "water at the mesh: after" in answer.text("short")
    assert "siphon before that" in answer.text("short")
    (water,) = answer.of_kind(Kind.EXPLAINED)
    assert "over the mesh then (" in water.said()
    assert "-" not in water.said()
    for one in answer.of_kind(Kind.TABLE):
        for row in [*one.lines()[1:], *one.lines(us=True)[1:]]:
            assert len(row) <= 79  # the width of a screen: a longer row of a table would be broken
            assert "  " in row.strip().partition(")")[2] or row.count("(") == row.count(")") == 0


def test_a_hot_room_is_said_first(fern) -> None:
    answer = asked(changed(fern, **{"room.temperature": "33 C"}), 3)
    assert answer.heat["too_hot"]
    for view in ("short", "all"):
        assert "oo hot for these" in answer.lines(view)[1]


def test_a_power_cut_to_come_is_a_danger_to_come(fern) -> None:
    """What is dangerous for some hours on the way is told, though the end of the weeks is as ever."""
    cold = changed(fern, **{"room.temperature": "10 C", "routine.heaters": [
        {"name": "mat", "kind": "heat mat under floor", "power": "150 W", "timer": ["always"],
         "control": {"senses": "temperature", "on": "below", "set_point": "22 C", "hysteresis": "1 K"}}]})  # fmt: skip
    cut = tl.Event(3, 4, "power off")
    calm, dark = (asked(cold, 7, events=events).sample.results["danger"] for events in ((), (cut,)))
    assert np.all(dark <= calm)
    assert np.all(dark > 2.9)


def test_depths_lie_within_the_soil_and_a_thin_one_is_one() -> None:
    for seed in range(12):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            record = tl.simulate(keepers_box(seed), 1, accuracy="preview", record_every_min=60)
        spans = depths_of(record)
        assert ("whole" in spans) == (record.cells_deep_cm <= 3.0)
        assert all(0.0 <= a < b <= record.cells_deep_cm + 1e-9 for a, b in spans.values())
        course = course_of(record)
        assert all(np.all(np.isfinite(values)) for values in course.values())
        assert len(course["rh day"]) == 1
        assert course["rh day"][0] == pytest.approx(
            record.humidity_shown[np.arange(9, 21)].mean()
            if record.box.humidity_target is None
            else course["rh day"][0]
        )
