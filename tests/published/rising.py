"""Cases: the steady rise from standing water to a dry surface, and steady soaking."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from terralab.soil.column import Column
from terralab.soil.equilibrium import MM_PER_DAY, steady_rise
from terralab.soil.hydraulics import ExponentialSoil
from tests.published.cases import Point, Row, reads
from tests.published.published_rows import figures
from tests.published.soils import (
    CM_PER_DAY,
    DAY_S,
    LINEAR,
    NAMED,
    STANDING_WATER,
    PowerSoil,
    column_rise_mm,
    head_above_base,
)

EQUILIBRIUM = "retention_and_column_equilibrium.csv"
TOPIC = "Steady rise and steady soaking"


@reads(EQUILIBRIUM, TOPIC, starting="gardner_")
def gardner_constant(row: Row) -> Iterator[Point]:
    """The constant of the deep water table: b is too small to matter, so the rate is A a d^-n."""
    n = float(row.id.removeprefix("gardner_n"))
    rate = steady_rise(PowerSoil(1e-9, 1e-15, n), table_depth_cm=100.0) * MM_PER_DAY
    yield Point(f"constant A, n = {n:g}", figures(row.expected)[0], rate / 1e-9, rel=1e-6)


@reads(EQUILIBRIUM, TOPIC, starting="expK_")
def exponential_rise(row: Row) -> Iterator[Point]:
    """By quadrature, and by a column; the column can be asked for at most 1 m a day."""
    cm = float(row.id.removeprefix("expK_d"))
    soil = ExponentialSoil(theta_r=0.06, theta_s=0.40, alpha_per_m=10.0, ks_m_per_s=1.0 / DAY_S)
    (printed,) = figures(row.expected.replace("m/d", ""))
    yield Point(f"exponential soil, table {cm:g} cm down", printed, steady_rise(soil, cm) / 1000.0, "m/d", rel=1e-6)
    if printed < 1.0:
        yield Point(f"the same, column, {cm:g} cm", printed, column_rise_mm(soil, cm) / 1000.0, "m/d", rel=0.02)


@reads(EQUILIBRIUM, TOPIC, starting="rise_")
def rise(row: Row) -> Iterator[Point]:
    """Two class means over standing water."""
    _, name, depth = row.id.split("_")
    cm = float(depth.removesuffix("cm"))
    (printed,) = figures(row.expected)
    yield Point(f"{name}, table {cm:g} cm down", printed, steady_rise(NAMED[name], cm) / 10.0, "cm/d", rel=1e-4)
    yield Point(f"the same, column, {name}, {cm:g} cm", printed, column_rise_mm(NAMED[name], cm) / 10.0, "cm/d",
                rel=0.05)  # fmt: skip


@reads("column.csv", TOPIC, "steady_rise_exponential")
def linear_rise(row: Row) -> Iterator[Point]:
    """The limit of evaporation with a dry surface, by quadrature and by a column drying for 300 days."""
    for cm, printed in zip((30, 50), row.take(".0523957 / .00678365"), strict=True):
        yield Point(f"exponential soil, table {cm} cm down", printed, steady_rise(LINEAR, cm) / 240.0, "cm/h",
                    rel=1e-6)  # fmt: skip
        column = Column([(LINEAR, cm)], cell_cm=0.25, top_cell_cm=0.002)
        run = column.run(
            days=300, times=[300], top="evaporation", demand_mm_per_day=100, max_step_s=1e5, tolerance=0.02,
            **STANDING_WATER,
        )  # fmt: skip
        for face, flux in (("surface", run.flux_top_mm_per_h), ("base", run.flux_bottom_mm_per_h)):
            yield Point(f"the same, column, at the {face}, {cm} cm", printed, -flux[0] / 10.0, "cm/h", rel=0.005)


@reads("column.csv", TOPIC, "steady_rise_power")
def power_rise(row: Row) -> Iterator[Point]:
    """Gardner's power conductivity, checked through `steady_rise`: 1100 / (s^2 + 565) cm/d with s in cm, here in m."""
    soil = PowerSoil(0.1100 * CM_PER_DAY, 0.0565, 2.0)
    for cm, printed in zip(row.take("30 60 90 180 cm"), row.take("1.637852 .580715 .291449 .080446 cm/d"), strict=True):
        yield Point(f"power soil, table {cm:g} cm down", printed, steady_rise(soil, cm) / 10.0, "cm/d", rel=0.01)


@cache
def steadily_watered():
    """One metre of the linear soil over standing water, after a hundred days of 1 mm/h."""
    column = Column([(LINEAR, 100)], cell_cm=0.5)
    return column, column.run(days=100, times=[100], top_flux_mm_per_h=1.0, max_step_s=DAY_S, **STANDING_WATER)


@reads("column.csv", TOPIC, "steady_infiltration_exponential")
def steady_soaking(row: Row) -> Iterator[Point]:
    """A tenth of Ks trickles down to the table."""
    heights = row.take("psi at 10 20 50 100 cm")
    ours = head_above_base(steadily_watered()[1], heights)[0]
    for cm, printed, value in zip(heights, row.take("-8.4143 -15.0597 -22.4371 -23.0218"), ours, strict=True):
        yield Point(f"head {cm:g} cm above the table", printed, value, "cm", abs=0.02)
