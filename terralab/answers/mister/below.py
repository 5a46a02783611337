"""What a way of watering does to soil and layer in two weeks: moist, dry or drowned, and when the layer wants siphoning."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.answers.common.balance import DRY_HEAD_M, kept_dry, roots_have_air, top_suction_m
from terralab.answers.common.ensemble import settled_rows
from terralab.answers.common.limits import PUDDLE_M
from terralab.answers.drainage.bottoms import litres_under_mesh
from terralab.answers.drainage.sizing import LEAST_DRAWN_CM, LOWEST_SIPHON_CM, clear_cm
from terralab.answers.fails.flood import RESERVE
from terralab.simulation.record import Record

WATCHED_DAYS = 14
SEEN_DAYS = 7  # the last of these, by when the layer rises evenly
LEAST_BETWEEN_DAYS = 7.0  # between two siphonings: more often is no routine that one keeps up (as for the daily water)
LONGEST_DAYS = 366.0
NOTHING_ML = 0.5


@dataclass(frozen=True)
class Below:
    """What arrives under the mesh [ml a day, what rises again taken off], and days between two siphonings.

    `every_days`: None where nothing is to be siphoned within a year, or where there is no layer. `fits_l`: what fits into
    the layer under the mesh where it was siphoned before, less the reserve that `fails` keeps. `drowned`: what is too wet, `wrong`: what else is wrong; ""
    where nothing is. `suction_m`: the hardest of the last day in the top 2 cm.
    """

    ml: float
    every_days: float | None
    fits_l: float | None
    drowned: str
    wrong: str
    suction_m: float

    @property
    def why_not(self) -> str:
        """What forbids it; "" where nothing does."""
        return self.drowned or self.wrong


def below_of(record: Record, before: Below | None = None) -> Below:
    """What two weeks of a run show below; `before`: the same without a mister, whose rhythm is not to be forbidden."""
    end = float(record.times_days[-1])
    rows = record.rows(end - SEEN_DAYS, end)
    ml, every, fits = 0.0, None, None
    if record.has_reservoir:
        stored = 1000.0 * float(record.reservoir_water_m[rows[-1]] - record.reservoir_water_m[rows[0] - 1])
        came_kg = stored * record.floor_m2 + float(record.moved_kg("siphoned")[rows].sum())
        ml = 1000.0 * came_kg / SEEN_DAYS
        drawn = _drawn_cm(record)
        room = litres_under_mesh(record, record.box.enclosure.drainage.depth_cm - _lowest_cm(record))
        fits = (1.0 - RESERVE) * room
        if ml > NOTHING_ML and drawn >= LEAST_DRAWN_CM:
            days = 1000.0 * litres_under_mesh(record, drawn) / ml
            every = days if days <= LONGEST_DAYS else None
    suction = top_suction_m(record, settled_rows(record))
    wrong = _too_often(every, before) or _dries(record, suction, before)
    return Below(ml, every, fits, _drowned(record, rows), wrong, suction)


def _lowest_cm(record: Record) -> float:
    """Down to which level it is siphoned [cm above the floor]."""
    depth = record.box.enclosure.drainage.depth_cm
    return max(0.0, min([LOWEST_SIPHON_CM, 0.5 * depth, *(s.to_level_cm for s in record.box.routine.siphons)]))


def _drawn_cm(record: Record) -> float:
    """By how much a siphoning lowers the water: from where it is to be siphoned, as described or clear of the mesh."""
    depth = record.box.enclosure.drainage.depth_cm
    watched = [s.when_gap_below_cm for s in record.box.routine.siphons if s.when_gap_below_cm is not None]
    return depth - (watched[0] if watched else clear_cm(record.box)) - _lowest_cm(record)


def _drowned(record: Record, rows: np.ndarray) -> str:
    pond = record.cell_water_m[rows, 0] - (record.pore_space * record.cell_m)[0]
    if float(np.max(pond)) > PUDDLE_M:
        return "water stands on the soil"
    if record.has_reservoir and float(np.min(record.gap_below_mesh_cm[rows])) <= 0.0:
        return "water reaches the mesh"
    return "" if roots_have_air(record, rows) else "the roots run short of air"


def _too_often(every: float | None, before: Below | None) -> str:
    if every is None or every >= LEAST_BETWEEN_DAYS:
        return ""
    if before is not None and before.every_days is not None and every >= before.every_days - 0.5:
        return ""  # no oftener than without a mister
    return f"the layer would want siphoning every {every:.0f} days"


def _dries(record: Record, suction_m: float, before: Below | None) -> str:
    """Whether the top is not as it is to be kept: dry, or moist, if it is without a mister."""
    if kept_dry(record.box):
        return "" if suction_m >= -DRY_HEAD_M else "the soil is to stay dry and gets moist"
    bound = -DRY_HEAD_M if before is None else max(-DRY_HEAD_M, before.suction_m)
    return "" if suction_m <= bound else "the top of the soil dries out"
