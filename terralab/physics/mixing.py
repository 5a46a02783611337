"""Air that changes places inside a box: between air below and air above, and through the one opening of a hide. SI units.

Every flow [m3/s] passes a level boundary, as much up as down. Lightness [-] is a difference of density as a share of
density (`moist_air.lightness`), -2 to 2. A current, a plume or falling air mixes only where it can
`pass` the air beyond. A number that cannot be (NaN, endless, an area or a length below 0) gives NaN.
"""

import math

import numpy as np

from terralab.jit import kernel
from terralab.physics.constants import AIR_PRANDTL, AIR_VISCOSITY, GRAVITY

TURNS = 0.055  # -, sqrt(g' D^5) through a level boundary of light air under heavy air (Epstein 1988, from memory)
SETS_IN = 2.0e-5  # -, lightness (6 thousandths of a kelvin) at which turning over and falling are half at work
PANE = 5.17 * 3.93 / 12.0 / math.sqrt(AIR_PRANDTL) / (AIR_PRANDTL + 20.0 / 21.0) ** 0.25  # 1.77, see `pane_current`
COLDNESS = 0.4  # -, mean difference of density in a pane's current over that at the pane, weighted by flow
BLURRED = 1.0e-7  # -, square of the lightness (0.1 K) over which "can pass" changes into "cannot"
PLUME = 0.142  # -, flow of a plume over B^(1/3) z^(5/3); 0.115 (entrainment 0.1) to 0.2 (engineering tables)
JET = 0.32  # -, air a round jet carries over the fan's own, for each diameter of distance (Ricou & Spalding 1961)

AXIS = 6.2  # -, diameters over which a round jet keeps the speed on its axis


@kernel
def overturning(lightness_above, section):
    """Exchange [m3/s] across a level boundary of `section` [m2] when the upper air is the heavier: 0.055 sqrt(g' D^5).

    D is the diameter of equal area, g' the weight of -lightness_above; 0 where the upper air is lighter or equal. It
    is the law of a level hole (Epstein 1988, coefficient from memory), used for a whole section without a plate. It
    sets in smoothly: times x/(x + 2e-5) (a choice). NaN unless lightness_above is -2 to 2 and section 0 or more.
    """
    if not (-2.0 <= lightness_above <= 2.0 and 0.0 <= section < math.inf):
        return math.nan
    if lightness_above >= 0.0:
        return 0.0
    unstable = -lightness_above
    diameter = math.sqrt(4.0 * section / math.pi)
    flow = TURNS * diameter * diameter * math.sqrt(GRAVITY * unstable * diameter)
    return flow * unstable / (unstable + SETS_IN)


@kernel
def pane_current(lightness, height, width):
    """Air [m3/s] that runs along an upright pane, at the end of its `height` [m], over its `width` [m].

    1.77 nu Gr^(1/4) for each metre of width, Gr = g |lightness| height^3 / nu^2, with lightness that of the air at the
    pane against the zone's; 5.17 * 3.93/12 Pr^(-1/2) (Pr + 20/21)^(-1/4) = 1.77: the laminar profile of Squire and
    Eckert, from memory. Fitted for Gr of 1e4 to 1e9, used outside too. Its own mean difference of density is
    COLDNESS of the pane's. NaN unless lightness is -2 to 2, height above 0 and width 0 or more.
    """
    if not (-2.0 <= lightness <= 2.0 and 0.0 < height < math.inf and 0.0 <= width < math.inf):
        return math.nan
    grashof = GRAVITY * abs(lightness) * height**3 / (AIR_VISCOSITY * AIR_VISCOSITY)
    return PANE * AIR_VISCOSITY * math.sqrt(math.sqrt(grashof)) * width


@kernel
def passes(strength, stability):
    """Share [-] of a current that gets past the air beyond: 0.5 (1 + y/sqrt(y^2 + 1e-7)), y = strength - stability.

    `strength` is the difference of density the current still has at the boundary, `stability` how much lighter the
    upper air is than the lower, both as shares of density. The test of Togari and others 1993 for currents along
    walls, from memory, here for plumes too; blurred over a lightness of 3e-4, or 0.1 K, so that it has no step (a
    choice). NaN unless both are -2 to 2.
    """
    if not (-2.0 <= strength <= 2.0 and -2.0 <= stability <= 2.0):
        return math.nan
    y = strength - stability
    return 0.5 * (1.0 + y / math.sqrt(y * y + BLURRED))


@kernel
def plume(buoyancy, height):
    """Air [m3/s] that a plume carries `height` [m] above its point source: 0.142 B^(1/3) z^(5/3).

    `buoyancy` B [m4/s3] is what the source feeds it: volume flow times g'; of heat P [W] it is g P / (rho cp T). Form of
    Morton, Taylor & Turner 1956, whose entrainment of 0.1 gives a coefficient of 0.115; engineering tables give 0.2.
    A source of radius r counts as a point 1.5 r below it (a choice). Its mean lightness is B / (g Q). Turbulent plumes in
    still air of one density; over small warm patches it is used below that range. NaN if one is below 0.
    """
    if not (0.0 <= buoyancy < math.inf and 0.0 <= height < math.inf):
        return math.nan
    return PLUME * np.cbrt(buoyancy * height * height) * height


@kernel
def sinking(lightness, flow, height):
    """Air [m3/s] that room air coming in at `flow` [m3/s] carries down, `height` [m] below where it enters.

    It falls as a plume of weight g' flow and takes air along: flow + plume(g lightness flow, height). `lightness` is
    that of the box's air against the room's; where it is 0 or below the air does not fall, and it sets in smoothly
    (times x/(x + 2e-5), a choice). The strength left for `passes` is lightness flow over what is carried. Morton,
    Taylor & Turner 1956. NaN unless lightness is -2 to 2 and the others 0 or more.
    """
    if not (-2.0 <= lightness <= 2.0 and 0.0 <= flow < math.inf and 0.0 <= height < math.inf):
        return math.nan
    if lightness <= 0.0:
        return 0.0
    return (flow + plume(GRAVITY * lightness * flow, height)) * lightness / (lightness + SETS_IN)


@kernel
def jet(flow, diameter, distance):
    """Air [m3/s] in the jet of a fan of `flow` [m3/s], `distance` [m] away: 0.32 (x/d) flow, and never less than flow.

    d is the `diameter` [m] of its outlet. Ricou & Spalding 1961, for a round free jet of air into air from some ten
    diameters on; near the outlet it is a rough figure. NaN unless diameter is above 0 and the others 0 or more.
    """
    if not (0.0 <= flow < math.inf and 0.0 < diameter < math.inf and 0.0 <= distance < math.inf):
        return math.nan
    return max(1.0, JET * distance / diameter) * flow


@kernel
def outlet_speed(speed, diameter, distance):
    """Speed [m/s] in a fan's outlet of `diameter` [m] whose jet still has `speed` [m/s] on its axis at `distance` [m].

    A round free jet slows as u = 6.2 u0 d/x from x = 6.2 d on, and keeps its speed nearer (from memory, textbook value,
    such as Rajaratnam 1976, Turbulent jets). NaN unless speed is 0 or more, diameter above 0 and distance 0 or more.
    """
    if not (0.0 <= speed < math.inf and 0.0 < diameter < math.inf and 0.0 <= distance < math.inf):
        return math.nan
    return speed * max(1.0, distance / (AXIS * diameter))


@kernel
def jet_work_limit(flow, diameter, lightness, height, efficiency):
    """Most air [m3/s] that a fan's jet can change between two layers: efficiency flow u^2 / (2 g' height).

    u is the speed in the outlet of `diameter` [m], half u^2 flow the work the fan gives the air (for a unit density),
    g' height what it takes to lift the heavier air through `height` [m], the middle of one layer to that of the
    other. `lightness` is that of the upper air over the lower; endless where it is 0 or below, nothing resists there.
    An energy balance (a derivation, `efficiency` 0 to 1 is a guess). NaN outside that and for lengths not above 0.
    """
    if not (0.0 <= flow < math.inf and 0.0 < diameter < math.inf and -2.0 <= lightness <= 2.0):
        return math.nan
    if not (0.0 < height < math.inf and 0.0 <= efficiency <= 1.0):
        return math.nan
    if lightness <= 0.0:
        return math.inf
    speed = 4.0 * flow / (math.pi * diameter * diameter)
    return efficiency * flow * speed * speed / (2.0 * GRAVITY * lightness * height)


@kernel
def stirred(carried, limit):
    """Exchange [m3/s] by a jet that carries `carried` and can do the work for `limit`: 1/(1/carried + 1/limit).

    An endless limit leaves what is carried. The smooth smaller of the two (a choice). NaN if one is below 0.
    """
    if not (0.0 <= carried < math.inf and limit >= 0.0):
        return math.nan
    if carried == 0.0 or limit == 0.0:
        return 0.0
    return carried / (1.0 + carried / limit)


@kernel
def diffusion_exchange(section, distance, diffusivity):
    """Exchange [m3/s] by diffusion alone across `section` [m2] over `distance` [m]: diffusivity section / distance.

    Fick 1855. NaN unless section is 0 or more, distance and diffusivity [m2/s] above 0.
    """
    if not (0.0 <= section < math.inf and 0.0 < distance < math.inf and 0.0 < diffusivity < math.inf):
        return math.nan
    return diffusivity * section / distance


@kernel
def one_opening(lightness, area, height, discharge):
    """Exchange [m3/s] through the only opening of a space, upright, of `area` [m2] and `height` [m]: Cd/3 A sqrt(g' H).

    Brown & Solvason 1962; the same whichever side is lighter. At rest it goes to 0 in step with lightness: sqrt|x|
    is taken as |x|/(x^2 + 1e-10)^(1/4) (a choice, felt below 3 thousandths of a kelvin). Diffusion is not in it.
    NaN unless lightness is -2 to 2, area 0 or more, height above 0 and discharge within 0 to 1.
    """
    if not (-2.0 <= lightness <= 2.0 and 0.0 <= area < math.inf and 0.0 < height < math.inf):
        return math.nan
    if not 0.0 < discharge <= 1.0:
        return math.nan
    root = abs(lightness) / math.sqrt(math.sqrt(lightness * lightness + 1.0e-10))
    return discharge / 3.0 * area * math.sqrt(GRAVITY * height) * root
