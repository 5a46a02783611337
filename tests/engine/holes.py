"""Openings built by hand, for tests of the network that joins them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.engine.network import FAN, GIVEN, LEVEL, UPRIGHT, exchanged
from terralab.engine.tables import OPENING
from terralab.jit import COMPILED
from terralab.physics.constants import GRAVITY
from terralab.physics.openings import AIR_DENSITY, bare_loss

SMOOTH = 1e-9  # Pa s/m: so little friction at the rim that the printed laws without any are met
UNMIXED = 1e-15  # m2/s: no diffusion


def opening(
    bottom: float,
    top: float,
    area: float,
    kind: float = UPRIGHT,
    discharge: float = 0.61,
    viscous: float = SMOOTH,
    push: float = 0.0,
    inertial: float | None = None,
    zone: int = 0,
    draught: float = 0.0,
    column: float | None = None,
) -> tuple[float, ...]:
    """One row of OPENING: edges [m], area [m2], losses, push and draught [Pa, outwards], and the zone it opens to.

    `column` [m] of a level one is what turns over in it, a ninth of its diameter where none is given.
    """
    loss = bare_loss(discharge) if inertial is None else inertial
    row = np.zeros(1, OPENING)[0]
    row["kind"], row["bottom"], row["top"], row["area"], row["full"] = kind, bottom, top, area, area
    row["rim"] = min(loss, bare_loss(discharge))
    row["turning"] = 0.11 * np.sqrt(4.0 * area / np.pi) if column is None else column
    row["viscous"], row["inertial"], row["push"], row["draught"], row["zone"] = viscous, loss, push, draught, zone
    return tuple(row.item())


def hole(height: float, area: float, **more: float) -> tuple[float, ...]:
    """A hole in a wall whose own height does not count."""
    return opening(height, height + 1e-6, area, **more)


def lid(height: float, area: float, **more: float) -> tuple[float, ...]:
    """A level opening."""
    return opening(height, height, area, kind=LEVEL, **more)


def fan(height: float, area: float, viscous: float, push: float, **more: float) -> tuple[float, ...]:
    """A fan that follows a straight curve, without mesh."""
    return opening(height, height, area, kind=FAN, viscous=viscous, push=push, inertial=0.0, **more)


def given(flow: float) -> tuple[float, ...]:
    """A fan that moves `flow` [m3/s] outwards, whatever stands against it."""
    row = np.array([opening(0.5, 0.5, 1.0, kind=GIVEN)], OPENING)[0]
    row["given"] = flow
    return tuple(row.item())


def rows_of(*openings: tuple[float, ...]) -> np.ndarray:
    """Rows of OPENING as the network takes them."""
    rows = np.array(list(openings), OPENING)
    return rows if COMPILED else rows.view(np.recarray)


def columns_of(lightness: float | Sequence[float], tops: Sequence[float] = ()) -> np.ndarray:
    """Column [Pa/m] and offset [Pa] of each zone by its lightness, from the ground up: pressure is one at every edge.

    `tops` [m] are the upper edges of all zones but the last.
    """
    weights = AIR_DENSITY * GRAVITY * np.atleast_1d(np.asarray(lightness, float))
    offsets = np.zeros(weights.size)
    for above in range(1, weights.size):
        # what the zone below has at its upper edge, the one above has at its lower
        offsets[above] = offsets[above - 1] + weights[above - 1] * tops[above - 1] - weights[above] * tops[above - 1]
    return np.column_stack([weights, offsets])


def through(columns: np.ndarray, rows: np.ndarray, diffusivity: float = UNMIXED) -> tuple[float, float, float, float]:
    """The network's answer; each row keeps what it lets out and in: (enters [m3/s], by fans [m3/s], pressures [Pa])."""
    return exchanged(columns, diffusivity, rows, 0.0, 0.0)


def passes(
    lightness: float | Sequence[float],
    *openings: tuple[float, ...],
    out: float = 0.0,
    into: float = 0.0,
    diffusivity: float = UNMIXED,
    tops: Sequence[float] = (),
) -> tuple[float, float, float]:
    """Air that enters [m3/s], what of it fans move, pressure at height nothing [Pa]; `out`, `into` [m3/s] are given flows."""
    fans = [given(flow) for flow in (out, -into) if flow != 0.0]
    enters, blown, pressure, _ = through(columns_of(lightness, tops), rows_of(*openings, *fans), diffusivity)
    return enters, blown, pressure
