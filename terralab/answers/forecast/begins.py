"""Where a forecast begins: with the box as it is described now, or at the end of a record.

The record of a run holds one state, that of the typical box. Each draw has a past of its own: it has lost water at its own
pace. So the course behind a record is run once more for every draw, and each goes on from its own end.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from terralab.answers.common.ensemble import Course, settled
from terralab.describe.events import Event, needs_events
from terralab.errors import TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import Ensemble
from terralab.units import DAY_S, HOUR_S

# m and K: what two runs of the same course may differ by on two machines. A course with another pour is far beyond it.
SAME_M, SAME_K = 1e-6, 0.01
AGAIN = (
    "The record cannot be run again from its beginning, so nothing can be said of how sure a forecast from it is. On the "
    "way its box, routine or season was changed, or an event that no file can hold. Start from a record before that change, "
    "and write the change as an event."
)


@dataclass(frozen=True, eq=False)
class Beginning:
    """`record`: what the forecast goes on from, None where it begins with the description; `events`: those of the whole course."""

    record: Record | None
    events: tuple[Event, ...]

    def course(self, found: Ensemble, every_min: float) -> Course:
        """Where the runs of the draws `found` begin, with the events; rows `every_min` apart. Raises TerralabError, see `AGAIN`."""
        if self.record is None:
            return Course(self.events)
        record = self.record
        began, days = _past(record)
        told = _told(record)
        again = Job(
            record.box,
            days,
            record.season,
            accuracy=str(record.settings["accuracy"]),
            record_every_min=float(record.settings["record_every_min"]),
            start_at=began,
            events=told,
        )
        if not _same_end(run_job(again), record):
            raise TerralabError(AGAIN)
        ends = settled(record.box, days, record.season, found, Course(told, start_at=began), every_min)
        return Course(self.events, starts=ends)


def beginning(start: Record | str | os.PathLike | None, events: Sequence[Event]) -> Beginning:
    """Return where a forecast begins; `start` is a record or the path of a saved one. Raises TerralabError for bad input."""
    needs_events(events)
    if start is None:
        return Beginning(None, tuple(events))
    if isinstance(start, (str, os.PathLike)):
        start = Record.load(start)
    if not isinstance(start, Record):
        raise TerralabError(f"start must be a Record or the path of a saved one; {type(start).__name__} was given.")
    if start.settings.get("overrides"):
        raise TerralabError(
            "This record was run with numbers of its own (overrides); a forecast needs one of the box as it is described."
        )
    _past(start)
    known = _told(start)
    return Beginning(start, (*known, *(event for event in events if event not in known)))


def _told(record: Record) -> tuple[Event, ...]:
    """The events that a record says it was made with."""
    return tuple(Event(*one) for one in record.settings.get("events", ()))  # type: ignore[attr-defined]


def _past(record: Record) -> tuple[float, float]:
    """When the whole course behind a record began [s after the first midnight], and how many days it took."""
    began = float(record.settings.get("began_s", record.times_s[0]))  # type: ignore[arg-type]
    end = float(record.times_s[-1])
    for when, t in (("begin", began), ("end", end)):
        if abs(t / HOUR_S - round(t / HOUR_S)) > 1e-6:
            raise TerralabError(
                f"A record that a forecast goes on from must begin and end on a full hour; this one {when}s at hour {t / HOUR_S:g}."
            )
    return began, (end - began) / DAY_S


def _same_end(one: Record, other: Record) -> bool:
    """Whether two runs end alike: the water in the soil and below it, and the warmth of air and ground."""
    if one.cell_water_m.shape[1] != other.cell_water_m.shape[1]:
        return False
    water = np.abs(one.cell_water_m[-1] - other.cell_water_m[-1]).max() <= SAME_M
    below = abs(one.reservoir_water_m[-1] - other.reservoir_water_m[-1]) <= SAME_M
    warmth = max(abs(one.air_c[-1] - other.air_c[-1]), abs(one.ground_c[-1] - other.ground_c[-1])) <= SAME_K
    return bool(water and below and warmth)
