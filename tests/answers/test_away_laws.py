"""Laws of an absence: more water is never drier, longer is never safer, what is recommended is never more dangerous."""

from __future__ import annotations

import warnings
from itertools import pairwise

import numpy as np
import pytest

import terralab as tl
from terralab.answers.away.absence import (
    DANGER,
    DISH_DRY,
    HORIZON,
    NOTHING,
    TOP_DRY,
    WORSE_AIR,
    Absence,
    days_of,
    refills,
)
from terralab.answers.away.judged import tried_all
from terralab.answers.away.preparations import (
    Prep,
    Visit,
    least_gap_cm,
    preparations,
    visit_days,
    visits_on,
    visits_plan,
)
from terralab.answers.common.limits import OUT_OF_BAND, limits_of
from terralab.answers.common.temperature import heat_of, worse_than
from terralab.answers.common.vessels import dish_dry_day
from terralab.answers.fans.fresh_air import STUFFY_PPM, breathed, sources
from terralab.describe.hot import hot_at_lid
from tests.keepers import keepers_box

MISTER = {"name": "mister", "flow": "60 ml/min", "timer": ["1 min every 6 h"], "tank": "1 l"}


def changed(name: str, **changes: object) -> tl.Box:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.load(name).change(**changes)


@pytest.fixture(scope="module")
def thirsty() -> Absence:
    """A thin soil under open mesh and a fan in a warm dry room, which dries within about a week."""
    box = changed(
        "fern-hollow",
        **{
            "enclosure.layers.1.depth": "2 cm",
            "enclosure.plants.root_depth": "1.5 cm",
            "enclosure.cover": None,
            "enclosure.drainage.level": "0 cm",
            "enclosure.openings.lid.covered": 0.0,
            "room.temperature": "26 C",
            "room.humidity": "20 %",
            "routine.pours.1.amount": "300 ml",
            "routine.fans.1.timer": ["always"],
        },
    )
    return Absence(box, 14, "now", 6)


def test_a_visit_never_brings_dryness_nearer_in_any_draw(thirsty: Absence) -> None:
    alone = thirsty.branch(NOTHING, 14)
    dry = alone.first((TOP_DRY,))
    assert np.isfinite(dry).any()  # else this shows nothing
    for day in (1, 3):
        visits = visits_on(thirsty, [day])
        assert visits[0].ml > 0.0
        visited = thirsty.branch(visits_plan(thirsty.box, visits), 14).first((TOP_DRY,))
        assert (visited >= dry - 1e-9).all()
    assert (visited > dry).any()


def test_more_poured_never_dries_sooner(thirsty: Absence) -> None:
    days = [
        thirsty.branch(visits_plan(thirsty.box, (Visit(2, ml),)), 10).first((TOP_DRY,)) for ml in (50.0, 200.0, 500.0)
    ]
    for less, more in pairwise(days):
        assert (more >= less - 1e-9).all()


def test_a_longer_absence_has_never_a_better_chance(thirsty: Absence) -> None:
    alone = thirsty.branch(NOTHING, 14)
    for names in (DANGER, OUT_OF_BAND, WORSE_AIR, alone.harms):
        assert np.all(np.diff(alone.course(names, 14)) <= 0.0)
    assert alone.chance(DANGER, alone.longest()) >= 0.9
    assert alone.longest() == 14 or alone.chance(DANGER, alone.longest() + 1) < 0.9
    short = tl.away(thirsty.box, 2, prepare=False, members=6)
    longer = tl.away(thirsty.box, 9, prepare=False, members=6)
    for name, chance in short.details["chances"]["as_asked"].items():
        assert longer.details["chances"]["as_asked"][name] <= chance


def test_what_happens_in_the_first_days_does_not_depend_on_how_long_one_looks(thirsty: Absence) -> None:
    near, far = (thirsty.branch(NOTHING, days) for days in (6, 12))
    for name in DANGER:
        if name in near.sample.results:
            assert np.array_equal(np.minimum(near.sample.results[name], 5.9), np.minimum(far.sample.results[name], 5.9))


def test_a_tank_twice_as_large_never_runs_dry_sooner() -> None:
    """Ran by a timer it lasts twice as long, counted from when it was full: two days before leaving."""
    days = {}
    for litres in (1, 2):
        mist = MISTER | {"tank": f"{litres} l"}
        absence = Absence(changed("moss-jar", **{"routine.mists": [mist | {"flow": "20 ml/min"}]}), 14, "now", 3)
        days[litres] = 2.0 + absence.branch(NOTHING, HORIZON).first(("tank dry: mister",))
    assert (days[2] >= days[1]).all()
    assert days[2] == pytest.approx(2.0 * days[1], abs=0.3)


def test_a_dish_that_is_empty_gives_off_nothing_and_counts_as_dry_until_it_is_filled() -> None:
    box = changed("dry-ledge", **{"enclosure.dish": {"area": "40 cm2", "depth": "4 mm"}})
    absence = Absence(box, 9, "now", 2)
    record = absence.typical(NOTHING, 9)
    dry = dish_dry_day(record)
    assert 0.0 < dry < 8.0
    after = record.times_days - record.times_days[0] > dry + 1.0
    assert 1000.0 * record.stored_kg["dish"][after].max() < 0.5  # ml
    assert abs(1000.0 * record.moved_kg("dish_evaporation")[after].sum()) < 0.5
    assert record.moved_kg("refilled").sum() == 0.0
    filled = absence.typical(visits_plan(box, (Visit(2, 0.0),)), 9)
    assert filled.moved_kg("refilled").sum() > 0.0
    assert dish_dry_day(filled) >= min(dry, 1.0)
    each_day = absence.branch(visits_plan(box, tuple(Visit(day, 0.0) for day in range(1, 10))), 9)
    assert (each_day.first((DISH_DRY,)) >= absence.branch(NOTHING, 9).first((DISH_DRY,))).all()
    assert len(refills(box, 1.0)) == 1


def test_a_helper_comes_before_dish_and_tank_are_dry_in_any_draw() -> None:
    box = changed("dry-ledge", **{"enclosure.dish": {"area": "40 cm2", "depth": "16 mm"}})
    absence = Absence(box, 12, "now", 4)
    topped = absence.branch(NOTHING, 12)
    days = visit_days(topped, 12)
    assert days == tuple(sorted(set(days)))
    visited = absence.branch(visits_plan(box, visits_on(absence, days)), 12)
    assert not any(visit.ml for visit in visits_on(absence, days))  # this soil is kept dry
    assert visited.chance((DISH_DRY,)) >= topped.chance((DISH_DRY,))
    assert visited.chance((DISH_DRY,)) == 1.0


def test_what_is_the_same_at_home_is_no_worse(thirsty: Absence) -> None:
    """A day at home held against itself is never worse, however far it is out of the band."""
    home = thirsty.typical_home
    assert any(limits_of(home).share(name) > 0.1 for name in OUT_OF_BAND)
    found = days_of(home, limits_of(home))
    assert all(np.isinf(found[name]) for name in WORSE_AIR)


def test_neither_soak_nor_filling_comes_nearer_the_mesh_than_is_right() -> None:
    box = tl.load("fern-hollow")
    absence = Absence(box, 14, "now", 2)
    base = absence.branch(NOTHING, 14)
    seen = set()
    for prep in preparations(absence, base, base, ()):
        if prep.kind in (Prep.SOAK, Prep.FILL):
            seen.add(prep.kind)
            record = absence.typical(prep.plan, 14)
            assert record.gap_below_mesh_cm.min() >= least_gap_cm(box) - 0.1
            assert record.water_budget().closure < 1e-9
    assert seen == {Prep.SOAK, Prep.FILL}


def test_a_lid_with_a_hot_lamp_or_sun_is_never_covered() -> None:
    sunny = changed("fern-hollow", **{"room.sun": {"times": ["08:00-09:00"], "share": "20 %", "wall": "front"}})
    for box in (tl.load("dry-ledge"), sunny):
        absence = Absence(box, 3, "now", 2)
        base = absence.branch(NOTHING, 3)
        covers = [one for one in preparations(absence, base, base, ()) if one.kind is Prep.COVER]
        assert [bool(one.refused) for one in covers] == [True]


def test_a_lid_is_never_covered_until_the_air_of_animals_is_stuffy() -> None:
    """A frog box with a narrow lid and tight gaps: what `fan_schedules` would call too little fresh air is not prepared."""
    narrow = {
        "enclosure.leakage": "0.2 per hour",
        "enclosure.openings.lid.height": "6 cm",
        "enclosure.openings.lid.covered": 0.0,
        "enclosure.openings.front vent.height": "0.2 cm",
        "routine.fans": None,
    }
    shares = {}
    for group in ("rainforest-floor small frogs", "mosses"):
        box = changed("fern-hollow", **narrow, group=group)
        absence = Absence(box, 3, "now", 2)
        base = absence.branch(NOTHING, 3)
        (cover,) = (one for one in preparations(absence, base, base, ()) if one.kind is Prep.COVER)
        shares[group] = cover.amounts.get("share", 0.0)
        if group != "mosses":
            carbon = breathed(absence.typical(cover.plan, 3), sources(box)["all"])["co2_ppm"]
            assert carbon <= max(STUFFY_PPM, breathed(base.record, sources(box)["all"])["co2_ppm"] + 1.0)
            assert "fresh air" in cover.refused
    assert shares["mosses"] > shares["rainforest-floor small frogs"]


@pytest.mark.parametrize("drained", [True, False])
def test_no_tank_is_recommended_that_could_flood_the_box(drained: bool) -> None:
    """What would be needed for two weeks does not fit into a small jar, with a layer below or without one."""
    mist = MISTER | {"flow": "20 ml/min"}
    more = {} if drained else {"enclosure.drainage": None, "enclosure.mesh_barrier": False}
    absence = Absence(changed("moss-jar", **{"routine.mists": [mist]}, **more), 14, "now", 2)
    base = absence.branch(NOTHING, 14)
    (tank,) = (one for one in preparations(absence, base, base, ()) if one.kind is Prep.TANK)
    assert "could flood" in tank.refused
    assert not tank.plan.before


@pytest.mark.parametrize("seed", [1, 5, 8, 11, 17])
def test_what_is_recommended_is_never_more_dangerous_and_passes_the_gate(seed: int) -> None:
    """Random keepers' boxes: nothing recommended is hotter, covers a hot lid, or costs safety."""
    box = keepers_box(seed)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        answer = tl.away(box, 6, members=4)
    before, after = (answer.details["chances"][which] for which in ("as_asked", "prepared"))
    for name in before:
        if name.startswith("not ") or name == "out of danger":
            assert after[name] >= before[name], name
    chosen = [row["name"] for row in answer.table if row["recommended"]]
    assert chosen == answer.details["prepared"]
    assert not (hot_at_lid(box) and str(Prep.COVER) in chosen)
    assert answer.window["prepared"] >= 0
    assert len(str(answer).splitlines()) >= 4
    plain = Absence(box, 6, "now", 2).typical(NOTHING, 6)
    rows = np.arange(len(plain.times_s) - 72, len(plain.times_s))
    assert not worse_than(heat_of(answer.record, rows), heat_of(plain, rows))


def test_nothing_is_tried_twice_and_the_best_stands_first(thirsty: Absence) -> None:
    tried = tried_all(thirsty, thirsty.branch(NOTHING, HORIZON), ())
    kinds = [one.prep.kind for one in tried]
    assert len(set(kinds)) == len(kinds)
    gains = [one.gain for one in tried if one.recommended]
    assert gains == sorted(gains, reverse=True)
    assert [one.recommended for one in tried] == sorted((one.recommended for one in tried), reverse=True)


def test_a_draw_that_an_event_changes_says_nothing_of_numbers_that_nobody_typed() -> None:
    """The draws are run in several threads, and a drawn flow may be more than the box takes at once."""
    mist = {"name": "mister", "flow": "30 ml/min", "timer": ["08:00-20:00"], "tank": "2 l"}
    mist["control"] = {"senses": "humidity", "on": "below", "set_point": "80 %", "hysteresis": "6"}
    box = changed("fern-hollow", **{"routine.mists": [mist]})
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always", tl.TerralabWarning)
        tl.away(box, 3, members=8)
    assert [str(one.message) for one in told if issubclass(one.category, tl.TerralabWarning)] == []
