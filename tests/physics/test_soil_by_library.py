"""Soil curves against unsatfit, over every shipped material; columns against hypergeometric functions; heat by CoolProp."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import unsatfit
from CoolProp.CoolProp import PropsSI
from scipy.integrate import quad
from scipy.special import hyp2f1

from terralab import materials
from terralab.physics import conductivity, heat, moist_air, retention
from terralab.soil.equilibrium import container_capacity
from terralab.soil.hydraulics import SOIL_TABLES, ExponentialSoil, Soil

NAMES = [name for table in SOIL_TABLES for name in materials.names(table)]
SUCTION = np.geomspace(1e-3, 30.0, 25)


def bare(name: str, which: str = "typical") -> Soil:
    """The published form of a material: neither air entry nor dry end, which no library has in our form."""
    return replace(Soil.from_material(name, which), air_entry_m=0.0, dry_end=False)


def by_library(soil: Soil) -> tuple[np.ndarray, np.ndarray]:
    """Water content and conductivity at SUCTION from unsatfit's own curves."""
    fit = unsatfit.Fit()
    fit.set_model("vg2" if soil.second else "VG", const=["q=1", "r=2"])
    numbers = [soil.theta_s, soil.theta_r]
    if soil.second:
        share, alpha, n = soil.second
        numbers += [1.0 - share, soil.alpha_per_m, 1.0 - 1.0 / soil.n, alpha, 1.0 - 1.0 / n]
    else:
        numbers += [soil.alpha_per_m, 1.0 - 1.0 / soil.n]
    return fit.f_ht(numbers, SUCTION), fit.f_hk([*numbers, soil.ks_m_per_s, soil.l], SUCTION)


@pytest.mark.parametrize("which", ["low", "typical", "high"])
@pytest.mark.parametrize("name", NAMES)
def test_every_material_at_both_ends(name: str, which: str) -> None:
    """One and two domains, every l of the tables. 1e-5 of K: the library subtracts its digits away in dry coarse soil."""
    soil = bare(name, which)
    water, speed = by_library(soil)
    np.testing.assert_allclose(soil.water_content(-SUCTION), water, rtol=1e-9)
    whole = speed > 1e-12 * soil.ks_m_per_s  # below that the textbook form has no digit left
    assert whole.sum() > 8
    np.testing.assert_allclose(soil.conductivity(-SUCTION)[whole], speed[whole], rtol=1e-4)


def test_the_exponential_soil_is_straight_in_the_logarithm() -> None:
    soil = ExponentialSoil(0.06, 0.40, 10.0, 2e-6)
    heads = -np.geomspace(1e-3, 1.0, 25)
    line = np.polyfit(heads, np.log(soil.conductivity(heads) / 2e-6), 1)
    np.testing.assert_allclose(line, [10.0, 0.0], atol=1e-9)
    full = soil.water_content(heads) - 0.06
    np.testing.assert_allclose(np.diff(np.log(full)), 10.0 * np.diff(heads), rtol=1e-9)


@pytest.mark.parametrize("name", ["loam topsoil", "bark and peat mix", "fine coir mix"])
def test_slopes_are_those_of_the_curves(name: str) -> None:
    """Capacity and dK/dh of the kernels against central differences; the integral of the capacity is the water lost."""
    row = Soil.from_material(name).row()
    for h in (-0.02, -0.3, -2.0, -40.0, -3000.0):
        theta, capacity, k, dk = conductivity.hydraulics(h, row)
        step = 1e-5 * abs(h)
        sides = [conductivity.hydraulics(h + d, row) for d in (step, -step)]
        assert capacity == pytest.approx((sides[0][0] - sides[1][0]) / (2.0 * step), rel=1e-5)
        assert dk == pytest.approx((sides[0][2] - sides[1][2]) / (2.0 * step), rel=1e-5)
        assert (theta, capacity) == retention.water_content(h, row)
        assert (k, dk) == conductivity.conductivity(h, row)
    lost, _ = quad(lambda x: np.exp(x) * retention.water_content(-np.exp(x), row)[1], np.log(0.01), np.log(100.0), limit=400)  # fmt: skip
    held = retention.water_content(-0.01, row)[0] - retention.water_content(-100.0, row)[0]
    assert lost == pytest.approx(held, rel=1e-6)


@pytest.mark.parametrize("height_cm", [2.0, 10.0, 30.0])
@pytest.mark.parametrize("name", NAMES)
def test_a_drained_layer_keeps_what_the_hypergeometric_function_says(name: str, height_cm: float) -> None:
    """Mean water of a drained layer L high: sum of w 2F1(m, 1/n; 1 + 1/n; -(alpha L)^n), down to 1 m of suction."""
    soil = Soil.from_material(name)
    parts = [(1.0, soil.alpha_per_m, soil.n)]
    if soil.second:
        share, alpha, n = soil.second
        parts = [(1.0 - share, soil.alpha_per_m, soil.n), (share, alpha, n)]
    length = 0.01 * height_cm
    se = sum(w * hyp2f1(1.0 - 1.0 / n, 1.0 / n, 1.0 + 1.0 / n, -((a * length) ** n)) for w, a, n in parts)
    expected = soil.theta_r + (soil.theta_s - soil.theta_r) * se
    assert container_capacity(soil, height_cm) == pytest.approx(expected, rel=1e-8)
    if height_cm == 30.0:
        base = 5.0
        upper, lower = (0.01 * x * _f(parts, 0.01 * x) for x in (height_cm + base, base))
        raised = soil.theta_r + (soil.theta_s - soil.theta_r) * (upper - lower) / length
        assert container_capacity(soil, height_cm, base) == pytest.approx(raised, rel=1e-8)


def _f(parts: list[tuple[float, float, float]], x: float) -> float:
    return sum(w * hyp2f1(1.0 - 1.0 / n, 1.0 / n, 1.0 + 1.0 / n, -((a * x) ** n)) for w, a, n in parts)


def test_diffusion_in_dry_pores_is_that_of_free_air_shortened() -> None:
    """Dry: D phi^(4/3) (Millington & Quirk). Half full: (1/2)^(10/3) of that. Full: none."""
    free = conductivity.vapour_diffusivity(22.0)
    dry = conductivity.pore_diffusivity(0.8, 0.8, 22.0)
    assert dry == pytest.approx(free * 0.8 ** (4.0 / 3.0))
    assert conductivity.pore_diffusivity(0.4, 0.8, 22.0) == pytest.approx(dry * 0.5 ** (10.0 / 3.0))
    assert conductivity.pore_diffusivity(-0.01, 0.8, 22.0) == 0.0


@pytest.mark.parametrize("t_c", [10.0, 22.0, 35.0])
def test_heat_that_vapour_carries(t_c: float) -> None:
    """Latent heat, and the slope of vapour density along saturation, by the steam tables: within 0.6 %."""
    t = t_c + 273.15
    slope = (PropsSI("D", "T", t + 0.1, "Q", 1, "Water") - PropsSI("D", "T", t - 0.1, "Q", 1, "Water")) / 0.2
    latent = PropsSI("H", "T", t, "Q", 1, "Water") - PropsSI("H", "T", t, "Q", 0, "Water")
    ours = heat.vapour_heat_conductivity(1e-6, 0.98, moist_air.saturated_vapour_density(t_c), t_c)
    assert ours == pytest.approx(latent * 1e-6 * 0.98 * slope, rel=6e-3)


def test_heat_held_and_passed_by_soil() -> None:
    """Capacity: the parts weighed. Conduction: dry at one end, full at the other, never beyond."""
    held = heat.soil_capacity(0.4, 2.5e5) - 2.5e5
    assert held == pytest.approx(0.4 * PropsSI("D", "T", 295.15, "P", 101325.0, "Water") * PropsSI("C", "T", 295.15, "P", 101325.0, "Water"), rel=5e-3)  # fmt: skip
    thetas = np.linspace(0.0, 1.0, 21)
    ours = [heat.soil_conductivity(theta, 0.8, 0.05, 0.45) for theta in thetas]
    np.testing.assert_allclose(ours, np.interp(thetas, [0.0, 0.8], [0.05, 0.45]))
