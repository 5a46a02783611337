"""Cases: heat and vapour between surfaces and the air."""

from __future__ import annotations

from collections.abc import Iterator

from scipy.optimize import brentq

from terralab.physics import conductivity, convection, moist_air
from terralab.physics.constants import AIR_CONDUCTIVITY, AIR_PRANDTL, AIR_VISCOSITY, GRAVITY
from tests.published.cases import Point, Row, reads
from tests.published.moist_air import w_of

FILE = "air.csv"
TOPIC = "Surfaces and air"


@reads(FILE, TOPIC, "plate_laminar")
def plate(row: Row) -> Iterator[Point]:
    """A breeze along a plate."""
    h = convection.forced_plate(0.3, 0.3)
    yield Point("heat, 0.3 m/s along 0.3 m", row.take("h 3.88 W/m2K")[0], h, "W/m2K", rel=1e-2)
    vapour = 1000.0 * convection.vapour_conductance(h) / 1.14  # 1.14 kg/m3: from humidity ratio to vapour density
    yield Point("vapour, 0.3 m/s along 0.3 m", row.take("h_m 3.63 mm/s")[0], vapour, "mm/s", rel=1e-2, at_most=0.025,
                misfit="counted for each kilogram of dry air, which carries its vapour's heat too")  # fmt: skip


@reads(FILE, TOPIC, "churchill_chu")
def upright_plate(row: Row) -> Iterator[Point]:
    """Natural convection along an upright pane, as a Nusselt number."""
    height = 0.5
    lightness = row.take("Ra 1e7")[0] * AIR_VISCOSITY**2 / (AIR_PRANDTL * GRAVITY * height**3)
    nusselt = convection.natural_vertical(lightness, height) * height / AIR_CONDUCTIVITY
    yield Point("Nusselt number at Ra = 1e7", row.take("Nu 31.196")[0], nusselt, rel=1e-6, at_most=0.07,
                misfit="the older form 0.59 Ra^(1/4) is used; the spread of measurements is larger")  # fmt: skip


@reads(FILE, TOPIC, "shah_pool")
def still_pool(row: Row) -> Iterator[Point]:
    """Still air over warm water. Long basins: the length then no longer matters."""
    for (water, air), printed in zip(((28, 28), (30, 30), (29, 28)), row.take(".1360 .1575 .1651"), strict=True):
        wet, damp = w_of(water, 100.0), w_of(air, 50.0)
        light = moist_air.lightness(moist_air.density(float(water), wet), moist_air.density(float(air), damp))
        g = convection.vapour_conductance(convection.natural_horizontal(light, 10.0))
        yield Point(f"water {water} C, air {air} C 50 %", printed, 3600.0 * g * (wet - damp), "kg/m2h", rel=5e-3,
                    at_most=0.25, misfit="Shah drives the draught with the density of dry air alone, 2.6 times the "
                    "difference that vapour really makes; its cube root is most of the misfit")  # fmt: skip


@reads(FILE, TOPIC, "shah_still_room")
def pool_in_a_still_room(row: Row) -> Iterator[Point]:
    """Water no warmer than the room: 0.1 m/s along a sheet as long as a box is deep, and along a metre.

    The relation has no length and no speed; it was fitted to pools in rooms. A plate's does: short water dries faster.
    """
    states = ((25.0, 28.0, 50.0), (22.0, 24.0, 50.0), (20.0, 24.0, 50.0), (26.0, 28.0, 60.0))
    for (water, air, rh), printed in zip(states, row.take("64 58 42 55"), strict=True):
        wet, damp = w_of(water, 100.0), w_of(air, rh)
        light = moist_air.lightness(moist_air.density(water, wet), moist_air.density(air, damp))
        at = f"water {water:g} C, air {air:g} C {rh:g} %"
        for length in (0.3, 1.0):
            h = convection.combined(convection.forced_plate(0.1, length), convection.natural_horizontal(light, length))
            rate = 3.6e6 * convection.vapour_conductance(h) * (wet - damp)
            long = {"misfit": "a room's pools are stirred more than 0.1 m/s along a metre does",
                    "at_most": 0.37} if length > 0.5 else {}  # fmt: skip
            yield Point(f"{100 * length:g} cm of water, {at}", printed, rate, "g/m2h", rel=0.2, **long)


@reads(FILE, TOPIC, "carrier_pool")
def moved_pool(row: Row) -> Iterator[Point]:
    """25 C and 50 % have the row's difference of vapour pressure; 1 m of water, as no length is given."""
    wet, damp = w_of(25.0, 100.0), w_of(25.0, 50.0)
    light = moist_air.lightness(moist_air.density(25.0, wet), moist_air.density(25.0, damp))
    h = convection.combined(convection.forced_plate(row.take("V .1 m/s")[0], 1.0),
                            convection.natural_horizontal(light, 1.0))  # fmt: skip
    yield Point("0.1 m/s over 1 m of water at 25 C, air 50 %", row.take("226 g/m2h")[0],
                3.6e6 * convection.vapour_conductance(h) * (wet - damp), "g/m2h", rel=5e-3, at_most=0.65,
                misfit="Carrier's form is known to give about twice too much in still air (Shah 2002)")  # fmt: skip


@reads(FILE, TOPIC, "surface_cools")
def wet_surface(row: Row) -> Iterator[Point]:
    """An insulated wet surface at 25 C, 70 %: it cools until radiation and air pay for what evaporates."""
    w_air, h_r = w_of(25.0, 70.0), 5.7
    still, slow, fast = 1.4, convection.forced_plate(0.2, 0.3), convection.forced_plate(0.5, 0.3)
    printed = (row.take("21 (23.0 C)")[0], *row.take("37 51 g/m2h")[:2])
    for what, h_c, value in zip(("still air", "0.2 m/s", "0.5 m/s"), (still, slow, fast), printed, strict=True):
        g = convection.vapour_conductance(h_c)

        def missing(t: float, g: float = g, h_c: float = h_c) -> float:
            return (h_c + h_r) * (25.0 - t) - moist_air.latent_heat(t) * g * (w_of(t, 100.0) - w_air)

        t = brentq(missing, 15.0, 25.0)
        yield Point(f"wet surface, {what}", value, 3.6e6 * g * (w_of(t, 100.0) - w_air), "g/m2h", rel=0.05)


@reads(FILE, TOPIC, "kelvin")
def pore_humidity(row: Row) -> Iterator[Point]:
    """Humidity of the air in pores."""
    for suction, printed in zip((10.0, 100.0, 153.0, 1000.0), row.take(".99929 .99290 .98915 .9312"), strict=True):
        yield Point(f"humidity at {suction:g} m of suction", printed, conductivity.pore_humidity(-suction, 25.0)[0],
                    abs=1e-4)  # fmt: skip


@reads(FILE, TOPIC, "tortuosity")
def dry_layer(row: Row) -> Iterator[Point]:
    """Vapour through dry pores; Penman's older relation is printed beside."""
    share = conductivity.pore_diffusivity(0.45, 0.45, 25.0) / conductivity.vapour_diffusivity(25.0)
    yield Point("dry layer of 45 % pores, Millington & Quirk", row.take(".3448")[0], share, rel=1e-3)
    yield Point("the same, Penman", row.take(".297")[0], share, rel=1e-3, at_most=0.17,
                misfit="another relation; Millington & Quirk's is the one used")  # fmt: skip


@reads(FILE, TOPIC, "covered_water")
def water_under_stones(row: Row) -> Iterator[Point]:
    """Open water under dry aggregate."""
    g = convection.vapour_conductance(3.0)
    drive = w_of(25.0, 100.0) - w_of(25.0, 70.0)
    for cm, printed in zip((0, 1, 2, 5, 10), row.take("69.8 16.7 9.5 4.12 2.12"), strict=True):
        r = cm / 100.0 / conductivity.pore_diffusivity(0.45, 0.45, 25.0)
        yield Point(f"water under {cm} cm of dry aggregate", printed, 3.6e6 * convection.in_series(g, r) * drive,
                    "g/m2h", rel=1e-2, at_most=0.035,
                    misfit="driven by humidity ratio, which counts the draught of evaporation itself")  # fmt: skip


@reads(FILE, TOPIC, "dry_crust")
def crust(row: Row) -> Iterator[Point]:
    """10 mm of dry crust over wet soil."""
    g = convection.vapour_conductance(3.0)
    r = 0.01 / conductivity.pore_diffusivity(0.5, 0.6, 25.0)
    yield Point("10 mm of dry crust, share of wet", row.take(".200 of wet")[0], convection.in_series(g, r) / g,
                rel=1e-2)  # fmt: skip


@reads(FILE, TOPIC, "leaf_rate")
def leaf(row: Row) -> Iterator[Point]:
    """A leaf in slow air; 50 mmol/m2s is 817 s/m at 25 C (r = 40.87 / g)."""
    h = convection.forced_plate(0.1, 0.72 * 0.05)
    for rh, printed in zip((50.0, 70.0, 90.0), row.take("42 25.27 8.4"), strict=True):
        drive = w_of(25.0, 100.0) - w_of(25.0, rh)
        ours = 3.6e6 * convection.in_series(convection.vapour_conductance(h), 40.87 / 0.050) * drive
        yield Point(f"leaf in air of {rh:g} %", printed, ours, "g/m2h", rel=1e-2, at_most=0.035,
                    misfit="one density of air for all humidities")  # fmt: skip
