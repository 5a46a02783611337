"""What a Newton iteration does with the change of heads it found: how far it goes, and when it is the last."""

import math

from terralab.jit import inner
from terralab.physics.retention import AIR_ENTRY

CURVED = 5.0  # half the square of a power of suction near 3: see `leaves_little`
DAMP, DRY = -0.005, -1.0  # m: a drier cell changes in log suction, where it dries and always
MOST_LOG_RISE, MOST_LOG_FALL = 2.0, 3.0  # the most that ln|h| may rise and fall in one change


@inner
def crosses(before, after, mark):
    """Whether a head passes `mark`."""
    return (before > mark) != (after > mark)


@inner
def meets_a_kink(h, grid, bottom, change, has_reservoir):
    """Whether the change -`change` [m] carries a head past a place where a slope jumps.

    Such are saturation, the air-entry head, water that starts to stand on the soil, and the mesh that starts to drip;
    for the level of a reservoir the mesh, the end of the fringe, and any change that is not small against the fringe.
    """
    n = grid.dz.size
    for i in range(n):
        new = h[i] - change[i]
        if crosses(h[i], new, 0.0) or crosses(h[i], new, -grid.soils[grid.soil_of[i], AIR_ENTRY]):
            return True
    if crosses(h[0], h[0] - change[0], 0.5 * grid.dz[0]):
        return True
    dripping = -bottom.entry - 0.5 * grid.dz[n - 1]
    if crosses(h[n - 1], h[n - 1] - change[n - 1], dripping):
        return True
    if not has_reservoir:
        return False
    new = h[n] - change[n]
    passes = crosses(h[n], new, 0.0) or crosses(h[n], new, -bottom.fringe)
    return passes or not abs(change[n]) < 1e-4 * bottom.fringe


@inner
def leaves_little(h, dt, grid, m, tolerance):
    """Whether the Newton change -`m.change` [m] leaves at most `tolerance` [m of water] over in each unsaturated cell.

    Water and conductivity are powers of the suction. So a change by a share s of the suction leaves of what it moves
    about s times CURVED, and the gradients that it bends move water with the change of conductivity.
    """
    n = grid.dz.size
    change = m.change
    gradient = 1.0
    for i in range(n):
        if h[i] >= 0.0:
            continue
        share = CURVED * abs(change[i] / h[i])
        if i + 1 < n:
            distance = 0.5 * (grid.dz[i] + grid.dz[i + 1])
            below = abs((h[i] - h[i + 1]) / distance + 1.0)
            bend = abs(change[i] - change[i + 1]) / distance
            gradient = max(gradient, below)
        else:
            below = gradient
            bend = 2.0 * abs(change[i]) / grid.dz[i]
        left = abs(change[i]) * (m.storage[i] * share + dt * abs(m.dk[i]) * (share * gradient + bend))
        if left > tolerance:
            return False
        gradient = below
    return True


@inner
def updated(h, change):
    """The head after a Newton change [m]: in log suction while dry, so that one step never leaps decades.

    At saturation the slope of storage jumps or has a cusp. A change that would cross it stops there first, so
    that the next one is made with the slope of the other side: without this, cells of coarse mixes swing from
    one side to the other for ever.
    """
    if (h < DAMP and change < 0.0) or h < DRY:
        ratio = change / h  # the change of ln|h|
        if ratio > MOST_LOG_RISE:
            ratio = MOST_LOG_RISE
        elif ratio < -MOST_LOG_FALL:
            ratio = -MOST_LOG_FALL
        return h * math.exp(ratio)
    new = h + change
    if h < 0.0 and new > 0.0:
        return 0.0
    if h >= 0.0 and new < 0.0:
        return -1e-6
    if h >= DAMP and new < -0.01:
        return -0.01
    return min(new, h + 0.5)


@inner
def shortened(h, change, n):
    """How much of the Newton change -`change` [m] of n heads h [m] to take, at most half, where the whole went too far.

    One share for all cells, and in log suction no cell changes by more than `updated` allows. So the cells stay in
    proportion, and a share small enough is sure to leave less over: each cell's own limit would not keep that.
    """
    share = 0.5
    for i in range(n):
        if h[i] < DAMP and abs(change[i] * share) > -MOST_LOG_FALL * h[i]:
            share = -MOST_LOG_FALL * h[i] / abs(change[i])
    return share
