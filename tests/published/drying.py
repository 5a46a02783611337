"""Cases: soil drying from the surface, on paper and on a scale."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from terralab.soil.column import Column
from terralab.soil.hydraulics import ExponentialSoil
from tests.published.cases import Point, Row, Said, reads
from tests.published.published_rows import DATA
from tests.published.soils import (
    CM_PER_DAY,
    DAY_S,
    LINEAR,
    LOAM,
    STANDING_WATER,
    WEIGHTLESS,
    small_steps,
    surface_head_cm,
    weightless,
)

FILE = "column.csv"
TOPIC = "Drying"


@reads(FILE, TOPIC, "linear_soil_evaporates_from_table")
def linear_drying(row: Row) -> Iterator[Point]:
    """A steady demand over a table. Heads are printed to three decimals: half of the last adds to the 1e-4."""
    column = Column([(LINEAR, 30)], cell_cm=0.1, top_cell_cm=0.01)
    long_after = 100
    heads, inflow, stored = small_steps(
        column, 60.0,
        lambda run: np.array([surface_head_cm(run), -run.flux_bottom_mm_per_h / 10.0, run.stored_mm / 10.0]),
        hours=long_after, times=[6, 24, long_after], top_flux_mm_per_h=-0.2, **STANDING_WATER,
    )  # fmt: skip
    for what, unit, allowed, printed, ours in (
        ("head at the surface", "cm", 6e-4, row.take("-34.040 -34.795 -34.808"), heads),
        ("inflow from the table", "cm/h", 1e-4, row.take(".010509 .019841 .02 cm/h"), inflow),
        ("stored", "cm", 1e-4, row.take("4.933413 4.892035 4.891338"), stored),
    ):
        for when, value, found in zip(("6 h", "24 h", "the end"), printed, ours, strict=True):
            yield Point(f"{what} at {when}", value, found, unit, abs=allowed)


def end_of_stage_one(run, demand_mm_per_day: float) -> int:
    """The first time noted at which the surface gives less than is asked of it."""
    return int(np.argmax(-24.0 * run.flux_top_mm_per_h < 0.999 * demand_mm_per_day))


@reads(FILE, TOPIC, "stage_one_end")
def constant_diffusivity(row: Row) -> Iterator[Point]:
    """In an exponential soil the diffusivity is constant, Ks/(alpha (theta_s - theta_r)): 1 cm2/day here.

    A slab of 1 cm with alpha of 0.1/m feels a thousandth of its suctions in gravity.
    """
    soil = ExponentialSoil(0.05, 0.35, alpha_per_m=0.1, ks_m_per_s=1e-4 / DAY_S * 0.1 * 0.3)
    column = Column([(soil, 1)], cell_cm=0.01, top_cell_cm=0.001, start_head_cm=-1e-4)
    run = column.run(
        days=1, times=np.linspace(0.001, 1, 1000), top="evaporation", demand_mm_per_day=5,
        driest_head_cm=-1e4, tolerance=3e-4,
    )  # fmt: skip
    yield Point("end of stage one", row.take("t=.279510")[0], run.times_s[end_of_stage_one(run, 5.0)] / DAY_S, "d",
                rel=0.01)  # fmt: skip
    yield Point("given after 1 d", row.take("cumulative .27341")[0], -run.entered_mm[-1] / 10.0, "cm", rel=0.01)


@reads(FILE, TOPIC, "stage_two_loam")
def loam_drying(row: Row) -> Iterator[Point]:
    """A sealed metre of loam without gravity."""
    column = Column([(weightless(LOAM), 100)], cell_cm=0.25, top_cell_cm=0.01, start_head_cm=-200 * WEIGHTLESS)
    run = column.run(
        days=10 / WEIGHTLESS, times=np.arange(1, 1001) / 100 / WEIGHTLESS, top="evaporation",
        demand_mm_per_day=1 * WEIGHTLESS, driest_head_cm=-1e4 * WEIGHTLESS, tolerance=3e-4,
    )  # fmt: skip
    yield Point("given after 10 d", row.take("10 d .4333 cm")[1], -run.entered_mm[-1] / 10.0, "cm", rel=0.02)
    first, last = row.take("1.31-1.32 d")
    end = run.times_s[end_of_stage_one(run, WEIGHTLESS)] * WEIGHTLESS / DAY_S
    yield Point("end of stage one", 0.5 * (first + abs(last)), end, "d", rel=0.02 + 0.005 / 1.315)


@cache
def measured_sand() -> tuple[np.ndarray, np.ndarray]:
    """Time (s) and rate (cm/d) of the sand column on a scale."""
    time_s, flux = np.loadtxt(DATA / "sand_drying_iden2021.csv", delimiter=",", skiprows=4).T
    return time_s, flux / CM_PER_DAY


@cache
def computed_sand(height_cm: float) -> tuple[np.ndarray, float]:
    """Rate (cm/d) at the measured times, and what was given by the end (cm), of the class mean "sand"."""
    time_s, _ = measured_sand()
    column = Column([("sand", height_cm)], cell_cm=0.25, top_cell_cm=0.05)
    run = column.run(days=time_s[-1] / DAY_S, top="evaporation", demand_mm_per_day=6.87, tolerance=1e-3,
                     times=time_s / DAY_S)  # fmt: skip
    return -2.4 * run.flux_top_mm_per_h, -run.entered_mm[-1] / 10.0


@reads(FILE, TOPIC, "sand_column_dries")
def sand_on_a_scale(row: Row) -> Iterator[Point | Said]:
    """Measured. The height of the packed column is not known, and the sand here is a published class mean.

    The height explains most of the misfits: 8 cm instead of 10 bring both within 4 %. The row's total is 1.7 % more
    than its rates summed by trapezes, 2.527 cm.
    """
    time_s, measured = measured_sand()
    days = time_s / DAY_S
    (demand,) = row.take(".687 cm/d")
    (half,) = row.take("at 3.04 d")
    (total,) = row.take("total 2.569 cm")
    height = "the height of the column was not printed; 8 instead of 10 cm bring both within 4 %"
    for cm in (10.0, 8.0):
        rate, given = computed_sand(cm)
        kept_up = (days > 0.3) & (days < 2.3)
        yield Point(
            f"{cm:g} cm of sand, rate from 0.3 to 2.3 d, given as the demand",
            demand,
            rate[kept_up].mean(),
            "cm/d",
            rel=0.01,
        )
        yield Point(f"{cm:g} cm, first record below half of it", half, days[np.argmax(rate < 0.5 * demand)], "d",
                    rel=0.02, misfit=height, at_most=0.15)  # fmt: skip
        yield Point(f"{cm:g} cm, given by the end", total, given, "cm", rel=0.02, misfit=height, at_most=0.10)
        off = np.sqrt(np.mean((rate - measured) ** 2))
        yield Point(f"{cm:g} cm, root of the mean square difference of the rates", 0.0, off, "cm/d", abs=0.02,
                    misfit="the demand was not as steady as it is taken here, and the fall comes at another time",
                    at_most=0.12)  # fmt: skip
    falls = []
    for rates in (measured, computed_sand(10.0)[0]):
        after = np.interp([3.0, 6.0, 9.0, 12.0], days, rates)
        falls.append(after[:-1] / after[1:])
    with_unit = ["{:.1f}, {:.1f}, {:.1f}".format(*fall) for fall in falls]
    yield Said("10 cm, how many times less after each three days from day 3", with_unit[0], with_unit[1],
               all(fall[0] > 5.0 and np.all(fall[1:] < fall[0]) for fall in falls))  # fmt: skip
