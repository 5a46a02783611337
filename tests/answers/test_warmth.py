"""One verdict on warmth in every answer: for where animals sit, how likely, in every face; and the gates before all advice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.balance import with_pour
from terralab.answers.common.brief import air_lines
from terralab.answers.common.heat_words import chance_words, first_lines, warm_word, warmth_line, water_words
from terralab.answers.common.recommended import recommended
from terralab.answers.common.statement import Kind, View
from terralab.answers.common.temperature import (
    HEAT_MEASURES,
    Heat,
    heat_measures,
    heat_of,
    judged,
    keeps_temperature,
    likely_heat,
    why_refused,
    worse_than,
)
from terralab.answers.fans.choice import first_of, no_worse_in, today
from terralab.answers.fans.warmth_gates import lid_for_all_seasons
from terralab.answers.rescue.remedies import Remedy, RemedyKind
from terralab.answers.rescue.words import none_allowed
from terralab.answers.together.plan import first_of_all
from terralab.answers.water.alternatives import Way, _best, _Tried
from terralab.describe import Box, HumidityTarget
from terralab.describe.trial import covered_lid
from terralab.describe.wanted import Temperatures
from terralab.quantities import said
from terralab.show.panel.questions import _see_air
from tests.answers.faces import check

pytestmark = pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
FROGS = Temperatures(20, 26, 17, 24, least=12, most=28, surface_most=28, source="a test")
WANTED = HumidityTarget(70, 90, 90, 100)
DAY = np.repeat([True, False], 48)
COOL_LAMP = {"name": "bar", "kind": "led bar inside", "timer": ["08:00-20:00"]}
MEMBERS = 2


def heat_at(day: float, night: float = 20.0, **places: float) -> Heat:
    air = np.where(DAY, day, night).astype(float)
    return judged({"air": air, "ground": air, "glass": air, **{k: air + v for k, v in places.items()}}, DAY, FROGS)


def bare(**changes: object) -> Box:
    """A frog glass without a heater, a fan or a spray, whose lamp is cool."""
    plain = {"routine.heaters": None, "routine.fans": None, "routine.sprays": []}
    return tl.load("fern-hollow").change(**plain, **changes)


# ---- the words


@pytest.mark.parametrize(
    ("day", "word"),
    [(23.0, ""), (26.0, ""), (26.3, "a little warm"), (27.0, "too hot"), (19.7, "a little cool"), (19.0, "too cold")],
)
def test_the_line_of_the_day_says_what_is_wrong_with_it(day: float, word: str) -> None:
    heat = heat_at(day)
    line, night = air_lines({"day": {"mean": 60.0}, "night": {"mean": 95.0}}, heat, WANTED)
    assert warm_word(heat, "day") == word
    assert said(line).endswith(f": {', '.join(filter(None, ('too dry', word)))}.")
    assert said(night).endswith("17 to 24 °C.")


def test_danger_goes_before_discomfort() -> None:
    """A short peak past the limit, or a long one, is the first thing said of a hot box; so is cold that kills."""
    (hot,) = first_lines(bare(), heat_at(31.0))
    assert "28 °C is the very most" in said(hot.short[0])
    assert "move these animals out" in hot.short[0]
    (cold,) = first_lines(bare(), heat_at(15.0, 11.0))
    assert "under 12 °C it is dangerous" in said(cold.short[0])
    assert "warmer place" in cold.short[0]


def test_what_is_likely_is_told_where_the_typical_box_is_right() -> None:
    """Half of the draws too hot and a fifth dangerous, though the middle one is inside."""
    results = dict(zip(HEAT_MEASURES, np.array([[25.0, 25.5, 26.2, 27.0, 29.0]] * 2 + [[0, 0, 0, 1, 1], [0] * 5, [0, 0, 0, 0, 1]]), strict=True))  # fmt: skip
    likely = likely_heat(results)
    assert (likely.hot, likely.cold, likely.danger) == (0.4, 0.0, 0.2)
    heat = heat_at(25.5).with_likely(results)
    assert "dangerous in 20, too hot in 40" in chance_words(heat)
    assert "In 80 of 100 boxes" in said(warmth_line(heat))
    assert chance_words(heat_at(25.5)) == ""
    assert "hot" not in chance_words(heat_at(31.0).with_likely(results)), "what is so anyway needs no chance"
    low, high = heat_at(24.0).with_likely(results).likely.day
    assert low <= 24.0 <= high, "the number that is shown lies in its own range"


# ---- the gates


@pytest.mark.parametrize("seed", range(40))
def test_the_two_gates_agree_with_the_bands(seed: int) -> None:
    """By law over random days: what passes the strict gate is no worse than before, and standing still is never worse."""
    rng = np.random.default_rng(seed)
    before, after = (heat_at(rng.uniform(14, 32), rng.uniform(11, 28)) for _ in range(2))
    assert worse_than(before, before) == ""
    if keeps_temperature(after, before):
        assert worse_than(after, before) == ""
        assert not after.hot
    else:
        assert "°C" in said(why_refused(after, before))
    if worse_than(after, before):
        assert after.over_k > before.over_k or after.under_k > before.under_k
        assert not keeps_temperature(after, before)


def test_a_place_that_gets_worse_is_refused_though_the_mix_is_right() -> None:
    before, after = heat_at(25.0, above=0.2, below=-0.2), heat_at(25.0, above=2.5, below=-2.5)
    assert keeps_temperature(before, before)
    assert "the air above is at 27.5 °C by day" in said(why_refused(after, before))
    assert keeps_temperature(after, after), "nor does a box that is so already forbid all advice"


def test_water_that_takes_a_box_out_of_its_warmth_is_not_given_first() -> None:
    assert water_words(heat_at(21.0), heat_at(21.8)) == ""
    assert said(water_words(heat_at(19.2), heat_at(20.4))).startswith(
        "Warm the box first, since with this water the air"
    )
    assert water_words(heat_at(19.2), heat_at(19.4)) == "", "it is as cold without"
    glen = {"routine.heaters": None, "routine.lamps": None, "enclosure.basking": None, "routine.sprays": []}
    cool = tl.load("tall-glen").change(**glen, **{"room.temperature": "22.2 C", "room.humidity": "20 %"})
    soak = tl.first_soak(cool, members=MEMBERS)
    (do,) = (one for one in soak.statements if one.kind is Kind.DO and View.SHORT in one.views)
    assert do.text.startswith("Warm the box first")
    assert tl.first_soak(tl.load("tall-glen"), members=MEMBERS).details["warmth_first"] == ""


def test_no_schedule_comes_first_that_is_worse_than_the_fans_as_they_are() -> None:
    """More hours of the right humidity do not make up for a degree, now or in another season."""

    def row(name: str, day: float, winter: float, hours: float) -> dict:
        rh = {"mean": 80.0}
        seen = {"faults": [], "hours": {"day inside": hours, "night inside": 0.0}, "rh_day": rh, "rh_night": rh, "water_ml": 50.0}  # fmt: skip
        rooms = {room: seen | {"heat": heat_at(c)} for room, c in (("now", day), ("winter", winter), ("summer", 24.0))}
        return {"name": name, "mode": "none", "minutes_a_day": 0.0, **rooms}

    def first(*rows: dict) -> str:
        return first_of(list(rows), WANTED, lambda one: no_worse_in(one, today(rows), ("winter", "summer")))["name"]

    assert first(row("no fan", 22.0, 19.2, 12.0), row("as described", 22.0, 20.5, 2.0)) == "as described"
    assert first(row("no fan", 19.4, 21.0, 12.0), row("as described", 20.3, 21.0, 2.0)) == "as described"
    assert first(row("no fan", 22.0, 21.0, 12.0), row("as described", 22.0, 21.0, 2.0)) == "no fan"


def test_where_nothing_passes_the_gate_the_reason_is_said() -> None:
    """Its number too, so that a keeper can see how near it was."""
    before = heat_at(22.0)
    after = heat_at(19.0)
    fan = Remedy("fan all day", (1, 2, 3), (1, 2, 3), (1, 1, 1), {}, 19.0, 20.0, False, RemedyKind.FAN, why_refused(after, before))  # fmt: skip
    assert "with fan all day, the air is at 19.0 °C by day" in said(none_allowed([fan], before))
    assert none_allowed([replace(fan, allowed=True, refused="")], before) == ""
    seen = {part: {"mean": 60.0} for part in ("day", "night")}
    lever = _Tried(Way.OTHER, "a fan switched off", -2.0, seen, after, False)
    told = said(_best("The best is", [lever], _Tried(Way.NOTHING, "", -10.0, seen, before, True), bare()))
    assert "with a fan switched off, the air is at 19.0 °C by day" in told


def test_a_lid_that_is_right_now_and_too_hot_in_summer_is_refused() -> None:
    box = bare(
        **{
            "enclosure.openings.lid.covered": "0 %",
            "room.temperature": "20 C",
            "room.summer": {"temperature": "24.5 C", "humidity": "45 %"},
            "routine.lamps": [COOL_LAMP | {"power": "30 W"}],
        }
    )
    now = {room: {"heat": heat_of(tl.simulate(box, 4, room, accuracy="preview"))} for room in ("winter", "summer")}
    pours = {room: recommended(box, room, MEMBERS) for room in ("now", "winter", "summer")}
    shares = (0.2, 0.98)
    covers = [
        {"covered": share, "gap_points": 0.0, "top_dries": False, "allowed": True, "refused": ""} for share in shares
    ]
    boxes = [covered_lid(box, share) for share in shares]
    assert lid_for_all_seasons(boxes[1:], covers[1:], -5.0, now, pours) is None
    assert not covers[1]["allowed"]
    assert covers[1]["refused"].startswith("in summer ")
    assert "°C" in said(covers[1]["refused"])
    assert lid_for_all_seasons(boxes, covers, -5.0, now, pours) is covers[0]
    closed = heat_of(tl.simulate(with_pour(boxes[1], pours["summer"].ml), 4, "summer", accuracy="preview"))
    assert worse_than(closed, now["summer"]["heat"]), "that is what the run of that lid shows"


# ---- every answer, and every face


@pytest.fixture(scope="module")
def warm_above() -> dict[str, tl.Answer]:
    """Answers about a tall glass under a strong cool lamp: right as a whole, too hot for frogs that climb."""
    box = bare(
        **{
            "enclosure.height": "100 cm",
            "enclosure.openings.lid.covered": "95 %",
            "routine.lamps": [COOL_LAMP | {"power": "40 W"}],
            "room.temperature": "22 C",
            "start.soil": "dry",
        }
    )
    return {
        "water": tl.daily_water(box, members=MEMBERS),
        "soak": tl.first_soak(box, members=MEMBERS),
        "fans": tl.fan_schedules(box, members=MEMBERS, pour_members=MEMBERS),
        "drainage": tl.drainage(box, members=MEMBERS, pour_members=MEMBERS),
        "rescue": tl.rescue(box, members=MEMBERS),
    }


@pytest.mark.parametrize("name", ["water", "soak", "fans", "drainage", "rescue"])
def test_where_animals_sit_is_judged_in_every_answer(warm_above: dict[str, tl.Answer], name: str) -> None:
    answer = warm_above[name]
    check(answer)
    worst = [one for one in answer.heat["elsewhere"] if one["air"] == "above"]
    if not worst:
        high = answer.heat["wanted"]["day"][1]
        assert answer.heat["above_day"]["mean"] <= high + 0.5 or answer.heat["too_hot"], "a fan or a remedy cools it"
        assert name in ("fans", "rescue")
        return
    number = answer.heat["above_day"]["mean"]
    short = [one for one in answer.statements if View.SHORT in one.views and one.kind is Kind.WARNING]
    long = answer.of_kind(Kind.HOT_PLACE)
    for told in (short, long):
        assert any(abs(q.value - number) < 0.06 for one in told for q in one.quantities), told
    assert any(f"{number:.1f} °C" in said(text) for text in first_of_all([answer])), "the plan and the page say so too"


def test_the_panel_warns_at_a_first_look() -> None:
    _, words = _see_air(bare(**{"room.temperature": "33 C"}))
    assert "Too hot for these animals, and dangerous" in words
    _, words = _see_air(tl.load("fern-hollow"))
    assert "oo hot" not in words


def test_the_water_and_the_layer_tell_one_range_of_temperature(warm_above: dict[str, tl.Answer]) -> None:
    """Both are about the box with the recommended pour, and so is the fan answer where it runs no fan."""
    likely = {name: warm_above[name].heat["likely"] for name in ("water", "drainage", "fans")}
    assert likely["water"]["hot"] == likely["drainage"]["hot"]
    if warm_above["fans"].details["choice"] == "no fan":
        assert likely["fans"] == likely["water"]


def test_draws_measure_what_a_single_run_would_show() -> None:
    record = tl.simulate(bare(), 4, accuracy="preview")
    heat = heat_of(record)
    found = {name: measure(record) for name, measure in heat_measures().items()}
    assert found["C by day"] == heat.day["mean"]
    assert found["too hot"] == float(heat.hot)
    assert tuple(found) == HEAT_MEASURES
