"""A room or a device that was logged for days: every question is asked in its mean day, so that the whole log counts.

A question looks for what is usual. Most run a box for a week or two and look at the last day; of a log they would see
that one day's weather and nothing of the rest. So the log becomes its mean day, half hour by half hour of the clock:
the mean temperature, and the humidity of the mean vapour pressure. Of a device it is the mean load in each quarter of an
hour. `simulate` runs a log as it stands.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from typing import TypeVar

from terralab.answers.common.answer import Answer
from terralab.describe.box import Box
from terralab.describe.device_log import MEAN_STEP_S
from terralab.describe.device_log import mean_day as mean_loads
from terralab.describe.mean_room import DAY_H, logged_span, mean_day, too_short
from terralab.describe.part import cautions_told
from terralab.describe.room import RoomState
from terralab.describe.routine import Routine
from terralab.describe.timer import Timer
from terralab.describe.timing import KINDS
from terralab.errors import TerralabWarning
from terralab.units import HOUR_S

Asked = TypeVar("Asked", bound=Callable)


def in_typical_room(question: Asked) -> Asked:
    """Decorate a question that takes a box first: it is asked in the mean day of each room that was logged.

    Then a TerralabWarning says so, as do the assumptions of an Answer. Raises DescriptionError for a log of less than
    a day.
    """

    @wraps(question)
    def asked(box: Box, *args: object, **more: object) -> object:
        if not isinstance(box, Box):
            return question(box, *args, **more)
        usual, words = typical_room(box)
        if not words:
            return question(box, *args, **more)
        if cautions_told():
            warnings.warn(words, TerralabWarning, stacklevel=2)
        found = question(usual, *args, **more)
        return replace(found, assumptions=(*found.assumptions, words)) if isinstance(found, Answer) else found

    return asked


def typical_room(box: Box) -> tuple[Box, str]:
    """The box in the mean day of each of its rooms and devices that was logged, and words that say so; empty where none was."""
    rooms, days = {}, []
    for season in ("now", "winter", "summer"):
        state = getattr(box.room, season)
        if state is not None and (span := logged_span(state, season)) is not None:
            rooms[season] = mean_day(state, *span)
            days.append(_days_of(state, span) + ("" if season == "now" else f" in {season}"))
    words = (
        [f"The room was logged for {' and '.join(days)}: the answer takes the mean day of the whole log."]
        if rooms
        else []
    )
    devices, names = _typical_devices(box.routine)
    if devices:
        whose = "its mean day" if len(names) == 1 else "their mean day"
        words.append(
            f"The answer takes {' and '.join(names)} in {whose}, with a part of the load where that changes from day to day."
        )
        box = replace(box, routine=replace(box.routine, **devices))
    return (replace(box, room=replace(box.room, **rooms)) if rooms else box), " ".join(words)


def _days_of(state: RoomState, span: tuple[float, float]) -> str:
    """How long a room was logged, with what is left out because only one of two logs has it."""
    held = f"{(span[1] - span[0]) / DAY_H:.3g} days"
    spans = [logged for name in ("temperature", "humidity") if (logged := getattr(state, name).logged_h) is not None]
    longest = max(last - first for first, last in spans)
    if longest - (span[1] - span[0]) < 1.0:
        return held
    return f"{held} in which temperature and humidity both were ({longest / DAY_H:.3g} days of one of them)"


def _typical_devices(routine: Routine) -> tuple[dict[str, tuple], list[str]]:
    """The devices of a routine with their logs made mean days, by kind, and what was logged in words."""
    changed: dict[str, tuple] = {}
    names: list[str] = []
    for kind in KINDS:
        devices = []
        for device in getattr(routine, kind):
            new = {}
            for key in ("timer", "timer_winter", "timer_summer"):
                timer = getattr(device, key)
                if timer is not None and timer.is_log and timer.hours[-1] - timer.hours[0] != DAY_H:
                    new[key] = _mean_timer(timer, f"routine.{kind}.{device.name}.{key}")
                    names.append(f'the log of "{device.name}" ({(timer.hours[-1] - timer.hours[0]) / DAY_H:.3g} days)')
            devices.append(replace(device, **new) if new else device)
        if any(one is not two for one, two in zip(devices, getattr(routine, kind), strict=True)):
            changed[kind] = tuple(devices)
    return changed, names


def _mean_timer(timer: Timer, place: str) -> Timer:
    if timer.hours[-1] - timer.hours[0] < DAY_H:
        raise too_short(place, timer.hours[-1] - timer.hours[0], "")
    loads = mean_loads(timer.hours, timer.loads)
    begins = [n for n, load in enumerate(loads) if n == 0 or load != loads[n - 1]]
    hours = [n * MEAN_STEP_S / HOUR_S for n in begins]
    return Timer.logged([*hours, DAY_H], [*(loads[n] for n in begins), loads[0]], repeat=True)
