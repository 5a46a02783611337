"""Moist air of the time loop against two libraries, CoolProp (real gases) and psychrolib, 18 to 35 C and 30 to 100 %."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from scipy import constants as nature

from terralab import psychrometrics as reference
from terralab.physics import conductivity, constants, moist_air

P = constants.PRESSURE
STATES = [(t, rh) for t in (18.0, 22.0, 26.0, 30.0, 35.0) for rh in (30.0, 55.0, 80.0, 100.0)]
TEMPERATURES = (5.0, 18.0, 22.0, 26.0, 30.0, 35.0, 40.0)


def ratio(t_c: float, rh: float) -> float:
    return moist_air.humidity_ratio(0.01 * rh * moist_air.saturation_pressure(t_c))


def real(output: str, t_c: float, rh: float) -> float:
    return HAPropsSI(output, "T", t_c + 273.15, "R", rh / 100.0, "P", P)


@pytest.mark.parametrize("t_c", TEMPERATURES)
def test_saturation(t_c: float) -> None:
    """The same equation in psychrolib, another (IAPWS-95) in CoolProp, with a slope of its own. 0.02 % between them."""
    e_s = moist_air.saturation_pressure(t_c)
    assert e_s == pytest.approx(reference.saturation_pressure_pa(t_c), rel=1e-12)
    assert e_s == pytest.approx(PropsSI("P", "T", t_c + 273.15, "Q", 1, "Water"), rel=3e-4)
    slope = PropsSI("d(P)/d(T)|sigma", "T", t_c + 273.15, "Q", 1, "Water")
    assert moist_air.saturation_slope(t_c, e_s) == pytest.approx(slope, rel=5e-4)


@pytest.mark.parametrize(("t_c", "rh"), STATES)
def test_humidity_ratio_there_and_back(t_c: float, rh: float) -> None:
    w = ratio(t_c, rh)
    assert w == pytest.approx(reference.humidity_ratio(t_c, rh), rel=1e-9)
    assert w == pytest.approx(real("W", t_c, rh), rel=0.0055)  # an ideal mixture: up to 0.5 % less vapour
    assert moist_air.vapour_pressure(w) == pytest.approx(reference.vapour_pressure_pa(t_c, rh), rel=1e-9)
    assert 100.0 * moist_air.relative_humidity(t_c, w) == pytest.approx(reference.relative_humidity(t_c, w), rel=1e-9)
    assert moist_air.relative_humidity(t_c, w) == pytest.approx(
        HAPropsSI("R", "T", t_c + 273.15, "W", w, "P", P), rel=0.0055
    )


@pytest.mark.parametrize(("t_c", "rh"), STATES)
def test_densities(t_c: float, rh: float) -> None:
    w = ratio(t_c, rh)
    volume = HAPropsSI("V", "T", t_c + 273.15, "W", w, "P", P)  # m3 for each kg of dry air
    assert moist_air.density(t_c, w) == pytest.approx((1.0 + w) / volume, rel=5e-4)
    assert moist_air.density(t_c, w) == pytest.approx(reference.density_kg_m3(t_c, rh), rel=2e-4)


@pytest.mark.parametrize("t_c", TEMPERATURES)
def test_vapour_density_and_latent_heat(t_c: float) -> None:
    """Latent heat: a straight line here. The steam tables lie within 0.1 %, density of real vapour within 0.35 % (at 40 C)."""
    t = t_c + 273.15
    assert moist_air.saturated_vapour_density(t_c) == pytest.approx(PropsSI("D", "T", t, "Q", 1, "Water"), rel=3.5e-3)
    vapour, liquid = (PropsSI("H", "T", t, "Q", q, "Water") for q in (1, 0))
    assert moist_air.latent_heat(t_c) == pytest.approx(vapour - liquid, rel=1e-3)
    zero = PropsSI("H", "T", 273.16, "Q", 0, "Water")
    assert moist_air.vapour_enthalpy(t_c) == pytest.approx(vapour - zero, rel=1e-3)


@pytest.mark.parametrize(("t_c", "rh"), STATES)
def test_heat_of_moist_air(t_c: float, rh: float) -> None:
    w = ratio(t_c, rh)
    heat = moist_air.air_enthalpy(t_c, w)
    assert heat == pytest.approx(reference._psychrolib.GetMoistAirEnthalpy(t_c, w), rel=1e-9)
    rise = HAPropsSI("H", "T", t_c + 274.15, "W", w, "P", P) - HAPropsSI("H", "T", t_c + 273.15, "W", w, "P", P)
    assert moist_air.air_enthalpy(t_c + 1.0, w) - heat == pytest.approx(rise, rel=0.005)


@pytest.mark.parametrize(("inside", "outside"), [((24.0, 95.0), (24.0, 45.0)), ((27.0, 80.0), (21.0, 45.0))])
def test_how_much_lighter(inside: tuple[float, float], outside: tuple[float, float]) -> None:
    """Real densities: within 1 % of the difference."""
    heavy, light = ((1.0 + real("W", *state)) / real("V", *state) for state in (outside, inside))
    dense = lambda state: moist_air.density(state[0], ratio(*state))  # noqa: E731
    ours = moist_air.lightness(dense(inside), dense(outside))
    assert ours == pytest.approx(2.0 * (heavy - light) / (heavy + light), rel=0.01)
    assert moist_air.lightness(dense(outside), dense(inside)) == pytest.approx(-ours)


def water(name: str, *state: object) -> float:
    return PropsSI(name, *(state or ("T", 295.15, "P", P)), "Water")


def dry_air(name: str) -> float:
    return PropsSI(name, "T", 295.15, "P", P, "Air")


#: Those of nature by scipy (CODATA), those of water and air by CoolProp at 22 C: value and allowed difference.
CONSTANTS = {
    "GRAVITY": (nature.g, 0.0),
    "PRESSURE": (nature.atm, 0.0),
    "ZERO_CELSIUS": (nature.zero_Celsius, 0.0),
    "STEFAN_BOLTZMANN": (nature.Stefan_Boltzmann, 1e-6),
    "GAS_VAPOUR": (nature.R / PropsSI("M", "Water"), 1e-5),
    "GAS_AIR": (nature.R / PropsSI("M", "Air"), 1e-4),
    "MASS_RATIO": (PropsSI("M", "Water") / PropsSI("M", "Air"), 1e-4),
    "AIR_HEAT": (dry_air("C"), 2e-3),
    "VAPOUR_HEAT": (water("C", "T", 295.15, "P", 1000.0), 0.01),
    "WATER_HEAT": (water("C"), 2e-3),
    "WATER_DENSITY": (water("D"), 3e-3),
    "AIR_CONDUCTIVITY": (dry_air("L"), 0.01),
    "AIR_VISCOSITY": (dry_air("V") / dry_air("D"), 1e-3),
    "AIR_PRANDTL": (dry_air("PRANDTL"), 0.005),
    "HUMID_HEAT": (moist_air.air_enthalpy(23.0, 0.013) - moist_air.air_enthalpy(22.0, 0.013), 1e-9),
}


@pytest.mark.parametrize("name", CONSTANTS)
def test_constants(name: str) -> None:
    value, difference = CONSTANTS[name]
    assert getattr(constants, name) == pytest.approx(value, rel=difference)


def test_vapour_density_changes_with_humidity_ratio_as_the_constant_says() -> None:
    """At 22 C, from 50 % to saturation: the slope of w/(1 + w) times density."""
    dense = [0.01 * rh * moist_air.saturated_vapour_density(22.0) for rh in (50.0, 100.0)]
    slope = (dense[1] - dense[0]) / (ratio(22.0, 100.0) - ratio(22.0, 50.0))
    assert slope == pytest.approx(constants.DENSITY_PER_RATIO, rel=0.02)


@pytest.mark.parametrize("t_c", TEMPERATURES)
def test_diffusion_and_lewis(t_c: float) -> None:
    """Vapour in air by the molecules' volumes (Fuller, Schettler & Giddings 1966, from memory): within 3 %.

    With heat diffusion by CoolProp the ratio of the two is the 0.85 of Chilton & Colburn's likeness within 2 %.
    """
    t = t_c + 273.15
    volumes = (20.1 ** (1.0 / 3.0) + 12.7 ** (1.0 / 3.0)) ** 2
    other = 1e-7 * t**1.75 * (1.0 / 28.97 + 1.0 / 18.02) ** 0.5 / volumes
    ours = conductivity.vapour_diffusivity(t_c)
    assert ours == pytest.approx(other, rel=0.03)
    air = [PropsSI(name, "T", t, "P", P, "Air") for name in ("L", "D", "C")]
    assert air[0] / (air[1] * air[2]) / ours == pytest.approx(constants.LEWIS, rel=0.025)


@pytest.mark.parametrize("suction", [1.0, 10.0, 100.0, 1000.0, 10000.0])
def test_pore_humidity_is_the_work_to_lift_vapour(suction: float) -> None:
    """A gas column in balance thins with height by its weight: summed in thin sheets, no exponential."""
    left, sheets = 1.0, 20000
    weight = nature.g * PropsSI("M", "Water") / (nature.R * 298.15)
    for _ in range(sheets):
        left *= 1.0 - suction / sheets * weight
    assert conductivity.pore_humidity(-suction, 25.0)[0] == pytest.approx(left, rel=1e-4)
