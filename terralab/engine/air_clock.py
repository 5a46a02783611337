"""The air clock: steps of some seconds to minutes inside one soil step, and one ends wherever a device switches.

The scheme is the L-stable two-stage SDIRK of second order (Alexander 1977, gamma = 1 - 1/sqrt 2). One or two linear
solves a stage (`stage`); the flows recorded are those of the last solve, weighted as the scheme weighs them.
"""

import math

import numpy as np

from terralab.engine.air_solve import solve
from terralab.engine.devices import begun, combine, drawn, held_until, lasts_until, overshoot, switch_wanted
from terralab.engine.exchange import applied, collect, flows, staged
from terralab.engine.kinds import HIDDEN_SOIL, LEAF, SOIL
from terralab.engine.links import link_up
from terralab.engine.surfaces import look_at_surfaces, saturated
from terralab.engine.zones import look_at_all_drops, look_at_zones
from terralab.jit import inner
from terralab.physics.constants import WATER_DENSITY

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
SHORTEST = 0.25  # s
RESTART, RESTART_IN_FOG = 120.0, 15.0  # s, the longest first step after a switching; fog fills the air within seconds
HOPELESS = 100.0  # times the tolerance: a step that errs by more is never taken, however short
COLDEST, HOTTEST = -40.0, 80.0  # C of the air: beyond, the formulas do not hold
CURRENT, STAGE, BASE, END, KEPT, SLOPE = 0, 1, 2, 3, 4, 5  # rows of states and chains
FIRST, SECOND = np.int64(0), np.int64(1)  # rows of flows; plain numbers would have `stage` compiled once for each
NEAR = 0.3  # of the tolerances: a guess that met the solution this nearly is not solved again
FARTHEST = 10.0  # K from the last known temperature: how far a guess may reach


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
def toward(start, change):
    """A temperature [C] guessed `change` [K] from `start`, not absurdly far."""
    return start + min(FARTHEST, max(-FARTHEST, change))


@inner
def guess(air, stacked, chain, known, factor, slope):
    """Put `known` + factor x `slope` (rows) into the STAGE rows for what a stage looks at.

    The little air of a hide, which comes after the `stacked` zones, follows what is around it at once: how it went in a
    stage says nothing about where it goes, and a guess made of that threw each step off anew.
    """
    for i in range(air.state_v.shape[1]):
        air.state_v[STAGE, i] = air.state_v[known, i]
    for i in range(stacked):
        s, way = air.zones[STAGE, i], air.zones[slope, i]
        s.t = toward(s.t, factor * way.t)
        s.w = min(1.5 * s.w, max(0.5 * s.w, s.w + factor * way.w))
    for j in range(air.surface.size):
        s = air.surfaces[STAGE, j]
        s.t = toward(s.t, factor * air.surfaces[slope, j].t)
    for i in range(chain.shape[1]):
        chain[STAGE, i] = toward(chain[known, i], factor * chain[slope, i])


@inner
def off_the_guess(air, row, near_rh, near_t):
    """Whether the solution in `row` lies off what it was worked out with."""
    for i in range(air.zone.size):
        k, s = air.zone_now[i], air.zones[row, i]
        if abs(s.t - k.t) > near_t or abs(s.w - k.w) > near_rh * k.ws:
            return True
    farthest = 0.0
    for j in range(air.surface.size):
        farthest = max(farthest, abs(air.surfaces[row, j].t - air.surface_now[j].t))
    return farthest > near_t


@inner
def stage(w, tau, flow_row, rounds, near_rh, near_t):
    """One implicit stage of tau [s] from the BASE rows: the STAGE rows hold a guess and take the result.

    It is solved again, at most `rounds` times, until the result meets the guess it was worked out with. What the openings
    and currents move is looked at each time: between two airs a little warmth turns it on or off.
    """
    b = w.box[0]
    now = w.now[0]
    air = w.air
    f = w.flow[flow_row]
    chain = w.chain[STAGE]
    last = chain.size - 1
    warmed = w.carried.warmed
    for i in range(chain.size):
        gain = w.carried.foreseen[i - 1] if i > 0 else w.carried.arrives[0]
        gain -= w.carried.foreseen[i]
        warmed[i] = w.chain[BASE, i] + tau * gain / w.capacity[i]
    cell = w.surface_cell[0]
    landing = (1.0 - cell.past) * now.watering + air.ground_now[0].landed
    cell.arriving = landing / (b.floor * WATER_DENSITY)
    soil = w.soils[w.soil_of[0]]
    for n in range(rounds):
        look_at_zones(b, air, STAGE, BASE, chain[last], tau)
        look_at_surfaces(b, now, air, STAGE, BASE, chain, soil, cell, tau, n == 0)
        link_up(b, now, air, w.vents)
        look_at_all_drops(b, now, air, BASE, tau)
        solve(b, now, air, STAGE, BASE, chain, warmed, w.capacity, w.between, w.side, tau, w.sweep)
        if not off_the_guess(air, STAGE, near_rh, near_t):
            break
    flows(b, now, air, STAGE, BASE, chain, w.side, tau, f, flow_row)
    staged(air, STAGE, BASE, flow_row, tau)
    loses = 0.0
    for j in range(air.surface.size):
        kind, inner_way = air.surface[j].kind, air.surface_flow[flow_row, j].inner
        if kind in (SOIL, HIDDEN_SOIL):
            loses += inner_way
        elif kind == LEAF:
            loses += cell.rooted * inner_way
    air.cell[STAGE].age = air.cell[BASE].age + tau
    air.cell[STAGE].water = air.cell[BASE].water + tau * (
        f.surface_up + cell.arriving - loses / (b.floor * WATER_DENSITY)
    )


@inner
def substep(w, place, t, dt, rounds, near_rh, near_t):
    """One step of dt [s] from the CURRENT rows into the END rows; flow row 2 takes the amounts that moved.

    Returns the estimated error in relative humidity [-] and air temperature [K]: the mean of the stacked zones, or a hide's.
    """
    now = w.now[0]
    air = w.air
    tau = GAMMA * dt
    state = air.state_v
    chain = w.chain
    for i in range(state.shape[1]):
        state[BASE, i] = state[CURRENT, i]
    for i in range(chain.shape[1]):
        chain[BASE, i] = chain[CURRENT, i]
    stacked = int(w.box[0].stacked)
    guess(air, stacked, chain, CURRENT, tau, SLOPE)
    place = room_at(t + tau, w.room, now, place)
    stage(w, tau, FIRST, rounds, near_rh, near_t)
    # rows END hold for a while how fast the first stage went, for the guess of the second
    for i in range(state.shape[1]):
        state[END, i] = (state[STAGE, i] - state[CURRENT, i]) / tau
        state[BASE, i] = state[CURRENT, i] + (dt - tau) * state[END, i]
    for i in range(chain.shape[1]):
        chain[END, i] = (chain[STAGE, i] - chain[CURRENT, i]) / tau
        chain[BASE, i] = chain[CURRENT, i] + (dt - tau) * chain[END, i]
    for i in range(air.zone.size):
        old, way, k = air.zones[CURRENT, i], air.zones[END, i], air.foreseen[i]
        k.t = old.t + dt * way.t
        k.w = old.w + dt * way.w
    guess(air, stacked, chain, STAGE, dt - tau, END)
    room_at(t + dt, w.room, now, place)
    stage(w, tau, SECOND, rounds, near_rh, near_t)
    weighed(w.flow_v, dt)
    weighed(air.flow_v, dt)
    for i in range(state.shape[1]):
        state[END, i] = state[STAGE, i]
    for i in range(chain.shape[1]):
        chain[END, i] = chain[STAGE, i]
    applied(air, CURRENT, END, 2)
    error_rh = 0.0
    error_t = 0.0
    for i in range(air.zone.size):
        end, k = air.zones[END, i], air.foreseen[i]
        ws, _ = saturated(end.t)
        off_rh, off_t = abs(end.w - k.w) / ws, abs(end.t - k.t)
        if i < stacked:
            error_rh += air.mean_share[i] * off_rh
            error_t += air.mean_share[i] * off_t
        else:
            error_rh = max(error_rh, off_rh)
            error_t = max(error_t, off_t)
    return error_rh, error_t


@inner
def weighed(rows, dt):
    """Fill row 2 with what moved in a step of dt [s] by the rates of the two stages, rows 0 and 1."""
    for i in range(rows.shape[1]):
        rows[2, i] = dt * ((1.0 - GAMMA) * rows[0, i] + GAMMA * rows[1, i])


@inner
def as_switched(w, row):
    """Sum up what runs from now on, by row `row` of the timers, the controls and the tanks."""
    combine(
        w.now[0],
        w.box[0],
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


@inner
def advance(w, t, t_end, size, place, settings):
    """Carry the air from t to t_end [s]. Returns (status, size of the next step, place in the schedule, steps).

    `settings` is a record of SETTINGS. Status 0 good; 1 the numbers left the range of the formulas (a bug or an absurd box). Fills flow row 3, which must be empty.
    """
    steps = 0
    row = place
    tolerance_rh, tolerance_t = settings.rh, settings.temperature
    rounds = int(settings.rounds)
    while row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
        row += 1
        begun(t, w.schedule_t, row, w.schedule_on, w.devices, w.device_on, w.device_since)
    air = w.air
    as_switched(w, row)
    room_place = row_at(w.room, t)
    while t < t_end - 1e-6:
        stop = held_until(t, t_end, w.devices, w.device_on, w.device_since)
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] < stop:
            stop = w.schedule_t[row + 1]
        stop = lasts_until(t, stop, w.schedule_on[row], w.devices, w.device_on, w.tank_left)
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
        outside = not error < HOPELESS
        for i in range(air.zone.size):
            outside = outside or not COLDEST < air.zones[END, i].t < HOTTEST
        if outside:
            collect(air, w.flow[3], 3)
            return 1, size, row, steps
        if error > 2.0 and dt > SHORTEST:
            size = max(SHORTEST, dt * max(0.2, 0.8 / math.sqrt(error)))
            continue
        wanted, overdue = switch_wanted(w.air, END, t + dt, w.devices, w.device_on, w.device_since)
        if wanted >= 0 and overdue > 0.05 and dt > 1.0:
            before = overshoot(w.devices[wanted], w.device_on[wanted], w.air, CURRENT)
            if before < 0.0:
                # along a straight line to just past the set point
                size = max(1.0, dt * (0.025 - before) / (overdue - before))
                continue
        tau = GAMMA * dt
        for i in range(air.state_v.shape[1]):
            air.state_v[SLOPE, i] = (air.state_v[STAGE, i] - air.state_v[BASE, i]) / tau
            air.state_v[CURRENT, i] = air.state_v[END, i]
        for i in range(w.chain.shape[1]):
            w.chain[SLOPE, i] = (w.chain[STAGE, i] - w.chain[BASE, i]) / tau
            w.chain[CURRENT, i] = w.chain[END, i]
        for i in range(w.flow_v.shape[1]):
            w.flow_v[3, i] += w.flow_v[2, i]
        for i in range(air.flow_v.shape[1]):
            air.flow_v[3, i] += air.flow_v[2, i]
        t += dt
        grown = dt * min(3.0, 0.8 / math.sqrt(error + 1e-12))
        size = grown if dt < remaining or grown > size else max(size, grown)
        changed = drawn(t, dt, w.schedule_on[row], w.devices, w.device_on, w.tank_left, w.ran_dry)
        if wanted >= 0:
            w.device_on[wanted] = 1.0 - w.device_on[wanted]
            w.device_since[wanted] = t
            changed = True
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
            row += 1
            begun(t, w.schedule_t, row, w.schedule_on, w.devices, w.device_on, w.device_since)
            changed = True
        if changed:
            as_switched(w, row)
            foggy = w.now[0].fog_in > 0.0
            for i in range(air.zone.size):
                foggy = foggy or air.zones[CURRENT, i].fog > 0.0
            size = min(size, RESTART_IN_FOG if foggy else RESTART)
            # what went on so far says nothing about what comes
            for i in range(air.state_v.shape[1]):
                air.state_v[SLOPE, i] = 0.0
            for i in range(w.chain.shape[1]):
                w.chain[SLOPE, i] = 0.0
    collect(air, w.flow[3], 3)
    return 0, size, row, steps
