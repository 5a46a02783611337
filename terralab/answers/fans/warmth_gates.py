"""The gates that need runs of their own: the draws behind the best schedules, and the recommended lid in winter and summer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from terralab.answers.common.balance import with_pour
from terralab.answers.common.recommended import SHOWN_DAYS, Recommended, recommended, seen_rows
from terralab.answers.common.temperature import OFTEN, Heat, heat_of, likely_heat, worse_than
from terralab.answers.fans.choice import first_lid
from terralab.answers.fans.schedules import Schedule
from terralab.describe.box import Box
from terralab.describe.seasons import SEASONS
from terralab.describe.trial import opened_a_little
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many

DAYS = SHOWN_DAYS  # of every run that schedules and lids are compared by


def safest_first(
    three: list[dict[str, Any]],
    schedule_of: Callable[[dict[str, Any]], Schedule],
    own: Recommended,
    members: int,
    sound: Callable[[dict[str, Any]], bool],
) -> tuple[list[dict[str, Any]], Mapping[str, np.ndarray]]:
    """The best schedules, the first moved back where clearly more of its draws are dangerous than of the box as it is.

    `sound`: whether one may come first for its winter and summer. Also what the draws of the one that is first then say of its warmth: those behind its pour, as for the water answer.
    """
    most = likely_heat(own.sample.results).danger + OFTEN
    for row in three:
        results = recommended(schedule_of(row).box, "now", members).sample.results
        if likely_heat(results).danger <= most and (row is three[0] or sound(row)):
            return [row, *(one for one in three if one is not row)], results
    return three, recommended(schedule_of(three[0]).box, "now", members).sample.results


def lid_for_all_seasons(
    boxes: list[Box], lid: list[dict[str, Any]], gap: float, now: dict[str, Any], pours: Mapping[str, Recommended]
) -> dict[str, Any] | None:
    """The lid that comes first and is in no season worse off in warmth than the box is then; others are no longer allowed.

    Why the first of those is not stands in its "refused".
    """
    while (first := first_lid(lid, gap)) is not None:
        box = boxes[lid.index(first)]
        jobs = [Job(with_pour(box, pours[room].ml), DAYS, room, accuracy="preview") for room in SEASONS[1:]]
        runs = dict(zip(SEASONS[1:], run_many(jobs, failed="none"), strict=True))
        refused = [why for room, record in runs.items() if (why := _refused(record, room, now[room]["heat"]))]
        if not refused:
            return first
        first |= {"allowed": False, "refused": refused[0]}
    return None


def opening_refused(box: Box, now: Heat) -> str:
    """Why a shut box is not to be opened a little, as a clause with its °C; "" where it may be."""
    record = run_many([Job(opened_a_little(box), DAYS, accuracy="preview")], failed="none")[0]
    return "it could not be run" if record is None else worse_than(heat_of(record, seen_rows(record)), now)


def _refused(record: Record | None, room: str, now: Heat) -> str:
    """Why a lid is refused in one season, as a clause; "" where it is not."""
    if record is None:
        return f"in {room} it could not be run"
    why = worse_than(heat_of(record, seen_rows(record)), now)
    return f"in {room} {why}" if why else ""
