"""Cases: water soaking in and draining away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np

from terralab.soil.column import Column
from terralab.soil.hydraulics import Soil
from tests.published.cases import Point, Row, reads
from tests.published.manufactured import order_in_space, order_in_time
from tests.published.richards_twin import gained_over_entered
from tests.published.rising import steadily_watered
from tests.published.soils import (
    CELIA,
    CELIA_SOAK,
    CM_PER_H,
    DAY_S,
    LINEAR,
    STANDING_WATER,
    WEIGHTLESS,
    celia,
    head_above_base,
    small_steps,
    weightless,
)

FILE = "column.csv"
TOPIC = "Soaking and draining"


@cache
def celia_day(cell_cm: float):
    """A day of water soaking into Celia's dry soil."""
    return celia(cell_cm).run(seconds=86400, times=[86400], tolerance=1e-3, **CELIA_SOAK)


@reads(FILE, TOPIC, "celia_dry_soil_infiltration")
def celia_profile(row: Row) -> Iterator[Point]:
    """The front in the dry soil of Fig. 3, and how much soaked in."""
    run = celia_day(1.0)
    yield Point("soaked in, 1 cm cells", row.take("4.1369 at 1 cm")[0], run.entered_mm[-1] / 10.0, "cm", rel=0.01)
    yield Point("soaked in, 0.125 cm cells", row.take("4.1126 cm")[0], celia_day(0.125).entered_mm[-1] / 10.0, "cm",
                rel=1e-3)  # fmt: skip
    halfway = CELIA.water_content(np.array([-0.75, -10.0])).mean()
    front = np.interp(-halfway, -run.water_content[-1], run.depth_cm)
    yield Point("depth of the front", row.take("front 50.4 cm")[0], front, "cm", abs=0.3)
    heads = np.interp([30, 40, 50], run.depth_cm, run.heads_cm[-1])
    near = zip((30, 40, 50), row.take("-86.7 -100.5 -143"), heads, row.take("heads .2 .4 2"), strict=True)
    for cm, printed, ours, allowed in near:
        yield Point(f"head at {cm} cm", printed, ours, "cm", abs=allowed)


@cache
def celia_balance(step_s: float, storage: str) -> float:
    """Water gained over water that came in net, by terralab, for steps of one length."""
    run = celia(2.5).run(seconds=86400, times=[86400], tolerance=None, max_step_s=step_s, storage=storage, **CELIA_SOAK)
    assert run.failed_steps == 0
    return run.balance_ratio


@reads(FILE, TOPIC, "celia_mass_balance")
def celia_losing_water(row: Row) -> Iterator[Point]:
    """The mixed form keeps every drop, the head form loses water, and the more the longer the step.

    The slow twin has a choice that terralab has not: where the first node lies. It repeats terralab's ratios with
    terralab's grid, and the row's with the row's grid.
    """
    ratios = row.take("ratio .992 .890 .828 .601")
    cells = "terralab's cells lie half a cell nearer to the surface than the nodes of the row and lose more"
    for step, printed in zip(row.take("10 120 720 3600 s"), ratios, strict=True):
        yield Point(f"mixed form, steps of {step:g} s", row.take("mixed 1.000000")[0], celia_balance(step, "mixed"),
                    abs=1e-6)  # fmt: skip
        ours = celia_balance(step, "head")
        missed = {} if step == 10.0 else {"misfit": cells, "at_most": 0.05}
        yield Point(f"head form, steps of {step:g} s", printed, ours, abs=0.02, **missed)
        if step == 10.0:
            continue  # 8640 steps of a dense matrix would take a minute
        given = (CELIA, 1.0, 0.025, False, -10.0, -0.75, -10.0, step, 86400.0, "head")
        yield Point(f"head form, slow twin on terralab's grid, {step:g} s", ours, gained_over_entered(*given), abs=1e-5)
        on_the_ends = gained_over_entered(*given[:3], True, *given[4:])
        missed = {} if step != 120.0 else {"misfit": "the twin finds the row's 0.89 with steps of 360 s",
                                           "at_most": 0.06}  # fmt: skip
        yield Point(f"head form, slow twin on the row's grid, {step:g} s", printed, on_the_ends, abs=0.02, **missed)


@reads(FILE, TOPIC, "linear_soil_wetting")
def linear_wetting(row: Row) -> Iterator[Point]:
    """A tenfold drizzle on a metre of exponential soil over a table."""
    printed = {
        5: row.take("-8.414 -15.058 -19.305 -21.335 -21.523 -19.544 -15.331 -10.301 -6.000 -3.066"),
        20: row.take("-6.046 -8.705 -8.487 -7.048 -5.429 -4.019 -2.921 -2.130 -1.604 -1.286"),
        50: row.take("-1.090 -1.435 -1.462 -1.382 -1.284 -1.202 -1.142 -1.102 -1.077 -1.064"),
    }
    column, run = steadily_watered()
    heights = range(10, 101, 10)
    found = small_steps(
        column.after(run), 30.0,
        lambda run: np.column_stack([run.flux_bottom_mm_per_h / 10.0, head_above_base(run, heights)]),
        hours=50, times=list(printed), top_flux_mm_per_h=9.0, **STANDING_WATER,
    )  # fmt: skip
    for hour, outflow, values in zip(printed, row.take(".100001 .266434 .833411 cm/h"), found, strict=True):
        yield Point(f"outflow at {hour} h", outflow, values[0], "cm/h", abs=1e-4)
        for cm, head, ours in zip(heights, printed[hour], values[1:], strict=True):
            yield Point(f"head {cm} cm above the base at {hour} h", head, ours, "cm", abs=0.02)


@reads(FILE, TOPIC, "linear_soil_drains_to_free_water")
def linear_draining(row: Row) -> Iterator[Point]:
    """The drizzle stops; the column drains to the table."""
    soil = replace(LINEAR, ks_m_per_s=10.0 * CM_PER_H)
    column = Column([(soil, 30)], cell_cm=0.05)
    wet = column.run(days=20, times=[20], top_flux_mm_per_h=90, max_step_s=DAY_S, **STANDING_WATER)
    hours = row.take(".5 1 2 5 h")
    stored, outflow = small_steps(
        column.after(wet), 10.0, lambda run: np.array([run.stored_mm, run.flux_bottom_mm_per_h]) / 10.0,
        hours=5, times=hours, **STANDING_WATER,
    )  # fmt: skip
    for what, unit, printed, ours in (
        ("stored", "cm", row.take("7.400656 5.793773 5.108736 5.030807"), stored),
        ("outflow", "cm/h", row.take("5.28955 1.73896 .177924 .000190"), outflow),
    ):
        for hour, value, found in zip(hours, printed, ours, strict=True):
            yield Point(f"{what} at {hour:g} h", value, found, unit, abs=1e-4)


@reads(FILE, TOPIC, "free_drainage_linear")
def free_drainage(row: Row) -> Iterator[Point]:
    """A full column drains as into endless soil."""
    column = Column([(LINEAR, 50)], cell_cm=0.25, start_head_cm=0)
    hours = row.take("1 5 10 20 50 h")
    drained = small_steps(column, 60.0, lambda run: run.left_mm / 10.0, hours=50, times=hours, bottom="free drainage")
    for hour, printed, ours in zip(hours, row.take("1.00000 4.98462 9.41135 14.41194 16.91484"), drained, strict=True):
        yield Point(f"drained after {hour:g} h", printed, ours, "cm", abs=1e-3)


@reads(FILE, TOPIC, "sorptivity_dry_soil")
def sorptivity(row: Row) -> Iterator[Point]:
    """Celia's soil soaking without gravity."""
    column = Column([(weightless(CELIA), 60)], cell_cm=0.25, top_cell_cm=0.01, start_head_cm=-1000 * WEIGHTLESS)
    hours = 8.0 / WEIGHTLESS
    run = column.run(hours=hours, times=[hours], top="head", top_head_cm=-75 * WEIGHTLESS)
    assert abs(run.water_content[-1, -1] - CELIA.water_content(-10.0)) < 1e-7  # the front has not reached the base
    ours = run.entered_mm[-1] / 10.0 / np.sqrt(run.times_s[-1] * WEIGHTLESS)
    yield Point("sorptivity", row.take("S = .0101697")[0], ours, "cm/s^0.5", rel=0.003)


@reads(FILE, TOPIC, "green_ampt_example")
def sharp_front(row: Row) -> Iterator[Point]:
    """Green and Ampt's sharp front, in the soil that comes nearest to one: n = 12, the largest allowed.

    Its alpha is chosen so that the integral of K/Ks over suction, the suction of the front, is the row's 16.7 cm.
    """
    from scipy.integrate import quad
    from scipy.optimize import brentq

    (ks,) = row.take("K .65 cm/h")
    (suction,) = row.take("suction 16.7 cm")
    (span,) = row.take("d theta .340")

    def soil(alpha: float) -> Soil:
        return Soil(0.05, 0.05 + span, alpha, 12.0, ks * CM_PER_H)

    def front(alpha: float) -> float:
        curve = soil(alpha)
        share = lambda s: curve.conductivity(-s) / curve.ks_m_per_s  # noqa: E731
        return 100.0 * quad(share, 0.0, 3.0, points=[1.0 / alpha], limit=400, epsrel=1e-8)[0]

    alpha = brentq(lambda alpha: front(alpha) - suction, 3.0, 9.0)
    column = Column([(soil(alpha), 40)], cell_cm=0.25, top_cell_cm=0.05, start_head_cm=-100)
    run = column.run(hours=1, times=[1], top="head", top_head_cm=0, tolerance=1e-3)
    blunt = {"misfit": "no soil has a front as sharp as the formula's: this one's spreads over some centimetres",
             "at_most": 0.015}  # fmt: skip
    yield Point("soaked in after 1 h", row.take("F 3.1664 cm")[0], run.entered_mm[-1] / 10.0, "cm", rel=1e-4, **blunt)
    yield Point("rate after 1 h", row.take("f 1.8156 cm/h")[0], run.flux_top_mm_per_h[-1] / 10.0, "cm/h", rel=1e-4,
                **blunt)  # fmt: skip


@reads(FILE, TOPIC, "manufactured_solution")
def orders(row: Row) -> Iterator[Point]:
    """How fast the errors fall with finer cells and shorter steps."""
    (space,), (time,) = row.take("order 2.0 in space"), row.take("1.0 in time")
    for k, ours in enumerate(order_in_space()):
        yield Point(f"order in space, {20 * 2**k} to {40 * 2**k} cells", space, ours, abs=0.1)
    for k, ours in enumerate(order_in_time()):
        yield Point(f"order in time, {12 * 2**k} to {24 * 2**k} steps", time, ours, abs=0.1)
