"""Run a described box: pack it, run it, keep the record. A single run is an ensemble of one."""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass, field
from threading import Event
from typing import Literal, overload

import numpy as np

from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.room import RoomState
from terralab.describe.seasons import room_of
from terralab.engine import soil_clock as run
from terralab.engine.pack import CELLS, pack
from terralab.engine.settings import ACCURACY, COUNTS, record_of, run_settings
from terralab.engine.settle import settle, settling
from terralab.engine.tables import CELL_STATE, FLOW, MOVED, SURFACE_STATE, ZONE_STATE
from terralab.errors import DescriptionError, RunError, TerralabError, TerralabWarning, quoted
from terralab.jit import compiling
from terralab.simulation.record import Raw, Record
from terralab.uncertainty import overrides as chosen
from terralab.units import DAY_S
from terralab.validate import is_real, whole
from terralab.version import VERSION

# Soil steps a run may take at most. A step takes some 20 microseconds and a usual day 50 to 300 steps, so a run of two
# weeks ends, or is refused, within some five seconds. The most that extreme boxes took: 14,000 a day.
WORK_CAP, WORK_CAP_A_DAY = 150_000, 8_000
MOST_STEPS = 100_000_000
LONGEST_DAYS = 730
MOST_THREADS = 256
_READY = Event()  # set once the engine is in memory: looking for it on disk before each of many runs would cost
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
    days: int = 14
    season: str = "now"
    overrides: Mapping[str, float | str] = field(default_factory=dict)
    accuracy: str = "normal"
    cells: int = CELLS
    record_every_min: float = 15.0
    most_steps: int | None = None  # soil steps it may take; None: WORK_CAP and what comes with its days


def simulate(
    box: Box,
    days: int = 14,
    season: str = "now",
    *,
    overrides: Mapping[str, float | str] | None = None,
    accuracy: str = "normal",
    cells: int = CELLS,
    record_every_min: float = 15.0,
) -> Record:
    """Run `box` from midnight for whole `days` (1 to 730) and return its Record.

    season: "now", "winter" or "summer" (the room's own, else the shipped defaults). accuracy: "normal", "strict"
    or "preview". cells: soil cells, 10 to 200. record_every_min: minutes between rows, 1 to 60, dividing an hour.
    overrides: uncertain numbers within their range, e.g. {"mesh exchange.factor": "high", "room.humidity": -3.0}; see
    `terralab.uncertainty`.
    A logged room runs as it stands; a TerralabWarning says so when the run goes beyond its log, where the ends are kept.
    Raises TerralabError for bad input, RunError when a run cannot be finished.
    """
    chosen.check({} if overrides is None else overrides, box)
    return run_job(Job(box, days, season, dict(overrides or {}), accuracy, cells, record_every_min))


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
        raise TerralabError(f'failed must be one of "raise", "none" or "error"; {failed!r} was given.')
    whole("threads", threads, 1, MOST_THREADS)
    if isinstance(jobs, str) or not isinstance(jobs, Sequence) or not all(isinstance(job, Job) for job in jobs):
        raise TerralabError(f"run_many needs a list of jobs, such as [tl.Job(box, 14)]; it was given {quoted(jobs)}.")
    if executor is not None and not hasattr(executor, "map"):
        raise TerralabError(f"executor must be one of concurrent.futures, or None; {quoted(executor)} was given.")
    if executor is not None:
        return list(executor.map(one, jobs))
    if len(jobs) < 2 or threads < 2:
        return [one(job) for job in jobs]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(one, jobs))


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
    """Run one job; see `simulate`."""
    _check(job)
    box = chosen.changed(job.box, job.overrides)
    room = chosen.shifted(room_of(box, job.season), job.overrides)
    _tell_of_the_log(room, job.days)
    work = pack(box, room, job.days, job.overrides, job.cells, job.season)
    accuracy = ACCURACY[job.accuracy]
    every = 60.0 * job.record_every_min
    seconds = job.days * DAY_S
    rows = round(seconds / every) + 1
    cap = WORK_CAP + WORK_CAP_A_DAY * job.days if job.most_steps is None else job.most_steps
    settings = run_settings(seconds, every, accuracy, cap)
    n = work.dz.size
    zones, surfaces = work.air.zone.size, work.air.surface.size
    widths = (
        1,
        len(ZONE_STATE.names) * zones,
        len(SURFACE_STATE.names) * surfaces,
        len(CELL_STATE.names),
        work.chain.shape[1],
        n + 1,
        n + 1,
        work.flow_v.shape[1],
        work.moved_v.shape[1],
    )
    out = np.zeros((rows, sum(widths)))
    counts = record_of(COUNTS)
    with nullcontext() if _READY.is_set() else compiling():
        settle(work, settling(), int(box.start.soil == "dry"))
        status, reached = run.run(work, settings, out, counts)
    _READY.set()
    if status != run.GOOD:
        raise RunError(
            f"The run of {job.box.name} stopped on day {reached / DAY_S:.2f}: {_FAILED[status]}. "
            "Check the description for extreme values; if they are right, please report this box.",
            _FAILED[status],
            reached / DAY_S,
        )
    t, air, skin, _, chain, water, head, flow, moved = np.split(out, np.cumsum(widths)[:-1], axis=1)
    named = lambda part, dtype: np.ascontiguousarray(part).view(dtype)  # noqa: E731
    raw = Raw(
        t[:, 0].copy(),
        named(air, ZONE_STATE),
        named(skin, SURFACE_STATE),
        chain.copy(),
        water.copy(),
        head.copy(),
        named(flow, FLOW)[:, 0],
        named(moved, MOVED)[:, 0],
        work.dz,
        work.soil_of,
        work.thermal["porosity"].copy(),
        work.thermal["dry_capacity"].copy(),
        work.layer_start,
        work.box[0],
        work.air.zone,
        work.air.surface,
    )
    about = {
        "version": VERSION,
        "days": job.days,
        "season": job.season,
        "accuracy": job.accuracy,
        "cells": n,
        "record_every_min": job.record_every_min,
        "overrides": dict(job.overrides),
        **{name: int(counts[name][0]) for name in COUNTS.names},
    }
    return Record(box, job.season, raw, about)


def _tell_of_the_log(room: RoomState, days: int) -> None:
    """Warn where a run goes beyond the hours in which the room was logged."""
    for name in ("temperature", "humidity"):
        logged = getattr(room, name).logged_h
        if logged is not None and (logged[0] > 0.0 or logged[1] < 24.0 * days):
            first, last = (hour / 24.0 for hour in logged)
            warnings.warn(
                f"The room's {name} is logged from day {first:.3g} to day {last:.3g} of the run, which takes {days} "
                "days: before that it keeps its first value, and afterwards its last.",
                TerralabWarning,
                stacklevel=3,
            )


def _check(job: Job) -> None:
    if not isinstance(job, Job):
        raise TerralabError(f"A run needs a Job, such as tl.Job(box, 14); it was given {quoted(job)}.")
    needs_box(job.box, "simulate")
    whole("days", job.days, 1, LONGEST_DAYS)
    chosen.check(job.overrides, job.box)
    if not isinstance(job.accuracy, str) or job.accuracy not in ACCURACY:
        raise TerralabError(f"accuracy must be one of {', '.join(ACCURACY)}; {job.accuracy!r} was given.")
    whole("cells", job.cells, 10, 200)
    if job.most_steps is not None:
        whole("most_steps", job.most_steps, 1, MOST_STEPS)
    every = job.record_every_min
    if not (is_real(every) and 1 <= every <= 60) or abs(60 / every - round(60 / every)) > 1e-9:
        raise TerralabError(f"record_every_min must be 1 to 60 minutes, dividing an hour; {every!r} was given.")
