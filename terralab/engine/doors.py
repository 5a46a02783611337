"""Doors that a keeper opens: one more opening each, which is shut but for some minutes of the day."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from terralab.describe.enclosure import Enclosure
from terralab.describe.routine import Door
from terralab.engine.fans import BARE_COLUMN, cut, gust
from terralab.engine.network import LEVEL, UPRIGHT
from terralab.engine.tables import OPENING
from terralab.physics.openings import EDGE, bare_loss


def door_rows(
    enclosure: Enclosure, doors: Sequence[Door], pick: Callable, first: int, draught: float, tops: Sequence[float]
) -> tuple[list[np.void], list[dict]]:
    """Return rows of OPENING for each door, and its entries in DEVICE; `first` is the place of the first, after all others.

    A row has no area while its door is shut; a door that reaches over two zones (`tops` [m]) is a row in each. The pane that
    is away still counts as glass for warmth and dew, and the mesh of a lifted lid as mesh beside it: a door is open for
    minutes.
    """
    rows: list[np.void] = []
    entries: list[dict] = []
    for door in doors:
        row = np.zeros(1, OPENING)[0]
        width, height, bottom = door.opening_cm(enclosure)
        row["viscous"], row["inertial"] = EDGE, bare_loss(pick("defaults", "discharge coefficient", "factor"))
        row["rim"] = row["inertial"]
        row["area"], row["draught"] = width * height / 1e4, gust(door.wall, draught)
        if door.wall == "lid":
            row["kind"] = LEVEL
            row["turning"] = BARE_COLUMN
            row["bottom"] = row["top"] = enclosure.height_cm / 100.0
        else:
            row["kind"] = UPRIGHT
            row["bottom"], row["top"] = bottom / 100.0, (bottom + height) / 100.0
        pieces = cut(row, tops)
        for piece in pieces:
            piece["area"] = 0.0
        entries.append({"door": 1.0, "vent_row": float(first + len(rows)), "vent_rows": float(len(pieces))})
        rows += pieces
    return rows, entries
