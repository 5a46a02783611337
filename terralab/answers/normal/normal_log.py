"""Since when does a log show the box behaving otherwise, what changed, and which causes explain it?"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.cautions import for_box
from terralab.answers.common.room_log import typical_room
from terralab.answers.common.seen_air import seen_air
from terralab.answers.learn.given import diary_of, logs_of
from terralab.answers.normal.change import Change, change_of
from terralab.answers.normal.level import Level, level_of
from terralab.answers.normal.log_causes import Explained, alike, explained
from terralab.answers.normal.log_model import MEMBERS, Model, model_of
from terralab.answers.normal.log_words import log_reason, log_statements, log_taken_for_granted
from terralab.answers.normal.runs import EVERY_MIN, SETTLE_DAYS
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.logs.diary import Diary
from terralab.logs.log import Log
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import whole

LEAST_MEMBERS = 8


@dataclass(frozen=True, eq=False)
class FoundInLog:
    """All that was found in one log; `causes` only where something changed and the log before that goes with the description."""

    model: Model
    level: Level
    change: Change
    causes: tuple[Explained, ...]
    failed: tuple[str, ...]

    @property
    def alike(self) -> tuple[Explained, ...]:
        """The causes that the log does not tell from the first."""
        return alike(self.causes) if self.causes else ()

    def when(self, hour: float) -> datetime:
        """An hour of the log as a time of the calendar."""
        first = self.model.window.first_day
        return datetime(first.year, first.month, first.day) + timedelta(hours=float(hour))

    def size(self, quantity: str, size: np.ndarray) -> dict[str, dict[str, float]]:
        """By place: of a size by channel and part what belongs to a quantity, by "day" and "night"; only what was read."""
        out = {}
        for c, one in enumerate(self.model.channels):
            if one.quantity == quantity:
                both = {part: float(size[2 * c + n]) for n, part in enumerate(("day", "night"))}
                out[one.place] = {part: x for part, x in both.items() if np.isfinite(x)}
        return out


def normal_log(
    box: Box,
    log: Log | str | os.PathLike,
    *,
    room: Log | str | os.PathLike | None = None,
    diary: Diary | str | os.PathLike | None = None,
    members: int = MEMBERS,
    progress: Callable[[int], None] | None = None,
) -> Answer:
    """The day from which `log` shows `box` behaving otherwise, what then changed, and the causes that explain it.

    log: of sensors in the box over 6 to 100 days, the path of a file or what `tl.read_log` gives; one of them at the place "room", or
    the log `room`, says what the room was; without either the described room counts, with weather of its own, and less is seen.
    diary: what was poured, sprayed or moved, which is then no change; a path, or what `tl.read_diary` gives. members (8 to 8192): boxes drawn from everything uncertain, of a learned box its
    draws. `progress(done)` is told as they are run.
    value, low, high: days from the midnight before the log's first row until the change began, and between which; None where none was
    found, which is so in 95 of 100 months in which nothing changed. table: the causes, the likeliest first. `details`: when, how much
    by day and by night, which causes cannot be told apart, and how the log's level lies beside boxes so described. Where that lies
    farther off than in 1 of 1000 boxes so described, `details["goes_with_description"]` is False: another box's log, a wrong
    description or sensor, and no causes of a change are looked for. Raises TerralabError for bad input, RunError when the box
    cannot be run.
    """
    needs_box(box, "normal_log")
    whole("members", members, LEAST_MEMBERS, MOST_MEMBERS)
    if progress is not None and not callable(progress):
        raise TerralabError(f"progress must be a function or None; {quoted(progress)} was given.")
    held, outside = logs_of(log, room)
    model = model_of(box, held, outside, diary_of(diary), members, progress)
    change = change_of(model)
    level = level_of(model, change)
    causes, failed = explained(model, change) if change.is_one and level.goes else ((), ())
    found = FoundInLog(model, level, change, causes, failed)
    usual, _ = typical_room(box)
    record = run_job(Job(usual, SETTLE_DAYS, "now", accuracy="preview", record_every_min=EVERY_MIN))
    seen = seen_air(record)
    days = lambda hour: round(hour / 24.0, 3) if change.is_one else None  # noqa: E731
    draft = Answer(
        us=speaks_us(box),
        question="since when is the box unlike itself",
        value=days(change.begins_h),
        low=days(change.earliest_h),
        high=days(change.latest_h),
        unit="days from the beginning of the log",
        reason=log_reason(found),
        spread={"members": members, "ran": model.runs.size, "failed": model.runs.failed, "share": 0.8},
        details=_details(found),
        table=tuple(one.to_dict() for one in causes),
        assumptions=log_taken_for_granted(found),
        cautions=for_box(box, "normal"),
        record=record,
        **seen.fields(),
    )
    verdict, statements = log_statements(draft, box, found, seen)
    return replace(draft, verdict=verdict, statements=statements)


def _details(found: FoundInLog) -> dict[str, Any]:
    change, level = found.change, found.level
    told = lambda hour: found.when(hour).isoformat(" ", "minutes") if change.is_one and np.isfinite(hour) else None  # noqa: E731
    return {
        "goes_with_description": level.goes,
        "level_more_c": found.size("temperature", level.gap),
        "level_more_humidity_points": found.size("humidity", level.gap),
        "level_statistic": round(level.statistic, 2),
        "level_limit": round(level.limit, 2),
        "changed": change.is_one,
        "began": told(change.begins_h),
        "began_between": [told(change.earliest_h), told(change.latest_h)],
        "ended": told(change.ends_h),
        "more_c": found.size("temperature", change.size) if change.is_one else {},
        "more_humidity_points": found.size("humidity", change.size) if change.is_one else {},
        "statistic": round(change.statistic, 2),
        "limit": round(change.limit, 2),
        "days": round(found.model.window.days, 2),
        "room_logged": found.model.room_logged,
        "not_told_apart_from_first": [one.cause.key for one in found.alike],
        "could_not_be_run": list(found.failed),
    }
