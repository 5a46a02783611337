"""The soil clock: one implicit step of Richards' equation, mixed form, over all cells and the reservoir row.

The unknowns are the pressure heads h [m] of the cells, top to bottom, and the water level H [m] in the
drainage layer, counted from the mesh (negative below it). Flows are positive downwards. Watering and
evaporation, roots and vapour from the reservoir arrive as *amounts* (metres of water over the floor), so that
water closes to round-off whatever the tolerance. Celia, Bouloutas & Zarba 1990, Water Resour. Res. 26:1483.
"""

import math

from terralab.jit import kernel
from terralab.physics.conductivity import conductivity, hydraulics, pore_humidity
from terralab.physics.constants import WATER_DENSITY
from terralab.physics.retention import water_content
from terralab.physics.wick import wick_flow
from terralab.soil.newton import foreseen, moved, shortened

# what the top does
FLUX, HEAD, LIMITED = 0, 1, 2  # LIMITED: a demanded flux, at most what a surface at top_head lets through
# what the bottom does
SEALED, RESERVOIR, SEEPAGE, FREE, FIXED_HEAD = 0, 1, 2, 3, 4

SPECIFIC_STORAGE = 1.0e-6  # 1/m, keeps a saturated cell solvable; 1e-8 m of water in a 10 cm column
FLOODED_STORAGE = 1.0e-3  # m of water per m of head once the drainage layer is full
K_FLOOR = 1.0e-16  # m/s, keeps bone-dry cells connected
TOLERANCE = 1.0e-9  # m of water, largest residual of an accepted step
MAX_ITERATIONS = 40
MOST_CUTS = 6  # how often one change of heads is shortened
# How far the residual may grow. On the way to saturation it grows a little before it falls, and is best left alone;
# where a change of heads carries dry cells too far it grows a hundredfold.
MAY_GROW = 30.0
LOOKED_AT, WORTH = 8, 0.1  # after so many iterations the residual must have come down to this share


@kernel
def stored(h, dz, soil, is_top, ponding):
    """Water held by a cell [m] and its slope [-]: pores, a little compression, and the pond on the top cell."""
    theta, capacity = water_content(h, soil)
    return stored_with(h, dz, theta, capacity, is_top and ponding)


@kernel
def stored_with(h, dz, theta, capacity, pond):
    """`stored` where water content [m3/m3] and capacity [1/m] are known already."""
    v = theta * dz
    dv = capacity * dz
    if h >= 0.0:
        v += SPECIFIC_STORAGE * dz * h
        dv += SPECIFIC_STORAGE * dz
    if pond and h > 0.5 * dz:
        v += h - 0.5 * dz
        dv += 1.0
    return v, dv


@kernel
def reservoir_stored(level, depth, void):
    """Free water in the drainage layer [m over the floor] and slope [-] for a level [m] counted from the mesh."""
    if level <= 0.0:
        return void * (level + depth), void
    return void * depth + FLOODED_STORAGE * level, FLOODED_STORAGE


@kernel
def reservoir_level(water, depth, void):
    """Inverse of `reservoir_stored`: the level [m] from the mesh that `water` [m over the floor] stands at."""
    if water <= void * depth:
        return water / void - depth
    return (water - void * depth) / FLOODED_STORAGE


@kernel
def half_flow(h_from, k_from, dk_from, h_to, k_to, dk_to, distance):
    """Downward Darcy flow [m/s] over `distance` [m] with the mean K, and its slopes by both heads."""
    mean = 0.5 * (k_from + k_to) + K_FLOOR
    gradient = (h_from - h_to) / distance + 1.0
    return (
        mean * gradient,
        0.5 * dk_from * gradient + mean / distance,
        0.5 * dk_to * gradient - mean / distance,
    )


@kernel
def contact_flow(ha, ka, dka, da, soil_a, hb, kb, dkb, db, soil_b, guess):
    """Flow [m/s] through the contact of two materials, its slopes by both heads, and the head at the contact.

    Each half cell conducts with its own material's K, averaged between its centre and the contact; the contact
    head makes both flows agree. Bracketed Newton: a root always lies between the two hydrostatic bounds.
    """
    low = min(ha, hb - db)
    high = max(ha + da, hb)
    x = guess
    if not (low < x < high):
        x = 0.5 * (low + high)
    q = 0.0
    slope_a = 0.0
    slope_b = 0.0
    for _ in range(60):
        kxa, dkxa = conductivity(x, soil_a)
        kxb, dkxb = conductivity(x, soil_b)
        qa, qa_a, qa_x = half_flow(ha, ka, dka, x, kxa, dkxa, da)
        qb, qb_x, qb_b = half_flow(x, kxb, dkxb, hb, kb, dkb, db)
        f = qa - qb
        df = qa_x - qb_x
        q = qa
        if df < 0.0:
            slope_a = qa_a - qa_x * qa_a / df
            slope_b = qa_x * qb_b / df
        else:
            slope_a = qa_a
            slope_b = qb_b
        if abs(f) <= 1e-12 * (abs(qa) + abs(qb)) + 1e-18 or high - low < 1e-14 * (1.0 + abs(x)):
            break
        if f > 0.0:
            low = x
        else:
            high = x
        new = x - f / df if df < 0.0 else 0.5 * (low + high)
        if not (low < new < high):
            # halve the bracket, in log suction when it spans decades
            new = -math.sqrt(low * high) if high < 0.0 and low < 10.0 * high else 0.5 * (low + high)
        x = new
    return q, slope_a, slope_b, x


@kernel
def bottom_flow(h, k, dk, half, soil, level, kind, fringe, entry, bottom_head):
    """Flow out of the lowest cell [m/s] and its slopes by the cell's head and by the reservoir level.

    RESERVOIR blends two regimes over the aggregate's capillary fringe: a seepage face (water leaves once the
    suction at the mesh is below `entry` [m]) and contact with the standing water (flow both ways).
    """
    if kind == SEALED:
        return 0.0, 0.0, 0.0
    if kind == FREE:
        return k, dk, 0.0
    if kind == FIXED_HEAD:
        kb, dkb = conductivity(bottom_head, soil)
        q, q_h, _ = half_flow(h, k, dk, bottom_head, kb, dkb, half)
        return q, q_h, 0.0
    share = 0.0
    dshare = 0.0
    if kind == RESERVOIR and level > -fringe:
        if level >= 0.0:
            share = 1.0
        else:
            s = (level + fringe) / fringe
            share = s * s * (3.0 - 2.0 * s)
            dshare = 6.0 * s * (1.0 - s) / fringe
    q = 0.0
    q_h = 0.0
    if share < 1.0:
        kf, dkf = conductivity(-entry, soil)
        seep, seep_h, _ = half_flow(h, k, dk, -entry, kf, dkf, half)
        if seep > 0.0:
            q = seep
            q_h = seep_h
    if share > 0.0:
        kf, dkf = conductivity(level, soil)
        touch, touch_h, touch_l = half_flow(h, k, dk, level, kf, dkf, half)
        q_level = dshare * (touch - q) + share * touch_l
        return (1.0 - share) * q + share * touch, (1.0 - share) * q_h + share * touch_h, q_level
    return q, q_h, 0.0


@kernel
def step(
    h,
    level,
    water,
    reservoir,
    dt,
    dz,
    soil_of,
    soils,
    contact,
    amounts,
    top_kind,
    top_value,
    top_head,
    bottom_kind,
    bottom_head,
    ponding,
    head_form,
    depth,
    void,
    fringe,
    entry,
    wick_share,
    wick_conducts,
    wick_rise,
    reservoir_amount,
    temperature,
    diffusion,
    density_sat,
    flow,
    vapour,
    residual_tolerance,
    work,
):
    """One implicit step of length dt [s]. Returns (converged, new level, top flow, iterations).

    h [m] and level [m] are the start and hold the result; `water` [m] and `reservoir` [m] are what is stored
    at the start (exact). `amounts` [m] enter each cell, `reservoir_amount` [m] enters the reservoir during the
    step. `diffusion` [m2/s] of vapour between cell i and i+1, `density_sat` [kg/m3] and `temperature` [C] of
    the cells drive vapour. A wick of `wick_share` of the floor [-] (see `wick_flow`) joins the lowest cell to the
    reservoir; its flow is part of flow[n - 1]. The top takes `top_value` [m/s] (FLUX), or holds `top_head` [m] (HEAD), or LIMITED:
    the (negative) demand `top_value`, but no more than a surface at `top_head` can draw. On success flow[i] and vapour[i] [m/s] hold the downward flows below cell i.
    With `left_over` [m] above nothing the last change is not looked at again where no balance misses more than that.
    On failure h is spoilt: the caller keeps a copy.
    """
    n = h.size
    lower = work[0]
    diagonal = work[1]
    upper = work[2]
    residual = work[3]
    k_cell = work[4]
    dk_cell = work[5]
    a_cell = work[6]
    da_cell = work[7]
    old = work[8]
    own = work[9]
    before = work[10]
    change = work[11]
    for i in range(n):
        old[i] = h[i]
    has_reservoir = bottom_kind == RESERVOIR
    rows = n + 1 if has_reservoir else n
    top_flow = 0.0
    previous = math.inf
    looked_at = math.inf
    cuts = 0
    share = 1.0
    level_before = level
    q_level = 0.0
    may_foresee = residual_tolerance > 0.0 and top_kind == FLUX and not head_form
    for iteration in range(MAX_ITERATIONS):
        for i in range(n):
            theta, capacity, k_cell[i], dk_cell[i] = hydraulics(h[i], soils[soil_of[i]])
            a_cell[i], da_cell[i] = pore_humidity(h[i], temperature[i])
            v, dv = stored_with(h[i], dz[i], theta, capacity, i == 0 and ponding)
            if head_form:
                residual[i] = dv * (h[i] - old[i]) - amounts[i]
                # without the slope of the capacity the iteration fails on every long step
                nearby = h[i] + 1e-6 * abs(h[i]) + 1e-9
                _, dv_nearby = stored(nearby, dz[i], soils[soil_of[i]], i == 0, ponding)
                dv += (dv_nearby - dv) / (nearby - h[i]) * (h[i] - old[i])
            else:
                residual[i] = v - water[i] - amounts[i]
            diagonal[i] = dv
            own[i] = dv
            lower[i] = 0.0
            upper[i] = 0.0
        top_flow = top_value
        if top_kind != FLUX:
            kt, dkt = conductivity(top_head, soils[soil_of[0]])
            through, _, q_h = half_flow(top_head, kt, dkt, h[0], k_cell[0], dk_cell[0], 0.5 * dz[0])
            if top_kind == HEAD or through > top_value:
                top_flow = through
                diagonal[0] -= dt * q_h
        residual[0] -= dt * top_flow
        for i in range(n - 1):
            distance = 0.5 * (dz[i] + dz[i + 1])
            if soil_of[i] == soil_of[i + 1]:
                q, qa, qb = half_flow(h[i], k_cell[i], dk_cell[i], h[i + 1], k_cell[i + 1], dk_cell[i + 1], distance)
            else:
                q, qa, qb, contact[i] = contact_flow(
                    h[i],
                    k_cell[i],
                    dk_cell[i],
                    0.5 * dz[i],
                    soils[soil_of[i]],
                    h[i + 1],
                    k_cell[i + 1],
                    dk_cell[i + 1],
                    0.5 * dz[i + 1],
                    soils[soil_of[i + 1]],
                    contact[i],
                )
            d = diffusion[i] / (distance * WATER_DENSITY)
            vapour[i] = d * (a_cell[i] * density_sat[i] - a_cell[i + 1] * density_sat[i + 1])
            qa += d * da_cell[i] * density_sat[i]
            qb -= d * da_cell[i + 1] * density_sat[i + 1]
            flow[i] = q + vapour[i]
            residual[i] += dt * flow[i]
            residual[i + 1] -= dt * flow[i]
            diagonal[i] += dt * qa
            upper[i] = dt * qb
            lower[i + 1] = -dt * qa
            diagonal[i + 1] -= dt * qb
        last = n - 1
        vapour[last] = 0.0
        q, q_h, q_level = bottom_flow(
            h[last],
            k_cell[last],
            dk_cell[last],
            0.5 * dz[last],
            soils[soil_of[last]],
            level,
            bottom_kind,
            fringe,
            entry,
            bottom_head,
        )
        if wick_share > 0.0:
            wick, wick_h, wick_l = wick_flow(h[last], 0.5 * dz[last], level, depth, wick_conducts, wick_rise)
            q += wick_share * wick
            q_h += wick_share * wick_h
            q_level += wick_share * wick_l
        flow[last] = q
        residual[last] += dt * q
        diagonal[last] += dt * q_h
        if has_reservoir:
            v, dv = reservoir_stored(level, depth, void)
            residual[n] = v - reservoir - reservoir_amount - dt * q
            diagonal[n] = dv - dt * q_level
            upper[last] = dt * q_level
            lower[n] = -dt * q_h
        worst = 0.0
        for i in range(rows):
            # not a number would slip through every comparison
            worst = max(worst, abs(residual[i])) if residual[i] == residual[i] else math.inf
        if worst < TOLERANCE:
            return True, level, top_flow, iteration
        if worst > MAY_GROW * previous and cuts < MOST_CUTS:
            # the change of heads went too far: less of it, from where it began
            cuts += 1
            share = shortened(before, change, n) if cuts == 1 else 0.5 * share
            for i in range(n):
                h[i] = moved(before[i], -share * change[i])
            if has_reservoir:
                level = level_before - share * change[n]
            continue
        if worst == math.inf:
            return False, level, top_flow, iteration
        cuts = 0
        previous = worst
        if iteration % LOOKED_AT == LOOKED_AT - 1:
            # slow or no progress: let the caller take a shorter step
            if worst > WORTH * looked_at:
                return False, level, top_flow, iteration
            looked_at = worst
        for i in range(1, rows):
            factor = lower[i] / diagonal[i - 1]
            diagonal[i] -= factor * upper[i - 1]
            residual[i] -= factor * residual[i - 1]
        residual[rows - 1] /= diagonal[rows - 1]
        for i in range(rows - 2, -1, -1):
            residual[i] = (residual[i] - upper[i] * residual[i + 1]) / diagonal[i]
        if may_foresee and foreseen(
            h, level, residual, dt, dz, soil_of, soils, own, dk_cell, has_reservoir, fringe, entry, residual_tolerance
        ):
            # the flows of the end of this last change, by their slopes: what crosses stays one number for both sides
            for i in range(n - 1):
                flow[i] += (lower[i + 1] * residual[i] - upper[i] * residual[i + 1]) / dt
                d = diffusion[i] / (0.5 * (dz[i] + dz[i + 1]) * WATER_DENSITY)
                less = da_cell[i] * density_sat[i] * residual[i] - da_cell[i + 1] * density_sat[i + 1] * residual[i + 1]
                vapour[i] -= d * less
            flow[last] -= q_h * residual[last]
            for i in range(n):
                h[i] -= residual[i]
            if has_reservoir:
                flow[last] -= q_level * residual[n]
                level -= residual[n]
            return True, level, top_flow, iteration + 1
        for i in range(n):
            before[i] = h[i]
            change[i] = residual[i]
            h[i] = moved(h[i], -residual[i])
        if has_reservoir:
            level_before = level
            change[n] = residual[n]
            level -= residual[n]
    return False, level, top_flow, MAX_ITERATIONS
