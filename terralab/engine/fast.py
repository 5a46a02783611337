"""The air clock: two-stage steps of 1 to 300 s inside one soil step, meeting every switching of a device.

The scheme is the L-stable two-stage SDIRK of order two (Alexander 1977, gamma = 1 - 1/sqrt 2). Two linear
solves a stage; the flows recorded are those of the last solve, weighted as the scheme weighs them.
"""

import math

from terralab.compiled import kernel
from terralab.engine.air import coefficients, saturated, solve
from terralab.engine.exchange import applied, flows, staged
from terralab.engine.skin import ARRIVING

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
AGAIN = (1.0 - GAMMA) / GAMMA
SHORTEST = 0.25  # s
NOTHING, TEMPERATURE, HUMIDITY = 0.0, 1.0, 2.0  # what a device senses
CURRENT, STAGE, BASE, END, KEPT = 0, 1, 2, 3, 4  # rows of states and chains


@kernel
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


@kernel
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


@kernel
def stage(w, tau, flow_row, rounds):
    """One implicit stage of tau [s] from the BASE rows: the STAGE rows hold a guess and take the result."""
    b = w.box[0]
    now = w.now[0]
    k = w.coefficients[0]
    s = w.state[STAGE]
    base = w.state[BASE]
    f = w.flow[flow_row]
    chain = w.chain[STAGE]
    last = chain.size - 1
    for _ in range(rounds):
        coefficients(b, now, s, base, chain[0], chain[last], w.soils[w.soil_of[0]], w.skin, tau, k)
        solve(b, now, k, base, s, chain, w.chain[BASE], w.capacity, w.between, w.side, tau, w.sweep)
    flows(b, now, k, s, base, chain, w.side, tau, f)
    staged(b, f, base, s, tau)
    s.skin_water = base.skin_water + tau * (f.skin_up + w.skin[ARRIVING] - f.soil_evaporation / (b.floor * 1000.0))


@kernel
def substep(w, place, t, dt, rounds):
    """One step of dt [s] from the CURRENT rows into the END rows; flow row 2 takes the amounts that moved.

    Returns the estimated error in relative humidity [-] and air temperature [K].
    """
    now = w.now[0]
    old = w.state[CURRENT]
    end = w.state[END]
    tau = GAMMA * dt
    w.state_v[STAGE, :] = w.state_v[CURRENT, :]
    w.state_v[BASE, :] = w.state_v[CURRENT, :]
    w.chain[STAGE, :] = w.chain[CURRENT, :]
    w.chain[BASE, :] = w.chain[CURRENT, :]
    place = room_at(t + tau, w.room, now, place)
    stage(w, tau, 0, rounds)
    x = w.state[STAGE]
    first_t = old.air_t + (x.air_t - old.air_t) / GAMMA
    first_w = old.air_w + (x.air_w - old.air_w) / GAMMA
    for i in range(w.state_v.shape[1]):
        w.state_v[BASE, i] = w.state_v[CURRENT, i] + AGAIN * (w.state_v[STAGE, i] - w.state_v[CURRENT, i])
    for i in range(w.chain.shape[1]):
        w.chain[BASE, i] = w.chain[CURRENT, i] + AGAIN * (w.chain[STAGE, i] - w.chain[CURRENT, i])
    room_at(t + dt, w.room, now, place)
    stage(w, tau, 1, rounds)
    for i in range(w.flow_v.shape[1]):
        w.flow_v[2, i] = dt * ((1.0 - GAMMA) * w.flow_v[0, i] + GAMMA * w.flow_v[1, i])
    w.state_v[END, :] = w.state_v[STAGE, :]
    applied(w.box[0], w.flow[2], old, end)
    w.chain[END, :] = w.chain[STAGE, :]
    ws, _ = saturated(end.air_t)
    return abs(end.air_w - first_w) / ws, abs(end.air_t - first_t)


@kernel
def combine(w, on_row):
    """Sum what the running devices do into NOW, with the hand's rates of this schedule row."""
    now = w.now[0]
    now.leaf_heat = 0.0
    now.ground_heat = 0.0
    now.glass_heat = 0.0
    now.air_heat = 0.0
    now.floor_heat = 0.0
    now.lit = 0.0
    now.fan_flow = 0.0
    now.air_speed = w.box[0].still_air
    now.fog_in = w.schedule_rate[on_row, 2]
    now.spray = w.schedule_rate[on_row, 1]
    now.watering = w.schedule_rate[on_row, 0]
    now.power = 0.0
    for i in range(w.devices.size):
        if w.schedule_on[on_row, i] > 0 and w.device_on[i] > 0:
            d = w.devices[i]
            now.leaf_heat += d.leaf_heat
            now.ground_heat += d.ground_heat
            now.glass_heat += d.glass_heat
            now.air_heat += d.air_heat
            now.floor_heat += d.floor_heat
            now.lit = max(now.lit, d.lit)
            now.fan_flow += d.fan_flow
            now.air_speed = max(now.air_speed, d.air_speed)
            now.spray += d.spray
            now.fog_in += d.fog_in
            now.power += d.power


@kernel
def switch_wanted(w, t, row):
    """The device that a control wants to switch at state `row` and time t, and by how much it is overdue.

    Returns (device or -1, overshoot as a share of the hysteresis). A device holds at least its minimum on-time.
    """
    s = w.state[row]
    worst = -1
    overdue = 0.0
    for i in range(w.devices.size):
        d = w.devices[i]
        if d.senses == NOTHING:
            continue
        value = s.air_t
        if d.senses == HUMIDITY:
            ws, _ = saturated(s.air_t)
            value = 100.0 * s.air_w * (0.621945 + ws) / (ws * (0.621945 + s.air_w))
        beyond = value - d.set_point if d.above > 0.0 else d.set_point - value
        half = 0.5 * d.hysteresis
        if w.device_on[i] > 0:
            over = -beyond - half
            if t - w.device_since[i] < d.minimum_on:
                continue
        else:
            over = beyond - half
        if over > 0.0 and over / d.hysteresis >= overdue:
            worst = i
            overdue = over / d.hysteresis
    return worst, overdue


@kernel
def fast_march(w, t, t_end, size, place, tolerance_rh, tolerance_t, longest, rounds):
    """March the air clock from t to t_end [s]. Returns (status, size of the next step, place in the schedule, steps).

    Status 0 good; 1 the numbers left the range of the formulas (a bug or an absurd box). Adds to flow row 3.
    """
    steps = 0
    row = place
    while row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
        row += 1
    combine(w, row)
    room_place = row_at(w.room, t)
    while t < t_end - 1e-6:
        stop = t_end
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] < stop:
            stop = w.schedule_t[row + 1]
        dt = min(size, longest)
        remaining = stop - t
        if dt >= remaining:
            dt = remaining
        elif dt > 0.5 * remaining:
            dt = 0.5 * remaining
        error_rh, error_t = substep(w, room_place, t, dt, rounds)
        steps += 1
        error = max(error_rh / tolerance_rh, error_t / tolerance_t)
        if not error < 1e9:
            return 1, size, row, steps
        if error > 2.0 and dt > SHORTEST:
            size = max(SHORTEST, dt * max(0.2, 0.8 / math.sqrt(error)))
            continue
        wanted, overdue = switch_wanted(w, t + dt, END)
        if wanted >= 0 and overdue > 0.05 and dt > 1.0:
            before, _ = switch_wanted(w, t + dt, CURRENT)
            if before != wanted:
                size = max(1.0, 0.5 * dt)
                continue
        w.state_v[CURRENT, :] = w.state_v[END, :]
        w.chain[CURRENT, :] = w.chain[END, :]
        for i in range(w.flow_v.shape[1]):
            w.flow_v[3, i] += w.flow_v[2, i]
        t += dt
        grown = dt * min(3.0, 0.8 / math.sqrt(error + 1e-12))
        size = grown if dt < remaining or grown > size else max(size, grown)
        changed = False
        if wanted >= 0:
            w.device_on[wanted] = 1 - w.device_on[wanted]
            w.device_since[wanted] = t
            changed = True
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
            row += 1
            changed = True
        if changed:
            combine(w, row)
            size = min(size, 5.0)
    return 0, size, row, steps
