"""What a fan meets: the screen before it, and its own falling pressure, as losses of one more opening.

Pressures Pa, flows m3/s, areas m2, speeds m/s. A number that cannot be (below 0, a share above 1, NaN) gives NaN.
"""

import math

import numpy as np

from terralab.physics.constants import AIR_VISCOSITY
from terralab.physics.openings import AIR_DENSITY

SLOWEST, FASTEST = 0.005, 0.6  # m/s, the speeds at which `screen_pair` holds


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

    Least squares of the relative misfit over 0.005 to 0.6 m/s; the largest is 3.5 %. An open share of 1 has no loss.
    """
    if not (0.0 < porosity <= 1.0 and thread > 0.0):
        return math.nan, math.nan
    if porosity == 1.0:
        return 0.0, 0.0
    speeds = np.geomspace(SLOWEST, FASTEST, 60)
    drop = np.array([0.5 * AIR_DENSITY * v * v * screen_loss(v, porosity, thread) for v in speeds])
    (viscous, inertial), *_ = np.linalg.lstsq(np.c_[speeds / drop, speeds**2 / drop], np.ones(60), rcond=None)
    return float(viscous), float(inertial)


def blowing_loss(free_flow, shut_off, area):
    """Viscous loss [Pa s/m] that makes an opening of `area` [m2] behind a push of `shut_off` [Pa] a fan.

    Along a straight curve the fan gives shut_off (1 - q/free_flow): a push that does not change, less a loss in step
    with the flow. Real curves of small axial fans lie about there, with a dent in the middle that is left out (a
    simplification without source).
    """
    if not (free_flow > 0.0 and shut_off >= 0.0 and area > 0.0):
        return math.nan
    return shut_off * area / free_flow
