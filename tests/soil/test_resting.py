"""Soil at rest, held against Richards' equation left to itself, the published mean of a pot, and the engine's own start."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest

import terralab as tl
from terralab.answers.drainage.at_rest import at_rest, gap_cm, touches
from terralab.soil.column import Column
from terralab.soil.equilibrium import container_capacity
from terralab.soil.hydraulics import Soil
from terralab.soil.resting import AIRLESS, foot_pull, pull_for_air, resting

MIXES = ("fine coir mix", "coarse coir mix", "bark and peat mix", "washed sand")


def test_a_soaked_column_that_drains_to_the_end_is_the_soil_at_rest() -> None:
    """Two ways to one profile: the curve against height, and the flow of water until none flows."""
    drained = Column([("washed sand", 12.0)], cell_cm=0.5, start_head_cm=0).run(days=6, bottom="seepage face")
    rest = resting([("washed sand", 12.0)])
    heights = 12.0 - Column([("washed sand", 12.0)], cell_cm=0.5).depth_cm
    pull = np.interp(heights, rest.height_cm, rest.pull_cm)
    assert -drained.heads_cm[-1] == pytest.approx(pull, abs=0.15)


@pytest.mark.parametrize("mix", MIXES)
@pytest.mark.parametrize("foot", [0.0, 0.5])
def test_its_mean_is_what_a_drained_pot_keeps(mix: str, foot: float) -> None:
    """`container_capacity` stands on printed pots (tests/published); the mean of the profile is the same by another sum."""
    rest = resting([(mix, 9.0)], foot)
    mean = np.trapezoid(rest.water, rest.height_cm) / 9.0
    assert mean == pytest.approx(container_capacity(mix, 9.0, foot), abs=2e-4)


@pytest.mark.parametrize("mix", MIXES)
def test_the_wet_band_is_the_pull_needed_less_the_pull_at_the_foot(mix: str) -> None:
    soil, needed = Soil.from_material(mix), pull_for_air(mix)
    assert soil.theta_s - soil.water_content(-0.01 * needed) == pytest.approx(AIRLESS, abs=1e-9)
    for foot in (-2.0, 0.0, 0.4):
        for depth in (30.0, 60.0):  # deeper soil has the same band
            assert resting([(mix, depth)], foot).wet_band_cm == pytest.approx(max(0.0, needed - foot), abs=1e-9)
    assert resting([(mix, 0.2)], -1.0).wet_band_cm == pytest.approx(0.2)
    rest = resting([(mix, 30.0)])
    step = np.diff(rest.height_cm)
    seen = float(step[(rest.air[1:] < AIRLESS)].sum())
    assert seen == pytest.approx(rest.wet_band_cm, abs=2 * step.max())


def test_a_layer_of_another_mix_higher_up_has_a_band_only_where_it_pulls_too_little() -> None:
    """The upper loam needs 37 cm of pull: all of it is wet, and so is the lowest part of the coir under it."""
    rest = resting([("loam topsoil", 4.0), ("fine coir mix", 6.0)], 0.5)
    assert rest.wet_band_cm == pytest.approx(4.0 + pull_for_air("fine coir mix") - 0.5)
    assert rest.height_cm[0] == 0.0
    assert rest.height_cm[-1] == pytest.approx(10.0)
    assert list(dict.fromkeys(rest.place)) == [1, 0]


def test_over_stones_there_is_a_step_and_not_a_slope() -> None:
    assert [foot_pull(gap, 0.5, 0.7) for gap in (9.0, 4.0, 0.8)] == [0.5, 0.5, 0.5]
    assert [foot_pull(gap, 0.5, 0.7) for gap in (0.6, 0.0, -3.0)] == [0.6, 0.0, -3.0]


@pytest.mark.parametrize("level", [0.5, 4.0])
def test_the_engine_begins_a_drained_box_with_the_soil_at_rest(level: float) -> None:
    """Far from the water and flooded: the first row of a run, made by the engine, is the same profile."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)  # that it begins flooded is meant
        box = tl.load("moss-jar").change(**{"enclosure.cover": None, "enclosure.drainage.level": level})
    record = tl.simulate(box, 0.25, accuracy="preview", record_every_min=60)
    rest = at_rest(box)
    assert gap_cm(box) == pytest.approx(3.0 - level)
    assert touches(box) is (level > 3.0)
    heights = box.enclosure.soil_depth_cm - record.depth_cm
    assert -100.0 * record.head_m[0] == pytest.approx(np.interp(heights, rest.height_cm, rest.pull_cm), abs=1e-6)


def test_soil_without_pores_enough_never_has_air_enough() -> None:
    tight = Soil(theta_r=0.30, theta_s=0.38, alpha_per_m=1.0, n=1.2, ks_m_per_s=1e-7)
    assert pull_for_air(tight) == math.inf
    assert resting([(tight, 5.0)], 100.0).wet_band_cm == pytest.approx(5.0)


@pytest.mark.parametrize("layers", [[], "fine coir mix", 7, [("fine coir mix", -1.0)], [("no such mix", 3.0)]])
def test_what_is_no_soil_is_refused(layers: object) -> None:
    with pytest.raises(tl.TerralabError):
        resting(layers)
