"""When what a keeper fills runs dry: the dish, the moss in the hide, the tanks. Days are counted from a record's first row."""

from __future__ import annotations

import math

import numpy as np

from terralab.describe.box import Box
from terralab.simulation.record import Record

DISH_DRY_M = 1.0e-4  # of water in a dish: less wets its floor in part and cannot be drunk (a choice)
HIDE_DRY_SHARE = 0.05  # of the water that the moss in a hide holds: with less it is dry to the touch (a choice)


def dish_dry_day(record: Record) -> float:
    """The day from the first row of a record on which its dish holds no water to drink any more; inf for never or no dish."""
    dish = record.box.enclosure.dish
    if dish is None:
        return math.inf
    dry = np.flatnonzero(record.stored_kg["dish"] <= 1000.0 * DISH_DRY_M * dish.area_cm2 / 1e4)
    return float(record.times_days[dry[0]] - record.times_days[0]) if len(dry) else math.inf


def damp_hide(box: Box) -> bool:
    """Whether the box has a hide with damp moss, which somebody wets every day."""
    return box.enclosure.hide is not None and box.enclosure.hide.floor == "damp moss"


def hide_dry_day(record: Record) -> float:
    """The day from the first row of a record on which the moss in its hide has lost nearly all its water; inf for never."""
    water = record.stored_kg["hide"]
    dry = np.flatnonzero(water <= HIDE_DRY_SHARE * water[0]) if damp_hide(record.box) else ()
    return float(record.times_days[dry[0]] - record.times_days[0]) if len(dry) else math.inf


def tank_dry_day(record: Record, mister: str) -> float:
    """The day from the first row of a record on which the tank of a mister first runs dry; inf for never or no tank."""
    return max(0.0, record.ran_dry_h.get(mister, math.inf) - float(record.times_h[0])) / 24.0
