"""Doors that a keeper opens: one more opening each, which is shut but for some minutes of the day."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from terralab.describe.enclosure import Enclosure
from terralab.describe.routine import Door
from terralab.engine.network import LEVEL, UPRIGHT
from terralab.engine.tables import OPENING
from terralab.physics.openings import EDGE, bare_loss


def door_rows(enclosure: Enclosure, doors: Sequence[Door], pick: Callable, first: int) -> tuple[np.ndarray, list[dict]]:
    """Return a row of OPENING for each door, and its entries in DEVICE; `first` is the place of the first row, after all others.

    A row has no area while its door is shut. The pane that is away still counts as glass for warmth and dew, and the mesh
    of a lifted lid as mesh beside it: a door is open for minutes.
    """
    rows = np.zeros(len(doors), OPENING)
    entries: list[dict] = []
    for place, (row, door) in enumerate(zip(rows, doors, strict=True)):
        width, height, bottom = door.opening_cm(enclosure)
        row["viscous"], row["inertial"] = EDGE, bare_loss(pick("defaults", "discharge coefficient", "factor"))
        if door.wall == "lid":
            row["kind"] = LEVEL
            row["bottom"] = row["top"] = enclosure.height_cm / 100.0
        else:
            row["kind"] = UPRIGHT
            row["bottom"], row["top"] = bottom / 100.0, (bottom + height) / 100.0
        entries.append({"door_row": float(first + place), "face": width * height / 1e4})
    return rows, entries
