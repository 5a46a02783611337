"""A soil column on its own through time: implicit steps whose length follows how fast the water moves.

The box has its own clock, which couples this soil to air and glass. Here the top and the base are prescribed,
so that the soil can be held against published solutions and used for questions about soil alone.
"""

from typing import NamedTuple

import numpy as np

from terralab.jit import allocating, inner
from terralab.physics.retention import water_content
from terralab.soil.arrays import HEAD, Bottom, Drivers, Flows, Method, Newton, Top
from terralab.soil.richards import step
from terralab.soil.storage import stored

# how an advance ended
DONE, STUCK, TOO_MUCH_WORK = 0, 1, 2

SHORTEST = 1.0e-9  # s: below this a step that does not converge is given up
SHORTEST_FOR_ACCURACY = 1.0e-3  # s: a shorter step is accepted however much the water content changed
AFTER_A_CHANGE = 1.0  # s: the longest first step after the start and after a change at top or base
REFUSE_ABOVE = 2.0  # times the tolerance: a step that changed more than this is taken again, shorter
UNUSED_FRINGE = 0.005  # m: `step` asks for the reservoir's numbers, a column on its own has no reservoir


class Course(NamedTuple):
    """What is prescribed, in pieces: from `starts[p]` [s] on (rising, the first is 0) row p of the others holds.

    tops: a flow [m/s] downwards, a demand (negative) where the top is LIMITED, or a head [m] where it is a HEAD.
    bottoms: head [m] of a FIXED_HEAD base, or the head at which water leaves a SEEPAGE face (zero or below).
    sources[p, i] [1/s]: water brought to cell i by other means, negative where roots take it.
    """

    starts: np.ndarray
    tops: np.ndarray
    bottoms: np.ndarray
    sources: np.ndarray


class Kinds(NamedTuple):
    """What top and base are (see `soil.arrays`), the head [m] of the driest surface, and how the step is written."""

    top: int
    bottom: int
    driest_head: float
    ponding: bool
    head_form: bool


class Limits(NamedTuple):
    """tolerance [m3/m3]: about how much a step may change a water content; 0: all steps are `longest` [s] long, and
    shorter only to land on a time or where one fails. work: cell updates after which a run is given up.
    """

    tolerance: float
    longest: float
    work: float


class Notes(NamedTuple):
    """Row k belongs to `times[k]` [s]: heads [m], water of each cell [m], amounts [m] crossed through the n + 1 faces of
    the cells since 0 (downwards), and the flows [m/s] through top and base at the end of the step that reached it.
    """

    times: np.ndarray
    heads: np.ndarray
    waters: np.ndarray
    crossed: np.ndarray
    flows: np.ndarray


@inner
def piece_at(t, piece, starts):
    """Index of the last of the rising `starts` [s] that is not after t [s], searched from `piece` on."""
    while piece + 1 < starts.size and starts[piece + 1] <= t:
        piece += 1
    return piece


@inner
def top_of(course, piece, kinds):
    """The top during a piece of the course."""
    value = course.tops[piece]
    return Top(kinds.top, value, value if kinds.top == HEAD else kinds.driest_head)


@inner
def bottom_of(course, piece, kinds):
    """The base during a piece of the course."""
    head = course.bottoms[piece]
    return Bottom(kinds.bottom, head, -head, 1.0, 1.0, UNUSED_FRINGE, 0.0, 0.0, 1.0)


@inner
def note(k, h, grid, ponding, passed, q_top, q_bottom, notes):
    """Write heads [m], the water they mean for each cell [m], what passed so far [m] and the flows [m/s] to row k."""
    for i in range(grid.dz.size):
        notes.heads[k, i] = h[i]
        notes.waters[k, i], _ = stored(h[i], grid.dz[i], grid.soils[grid.soil_of[i]], i == 0, ponding)
    for i in range(passed.size):
        notes.crossed[k, i] = passed[i]
    notes.flows[k, 0] = q_top
    notes.flows[k, 1] = q_bottom


@inner
def next_step(t, stop, wanted, adaptive):
    """Length [s] of the next step from t, and whether it lands on `stop` [s]."""
    if wanted >= (stop - t) * (1.0 - 1e-9):
        return stop - t, True
    if adaptive and 2.0 * wanted > stop - t:
        return 0.5 * (stop - t), False  # two like steps rather than a long one and a sliver
    return wanted, False


@inner
def largest_change(theta, h, grid):
    """The largest difference [m3/m3] between the water contents theta and those at heads h [m]."""
    change = 0.0
    for i in range(grid.dz.size):
        now, _ = water_content(h[i], grid.soils[grid.soil_of[i]])
        change = max(change, abs(now - theta[i]))
    return change


@inner
def account(h, water, theta, passed, dt, q_top, source, total, grid):
    """Enter a step that was taken: water [m] of each cell by what crossed, not by the heads.

    So it is exact, whatever residual the step was accepted with: that is carried into the next one.
    """
    passed[0] += dt * q_top
    above = q_top
    for i in range(grid.dz.size):
        water[i] += source[i] + dt * (above - total[i])
        above = total[i]
        passed[i + 1] += dt * total[i]
        theta[i], _ = water_content(h[i], grid.soils[grid.soil_of[i]])


@inner
def wanted_after(dt, wanted, change, limits):
    """Length [s] wanted for the step after one of dt [s] that changed a water content by at most `change`."""
    if not limits.tolerance > 0.0:
        return min(limits.longest, 2.0 * wanted)
    longer = dt * (min(2.0, 0.9 * limits.tolerance / change) if change > 0.0 else 2.0)
    # a step cut short by a stop says little about how long the next may be
    return max(wanted, longer) if dt < 0.9 * wanted else longer


@allocating
def advance(start, grid, course, kinds, limits, notes):
    """Carry the heads `start` [m] to the last of `notes.times` [s]. Returns (status, time reached [s], steps, refused).

    With a status other than DONE the rows of `notes` that were not reached stay unwritten.
    """
    n = grid.dz.size
    h = np.zeros(n + 1)
    before = np.zeros(n + 1)
    water = np.zeros(n + 1)
    passed = np.zeros(n + 1)
    theta = np.zeros(n)
    none = np.zeros(n)  # no vapour moves: a column on its own has one temperature
    source = np.zeros(n + 1)
    drivers = Drivers(source, none, none, none)
    flows = Flows(np.zeros(n), np.zeros(n), np.zeros(n))
    m = Newton(
        np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1),
        np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1), np.zeros(n + 1),
    )  # fmt: skip
    method = Method(kinds.ponding, kinds.head_form, 0.0)
    for i in range(n):
        h[i] = start[i]
        soil = grid.soils[grid.soil_of[i]]
        water[i], _ = stored(h[i], grid.dz[i], soil, i == 0, kinds.ponding)
        theta[i], _ = water_content(h[i], soil)
    adaptive = limits.tolerance > 0.0
    wanted = min(limits.longest, AFTER_A_CHANGE) if adaptive else limits.longest
    q_top = 0.0
    t = 0.0
    piece = steps = refused = spent = 0
    for k in range(notes.times.size):
        while t < notes.times[k]:
            here = piece_at(t, piece, course.starts)
            if here != piece:
                piece = here
                if adaptive:
                    wanted = min(wanted, AFTER_A_CHANGE)
            stop = notes.times[k]
            if piece + 1 < course.starts.size:
                stop = min(stop, course.starts[piece + 1])
            dt, lands = next_step(t, stop, min(wanted, limits.longest), adaptive)
            for i in range(n):
                before[i] = h[i]
                source[i] = course.sources[piece, i] * grid.dz[i] * dt
            top, bottom = top_of(course, piece, kinds), bottom_of(course, piece, kinds)
            good, q_top, rounds = step(h, water, dt, grid, drivers, top, bottom, method, flows, m)
            spent += (rounds + 1) * n
            change = largest_change(theta, h, grid) if good and adaptive else 0.0
            if not good or (change > REFUSE_ABOVE * limits.tolerance and dt > SHORTEST_FOR_ACCURACY):
                refused += 1
                for i in range(n):
                    h[i] = before[i]
                wanted = dt * (max(0.2, limits.tolerance / change) if good else 0.25)
                if wanted < SHORTEST:
                    return STUCK, t, steps, refused
            else:
                steps += 1
                t = stop if lands else t + dt
                account(h, water, theta, passed, dt, q_top, source, flows.total, grid)
                wanted = wanted_after(dt, wanted, change, limits)
            if spent > limits.work:
                return TOO_MUCH_WORK, t, steps, refused
        if notes.times[k] == 0.0:
            # a step of no length changes nothing and tells the flows at the start
            for i in range(n):
                source[i] = 0.0
            top, bottom = top_of(course, 0, kinds), bottom_of(course, 0, kinds)
            _, q_top, _ = step(h, water, 0.0, grid, drivers, top, bottom, method, flows, m)
        note(k, h, grid, kinds.ponding, passed, q_top, flows.total[n - 1], notes)
    return DONE, t, steps, refused
