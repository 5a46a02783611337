"""Openings and the gases: laws, closed forms, other libraries and printed values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from terralab import materials
from terralab.physics import gases, openings


def test_a_speed_is_the_root_of_its_two_losses() -> None:
    for x in (-3.0, -1e-6, 0.0, 1e-9, 0.02, 40.0):
        v = openings.speed(x, 0.9, 1.6)
        assert 0.9 * v + 1.6 * v * abs(v) == pytest.approx(x, rel=1e-12, abs=1e-18)
        step = 1e-6 * max(1.0, abs(x))
        slope = (openings.speed(x + step, 0.9, 1.6) - openings.speed(x - step, 0.9, 1.6)) / (2.0 * step)
        assert openings.speed_slope(x, 0.9, 1.6) == pytest.approx(slope, rel=1e-4)


@pytest.mark.parametrize(("lower", "upper"), [(0.0, 0.02), (0.01, 0.012), (-0.01, 0.02), (-0.03, -1e-5), (-1e-7, 1e-7)])
def test_a_tall_opening_is_its_speeds_summed(lower: float, upper: float) -> None:
    """Out above, in below: the closed form against quadrature, and its slope against a difference."""
    x = lambda z: lower + z * (upper - lower)  # noqa: E731
    rest = [-lower / (upper - lower)] if lower * upper < 0.0 else None
    for share in (0, 1):
        sign = 1.0 - 2.0 * share
        whole, _ = quad(lambda z, s=sign: max(0.0, s * openings.speed(x(z), 0.9, 1.6)), 0.0, 1.0, points=rest)
        assert openings.mean_speed(lower, upper, 0.9, 1.6)[share] == pytest.approx(whole, rel=1e-7, abs=1e-15)
    step = 1e-4 * (upper - lower)
    more, less = (openings.mean_speed(lower + d, upper + d, 0.9, 1.6) for d in (step, -step))
    slope = (more[0] - more[1] - less[0] + less[1]) / (2.0 * step)
    assert openings.mean_speed(lower, upper, 0.9, 1.6)[2] == pytest.approx(slope, rel=1e-3)


def test_a_level_opening_scales_as_a_plume_of_its_size() -> None:
    """Twice as wide: 2^(5/2) the buoyant flow; four times as light: twice. Nothing turns over under lighter air."""
    moved = lambda light, area: openings.lid_exchange(light, 0.0, area, 1e-12, 1.6, 1.6, 0.05)  # noqa: E731
    assert moved(0.01, 0.4) / moved(0.01, 0.1) == pytest.approx(2.0**2.5, rel=1e-6)
    assert moved(0.04, 0.1) / moved(0.01, 0.1) == pytest.approx(2.0, rel=1e-6)
    assert moved(-0.01, 0.1) == moved(0.0, 0.1) == 0.0
    assert openings.still_exchange(0.1, 2.5e-5) == pytest.approx(2.5e-5 * math.sqrt(0.4 / math.pi))


def test_a_bare_hole_turns_over_whatever_its_columns_and_a_mesh_in_step_with_them() -> None:
    """Without a mesh the columns fall out of the sum; behind a dense one the speed goes with them, until they reach 0.46 D."""
    moved = lambda viscous, column: openings.lid_exchange(0.01, 0.0, 0.1, viscous, 1.6, 1.6, column)  # noqa: E731
    across = math.sqrt(0.4 / math.pi)
    bare = 0.055 * math.sqrt(9.80665 * 0.01 * across**5)
    for column in (0.001, 0.02, 0.1, 5.0):
        assert moved(1e-9, column) == pytest.approx(bare, rel=3e-3)
    assert moved(500.0, 0.10) == pytest.approx(2.0 * moved(500.0, 0.05), rel=1e-3)
    assert moved(500.0, 0.05) == pytest.approx(0.05 * 1.19 * 9.80665 * 0.01 * 0.05 / 500.0, rel=1e-3)
    assert moved(500.0, 2.0) == moved(500.0, 0.46 * across)
    assert moved(500.0, 1e-6) == moved(500.0, openings.FREE_LOSS * across)
    columns = np.geomspace(1e-3, 1.0, 60)
    assert (np.diff([moved(0.9, column) for column in columns]) >= 0.0).all()
    # what a screen takes inertially stands beside the rim's own loss
    screened = openings.lid_exchange(0.01, 0.0, 0.1, 0.9, 1.6 + 0.9, 1.6, 0.05)
    assert screened < moved(0.9, 0.05)


def test_age_of_air_is_one_over_the_exchange_only_when_that_is_steady() -> None:
    """A fan of 60 air changes for ten minutes an hour over a leak of 1: the mean age is not 1 over the mean exchange."""
    mean, oldest = gases.periodic([1.0], [4.0], [24.0])
    assert (mean, oldest) == (pytest.approx(0.25), pytest.approx(0.25))
    spans, rates = [5.0 / 6.0, 1.0 / 6.0], [1.0, 60.0]
    mean, oldest = gases.periodic([1.0, 1.0], rates, spans)
    even = 1.0 / (np.dot(spans, rates) / sum(spans))
    assert mean > 3.0 * even
    cycle = lambda t, a: 1.0 - (1.0 if t % 1.0 < spans[0] else 60.0) * a  # noqa: E731
    run = solve_ivp(cycle, (0.0, 3.0), [0.1], max_step=5e-4, rtol=1e-8, dense_output=True)
    last = np.linspace(2.0, 3.0, 4001)
    assert run.sol(last)[0].mean() == pytest.approx(mean, rel=2e-3)
    assert run.sol(last)[0].max() == pytest.approx(oldest, rel=5e-3)


def test_one_person_in_an_office_is_the_textbook_rise() -> None:
    """0.31 l/min of carbon dioxide into 7.5 l/s of outdoor air: about 700 ppm (ASHRAE 62, appendix, from memory)."""
    assert gases.exchange_for(0.31 * 60.0, 1000.0, 700e-6) == pytest.approx(27.0, rel=0.03)


def test_a_soil_of_known_breath() -> None:
    """1 umol/m2s is 12 g of carbon in a million seconds from a square metre: 0.0871 l an hour at 22 C."""
    assert gases.litres_per_hour(1.0, 1.0) == pytest.approx(0.0871, rel=1e-3)
    assert gases.relax(0.0, 2.0, 0.0, 3.0) == (6.0, 3.0)


def test_oxygen_lost_follows_the_quotient() -> None:
    assert gases.oxygen_lost(0.001, 0.8) == pytest.approx(0.00125)


def test_a_resting_lizard_breathes_less_than_the_range_for_frogs_allows() -> None:
    """20 g at 25 C by Andrews & Pough 1985 (from memory) lies inside the range shipped for frogs."""
    each = 0.013 * 20.0**0.80 * 10.0 ** (0.038 * 25.0 + 0.14) / 20.0  # ml/g/h, the last factor for resting animals
    breath = materials.get("defaults", "frog breath")["oxygen"]
    assert breath.low < each < breath.high
