"""One run as a chain of parts: where it begins, what holds in each part, and the one record of the whole.

Without events there is one part. Where an event begins or ends the box is packed anew, and the state goes on: what lives on
by the names of zones, surfaces and devices. Water and heat that a change brings or takes are booked as `brought_...`.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from terralab.describe.box import Box
from terralab.describe.events import Event, written
from terralab.describe.part import cautions_untold
from terralab.describe.room import Room, RoomState
from terralab.describe.seasons import box_in
from terralab.describe.signal import Signal
from terralab.describe.trial import Trial
from terralab.engine import carry, pauses
from terralab.engine import soil_clock as run
from terralab.engine.measured_start import as_measured
from terralab.engine.pack import pack
from terralab.engine.schedule import working
from terralab.engine.settings import ACCURACY, clock_at, run_settings
from terralab.engine.settle import settle, settling
from terralab.engine.tables import CELL_STATE, FLOW, MOVED, SURFACE_STATE, ZONE_STATE, Work
from terralab.errors import TerralabError, quoted
from terralab.simulation.logs import needs_logs
from terralab.simulation.raw import Raw
from terralab.simulation.record import Record
from terralab.uncertainty.learned import with_learned
from terralab.uncertainty.overrides import changed
from terralab.units import DAY_S, parse
from terralab.validate import is_real
from terralab.version import VERSION

if TYPE_CHECKING:
    from terralab.simulation.simulate import Job

_STEADY = Room(RoomState(Signal.constant(20.0), Signal.constant(50.0)))
NEAR = 1e-3  # s: times nearer than this are the same


@dataclass(frozen=True)
class Span:
    """From when to when a run goes [s since the midnight of the first day], and a row of its record every so many seconds."""

    start_s: float
    end_s: float
    every: float

    @property
    def rows(self) -> int:
        """How many rows its record has."""
        return round((self.end_s - self.start_s) / self.every) + 1


@dataclass(frozen=True)
class Before:
    """What a run goes on from: the state, and the record it comes from."""

    end: carry.EndState
    record: Record


@dataclass(frozen=True)
class Through:
    """How a run came out: the status and the time reached [s], and its arrays if it was good."""

    status: int
    reached: float
    raw: Raw | None = None


def horizon(end_s: float) -> int:
    """Days for which timers and room are laid out: past the end of a part [s], so that the end is as any other time."""
    return math.ceil(end_s / DAY_S - 1e-9) + 1


def start_s(start_at: object) -> float:
    """Return the seconds after midnight at which a run begins."""
    found = float(start_at) if is_real(start_at) else parse(start_at, "time of day", "s", field="start_at")  # type: ignore[arg-type]
    if not 0.0 <= found < DAY_S:
        raise TerralabError(f'start_at must be a time of day such as "14:00"; {quoted(start_at)} was given.')
    return found


def span_of(begins: float, days: float, every: float) -> Span:
    """Return the span of a run; its ends must fall on rows of the record."""
    first = round(begins / every) * every
    if abs(first - begins) > NEAR:
        raise TerralabError(
            f"A run must begin where a row of its record falls, every {every / 60.0:g} minutes after midnight; "
            f"{begins / 3600.0:g} h was given. Choose record_every_min so that it fits."
        )
    rows = days * DAY_S / every
    if abs(rows - round(rows)) * every > NEAR or round(rows) < 1:
        raise TerralabError(
            f"days must be a whole number of rows of the record, of {every / 60.0:g} minutes each; {quoted(days)} was given."
        )
    return Span(first, (round(begins / every) + round(rows)) * every, every)


def before(start: object, job: Job) -> Before:
    """Return what a job goes on from, or say why it cannot."""
    if isinstance(start, (str, os.PathLike)):
        start = Record.load(start)
    if not isinstance(start, Record):
        raise TerralabError(
            f"start must be a Record, the path of a saved one, or a Start; {type(start).__name__} was given."
        )
    end = start.raw.end
    if end is None:
        raise TerralabError(
            "This record holds no end state, as it was saved by an older terralab, so nothing can go on from it. Run its box again."
        )
    if start.settings.get("version") != VERSION:
        raise TerralabError(
            f"This record was made by terralab {start.settings.get('version')}, this is {VERSION}: a run goes on only in the "
            "version that began it. Run its box again."
        )
    if dict(start.settings.get("overrides", {})) != dict(job.overrides):
        raise TerralabError("A run goes on with the overrides it began with: give the same ones.")
    numbers = with_learned(job.box, job.overrides, job.season)
    if (differs := _differs(start.box, changed(job.box, numbers))) and not isinstance(job.box, Trial):
        raise TerralabError(
            f"The record was made of another box: its {differs} is not the same. A run goes on with the box it began with; "
            "let an event change it on the way."
        )
    if job.start_at not in ("00:00", 0, 0.0):
        raise TerralabError(
            "Give start or start_at, not both: a resumed run goes on at the hour at which the other ended."
        )
    return Before(end, start)


def history(before: Before | None, begins: float, events: Sequence[Event]) -> dict[str, object]:
    """What a record says of the whole course behind it: when it began [s], and its events as plain lists.

    So that course can be run again with other numbers. What of a change is no plain text or number is not written down.
    """
    told = {} if before is None else before.record.settings
    earlier = list(told.get("events", []))  # type: ignore[call-overload]
    new = [one for one in map(written, events) if one is not None]
    return {"began_s": told.get("began_s", begins), "events": [*earlier, *(one for one in new if one not in earlier)]}


def _differs(was: Box, now: Box) -> str:
    """The first part that a run sees and that differs; "" where none does. Names, notes and what is wanted may."""
    parts = ("enclosure", "room", "routine", "materials", "learned")
    return next((part for part in parts if getattr(was, part) != getattr(now, part)), "")


def device_names(box: Box, work: Work) -> tuple[str, ...]:
    """The names of the devices and doors of a packed box, in the order of the engine; the skies come last."""
    named = tuple(device.name for device in working(box.routine))
    return named + tuple(f"sky {n}" for n in range(len(work.devices) - len(named)))


def parts(box: Box, span: Span, events: Sequence[Event]) -> list[tuple[float, float, Box, tuple[Event, ...]]]:
    """From when to when which box holds, and the events that hold then."""
    marks = {span.start_s, span.end_s}
    for event in events:
        if not event.once:
            marks |= {t for t in (event.begins_s, event.ends_s) if t is not None and span.start_s < t < span.end_s}
    times = sorted(marks)
    found = []
    for first, last in pairwise(times):
        held = _held(events, first)
        found.append((first, last, _changed(box, held), held))
    return found


def _held(events: Sequence[Event], t: float) -> tuple[Event, ...]:
    """The events that last at a time [s]."""
    return tuple(event for event in events if event.holds(t))


def _changed(box: Box, held: Sequence[Event]) -> Box:
    """The box as the events that hold make it, one after the other."""
    for event in held:
        if event.word:
            continue
        with cautions_untold():
            if any(key.split(".")[0] == "room" for key in event.change):
                box = box.change(**event.change)  # type: ignore[arg-type]
            else:
                # a room that was logged for weeks is long to write and read, and no part of this change
                box = replace(replace(box, room=_STEADY).change(**event.change), room=box.room)  # type: ignore[arg-type]
    return box


def run_through(
    box: Box,
    room: Callable[[Box], RoomState],
    span: Span,
    events: Sequence[Event],
    before: Before | None,
    job: Job,
    most_steps: float,
    counts: np.ndarray,
) -> Through:
    """Run `box` through a span with its events; `room` gives the room of a box."""
    once = tuple(event for event in events if event.once)
    pauses.check(box, events)
    saved: list[tuple[Work, np.ndarray]] = []
    work: Work | None = None
    clock = clock_at(span.start_s)
    names: tuple[str, ...] = ()
    for first, last, now, held in parts(box, span, events):
        if now is not box:
            needs_logs(room(now), box_in(now, job.season).routine, job.season, first, last)
        fresh = pack(now, room(now), horizon(last), job.overrides, job.cells, job.season, int(first // DAY_S))
        named = device_names(now, fresh)
        fresh = pauses.apply(fresh, now, named, held, once)
        if work is not None:
            carry.handed_on(work, fresh, names, named)
            carry.disturbed(fresh, clock)
            clock["first_row"] = 0.0
        elif before is not None:
            earlier = _held(events, span.start_s - NEAR)
            if earlier == held:
                _resume(fresh, before, named, clock)
            else:
                # the cut fell on the very time at which an event begins or ends
                old_box = _changed(box, earlier)
                old = pack(old_box, room(old_box), horizon(span.start_s), job.overrides, job.cells, job.season)
                _resume(old, before, device_names(old_box, old), clock)
                out = np.zeros((1, _width(old)))
                still = run_settings(span.start_s, span.every, ACCURACY[job.accuracy], most_steps)
                run.run(old, still, out, counts, clock)  # takes no step, but saves the row on which the run goes on
                saved.append((old, out))
                carry.handed_on(old, fresh, device_names(old_box, old), named)
                carry.disturbed(fresh, clock)
        else:
            begun = fresh.head.copy(), fresh.water.copy()
            settle(fresh, settling(), int(now.start.soil == "dry"), span.start_s)
            as_measured(fresh, now, *begun)
        pauses.stick(fresh, named, held)
        settings = run_settings(last, span.every, ACCURACY[job.accuracy], most_steps)
        out = np.zeros((math.floor((last - first) / span.every + 1e-6) + 2, _width(fresh)))
        status, reached, rows = run.run(fresh, settings, out, counts, clock)
        if status != run.GOOD:
            return Through(status, reached)
        saved.append((fresh, out[:rows]))
        work, names = fresh, named
    end = carry.taken(work, clock, names)
    return Through(run.GOOD, span.end_s, joined([(w, out) for w, out in saved if len(out)], end))


def _width(work: Work) -> int:
    """How many numbers a row of the record holds."""
    states = work.air.state_v.shape[1] + work.chain.shape[1] + 2 * work.head.size
    return 1 + states + work.flow_v.shape[1] + work.moved_v.shape[1]


def _resume(work: Work, before: Before, named: tuple[str, ...], clock: np.ndarray) -> None:
    """Set a freshly packed run to where another one ended."""
    end = before.end
    wrong = "" if named == end.devices else "devices"
    raw = before.record.raw
    if not wrong and (raw.dz.tobytes() != work.dz.tobytes() or raw.place.tobytes() != work.soil_of.tobytes()):
        wrong = "soil layers or cells"
    if not wrong and list(end.surfaces) != carry.surface_keys(work):
        wrong = "panes and things inside"
    if wrong or (wrong := carry.put_back(work, end)):
        raise TerralabError(
            f"The record was made of another box: its {wrong} differ. A run goes on with the box it began with; let an "
            "event change it on the way."
        )
    one = clock[0]
    one["t"], one["wanted"], one["air_step"], one["done"] = end.t, end.wanted, end.size, 1.0


def joined(saved: list[tuple[Work, np.ndarray]], end: carry.EndState) -> Raw:
    """Return the arrays of all parts of a run as one."""
    works = [work for work, _ in saved]
    keys: list[tuple] = []
    for work in works:
        keys += [key for key in carry.surface_keys(work) if key not in keys]
    rows = np.cumsum([0, *(len(out) for _, out in saved)])
    pieces = [_columns(work, out) for work, out in saved]
    table = np.zeros(len(keys), works[0].air.surface.dtype)
    tables = np.zeros((len(works), len(keys)), works[0].air.surface.dtype)
    skins = []
    for n, (work, piece) in enumerate(zip(works, pieces, strict=True)):
        own = carry.surface_keys(work)
        if own == keys:
            # nothing came or went: no need to sort what fills most of a record's memory
            skins.append(piece[2])
            tables[n] = np.asarray(work.air.surface)
            new = table["area"] == 0.0
            table[new] = tables[n][new]
            continue
        skin = np.zeros((len(piece[0]), len(keys)), SURFACE_STATE)
        for at, key in enumerate(keys):
            if key in own:
                skin[:, at] = piece[2][:, own.index(key)]
                row = np.asarray(work.air.surface)[own.index(key)]
                tables[n, at] = row
                if table[at]["area"] == 0.0:
                    table[at] = row
            else:
                skin["t"][:, at] = piece[1]["t"][:, min(int(key[2]), piece[1].shape[1] - 1)]
        skins.append(skin)
    widest = max(works, key=lambda work: work.air.zone.size).air.zone
    for piece in pieces:
        piece[1] = _with_zones(piece[1], widest.size)
    zones = np.zeros((len(works), widest.size), widest.dtype)
    for n, work in enumerate(works):
        zones[n, : work.air.zone.size] = work.air.zone
    w = works[0]
    together = lambda held: held[0] if len(held) == 1 else np.concatenate(held)  # noqa: E731
    whole = lambda k: together([piece[k] for piece in pieces])  # noqa: E731
    return Raw(
        whole(0),
        whole(1),
        together(skins),
        whole(3),
        whole(4),
        whole(5),
        whole(6),
        whole(7),
        w.dz,
        w.soil_of,
        w.thermal["porosity"].copy(),
        w.thermal["dry_capacity"].copy(),
        w.layer_start,
        w.box[0],
        np.asarray(widest),
        table,
        end,
        rows[:-1],
        np.stack([np.asarray(one.box).view(one.box.dtype)[0] for one in works]) if len(works) > 1 else None,
        zones if len(works) > 1 else None,
        tables if len(works) > 1 else None,
    )


def _with_zones(rows: np.ndarray, wanted: int) -> np.ndarray:
    """States of zones with those of a hide that is not there: as the air about it, with no mass and no drops in it."""
    if rows.shape[1] == wanted:
        return rows
    whole = np.zeros((len(rows), wanted), rows.dtype)
    whole[:, : rows.shape[1]] = rows
    whole[:, rows.shape[1] :] = rows[:, :1]
    whole["fog"][:, rows.shape[1] :] = 0.0
    return whole


def _columns(work: Work, out: np.ndarray) -> list[np.ndarray]:
    """The saved rows of a part, cut into what they hold."""
    n, zones, surfaces = work.dz.size, work.air.zone.size, work.air.surface.size
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
    t, air, skin, _, chain, water, head, flow, moved = np.split(out, np.cumsum(widths)[:-1], axis=1)
    named = lambda part, dtype: np.ascontiguousarray(part).view(dtype)  # noqa: E731
    return [
        t[:, 0].copy(),
        named(air, ZONE_STATE),
        named(skin, SURFACE_STATE),
        chain.copy(),
        water.copy(),
        head.copy(),
        named(flow, FLOW)[:, 0],
        named(moved, MOVED)[:, 0],
    ]
