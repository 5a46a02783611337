"""One run from start to end: the soil clock drives, the air clock runs inside each of its steps.

What crosses between them are amounts. A soil step is thrown away and repeated, shorter, when it did not
converge, changed the soil too much, or when the surface cell came out drier or wetter than the air clock had it.
"""

import math

from terralab.engine.air_clock import COLDEST, CURRENT, FIRST, HOTTEST, KEPT, advance
from terralab.engine.ground import prepare, roots_follow
from terralab.engine.manual_actions import DRAW, REFILL, SIPHON, TANK, drawn, poured_below, refilled, siphoned, spilled
from terralab.engine.soil_step import AIR_FAILED, GOOD, SOIL_FAILED, TOO_MUCH_WORK, Outcome, soil_step
from terralab.jit import inner, kernel, part

SHORTEST_SOIL = 0.05  # s
MOST_WETTED = 2.5  # times the tolerance: a step that changed a water content by more is taken again, shorter
GOOD_SURFACE = 0.5  # of its tolerance: the error of the surface cell that steps are made for
PATIENT = 4.0  # s: no step is shortened below this for accuracy alone
ROUNDING = 1e-6  # s: times nearer than this are the same


@inner
def next_change(times, rates, row, t, limit):
    """The next time after t [s], at most `limit`, at which the watering rate changes."""
    i = row + 1
    while i < times.size and times[i] < limit:
        if times[i] > t + ROUNDING and rates[i, 0] != rates[row, 0]:
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
def emptied(row):
    """Set a row of numbers to nothing."""
    for i in range(row.size):
        row[i] = 0.0


@inner
def added(source, target):
    """Add a row of numbers to another."""
    for i in range(source.size):
        target[i] += source[i]


@inner
def save(out, index, t, w):
    """Write one row of the record: time, states now, amounts since the row before (then set to nothing)."""
    row = out[index]
    row[0] = t
    k = copied_into(row, 1, w.air.state_v[CURRENT])
    k = copied_into(row, k, w.chain[CURRENT])
    k = copied_into(row, k, w.water)
    k = copied_into(row, k, w.head)
    k = copied_into(row, k, w.flow_v[4])
    copied_into(row, k, w.moved_v[0])
    emptied(w.flow_v[4])
    emptied(w.moved_v[0])


@inner
def out_of_range(chain):
    """Whether a layer of soil or the reservoir lies outside the temperatures for which the formulas hold."""
    outside = 0
    for i in range(chain.size):
        if not COLDEST < chain[i] < HOTTEST:
            outside += 1
    return outside > 0


@inner
def keep(w):
    """Keep all that a step changes, so that it can be thrown away."""
    copied(w.air.state_v[CURRENT], w.air.state_v[KEPT])
    copied(w.chain[CURRENT], w.chain[KEPT])
    copied(w.head, w.cells.kept_head)
    copied(w.water, w.cells.kept_water)
    copied(w.device_on, w.device_kept[0])
    copied(w.device_since, w.device_kept[1])
    copied(w.tank_left, w.device_kept[2])
    copied(w.ran_dry, w.device_kept[3])


@inner
def restore(w):
    """Go back to what was kept."""
    copied(w.air.state_v[KEPT], w.air.state_v[CURRENT])
    copied(w.chain[KEPT], w.chain[CURRENT])
    copied(w.cells.kept_head, w.head)
    copied(w.cells.kept_water, w.water)
    copied(w.device_kept[0], w.device_on)
    copied(w.device_kept[1], w.device_since)
    copied(w.device_kept[2], w.tank_left)
    copied(w.device_kept[3], w.ran_dry)


@part
def both_clocks(w, t, dt, size, row, s, counts):
    """Carry air and soil from t on by dt [s], or by less where that misses a tolerance (schedule row `row`).

    size [s]: the next step of the air clock. Returns (status, seconds taken, next size, the `Outcome`).
    """
    keep(w)
    kept_size = size
    while True:
        prepare(w, dt)
        emptied(w.flow_v[3])
        emptied(w.air.flow_v[3])
        emptied(w.moved_v[1])
        status, size, _, air_steps = advance(w, t, t + dt, size, row, s)
        counts.air_steps += air_steps
        if status != GOOD or out_of_range(w.chain[CURRENT]):
            return AIR_FAILED, dt, size, Outcome(GOOD, 0.0, 0.0, 0.0)
        out = soil_step(w, dt, w.schedule_rate[row, 0] * dt, s)
        misses = out.wetted > MOST_WETTED or out.warmed > 1.0 or out.surface > 1.0
        if out.status == GOOD and (dt <= PATIENT or not misses):
            counts.soil_steps += 1
            if misses:
                counts.rough_steps += 1
            return GOOD, dt, size, out
        counts.repeated_steps += 1
        restore(w)
        size = kept_size
        if out.status == GOOD:
            worst = max(1.0, max(out.wetted, out.warmed), math.sqrt(out.surface))
            dt = max(PATIENT, dt * max(0.2, 0.8 / worst))
        else:
            counts.unconverged_steps += 1
            dt *= 0.4
        if dt < SHORTEST_SOIL:
            return SOIL_FAILED, dt, size, out


@inner
def shorter_or_longer(out):
    """The factor by which the next step should be longer than this one, by its `Outcome`."""
    effort = max(out.wetted, out.warmed)
    grow = 2.0 if effort < 1e-3 else min(2.0, max(0.3, 0.8 / effort))
    if out.surface > 0.0:
        grow = min(grow, max(0.5, math.sqrt(GOOD_SURFACE / out.surface)))
    return grow


@inner
def note_course(w, dt, switched):
    """Keep how the heads and the heat of vapour went in a step of dt [s], for the guess of the next one."""
    copied(w.carried.whole_found, w.carried.whole)
    copied(w.carried.warm_found, w.carried.warm)
    w.carried.arrives[0] = 0.0 if switched else w.carried.arrives_found[0]
    for i in range(w.dz.size + 1):
        # where something is switched, what went on says nothing about what comes
        w.cells.course[i] = 0.0 if switched else (w.head[i] - w.cells.kept_head[i]) / dt


@part
def by_hand(w, t, hand):
    """Do what the keeper's hands and an automatic siphon do at t [s], from action `hand` on; returns the next action."""
    b = w.box[0]
    n = w.dz.size
    m = w.moved[1]
    chain = w.chain[CURRENT]
    last = chain.size - 1
    room_t = w.now[0].room_t
    spilled(b, w.head, w.water, w.dz[0], chain[0], m)
    if b.siphon_gap >= 0.0 and b.has_reservoir > 0.0 and -w.head[n] < b.siphon_gap:
        siphoned(b, w.head, w.water, chain[last], b.siphon_to, m)
    while hand < w.hand_t.size and w.hand_t[hand] <= t + ROUNDING:
        kind, value = w.hand[hand, 0], w.hand[hand, 1]
        if kind == SIPHON:
            siphoned(b, w.head, w.water, chain[last], value, m)
        elif kind == DRAW:
            drawn(b, w.head, w.water, chain[last], value, m)
        elif kind == REFILL:
            refilled(b, w.air, CURRENT, room_t, value, m)
        elif kind == TANK:
            w.tank_left[int(value)] = w.devices[int(value)].tank
        else:
            chain[last] = poured_below(b, w.head, w.water, chain[last], value, room_t, m)
        hand += 1
    return hand


@inner
def due(w, t, row):
    """Whether the schedule goes on to the row after `row` at t [s]."""
    return row + 1 < w.schedule_t.size and w.schedule_t[row + 1] <= t + ROUNDING


@inner
def first_action(hand_t, t, done):
    """The first action of the hand that is still to be done at t [s]; `done`: those of that very time are."""
    hand = 0
    latest = t + ROUNDING if done > 0.0 else t - ROUNDING
    while hand < hand_t.size and hand_t[hand] <= latest:
        hand += 1
    return hand


@kernel
def run(w, settings, out, counts, clocks):
    """Run on to the end. Returns (status, time reached [s], rows written); `out` takes a row for each saved time (see `save`).

    `settings` is one record of SETTINGS, whose seconds are the end, `counts` one of COUNTS, `clocks` one of CLOCK: where
    the run begins, and afterwards where it stands. Rows are saved at whole multiples of `every`.
    """
    s = settings[0]
    counted = counts[0]
    clock = clocks[0]
    t = clock.t
    wanted = clock.wanted
    size = clock.air_step
    row = FIRST
    hand = first_action(w.hand_t, t, clock.done)
    written = FIRST
    if clock.first_row > 0.0:
        save(out, written, t, w)
        written += 1
    index = math.floor((t + ROUNDING) / s.every) + 1
    while t < s.seconds - ROUNDING:
        if counted.soil_steps + counted.repeated_steps > s.most_steps:
            return TOO_MUCH_WORK, t, written
        while due(w, t, row):
            row += 1
        # a step ends where the record or the watering wants it
        stop = min(s.seconds, index * s.every)
        if hand < w.hand_t.size and w.hand_t[hand] > t + ROUNDING:
            stop = min(stop, w.hand_t[hand])
        remaining = next_change(w.schedule_t, w.schedule_rate, row, t, stop) - t
        dt = wanted
        if dt >= remaining:
            dt = remaining
        elif dt > 0.5 * remaining:
            dt = 0.5 * remaining
        status, dt, size, outcome = both_clocks(w, t, dt, size, row, s, counted)
        if status != GOOD:
            return status, t, written
        t += dt
        note_course(w, dt, due(w, t, row))
        roots_follow(w, dt)
        grow = shorter_or_longer(outcome)
        # a step cut short by an event says nothing against the length before it
        if dt < remaining or grow < 1.0 or wanted < dt * grow:
            wanted = dt * grow
        # shorter steps are for where the solver gave up, not for what moves fast anyway
        wanted = min(max(wanted, PATIENT), s.longest_soil)
        hand = by_hand(w, t, hand)
        added(w.flow_v[3], w.flow_v[4])
        added(w.moved_v[1], w.moved_v[0])
        if t >= index * s.every - ROUNDING:
            save(out, written, t, w)
            written += 1
            index += 1
    clock.t, clock.wanted, clock.air_step, clock.done, clock.first_row = t, wanted, size, 1.0, 0.0
    return GOOD, t, written
