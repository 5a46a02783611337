"""Heat radiation between the surfaces of a box as a star: each surface sees one radiant temperature. SI units.

Areas that cannot be (NaN, below 0, endless) give NaN.
"""

from collections.abc import Sequence

import numpy as np

MOST = 1000.0  # -, largest factor: an envelope around small things has an endless one
ROUNDS = 100  # halvings of the bracket at most; no number lies between its ends after some 60


def star(areas: Sequence[float]) -> np.ndarray:
    """Return A F [m2] for each of `areas` [m2]: times a coefficient [W/m2K], what joins a surface to the radiant node.

    F = 1/(1 - A F / sum of A F) (Carroll 1980, from memory). Then two surfaces exchange A_i F_i A_j F_j / sum, and all
    that leaves a surface comes to its area. A cube gives its view factors within 0.1 %, a flat box within 4 points
    of a share (tested against closed forms). It knows areas, not places: a floor sees a near wall and a far one alike.

    The sum S follows from its own condition: shares p = A F / S with p (1 - p) = A / S add up to 1. A surface as large
    as all others together is an envelope that they do not fill: its F would be endless and is held at 1000, and each
    of them exchanges with its own area. Surfaces must be flat or bulge; of two-sided ones (leaves) give both sides.
    NaN for each unless all areas are finite and 0 or more.
    """
    area = np.asarray(areas, dtype=float)
    if not (np.isfinite(area).all() and (area >= 0.0).all()):
        return np.full(area.shape, np.nan)
    if area.size == 0 or area.max() == 0.0:
        return np.zeros(area.shape)
    largest = int(np.argmax(area))
    rest = area.sum() - area[largest]
    if area[largest] >= rest:
        out = area.copy()
        out[largest] *= MOST
        return out

    def shares(weight: float, outer: bool) -> np.ndarray:
        """Each surface's p where 1/S is `weight`: the small root, for an outer surface the large one."""
        root = np.sqrt(np.maximum(0.0, 1.0 - 4.0 * area * weight))
        share = 2.0 * area * weight / (1.0 + root)
        if outer:
            share[largest] = 0.5 * (1.0 + root[largest])
        return share

    most = 1.0 / (4.0 * area[largest])  # 1/S where both roots of the largest meet
    outer = shares(most, False).sum() < 1.0
    low, high = 0.0, most
    for _ in range(ROUNDS):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        over = shares(middle, outer).sum() > 1.0
        # small roots alone grow with 1/S; with the large root of an outer surface the sum falls
        if over == outer:
            low = middle
        else:
            high = middle
    weight = 0.5 * (low + high)
    return np.minimum(shares(weight, outer) / weight, MOST * area)
