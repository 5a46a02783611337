"""How the soil is now and how it is to be kept are two things: a dry start must not make a desert of a humid box."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext

import pytest

import terralab as tl
from terralab import materials
from terralab.answers.common.balance import begun_as_kept, kept_dry, with_pour
from terralab.answers.common.recommended import recommended
from terralab.answers.drainage.bottoms import compare
from terralab.answers.fans.fan_schedules import fan_schedules
from terralab.answers.together.plan import week_plan
from terralab.describe import Box
from terralab.describe.files import dumps, loads
from terralab.describe.wanted import soil_contradiction, soil_wanted
from tests.answers.plausible import drawn, pot

GROUPS = materials.names("groups")
HUMID = tuple(name for name in GROUPS if materials.get("groups", name)["soil_moist"].low == 1.0)


def small(**changes: object) -> Box:
    """A small jar that runs quickly, with a group and whatever else is changed; its summer bears no salamanders."""
    return tl.load("moss-jar").change(**{"room.summer": None, **changes})


@pytest.mark.parametrize("seed", range(8))
def test_a_dry_and_a_drained_start_give_the_same_pour(seed: int) -> None:
    """What balances a day depends on how the soil is kept, not on how it happened to be when the box was described."""
    box = drawn(seed)
    pours = [
        recommended(box.change(**{"start.soil": start}), "now", 4).typical_ml
        for start in ("dry", "drained-moist", "wet")
    ]
    assert pours[0] == pytest.approx(pours[1], rel=0.02, abs=1.0)
    assert pours[0] == pytest.approx(pours[2], rel=0.02, abs=1.0)


def test_every_answer_is_the_same_for_a_dry_start() -> None:
    """The water, the fans and the layer: a box that stood dry is soaked once, and then is a box like any other."""
    moist = small(group="ferns")
    dry = moist.change(**{"start.soil": "dry"})
    a, b = (tl.daily_water(box, members=4) for box in (moist, dry))
    assert (a.value, a.low, a.high, a.window, a.rh_day) == (b.value, b.low, b.high, b.window, b.rh_day)
    assert "Soak it once first" in b.text("all")
    assert "Soak it once first" not in a.text("all")
    a, b = (fan_schedules(box, members=2, pour_members=4) for box in (moist, dry))
    assert (a.details["choice"], a.value) == (b.details["choice"], b.value)
    assert a.rh_day == b.rh_day


def test_a_dry_start_of_a_humid_group_is_soaked_and_then_watered() -> None:
    dry = tl.load("fern-hollow").change(**{"start.soil": "dry"})
    water = tl.daily_water(dry, members=8)
    assert water.value > 20.0
    assert "stay dry" not in water.text("all")
    soak = tl.first_soak(dry, members=4)
    assert "nothing to soak" not in soak.text("all")
    amounts = {"now": water.value, **{season: found["value"] for season, found in water.seasons.items()}}
    plan = week_plan(dry, amounts, None, soak=soak)
    assert plan[0].what.startswith("First day, once: soak")
    pours = next(chore for chore in plan if chore.what == "Pour on the soil")
    assert pours.when != "never"
    assert all(day not in ("", "none") for day in pours.days)
    moist = week_plan(dry.change(**{"start.soil": "drained-moist"}), amounts, None, soak=soak)
    assert not any("soak" in chore.what for chore in moist)


@pytest.mark.parametrize("group", GROUPS)
def test_the_group_says_how_soil_is_kept_and_the_keeper_overrules_it(group: str) -> None:
    box = small(group=group, **{"start.soil": "dry"})
    assert soil_wanted(box) == ("dry" if group == "arid lizards" else "moist")
    for typed in ("moist", "dry"):
        with pytest.warns(tl.TerralabWarning) if typed == "dry" and group in HUMID else _nothing():
            assert soil_wanted(box.change(soil_wanted=typed)) == typed


def test_without_a_group_soil_is_kept_moist() -> None:
    assert soil_wanted(small(group="", **{"start.soil": "dry"})) == "moist"
    assert not kept_dry(small(group=""))


@pytest.mark.parametrize("group", HUMID)
def test_dry_soil_for_a_humid_group_is_contradicted_by_check(group: str) -> None:
    with pytest.warns(tl.TerralabWarning, match=f"Dry soil is wrong for {group}"):
        box = small(group=group, soil_wanted="dry")
    assert soil_contradiction(box)
    assert "to be kept dry, as you wrote" in box.describe()


@pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
def test_dry_soil_for_a_humid_group_is_obeyed_and_contradicted_in_the_first_lines_of_every_answer() -> None:
    box = pot("sandy mix", layer=False, soil_wanted="dry")
    answers = (tl.daily_water(box, members=4), tl.first_soak(box, members=4), tl.rescue(box, members=2))
    assert answers[0].value == 0.0
    for answer in answers:
        head = answer.sentences[1 : 1 + len(answer.first)]
        assert any("Dry soil is wrong for rainforest-floor small frogs" in line for line in head), answer.question
    assert "nothing to soak" in answers[1].text("all")
    plan = week_plan(box, dict.fromkeys(("now", "winter", "summer"), 0.0), None, first=answers[0].first)
    assert any("Dry soil is wrong" in chore.when for chore in plan[: len(answers[0].first)])


def test_a_desert_by_its_group_is_not_contradicted_and_means_what_it_meant() -> None:
    ledge = tl.load("dry-ledge")
    assert kept_dry(ledge)
    assert not soil_contradiction(ledge)
    for start in ("dry", "drained-moist"):
        assert begun_as_kept(ledge.change(**{"start.soil": start})).start.soil == "dry"
    assert with_pour(ledge, 0.0).start.soil == "dry"
    answer = tl.daily_water(ledge, members=2)
    assert answer.value == 0.0
    assert "The soil is to stay dry" in answer.reason


def test_a_soaked_start_stays_soaked_where_it_is_asked_about() -> None:
    soggy = small(**{"start.soil": "wet"})
    assert begun_as_kept(soggy) is soggy


def test_a_layer_is_sized_for_the_soil_as_it_is_kept() -> None:
    """Dry soil swallows all that is poured for weeks, so sizing from there would find that no layer is needed."""
    dry = drawn(0).change(**{"start.soil": "dry"})
    rows, _ = compare(begun_as_kept(dry), days=2, short=True)
    moist, _ = compare(dry.change(**{"start.soil": "drained-moist"}), days=2, short=True)
    assert rows == moist


def test_description_says_how_soil_is_now_and_how_it_is_kept() -> None:
    said = small(group="ferns", **{"start.soil": "dry"}).describe()
    assert "At the start the soil is dry" in said
    assert "to be kept moist, as ferns want it" in said


def test_the_entry_is_read_written_and_refused() -> None:
    box = small(soil_wanted="moist")
    assert Box.read(box.write()) == box
    assert loads(dumps(box)) == box
    assert "soil_wanted" not in small().write()
    moved = tl.load("fern-hollow").change(**{"routine.heaters.panel.place": "wall", "soil_wanted": "moist"})
    assert loads(dumps(moved)).routine.heaters[0].place == "wall"
    with pytest.raises(tl.DescriptionError, match="Known: moist, dry"):
        small(soil_wanted="damp")


def _nothing() -> AbstractContextManager[None]:
    return nullcontext()
