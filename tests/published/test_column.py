"""The soil column against published and independently computed solutions.

Each case is a row of data/column.csv, named by its id; tolerances are the row's. Three devices come up again.

Small steps: backward Euler is of first order in time (shown by the manufactured solution below). Rows given to
four digits are therefore read from two runs with steps of dt and dt/2, carried on to dt = 0.

No gravity: the engine always has it. A soil whose suctions are a thousand times larger (alpha a thousandth)
soaks and dries in the same way a thousand times faster, and gravity then counts a thousandth as much.

Grid: the sources put nodes on the surface, terralab puts them in the middle of cells.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from terralab.column import Column
from terralab.engine.column import FIXED_HEAD, HEAD
from terralab.engine.column_march import DONE, march
from terralab.equilibrium import container_capacity, steady_rise
from terralab.physics.conductivity import conductivity
from terralab.soil import ExponentialSoil, Soil
from tests.published.published_rows import DATA, figures, rows
from tests.published.richards_twin import gained_over_entered

ROWS = rows("column.csv")
DAY_S, HOUR_S = 86400.0, 3600.0
CM_PER_H = 0.01 / HOUR_S
CM_PER_DAY = 0.01 / DAY_S

#: Rows that nothing here can be held against, each with the reason.
NOT_MODELLED = {
    "sorptivity_exact_class": "prescribes a diffusivity that no soil of terralab's forms has",
    "green_ampt_example": "a sharp-front formula for infiltration, not the equation solved here",
}
TESTED = (
    "celia_dry_soil_infiltration", "celia_mass_balance", "linear_soil_wetting",
    "linear_soil_drains_to_free_water", "linear_soil_evaporates_from_table", "steady_rise_exponential",
    "steady_rise_power", "steady_infiltration_exponential", "sorptivity_dry_soil", "container_capacity",
    "container_height_effect", "free_drainage_linear", "stage_one_end", "stage_two_loam",
    "capillary_break_store", "gravel_does_not_suck", "manufactured_solution", "sand_column_dries",
)  # fmt: skip

CELIA = Soil(theta_r=0.102, theta_s=0.368, alpha_per_m=3.35, n=2.0, ks_m_per_s=0.00922e-2)
LINEAR = ExponentialSoil(theta_r=0.06, theta_s=0.40, alpha_per_m=10.0, ks_m_per_s=CM_PER_H)
LOAM = Soil(theta_r=0.08, theta_s=0.43, alpha_per_m=4.0, n=1.6, ks_m_per_s=50.0 * CM_PER_DAY)
SAND = Soil(theta_r=0.045, theta_s=0.43, alpha_per_m=14.5, n=2.68, ks_m_per_s=8.25e-5)
GRAVEL = Soil(theta_r=0.02, theta_s=0.40, alpha_per_m=400.0, n=3.0, ks_m_per_s=5e4 * CM_PER_DAY)
STANDING_WATER = {"bottom": "fixed head", "bottom_head_cm": 0}
WEIGHTLESS = 1000.0


def test_every_row_is_held_against_something_or_has_a_reason():
    assert sorted([*TESTED, *NOT_MODELLED]) == sorted(ROWS)
    assert {f"test_{row}" for row in TESTED} <= set(globals())


def weightless(soil: Soil) -> Soil:
    """The same soil with suctions a thousand times larger."""
    return replace(soil, alpha_per_m=soil.alpha_per_m / WEIGHTLESS)


def small_steps(column: Column, step_s: float, read, **settings):
    """Carry what `read` takes from a run on to steps of no length, from `step_s` and half of it."""
    coarse, fine = (
        column.run(tolerance=None, max_step_s=step, **settings) for step in (step_s, 0.5 * step_s)
    )
    assert coarse.failed_steps == fine.failed_steps == 0
    return 2.0 * read(fine) - read(coarse)


def surface_head_cm(run) -> np.ndarray:
    """The head at the surface itself, on the line through the two topmost cells."""
    ratio = run.thickness_cm[0] / (run.thickness_cm[0] + run.thickness_cm[1])
    return run.heads_cm[:, 0] + ratio * (run.heads_cm[:, 0] - run.heads_cm[:, 1])


def head_above_base(run, above_cm) -> np.ndarray:
    """Heads (cm) at heights above the base, between cells and up to the surface, at each time."""
    height = run.thickness_cm.sum() - run.depth_cm
    known = np.column_stack([run.heads_cm[:, ::-1], surface_head_cm(run)])
    return np.array([np.interp(above_cm, [*height[::-1], run.thickness_cm.sum()], row) for row in known])


def celia(cell_cm: float) -> Column:
    return Column([(CELIA, 100)], cell_cm=cell_cm, start_head_cm=-1000)


SOAK = {"top": "head", "top_head_cm": -75, "bottom": "fixed head", "bottom_head_cm": -1000}


def test_celia_dry_soil_infiltration():
    run = celia(1.0).run(seconds=86400, times=[86400], tolerance=1e-3, **SOAK)
    assert run.entered_mm[-1] / 10.0 == pytest.approx(4.1369, rel=0.01)
    halfway = CELIA.water_content(np.array([-0.75, -10.0])).mean()
    front = np.interp(-halfway, -run.water_content[-1], run.depth_cm)
    assert front == pytest.approx(50.4, abs=0.3)
    heads = np.interp([30, 40, 50], run.depth_cm, run.heads_cm[-1])
    assert np.all(np.abs(heads - [-86.7, -100.5, -143.0]) < [0.2, 0.4, 2.0])
    fine = celia(0.125).run(seconds=86400, times=[86400], tolerance=1e-3, **SOAK)
    assert fine.entered_mm[-1] / 10.0 == pytest.approx(4.1126, rel=1e-3)


@pytest.mark.parametrize(
    ("step_s", "in_the_row", "with_nodes_on_the_ends", "terralab"),
    [
        (10, 0.992, None, 0.98724),
        (120, 0.890, 0.94640, 0.92679),
        (720, 0.828, 0.82810, 0.78995),
        (3600, 0.601, 0.60122, 0.55710),
    ],
)
def test_celia_mass_balance(step_s, in_the_row, with_nodes_on_the_ends, terralab):
    """The mixed form keeps every drop, the head form loses water, and the more the longer the step.

    Misfits, stated. terralab's cells lie half a cell nearer to the surface than the nodes of the row, and lose
    more: outside the row's 0.02 but for the shortest step. The slow twin repeats terralab's numbers with
    terralab's grid, and the row's with the row's grid, but for the row's 0.890 at 120 s: it finds 0.946 there,
    and 0.89 with steps of 360 s.
    """
    assert in_the_row in figures(ROWS["celia_mass_balance"]["expected"])
    settings = {"seconds": 86400, "times": [86400], "tolerance": None, "max_step_s": step_s, **SOAK}
    mixed = celia(2.5).run(**settings)
    assert mixed.failed_steps == 0
    assert mixed.balance_ratio == pytest.approx(1.0, abs=1e-6)
    head = celia(2.5).run(storage="head", **settings)
    assert head.failed_steps == 0
    assert head.balance_ratio == pytest.approx(terralab, abs=1e-5)
    if with_nodes_on_the_ends is None:
        assert head.balance_ratio == pytest.approx(in_the_row, abs=0.02)
        return
    for on_the_ends, expected in ((False, head.balance_ratio), (True, with_nodes_on_the_ends)):
        twin = gained_over_entered(
            CELIA, 1.0, 0.025, on_the_ends, -10.0, -0.75, -10.0, step_s, 86400.0, "head"
        )
        assert twin == pytest.approx(expected, abs=1e-5)
    if step_s != 120:
        assert with_nodes_on_the_ends == pytest.approx(in_the_row, abs=1e-3)


@pytest.fixture(scope="module")
def steadily_watered():
    """One metre of the linear soil over standing water, after a hundred days of 1 mm/h."""
    column = Column([(LINEAR, 100)], cell_cm=0.5)
    run = column.run(days=100, times=[100], top_flux_mm_per_h=1.0, max_step_s=DAY_S, **STANDING_WATER)
    return column, run


def test_steady_infiltration_exponential(steadily_watered):
    expected = figures(ROWS["steady_infiltration_exponential"]["expected"].removesuffix(" cm"))
    heads = head_above_base(steadily_watered[1], [10, 20, 50, 100])[0]
    np.testing.assert_allclose(heads, expected, atol=0.02)


def test_linear_soil_wetting(steadily_watered):
    expected = {
        5: "-8.414 -15.058 -19.305 -21.335 -21.523 -19.544 -15.331 -10.301 -6.000 -3.066",
        20: "-6.046 -8.705 -8.487 -7.048 -5.429 -4.019 -2.921 -2.130 -1.604 -1.286",
        50: "-1.090 -1.435 -1.462 -1.382 -1.284 -1.202 -1.142 -1.102 -1.077 -1.064",
    }
    assert all(line in ROWS["linear_soil_wetting"]["expected"] for line in expected.values())
    column, run = steadily_watered
    found = small_steps(
        column.after(run), 30.0,
        lambda run: np.column_stack([run.flux_bottom_mm_per_h / 10.0, head_above_base(run, range(10, 101, 10))]),
        hours=50, times=list(expected), top_flux_mm_per_h=9.0, **STANDING_WATER,
    )  # fmt: skip
    np.testing.assert_allclose(found[:, 1:], [figures(line) for line in expected.values()], atol=0.02)
    np.testing.assert_allclose(found[:, 0], [0.100001, 0.266434, 0.833411], atol=1e-4)


def test_linear_soil_drains_to_free_water():
    soil = replace(LINEAR, ks_m_per_s=10.0 * CM_PER_H)
    column = Column([(soil, 30)], cell_cm=0.05)
    wet = column.run(days=20, times=[20], top_flux_mm_per_h=90, max_step_s=DAY_S, **STANDING_WATER)
    stored, outflow = small_steps(
        column.after(wet), 10.0, lambda run: np.array([run.stored_mm, run.flux_bottom_mm_per_h]) / 10.0,
        hours=5, times=[0.5, 1, 2, 5], **STANDING_WATER,
    )  # fmt: skip
    np.testing.assert_allclose(stored, [7.400656, 5.793773, 5.108736, 5.030807], atol=1e-4)
    np.testing.assert_allclose(outflow, [5.28955, 1.73896, 0.177924, 0.000190], atol=1e-4)


def test_linear_soil_evaporates_from_table():
    column = Column([(LINEAR, 30)], cell_cm=0.1, top_cell_cm=0.01)
    long_after = 100
    heads, inflow, stored = small_steps(
        column, 60.0,
        lambda run: np.array([surface_head_cm(run), -run.flux_bottom_mm_per_h / 10.0, run.stored_mm / 10.0]),
        hours=long_after, times=[6, 24, long_after], top_flux_mm_per_h=-0.2, **STANDING_WATER,
    )  # fmt: skip
    # printed to three decimals, which adds half of the last one to the row's 1e-4
    np.testing.assert_allclose(heads, [-34.040, -34.795, -34.808], atol=1e-4 + 5e-4)
    np.testing.assert_allclose(inflow, [0.010509, 0.019841, 0.02], atol=1e-4)
    np.testing.assert_allclose(stored, [4.933413, 4.892035, 4.891338], atol=1e-4)


@pytest.mark.parametrize(("depth_cm", "expected"), [(30, 0.0523957), (50, 0.00678365)])
def test_steady_rise_exponential(depth_cm, expected):
    assert steady_rise(LINEAR, depth_cm) / 240.0 == pytest.approx(expected, rel=1e-6)
    column = Column([(LINEAR, depth_cm)], cell_cm=0.25, top_cell_cm=0.002)
    run = column.run(
        days=300, times=[300], top="evaporation", demand_mm_per_day=100, max_step_s=1e5, tolerance=0.02,
        **STANDING_WATER,
    )  # fmt: skip
    assert -run.flux_top_mm_per_h[0] / 10.0 == pytest.approx(expected, rel=0.005)
    assert -run.flux_bottom_mm_per_h[0] / 10.0 == pytest.approx(expected, rel=0.005)


def test_steady_rise_power():
    """Gardner's power conductivity is not a form of `Soil`: checked through `steady_rise`, which needs no more."""

    class PowerSoil:
        def conductivity(self, head_m):
            return 1100.0 / ((100.0 * np.abs(head_m)) ** 2 + 565.0) * CM_PER_DAY

    for depth_cm, expected in ((30, 1.637852), (60, 0.580715), (90, 0.291449), (180, 0.080446)):
        assert steady_rise(PowerSoil(), depth_cm) / 10.0 == pytest.approx(expected, rel=0.01)


def test_sorptivity_dry_soil():
    column = Column(
        [(weightless(CELIA), 60)], cell_cm=0.25, top_cell_cm=0.01, start_head_cm=-1000 * WEIGHTLESS
    )
    hours = 8.0 / WEIGHTLESS
    run = column.run(hours=hours, times=[hours], top="head", top_head_cm=-75 * WEIGHTLESS)
    assert run.water_content[-1, -1] == pytest.approx(CELIA.water_content(-10.0), abs=1e-7)
    sorptivity = run.entered_mm[-1] / 10.0 / np.sqrt(run.times_s[-1] * WEIGHTLESS)
    assert sorptivity == pytest.approx(0.0101697, rel=0.003)


@pytest.mark.parametrize(("height_cm", "expected"), [(10, 0.342920783), (20, 0.245496235)])
def test_container_capacity(height_cm, expected):
    assert container_capacity(SAND, height_cm) == pytest.approx(expected, rel=1e-8)
    drained = Column([(SAND, height_cm)], cell_cm=0.1, start_head_cm=0).run(
        days=200, times=[200], bottom="seepage face", max_step_s=DAY_S
    )
    assert drained.stored_mm[0] / (10.0 * height_cm) == pytest.approx(expected, rel=2e-3)


def test_container_height_effect():
    """Direction only: the row's bark is not described well enough to be fitted.

    From 30 cm to 4 cm high the shipped bark mix goes from 40 to 26 % air; the row has 28 and 12 %.
    """
    porosity = Soil.from_material("bark-rich mix").theta_s
    air = [porosity - container_capacity("bark-rich mix", height) for height in (30.0, 15.0, 8.0, 4.0)]
    assert air == sorted(air, reverse=True)
    assert air[0] - air[-1] > 0.10


def test_free_drainage_linear():
    column = Column([(LINEAR, 50)], cell_cm=0.25, start_head_cm=0)
    drained = small_steps(
        column, 60.0, lambda run: run.left_mm / 10.0, hours=50, times=[1, 5, 10, 20, 50],
        bottom="free drainage",
    )  # fmt: skip
    np.testing.assert_allclose(drained, [1.00000, 4.98462, 9.41135, 14.41194, 16.91484], atol=1e-3)


def test_stage_one_end():
    """In an exponential soil the diffusivity is constant, Ks/(alpha (theta_s - theta_r)): 1 cm2/day here.

    A slab of 1 cm with alpha of 0.1/m feels a thousandth of its suctions in gravity.
    """
    soil = ExponentialSoil(0.05, 0.35, alpha_per_m=0.1, ks_m_per_s=1e-4 / DAY_S * 0.1 * 0.3)
    column = Column([(soil, 1)], cell_cm=0.01, top_cell_cm=0.001, start_head_cm=-1e-4)
    run = column.run(
        days=1, times=np.linspace(0.001, 1, 1000), top="evaporation", demand_mm_per_day=5,
        driest_head_cm=-1e4, tolerance=3e-4,
    )  # fmt: skip
    assert run.times_s[end_of_stage_one(run, 5.0)] / DAY_S == pytest.approx(0.279510, rel=0.01)
    assert -run.entered_mm[-1] / 10.0 == pytest.approx(0.27341, rel=0.01)


def end_of_stage_one(run, demand_mm_per_day: float) -> int:
    """The first time noted at which the surface gives less than is asked of it."""
    return int(np.argmax(-24.0 * run.flux_top_mm_per_h < 0.999 * demand_mm_per_day))


def test_stage_two_loam():
    """Stage one ends 2 % later here than in the row, at the edge of its tolerance; the sum is 0.4 % higher."""
    column = Column(
        [(weightless(LOAM), 100)], cell_cm=0.25, top_cell_cm=0.01, start_head_cm=-200 * WEIGHTLESS
    )
    run = column.run(
        days=10 / WEIGHTLESS, times=np.arange(1, 1001) / 100 / WEIGHTLESS, top="evaporation",
        demand_mm_per_day=1 * WEIGHTLESS, driest_head_cm=-1e4 * WEIGHTLESS, tolerance=3e-4,
    )  # fmt: skip
    assert -run.entered_mm[-1] / 10.0 == pytest.approx(0.4333, rel=0.02)
    end = run.times_s[end_of_stage_one(run, WEIGHTLESS)] * WEIGHTLESS / DAY_S
    assert 1.31 * 0.98 < end < 1.32 * 1.02


@pytest.mark.parametrize(
    ("height_cm", "over_stones", "dry_base"),
    [(10, 4.1356, 1.7779), (20, 7.9141, 3.5291), (50, 17.4456, 8.6401)],
)
def test_capillary_break_store(height_cm, over_stones, dry_base):
    for suction_cm, expected in ((2, over_stones), (200, dry_base)):
        assert height_cm * container_capacity(LOAM, height_cm, suction_cm) == pytest.approx(expected, abs=1e-4)
    column = Column([(LOAM, height_cm)], cell_cm=0.25, start_head_cm=0)
    run = column.run(days=400, times=[400], bottom="seepage face", bottom_head_cm=-2, max_step_s=DAY_S)
    assert run.stored_mm[0] / 10.0 == pytest.approx(over_stones, rel=2e-3)


def test_gravel_does_not_suck():
    column = Column([(LOAM, 15), (GRAVEL, 5)], cell_cm=0.25)
    heads = np.where(column.layer_of == 1, 0.0, column.start_head_cm)
    run = replace(column, start_head_cm=heads).run(
        days=100, times=[0.01, 0.1, 1, 10, 100], tolerance=1e-3, max_step_s=DAY_S, **STANDING_WATER
    )
    loam_cm = run.layer_mm(1) / 10.0
    np.testing.assert_allclose(loam_cm, [6.2677, 6.1163, 6.0771, 6.0426, 5.9986], atol=0.02)
    assert 15.0 * container_capacity(LOAM, 15) == pytest.approx(6.166, abs=0.02)
    at_rest = 15.0 * container_capacity(LOAM, 15, base_suction_cm=5)
    assert at_rest == pytest.approx(5.914, abs=0.02)
    assert loam_cm[-1] > at_rest + 0.05


class Manufactured:
    """h = h0 - A (1 - exp(-t/T)) cos(pi z/L) - B z/L in Celia's soil, and the source that makes it a solution."""

    depth, h0, a, b, span = 0.40, -0.60, 0.25, 0.10, 6.0 * HOUR_S

    def head(self, z, t):
        return (
            self.h0
            - self.a * (1 - np.exp(-t / self.span)) * np.cos(np.pi * z / self.depth)
            - self.b * z / self.depth
        )

    def source(self, z, t):
        """C dh/dt + d/dz [K (1 - dh/dz)], z downwards."""
        h, wave, grown = self.head(z, t), np.pi / self.depth, self.a * (1 - np.exp(-t / self.span))
        h_t = -self.a * np.exp(-t / self.span) / self.span * np.cos(wave * z)
        h_z = grown * wave * np.sin(wave * z) - self.b / self.depth
        h_zz = grown * wave**2 * np.cos(wave * z)
        k_slope = np.array([conductivity(head, CELIA.row())[1] for head in h])
        return CELIA.capacity(h) * h_t + k_slope * h_z * (1 - h_z) - CELIA.conductivity(h) * h_zz

    def error_m(self, cells: int, steps: int) -> float:
        """The largest error of the heads after 6 h, the source and the ends sampled at the end of each step."""
        thickness, step = self.depth / cells, 6.0 * HOUR_S / steps
        middle = (np.arange(cells) + 0.5) * thickness
        starts = step * np.arange(steps)
        heads, waters, crossed, flows = (np.empty((1, size)) for size in (cells, cells, cells + 1, 2))
        status, _, taken, refused = march(
            self.head(middle, 0.0), np.full(cells, thickness), np.zeros(cells, dtype=np.int64),
            CELIA.row()[None], starts, self.head(0.0, starts + step), self.head(self.depth, starts + step),
            np.array([self.source(middle, t + step) for t in starts]), HEAD, 0.0, FIXED_HEAD, False, False,
            np.array([6.0 * HOUR_S]), 0.0, step, 1e12, heads, waters, crossed, flows,
        )  # fmt: skip
        assert (status, taken, refused) == (DONE, steps, 0)
        return float(np.abs(heads[0] - self.head(middle, 6.0 * HOUR_S)).max())


def test_manufactured_solution():
    case = Manufactured()
    # steps a quarter as long on cells half as thick: both errors fall fourfold if space is of second order
    in_space = [case.error_m(cells, steps) for cells, steps in ((20, 96), (40, 384), (80, 1536))]
    assert np.log2(in_space[0] / in_space[1]) == pytest.approx(2.0, abs=0.1)
    assert np.log2(in_space[1] / in_space[2]) == pytest.approx(2.0, abs=0.1)
    in_time = [case.error_m(400, steps) for steps in (12, 24, 48)]
    assert np.log2(in_time[0] / in_time[1]) == pytest.approx(1.0, abs=0.1)
    assert np.log2(in_time[1] / in_time[2]) == pytest.approx(1.0, abs=0.1)


def test_sand_column_dries():
    """Shape only: the height of the packed column is not known, and the sand is a published class mean.

    Taken 10 cm high, it keeps up a demand of 0.687 cm/d and then falls as measured, but 10 % later (below half
    at 3.36 d against 3.04 d) and with 7 % more water given by the end (2.76 cm against 2.57). An 8 cm column
    would give 3.14 d and 2.47 cm: the height alone is enough to explain both.
    """
    time_s, flux = np.loadtxt(DATA / "sand_drying_iden2021.csv", delimiter=",", skiprows=4).T
    measured = flux / CM_PER_DAY
    column = Column([("sand", 10)], cell_cm=0.25, top_cell_cm=0.05)
    run = column.run(days=time_s[-1] / DAY_S, top="evaporation", demand_mm_per_day=6.87, tolerance=1e-3,
                     times=time_s / DAY_S)  # fmt: skip
    rate = -2.4 * run.flux_top_mm_per_h
    kept_up = (time_s > 0.3 * DAY_S) & (time_s < 2.3 * DAY_S)
    np.testing.assert_allclose(rate[kept_up], 0.687, rtol=1e-3)
    below_half = [float(time_s[np.argmax(rates < 0.3435)]) / DAY_S for rates in (measured, rate)]
    assert below_half[0] == pytest.approx(3.04, abs=0.01)
    assert below_half[1] == pytest.approx(below_half[0], rel=0.15)
    # stage two: both fall more than fivefold in the three days after, then ever more slowly
    for rates in (measured, rate):
        after = np.interp(np.array([3.0, 6.0, 9.0, 12.0]) * DAY_S, time_s, rates)
        falls = after[:-1] / after[1:]
        assert falls[0] > 5.0
        assert np.all(falls[1:] < falls[0])
    assert -run.entered_mm[-1] / 10.0 == pytest.approx(2.569, rel=0.10)
