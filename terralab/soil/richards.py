"""The soil clock: one implicit step of Richards' equation, mixed form, over all cells and the drainage layer.

    (water held now) - (water held before) = source + dt (flow in from above - flow out below)

for each cell, with Darcy's law and the diffusion of vapour for the flows at the end of the step. The unknowns are the
pressure heads h [m] of the cells, top to bottom, and the water level in the drainage layer, counted from the mesh
(negative below it). Flows are positive downwards. Watering and evaporation, roots and vapour from the reservoir
arrive as *amounts* (metres of water over the floor), so that water closes to round-off whatever the tolerance.
Celia, Bouloutas & Zarba 1990, Water Resour. Res. 26:1483.
"""

import math

from terralab.jit import inner, kernel
from terralab.physics.conductivity import hydraulics, pore_humidity
from terralab.physics.constants import WATER_DENSITY
from terralab.soil.arrays import FLUX, RESERVOIR
from terralab.soil.darcy import contact_flow, half_flow
from terralab.soil.ends import bottom_flow, top_flow
from terralab.soil.newton import leaves_little, meets_a_kink, shortened, updated
from terralab.soil.storage import reservoir_stored, stored, stored_with
from terralab.soil.tridiagonal import thomas

TOLERANCE = 1.0e-9  # m of water, largest residual of an accepted step
MAX_ITERATIONS = 40
MOST_CUTS = 6  # how often one change of heads is shortened
# How far the residual may grow. On the way to saturation it grows a little before it falls, and is best left alone;
# where a change of heads carries dry cells too far it grows a hundredfold.
MAY_GROW = 30.0
LOOKED_AT, WORTH = 8, 0.1  # after so many iterations the residual must have come down to this share
# A front of water that enters bone-dry thin cells crosses many of them in the shortest step too, and each takes an iteration
# or two before the residual falls at all. So a step below so many seconds, which is shortened for nothing else, is given time.
HURRIES_ABOVE = 0.5  # s
MOST_PATIENT = 400


@kernel
def step(h, water, dt, grid, drivers, top, bottom, method, flows, m):
    """Take one implicit step of dt [s]. Returns (converged, flow into the top [m/s], iterations).

    h [m] is the start and holds the result; `water` [m] is what is stored at the start (exact); both have a last place
    for the drainage layer, used where the bottom is a RESERVOIR. The other arguments are those of `soil.arrays`: grid,
    what drives the step, its ends, how it is computed. On success `flows` hold those of the step; m is scratch.
    On failure h is spoilt: the caller keeps a copy.
    """
    n = grid.dz.size
    has_reservoir = bottom.kind == RESERVOIR
    rows = n + 1 if has_reservoir else n
    may_foresee = method.residual_tolerance > 0.0 and top.kind == FLUX and not method.head_form
    previous = math.inf
    looked_at = math.inf
    cuts = 0
    share = 1.0
    q_top = 0.0
    for i in range(n):
        m.start[i] = h[i]
    hurries = dt > HURRIES_ABOVE
    most = MAX_ITERATIONS if hurries else MOST_PATIENT
    for iteration in range(most):
        q_top, q_h, q_level = balances(h, water, dt, grid, drivers, top, bottom, method, flows, m)
        worst = largest(m.residual, rows)
        if worst < TOLERANCE:
            return True, q_top, iteration
        if worst > MAY_GROW * previous and cuts < MOST_CUTS:
            # the change of heads went too far: less of it, from where it began
            cuts += 1
            share = shortened(m.before, m.change, n) if cuts == 1 else 0.5 * share
            update(h, m.before, m.change, share, n, rows)
            continue
        if worst == math.inf:
            return False, q_top, iteration
        cuts = 0
        previous = worst
        if hurries and iteration % LOOKED_AT == LOOKED_AT - 1:
            # slow or no progress: let the caller take a shorter step
            if worst > WORTH * looked_at:
                return False, q_top, iteration
            looked_at = worst
        thomas(m.lower, m.diagonal, m.upper, m.residual, m.change, rows)
        smooth = may_foresee and not meets_a_kink(h, grid, bottom, m.change, has_reservoir)
        if smooth and leaves_little(h, dt, grid, m, method.residual_tolerance):
            finish(h, dt, grid, drivers, flows, m, q_h, q_level, rows)
            return True, q_top, iteration + 1
        for i in range(rows):
            m.before[i] = h[i]
        # changes that go round about a kink, such as saturation, meet at half their length
        update(h, m.before, m.change, 1.0 if iteration < MAX_ITERATIONS else 0.5, n, rows)
    return False, q_top, most


@inner
def balances(h, water, dt, grid, drivers, top, bottom, method, flows, m):
    """Fill m with what each balance misses [m] at heads h, and with the slopes of that by the heads; fill the flows.

    Returns the flow into the top [m/s], and the slopes of the flow out of the lowest cell by its head and by the level.
    """
    n = grid.dz.size
    stores(h, water, grid, drivers, method, m)
    q_top, q_h = top_flow(top, h[0], m.k[0], m.dk[0], grid.dz[0], grid.soils[grid.soil_of[0]])
    m.residual[0] -= dt * q_top
    m.diagonal[0] -= dt * q_h
    for i in range(n - 1):
        q, q_above, q_below = flow_below(h, i, grid, drivers, flows, m)
        m.residual[i] += dt * q
        m.residual[i + 1] -= dt * q
        m.diagonal[i] += dt * q_above
        m.upper[i] = dt * q_below
        m.lower[i + 1] = -dt * q_above
        m.diagonal[i + 1] -= dt * q_below
    last = n - 1
    soil = grid.soils[grid.soil_of[last]]
    q, q_h, q_level = bottom_flow(h[last], m.k[last], m.dk[last], 0.5 * grid.dz[last], soil, h[n], bottom)
    flows.total[last] = q
    flows.vapour[last] = 0.0
    m.residual[last] += dt * q
    m.diagonal[last] += dt * q_h
    if bottom.kind == RESERVOIR:
        held, slope = reservoir_stored(h[n], bottom.depth, bottom.void)
        m.residual[n] = held - water[n] - drivers.source[n] - dt * q
        m.diagonal[n] = slope - dt * q_level
        m.upper[last] = dt * q_level
        m.lower[n] = -dt * q_h
    return q_top, q_h, q_level


@inner
def stores(h, water, grid, drivers, method, m):
    """Begin the balances: what each cell holds more than before, less its source; and what the flows must know of it."""
    for i in range(grid.dz.size):
        soil = grid.soils[grid.soil_of[i]]
        theta, capacity, m.k[i], m.dk[i] = hydraulics(h[i], soil)
        m.humidity[i], m.dhumidity[i] = pore_humidity(h[i], drivers.temperature[i])
        held, slope = stored_with(h[i], grid.dz[i], theta, capacity, i == 0 and method.ponding)
        if method.head_form:
            m.residual[i] = slope * (h[i] - m.start[i]) - drivers.source[i]
            # without the slope of the capacity the iteration fails on every long step
            nearby = h[i] + 1e-6 * abs(h[i]) + 1e-9
            _, slope_nearby = stored(nearby, grid.dz[i], soil, i == 0, method.ponding)
            slope += (slope_nearby - slope) / (nearby - h[i]) * (h[i] - m.start[i])
        else:
            m.residual[i] = held - water[i] - drivers.source[i]
        m.storage[i] = slope
        m.diagonal[i] = slope
        m.lower[i] = 0.0
        m.upper[i] = 0.0


@inner
def flow_below(h, i, grid, drivers, flows, m):
    """Fill in the flows from cell i to the next; returns all water [m/s] and its slopes by the heads of both [1/s]."""
    j = i + 1
    dz, soil_of, soils = grid.dz, grid.soil_of, grid.soils
    distance = 0.5 * (dz[i] + dz[j])
    if soil_of[i] == soil_of[j]:
        q, q_above, q_below = half_flow(h[i], m.k[i], m.dk[i], h[j], m.k[j], m.dk[j], distance)
    else:
        above, below = soils[soil_of[i]], soils[soil_of[j]]
        q, q_above, q_below, flows.contact[i] = contact_flow(
            h[i], m.k[i], m.dk[i], 0.5 * dz[i], above, h[j], m.k[j], m.dk[j], 0.5 * dz[j], below, flows.contact[i]
        )
    d = drivers.diffusion[i] / (distance * WATER_DENSITY)
    full_above, full_below = drivers.vapour_density[i], drivers.vapour_density[j]
    vapour = d * (m.humidity[i] * full_above - m.humidity[j] * full_below)
    q_above += d * m.dhumidity[i] * full_above
    q_below -= d * m.dhumidity[j] * full_below
    flows.vapour[i] = vapour
    flows.total[i] = q + vapour
    return q + vapour, q_above, q_below


@inner
def largest(residual, rows):
    """The largest residual, infinite where one is not a number: that would slip through every comparison."""
    worst = 0.0
    for i in range(rows):
        worst = max(worst, abs(residual[i])) if residual[i] == residual[i] else math.inf
    return worst


@inner
def update(h, before, change, share, n, rows):
    """Set heads and level to `before` less a `share` of the Newton change."""
    for i in range(n):
        h[i] = updated(before[i], -share * change[i])
    for i in range(n, rows):
        h[i] = before[i] - share * change[i]


@inner
def finish(h, dt, grid, drivers, flows, m, q_h, q_level, rows):
    """Take the last change whole, and the flows at its end by their slopes: what crosses stays one number for both sides."""
    n = grid.dz.size
    last = n - 1
    full = drivers.vapour_density
    for i in range(last):
        flows.total[i] += (m.lower[i + 1] * m.change[i] - m.upper[i] * m.change[i + 1]) / dt
        d = drivers.diffusion[i] / (0.5 * (grid.dz[i] + grid.dz[i + 1]) * WATER_DENSITY)
        less = m.dhumidity[i] * full[i] * m.change[i] - m.dhumidity[i + 1] * full[i + 1] * m.change[i + 1]
        flows.vapour[i] -= d * less
    flows.total[last] -= q_h * m.change[last]
    for i in range(n, rows):
        flows.total[last] -= q_level * m.change[i]
    for i in range(rows):
        h[i] -= m.change[i]
