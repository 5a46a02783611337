"""What is possible but hardly meant: warmth that no animal bears, a covered lid under a hot lamp, dry soil for frogs.

Nothing is simulated here; these are the questions that a description raises by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from terralab.describe.hot import hot_at_lid, hot_words, is_hot, sends_heat_rays
from terralab.describe.wanted import ANYONE, Temperatures, soil_contradiction, temperatures_wanted, typed
from terralab.quantities import as_typed, quantity

if TYPE_CHECKING:
    from terralab.describe.box import Box

ROOM_LOW_C, ROOM_HIGH_C = 5.0, 40.0  # rooms in which people live (a choice)
NEAR_CM = 15.0  # common practice, no source: nearer than a hand's length to a hot lamp
PLASTIC_NET = "window screen"
CHECK = "Check the number and its unit"


def warmth_doubts(box: Box) -> Iterator[str]:
    """Sentences on what cannot be right in `box`, or is dangerous for its animals; none for most boxes."""
    against = soil_contradiction(box)
    if against:
        yield against
    wanted = temperatures_wanted(box)
    yield from _rooms(box, wanted)
    yield from _thermostats(box, wanted)
    yield from _lid(box)
    yield from _net(box)
    yield from _basking(box, wanted)
    yield from _typed(box, wanted)
    yield from _sun(box, wanted)


def _rooms(box: Box, wanted: Temperatures | None) -> Iterator[str]:
    rooms = {"the room": box.room.now, "the winter room": box.room.winter, "the summer room": box.room.summer}
    warmed = any(is_hot(device) for device in box.routine.lamps) or any(
        heater.power_w > 0.0 for heater in box.routine.heaters
    )
    for name, state in rooms.items():
        if state is None:
            continue
        low, high = state.temperature.range()
        if low < ROOM_LOW_C or high > ROOM_HIGH_C:
            far = low if low < ROOM_LOW_C else high
            yield (
                f"is it true that {name} is at {typed(far)}? Rooms people live in are at {quantity('°C', 'g', ROOM_LOW_C, ROOM_HIGH_C)}. "
                f"{CHECK}."
            )
        elif wanted is not None and high > wanted.most:
            yield (
                f"{name} is at {typed(high)}, and {_most(box, wanted)}. No vent, fan or water keeps a box much cooler than "
                "its room: cool the room first."
            )
        elif wanted is not None and low < wanted.least and not warmed:
            yield f"{name} is at {typed(low)} and nothing warms the box, but {_band(wanted)} is wanted."


def _thermostats(box: Box, wanted: Temperatures | None) -> Iterator[str]:
    for device in (*box.routine.heaters, *box.routine.lamps):
        control = device.control
        if control is None or control.senses != "temperature":
            continue
        if control.switches_on == "above":
            yield f'"{device.name}" switches on when it is too warm. A thermostat of a heater switches on below.'
            continue
        limit = ANYONE.most if wanted is None else wanted.most
        if control.set_point > limit:
            than = (
                f"no animal group of the tables bears more than {typed(limit)}"
                if wanted is None
                else _most(box, wanted)
            )
            yield f'the thermostat of "{device.name}" is set to {typed(control.set_point)}, but {than}. {CHECK}.'


def covered_under_heat(box: Box) -> str:
    """A sentence against a lid that is covered where a hot lamp or heater is; empty where nothing is wrong."""
    lids = [opening for opening in box.enclosure.openings if opening.wall == "lid"]
    covered = [opening.name for opening in lids if opening.covered > 0.0]
    if not covered or not hot_at_lid(box):
        return ""
    why = "heat gathers, glass cracks, plastic melts and cloth burns"
    if any(opening.covered < 1.0 for opening in lids):
        return (
            f'"{covered[0]}" is covered in part, and {hot_words(box)} is at the lid. The mesh under '
            f"and around it must be the open part: under a cover {why}. If it is not, take the cover off."
        )
    return (
        f'"{covered[0]}" is covered, and {hot_words(box)} is at the lid. No mesh there may be '
        f"covered: {why}. Take the cover off."
    )


def _lid(box: Box) -> Iterator[str]:
    covered = covered_under_heat(box)
    if covered:
        yield covered
    elif hot_at_lid(box) and not any(opening.wall == "lid" for opening in box.enclosure.openings):
        yield (
            f"{hot_words(box)} is at the lid, but the lid has no opening. Does it stand on closed "
            "glass? Glass cracks, and the heat stays in."
        )


def _net(box: Box) -> Iterator[str]:
    """A net of plastic in a lid with a hot lamp: kinds that need no metal are the fly screen alone."""
    nets = [o.name for o in box.enclosure.openings if o.wall == "lid" and o.mesh == PLASTIC_NET]
    if nets and hot_at_lid(box):
        yield (
            f'"{nets[0]}" is a {PLASTIC_NET}, and {hot_words(box)} is at the lid. Nets of plastic and of '
            'coated glass fibre soften and burn: use metal mesh there, and say so, as in mesh = "metal lid mesh".'
        )


def _basking(box: Box, wanted: Temperatures | None) -> Iterator[str]:
    place = box.enclosure.basking
    if place is None:
        return
    limit = (ANYONE if wanted is None else wanted).surface_most
    if place.measured_c is not None and place.measured_c > limit:
        who = "any animal group of the tables" if wanted is None else _whom(box, wanted)
        yield (
            f"the basking place was measured at {typed(place.measured_c)}, and {typed(limit)} is the very most there for {who}. "
            "Raise or dim the lamp, measure again at the height of the animal's back, and ask your vet."
        )
    devices = [d for d in (*box.routine.lamps, *box.routine.heaters) if d.name == place.lamp and sends_heat_rays(d)]
    if devices and place.distance_cm < NEAR_CM:
        yield (
            f'the basking place is {as_typed("length", "cm", place.distance_cm)} from the hot "{place.lamp}". So near, skin burns '
            f"before an animal moves away: keep {as_typed('length', 'cm', NEAR_CM)} or more (common practice, no source), with a "
            "guard around the lamp and a thermostat or dimmer on it."
        )


def _sun(box: Box, wanted: Temperatures | None) -> Iterator[str]:
    """Sun on glass is a danger wherever it is described."""
    sun = box.room.sun
    if sun is None or not sun.times.on_s:
        return
    limit = f", and {_most(box, wanted)}" if wanted is not None else ""
    yield (
        f"the sun falls straight on the {sun.wall} of the glass. A closed box in the sun passes what animals bear within minutes"
        f"{limit}. Shade it, or move it out of the sun; never leave animals in a closed glass in the sun, and measure the air "
        "inside, in the shade of something, on the first clear day."
    )


def _typed(box: Box, wanted: Temperatures | None) -> Iterator[str]:
    if box.humidity_target is None or wanted is None or not box.group:
        return
    highest = max(wanted.day_high, wanted.night_high)
    if highest > wanted.most:
        yield f"the band asks for up to {typed(highest)}, but {_most(box, wanted)}."


def _most(box: Box, wanted: Temperatures) -> str:
    return f"{typed(wanted.most)} is the very most for {_whom(box, wanted)}"


def _whom(box: Box, wanted: Temperatures) -> str:
    """Whose limits these are."""
    return box.group or (f"its {wanted.by_plants}" if wanted.by_plants else "what you typed")


def _band(wanted: Temperatures) -> str:
    return f"{typed(min(wanted.day_low, wanted.night_low))} or more"
