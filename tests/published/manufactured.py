"""A solution made up beforehand, and the source of water that makes it one: it shows the order of the method."""

from __future__ import annotations

import numpy as np

from terralab.physics.conductivity import conductivity
from terralab.soil.arrays import FIXED_HEAD, HEAD, Grid
from terralab.soil.time_steps import DONE, Course, Kinds, Limits, Notes, advance
from tests.published.soils import CELIA, HOUR_S

DEPTH, H0, A, B, SPAN = 0.40, -0.60, 0.25, 0.10, 6.0 * HOUR_S


def head(z, t):
    """h = h0 - A (1 - exp(-t/T)) cos(pi z/L) - B z/L."""
    return H0 - A * (1 - np.exp(-t / SPAN)) * np.cos(np.pi * z / DEPTH) - B * z / DEPTH


def source(z, t):
    """C dh/dt + d/dz [K (1 - dh/dz)], z downwards, in Celia's soil."""
    h, wave, grown = head(z, t), np.pi / DEPTH, A * (1 - np.exp(-t / SPAN))
    h_t = -A * np.exp(-t / SPAN) / SPAN * np.cos(wave * z)
    h_z = grown * wave * np.sin(wave * z) - B / DEPTH
    h_zz = grown * wave**2 * np.cos(wave * z)
    k_slope = np.array([conductivity(value, CELIA.row())[1] for value in h])
    return CELIA.capacity(h) * h_t + k_slope * h_z * (1 - h_z) - CELIA.conductivity(h) * h_zz


def error_m(cells: int, steps: int) -> float:
    """The largest error of the heads after 6 h, the source and the ends sampled at the end of each step."""
    thickness, step = DEPTH / cells, 6.0 * HOUR_S / steps
    middle = (np.arange(cells) + 0.5) * thickness
    starts = step * np.arange(steps)
    heads, waters, crossed, flows = (np.empty((1, size)) for size in (cells, cells, cells + 1, 2))
    status, _, taken, refused = advance(
        head(middle, 0.0),
        Grid(np.full(cells, thickness), np.zeros(cells, dtype=np.int64), CELIA.row()[None]),
        Course(
            starts,
            head(0.0, starts + step),
            head(DEPTH, starts + step),
            np.array([source(middle, t + step) for t in starts]),
        ),
        Kinds(top=HEAD, bottom=FIXED_HEAD, driest_head=0.0, ponding=False, head_form=False),
        Limits(tolerance=0.0, longest=step, work=1e12),
        Notes(np.array([6.0 * HOUR_S]), heads, waters, crossed, flows),
    )
    assert (status, taken, refused) == (DONE, steps, 0)
    return float(np.abs(heads[0] - head(middle, 6.0 * HOUR_S)).max())


def order_in_space() -> np.ndarray:
    """Steps a quarter as long on cells half as thick: both errors fall fourfold if space is of second order."""
    return -np.diff(np.log2([error_m(cells, steps) for cells, steps in ((20, 96), (40, 384), (80, 1536))]))


def order_in_time() -> np.ndarray:
    """Fine cells, ever shorter steps."""
    return -np.diff(np.log2([error_m(400, steps) for steps in (12, 24, 48)]))
