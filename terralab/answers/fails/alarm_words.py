"""The alarms in words: where to set them, how often they cry wolf, and what time they leave."""

from __future__ import annotations

import math
from collections.abc import Sequence

from terralab import wording
from terralab.answers.common.statement import Kind, Statement, state
from terralab.answers.common.temperature import degrees
from terralab.answers.fails.alarms import FLOAT_CM, Alarm, AlarmKind, sensor_error
from terralab.answers.fails.found import Fails, InSeason
from terralab.answers.fails.hours_words import hours_figure, hours_words
from terralab.describe.box import Box
from terralab.quantities import quantity

ROOMS = {"now": "now", "winter": "in winter", "summer": "in summer"}
SELDOM = 0.5  # days a week: rarer false alarms are called hardly any
LATE_H = 0.5  # hours to spare below which an alarm is called too late


def limit_words(alarm: Alarm) -> str:
    """The limit of an alarm with its unit, as a mark where it has one."""
    assert alarm.limit is not None
    if alarm.kind in (AlarmKind.COLD, AlarmKind.HOT):
        return f"{'under' if alarm.kind is AlarmKind.COLD else 'over'} {degrees(alarm.limit)}"
    if alarm.kind is AlarmKind.FLOAT:
        return f"float {quantity('cm', '.1f', alarm.limit)} under the mesh"
    return f"{'under' if alarm.kind is AlarmKind.DRY else 'over'} {alarm.limit:.0f} %"


def _alarm_name(alarm: Alarm) -> str:
    if alarm.kind is AlarmKind.FLOAT:
        return f"The level {limit_words(alarm)}"
    return f"The alarm {limit_words(alarm)}"


def caught_words(one: InSeason) -> str:
    """Which alarm tells, and with how many hours to spare."""
    if one.alarm is None:
        return "No alarm shows it in most boxes."
    words = f"{_alarm_name(one.alarm)} sounds {hours_words(one.alarm_h)}"
    if one.spare is None:
        return f"{words}."
    low, middle, high = one.spare
    share = "" if one.caught > 0.95 else f", in time in {100.0 * one.caught:.0f} % of the boxes"
    if math.isinf(one.danger[0]):
        when = "before" if middle >= LATE_H else "after" if middle <= -LATE_H else "about when"
        much = f"{hours_figure(abs(middle))} h " if when != "about when" else ""
        return f"{words}, {much}{when} the band is left."
    if middle < LATE_H:
        return f"{words}: too late to stop the danger{share}."
    ends = (hours_figure(max(0.0, low)), hours_figure(max(0.0, high)))
    spread = "" if ends[0] == ends[1] else f" ({ends[0]} to {ends[1]})"
    return f"{words}, with {hours_figure(middle)} h to spare before danger{spread}{share}."


def alarm_statements(season: str, alarms: Sequence[Alarm]) -> list[Statement]:
    """The limits of one season and how often they cry wolf."""
    rows = []
    for one in alarms:
        if one.limit is None:
            why = (
                "water usually stands too near the mesh"
                if one.kind is AlarmKind.FLOAT
                else "usual days reach the end of the scale"
            )
            rows.append(f"{one.kind}: none is of use, {why}.")
            continue
        text = f"{one.kind}: {limit_words(one).removeprefix('float ')}, {wolf_words(one.wolf)}"
        if one.edge is not None and one.edge_wolf is not None and one.edge_wolf >= SELDOM:
            edge = degrees(one.edge) if one.kind in (AlarmKind.COLD, AlarmKind.HOT) else f"{one.edge:.0f} %"
            text += f"; at the edge of the band, {edge}, {wolf_words(one.edge_wolf)}"
        rows.append(f"{text}.")
    return state(Kind.ALARM, f"Alarm limits {ROOMS[season]}, as near to ordinary days as they may be:", under=rows)


def wolf_words(days: float | None) -> str:
    """How often an alarm sounds for nothing."""
    if days is None or days < SELDOM:
        return "hardly ever sounds for nothing"
    if days > 6.5:
        return "sounds for nothing every day"
    return f"sounds for nothing on about {wording.days(max(1.0, days))} of an ordinary week"


def where_alarms(box: Box, found: Fails) -> list[str]:
    """Where sensor and float hang, and what is not counted."""
    if not found.alarms:
        return []
    rh, k = sensor_error(AlarmKind.DRY), sensor_error(AlarmKind.COLD)
    out = [
        f"The sensor hangs half way up, in the shade and out of the spray; a household one may be off by {quantity('K', 'g', k)} and "
        f"{rh:g} points, which is counted. Weather that no ordinary day here has will sound them too.",
    ]
    tube = "the corner tube" if box.enclosure.tube is not None else "a corner tube, which this box lacks"
    if any(one.kind is AlarmKind.FLOAT and one.limit is not None for each in found.alarms.values() for one in each):
        out.append(
            f"The level float hangs in {tube}, {quantity('cm', 'g', FLOAT_CM)} under the mesh at most, where it can be reached: "
            "nothing that needs service is buried in the layer."
        )
    return out


def alarms_short(found: Fails) -> str:
    """The alarms of the first season that tell of something, in one sentence."""
    if not found.alarms:
        return ""
    name = next(iter(found.alarms))
    here = [failing.seasons[name] for failing in found.failing if name in failing.seasons]
    useful = {one.alarm.kind for one in here if one.alarm is not None}
    set_at = [one for one in found.alarms[name] if one.limit is not None and one.kind in useful]
    if not set_at:
        return ""
    season = "" if len(found.alarms) == 1 else {"now": " for the room now"}.get(name, f" {ROOMS[name]}")
    wolf = wolf_words(max(one.wolf or 0.0 for one in set_at))
    many = "alarms" if len(set_at) > 1 else "an alarm"
    return f"Set {many}{season}: {', '.join(map(limit_words, set_at))}; {'they sound' if len(set_at) > 1 else 'it sounds'} {wolf}."
