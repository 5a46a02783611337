"""How much water a glass takes: refused is only what can in no way stay in it, and what terralab tries is never refused."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from terralab import materials
from terralab.answers.common.balance import with_pour
from terralab.answers.drainage.bottoms import layer_of, over_ml, overwatered, with_bottom
from terralab.answers.drainage.sizing import mishaps
from terralab.answers.fans.schedules import with_fans
from terralab.describe import (
    Box,
    Drainage,
    Enclosure,
    Layer,
    Mist,
    Opening,
    Pour,
    Room,
    RoomState,
    Routine,
    Spray,
    Trial,
)
from terralab.describe.capacity import capacity
from terralab.describe.ranges import Range
from terralab.errors import TerralabWarning
from terralab.simulation.simulate import Job, run_job
from tests.describe.random_boxes import boxes


def small(vent_cm: float | None = None, **routine) -> Box:
    """A box of 10 litres, 20 x 20 x 25 cm with 6 cm of coir and perhaps a vent in front, its lower edge so high."""
    vents = () if vent_cm is None else (Opening("slit", "front", 15, 1, bottom_cm=vent_cm),)
    glass = Enclosure(20, 20, 25, (Layer("fine coir mix", 6),), openings=vents)
    return Box(name="Small", enclosure=glass, room=Room(RoomState(21, 50)), routine=Routine(**routine))


def spilled_ml(box: Box, days: int = 2) -> float:
    """What runs out of the glass in a run."""
    return 1000.0 * float(run_job(Job(box, days, accuracy="preview")).raw.moved["spilled"].sum())


@pytest.mark.parametrize("routine", [{"pours": (Pour(28_800, 120, 5),)}, {"sprays": (Spray(28_800, 40),)}])
def test_a_vent_at_the_soil_lets_the_soil_drink(routine):
    # refused with "at most 0 ml", as if water ran out over soil that soaks it up
    box = small(6.0, **routine)
    if "pours" in routine:
        assert spilled_ml(box) < 1.0


def test_what_drained_soil_does_not_take_up_is_a_caution_and_runs_out():
    room = capacity(small(6.0).enclosure)
    assert room.above_ml == 0.0
    amount = round(room.taken_up_ml) + 300.0
    with pytest.warns(TerralabWarning, match="may run out of the glass"):
        box = small(6.0, pours=(Pour(28_800, amount, 5),))
    assert amount < room.most_ml
    assert spilled_ml(box) > 100.0


def test_what_can_in_no_way_stay_in_the_glass_is_refused(refusal):
    room = capacity(small(6.0).enclosure)
    # all pores of 6 cm of coir over 400 cm2, by the porosity of the table
    assert room.most_ml == pytest.approx(2400 * materials.get("substrates", "fine coir mix").typical("theta_s"))
    for routine, field in (
        ({"pours": (Pour(0, 40_000),)}, "routine.pours.1.amount"),
        ({"sprays": (Spray(0, 40_000),)}, "routine.sprays.1.amount"),
        ({"mists": (Mist("nozzle", 200, "always"),)}, "routine.mists.nozzle.flow"),
    ):
        error = refusal(small, 6.0, **routine)
        assert error.field == field
        assert "would overflow" in str(error)
        assert "the lowest opening in a wall" in str(error)


def test_drained_and_dry_capacity_follow_the_soil_and_the_layer(glass):
    whole, bare = capacity(glass()), capacity(glass(drainage=None))
    under = whole.dry_ml - bare.dry_ml
    assert under == pytest.approx(60 * 45 * 6 * glass().drainage.voids)
    assert whole.drained_ml - bare.drained_ml == pytest.approx(under)
    # the air of drained coir is some 10 to 30 % of it (Evans, Konduru & Stamps 1996 found 11 % in a core of 7.6 cm)
    assert 0.08 < bare.drained_ml / 27_000 < 0.35


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
@settings(max_examples=20, deadline=None, database=None, derandomize=True)
@given(boxes())
def test_nothing_that_terralab_tries_is_refused_for_its_water(box):
    # a keeper was told that 5464.96 ml would overflow, a number nobody had typed
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for ml in (0.0, 40.0, 1e5):
            poured = with_pour(box, ml)
            assert isinstance(poured, Trial)
            with_fans(poured)
            overwatered(poured)
    room = capacity(box.enclosure)
    assert 0.0 <= room.drained_ml < room.dry_ml
    assert room.taken_up_ml < room.most_ml


def test_a_vent_just_over_the_soil_does_not_stop_the_question_of_drainage():
    # one over-watering, or a mister stuck on, was refused as an error of the description
    vents = (Opening("slit", "front", 15, 1, bottom_cm=9.0),)
    glass = Enclosure(20, 20, 25, (Layer("fine coir mix", 6),), drainage=Drainage("gravel 8-15 mm", 3), openings=vents)
    box = replace(small(mists=(Mist("nozzle", 30, "08:00-08:10"),)), enclosure=glass)
    assert over_ml(box) > capacity(glass).above_ml == 0.0
    run_job(Job(overwatered(with_bottom(box, layer_of(box))), 1, accuracy="preview"))
    assert mishaps(box)["nozzle stuck on"]["mesh_after_h"] is not None


def test_a_trial_is_the_box_it_came_from_but_for_its_class(fern):
    same = Trial.of(fern)
    assert same == fern
    assert fern == same
    assert hash(same) == hash(fern)
    flooded = replace(same, routine=Routine(pours=(Pour(0, 1e6),)))
    assert isinstance(flooded, Trial)
    assert flooded != fern
    assert np.isfinite(spilled_ml(flooded, 1))


def test_a_trial_forgets_the_range_of_what_it_does_not_have(fern):
    # a range of the keeper's fan made every schedule without that fan an error about the description
    ranged = replace(fern, ranges=(Range("enclosure.plants.leaf_area", "500 cm2", "9000 cm2"),))
    assert Trial.of(ranged).ranges == ranged.ranges
    bare = Trial.of(ranged, enclosure=replace(fern.enclosure, plants=None))
    assert bare.ranges == ()
