"""One run from start to end: the soil clock drives, the air clock marches inside each of its steps.

What crosses between them are amounts. A soil step is thrown away and repeated, shorter, when it did not
converge, changed the soil too much, or when the surface cell turned out drier or wetter than the air was told.
"""

import math

from terralab.engine.air_clock import COLDEST, CURRENT, FORESEEN, FOUND, HOTTEST, KEPT, advance
from terralab.engine.exchange import onto_soil
from terralab.engine.ground import (
    CONTACT,
    COURSE,
    DENSE,
    DIFFUSE,
    DRAWN,
    FLOW,
    KEPT_HEAD,
    KEPT_WATER,
    SOURCE,
    THETA,
    VAPOUR,
    WARMTH,
    bypass,
    carry_heat,
    prepare,
    reservoir_vapour,
    warm_again,
)
from terralab.engine.manual_actions import REFILL, SIPHON, poured_below, refilled, siphoned, spilled
from terralab.engine.surface_cell import ACTIVE, HUMIDITY
from terralab.jit import inner, kernel
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.physics.wick import wick_flow
from terralab.soil.richards import FLUX, pore_humidity, step

# settings of a run, in the order of the settings row
(
    SECONDS,
    EVERY,
    TOLERANCE_RH,
    TOLERANCE_T,
    LONGEST_AIR,
    LONGEST_SOIL,
    TOLERANCE_THETA,
    TOLERANCE_SURFACE,
    ROUNDS,
    LEFT_OVER,
    CAP,
) = range(11)
SHORTEST_SOIL = 0.05  # s
MOST_WARMED = 0.67  # of the air's tolerance of temperature: how far water and vapour may change one in a soil step
LEAST_WARMED = 0.2  # K, however strict: finer steps gain nothing (measured on the arid demo)
GOOD_SURFACE = 0.5  # of its tolerance: the error of the surface cell that steps are made for
LEAST_DRIVE = (
    0.15  # -: a surface cell in near balance with its air errs by 0.3 % RH at most, a third of what the air may
)
FARTHEST_AHEAD = 0.1  # of a head: a guess for the next step changes it by less
PATIENT = 4.0  # s: no step is shortened below this for accuracy alone
# what a run counts: soil steps taken, tries thrown away and repeated shorter, air steps (of thrown away tries too),
# those of the tries that found no solution, and steps taken at PATIENT although they missed a tolerance
SOIL, REPEATED, AIR, UNCONVERGED, ROUGH = range(5)
GOOD, AIR_FAILED, SOIL_FAILED, TOO_MUCH_WORK = 0, 1, 2, 3


@inner
def next_change(times, rates, row, t, limit):
    """The next time after t [s], at most `limit`, at which the watering rate changes."""
    i = row + 1
    while i < times.size and times[i] < limit:
        if times[i] > t + 1e-6 and rates[i, 0] != rates[row, 0]:
            return times[i]
        i += 1
    return limit


@inner
def copied(source, target):
    """Copy a row of numbers into another that is at least as long."""
    for i in range(min(source.size, target.size)):
        target[i] = source[i]


@inner
def copied_into(row, first, source):
    """Copy `source` into `row` from place `first` on; returns the place after it."""
    for i in range(source.size):
        row[first + i] = source[i]
    return first + source.size


@inner
def save(out, index, t, state, chain, water, head, flow, moved):
    """Write one row of the record: time, states now, amounts since the row before (then set to nothing)."""
    row = out[index]
    row[0] = t
    k = copied_into(row, 1, state)
    k = copied_into(row, k, chain)
    k = copied_into(row, k, water)
    k = copied_into(row, k, head)
    k = copied_into(row, k, flow)
    copied_into(row, k, moved)
    for i in range(flow.size):
        flow[i] = 0.0
    for i in range(moved.size):
        moved[i] = 0.0


@inner
def out_of_range(chain):
    """Whether a layer of soil or the reservoir lies outside the temperatures for which the formulas hold."""
    outside = 0
    for i in range(chain.size):
        if not COLDEST < chain[i] < HOTTEST:
            outside += 1
    return outside > 0


@inner
def ahead(head, course, dt):
    """Move heads [m] by their `course` [m/s] over dt [s] for a first guess: only while they stay on one side of zero."""
    for i in range(head.size):
        change = dt * course[i]
        if abs(change) < FARTHEST_AHEAD * abs(head[i]):
            head[i] += change


@inner
def soil_step(w, dt, poured, tolerance_surface, most_warmed, residual_tolerance):
    """The soil clock's part of one step of dt [s], after the air's. Returns (status, largest change of theta, error of the surface cell, heating).

    Status 1 when it did not converge: the caller restores everything and tries a shorter step.
    """
    b = w.box[0]
    n = w.dz.size
    f = w.flow[3]
    moved = w.moved[1]
    to_metres = 1.0 / (WATER_DENSITY * b.floor)
    past = bypass(b, w.cells[THETA], w.dz) * poured
    room_t = w.now[0].room_t
    edge = f.glass_drip * b.run_off_to_soil
    arriving = poured - past + edge
    arriving += onto_soil(b, w.flow_v[3])
    arriving_heat = WATER_HEAT * room_t * (poured - past) + f.run_off_heat * b.run_off_to_soil + f.soil_gain
    # vapour answers to warmth at once: with the temperatures of the start both swing about each other
    warm_again(w)
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
    if residual_tolerance > 0.0:
        ahead(w.head, w.cells[COURSE], dt)
    good, level, _, _ = step(
        w.head[:n],
        w.head[n],
        w.water[:n],
        w.water[n],
        dt,
        w.dz,
        w.soil_of,
        w.soils,
        w.cells[CONTACT],
        w.cells[SOURCE],
        FLUX,
        0.0,
        0.0,
        int(b.bottom_kind),
        0.0,
        True,
        False,
        b.reservoir_depth,
        b.void,
        b.fringe,
        b.entry,
        b.wick_share,
        b.wick_conducts,
        b.wick_rise,
        into_reservoir,
        w.cells[WARMTH],
        w.cells[DIFFUSE],
        w.cells[DENSE],
        w.cells[FLOW],
        w.cells[VAPOUR],
        residual_tolerance,
        w.newton,
    )
    if not good:
        return 1, 0.0, 0.0, 0.0
    above = 0.0
    change = 0.0
    for i in range(n):
        w.water[i] += w.cells[SOURCE, i] + dt * (above - w.cells[FLOW, i])
        above = w.cells[FLOW, i]
        # a pond is not a change of the soil
        theta = min(w.water[i] / w.dz[i], w.thermal[i, 3])
        change = max(change, abs(theta - w.cells[THETA, i]))
    wick = 0.0
    if b.wick_share > 0.0:
        wick, _, _ = wick_flow(w.head[n - 1], 0.5 * w.dz[n - 1], level, b.reservoir_depth, b.wick_conducts, b.wick_rise)
        wick *= b.wick_share
    touching = above - wick  # [m/s] down through the mesh itself
    drained = (touching + max(0.0, wick)) * dt / to_metres
    a_fast, _ = pore_humidity(w.state[CURRENT].surface_head, w.chain[CURRENT, 0])
    if w.surface_cell[ACTIVE] == 0.0:
        a_fast = w.surface_cell[HUMIDITY]
    a_new, _ = pore_humidity(w.head[0], w.chain[CURRENT, 0])
    s = w.state[CURRENT]
    ws = humidity_ratio(saturation_pressure(w.chain[CURRENT, 0]))
    drive = max(LEAST_DRIVE, abs(a_new - s.air_w / ws))
    surface = abs(a_new - a_fast) / drive / tolerance_surface
    top_heat = arriving_heat - f.soil_liquid_heat
    if b.has_reservoir > 0.0:
        w.water[n] += into_reservoir + above * dt
        w.head[n] = level
        _, warmed = carry_heat(w, dt, top_heat, up, below_heat)
    else:
        # the gathered water's heat enters the lowest layer with it
        last = w.chain.shape[1] - 1
        w.chain[CURRENT, last] += below_heat / w.capacity[last]
        left, warmed = carry_heat(w, dt, top_heat, 0.0, 0.0)
        moved.drained_away_heat += left
        moved.drained_away += drained
    moved.poured += poured
    moved.poured_heat += WATER_HEAT * room_t * poured
    moved.bypassed += past
    moved.to_soil += arriving
    moved.drained += drained
    moved.reservoir_vapour += up
    moved.contact_rise += max(0.0, -touching) * dt / to_metres if b.has_reservoir > 0.0 else 0.0
    moved.wick_rise += max(0.0, -wick) * dt / to_metres
    return 0, change, surface, warmed / most_warmed


@kernel
def run(w, settings, out, counts):
    """Run to the end. Returns (status, time reached [s]); `out` takes a row for each saved time (see `save`),
    `counts` takes what was done: see SOIL and what follows it.
    """
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
    most_warmed = max(LEAST_WARMED, MOST_WARMED * settings[TOLERANCE_T])
    rounds = int(settings[ROUNDS])
    state, chain, flow, moved = w.state_v, w.chain, w.flow_v, w.moved_v
    save(out, 0, 0.0, state[CURRENT], chain[CURRENT], w.water, w.head, flow[4], moved[0])
    while t < total - 1e-6:
        if counts[SOIL] + counts[REPEATED] > settings[CAP]:
            return TOO_MUCH_WORK, t
        while row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
            row += 1
        # a step ends where the record or the watering wants it
        stop = min(total, index * every)
        if hand < w.hand_t.size and w.hand_t[hand] > t + 1e-6:
            stop = min(stop, w.hand_t[hand])
        stop = next_change(w.schedule_t, w.schedule_rate, row, t, stop)
        remaining = stop - t
        now = dt
        if now >= remaining:
            now = remaining
        elif now > 0.5 * remaining:
            now = 0.5 * remaining
        copied(state[CURRENT], state[KEPT])
        copied(chain[CURRENT], chain[KEPT])
        copied(w.head, w.cells[KEPT_HEAD])
        copied(w.water, w.cells[KEPT_WATER])
        copied(w.device_on, w.device_kept[0])
        copied(w.device_since, w.device_kept[1])
        kept_size = size
        while True:
            rate = w.schedule_rate[row, 0]
            prepare(w, now)
            for i in range(flow.shape[1]):
                flow[3, i] = 0.0
            for i in range(moved.shape[1]):
                moved[1, i] = 0.0
            status, size, _, air_steps = advance(
                w, t, t + now, size, row, settings[TOLERANCE_RH], settings[TOLERANCE_T], settings[LONGEST_AIR], rounds
            )
            counts[AIR] += air_steps
            if status != GOOD:
                return AIR_FAILED, t
            if out_of_range(chain[CURRENT]):
                return AIR_FAILED, t
            status, change, surface, warmed = soil_step(
                w, now, rate * now, settings[TOLERANCE_SURFACE], most_warmed, settings[LEFT_OVER]
            )
            wetted = change / settings[TOLERANCE_THETA]
            effort = max(wetted, warmed)
            if status == GOOD and (now <= PATIENT or (wetted <= 2.5 and warmed <= 1.0 and surface <= 1.0)):
                break
            counts[REPEATED] += 1
            if status != GOOD:
                counts[UNCONVERGED] += 1
            copied(state[KEPT], state[CURRENT])
            copied(chain[KEPT], chain[CURRENT])
            copied(w.cells[KEPT_HEAD], w.head)
            copied(w.cells[KEPT_WATER], w.water)
            copied(w.device_kept[0], w.device_on)
            copied(w.device_kept[1], w.device_since)
            size = kept_size
            if status == GOOD:
                now = max(PATIENT, now * max(0.2, 0.8 / max(1.0, effort, math.sqrt(surface))))
            else:
                now *= 0.4
            if now < SHORTEST_SOIL:
                return SOIL_FAILED, t
        counts[SOIL] += 1
        if now <= PATIENT and (wetted > 2.5 or warmed > 1.0 or surface > 1.0):
            counts[ROUGH] += 1
        t += now
        copied(w.carried[FOUND], w.carried[FORESEEN])
        for i in range(n + 1):
            w.cells[COURSE, i] = (w.head[i] - w.cells[KEPT_HEAD, i]) / now
        if row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + 1e-6:
            for i in range(n + 1):
                w.cells[COURSE, i] = 0.0  # something is switched: what went on tells nothing about what comes
        grow = 2.0 if effort < 1e-3 else min(2.0, max(0.3, 0.8 / effort))
        if surface > 0.0:
            grow = min(grow, max(0.5, math.sqrt(GOOD_SURFACE / surface)))
        # a step cut short by an event says nothing against the length before it
        if now < remaining or grow < 1.0 or dt < now * grow:
            dt = now * grow
        # shorter steps are for where the solver gave up, not for what moves fast anyway
        dt = min(max(dt, PATIENT), settings[LONGEST_SOIL])
        m = w.moved[1]
        last = chain.shape[1] - 1
        spilled(b, w.head, w.water, w.dz[0], chain[CURRENT, 0], m)
        if b.siphon_gap >= 0.0 and b.has_reservoir > 0.0 and -w.head[n] < b.siphon_gap:
            siphoned(b, w.head, w.water, chain[CURRENT, last], b.siphon_to, m)
        while hand < w.hand_t.size and w.hand_t[hand] <= t + 1e-6:
            if w.hand[hand, 0] == SIPHON:
                siphoned(b, w.head, w.water, chain[CURRENT, last], w.hand[hand, 1], m)
            elif w.hand[hand, 0] == REFILL:
                refilled(b, w.state[CURRENT], w.now[0].room_t, m)
            else:
                chain[CURRENT, last] = poured_below(
                    b, w.head, w.water, chain[CURRENT, last], w.hand[hand, 1], w.now[0].room_t, m
                )
            hand += 1
        for i in range(flow.shape[1]):
            flow[4, i] += flow[3, i]
        for i in range(moved.shape[1]):
            moved[0, i] += moved[1, i]
        if t >= index * every - 1e-6 or t >= total - 1e-6:
            save(out, index, t, state[CURRENT], chain[CURRENT], w.water, w.head, flow[4], moved[0])
            index += 1
    return GOOD, t
