"""One run from start to end: the soil clock drives, the air clock marches inside each of its steps.

What crosses between them are amounts. A soil step is thrown away and repeated, shorter, when it did not
converge, changed the soil too much, or when the skin turned out drier or wetter than the air was told.
"""

import math

from terralab.compiled import kernel
from terralab.engine.column import FLUX, pore_humidity, reservoir_level, reservoir_stored, step
from terralab.engine.fast import CURRENT, KEPT, fast_march
from terralab.engine.ground import (
    CONTACT, DENSE, DIFFUSE, DRAWN, FLOW, KEPT_HEAD, KEPT_WATER, SOURCE, THETA, VAPOUR, WARMTH, bypass, carry_heat,
    prepare, reservoir_vapour,
)
from terralab.engine.skin import ACTIVE, HUMIDITY
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.physics.moist_air import humidity_ratio, saturation_pressure

# settings of a run, in the order of the settings row
(
    SECONDS, EVERY, TOLERANCE_RH, TOLERANCE_T, LONGEST_AIR, LONGEST_SOIL, TOLERANCE_THETA, TOLERANCE_SKIN, ROUNDS, CAP,
) = range(10)
SHORTEST_SOIL = 0.05  # s
PATIENT = 4.0  # s: no step is shortened below this for accuracy alone
GOOD, AIR_FAILED, SOIL_FAILED, TOO_MUCH_WORK = 0, 1, 2, 3
SIPHON, REFILL, BELOW = 0.0, 1.0, 2.0


@kernel
def next_change(w, row, t, limit):
    """The next time after t [s], at most `limit`, at which the watering rate changes."""
    rate = w.schedule_rate[row, 0]
    i = row + 1
    while i < w.schedule_t.size and w.schedule_t[i] < limit:
        if w.schedule_t[i] > t + 1e-6 and w.schedule_rate[i, 0] != rate:
            return w.schedule_t[i]
        i += 1
    return limit


@kernel
def save(w, index, t, out_t, out_state, out_chain, out_water, out_head, out_flow, out_moved):
    """Write one row of the record: states now, amounts since the row before."""
    out_t[index] = t
    for i in range(w.state_v.shape[1]):
        out_state[index, i] = w.state_v[CURRENT, i]
    for i in range(w.chain.shape[1]):
        out_chain[index, i] = w.chain[CURRENT, i]
    for i in range(w.water.size):
        out_water[index, i] = w.water[i]
        out_head[index, i] = w.head[i]
    for i in range(w.flow_v.shape[1]):
        out_flow[index, i] = w.flow_v[4, i]
        w.flow_v[4, i] = 0.0
    for i in range(w.moved_v.shape[1]):
        out_moved[index, i] = w.moved_v[0, i]
        w.moved_v[0, i] = 0.0


@kernel
def soil_step(w, dt, poured, tolerance_skin):
    """The soil clock's part of one step of dt [s], after the air's. Returns (status, largest change of theta, skin error).

    Status 1 when it did not converge: the caller restores everything and tries a shorter step.
    """
    b = w.box[0]
    n = w.dz.size
    f = w.flow[3]
    moved = w.moved[1]
    to_metres = 1.0 / (WATER_DENSITY * b.floor)
    past = bypass(w) * poured
    room_t = w.now[0].room_t
    edge = f.glass_drip * b.run_off_to_soil
    arriving = poured - past + edge
    arriving_heat = WATER_HEAT * room_t * (poured - past) + f.run_off_heat * b.run_off_to_soil + f.soil_gain
    if b.cover > 0.0:
        arriving += f.cover_drip
    else:
        arriving += f.spray_ground + f.leaf_drip + f.fog_settled
    up = reservoir_vapour(w) * dt
    if up > 0.0:
        up = min(up, 0.5 * w.water[n] / to_metres)
    below = past + f.glass_drip - edge
    for i in range(n):
        w.cells[SOURCE, i] = -w.cells[DRAWN, i] * f.transpiration * to_metres
    w.cells[SOURCE, 0] += (arriving - f.soil_evaporation) * to_metres
    into_reservoir = 0.0
    below_heat = WATER_HEAT * room_t * past + f.run_off_heat * (1.0 - b.run_off_to_soil)
    if b.has_reservoir > 0.0:
        w.cells[SOURCE, n - 1] += up * to_metres
        into_reservoir = (below - up - f.tube_evaporation) * to_metres
        below_heat -= f.tube_liquid_heat
    else:
        # no drainage layer: what runs past the mix or down the glass gathers at the bottom of the soil
        w.cells[SOURCE, n - 1] += below * to_metres
    good, level, _, _ = step(
        w.head[:n], w.head[n], w.water[:n], w.water[n], dt, w.dz, w.soil_of, w.soils, w.cells[CONTACT],
        w.cells[SOURCE], FLUX, 0.0, 0.0, int(b.bottom_kind), 0.0, True, False, b.reservoir_depth, b.void,
        b.fringe, b.entry, into_reservoir, w.cells[WARMTH], w.cells[DIFFUSE], w.cells[DENSE], w.cells[FLOW],
        w.cells[VAPOUR], w.newton,
    )
    if not good:
        return 1, 0.0, 0.0
    above = 0.0
    change = 0.0
    for i in range(n):
        w.water[i] += w.cells[SOURCE, i] + dt * (above - w.cells[FLOW, i])
        above = w.cells[FLOW, i]
        # a pond is not a change of the soil
        theta = min(w.water[i] / w.dz[i], w.thermal[i, 3])
        change = max(change, abs(theta - w.cells[THETA, i]))
    drained = above * dt / to_metres
    a_fast, _ = pore_humidity(w.state[CURRENT].skin_head, w.chain[CURRENT, 0])
    if w.skin[ACTIVE] == 0.0:
        a_fast = w.skin[HUMIDITY]
    a_new, _ = pore_humidity(w.head[0], w.chain[CURRENT, 0])
    s = w.state[CURRENT]
    ws = humidity_ratio(saturation_pressure(w.chain[CURRENT, 0]))
    drive = max(0.05, abs(a_new - s.air_w / ws))
    skin = abs(a_new - a_fast) / drive / tolerance_skin
    top_heat = arriving_heat - f.soil_liquid_heat
    if b.has_reservoir > 0.0:
        w.water[n] += into_reservoir + above * dt
        w.head[n] = level
        carry_heat(w, dt, top_heat, up, below_heat)
    else:
        # the gathered water's heat enters the lowest layer with it
        last = w.chain.shape[1] - 1
        w.chain[CURRENT, last] += below_heat / w.capacity[last]
        moved.drained_away_heat += carry_heat(w, dt, top_heat, 0.0, 0.0)
        moved.drained_away += drained
    moved.poured += poured
    moved.poured_heat += WATER_HEAT * room_t * poured
    moved.bypassed += past
    moved.to_soil += arriving
    moved.drained += drained
    moved.reservoir_vapour += up
    return 0, change, skin


@kernel
def siphoned(w, level):
    """Take water out of the drainage layer down to `level` [m above the floor]."""
    b = w.box[0]
    n = w.dz.size
    keep, _ = reservoir_stored(level - b.reservoir_depth, b.reservoir_depth, b.void)
    if w.water[n] > keep:
        mass = (w.water[n] - keep) * WATER_DENSITY * b.floor
        w.water[n] = keep
        w.head[n] = reservoir_level(keep, b.reservoir_depth, b.void)
        w.moved[1].siphoned += mass
        w.moved[1].siphoned_heat += WATER_HEAT * mass * w.chain[CURRENT, w.chain.shape[1] - 1]


@kernel
def refilled(w):
    """Top the water dish up with water of room temperature."""
    b = w.box[0]
    s = w.state[CURRENT]
    mass = b.dish_full - s.dish_water
    if mass > 0.0:
        heat = (b.dish_capacity + WATER_HEAT * s.dish_water) * s.dish_t + WATER_HEAT * mass * w.now[0].room_t
        s.dish_water = b.dish_full
        s.dish_t = heat / (b.dish_capacity + WATER_HEAT * s.dish_water)
        w.moved[1].refilled += mass
        w.moved[1].refilled_heat += WATER_HEAT * mass * w.now[0].room_t


@kernel
def poured_below(w, mass):
    """Pour `mass` [kg] of water of room temperature straight into the drainage layer."""
    b = w.box[0]
    n = w.dz.size
    last = w.chain.shape[1] - 1
    heat = WATER_HEAT * mass * w.now[0].room_t
    old = b.aggregate_capacity + WATER_HEAT * WATER_DENSITY * b.floor * w.water[n]
    w.water[n] += mass / (WATER_DENSITY * b.floor)
    w.head[n] = reservoir_level(w.water[n], b.reservoir_depth, b.void)
    w.chain[CURRENT, last] = (old * w.chain[CURRENT, last] + heat) / (old + WATER_HEAT * mass)
    w.moved[1].poured += mass
    w.moved[1].poured_heat += heat
    w.moved[1].bypassed += mass


@kernel
def spilled(w):
    """Water standing higher than the rim runs over it."""
    b = w.box[0]
    pond = w.head[0] - 0.5 * w.dz[0]
    if pond > b.rim:
        over = pond - b.rim
        w.head[0] -= over
        w.water[0] -= over
        mass = over * WATER_DENSITY * b.floor
        w.moved[1].spilled += mass
        w.moved[1].spilled_heat += WATER_HEAT * mass * w.chain[CURRENT, 0]


@kernel
def march(w, settings, out_t, out_state, out_chain, out_water, out_head, out_flow, out_moved, counts):
    """Run to the end. Returns (status, time reached [s]); counts take soil steps, repeats, air steps."""
    b = w.box[0]
    n = w.dz.size
    t = 0.0
    dt = 30.0
    size = 2.0
    row = 0
    hand = 0
    index = 1
    total = settings[SECONDS]
    every = settings[EVERY]
    rounds = int(settings[ROUNDS])
    w.flow_v[:] = 0.0
    w.moved_v[:] = 0.0
    save(w, 0, 0.0, out_t, out_state, out_chain, out_water, out_head, out_flow, out_moved)
    while t < total - 1e-6:
        if counts[0] + counts[1] > settings[CAP]:
            return TOO_MUCH_WORK, t
        while row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
            row += 1
        # a step ends where the record or the watering wants it
        stop = min(total, index * every)
        if hand < w.hand_t.size and w.hand_t[hand] > t + 1e-6:
            stop = min(stop, w.hand_t[hand])
        stop = next_change(w, row, t, stop)
        remaining = stop - t
        now = dt
        if now >= remaining:
            now = remaining
        elif now > 0.5 * remaining:
            now = 0.5 * remaining
        w.state_v[KEPT, :] = w.state_v[CURRENT, :]
        w.chain[KEPT, :] = w.chain[CURRENT, :]
        w.cells[KEPT_HEAD, : n + 1] = w.head
        w.cells[KEPT_WATER, : n + 1] = w.water
        device_on = w.device_on.copy()
        device_since = w.device_since.copy()
        kept_size = size
        while True:
            rate = w.schedule_rate[row, 0]
            prepare(w, rate / (WATER_DENSITY * b.floor))
            w.flow_v[3, :] = 0.0
            w.moved_v[1, :] = 0.0
            status, size, _, air_steps = fast_march(
                w, t, t + now, size, row, settings[TOLERANCE_RH], settings[TOLERANCE_T], settings[LONGEST_AIR], rounds
            )
            counts[2] += air_steps
            if status != GOOD:
                return AIR_FAILED, t
            status, change, skin = soil_step(w, now, rate * now, settings[TOLERANCE_SKIN])
            effort = change / settings[TOLERANCE_THETA]
            if status == GOOD and (now <= PATIENT or (effort <= 2.5 and skin <= 1.0)):
                break
            counts[1] += 1
            w.state_v[CURRENT, :] = w.state_v[KEPT, :]
            w.chain[CURRENT, :] = w.chain[KEPT, :]
            w.head[:] = w.cells[KEPT_HEAD, : n + 1]
            w.water[:] = w.cells[KEPT_WATER, : n + 1]
            w.device_on[:] = device_on
            w.device_since[:] = device_since
            size = kept_size
            if status == GOOD:
                now = max(PATIENT, now * max(0.2, 0.8 / max(1.0, effort, math.sqrt(skin))))
            else:
                now *= 0.4
            if now < SHORTEST_SOIL:
                return SOIL_FAILED, t
        counts[0] += 1
        t += now
        grow = 2.0 if effort < 1e-3 else min(2.0, max(0.3, 0.8 / effort))
        if skin > 0.3:
            grow = min(grow, 1.0)
        if now < remaining or grow < 1.0:
            dt = now * grow
        elif dt < now * grow:
            dt = now * grow
        dt = min(dt, settings[LONGEST_SOIL])
        spilled(w)
        if b.siphon_gap >= 0.0 and b.has_reservoir > 0.0 and -w.head[n] < b.siphon_gap:
            siphoned(w, b.siphon_to)
        while hand < w.hand_t.size and w.hand_t[hand] <= t + 1e-6:
            if w.hand[hand, 0] == SIPHON:
                siphoned(w, w.hand[hand, 1])
            elif w.hand[hand, 0] == REFILL:
                refilled(w)
            else:
                poured_below(w, w.hand[hand, 1])
            hand += 1
        for i in range(w.flow_v.shape[1]):
            w.flow_v[4, i] += w.flow_v[3, i]
        for i in range(w.moved_v.shape[1]):
            w.moved_v[0, i] += w.moved_v[1, i]
        if t >= index * every - 1e-6 or t >= total - 1e-6:
            save(w, index, t, out_t, out_state, out_chain, out_water, out_head, out_flow, out_moved)
            index += 1
    return GOOD, t
