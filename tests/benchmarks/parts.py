"""The cost of single pieces of the engine, each in a compiled loop of its own: exponentials, pores, the tridiagonal solve."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np

import terralab as tl
from terralab.describe.seasons import room_of
from terralab.engine.pack import pack
from terralab.jit import allocating, kernel
from terralab.physics.conductivity import hydraulics
from terralab.physics.moist_air import saturation_pressure
from tests.engine.rates import rates, start


@kernel
def exponentials(n, x):
    """Two exponentials and two logarithms, n times: what a cell's pores need at least."""
    total = 0.0
    for i in range(n):
        y = x[i % x.size]
        total += math.exp(-y) + math.exp(-0.5 * y) + math.log(y) + math.log(1.0 + y)
    return total


@kernel
def pores(n, head, soil):
    """Water content, capacity, conductivity and its slope, n times."""
    total = 0.0
    for i in range(n):
        theta, capacity, k, dk = hydraulics(head[i % head.size], soil)
        total += theta + capacity + k + dk
    return total


@allocating
def tridiagonal(n, lower, diagonal, upper, residual):
    """The elimination of the engine's Newton step, n times on fresh copies."""
    rows = diagonal.size
    d = np.empty(rows)
    r = np.empty(rows)
    total = 0.0
    for _ in range(n):
        for i in range(rows):
            d[i] = diagonal[i]
            r[i] = residual[i]
        for i in range(1, rows):
            factor = lower[i] / d[i - 1]
            d[i] -= factor * upper[i - 1]
            r[i] -= factor * r[i - 1]
        r[rows - 1] /= d[rows - 1]
        for i in range(rows - 2, -1, -1):
            r[i] = (r[i] - upper[i] * r[i + 1]) / d[i]
        total += r[0]
    return total


@kernel
def saturations(n, x):
    """The saturation pressure of the time loop, n times."""
    total = 0.0
    for i in range(n):
        total += saturation_pressure(x[i % x.size])
    return total


@allocating
def right_hand_sides(n, y, w, dy):
    """The rates that the general integrators ask for, n times."""
    for _ in range(n):
        rates(0.0, y, w, 0, dy)
    return dy[0]


def nanoseconds(function: Callable[..., object], n: int, *rest: object) -> float:
    """CPU nanoseconds for each of n turns, the least of five tries; the first call compiles."""
    function(2, *rest)
    tries = []
    for _ in range(5):
        before = time.process_time()
        function(n, *rest)
        tries.append((time.process_time() - before) / n * 1e9)
    return min(tries)


def costs(box: tl.Box) -> dict[str, float]:
    """Nanoseconds of each piece, by name; those of a soil are for one cell of the first layer of `box`."""
    work = pack(box, room_of(box, "now"), 1)
    head = np.linspace(-3.0, -0.02, 64)
    rows = work.dz.size + 1
    target = (np.full(rows, -1.0), np.full(rows, 3.0), np.full(rows, -1.0), np.ones(rows))
    y = start(work)
    return {
        "2 exponentials and 2 logarithms": nanoseconds(exponentials, 200_000, np.linspace(0.1, 5.0, 64)),
        "pores of a cell (water, capacity, conductivity, slope)": nanoseconds(pores, 200_000, head, work.soils[0]),
        "tridiagonal solve, a cell": nanoseconds(tridiagonal, 5_000, *target) / rows,
        "saturation pressure": nanoseconds(saturations, 200_000, np.linspace(10.0, 35.0, 64)),
        "all rates at once (what an integrator calls)": nanoseconds(right_hand_sides, 500, y, work, np.zeros_like(y)),
    }
