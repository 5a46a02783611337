"""A soil column on its own through time: implicit steps whose length follows how fast the water moves.

The box has its own clock, which couples this soil to air and glass. Here the top and the base are prescribed,
so that the soil can be held against published solutions and used for questions about soil alone.
"""

import numpy as np

from terralab.jit import allocating, kernel
from terralab.physics.retention import water_content
from terralab.soil.richards import HEAD, step, stored

# how an advance ended
DONE, STUCK, TOO_MUCH_WORK = 0, 1, 2

SHORTEST = 1.0e-9  # s: below this a step that does not converge is given up
SHORTEST_FOR_ACCURACY = 1.0e-3  # s: a shorter step is accepted however much the water content changed
AFTER_A_CHANGE = 1.0  # s: the longest first step after the start and after a change at top or base
REFUSE_ABOVE = 2.0  # times the tolerance: a step that changed more than this is taken again, shorter
UNUSED_FRINGE = 0.005  # m: `step` asks for the reservoir's numbers, a column on its own has no reservoir


@kernel
def piece_at(t, piece, starts):
    """Index of the last of the rising `starts` [s] that is not after t [s], searched from `piece` on."""
    while piece + 1 < starts.size and starts[piece + 1] <= t:
        piece += 1
    return piece


@kernel
def record(k, h, dz, soil_of, soils, ponding, passed, heads, waters, crossed):
    """Write heads [m], the water they mean for each cell [m], and the amounts passed so far [m] to row k."""
    for i in range(h.size):
        heads[k, i] = h[i]
        waters[k, i], _ = stored(h[i], dz[i], soils[soil_of[i]], i == 0, ponding)
    for i in range(h.size + 1):
        crossed[k, i] = passed[i]


@allocating
def advance(
    h, dz, soil_of, soils, starts, top_values, bottom_heads, sources, top_kind, driest_head, bottom_kind,
    ponding, head_form, times, tolerance, max_step, max_work, heads, waters, crossed, flows,
):  # fmt: skip
    """Carry the heads h [m] to the last of `times` [s]. Returns (status, time reached [s], steps, refused).

    From `starts[p]` [s] on (the first is 0) the top takes `top_values[p]`: a flow [m/s] downwards, a demand
    (negative) when LIMITED by a surface at `driest_head` [m], or a head [m] when HEAD. `bottom_heads[p]` [m]
    is the head of a FIXED_HEAD base, or the head at which water leaves a SEEPAGE face (zero or below).
    `sources[p, i]` [1/s] is water brought to cell i by other means, negative where roots take it.

    A step may change no water content by more than about `tolerance` [m3/m3] and is at most `max_step` [s]
    long. With a tolerance of zero, steps are `max_step` long, and shorter only to land on a time or where one
    fails. Row k of `heads` [m], `waters` [m] and `crossed` [m, amounts since 0 through the n + 1 faces of the
    cells, downwards] belongs to `times[k]`; `flows[k]` [m/s] are the flows through top and base at the end of
    the step that reached it. With a status other than DONE the rows not reached stay unwritten.
    """
    n = h.size
    work = np.zeros((12, n + 1))
    flow = np.zeros(n)
    vapour = np.zeros(n)
    none = np.zeros(n)  # no vapour moves: a column on its own has one temperature
    contact = np.zeros(n)
    amounts = np.zeros(n)
    water = np.zeros(n)
    passed = np.zeros(n + 1)
    before = np.zeros(n)
    theta = np.zeros(n)
    for i in range(n):
        water[i], _ = stored(h[i], dz[i], soils[soil_of[i]], i == 0, ponding)
        theta[i], _ = water_content(h[i], soils[soil_of[i]])
    adaptive = tolerance > 0.0
    wanted = min(max_step, AFTER_A_CHANGE) if adaptive else max_step
    top = 0.0
    t = 0.0
    piece = 0
    steps = 0
    refused = 0
    spent = 0
    for k in range(times.size):
        while t < times[k]:
            here = piece_at(t, piece, starts)
            if here != piece:
                piece = here
                if adaptive:
                    wanted = min(wanted, AFTER_A_CHANGE)
            stop = times[k]
            if piece + 1 < starts.size and starts[piece + 1] < stop:
                stop = starts[piece + 1]
            dt = min(wanted, max_step)
            lands = dt >= (stop - t) * (1.0 - 1e-9)
            if lands:
                dt = stop - t
            elif adaptive and 2.0 * dt > stop - t:
                dt = 0.5 * (stop - t)  # two like steps rather than a long one and a sliver
            top_head = top_values[piece] if top_kind == HEAD else driest_head
            for i in range(n):
                before[i] = h[i]
                amounts[i] = sources[piece, i] * dz[i] * dt
            good, _, top, rounds = step(
                h, 0.0, water, 0.0, dt, dz, soil_of, soils, contact, amounts, top_kind, top_values[piece],
                top_head, bottom_kind, bottom_heads[piece], ponding, head_form, 1.0, 1.0, UNUSED_FRINGE,
                -bottom_heads[piece], 0.0, 0.0, 1.0, 0.0, none, none, none, flow, vapour, 0.0, work,
            )  # fmt: skip
            spent += (rounds + 1) * n
            change = 0.0
            if good and adaptive:
                for i in range(n):
                    now, _ = water_content(h[i], soils[soil_of[i]])
                    change = max(change, abs(now - theta[i]))
            if not good or (change > REFUSE_ABOVE * tolerance and dt > SHORTEST_FOR_ACCURACY):
                refused += 1
                for i in range(n):
                    h[i] = before[i]
                wanted = dt * (max(0.2, tolerance / change) if good else 0.25)
                if wanted < SHORTEST:
                    return STUCK, t, steps, refused
            else:
                steps += 1
                t = stop if lands else t + dt
                passed[0] += dt * top
                above = top
                for i in range(n):
                    # exact, whatever residual the step was accepted with: it is carried into the next one
                    water[i] += amounts[i] + dt * (above - flow[i])
                    above = flow[i]
                    passed[i + 1] += dt * flow[i]
                    theta[i], _ = water_content(h[i], soils[soil_of[i]])
                if not adaptive:
                    wanted = min(max_step, 2.0 * wanted)
                else:
                    longer = dt * (min(2.0, 0.9 * tolerance / change) if change > 0.0 else 2.0)
                    # a step cut short by a stop says little about how long the next may be
                    wanted = max(wanted, longer) if dt < 0.9 * wanted else longer
            if spent > max_work:
                return TOO_MUCH_WORK, t, steps, refused
        if times[k] == 0.0:
            # a step of no length changes nothing and tells the flows at the start
            top_head = top_values[0] if top_kind == HEAD else driest_head
            _, _, top, _ = step(
                h, 0.0, water, 0.0, 0.0, dz, soil_of, soils, contact, none, top_kind, top_values[0],
                top_head, bottom_kind, bottom_heads[0], ponding,
                head_form, 1.0, 1.0, UNUSED_FRINGE, -bottom_heads[0], 0.0, 0.0, 1.0, 0.0, none, none, none, flow, vapour,
                0.0, work,
            )  # fmt: skip
        flows[k, 0] = top
        flows[k, 1] = flow[n - 1]
        record(k, h, dz, soil_of, soils, ponding, passed, heads, waters, crossed)
    return DONE, t, steps, refused
