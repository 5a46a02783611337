"""The week's plan: what is done on which day, in ml and minutes, to be stuck to the box."""

from __future__ import annotations

from dataclasses import dataclass

from terralab.answers.answer import Answer
from terralab.answers.balance import MORNING_S, kept_dry
from terralab.answers.words import ml
from terralab.describe.box import Box
from terralab.describe.timer import Control, Timer
from terralab.units import DAY_S, clock, plain

WEEK = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
LONG_MIN = 120.0  # minutes a day from which hours are easier to read


@dataclass(frozen=True)
class Chore:
    """One line of the plan: what, when, and what each of the seven days has, from Monday ("" for nothing)."""

    what: str
    when: str
    days: tuple[str, ...]


def week_plan(box: Box, water: Answer, drainage: Answer | None, soak: Answer | None = None) -> tuple[Chore, ...]:
    """The week of `box` with the daily pour of `water`, its routine as described, and the siphoning of `drainage`.

    What is done every few days starts on Monday. What comes less than once a week has its words in place of a day. The
    warnings that the answers begin with come first, and for dry soil that is to be moist the first `soak`.
    """
    out = [Chore("First of all", warning, ("see to it",) * 7) for warning in water.first]
    if soak is not None and box.start.soil == "dry" and not kept_dry(box):
        portions = soak.window["portions"]
        out.append(
            Chore(
                "First day, once: soak",
                f"{ml(1000.0 * soak.value)} in {portions} portions",
                (ml(1000.0 * soak.value),) + ("",) * 6,
            )
        )
    out += _pours(box, water)
    for pour in box.routine.pours:
        if pour.into == "drainage":
            out.append(_watering("Pour into the drainage layer", pour.time_s, pour.amount_ml, pour.every_days))
    for spray in box.routine.sprays:
        out.append(_watering("Spray by hand", spray.time_s, spray.amount_ml, spray.every_days))
    for mist in box.routine.mists:
        minutes = mist.timer.on_s / 60.0
        each = f"{_minutes(minutes)}, {ml(minutes * mist.flow_ml_min)}"
        out.append(Chore(f"Mister: {mist.name}", _timer(mist.timer, mist.control), _daily(each, mist.control)))
    for device, kind in (
        *((fan, "Fan") for fan in box.routine.fans),
        *((lamp, "Lamp") for lamp in box.routine.lamps),
        *((heater, "Heater") for heater in box.routine.heaters),
    ):
        each = _minutes(device.timer.on_s / 60.0)
        out.append(Chore(f"{kind}: {device.name}", _timer(device.timer, device.control), _daily(each, device.control)))
    if box.enclosure.dish is not None:
        out.append(Chore("Water dish", "with the watering", ("fill up",) * 7))
    if box.enclosure.drainage is not None:
        out.append(_siphoning(drainage))
    return tuple(out)


def _pours(box: Box, water: Answer) -> list[Chore]:
    soil = [pour for pour in box.routine.pours if pour.into == "soil"]
    at = clock(soil[0].time_s if soil else MORNING_S)
    amounts = {
        "Pour on the soil": water.value,
        "in winter, pour instead": water.seasons["winter"]["value"],
        "in summer, pour instead": water.seasons["summer"]["value"],
    }
    if max(amounts.values()) < 0.5:
        return [Chore("Pour on the soil", "never", ("none",) * 7)]
    return [Chore(words, at, ((ml(value) if value >= 0.5 else "none"),) * 7) for words, value in amounts.items()]


def _watering(what: str, time_s: float, amount_ml: float, every: int) -> Chore:
    when = clock(time_s) + ("" if every == 1 else f", every {every} days")
    return Chore(what, when, tuple(ml(amount_ml) if day % every == 0 else "" for day in range(7)))


def _minutes(minutes: float) -> str:
    return f"{plain(minutes, 3)} min" if minutes < LONG_MIN else f"{plain(minutes / 60.0, 3)} h"


def _daily(each: str, control: Control | None) -> tuple[str, ...]:
    return (f"up to {each}" if control is not None else each,) * 7


def _timer(timer: Timer, control: Control | None) -> str:
    text = "all day" if timer.on_s == DAY_S else str(timer)
    return text if control is None else f"{text}, {control.senses} {control}"


def _siphoning(drainage: Answer | None) -> Chore:
    """Once a week somebody looks at the water below."""
    look = ("",) * 6 + ("look",)
    if drainage is None or not drainage.window or drainage.window["too_thin"]:
        return Chore("Water below the mesh", "siphon before it reaches the mesh", look)
    plan = drainage.window
    return Chore(
        "Water below the mesh",
        f"siphon {plan['litres']:.1f} l when less than {plan['when_gap_below_cm']:.1f} cm are left under the mesh",
        look,
    )
