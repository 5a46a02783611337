"""How long does the box do without watering? Nobody pours or sprays; timers go on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from terralab.answers.common.balance import DRY_HEAD_M, kept_dry, top_suction_m, with_pour
from terralab.answers.common.ensemble import sampled
from terralab.answers.common.humidity_target import humidity, is_day, target_of
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import percent
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.needed import needs_box
from terralab.describe.trial import Trial
from terralab.simulation.record import Record
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import whole

DAYS = 60  # the longest absence looked at
MEMBERS = 16
LATER_DAY = 14  # the day whose humidity is told
Range = tuple[float, float, float]


@dataclass(frozen=True)
class Away:
    """What becomes of a box without pouring and spraying: (low, middle, high) each, middle and 80 % of the members.

    `top_dries`: days until the top 2 cm suck harder than 1 m, an end None where that takes over 60 days; None as a whole
    for a box that is held dry. `rh_day` and `rh_night`: mean humidity [%] after two weeks, `temp_day` and `temp_night`:
    mean temperature of the air [deg C] then; the same with `_end`: on day 60. That nothing was
    seen to dry in 60 days is no promise for longer, and `away.words.not_counted` says what these days leave out.
    `draws`: how many were drawn and ran, and why others did not.
    """

    top_dries: tuple[float | None, float | None, float | None] | None
    rh_day: Range
    rh_night: Range
    temp_day: Range
    temp_night: Range
    rh_day_end: Range
    rh_night_end: Range
    temp_day_end: Range
    temp_night_end: Range
    draws: Mapping[str, Any] = field(default_factory=dict)


@in_typical_room
def away(box: Box, season: str = "now", members: int = MEMBERS) -> Away:
    """How long `box` does without a keeper in the room of `season` ("now", "winter" or "summer"), as an `Away`.

    Pours and sprays stop; misters, lamps, heaters and fans go on by their timers. `members` (2 to 8192) draws of
    everything uncertain. Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    needs_box(box, "away")
    members = whole("members", members, 2, MOST_MEMBERS)
    target, _ = target_of(box)
    alone = with_pour(box, 0.0)
    routine = replace(alone.routine, pours=(), sprays=(), siphons=())
    measures = {
        "top": _top_dries,
        "day": lambda record: _humidity(record, LATER_DAY, target, "day"),
        "night": lambda record: _humidity(record, LATER_DAY, target, "night"),
        "C day": lambda record: _air_c(record, LATER_DAY, target, day=True),
        "C night": lambda record: _air_c(record, LATER_DAY, target, day=False),
        "day, end": lambda record: _humidity(record, DAYS, target, "day"),
        "night, end": lambda record: _humidity(record, DAYS, target, "night"),
        "C day, end": lambda record: _air_c(record, DAYS, target, day=True),
        "C night, end": lambda record: _air_c(record, DAYS, target, day=False),
    }
    sample = sampled(Trial.of(alone, routine=routine), DAYS, measures, season, members)
    dries = None
    if not kept_dry(box):
        dries = tuple(None if d > DAYS else round(d, 1) for d in sample.range_of("top"))
    spans = (tuple(percent(x) for x in sample.range_of(name)) for name in list(measures)[1:])
    return Away(dries, *spans, sample.counted())


def _humidity(record: Record, day: int, target: HumidityTarget | None, part: str) -> float:
    return humidity(record, record.rows(day - 1, day), target)[part]["mean"]


def _air_c(record: Record, day_number: int, target: HumidityTarget | None, *, day: bool) -> float:
    rows = record.rows(day_number - 1, day_number)
    wanted = is_day(record, rows, target) == day
    return float(record.series["air temperature C"][rows][wanted].mean())


def _top_dries(record: Record) -> float:
    """The day on which the top is first dry; twice the longest absence where it stays moist."""
    for day in range(DAYS):
        if top_suction_m(record, record.rows(day, day + 1)) >= -DRY_HEAD_M:
            return float(day + 1)
    return 2.0 * DAYS
