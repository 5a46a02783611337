"""The star of heat radiation against closed view factors, and a lamp's cone: geometry, limits, heat kept whole."""

from __future__ import annotations

import math

import numpy as np
import pytest

from terralab.physics import basking, radiant


def opposite(a: float, b: float, apart: float) -> float:
    """View factor of two equal rectangles face to face (Incropera & DeWitt 2002, Table 13.2)."""
    x, y = a / apart, b / apart
    p, q = math.sqrt(1.0 + x * x), math.sqrt(1.0 + y * y)
    inner = math.log(p * q / math.sqrt(1.0 + x * x + y * y)) + x * q * math.atan(x / q) + y * p * math.atan(y / p)
    return 2.0 / (math.pi * x * y) * (inner - x * math.atan(x) - y * math.atan(y))


def corner(own: float, other: float, edge: float) -> float:
    """View factor of a rectangle own x edge to one of other x edge at right angles (Incropera & DeWitt 2002, Table 13.2)."""
    w, h = own / edge, other / edge
    w2, h2, s = w * w, h * h, w * w + h * h
    logs = (
        math.log((1.0 + w2) * (1.0 + h2) / (1.0 + s))
        + w2 * math.log(w2 * (1.0 + s) / ((1.0 + w2) * s))
        + h2 * math.log(h2 * (1.0 + s) / ((1.0 + h2) * s))
    )
    arcs = w * math.atan(1.0 / w) + h * math.atan(1.0 / h) - math.sqrt(s) * math.atan(1.0 / math.sqrt(s))
    return (arcs + 0.25 * logs) / (math.pi * w)


def box(width: float, depth: float, height: float) -> tuple[np.ndarray, np.ndarray]:
    """Areas of floor, lid, front, back, left, right, and their view factors."""
    area = np.array([width * depth] * 2 + [width * height] * 2 + [depth * height] * 2)
    spans = ((width, depth, height), (width, height, depth), (depth, height, width))
    seen = np.zeros((6, 6))
    for i, (a, b, apart) in enumerate(spans):
        seen[2 * i, 2 * i + 1] = seen[2 * i + 1, 2 * i] = opposite(a, b, apart)
    for floor in (0, 1):
        seen[floor, 2:4] = corner(depth, height, width)
        seen[floor, 4:6] = corner(width, height, depth)
    for upright in (2, 3):
        seen[upright, 4:6] = corner(width, depth, height)
    for i in range(6):
        for j in range(i):
            if seen[i, j] == 0.0 and i != j:
                seen[i, j] = seen[j, i] * area[j] / area[i]
    return area, seen


def pairs(areas) -> np.ndarray:
    """What each surface of a star gives to each other, over its area: to be held against view factors."""
    legs = radiant.star(areas)
    return legs[:, None] * legs[None, :] / legs.sum() / np.asarray(areas)[:, None] * (1.0 - np.eye(len(legs)))


@pytest.mark.parametrize("sides", [(1.0, 1.0, 1.0), (1.0, 1.0, 0.5), (0.6, 0.45, 0.42), (0.9, 0.45, 0.45)])
def test_the_view_factors_of_a_closed_box_add_up(sides) -> None:
    """The closed forms themselves, so that what the star is held against is right."""
    _, seen = box(*sides)
    assert seen.sum(axis=1) == pytest.approx(np.ones(6), abs=1e-9)


@pytest.mark.parametrize(
    ("sides", "misfit"),
    [((1.0, 1.0, 1.0), 0.0002), ((1.0, 1.0, 0.5), 0.036), ((0.6, 0.45, 0.42), 0.019), ((0.9, 0.45, 0.45), 0.03)],
)
def test_a_star_gives_the_view_factors_of_a_box(sides, misfit) -> None:
    """Largest misfit of a share, Carroll 1980 against the closed forms: measured, a cube 0.02 points, a flat box 3.6."""
    area, seen = box(*sides)
    found = pairs(area)
    assert found.sum(axis=1) == pytest.approx(np.ones(6), abs=1e-9)
    assert np.abs(found - seen).max() <= misfit


def test_without_its_factors_a_star_would_give_a_sixth_too_little() -> None:
    """Legs of the bare areas: a surface of a cube then reaches 5/6 of what leaves it, its own self takes the rest."""
    legs = np.ones(6)
    reaches = (legs[0] * legs[1:] / legs.sum()).sum()
    assert reaches == pytest.approx(5.0 / 6.0)
    assert pairs(legs).sum(axis=1) == pytest.approx(np.ones(6))


@pytest.mark.parametrize("seed", range(40))
def test_what_leaves_a_surface_comes_to_its_area(seed: int) -> None:
    """The condition itself, F = 1/(1 - A F / sum), for random sets, some with one surface near half of all."""
    draw = np.random.default_rng(seed)
    areas = np.sort(10.0 ** draw.uniform(-3.0, 1.0, draw.integers(3, 15)))
    others = areas[:-1].sum()
    areas[-1] = areas[-2] + (0.9999 * others - areas[-2]) * draw.uniform()  # from level with the next to just below all
    legs = radiant.star(areas)
    share = legs / legs.sum()
    assert legs * (1.0 - share) == pytest.approx(areas, rel=2e-3)
    if (legs < 0.999 * radiant.MOST * areas).all():
        assert legs * (1.0 - share) == pytest.approx(areas, rel=1e-10)
        assert legs / areas == pytest.approx(1.0 / (1.0 - share), rel=1e-10)
    order = draw.permutation(len(areas))
    assert radiant.star(areas[order]) == pytest.approx(legs[order], rel=1e-9)


def between(areas, one: int, other: int) -> float:
    """Area that carries heat between two surfaces when no other is there."""
    legs = radiant.star(areas)
    return legs[one] * legs[other] / legs.sum()


def test_small_things_in_one_envelope_see_all_of_it() -> None:
    """A dish under a glass bell, two dishes under one, two panes face to face: own area, own areas, one area."""
    assert between([0.02, 3.0], 0, 1) == pytest.approx(0.02, rel=1e-3)
    small = radiant.star([0.02, 0.05, 3.0])
    assert small[:2] == pytest.approx([0.02, 0.05], rel=1e-3)
    assert between([0.4, 0.4], 0, 1) == pytest.approx(0.4, rel=2e-3)


def test_growing_into_an_envelope_has_no_step() -> None:
    """One surface passes the sum of all others: no leg of theirs jumps, nor what any two exchange."""
    before, after = (radiant.star([0.3, 0.2, 0.5 * (1.0 + d)]) for d in (-1e-7, 1e-7))
    assert before[:2] == pytest.approx(after[:2], rel=2e-3)
    exchange = lambda y: y[0] * y[1:] / y.sum()  # noqa: E731
    assert exchange(before) == pytest.approx(exchange(after), rel=2e-3)


def test_a_surface_without_area_is_none() -> None:
    assert radiant.star([0.0, 1.0, 1.0, 1.0]) == pytest.approx([0.0, *radiant.star([1.0, 1.0, 1.0])])
    assert list(radiant.star([0.0, 0.0])) == [0.0, 0.0]
    assert radiant.star([]).size == 0


def test_a_cone_widens_with_the_square_of_distance_and_keeps_its_power() -> None:
    """At 45 degrees its radius is the distance; a place that is so many times as large takes the same, however far."""
    assert basking.lit_area(0.3, 45.0) == pytest.approx(math.pi * 0.09)
    assert basking.lit_area(0.6, 20.0) == pytest.approx(4.0 * basking.lit_area(0.3, 20.0))
    near, far = (basking.share_on(0.3 * basking.lit_area(d, 18.0), d, 18.0) for d in (0.1, 1.0))
    assert near == pytest.approx(far)


def test_a_patch_takes_half_of_the_beam_within_the_printed_cone_and_never_more_than_all() -> None:
    lit = basking.lit_area(0.25, 20.0)
    shares = [basking.share_on(x * lit, 0.25, 20.0) for x in (0.0, 1.0, 2.0, 200.0)]
    assert shares == pytest.approx([0.0, 0.5, 0.75, 1.0])
    assert basking.share_on(1e-6 * lit, 0.25, 20.0) == pytest.approx(1e-6 * math.log(2.0), rel=1e-5)


def test_a_printed_beam_angle_ends_at_half_of_the_brightness_of_its_middle() -> None:
    """Half of a bell-shaped beam falls beside the printed cone, and a place in its middle takes as much as the sum says.

    Intensity over a level place as exp(-ln 2 (r/R)^2), R where it has fallen to a half.
    """
    within = 1.0 - 0.5
    edge, power = 20.0, 50.0
    radius = math.sqrt(basking.lit_area(0.3, edge) / math.pi)
    peak = power * math.log(2.0) / (math.pi * radius * radius)
    r = np.linspace(0.0, radius, 20001)
    caught = np.trapezoid(peak * np.exp(-math.log(2.0) * (r / radius) ** 2) * 2.0 * math.pi * r, r)
    assert caught / power == pytest.approx(within, rel=1e-6)
    assert basking.share_on(math.pi * radius * radius, 0.3, edge) == pytest.approx(caught / power, rel=1e-6)
    assert peak / (power / basking.lit_area(0.3, edge)) == pytest.approx(math.log(2.0))
