"""Run a described box: pack it, run it, keep the record. A single run is an ensemble of one."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import nullcontext
from contextvars import copy_context
from dataclasses import dataclass, field, replace
from datetime import date
from threading import Event as Flag
from typing import Literal, overload

from terralab.describe.box import Box
from terralab.describe.events import Event, day_of, needs_events
from terralab.describe.needed import needs_box
from terralab.describe.seasons import box_in, room_of
from terralab.describe.start import Start
from terralab.engine import soil_clock as run
from terralab.engine.pack import CELLS
from terralab.engine.settings import ACCURACY, COUNTS, record_of
from terralab.errors import DescriptionError, RunError, TerralabError, quoted
from terralab.jit import compiling
from terralab.simulation import chain
from terralab.simulation.logs import needs_logs
from terralab.simulation.record import Record
from terralab.simulation.turns import take_turn
from terralab.uncertainty import overrides as chosen
from terralab.uncertainty.learned import with_learned
from terralab.units import DAY_S
from terralab.validate import is_real, whole
from terralab.version import VERSION

# Soil steps a run may take at most. A step takes some 20 microseconds and a usual day 50 to 300 steps, so a run of two
# weeks ends, or is refused, within some five seconds. The most that extreme boxes took: 14,000 a day.
WORK_CAP, WORK_CAP_A_DAY = 150_000, 8_000
MOST_STEPS = 100_000_000
LONGEST_DAYS = 730
MOST_THREADS = 256
_READY = Flag()  # set once the engine is in memory: looking for it on disk before each of many runs would cost
TOO_MANY_STEPS = "the run needed more steps than a described box should"
_FAILED = {
    run.AIR_FAILED: "air or soil left -40 to 80 C, the range in which the formulas hold; is a heater or lamp too strong for this box",
    run.SOIL_FAILED: "the flow of water in the soil found no solution even in very short steps",
    run.TOO_MUCH_WORK: TOO_MANY_STEPS,
}


@dataclass(frozen=True)
class Job:
    """One run to do: a box, a season of its room, days, and which uncertain numbers stand at an end of their range."""

    box: Box
    days: float = 14
    season: str = "now"
    overrides: Mapping[str, float | str] = field(default_factory=dict)
    accuracy: str = "normal"
    cells: int = CELLS
    record_every_min: float = 15.0
    most_steps: int | None = None  # soil steps it may take; None: WORK_CAP and what comes with its days
    start_at: str | float = "00:00"
    start: Record | Start | str | os.PathLike | None = None
    events: Sequence[Event] = ()


def simulate(
    box: Box,
    days: float = 14,
    season: str = "now",
    *,
    overrides: Mapping[str, float | str] | None = None,
    accuracy: str = "normal",
    cells: int = CELLS,
    record_every_min: float = 15.0,
    start_at: str | float = "00:00",
    start: Record | Start | str | os.PathLike | None = None,
    events: Sequence[Event] = (),
    start_date: str | date | None = None,
) -> Record:
    """Run `box` for `days` (up to 730, also parts of one) and return its Record.

    start_at: the time of day at which the run begins, "14:00" or seconds after midnight. start: a Record, or the path of a
    saved one, from whose end the run goes on; time is then counted on, so a run that was cut and resumed is the uncut
    one to the last digit. Or a `Start`: what was measured of the box, in place of its own `start`. `days` are those still to come, a whole number of rows of the record. events: what differs for
    a while, in their order; see `Event`. start_date: the first day of the run (of the first one, where it goes on from
    another), "2026-08-03" or a date, for events on dates; the room and the timers are those of `season` all the same.
    season: "now", "winter" or "summer" (the room's own, else the shipped defaults). accuracy: "normal", "strict"
    or "preview". cells: soil cells, 10 to 200. record_every_min: minutes between rows, 1 to 60, dividing an hour.
    overrides: uncertain numbers within their range, e.g. {"mesh exchange.factor": "high", "room.humidity": -3.0}; see
    `terralab.uncertainty`. What a log of the box taught (`box.learned`) holds for all others.
    A logged room, or the log of a device, runs as it stands. A log that is shorter than the run is refused unless it is
    to `repeat`. Raises TerralabError for bad input, RunError when a run cannot be finished.
    """
    chosen.check({} if overrides is None else overrides, box)
    needs_events(events)
    if start_date is not None:
        first = day_of("start_date", start_date)
        events = tuple(event.counted_from(first) for event in events)
    job = Job(box, days, season, dict(overrides or {}), accuracy, cells, record_every_min)
    return run_job(replace(job, start_at=start_at, start=start, events=events))


@overload
def run_many(
    jobs: Sequence[Job], threads: int = 2, *, executor: Executor | None = None, failed: Literal["raise"] = "raise"
) -> list[Record]: ...
@overload
def run_many(
    jobs: Sequence[Job], threads: int = 2, *, executor: Executor | None = None, failed: Literal["none"]
) -> list[Record | None]: ...
@overload
def run_many(
    jobs: Sequence[Job], threads: int = 2, *, executor: Executor | None = None, failed: Literal["error"]
) -> list[Record | TerralabError]: ...
def run_many(
    jobs: Sequence[Job], threads: int = 2, *, executor: Executor | None = None, failed: str = "raise"
) -> list[Record] | list[Record | None] | list[Record | TerralabError]:
    """Run several jobs, two at a time by default; each gives exactly what it gives alone.

    executor: any standard `concurrent.futures` executor, such as a process pool or one that spreads the jobs over a
    cluster; it is left open. Without one `threads` threads share the work. failed: "raise" stops at the first run
    that cannot be finished, "none" puts None in its place, for ensembles in which a corner may be impossible, and
    "error" puts the error there, which says why.
    """
    ways = {"raise": run_job, "none": _run_or_none, "error": _run_or_error}
    one = ways.get(failed) if isinstance(failed, str) else None
    if one is None:
        raise TerralabError(f'failed must be one of "raise", "none" or "error"; {quoted(failed)} was given.')
    whole("threads", threads, 1, MOST_THREADS)
    if isinstance(jobs, str) or not isinstance(jobs, Sequence) or not all(isinstance(job, Job) for job in jobs):
        raise TerralabError(f"run_many needs a list of jobs, such as [tl.Job(box, 14)]; it was given {quoted(jobs)}.")
    if executor is not None and not (hasattr(executor, "map") and hasattr(executor, "submit")):
        raise TerralabError(f"executor must be one of concurrent.futures, or None; {quoted(executor)} was given.")
    if executor is not None:
        return list(executor.map(one, jobs))
    if len(jobs) < 2 or threads < 2:
        return [one(job) for job in jobs]
    here = copy_context()  # who may stop these runs, and whether cautions are told, holds in the threads too
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(lambda job: here.copy().run(one, job), jobs))


def _run_or_error(job: Job) -> Record | TerralabError:
    try:
        return run_job(job)
    except (RunError, DescriptionError) as error:
        # a member may also be a box that cannot be built, such as a lid covered beyond its edge
        return error


def _run_or_none(job: Job) -> Record | None:
    found = _run_or_error(job)
    return found if isinstance(found, Record) else None


def run_job(job: Job) -> Record:
    """Run one job; see `simulate`. What a log of its box taught holds for all that its overrides leave open."""
    before = _check(job)
    take_turn()
    own, job = job.overrides, replace(job, overrides=with_learned(job.box, job.overrides, job.season))
    if isinstance(job.start, Start):
        job = replace(job, box=replace(job.box, start=job.start), start=None)
    box = chosen.changed(job.box, job.overrides)
    begins = chain.start_s(job.start_at) if before is None else before.end.t
    span = chain.span_of(begins, job.days, 60.0 * job.record_every_min)
    room = chosen.shifted(room_of(box, job.season), job.overrides)
    needs_logs(room, box_in(box, job.season).routine, job.season, span.start_s, span.end_s)
    shift = lambda changed: chosen.shifted(room_of(changed, job.season), job.overrides)  # noqa: E731
    days = job.days if before is None else span.end_s / DAY_S
    cap = WORK_CAP + WORK_CAP_A_DAY * math.ceil(days) if job.most_steps is None else job.most_steps
    counts = record_of(COUNTS)
    with nullcontext() if _READY.is_set() else compiling():
        run_through = chain.run_through(box, shift, span, events_of(job), before, job, cap, counts)
    _READY.set()
    if run_through.status != run.GOOD:
        reached = run_through.reached
        raise RunError(
            f"The run of {job.box.name} stopped on day {reached / DAY_S:.2f}: {_FAILED[run_through.status]}. "
            "Check the description for extreme values; if they are right, please report this box.",
            _FAILED[run_through.status],
            reached / DAY_S,
        )
    about = {
        "version": VERSION,
        "days": job.days,
        "season": job.season,
        "accuracy": job.accuracy,
        "cells": run_through.raw.dz.size,
        "record_every_min": job.record_every_min,
        "overrides": dict(own),
        **chain.history(before, begins, events_of(job)),
        **{name: int(counts[name][0]) for name in COUNTS.names},
    }
    return Record(box, job.season, run_through.raw, about)


def events_of(job: Job) -> tuple[Event, ...]:
    """The dated events of a job: those of its call."""
    return tuple(job.events)


def _check(job: Job) -> chain.Before | None:
    """Check a job; return where it goes on from, None for a run that begins by itself."""
    if not isinstance(job, Job):
        raise TerralabError(f"A run needs a Job, such as tl.Job(box, 14); it was given {quoted(job)}.")
    needs_box(job.box, "simulate")
    if not is_real(job.days) or not 0.0 < job.days <= LONGEST_DAYS:
        raise TerralabError(
            f"days must be above 0 and at most {LONGEST_DAYS}, such as 14 or 1.5; {quoted(job.days)} was given."
        )
    chosen.check(job.overrides, job.box)
    if not isinstance(job.accuracy, str) or job.accuracy not in ACCURACY:
        raise TerralabError(f"accuracy must be one of {', '.join(ACCURACY)}; {quoted(job.accuracy)} was given.")
    whole("cells", job.cells, 10, 200)
    if job.most_steps is not None:
        whole("most_steps", job.most_steps, 1, MOST_STEPS)
    every = job.record_every_min
    if not (is_real(every) and 1 <= every <= 60) or abs(60 / every - round(60 / every)) > 1e-9:
        raise TerralabError(f"record_every_min must be 1 to 60 minutes, dividing an hour; {quoted(every)} was given.")
    needs_events(job.events)
    if dated := next((event for event in job.events if event.dated), None):
        raise TerralabError(f'An event begins on {dated.begins}: give the run its start_date, such as "2026-08-01".')
    return None if job.start is None or isinstance(job.start, Start) else chain.before(job.start, job)
