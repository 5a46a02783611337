"""A slow and obvious second way to let water soak into one soil, for checking the engine against.

Plain numpy, backward Euler, a dense Jacobian by differences, and a choice the engine does not have: where the
first node lies. Celia, Bouloutas & Zarba 1990 put it on the surface; terralab puts it in the middle of a cell.
"""

from __future__ import annotations

import numpy as np


def gained_over_entered(
    soil, depth_m: float, spacing_m: float, nodes_on_the_ends: bool, start_m: float, top_m: float, base_m: float,
    step_s: float, end_s: float, storage: str,
) -> float:  # fmt: skip
    """Return the water gained over the water that came in net, for heads held at `top_m` and `base_m`."""
    cells = round(depth_m / spacing_m)
    free = cells - 1 if nodes_on_the_ends else cells
    to_the_end = spacing_m if nodes_on_the_ends else 0.5 * spacing_m
    distance = np.array([to_the_end, *[spacing_m] * (free - 1), to_the_end])

    def flows(h: np.ndarray) -> np.ndarray:
        heads = np.array([top_m, *h, base_m])
        k = soil.conductivity(heads)
        return 0.5 * (k[:-1] + k[1:]) * (1.0 - np.diff(heads) / distance)

    def residual(h: np.ndarray, old: np.ndarray) -> np.ndarray:
        if storage == "head":
            gain = soil.capacity(h) * (h - old)
        else:
            gain = soil.water_content(h) - soil.water_content(old)
        return spacing_m * gain + step_s * np.diff(flows(h))

    def jacobian(h: np.ndarray, old: np.ndarray, here: np.ndarray) -> np.ndarray:
        # Each row depends on its neighbours only, so every third head can be moved at the same time.
        matrix = np.zeros((free, free))
        for first in range(3):
            moved = np.arange(first, free, 3)
            change = np.zeros(free)
            change[moved] = 1e-6 * np.abs(h[moved])
            slope = residual(h + change, old) - here
            for column in moved:
                near = slice(max(column - 1, 0), column + 2)
                matrix[near, column] = slope[near] / change[column]
        return matrix

    h = np.full(free, start_m)
    entered = 0.0
    for _ in range(round(end_s / step_s)):
        old = h.copy()
        for _ in range(200):
            here = residual(h, old)
            if np.abs(here).max() < 1e-11:
                break
            change = np.linalg.solve(jacobian(h, old, here), -here)
            h = np.clip(h + change, 3.0 * h, 0.1 * h)
        else:
            raise AssertionError("the twin did not converge")
        across = flows(h)
        entered += step_s * (across[0] - across[-1])
    start = soil.water_content(np.full(free, start_m)).sum()
    return float(spacing_m * (soil.water_content(h).sum() - start) / entered)
