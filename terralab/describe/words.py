"""Say a description in plain English, so that a keeper can check it against the real box."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from terralab.describe.learned import learned_words
from terralab.describe.plant_words import ground_words, lamp_reading, light_words, plant_words
from terralab.describe.start import start_words
from terralab.describe.system import speaks_us
from terralab.describe.timer import Control, Timer, hours_text
from terralab.describe.wanted import humidity_wanted, soil_reason, soil_wanted, temperatures_wanted
from terralab.materials.recipe import spoken
from terralab.measured import Measured, span, with_unit
from terralab.quantities import said
from terralab.units import DAY_S, clock, convert, plain

if TYPE_CHECKING:
    from terralab.describe.background import Background
    from terralab.describe.basking import Basking
    from terralab.describe.box import Box
    from terralab.describe.enclosure import Enclosure
    from terralab.describe.hide import Hide
    from terralab.describe.opening import Opening
    from terralab.describe.room import Room, RoomState
    from terralab.describe.routine import Door, Fan, Heater, Lamp, Mist, Routine, Siphon
    from terralab.describe.signal import Signal

_DRAUGHTS = {
    "calm": "Its air is calm about the box.",
    "usual": "Its air moves as in any lived-in room.",
    "draughty": "It is draughty about the box.",
}
_FLOORS = {"soil": "the soil of the box", "damp moss": "moss that is wetted every day", "dry": "dry"}


def describe(box: Box) -> str:
    """Return a few paragraphs that say what stands there, what surrounds it and what is done to it."""
    heading = f"{box.name}." + (f" Kept for: {box.group}." if box.group else "")
    if box.humidity_target:
        target = box.humidity_target
        heading += (
            f" Wanted humidity: {plain(target.day_low, 3)} to {plain(target.day_high, 3)} % by day "
            f"({target.day_from} to {target.day_to}), {plain(target.night_low, 3)} to "
            f"{plain(target.night_high, 3)} % by night."
        )
    paragraphs = [
        heading,
        _enclosure(box.enclosure, speaks_us(box)) + " " + start_words(box.start) + " " + _wanted(box),
        _room(box.room),
        _routine(box.routine, box.enclosure),
        said(learned_words(box), speaks_us(box)),
        box.note,
    ]
    return "\n\n".join(paragraph for paragraph in paragraphs if paragraph)


def _wanted(box: Box) -> str:
    """How the soil is to be kept, how damp and how warm the air should be; the soil now is said beside the glass."""
    soil = f"It is to be kept {soil_wanted(box)}, {soil_reason(box)}.{humidity_wanted(box)}"
    warm = temperatures_wanted(box)
    if warm is None:
        return soil
    words = said(warm.in_words(), speaks_us(box))
    return f"{soil} Wanted temperature: {words}."


def _enclosure(glass: Enclosure, us: bool) -> str:
    """What was typed is shown as typed; what follows from it is shown in US units where most was typed so."""
    sentences = [
        f"The glass is {_cm(glass.width_cm)} wide, {_cm(glass.front_to_back_cm)} from front to back and "
        f"{_cm(glass.height_cm)} high inside, {with_unit(glass.glass_mm, 'length', 'mm', 3)} thick.",
        f"From the top down it holds {_and(_layers(glass))}.",
        f"Above that are {_cm(glass.air_height_cm, us)} of air, {_litres(1000 * glass.air_volume_m3, us)}.",
        _floor(glass),
        f"Openings: {_and(_opening(opening) for opening in glass.openings)}."
        if glass.openings
        else "It has no openings but its gaps.",
    ]
    sentences += [*plant_words(glass, us), *ground_words(glass)]
    also = []
    if glass.wood_area_cm2:
        also.append(f"{_cm2(glass.wood_area_cm2)} of wood")
    if glass.background_area_cm2:
        also.append(f"{_cm2(glass.background_area_cm2)} of background")
    if glass.moss_on_wood_area_cm2:
        also.append(f"{_cm2(glass.moss_on_wood_area_cm2)} of moss on it")
    if glass.dish:
        on = f" on the {glass.dish.stands_on}" if glass.dish.stands_on else ""
        also.append(
            f"a water dish of {_cm2(glass.dish.area_cm2)}, {_cm(glass.dish.depth_cm)} deep{on}, {_topped(glass.dish.refill_days)}"
        )
    if glass.tube:
        also.append(f"a corner tube of {_cm(glass.tube.diameter_cm)}, {'capped' if glass.tube.capped else 'open'}")
    if also:
        sentences.append(f"Also in it: {_and(also)}.")
    sentences += _background(glass.background) + _hide(glass.hide, us) + _basking(glass.basking)
    set_by_hand = []
    if glass.leakage_ach is not None:
        set_by_hand.append(f"gaps that swap the air {plain(glass.leakage_ach, 3)} times an hour")
    if glass.air_speed_cm_s is not None:
        set_by_hand.append(f"air moving at {_speed(glass.air_speed_cm_s)}")
    if glass.runoff_to_soil is not None:
        set_by_hand.append(f"{_percent(glass.runoff_to_soil)} of the water on the glass running to the soil")
    if set_by_hand:
        sentences.append(f"Set by the keeper: {_and(set_by_hand)}.")
    return " ".join(sentences)


def _background(board: Background | None) -> list[str]:
    if board is None:
        return []
    walls = _and(board.walls)
    where = f"Inside on {walls}" if board.inside else f"Outside, behind {walls},"
    return [f"{where} stands {_cm(board.thickness_cm)} of {board.material}."]


def _hide(hide: Hide | None, us: bool) -> list[str]:
    if hide is None:
        return []
    if hide.volume_ml is not None:
        size = _ml(hide.volume_ml)
    else:
        size = f"{' by '.join(_cm(side) for side in hide.sides_cm)}, {_litres(1e-3 * hide.inner_volume_ml, us)}"
    door = f"{_cm(hide.opening_width_cm)} by {_cm(hide.opening_height_cm)}"
    return [f"There is a hide of {size} inside, with an opening of {door}; its floor is {_FLOORS[hide.floor]}."]


def _basking(place: Basking | None) -> list[str]:
    if place is None:
        return []
    on = f"on a {place.material}" if place.material else "on the ground"
    area = f", {_cm2(place.area_cm2)}" if place.area_cm2 is not None else ""
    high = f", {_cm(place.height_cm)} above the floor" if place.height_cm is not None else ""
    read = (
        f" A thermometer there shows {with_unit(place.measured_c, 'temperature', 'C')}."
        if place.measured_c is not None
        else ""
    )
    return [f'A basking place {on}{area}{high} lies {_cm(place.distance_cm)} below "{place.lamp}".{read}']


def _layers(glass: Enclosure) -> list[str]:
    cover = [glass.cover] if glass.cover else []
    layers = [f"{_cm(layer.depth_cm)} of {spoken(layer.material)}" for layer in (*cover, *glass.layers)]
    if glass.drainage:
        if glass.mesh_barrier:
            layers.append("a mesh barrier")
        water = f"{_cm(glass.drainage.level_cm)} of water" if glass.drainage.level_cm else "no water"
        wick = glass.drainage.wick_area_cm2
        cords = f" and a wick of {_cm2(wick)} up into the soil" if wick else ""
        layers.append(f"{_cm(glass.drainage.depth_cm)} of {glass.drainage.material} with {water} standing in it{cords}")
    return layers


def _floor(glass: Enclosure) -> str:
    if glass.drain_hole:
        return "A drain hole lets water out of the bottom."
    return "The bottom is sealed." if glass.drainage else "The bottom is sealed and there is no drainage layer."


def _opening(opening: Opening) -> str:
    kind = opening.mesh if isinstance(opening.mesh, str) else "mesh" if opening.mesh else "open gap"
    own = []
    if opening.open_share is not None:
        own.append(f"{_percent(opening.open_share)} open")
    if opening.thread_mm is not None:
        own.append(f"threads of {with_unit(opening.thread_mm, 'length', 'mm', 3)}")
    if own:
        kind += f" ({_and(own)})"
    covered = f", {_percent(opening.covered)} covered" if opening.covered else ""
    height = f" from {_cm(opening.bottom_cm)} up" if opening.wall != "lid" else ""
    where = "in the lid" if opening.wall == "lid" else f"at the {opening.wall}"
    size = f"{_cm(opening.width_cm)} by {_cm(opening.height_cm)}"
    return f"{opening.name} ({kind} {where}, {size}{height}{covered})"


def _room(room: Room) -> str:
    seasons = [f"The room is at {_state(room.now)}."]
    seasons += [
        f"In {name}: {_state(state)}."
        for name, state in (("winter", room.winter), ("summer", room.summer))
        if state is not None
    ]
    if room.draught is not None:
        seasons.append(
            _DRAUGHTS[room.draught]
            if isinstance(room.draught, str)
            else f"Its air moves at {_speed(room.draught)} about the box."
        )
    return " ".join([*seasons, *light_words(room)])


def _state(state: RoomState) -> str:
    return f"{_signal(state.temperature, 'temperature', 'C')}, with a humidity of {_signal(state.humidity, 'humidity', '%')}"


def _signal(signal: Signal, quantity: str, unit: str) -> str:
    low, high = signal.range()
    say = lambda value: with_unit(value, quantity, unit)  # noqa: E731
    if signal.value is not None or low == high:
        return say(low)
    if signal.day is not None and signal.night is not None:
        return f"{say(signal.day)} by day ({signal.day_from} to {signal.day_to}) and {say(signal.night)} by night"
    return f"{span(low, high, quantity, unit)} as logged"


def _routine(routine: Routine, glass: Enclosure) -> str:
    sentences = [
        f"At {clock(pour.time_s)} {_ml(pour.amount_ml)} are poured into the "
        f"{'soil' if pour.into == 'soil' else 'drainage layer'}{_every(pour.every_days)}."
        for pour in routine.pours
    ]
    sentences += [
        f"At {clock(spray.time_s)} {_ml(spray.amount_ml)} are sprayed by hand{_every(spray.every_days)}."
        for spray in routine.sprays
    ]
    for mist in routine.mists:
        what = "drip" if mist.onto == "soil" else "mister"
        tank = "" if mist.tank_ml is None else f", from a tank of {_ml(mist.tank_ml)}{_filled(mist.refill_days)}"
        sentences.append(
            f'The {what} "{mist.name}" gives {_a_minute(mist.flow_ml_min)}{" onto the soil" if what == "drip" else ""}'
            f"{_when(mist)}{_shares(mist, airborne='floating as fog')}{tank}."
        )
    for lamp in routine.lamps:
        sentences.append(
            f'The lamp "{lamp.name}" ({lamp.kind}, {plain(lamp.power_w, 4)} W) is on'
            f"{_when(lamp)}"
            f"{_shares(lamp, light='entering as light', radiant='as heat rays', convective='as warm air')}."
            f"{lamp_reading(lamp)}"
        )
    for heater in routine.heaters:
        sentences.append(
            f'The heater "{heater.name}" ({heater.kind}, {plain(heater.power_w, 4)} W{_at(heater)}) is on'
            f"{_when(heater)}."
        )
    sentences += [_fan(fan) for fan in routine.fans] + [_siphon(siphon) for siphon in routine.siphons]
    sentences += [_door(door, glass) for door in routine.doors if door.open_min > 0.0]
    return " ".join(sentences) or "Nothing is done to it: no water, no light, no heat, no fan."


def _at(heater: Heater) -> str:
    return f", {'at the lid' if heater.place == 'lid' else 'on a wall'}" if heater.place else ""


def _fan(fan: Fan) -> str:
    if fan.mode == "exchange":
        work = f"swaps {_moved(fan)} with the room{_where(fan)}"
    else:
        work = f"moves the air inside at {_speed(fan.air_speed_cm_s)}"
    motor = f", with a motor of {plain(fan.motor_w, 3)} W inside" if fan.motor_w else ""
    return f'The fan "{fan.name}" {work}{_when(fan)}{motor}.'


def _moved(fan: Fan) -> str:
    if fan.flow_m3_h is not None:
        return f"{_an_hour(fan.flow_m3_h)}"
    curve = f", {with_unit(fan.shut_off_pa, 'pressure', 'Pa', 3)} at most" if fan.shut_off_pa else ""
    printed = with_unit(fan.free_flow_m3_h, "air flow", "m3/h", 3).replace("m3/h", "m3 an hour")
    return f"air ({printed} as printed{curve}; less passes the mesh)"


def _where(fan: Fan) -> str:
    place = f' through "{fan.opening}"' if fan.opening else ""
    return f"{place}, blowing {fan.direction}" if fan.direction else place


def _siphon(siphon: Siphon) -> str:
    down = f"Water is drawn off down to {_cm(siphon.to_level_cm)}"
    if siphon.when_gap_below_cm is not None:
        return f"{down} when less than {_cm(siphon.when_gap_below_cm)} are left under the mesh."
    return f"{down} at {clock(siphon.time_s)}{_every(siphon.every_days)}."


def _door(door: Door, glass: Enclosure) -> str:
    width, height, _ = door.opening_cm(glass)
    what = f'The lid is lifted ("{door.name}")' if door.wall == "lid" else f'The {door.wall} is opened ("{door.name}")'
    size = f"{_cm(width)} by {_cm(height)}"
    return f"{what} at {clock(door.time_s)} for {plain(door.open_min, 3)} minutes{_every(door.every_days)}, {size}."


def _when(device: Mist | Lamp | Heater | Fan) -> str:
    timer, control = device.timer, device.control
    other = {"winter": device.timer_winter, "summer": device.timer_summer}
    seasons = "".join(f", in {season} {own}" for season, own in other.items() if own is not None)
    return _hours(timer) + seasons + _switched(control)


def _hours(timer: Timer) -> str:
    if timer.is_log:
        return f" {timer}"
    periods = timer.periods_s()
    minutes = plain(timer.on_s / 60, 3)
    if timer.on_s == DAY_S:
        return " all day"
    if not periods:
        return " never"
    hung = f" ({timer})" if timer.hangs_on else ""
    return f" {hours_text(periods)}{hung}" if len(periods) <= 3 else f" {minutes} minutes a day ({timer})"


def _switched(control: Control | None) -> str:
    if control is None:
        return ""
    unit = ("humidity", "%") if control.senses == "humidity" else ("temperature", "C")
    us = isinstance(control.set_point, Measured) and control.set_point.unit == "F"
    start, stop = (with_unit(reading, *unit, us=us) for reading in (control.on_at, control.off_at))
    return f", while its {control.senses} switch calls (on at {start}, off at {stop})"


def _shares(device: Mist | Lamp, **meanings: str) -> str:
    """Say the shares that the keeper set, in place of those of the kind of device."""
    given = {meaning: getattr(device, name) for name, meaning in meanings.items()}
    parts = [f"{_percent(share)} {meaning}" for meaning, share in given.items() if share is not None]
    return f", with {_and(parts)}" if parts else ""


def _topped(days: int | str) -> str:
    return f"topped up{_every(days)}" if isinstance(days, int) else "never topped up"


def _filled(days: int | None) -> str:
    return ", never filled up" if days is None else f", filled up{_every(days)}"


def _every(days: int | None) -> str:
    return " every day" if days == 1 else f" every {days} days"


def _cm(value: float, us: bool = False) -> str:
    return with_unit(value, "length", "cm", 3, us)


def _cm2(value: float) -> str:
    return with_unit(value, "area", "cm2")


def _litres(value: float, us: bool) -> str:
    return with_unit(value, "volume", "l", 3, us).replace(" gal", " gallons").replace(" l", " litres")


def _speed(value: float) -> str:
    return with_unit(value, "speed", "cm/s", 3)


def _a_minute(value: float) -> str:
    return with_unit(value, "water flow", "ml/min", 3).replace("/min", " a minute")


def _an_hour(value: float) -> str:
    return with_unit(value, "air flow", "m3/h", 3).replace("m3/h", "m3 of air an hour").replace("cfm", "cfm of air")


def _percent(share: float) -> str:
    return f"{plain(100 * share, 3)} %"


def _ml(amount: float) -> str:
    if isinstance(amount, Measured) or amount < 2000:
        return with_unit(amount, "volume", "ml")
    return f"{plain(convert(amount, 'volume', 'ml', 'l'), 4)} l"


def _and(parts: Iterable[str]) -> str:
    items = list(parts)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
