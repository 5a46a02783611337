"""Leaves, canopy, light and roots: limits, laws of growth and fall, photons kept whole, and numerical sums beside."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad, solve_ivp

from terralab import materials
from terralab.physics import canopy, leaf, light, roots
from terralab.units import DAY_S

KINDS = materials.names("plants")
LAMPS = materials.names("lamps")
real = st.floats(allow_nan=False, allow_infinity=False)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high)


# --- a leaf ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_a_leaf_goes_from_its_dark_to_its_full_resistance(kind: str) -> None:
    """In the dark, at its half-light, in endless light, and never back: more light never closes who opens by day."""
    row = materials.get("plants", kind)
    for at in ("low", "typical", "high"):
        dark, full, half = (getattr(row[name], at) for name in ("resistance_dark", "resistance_full", "light_half"))
        conductance = lambda lit, d=dark, f=full, h=half: leaf.leaf_conductance(lit, d, f, h)  # noqa: E731
        assert conductance(0.0) == pytest.approx(1.0 / dark, rel=1e-14)
        assert conductance(half) == pytest.approx(0.5 / dark + 0.5 / full, rel=1e-12)
        assert conductance(1e12) == pytest.approx(1.0 / full, rel=1e-6)
        steps = np.diff([conductance(lit) for lit in np.linspace(0.0, 2000.0, 50)])
        assert np.all(steps >= 0.0 if full <= dark else steps <= 0.0)


def test_those_that_open_at_night_are_named_so_and_no_others() -> None:
    """Low and high too, so that no draw of both resistances turns a kind around."""
    for kind in KINDS:
        dark, full = (materials.get("plants", kind)[name] for name in ("resistance_dark", "resistance_full"))
        if kind.startswith("night-opening"):
            assert dark.high <= full.low, kind
        elif kind not in ("mosses", "spikemosses", "ferns", "soft shade herbs"):
            assert full.high <= dark.low, kind
        if kind != "mosses":
            assert (dark.typical < full.typical) == kind.startswith("night-opening"), kind


@given(vpd=between(-5.0, 20.0), exponent=between(0.0, 1.0), more=between(0.0, 5.0))
def test_drier_air_never_opens_a_leaf(vpd: float, exponent: float, more: float) -> None:
    assert leaf.closing(vpd + more, exponent) <= leaf.closing(vpd, exponent)
    assert leaf.closing(vpd, 0.0) == 1.0
    assert leaf.closing(1.0, exponent) == 1.0
    assert leaf.closing(2.5, exponent) <= leaf.closing(vpd, exponent) <= leaf.closing(0.4, exponent)


@given(t=between(-40.0, 200.0), slope=between(0.0, 0.2), more=between(0.0, 50.0))
def test_warmth_never_closes_a_leaf_and_ends_where_nobody_measured(t: float, slope: float, more: float) -> None:
    assert leaf.warming(min(t + more, 200.0), slope) >= leaf.warming(t, slope)
    assert leaf.warming(t, 0.0) == leaf.warming(25.0, slope) == 1.0
    assert leaf.warming(15.0, slope) <= leaf.warming(t, slope) <= leaf.warming(33.0, slope)


# --- leaves above leaves --------------------------------------------------------------------------------------------


@given(above=between(0.0, 2000.0), k=between(0.1, 2.0), lai=between(0.0, 30.0))
def test_what_leaves_and_ground_get_is_what_came_in(above: float, k: float, lai: float) -> None:
    """Also close to no leaves at all, where the share is a small difference."""
    ground = above * canopy.let_through(k, lai)
    assert lai * canopy.mean_light(above, k, lai) + ground == pytest.approx(above, rel=1e-12, abs=1e-12)


@given(above=between(0.1, 2000.0), k=between(0.1, 2.0), lai=between(0.0, 20.0), more=between(0.0, 20.0))
def test_more_leaves_shade_each_other(above: float, k: float, lai: float, more: float) -> None:
    mean = canopy.mean_light(above, k, lai)
    assert canopy.mean_light(above, k, lai + more) <= mean * (1.0 + 1e-12)
    assert mean <= above * k * (1.0 + 1e-12)
    assert canopy.mean_light(above, k, 0.0) == pytest.approx(k * above, rel=1e-14)
    assert canopy.mean_light(above, k, 1e-9) == pytest.approx(k * above, rel=1e-8)


@pytest.mark.parametrize("lai", [1e-4, 0.5, 2.0, 6.0])
def test_sunlit_and_shaded_leaves_share_the_light_as_a_sum_over_depths_says(lai: float) -> None:
    """The sunlit share at a depth is what of the beam is left there (Campbell & Norman 1998)."""
    beam, diffuse, k_beam, k = 600.0, 60.0, 0.9, 0.75
    share, sunlit, shaded = canopy.two_lights(beam, diffuse, k_beam, k, lai)
    assert share == pytest.approx(quad(lambda x: math.exp(-k_beam * x), 0.0, lai)[0] / lai, rel=1e-9)
    there = lambda x: k * diffuse * math.exp(-k * x)  # noqa: E731
    lit = quad(lambda x: there(x) * math.exp(-k_beam * x), 0.0, lai)[0] / (share * lai)
    assert sunlit == pytest.approx(k_beam * beam + lit, rel=1e-9)
    if lai > 0.01:
        dim = quad(lambda x: there(x) * (1.0 - math.exp(-k_beam * x)), 0.0, lai)[0] / ((1.0 - share) * lai)
        assert shaded == pytest.approx(dim, rel=1e-9)
    all_of_it = lai * (share * sunlit + (1.0 - share) * shaded)
    came = beam * (1.0 - canopy.let_through(k_beam, lai)) + diffuse * (1.0 - canopy.let_through(k, lai))
    assert all_of_it == pytest.approx(came, rel=1e-10)


@pytest.mark.parametrize("lai", [0.5, 2.0, 5.0])
def test_two_classes_serve_where_sun_falls_in_and_one_does_not(lai: float) -> None:
    """Against leaves that each have the light of their depth, sunlit or shaded, summed over all depths."""
    beam, diffuse, k_beam, k = 600.0, 60.0, 0.9, 0.75
    open_ = lambda lit: leaf.leaf_conductance(lit, 4500.0, 850.0, 38.0)  # noqa: E731

    def at(depth: float) -> float:
        shaded = k * diffuse * math.exp(-k * depth)
        lit = math.exp(-k_beam * depth)
        return lit * open_(shaded + k_beam * beam) + (1.0 - lit) * open_(shaded)

    exact = quad(at, 0.0, lai)[0] / lai
    share, sunlit, shaded = canopy.two_lights(beam, diffuse, k_beam, k, lai)
    two = share * open_(sunlit) + (1.0 - share) * open_(shaded)
    one = open_(share * sunlit + (1.0 - share) * shaded)
    assert two == pytest.approx(exact, rel=0.05)
    assert one > two


def test_without_sun_the_two_classes_share_the_mean_light() -> None:
    share, sunlit, shaded = canopy.two_lights(0.0, 50.0, 0.8, 0.8, 3.0)
    assert 0.0 < share < 1.0
    assert share * sunlit + (1.0 - share) * shaded == pytest.approx(canopy.mean_light(50.0, 0.8, 3.0), rel=1e-12)
    assert sunlit > shaded > 0.0  # those the sun would find stand higher


@given(area=between(0.0, 50.0), ground=between(0.01, 5.0), k=between(0.1, 1.0))
def test_leaves_show_both_sides_when_few_and_their_envelope_when_many(area: float, ground: float, k: float) -> None:
    seen = canopy.area_seen(area, ground, k)
    assert 0.0 <= seen <= min(2.0 * area, 2.0 * ground / k) * (1.0 + 1e-12)
    assert canopy.area_seen(2.0 * area, ground, k) >= seen
    assert canopy.area_seen(1e-9, ground, k) == pytest.approx(2e-9, rel=1e-6)
    assert canopy.area_seen(200.0 * ground, ground, k) == pytest.approx(2.0 * ground / k, rel=1e-8)


@pytest.mark.parametrize(("leaf_area", "ground"), [(0.3, 0.3), (1.0, 0.2)])
def test_what_leaves_show_is_the_sum_of_what_each_depth_sees(leaf_area: float, ground: float) -> None:
    """A leaf sees out upwards through the leaves above it, downwards through those below."""
    k, lai = 0.8, leaf_area / ground
    each = quad(lambda x: math.exp(-k * x) + math.exp(-k * (lai - x)), 0.0, lai)[0]
    assert canopy.area_seen(leaf_area, ground, k) == pytest.approx(ground * each, rel=1e-9)


def test_a_single_leaf_is_not_sheltered() -> None:
    assert canopy.sheltered(0.02, 1.0) == 0.02
    assert canopy.sheltered(0.02, 1.6) == pytest.approx(0.0125)


# --- lamps ----------------------------------------------------------------------------------------------------------

box = {
    "distance": between(0.0, 3.0),
    "floor": between(0.01, 3.0),
    "walls": between(0.0, 10.0),
    "reflects": between(0.0, 0.98),
    "returns": between(0.0, 0.98),
    "beam": between(5.0, 175.0),
}


@given(**box)
def test_no_photon_is_made_and_none_is_lost_between_walls(**b: float) -> None:
    plants, walls, lid = light.shares_of_light(*b.values())
    assert min(plants, walls, lid) >= 0.0
    taken = (1.0 - b["returns"]) * plants + (1.0 - b["reflects"]) * (walls + lid)
    if b["walls"] > 0.0:
        assert taken == pytest.approx(1.0, rel=1e-9)
    else:
        assert taken <= 1.0 + 1e-9  # the rest goes past, into the room


@given(more=between(0.0, 1.0), **box)
def test_light_falls_with_distance_and_gains_by_bright_walls(more: float, **b: float) -> None:
    """Straight light only falls; with black walls and plants it is all there is."""
    near = light.direct_share(b["distance"], b["floor"], b["beam"])
    assert light.direct_share(b["distance"] + more, b["floor"], b["beam"]) <= near + 1e-12
    assert light.direct_share(b["distance"], b["floor"] * (1.0 + more), b["beam"]) >= near - 1e-12
    dull = light.shares_of_light(b["distance"], b["floor"], b["walls"], 0.0, 0.0, b["beam"])
    assert dull[0] == pytest.approx(near, abs=1e-15)
    bright = light.shares_of_light(*b.values())
    assert bright[0] >= near - 1e-12
    assert light.shares_of_light(*{**b, "reflects": min(0.98, b["reflects"] + more)}.values())[0] >= bright[0] - 1e-12


@pytest.mark.parametrize("beam", [30.0, 60.0, 120.0, 150.0])
@pytest.mark.parametrize("distance", [0.1, 0.4, 1.5])
def test_the_straight_share_is_that_of_rays_summed_over_the_disc(beam: float, distance: float) -> None:
    """Intensity (m + 1)/(2 pi) cos^m over the solid angle of the disc, and half of it at the edge of the beam."""
    floor, m = 0.27, -math.log(2.0) / math.log(math.cos(math.radians(beam / 2.0)))
    edge = math.atan(math.sqrt(floor / math.pi) / distance)
    rays = lambda a, _: (m + 1.0) / (2.0 * math.pi) * math.cos(a) ** m * math.sin(a)  # noqa: E731
    total, _ = dblquad(rays, 0.0, 2.0 * math.pi, 0.0, edge)
    assert light.direct_share(distance, floor, beam) == pytest.approx(total, rel=1e-8)
    assert math.cos(math.radians(beam / 2.0)) ** m == pytest.approx(0.5)


def test_a_bare_flat_lamp_follows_its_closed_form_and_a_near_one_gives_all() -> None:
    assert light.direct_share(0.4, 0.27, 120.0) == pytest.approx(0.27 / (0.27 + math.pi * 0.16), rel=1e-12)
    assert light.direct_share(0.0, 0.27, 120.0) == 1.0


@pytest.mark.parametrize("kind", LAMPS)
def test_a_lamp_of_no_watts_gives_no_light_and_two_give_twice(kind: str) -> None:
    def at(power: float) -> float:
        photons = light.lamp_photons(power, materials.get("lamps", kind).typical("photons_per_joule"))
        return light.lamp_light_at(photons, 0.4, 0.27, 0.84, 0.1, 0.07, 120.0)

    assert at(0.0) == 0.0
    assert at(40.0) == pytest.approx(2.0 * at(20.0), rel=1e-12)
    assert at(20.0) > 0.0


@pytest.mark.parametrize("kind", LAMPS)
def test_photons_of_a_lamp_are_those_of_its_light(kind: str) -> None:
    """A joule of light holds 4.6 to 5 umol (Thimijan & Heins 1983): so photons and share of light tell one story.

    The share of a bar outside the lid is what the lid lets through.
    """
    lamp = materials.get("lamps", kind)
    light_share = lamp["light"].typical
    if kind == "led bar outside lid":
        light_share /= materials.get("defaults", "clear glass").typical("light_transmission")
    assert 0.8 * 4.6 <= lamp.typical("photons_per_joule") / light_share <= 1.1 * 5.0


# --- lids, windows, meters ------------------------------------------------------------------------------------------


def test_a_lid_passes_what_its_parts_pass() -> None:
    assert light.lid_passes(0.2, 0.0, 0.0, 0.6, 0.89) == pytest.approx(0.89)
    assert light.lid_passes(0.2, 0.2, 0.0, 0.6, 0.89) == 1.0
    assert light.lid_passes(0.2, 0.0, 0.2, 0.6, 0.0) == pytest.approx(0.6)
    assert light.lid_passes(0.2, 0.05, 0.1, 0.6, 0.8) == pytest.approx((0.05 + 0.06 + 0.04) / 0.2)


def test_a_window_gives_its_three_numbers_and_less_further_in() -> None:
    window = materials.get("defaults", "window")
    one, three = window.typical("share_1_m"), window.typical("share_3_m")
    at = lambda d: light.window_light(d, 20.0, one, three)  # noqa: E731
    assert [at(d) for d in (0.0, 1.0, 3.0)] == pytest.approx([20.0, 20.0 * one, 20.0 * three])
    assert at(1.0 - 1e-9) == pytest.approx(at(1.0 + 1e-9), rel=1e-6)
    assert np.all(np.diff([at(d) for d in np.linspace(0.0, 12.0, 60)]) < 0.0)
    assert window["share_3_m"].high <= window["share_1_m"].low  # any draw of the two falls inwards


def test_the_day_begins_and_ends_in_the_dark_and_peaks_between() -> None:
    at = lambda hour: light.day_course(hour, 6.0, 20.0)  # noqa: E731
    assert [at(hour) for hour in (0.0, 6.0, 20.0, 24.0)] == [0.0] * 4
    assert at(13.0) == pytest.approx(1.0)
    assert at(9.0) == pytest.approx(at(17.0))
    assert quad(at, 6.0, 20.0)[0] / 14.0 == pytest.approx(2.0 / math.pi)


def test_seasons_give_longer_and_brighter_days_towards_summer_within_their_ranges() -> None:
    seasons = [materials.get("defaults", f"{season} daylight") for season in ("winter", "spring or autumn", "summer")]
    for name, sign in (("factor", 1.0), ("rises", -1.0), ("sets", 1.0)):
        assert np.all(np.diff([sign * season.typical(name) for season in seasons]) > 0.0)
    assert all(season["rises"].high < season["sets"].low for season in seasons)


@given(lit=between(0.0, 3000.0), each=between(20.0, 120.0))
def test_a_reading_turned_into_light_and_back_is_the_reading(lit: float, each: float) -> None:
    assert light.light_of_lux(light.lux_of_light(lit, each), each) == pytest.approx(lit, rel=1e-12)


# --- roots ----------------------------------------------------------------------------------------------------------


def test_lack_of_air_leaves_a_share_and_a_root_that_needs_none_all() -> None:
    air = np.linspace(-0.01, 0.4, 83)
    ours = [roots.wet_target(a, 0.1, 0.4) for a in air]
    np.testing.assert_allclose(ours, np.interp(air, [0.05, 0.1], [0.4, 1.0]), atol=1e-12)
    assert all(roots.wet_target(a, 0.0, 0.4) == 1.0 for a in air)
    assert all(roots.wet_target(a, 0.1, 1.0) == 1.0 for a in air)


def test_a_share_follows_its_target_as_an_integrator_says() -> None:
    for now, target, slow in ((1.0, 0.4, 1.5), (0.4, 0.9, 8.0)):
        run = solve_ivp(lambda t, s, g=target, d=slow: (g - s) / d, (0.0, 4.0), [now], rtol=1e-10, atol=1e-12)
        ours = roots.follow(now, target, 4.0 * DAY_S, 1.5 * DAY_S, 8.0 * DAY_S)
        assert ours == pytest.approx(run.y[0, -1], rel=1e-8)


@given(now=between(0.0, 1.0), target=between(0.0, 1.0), step=between(0.0, 1e7), parts=st.integers(1, 7))
def test_steps_of_any_length_come_to_one_answer(now: float, target: float, step: float, parts: int) -> None:
    """And stay between where the share is and where it goes."""
    whole = roots.follow(now, target, step, DAY_S, 10.0 * DAY_S)
    share = now
    for _ in range(parts):
        share = roots.follow(share, target, step / parts, DAY_S, 10.0 * DAY_S)
    assert share == pytest.approx(whole, abs=1e-12)
    assert min(now, target) - 1e-15 <= whole <= max(now, target) + 1e-15


def test_a_time_of_nothing_is_at_once_and_roots_fall_faster_than_they_mend() -> None:
    assert roots.follow(1.0, 0.5, 1.0, 0.0, 0.0) == 0.5
    assert roots.follow(1.0, 0.5, 0.0, 0.0, 0.0) == 1.0
    for kind in KINDS:
        row = materials.get("plants", kind)
        assert row.typical("wet_days_to_fall") < row.typical("wet_days_to_recover"), kind
