"""The first soak: what the soil lacks and what runs past it, numbers that add up, and no season or pace in it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

import terralab as tl
from terralab.answers.common.balance import kept_dry
from terralab.answers.soak.first_soak import run_past_m, soak_of
from terralab.answers.soak.words import shedding
from terralab.describe import Pour, Trial
from terralab.describe.capacity import capacity
from terralab.simulation.simulate import Job, run_job
from tests.describe.random_boxes import boxes

MOIST = [name for name in tl.demos() if not kept_dry(tl.load(name))]
PEAT = {"enclosure.layers.1.material": "peat-based mix"}


def litres_in(text: str) -> list[float]:
    """The numbers of a sentence, in order."""
    return [float(found) for found in re.findall(r"\d+\.\d+", text)]


def adds_up(answer: tl.Answer) -> None:
    """What is read in the answer adds up, to the digits that are said."""
    why = next(line for line in answer.sentences if line.startswith("  Why: "))
    said = litres_in(answer.sentences[1])[0]
    dry, moist, lacking, *past = litres_in(why)
    assert moist - dry == pytest.approx(lacking, abs=1e-9)
    assert lacking + (past[0] if past else 0.0) == pytest.approx(said, abs=1e-9)
    if past:
        assert past[1] == said
    d = answer.details
    assert d["moist_l"] - d["dry_l"] + d["runs_past_l"] == pytest.approx(answer.value, abs=0.01)
    assert lacking == pytest.approx(d["lacking_l"], abs=0.101)


@pytest.mark.parametrize("name", MOIST)
def test_soak_ends_drained_moist(name: str) -> None:
    answer = tl.first_soak(tl.load(name), members=32)
    assert answer.low <= answer.value <= answer.high
    assert answer.unit == "litres"
    assert answer.reachable
    record = answer.record
    assert float(record.raw.moved["poured"].sum()) == pytest.approx(answer.value, abs=0.01)
    assert record.closure_water <= 1e-9
    adds_up(answer)


def test_the_litres_that_are_read_add_up_where_some_run_past() -> None:
    # the difference was said to be poured, and another number stood in the headline
    for changes in (PEAT, {**PEAT, "enclosure.layers.1.depth": "3 cm", "enclosure.cover": None}):
        answer = tl.first_soak(tl.load("fern-hollow").change(**changes), members=8)
        assert "run past" in answer.reason
        adds_up(answer)


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_weather_outside_does_not_change_the_soak() -> None:
    # evaporation during the soak was added again and again, so that a dry room made it litres larger
    box = tl.load("fern-hollow").change(**{"room.winter.humidity": "15 %", "room.winter.temperature": "26 C"})
    parched = box.change(**{"room.humidity": "10 %", "room.temperature": "30 C"})
    damp, dry = (tl.first_soak(one, members=8) for one in (box, parched))
    assert damp.value == dry.value
    assert dry.details["evaporates_meanwhile_ml_a_day"] > 2 * damp.details["evaporates_meanwhile_ml_a_day"]
    assert damp.seasons["winter"]["value"] == damp.seasons["summer"]["value"] == damp.value
    assert dry.reachable


def test_no_pace_is_advised_that_is_not_computed() -> None:
    # what is shed hangs on how wet the whole mix is, not on how fast one pours: ten minutes and twelve hours shed the same
    box = tl.load("fern-hollow").change(**PEAT)
    shed = []
    for over_min in (10.0, 720.0):
        pour = Pour(time_s=6 * 3600, amount_ml=15_000.0, over_min=over_min, every_days=365)
        start = replace(box.start, soil="dry")
        run = Trial.of(box, start=start, routine=replace(box.routine, pours=(pour,), siphons=()))
        shed.append(float(run_job(Job(run, 1, accuracy="preview")).raw.moved["bypassed"].sum()))
    assert shed[0] == pytest.approx(shed[1], rel=0.03)
    answer = tl.first_soak(box, members=4)
    assert "slowly" not in answer.text("all")
    assert "common practice, no source; the pace is not computed" in answer.cautions[0]


def test_what_runs_past_is_what_the_run_sheds() -> None:
    # the engine pours step by step and counts; the answer integrates the same share in one formula
    for changes in (PEAT, {"enclosure.layers.1.material": "bark-rich mix"}):
        box = tl.load("fern-hollow").change(**changes)
        typical = soak_of(box, {})
        answer = tl.first_soak(box, members=4)
        run = float(answer.record.raw.moved["bypassed"].sum())
        assert typical.past > 0.1
        assert run == pytest.approx(typical.past, rel=0.05)


def test_what_runs_past_has_its_limits() -> None:
    assert run_past_m(0.0, 0.3, 0.1, 0.002, 0.08) == 0.0
    assert run_past_m(0.3, 0.0, 0.1, 0.002, 0.08) == 0.0
    assert run_past_m(0.3, 0.3, 0.1, 0.05, 0.08) == 0.0  # wetter than the mix sheds at
    # a small share: the integral of share (1 - x)^2 from x0 to 1, a third of the cube
    x0 = 0.1
    assert run_past_m(1e-4, 0.3, 0.1, x0 * 0.03, 0.08) == pytest.approx(0.03 * 1e-4 * (1 - x0) ** 3 / 3, rel=1e-3)


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
@settings(max_examples=25, deadline=None, database=None, derandomize=True)
@given(boxes())
def test_a_soak_lies_between_what_the_soil_lacks_and_what_its_pores_hold(box: tl.Box) -> None:
    for overrides in ({}, {f"{box.enclosure.layers[0].material}.bypass_share": "high"}):
        soak = soak_of(box, overrides)
        pores = capacity(box.enclosure).dry_ml / 1000.0
        assert 0.0 < soak.dry < soak.moist
        assert soak.lacking <= soak.litres <= pores + soak.past
        assert 0.0 <= soak.past <= 1.0 * soak.lacking  # a mix that sheds more than it keeps would never be wetted
        if box.enclosure.drainage is None:
            assert soak.past == 0.0


def test_a_soil_that_starts_moist_or_wet_is_soaked_as_if_dry() -> None:
    box = tl.load("moss-jar")
    found = {
        soil: tl.first_soak(replace(box, start=replace(box.start, soil=soil)), members=4)
        for soil in ("drained-moist", "wet")
    }
    assert found["wet"].value == found["drained-moist"].value > 0.0
    assert "Your description starts it wet; the soak is for a dry one." in found["wet"].assumptions[0]


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


def test_a_siphon_is_named_only_where_there_is_a_layer() -> None:
    """Nobody can siphon water from below a box without a layer."""
    box = tl.load("fern-hollow").change(**PEAT)
    none = box.change(**{"enclosure.drainage": None, "enclosure.tube": None, "routine.siphons": []})
    assert "siphon if the water below rises" in shedding(box)[0]
    assert "siphon" not in shedding(none)[0]


def test_litres_need_no_run(monkeypatch) -> None:
    # a check that cannot be run is said, and takes nothing from the litres
    box = tl.load("moss-jar")
    whole = tl.first_soak(box, members=4)

    def stopped(job):
        raise tl.RunError("stopped", "the flow of water found no solution")

    monkeypatch.setattr("terralab.answers.soak.first_soak.run_job", stopped)
    answer = tl.first_soak(box, members=4)
    assert answer.value == whole.value
    assert answer.reachable is None
    assert "could not check this, since the flow of water found no solution" in answer.text("why")
    assert "a run could not check this" in str(answer)
    assert "None" not in answer.text("all")
