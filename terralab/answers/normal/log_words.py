"""What is said of a log: since when the box behaves otherwise, how, and where to look first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, fitting, from_box, nothing_today
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.normal.change import ALARMS_A_MONTH, LEAST, LEAST_K
from terralab.answers.normal.level import SELDOM
from terralab.answers.normal.log_causes import Explained
from terralab.answers.normal.words import FIRST, MOST_ROWS, SLIGHT, cut, ended
from terralab.describe.box import Box
from terralab.learning.readings import HUMIDITY, TEMPERATURE
from terralab.quantities import column, quantity, unit_word

if TYPE_CHECKING:
    from datetime import datetime

    from terralab.answers.normal.normal_log import FoundInLog

MOST_DO = 7  # lines of the short screen for what is said first, so that the air and a caution still fit
SMALL_POINTS, SMALL_K = 0.75, 0.15  # a change smaller than this is not said
_WHERE = {"box": "", "box low": " low", "box high": " high", "hide": " in the hide"}


def day_words(when: datetime) -> str:
    """A time to a quarter of a day: "15 August, 12:00"."""
    return f"{when.day} {when:%B}, {when:%H}:00"


def log_statements(a: Answer, box: Box, found: FoundInLog, seen: SeenAir) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states."""
    verdict, wrong = from_box(seen.first)
    if not wrong and not found.level.goes:
        verdict = Verdict.CONTRADICTED
    elif not wrong and found.change.is_one:
        verdict = Verdict.UNUSUAL
    elif not wrong:
        verdict, wrong = nothing_today(seen.first, seen.heat)
    headline, short = _headline(found), f"{_headline(found)} {_look(found)}".strip()
    if not found.level.goes:
        headline, short = _not_this_box(found)
    out = state(Kind.TITLE, f"{box.name}: does the log show that it changed?", views=EVERYWHERE)
    out += brief(
        box, "normal", short, _sure(found), seen.lines(), wrong,
        first=seen.heat.hot or seen.heat.cold, warm=seen.minds,
    )  # fmt: skip
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.DO, headline)
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(Kind.MISHAP, *(_cause(found, one) for one in found.causes[:FIRST] if one.share >= SLIGHT))
    out += state(Kind.EXPLAINED, _not_told(found))
    out += _table(found)
    out += state(Kind.LEFT_OUT, *_left_out(found))
    out += state(Kind.AIR, seen.sentence(" on ordinary days"))
    out += state(Kind.WARMTH, warmth_line(seen.heat, " on ordinary days"))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _headline(found: FoundInLog) -> str:
    change = found.change
    if not change.is_one:
        return f"No change found: {_days(found)} the box behaved as boxes of this description do.{_would_show(found)}"
    until = "" if np.isinf(change.ends_h) else f" until {day_words(found.when(change.ends_h))}"
    verb = "read" if until else "reads"
    return f"It changed on {day_words(found.when(change.begins_h))}{_between(found)}: since then{until} it {verb} {size_words(found, change.size)}."


def _not_this_box(found: FoundInLog) -> tuple[str, str]:
    """That the whole log lies far from its description, by how much, and where to look; in full, and for the short screen."""
    level, channels, change = found.level, found.model.channels, found.change
    places = [one.place for one in channels for _ in range(2)]
    place = places[int(np.nanargmax(np.abs(level.gap) / level.error))]  # where it lies farthest
    humid = any(one.quantity == HUMIDITY and one.place == place for one in channels)
    test = "75 % in a bag with damp salt" if humid else "the same as a second thermometer"
    room = "" if found.model.room_logged else ", its room"
    look = (
        "Look first: (1) is it this box's log, not another's or the room's? (2) is the box as described: lid, mesh, lamp, "
        f"soil{room}? (3) does the sensor read {test}?"
    )
    after = ""
    if change.is_one:
        until = "" if np.isinf(change.ends_h) else f" to {day_words(found.when(change.ends_h))}"
        after = (
            f" Only then look at its change (as it stands, {'from' if until else 'on'} {day_words(found.when(change.begins_h))}{until}: "
            f"{size_words(found, change.size)})."
        )
    says = "This log does not go with the description:"
    full, plain = (f"{says} {_level_words(found, place, likely)}. {look}{after}" for likely in (True, False))
    return full, fitting((full, plain), MOST_DO)


def _level_words(found: FoundInLog, place: str, likely: bool) -> str:
    """What was read in a place by day and by night, and how far that is from boxes so described: humidity beside temperature."""
    level, out = found.level, []
    own = {one.quantity: 2 * c for c, one in enumerate(found.model.channels) if one.place == place}
    for n, part in enumerate(("day", "night")):
        read, usual, gaps = [], [], []
        for what in (HUMIDITY, TEMPERATURE):
            if what not in own or not np.isfinite(x := level.read[i := own[what] + n]):
                continue
            low, high = map(float, level.likely[:, i])
            read.append(f"{x:.0f} %" if what == HUMIDITY else quantity("°C", ".1f", float(x)))
            usual.append(f"{low:.0f} to {high:.0f} %" if what == HUMIDITY else quantity("°C", ".1f", low, high))
            gaps.append(_more(what, float(level.gap[i])))
        if read:
            told = f" (likely {' at '.join(usual)})" if likely else ""
            gap = " and ".join(word for word in gaps if word)
            than = " than boxes so described" if gap and not out else ""
            out.append(f"{' at '.join(read)} by {part}{told}{f', {gap}' if gap else ', as expected'}{than}")
    days = wording.days(max(1.0, found.level.days))
    begins = f"in its first {days}" if found.change.is_one else f"over its {days}"
    return f"{begins} it reads{_WHERE.get(place, '')} {'; '.join(out)}"


def _days(found: FoundInLog) -> str:
    return f"in {found.model.window.days:.0f} days"


def _between(found: FoundInLog) -> str:
    change = found.change
    if change.latest_h - change.earliest_h < 12.0:
        return ""
    return f" (likely between {day_words(found.when(change.earliest_h))} and {day_words(found.when(change.latest_h))})"


def size_words(found: FoundInLog, size: np.ndarray) -> str:
    """A step in words: "7 points drier and 0.3 °C colder by day, 11 points drier by night"."""
    places = dict.fromkeys(one.place for one in found.model.channels)
    out = []
    for place in places:
        for n, part in enumerate(("day", "night")):
            words = []
            for c, one in enumerate(found.model.channels):
                if one.place == place and np.isfinite(x := float(size[2 * c + n])):
                    words.append(_more(one.quantity, x))
            words = [word for word in reversed(words) if word]
            if words:
                out.append(f"{' and '.join(words)} by {part}{_WHERE.get(place, '')}")
    return ", ".join(out) if out else "hardly otherwise"


def _more(what: str, x: float) -> str:
    if what == HUMIDITY:
        return "" if abs(x) < SMALL_POINTS else f"{wording.points(x)} {'damper' if x > 0.0 else 'drier'}"
    return "" if abs(x) < SMALL_K else f"{quantity('K', '.1f', abs(x))} {'warmer' if x > 0.0 else 'colder'}"


def _would_show(found: FoundInLog) -> str:
    """The smallest lasting change of the humidity that would have been seen from the middle of such a log on."""
    if np.isnan(found.change.shows_points):
        return ""
    return f" A lasting change of {max(LEAST[HUMIDITY], np.ceil(found.change.shows_points)):.0f} points would show."


def _look(found: FoundInLog) -> str:
    if not found.change.is_one:
        return ""
    near = [one for one in found.causes[:FIRST] if one.share >= 0.05]
    if not near:
        return "None of the causes looked at explains it: look at everything, and at the diary of that day."
    parts = [f"({n}) {one.cause.words}: {ended(one.cause.look)}" for n, one in enumerate(near, 1)]
    return f"Look first: {' '.join(parts)}"


def _sure(found: FoundInLog) -> str:
    if not found.level.goes:
        return f"fewer than {1000.0 * SELDOM:.0f} in 1000 boxes so described, with errors of sensor and model, would read so."
    if not found.change.is_one:
        return f"in {100.0 * (1.0 - ALARMS_A_MONTH):.0f} of 100 months in which nothing changes, none is found."
    if not found.causes or found.causes[0].share <= 0.0:
        return ""
    return f"if one of the causes looked at holds, it is the first in {100.0 * found.causes[0].share:.0f} of 100 cases."


def _cause(found: FoundInLog, one: Explained) -> str:
    free = one.cause.key.startswith(("sensor humidity", "sensor temperature"))
    makes = "by any amount" if free else f"it would then read {size_words(found, one.makes)}"
    return f"{one.cause.words[:1].upper()}{one.cause.words[1:]} ({100.0 * one.share:.0f} of 100): {makes}. To tell: {ended(one.cause.look)}"


def _not_told(found: FoundInLog) -> str:
    if not found.alike:
        return ""
    names = "; ".join(one.cause.words for one in found.alike[:6])
    return f"The log cannot tell from the first cause: {names}. A look at the box does."


def _table(found: FoundInLog) -> list[Statement]:
    """Every likely cause with its share and the step it makes in the first place logged."""
    rows = [one for one in found.causes if one.share >= SLIGHT][:MOST_ROWS]
    if not rows:
        return []
    heading = f"{'cause':<46} {'of 100':>6}  {'% day':>6} {'night':>6}  {column(unit_word('K'), 6)} {'night':>6}"
    lines = [f"{cut(one.cause.words, 46):<46} {100.0 * one.share:>6.0f}  {_cells(found, one.makes)}" for one in rows]
    lines.append(f"{'the log itself':<46} {'':>6}  {_cells(found, found.change.size)}")
    return state(
        Kind.TABLE, "Causes, how likely each is among them, and the change that each makes by day and by night, humidity [points] and temperature:",
        under=(heading, *lines), views=View.ALL,
    )  # fmt: skip


def _cells(found: FoundInLog, size: np.ndarray) -> str:
    place = found.model.channels[0].place
    cells = {one.quantity: size[2 * c : 2 * c + 2] for c, one in enumerate(found.model.channels) if one.place == place}
    nothing = np.full(2, np.nan)
    humid, warm = cells.get("humidity", nothing), cells.get("temperature", nothing)
    told = [f"{x:>+6.1f}" if np.isfinite(x) else f"{'-':>6}" for x in humid]
    told += [column(quantity("K", ".1f", float(x), bare=True), 6) if np.isfinite(x) else f"{'-':>6}" for x in warm]
    return f"{told[0]} {told[1]}  {told[2]} {told[3]}"


def log_reason(found: FoundInLog) -> str:
    """Why, in a few sentences."""
    change, model = found.change, found.model
    where = (
        "the room as its sensor logged it" if model.room_logged else "the room as described, with weather of its own"
    )
    times = lambda part, limit: f"{part / limit:.1f} times"  # noqa: E731
    return (
        f"{model.runs.size} boxes that fit this description were run through these days in {where}, and the log was compared with them in "
        f"means of six hours. A change counts where it is larger than sound logs of this length seldom show by chance: the largest found "
        f"is {times(change.statistic, change.limit)} that. The level before it may lie as far off as sound logs seldom do: it is "
        f"{times(found.level.statistic, found.level.limit)} that."
    )


def log_taken_for_granted(found: FoundInLog) -> tuple[str, ...]:
    """What is taken for granted."""
    least = f"{quantity('K', '.1f', LEAST_K)} or {LEAST[HUMIDITY]:.0f} points"
    out = [
        "How sensors and models err in a sound box is a choice (an offset, what repeats daily, what fades in a day, each mean alone); "
        "on real boxes it has not been tried.",
        f"A change is a step: a slow drift is found late. One of less than {least} is not reported.",
        "How often each cause is met is a guess, common practice without a source; it decides only where the log does not.",
    ]
    if not found.model.room_logged:
        out.append("No sensor logged the room: log it too, and far smaller changes are seen.")
    return tuple(out)


def _left_out(found: FoundInLog) -> Sequence[str]:
    return [f"Could not be run: {'; '.join(found.failed)}."] if found.failed else []
