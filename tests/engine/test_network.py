"""Openings under one pressure: laws over random networks, and what they mean for a keeper's box."""

from __future__ import annotations

import math
import warnings
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import terralab as tl
from terralab.describe.routine import Routine
from terralab.engine.fans import delivered, opening_rows
from terralab.engine.layout import Overrides
from terralab.engine.network import FAN, LEVEL, UPRIGHT, exchanged, flows_at
from terralab.engine.tables import OPENING
from terralab.jit import COMPILED, allocating
from terralab.physics import fan as fans
from terralab.physics.constants import GRAVITY
from terralab.physics.mesh import mesh_friction, screen_loss, screen_pair
from terralab.physics.openings import AIR_DENSITY, EDGE, bare_loss
from tests.engine.holes import fan, hole, lid, opening, passes

LEAST_GAIN = -1e-8  # of the exchange: the pressure is found to 1e-9
STILL = 1e-9  # m3/s, a lone hole passes no net flow but round-off
BARE = bare_loss(0.61)


@allocating
def drawn(trials, seed, rows, fewer):
    """Draw networks, take an opening away from each and widen another: (least gain, largest share left over).

    A gain is what the fuller network passes more, as a share of what the poorer one passes.
    """
    np.random.seed(seed)
    least = 1e9
    left = 0.0
    for _ in range(trials):
        n = np.random.randint(1, 7)
        light = (1.0 if np.random.random() < 0.5 else -1.0) * 10.0 ** np.random.uniform(-7.0, -0.8)
        for i in range(n):
            o = rows[i]
            o.area = 10.0 ** np.random.uniform(-5.0, -0.7)
            o.viscous = 0.002 if np.random.random() < 0.5 else 10.0 ** np.random.uniform(-2.7, 1.0)
            o.inertial = 1.6
            o.push = 0.0
            if np.random.random() < 0.35:
                o.kind = LEVEL
                o.bottom = o.top = 0.6
            else:
                o.kind = UPRIGHT
                o.bottom = np.random.uniform(0.0, 0.5)
                o.top = o.bottom + 10.0 ** np.random.uniform(-4.0, -0.5)
        if np.random.random() < 0.3:
            o = rows[n - 1]
            o.kind = FAN
            o.top = o.bottom
            o.viscous = 10.0 ** np.random.uniform(-1.0, 1.5)
            o.inertial = 0.0
            o.push = np.random.uniform(-20.0, 20.0)
        out = 10.0 ** np.random.uniform(-6.0, -2.5) if np.random.random() < 0.3 else 0.0
        into = 10.0 ** np.random.uniform(-6.0, -2.5) if np.random.random() < 0.3 else 0.0
        whole, _, pressure = exchanged(light, 1e-12, rows[:n], out, into, 0.0)
        leaves, enters, _, slope = flows_at(pressure, 1.19 * 9.80665 * light, rows[:n])
        round_off = 1e-15 * (abs(pressure) + 20.0) * slope  # of the pressure, and of a fan's push
        left = max(left, (abs(leaves + out - enters - into) - round_off) / max(STILL, leaves + out + enters + into))
        if n > 1:
            gone = np.random.randint(0, n)
            k = 0
            for i in range(n):
                if i != gone:
                    fewer[k] = rows[i]
                    k += 1
            part, _, _ = exchanged(light, 1e-12, fewer[:k], out, into, 0.0)
            least = min(least, (whole - part) / max(part, 1e-12))
        wide = np.random.randint(0, n)
        if rows[wide].kind != FAN:
            rows[wide].area *= 1.0 + np.random.random()
            more, _, _ = exchanged(light, 1e-12, rows[:n], out, into, 0.0)
            least = min(least, (more - whole) / max(whole, 1e-12))
    return least, left


def test_more_open_area_never_lowers_the_exchange() -> None:
    """200,000 networks of one to six openings and fans; one is taken away, another made up to twice as wide.

    In each, what leaves and what enters agree to 1e-9, or to what the last digit of the pressure is worth.
    """
    trials = 200_000 if COMPILED else 200
    least, left = drawn(trials, 2, np.zeros(6, OPENING), np.zeros(6, OPENING))
    assert least >= LEAST_GAIN
    assert left <= 1e-9


def test_flows_are_the_sum_over_every_height() -> None:
    """A network of slot, lid and fan against one that adds the flow of each centimetre by quadrature and a root finder."""
    light, mesh = 0.012, mesh_friction(0.2, BARE)
    column = AIR_DENSITY * GRAVITY * light
    slots = ((0.1, 0.4, 0.05, EDGE), (0.3, 0.33, 0.012, EDGE + mesh))

    def speed(x: float, a: float) -> float:
        return math.copysign((math.sqrt(a * a + 4.0 * BARE * abs(x)) - a) / (2.0 * BARE), x)

    def parts(p: float) -> tuple[float, float]:
        out = into = 0.0
        for bottom, top, area, a in slots:
            rest = min(top, max(bottom, -p / column))
            wide = area / (top - bottom)
            out += wide * quad(lambda z, a=a: max(0.0, speed(p + column * z, a)), rest, top)[0]
            into += wide * quad(lambda z, a=a: max(0.0, -speed(p + column * z, a)), bottom, rest)[0]
        return out, into

    at_rest = brentq(lambda p: parts(p)[0] + 0.002 - parts(p)[1], -1.0, 1.0, xtol=1e-15)
    ours, by_fan, pressure = passes(light, *(opening(b, t, a, viscous=v) for b, t, a, v in slots), out=0.002)
    assert pressure == pytest.approx(at_rest, rel=1e-7)
    assert ours == pytest.approx(parts(at_rest)[1], rel=1e-7)
    assert by_fan == 0.002


@pytest.mark.parametrize("openings", [(opening(0.1, 0.4, 0.15),), (hole(0.1, 0.01), hole(0.5, 0.002))])
def test_a_heavy_box_exchanges_like_a_light_one_turned_over(openings: tuple) -> None:
    for light in (1e-6, 1e-3, 0.03):
        assert passes(light, *openings)[0] == pytest.approx(passes(-light, *openings)[0], rel=1e-9)


def test_nothing_jumps_where_the_air_turns() -> None:
    """Small steps of lightness through nothing make small steps of the exchange, in a box with vent and meshed lid."""
    rows = [tuple(r.item()) for r in opening_rows(tl.load("fern-hollow").enclosure, Overrides())]
    course = np.linspace(-2e-4, 2e-4, 401)
    flows = np.array([passes(x, *rows)[0] for x in course])
    assert flows.min() >= 0.0
    assert np.abs(np.diff(flows)).max() < 0.03 * flows.max()


def test_a_patch_of_mesh_beside_an_open_hole_leaves_the_hole_open() -> None:
    """Each opening has its own mesh: the two together pass at least what the hole alone passes, and each its own."""
    mesh = EDGE + mesh_friction(0.2, BARE)
    bare, meshed = lid(0.6, 0.02, viscous=EDGE), lid(0.6, 0.05, viscous=mesh)
    both = passes(0.01, bare, meshed)[0]
    assert both == pytest.approx(passes(0.01, bare)[0] + passes(0.01, meshed)[0], rel=1e-9)
    assert passes(0.01, lid(0.6, 0.05, viscous=EDGE))[0] > 3.0 * passes(0.01, meshed)[0]


def test_a_mesh_passes_its_factor_where_it_is_said_to() -> None:
    """3 K of warmth over 20 cm; a mesh brakes a weak draught more than a strong one."""
    share = lambda x, f: (  # noqa: E731
        passes(x, hole(0.0, 0.01, viscous=mesh_friction(f, BARE)), hole(0.4, 0.01, viscous=mesh_friction(f, BARE)))[0]
        / passes(x, hole(0.0, 0.01), hole(0.4, 0.01))[0]
    )
    for factor in (0.05, 0.2, 0.6):
        assert share(0.01, factor) == pytest.approx(factor, rel=0.01)
        assert share(0.001, factor) < share(0.01, factor) < share(0.05, factor)


@pytest.mark.parametrize("way", [1.0, -1.0])
@pytest.mark.parametrize("porosity", [0.35, 0.55, 0.68])
def test_a_fan_behind_mesh_moves_what_its_curve_and_the_screens_law_leave(porosity: float, way: float) -> None:
    """The straight curve against the screen's own law, by a root finder: the fitted pair of losses errs by up to 2 %."""
    face, free, most = 0.0024, 0.003, 12.0
    hold = 0.5 * AIR_DENSITY / 0.61**2

    def left(q: float) -> float:
        before = 0.5 * AIR_DENSITY * (q / face) ** 2 * screen_loss(q / face, porosity, 0.00025)
        return most * (1.0 - q / free) - before - hold * (q / 0.012) ** 2

    viscous, inertial = screen_pair(porosity, 0.00025)
    row = opening(
        0.5,
        0.5,
        face,
        kind=FAN,
        viscous=viscous + fans.blowing_loss(free, most, face),
        push=way * most,
        inertial=inertial,
    )
    moved, by_fan, _ = passes(0.0, hole(0.1, 0.012), row)
    assert moved == pytest.approx(by_fan)
    assert moved == pytest.approx(brentq(left, 1e-6, free), rel=0.02)


def test_a_fan_without_a_way_moves_nothing() -> None:
    assert passes(0.01, fan(0.5, 0.0024, 1.0, 12.0))[0] == pytest.approx(0.0, abs=1e-12)
    with pytest.warns(tl.TerralabWarning, match="moves nothing"):
        shut = tl.load("fern-hollow").change(
            **{"enclosure.openings.lid.covered": "100 %", "enclosure.openings.front vent.covered": "100 %"}
        )
    assert delivered(shut.routine.fans[0], shut.enclosure, Overrides()) == 0.0


def quiet(box: tl.Box, **changes: object) -> tl.Record:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.simulate(box.change(**changes), 2)


def air_changes(record: tl.Record) -> float:
    """Mean of the second day [1/h]."""
    rows = record.rows(1, 2)
    return float(record.raw.flow["air_exchanged"][rows].sum() / record.raw.constants["air_mass"] / 24.0)


def test_closing_the_last_gap_of_a_lid_changes_next_to_nothing() -> None:
    """A front vent of 55 by 15 cm under a lid covered to 99.9 and to 100 %: the same air, and on the way there never drier."""
    box = tl.load("fern-hollow")
    vent = {
        f"enclosure.openings.front vent.{k}": v for k, v in {"width": "55 cm", "height": "15 cm", "mesh": False}.items()
    }
    records = [quiet(box, **vent, **{"enclosure.openings.lid.covered": c}) for c in (0.5, 0.9, 0.99, 0.999, 1.0)]
    humid = [record.relative_humidity[record.rows(1, 2)].mean() for record in records]
    assert humid == sorted(humid)
    assert humid[-1] - humid[-2] < 0.2
    assert air_changes(records[-1]) == pytest.approx(air_changes(records[-2]), rel=0.01)


def test_a_small_hole_above_an_open_door_does_not_shut_the_door() -> None:
    box = tl.load("fern-hollow")
    door = {"name": "door", "wall": "front", "width": "50 cm", "height": "30 cm", "bottom": "20 cm", "mesh": False}
    pin = {"name": "pin", "wall": "lid", "width": "1 cm", "height": "1 cm", "mesh": False}
    alone, with_hole = (air_changes(quiet(box, **{"enclosure.openings": rows})) for rows in ([door], [door, pin]))
    assert alone > 40.0
    assert with_hole == pytest.approx(alone, rel=0.01)


def test_boxes_of_every_kind_exchange_more_with_a_further_opening() -> None:
    """Whole boxes at rest, each with an opening more than before: slots, meshed patches, holes, high and low."""
    box = tl.load("fern-hollow")
    added = [
        {"name": "a", "wall": "front", "width": "30 cm", "height": "2 cm", "bottom": "20 cm", "mesh": True},
        {"name": "b", "wall": "lid", "width": "2 cm", "height": "2 cm", "mesh": False},
        {"name": "c", "wall": "left", "width": "10 cm", "height": "20 cm", "bottom": "30 cm", "mesh": False},
        {"name": "d", "wall": "lid", "width": "30 cm", "height": "20 cm", "mesh": True},
        {"name": "e", "wall": "back", "width": "5 cm", "height": "5 cm", "bottom": "54 cm", "mesh": False},
    ]
    calm = replace(box, routine=Routine())
    for light in (-0.01, 0.003, 0.02):
        before = 0.0
        for n in range(1, len(added) + 1):
            rows = opening_rows(calm.change(**{"enclosure.openings": added[:n]}).enclosure, Overrides())
            now = passes(light, *(tuple(r.item()) for r in rows), diffusivity=2.5e-5)[0]
            assert now >= before * (1.0 + LEAST_GAIN)
            before = now
