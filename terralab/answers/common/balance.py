"""One daily pour, and what a day of it does to the soil: the common ground of the watering answers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab.describe.box import Box
from terralab.describe.routine import Pour
from terralab.describe.trial import Trial
from terralab.describe.wanted import DRY, soil_wanted
from terralab.simulation.balancing import balancing_ml as balancing_ml
from terralab.simulation.balancing import needed_ml as needed_ml
from terralab.simulation.record import Record
from terralab.soil.resting import AIRLESS

MORNING_S = 8 * 3600.0
TOP_CM = 2.0
AIR_WANTED = AIRLESS  # one number, in soil at rest and in soil that lives
# 100 hPa: the end of easily available water, which is counted from 10 to 100 hPa (Schindler & Müller 2016, abstract); down
# to here drying peat has one suction at all depths, and from here on its top runs ahead (Heiskanen 1993, abstract)
DRY_HEAD_M = -1.0


def kept_dry(box: Box) -> bool:
    """True where the soil is to be kept dry: as typed, or as the group wants it. How it is at the start plays no part."""
    return soil_wanted(box) == DRY


def kept_soil(box: Box) -> str:
    """The moisture that watering is to hold, as a word of `start.soil`."""
    return "dry" if kept_dry(box) else "drained-moist"


def begun_as_kept(box: Box) -> Box:
    """The box with soil as it is to be kept, where it starts dry or drained; a soaked start stays as described."""
    if not box.start.readings and box.start.soil in ("wet", kept_soil(box)):
        return box
    return Trial.of(box, start=box.start.with_soil(kept_soil(box)))


def with_pour(box: Box, ml: float) -> Box:
    """The box, started as its soil is to be kept, with one daily pour of `ml` on the soil and all else as described."""
    soil = [pour for pour in box.routine.pours if pour.into == "soil"]
    rest = tuple(pour for pour in box.routine.pours if pour.into != "soil")
    when = soil[0].time_s if soil else MORNING_S
    pours = rest if ml < 0.1 else (*rest, Pour(time_s=when, amount_ml=ml, over_min=max(2.0, ml / 150.0)))
    return Trial.of(box, start=box.start.with_soil(kept_soil(box)), routine=replace(box.routine, pours=pours))


def budget_ml(record: Record, rows: np.ndarray) -> dict[str, float]:
    """Where the water goes, ml a day by name, averaged over the rows."""
    return record.where_it_goes(rows)


def top_stays_moist(record: Record, rows: np.ndarray) -> bool:
    """True when the middle of the top 2 cm never sucks harder than the dry limit (1 m)."""
    return top_suction_m(record, rows) < -DRY_HEAD_M


def top_suction_m(record: Record, rows: np.ndarray) -> float:
    """The hardest suction [m] in the middle of the top 2 cm over the rows; a moss cover counts as the top."""
    return float(np.max(mean_suction_m(record, rows, 0.0, TOP_CM)))


def mean_suction_m(record: Record, rows: np.ndarray, top_cm: float, bottom_cm: float) -> np.ndarray:
    """Suction [m] in each of the rows in the middle of the soil between two depths [cm], by the cells whose middle lies there.

    The middle is that of the logarithm of suction, so that a dry surface cell of a millimetre does not decide alone.
    """
    cells = np.flatnonzero((record.depth_cm > top_cm) & (record.depth_cm <= bottom_cm))
    weights = record.cell_m[cells]
    return np.exp(np.log(np.maximum(1e-6, -record.head_m[np.ix_(rows, cells)])) @ weights / weights.sum())


def root_zone_cm(record: Record) -> tuple[float, float]:
    """Top and bottom of the root zone [cm] in the mix itself, below a moss cover: of the plants, else the whole soil."""
    enclosure = record.box.enclosure
    bottom = record.cells_deep_cm
    top = bottom - enclosure.soil_depth_cm
    deep = enclosure.soil_depth_cm if enclosure.plants is None else enclosure.plants.root_depth_cm
    return top, min(bottom, top + deep)


def roots_have_air(record: Record, rows: np.ndarray) -> bool:
    """True when the root zone, taken as a whole, holds at least 10 % air at every row."""
    return bool(np.min(record.mean_over(record.air_space[rows], *root_zone_cm(record))) >= AIR_WANTED)
