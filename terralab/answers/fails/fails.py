"""What if a device fails: hours until the band is left and until danger, and the alarm that would tell in time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from terralab.answers.common.answer import Answer
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import by_reason
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.seen_air import seen_air
from terralab.answers.fails.alarms import Alarm
from terralab.answers.fails.faults import LEAST_MAINS_H, MAINS_H, MOST_MAINS_H, faults_of
from terralab.answers.fails.flood import Flood, flood_of
from terralab.answers.fails.found import Fails, found_of
from terralab.answers.fails.runs import EVERY_MIN, FULL, Season, plan_of, season_of
from terralab.answers.fails.words import fails_statements, reason_words, taken_for_granted
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import SEASONS, is_own, room_of
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import number, whole

LOG_DAYS = 28  # of a logged room that are lived through to count false alarms


def fails(
    box: Box, seasons: Sequence[str] | None = None, *, mains_h: float = MAINS_H, members: int | None = None
) -> Answer:
    """What becomes of `box` when one of its devices fails or the mains are cut, and which alarm would tell in time.

    Each device stuck off and stuck on, a fan clogged to a fifth of its flow, a probe that fell out and reads the room, the
    mains cut for `mains_h` hours (0.5 to 48). Each begins at the worst hour of the day (of 0, 6, 12 and 18) and is followed
    for 72 hours; a box whose thermostat switches very often is looked at for 48 hours, from 0 and 12. `seasons`: words out of "now", "winter" and "summer" (None: now, and those that the box describes).
    `members` (2 to 8192; None: 8, or 5 for such a box): boxes drawn from everything uncertain behind each range. value, low, high: hours until danger in
    the failure that is soonest dangerous; None where none is in the time followed. table: a row a failure, the worst first.
    `details["alarms"]`, `details["floods"]`: the limits with their false alarms, and the largest tank that cannot flood.
    Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    needs_box(box, "fails")
    names = _seasons(box, seasons)
    number("mains_h", mains_h, LEAST_MAINS_H, MOST_MAINS_H, "hours")
    if members is not None:
        whole("members", members, 2, MOST_MEMBERS)
    return _fails(box, names, float(mains_h), members, {name: _logged(box, name) for name in names})


@in_typical_room
def _fails(
    box: Box, names: tuple[str, ...], mains_h: float, members: int | None, logged: Mapping[str, tuple[Record, ...]]
) -> Answer:
    faults, left_out = faults_of(box, mains_h)
    if not faults:
        return _nothing_to_fail(box, names)
    plan = plan_of(box, names[0], members)
    seasons = tuple(season_of(box, name, plan, logged[name]) for name in names)
    failing, not_run = found_of(box, seasons, faults)
    floods = tuple(flood_of(box, mist, seasons[0]) for mist in box.routine.mists)
    alarms = {season.name: season.alarms for season in seasons}
    found = Fails(tuple(failing), floods, alarms, seasons, left_out, tuple(not_run), plan)
    record = seasons[0].typical.usual
    seen = seen_air(record)
    draft = Answer(
        us=speaks_us(box),
        question="what if a device fails",
        **_soonest(found),
        unit="hours",
        reason=reason_words(box, found),
        seasons={season.name: _ran(season) for season in seasons},
        spread={
            "members": plan.members,
            "ran": len(seasons[0].members),
            "failed": len(seasons[0].failures),
            "share": 0.8,
        },
        details={
            "followed_h": plan.watched_h,
            "begun_at_hours": list(plan.hours),
            "alarms": {name: [_alarm(one) for one in each] for name, each in alarms.items()},
            "floods": [_flood(one) for one in floods],
            "not_shown": [one.fault.words for one in failing if not one.worst.shown],
            "left_out": list(left_out),
            "could_not_be_run": list(not_run),
        },
        table=tuple(one.to_dict() for one in failing),
        assumptions=taken_for_granted(box, found, mains_h),
        cautions=for_box(box, "fails"),
        record=record,
        **seen.fields(),
    )
    verdict, statements = fails_statements(draft, box, found, seen)
    return replace(draft, verdict=verdict, statements=statements)


def _nothing_to_fail(box: Box, names: tuple[str, ...]) -> Answer:
    """The answer for a box without a device."""
    record = run_job(Job(box, 6, names[0], accuracy="preview", record_every_min=EVERY_MIN))
    seen = seen_air(record)
    nothing = Fails((), (), {}, (), (), (), FULL)
    draft = Answer(
        us=speaks_us(box),
        question="what if a device fails",
        value=None,
        low=None,
        high=None,
        unit="hours",
        reason=reason_words(box, nothing),
        cautions=for_box(box, "fails"),
        record=record,
        **seen.fields(),
    )
    verdict, statements = fails_statements(draft, box, nothing, seen)
    return replace(draft, verdict=verdict, statements=statements)


def _soonest(found: Fails) -> dict[str, float | None]:
    """Value, low and high: hours until danger in the failure that is soonest dangerous; None is not within 72 hours."""
    ends = found.failing[0].worst.danger if found.failing else (float("inf"),) * 3
    told = [None if end == float("inf") else round(end, 2) for end in ends]
    return {"value": told[1], "low": told[0], "high": told[2]}


def _ran(season: Season) -> dict[str, Any]:
    return {
        "ran": len(season.members),
        "failed": len(season.failures),
        "why_failed": by_reason(season.failures),
    }


def _alarm(one: Alarm) -> dict[str, Any]:
    return {
        "alarm": str(one.kind),
        "limit": one.limit,
        "false_alarm_days_a_week": one.wolf,
        "edge_of_band": one.edge,
        "false_alarm_days_a_week_at_the_edge": one.edge_wolf,
    }


def _flood(one: Flood) -> dict[str, Any]:
    hours = {place: [None if h == float("inf") else round(h, 3) for h in each] for place, each in one.hours.items()}
    return {
        "device": one.name,
        "flow_ml_min": float(one.flow_ml_min),
        "hours_until_water_stands": hours,
        "largest_tank_that_cannot_flood_ml": one.tank_ml,
        "tank_ml": one.has_ml,
    }


def _seasons(box: Box, asked: Sequence[str] | None) -> tuple[str, ...]:
    if asked is None:
        return tuple(name for name in SEASONS if name == "now" or is_own(box, name))
    if isinstance(asked, str):
        asked = (asked,)
    if not isinstance(asked, Sequence) or not asked:
        raise TerralabError(f'seasons must be words out of "now", "winter" and "summer"; {quoted(asked)} was given.')
    for name in asked:
        room_of(box, name)
    return tuple(dict.fromkeys(asked))


def _logged(box: Box, name: str) -> tuple[Record, ...]:
    """The box through its own log of the room, whose ordinary weather sounds alarms too; nothing where none was kept."""
    room = room_of(box, name)
    spans = [s.logged_h for s in (room.temperature, room.humidity) if s.logged_h is not None]
    days = min((min(last for _, last in spans) // 24.0, float(LOG_DAYS))) if spans else 0.0
    if days < 1.0 or any(first > 0.0 for first, _ in spans):
        return ()
    return (run_job(Job(box, days, name, accuracy="preview", record_every_min=EVERY_MIN)),)
