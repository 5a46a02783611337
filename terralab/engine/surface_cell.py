"""The top cell of the soil inside the air clock: how much water it can give up.

While the soil is damp, evaporation is set by the air. Once the skin dries (stage two) it is set by what flows up
from below, and that changes within minutes. So the skin's head is solved together with the air. The cell below it
goes along by a share that the soil tells; all else stands still during one soil step and is corrected afterwards.
"""

import math

from terralab.jit import inner
from terralab.physics.conductivity import conductivity
from terralab.physics.constants import WATER_DENSITY
from terralab.physics.moist_air import damp_ratio
from terralab.soil.richards import half_flow, pore_humidity, stored

# what the air clock must know of the soil below the skin, in the order of the `skin` row
(
    ACTIVE,
    DZ,
    HEAD_2,
    K_2,
    SLOPE_2,
    DISTANCE,
    DIFFUSION,
    DENSITY_1,
    VAPOUR_2,
    ARRIVING,
    HUMIDITY,
    HEAD_1,
    FOLLOWS,
    HUMIDITY_SLOPE_2,
) = range(14)
FARTHEST = 0.1  # of the head of the cell below: how far it goes along with the skin


@inner
def upward(h, k1, dk1, a, da, skin):
    """Flow into the skin from below [m/s], liquid and vapour, and its slope by the skin's head [1/s].

    The cell below goes along with the skin by the share FOLLOWS: a skin that dries draws on more than that one cell.
    """
    share = skin[FOLLOWS]
    along = share * (h - skin[HEAD_1])
    if abs(along) > -FARTHEST * skin[HEAD_2]:
        along = math.copysign(max(0.0, -FARTHEST * skin[HEAD_2]), along)
        share = 0.0
    k2 = max(0.0, skin[K_2] + skin[SLOPE_2] * along)
    q, q_h, q_2 = half_flow(h, k1, dk1, skin[HEAD_2] + along, k2, skin[SLOPE_2], skin[DISTANCE])
    d = skin[DIFFUSION] / (skin[DISTANCE] * WATER_DENSITY)
    vapour = skin[VAPOUR_2] + skin[HUMIDITY_SLOPE_2] * along - a * skin[DENSITY_1]
    slope = skin[HUMIDITY_SLOPE_2] * share - da * skin[DENSITY_1]
    return -q + d * vapour, -q_h - q_2 * share + d * slope


@inner
def skin_supply(g, ws, w, soil, skin, water, head, tau, t_c):
    """Evaporation from the skin [kg/m2s] at the end of a stage of tau [s].

    g [kg/m2s] conductance to the air, ws and w the humidity ratios at the surface (saturated) and of the air,
    `water` [m] the skin's store at the start, `head` [m] a first guess. Returns evaporation, the factor by
    which its slopes shrink because the skin dries, the head, the flow from below [m/s] and how the ratio at the
    surface changes with ws.
    """
    if skin[ACTIVE] == 0.0:
        pores, _, by_ws = damp_ratio(skin[HUMIDITY], ws)
        return g * (pores - w), 1.0, head, 0.0, by_ws
    dz = skin[DZ]
    h = head
    demand = g / WATER_DENSITY
    a, da = pore_humidity(h, t_c)
    pores, by_a, by_ws = damp_ratio(a, ws)
    k1, dk1 = conductivity(h, soil)
    up, dup = upward(h, k1, dk1, a, da, skin)
    v, dv = stored(h, dz, soil, False, False)
    if tau > 0.0:
        for _ in range(12):
            f = v - water - tau * (up + skin[ARRIVING] - demand * (pores - w))
            df = dv - tau * (dup - demand * da * by_a)
            change = -f / df
            # in log suction: one iteration never leaps decades
            ratio = change / h if h < 0.0 else 0.0
            if h >= -1e-3:
                h = min(h + change, -1e-6) if change > 0.0 else h + max(change, -0.1)
            else:
                h *= math.exp(min(1.5, max(-1.5, ratio)))
            if h < -1e5:
                h = -1e5
            a, da = pore_humidity(h, t_c)
            pores, by_a, by_ws = damp_ratio(a, ws)
            k1, dk1 = conductivity(h, soil)
            up, dup = upward(h, k1, dk1, a, da, skin)
            v, dv = stored(h, dz, soil, False, False)
            if abs(ratio) < 1e-4:
                break
        factor = (dv - tau * dup) / (dv - tau * (dup - demand * da * by_a))
    else:
        factor = 1.0
    return g * (pores - w), factor, h, up, by_ws
