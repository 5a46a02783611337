"""Warmth is judged, comes first where it is wrong, and no advice leaves it: least of all a cover under a hot lamp."""

from __future__ import annotations

import json
import re
import warnings

import numpy as np
import pytest

import terralab as tl
from terralab import materials
from terralab.answers.common.heat_words import first_lines
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.temperature import Verdict, heat_of, judged, keeps_temperature, rank
from terralab.answers.fans.choice import first_of
from terralab.answers.fans.fan_schedules import covers_of
from terralab.answers.fans.schedules import shares_to_try
from terralab.answers.rescue.rescue import remedies
from terralab.answers.together.plan import week_plan
from terralab.answers.water.alternatives import find_alternative
from terralab.describe import Box, Heater, HumidityTarget, Lamp
from terralab.describe.hot import hot_at_lid, is_hot
from terralab.describe.wanted import Temperatures, temperatures_wanted
from terralab.quantities import said
from tests.answers.plausible import HUMID, drawn, pot

pytestmark = pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
FROGS = Temperatures(20, 26, 17, 24, least=12, most=28, surface_most=28, source="a test")
DAY = np.repeat([True, False], 48)
# a cover of the lid that is offered: "covering 90 % of the mesh", "cover 90 % of", "90 % covered"
OFFERS_A_COVER = re.compile(r"covering (the whole|only|\d)|[Cc]over \d+ % of the mesh|[1-9]\d* % covered")


def course(day: float, night: float, **more: np.ndarray | float) -> dict[str, np.ndarray]:
    """A day of quarter hours, twelve hours of each; ground and glass as the air unless given."""
    air = np.where(DAY, day, night).astype(float)
    return {part: np.asarray(more.get(part, air) + 0.0 * air) for part in ("air", "ground", "glass")}


def hot_room() -> Box:
    """A small jar for small frogs in a room of 30 °C."""
    return tl.load("moss-jar").change(**{"group": "rainforest-floor small frogs", "room.temperature": "30 C"})


@pytest.mark.parametrize(("night", "passes"), [(17.0, True), (16.98, True), (16.9, False), (23.9, True), (24.1, False)])
def test_nothing_is_recommended_that_is_shown_outside_what_is_wanted(night: float, passes: bool) -> None:
    """A tenth of a degree outside is no fault of a box, but no advice either: the screen shows it beside the band."""
    after = judged(course(23, night), DAY, FROGS)
    assert not after.hot
    assert not after.cold
    assert keeps_temperature(after, judged(course(23, 20), DAY, FROGS)) == passes
    assert keeps_temperature(after, after), "a box that is there already is no reason against all advice"


# ---- the verdict


@pytest.mark.parametrize(
    ("seen", "verdict"),
    [
        (course(23, 20), Verdict.FINE),
        (course(26.4, 24.4), Verdict.FINE),  # what a thermometer may be off
        (course(26.8, 20), Verdict.TOO_HOT),  # the mean by day
        (course(23, 24.8), Verdict.TOO_HOT),  # the mean by night
        (course(19, 20), Verdict.TOO_COLD),
        (course(23, 16), Verdict.TOO_COLD),
        (course(31, 20), Verdict.DANGEROUS),  # over the most for hours
        (course(23, 11), Verdict.DANGEROUS),
        (course(23, 20, ground=29.0), Verdict.TOO_HOT),
        (course(23, 20, glass=29.0), Verdict.TOO_HOT),
        (course(23, 20, ground=32.0), Verdict.DANGEROUS),
    ],
)
def test_the_rule(seen: dict, verdict: Verdict) -> None:
    assert judged(seen, DAY, FROGS).verdict is verdict


def test_peaks_count_beside_means() -> None:
    """Four hours far above the band on a cool day are too hot, though the mean is right; so is one short peak past the limit."""
    warm = course(22, 20)
    warm["air"][10:26] = 27.5
    assert warm["air"][DAY].mean() < 26.0
    assert judged(warm, DAY, FROGS).hot
    peak = course(22, 20)
    peak["air"][10:12] = 28.4
    found = judged(peak, DAY, FROGS)
    assert found.hot
    assert not found.danger
    peak["air"][10:12] = 31.5
    assert judged(peak, DAY, FROGS).danger


def test_warmer_is_never_judged_cooler() -> None:
    """A law: add a degree everywhere, and what was too hot stays so, and ranks no better."""
    last = (False, -1)
    for extra in np.arange(0.0, 12.0, 0.5):
        heat = judged(course(23 + extra, 20 + extra), DAY, FROGS)
        now = (heat.danger, rank(heat)[1])
        assert now >= last
        last = now
    assert last[0]


def test_nothing_is_judged_where_nothing_is_wanted() -> None:
    assert judged(course(45, 30), DAY, None).danger  # that is too hot for whoever lives there
    heat = judged(course(35, 30), DAY, None)
    assert heat.verdict is Verdict.UNKNOWN
    assert not heat.hot
    nobody = tl.load("dry-ledge").change(group="")
    assert first_lines(nobody, heat) == ()
    assert temperatures_wanted(nobody) is None


@pytest.mark.parametrize(
    ("demo", "changes", "by"),
    [
        ("moss-jar", {}, "mosses"),
        ("fern-hollow", {}, "ferns"),
        ("fern-hollow", {"enclosure.plants.kind": "spikemosses"}, None),
        ("fern-hollow", {"enclosure.cover.material": "sheet moss"}, "ferns and mosses"),
        ("dry-ledge", {}, None),
    ],
)
def test_where_no_animal_is_named_the_plants_are_asked(demo: str, changes: dict, by: str | None) -> None:
    """Their bands are those of the table; nothing is made up for plants that have none."""
    w = temperatures_wanted(tl.load(demo).change(group="", **changes))
    if by is None:
        assert w is None
        return
    assert w.by_plants == by
    assert w.whose == "these plants"
    bands = [materials.get("groups", name) for name in by.split(" and ")]
    assert w.day_low == max(band.typical("temp_low") for band in bands)
    assert w.day_high == min(band.typical("temp_high") for band in bands)
    assert w.most == min(band.typical("temp_most") for band in bands)


def test_the_gate() -> None:
    fine, warm, cold = (judged(course(*c), DAY, FROGS) for c in ((23, 20), (27, 20), (19, 18)))
    colder = judged(course(17.5, 17), DAY, FROGS)
    assert keeps_temperature(fine)
    assert not keeps_temperature(warm)
    assert not keeps_temperature(warm, warm)
    assert not keeps_temperature(cold, fine)
    assert keeps_temperature(cold, cold)  # a cool room does not forbid all advice
    assert not keeps_temperature(colder, cold)
    assert not keeps_temperature(judged(course(23, 20, ground=29.0), DAY, FROGS), fine)
    assert not keeps_temperature(judged(course(23, 20, glass=29.0), DAY, FROGS), fine)


# ---- what is wanted


@pytest.mark.parametrize("group", materials.names("groups"))
def test_every_group_has_bands_and_a_limit_in_order(group: str) -> None:
    w = temperatures_wanted(tl.load("moss-jar").change(group=group))
    assert w.least < min(w.day_low, w.night_low)
    assert w.day_low < w.day_high <= w.most <= w.surface_most
    assert w.night_low < w.night_high <= w.most
    assert str(round(w.most)) in w.in_words()


def test_basking_groups_may_have_warm_ground_and_warm_air() -> None:
    """Thirty degrees by day and a warm spot of 38 are right for arid lizards, and dangerous for frogs."""
    seen = course(31, 21, ground=38.0)
    arid = temperatures_wanted(tl.load("dry-ledge"))
    assert judged(seen, DAY, arid).verdict is Verdict.FINE
    assert judged(seen, DAY, FROGS).verdict is Verdict.DANGEROUS


def test_the_keeper_types_a_band_in_any_unit() -> None:
    raw = {"day_low": "50 %", "day_high": "70 %", "night_low": "60 %", "night_high": "90 %"}
    warm = {"day_temp_low": "68 F", "day_temp_high": "77 F", "night_temp_low": "15 C", "night_temp_high": "20 C"}
    box = tl.load("moss-jar").change(band=raw | warm)
    w = temperatures_wanted(box)
    assert (w.day_low, w.day_high) == (pytest.approx(20.0), pytest.approx(25.0))
    assert (w.night_low, w.night_high) == (15.0, 20.0)
    assert w.most == 28.0  # the group's limit stands, whatever is typed
    assert Box.read(box.write()).humidity_target == box.humidity_target
    assert temperatures_wanted(box.change(group="")).most == pytest.approx(27.0)
    assert temperatures_wanted(tl.load("moss-jar").change(band=raw)).day_high == 24.0  # only humidity typed


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"day_temp_low_c": 20.0}, "Give both ends"),
        ({"night_temp_high_c": 20.0}, "Give both ends"),
        ({"day_temp_low_c": 25.0, "day_temp_high_c": 20.0}, "Swap the two"),
        ({"day_temp_low_c": 20.0, "day_temp_high_c": 90.0}, "Fahrenheit"),
    ],
)
def test_a_wrong_band_is_refused(typed: dict, says: str) -> None:
    with pytest.raises(tl.DescriptionError, match=says):
        HumidityTarget(50, 70, 60, 90, **typed)


# ---- hot lamps, and no cover under them


@pytest.mark.parametrize(
    ("device", "hot"),
    [
        (Lamp("a", "incandescent or halogen spot", 25, "always"), True),
        (Lamp("a", "fluorescent tube", 18, "always"), True),
        (Lamp("a", "led bar outside lid", 100, "always"), False),
        (Lamp("a", "incandescent or halogen spot", 0, "always"), False),
        (Lamp("a", "incandescent or halogen spot", 50, "never"), False),
        (Lamp("a", "led bar outside lid", 60, "always", light=0.2, radiant=0.3, convective=0.2), True),
        (Heater("a", "ceramic emitter", 40, "always"), True),
        (Heater("a", "heat panel", 15, "always"), True),
        (Heater("a", "heat mat under floor", 60, "always"), False),
        (Heater("a", "heat cable under floor", 60, "always"), False),
    ],
)
def test_which_devices_are_hot(device: Lamp | Heater, hot: bool) -> None:
    assert is_hot(device) is hot


def test_a_heater_on_a_wall_leaves_the_lid_free() -> None:
    box = tl.load("fern-hollow")
    assert hot_at_lid(box) == ()
    assert hot_at_lid(box.change(**{"routine.heaters.panel.place": "lid"})) == ("panel",)
    assert hot_at_lid(box.change(**{"routine.heaters.panel.place": None})) == ("panel",)
    assert "on a wall" in box.describe()


@pytest.mark.parametrize("seed", range(12))
def test_no_lever_of_a_hot_lamp_box_covers_its_mesh(seed: int) -> None:
    box = drawn(seed, hot=True)
    assert hot_at_lid(box)
    assert covers_of(box) == []
    assert shares_to_try(box) == ()
    assert not any("covering" in one.name for one in remedies(box))
    for gap in (-20.0, 20.0):
        target = HumidityTarget(95, 99, 95, 99) if gap < 0 else HumidityTarget(2, 10, 2, 10)
        heat = heat_of(tl.simulate(box, 3, accuracy="preview"))
        _, alternative = find_alternative(box, 60.0, target, gap, heat)
        assert not OFFERS_A_COVER.search(alternative), alternative
        assert (
            "°C" in said(alternative)
            or "No other lever" in alternative
            or "None of the levers tried helps" in alternative
        )


@pytest.mark.parametrize("seed", range(12))
def test_no_lever_leaves_the_temperatures_wanted(seed: int) -> None:
    """Whatever is named was run, and its °C stand in the sentence: they lie inside the band and under the limit."""
    box = drawn(seed, hot=seed % 2 == 0)
    heat = heat_of(tl.simulate(box, 4, accuracy="preview"))
    _, alternative = find_alternative(box, 60.0, HumidityTarget(95, 99, 95, 99), -20.0, heat)
    named = said(alternative)
    w = temperatures_wanted(box)
    # what is shown outside the band is named only where the box itself is shown as far outside
    beyond = heat.strays_k + 0.2 if heat.strays_k else 0.05
    for found in re.findall(r"at (\d+\.\d) °C by day", named):
        assert w.day_low - beyond <= float(found) <= w.day_high + beyond or heat.cold
    for found in re.findall(r"at (\d+\.\d) °C by night", named):
        assert w.night_low - beyond <= float(found) <= w.night_high + beyond or heat.cold


def test_a_covered_lid_under_a_hot_lamp_may_only_be_opened() -> None:
    box = drawn(3, hot=True).change(**{"enclosure.openings.lid.covered": "60 %"})
    mild = judged(course(23, 20), DAY, FROGS)
    assert any("take the cover off" in line.lower() for line in first_lines(box, mild))
    assert shares_to_try(box) == (0.0,)
    assert {share for _, share, _ in covers_of(box)} == {0.0}


# ---- every answer


@pytest.fixture(scope="module")
def of_the_hot_box() -> dict[str, tl.Answer]:
    """The answers about a box under a hot lamp; the layer, slow to size there, about one in a hot room."""
    box = pot("fine coir mix", layer=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        rescued = tl.rescue(box, members=2)
    return {
        "water": tl.daily_water(box, members=4),
        "soak": tl.first_soak(box, members=4),
        "fans": tl.fan_schedules(box, members=2, pour_members=4),
        "drainage": tl.drainage(hot_room(), members=2, pour_members=4),
        "rescue": rescued,
    }


ANSWERS = ("water", "soak", "fans", "drainage", "rescue")


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_about_a_hot_box_begins_with_it(of_the_hot_box: dict[str, tl.Answer], name: str) -> None:
    answer = of_the_hot_box[name]
    first = answer.sentences[1].strip()
    assert first.startswith("Too hot for these animals: ")
    assert re.search(r"\d+\.\d °C", first)
    assert ("cool the room" if name == "drainage" else '"spot" down') in first
    assert "vet" in first
    assert answer.heat["verdict"] == "dangerous"
    assert answer.heat["too_hot"]
    data = json.loads(answer.json())
    assert data["heat"]["verdict"] == "dangerous"
    assert data["first"] == list(answer.first)
    assert data["temp_day"]["high"] > 28.0
    assert data["temp_night"]["mean"] <= data["temp_day"]["mean"]


@pytest.mark.parametrize("name", ANSWERS)
def test_no_answer_about_a_hot_lamp_offers_a_cover(of_the_hot_box: dict[str, tl.Answer], name: str) -> None:
    answer = of_the_hot_box[name]
    for line in (*answer.sentences, answer.alternative, answer.reason):
        assert not OFFERS_A_COVER.search(line), line


@pytest.mark.parametrize("name", ANSWERS)
def test_degrees_stand_beside_per_cent(of_the_hot_box: dict[str, tl.Answer], name: str) -> None:
    answer = of_the_hot_box[name]
    assert "Temperature" in answer.text("why")
    for line in answer.sentences:
        if (
            "%" in line
            and "oxygen" not in line
            and line.strip().startswith(("Humidity then", "By season", "The lid does", "With"))
        ):
            assert "°C" in line, line
        if name == "fans" and "schedule " in line and "ach" in line:
            assert "C d" in line
    for season in answer.seasons.values():
        if "rh_day" in season:
            assert season["temp_day"] > 0.0


def test_the_plan_and_its_report_begin_with_the_heat(of_the_hot_box: dict[str, tl.Answer]) -> None:
    water = of_the_hot_box["water"]
    pours = {"now": water.value, **{season: found["value"] for season, found in water.seasons.items()}}
    plan = week_plan(pot("fine coir mix", layer=True), pours, None, first=water.first)
    assert plan[0].when.startswith("Too hot for these animals: ")


def test_the_safest_schedule_comes_first(of_the_hot_box: dict[str, tl.Answer]) -> None:
    answer = of_the_hot_box["fans"]
    by_name = {row["name"]: row["now"]["heat"] for row in answer.table}
    best = by_name[answer.details["choice"]]
    assert best["degrees_over"] <= min(one["degrees_over"] for one in by_name.values()) + 1.0
    assert "too hot" in answer.text("short")
    assert "heat itself must come down" in answer.text("all")


def test_schedules_are_ordered_by_warmth_before_anything_else() -> None:
    def row(name: str, day: float, hours: float) -> dict:
        rh = {"mean": 80.0}
        now = {"heat": judged(course(day, 20), DAY, FROGS), "faults": [], "hours": {"day inside": hours, "night inside": 0.0},
               "rh_day": rh, "rh_night": rh, "water_ml": 50.0}  # fmt: skip
        return {"name": name, "mode": "none", "minutes_a_day": 0.0, "now": now}

    rows = [row("hot and damp", 30.0, 12.0), row("cool and dry", 24.0, 2.0)]
    assert first_of(rows, HumidityTarget(70, 90, 90, 100))["name"] == "cool and dry"
    # no fault, yet shown outside what is wanted: hours of the right humidity do not make up for it
    rows = [row("a little cool and damp", 19.9, 12.0), row("warm and dry", 20.3, 2.0)]
    assert first_of(rows, HumidityTarget(70, 90, 90, 100))["name"] == "warm and dry"


def test_a_box_that_is_right_gets_no_warning() -> None:
    for name in ("fern-hollow", "moss-jar", "dry-ledge"):
        record = tl.simulate(tl.load(name), 4)
        heat = heat_of(record)
        assert heat.verdict is Verdict.FINE, name
        assert first_lines(record.box, heat) == ()


@pytest.mark.parametrize("group", HUMID)
def test_the_bands_of_humid_groups_are_read_by_the_answers(group: str) -> None:
    """At 36 °C every humid group is in danger, and at its own middle none is."""
    box = tl.load("moss-jar").change(group=group)
    w = temperatures_wanted(box)

    def at(day: float, night: float) -> Box:
        room = {"day": f"{day} C", "night": f"{night} C", "day_from": "07:30", "day_to": "19:30"}
        return box.change(**{"room.temperature": room, "routine.lamps": None})

    middle = at(0.5 * (w.day_low + w.day_high), 0.5 * (w.night_low + w.night_high))
    assert heat_of(tl.simulate(at(36.0, 36.0), 3, accuracy="preview")).danger
    assert heat_of(tl.simulate(middle, 3, accuracy="preview")).verdict is Verdict.FINE
    assert target_of(box)[0] is not None


# ---- check


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"room.temperature": "-6 C"}, r"is it true that the room is at -6 °C"),
        ({"room.temperature": "60 C"}, r"is it true that the room is at 60 °C"),
        ({"room.summer": {"temperature": "30 C", "humidity": "50 %"}}, "the summer room is at 30 °C, and 28 °C is the very most"),
        ({"routine.heaters.panel.control.set_point": "60 C"}, r'the thermostat of "panel" is set to 60 °C'),
        ({"routine.heaters.panel.control.set_point": "29 C"}, "28 °C is the very most for rainforest-floor small frogs"),
        ({"group": "", "routine.heaters.panel.control.set_point": "45 C"}, "30 °C is the very most for its ferns"),
        ({"group": "", "enclosure.plants": None, "routine.heaters.panel.control.set_point": "45 C"},
         "no animal group of the tables bears more"),
        ({"routine.heaters.panel.control.on": "above"}, "switches on when it is too warm"),
        ({"routine.heaters.panel.place": "lid"}, r'a hot lamp or heater \("panel"\) is at the lid'),
        (
            {"routine.lamps": [{"name": "tube", "kind": "fluorescent tube", "power": "20 W", "timer": ["08:00-20:00"]}],
             "routine.heaters": None, "enclosure.openings.lid.covered": "100 %"},
            r'a lamp that gives off heat \("tube"\) is at the lid',
        ),
        ({"routine.heaters.panel.place": "lid", "enclosure.openings.lid.covered": "100 %"}, "Take the cover off"),
        ({"routine.heaters": None, "room.temperature": "8 C"}, "nothing warms the box"),
        (
            {"band": {"day_low": "50 %", "day_high": "70 %", "night_low": "50 %", "night_high": "70 %",
                      "day_temp_low": "25 C", "day_temp_high": "32 C"}},
            "the band asks for up to 32 °C",
        ),
    ],
)  # fmt: skip
def test_check_questions_what_cannot_be_right(changes: dict, says: str) -> None:
    with pytest.warns(tl.TerralabWarning, match=says):
        tl.load("fern-hollow").change(**changes)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("name", tl.demos())
def test_check_has_no_question_about_a_demo(name: str) -> None:
    tl.load(name)
