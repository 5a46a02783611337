"""Which limits are passed when: row by row of a record, for questions in which days are not alike.

Where `temperature` and `humidity_target` judge whole days, here a clock runs: from when on is the air out of its band, from
when on is it dangerous. The same numbers are used: one band, one limit. A limit counts as passed when it has been so for as
long as `LASTS_H` says, from the row on which that began; so a burst of a fan or an open door is no alarm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.answers.common.humidity_target import REACHES, is_day, target_of
from terralab.answers.common.temperature import BEYOND_K, DANGER_H, FAR_K, READ_K
from terralab.describe.wanted import ANYONE, temperatures_wanted
from terralab.simulation.record import Record

DANGEROUSLY_HOT, DANGEROUSLY_COLD = "dangerously hot", "dangerously cold"
TOO_HOT, TOO_COLD, TOO_DRY, TOO_DAMP = "too hot", "too cold", "too dry", "too damp"
WATER_AT_MESH, WATER_IN_SOIL = "water at the mesh", "water over the soil"
#: In order of gravity: temperature first.
DANGERS = (DANGEROUSLY_HOT, DANGEROUSLY_COLD, WATER_IN_SOIL)
OUT_OF_BAND = (TOO_HOT, TOO_COLD, TOO_DRY, TOO_DAMP)
# h that a limit must be passed without a break. Choices: that of danger is the rule of `temperature`, the others let a
# door or a burst of a fan pass.
LASTS_H = {
    DANGEROUSLY_HOT: DANGER_H, DANGEROUSLY_COLD: DANGER_H, WATER_IN_SOIL: 1.0, WATER_AT_MESH: 0.0,
    TOO_HOT: 1.0, TOO_COLD: 1.0, TOO_DRY: 3.0, TOO_DAMP: 3.0,
}  # fmt: skip
PUDDLE_M = 0.002  # of water standing on the soil; a choice


@dataclass(frozen=True, eq=False)
class Limits:
    """For every limit a flag a row of a record: passed or not, before anything is said of how long."""

    passed: dict[str, np.ndarray]
    step_h: float

    def first_h(self, name: str, since: int = 0, usual: Limits | None = None) -> float:
        """Hours from row `since` until the limit is passed for long enough; inf if it never is.

        `usual`: the same rows of a run in which nothing happened; what is past a limit there at that hour, and for long enough,
        is not counted. Where a thermostat takes the air past a limit for minutes, to stay past it is something else.
        """
        flags = self.passed[name][since:]
        need = max(1, round(LASTS_H[name] / self.step_h))
        if usual is not None:
            flags = flags & ~_without_breaks(usual.passed[name], need)[since : since + len(flags)]
        run = 0
        for row, flag in enumerate(flags):
            run = run + 1 if flag else 0
            if run >= need:
                return (row - need + 1) * self.step_h
        return float("inf")

    def share(self, *names: str, since: int = 0) -> float:
        """The share of the time since that row in which at least one of these limits is passed."""
        return float(np.any([self.passed[name][since:] for name in names], axis=0).mean())


def _without_breaks(flags: np.ndarray, need: int) -> np.ndarray:
    """The flags that stand in a row of at least `need`."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    out = np.zeros(len(flags), bool)
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        out[first:last] = last - first >= need
    return out


def limits_of(record: Record) -> Limits:
    """Return which limits of its box a record passes in each of its rows.

    Without a group or band no humidity is wrong, and of temperature only what not one group of the tables bears.
    """
    every = np.arange(len(record.times_s))
    target, _ = target_of(record.box)
    day = is_day(record, every, target)
    wanted = temperatures_wanted(record.box)
    t = wanted or ANYONE
    air, surfaces = record.air_c, np.maximum(record.ground_c, record.glass_c)
    pond = record.cell_water_m[:, 0] - (record.pore_space * record.cell_m)[0]
    never = np.zeros(len(every), bool)
    passed = {
        DANGEROUSLY_HOT: (air > t.most + READ_K) | (surfaces > t.surface_most + FAR_K),
        DANGEROUSLY_COLD: air < t.least - READ_K,
        TOO_HOT: never if wanted is None else air > np.where(day, t.day_high, t.night_high) + BEYOND_K,
        TOO_COLD: never if wanted is None else air < np.where(day, t.day_low, t.night_low) - BEYOND_K,
        TOO_DRY: never,
        TOO_DAMP: never,
        WATER_AT_MESH: record.gap_below_mesh_cm <= 0.0 if record.has_reservoir else never,
        WATER_IN_SOIL: pond > PUDDLE_M,
    }
    if target is not None:
        rh = record.humidity_shown
        passed[TOO_DRY] = rh < np.where(day, target.day_low, target.night_low) - REACHES
        passed[TOO_DAMP] = rh > np.where(day, target.day_high, target.night_high) + REACHES
    return Limits(passed, record.step_s / 3600.0)
