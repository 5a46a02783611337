"""The soak as it is run: portion by portion, what the soil keeps poured on it and what runs past poured below it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.answers.common.balance import needed_ml
from terralab.answers.soak.pace import Pace
from terralab.answers.soak.parts import Soak
from terralab.describe.box import Box
from terralab.describe.enclosure import Tube
from terralab.describe.routine import Pour
from terralab.describe.trial import Trial
from terralab.errors import RunError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.units import DAY_S

FIRST_S = 8 * 3600.0
SAFE_GAP_CM = 1.0
DRAINS_CM = 0.3  # kept free for what drains out of the soil afterwards (a choice; the run shows whether it is enough)
CHECKED_DAYS = 3
CLOSE = 0.1  # of what the soil lacked: as near as it must come to drained-moist, evaporation aside
LEAST_ML = 0.1  # a pour of less is none
STAND_IN = Tube(2.5, capped=True)  # water that runs past reaches the layer without one too


@dataclass(frozen=True, eq=False)
class Check:
    """What a run of the typical box with the soak shows: whether the soil is moist then, the smallest gap under the mesh
    [cm]; or why it could not be run.
    """

    record: Record | None = None
    moist: bool = False
    gap_cm: float | None = None
    unrun: str = ""


def room_below_l(box: Box) -> float:
    """Litres that the drainage layer takes until its water is a safe gap under the mesh; none without a layer."""
    layer = box.enclosure.drainage
    if layer is None:
        return 0.0
    high = max(0.0, layer.depth_cm - SAFE_GAP_CM - DRAINS_CM - layer.level_cm)
    return 10.0 * high * layer.voids * box.enclosure.soil_area_m2


def evaporates_l(box: Box, held: Sequence[float], past: Sequence[float], pace: Pace, season: str) -> float:
    """Litres that the soil loses to the air from the first portion to the last, in the room of `season`; nan: no run."""
    try:
        record = _run(box, held, past, pace, 1, season, accuracy="preview")
    except RunError:
        return math.nan
    rows = np.flatnonzero((record.times_s > FIRST_S) & (record.times_s <= FIRST_S + pace.lasts_s + record.step_s / 2.0))
    if not len(rows):
        return 0.0
    return max(0.0, needed_ml(record, rows)) / 1000.0 * pace.lasts_s / DAY_S


def checked(box: Box, typical: Soak, soak: Soak, held: Sequence[float], past: Sequence[float], pace: Pace) -> Check:
    """Run three days with the portions on the first. `held`, `past`: litres of each; of what runs past only as much stays
    below as the layer takes, the rest is siphoned.
    """
    try:
        record = _run(box, held, past, pace, CHECKED_DAYS)
    except RunError as error:
        return Check(unrun=error.why)  # the litres themselves need no run
    evaporated = max(0.0, CHECKED_DAYS * needed_ml(record, np.arange(1, len(record.times_s))) / 1000.0)
    left = float(record.series["soil water ml"][-1]) / 1000.0
    short = typical.moist - left - evaporated - max(0.0, typical.lacking - soak.lacking)
    gap = round(float(np.min(record.gap_below_mesh_cm)), 1) if record.has_reservoir else None
    return Check(record, short <= CLOSE * typical.lacking, gap)


def _run(
    box: Box,
    held: Sequence[float],
    past: Sequence[float],
    pace: Pace,
    days: int,
    season: str = "now",
    accuracy: str = "normal",
) -> Record:
    glass = box.enclosure
    room = room_below_l(box)
    pours: list[Pour] = []
    for k, (soil, below) in enumerate(zip(held, past, strict=True)):
        stays = min(below, room)
        room -= stays
        for litres, into in ((soil, "soil"), (stays, "drainage")):
            if 1000.0 * litres >= LEAST_ML:
                over = max(0.1, pace.over_s / 60.0)
                pours.append(Pour(float(int(FIRST_S + k * pace.every_s)), 1000.0 * litres, over, 365, into))
    if glass.drainage is None:
        pours = [pour for pour in pours if pour.into == "soil"]
    elif glass.tube is None:
        glass = replace(glass, tube=STAND_IN)
    routine = replace(box.routine, pours=tuple(pours), siphons=())
    trial = Trial.of(box, enclosure=glass, start=box.start.with_soil("dry"), routine=routine)
    # what runs past has been taken out already
    kept = {f"{glass.layers[0].material}.bypass_share": 0.0}
    return run_job(Job(trial, days, season, kept, accuracy=accuracy))
