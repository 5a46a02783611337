"""Losses of woven screens and of sheets with holes: laws, closed forms, and another library."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from fluids.filters import round_edge_open_mesh, square_edge_screen

from terralab import materials
from terralab.physics import mesh, openings
from terralab.physics.constants import AIR_VISCOSITY

DYNAMIC = openings.AIR_DENSITY * AIR_VISCOSITY  # Pa s
WOVEN = [name for name in materials.names("meshes") if "thread_mm" in materials.get("meshes", name)]


def test_a_screen_is_a_viscous_brake_at_low_speed() -> None:
    """Pressure goes as speed there, not as its square: ten times slower, about ten times less pressure."""
    drop = lambda u: u * u * mesh.screen_loss(u, 0.5, 0.0002)  # noqa: E731
    assert 9.0 < drop(0.01) / drop(0.001) < 14.0


@pytest.mark.parametrize("name", WOVEN)
@pytest.mark.parametrize("end", ["low", "typical", "high"])
def test_two_losses_stand_for_every_screen_of_the_table(name: str, end: str) -> None:
    """Fitted once, within 3.7 % of the screen's law from 5 mm/s to 0.6 m/s, at both ends of what the table gives."""
    numbers = materials.get("meshes", name)
    porosity, thread = getattr(numbers["open_share"], end), getattr(numbers["thread_mm"], end) / 1000.0
    a, b = mesh.screen_pair(porosity, thread)
    for u in np.geomspace(0.005, 0.6, 23):
        drop = 0.5 * openings.AIR_DENSITY * u * u * mesh.screen_loss(u, porosity, thread)
        assert a * u + b * u * u == pytest.approx(drop, rel=0.038)


def test_what_is_all_open_has_no_loss() -> None:
    assert mesh.screen_pair(1.0, 0.00025) == mesh.sheet_pair(1.0, 0.003, 0.001) == (0.0, 0.0)


@pytest.mark.parametrize("pair", [lambda p: mesh.screen_pair(p, 0.00025), lambda p: mesh.sheet_pair(p, 0.003, 0.0008)])
def test_the_more_is_open_the_less_is_lost(pair) -> None:
    losses = np.array([pair(p) for p in np.linspace(0.1, 0.95, 30)])
    assert (np.diff(losses, axis=0) < 0.0).all()


@pytest.mark.parametrize(("porosity", "limit"), [(0.3, 0.45), (0.5, 0.35), (0.7, 0.35)])
def test_a_screen_at_high_speed_agrees_with_another_library(porosity: float, limit: float) -> None:
    """fluids, round wire mesh (Blevins 1984): K = 0.95 (1 - p) + 0.2 (1 - p)^2 on the velocity in the pores.

    Re 500 is its lower end. The two correlations are fitted to other screens and differ by up to 45 %; a factor of
    two in K is 1.4 in the flow through the screen alone, and less with the fan and the openings in series.
    """
    thread = 0.0003
    speed = 500.0 * AIR_VISCOSITY * porosity / thread
    other = round_edge_open_mesh(porosity, subtype="round bar screen") / porosity**2
    assert mesh.screen_loss(speed, porosity, thread) == pytest.approx(other, rel=limit)


@pytest.mark.parametrize("porosity", [0.1, 0.2, 0.3, 0.4, 0.5, 0.6])
def test_a_sheet_with_holes_at_high_speed_agrees_with_another_library(porosity: float) -> None:
    """fluids, perforated plate with square edges (Blevins 1984, a table): the loss in velocity heads within 18 %."""
    _, inertial = mesh.sheet_pair(porosity, 0.003, 0.0008)
    assert inertial / (0.5 * openings.AIR_DENSITY) == pytest.approx(square_edge_screen(porosity), rel=0.18)


@pytest.mark.parametrize("radius", [0.0005, 0.0015, 0.004])
def test_slow_air_through_holes_keeps_the_exact_limits(radius: float) -> None:
    """An endlessly thin sheet is Sampson's orifice, a thick one a bundle of pipes (Hagen-Poiseuille), both exact."""
    porosity = 0.3
    through_one = math.pi * radius**2 / porosity  # m3/s through one hole, of air that comes up at 1 m/s
    thin, _ = mesh.sheet_pair(porosity, 2.0 * radius, 0.0)
    assert thin == pytest.approx(3.0 * DYNAMIC * through_one / radius**3, rel=1e-12)
    thick, _ = mesh.sheet_pair(porosity, 2.0 * radius, 1.0)
    assert thick == pytest.approx(8.0 * DYNAMIC * through_one / (math.pi * radius**4), rel=0.01)


def test_few_holes_of_a_sheet_lose_as_much_as_a_hole_with_sharp_edges() -> None:
    """Far apart each hole is one by itself: as the bare loss with the shipped share of the ideal flow, within 10 %."""
    sparse = 0.002
    _, inertial = mesh.sheet_pair(sparse, 0.003, 0.0005)
    alone = openings.bare_loss(materials.get("defaults", "discharge coefficient").typical("factor")) / sparse**2
    assert inertial == pytest.approx(alone, rel=0.1)


def test_an_unknown_mesh_passes_its_share_at_the_pressure_where_it_was_tried() -> None:
    bare = openings.bare_loss(0.61)
    for factor in (0.05, 0.2, 0.6, 0.99):
        through = openings.speed(mesh.TRIED_AT, mesh.mesh_friction(factor, bare), bare)
        assert through == pytest.approx(factor * openings.speed(mesh.TRIED_AT, 0.0, bare), rel=1e-9)
    assert mesh.mesh_friction(1.0, bare) == 0.0
    assert mesh.mesh_friction(0.0, bare) == math.inf


def test_the_page_on_meshes_lists_what_the_table_gives() -> None:
    """Open share, both losses and the share of a bare hole that passes, of every kind at its typical numbers."""
    page = (Path(__file__).parents[2] / "reference" / "equations" / "mesh.md").read_text(encoding="utf-8")
    listed = dict(re.findall(r"^\| ([a-z ]+) \| (\d+ % \|.*) \|$", page, flags=re.MULTILINE))
    assert set(listed) == set(materials.names("meshes"))
    bare = openings.bare_loss(materials.get("defaults", "discharge coefficient").typical("factor"))
    for name, row in listed.items():
        number = materials.get("meshes", name).typical
        if name in WOVEN:
            a, b = mesh.screen_pair(number("open_share"), number("thread_mm") / 1e3)
        else:
            a, b = mesh.sheet_pair(number("open_share"), number("hole_mm") / 1e3, number("sheet_mm") / 1e3)
        passed = openings.speed(mesh.TRIED_AT, openings.EDGE + a, bare + b)
        share = passed / openings.speed(mesh.TRIED_AT, openings.EDGE, bare)
        printed = [float(text) for text in re.findall(r"[\d.]+", row)]
        assert printed == pytest.approx([100.0 * number("open_share"), a, b, share], abs=0.0051), name
