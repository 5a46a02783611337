"""The air clock: two-stage steps of some seconds to minutes inside one soil step, meeting every switching of a device.

The scheme is the L-stable two-stage SDIRK of order two (Alexander 1977, gamma = 1 - 1/sqrt 2). One or two linear
solves a stage (`stage`); the flows recorded are those of the last solve, weighted as the scheme weighs them.
"""

import math

import numpy as np

from terralab.engine.air import CHILL_LEAF, coefficients, saturated, solve
from terralab.engine.exchange import applied, flows, staged
from terralab.engine.tables import STATE
from terralab.jit import inner
from terralab.physics.constants import WATER_DENSITY
from terralab.physics.convection import forced_plate

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
SHORTEST = 0.25  # s
RESTART, RESTART_IN_FOG = 120.0, 15.0  # s, the longest first step after a switching; fog fills the air within seconds
HOPELESS = 100.0  # times the tolerance: a step that errs by more is never taken, however short
COLDEST, HOTTEST = -40.0, 80.0  # C of the air: beyond, the formulas do not hold
NOTHING, TEMPERATURE, HUMIDITY = 0.0, 1.0, 2.0  # what a device senses
CURRENT, STAGE, BASE, END, KEPT, SLOPE = 0, 1, 2, 3, 4, 5  # rows of states and chains
FIRST, SECOND = np.int64(0), np.int64(1)  # rows of flows; plain numbers would have `stage` compiled once for each
NEAR = 0.1  # of the tolerances: a guess that met the solution this nearly is not solved again
FARTHEST = 10.0  # K from the last known temperature: how far a guess may reach

AIR_W = STATE.names.index("air_w")
# temperatures of which a guess is made (all but the chain's)
GUESSED = tuple(STATE.names.index(name) for name in ("air_t", "glass_t", "leaf_t", "dish_t", "cover_t"))


@inner
def room_at(t, room, now, place):
    """Set the room's temperature and humidity ratio at t [s] by straight lines between the rows of `room`."""
    i = place
    while i + 2 < room.shape[0] and room[i + 1, 0] <= t:
        i += 1
    while i > 0 and room[i, 0] > t:
        i -= 1
    x = (t - room[i, 0]) / (room[i + 1, 0] - room[i, 0])
    x = min(1.0, max(0.0, x))
    now.room_t = room[i, 1] + x * (room[i + 1, 1] - room[i, 1])
    now.room_w = room[i, 2] + x * (room[i + 1, 2] - room[i, 2])
    return i


@inner
def row_at(table, t):
    """The row of `table` whose first column is the last one not after t, by halving; one short of the end."""
    low = 0
    high = table.shape[0] - 1
    while high - low > 1:
        middle = (low + high) // 2
        if table[middle, 0] <= t:
            low = middle
        else:
            high = middle
    return low


@inner
def guess(state, chain, known, factor, slope):
    """Put `known` + factor x `slope` (rows) into the STAGE rows for what `coefficients` looks at."""
    for i in range(state.shape[1]):
        state[STAGE, i] = state[known, i]
    for i in GUESSED:
        change = factor * state[slope, i]
        state[STAGE, i] += min(FARTHEST, max(-FARTHEST, change))
    w = state[STAGE, AIR_W] + factor * state[slope, AIR_W]
    state[STAGE, AIR_W] = min(1.5 * state[STAGE, AIR_W], max(0.5 * state[STAGE, AIR_W], w))
    for i in range(chain.shape[1]):
        change = factor * chain[slope, i]
        chain[STAGE, i] = chain[known, i] + min(FARTHEST, max(-FARTHEST, change))


@inner
def stage(w, tau, flow_row, rounds, near_rh, near_t):
    """One implicit stage of tau [s] from the BASE rows: the STAGE rows hold a guess and take the result.

    It is solved again, at most `rounds` times, until the result meets the guess it was worked out with.
    """
    b = w.box[0]
    now = w.now[0]
    k = w.coefficients[0]
    s = w.state[STAGE]
    base = w.state[BASE]
    f = w.flow[flow_row]
    chain = w.chain[STAGE]
    last = chain.size - 1
    warmed = w.carried.warmed
    for i in range(chain.size):
        gain = w.carried.foreseen[i - 1] if i > 0 else 0.0
        gain -= w.carried.foreseen[i]
        warmed[i] = w.chain[BASE, i] + tau * gain / w.capacity[i]
    landing = now.watering
    if b.cover == 0.0:
        landing += now.spray * b.land_ground + k.leaf_drip + max(0.0, base.fog) / b.fog_settle
    cell = w.surface_cell[0]
    cell.arriving = landing / (b.floor * WATER_DENSITY)
    for _ in range(rounds):
        top = s.cover_t if b.cover > 0.0 else chain[0]
        coefficients(b, now, s, base, chain[0], chain[last], w.soils[w.soil_of[0]], w.vents, cell, tau, k)
        solve(b, now, k, base, s, chain, warmed, w.capacity, w.between, w.side, tau, w.sweep)
        new = s.cover_t if b.cover > 0.0 else chain[0]
        off = max(abs(s.air_t - k.air_t), abs(s.glass_t - k.glass_t), abs(s.leaf_t - k.leaf_t), abs(new - top))
        if off < near_t and abs(s.air_w - k.air_w) < near_rh * k.air_ws:
            break
    flows(b, now, k, s, base, chain, w.side, tau, f)
    staged(b, w.flow_v[flow_row], base, s, tau)
    s.surface_water = base.surface_water + tau * (
        f.surface_up + cell.arriving - f.soil_evaporation / (b.floor * WATER_DENSITY)
    )


@inner
def substep(w, place, t, dt, rounds, near_rh, near_t):
    """One step of dt [s] from the CURRENT rows into the END rows; flow row 2 takes the amounts that moved.

    Returns the estimated error in relative humidity [-] and air temperature [K].
    """
    now = w.now[0]
    old = w.state[CURRENT]
    end = w.state[END]
    tau = GAMMA * dt
    state = w.state_v
    chain = w.chain
    for i in range(state.shape[1]):
        state[BASE, i] = state[CURRENT, i]
    for i in range(chain.shape[1]):
        chain[BASE, i] = chain[CURRENT, i]
    guess(state, chain, CURRENT, tau, SLOPE)
    place = room_at(t + tau, w.room, now, place)
    stage(w, tau, FIRST, rounds, near_rh, near_t)
    x = w.state[STAGE]
    first_t = old.air_t + (x.air_t - old.air_t) / GAMMA
    first_w = old.air_w + (x.air_w - old.air_w) / GAMMA
    # rows END hold for a while how fast the first stage went, for the guess of the second
    for i in range(state.shape[1]):
        state[END, i] = (state[STAGE, i] - state[CURRENT, i]) / tau
        state[BASE, i] = state[CURRENT, i] + (dt - tau) * state[END, i]
    for i in range(chain.shape[1]):
        chain[END, i] = (chain[STAGE, i] - chain[CURRENT, i]) / tau
        chain[BASE, i] = chain[CURRENT, i] + (dt - tau) * chain[END, i]
    guess(state, chain, STAGE, dt - tau, END)
    room_at(t + dt, w.room, now, place)
    stage(w, tau, SECOND, rounds, near_rh, near_t)
    for i in range(w.flow_v.shape[1]):
        w.flow_v[2, i] = dt * ((1.0 - GAMMA) * w.flow_v[0, i] + GAMMA * w.flow_v[1, i])
    for i in range(state.shape[1]):
        state[END, i] = state[STAGE, i]
    for i in range(chain.shape[1]):
        chain[END, i] = chain[STAGE, i]
    applied(w.box[0], w.flow[2], w.flow_v[2], old, end)
    ws, _ = saturated(end.air_t)
    return abs(end.air_w - first_w) / ws, abs(end.air_t - first_t)


@inner
def combine(now, b, schedule_on, schedule_rate, devices, device_on, openings, vents, on_row):
    """Sum what the running devices do into NOW, with the hand's rates of this schedule row, and how the air then blows.

    `vents` become the openings as they stand with the fans that run and the doors that stand open.
    """
    now.leaf_heat = 0.0
    now.ground_heat = 0.0
    now.glass_heat = 0.0
    now.air_heat = 0.0
    now.floor_heat = 0.0
    now.light = 0.0
    now.fan_out = 0.0
    now.fan_in = 0.0
    now.air_speed = b.still_air
    now.fog_in = schedule_rate[on_row, 2]
    now.spray = schedule_rate[on_row, 1]
    now.watering = schedule_rate[on_row, 0]
    now.power = 0.0
    now.doors = 0.0
    for i in range(vents.size):
        vents[i].area = openings[i].area
    for i in range(devices.size):
        if schedule_on[on_row, i] > 0 and device_on[i] > 0.0:
            d = devices[i]
            now.leaf_heat += d.leaf_heat
            now.ground_heat += d.ground_heat
            now.glass_heat += d.glass_heat
            now.air_heat += d.air_heat
            now.floor_heat += d.floor_heat
            now.light += d.light
            now.fan_out += d.fan_out
            now.fan_in += d.fan_in
            if d.fan_row >= 0.0:
                seat = vents[int(d.seat_row)]
                seat.area = max(0.0, seat.area - d.face)
                vents[int(d.fan_row)].area = d.face
            if d.door_row >= 0.0:
                now.doors += 1.0
                vents[int(d.door_row)].area = d.face
            now.air_speed = max(now.air_speed, d.air_speed)
            now.spray += d.spray
            now.fog_in += d.fog_in
            now.power += d.power
    now.lit = min(1.0, now.light / b.light_full) if now.light > 0.0 and b.has_plants > 0.0 else 0.0
    now.blown_glass = forced_plate(now.air_speed, b.air_height)
    now.blown_ground = forced_plate(now.air_speed, b.ground_length)
    now.blown_leaf = forced_plate(now.air_speed, CHILL_LEAF * b.leaf_width) if b.has_plants > 0.0 else 0.0
    now.blown_dish = forced_plate(now.air_speed, math.sqrt(b.dish_area)) if b.has_dish > 0.0 else 0.0


@inner
def overshoot(d, on, s):
    """How far device d's reading at state s is past where it switches next, as a share of the hysteresis; below 0: not yet."""
    value = s.air_t
    if d.senses == HUMIDITY:
        ws, _ = saturated(s.air_t)
        value = 100.0 * s.air_w * (0.621945 + ws) / (ws * (0.621945 + s.air_w))
    beyond = value - d.set_point if d.above > 0.0 else d.set_point - value
    return (-beyond if on > 0.0 else beyond) / d.hysteresis - 0.5


@inner
def switch_wanted(s, t, devices, device_on, device_since):
    """The device that a control wants to switch at state s and time t, and its overshoot.

    Returns (device or -1, overshoot). A device holds at least its minimum on-time.
    """
    worst = -1
    overdue = 0.0
    for i in range(devices.size):
        d = devices[i]
        if d.senses == NOTHING or (device_on[i] > 0.0 and t + 1e-6 < device_since[i] + d.minimum_on):
            continue
        over = overshoot(d, device_on[i], s)
        if over > 0.0 and over >= overdue:
            worst = i
            overdue = over
    return worst, overdue


@inner
def held_until(t, t_end, devices, device_on, device_since):
    """When the next running device on a control has run its minimum on-time, at the latest t_end [s]."""
    first = t_end
    for i in range(devices.size):
        if devices[i].senses != NOTHING and device_on[i] > 0.0:
            free = device_since[i] + devices[i].minimum_on
            if t + 1e-6 < free < first:
                first = free
    return first


@inner
def advance(w, t, t_end, size, place, settings):
    """Carry the air from t to t_end [s]. Returns (status, size of the next step, place in the schedule, steps).

    `settings` is a record of SETTINGS. Status 0 good; 1 the numbers left the range of the formulas (a bug or an absurd box). Adds to flow row 3.
    """
    steps = 0
    row = place
    tolerance_rh, tolerance_t = settings.rh, settings.temperature
    rounds = int(settings.rounds)
    while row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
        row += 1
    combine(w.now[0], w.box[0], w.schedule_on, w.schedule_rate, w.devices, w.device_on, w.openings, w.vents, row)
    room_place = row_at(w.room, t)
    while t < t_end - 1e-6:
        stop = held_until(t, t_end, w.devices, w.device_on, w.device_since)
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] < stop:
            stop = w.schedule_t[row + 1]
        dt = min(size, settings.longest_air)
        remaining = stop - t
        if dt >= remaining:
            dt = remaining
        elif dt > 0.5 * remaining:
            dt = 0.5 * remaining
        error_rh, error_t = substep(w, room_place, t, dt, rounds, NEAR * tolerance_rh, NEAR * tolerance_t)
        steps += 1
        error = max(error_rh / tolerance_rh, error_t / tolerance_t)
        if (
            not error < HOPELESS and dt > SHORTEST
        ):  # so written that a step that ended in no number is taken shorter too
            size = max(SHORTEST, 0.2 * dt)
            continue
        if not error < HOPELESS or not (COLDEST < w.state[END].air_t < HOTTEST):
            return 1, size, row, steps
        if error > 2.0 and dt > SHORTEST:
            size = max(SHORTEST, dt * max(0.2, 0.8 / math.sqrt(error)))
            continue
        wanted, overdue = switch_wanted(w.state[END], t + dt, w.devices, w.device_on, w.device_since)
        if wanted >= 0 and overdue > 0.05 and dt > 1.0:
            before = overshoot(w.devices[wanted], w.device_on[wanted], w.state[CURRENT])
            if before < 0.0:
                # along a straight line to just past the set point
                size = max(1.0, dt * (0.025 - before) / (overdue - before))
                continue
        tau = GAMMA * dt
        for i in range(w.state_v.shape[1]):
            w.state_v[SLOPE, i] = (w.state_v[STAGE, i] - w.state_v[BASE, i]) / tau
            w.state_v[CURRENT, i] = w.state_v[END, i]
        for i in range(w.chain.shape[1]):
            w.chain[SLOPE, i] = (w.chain[STAGE, i] - w.chain[BASE, i]) / tau
            w.chain[CURRENT, i] = w.chain[END, i]
        for i in range(w.flow_v.shape[1]):
            w.flow_v[3, i] += w.flow_v[2, i]
        t += dt
        grown = dt * min(3.0, 0.8 / math.sqrt(error + 1e-12))
        size = grown if dt < remaining or grown > size else max(size, grown)
        changed = False
        if wanted >= 0:
            w.device_on[wanted] = 1.0 - w.device_on[wanted]
            w.device_since[wanted] = t
            changed = True
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
            row += 1
            changed = True
        if changed:
            combine(
                w.now[0], w.box[0], w.schedule_on, w.schedule_rate, w.devices, w.device_on, w.openings, w.vents, row
            )
            foggy = w.now[0].fog_in > 0.0 or w.state[CURRENT].fog > 0.0
            size = min(size, RESTART_IN_FOG if foggy else RESTART)
            # what went on so far tells nothing about what comes
            for i in range(w.state_v.shape[1]):
                w.state_v[SLOPE, i] = 0.0
            for i in range(w.chain.shape[1]):
                w.chain[SLOPE, i] = 0.0
    return 0, size, row, steps
