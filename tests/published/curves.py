"""Cases: how soils hold water and let it through, how they hold and carry heat."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from terralab import materials
from terralab.physics.heat import soil_capacity, soil_conductivity
from tests.published.cases import Point, Row, reads
from tests.published.published_rows import named
from tests.published.soils import DUAL, NAMED

FILE = "retention_and_column_equilibrium.csv"
CURVES = "Water held and let through"
HEAT = "Heat in soil"


@reads(FILE, CURVES, starting="vgm_")
def curve(row: Row) -> Iterator[Point]:
    """Water content, conductivity and capacity of two class means."""
    _, name, height = row.id.split("_")
    cm = height.removeprefix("h").removesuffix("cm")
    soil, head = NAMED[name], -0.01 * float(cm)
    at = f"{name}, suction {float(cm):g} cm"
    for what, key, unit, ours in (
        ("water content", "theta", "m3/m3", soil.water_content(head)),
        ("conductivity", "K", "m/s", soil.conductivity(head)),
        ("capacity", "dh", "1/m", soil.capacity(head)),
    ):
        yield Point(f"{what}, {at}", named(row.expected, key)[0], ours, unit, rel=1e-9)


@reads(FILE, CURVES, "vg2_theta")
def two_domains(row: Row) -> Iterator[Point]:
    """Two pore domains; the row's Ks is 1000 of any unit."""
    cm = row.take("h=1,10,100,1000 cm")
    heads = -0.01 * np.array(cm)
    for what, key, ours in (
        ("water content", "theta", DUAL.water_content(heads)),
        ("conductivity, Ks 1000", "K", 1000.0 * DUAL.conductivity(heads)),
    ):
        for suction, printed, value in zip(cm, named(row.expected, key), ours, strict=True):
            yield Point(f"two domains, {what}, suction {suction:g} cm", printed, value, rel=1e-7)


@reads(FILE, HEAT, "heatcap_peat")
def heat_capacity_of_peat(row: Row) -> Iterator[Point]:
    """Water counts 4.186e6 J/m3K here and 4.18e6 in the row: 0.13 % of the row's 0.5 %."""
    for theta, printed in zip((0.0, 0.45, 0.90), row.take("C=0.247,2.128,4.009"), strict=True):
        yield Point(f"peat, heat capacity at {theta:g} m3/m3 of water", printed,
                    soil_capacity(theta, 0.1 * 2.47e6) / 1e6, "MJ/m3K", rel=0.005)  # fmt: skip


@reads(FILE, HEAT, "lambda_peat")
def conductivity_of_peat(row: Row) -> Iterator[Point]:
    """The row's own straight line, 0.04 + 0.511 theta, given as its dry and wet ends."""
    for theta, printed in zip((0.0, 0.45, 0.90), row.take("0.04, 0.27, 0.50 W/mK"), strict=True):
        yield Point(f"peat, thermal conductivity at {theta:g} m3/m3 of water", printed,
                    soil_conductivity(theta, 0.9, 0.04, 0.04 + 0.511 * 0.9), "W/mK", rel=0.01)  # fmt: skip


@reads(FILE, CURVES, "void_expanded_clay")
def void_of_expanded_clay(row: Row) -> Iterator[Point]:
    """The shipped number."""
    clay = materials.get("aggregates", "expanded clay 8-16 mm")
    yield Point("expanded clay 8-16 mm, void share", row.take("0.4333")[0], clay.typical("void_fraction"),
                "m3/m3", abs=0.001)  # fmt: skip


@reads(FILE, CURVES, "jurin_1mm")
def capillary_rise(row: Row) -> Iterator[Point]:
    """The rise shipped for coarse grains comes from the rise in a tube, with a pore radius of 0.2 grain sizes."""
    (printed,) = row.take("h=14.8738 mm")
    clay = materials.get("aggregates", "expanded clay 8-16 mm")["capillary_rise"]
    for grain_mm, rise_m in ((8.0, clay.high), (16.0, clay.low)):
        yield Point(
            f"shipped rise in {grain_mm:g} mm grains, scaled to a radius of 1 mm", printed,
            1000.0 * rise_m * 0.2 * grain_mm, "mm", rel=1e-4, at_most=0.011,
            misfit="the table keeps two digits of the rise, no more is known of the pores",
        )  # fmt: skip
