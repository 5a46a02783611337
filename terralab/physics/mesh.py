"""Mesh before an opening as two more losses: woven screens, perforated sheets, and a mesh nobody has measured. SI units.

`viscous` [Pa s/m] goes in step with the speed of the air that comes up to the mesh, `inertial` [Pa s2/m2] with its
square. A number that cannot be (below 0, a share above 1, NaN) gives NaN.
"""

import math
from functools import lru_cache

import numpy as np

from terralab.jit import kernel
from terralab.physics.constants import AIR_VISCOSITY
from terralab.physics.openings import AIR_DENSITY

SLOWEST, FASTEST = 0.005, 0.6  # m/s, the speeds at which `screen_pair` holds
TRIED_AT = 0.0233  # Pa, air 1 % lighter (3 K) over 20 cm: where a mesh passes its `factor` of the bare flow


def screen_loss(speed, porosity, thread):
    """Loss of a woven screen in velocity heads [-] at the `speed` [m/s] with which air comes up to it.

    K = (18/Re + 0.75/log10(Re + 1.25) + 0.055 log10 Re) (1 - p^2)/p^2, Re = speed thread/(p viscosity). `porosity` p
    is the open share (0 to 1), `thread` its thickness [m]. Re up to 1000. At the low end K goes as 1/speed: the
    screen is a viscous brake. Form of Bailey, Montero, Perez Parra, Robertson, Baeza & Kamaruddin 2003, Biosystems
    Engineering 86:217-229 (from memory). Held against the wind tunnel of Lopez and others 2016 in the tests: it is
    within 30 % of the measured discharge coefficients, which themselves differ 1.6-fold at the same porosity.
    """
    if not (speed >= 0.0 and 0.0 < porosity <= 1.0 and thread > 0.0):
        return math.nan
    reynolds = max(1e-6, speed * thread / (porosity * AIR_VISCOSITY))
    shape = (1.0 - porosity * porosity) / (porosity * porosity)
    viscous = 18.0 / reynolds + 0.75 / math.log10(reynolds + 1.25)
    return (viscous + 0.055 * math.log10(reynolds)) * shape


def screen_pair(porosity, thread):
    """Viscous [Pa s/m] and inertial [Pa s2/m2] loss of a woven screen, fitted once to `screen_loss`.

    Least squares of the relative misfit over 0.005 to 0.6 m/s; the largest is 3.7 % for threads up to 1.1 mm. An open
    share of 1 has no loss.
    """
    if not (0.0 < porosity <= 1.0 and thread > 0.0):
        return math.nan, math.nan
    if porosity == 1.0:
        return 0.0, 0.0
    return _fitted(float(porosity), float(thread))


@lru_cache(64)
def _fitted(porosity: float, thread: float) -> tuple[float, float]:
    """`screen_pair` of a screen that can be; the draws of a range ask for the same few again and again."""
    speeds = np.geomspace(SLOWEST, FASTEST, 60)
    drop = np.array([0.5 * AIR_DENSITY * v * v * screen_loss(v, porosity, thread) for v in speeds])
    (viscous, inertial), *_ = np.linalg.lstsq(np.c_[speeds / drop, speeds**2 / drop], np.ones(60), rcond=None)
    return float(viscous), float(inertial)


def sheet_pair(porosity, hole, sheet):
    """Viscous [Pa s/m] and inertial [Pa s2/m2] loss of a sheet with round holes.

    `porosity` p is the open share (0 to 1), `hole` the diameter of a hole [m], `sheet` the thickness of the sheet [m].
    Creeping air meets 3 viscosity q/a^3 at the ends of a hole of radius a (Sampson 1891) and 8 viscosity sheet
    q/(pi a^4) in it, their sum within 1 % (Dagan, Weinbaum & Pfeffer 1982, from memory); fast air loses
    ((1 - p) + 0.707 (1 - p)^0.375)^2/p^2 velocity heads (Idelchik 1966, from memory). An open share of 1 has no loss.
    """
    if not (0.0 < porosity <= 1.0 and hole > 0.0 and sheet >= 0.0):
        return math.nan, math.nan
    if porosity == 1.0:
        return 0.0, 0.0
    radius, closed = 0.5 * hole, 1.0 - porosity
    viscous = AIR_DENSITY * AIR_VISCOSITY * (3.0 * math.pi / radius + 8.0 * sheet / (radius * radius)) / porosity
    heads = (closed + 0.707 * closed**0.375) ** 2 / (porosity * porosity)
    return viscous, 0.5 * AIR_DENSITY * heads


@kernel
def mesh_friction(factor, inertial):
    """Viscous loss [Pa s/m] of an unknown mesh, so that its opening passes `factor` of the bare flow at TRIED_AT.

    `inertial` is the loss of the bare opening. At these speeds a woven mesh is a viscous brake (form of Bailey and
    others 2003, from memory: 0.9 Pa s/m for a mesh with 55 % open and threads of 0.25 mm, which is a factor of 0.2). So
    a weaker drive passes a smaller share. 0 for a factor of 1 or more, endless for 0.
    """
    if not (factor >= 0.0 and inertial > 0.0):
        return math.nan
    if factor >= 1.0:
        return 0.0
    if factor == 0.0:
        return math.inf
    share = factor * math.sqrt(TRIED_AT / inertial)
    return (TRIED_AT - inertial * share * share) / share
