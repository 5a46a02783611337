"""Named meshes as rows of the openings: they have the loss of their law, and the guess of an unknown mesh is not asked."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab import materials
from terralab.engine.fans import delivered, opening_rows
from terralab.engine.layout import Overrides
from terralab.physics.mesh import mesh_friction, screen_pair, sheet_pair
from terralab.physics.openings import EDGE, bare_loss
from terralab.uncertainty.inputs import uncertain_inputs
from terralab.uncertainty.overrides import changed
from terralab.uncertainty.sampling import ensemble as sampled
from tests.engine.holes import passes

BARE = bare_loss(0.61)
LID, VENT = "enclosure.openings.lid", "enclosure.openings.front vent"
KINDS = materials.names("meshes")


@pytest.fixture(scope="module")
def fern() -> tl.Box:
    """The humid demo with meshes that nobody named; its own are named."""
    return tl.load("fern-hollow").change(**{f"{LID}.mesh": True, f"{VENT}.mesh": True})


def losses(box: tl.Box) -> list[tuple[float, float]]:
    """Viscous and inertial loss of lid and vent."""
    return [(float(row["viscous"]), float(row["inertial"])) for row in opening_rows(box.enclosure, Overrides())]


def fresh(box: tl.Box, choice: dict[str, float | str] | None = None) -> float:
    """Air that passes vent and lid while the box is 1 % lighter than the room [m3/s]."""
    rows = opening_rows(box.enclosure, Overrides(choice or {}))
    return passes(0.01, *(tuple(row.item()) for row in rows))[0]


def test_a_mesh_that_nobody_named_and_a_bare_gap_are_what_they_were(fern):
    meshed = (EDGE + mesh_friction(0.2, BARE), BARE)
    assert losses(fern) == [meshed, meshed]
    assert losses(fern.change(**{f"{LID}.mesh": False})) == [(EDGE, BARE), meshed]


def test_a_named_mesh_has_the_losses_of_its_law(fern):
    named = fern.change(**{f"{LID}.mesh": "window screen", f"{VENT}.mesh": "perforated sheet"})
    woven, punched = screen_pair(0.66, 0.28e-3), sheet_pair(0.33, 3e-3, 0.8e-3)
    for row, pair in zip(losses(named), (woven, punched), strict=True):
        assert row == pytest.approx((EDGE + pair[0], BARE + pair[1]), rel=1e-12)
    off = opening_rows(named.enclosure, Overrides({"mesh law.factor": 1.5}))
    assert float(off[0]["viscous"]) == pytest.approx(EDGE + 1.5 * woven[0])
    assert float(off[1]["inertial"]) == pytest.approx(BARE + 1.5 * punched[1])


def test_own_numbers_outrank_those_of_the_kind(fern):
    share, thread = {f"{LID}.open_share": 0.4}, {f"{LID}.thread": "0.5 mm"}
    kind = {f"{LID}.mesh": "window screen"}
    for changes, pair in (
        (kind | share, screen_pair(0.4, 0.28e-3)),
        (kind | thread, screen_pair(0.66, 0.5e-3)),
        (share | thread, screen_pair(0.4, 0.5e-3)),
        ({f"{LID}.mesh": "perforated sheet"} | share, sheet_pair(0.4, 3e-3, 0.8e-3)),
    ):
        assert losses(fern.change(**changes))[0] == pytest.approx((EDGE + pair[0], BARE + pair[1]), rel=1e-12)


def test_finer_meshes_pass_less_and_none_passes_more_than_a_hole(fern):
    each = {kind: fresh(fern.change(**{f"{LID}.mesh": kind, f"{VENT}.mesh": kind})) for kind in (*KINDS, False)}
    order = ["fine insect mesh", "window screen", "metal lid mesh", "coarse wire mesh", False]
    assert sorted(order, key=each.get) == order
    assert each["fine insect mesh"] < each["perforated sheet"] < each["coarse wire mesh"]


def test_what_is_known_of_a_mesh_takes_the_place_of_the_guess(fern):
    keys = lambda box: {one.key for one in uncertain_inputs(box)}  # noqa: E731
    guess, law = "mesh exchange.factor", "mesh law.factor"
    assert guess in keys(fern)
    assert law not in keys(fern)
    half = fern.change(**{f"{LID}.mesh": "window screen"})
    assert {guess, law, "window screen.open_share", "window screen.thread_mm"} <= keys(half)
    full = half.change(**{f"{VENT}.open_share": 0.5, f"{VENT}.thread": "0.2 mm"})
    assert guess not in keys(full)
    assert {law, "window screen.open_share", "box.enclosure.openings.1.open_share"} <= keys(full)
    counted = full.change(**{f"{LID}.mesh": True, f"{LID}.open_share": 0.6, f"{LID}.thread": "0.3 mm"})
    assert not {key for key in keys(counted) if key.startswith(("window screen", guess))}
    assert guess not in keys(fern.change(**{f"{LID}.mesh": False, f"{VENT}.mesh": False}))


@pytest.mark.parametrize("kind", KINDS)
def test_a_named_mesh_is_surer_than_the_guess(kind, fern):
    """80 of 100 draws lie closer together, as ratios of the air that passes, and what is typed by eye is drawn too."""

    def spread(box: tl.Box) -> float:
        air = []
        for choice in sampled(box, 64).overrides:
            drawn = changed(box, choice)
            own = {key: value for key, value in choice.items() if not key.startswith(("box.", "room."))}
            air.append(fresh(drawn, own))
        low, high = np.quantile(air, [0.1, 0.9])
        return high / low

    named = fern.change(**{f"{LID}.mesh": kind, f"{VENT}.mesh": kind})
    assert spread(named) < 0.8 * spread(fern)


def test_a_fan_behind_a_named_mesh_blows_against_its_law(fern):
    fan = [
        {
            "name": "f",
            "mode": "exchange",
            "free_flow": "20 m3/h",
            "shut_off": "15 Pa",
            "opening": "lid",
            "timer": "always",
        }
    ]
    moved = [
        delivered(box.routine.fans[0], box.enclosure, Overrides())
        for kind in ("fine insect mesh", "window screen", "coarse wire mesh", False)
        for box in [fern.change(**{"routine.fans": fan, f"{LID}.mesh": kind})]
    ]
    assert moved == sorted(moved)
    assert moved[0] < 0.97 * moved[-1]
