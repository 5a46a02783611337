"""Alarm limits: where to set them so that they seldom cry wolf, how often they would, and when they sound.

A limit stands as near to what is usual as it may: past the extremes of ordinary days of the boxes drawn, and further by what
a household sensor may be off. How often it sounds in ordinary weeks is then counted, with a sensor that reads right, too
high and too low. Beside it stands the limit that first comes to mind, the edge of the band wanted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from terralab import materials
from terralab.answers.common.humidity_target import target_of
from terralab.describe.box import Box
from terralab.describe.wanted import temperatures_wanted
from terralab.simulation.record import Record
from terralab.units import DAY_S

SHARE = 0.8  # of the boxes drawn in whose ordinary days a limit stays silent with a sensor that reads right
FLOAT_CM = 1.0  # below the mesh, where a float is set if the water does not usually stand higher (a choice)
ABOVE_USUAL_CM = 0.5  # of water that may come above the usual level before the float tells (a choice)
LEAST_FLOAT_CM = 0.1  # nearer under the mesh a float tells too late
MOST_RH, LEAST_RH = 98.0, 2.0  # past these no household hygrometer tells apart


class AlarmKind(StrEnum):
    """What an alarm watches."""

    COLD = "temperature low"
    HOT = "temperature high"
    DRY = "humidity low"
    DAMP = "humidity high"
    FLOAT = "level float"


@dataclass(frozen=True, slots=True)
class Alarm:
    """One alarm: its limit (deg C, % RH, or cm below the mesh), and how often it cries wolf in an ordinary week.

    `limit` None: none is of use, since usual days go to the end of what a sensor shows, or water stands at the mesh.
    `wolf`: days of an ordinary week on which it sounds for nothing, mean over the boxes drawn and over a sensor that is right,
    high and low. `edge`, `edge_wolf`: the edge of the band wanted, and the same for it; None where nothing is wanted.
    """

    kind: AlarmKind
    limit: float | None
    wolf: float | None = None
    edge: float | None = None
    edge_wolf: float | None = None

    def sounds(self, record: Record) -> np.ndarray:
        """In which rows of a record it would sound."""
        return past(self.kind, course_of(self.kind, record), self.limit)


def course_of(kind: AlarmKind, record: Record) -> np.ndarray:
    """What the sensor of an alarm reads: the air half way up, or the air under the mesh [cm]."""
    if kind in (AlarmKind.COLD, AlarmKind.HOT):
        return record.air_c
    return record.gap_below_mesh_cm if kind is AlarmKind.FLOAT else record.humidity_shown


def past(kind: AlarmKind, course: np.ndarray, limit: float | None) -> np.ndarray:
    """Where a course is past a limit of an alarm; nowhere without one."""
    if limit is None:
        return np.zeros(len(course), bool)
    return course > limit if kind in (AlarmKind.HOT, AlarmKind.DAMP) else course < limit


def sensor_error(kind: AlarmKind) -> float:
    """What a household sensor may be off, in K or points; 0 for a float."""
    entry, name = {
        AlarmKind.COLD: ("room thermometer and ice", "temperature_error"),
        AlarmKind.HOT: ("room thermometer and ice", "temperature_error"),
        AlarmKind.DRY: ("box hygrometer and salt", "humidity_error"),
        AlarmKind.DAMP: ("box hygrometer and salt", "humidity_error"),
        AlarmKind.FLOAT: ("", ""),
    }[kind]
    return materials.get("measurements", entry).typical(name) if entry else 0.0


def alarms_for(box: Box, ordinary: Sequence[Record], logged: Sequence[Record] = ()) -> tuple[Alarm, ...]:
    """The alarms of one season: `ordinary` days of the boxes drawn, and of the box through the room's own log where there is one."""
    kinds = [kind for kind in AlarmKind if kind is not AlarmKind.FLOAT or box.enclosure.drainage is not None]
    edges = _edges(box)
    return tuple(_alarm(kind, ordinary, logged, edges.get(kind)) for kind in kinds)


def _alarm(kind: AlarmKind, ordinary: Sequence[Record], logged: Sequence[Record], edge: float | None) -> Alarm:
    courses = [course_of(kind, record) for record in (*ordinary, *logged)]
    upward = kind in (AlarmKind.HOT, AlarmKind.DAMP)
    ends = np.array([c.max() if upward else c.min() for c in courses[: len(ordinary)]])
    usual = float(np.quantile(ends, SHARE if upward else 1.0 - SHARE))
    for course in courses[len(ordinary) :]:
        usual = max(usual, float(course.max())) if upward else min(usual, float(course.min()))
    limit = _limit(kind, usual)
    records = (*ordinary, *logged)
    wolf = None if limit is None else _cries(kind, courses, records, limit)
    return Alarm(kind, limit, wolf, edge, None if edge is None else _cries(kind, courses, records, edge))


def _limit(kind: AlarmKind, usual: float) -> float | None:
    """The limit beyond what is usual: in half degrees, whole points, or tenths of a centimetre below the mesh."""
    error = sensor_error(kind)
    if kind is AlarmKind.FLOAT:
        gap = min(FLOAT_CM, math.floor(10.0 * (usual - ABOVE_USUAL_CM)) / 10.0)
        return gap if gap >= LEAST_FLOAT_CM else None
    if kind is AlarmKind.COLD:
        return math.floor(2.0 * (usual - error)) / 2.0
    if kind is AlarmKind.HOT:
        return math.ceil(2.0 * (usual + error)) / 2.0
    limit = math.floor(usual - error) if kind is AlarmKind.DRY else math.ceil(usual + error)
    return float(limit) if LEAST_RH <= limit <= MOST_RH else None


def _cries(kind: AlarmKind, courses: Sequence[np.ndarray], records: Sequence[Record], limit: float) -> float:
    """On how many days of an ordinary week a limit is passed, on the mean of all courses and of sensors right, high and low."""
    error = sensor_error(kind)
    shares = []
    for course, record in zip(courses, records, strict=True):
        day = np.floor((record.times_s[1:] - 1.0) / DAY_S).astype(int)  # a row tells of the time before it
        for off in (-error, 0.0, error):
            flags = past(kind, course + off, limit)[1:]
            shares.append(len(np.unique(day[flags])) / len(np.unique(day)))
    return 7.0 * float(np.mean(shares))


def _edges(box: Box) -> Mapping[AlarmKind, float]:
    """The edges of the bands wanted, by day and by night together."""
    found: dict[AlarmKind, float] = {}
    target, warm = target_of(box)[0], temperatures_wanted(box)
    if target is not None:
        found[AlarmKind.DRY] = float(min(target.day_low, target.night_low))
        found[AlarmKind.DAMP] = float(max(target.day_high, target.night_high))
    if warm is not None:
        found[AlarmKind.COLD] = float(min(warm.day_low, warm.night_low))
        found[AlarmKind.HOT] = float(max(warm.day_high, warm.night_high))
    return found
