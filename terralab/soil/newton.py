"""What a Newton iteration does with the change of heads it found: how far it goes, and when it is the last."""

import math

from terralab.jit import kernel
from terralab.physics.retention import AIR_ENTRY

CURVED = 5.0  # half the square of a power of suction near 3: see `foreseen`


@kernel
def crosses(before, after, mark):
    """Whether a head passes `mark`."""
    return (before > mark) != (after > mark)


@kernel
def foreseen(h, level, change, dt, dz, soil_of, soils, dv, dk, has_reservoir, fringe, entry, residual_tolerance):
    """Whether the Newton change -`change` [m] leaves so little over [m of water in a cell] that it need not be looked at.

    Water and conductivity are powers of the suction. So a change by a share s of the suction leaves of what it moves
    about s times CURVED (the slopes are dv [-] of the store, dk [1/s] of the conductivity). Nothing is foreseen where
    a slope jumps: at saturation, at the air-entry head, at the brim of the soil, at the ends of the blended fringe.
    """
    n = h.size
    gradient = 1.0
    for i in range(n):
        new = h[i] - change[i]
        if crosses(h[i], new, 0.0) or crosses(h[i], new, -soils[soil_of[i], AIR_ENTRY]):
            return False
        if h[i] >= 0.0:
            continue
        share = CURVED * abs(change[i] / h[i])
        bend = 0.0
        if i + 1 < n:
            distance = 0.5 * (dz[i] + dz[i + 1])
            below = abs((h[i] - h[i + 1]) / distance + 1.0)
            bend = abs(change[i] - change[i + 1]) / distance
            gradient = max(gradient, below)
            left = abs(change[i]) * (dv[i] * share + dt * abs(dk[i]) * (share * gradient + bend))
            gradient = below
        else:
            left = abs(change[i]) * (
                dv[i] * share + dt * abs(dk[i]) * (share * gradient + 2.0 * abs(change[i]) / dz[i])
            )
        if left > residual_tolerance:
            return False
    brim = 0.5 * dz[0]
    if crosses(h[0], h[0] - change[0], brim):
        return False
    mesh = -entry - 0.5 * dz[n - 1]  # a head above starts the seeping
    if crosses(h[n - 1], h[n - 1] - change[n - 1], mesh):
        return False
    if not has_reservoir:
        return True
    new = level - change[n]
    return not (crosses(level, new, 0.0) or crosses(level, new, -fringe)) and abs(change[n]) < 1e-4 * fringe


@kernel
def moved(h, change):
    """The head after a Newton change [m]: in log suction while dry, so that one step never leaps decades.

    At saturation the slope of storage jumps or has a cusp. A change that would cross it stops there first, so
    that the next one is made with the slope of the other side: without this, cells of coarse mixes swing from
    one side to the other for ever.
    """
    if (h < -0.005 and change < 0.0) or h < -1.0:
        ratio = change / h  # the change of ln|h|
        if ratio > 2.0:
            ratio = 2.0
        elif ratio < -3.0:
            ratio = -3.0
        return h * math.exp(ratio)
    new = h + change
    if h < 0.0 and new > 0.0:
        return 0.0
    if h >= 0.0 and new < 0.0:
        return -1e-6
    if h >= -0.005 and new < -0.01:
        return -0.01
    return min(new, h + 0.5)


@kernel
def shortened(h, change, n):
    """How much of the Newton change -`change` [m] of n heads h [m] to take, at most half, where the whole went too far.

    One share for all cells, and in log suction no cell moves by more than `moved` allows. So the cells stay in
    proportion, and a share small enough is sure to leave less over: each cell's own limit would not keep that.
    """
    share = 0.5
    for i in range(n):
        if h[i] < -0.005 and abs(change[i] * share) > -3.0 * h[i]:
            share = -3.0 * h[i] / abs(change[i])
    return share
