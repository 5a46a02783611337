"""Which timer a device has in a season, and when it runs if that hangs on another device."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from terralab.describe.timer import Timer
from terralab.errors import Problem, advice, quoted

if TYPE_CHECKING:
    from terralab.describe.routine import Fan, Heater, Lamp, Mist, Routine

    Device = Mist | Lamp | Heater | Fan

KINDS = ("mists", "lamps", "heaters", "fans")
Period = tuple[float, float]
_OTHER = {"winter": "timer_winter", "summer": "timer_summer"}


def in_season(routine: Routine, season: str) -> Routine:
    """Return the routine with the timers of a season, "now", "winter" or "summer", in the place of `timer`."""
    if not has_seasons(routine):
        return routine
    changed = {}
    for kind in KINDS:
        changed[kind] = tuple(
            replace(one, timer=timer_of(one, season), timer_winter=None, timer_summer=None)
            for one in getattr(routine, kind)
        )
    return replace(routine, **changed)


def timer_of(device: Device, season: str) -> Timer:
    """Return the timer of a device in a season: the season's own where there is one."""
    own = getattr(device, _OTHER[season]) if season in _OTHER else None
    return device.timer if own is None else own


def has_seasons(routine: Routine) -> bool:
    """True where any device has a timer for a season."""
    return any(
        one.timer_winter is not None or one.timer_summer is not None for kind in KINDS for one in getattr(routine, kind)
    )


def hung(routine: Routine) -> tuple[dict[str, tuple[Device, ...]], list[Problem]]:
    """Return the devices whose timers hang on others, knowing when they run, by kind, and what is wrong with them."""
    every = [(kind, one) for kind in KINDS for one in getattr(routine, kind)]
    problems: list[Problem] = []
    found: dict[int, Timer] = {}

    def periods_of(kind: str, one: Device, asked: tuple[str, ...]) -> tuple[Period, ...]:
        if not one.timer.hangs_on:
            return one.timer.periods_s()
        if id(one) not in found:
            found[id(one)] = one.timer.hung_on(lambda name: other(kind, one, name, (*asked, one.name)))
        return found[id(one)].periods_s()

    def other(kind: str, one: Device, name: str, asked: tuple[str, ...]) -> tuple[Period, ...]:
        there = [(k, d) for k, d in every if d.name == name]
        place = f"{kind}.{one.name}.timer"
        if len(there) != 1:
            names = [d.name for _, d in every if d is not one]
            given = f"given {quoted(name)}" + (", the name of two devices" if there else "")
            hint = "Rename one of them." if there else advice(name, names) if names else "Add that device first."
            problems.append(routine.problem(place, given, "the name of another device of this box", hint))
        elif there[0][1].timer.is_log:
            given = f"given {quoted(name)}, which runs by a log"
            problems.append(
                routine.problem(place, given, "a device that runs by the clock", "Give this one a log too.")
            )
        elif name in asked:
            given = f"given {quoted(name)}, which waits for this one"
            problems.append(routine.problem(place, given, "a device that runs by the clock", "Give one of them hours."))
        else:
            return periods_of(*there[0], asked)
        return ()

    changed: dict[str, tuple[Device, ...]] = {}
    for kind, one in every:
        if one.timer.hangs_on:
            periods_of(kind, one, ())
    for kind in KINDS:
        devices: Iterable[Device] = getattr(routine, kind)
        changed[kind] = tuple(replace(d, timer=found[id(d)]) if id(d) in found else d for d in devices)
    return changed, problems
