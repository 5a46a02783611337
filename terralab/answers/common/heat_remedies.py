"""What makes a box cooler or warmer: the steps that the warnings name, and what they ask of each device.

The warnings themselves are put together in `heat_words`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.temperature import Heat, degrees
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words, is_hot
from terralab.describe.routine import Heater
from terralab.describe.seasons import room_of
from terralab.describe.timer import Control
from terralab.describe.wanted import Temperatures, temperatures_wanted, typed
from terralab.units import DAY_S

_NIGHT_S = 3 * 3600.0


def cooler(box: Box, heat: Heat, season: str) -> str:
    """What takes heat out, in one line."""
    return "; ".join([*_at_night(box, heat), *steps(box, heat.wanted, season)] or [_last_step(box)])


def _at_night(box: Box, heat: Heat) -> list[str]:
    """What a heater is to do by night where only the nights are too hot: a lamp that is off then is no cause of them."""
    w = heat.wanted
    return [f'let "{heater.name}" {_rest(w)}' for heater in _by_night(box, w, heat.day["high"], heat.night["high"])]


def _rest(w: Temperatures) -> str:
    return f"rest by night, or switch off at {typed(w.night_high)} then"


def _by_night(box: Box, w: Temperatures, day_high: float, night_high: float) -> list[Heater]:
    """The heaters that make the nights too hot, where the days are not."""
    if day_high > w.day_high or night_high <= w.night_high:
        return []
    target = target_of(box)[0]
    day = (target.day_from_s, target.day_to_s) if target is not None else (8 * 3600.0, 20 * 3600.0)
    night = [hour for hour in range(24) if not day[0] <= 3600.0 * hour < day[1]]
    return [
        heater
        for heater in box.routine.heaters
        if heater.power_w > 0.0
        and (heater.control is None or heater.control.senses != "temperature" or heater.control.off_at > w.night_high)
        and any(heater.timer.runs_at(3600.0 * hour) for hour in night)
    ]


def _last_step(box: Box) -> str:
    if not box.enclosure.openings:
        return "open it, shade the glass from the sun and cool the room"
    return "give it a larger opening, shade the glass from the sun and cool the room"


def _room_too_warm(box: Box, w: Temperatures, season: str) -> bool:
    warmth = room_of(box, season).temperature
    return warmth.range()[1] > w.day_high or float(warmth.at(_NIGHT_S)) > w.night_high


def quickest(box: Box, heat: Heat, season: str) -> str:
    """The first of what takes heat out in a few words, for the short screen."""
    w = heat.wanted
    if by_night := _at_night(box, heat):
        return by_night[0]
    lamp = next((lamp.name for lamp in box.routine.lamps if is_hot(lamp)), "")
    heater = next((heater.name for heater in box.routine.heaters if heater.power_w > 0.0), "")
    if box.room.sun is not None and box.room.sun.shines_in(season):
        return "shade the box from the sun"
    if _room_too_warm(box, w, season):
        return "cool the room"
    if lamp or heater:
        return f'turn "{lamp or heater}" down or off'
    return "open the box further" if box.enclosure.openings else "open the box"


def steps(box: Box, w: Temperatures, season: str) -> list[str]:
    """What takes heat out: the room first where that is hotter than wanted, then the safe and quick first."""
    found = []
    if _room_too_warm(box, w, season):
        room = room_of(box, season).temperature.range()[1]
        found.append(
            f"cool the room, which has up to {degrees(room)} itself; no vent, fan or water keeps a box much cooler"
        )
    if box.room.sun is not None and box.room.sun.shines_in(season):
        found.append("shade the box in the hours in which the sun is on it, or move it")
    lamps = [f'"{lamp.name}"' for lamp in box.routine.lamps if is_hot(lamp)]
    if lamps:
        them = " and ".join(lamps)
        found.append(f"turn {them} down or off, or take a weaker lamp; it may also hang higher or burn for fewer hours")
    for heater in (heater for heater in box.routine.heaters if heater.power_w > 0.0):
        control = heater.control
        if control is None or control.senses != "temperature":
            found.append(f'turn the heater "{heater.name}" down and give it a thermostat')
        elif set_too_high(control, w):
            found.append(f'set the thermostat of "{heater.name}" to {typed(w.day_high)} at most')
    if any(o.wall == "lid" and o.covered > 0.0 for o in box.enclosure.openings):
        found.append("take the cover off the lid")
    elif any(o.covered > 0.0 for o in box.enclosure.openings):
        found.append("open the covered vents")
    return found


def set_otherwise(box: Box, heat: Mapping[str, Any]) -> dict[str, str]:
    """What the warnings of heat or cold in the room as described say of single devices: the order, by the name of the device.

    `heat` is that of an `Answer`. So a plan does not go on with what its own first line forbids.
    """
    w = temperatures_wanted(box)
    out: dict[str, str] = {}
    if w is None:
        return out
    if heat["too_hot"]:
        for heater in _by_night(box, w, heat["air_day"]["high"], heat["air_night"]["high"]):
            out[heater.name] = _rest(w)
        for device in (*box.routine.lamps, *box.routine.heaters):
            control = device.control
            if device.name not in out and (
                is_hot(device)
                if device in box.routine.lamps
                else device.power_w > 0.0 and (control is None or control.senses != "temperature")
            ):
                out[device.name] = "turn it down or off until it is cool enough"
    elif heat["too_cold"]:
        for heater in box.routine.heaters:
            if heater.control is not None and heater.control.senses == "temperature":
                reached = max(heat["air_day"]["high"], heat["air_night"]["high"]) >= heater.control.on_at
                raised = f"raise its thermostat, {typed(w.day_high)} at most, or let it work for more hours"
                out[heater.name] = raised if reached else "it is too weak to reach its set point: see first of all"
    return out


def set_too_high(control: Control, w: Temperatures) -> bool:
    """True for a heater's thermostat that lets it heat past what is wanted by day, or that works the wrong way round."""
    return control.senses == "temperature" and (control.off_at > w.day_high or control.switches_on == "above")


def warmer(box: Box, heat: Heat, season: str) -> str:
    """What brings warmth, as a sentence, and what may not be done for it."""
    w, found = heat.wanted, []
    for heater in box.routine.heaters:
        if heater.control is not None and heater.control.senses == "temperature":
            found.append(_stronger(heater, w, heat.highest("air")))
    room = room_of(box, season).temperature.range()[0]
    if room < max(w.day_low, w.night_low):
        found.append(f"warm the room, which falls to {degrees(room)}")
    if not box.routine.heaters:
        found.append("or add a heater with a guard and a thermostat, as its maker and an electrician tell you")
    if not found:
        found.append("warm the room, or let the heater work for more hours with its thermostat")
    never = f" Never cover the lid where there is {hot_words(box)}." if hot_at_lid(box) else ""
    return f"What helps: {'; '.join(found)}.{never}"


def _stronger(heater: Heater, w: Temperatures, highest_c: float) -> str:
    """What makes a heater with a thermostat warm more; one that never reaches its set point is helped by no higher one."""
    name, most = f'"{heater.name}"', typed(w.day_high)
    if highest_c >= heater.control.on_at:
        return f"raise the thermostat of {name} or let it work for more hours, {most} at most"
    if heater.timer.on_s < DAY_S:
        return f"let {name} work for more hours: it does not reach its set point, and a higher one would not help"
    return f"{name} never reaches its set point: take a stronger one, as maker and electrician tell you, {most} at most"
