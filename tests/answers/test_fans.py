"""Which fan schedule: the numbers hold together, the judgement is fair, and a fan that moves nothing is found out."""

from __future__ import annotations

import json
import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.brief import COLUMNS, MOST_LINES
from terralab.answers.common.statement import Kind, Verdict
from terralab.answers.common.temperature import judged
from terralab.answers.fans.choice import first_of
from terralab.answers.fans.fan_schedules import fan_schedules
from terralab.answers.fans.faults import Fault, FaultKind, faults_of, kinds_of
from terralab.answers.fans.fresh_air import breathed, matters_below, sources
from terralab.answers.fans.fresh_air_words import fresh_air_words
from terralab.answers.fans.measure import dry_out, exchange, measured, water_ml
from terralab.answers.fans.reason_words import reason_words
from terralab.answers.fans.schedules import after_water, own_from_texts, schedules, timings, with_fans
from terralab.cli.words import wrapped
from terralab.describe import Fan
from terralab.describe.wanted import Temperatures
from terralab.engine.fans import delivered
from terralab.engine.layout import Overrides
from terralab.errors import DescriptionError, TerralabError, TerralabWarning
from terralab.quantities import said

DAY = np.repeat([True, False], 48)
FROGS = Temperatures(20, 26, 17, 24, least=12, most=28, surface_most=28, source="a test")
DAMP = {"enclosure.openings.lid.covered": "98 %", "enclosure.leakage": "0.3 per hour"}


def fan_box(**fan: object) -> tl.Box:
    """Fern Hollow with another exchange fan."""
    given = {"name": "f", "mode": "exchange", "timer": ["10 min every 1 h"]} | fan
    return tl.load("fern-hollow").change(**{"routine.fans": [given]})


@pytest.fixture(scope="module")
def answer() -> tl.Answer:
    """The answer for a closely covered Fern Hollow, with two plans of its keeper, computed once."""
    seen: list[tuple[int, int]] = []
    own = {
        "a gale": Fan("big", "exchange", "always", flow_m3_h=40.0),
        "my 60 cm plan": Fan("mine", "exchange", "12:00-13:00", free_flow_m3_h=10.0, shut_off_pa=15.0),
    }
    found = fan_schedules(
        tl.load("fern-hollow").change(**DAMP),
        own,
        members=8,
        pour_members=8,
        progress=lambda done, of: seen.append((done, of)),
    )
    assert seen[-1][0] == seen[-1][1]
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)
    return found


def test_the_answer_holds_every_part(answer: tl.Answer) -> None:
    data = json.loads(answer.json())
    names = [row["name"] for row in data["table"]]
    assert names[:3] == ["no fan", "as described", "exchange 5 min an hour"]
    assert {"circulate at night", "exchange with the lights", "exchange after spraying", "my 60 cm plan"} <= set(names)
    assert len(names) == len(set(names)) >= 20
    assert data["details"]["choice"] in names
    assert data["low"] <= data["value"] <= data["high"] <= 24.0
    assert set(data["seasons"]) == {"winter", "summer"}
    assert data["closure_water"] <= 1e-9
    asked_in_all = {data["details"]["choice"], "as described"}
    assert {row["name"] for row in data["table"] if {"winter", "summer"} <= row.keys()} >= asked_in_all
    for row in data["table"]:
        for seen in (row[room] for room in ("now", "winter", "summer") if room in row):
            assert seen["rh_day"]["low"] <= seen["rh_day"]["mean"] <= seen["rh_day"]["high"] <= 100.0
            hours = seen["hours"]
            assert sum(hours.values()) == pytest.approx(24.0, abs=0.05)
            assert 0.0 <= seen["front_fogged_h"] <= 24.0
            assert seen["water_ml"] >= 0.0
    assert len(data["details"]["ranges"]) == 3


def test_exchange_does_more_the_longer_it_runs(answer: tl.Answer) -> None:
    by_name = {row["name"]: row["now"] for row in answer.table}
    run = (
        [by_name["no fan"]]
        + [by_name[f"exchange {m} min an hour"] for m in (5, 10, 15, 30)]
        + [by_name["exchange all day"]]
    )
    for key, rises in (("water_ml", True), ("age_min", False), ("co2_ppm", False), ("front_fogged_h", False)):
        values = [seen[key] for seen in run]
        assert values == sorted(values, reverse=not rises), key
    changes = [seen["air_changes"]["mean"] for seen in run]
    assert changes == sorted(changes)
    half = by_name["exchange 30 min an hour"]["air_changes"]
    assert half["mean"] == pytest.approx(0.5 * (half["resting"] + half["running"]), rel=0.03)
    stirred = by_name["circulate all day"]
    assert stirred["air_changes"]["mean"] == pytest.approx(by_name["no fan"]["air_changes"]["mean"], rel=0.06)


def test_the_decision_comes_first_and_hides_no_fault(answer: tl.Answer) -> None:
    best = next(row for row in answer.table if row["name"] == answer.details["choice"])
    choice = answer.details["choice"]
    order = {"as described": "Keep your fans as they are", "no fan": "Run no fan"}.get(choice, choice)
    short, long = answer.of_kind(Kind.DO)
    assert order.lower() in short.text.lower()
    assert order in long.text
    text = answer.text("all")
    for room in ("now", "winter", "summer"):
        for fault in best[room]["faults"]:
            assert fault["words"] in text
    assert "Never cover the mesh" in text
    assert text.index("Why:") < text.index("Side by side")


def test_a_gale_over_wet_sand_dries_the_top_and_is_marked() -> None:
    box = tl.load("fern-hollow").change(
        **{
            "routine.pours": [],
            "enclosure.cover": None,
            "enclosure.layers": [{"material": "washed sand", "depth": "5 cm"}],
        }
    )
    gale = with_fans(box, Fan("big", "exchange", "always", flow_m3_h=15.0))
    seen = measured(tl.simulate(gale, 14), None, 7.0, 100.0)
    assert seen["top_dries"]
    assert FaultKind.TOP_DRIES in kinds_of(faults_of(seen, 12.0))
    still = measured(tl.simulate(with_fans(tl.load("fern-hollow")), 14), None, 7.0, 100.0)
    assert not still["top_dries"]
    assert faults_of(still, 12.0) == []


def row(name: str, minutes: float, inside: float, water: float, faults: int = 0, mode: str = "exchange") -> dict:
    """A made-up row of the comparison."""
    mild = {part: np.full(24, 22.0) for part in ("air", "ground", "glass")}
    seen = {
        "heat": judged(mild, np.arange(24) < 12, None),
        "faults": [Fault(FaultKind.FRONT_ALL_DAY)] * faults,
        "hours": {"day inside": inside, "night inside": 0.0},
        "rh_day": {"mean": 3.0 * inside},  # more hours inside are as many points more: no border decides
        "rh_night": {"mean": 60.0},
        "water_ml": water,
    }
    return {"name": name, "mode": mode, "minutes_a_day": minutes, "now": seen}


def test_which_schedule_comes_first() -> None:
    """Faults first, then clearly more hours, then less water, then less running: half an hour decides nothing."""
    rows = [
        row("wet", 0, 20.0, 50, faults=1),
        row("much", 1440, 12.4, 90),
        row("none", 0, 12.0, 50),
        row("more", 1440, 16.0, 200),
        row("often", 60, 12.0, 50),
    ]
    order = []
    while rows:
        first = first_of(rows, None, now=rows[0])
        order.append(first["name"])
        rows.remove(first)
    assert order == ["more", "none", "often", "much", "wet"]


def test_a_shut_box_leaves_exchange_out_and_says_so() -> None:
    with pytest.warns(TerralabWarning, match='"exchange fan" moves nothing, since no opening'):
        box = tl.load("fern-hollow").change(**{"enclosure.openings": []})
    found, blocked = schedules(box)
    assert all(one.mode != "exchange" for one in found if one.name != "as described")
    assert "no air can come in" in blocked


def test_a_fan_behind_a_covered_mesh_moves_nothing() -> None:
    with pytest.warns(TerralabWarning, match='its opening "front vent" is covered'):
        box = fan_box(flow="2 m3/h", opening="front vent").change(**{"enclosure.openings.front vent.covered": "100 %"})
    assert delivered(box.routine.fans[0], box.enclosure, Overrides()) == 0.0
    assert tl.simulate(box, 1).raw.flow["vapour_fan"].sum() == 0.0
    assert "exchange" not in {one.mode for one in schedules(box)[0] if one.name != "as described"}


def test_free_flow_is_not_delivered_flow() -> None:
    """Printed 6 cfm: a third of it by the default, by the curve less the finer the mesh; and units agree."""
    of = lambda **fan: 3600.0 * delivered(fan_box(**fan).routine.fans[0], fan_box(**fan).enclosure, Overrides())  # noqa: E731
    printed = 6.0 * 1.69901
    assert of(flow="6 cfm") == pytest.approx(printed, rel=1e-4)
    assert of(flow=f"{printed * 1000 / 60} l/min") == pytest.approx(printed, rel=1e-4)
    assert of(free_flow="6 cfm") == pytest.approx(0.35 * printed, rel=1e-4)
    weak, strong = (of(free_flow="6 cfm", shut_off=pa) for pa in ("2 Pa", "2 inH2O"))
    assert 0.1 * printed < weak < 0.8 * printed < strong < printed
    box = fan_box(free_flow="6 cfm", shut_off="4 Pa", diameter="4 cm", opening="lid")
    # the guess of a mesh is asked where nobody named it
    box = box.change(**{f"enclosure.openings.{name}.mesh": True for name in ("lid", "front vent")})
    fine, coarse = (
        delivered(box.routine.fans[0], box.enclosure, Overrides({"mesh screen.porosity": end}))
        for end in ("low", "high")
    )
    assert fine < 0.8 * coarse
    low = box.change(**{"enclosure.openings.lid.covered": "99 %", "enclosure.openings.front vent.covered": "99.5 %"})
    assert delivered(low.routine.fans[0], low.enclosure, Overrides()) < 0.5 * delivered(
        box.routine.fans[0], box.enclosure, Overrides()
    )


def test_a_fan_that_blows_out_takes_its_motor_heat_along() -> None:
    heat = []
    for way in ("in", "out"):
        # without the heater, whose thermostat would make up for the motor
        box = fan_box(flow="2 m3/h", motor="3 W", timer=["always"], direction=way).change(**{"routine.heaters": []})
        heat.append(tl.simulate(box, 1).raw.flow["heat_devices"].sum())
    assert heat[0] - heat[1] == pytest.approx(3.0 * 86400.0, rel=1e-3)


@pytest.mark.parametrize(
    ("fan", "words"),
    [
        ({"flow": "2 m3/h", "free_flow": "6 m3/h"}, "given beside flow"),
        ({"flow": "2 m3/h", "shut_off": "6 Pa"}, "without free_flow"),
        ({"flow": "2 m3/h", "opening": "front vnt"}, "front vent"),
        ({"flow": "2 m3/h", "direction": "up"}, "direction"),
        ({"mode": "circulate", "air_speed": "20 cm/s", "free_flow": "6 m3/h"}, "only circulates"),
        ({"free_flow": "6 m3/h", "shut_off": "6 furlongs"}, "pressure"),
    ],
)
def test_bad_fans_are_refused(fan: dict[str, str], words: str) -> None:
    with pytest.raises(DescriptionError, match=words):
        fan_box(**fan)


def test_fans_are_said_back_and_survive_their_file() -> None:
    box = fan_box(free_flow="10 m3/h", shut_off="12 Pa", opening="lid", direction="out", diameter="5 cm")
    assert 'through "lid", blowing out' in box.describe()
    assert tl.loads(tl.dumps(box)) == box


@pytest.mark.parametrize(
    "bad",
    [
        {"own": {"x": "always"}},
        {"own": {"no fan": Fan("f", "exchange", "always", flow_m3_h=1)}},
        {"own": {"x": Fan("f", "exchange", "always", flow_m3_h=1, opening="attic")}},
        {"own": ["always"]},
        {"dry_within_h": 0.0},
        {"animals_g": -1.0},
        {"animals_g": True},
        {"members": 1},
    ],
    ids=str,
)
def test_bad_questions_are_refused(bad: dict[str, object]) -> None:
    with pytest.raises(TerralabError, match=r"must (be|lie)"):
        fan_schedules(tl.load("fern-hollow"), **bad)
    with pytest.raises(TerralabError, match="needs a box"):
        fan_schedules("fern-hollow")


def test_no_schedule_of_a_keeper_passes_for_the_described_one() -> None:
    """The name "as described" stands for the fans of the box, also where it has none."""
    bare = with_fans(tl.load("fern-hollow"))
    with pytest.raises(TerralabError, match="name must be"):
        schedules(bare, {"as described": Fan("f", "exchange", "always", flow_m3_h=1)})


def test_timings_follow_the_box() -> None:
    fern, bare = (
        tl.load("fern-hollow"),
        replace(tl.load("fern-hollow"), routine=replace(tl.load("fern-hollow").routine, sprays=(), lamps=())),
    )
    assert dict(timings(fern))["with the lights"] == ("07:30-19:30",)
    assert dict(timings(fern))["at night"] == ("20:00-08:00",)
    assert after_water(fern) == ("19:01-20:01",)
    assert not {"with the lights", "after spraying"} & dict(timings(bare)).keys()


def test_dry_out_is_read_off_the_films() -> None:
    """By hand from the record: the first time after the spray at which neither leaves nor front pane show 5 g/m2."""
    record = tl.simulate(fan_box(flow="1.5 m3/h"), 5, record_every_min=1)
    found = dry_out(record, 3.0)
    end = 3 * 86400.0 + 19 * 3600.0 + 60.0
    t, film = record.raw.t, record.raw.surfaces["film"]
    wet = np.zeros(len(t), bool)
    for name in ("leaves", "front"):
        these = record.raw.of_name(name)
        wet |= film[:, these].sum(axis=1) > 0.005 * record.raw.surface["area"][these].sum()
    last = t[(t >= end) & (t < end + 12 * 3600.0) & wet].max()
    assert found["dry_out_h"] == pytest.approx((last - end) / 3600.0, abs=0.05)
    assert found["sprays"] == 2


def test_breath_against_the_closed_form_and_by_steps() -> None:
    """Steady exchange: source over volume and exchange. A fan that pulses: the same balance in steps of a minute."""
    box = tl.load("fern-hollow")
    source = sources(box, 20.0)
    assert source["all"]["typical"] == pytest.approx(
        0.0871 * (3 * 0.27 + 0.25 * 0.35) + 20 * 0.025 * 0.85 / 1000, rel=2e-3
    )
    record = tl.simulate(fan_box(flow="12 m3/h", timer=["15 min every 3 h"]).change(**DAMP), 3, record_every_min=1)
    found = breathed(record, source["all"])
    rate = record.raw.flow["air_exchanged"][1:] * 60.0 / record.raw.constants["air_mass"]
    gas, course = 0.0, []
    for q in rate:
        gas += (source["all"]["typical"] / (1000 * box.enclosure.air_volume_m3) - q * gas) / 60.0
        course.append(gas)
    assert found["co2_ppm"] - 600.0 == pytest.approx(1e6 * np.mean(course[-1440:]), rel=0.02)
    assert found["co2_low_ppm"] < found["co2_ppm"] < found["co2_peak_ppm"]
    marks = matters_below(box, source["all"])
    volume = 1000 * box.enclosure.air_volume_m3
    assert marks["stuffy, typical"] == pytest.approx(source["all"]["typical"] / volume / 400e-6)


def test_averaging_a_fan_over_its_duty_is_wrong_for_the_answer_too() -> None:
    """12 m3/h for 10 minutes an hour against 2 m3/h all the time: the same air a day, but older and damper air."""
    box = tl.load("fern-hollow").change(**DAMP)
    found = []
    for timer, flow in (("10 min every 1 h", 12.0), ("always", 2.0)):
        record = tl.simulate(with_fans(box, Fan("f", "exchange", timer, flow_m3_h=flow)), 6, record_every_min=5)
        found.append(measured(record, None, 3.0, 1.0) | exchange(record))
    pulsed, even = found
    assert pulsed["rh_day"]["mean"] > even["rh_day"]["mean"] + 1.0
    assert pulsed["age_min"] > 1.2 * even["age_min"]


@pytest.mark.slow
def test_circulation_is_named_where_it_does_the_work() -> None:
    """Stirring dries the leaves about as fast as a fan that stops an hour after the spray, without its price in water."""
    box = tl.load("fern-hollow")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        text = fan_schedules(box, members=2, pour_members=2).text("all")
    assert "A circulating fan would do what you want from an exchange fan" in text


def test_the_table_fits_a_narrow_terminal_and_the_lid_shows_its_faults(answer: tl.Answer) -> None:
    lines = [line for line in answer.sentences if line.startswith("    ")]
    assert len(lines) > 2 * len(answer.details["groups"]) + len(answer.details["covers"])
    tables = [line for one in answer.of_kind(Kind.TABLE) for line in one.lines()[1:]]
    assert all(len(line) <= 79 for line in tables)
    for one in answer.of_kind(Kind.TABLE):
        assert len({len(line) for line in one.lines()[1:]}) == 1
    shut = [line for line in tables if "100 % covered, no fan" in line]
    assert len(shut) == 1
    assert shut[0].lstrip().startswith("gn ")
    assert "g: the front pane stays wet all day" in answer.text("all")
    assert " wet" in shut[0]


def test_the_table_is_as_wide_and_says_the_same_in_us_units(answer: tl.Answer) -> None:
    """Every cell keeps its column; °F and fluid ounces stand under a heading that names them; a name stays as it is."""
    for one in answer.of_kind(Kind.TABLE):
        metric, us = one.lines(), one.lines(us=True)
        assert [len(line) for line in metric] == [len(line) for line in us]
        for a, b in zip(metric[1:], us[1:], strict=True):
            assert a[:40] == b[:40]  # margin, name and humidity
    heading = answer.of_kind(Kind.TABLE)[0].lines(us=True)[1]
    assert "°F d n" in heading
    assert heading.endswith(" fl oz")
    assert "my 60 cm plan" in answer.text("all", us=True)


@pytest.mark.parametrize("us", [False, True])
def test_the_short_screen_says_what_to_do_in_twelve_lines(answer: tl.Answer, us: bool) -> None:
    lines = wrapped(answer.text("short", us), columns=COLUMNS - 1).splitlines()
    assert len(lines) <= MOST_LINES - 1  # one is left for where to read on
    assert max(map(len, lines)) <= COLUMNS
    kinds = [one.kind for one in answer.statements if one.said(us) in answer.text("short", us)]
    for kind in (Kind.TITLE, Kind.DO, Kind.SURE, Kind.AIR, Kind.CAUTION):
        assert kind in kinds
    by_day, by_night = (one.said(us) for one in answer.statements if one.kind is Kind.AIR)
    for line in (by_day, by_night):
        assert "%" in line
        assert ("°F" if us else "°C") in line


def test_a_fault_is_the_same_in_another_schedule_and_said_with_its_own_numbers() -> None:
    long, longer = (Fault(FaultKind.DRY_LATE, "leaves", hours) for hours in (13.0, 14.0))
    assert long.same_as == longer.same_as != Fault(FaultKind.DRY_LATE, "front", 13.0).same_as
    assert longer.words() == "the leaves stay wet for 14 h after a spray"
    assert said(Fault(FaultKind.TOP_DRIES).words(), us=True) == "the top 3/4 in dry out"
    assert len({kind.mark for kind in FaultKind}) == len(FaultKind)
    assert kinds_of([longer, Fault(FaultKind.FRONT_ALL_DAY), long]) == [FaultKind.FRONT_ALL_DAY, FaultKind.DRY_LATE]


@pytest.fixture(scope="module")
def odd_boxes() -> dict[str, tl.Answer]:
    """A box in a room that kills, a shut one, and one for which nothing is wanted."""
    fern = tl.load("fern-hollow")
    boxes = {
        "hot": fern.change(**{"room.temperature": "36 C"}),
        "shut": fern.change(**{"enclosure.openings": []}),
        "bare": fern.change(**{"group": "", "routine.sprays": [], "routine.fans": []}),
    }
    return {name: fan_schedules(box, members=2, pour_members=2) for name, box in boxes.items()}


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_the_short_screen_of_odd_boxes_says_what_matters_first(odd_boxes: dict[str, tl.Answer]) -> None:
    for answer in odd_boxes.values():
        for us in (False, True):
            lines = wrapped(answer.text("short", us), columns=COLUMNS - 1).splitlines()
            assert len(lines) <= MOST_LINES - 1, lines
    hot, shut, bare = (odd_boxes[name] for name in ("hot", "shut", "bare"))
    assert hot.verdict is Verdict.DANGEROUS
    first, then = hot.statements[1:3]
    assert first.kind is Kind.WRONG
    assert "too hot for these animals" in first.text
    assert then.text.startswith("Move these animals out until it is cooler, and bring the heat down")
    assert shut.verdict is Verdict.TOO_DAMP
    assert shut.of_kind(Kind.DO)[0].text.startswith("Open a vent or part of the lid first")
    assert bare.verdict is Verdict.UNKNOWN
    assert "humidity by day" in bare.of_kind(Kind.SURE)[0].text


def test_what_a_schedule_costs_where_the_soil_is_kept_dry() -> None:
    """All that is given, sprays and the dish: a dry soil is not to be held at anything."""
    record = tl.simulate(tl.load("dry-ledge"), 1)
    rows = record.rows(0, 1)
    sprayed = sum(spray.amount_ml / spray.every_days for spray in record.box.routine.sprays)
    dish = 1000.0 * record.raw.moved["refilled"][rows].sum()
    assert dish > 1.0
    assert water_ml(record, rows) == pytest.approx(sprayed + dish, rel=0.02)


@pytest.mark.parametrize("every", [2, 3])
def test_a_spray_every_few_days_costs_the_same_in_any_week(every: int) -> None:
    """A week holds three or four sprays of every other day; the number told is that of the routine."""
    box = tl.load("dry-ledge").change(**{"enclosure.dish": None, "routine.mists": [], "routine.sprays": [
        {"time": "08:00", "amount": "40 ml", "every": f"{every} d"}]})  # fmt: skip
    record = tl.simulate(box, 5)
    for first in (0, 1, 2):
        assert water_ml(record, record.rows(first, first + 3)) == pytest.approx(40.0 / every, abs=0.01)


def test_a_fan_that_leaves_it_too_hot_is_not_said_to_end_the_heat() -> None:
    """Every schedule's heat has its own degrees in its words; it is the same fault nevertheless."""
    hot = lambda day: judged({part: np.where(DAY, day, 30.0) for part in ("air", "ground", "glass")}, DAY, FROGS)  # noqa: E731

    def row(day: float, leaves: float) -> dict:
        heat = hot(day)
        faults = [Fault(FaultKind.TOO_HOT, why=heat.why_hot[0]), Fault(FaultKind.DRY_LATE, "leaves", leaves)]
        return {"mode": "exchange", "now": {"heat": heat, "faults": faults, "hours": {}, "water_ml": 20.0}}

    reason = reason_words(row(32.9, 13), row(34.2, 14), None, None, "of water")
    assert "that ends" not in reason
    assert "cooler by 1.3 °C by day than without a fan, still dangerous" in said(reason)
    assert "cooler by 2.3 °F by day than without a fan, still dangerous" in said(reason, us=True)
    gone = row(23.0, 1)
    gone["now"] |= {
        "heat": judged({part: np.where(DAY, 23.0, 20.0) for part in ("air", "ground", "glass")}, DAY, FROGS),
        "faults": [],
    }
    assert "with it that ends" in reason_words(gone, row(34.2, 14), None, None, "of water")


def test_own_schedules_come_from_texts() -> None:
    box = tl.load("moss-jar")
    found = own_from_texts(box, ["exchange 15 min every 1 h", "circulate 07:00-09:00, 19:00-20:00"])
    assert [fan.mode for fan in found.values()] == ["exchange", "circulate"]
    assert [fan.timer.on_s for fan in found.values()] == [24 * 900.0, 3 * 3600.0]
    names = [one.name for one in schedules(box, found)[0]]
    assert names[-2:] == ["yours: exchange 15 min every 1 h", "yours: circulate 07:00-09:00, 19:00-20:00"]


@pytest.mark.parametrize("text", ["15 min every 1 h", "exchange", "exchange sometimes", ""])
def test_a_schedule_in_words_that_mean_nothing_is_refused(text: str) -> None:
    with pytest.raises(tl.TerralabError, match="schedule"):
        own_from_texts(tl.load("moss-jar"), [text])


@pytest.mark.parametrize("group", ["mosses", "orchids", "ferns"])
def test_a_box_kept_for_plants_is_taken_to_hold_no_animals(group: str) -> None:
    """Nobody is put into a jar of moss: its air holds what soil and leaves give off."""
    box = tl.load("moss-jar").change(group=group)
    source = sources(box)
    assert source["animals"] == {"low": 0.0, "typical": 0.0, "high": 0.0}
    assert not source["asked"]
    record = tl.simulate(box, 3, accuracy="preview", record_every_min=30)
    none = breathed(record, source["all"]) | {"air_changes": exchange(record)["air_changes"]}
    text = " ".join(fresh_air_words(box, source, none, none, "no fan"))
    assert "No animals are counted" in text
    assert "--animals-g" not in text


@pytest.mark.parametrize("group", ["", "humid-forest geckos", "clean-up crew", "rainforest-floor small frogs"])
def test_where_animals_may_live_their_mass_is_asked_for_and_not_assumed(group: str) -> None:
    """What each 10 g would add is told; it is what the same box gives when 10 g are told of."""
    box = tl.load("moss-jar").change(group=group or None)
    source, heavier = sources(box), sources(box, 10.0)
    assert source["asked"]
    assert not heavier["asked"]
    assert source["animals"]["high"] == 0.0
    record = tl.simulate(box, 3, accuracy="preview", record_every_min=30)
    none = breathed(record, source["all"]) | {"air_changes": exchange(record)["air_changes"]}
    text = " ".join(fresh_air_words(box, source, none, none, "no fan"))
    assert "--animals-g" in text
    assert "assumption" not in text
    more = breathed(record, heavier["all"])["co2_ppm"] - none["co2_ppm"]
    assert f"every 10 g of them add about {more:.0f} ppm" in text
    zero = sources(box, 0.0)
    assert zero["all"] == source["all"]
    assert not zero["asked"]
