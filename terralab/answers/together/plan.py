"""The week's plan: what is done on which day, in ml and minutes, to be stuck to the box."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from terralab.answers.common.answer import Answer
from terralab.answers.common.at_the_lid import hours_for_spraying
from terralab.answers.common.balance import MORNING_S, kept_dry
from terralab.answers.common.heat_remedies import set_otherwise, set_too_high
from terralab.answers.common.recommended import described_ml, described_words
from terralab.answers.common.rounding import jug
from terralab.answers.common.statement import Kind
from terralab.answers.common.words import as_typed, ml
from terralab.answers.drainage.words import too_thin_words
from terralab.answers.fans.choice import first_lid
from terralab.answers.fans.lid_words import first_lid_words
from terralab.answers.soak.words import portions_words
from terralab.answers.water.misted import given_words
from terralab.answers.water.words import first_drain
from terralab.describe.box import Box
from terralab.describe.hot import hot_in_words
from terralab.describe.routine import Fan, Heater, Lamp, Mist
from terralab.describe.timer import Control, Timer
from terralab.describe.wanted import temperatures_wanted, typed
from terralab.quantities import as_typed as typed_mark
from terralab.quantities import finished, quantity
from terralab.units import DAY_S, clock, plain

WEEK = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SOAK = "First day, once: soak"
LONG_MIN = 120.0  # minutes a day from which hours are easier to read


class Part(StrEnum):
    """Where a line of the plan belongs: before all else, once, in a season, by hand day by day, or left to a timer."""

    FIRST = "first of all"
    LATER = "before another season"
    ONCE = "once"
    SEASON = "in another season"
    HAND = "by hand"
    TIMER = "by a timer"


@dataclass(frozen=True)
class Chore:
    """One line of the plan: what, when, and what each of the seven days has, from Monday ("" for nothing).

    Texts that were given with marks read as metric words and keep the marks (see `terralab.quantities.Text`).
    """

    what: str
    when: str
    days: tuple[str, ...]
    part: Part = Part.HAND

    def __post_init__(self) -> None:
        for name in ("what", "when", "days"):
            object.__setattr__(self, name, finished(getattr(self, name)))


def first_of_all(answers: Iterable[Answer | None]) -> tuple[str, ...]:
    """What comes before all else, of some answers about a box: what they begin with about now, then a place that is too hot or
    too cold, then soil or a layer that is too wet for any pour.
    """
    given = [answer for answer in answers if answer is not None]
    now = next((answer.first[: answer.heat.get("first_now")] for answer in given), ())
    hot = next((found for answer in given if (found := answer.of_kind(Kind.HOT_PLACE))), ())
    wet = next((f"{wait}." for answer in given if (wait := first_drain(answer))), "")
    return (*now, *(one.text for one in hot), *((wet,) if wet else ()))


def before_a_season(answers: Iterable[Answer | None]) -> tuple[str, ...]:
    """What the same answers begin with about winter and summer: it is dealt with before then, and is no work of this week."""
    first = next((answer for answer in answers if answer is not None), None)
    return () if first is None else first.first[first.heat.get("first_now", len(first.first)) :]


def week_plan(
    box: Box,
    pours: Mapping[str, float] | None,
    drainage: Answer | None,
    fans: Sequence[Fan] | None = None,
    given_ml: float | None = None,
    *,
    soak: Answer | None = None,
    first: Sequence[str] = (),
    later: Sequence[str] = (),
    drained_first: bool = False,
    heat: Mapping[str, Any] | None = None,
    lid: str = "",
) -> tuple[Chore, ...]:
    """The week of `box` with what is recommended: the daily pour by season [ml], the fans, the siphoning of `drainage`.

    `pours`: None where they could not be computed, and the plan says so. `fans`: the recommended ones, None for those
    described; a described fan that is not among them is to be switched off. `lid`: what is to be done with lid or vents first
    (`lid_order`). `heat`: that of an answer; what its warning says of a lamp or heater stands in the line of that device. All
    else is as described. `given_ml`: what a run shows to be sprayed and misted a day. What is done every few days starts on
    Monday. What comes less than once a week has its words in place of a day. `first`: the warnings that the answers begin
    with; they come first, and for dry soil that is to be moist the first `soak`. `later`: those on winter and summer, which are no work of
    this week. `drained_first`: it is too wet for any pour
    yet, so that pours come later.
    """
    once = lambda what, when, day: Chore(what, when, (day,) + ("",) * 6, Part.ONCE)  # noqa: E731
    out = [Chore("First of all", warning, ("see to it",) * 7, Part.FIRST) for warning in first]
    if soak is not None and soak.value and box.start.soil == "dry" and not kept_dry(box) and not drained_first:
        litres = ml(1000.0 * soak.value)
        siphon = ", with a look at the water below after each" if box.enclosure.drainage is not None else ""
        when = f"animals out first; {litres} {portions_words(soak.window)}, all over the soil{siphon}"
        if soak.details["warmth_first"]:
            when = f"{soak.details['warmth_first']} Then {when}"
        out.append(once(SOAK, when, litres))
    if lid:
        out.append(once("Lid", f"{lid}; then ask again, since the pour changes with it", "see to it"))
    blown = box.routine.fans if fans is None else tuple(fans)
    for fan in box.routine.fans:
        if fan.name not in {one.name for one in blown}:
            out.append(Chore(f"Fan: {fan.name}", "leave it off", ("off",) * 7, Part.ONCE))
    out += _pours(box, pours, drained_first)
    for pour in box.routine.pours:
        if pour.into == "drainage":
            out.append(_watering("Pour into the drainage layer", clock(pour.time_s), pour.amount_ml, pour.every_days))
    for spray in box.routine.sprays:
        out.append(_watering("Spray by hand", _not_on_hot_glass(box, spray.time_s), spray.amount_ml, spray.every_days))
    out += _kept_up(box)
    if box.enclosure.drainage is not None:
        out.append(_siphoning(drainage))
    for mist in box.routine.mists:
        each = f"{_daily(_minutes(mist.timer.on_s / 60.0), mist.control)[0]}, {given_words(box, mist, given_ml)}"
        out.append(Chore(f"Mister: {mist.name}", _all_year(mist), (each,) * 7, Part.TIMER))
    devices = _devices(box, blown, {} if heat is None else set_otherwise(box, heat))
    return (*out, *devices, *(Chore("Before another season", warning, ("",) * 7, Part.LATER) for warning in later))


def _devices(box: Box, fans: Sequence[Fan], otherwise: Mapping[str, str]) -> list[Chore]:
    """What runs by a timer; what is to be set `otherwise` than described has that order, and no hours to go on with."""
    out = []
    for kind, devices in (("Fan", fans), ("Lamp", box.routine.lamps), ("Heater", box.routine.heaters)):
        for device in devices:
            when = _heated(box, device) if kind == "Heater" else _all_year(device)
            days = _daily(_minutes(device.timer.on_s / 60.0), device.control)
            if order := otherwise.get(device.name):
                when, days = f"{order}; described: {_timer(device.timer, device.control)}", ("see to it",) * 7
            out.append(Chore(f"{kind}: {device.name}", when, days, Part.TIMER))
    return out


def _kept_up(box: Box) -> list[Chore]:
    """What is wetted or filled beside the watering."""
    out = []
    if box.enclosure.hide is not None and box.enclosure.hide.floor == "damp moss":
        out.append(Chore("Moss in the hide", "with the watering", ("wet it through",) * 7))
    dish = box.enclosure.dish
    if dish is not None and isinstance(dish.refill_days, int):
        out.append(
            Chore("Water dish", f"with the watering{_rhythm(dish.refill_days)}", _every(dish.refill_days, "fill up"))
        )
    for mist in box.routine.mists:
        if mist.refill_days is not None:
            out.append(
                Chore(f"Tank of {mist.name}", f"09:00{_rhythm(mist.refill_days)}", _every(mist.refill_days, "fill up"))
            )
    return out


def _every(days: int, what: str) -> tuple[str, ...]:
    return tuple(what if day % days == 0 else "" for day in range(7))


def _rhythm(every: int) -> str:
    """How often, and on which day it comes next after this week, since a week need not hold a whole number of its turns.

    >>> _rhythm(2), _rhythm(7)
    (', every 2 days (after this week: Tuesday)', ', every Monday')
    """
    if every == 1:
        return ""
    after = -(-7 // every) * every  # days from this Monday to its first turn that this week does not hold
    weeks, day = divmod(after, 7)
    if day == 0 and every == 7:
        return f", every {WEEK[0]}"
    when = WEEK[day] if weeks == 1 else f"{WEEK[day]} in {weeks} weeks"
    return f", every {every} days (after this week: {when})"


def lid_order(box: Box, blown: Answer | None) -> str:
    """What the fan answer `blown` wants done with lid or vents before anything, as an order; "" where nothing."""
    if blown is None or blown.reachable is not False or blown.heat["too_hot"] or blown.heat["dangerous"]:
        return ""
    d = blown.details
    if d["blocked"]:
        return "open a vent or part of the lid" if d["gap_points"] > 0.0 and not d["opening_refused"] else ""
    lid = first_lid(d["covers"], d["gap_points"])
    if lid is None:
        return ""
    order = first_lid_words(box, lid, d["gap_points"], fan=lid["fan"] != d["choice"])
    return f"{order}{', step by step' if d['gap_points'] < 0.0 else ''}"


def changes(
    box: Box, pours: Mapping[str, float], fans: Sequence[Fan] | None, kept_ml: float | None = None
) -> tuple[str, ...]:
    """What the plan does otherwise than the routine of the description, a sentence each; empty where nothing.

    `kept_ml`: the pour that would be recommended with the fans as described, where that is another.
    """
    out = []
    today = jug(described_ml(box))
    if jug(pours["now"]) != today:
        poured = lambda amount: ml(amount) + " a day" if amount else "nothing"  # noqa: E731
        out.append(
            f"Pour {poured(pours['now'])}; the routine as described pours {described_words(box) + ' a day' if today else 'nothing'}."
        )
    if fans is None or tuple(fans) == box.routine.fans:
        return finished(tuple(out))
    new = " and ".join(f"{fan.name}, {_timer(fan.timer, fan.control)}" for fan in fans)
    old = " and ".join(f"{fan.name}, {_timer(fan.timer, fan.control)}" for fan in box.routine.fans)
    out.append(f"{f'Run the fan: {new}' if new else 'Run no fan'}; today: {old or 'no fan'}.")
    if kept_ml is not None and jug(kept_ml) != jug(pours["now"]):
        kept = "With the fans as today" if old else "Without a fan"
        out.append(f"{kept} pour {ml(kept_ml)} a day instead.")
    return finished(tuple(out))


def _pours(box: Box, pours: Mapping[str, float] | None, drained_first: bool) -> list[Chore]:
    if pours is None:
        return [Chore("Pour on the soil", "could not be computed: feel the soil", ("?",) * 7)]
    soil = [pour for pour in box.routine.pours if pour.into == "soil"]
    at = clock(soil[0].time_s if soil else MORNING_S)
    amounts = {
        "Pour on the soil": pours["now"],
        "in winter, pour instead": pours["winter"],
        "in summer, pour instead": pours["summer"],
    }
    if max(amounts.values()) < 0.5:
        return [Chore("Pour on the soil", "never", ("none",) * 7)]
    at = f"once it has drained, {at}" if drained_first else at
    return [
        Chore(words, at, ((ml(value) if value >= 0.5 else "none"),) * 7, Part.SEASON if season else Part.HAND)
        for season, (words, value) in enumerate(amounts.items())
    ]


def _watering(what: str, at: str, amount_ml: float, every: int) -> Chore:
    return Chore(what, f"{at}{_rhythm(every)}", _every(every, as_typed(amount_ml)))


def _not_on_hot_glass(box: Box, time_s: float) -> str:
    """The time of a spray; where a hot lamp or heater is near then, that it waits until that is off and cold."""
    if hours_for_spraying(box, (time_s / 3600.0,)):
        return clock(time_s)
    return f"once {hot_in_words(box)} is off and cold (described: {clock(time_s)})"


def _minutes(minutes: float) -> str:
    return f"{plain(minutes, 3)} min" if minutes < LONG_MIN else f"{plain(minutes / 60.0, 3)} h"


def _daily(each: str, control: Control | None) -> tuple[str, ...]:
    return (f"up to {each}" if control is not None else each,) * 7


def _timer(timer: Timer, control: Control | None) -> str:
    text = "all day" if timer.on_s == DAY_S else str(timer)
    if control is None:
        return text
    unit = ("humidity", "%") if control.senses == "humidity" else ("temperature", "C")
    return f"{text}, {control.senses} {control.switches_on} {typed_mark(*unit, control.set_point)}"


def _all_year(device: Fan | Lamp | Heater | Mist) -> str:
    """The timer of a device, and that of winter and summer where it has one."""
    seasons = {"winter": device.timer_winter, "summer": device.timer_summer}
    others = [f"in {season} {_timer(timer, None)}" for season, timer in seasons.items() if timer is not None]
    return "; ".join([_timer(device.timer, device.control), *others])


def _heated(box: Box, heater: Heater) -> str:
    """When a heater works; a thermostat set too high is not passed on, the most that is wanted stands in its place."""
    wanted, control = temperatures_wanted(box), heater.control
    if wanted is None or control is None or not set_too_high(control, wanted):
        return _all_year(heater)
    most, yours = typed(wanted.day_high), typed(control.set_point)
    return f"{_timer(heater.timer, None)}, thermostat at {most} at most (yours says {yours})"


def _siphoning(drainage: Answer | None) -> Chore:
    """Once a week somebody looks at the water below."""
    look = ("",) * 6 + ("look",)
    if drainage is None or not drainage.window:
        return Chore("Water below the mesh", "siphon before it reaches the mesh", look)
    plan = drainage.window
    if plan["too_thin"]:
        return Chore("Water below the mesh", too_thin_words(plan), look)
    return Chore(
        "Water below the mesh",
        f"siphon {quantity('l', '.1f', plan['litres'])} when less than {quantity('cm', '.1f', plan['when_gap_below_cm'])} are left "
        "under the mesh",
        look,
    )
