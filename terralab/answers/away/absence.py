"""A box that is left alone: settled once while its keeper is at home, then one branch of all draws for each thing prepared.

Days of an absence are counted from the midnight on which it begins. Before that stand two days of the routine as described,
from the soil as it is now: one to come to rest, and the day before leaving, on which things are prepared.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from terralab.answers.common.balance import kept_dry
from terralab.answers.common.drying import days_span, top_dry_day, wilting_day
from terralab.answers.common.ensemble import Course, EnsembleResults, fair, measured, settled
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.limits import (
    DANGEROUSLY_COLD,
    DANGEROUSLY_HOT,
    OUT_OF_BAND,
    WATER_AT_MESH,
    WATER_IN_SOIL,
    Limits,
    limits_of,
)
from terralab.answers.common.temperature import heat_measures
from terralab.answers.common.vessels import damp_hide, dish_dry_day, hide_dry_day, tank_dry_day
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.errors import TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import Ensemble, ensemble
from terralab.uncertainty.sampling import SEED
from terralab.units import DAY_S

BEFORE_D, LEAVES_D = 1.0, 2.0  # when the day before leaving begins, and when the absence does
HORIZON = 28  # days looked ahead for the longest absence
SURE = 0.9  # the chance asked for there
END_DAYS = 3  # at the end of an absence, whose air is told

TOP_DRY, WILTING, DISH_DRY, HIDE_DRY = "top of the soil dry", "plants wilt", "dish dry", "moss in the hide dry"
AT_END = "at the end, "  # stands before what is measured of the warmth of the last days
TANK = "tank dry: "  # and the name of the mister
WORSE = "worse: "  # and a limit: passed at an hour at which it was not while the keeper was at home
HARMS: Mapping[str, tuple[str, ...]] = {
    "too hot": (DANGEROUSLY_HOT,),
    "too cold": (DANGEROUSLY_COLD,),
    "too dry": (TOP_DRY, WILTING),
    "too wet": (WATER_AT_MESH, WATER_IN_SOIL),
}
DANGER = tuple(name for names in HARMS.values() for name in names)
WORSE_AIR = tuple(f"{WORSE}{name}" for name in OUT_OF_BAND)


@dataclass(frozen=True)
class Plan:
    """What is done on the day before leaving, and what happens during the absence, as events of the run."""

    before: tuple[Event, ...] = ()
    during: tuple[Event, ...] = ()

    def __add__(self, other: Plan) -> Plan:
        return Plan((*self.before, *other.before), (*self.during, *other.during))


NOTHING = Plan()


@dataclass(frozen=True, eq=False)
class Branch:
    """What became of every draw: for each thing the day on which it first happens, inf for never, NaN for a draw that failed.

    `record`: the typical box from the day of leaving.
    """

    sample: EnsembleResults
    days: int
    record: Record
    plan: Plan = NOTHING

    def first(self, names: Sequence[str]) -> np.ndarray:
        """The day on which the first of these things happens, of each draw that ran."""
        found = [self.sample.results[name] for name in names if name in self.sample.results]
        if not found:
            return np.full(self.sample.ran, math.inf)
        day = np.min(found, axis=0)
        return day[~np.isnan(day)]

    def chance(self, names: Sequence[str], days: float | None = None) -> float:
        """The share of the draws in which none of these things happens before `days` (the whole branch) are over."""
        return float(np.mean(self.first(names) >= (self.days if days is None else days)))

    def span(self, names: Sequence[str]) -> tuple[float | None, float | None, float | None]:
        """(soonest, middle, latest) day of the central 80 %, None where that is not within the branch."""
        return days_span(self.first(names), self.days)

    def longest(self, names: Sequence[str] = DANGER) -> int:
        """The greatest number of whole days for which that chance is nine in ten or better; at most those of the branch."""
        return max(n for n in range(self.days + 1) if n == 0 or self.chance(names, n) >= SURE)

    def course(self, names: Sequence[str], days: int) -> list[float]:
        """For 0, 1, 2 ... `days` the share of the draws in which by then none of these things has happened."""
        return [round(self.chance(names, n), 3) for n in range(days + 1)]

    def soonest(self, names: Sequence[str], days: float) -> float:
        """The day on which the first of these things has happened in a tenth of the draws; `days` where that is later."""
        return float(np.quantile(np.minimum(self.first(names), days), 1.0 - SURE))

    @property
    def empties(self) -> tuple[str, ...]:
        """The dish and the tanks that are looked at."""
        return tuple(name for name in self.sample.results if name == DISH_DRY or name.startswith(TANK))

    @property
    def harms(self) -> tuple[str, ...]:
        """All that is danger, and the dish and the tanks: what the days are counted to."""
        return (*DANGER, *self.empties)


class Absence:
    """The draws of a box, settled, and what becomes of them by one plan or another; `days` is the absence asked about."""

    def __init__(self, box: Box, days: int, season: str, members: int) -> None:
        self.box, self.days, self.season = box, days, season
        self.every_min = fair_rows_min(box, 60.0, season)
        self.found: Ensemble = ensemble(box, members, season, SEED)
        self.rest = settled(box, BEFORE_D, season, self.found, every_min=self.every_min)
        self.typical_rest = self._typical(BEFORE_D, None, ())
        self.home = self._settled(Course(starts=self.rest))
        self.typical_home = self._typical(LEAVES_D - BEFORE_D, self.typical_rest, ())

    def branch(self, plan: Plan, days: int) -> Branch:
        """What becomes of every draw in `days` of absence. Raises RunError where too few of them can be run."""
        begins = self.home
        if plan.before:
            course = Course(events=_within(plan, before=True), starts=self.rest)
            begins = self._settled(course)
        course = Course(events=_within(plan, before=False), starts=begins)
        boxes = [self.box] * self.found.size
        usual = [limits_of(one) if isinstance(one, Record) else None for one in self.home]
        measures = _measures(self.box, self.found, usual, self.days)
        sample = fair(self.box, measured(boxes, days, measures, self.season, self.found, self.every_min, course=course))
        return Branch(sample, days, self.typical(plan, days), plan)

    def typical(self, plan: Plan, days: float) -> Record:
        """The typical box alone under a plan, from the day of leaving."""
        begins = self.typical_home
        if plan.before:
            begins = self._typical(LEAVES_D - BEFORE_D, self.typical_rest, _within(plan, before=True))
        return self._typical(days, begins, _within(plan, before=False))

    def _typical(self, days: float, start: Record | None, events: tuple[Event, ...]) -> Record:
        every = self.every_min
        job = Job(self.box, days, self.season, accuracy="preview", record_every_min=every, start=start, events=events)
        return run_job(job)

    def _settled(self, course: Course) -> Sequence[Record | TerralabError]:
        return settled(self.box, LEAVES_D - BEFORE_D, self.season, self.found, course, self.every_min)

    @cached_property
    def alone(self) -> Record:
        """The typical box with nothing prepared and nobody there."""
        return self.typical(NOTHING, max(HORIZON, self.days))


def _within(plan: Plan, before: bool) -> tuple[Event, ...]:
    """The events of a plan for the day before leaving, or for the absence: what happens once belongs to one of them."""
    gone = Event(LEAVES_D, None, "no hand")
    every = (gone, *plan.before, *plan.during)
    return tuple(one for one in every if not one.once or (one.begins_s < LEAVES_D * DAY_S) == before)


def end_rows(record: Record, days: float = math.inf) -> np.ndarray:
    """The rows of the last days of an absence of `days`, which may be shorter than the record."""
    a_day = round(DAY_S / record.step_s)
    last = round(min(days, record.days) * a_day)
    return np.arange(max(1, last - END_DAYS * a_day + 1), last + 1)


def _measures(
    box: Box, found: Ensemble, usual: Sequence[Limits | None], days: int
) -> dict[str, Callable[[Record], float]]:
    """The day of everything that may happen, for `ensemble.measured`; a record is looked at once.

    `usual`: the limits of the last day at home, draw by draw. What is told of the end is told of day `days`.
    """
    by_draw = {id_of(overrides): one for overrides, one in zip(found.overrides, usual, strict=True)}
    kept: list = [None, {}]

    def look(record: Record) -> dict[str, float]:
        if kept[0] is not record:
            kept[:] = [record, days_of(record, by_draw.get(id_of(record.settings["overrides"])))]
        return kept[1]

    measures = {name: lambda record, name=name: look(record)[name] for name in names_of(box)}
    rows = lambda record: end_rows(record, days)  # noqa: E731
    target, _ = target_of(box)
    measures |= {
        f"{AT_END}{part}": lambda record, part=part: humidity(record, rows(record), target)[part]["mean"]
        for part in ("day", "night")
    }
    if box.enclosure.drainage is not None:
        measures[f"{AT_END}gap"] = lambda record: float(record.gap_below_mesh_cm[rows(record)[-1]])
    return measures | heat_measures(rows, AT_END, wanted_in=box)


def id_of(overrides: Mapping[str, object]) -> tuple:
    """What a draw is known by: its numbers."""
    return tuple(sorted(overrides.items()))


def names_of(box: Box) -> tuple[str, ...]:
    """Everything that may happen to this box, in the order in which it is told."""
    out = [DANGEROUSLY_HOT, DANGEROUSLY_COLD]
    if not kept_dry(box):
        out += [TOP_DRY] + ([WILTING] if box.enclosure.plants is not None else [])
    out += [WATER_IN_SOIL] + ([WATER_AT_MESH] if box.enclosure.drainage is not None else [])
    out += [DISH_DRY] if box.enclosure.dish is not None else []
    out += [f"{TANK}{mist.name}" for mist in box.routine.mists if mist.tank_ml is not None]
    out += [HIDE_DRY] if damp_hide(box) else []
    return (*out, *OUT_OF_BAND, *WORSE_AIR)


def days_of(record: Record, usual: Limits | None = None) -> dict[str, float]:
    """The day of an absence on which each thing first happens; inf for what does not. `usual`: the last day at home."""
    limits = limits_of(record)
    out = {name: limits.first_h(name) / 24.0 for name in limits.passed}
    if usual is not None:
        same = _repeated(usual, len(record.times_s))
        out |= {f"{WORSE}{name}": limits.first_h(name, usual=same) / 24.0 for name in OUT_OF_BAND}
    out[TOP_DRY], out[WILTING] = (_or_never(day(record)) for day in (top_dry_day, wilting_day))
    out[DISH_DRY], out[HIDE_DRY] = dish_dry_day(record), hide_dry_day(record)
    out |= {f"{TANK}{mist.name}": tank_dry_day(record, mist.name) for mist in record.box.routine.mists}
    return out


def _or_never(day: float) -> float:
    return math.inf if math.isnan(day) else day


def _repeated(day: Limits, rows: int) -> Limits:
    """The flags of one day, row after row again for so many rows; the first row is the midnight on which the day ends."""
    at = np.arange(rows) % (len(next(iter(day.passed.values()))) - 1)
    at[at == 0] = len(next(iter(day.passed.values()))) - 1
    return Limits({name: flags[at] for name, flags in day.passed.items()}, day.step_h)


def refills(box: Box, at_d: float) -> tuple[Event, ...]:
    """Events that fill the dish and every tank at a time [days]."""
    names = ["dish"] if box.enclosure.dish is not None else []
    names += [mist.name for mist in box.routine.mists if mist.tank_ml is not None]
    return tuple(Event(at_d, None, {"refill": name}) for name in names)


def soil_lost_ml(record: Record, days: float) -> float:
    """What the soil has lost in the first `days` of a record [ml]; 0 where it gained."""
    row = min(round(days * DAY_S / record.step_s), len(record.times_s) - 1)
    soil = record.stored_kg["soil"]
    return max(0.0, 1000.0 * float(soil[0] - soil[row]))
