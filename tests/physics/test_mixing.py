"""Air above and below: limits, order, smoothness, and plumes and currents solved another way."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from terralab import materials
from terralab.physics import convection, mixing, openings
from terralab.physics.constants import AIR_CONDUCTIVITY, AIR_PRANDTL, AIR_VISCOSITY, GRAVITY

LIGHT = np.geomspace(1e-7, 0.2, 40)


def test_heavy_air_above_turns_over_as_through_a_level_hole() -> None:
    """The bare lid's law without a lid; nothing where the upper air is lighter."""
    for x in (1e-3, 0.01, 0.1):
        lid = openings.lid_exchange(x, 0.0, 0.27, 1e-12, rim := openings.bare_loss(0.61), rim, 0.05)
        assert mixing.overturning(-x, 0.27) == pytest.approx(lid, rel=3e-2 * 1e-3 / x)
        assert mixing.overturning(x, 0.27) == 0.0
    assert mixing.overturning(-0.01, 0.0) == mixing.overturning(0.0, 0.27) == 0.0
    assert mixing.overturning(-0.01, 4.0 * 0.1) / mixing.overturning(-0.01, 0.1) == pytest.approx(2.0**2.5)


@pytest.mark.parametrize(
    "law",
    [
        lambda x: mixing.overturning(-x, 0.27),
        lambda x: mixing.pane_current(x, 0.4, 1.0),
        lambda x: mixing.plume(GRAVITY * x * 1e-4, 0.2),
        lambda x: mixing.sinking(x, 1e-3, 0.2),
        lambda x: mixing.one_opening(x, 0.0036, 0.06, 0.61),
        lambda x: mixing.passes(x, 0.003),
        lambda x: -mixing.passes(0.003, x),
        lambda x: -mixing.jet_work_limit(1e-3, 0.05, x, 0.2, 0.2),
    ],
    ids=["overturning", "pane", "plume", "sinking", "hide", "passes", "stability", "work"],
)
def test_more_difference_of_density_never_moves_less(law) -> None:
    """And resistance only the other way round."""
    assert (np.diff([law(x) for x in LIGHT]) >= 0.0).all()


@pytest.mark.parametrize(
    ("law", "at_rest"),
    [
        (lambda x: mixing.overturning(x, 0.27), 0.0),
        (lambda x: mixing.one_opening(x, 0.0036, 0.06, 0.61), 0.0),
        (lambda x: mixing.sinking(x, 1e-3, 0.2), 0.0),
        (lambda x: mixing.passes(0.5 + x, 0.5), 0.5),
        (lambda x: mixing.stirred(1e-3, mixing.jet_work_limit(1e-3, 0.05, x, 0.2, 0.2)), 1e-3),
    ],
    ids=["overturning", "hide", "sinking", "passes", "stirred"],
)
def test_no_step_where_a_difference_turns(law, at_rest: float) -> None:
    """Either side of no difference: the same, however near."""
    assert law(0.0) == pytest.approx(at_rest, rel=1e-12, abs=1e-30)
    scale = abs(law(0.01)) + abs(law(-0.01))
    for tiny in (1e-7, 1e-9, 1e-12):
        for x in (tiny, -tiny):
            assert abs(law(x) - at_rest) <= scale * 1e5 * tiny


def test_a_hide_breathes_alike_whether_its_air_is_light_or_heavy() -> None:
    """And as the engine's own upright opening, Brown & Solvason 1962."""
    for x in (1e-4, 0.002, 0.05):
        flow = mixing.one_opening(x, 0.0036, 0.06, 0.61)
        assert flow == mixing.one_opening(-x, 0.0036, 0.06, 0.61)
        half = 0.5 * openings.AIR_DENSITY * GRAVITY * x * 0.06
        out, into, _ = openings.mean_speed(-half, half, 1e-9, openings.bare_loss(0.61))
        assert flow == pytest.approx(0.0036 * out, rel=5e-3 if x < 1e-3 else 1e-4)
        assert out == pytest.approx(into)


def entrainment() -> float:
    """The entrainment that gives the coefficient used: C = (6a/5)(9a/10)^(1/3) pi^(2/3), solved for a."""
    return (mixing.PLUME / (1.2 * 0.9 ** (1.0 / 3.0) * math.pi ** (2.0 / 3.0))) ** 0.75


def test_a_plume_is_what_its_equations_give() -> None:
    """Morton, Taylor & Turner 1956 as they stand, top-hat: dQ/dz = 2 a sqrt(pi M), dM/dz = B Q / M, marched up."""
    a, b = entrainment(), 2e-4
    assert 0.1 < a < 0.13
    start = 0.01
    q0 = mixing.plume(b, start)
    m0 = (0.75 * b * q0 * start) ** 0.5  # M^2 = 3/4 B Q z in the pure plume
    march = lambda z, y: [2.0 * a * math.sqrt(math.pi * y[1]), b * y[0] / y[1]]  # noqa: E731
    run = solve_ivp(march, (start, 0.6), [q0, m0], rtol=1e-10, atol=1e-18, t_eval=[0.1, 0.3, 0.6])
    for z, q in zip(run.t, run.y[0], strict=True):
        assert mixing.plume(b, z) == pytest.approx(q, rel=1e-6)


def test_air_mixing_covers_what_is_printed_for_plumes() -> None:
    """Entrainment 0.1 to engineering tables, as factors of the coefficient used, lie within the range shipped."""
    factor = materials.get("defaults", "air mixing")["factor"]
    assert factor.low < 0.115 / mixing.PLUME < factor.typical < 0.2 / mixing.PLUME < factor.high


def test_a_current_carries_off_the_heat_of_its_own_laminar_profile() -> None:
    """Flow times its mean coldness against heat by the same profile: Nu = 0.678 Ra^(1/4) (Pr/(Pr + 20/21))^(1/4).

    The profile's own heat (Squire and Eckert, from memory) lies 7 % below the law used for the pane's heat.
    """
    for x, height in ((0.003, 0.2), (0.01, 0.4), (0.03, 0.8)):
        flow = mixing.pane_current(x, height, 1.0)
        per_kelvin = flow * mixing.COLDNESS * AIR_CONDUCTIVITY / AIR_VISCOSITY * AIR_PRANDTL  # rho cp = k Pr / nu
        rayleigh = GRAVITY * x * height**3 * AIR_PRANDTL / AIR_VISCOSITY**2
        profile = 0.678 * rayleigh**0.25 * (AIR_PRANDTL / (AIR_PRANDTL + 20.0 / 21.0)) ** 0.25 * AIR_CONDUCTIVITY
        assert per_kelvin == pytest.approx(profile, rel=0.005)
        assert per_kelvin == pytest.approx(convection.natural_vertical(x, height) * height, rel=0.075)


def test_a_pane_moves_as_much_warm_or_cold_and_twice_as_much_twice_as_wide() -> None:
    assert mixing.pane_current(0.01, 0.4, 0.6) == mixing.pane_current(-0.01, 0.4, 0.6)
    assert mixing.pane_current(0.01, 0.4, 1.2) == pytest.approx(2.0 * mixing.pane_current(0.01, 0.4, 0.6))
    assert mixing.pane_current(0.0, 0.4, 0.6) == mixing.pane_current(0.01, 0.4, 0.0) == 0.0


def test_passing_is_all_or_nothing_but_for_a_tenth_of_a_kelvin() -> None:
    assert mixing.passes(0.004, 0.004) == 0.5
    assert mixing.passes(0.008, 0.0) > 0.999
    assert mixing.passes(0.0, 0.008) < 0.001
    assert mixing.passes(0.003, 0.001) + mixing.passes(0.001, 0.003) == pytest.approx(1.0)


def test_sinking_air_takes_more_along_the_deeper_it_falls() -> None:
    """At no depth it is itself; deeper it grows as a plume of its own weight. Lighter than the box's air it stays above."""
    x, q = 0.01, 2e-3
    grown = [mixing.sinking(x, q, z) for z in (0.0, 0.1, 0.2, 0.4)]
    assert grown[0] == pytest.approx(q, rel=3e-3)
    assert np.diff(grown).min() > 0.0
    assert grown[2] - grown[0] == pytest.approx(mixing.plume(GRAVITY * x * q, 0.2), rel=3e-3)
    assert mixing.sinking(-x, q, 0.2) == mixing.sinking(x, 0.0, 0.2) == 0.0


def test_a_jet_is_at_least_its_fan_and_at_most_the_work_it_can_do() -> None:
    assert mixing.jet(1e-3, 0.05, 0.0) == 1e-3
    assert mixing.jet(1e-3, 0.05, 0.5) == pytest.approx(3.2e-3)
    assert mixing.jet_work_limit(1e-3, 0.05, 0.0, 0.2, 0.2) == math.inf
    assert mixing.jet_work_limit(1e-3, 0.05, -0.01, 0.2, 0.2) == math.inf
    assert mixing.stirred(2e-3, math.inf) == 2e-3
    assert mixing.stirred(0.0, 0.0) == mixing.stirred(1e-3, 0.0) == mixing.stirred(0.0, math.inf) == 0.0
    for carried in (1e-4, 1e-3):
        for limit in (1e-4, 3e-3):
            got = mixing.stirred(carried, limit)
            assert 0.5 * min(carried, limit) <= got < min(carried, limit)
            assert got == pytest.approx(mixing.stirred(limit, carried))


def test_the_speed_and_the_flow_of_a_jet_keep_its_push() -> None:
    """A bell-shaped jet that keeps its momentum carries Q/Q0 = 2 u0/u: two laws of different sources, within 1 %."""
    for diameter, distance in ((0.05, 0.6), (0.02, 0.3), (0.1, 2.0)):
        slowed = 0.4 / mixing.outlet_speed(0.4, diameter, distance)
        assert mixing.jet(1.0, diameter, distance) * slowed == pytest.approx(2.0, rel=0.01)
    near = [mixing.outlet_speed(0.4, 0.05, x) for x in (0.0, 0.1, 0.3)]
    assert near == [0.4, 0.4, 0.4]  # its core blows as it left the fan
    assert mixing.outlet_speed(0.0, 0.05, 0.6) == 0.0
    far = [mixing.outlet_speed(0.4, 0.05, x) for x in np.geomspace(0.01, 2.0, 30)]
    assert (np.diff(far) >= 0.0).all()


def test_the_work_of_a_jet_is_the_work_of_lifting() -> None:
    """What the limit lifts in a second, rho g' h q, is `efficiency` of the jet's kinetic power."""
    q = mixing.jet_work_limit(1e-3, 0.05, 0.005, 0.21, 0.2)
    power = 0.5 * 1e-3 * (1e-3 / (math.pi * 0.025**2)) ** 2
    assert GRAVITY * 0.005 * 0.21 * q == pytest.approx(0.2 * power)


def test_diffusion_alone_is_slow() -> None:
    """A box of 60 by 45 cm, layers 21 cm apart: an air change of its upper half takes half an hour."""
    flow = mixing.diffusion_exchange(0.27, 0.21, 2.5e-5)
    assert 0.27 * 0.21 / flow == pytest.approx(0.21**2 / 2.5e-5)
    assert 1700.0 < 0.27 * 0.21 / flow < 1800.0


def watts(low: float, high: float, section: float = 0.27, apart: float = 0.21) -> float:
    """Heat [W] that leaves the lower half of a still box of 60 by 45 cm for the upper: turning over and diffusion."""
    flow = mixing.overturning((high - low) / 295.0, section) + mixing.diffusion_exchange(section, apart, 2.5e-5)
    return 1.19 * 1006.0 * flow * (low - high)


def test_three_still_boxes() -> None:
    """By hand: all at one temperature nothing moves; heat above stays above; heat below is shared within a kelvin.

    2.5 W upwards need (2.5 / (rho cp 0.055 sqrt(g D^5 / T)))^(2/3) = 0.86 K; 2.5 W downwards by diffusion 65 K.
    """
    assert watts(22.0, 22.0) == 0.0
    needed = (2.5 / (1.19 * 1006.0 * 0.055 * math.sqrt(GRAVITY / 295.0 * (4.0 * 0.27 / math.pi) ** 2.5))) ** (2.0 / 3.0)
    assert 0.8 < needed < 0.9
    assert watts(22.0 + needed, 22.0) == pytest.approx(2.5, rel=0.03)
    assert -watts(22.0, 22.0 + 65.0) == pytest.approx(2.5, rel=0.05)
