"""The runs behind the failures: ordinary days of every box drawn, settled once a season, and each fault branched off them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.answers.common.draws import Failure, by_reason, why_words
from terralab.answers.common.ensemble import (
    LEAST_STEPS,
    LEAST_STEPS_A_DAY,
    MOST_FAILED,
    SEED,
    SETTLE_DAYS,
    settled,
)
from terralab.answers.common.limits import (
    DANGEROUSLY_COLD,
    DANGEROUSLY_HOT,
    DANGERS,
    OUT_OF_BAND,
    TOO_COLD,
    TOO_HOT,
    Limits,
    limits_of,
)
from terralab.answers.fails.alarms import Alarm, alarms_for
from terralab.answers.fails.faults import Fault, FaultKind
from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.seasons import room_of
from terralab.errors import RunError, TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty import Ensemble, ensemble, overrides
from terralab.uncertainty.learned import with_learned

EVERY_MIN = 15.0
SCAN_H = 36.0


@dataclass(frozen=True, slots=True)
class Plan:
    """How much is looked at: hours of the day at which a fault begins, hours that it is followed, boxes drawn."""

    hours: tuple[int, ...]
    watched_h: float
    members: int

    @property
    def usual_days(self) -> float:
        """Ordinary days that are run beside it: the latest hour and what is followed, and three days at least."""
        return max(3.0, math.ceil((self.hours[-1] + self.watched_h) / 24.0))


# A box whose thermostat switches every minute takes fifty times the steps of one that does not; then less is looked at.
FULL = Plan((0, 6, 12, 18), 72.0, 8)
SHORT = Plan((0, 12), 48.0, 5)
COSTLY_STEPS = 4000  # of the air, a day


AS_DESCRIBED = Ensemble((), np.zeros((1, 0)))  # one box with every number at its typical value


@dataclass(frozen=True, eq=False)
class Drawn:
    """One box of a season, typical or drawn: its numbers, the run from which others go on, and its ordinary days."""

    overrides: dict[str, float]
    end: Record
    usual: Record
    limits: Limits
    room: RoomState


@dataclass(frozen=True, eq=False)
class Season:
    """A season: the typical box, the boxes drawn, which of them could not be run, and the alarms."""

    name: str
    typical: Drawn
    members: tuple[Drawn, ...]
    failures: tuple[Failure, ...]
    alarms: tuple[Alarm, ...]
    plan: Plan


@dataclass(frozen=True, slots=True)
class Course:
    """What one run of a fault came to, in hours from its beginning; inf: not in the time that it was watched.

    `band`, `danger`: until the band is left and until danger; `band_what`, `danger_what`: which limit that is; `warm`, `warm_what`:
    until the band of temperature is left, and to which side. `alarms`: until each alarm sounds. `back`: until it is inside all limits again. `far_c`, `far_rh`: what the air comes to where it is farthest
    from what is usual at that hour [C, % RH], and `far_k`, `far_points` how far that is, above or below.
    """

    band: float
    band_what: str
    danger: float
    danger_what: str
    warm: float
    warm_what: str
    alarms: tuple[float, ...]
    back: float
    far_c: float
    far_k: float
    far_rh: float
    far_points: float

    @property
    def key(self) -> tuple[float, float, float, float]:
        """What is worse comes first: danger, then the temperature wanted, then the humidity, then how far the air strays."""
        return self.danger, self.warm, self.band, -abs(self.far_k)


def plan_of(box: Box, season: str, members: int | None) -> Plan:
    """How much of a box is looked at, by what one day of it takes to run; `members`: as many boxes drawn as that."""
    day = run_job(Job(box, 1, season, accuracy="preview", record_every_min=60.0))
    plan = FULL if day.settings["air_steps"] <= COSTLY_STEPS else SHORT
    return plan if members is None else replace(plan, members=members)


def season_of(box: Box, name: str, plan: Plan, logged: Sequence[Record] = ()) -> Season:
    """Settle the typical box and every box drawn in the room of a season, and run their ordinary days.

    Raises RunError where the typical box, or more than a quarter of those drawn, cannot be run.
    """
    members = plan.members
    found = ensemble(box, members, name, SEED)
    ends = (*settled(box, SETTLE_DAYS, name, AS_DESCRIBED), *settled(box, SETTLE_DAYS, name, found))
    numbers = ({}, *found.overrides)
    _needs_typical(box, name, ends[0])
    jobs, begun = [], []
    failures: list[Failure] = []
    for i, (end, own) in enumerate(zip(ends, numbers, strict=True)):
        if isinstance(end, Record):
            begun.append(i)
            jobs.append(_job(box, name, own, end, plan.usual_days))
        else:
            failures.append(Failure(i - 1, getattr(end, "why", str(end)), getattr(end, "day", None)))
    drawn: dict[int, Drawn] = {}
    ordinary = run_many(jobs, failed="error")
    _needs_typical(box, name, ordinary[0])
    for i, usual in zip(begun, ordinary, strict=True):
        if isinstance(usual, TerralabError):
            failures.append(Failure(i - 1, getattr(usual, "why", str(usual)), getattr(usual, "day", None)))
            continue
        room = overrides.shifted(room_of(box, name), with_learned(box, numbers[i], name))
        drawn[i] = Drawn(numbers[i], ends[i], usual, limits_of(usual), room)  # type: ignore[arg-type]
    if len(drawn) - 1 < members - members // MOST_FAILED:
        raise RunError(
            f"{box.name}: {len(failures)} of {members} runs of ordinary days in the room of {name} could not be made, so "
            f"nothing fair can be said of what fails. Why: {why_words(by_reason(failures))}. Check the description for extreme values; "
            "if they are right, please report this box."
        )
    typical = drawn.pop(0)
    alarms = alarms_for(box, [one.usual for one in drawn.values()], logged)
    return Season(name, typical, tuple(drawn.values()), tuple(failures), alarms, plan)


def _needs_typical(box: Box, season: str, found: Record | TerralabError) -> None:
    """Raise RunError where the box as described could not be run."""
    if isinstance(found, TerralabError):
        why = getattr(found, "why", str(found))
        raise RunError(
            f"{box.name} as described could not be run in the room of {season}: {why}. Check the description for extreme values; if "
            "they are right, please report this box.",
            why,
            getattr(found, "day", None),
        )


def followed(
    box: Box, season: Season, cases: Sequence[tuple[Fault, int, Drawn]], watched_h: float
) -> list[Course | None]:
    """What each case came to: a fault that begins at an hour of the day in one box drawn; None where it could not be run."""
    jobs = [_branch(box, season, *case, watched_h) for case in cases]
    records = run_many(jobs, failed="error")
    out: list[Course | None] = []
    for job, record, (fault, hour, drawn) in zip(jobs, records, cases, strict=True):
        stopped = isinstance(record, TerralabError)
        whole = _until_it_stopped(job, record) if isinstance(record, TerralabError) else record
        out.append(None if whole is None else _course(whole, drawn, season.alarms, hour, fault, stopped))
    return out


def _job(box: Box, season: str, own: dict[str, float], start: Record, days: float) -> Job:
    return Job(
        box, days, season, own, "preview", record_every_min=EVERY_MIN, start=start,
        most_steps=int(LEAST_STEPS + LEAST_STEPS_A_DAY * days),
    )  # fmt: skip


def _branch(box: Box, season: Season, fault: Fault, hour: int, drawn: Drawn, watched_h: float) -> Job:
    days = (hour + watched_h) / 24.0
    begins = float(drawn.end.times_s[-1]) + 3600.0 * hour
    events = fault.events(box, drawn.room, begins, begins + 3600.0 * watched_h)
    return replace(_job(box, season.name, drawn.overrides, drawn.end, days), events=events)


def _until_it_stopped(job: Job, error: TerralabError) -> Record | None:
    """The run up to the last row before it had to be given up; None where there is none."""
    day = getattr(error, "day", None)
    if day is None or not isinstance(job.start, Record):
        return None
    row = EVERY_MIN / 60.0 / 24.0
    rows = math.floor((day - job.start.times_days[-1]) / row) - 1
    if rows < 2:
        return None
    return run_many([replace(job, days=rows * row)], failed="none")[0]


def _course(
    record: Record, drawn: Drawn, alarms: Sequence[Alarm], hour: int, fault: Fault, stopped: bool
) -> Course | None:
    limits, step = limits_of(record), record.step_s / 3600.0
    since = round(hour / step)
    if since >= len(record.times_s) - 1:
        return None
    band_what, band = _first(limits, OUT_OF_BAND, since, drawn.limits)
    danger_what, danger = _first(limits, DANGERS, since, drawn.limits)
    warm_what, warm = _first(limits, (TOO_HOT, TOO_COLD), since, drawn.limits)
    if danger < band:  # what is dangerous is not what is wanted, also where ground or glass tell it first
        band, band_what = danger, danger_what
    if danger_what in (DANGEROUSLY_HOT, DANGEROUSLY_COLD) and danger < warm:
        warm, warm_what = danger, danger_what
    if stopped and math.isinf(danger):
        return None  # nobody knows what came after
    n = len(record.times_s)
    sounds = []
    for alarm in alarms:
        rings = np.flatnonzero((alarm.sounds(record) & ~alarm.sounds(drawn.usual)[:n])[since:])
        sounds.append(float(rings[0]) * step if len(rings) else math.inf)
    moved = record.air_c[since:] - drawn.usual.air_c[since:n]
    damper = record.humidity_shown[since:] - drawn.usual.humidity_shown[since:n]
    back = _back(limits, drawn.limits, since) if fault.kind is FaultKind.MAINS else math.inf
    at, then = since + int(np.argmax(np.abs(moved))), since + int(np.argmax(np.abs(damper)))
    return Course(
        band, band_what, danger, danger_what, warm, warm_what, tuple(sounds), back,
        float(record.air_c[at]), float(moved[at - since]), float(record.humidity_shown[then]), float(damper[then - since]),
    )  # fmt: skip


def _first(limits: Limits, names: Iterable[str], since: int, usual: Limits) -> tuple[str, float]:
    """Which of some limits is passed first, and after how many hours; "" and inf where none is. The gravest comes first."""
    found = [(name, limits.first_h(name, since, usual)) for name in names]
    name, hours = min(found, key=lambda one: one[1])
    return ("", hours) if math.isinf(hours) else (name, hours)


def _back(limits: Limits, usual: Limits, since: int) -> float:
    """Hours until no limit is passed any more that is not passed usually, to the end of the run; 0 where none ever was."""
    flags = [limits.passed[name][since:] for name in (*OUT_OF_BAND, *DANGERS)]
    ordinary = [usual.passed[name][since : since + len(flags[0])] for name in (*OUT_OF_BAND, *DANGERS)]
    out = np.flatnonzero(np.any(np.array(flags) & ~np.array(ordinary), axis=0))
    if not len(out):
        return 0.0
    last = int(out[-1]) + 1
    return last * limits.step_h if last < len(flags[0]) else math.inf
