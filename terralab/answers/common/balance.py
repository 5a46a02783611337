"""One daily pour, and what a day of it does to the soil: the common ground of the watering answers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab.describe.box import Box
from terralab.describe.routine import Pour
from terralab.describe.trial import Trial
from terralab.describe.wanted import DRY, soil_wanted
from terralab.simulation.record import Record
from terralab.units import DAY_S

MORNING_S = 8 * 3600.0
TOP_CM = 2.0
AIR_WANTED = 0.10
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


def needed_ml(record: Record, rows: np.ndarray) -> float:
    """The pour [ml a day] that would have left the soil's water unchanged over the rows, drainage aside.

    Evaporation from the soil and what roots drew, less what came back: drips, run-off from the glass to the
    soil's edge, vapour and water from below. Negative when more comes back than leaves.
    """
    total = lambda *names: record.moved_kg(*names)[rows].sum()  # noqa: E731
    lost = total("soil_evaporation") + total("transpiration")
    back = total("to_soil") - (total("poured") - total("bypassed"))
    risen = total("reservoir_vapour") - np.minimum(0.0, record.moved_kg("drained")[rows]).sum() + total("wick_rise")
    days = len(rows) * record.step_s / DAY_S
    return 1000.0 * float(lost - back - risen) / days


def balancing_ml(record: Record, rows: np.ndarray) -> float:
    """The daily pour to recommend [ml a day]: what holds the soil over the rows, at most what the box really loses.

    Where nobody siphons and no hole drains, what is poured beyond the vapour that leaves can only gather below: the soil of
    a nearly closed jar loses water to the panes all day, and gets it back or sends it down, but the box loses none. So
    the pour is then no more than the vapour, less what is sprayed, misted, topped up and poured below anyway.
    """
    needed = needed_ml(record, rows)
    box = record.box
    if not (box.routine.siphons or (box.enclosure.drain_hole and box.enclosure.drainage is None)):
        # what comes once a week counts by the day, so the whole run is looked at
        leaves, comes = record.vapour_out_ml_a_day(rows), record.given_ml_a_day()
        below = sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into != "soil")
        needed = min(needed, leaves - comes - below)
    return max(0.0, float(needed))


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
