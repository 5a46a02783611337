"""The members of an answer: what each uncertain number was, and what each member gave."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from terralab.answers.common.balance import balancing_ml, kept_dry, with_pour
from terralab.answers.common.draws import Failure, by_reason, in_common, inputs_counted, why_words
from terralab.answers.common.fair_rows import fair_rows_min, rhythm_days
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.errors import RunError, TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import TOO_MANY_STEPS, WORK_CAP, WORK_CAP_A_DAY, Job, run_many
from terralab.uncertainty import Ensemble, ensemble, middle_range
from terralab.uncertainty.sampling import MEMBERS, SEED

SETTLE_DAYS = 6  # the daily cycle repeats to well under 1 % by then, in any box
# The same where the soil is kept moist: from here to day 10 the pour moves by half a ml or half a percent, the humidity by 0.2
# points (the demos and ten keepers' boxes).
SOON_DAYS = 4
BATCH = 8  # draws begun together; whether to go on is asked after each batch
MOST_FAILED = 4  # at most one of so many draws may fail
# A draw may take so many times the steps of the typical box, and these at least. In damp
# boxes no draw takes twice the steps of the typical one; where moss dries out under a fan it may be many times.
TIMES_TYPICAL, LEAST_STEPS, LEAST_STEPS_A_DAY = 4, 20_000, 2_000
FAR = 0.35  # -, of the pour: below it a second run moves a member by 2 % at most (measured in the three demos)


@dataclass(frozen=True)
class Course:
    """What makes the days of an ensemble unlike: dated events, the hour at which its runs begin, or the runs they go on from.

    `starts`: for each member the record from whose end it goes on, or why there is none; the members must be the same. Times
    of events are then those of the run it goes on from.
    """

    events: tuple[Event, ...] = ()
    start_at: str | float = "00:00"
    starts: tuple[Record | TerralabError, ...] | None = None

    def run(self, jobs: Sequence[Job], members: Sequence[int]) -> list[Record | TerralabError]:
        """Run a job for each of these members, from where it begins."""
        if self.starts is None:
            return run_many(jobs, failed="error")
        begins = [self.starts[i] for i in members]
        going = [
            replace(job, start=start) for job, start in zip(jobs, begins, strict=True) if isinstance(start, Record)
        ]
        ran = iter(run_many(going, failed="error"))
        return [next(ran) if isinstance(start, Record) else start for start in begins]


AS_EVER = Course()


@dataclass(frozen=True, eq=False)
class EnsembleResults:
    """An ensemble and what its members gave: `results[name][i]` for member i, a number or a course; NaN where there is none.

    `failures`: the members that could not be run. `tried`: how many were begun, fewer than all where so many failed that
    the rest could not have made the sample fair.
    """

    ensemble: Ensemble
    results: Mapping[str, np.ndarray]
    failures: tuple[Failure, ...] = ()
    tried: int = -1  # -1: all

    def range_of(self, name: str) -> tuple[float, float, float]:
        """(low, middle, high) of one result: the middle of the members and the central 80 % of them."""
        return middle_range(self.results[name])

    @property
    def failed(self) -> int:
        """How many members could not be run."""
        return len(self.failures)

    @property
    def ran(self) -> int:
        """How many members stand behind the results."""
        return (self.ensemble.size if self.tried < 0 else self.tried) - self.failed

    @property
    def fair(self) -> bool:
        """Whether at least three quarters of the members ran: the rest would not be a fair sample."""
        return self.ran >= self.ensemble.size - self.ensemble.size // MOST_FAILED

    def spread(self, as_described: float) -> dict[str, Any]:
        """What an answer says about its range, beside low and high."""
        return {
            **self.counted(),
            "share": 0.8,
            "as_described": round(float(as_described), 1),
            **inputs_counted(self.ensemble),
        }

    def counted(self) -> dict[str, Any]:
        """How many members were drawn, how many ran, how many failed and why."""
        return {
            "members": self.ensemble.size,
            "ran": self.ran,
            "failed": self.failed,
            "why_failed": by_reason(self.failures),
        }


def sampled(
    box: Box,
    days: int,
    measures: Mapping[str, Callable[[Record], float | np.ndarray]],
    season: str = "now",
    members: int = MEMBERS,
    boxes: Sequence[Box] | None = None,
    found: Ensemble | None = None,
    course: Course = AS_EVER,
    every_min: float = 60.0,
) -> EnsembleResults:
    """Run every member of `box` for `days` and measure each; `boxes` gives each member its own routine.

    `course`: dated events, and where the runs begin. `every_min`: minutes from row to row; where means of the air are
    measured, those of `fair_rows_min`.
    Raises RunError when more than a quarter of the members cannot be run: the rest would not be a fair sample. It says
    which could not and why, and comes as soon as that is clear.
    """
    found = ensemble(box, members, season, SEED) if found is None else found
    each = [box] * found.size if boxes is None else boxes
    return fair(box, measured(each, days, measures, season, found, every_min, course=course))


def settled(
    box: Box, days: float, season: str, found: Ensemble, course: Course = AS_EVER, every_min: float = 60.0
) -> tuple[Record | TerralabError, ...]:
    """The record of every member after `days`, from which others go on (`Course.starts`); of one that failed its error."""
    kept: list[Record] = []
    whole = measured(
        [box] * found.size,
        days,
        {"": lambda record: kept.append(record) or 0.0},
        season,
        found,
        every_min,
        course=course,
    )  # type: ignore[func-returns-value]
    why = {
        one.draw: RunError(f"draw {one.draw} could not be run: {one.why}", one.why, one.day) for one in whole.failures
    }
    left_out = RunError("left out with the others", "left out with the others", None)
    ran = iter(kept)
    return tuple(why[i] if i in why else next(ran, left_out) for i in range(found.size))


def fair(box: Box, sample: EnsembleResults) -> EnsembleResults:
    """The sample itself. Raises RunError, with the failures, where it is not fair."""
    if sample.fair:
        return sample
    tried = sample.ran + sample.failed
    mark = in_common(sample.ensemble, sample.failures, tried)
    raise RunError(
        f"{box.name}: {sample.failed} of the first {tried} of {sample.ensemble.size} draws of everything uncertain could not be "
        f"run, so no fair range can be given. Why: {why_words(by_reason(sample.failures))}."
        f"{f' Those draws have {mark} in common.' if mark else ''} Check the description for extreme values; if they are "
        "right, please report this box."
    )


def measured(
    boxes: Sequence[Box],
    days: float,
    measures: Mapping[str, Callable[[Record], float | np.ndarray]],
    season: str,
    found: Ensemble,
    every_min: float = 60.0,
    seen: Callable[[int], None] | None = None,
    course: Course = AS_EVER,
) -> EnsembleResults:
    """What each member gave, fair or not; `seen(done)` is called as members finish.

    A member that goes on from a run which could not be finished counts as failed with it.

    A member may take four times the steps of the typical box, so that one which never ends costs little. The typical box
    is run for that only when a member needs more than the least. No more are begun once too many have failed.
    """
    job = Job(boxes[0], days, season, accuracy="preview", record_every_min=every_min, events=course.events)
    job = replace(job, start_at=course.start_at)
    least = int(LEAST_STEPS + LEAST_STEPS_A_DAY * days)
    most: int | None = None
    results = {name: np.full(found.size, np.nan) for name in measures}
    failures: list[Failure] = []
    done = 0
    while done < found.size and not _hopeless(len(failures), done, found.size):
        part = range(done, min(done + BATCH, found.size))
        jobs = [replace(job, box=boxes[i], overrides=found.overrides[i], most_steps=most or least) for i in part]
        records = course.run(jobs, part)
        long = [k for k, record in enumerate(records) if most is None and getattr(record, "why", "") == TOO_MANY_STEPS]
        if long:
            most = _most_steps(job, least)
            again = course.run([replace(jobs[k], most_steps=most) for k in long], [part[k] for k in long])
            for k, record in zip(long, again, strict=True):
                records[k] = record
        for i, record in zip(part, records, strict=True):
            if isinstance(record, TerralabError):
                failures.append(Failure(i, getattr(record, "why", str(record)), getattr(record, "day", None)))
                continue
            for name, measure in measures.items():
                value = measure(record)
                if np.ndim(value) > results[name].ndim - 1:  # a course: a row for each member
                    results[name] = np.full((found.size, *np.shape(value)), np.nan)
                results[name][i] = value
        done = part.stop
        if seen is not None:
            seen(done)
    return EnsembleResults(found, results, tuple(failures), done)


def _most_steps(typical: Job, least: int) -> int:
    """Soil steps that one draw may take, from those of the typical box; the least where that cannot be run itself."""
    most = WORK_CAP + WORK_CAP_A_DAY * typical.days
    record = run_many([typical], failed="none")[0]
    taken = 0 if record is None else record.settings["soil_steps"] + record.settings["repeated_steps"]
    return int(min(most, max(least, TIMES_TYPICAL * taken)))


def _hopeless(failed: int, tried: int, of: int) -> bool:
    """Whether the sample can no longer be fair, or so many draws have failed that chance would hardly ever make it so.

    Three standard deviations over a quarter: by then a box with no more than a quarter of failing draws is out of the
    question.
    """
    share = 1.0 / MOST_FAILED
    return failed > of // MOST_FAILED or failed > share * tried + 3.0 * math.sqrt(share * (1.0 - share) * tried)


def settle_days(box: Box) -> int:
    """How long to run so that the last days (`settled_rows`) may count for those after them.

    Dry soil that is to stay dry goes on drying for longer. What is sprayed every few days has to come round once more.
    """
    return SETTLE_DAYS if kept_dry(box) else SOON_DAYS - 1 + rhythm_days(box)


def sampled_pours(
    box: Box,
    ml: float,
    measures: Mapping[str, Callable[[Record], float | np.ndarray]],
    season: str = "now",
    members: int = MEMBERS,
    found: Ensemble | None = None,
    known: EnsembleResults | None = None,
) -> EnsembleResults:
    """The balancing pour of every member ("pour", ml a day), and what else to measure with that pour.

    The loss at the held moisture hardly depends on the pour itself. So every member runs once with the pour of the
    box as described (`ml`), which gives its own, and only a member whose own is far from that runs again. `found`
    stands in for the ensemble of `members` drawn here. `known`: what the same gave with fewer members, the first of these.
    """
    found = ensemble(box, members, season, SEED) if found is None else found
    if known is None or not _begins_with(found, known.ensemble):
        return fair(box, _pours(box, ml, measures, season, found))
    rest = _pours(box, ml, measures, season, Ensemble(found.inputs, found.values[known.ensemble.size :]))
    if rest.tried < rest.ensemble.size:  # given up as hopeless, which all of them together need not be
        return fair(box, _pours(box, ml, measures, season, found))
    results = {name: np.concatenate([values, rest.results[name]]) for name, values in known.results.items()}
    later = tuple(replace(one, draw=one.draw + known.ensemble.size) for one in rest.failures)
    return fair(box, EnsembleResults(found, results, (*known.failures, *later), found.size))


def _begins_with(found: Ensemble, few: Ensemble) -> bool:
    """Whether the first members of an ensemble are those of a smaller one."""
    return found.inputs == few.inputs and np.array_equal(found.values[: few.size], few.values)


def _pours(
    box: Box,
    ml: float,
    measures: Mapping[str, Callable[[Record], float | np.ndarray]],
    season: str,
    found: Ensemble,
) -> EnsembleResults:
    """The pour of every member, and what else is measured with it, fair or not."""
    every_min, days = fair_rows_min(box, 60.0, season), settle_days(box)
    if kept_dry(box):
        # dry soil that is to stay dry needs no pour, whatever the numbers are
        nothing = {"pour": lambda record: 0.0, **measures}
        return measured([with_pour(box, 0.0)] * found.size, days, nothing, season, found, every_min)
    measures = {"pour": lambda record: balancing_ml(record, settled_rows(record)), **measures}
    first = measured([with_pour(box, ml)] * found.size, days, measures, season, found, every_min)
    if not first.fair:
        return first
    pours = first.results["pour"]
    far = np.flatnonzero(np.abs(pours - ml) > FAR * max(ml, 1.0))
    if not len(far):
        return first
    again = Ensemble(first.ensemble.inputs, first.ensemble.values[far])
    poured = [with_pour(box, float(pours[i])) for i in far]
    second = measured(poured, days, measures, season, again, every_min)
    for name, values in second.results.items():
        # of members that all failed there is no course, and nothing tells how long it would be
        first.results[name][far] = values if values.ndim == first.results[name].ndim else np.nan
    late = tuple(replace(one, draw=int(far[one.draw])) for one in second.failures)
    late += tuple(Failure(int(i), "left out with the others", None) for i in far[second.ran + second.failed :])
    return replace(first, failures=tuple(sorted((*first.failures, *late), key=lambda one: one.draw)))


def settled_rows(record: Record) -> np.ndarray:
    """The rows of a run's last day, also of one that goes on from another; of as many days as its sprays take to come round.

    Of a box that is sprayed every second day a single day would show either the spray or nothing of it.
    """
    begun, end = float(record.times_days[0]), float(record.times_days[-1])
    rhythm = rhythm_days(record.box)
    return record.rows(end - (rhythm if end - begun > rhythm else 1.0), end)
