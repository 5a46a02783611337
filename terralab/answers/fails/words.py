"""The failures as statements: what is soonest dangerous, which alarms to set, what none of them shows, and what may flood."""

from __future__ import annotations

import math

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.draws import by_reason, left_out_words
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.limits import DANGEROUSLY_COLD, DANGEROUSLY_HOT
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.temperature import FAR_K, degrees
from terralab.answers.common.words import RANGE
from terralab.answers.fails.alarm_words import LATE_H, ROOMS, alarm_statements, alarms_short, caught_words, where_alarms
from terralab.answers.fails.alarms import AlarmKind
from terralab.answers.fails.faults import CLOGGED, Fault, FaultKind, listed, often_on
from terralab.answers.fails.flood_words import endless, flood_words, tank_too_large
from terralab.answers.fails.found import Failing, Fails, InSeason
from terralab.answers.fails.hours_words import hours_cell, hours_figure, hours_words
from terralab.answers.fails.runs import SHORT, Season
from terralab.describe.box import Box
from terralab.describe.seasons import room_of
from terralab.describe.wanted import ANYONE, temperatures_wanted, typed
from terralab.quantities import quantity

NAME_WIDE, WHEN_WIDE, HOURS_WIDE = 25, 10, 13  # characters; the table then fits a terminal of 80
NAMED = 2  # failures named on the short screen that no alarm shows
_SHORT = {
    AlarmKind.COLD: "low", AlarmKind.HOT: "high", AlarmKind.DRY: "dry", AlarmKind.DAMP: "damp", AlarmKind.FLOAT: "float",
}  # fmt: skip


def danger_words(box: Box, what: str) -> str:
    """A danger with its limit."""
    w = temperatures_wanted(box) or ANYONE
    if what == DANGEROUSLY_HOT:
        return f"dangerously hot (air over {typed(w.most)}, or ground or glass over {typed(w.surface_most + FAR_K)})"
    if what == DANGEROUSLY_COLD:
        return f"dangerously cold (air under {typed(w.least)})"
    return what


def _begins(one: InSeason) -> str:
    return f"begun {ROOMS[one.season]} at {one.hour:02d}:00"


def first_up(text: str) -> str:
    """The text with its first letter large."""
    return f"{text[:1].upper()}{text[1:]}"


def fails_statements(a: Answer, box: Box, found: Fails, seen: SeenAir) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states."""
    verdict, wrong = _wrong(a, box, found, seen)
    out = state(Kind.TITLE, f"{box.name}: what if a device fails?", views=EVERYWHERE)
    out += brief(
        box,
        "fails",
        _do(box, found),
        _sure(found),
        seen.lines(),
        wrong,
        first=seen.heat.hot or seen.heat.cold,
        warm=(*seen.minds,),
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.DO, headline(box, found))
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += [one for failing in found.failing for one in _failure(box, failing)]
    out += _table(box, found)
    out += [one for name in found.alarms for one in alarm_statements(name, found.alarms[name])]
    out += state(Kind.ALARM, *where_alarms(box, found))
    out += state(Kind.MISHAP, _unseen(found), _why_unseen(found), *(flood_words(one, box) for one in found.floods))
    out += state(Kind.DRAWS, *(_draws(season) for season in found.seasons))
    out += state(Kind.LEFT_OUT, *_left_out(found))
    out += state(Kind.AIR, seen.sentence(" on ordinary days"))
    out += state(Kind.WARMTH, warmth_line(seen.heat, " on ordinary days"))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions) if a.assumptions else "")
    out += state(Kind.CAUTION, "Take care: " + " ".join((*a.cautions, *_more_care(box, found))))
    return verdict, tuple(out)


def _wrong(a: Answer, box: Box, found: Fails, seen: SeenAir) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(seen.first)
    if wrong:
        return verdict, wrong
    large = next((one for one in found.floods if one.has_ml is not None and one.has_ml > (one.tank_ml or 0.0)), None)
    said = tank_too_large(large) if large is not None else ""
    said = said or next((endless(one) for one in found.floods if one.has_ml is None), "")
    unseen = _unseen(found, NAMED)
    wrong = [text for text in (said, unseen) if text]
    if a.value is not None:
        return Verdict.ONE_FAILURE, wrong
    if wrong:
        return (Verdict.FINE if seen.target or seen.heat.wanted else Verdict.UNKNOWN), wrong
    return nothing_today(seen.first, seen.heat)


def headline(box: Box, found: Fails) -> str:
    """Which failure is soonest dangerous, or which leaves the band first, or that nothing can fail."""
    if not found.failing:
        return "No device here can fail." if not found.seasons else "No failure could be run."
    first = found.failing[0]
    one = first.worst
    if not math.isinf(one.danger[0]):
        return (
            f"Soonest dangerous: {first.fault.words}, {_begins(one)}: {danger_words(box, one.danger_what)} "
            f"{hours_words(one.danger)}."
        )
    calm = f"No failure of one device is dangerous within {found.plan.watched_h:g} hours."
    if not math.isinf(one.warm[1]):
        return f"{calm} First too hot or too cold: {first.fault.words}, {_begins(one)}: {one.warm_what} {hours_words(one.warm)}."
    if math.isinf(one.band[0]):
        return f"{calm} In all of them the air stays as wanted, or as it is on ordinary days."
    return f"{calm} First out of band: {first.fault.words}, {_begins(one)}: {one.band_what} {hours_words(one.band)}."


def _do(box: Box, found: Fails) -> str:
    told = alarms_short(found)
    return f"{headline(box, found)}{f' {told}' if told else ''}{'' if found.failing else f' {_room_fails(box)}'}"


def _sure(found: Fails) -> str:
    if not found.failing:
        return ""
    one = found.failing[0].worst
    # the hours of what the headline tells of: a danger in the worst tenth, else what most boxes come to
    told = (one.danger,) if not math.isinf(one.danger[0]) else (one.warm, one.band)
    span = next((span for span in told if not math.isinf(span[1])), told[-1])
    if hours_figure(span[0]) == hours_figure(span[2]):
        return ""
    if math.isinf(span[2]):
        return f"of {RANGE} some take {hours_figure(span[0])} h, others do not get there."
    return f"{RANGE} take {hours_figure(span[0])} to {hours_figure(span[2])} h."


def _room_fails(box: Box) -> str:
    sun = " or sun falls on the glass for longer" if box.room.sun is not None else ", or the sun reaches the glass"
    return f"What can fail is the room: its heating stops, it gets too hot{sun}. A thermometer with an alarm tells."


def reason_words(box: Box, found: Fails) -> str:
    """Why, in a few sentences."""
    if not found.failing:
        return f"The box has no lamp, heater, fan, mister or fogger. {_room_fails(box)}" if not found.seasons else ""
    names = " and ".join(ROOMS[season.name] for season in found.seasons)
    hours = [f"{hour:02d}:00" for hour in found.plan.hours]
    return (
        f"In the room {names} each failure begins at {', '.join(hours[:-1])} and {hours[-1]}; the hour at which it does most "
        f"is followed for {found.plan.watched_h:g} hours, with {len(found.seasons[0].members)} boxes that fit this description. "
        "What is out of band on ordinary days too is not counted."
    )


def _failure(box: Box, failing: Failing) -> list[Statement]:
    """One failure in a sentence or two, and the other seasons."""
    one = failing.worst
    parts = []
    if not math.isinf(one.danger[0]):
        parts.append(f"{danger_words(box, one.danger_what)} {hours_words(one.danger)}")
    if not math.isinf(one.warm[0]) and one.warm_what not in (DANGEROUSLY_HOT, DANGEROUSLY_COLD):
        parts.append(f"{one.warm_what} {hours_words(one.warm)}")
    if not math.isinf(one.band[0]) and hours_words(one.band) not in (hours_words(one.warm), hours_words(one.danger)):
        air_alone = math.isinf(one.warm[0]) and math.isinf(one.danger[0])
        first = "" if air_alone else f" (mostly {one.band_what} first)"
        parts.append(f"{one.band_what if air_alone else 'out of band'} {hours_words(one.band)}{first}")
    came = ", ".join(parts) if parts else "neither out of band nor dangerous"
    text = f"{first_up(failing.fault.words)}, {_begins(one)}: {came}; {_farthest(one)}. {caught_words(one)}"
    if (
        failing.fault.kind is FaultKind.MAINS
        and math.isfinite(one.back[1])
        and one.back[1] > 0.0
        and math.isfinite(one.band[1])
    ):
        text += f" Back inside all limits {hours_words(one.back)} from its beginning."
    if failing.fault.kind is FaultKind.PROBE_OUT:
        text += f" {_probe(box, failing.fault, one.season)}"
    others: dict[str, list[str]] = {}
    for name, other in failing.seasons.items():
        if name != one.season:
            others.setdefault(_brief_of(other), []).append(ROOMS[name])
    if others:
        text += " " + " ".join(f"{first_up(' and '.join(names))}: {words}." for words, names in others.items())
    return state(Kind.MISHAP, text)


def _farthest(one: InSeason) -> str:
    """What the air comes to where it is farthest from ordinary days: °C beside %."""
    k, points = one.far_k, one.far_points
    warm = f"{quantity('K', '.1f', abs(k))} {'warmer' if k > 0.0 else 'colder'}" if abs(k) >= 0.05 else "as warm"
    damp = f"{wording.points(points)} {'damper' if points > 0.0 else 'drier'}" if abs(points) >= 0.5 else "as damp"
    return f"at its farthest from ordinary days the air is at {degrees(one.far_c)} ({warm}) and {one.far_rh:.0f} % ({damp})"


def _brief_of(one: InSeason) -> str:
    if not math.isinf(one.danger[0]):
        return f"dangerous {hours_words(one.danger)}"
    return "no limit is passed" if math.isinf(one.band[0]) else f"out of band {hours_words(one.band)}"


def _probe(box: Box, fault: Fault, season: str) -> str:
    share = often_on(fault, box, room_of(box, season))
    what = "humidity" if fault.device.control.senses == "humidity" else "temperature"  # type: ignore[union-attr]
    return (
        f"The probe then reads the {what} of the room, and its control is on for {24.0 * share:.0f} hours of the day in which "
        "the timer lets it."
    )


def _table(box: Box, found: Fails) -> list[Statement]:
    if not found.failing:
        return []
    heading = (
        f"{'failure':<{NAME_WIDE}} {'begun':<{WHEN_WIDE}} {'out of band':<{HOURS_WIDE}} {'danger':<{HOURS_WIDE}} alarm"
    )
    rows = []
    for failing in found.failing:
        one = failing.worst
        alarm = "none" if one.alarm is None else _SHORT[one.alarm.kind]
        if one.alarm is not None and one.spare is not None and not math.isinf(one.danger[0]):
            alarm += " late" if one.spare[1] < LATE_H else f" +{one.spare[1]:.0f}"
        rows.append(
            f"{_cut(failing.fault):<{NAME_WIDE}} {f'{one.season} {one.hour}h':<{WHEN_WIDE}} "
            f"{hours_cell(one.band):<{HOURS_WIDE}} {hours_cell(one.danger):<{HOURS_WIDE}} {alarm}"
        )
    return state(
        Kind.TABLE,
        "Hours until the band is left and until danger, middle of the boxes drawn and where 80 % of them lie; the alarm that "
        "tells, and its hours to spare before danger:",
        under=(heading, *rows),
        views=View.ALL,
    )


def _cut(fault: Fault) -> str:
    """The words of a failure in the width of its column; of a long name the end is left out, never what is wrong with it."""
    over = len(fault.words) - NAME_WIDE
    if over <= 0:
        return fault.words
    return fault.words.replace(f'"{fault.name}"', f'"{fault.name[: max(1, len(fault.name) - over - 2)]}.."')


def _unseen(found: Fails, most: int = 99) -> str:
    """Which failures no alarm shows; at most so many are named."""
    names = [one.fault.words for one in found.failing if not one.worst.shown]
    if not names:
        return ""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"No alarm shows {', '.join(names[:most])}{more}. Look each day whether every device runs."


def _why_unseen(found: Fails) -> str:
    """Why an alarm may not show what is wrong."""
    if all(one.worst.shown for one in found.failing):
        return ""
    return (
        "Why not: a limit that is the same at all hours does not show that the air by day is as it should be at night. An alarm "
        "with limits of its own for day and night shows more; what it would show is not computed here."
    )


def _draws(season: Season) -> str:
    spread = {
        "failed": len(season.failures),
        "ran": len(season.members),
        "members": len(season.members) + len(season.failures),
        "why_failed": by_reason(season.failures),
    }
    return left_out_words(spread, f"boxes drawn {ROOMS[season.name]}")


def _left_out(found: Fails) -> list[str]:
    out = []
    if found.left_out:
        out.append(
            f"Left out, as the box has many devices: {listed(found.left_out)}. Those that heat or give water were looked at first."
        )
    if found.not_run:
        out.append(f"Could not be run: {', '.join(found.not_run)}.")
    return out


def taken_for_granted(box: Box, found: Fails, mains_h: float) -> tuple[str, ...]:
    """What is taken for granted."""
    out = [
        "One thing fails at a time, and nobody notices; the routine of pours and sprays goes on.",
        "The air is the mean of the box: under a lamp and beside a heater it is hotter.",
    ]
    kinds = {one.fault.kind for one in found.failing}
    if found.plan.hours == SHORT.hours:
        out.append("A thermostat here switches so often that less is looked at: fewer hours, fewer boxes drawn.")
    if FaultKind.CLOGGED in kinds:
        out.append(f"A clogged fan moves {100 * CLOGGED:.0f} % of its flow.")
    if FaultKind.PROBE_OUT in kinds:
        out.append(
            "A probe that fell out hangs in the room; its control then runs its device by the room's reading, within its timer."
        )
    if FaultKind.MAINS in kinds:
        out.append(
            f"When the mains are cut every lamp, heater, fan and mister rests for {mains_h:g} hours and then goes on by its timer. A timer "
            "without a battery loses its clock: set it anew. The room is taken to keep its warmth; in a cold season it cools too."
        )
    if found.floods:
        out.append("While a mister is stuck on nobody pours, sprays or siphons.")
    return tuple(out)


def _more_care(box: Box, found: Fails) -> list[str]:
    out = []
    if any(device for device in (*box.routine.heaters, *box.routine.lamps)):
        out.append("A heater without a second, independent thermostat has nothing that stops it: ask an electrician.")
    if found.floods:
        out.append(
            "A float valve or a small tank stops water; an alarm does not. Keep plugs and strips above any water that may run over, with a drip loop."
        )
    return out
