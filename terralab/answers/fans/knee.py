"""The knee of the lid: how far it is covered where each further bit begins to do much more than the last one did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from terralab.answers.fans.schedules import NO_FAN

LEAST_POINTS = 1.5  # RH points that the curve hangs below a straight line; less is called straight (a choice)
LEAST_SHARES = 5  # lids that must have been run for a curve


def knee_of(covers: Sequence[Mapping[str, Any]]) -> float | None:
    """The covered share at which the humidity of the lid's curve turns up, without a fan; None where it does not.

    It is where the curve of the mean humidity lies farthest below the straight line between its ends, among the lids that
    were run: a choice, and a usual one.
    """
    bare = sorted((one for one in covers if one["fan"] == NO_FAN), key=lambda one: one["covered"])
    if len(bare) < LEAST_SHARES:
        return None
    share = np.array([one["covered"] for one in bare])
    rh = np.array([0.5 * (one["rh_day"]["mean"] + one["rh_night"]["mean"]) for one in bare])
    line = np.interp(share, share[[0, -1]], rh[[0, -1]])
    below = line - rh
    at = int(np.argmax(below))
    return float(share[at]) if below[at] >= LEAST_POINTS else None
