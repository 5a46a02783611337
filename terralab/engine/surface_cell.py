"""The top cell of the soil inside the air clock: how much water it can give up.

While the soil is damp, evaporation is set by the air. Once the surface cell dries (stage two) it is set by what flows up
from below, and that changes within minutes. So the surface cell's head is solved together with the air. The cell below it
goes on as in the step before, and along with the surface cell by a share that the soil below decides; all else stands still
during one soil step and is corrected afterwards.
"""

import math

import numpy as np

from terralab.jit import inner
from terralab.physics.conductivity import conductivity, pore_humidity
from terralab.physics.constants import WATER_DENSITY
from terralab.physics.moist_air import damp_ratio, saturated_vapour_density
from terralab.soil.darcy import half_flow
from terralab.soil.storage import stored

#: What the air clock must know of the soil at and below the surface cell (1: the surface cell, 2: the one below it).
#: active: 1 where the surface cell's head is solved with the air, 0 where its humidity [-] holds for a soil step.
#: dz [m]; head_1 at the start of the soil step and head_2 [m]; k_2 [m/s] and its slope slope_2 [1/s]; distance [m]
#: between the middles; diffusion [m2/s] of vapour between both; humidity_2 [-] of the pores of cell 2 and its slope by the
#: head, humidity_slope_2 [1/m]; deeper [-]: the share by which its temperature is that of the second layer of soil and not of
#: the first; arriving [m/s]: water that lands; past [-]: the share of what is poured that runs past; rooted [-]: the share of
#: what roots drink; follows [-]: the share of a change of head 1 by which head 2 goes along; course_1, course_2 [m/s]: how
#: both heads went in the step before.
SURFACE_CELL = np.dtype(
    [
        (name, np.float64)
        for name in [
            "active",
            "dz",
            "head_1",
            "head_2",
            "k_2",
            "slope_2",
            "distance",
            "diffusion",
            "humidity_2",
            "humidity_slope_2",
            "deeper",
            "arriving",
            "past",
            "rooted",
            "humidity",
            "follows",
            "course_1",
            "course_2",
        ]
    ],
    align=True,
)
ACTIVE_BELOW = -3.0  # m: a wetter surface cell is never the bottleneck within one soil step
LEAST_CAPACITY = 1.0e-12  # 1/m: so much any cell gives up when its head falls
FARTHEST = 0.1  # of the head of the cell below: how far it goes along with the surface cell


@inner
def upward(h, k1, dk1, a, da, density, density_2, age, cell):
    """Flow into the surface cell from below [m/s], liquid and vapour, and its slope by the surface cell's head [1/s].

    a [-] is the humidity of its pores and da [1/m] its slope; density and density_2 [kg/m3]: of saturated
    vapour in both cells. age [s]: how long the soil step lasts already.
    The cell below goes along with the surface cell by the share `follows`: a surface cell that dries draws on more than that one cell.
    """
    share = cell.follows
    along = cell.course_2 * age + share * (h - cell.head_1 - cell.course_1 * age)
    if abs(along) > -FARTHEST * cell.head_2:
        along = math.copysign(max(0.0, -FARTHEST * cell.head_2), along)
        share = 0.0
    k2 = max(0.0, cell.k_2 + cell.slope_2 * along)
    q, q_h, q_2 = half_flow(h, k1, dk1, cell.head_2 + along, k2, cell.slope_2, cell.distance)
    d = cell.diffusion / (cell.distance * WATER_DENSITY)
    vapour = (cell.humidity_2 + cell.humidity_slope_2 * along) * density_2 - a * density
    slope = cell.humidity_slope_2 * share * density_2 - da * density
    return -q + d * vapour, -q_h - q_2 * share + d * slope


@inner
def surface_supply(g, ws, w, soil, cell, water, head, age, tau, t_c, t_below, beside):
    """Evaporation from the surface cell [kg/m2s] at the end of a stage of tau [s].

    g [kg/m2s] conductance to the air, ws and w the humidity ratios at the surface (saturated) and of the air,
    `water` [m] the surface cell's store at the start, `head` [m] a first guess, t_c and t_below [C] the first two layers of
    soil, `beside` [m/s] what it loses elsewhere, into a hide and to roots. Returns evaporation, the factor by which its slopes shrink
    because the surface cell dries, the head, the flow from below [m/s] and its slope by ws as warmth moves it, and how the
    ratio at the surface changes with ws.
    """
    if cell.active == 0.0:
        pores, _, by_ws = damp_ratio(cell.humidity, ws)
        return g * (pores - w), 1.0, head, 0.0, 0.0, by_ws
    density = saturated_vapour_density(t_c)
    density_2 = saturated_vapour_density(t_c + cell.deeper * (t_below - t_c))
    dz = cell.dz
    h = head
    demand = g / WATER_DENSITY
    a, da = pore_humidity(h, t_c)
    pores, by_a, by_ws = damp_ratio(a, ws)
    k1, dk1 = conductivity(h, soil)
    up, dup = upward(h, k1, dk1, a, da, density, density_2, age, cell)
    v, dv = stored(h, dz, soil, False, False)
    if tau > 0.0:
        for _ in range(12):
            f = v - water - tau * (up + cell.arriving - beside - demand * (pores - w))
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
            up, dup = upward(h, k1, dk1, a, da, density, density_2, age, cell)
            v, dv = stored(h, dz, soil, False, False)
            if abs(ratio) < 1e-4:
                break
        factor = (dv - tau * dup) / (dv - tau * (dup - demand * da * by_a))
    else:
        factor = 1.0
    d = cell.diffusion / (cell.distance * WATER_DENSITY)
    by_warmth = d * ((1.0 - cell.deeper) * cell.humidity_2 * density_2 - a * density) / ws
    return g * (pores - w), factor, h, up, by_warmth, by_ws
