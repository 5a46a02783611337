"""What soils, columns and columns at rest say to a person: results that read well, and refusals that help."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from terralab import materials
from terralab.errors import DescriptionError, RunError, UnknownName
from terralab.soil.column import Column
from terralab.soil.equilibrium import container_capacity, steady_rise
from terralab.soil.hydraulics import SOIL_TABLES, ExponentialSoil, Soil
from terralab.soil.inputs import MAX_CELLS

GOOD = {"theta_r": 0.08, "theta_s": 0.43, "alpha_per_m": 4.0, "n": 1.6, "ks_m_per_s": 5e-6}
EVERY_SOIL = [name for table in SOIL_TABLES for name in materials.names(table)]


@pytest.fixture
def coir():
    return Column([("fine coir mix", 10)], start_head_cm=-30)


@pytest.fixture
def watered(coir):
    return coir.run(hours=6, times=[0, 0.25, 6], top_flux_mm_per_h=[(0, 60), (0.25, 0)], bottom="seepage face")


# ---- soils


@pytest.mark.parametrize("name", EVERY_SOIL)
def test_every_soil_of_the_tables_can_be_used(name):
    soil = Soil.from_material(name)
    heads = -np.geomspace(1e-4, 1e4, 60)
    assert np.all(np.diff(soil.water_content(heads)) <= 0.0)
    assert np.all(np.diff(soil.conductivity(heads)) <= 0.0)
    assert soil.water_content(0.0) == pytest.approx(soil.theta_s, rel=1e-14)
    assert soil.conductivity(0.0) == soil.ks_m_per_s


@pytest.mark.parametrize("name", EVERY_SOIL)
@pytest.mark.parametrize("which", ["low", "high"])
def test_both_ends_of_every_range_make_a_soil(name, which):
    soil = Soil.from_material(name, which=which)
    table = next(table for table in SOIL_TABLES if name in materials.names(table))
    assert soil.theta_s == getattr(materials.get(table, name)["theta_s"], which)


def test_only_mixes_dry_out_completely():
    assert Soil.from_material("fine coir mix").water_content(-1e5) < 1e-3
    assert Soil.from_material("sand").water_content(-1e5) == pytest.approx(0.045)


def test_the_slope_is_the_slope():
    for soil in (Soil(**GOOD), Soil(**GOOD, second=(0.3, 0.5, 1.4), dry_end=True), ExponentialSoil(0.1, 0.4, 5, 1e-5)):
        heads = -np.geomspace(1e-2, 1e3, 25)
        step = 1e-5 * heads
        slope = (soil.water_content(heads + step) - soil.water_content(heads - step)) / (2.0 * step)
        np.testing.assert_allclose(soil.capacity(heads), slope, rtol=1e-6, atol=1e-12)


def test_a_second_domain_like_the_first_changes_nothing():
    heads = -np.geomspace(1e-3, 1e3, 25)
    one, two = Soil(**GOOD), Soil(**GOOD, second=(0.4, 4.0, 1.6))
    np.testing.assert_allclose(two.water_content(heads), one.water_content(heads), rtol=1e-12)
    np.testing.assert_allclose(two.conductivity(heads), one.conductivity(heads), rtol=1e-12)


def test_air_entry_acts_on_conductivity_only():
    plain, entry = Soil(**GOOD), Soil(**GOOD, air_entry_m=0.02)
    assert entry.conductivity(-0.019) == 5e-6 > plain.conductivity(-0.019)
    assert entry.conductivity(-0.02 * (1 + 1e-9)) == pytest.approx(5e-6, rel=1e-6)
    assert entry.water_content(-0.019) == plain.water_content(-0.019)


def test_heads_come_back_in_the_shape_they_were_given():
    soil = Soil(**GOOD)
    assert isinstance(soil.water_content(-1), float)
    assert soil.conductivity([[-1, -2, -3]]).shape == (1, 3)


def test_a_soil_is_frozen_and_can_be_compared():
    soil = Soil(**GOOD)
    assert soil == Soil(**GOOD)
    assert len({soil, Soil(**GOOD), Soil(**GOOD, l=1.0)}) == 2
    with pytest.raises(dataclasses.FrozenInstanceError):
        soil.n = 2.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"theta_r": 0.5}, ["theta_r", "less than theta_s", "0.43"]),
        ({"theta_s": 43}, ["theta_s", "43", "0.05 to 1"]),
        ({"alpha_per_m": -4}, ["alpha_per_m", "1/cm"]),
        ({"n": 1.0}, ["n:", "1.01 to 12"]),
        ({"ks_m_per_s": 50}, ["ks_m_per_s", "cm/day"]),
        ({"ks_m_per_s": float("nan")}, ["ks_m_per_s", "nan"]),
        ({"n": "1.6"}, ["n:", '"1.6"', "not a number"]),
        ({"theta_r": True}, ["theta_r", "True"]),
        ({"l": -6}, ["l:", "-2/m"]),
        ({"l": -2 / (1 - 1 / 1.6)}, ["l:", "more than -2/m"]),
        ({"air_entry_m": 2}, ["air_entry_m", "0 to 0.05 m"]),
        ({"dry_end": 1}, ["dry_end", "True or False"]),
        ({"second": 0.3}, ["second", "three numbers"]),
        ({"second": (0.3, 5)}, ["second", "three numbers"]),
        ({"second": (1.5, 5, 2)}, ["second.share", "1.5"]),
    ],
)
def test_a_soil_that_cannot_be_is_refused(changes, words):
    with pytest.raises(DescriptionError) as caught:
        Soil(**(GOOD | changes))
    for word in words:
        assert word in str(caught.value)


def test_an_unknown_soil_gets_the_nearest_good_name():
    with pytest.raises(UnknownName, match="fine coir mix"):
        Soil.from_material("fine koir mix")
    with pytest.raises(DescriptionError, match="typical"):
        Soil.from_material("loam", which="middle")


@pytest.mark.parametrize("head", ["-1", None, [1, "x"], float("nan"), -1e7, [[-1], [-1, -2]]])
def test_a_head_that_makes_no_sense_gives_no_number(head):
    with pytest.raises(DescriptionError, match="head_m"):
        Soil(**GOOD).water_content(head)


# ---- columns


def test_the_story_of_a_run_reads_like_one(watered):
    text = str(watered)
    assert "10 cm deep in 20 cells, over 6 hours" in text
    assert "15.0 mm came in" in text
    assert "drained" in text
    assert "balance error" in text
    assert repr(watered) == text


def test_a_pond_is_told(coir):
    assert "stand on the soil" in str(coir.run(hours=1, top_flux_mm_per_h=200))


def test_a_run_keeps_its_own_books(watered):
    assert list(watered.times_s) == [0, 900, 21600]
    np.testing.assert_allclose(watered.stored_mm, watered.water_mm.sum(axis=1))
    np.testing.assert_allclose(watered.layer_mm(1), watered.stored_mm)
    np.testing.assert_allclose(watered.water_mm, 10.0 * watered.water_content * watered.thickness_cm, rtol=1e-9)
    assert watered.balance_ratio == pytest.approx(1.0, abs=1e-6)
    with pytest.raises(ValueError, match="read-only"):
        watered.heads_cm[0, 0] = 0.0


def test_a_run_becomes_a_table(watered):
    table = watered.to_frame()
    assert list(table.index) == [0, 900, 21600]
    assert table["entered_mm"].iloc[-1] == pytest.approx(15.0)


def test_no_ratio_where_nothing_moved(coir):
    assert coir.run(hours=1, top_flux_mm_per_h=0).balance_ratio is None


def test_a_hundred_and_one_even_times_are_noted_unless_told(coir):
    assert len(coir.run(days=1).times_s) == 101


def test_times_that_end_a_hair_late_are_the_end(coir):
    late = np.cumsum(np.full(10, 0.1))
    run = coir.run(days=1, times=[*late[:-1], 1.0 + 1e-12])
    assert run.times_s[-1] == 86400.0


def test_cells_fit_the_layers():
    column = Column([("fine coir mix", 1.2), ("washed sand", 0.7)], cell_cm=0.5, top_cell_cm=0.05, grading=1.5)
    assert column.thickness_cm[column.layer_of == 1].sum() == pytest.approx(1.2)
    assert column.thickness_cm[column.layer_of == 2].sum() == pytest.approx(0.7)
    assert column.thickness_cm[0] <= 0.05
    assert column.thickness_cm.max() <= 0.5
    ratios = column.thickness_cm[1:] / column.thickness_cm[:-1]
    assert np.all(ratios[column.layer_of[1:] == column.layer_of[:-1]] < 1.5 + 1e-9)


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"layers": "fine coir mix"}, ["layers", "pairs (soil, depth_cm)"]),
        ({"layers": []}, ["layers", "0 of them"]),
        ({"layers": [("fine coir mix", 8, 2)]}, ["layers.1", "a pair"]),
        ({"layers": [("fine coir mix", 8), ("washed sand", -2)]}, ["layers.2.depth_cm", "-2 cm"]),
        ({"layers": [(3, 8)]}, ["layers.1.soil", "ExponentialSoil"]),
        ({"cell_cm": 0}, ["cell_cm", "0.001 to 100"]),
        ({"cell_cm": 0.001}, ["cell_cm", str(MAX_CELLS), "thicker"]),
        ({"top_cell_cm": 2}, ["top_cell_cm", "cell_cm"]),
        ({"grading": 0.5}, ["grading", "1 to 3"]),
        ({"start_head_cm": [1, 2, 3]}, ["start_head_cm", "3 numbers", "20 cells"]),
        ({"start_head_cm": "wet"}, ["start_head_cm", "hydrostatic"]),
        ({"start_head_cm": 1e6}, ["start_head_cm", "negative head"]),
        ({"start_head_cm": float("nan")}, ["start_head_cm", "nan"]),
    ],
)
def test_a_column_that_cannot_be_is_refused(settings, words):
    with pytest.raises(DescriptionError) as caught:
        Column(**({"layers": [("fine coir mix", 10)]} | settings))
    for word in words:
        assert word in str(caught.value)


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({}, ["just one of days, hours and seconds"]),
        ({"days": 1, "hours": 3}, ["days and hours"]),
        ({"days": -1}, ["days", "-1"]),
        ({"days": 5000}, ["days", "5000"]),
        ({"days": 1, "times": [0.5, 0.5]}, ["times", "rise"]),
        ({"days": 1, "times": []}, ["times", "0 times"]),
        ({"days": 1, "times": [2]}, ["times", "2 (in the unit of the duration)"]),
        ({"days": 1, "top": "flood"}, ["top", "flux, head, evaporation"]),
        ({"days": 1, "top": "heat"}, ["top", '"head"']),
        ({"days": 1, "bottom": "seepage"}, ["bottom", '"seepage face"']),
        ({"days": 1, "top": "head"}, ["top_head_cm", "given nothing"]),
        ({"days": 1, "top": "evaporation"}, ["demand_mm_per_day", "given nothing"]),
        ({"days": 1, "top": "evaporation", "demand_mm_per_day": -3}, ["demand_mm_per_day", "-3"]),
        ({"days": 1, "demand_mm_per_day": 3}, ["demand_mm_per_day", 'top="evaporation"']),
        ({"days": 1, "driest_head_cm": -1e5}, ["driest_head_cm", 'top="evaporation"']),
        ({"days": 1, "bottom": "fixed head"}, ["bottom_head_cm", "given nothing", "standing at the base"]),
        ({"days": 1, "bottom_head_cm": 0}, ["bottom_head_cm", "fixed head"]),
        ({"days": 1, "bottom": "seepage face", "bottom_head_cm": 2}, ["bottom_head_cm", "2 cm"]),
        ({"days": 1, "top_flux_mm_per_h": "much"}, ["top_flux_mm_per_h", '"much"']),
        ({"days": 1, "top_flux_mm_per_h": [5, 0]}, ["top_flux_mm_per_h", "pairs"]),
        ({"days": 1, "top_flux_mm_per_h": [(1, 5)]}, ["top_flux_mm_per_h", "start at 0"]),
        ({"days": 1, "top_flux_mm_per_h": [(0, 5), (0, 6)]}, ["top_flux_mm_per_h", "rise"]),
        ({"days": 1, "top_flux_mm_per_h": [(0, float("inf"))]}, ["top_flux_mm_per_h", "inf"]),
        ({"days": 1, "tolerance": 0}, ["tolerance", "1e-06"]),
        ({"days": 1, "max_step_s": 0}, ["max_step_s"]),
        ({"days": 1, "storage": "theta"}, ["storage", "mixed, head"]),
    ],
)
def test_a_run_that_makes_no_sense_is_refused(coir, settings, words):
    with pytest.raises(DescriptionError) as caught:
        coir.run(**settings)
    for word in words:
        assert word in str(caught.value)


def test_more_water_than_there_is_cannot_be_drawn(coir):
    with pytest.raises(RunError, match='use top="evaporation"'):
        coir.run(days=30, top_flux_mm_per_h=-5.0)


# ---- columns at rest


def test_the_higher_the_layer_the_drier():
    held = [container_capacity("fine coir mix", height) for height in (2, 5, 10, 20)]
    assert held == sorted(held, reverse=True)
    assert container_capacity("fine coir mix", 10, base_suction_cm=1) < held[2]


def test_the_deeper_the_water_the_slower_the_rise():
    rise = [steady_rise("fine coir mix", depth) for depth in (5, 10, 20, 40)]
    assert rise == sorted(rise, reverse=True)
    assert steady_rise(ExponentialSoil(0.05, 0.4, 1e3, 1e-5), 1000) == 0.0


@pytest.mark.parametrize(
    ("question", "words"),
    [
        (lambda: container_capacity("fine coir mix", 0), ["height_cm", "0.01 to 1000"]),
        (lambda: container_capacity("fine coir mix", 10, -2), ["base_suction_cm", "positive"]),
        (lambda: container_capacity(7, 10), ["soil", "7"]),
        (lambda: steady_rise("fine coir mix", "deep"), ["table_depth_cm", '"deep"']),
        (lambda: steady_rise(7, 10), ["soil", "7"]),
        (lambda: steady_rise(Constant(), 10), ["soil", "hardly falls"]),
    ],
)
def test_questions_that_make_no_sense_get_no_number(question, words):
    with pytest.raises(DescriptionError) as caught:
        question()
    for word in words:
        assert word in str(caught.value)


class Constant:
    """Something that conducts alike however dry it is."""

    def conductivity(self, head_m):
        return np.full(np.shape(head_m), 1e-6)
