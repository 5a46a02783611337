"""What can be so but seldom is: looked at by `terralab check`, said in sentences, and no reason to refuse a box.

The marks are common practice among keepers (no source), but for the swap of air, which is arithmetic.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words, sends_heat_rays
from terralab.describe.system import speaks_us
from terralab.describe.wanted import PLANTS
from terralab.errors import quoted
from terralab.measured import with_unit
from terralab.units import clock, plain

THIN_SOIL_CM = 3.0  # common practice, no source: less dries out in a day or stands wet to its top
BRISK_ACH = 120.0  # air changes an hour: all the air twice a minute
LONG_OPEN_MIN = 60.0  # common practice, no source: feeding, spraying and cleaning take less
DAY_FROM_S, NIGHT_FROM_S = 6 * 3600.0, 23 * 3600.0  # a choice: the hours in which keepers are about
MOST_LEAF_INDEX = 8.0  # more leaf over a floor was measured in few dense stands (from memory)
BRIGHT_PAR = 500.0  # umol/m2/s; planted boxes have 15 to 150 (a guess), and shade plants burn far below
DIM_LUX = 50.0  # under a lamp one cannot read in less
FAR_WINDOW_M = 4.0  # common practice, no source: plants do not grow there by daylight
NOON_S = 13 * 3600.0  # clock time of noon in summer at most places
SUN_FROM_S, SUN_TO_S = 4 * 3600.0, 22 * 3600.0
DRAUGHT_CM_S = 150.0  # common practice, no source: leaves flutter
ROOM_DRAUGHT_CM_S = 60.0  # more than was measured in any of the homes of the table of defaults ("draughty room")


def doubts(box: Box) -> tuple[str, ...]:
    """Sentences on entries of `box` that are allowed but look like a slip or a trap; empty where nothing is odd."""
    return (
        *_soil(box),
        *_floor(box),
        *_openings(box),
        *_lamps(box),
        *_fans(box),
        *_doors(box),
        *_basking(box),
        *_room(box),
        *_ground(box),
        *_light(box),
    )


def _soil(box: Box) -> Iterator[str]:
    e = box.enclosure
    depth = e.soil_depth_cm
    deep = lambda value: with_unit(value, "length", "cm", 3, us=speaks_us(box))  # noqa: E731
    if e.leaf_area_m2() > 0 and e.plants.root_depth_cm > depth + 1e-9:
        default = type(e.plants).__dataclass_fields__["root_depth_cm"].default
        roots = (
            f"taken as {deep(default)} where none is given"
            if e.plants.root_depth_cm == default
            else deep(e.plants.root_depth_cm)
        )
        yield (
            f"enclosure.plants.root_depth is {roots}, and the soil {deep(depth)} deep. "
            "The roots are taken to end with the soil. If they reach into the drainage layer, they lead its water up, which "
            "is not counted."
        )
    if depth < THIN_SOIL_CM:
        yield (
            f"The soil is only {deep(depth)} deep. So thin a layer stands wet to its top after watering and dries out "
            f"within days, and few plants root in it. Check the unit of enclosure.layers, or deepen it to {deep(5.0)} or more "
            "(common practice, no source)."
        )


def _floor(box: Box) -> Iterator[str]:
    e = box.enclosure
    if e.drainage is not None and not e.mesh_barrier:
        yield (
            "There is a drainage layer but no mesh barrier above it. Soil then washes down between the grains, fills their "
            "space and draws the water back up; the answers take a clean layer. Lay a fabric or mesh between, or say "
            "mesh_barrier = true if there is one."
        )
    if e.drainage is not None and e.drain_hole and e.drainage.level_cm > 0.0:
        level = with_unit(e.drainage.level_cm, "length", "cm", 3, us=speaks_us(box))
        yield (
            f"There is a drain hole, and yet {level} of water stand in the drainage layer. Through an open hole in the floor water "
            "runs off. Say drain_hole = false if it is plugged or sits higher up, or level = 0 if it is open."
        )


def _openings(box: Box) -> Iterator[str]:
    for opening in box.enclosure.openings:
        if box.group not in PLANTS and opening.wall == "lid" and not opening.mesh and opening.covered < 1.0:
            yield (
                f"enclosure.openings.{opening.name} is a hole in the lid without mesh. Animals climb out and insects get in "
                "(common practice, no source). Say mesh = true if there is one, or put one over it."
            )


def _doors(box: Box) -> Iterator[str]:
    doors = [door for door in box.routine.doors if door.open_min > 0.0]
    longest = [door for door in doors if door.open_min > LONG_OPEN_MIN]
    if longest and hot_at_lid(box):
        yield (
            f"routine.doors.{longest[0].name} stands open for {plain(longest[0].open_min, 3)} minutes a time beside "
            f"{hot_words(box)}. The box loses its warmth and its damp meanwhile, and a thermostat then heats without "
            "pause. Check the minutes; keep a door of a heated box open only while somebody stands by."
        )
    elif longest:
        yield (
            f"routine.doors.{longest[0].name} stands open for {plain(longest[0].open_min, 3)} minutes a time. For feeding and "
            "spraying a few minutes are usual (common practice, no source). Check the unit of open; for a door that always "
            "stands ajar describe an opening in enclosure.openings."
        )
    for door in doors:
        if not DAY_FROM_S <= door.time_s < NIGHT_FROM_S:
            yield (
                f"routine.doors.{door.name} is opened at {clock(door.time_s)}. Animals that are awake at night get out through an "
                "open door, and the room is then at its coldest. Check the time, or stay beside it."
            )


def _lamps(box: Box) -> Iterator[str]:
    for lamp in box.routine.lamps:
        if lamp.power_w == 0.0:
            yield (
                f"routine.lamps.{lamp.name}.power is 0 W, so the lamp counts for nothing. Write the watts printed on it, or "
                "take it out."
            )


def _basking(box: Box) -> Iterator[str]:
    place = box.enclosure.basking
    if place is None:
        return
    lamp = next(d for d in (*box.routine.lamps, *box.routine.heaters) if d.name == place.lamp)
    if not sends_heat_rays(lamp):
        yield (
            f"enclosure.basking.lamp is {quoted(place.lamp)}, which sends hardly any heat down or is never on. The place under it is "
            "about as warm as the air. Name the lamp that warms it, or take the part out."
        )
    elif lamp.control is None:
        yield (
            f"The basking place lies under {quoted(place.lamp)}, which has no control. A hot lamp burns animals, plants and plastic: "
            "put a guard around it, let a thermostat or dimmer rule it (control), and measure the place itself at the height of "
            "the animal's back before anything moves in. Mains wiring is an electrician's work; ask your vet how warm it may be."
        )


def _room(box: Box) -> Iterator[str]:
    draught = box.room.draught
    if draught is not None and not isinstance(draught, str) and draught > ROOM_DRAUGHT_CM_S:
        yield (
            f"room.draught is {with_unit(draught, 'speed', 'cm/s')}, a wind in which papers move. Lived-in rooms have 1 to 20 cm/s; "
            "beside a fan it may be so. Check the unit."
        )


def _ground(box: Box) -> Iterator[str]:
    e = box.enclosure
    index = e.leaf_area_index()
    if e.plants is not None and e.plants.cover is None and index > MOST_LEAF_INDEX:
        floor = "planted floor" if e.ground is not None or e.dish is not None else "floor"
        much = (
            "there is no planted floor under it"
            if index == math.inf
            else f"that is {plain(index, 2)} times the {floor}"
        )
        yield (
            f"enclosure.plants.leaf_area is {with_unit(e.plants.leaf_area_cm2, 'area', 'cm2')}, and {much}. Even dense planting "
            f"seldom has more than {plain(MOST_LEAF_INDEX)} times. Count one side of each leaf, check the unit, or give cover "
            "in place of leaf_area."
        )
    if e.ground is None:
        return
    if e.plants is not None and e.plants.kind == "mosses only" and e.moss_share > 0.0 and e.leaf_area_m2() > 0.0:
        yield (
            'Moss is described twice: as enclosure.ground.moss and as enclosure.plants of the kind "mosses only". Keep the share '
            "of the ground for moss that lies on soil."
        )
    if e.bare_floor_share > 0.0 and e.drainage is not None:
        yield (
            f"enclosure.ground.bare_floor is {plain(100.0 * e.bare_floor_share, 3)} %, and there is a drainage layer. It is taken to "
            "lie under the soil only, so that no water stands on the bare floor. If it covers the whole floor, describe what "
            "lies on it without soil as rock."
        )


def _light(box: Box) -> Iterator[str]:
    for lamp in box.routine.lamps:
        place = f"routine.lamps.{lamp.name}"
        if lamp.par_at_plants is not None and lamp.par_at_plants > BRIGHT_PAR:
            yield (
                f"{place}.par_at_plants is {with_unit(lamp.par_at_plants, 'plant light', 'umol/m2/s')}, more than shade plants bear. "
                "If the meter shows lux, write it as lux_at_plants."
            )
        if lamp.lux_at_plants is not None and 0.0 < lamp.lux_at_plants < DIM_LUX:
            yield (
                f"{place}.lux_at_plants is {with_unit(lamp.lux_at_plants, 'brightness', 'lux')}, too dark to read in. If the meter "
                "shows PAR (umol/m2/s), write it as par_at_plants."
            )
    window, sun = box.room.window, box.room.sun
    if window is not None and window.distance_m > FAR_WINDOW_M:
        yield (
            f"room.window.distance is {with_unit(window.distance_m, 'length', 'm')}. So far from a window hardly any daylight is left "
            "for plants (common practice, no source). Check the unit: distance is from the pane to the box."
        )
    if sun is None or not sun.times.on_s:
        return
    board = box.enclosure.background
    if board is not None and sun.wall in board.walls:
        yield f"room.sun.wall is {quoted(sun.wall)}, where a background of {board.material} stands in its way. Check the wall."
    on, off = sun.times.periods_s()[0][0], sun.times.periods_s()[-1][1]
    if on < SUN_FROM_S or off > SUN_TO_S:
        yield f"room.sun.times has sun from {clock(on)} to {clock(off)}, when it is night at most places. Check the times."
    elif window is not None and (
        (window.faces == "east" and on > NOON_S) or (window.faces == "west" and off < NOON_S - 7200.0)
    ):
        when = "before noon" if window.faces == "east" else "after noon"
        yield (
            f"room.sun.times has sun from {clock(on)} to {clock(off)} at a window that faces {window.faces}, which has it {when}. "
            "Check faces and times."
        )


def _fans(box: Box) -> Iterator[str]:
    air = box.enclosure.air_volume_m3
    for fan in box.routine.fans:
        if fan.mode == "circulate":
            if fan.air_speed_cm_s is not None and fan.air_speed_cm_s > DRAUGHT_CM_S:
                yield (
                    f"routine.fans.{fan.name}.air_speed is {with_unit(fan.air_speed_cm_s, 'speed', 'cm/s')} at soil and leaves, a strong "
                    "draught in which moss and frogs dry fast. Small fans give 10 to 60 cm/s there (common practice, no source)."
                )
            continue
        printed = fan.flow_m3_h is None
        share = materials.get("defaults", "fan through mesh").typical("delivered") if printed else 1.0
        flow = share * (fan.free_flow_m3_h if printed else fan.flow_m3_h)
        if flow > BRISK_ACH * air:
            which = (
                f"free_flow, of which about {plain(flow, 2)} m3/h pass a mesh,"
                if printed
                else f"flow, {with_unit(fan.flow_m3_h, 'air flow', 'm3/h')},"
            )
            hint = (
                "Take a smaller fan, or run it seldom."
                if printed
                else "If that is the figure its maker prints, give it as free_flow: mesh and openings let about a third pass."
            )
            yield (
                f"routine.fans.{fan.name}: {which} swaps all air of the box every {plain(3600.0 * air / flow, 2)} seconds. {hint}"
            )
