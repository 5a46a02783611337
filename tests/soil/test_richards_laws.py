"""What any column must obey, whatever the soil: nothing is lost, rest stays rest, like is like, wet or dry."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from terralab import materials
from terralab.soil.arrays import FLUX, SEALED, Bottom, Drivers, Flows, Grid, Method, Top, newton_arrays
from terralab.soil.column import Column
from terralab.soil.equilibrium import container_capacity
from terralab.soil.hydraulics import Soil
from terralab.soil.richards import TOLERANCE, step
from terralab.soil.storage import stored

ROOT = Path(__file__).resolve().parents[2]
MIXES = materials.names("substrates")
SOILS = (*MIXES, "sand", "loam", "clay")
RESIDUAL_MM = 1000.0 * TOLERANCE
BASES = (
    {"bottom": "no flow"},
    {"bottom": "seepage face"},
    {"bottom": "seepage face", "bottom_head_cm": -1.0},
    {"bottom": "free drainage"},
    {"bottom": "fixed head", "bottom_head_cm": -20.0},
    {"bottom": "fixed head", "bottom_head_cm": 0.0},
)
TOPS = (
    {"top_flux_mm_per_h": 2.0},
    {"top_flux_mm_per_h": [(0, 600), (1 / 60, 0), (2, 30), (2.5, 0)]},
    {"top": "head", "top_head_cm": -15.0},
    {"top": "evaporation", "demand_mm_per_day": 8.0},
)


def assert_nothing_lost(run) -> None:
    """Each cell gained what passed its upper face less what passed its lower one, to the accepted residual."""
    kept = np.diff(run.water_mm, axis=0)
    came = -np.diff(np.diff(run.passed_mm, axis=0), axis=1)
    # both ends of the interval may be off by a residual
    np.testing.assert_allclose(kept, came, rtol=0, atol=2.0 * RESIDUAL_MM + 1e-9 * np.abs(run.passed_mm).max())
    lost = run.stored_mm[-1] - run.start_mm - run.entered_mm[-1] + run.left_mm[-1]
    assert abs(lost) < run.depth_cm.size * RESIDUAL_MM + 1e-12 * (run.start_mm + abs(run.entered_mm[-1]))
    assert run.balance_error < 1e-5


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    layers=st.lists(st.tuples(st.sampled_from(SOILS), st.floats(1.0, 8.0)), min_size=1, max_size=3),
    start=st.sampled_from([-5000.0, -300.0, -30.0, -1.0, 0.0, 3.0]),
    top=st.sampled_from(TOPS),
    base=st.sampled_from(BASES),
)
def test_nothing_is_lost_in_any_layering(layers, start, top, base):
    run = Column(layers, cell_cm=0.5, start_head_cm=start).run(hours=4, times=np.linspace(0, 4, 9), **top, **base)
    assert_nothing_lost(run)
    for cell in range(run.depth_cm.size):
        soil = Soil.from_material(layers[run.layer_of[cell] - 1][0])
        assert np.all(run.water_content[:, cell] <= soil.theta_s + 1e-12)
        assert np.all(run.water_content[:, cell] > 0.0)


@pytest.mark.parametrize("soil", MIXES)
def test_a_layer_cut_in_two_is_still_one_layer(soil):
    watering = {"hours": 3, "top_flux_mm_per_h": [(0, 100), (0.1, 0)], "bottom": "seepage face"}
    whole = Column([(soil, 10)], start_head_cm=-50).run(**watering)
    cut = Column([(soil, 4), (soil, 6)], start_head_cm=-50).run(**watering)
    np.testing.assert_allclose(cut.heads_cm, whole.heads_cm, rtol=1e-9, atol=1e-9)
    assert list(np.unique(cut.layer_of)) == [1, 2]


@pytest.mark.parametrize("base", [{"bottom": "no flow"}, {"bottom": "fixed head", "bottom_head_cm": 0}])
def test_water_at_rest_stays_at_rest(base):
    layers = [("sphagnum moss", 3), ("fine coir mix", 6), ("washed sand", 4)]
    column = Column(layers, start_head_cm="hydrostatic")
    run = column.run(days=30, times=[30], max_step_s=86400, **base)
    np.testing.assert_allclose(run.heads_cm[0], column.start_head_cm, atol=1e-6)
    assert np.abs(run.passed_mm).max() < 1e-6


def test_a_soil_twice_as_coarse_in_a_box_half_as_tall():
    """Miller similarity: lengths and suctions halved at the same Ks make the same story in half the time."""
    fine = Soil(0.08, 0.43, 4.0, 1.6, ks_m_per_s=5e-6)
    coarse = replace(fine, alpha_per_m=8.0)
    how = {"top_flux_mm_per_h": 10.0, "bottom": "seepage face", "tolerance": None}
    tall = Column([(fine, 20)], cell_cm=0.5, start_head_cm=-100).run(hours=10, max_step_s=60, **how)
    short = Column([(coarse, 10)], cell_cm=0.25, start_head_cm=-50).run(hours=5, max_step_s=30, **how)
    np.testing.assert_allclose(short.water_content, tall.water_content, atol=1e-6)
    np.testing.assert_allclose(2.0 * short.entered_mm, tall.entered_mm, rtol=1e-9)


def test_flooding_a_sealed_box_leaves_the_rest_standing_on_the_soil():
    column = Column([("loam topsoil", 10)], start_head_cm=-100)
    run = column.run(hours=40, times=[40], top_flux_mm_per_h=[(0, 200), (0.5, 0)])
    room_mm = 100.0 * Soil.from_material("loam topsoil").theta_s - run.start_mm
    assert run.entered_mm[-1] == pytest.approx(100.0, abs=1e-9)
    assert run.ponded_mm[-1] == pytest.approx(100.0 - room_mm, abs=0.01)
    # still water: the head grows by a centimetre a centimetre, from the level of the pond
    np.testing.assert_allclose(run.heads_cm[-1], run.ponded_mm[-1] / 10.0 + run.depth_cm, atol=1e-3)
    assert_nothing_lost(run)


def test_a_pond_soaks_in_and_leaves():
    column = Column([("fine coir mix", 10)], start_head_cm=-30)
    run = column.run(
        hours=48, times=np.linspace(0, 48, 500), top_flux_mm_per_h=[(0, 5000), (0.01, 0)], bottom="seepage face"
    )
    flooded = Column([("loam", 10)], start_head_cm=-30).run(
        hours=48, times=[0.05, 48], top_flux_mm_per_h=[(0, 600), (0.05, 0)], bottom="free drainage"
    )
    assert flooded.ponded_mm[0] > 10.0
    assert flooded.ponded_mm[1] == 0.0
    for course in (run, flooded):
        assert_nothing_lost(course)
    assert run.stored_mm[-1] / 100.0 == pytest.approx(container_capacity("fine coir mix", 10), rel=0.01)


@pytest.mark.parametrize("soil", MIXES)
def test_fifty_mm_in_a_minute_on_bone_dry_mix(soil):
    column = Column([(soil, 10)], start_head_cm=-1e4)
    run = column.run(hours=12, times=[1 / 60, 1, 12], top_flux_mm_per_h=[(0, 3000), (1 / 60, 0)], bottom="seepage face")
    assert run.entered_mm[-1] == pytest.approx(50.0, abs=1e-9)
    assert_nothing_lost(run)


@pytest.mark.parametrize("soil", MIXES)
@pytest.mark.parametrize("start_cm", [-0.0001, 0.0, 0.1, 5.0])
@pytest.mark.parametrize("bottom", ["no flow", "seepage face", "free drainage"])
def test_a_brim_full_mix_drains_without_trouble(soil, start_cm, bottom):
    """At saturation the storage has a corner: Newton's method used to swing across it for ever."""
    column = Column([(soil, 20)], start_head_cm=start_cm)
    run = column.run(hours=24, times=[0.01, 24], bottom=bottom)
    assert_nothing_lost(run)
    assert run.failed_steps < 60
    if bottom == "no flow":
        assert run.stored_mm[-1] == pytest.approx(run.start_mm, abs=1e-6)
    else:
        assert run.stored_mm[-1] < run.start_mm


@pytest.mark.parametrize("soil", MIXES)
def test_a_drained_mix_keeps_its_container_capacity(soil):
    column = Column([(soil, 10)], cell_cm=0.2, start_head_cm=0)
    run = column.run(days=300, times=[300], bottom="seepage face", max_step_s=86400)
    assert run.stored_mm[-1] / 100.0 == pytest.approx(container_capacity(soil, 10), rel=3e-3)


@pytest.mark.parametrize("soil", ["fine coir mix", "washed sand", "peat-based mix"])
def test_evaporation_never_beats_the_demand_nor_the_driest_surface(soil):
    column = Column([(soil, 6)], cell_cm=0.25, top_cell_cm=0.05, start_head_cm=-2)
    run = column.run(days=60, top="evaporation", demand_mm_per_day=4, driest_head_cm=-1e5)
    given_mm_per_day = -24.0 * run.flux_top_mm_per_h
    assert np.all(given_mm_per_day <= 4.0 + 1e-9)
    assert given_mm_per_day[1] == pytest.approx(4.0)
    assert given_mm_per_day[-1] < 0.4
    assert np.all(np.diff(given_mm_per_day) < 1e-3)
    assert run.heads_cm.min() >= -1e5
    assert_nothing_lost(run)


def test_going_on_from_a_run_is_the_same_as_not_stopping():
    column = Column([("fine coir mix", 8), ("washed sand", 2)], start_head_cm=-40)
    how = {"top_flux_mm_per_h": 3.0, "bottom": "seepage face", "tolerance": None, "max_step_s": 60}
    whole = column.run(hours=6, times=[3, 6], **how)
    first = column.run(hours=3, times=[3], **how)
    second = column.after(first).run(hours=3, times=[3], **how)
    np.testing.assert_allclose(second.heads_cm[-1], whole.heads_cm[-1], rtol=1e-7)


def test_steps_land_on_the_times_and_on_the_changes():
    column = Column([("fine coir mix", 10)], start_head_cm=-40)
    run = column.run(hours=2, times=[0.25, 0.75, 1, 2], top_flux_mm_per_h=[(0, 10), (0.5, 0), (1, 40)])
    np.testing.assert_allclose(run.entered_mm, [2.5, 5.0, 5.0, 45.0], atol=1e-9)
    np.testing.assert_allclose(run.flux_top_mm_per_h, [10.0, 0.0, 0.0, 40.0], atol=1e-12)


def test_the_state_at_the_start_tells_the_flows_too():
    run = Column([(Soil(0.08, 0.43, 4, 1.6, 5e-6), 10)], start_head_cm=-10).run(
        hours=1, times=[0, 1], bottom="free drainage"
    )
    soil = Soil(0.08, 0.43, 4, 1.6, 5e-6)
    assert run.entered_mm[0] == run.left_mm[0] == 0.0
    assert run.flux_bottom_mm_per_h[0] == pytest.approx(soil.conductivity(-0.1) * 3.6e6)


def test_a_head_that_is_not_a_number_is_never_accepted():
    """Everything else in this column is at rest, so only the one bad cell could stop the step."""
    soils = np.array([Soil(0.078, 0.43, 3.6, 1.56, 2.9e-6).row()])
    cells = 10
    grid = Grid(np.full(cells, 0.01), np.zeros(cells, dtype=np.int64), soils)
    drivers, flows = Drivers(*np.zeros((4, cells + 1))), Flows(*np.zeros((3, cells)))
    sealed = Bottom(
        SEALED, 0.0, entry=0.0, depth=1.0, void=1.0, fringe=0.005, wick_share=0.0, wick_conducts=0.0, wick_rise=1.0
    )
    for bad in (0, 4, 9):
        h = np.append(-0.01 * (np.arange(cells)[::-1] + 0.5), 0.0)
        water = np.array([stored(head, 0.01, soils[0], False, False)[0] for head in h])
        h[bad] = np.nan
        accepted, *_ = step(
            h,
            water,
            60.0,
            grid,
            drivers,
            Top(FLUX, 0.0, 0.0),
            sealed,
            Method(True, False, 0.0),
            flows,
            newton_arrays(cells),
        )
        assert not accepted


STORY = """
import json
from terralab.soil.column import Column
from terralab.jit import COMPILED
column = Column([("fine coir mix", 3), ("washed sand", 2)], cell_cm=0.5, start_head_cm=-60)
wet = column.run(hours=1, times=[0.5, 1], top_flux_mm_per_h=[(0, 120), (0.1, 0)], bottom="seepage face",
                 tolerance=0.02)
dry = column.after(wet).run(hours=12, times=[6, 12], top="evaporation", demand_mm_per_day=10, tolerance=0.02)
print(json.dumps([COMPILED, wet.heads_cm.tolist(), dry.heads_cm.tolist(), dry.passed_mm.tolist()]))
"""


def test_uncompiled_code_tells_the_same_story():
    stories = []
    for disable in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-c", STORY], cwd=ROOT, capture_output=True, text=True,
            env=os.environ | {"NUMBA_DISABLE_JIT": disable, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        stories.append(json.loads(done.stdout))
    assert [story[0] for story in stories] == [True, False]
    for compiled, plain in zip(*(story[1:] for story in stories), strict=True):
        np.testing.assert_allclose(plain, compiled, rtol=1e-12, atol=1e-12)
