"""Openings built by hand, for tests of the network that joins them."""

from __future__ import annotations

import numpy as np

from terralab.engine.network import FAN, LEVEL, UPRIGHT, exchanged
from terralab.engine.tables import OPENING
from terralab.jit import COMPILED
from terralab.physics.openings import bare_loss

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
) -> tuple[float, ...]:
    """One row of OPENING: edges [m], area [m2], losses and push [Pa, outwards]."""
    return kind, bottom, top, area, viscous, bare_loss(discharge) if inertial is None else inertial, push


def hole(height: float, area: float, **more: float) -> tuple[float, ...]:
    """A hole in a wall whose own height does not count."""
    return opening(height, height + 1e-6, area, **more)


def lid(height: float, area: float, **more: float) -> tuple[float, ...]:
    """A level opening."""
    return opening(height, height, area, kind=LEVEL, **more)


def fan(height: float, area: float, viscous: float, push: float) -> tuple[float, ...]:
    """A fan that follows a straight curve, without mesh."""
    return opening(height, height, area, kind=FAN, viscous=viscous, push=push, inertial=0.0)


def passes(
    lightness: float, *openings: tuple[float, ...], out: float = 0.0, into: float = 0.0, diffusivity: float = UNMIXED
) -> tuple[float, float, float]:
    """Air that enters [m3/s], what of it fans move, pressure at height nothing [Pa]."""
    rows = np.array(list(openings), OPENING)
    return exchanged(lightness, diffusivity, rows if COMPILED else rows.view(np.recarray), out, into, 0.0)
