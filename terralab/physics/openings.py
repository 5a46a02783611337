"""Air through the openings of a box under one pressure: holes, tall slots, a level lid. SI units.

The excess of pressure inside over the room's drives each opening by itself; what joins them is that one pressure
(`engine.network` finds it). Speeds are positive outwards. An opening has two losses: `viscous` [Pa s/m], in step with
the speed, and `inertial` [Pa s2/m2], with its square. A number that cannot be (NaN, a loss below 0, both losses
nothing) gives NaN.
"""

import math

from terralab.jit import kernel
from terralab.physics.constants import GRAVITY

AIR_DENSITY = 1.19  # kg/m3, room air at about 22 C and half humid
EDGE = 2.0e-3  # Pa s/m, friction at the rim of a bare hole: creeping air starts in step with pressure (a guess)
FREE_LOSS = (
    0.0263582117  # -, loss of the free two-way flow; it makes a bare hole pass 0.055 sqrt(g' D^5) (Epstein 1988)
)
LONGEST = (
    0.46  # -, columns that drive two-way flow, in diameters: longer ones would spoil that a wider opening passes more
)
FLOODED = 0.754  # -, coefficient of the pressure that floods a level round hole (Cooper 1989)
EVEN = 1.0e-5  # -, share of density below which two-way flow sets in smoothly


@kernel
def bare_loss(discharge):
    """Inertial loss [Pa s2/m2] of a hole with discharge coefficient `discharge`: rho / (2 Cd^2). NaN unless 0 to 1."""
    if not 0.0 < discharge <= 1.0:
        return math.nan
    return 0.5 * AIR_DENSITY / (discharge * discharge)


@kernel
def speed(pressure, viscous, inertial):
    """Speed [m/s] that `pressure` [Pa] drives: the root of viscous v + inertial v |v| = pressure.

    v = 2 p / (a + sqrt(a^2 + 4 b |p|)), which loses no digits near rest. Forchheimer's law (1901).
    """
    if not (viscous >= 0.0 and inertial >= 0.0 and viscous + inertial > 0.0):
        return math.nan
    if pressure == 0.0:
        return 0.0
    return 2.0 * pressure / (viscous + math.sqrt(viscous * viscous + 4.0 * inertial * abs(pressure)))


@kernel
def speed_slope(pressure, viscous, inertial):
    """How `speed` changes with pressure [m/s/Pa]: 1 / sqrt(a^2 + 4 b |p|)."""
    if not (viscous >= 0.0 and inertial >= 0.0):
        return math.nan
    return 1.0 / math.sqrt(viscous * viscous + 4.0 * inertial * abs(pressure))


@kernel
def mean_speed(lower, upper, viscous, inertial):
    """Mean speeds [m/s] out of and into an opening along which pressure goes straight from `lower` to `upper` [Pa].

    Returns (out, in, slope of their difference by pressure [m/s/Pa]). The closed integral of `speed` over the height;
    with d = sqrt(a^2 + 4 b |p|) - a at both ends it is [3a(d1 + d2) + 2(d1^2 + d1 d2 + d2^2)] / [6b(2a + d1 + d2)]
    where both ends blow one way. Else it is split where the pressure is nothing. Bare and upright it gives
    Cd/3 A sqrt(g' H) (Brown & Solvason 1962). `inertial` must be above 0.
    """
    if not (viscous > 0.0 and inertial > 0.0):
        return math.nan, math.nan, math.nan
    a = viscous
    d1 = 4.0 * inertial * abs(lower) / (a + math.sqrt(a * a + 4.0 * inertial * abs(lower)))
    d2 = 4.0 * inertial * abs(upper) / (a + math.sqrt(a * a + 4.0 * inertial * abs(upper)))
    if lower * upper >= 0.0:
        both = d1 + d2
        v = (3.0 * a * both + 2.0 * (d1 * d1 + d1 * d2 + d2 * d2)) / (6.0 * inertial * (2.0 * a + both))
        slope = 2.0 / (2.0 * a + both)
        if lower + upper >= 0.0:
            return v, 0.0, slope
        return 0.0, v, slope
    share = abs(lower) / (abs(lower) + abs(upper))
    v1 = share * (3.0 * a * d1 + 2.0 * d1 * d1) / (6.0 * inertial * (2.0 * a + d1))
    v2 = (1.0 - share) * (3.0 * a * d2 + 2.0 * d2 * d2) / (6.0 * inertial * (2.0 * a + d2))
    slope = share * 2.0 / (2.0 * a + d1) + (1.0 - share) * 2.0 / (2.0 * a + d2)
    if lower > 0.0:
        return v1, v2, slope
    return v2, v1, slope


@kernel
def lid_exchange(lightness, pressure, area, viscous, inertial, rim, column):
    """Air [m3/s] that passes a level opening of `area` [m2] both ways at once, its net flow at `pressure` [Pa] aside.

    Light air below heavy air turns over: a bare hole passes 0.055 sqrt(g' D^5), D the diameter of equal area (Epstein
    1988, coefficient from memory), whatever the `column` [m]. Behind a mesh two columns of that height drive it:
    a v + b v^2 = rho g' column, q = A v / 2, b the mesh's share of `inertial` plus rim column / (FREE_LOSS D), `rim` that of
    the bare hole. The column is held between FREE_LOSS D and LONGEST D. A flow through the hole floods the exchange:
    q (1 - v_net / v_flood), flooding pressure 0.754^2 rho g' D^5 / (2 A^2) (Cooper 1989). `lightness` of the inside air
    [-], -2 to 2; nothing turns over where it is not above 0. That is none of the diffusion (`still_exchange`).
    NaN also for a rim loss above `inertial` or below 0, and a column not above 0.
    """
    if not (-2.0 <= lightness <= 2.0 and area >= 0.0 and 0.0 <= rim <= inertial and column > 0.0):
        return math.nan
    if lightness <= 0.0 or area == 0.0:
        return 0.0
    weight = AIR_DENSITY * GRAVITY * lightness * lightness / math.sqrt(lightness * lightness + EVEN * EVEN)
    diameter = math.sqrt(4.0 * area / math.pi)
    floods = speed(FLOODED * FLOODED * weight * diameter * 8.0 / (math.pi * math.pi), viscous, inertial)
    through = abs(speed(pressure, viscous, inertial))
    if through >= floods:
        return 0.0
    column = min(LONGEST * diameter, max(FREE_LOSS * diameter, column))
    turning = speed(weight * column, viscous, inertial - rim + rim * column / (FREE_LOSS * diameter))
    return 0.5 * area * turning * (1.0 - through / floods)


@kernel
def still_exchange(area, diffusivity):
    """Exchange [m3/s] by diffusion alone through a level opening of `area` [m2]: D_v D, D the diameter of equal area.

    NaN for an area below 0 or a diffusivity [m2/s] not above 0.
    """
    if not (area >= 0.0 and diffusivity > 0.0):
        return math.nan
    return diffusivity * math.sqrt(4.0 * area / math.pi)
