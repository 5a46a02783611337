"""Single places of a box in the answers: which pane fogs and when, the air below and above, where animals sit, what fans do there."""

from __future__ import annotations

import warnings
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import psychrolib
import pytest

import terralab as tl
from terralab.answers.common.airs import airs_of, airs_words, apart, differs, uneven_words
from terralab.answers.common.brief import COLUMNS, MOST_LINES, air_lines, brief
from terralab.answers.common.glass import Fogged, fogged_panes, fogged_words
from terralab.answers.common.heat_words import place_words
from terralab.answers.common.seen_places import seen_places
from terralab.answers.common.statement import Kind, View
from terralab.answers.common.surfaces import hottest_of, surfaces_of, too_hot_words
from terralab.answers.common.temperature import heat_of, judged
from terralab.answers.fans.alike import groups_of
from terralab.answers.fans.measure import measured
from terralab.answers.fans.schedules import with_fans
from terralab.describe import Fan
from terralab.describe.box import HumidityTarget
from terralab.describe.wanted import Temperatures
from terralab.quantities import said
from terralab.wording import lines
from tests.answers import faces

DAY_S = 86_400.0
FROGS = Temperatures(20, 26, 17, 24, least=12, most=28, surface_most=28, source="a test")
WANTED = HumidityTarget(day_low=70, day_high=90, night_low=80, night_high=100)
HIDE = {"volume": "3 l", "opening_width": "6 cm", "opening_height": "5 cm", "floor": "damp moss"}
SPOT = {"lamp": "warm spot", "distance": "30 cm"}


def patterned(days: int, step_s: float, pattern: np.ndarray) -> tuple[SimpleNamespace, np.ndarray]:
    """A made-up record whose one pane is fogged by a daily pattern, and its rows; the row at midnight ends the day before."""
    times = step_s * np.arange(days * len(pattern) + 1)
    flags = np.concatenate([[False], np.tile(pattern, days)])
    record = SimpleNamespace(
        zone_names=("below", "above"),
        pane_names=("front",),
        times_s=times,
        step_s=step_s,
        fogged=lambda pane, zone="": flags,
        fogged_hours_a_day=lambda pane, rows, zone="": 24.0 * float(flags[rows].mean()),
    )
    return record, np.arange(1, len(times))


def test_the_times_of_fog_are_read_off_the_day() -> None:
    """By hand: a front pane fogged from 22:30 to 03:00 and from 05:00 to 08:00, each day."""
    hours = (np.arange(96) + 0.5) / 4.0
    record, rows = patterned(3, 900.0, (hours > 22.5) | (hours < 3.0) | ((hours > 5.0) & (hours < 8.0)))
    front = fogged_panes(record, rows)["front"]
    assert front.spans == ((5.0, 8.0), (22.5, 3.0))
    assert front.hours == pytest.approx(7.5)
    assert front.clause() == "05:00 to 08:00 and 22:30 to 03:00 (7.5 h a day)"
    # hours that the times do not come to are told as what they are
    longer, seldom = (replace(front, hours=hours).clause() for hours in (10.4, 5.0))
    assert "on most days, on other days longer or at other times (10.4 h a day on the mean of all days)" in longer
    assert "on most days, not on all of them (5.0 h a day on the mean of all days)" in seldom


@pytest.mark.parametrize("seed", range(40))
def test_any_daily_pattern_comes_back_from_its_times(seed: int) -> None:
    """The spans that are told are the pattern itself, and as long as the hours a day, over midnight too."""
    rng = np.random.default_rng(seed)
    count = int(rng.choice([24, 48, 96]))
    pattern = np.repeat(rng.random(count // 6) < rng.uniform(0.1, 0.9), 6)
    record, rows = patterned(4, DAY_S / count, pattern)
    front = fogged_panes(record, rows)["front"]
    middle = (np.arange(count) + 0.5) * 24.0 / count
    told = np.zeros(count, bool)
    for start, end in front.spans:
        told |= ((middle > start) & (middle < end)) if start < end else ((middle > start) | (middle < end))
    assert (told == pattern).all()
    assert 24.0 * told.mean() == pytest.approx(front.hours)


def test_panes_are_said_front_first_and_apart_where_they_differ() -> None:
    clear = Fogged("x", 0.0, (), 0.0, 0.0)
    dawn = Fogged("x", 3.0, ((5.0, 8.0),), 3.0, 3.0)
    split = Fogged("x", 2.0, ((6.0, 8.0),), 3.5, 0.5)
    assert fogged_words({"front": clear, "lid": clear}) == "Fogged glass: none; every pane stays clear."
    said_so = fogged_words(
        {"front": dawn, "sides": dawn, "back": clear, "lid": Fogged("x", 24.0, ((0.0, 24.0),), 24, 24)}
    )
    assert said_so == (
        "Fogged glass: the front pane and the side panes 05:00 to 08:00 (3.0 h a day); the back pane never; "
        "the glass of the lid day and night."
    )
    assert "06:00 to 08:00 (2.0 h a day; its lower part 3.5 h, its upper part 0.5 h)" in fogged_words(
        {"front": split, "lid": clear}
    )
    assert "now and then (0.4 h a day)" in fogged_words({"front": Fogged("x", 0.4, (), 0.4, 0.4), "lid": clear})


@pytest.fixture(scope="module")
def furnished() -> tl.Record:
    """A tall box with a warm spot over a basking place and a moist hide; four days of it."""
    box = tl.load("tall-glen").change(**{"enclosure.hide": HIDE, "enclosure.basking": SPOT})
    return tl.simulate(box, 4, record_every_min=15)


def test_the_mixed_air_lies_between_the_airs(furnished: tl.Record) -> None:
    rows = furnished.rows(2, 4)
    airs = airs_of(furnished, rows, WANTED)
    mixed = heat_of(furnished, rows).seen["air"]
    assert set(airs) == {"below", "above", "hide"}
    for part in ("day", "night"):
        ends = sorted(airs[zone][part]["c"] for zone in ("below", "above"))
        assert ends[0] - 1e-9 <= mixed[part]["mean"] <= ends[1] + 1e-9


def test_airs_are_told_where_they_differ_and_not_where_they_do_not() -> None:
    def airs(points: float, k: float) -> dict:
        low, high = {"rh": 80.0 + points, "c": 22.0}, {"rh": 80.0, "c": 22.0 + k}
        return {"below": {"day": low, "night": high}, "above": {"day": high, "night": high}}

    assert airs_words(airs(1.0, 0.2)) == ""
    assert not differs({"whole": {}})
    text = said(airs_words(airs(11.0, 3.0)))
    assert "by day below 91 % at 22.0 °C, above 80 % at 25.0 °C" in text
    assert apart(airs(11.0, 3.0))["day"] == (pytest.approx(11.0), pytest.approx(-3.0))


def heat_at(day_c: float, night_c: float) -> object:
    course = {part: np.repeat([day_c, night_c], 48) for part in ("air", "ground", "glass")}
    return judged(course, np.repeat([True, False], 48), FROGS)


@pytest.mark.parametrize("seed", range(60))
def test_an_air_outside_what_is_wanted_is_told_though_the_mix_is_inside(seed: int) -> None:
    """The advice is judged by the mix; whoever lives in an air that is outside must be told, with °C beside %."""
    rng = np.random.default_rng(seed)
    mix = {part: {"mean": float(rng.uniform(60, 100))} for part in ("day", "night")}
    off = {part: float(rng.uniform(0, 15)) for part in mix}
    airs = {
        zone: {part: {"rh": mix[part]["mean"] + sign * off[part], "c": 22.0} for part in mix}
        for zone, sign in (("below", 1), ("above", -1))
    }
    text = said(uneven_words(airs, mix, WANTED))

    def outside(value: float, part: str) -> bool:
        low, high = getattr(WANTED, f"{part}_low"), getattr(WANTED, f"{part}_high")
        return not low - 1.0 <= value <= high + 1.0

    expected = any(
        outside(airs[zone][part]["rh"], part) and not outside(mix[part]["mean"], part) for zone in airs for part in mix
    )
    assert bool(text) == expected
    if text:
        assert "°C" in text
        assert "%" in text
        assert len(lines(text, COLUMNS - 1, "  ", "    ")) == 1


def test_an_air_that_is_too_warm_is_told_though_the_mix_is_not() -> None:
    def told(below: float, above: float) -> str:
        course = {part: np.full(96, 0.5 * (below + above)) for part in ("air", "ground", "glass")}
        course |= {"below": np.full(96, below), "above": np.full(96, above)}
        air = {part: {"rh": 80.0} for part in ("day", "night")}
        heat = judged(course, np.repeat([True, False], 48), FROGS)
        return said(place_words(heat, {"below": air, "above": air}))

    assert told(21.0, 27.0).startswith("Mind: above, it is 80 % at 27.0 °C by night, too hot")
    assert told(19.0, 22.0).startswith("Mind: below, it is 80 % at 19.0 °C by day, too cold")
    assert told(21.0, 23.0) == ""
    assert told(32.0, 32.0) == "", "what is wrong with all the air is said of all the air"


def test_the_short_screen_keeps_its_twelve_lines_with_such_a_warning() -> None:
    box = tl.load("fern-hollow")
    mind = "Mind: above, it is 61 % at 30.3 °C by night, too warm (wanted 22 to 28 °C)."
    heat = heat_at(22.0, 22.0)
    for wrong in (["short."], ["a fault " * 20], ["a fault " * 30, "and more " * 30]):
        out = brief(box, "water", "Pour 120 ml.", "80 of 100.", air_lines({}, heat, WANTED), wrong, mind=mind)
        shown = [line for one in out for line in lines(one.said(), COLUMNS - 1, "  ", "    ")]
        assert len(shown) <= MOST_LINES - 2
        warm = "Mind: above, it is 61 % at 30.3 °C by night, too hot (wanted 22 to 28 °C)."
        out = brief(
            box, "water", "Pour 120 ml.", "80 of 100.", air_lines({}, heat, WANTED), wrong, mind=mind, warm=(warm,)
        )
        shown = [line for one in out for line in lines(one.said(), COLUMNS - 1, "  ", "    ")]
        assert len(shown) <= MOST_LINES - 2
        assert warm in [one.said() for one in out], "where animals sit too hot or too cold is never left out"
    assert mind in [one.said() for one in brief(box, "water", "Pour.", "", [], ["short."], mind=mind)]


def test_the_humidity_at_a_surface_is_that_of_another_library(furnished: tl.Record) -> None:
    """Vapour of the air below over saturation at the surface's own temperature; psychrolib (ASHRAE 2017) says the same."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    rows = furnished.rows(2, 4)
    c, rh = furnished.zone_c("below")[rows], furnished.zone_humidity("below")[rows]
    for name, surface in (("ground", furnished.ground_c), ("spot", furnished.basking_c)):
        mine = furnished.humidity_at(surface, "below")[rows]
        for i in range(0, len(rows), 17):
            vapour = psychrolib.GetVapPresFromRelHum(c[i], rh[i] / 100.0)
            other = 100.0 * vapour / psychrolib.GetSatVapPres(surface[rows][i])
            assert mine[i] == pytest.approx(min(100.0, other), rel=2e-3), name


def test_where_animals_sit_is_told_with_its_cautions(furnished: tl.Record) -> None:
    rows = furnished.rows(2, 4)
    seen = seen_places(furnished, rows, WANTED)
    text = "\n".join(line for one in seen.statements() for line in one.lines())
    for name in (
        "basking place:",
        "cool place (the ground away from the lamp):",
        "in the hide:",
        "front glass",
        "In the hide:",
    ):
        assert name in text
    spot, cool = seen.surfaces["basking place"]["day"], seen.surfaces["cool place"]["day"]
    assert spot["c_high"] == pytest.approx(furnished.basking_c[rows].max())
    assert spot["rh"] < cool["rh"]
    assert "trust a thermometer in the place more" in text
    assert "Guard every hot lamp" in text
    assert "burn" in text
    assert " vet " in text
    assert "Fogged glass" in text
    both = [line for one in seen.statements() for line in one.lines(us=True)]
    assert not any("°C" in line for line in both)


def test_a_measured_basking_place_outranks_the_computed_one(furnished: tl.Record) -> None:
    glass = furnished.box.enclosure
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        spot = replace(glass, basking=replace(glass.basking, measured_c=36.0))
        told = replace(furnished, box=replace(furnished.box, enclosure=spot))
    rows = told.rows(2, 4)
    text = "\n".join(line for one in seen_places(told, rows, WANTED).statements() for line in one.lines())
    assert "basking place: 36 °C under the lamp as you measured it, which counts" in text
    places, heat = surfaces_of(told, rows, WANTED), heat_of(told, rows)
    hottest = hottest_of(places["basking place"])
    warned = said(too_hot_words(told.box, hottest, heat))
    most = heat.wanted.surface_most
    assert ("36 °C" in warned) == (most < 36.0)
    computed = said(too_hot_words(furnished.box, hottest, heat))
    assert bool(computed) == (places["basking place"]["day"]["c_high"] > most)
    assert "%" in warned + computed
    assert too_hot_words(furnished.box, None, heat) == ""


@pytest.mark.slow  # keepers' boxes with hides and basking places are checked so too
def test_a_furnished_box_is_answered_in_both_systems() -> None:
    """All that its water and its fans state, short and long, in metric and US units; and both warn of too hot a place."""
    box = tl.load("tall-glen").change(**{"enclosure.hide": HIDE, "enclosure.basking": SPOT})
    water, fans = tl.daily_water(box, members=2), tl.fan_schedules(box, members=2, pour_members=2)
    for answer in (water, fans):
        faces.check(answer)
        short = [one.said() for one in answer.of_kind(Kind.WARNING) if View.SHORT in one.views]
        assert len(short) == 1
        assert "the basking place reaches" in short[0]
        assert "30 °C is the most" in short[0]
    assert set(water.details["surfaces"]) == {"basking place", "cool place", "hide", "front glass"}
    heading = next(one for one in fans.of_kind(Kind.TABLE) if "pane" in one.text).lines(us=True)[1]
    assert heading.endswith("dif °F bask °F")


def test_a_box_without_either_tells_of_ground_and_glass_alone() -> None:
    record = tl.simulate(tl.load("moss-jar"), 3, record_every_min=60)
    seen = seen_places(record, record.rows(1, 3), WANTED)
    assert set(seen.surfaces) == {"ground", "front glass"}
    assert set(seen.airs) == {"whole"}
    text = "\n".join(line for one in seen.statements() for line in one.lines())
    assert "animals" not in text
    assert "lower part" not in text
    assert "Guard" not in text


def test_a_circulating_fan_brings_the_airs_together() -> None:
    """Stirring mixes: the air below and above come closer the faster the air moves, by day and by night.

    A weak fan may first part them a little in a box that its lamps warm from above: moving air takes up more of the warmth
    of leaves and panes up there before its jet reaches the ground. So the law is held where the jet is strong.
    """
    box = tl.load("fern-hollow")
    fans = [()] + [(Fan("stirrer", "circulate", "always", air_speed_cm_s=speed),) for speed in (40.0, 150.0)]
    seen = [measured(tl.simulate(with_fans(box, *one), 5), None, 2.0, 0.0) for one in fans]
    for part in ("day", "night"):
        by_speed = [abs(one["apart"][part]["k"]) for one in seen]
        assert by_speed == sorted(by_speed, reverse=True)
        assert by_speed[-1] < 0.75 * by_speed[0]
    for one in seen:
        assert one["front_fogged_h"] == one["fogged_h"]["front"]


def test_the_fan_answer_tells_of_panes_and_places_in_its_tables() -> None:
    answer = tl.fan_schedules(tl.load("fern-hollow"), members=2, pour_members=2)
    table = next(one for one in answer.of_kind(Kind.TABLE) if "pane" in one.text)
    assert len(table.under) == len(answer.details["groups"]) + 1
    for (row, _), line in zip(groups_of(answer), table.lines()[2:], strict=True):
        hours = [f"{row['now']['fogged_h'][pane]:.1f}" for pane in ("front", "sides", "back", "lid")]
        assert line[4 + 28 :].split()[:4] == hours
        assert row["now"]["front_fogged_h"] == row["now"]["fogged_h"]["front"]
    text = answer.text("all")
    assert "What a circulating fan does (circulate all day):" in text
    assert "Fogged glass:" in text
