"""The first soak: what the soil lacks, what runs past it, what evaporates in its hours, and a pace that has a reason."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

import terralab as tl
from terralab.answers.common.balance import kept_dry
from terralab.answers.soak.checked import evaporates_l
from terralab.answers.soak.first_soak import Wetting, wetting_of
from terralab.answers.soak.pace import AT_ONCE, MOST_S, Pace, course, depth_for, pace_for
from terralab.answers.soak.words import shedding
from terralab.describe import Layer
from terralab.describe.capacity import capacity
from terralab.physics.wetting import SHUT
from terralab.simulation.dry_soil import dry_soil
from tests.asked import asked
from tests.describe.random_boxes import boxes
from tests.keepers import keepers_box

pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")

MOIST = [name for name in tl.demos() if not kept_dry(tl.load(name))]
PEAT = {"enclosure.layers.1.material": "peat-based mix"}
KEEPERS = [box for box in map(keepers_box, range(14)) if not kept_dry(box)][:6]


def litres_in(text: str) -> list[float]:
    """The numbers of a sentence, in order."""
    return [float(found) for found in re.findall(r"\d+\.\d+", text)]


def adds_up(answer: tl.Answer) -> None:
    """What is read in the answer adds up, to the digits that are said."""
    why = next(line for line in answer.sentences if line.startswith("  Why: "))
    said = litres_in(next(line for line in answer.sentences if re.search(r"litres \((likely|in nearly)", line)))[0]
    dry, moist, lacking, *rest = litres_in(why)
    assert moist - dry == pytest.approx(lacking, abs=1e-9)
    parts = rest[: rest.index(said)] if rest else []
    assert lacking + sum(parts) == pytest.approx(said, abs=1e-9)
    d = answer.details
    assert d["moist_l"] - d["dry_l"] == pytest.approx(d["lacking_l"], abs=0.002)
    assert lacking == pytest.approx(d["lacking_l"], abs=0.151)


def is_its_parts(answer: tl.Answer) -> None:
    """The total is what the soil lacks, what runs past it and what evaporates in the hours of the soak; each once."""
    d = answer.details
    parts = d["lacking_l"] + d["runs_past_l"] + d["evaporates_l"]
    assert answer.value == pytest.approx(parts, abs=0.01)
    assert d["fresh_l"] == pytest.approx(d["lacking_l"] + d["evaporates_l"], abs=0.002)
    for season in answer.seasons.values():
        apart = season["evaporates_l"] - d["evaporates_l"]
        for end, now in (("value", answer.value), ("low", answer.low), ("high", answer.high)):
            assert season[end] - now == pytest.approx(apart, abs=0.011)


@pytest.mark.parametrize("name", MOIST)
def test_soak_ends_drained_moist(name: str) -> None:
    answer = asked("first_soak", name, members=32)
    assert answer.low <= answer.value <= answer.high
    assert answer.unit == "litres"
    assert answer.reachable
    record = answer.record
    if answer.window["siphon_after"] is None:
        assert float(record.raw.moved["poured"].sum()) == pytest.approx(answer.value, abs=0.01)
    assert record.closure_water <= 1e-9
    adds_up(answer)
    is_its_parts(answer)


@pytest.mark.parametrize("box", KEEPERS, ids=lambda box: box.name)
def test_in_anybodys_box_the_soak_is_its_parts_and_its_pace_fits_a_day(box: tl.Box) -> None:
    answer = tl.first_soak(replace(box, start=replace(box.start, soil="dry")), members=4)
    assert answer.value > 0.0
    is_its_parts(answer)
    adds_up(answer)
    w = answer.window
    assert 60.0 * w["hours"] <= MOST_S / 60.0 + w["pour_min"] + 6.0
    assert w["portions"] * w["portion_ml"] == pytest.approx(1000.0 * answer.value, abs=0.51 * w["portions"] + 5.0)
    assert w["portions"] == 1 or w["every_min"] >= w["pour_min"]
    if answer.record is not None:
        assert answer.record.closure_water <= 1e-9


def test_the_litres_that_are_read_add_up_where_some_run_past() -> None:
    # the difference was said to be poured, and another number stood in the headline
    for changes in (PEAT, {**PEAT, "enclosure.layers.1.depth": "3 cm", "enclosure.cover": None}):
        answer = tl.first_soak(tl.load("fern-hollow").change(**changes), members=8)
        assert "run past" in answer.reason
        adds_up(answer)


def test_weather_changes_the_soak_by_what_evaporates_in_its_hours_alone() -> None:
    # evaporation was counted for days on end, so that a dry winter room made the soak litres larger
    box = tl.load("tall-glen").change(**{"enclosure.layers.1.material": "peat-based mix"})
    box = box.change(**{"room.winter.humidity": "15 %", "room.winter.temperature": "26 C"})
    parched = box.change(**{"room.humidity": "10 %", "room.temperature": "30 C"})
    damp, dry = (tl.first_soak(one, members=8) for one in (box, parched))
    for answer in (damp, dry):
        is_its_parts(answer)
    for part in ("lacking_l", "runs_past_l", "moist_l"):
        assert dry.details[part] == damp.details[part]
    for part in ("portions", "every_min", "hours"):
        assert dry.window[part] == damp.window[part]
    more = dry.details["evaporates_l"] - damp.details["evaporates_l"]
    assert more > 0.0
    assert dry.value - damp.value == pytest.approx(more, abs=0.011)


def test_what_evaporates_is_counted_over_the_hours_of_the_soak_and_no_longer() -> None:
    # twice the hours with the same water: about twice the evaporation, not that of three days
    box = tl.load("tall-glen")
    held, past = (4.0, 4.0, 4.0), (0.0, 0.0, 0.0)
    short, long = (evaporates_l(box, held, past, Pace(3, hours * 1800.0, 300.0), "now") for hours in (4, 8))
    assert 0.0 < short < long < 4.0 * short
    whole = tl.first_soak(box, members=4)
    day = whole.details["evaporates_l"] / whole.window["hours"] * 24.0
    assert whole.details["evaporates_l"] < 0.5 * day


def wetting(name: str = "fern-hollow", **changes: object) -> Wetting:
    return wetting_of(tl.load(name).change(**changes), {})


@pytest.mark.parametrize("mix", ["peat-based mix", "bark-rich mix"])
def test_what_is_poured_slowly_runs_past_less(mix: str) -> None:
    # 31 litres in ten minutes shed as much past the mix as in twelve hours
    w = wetting(**{"enclosure.layers.1.material": mix})
    depth = w.lacks
    past = [
        math.fsum(course(w.soil, 1.0, w.room, depth, Pace(1, 0.0, 60.0 * minutes)).past) for minutes in (1, 10, 60, 720)
    ]
    assert past == sorted(past, reverse=True)
    assert past[1] > 1.5 * past[3]


def test_more_portions_and_longer_pauses_never_lose_more() -> None:
    w = wetting(**PEAT)
    lost = lambda pace: math.fsum(course(w.soil, 1.0, w.room, w.lacks, pace).past)  # noqa: E731
    pauses = [lost(Pace(8, 60.0 * minutes, 300.0)) for minutes in (10, 30, 60, 120)]
    assert pauses == sorted(pauses, reverse=True)
    counts = [lost(Pace(n, 10.0 * 3600.0 / (n - 1), 60.0)) for n in (2, 4, 8, 16)]
    assert counts == sorted(counts, reverse=True)


def test_the_pace_follows_the_mix() -> None:
    """Coir at once, bark in an hour or two, peat in a day: as they rank in print (see tests/physics/test_wetting.py)."""
    seen = {}
    for mix in ("fine coir mix", "bark-rich mix", "peat-based mix"):
        w = wetting(**{"enclosure.layers.1.material": mix})
        pace = pace_for(w.soil, w.dry_to, w.room, w.lacks)
        seen[mix] = pace.lasts_s, math.fsum(w.run(pace).past) / w.lacks
        assert w.soil.refuses(w.dry_to, pace.lasts_s) <= SHUT + 1e-6 or pace.lasts_s >= 0.9 * MOST_S
    coir, bark, peat = seen.values()
    assert coir[0] <= bark[0] < peat[0]
    assert coir[1] < bark[1] < peat[1]
    assert 6.0 * 3600.0 < peat[0] <= MOST_S + 3600.0
    answer = tl.first_soak(tl.load("fern-hollow").change(**PEAT), members=4)
    text = answer.text("all")
    assert f"in {answer.window['portions']} portions" in text
    assert f"{answer.window['every_min']} minutes apart" in text
    assert "a third of the first portion" in text
    assert 0.25 < answer.details["first_held"] < 0.4


def test_a_soil_that_takes_water_slowly_is_given_time() -> None:
    # loam refuses nothing, but ten millimetres take it an hour
    w = wetting(**{"enclosure.layers.1.material": "loam topsoil"})
    pace = pace_for(w.soil, w.dry_to, w.room, w.lacks)
    assert math.fsum(w.run(pace).past) == 0.0
    assert pace.every_s * w.soil.takes_m_s >= w.lacks / pace.portions * (1.0 - 1e-9)
    answer = tl.first_soak(tl.load("fern-hollow").change(**{"enclosure.layers.1.material": "loam topsoil"}), members=4)
    assert "takes no more than" in answer.text("all")


def test_a_shrunken_mix_that_takes_little_sheds_what_stands_too_high() -> None:
    w = wetting(**PEAT)
    slow = replace(w.soil, takes_m_s=2e-6)
    fits, much = (
        math.fsum(course(slow, 1.0, w.room, depth, Pace(1, 0.0, 60.0)).past) / depth for depth in (0.004, 0.02)
    )
    assert much > fits
    assert much > 1.0 - 0.3 * slow.pond_m / 0.02 - 0.01  # what may stand is shared out, the rest runs down the gap
    pace = pace_for(slow, 1.0, w.room, 0.05)
    assert 0.05 / pace.portions <= 1.01 * slow.pond_m


def test_what_is_poured_is_just_what_the_soil_then_keeps() -> None:
    for name in MOIST:
        for changes in ({}, PEAT):
            w = wetting(name, **changes)
            for pace in (pace_for(w.soil, 1.0, w.room, w.lacks), Pace(12, 4500.0, 300.0)):
                depth = depth_for(w.soil, 1.0, w.room, w.lacks, pace)
                seen = course(w.soil, 1.0, w.room, depth, pace)
                assert math.fsum(seen.held) == pytest.approx(w.lacks, rel=1e-6)
                assert math.fsum(seen.held) + math.fsum(seen.past) == pytest.approx(depth, rel=1e-9)
    assert math.fsum(course(w.soil, 1.0, w.room, 5.0, AT_ONCE).held) <= w.room  # no soil holds more than its pores


def test_what_runs_past_is_poured_below_in_the_run_that_checks() -> None:
    # the law and the run had each its own share; where the layer is too small for it, the rest is siphoned
    for changes in (PEAT, {"enclosure.layers.1.material": "bark-rich mix"}):
        answer = tl.first_soak(tl.load("fern-hollow").change(**changes), members=4)
        past, below = answer.details["runs_past_l"], float(answer.record.raw.moved["bypassed"].sum())
        assert past > 0.1
        assert below == pytest.approx(past, abs=0.02) or (below < past and answer.window["siphon_after"] is not None)
        assert answer.window["gap_cm"] >= 1.0


@settings(max_examples=20, deadline=None, database=None, derandomize=True)
@given(boxes())
def test_a_soak_lies_between_what_the_soil_lacks_and_what_its_pores_hold(box: tl.Box) -> None:
    for overrides in ({}, {f"{box.enclosure.layers[0].material}.refuses_dry": "high"}):
        w = wetting_of(box, overrides)
        pace = pace_for(w.soil, w.dry_to, w.room, w.lacks)
        soak = w.soak(pace)
        pores = capacity(box.enclosure).dry_ml / 1000.0
        assert 0.0 < soak.dry < soak.moist
        assert soak.lacking <= soak.litres <= pores + soak.past
        assert 0.0 <= soak.past <= 2.0 * soak.lacking
        assert 1 <= pace.portions <= 24
        assert pace.lasts_s <= MOST_S + pace.over_s
        if box.enclosure.drainage is None and not box.enclosure.drain_hole:
            assert soak.past == 0.0  # it gathers at the foot of the soil, and so in it


def test_a_mix_of_coir_in_peat_wets_faster_than_peat() -> None:
    """Peat took water better with as little as 15 % coir: Bartley et al. 2023, HortScience 58:79-83, abstract."""
    box = tl.load("fern-hollow")
    plain, mixed = (
        dry_soil(box.change(**{"enclosure.layers.1.material": mix}))
        for mix in ("peat-based mix", "17 parts peat-based mix, 3 parts fine coir mix")
    )
    for contact in (0.0, 600.0, 3600.0, 4 * 3600.0):
        assert mixed.refuses(1.0, contact) < plain.refuses(1.0, contact)


def test_a_soil_that_is_moist_or_wet_now_is_not_soaked_now() -> None:
    box = tl.load("moss-jar")
    start = lambda soil: replace(box, start=replace(box.start, soil=soil))  # noqa: E731
    found = {soil: tl.first_soak(start(soil), members=4) for soil in ("drained-moist", "wet", "dry")}
    assert found["wet"].value == found["drained-moist"].value == found["dry"].value > 0.0
    for soil in ("drained-moist", "wet"):
        assert found[soil].details["lacks_now_l"] == 0.0
        assert "Soak nothing now" in str(found[soil])
        assert f"Your description starts it {soil}; the soak is for a dry one." in found[soil].assumptions[0]
    assert found["dry"].details["lacks_now_l"] == pytest.approx(found["dry"].details["lacking_l"], rel=0.1)
    assert str(found["dry"]).splitlines()[1].strip().startswith("Pour")


def test_a_soil_that_is_to_stay_dry_is_not_soaked() -> None:
    # the command gave litres where the report said that there is nothing to soak
    dry = next(tl.load(name) for name in tl.demos() if kept_dry(tl.load(name)))
    answer = tl.first_soak(dry, members=4)
    assert answer.value is None
    assert "nothing to soak" in answer.text("why")
    assert "Soak nothing" in str(answer)
    assert answer.to_dict()["value"] is None


def test_dry_peat_is_warned_about_and_runs_past() -> None:
    answer = tl.first_soak(tl.load("fern-hollow").change(**PEAT), members=4)
    assert "shed water" in answer.cautions[0]
    assert float(answer.record.raw.moved["bypassed"].sum()) > 0.1
    assert np.all(np.isfinite(answer.sample.results["past"]))


def test_the_cautions_of_the_day_stand_with_the_litres() -> None:
    """Weight on stand and glass, animals out, water as warm as is wanted in the box: °C within the band."""
    answer = tl.first_soak(tl.load("tall-glen"), members=4)
    care = " ".join(str(one) for one in answer.cautions)
    assert f"up to {answer.value:.0f} kg of water" in care
    assert "Animals out before the first portion" in care
    warm = float(re.search(r"lukewarm water, about (\d+) °C", care)[1])
    assert answer.heat["wanted"] is None or 22.0 <= warm <= 28.0
    assert "°C" in str(answer)


def test_a_siphon_is_named_only_where_there_is_a_layer() -> None:
    """Nobody can siphon water from below a box without a layer."""
    box = tl.load("fern-hollow").change(**PEAT)
    none = box.change(**{"enclosure.drainage": None, "enclosure.tube": None, "routine.siphons": []})
    assert "siphon if the water below rises" in shedding(box)[0]
    assert "siphon" not in shedding(none)[0]
    assert "iphon what ran past" not in tl.first_soak(none, members=4).text("why")
    hole = none.change(**{"enclosure.drain_hole": True})
    answer = tl.first_soak(hole, members=4)
    assert answer.details["runs_past_l"] > 0.0
    assert "Catch what ran past" in answer.reason


def test_litres_need_no_run(monkeypatch) -> None:
    # a check that cannot be run is said, and takes from the litres no more than what evaporates
    box = tl.load("moss-jar")
    whole = tl.first_soak(box, members=4)

    def stopped(job):
        raise tl.RunError("stopped", "the flow of water found no solution")

    monkeypatch.setattr("terralab.answers.soak.checked.run_job", stopped)
    answer = tl.first_soak(box, members=4)
    assert answer.value == pytest.approx(whole.value - whole.details["evaporates_l"], abs=0.011)
    assert answer.reachable is None
    assert "could not check this, since the flow of water found no solution" in answer.text("why")
    assert "a run could not check this" in str(answer)
    assert "None" not in answer.text("all")


def test_odd_boxes_end_without_a_traceback() -> None:
    """A thimble of soil, pots on a bare floor, a deep one of peat under hot mesh that stood dry for a year."""
    hollow = tl.load("fern-hollow")
    tall = tl.load("tall-glen").change(**{"start.soil": "dry"})
    deep = replace(tall, enclosure=replace(tall.enclosure, layers=(Layer("peat-based mix", 15.0),)))
    thin = hollow.change(**{"enclosure.layers.1.depth": "2 cm", "enclosure.cover": None, **PEAT})
    for box in (deep, thin):
        answer = tl.first_soak(box, members=4)
        is_its_parts(answer)
        adds_up(answer)
        assert answer.reachable is not None
