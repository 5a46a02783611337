"""The same equations as plain rates, dy/dt = f(t, y), for an independent integrator that holds the engine to account.

The engine has nothing of this. The process functions are the engine's own (zones, surfaces, links, `flows`, the soil's
and the ground's), taken with a stage of no length; the bookkeeping around them is written again from the balances.
What the engine treats once per soil step (heat carried by water, root stress, the reservoir's vapour) is a rate
here, and the surface cell evaporates with the pore humidity of its own head.

y holds, in this order: the states of the zones, those of the surfaces (see `zones_of` and `surfaces_of`), the temperatures
of the chain, the wetness of each soil cell, the water level in the drainage layer [m from the mesh], and what passed since
the start [kg] (`PASSED`). The soil's surface has no store of its own: it is the first of the chain, and its places in y
stand still. The radiant node stores nothing, so its temperature follows from those of the surfaces.
Wetness u [-] is log suction that stays plain near saturation: h = -0.01 m (exp(u) - 1), and h = -0.01 m u below 0.
"""

import math

import numpy as np

from terralab.engine.air_clock import CURRENT, combine, room_at, row_at
from terralab.engine.droplets import droplets
from terralab.engine.exchange import collect, flows
from terralab.engine.ground import bypass, prepare, reservoir_vapour
from terralab.engine.kinds import HIDDEN_SOIL, SOIL
from terralab.engine.links import link_up
from terralab.engine.soil_step import bottom_of
from terralab.engine.surfaces import look_at_surfaces
from terralab.engine.tables import SURFACE_STATE, ZONE_STATE, Work
from terralab.engine.water_heat import vapour_by_warmth
from terralab.engine.zones import look_at_all_drops, look_at_zones
from terralab.jit import allocating, inner, kernel
from terralab.physics.conductivity import conductivity, pore_humidity
from terralab.physics.constants import AIR_HEAT, LATENT_ZERO, VAPOUR_HEAT, WATER_DENSITY, WATER_HEAT
from terralab.physics.moist_air import latent_heat, vapour_enthalpy
from terralab.physics.roots import wet_target
from terralab.soil.arrays import RESERVOIR
from terralab.soil.darcy import contact_flow, half_flow
from terralab.soil.ends import bottom_flow
from terralab.soil.storage import SPECIFIC_STORAGE, reservoir_stored, stored

#: What passed since the start: all evaporation into the air, that from the soil, by leaves, and vapour to the room.
PASSED = ("evaporated", "soil_evaporation", "transpiration", "vapour_to_room")
ZONE_FIELDS, SURFACE_FIELDS = len(ZONE_STATE.names), len(SURFACE_STATE.names)
SUCTION_SCALE = 0.01  # m, suction at which wetness turns from plain to logarithmic


@kernel
def head_of(u):
    """Pressure head [m] and its slope [m] for a wetness u [-]."""
    if u > 0.0:
        return -SUCTION_SCALE * math.expm1(u), -SUCTION_SCALE * math.exp(u)
    return -SUCTION_SCALE * u, -SUCTION_SCALE


@inner
def arrange(t, y, w, row):
    """Put state y at time t [s] and schedule row `row` into the work arrays and prepare the soil's side."""
    b = w.box[0]
    n = w.dz.size
    fast = w.air.zone.size * ZONE_FIELDS + w.air.surface.size * SURFACE_FIELDS
    size = w.chain.shape[1]
    for i in range(fast):
        w.air.state_v[CURRENT, i] = y[i]
    for i in range(size):
        w.chain[CURRENT, i] = y[fast + i]
    for j in range(w.air.surface.size):
        if w.air.surface[j].kind == SOIL or w.air.surface[j].kind == HIDDEN_SOIL:
            w.air.surfaces[CURRENT, j].t = w.chain[CURRENT, 0]
    for i in range(n):
        w.head[i], _ = head_of(y[fast + size + i])
        w.water[i], _ = stored(w.head[i], w.dz[i], w.soils[w.soil_of[i]], i == 0, True)
        w.cells.fit[i] = min(1.0, max(0.0, y[fast + size + n + 1 + i]))
    if b.has_reservoir > 0.0:
        w.head[n] = y[fast + size + n]
        w.water[n], _ = reservoir_stored(w.head[n], b.reservoir_depth, b.void)
    combine(
        w.now[0],
        b,
        w.air,
        w.schedule_on,
        w.schedule_rate,
        w.devices,
        w.device_on,
        w.tank_left,
        w.openings,
        w.vents,
        row,
    )
    room_at(t, w.room, w.now[0], row_at(w.room, t))
    prepare(w, 0.0)  # all that warmth drives of vapour lasts: see `engine.water_heat`
    w.surface_cell[0].active = 0.0
    w.surface_cell[0].humidity, _ = pore_humidity(w.head[0], w.chain[CURRENT, 0])


@inner
def look(w):
    """Look at zones, surfaces, openings and drops as they are, and at the radiant node, whose balance is of this instant."""
    b = w.box[0]
    now = w.now[0]
    air = w.air
    chain = w.chain[CURRENT]
    look_at_zones(b, air, CURRENT, CURRENT, chain[chain.size - 1], 0.0)
    soil = w.soils[w.soil_of[0]]
    look_at_surfaces(b, now, air, CURRENT, CURRENT, chain, soil, w.surface_cell[0], 0.0, True)
    link_up(b, now, air, w.vents)
    look_at_all_drops(b, now, air, CURRENT, 0.0)
    for i in range(air.zone.size):
        k = air.zone_now[i]
        k.fog_e = droplets(k, 1.0 - k.w / k.ws, 0.0)
    joined = b.lid_radiation
    warm = b.lid_radiation * now.room_t
    for j in range(air.surface.size):
        joined += air.surface[j].radiates
        warm += air.surface[j].radiates * air.surfaces[CURRENT, j].t
    air.ground_now[0].radiant = warm / joined


@inner
def soil_flows(w):
    """Fill the cells' `flow` and `vapour` [m/s, downwards, below each cell] at the present heads."""
    b = w.box[0]
    n = w.dz.size
    for i in range(n - 1):
        soil = w.soils[w.soil_of[i]]
        below = w.soils[w.soil_of[i + 1]]
        k, dk = conductivity(w.head[i], soil)
        k2, dk2 = conductivity(w.head[i + 1], below)
        distance = 0.5 * (w.dz[i] + w.dz[i + 1])
        if w.soil_of[i] == w.soil_of[i + 1]:
            q, _, _ = half_flow(w.head[i], k, dk, w.head[i + 1], k2, dk2, distance)
        else:
            q, _, _, w.cells.contact[i] = contact_flow(
                w.head[i],
                k,
                dk,
                0.5 * w.dz[i],
                soil,
                w.head[i + 1],
                k2,
                dk2,
                0.5 * w.dz[i + 1],
                below,
                w.cells.contact[i],
            )
        a, _ = pore_humidity(w.head[i], w.cells.temperature[i])
        a2, _ = pore_humidity(w.head[i + 1], w.cells.temperature[i + 1])
        drop = a * w.cells.vapour_density[i] - a2 * w.cells.vapour_density[i + 1]
        w.cells.vapour[i] = w.cells.diffusion[i] * drop / (distance * WATER_DENSITY)
        w.cells.flow[i] = q + w.cells.vapour[i]
    last = n - 1
    soil = w.soils[w.soil_of[last]]
    k, dk = conductivity(w.head[last], soil)
    w.cells.vapour[last] = 0.0
    w.cells.flow[last], _, _ = bottom_flow(w.head[last], k, dk, 0.5 * w.dz[last], soil, w.head[n], bottom_of(b))


@inner
def chain_heat(w, f, up, poured, past, gain):
    """Fill `gain` [W] with the heat that each soil layer and the reservoir gains by all that reaches it."""
    b = w.box[0]
    now = w.now[0]
    air = w.air
    chain = w.chain[CURRENT]
    last = chain.size - 1
    layers = w.layer_start.size - 1
    pour_heat = WATER_HEAT * now.room_t
    for i in range(chain.size):
        gain[i] = -w.side[i] * (chain[i] - now.room_t)
    for i in range(last):
        moved = w.between[i] * (chain[i] - chain[i + 1])
        gain[i] -= moved
        gain[i + 1] += moved
    gain[last] += now.floor_heat - b.bottom_out * (chain[last] - now.room_t)
    # the surface: what lands on it, and what it gives its air, the other surfaces, vapour, and the cover over it
    top = air.surface.size - 1
    surface, k = air.surface[top], air.surface_now[top]
    runs_heat = f.run_off_heat * (1.0 - b.stands_free)
    gain[0] += f.soil_gain + pour_heat * (poured - past) + runs_heat * b.run_off_to_soil
    gain[0] += air.source[top] - k.c * (chain[0] - air.zones[CURRENT, int(surface.zone)].t)
    gain[0] -= surface.radiates * (chain[0] - air.ground_now[0].radiant)
    gain[0] -= air.surface_flow[0, top].inner * (k.l + WATER_HEAT * k.t)
    for j in range(top):
        # the floor of a hide is of the same soil; among what lands stands what was not foreseen of its heat
        if air.surface[j].kind == HIDDEN_SOIL:
            gain[0] -= air.surface_flow[0, j].liquid + air.ground_now[0].hide_heat
        # cover, dish, rock and moss lie on it
        gain[0] += air.surface[j].between * (air.surfaces[CURRENT, j].t - chain[0])
    # what runs past the mix or down the glass, and the tube
    gain[last] += pour_heat * past + runs_heat * (1.0 - b.run_off_to_soil)
    gain[last] -= f.tube_evaporation * (air.ground_now[0].tube_l + WATER_HEAT * air.ground_now[0].tube_t)
    # water on its way
    mass = b.floor * WATER_DENSITY
    for layer in range(layers):
        for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
            gain[layer] -= w.cells.root_share[i] * f.root_heat
        i = w.layer_start[layer + 1] - 1
        vapour = mass * w.cells.vapour[i]
        liquid = mass * w.cells.flow[i] - vapour
        driven = 0.0
        if layer == layers - 1:
            vapour = -up
        else:
            driven = b.floor * vapour_by_warmth(w.cells, w.head, w.dz, i)
        if layer == last:
            gain[layer] -= WATER_HEAT * liquid * chain[layer]
        else:
            warm = chain[layer] if vapour > 0.0 else chain[layer + 1]
            moved = vapour * vapour_enthalpy(warm) - driven * latent_heat(warm)
            moved += WATER_HEAT * liquid * (chain[layer] if liquid > 0.0 else chain[layer + 1])
            gain[layer] -= moved
            gain[layer + 1] += moved


@allocating
def rates(t, y, w, row, dy):
    """Fill dy with the rates of y at t [s], while row `row` of the schedule holds.

    `w` is a packed Work; its rows for the present are overwritten. Controls of devices do not switch here, so
    describe the box without them. Deeds of the hand are not rates: apply them between two integrations.
    """
    b = w.box[0]
    n = w.dz.size
    air = w.air
    fast = air.zone.size * ZONE_FIELDS + air.surface.size * SURFACE_FIELDS
    size = w.chain.shape[1]
    layers = w.layer_start.size - 1
    arrange(t, y, w, row)
    now = w.now[0]
    f = w.flow[0]
    chain = w.chain[CURRENT]
    for i in range(w.flow_v.shape[1]):
        w.flow_v[0, i] = 0.0
    look(w)
    flows(b, now, air, CURRENT, CURRENT, chain, w.side, 0.0, f, 0)
    collect(air, f, 0)
    soil_flows(w)
    # water of the soil and the drainage layer [kg/s]
    poured = now.watering
    past = bypass(b, w.cells.theta, w.dz) * poured
    up = reservoir_vapour(w)
    water = np.zeros(n + 1)
    above = 0.0
    for i in range(n):
        below = b.floor * WATER_DENSITY * w.cells.flow[i]
        water[i] = above - below - w.cells.root_share[i] * f.transpiration
        above = below
    runs = f.glass_drip * (1.0 - b.stands_free)
    water[0] += poured - past + runs * b.run_off_to_soil - f.soil_evaporation + f.patch_drip
    if b.cover > 0.0:
        water[0] += f.cover_drip
    else:
        falls = f.spray_ground + f.leaf_drip + f.lid_drip + f.hide_drip + f.moss_drip + f.fog_settled
        water[0] += (1.0 - b.patch_share) * falls
    lost_below = past + runs * (1.0 - b.run_off_to_soil)
    water[n - 1] += up
    if int(b.bottom_kind) == RESERVOIR:
        water[n] = above + lost_below - up - f.tube_evaporation
    else:
        water[n - 1] += lost_below
    for i in range(fast):
        dy[i] = 0.0
    for i in range(air.zone.size):
        zone, gains, s = air.zone[i], air.zone_flow[0, i], air.zones[CURRENT, i]
        place = i * ZONE_FIELDS
        d_w = gains.vapour / zone.mass
        held = zone.mass * (AIR_HEAT + s.w * VAPOUR_HEAT) + WATER_HEAT * s.fog
        brought = zone.mass * (LATENT_ZERO + VAPOUR_HEAT * s.t) * d_w + WATER_HEAT * s.t * gains.fog
        dy[place] = (gains.heat - brought) / held
        dy[place + 1] = d_w
        dy[place + 2] = gains.fog
        if zone.wood_store > 0.0:
            dy[place + 3] = -gains.wood / zone.wood_store
    for j in range(air.surface.size):
        surface, own, s = air.surface[j], air.surface_flow[0, j], air.surfaces[CURRENT, j]
        if surface.kind != SOIL and surface.kind != HIDDEN_SOIL:
            place = air.zone.size * ZONE_FIELDS + j * SURFACE_FIELDS
            d_film = own.spray + own.landed - own.film - own.drip if surface.film_half > 0.0 else 0.0
            dy[place] = (own.gain - WATER_HEAT * s.t * d_film) / (surface.capacity + WATER_HEAT * s.film)
            dy[place + 1] = d_film
    # temperatures of the chain
    gains = np.zeros(size)
    chain_heat(w, f, up, poured, past, gains)
    for layer in range(size):
        change = water[n]
        if layer < layers:
            change = 0.0
            for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
                change += water[i]
        dy[fast + layer] = (gains[layer] - WATER_HEAT * chain[layer] * change) / w.capacity[layer]
    # heads
    for i in range(n):
        _, dv = stored(w.head[i], w.dz[i], w.soils[w.soil_of[i]], i == 0, True)
        _, slope = head_of(y[fast + size + i])
        if w.head[i] > -SUCTION_SCALE:
            # just below saturation a mix has no slope; the little compression that counts above keeps it from none
            dv = max(dv, SPECIFIC_STORAGE * w.dz[i])
        dy[fast + size + i] = water[i] / (b.floor * WATER_DENSITY * dv * slope)
    _, dv = reservoir_stored(w.head[n], max(b.reservoir_depth, 1e-3), max(b.void, 1e-3))
    dy[fast + size + n] = water[n] / (b.floor * WATER_DENSITY * dv)
    for i in range(n):
        fit = w.cells.fit[i]
        target = wet_target(w.thermal[i].porosity - w.cells.theta[i], b.wet_limit, b.wet_left)
        slow = b.wet_fall if target < fit else b.wet_recover
        dy[fast + size + n + 1 + i] = (target - fit) / slow if w.root_weight[i] > 0.0 else 0.0
    end = fast + size + n + 1 + n
    to_room = f.vapour_leak + f.vapour_openings + f.vapour_fan + f.vapour_door
    dy[end] = f.soil_evaporation + f.cover_evaporation + f.transpiration + f.leaf_film + f.glass_film
    dy[end] += f.dish_evaporation + f.tube_evaporation + f.hide_film + f.patch_film
    dy[end + 1] = f.soil_evaporation
    dy[end + 2] = f.transpiration
    dy[end + 3] = to_room


def start(w: Work) -> np.ndarray:
    """The state y that a packed Work starts from."""
    suction = -w.head[:-1]
    wet = np.where(suction > 0.0, np.log1p(np.maximum(suction, 0.0) / SUCTION_SCALE), suction / SUCTION_SCALE)
    return np.concatenate(
        [w.air.state_v[0, : fast_states(w)], w.chain[0], wet, w.head[-1:], w.cells.fit[:-1], np.zeros(len(PASSED))]
    )


def fast_states(w: Work) -> int:
    """How many numbers of y are states of zones and surfaces; those of the chain come next."""
    return w.air.zone.size * ZONE_FIELDS + w.air.surface.size * SURFACE_FIELDS


def zones_of(w: Work, y: np.ndarray) -> np.ndarray:
    """The states of the zones in y: the same memory as records of ZONE_STATE, a column a zone (y may have rows)."""
    return _named(y, 0, w.air.zone.size * ZONE_FIELDS, ZONE_STATE)


def surfaces_of(w: Work, y: np.ndarray) -> np.ndarray:
    """The states of the surfaces in y: the same memory as records of SURFACE_STATE, a column a surface."""
    return _named(y, w.air.zone.size * ZONE_FIELDS, fast_states(w), SURFACE_STATE)


def _named(y: np.ndarray, first: int, end: int, dtype: np.dtype) -> np.ndarray:
    part = y[..., first:end]
    return part.reshape(*part.shape[:-1], -1, len(dtype.names)).view(dtype)[..., 0]
