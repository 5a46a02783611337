"""The water of fan schedules: told as the pours that `terralab water` recommends, and compared draw by draw.

A run tells what a schedule takes from a typical box; the recommendation is the middle of many. So the schedule of the
description has the recommended pour, and every other one that pour with the runs' difference added. The schedules that
get a range have pours of their own, from the same draws.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from terralab.answers.common.balance import kept_dry
from terralab.answers.common.recommended import Recommended, recommended
from terralab.answers.common.rounding import jug
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN, Schedule
from terralab.describe.box import Box
from terralab.uncertainty import middle_range

Span = tuple[float, float, float]


def own_name(box: Box) -> str:
    """The name of the schedule that the description itself has."""
    return AS_DESCRIBED if box.routine.fans else NO_FAN


def shifts(box: Box, own: Mapping[str, Any], pours: Mapping[str, Recommended]) -> dict[str, float]:
    """By how much the water of every row is to be moved in each room, so that the described schedule (`own`, its row) takes
    the recommended pour. Nothing where the soil is to stay dry: there the water is what is given.
    """
    if kept_dry(box):
        return dict.fromkeys(pours, 0.0)
    # the middle before it is rounded: rounding comes once, at the end
    return {room: pour.sample.range_of("pour")[1] - own[room]["water_ml"] for room, pour in pours.items()}


def shift(seen: dict[str, Any], by: float) -> None:
    """Move the water of one row in one room, in place."""
    seen["water_ml"] = max(0.0, seen["water_ml"] + by)


def into_rows(
    box: Box, rows: Sequence[dict[str, Any]], covers: Sequence[dict[str, Any]], three: Sequence[Schedule],
    rooms: Sequence[str], members: int,
) -> dict[str, Span]:  # fmt: skip
    """Put into the rows, in place, what a jug shows; give the ranges of the best schedules by name (now, ml a day).

    `three`: the best schedules, the recommended one first; that one has its own pour in each room.
    """
    spans: dict[str, Span] = {}
    by_name = {row["name"]: row for row in rows}
    if not kept_dry(box):
        for number, schedule in enumerate(three):
            for room in rooms if number == 0 else rooms[:1]:
                found = recommended(schedule.box, room, members)
                by_name[schedule.name][room]["water_ml"] = found.ml
                if room == rooms[0]:
                    spans[schedule.name] = (found.low, found.ml, found.high)
    for seen in [*(row[room] for row in rows for room in rooms if room in row), *covers]:
        seen["water_ml"] = jug(seen["water_ml"])
    return spans


def dearer_by(box: Box, first: Schedule, others: Sequence[Schedule], members: int) -> dict[str, Span]:
    """How much more water a day `first` takes than each of the others, pair by pair over the same draws [ml a day]."""
    if kept_dry(box):
        return {}
    mine = recommended(first.box, "now", members).sample.results["pour"]
    return {
        other.name: middle_range(mine - recommended(other.box, "now", members).sample.results["pour"])
        for other in others
    }
