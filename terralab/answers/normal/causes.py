"""Why a reading may lie outside what is usual: each cause, how it is run, how likely before any reading, and how to look at it.

The weights say how often a keeper meets each, against the others. They are common practice without a source: guesses, which
decide only between causes that the reading itself cannot tell apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from terralab.answers.fails.faults import Fault, FaultKind, faults_of
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.room import RoomState
from terralab.describe.routine import Door, Fan, Heater, Lamp, Mist
from terralab.describe.seasons import room_of
from terralab.describe.trial import Trial
from terralab.quantities import quantity
from terralab.uncertainty.overrides import shifted
from terralab.units import clock

# All of these are choices or guesses.
MAINS_H = 48.0  # a power cut that still lasts when somebody reads
BARELY_OPEN = 0.9  # covered share of a lid that somebody covered too far
JUST_MIN, JUST_FOR_MIN = 25.0, 10.0  # before the reading a door was opened, and for how long
SPRAYED_ML_A_LITRE = 0.3  # one spraying by hand, of each litre of glass
ROOM_K, ROOM_POINTS = 4.0, 18.0  # by how much a room may be unlike the one described
FORGOTTEN_DAYS, DRY_DAYS = (2, 5, 9), (3,)  # without a pour; with soil as dry as it was bought
SUN_FROM_S, SUN_TO_S, SUN_H = (
    7.0 * 3600.0,
    20.0 * 3600.0,
    1.0,
)  # when the sun may fall on a box, and for how long it has
LATE_H = (3.0, 27.0)  # how long ago a fault began: some hours, a day
DOOR = "lid, lifted"  # the name of the door that a box gets which has none
A_BLINK_MIN = 0.001  # how long that is open once a year by itself: a door that never opens is none


class Group(StrEnum):
    """What kind of thing is wrong."""

    SENSOR = "sensor"
    LID = "lid"
    LAMP = "lamp"
    HEATER = "heater"
    FAN = "fan"
    MISTER = "mister"
    MAINS = "mains"
    SOIL = "soil"
    HAND = "hand"
    ROOM = "room"


@dataclass(frozen=True)
class Cause:
    """Something that may be wrong.

    `events(box, begins_s, ends_s)` makes it happen from a time on. `after_h`: how many hours after its beginning readings are
    taken. `weight`: how often it is met, against the others. `look`: what tells it from the rest, at the box.
    `exact`: its time is known to minutes, so that no earlier row stands for it. `from_dry`: it begins with dry soil, not with
    the days before.
    """

    key: str
    group: Group
    words: str
    weight: float
    look: str
    events: Callable[[Box, RoomState, float, float], Sequence[Event]]
    after_h: tuple[float, ...] = LATE_H
    exact: bool = False
    from_dry: bool = False


_DEVICES = {Lamp: Group.LAMP, Heater: Group.HEATER, Fan: Group.FAN, Mist: Group.MISTER}
_WEIGHTS = {
    (Group.LAMP, FaultKind.STUCK_OFF): 3.0,
    (Group.LAMP, FaultKind.STUCK_ON): 2.0,
    (Group.HEATER, FaultKind.STUCK_OFF): 2.0,
    (Group.HEATER, FaultKind.STUCK_ON): 1.5,
    (Group.FAN, FaultKind.STUCK_OFF): 2.0,
    (Group.FAN, FaultKind.STUCK_ON): 1.5,
    (Group.FAN, FaultKind.CLOGGED): 1.0,
    (Group.MISTER, FaultKind.STUCK_OFF): 3.0,
    (Group.MISTER, FaultKind.STUCK_ON): 1.0,
}
_LOOKS = {
    (Group.LAMP, FaultKind.STUCK_OFF): "is it lit in its hours?",
    (Group.LAMP, FaultKind.STUCK_ON): "is it dark outside its hours?",
    (Group.HEATER, FaultKind.STUCK_OFF): "does it get warm when the thermostat calls? A thermometer beside it tells",
    (Group.HEATER, FaultKind.STUCK_ON): "does it cool down above its set point?",
    (Group.FAN, FaultKind.STUCK_OFF): "does it turn in its hours?",
    (Group.FAN, FaultKind.STUCK_ON): "does it stand still outside its hours?",
    (Group.FAN, FaultKind.CLOGGED): "does a strip of paper move before it as it did?",
    (Group.MISTER, FaultKind.STUCK_OFF): "is its tank full, is there mist in its hours?",
    (Group.MISTER, FaultKind.STUCK_ON): "does it stop after its burst? Is there water where none was?",
}


def with_door(box: Box) -> Box:
    """The box with a door that can be opened: its own, else its whole lid."""
    if box.routine.doors:
        return box
    door = Door(0.0, A_BLINK_MIN, 365, DOOR, "lid")
    return Trial.of(box, routine=replace(box.routine, doors=(door,)))


def causes_of(box: Box, season: str, room_known: bool, at_s: float) -> tuple[tuple[Cause, ...], tuple[str, ...]]:
    """All that is run for a box (one that `with_door` gave), and the names of devices left out as there are too many."""
    faults, left_out = faults_of(box, MAINS_H)
    found = [*map(_of_fault, faults), *_of_lid(box), *_of_hand(box)]
    found += _of_sun(box, season, at_s)
    if not room_known:
        found += _of_room(season)
    return tuple(found), left_out


def _of_fault(fault: Fault) -> Cause:
    events = lambda box, room, begins, ends: fault.events(box, room, begins, ends)  # noqa: E731
    if fault.device is None:
        return Cause("mains", Group.MAINS, "the power is off", 1.0, "is anything lit, does anything hum?", events)
    group = _DEVICES[type(fault.device)]
    if fault.kind is FaultKind.PROBE_OUT:
        look = "does its probe hang where it belongs?"
        return Cause(f"probe: {fault.name}", group, fault.words, 1.0, look, events)
    key = (group, fault.kind)
    words = fault.words.replace("stuck off", "does not run").replace("stuck on", "never stops")
    return Cause(f"{fault.kind}: {fault.name}", group, words, _WEIGHTS[key], _LOOKS[key], events)


def _once(change: object) -> Callable[[Box, RoomState, float, float], Sequence[Event]]:
    return lambda box, room, begins, ends: (Event(f"{begins} s", None, change),)  # type: ignore[arg-type]


def _of_lid(box: Box) -> Iterator[Cause]:
    door = box.routine.doors[0]
    said = "the lid is off" if door.name == DOOR else f'"{door.name}" stands open'
    yield Cause("lid off", Group.LID, said, 3.0, "is it shut as ever?", _once({"opened": door.name}))
    shortly = lambda box, room, begins, ends: (  # noqa: E731
        Event(f"{begins} s", f"{begins + 60.0 * JUST_FOR_MIN} s", {"opened": door.name}),
    )
    words = "it was opened shortly before"
    yield Cause("just opened", Group.HAND, words, 2.0, "read again in an hour", shortly, (JUST_MIN / 60.0,), exact=True)
    openings = box.enclosure.openings
    cover = {f"enclosure.openings.{n}.covered": f"{100 * BARELY_OPEN:g} %" for n, one in enumerate(openings, 1)
             if one.covered < BARELY_OPEN}  # fmt: skip
    if cover:
        words = "the openings are covered more than described"
        yield Cause("covered", Group.LID, words, 2.0, "does a cloth, pane or dust lie on the mesh?", _once(cover))
    bare = {f"enclosure.openings.{n}.covered": "0 %" for n, one in enumerate(openings, 1) if one.covered > 0.0}
    if bare:
        words = "the openings are covered less than described"
        yield Cause("uncovered", Group.LID, words, 2.0, "is the pane or film still where it was?", _once(bare))


def _of_hand(box: Box) -> Iterator[Cause]:
    days = lambda some: tuple(24.0 * one for one in some)  # noqa: E731
    if box.routine.pours:
        words = "pours were left out for some days"
        yield Cause("no pours", Group.SOIL, words, 2.5, "is the top of the soil paler, the box lighter?",
                    _once("no pours"), days(FORGOTTEN_DAYS))  # fmt: skip
    if box.start.soil != "dry":
        words = "the soil has dried out"
        yield Cause("dry soil", Group.SOIL, words, 2.0, "is it dry a finger deep? Lift the box: is it lighter?",
                    _once("no pours"), days(DRY_DAYS), from_dry=True)  # fmt: skip
    if box.routine.sprays:
        words = "sprays were left out"
        yield Cause("no sprays", Group.HAND, words, 2.0, "are leaves and glass dry that are wet else?",
                    _once("no sprays"), (27.0, 75.0))  # fmt: skip
    e = box.enclosure
    ml = max(5.0, round(SPRAYED_ML_A_LITRE * e.width_cm * e.front_to_back_cm * e.height_cm / 1000.0))
    yield Cause("just sprayed", Group.HAND, "it was sprayed shortly before", 2.0, "are leaves wet? Read again in two hours",
                _once({"spray": f"{ml:g} ml"}), (JUST_MIN / 60.0,), exact=True)  # fmt: skip


def _of_sun(box: Box, season: str, at_s: float) -> Iterator[Cause]:
    """Sun on the glass for an hour before the reading, in hours in which it may stand high enough and none is described."""
    described = box.room.sun is not None and box.room.sun.times.runs_at(at_s)
    if described or not SUN_FROM_S <= at_s <= SUN_TO_S:
        return
    times = [f"{clock(60.0 * round(at_s / 60.0) - 3600.0 * SUN_H)}-{clock(60.0 * round(at_s / 60.0))}"]
    sun = {"room.sun": {"times": times, "seasons": [season]}}
    yield Cause("sun", Group.ROOM, "the sun falls on the glass", 2.0, "does it at this hour? Shade the box at once",
                _once(sun), (SUN_H,), exact=True)  # fmt: skip


def _of_room(season: str) -> Iterator[Cause]:
    look = "read thermometer and hygrometer of the room too"
    k, points = quantity("K", ".0f", ROOM_K), f"{ROOM_POINTS:.0f} points"
    for key, words, moved in (
        ("room warm", f"the room is some {k} warmer than described", {"room.temperature": ROOM_K}),
        ("room cold", f"the room is some {k} colder than described", {"room.temperature": -ROOM_K}),
        ("room damp", f"the room is some {points} damper than described", {"room.humidity": ROOM_POINTS}),
        ("room dry", f"the room is some {points} drier than described", {"room.humidity": -ROOM_POINTS}),
    ):
        yield Cause(key, Group.ROOM, words, 1.5, look, _room_moved(season, moved), (27.0,))


def _room_moved(season: str, by: dict[str, float]) -> Callable[[Box, RoomState, float, float], Sequence[Event]]:
    def events(box: Box, room: RoomState, begins: float, ends: float) -> Sequence[Event]:
        told = shifted(room_of(box, season), by).write()
        change = {f"room.{key}": value for key, value in told.items()} if season == "now" else {f"room.{season}": told}
        return (Event(f"{begins} s", None, change),)

    return events
