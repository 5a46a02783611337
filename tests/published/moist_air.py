"""Cases: moist air at rest, and what fog and mist do in it."""

from __future__ import annotations

from collections.abc import Iterator

from scipy.optimize import brentq

from terralab import psychrometrics
from terralab.describe.seasons import default_room
from terralab.physics import fog, moist_air
from terralab.physics.constants import PRESSURE
from tests.published.cases import Point, Row, Said, reads
from tests.published.published_rows import figures

FILE = "air.csv"
TOPIC = "Moist air"
DROPS = "Drops"


def w_of(t_c: float, rh: float) -> float:
    """Humidity ratio from temperature [C] and relative humidity [%], by the engine's own functions."""
    return moist_air.humidity_ratio(rh / 100.0 * moist_air.saturation_pressure(float(t_c)))


@reads(FILE, TOPIC, "es_points", "es_iapws")
def saturation(row: Row) -> Iterator[Point]:
    """Vapour pressure over water, by the handbook's formula and by the international standard."""
    for t, printed in zip((20.0, 25.0, 30.0, 35.0), figures(row.expected), strict=True):
        yield Point(f"saturation pressure, {t:g} C", printed, moist_air.saturation_pressure(t), "Pa", rel=2e-4)


@reads(FILE, TOPIC, "saturated_humidity_ratio")
def saturated_ratio(row: Row) -> Iterator[Point]:
    """As an ideal mixture, and as a real gas, which holds 0.45 % more."""
    ideal, real = row.take(".014695 .020081 .027203"), row.take(".014761 .020173 .027333")
    for t, printed, gas in zip((20, 25, 30), ideal, real, strict=True):
        yield Point(f"saturated humidity ratio, {t} C", printed, w_of(t, 100.0), "kg/kg", rel=1e-4)
        yield Point(f"the same, real gas, {t} C", gas, w_of(t, 100.0), "kg/kg", rel=5e-3)


@reads(FILE, TOPIC, "dew_point", "dew_point_warm")
def dew_point(row: Row) -> Iterator[Point]:
    """Where a cooling surface starts to wet."""
    t, rh = figures(row.text["inputs"])
    (allowed,) = figures(row.text["tolerance"])
    yield Point(f"dew point, {row.text['inputs']}", figures(row.expected)[0], psychrometrics.dew_point_c(t, rh), "C",
                abs=allowed)  # fmt: skip


@reads(FILE, TOPIC, "wet_bulb")
def wet_bulb(row: Row) -> Iterator[Point]:
    """A wetted surface in a draught."""
    for who, printed in zip(("psychrolib", "CoolProp"), figures(row.expected), strict=True):
        yield Point(f"wet bulb, 25 C 70 %, {who}", printed, psychrometrics.wet_bulb_c(25.0, 70.0), "C", abs=0.01)


@reads(FILE, TOPIC, "moist_density")
def density(row: Row) -> Iterator[Point]:
    """Humid air is lighter."""
    for (t, rh), printed in zip(((25, 70), (26, 85), (22, 45)), figures(row.expected)[:3], strict=True):
        yield Point(f"density, {t} C {rh} %", printed, moist_air.density(float(t), w_of(t, rh)), "kg/m3", rel=1e-3)


@reads(FILE, TOPIC, "range_agreement")
def over_the_range(row: Row) -> Iterator[Said]:
    """The largest differences from a real-gas library over all that a keeper may meet."""
    from CoolProp.HumidAirProp import HAPropsSI

    def real(what: str, t: float, rh: float) -> float:
        return HAPropsSI(what, "T", t + 273.15, "P", PRESSURE, "R", rh / 100.0)

    off = {"W": 0.0, "B": 0.0, "D": 0.0, "Vha": 0.0}
    for t in (18.0, 22.0, 26.0, 30.0, 35.0):
        for rh in (30.0, 50.0, 70.0, 90.0, 100.0):
            w = w_of(t, rh)
            volume = (1.0 + w) / moist_air.density(t, w)
            found = {
                "W": 100.0 * abs(w / real("W", t, rh) - 1.0),
                "B": abs(psychrometrics.wet_bulb_c(t, rh) + 273.15 - real("B", t, rh)),
                "D": abs(psychrometrics.dew_point_c(t, rh) + 273.15 - real("D", t, rh)),
                "Vha": 100.0 * abs(volume / ((1.0 + w) * real("Vha", t, rh)) - 1.0),
            }
            off = {what: max(value, found[what]) for what, value in off.items()}
    for what, text, unit, key in (
        ("humidity ratio", "W within .5 %", "%", "W"),
        ("wet bulb", "wet bulb .013 K", "K", "B"),
        ("dew point", "dew point .007 K", "K", "D"),
        ("volume of air", "v .04 %", "%", "Vha"),
    ):
        (most,) = row.take(text)
        places = len(text.split(".")[1].split()[0])
        yield Said(f"{what}, largest difference, 18-35 C, 30-100 %", f"{most:g} {unit}", f"{off[key]:.2g} {unit}",
                   round(off[key], places) <= most)  # fmt: skip


@reads(FILE, TOPIC, "room_air_heated")
def heated_air(row: Row) -> Iterator[Point]:
    """Warming air without adding vapour."""
    ours = 100.0 * moist_air.relative_humidity(26.0, w_of(20.0, 50.0))
    yield Point("20 C 50 % heated to 26 C", figures(row.expected)[0], ours, "%", rel=1e-3)


@reads(FILE, TOPIC, "fao_ex2")
def psychrometric_constant(row: Row) -> Iterator[Point]:
    """How much the vapour pressure of a wet bulb's air lies under saturation, for each kelvin; pressure is given here."""
    kpa, constant = row.take("P 81.8 kPa")[0], row.take(".054 kPa/K")[0]
    bulb = psychrometrics.wet_bulb_c(20.0, 60.0, 1000.0 * kpa)
    below = psychrometrics.saturation_pressure_pa(bulb) - psychrometrics.vapour_pressure_pa(20.0, 60.0)
    yield Point("psychrometric constant at 81.8 kPa", constant, below / (20.0 - bulb) / 1000.0, "kPa/K", rel=1e-2,
                at_most=0.03,
                misfit="the row takes no account of the share of the pressure that is vapour's own")  # fmt: skip


@reads(FILE, TOPIC, "fao_ex3")
def fao_saturation(row: Row) -> Iterator[Point]:
    """Tetens' formula there, the handbook's here."""
    for t, printed in zip((24.5, 15.0), row.take("3.075 and 1.705 kPa"), strict=True):
        yield Point(f"saturation pressure, {t:g} C", printed, moist_air.saturation_pressure(t) / 1000.0, "kPa",
                    rel=1e-3)  # fmt: skip


@reads(FILE, TOPIC, "fao_ex4")
def psychrometer(row: Row) -> Iterator[Point]:
    """Vapour pressure from a dry and a wet bulb: the humidity at which the wet bulb reads just so."""
    dry, wet, kpa = row.take("dry 25.6 wet 19.5 C P 87.9 kPa")
    rh = brentq(lambda rh: psychrometrics.wet_bulb_c(dry, rh, 1000.0 * kpa) - wet, 10.0, 99.0)
    yield Point("vapour pressure, dry 25.6 C, wet 19.5 C", row.take("1.91 kPa")[0],
                psychrometrics.vapour_pressure_pa(dry, rh) / 1000.0, "kPa", rel=3e-3, at_most=0.01,
                misfit="the row has a psychrometer's coefficient, here the bulb is ideal")  # fmt: skip


@reads(FILE, TOPIC, "buoyancy_of_vapour")
def light_vapour(row: Row) -> Iterator[Point]:
    """Damp air is as light as dry air 1.66 K warmer."""
    dry, damp = w_of(24.0, 45.0), w_of(24.0, 95.0)
    heavy, light = moist_air.density(24.0, dry), moist_air.density(24.0, damp)
    yield Point("lighter by, 24 C, 45 to 95 %", row.take(".00662 kg/m3")[0], heavy - light, "kg/m3", rel=1e-2)
    warmer = brentq(lambda t: moist_air.density(24.0 + t, dry) - light, 0.0, 5.0)
    yield Point("as light as air warmer by", row.take("1.66 K")[0], warmer, "K", rel=1e-2)


@reads(FILE, TOPIC, "canadian_homes")
def winter_homes(row: Row) -> Iterator[Said]:
    """The room that "winter" means where a description has none of its own."""
    low, high = row.take("25-30 % RH")
    winter = default_room("winter").humidity.range()
    yield Said("humidity of the shipped winter room", "25 to 30 %", f"{winter[0]:g} %",
               low <= winter[0] and winter[1] <= abs(high))  # fmt: skip


@reads(FILE, DROPS, "fog_lifetime")
def lifetimes(row: Row) -> Iterator[Point]:
    """By the d-squared law the whole life is 3/2 of the mass over its initial rate of loss."""
    t, d = 25.0, 2.55e-5
    chill = fog.chill_factor(t, d)
    for micron, printed in zip((10, 20, 50, 100), row.take(".85 3.4 21 85 s"), strict=True):
        rate = fog.evaporation_rate(micron * 1e-6, d, moist_air.saturated_vapour_density(t), chill) * 0.1
        yield Point(f"life of a drop of {micron} um, 25 C, 90 %", printed, 1.5 / rate, "s", rel=0.05)


@reads(FILE, DROPS, "settling")
def settling(row: Row) -> Iterator[Point]:
    """How fast drops sink."""
    for micron, printed in zip((10, 20, 50, 100), row.take("2.97 11.8 70 246 mm/s"), strict=True):
        yield Point(f"sinking of a drop of {micron} um", printed, 1000.0 * fog.settling_speed(micron * 1e-6), "mm/s",
                    rel=0.02)  # fmt: skip


@reads(FILE, DROPS, "mist_capacity")
def mist_taken_up(row: Row) -> Iterator[Point]:
    """What 0.1 m3 of air can take up: at its own temperature, and cooled by what evaporates."""
    held = 0.1 * moist_air.density(25.0, w_of(25.0, 60.0)) / (1.0 + w_of(25.0, 60.0))
    room = 1000.0 * 0.1 * 0.35 * moist_air.saturated_vapour_density(25.0)
    yield Point("0.1 m3 from 60 to 95 %, 25 C kept", row.take(".806 g")[0], room, "g", rel=1e-2)
    dry, wet = w_of(25.0, 60.0), w_of(25.0, 100.0)
    warmth = moist_air.air_enthalpy(25.0, dry)

    def humidity(w: float) -> float:
        # enthalpy of the air plus the liquid stays; the mixture's temperature follows
        heat = warmth + (w - dry) * 4186.0 * 25.0
        return moist_air.relative_humidity(brentq(lambda t: moist_air.air_enthalpy(t, w) - heat, 5.0, 30.0), w)

    for rh, printed in ((0.95, row.take(".242 g")[0]), (1.0, row.take(".270 g")[0])):
        w = brentq(lambda w, rh=rh: humidity(w) - rh, dry, wet)
        yield Point(f"0.1 m3 from 60 to {100 * rh:g} %, cooled by it", printed, 1000.0 * held * (w - dry), "g",
                    rel=1e-2)  # fmt: skip
