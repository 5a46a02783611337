"""Cases: light under lamps and leaves, and what meters make of it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.integrate import quad
from scipy.optimize import least_squares

from terralab import materials
from terralab.physics import canopy, convection, leaf, light, moist_air
from tests.published.cases import Point, Row, Said, reads
from tests.published.moist_air import w_of

FILE = "leaves.csv"
TOPIC = "Light"
AREAS = (1.0, 2.0, 3.0, 5.0)
BRIGHT = (30.0, 100.0)
EXTINCTION = 0.7


def palm(lit: float) -> float:
    """The palms' printed curve."""
    return leaf.leaf_conductance(lit, 11000.0, 1.0 / (1.0 / 11000.0 + 0.00109), 38.0)


def all_leaves(above: float, lai: float) -> float:
    """Mean conductance of leaves that each have the light of their depth, by quadrature."""
    return quad(lambda depth: palm(EXTINCTION * above * canopy.let_through(EXTINCTION, depth)), 0.0, lai)[0] / lai


def layers(above: float, lai: float, count: int) -> float:
    """The same of so many equal layers, each in its mean light."""
    total = 0.0
    for layer in range(count):
        here = above * canopy.let_through(EXTINCTION, layer * lai / count)
        total += palm(canopy.mean_light(here, EXTINCTION, lai / count)) / count
    return total


@reads(FILE, TOPIC, "canopy_big_leaf", "canopy_mean_light", "canopy_two_layers")
def shaded(row: Row) -> Iterator[Point | Said]:
    """One leaf for a canopy: in the light above it, in its mean light, and two layers."""
    if row.id == "canopy_two_layers":
        for above, printed in zip(BRIGHT, ("1.002-1.020", "1.002-1.042"), strict=True):
            low, high = (abs(end) for end in row.take(printed))
            ours = [layers(above, lai, 2) / all_leaves(above, lai) for lai in AREAS]
            yield Said(f"two layers, light of {above:g}", f"{low:g} to {high:g}", f"{min(ours):.3f} to {max(ours):.3f}",
                       low - 6e-4 <= min(ours) <= max(ours) <= high + 6e-4)  # fmt: skip
        return
    top = row.id == "canopy_big_leaf"
    printed = row.take("1.44, 1.71, 2.00, 2.57 | 1.25, 1.44, 1.67, 2.21" if top else
                       "1.006, 1.020, 1.035, 1.058 | 1.009, 1.034, 1.071, 1.15")  # fmt: skip
    for place, (above, lai) in enumerate((above, lai) for above in BRIGHT for lai in AREAS):
        one = palm(above) if top else layers(above, lai, 1)
        what = "the light above" if top else "the mean light"
        yield Point(f"all leaves in {what} over each in its own, leaf area index {lai:g}, light of {above:g}", printed[place],
                    one / all_leaves(above, lai), rel=5e-3)  # fmt: skip


@reads(FILE, TOPIC, "canopy_kd")
def extinction(row: Row) -> Iterator[Said]:
    """Extinction of diffuse light by leaves of all slopes, and by level ones."""
    number = materials.get("defaults", "canopy")["extinction"]
    for name, place in (("leaves of all slopes", 1), ("level leaves", 4)):
        for printed in (
            row.take("0.69, 0.81, 0.90, 0.94, 0.99 at 1")[place],
            row.take("0.52, 0.73, 0.86, 0.92, 0.99 at 3")[place],
        ):
            yield Said(f"extinction, {name}", f"{printed:g}", f"{number.low:g} to {number.high:g}",
                       number.low <= printed <= number.high)  # fmt: skip


@reads(FILE, TOPIC, "palm_light_below")
def below_a_palm(row: Row) -> Iterator[Point]:
    """Light on the pot below a palm, over that without the palm, in a chamber with plain walls."""
    areas, shares = row.take("0.466, 0.471, 0.404"), row.take("0.60, 0.55, 0.67")
    for lai, printed in zip(areas, shares, strict=True):
        ours = canopy.let_through(materials.get("defaults", "canopy").typical("extinction"), lai)
        known = {} if lai < 0.45 else {"misfit": "the palm stands nearer to the lamps than the pot, and keeps light from the "
                                       "walls that would throw it down", "at_most": 0.26}  # fmt: skip
        yield Point(f"light below a palm of leaf area index {lai:g}", printed, ours, rel=0.1, **known)


@reads(FILE, TOPIC, "palm_light_walls")
def walls(row: Row) -> Iterator[Point]:
    """Mean light at four depths under four spots, walls plain and in black felt: eight numbers.

    Two numbers are fitted to them, the lamps' photons and what plain walls throw back; felt throws back 4 %.
    """
    depths = np.array(row.take("21, 51, 81, 111 cm")) / 100.0
    wide, deep = row.take("1.14 x 1.13 m")
    printed = np.array([row.take("462, 346, 260, 205"), row.take("382, 242, 153, 98")])

    def ours(x: np.ndarray) -> np.ndarray:
        return np.array([[light.lamp_light_at(x[0], d, wide * deep, 2.0 * (wide + deep) * d, reflects, 0.0, 120.0)
                          for d in depths] for reflects in (x[1], 0.04)])  # fmt: skip

    fit = least_squares(lambda x: (ours(x) / printed - 1.0).ravel(), (500.0, 0.5), x_scale=(500.0, 1.0))
    for name, said, found in zip(("plain walls", "black felt"), printed, ours(fit.x), strict=True):
        for d, one, two in zip(depths, said, found, strict=True):
            yield Point(f"light {100 * d:.0f} cm below the lamps, {name}", one, two, "umol/m2s", rel=0.15)
    yield Said("what plain walls throw back, fitted", "a share", f"{fit.x[1]:.2f}", 0.3 < fit.x[1] < 0.95)


@reads(FILE, TOPIC, "lux_per_umol", "umol_per_W_par")
def meters(row: Row) -> Iterator[Point]:
    """Lux and watts of one kind of light."""
    if row.id == "umol_per_W_par":
        day, halide, tube, _ = row.take("4.57, 4.59, 4.59, 5.0")
        yield Point("photons of a joule of daylight", day,
                    1.0 / light.light_heat(1.0, materials.get("defaults", "daylight").typical("umol_per_joule"), 1.0),
                    "umol/J", rel=0.01)  # fmt: skip
        lamp = materials.get("lamps", "fluorescent tube")
        yield Point(
            "tube, photons over its share of light",
            tube,
            lamp.typical("photons_per_joule") / lamp.typical("light"),
            "umol/J",
            rel=0.1,
        )
        lamp = materials.get("lamps", "metal halide")
        yield Point("metal halide, photons over its share of light", halide,
                    lamp.typical("photons_per_joule") / lamp.typical("light"), "umol/J", rel=0.01)  # fmt: skip
        return
    day, _, halide, tube, glowing = row.take("54, 52, 71, 74, 50")
    for table, name, printed in (
        ("defaults", "daylight", day),
        ("lamps", "metal halide", halide),
        ("lamps", "fluorescent tube", tube),
        ("lamps", "incandescent or halogen spot", glowing),
    ):
        ours = light.lux_of_light(1.0, materials.get(table, name).typical("lux_per_umol"))
        yield Point(f"lux of one umol/m2s, {name}", printed, ours, "lux", rel=0.03)


@reads(FILE, "Surfaces and air", "free_water_numbers")
def free_water(row: Row) -> Iterator[Point]:
    """Water in a quiet room: 0.1 m/s along a sheet as long as a box is deep, and along a metre. The relation has neither."""
    states = ((22.0, 22.0, 50.0), (24.0, 24.0, 80.0), (28.0, 25.0, 60.0), (20.0, 24.0, 70.0))
    for (water, air, rh), printed in zip(states, row.take("72; 30; 153; 12.5 g/m2h")[:4], strict=True):
        wet, damp = w_of(water, 100.0), w_of(air, rh)
        lighter = moist_air.lightness(moist_air.density(water, wet), moist_air.density(air, damp))
        for length in (0.3, 1.0):
            known = {}
            if length < 0.5 and water == air:
                known = {"misfit": "short water in moving air dries faster than a pool", "at_most": 0.3}
            elif length > 0.5 and water < air:
                known = {"misfit": "a room's pools are stirred more than 0.1 m/s along a metre does", "at_most": 0.31}
            h = convection.combined(
                convection.forced_plate(0.1, length), convection.natural_horizontal(lighter, length)
            )
            yield Point(f"{100 * length:g} cm of water of {water:g} C, air {air:g} C {rh:g} %", printed,
                        3.6e6 * convection.vapour_conductance(h) * (wet - damp), "g/m2h", rel=0.2, **known)  # fmt: skip
