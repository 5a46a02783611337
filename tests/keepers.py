"""Boxes such as people keep, drawn at random: 10 to 800 litres, every mix, cover, device, plant and group.

They are less wild than `tests.describe.random_boxes`, which looks for anything a description may hold: here every box
could stand in somebody's room. Sizes, habits and timers are invented.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import replace

import numpy as np

from terralab import materials
from terralab.describe import (
    Background,
    Basking,
    Box,
    Control,
    Cover,
    Dish,
    Drainage,
    Enclosure,
    Fan,
    Heater,
    Hide,
    Lamp,
    Layer,
    Mist,
    Opening,
    Plants,
    Pour,
    Room,
    RoomState,
    Routine,
    Signal,
    Siphon,
    Spray,
    Start,
    Timer,
    Tube,
)
from terralab.describe.hot import sends_heat_rays
from terralab.errors import TerralabWarning
from terralab.units import clock

HOT = ("incandescent or halogen spot", "metal halide")
SMALLEST_L, LARGEST_L = 10.0, 800.0


def keepers_box(seed: int, new_air: bool = True) -> Box:
    """The box of one seed, the same on every machine.

    It also has what decides how air stands and moves in it: named meshes, gaps between panes, a draught, a background, a
    hide, a basking place. Without `new_air` it has none of these, and the rest of the box is the same.
    """
    rng = np.random.default_rng(seed)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)  # what `check` would ask about is welcome here
        box = Box(
            name=f"Keeper {seed}",
            group=_one(rng, materials.names("groups")),
            enclosure=(glass := _enclosure(rng)),
            room=_room(rng),
            routine=_routine(rng, glass),
            start=Start(_one(rng, ["drained-moist", "dry", "dry", "wet"])),
        )
        return _with_new_air(np.random.default_rng([seed, 1]), box) if new_air else box


def _one(rng: np.random.Generator, items) -> object:
    return items[int(rng.integers(len(items)))]


def _yes(rng: np.random.Generator, share: float) -> bool:
    return bool(rng.random() < share)


def _between(rng: np.random.Generator, low: float, high: float) -> float:
    return round(float(rng.uniform(low, high)), 1)


def _enclosure(rng: np.random.Generator) -> Enclosure:
    litres = math.exp(rng.uniform(math.log(SMALLEST_L), math.log(LARGEST_L)))
    # width and height against depth: low and wide, a cube, or tall
    wide, tall = rng.uniform(1.0, 2.0), rng.uniform(0.8, 2.0)
    deep = (1000.0 * litres / (wide * tall)) ** (1.0 / 3.0)
    width, height = round(wide * deep, 1), round(tall * deep, 1)
    deep = round(deep, 1)
    ground = _between(rng, 0.12, 0.35) * height  # all that lies below the air
    layer_below = _yes(rng, 0.65)
    stones = _one(rng, materials.names("aggregates"))
    grain = materials.get("aggregates", stones).typical("grain_mm") / 10.0
    below = max(2.0 * grain, _between(rng, 0.2, 0.4) * ground) if layer_below else 0.0
    soil = max(2.0, ground - below)
    number = int(rng.integers(1, 4)) if soil > 6.0 else 1
    layers = tuple(Layer(_one(rng, materials.names("substrates")), round(soil / number, 1)) for _ in range(number))
    drainage = None
    if layer_below:
        # often nothing, often a little, sometimes a few millimetres under the mesh
        gap = _one(rng, [below, below, _between(rng, 1.0, 2.0), _between(rng, 0.1, 0.8)])
        drainage = Drainage(stones, round(below, 1), round(max(0.0, round(below, 1) - gap), 2))
    cover = Cover(_one(rng, materials.names("covers")), _between(rng, 1.0, 3.0)) if _yes(rng, 0.6) else None
    top = below + soil + (cover.depth_cm if cover else 0.0)
    plants = None
    if _yes(rng, 0.8):
        leaves = rng.uniform(0.2, 3.0) * width * deep
        plants = Plants(
            _one(rng, materials.names("plants")), round(leaves), _between(rng, 0.5, 8.0), round(min(8.0, 0.9 * soil), 1)
        )
    return Enclosure(
        width_cm=width,
        front_to_back_cm=deep,
        height_cm=height,
        layers=layers,
        glass_mm=_one(rng, [3.0, 4.0, 5.0, 6.0, 8.0]),
        cover=cover,
        drainage=drainage,
        drain_hole=drainage is None and _yes(rng, 0.3),
        openings=_openings(rng, width, deep, height, top),
        plants=plants,
        dish=Dish(round(0.02 * width * deep + 5.0), 2.0) if _yes(rng, 0.3) else None,
        tube=Tube(2.5, _yes(rng, 0.7)) if drainage and _yes(rng, 0.4) else None,
        wood_area_cm2=_one(rng, [0.0, 300.0, 2000.0]),
        background_area_cm2=round(width * (height - top)) if _yes(rng, 0.4) else 0.0,
    )


def _openings(rng: np.random.Generator, width: float, deep: float, height: float, top: float) -> tuple[Opening, ...]:
    """A meshed lid, a slot, vents in front, side or back, or nothing at all."""
    out = []
    lid = _one(rng, ["mesh", "mesh", "part", "slot", "none"])
    if lid != "none":
        share = {"mesh": 0.9, "part": 0.4, "slot": 0.06}[lid]
        covered = _one(rng, [0.0, 0.0, 0.5, 0.9, 1.0]) if lid != "slot" else 0.0
        out.append(
            Opening("lid", "lid", round(0.9 * width, 1), round(share * deep, 1), mesh=lid != "slot", covered=covered)
        )
    if _yes(rng, 0.6):
        tall = min(_between(rng, 1.0, 5.0), 0.4 * (height - top))
        out.append(Opening("front vent", "front", round(0.8 * width, 1), round(tall, 1), round(top + 0.5, 1)))
    if _yes(rng, 0.3):
        tall = min(_between(rng, 1.0, 6.0), 0.3 * (height - top))
        out.append(
            Opening("back vent", "back", round(0.7 * width, 1), round(tall, 1), round(height - tall - 1.0, 1), mesh=_yes(rng, 0.8))
        )  # fmt: skip
    return tuple(out)


def _with_new_air(rng: np.random.Generator, box: Box) -> Box:
    """The same box with its meshes named, gaps, a draught, a background, a hide and a basking place, each by chance."""
    glass = box.enclosure
    openings = [_with_mesh(rng, opening) if opening.mesh else opening for opening in glass.openings]
    if _yes(rng, 0.5):
        tall = round(glass.air_height_cm - 1.0, 1)
        openings.append(
            Opening("gap of the panes", "front", _one(rng, [0.1, 0.2, 0.4]), tall, glass.surface_cm + 0.5, False)
        )
    board = None
    if _yes(rng, 0.5):
        walls = _one(rng, [("back",), ("back",), ("left", "right"), ("back", "left", "right")])
        narrow = min(glass.front_to_back_cm, glass.width_cm)
        thick = round(min(_between(rng, 0.5, 5.0), 0.2 * narrow), 1)
        board = Background(_one(rng, materials.names("backgrounds")), thick, walls, _yes(rng, 0.7))
    loose = 0.0 if board is not None and board.inside else glass.background_area_cm2
    hide = _hide(rng, glass) if _yes(rng, 0.5) else None
    hot = [device.name for device in (*box.routine.lamps, *box.routine.heaters) if sends_heat_rays(device)]
    basking = _basking(rng, glass, _one(rng, hot)) if hot and _yes(rng, 0.7) else None
    draught = _one(rng, [None, "calm", "usual", "draughty", _between(rng, 1.0, 30.0)])
    parts = {"background": board, "background_area_cm2": loose, "hide": hide, "basking": basking}
    return replace(
        box,
        enclosure=replace(glass, openings=tuple(openings), **parts),
        room=replace(box.room, draught=draught),
    )


def _with_mesh(rng: np.random.Generator, opening: Opening) -> Opening:
    """A mesh nobody has named, one of the table, or one whose threads were counted."""
    way = _one(rng, ["unknown", "named", "named", "counted"])
    if way == "unknown":
        return opening
    if way == "named":
        return replace(opening, mesh=_one(rng, materials.names("meshes")))
    return replace(opening, open_share=_between(rng, 0.3, 0.8), thread_mm=round(float(rng.uniform(0.1, 1.0)), 2))


def _hide(rng: np.random.Generator, glass: Enclosure) -> Hide:
    """A hide of a few hundred ml to a few litres with one low entrance; half of them known by volume alone."""
    wide = round(min(_between(rng, 8.0, 25.0), 0.5 * glass.width_cm), 1)
    deep = round(min(_between(rng, 6.0, 20.0), 0.5 * glass.front_to_back_cm), 1)
    high = round(min(_between(rng, 4.0, 12.0), 0.7 * glass.air_height_cm), 1)
    door = {"opening_width_cm": round(0.4 * min(wide, deep), 1), "opening_height_cm": round(0.6 * high, 1)}
    floor = _one(rng, ["soil", "damp moss", "damp moss", "dry"])
    if _yes(rng, 0.5):
        return Hide(**door, volume_ml=round(wide * deep * high), floor=floor)
    return Hide(**door, width_cm=wide, front_to_back_cm=deep, height_cm=high, floor=floor)


def _basking(rng: np.random.Generator, glass: Enclosure, lamp: str) -> Basking:
    high = round(glass.surface_cm + _between(rng, 0.1, 0.6) * glass.air_height_cm, 1) if _yes(rng, 0.5) else None
    top = glass.surface_cm if high is None else high
    return Basking(
        lamp,
        max(8.0, round(glass.height_cm - top + _between(rng, 2.0, 8.0), 1)),
        _one(rng, [None, 80.0, 200.0]),
        _one(rng, [None, None, _between(rng, 28.0, 42.0)]),
        _one(rng, ["", *materials.names("basking")]),
        high,
    )


def _room(rng: np.random.Generator) -> Room:
    day = _between(rng, 17.0, 26.0)
    night = day - _between(rng, 0.0, 4.0)
    state = RoomState(
        Signal.day_night(day, round(night, 1), "07:00", "22:00"), Signal.constant(_between(rng, 25.0, 65.0))
    )
    return Room(state)


def _span(rng: np.random.Generator, first: int, longest: int) -> Timer:
    start = 60 * int(rng.integers(first, first + 4))
    return Timer((f"{clock(60 * start)}-{clock(60 * (start + 60 * int(rng.integers(2, longest + 1))))}",))


def _routine(rng: np.random.Generator, e: Enclosure) -> Routine:
    floor = e.floor_area_m2
    litres = e.width_cm * e.front_to_back_cm * e.height_cm / 1000.0
    jug = lambda mm: round(max(2.0, 1000.0 * mm * floor), 0)  # noqa: E731
    pours = (Pour(8 * 3600, jug(rng.uniform(0.2, 1.5)), 5.0, int(_one(rng, [1, 1, 2, 7]))),) if _yes(rng, 0.6) else ()
    sprays = tuple(
        Spray(3600 * int(hour), jug(rng.uniform(0.05, 0.4)), 1.0, int(_one(rng, [1, 1, 3])))
        for hour in _one(rng, [(), (), (19,), (7, 20)])
    )
    mists = ()
    if _yes(rng, 0.25):
        wet = Control("humidity", "below", _between(rng, 60.0, 90.0), 5.0, 1.0) if _yes(rng, 0.4) else None
        timer = Timer((_one(rng, ["1 min every 6 h", "2 min every 12 h", "10 min every 4 h"]),))
        mists = (Mist("mister", round(rng.uniform(0.2, 1.0) * 1000.0 * floor / 10.0, 1), timer, wet),)
    lamps = []
    if _yes(rng, 0.85):
        kind = _one(rng, [k for k in materials.names("lamps") if k not in HOT])
        lamps.append(Lamp("plant light", kind, round(rng.uniform(0.1, 0.4) * litres**0.8, 0), _span(rng, 7, 12)))
    if _yes(rng, 0.4) and litres > 40.0:
        lamps.append(Lamp("warm spot", _one(rng, HOT), _one(rng, [20.0, 35.0, 50.0, 75.0]), _span(rng, 9, 8)))
    heaters = ()
    if _yes(rng, 0.35):
        kept = _yes(rng, 0.7)
        hold = Control("temperature", "below", _between(rng, 20.0, 27.0), 1.0, 5.0) if kept else None
        timer = _span(rng, 6, 10) if _yes(rng, 0.5) else Timer(("always",))
        heaters = (Heater("heater", _one(rng, materials.names("heaters")), round(0.2 * litres**0.8, 0), timer, hold),)
    fans = ()
    if _yes(rng, 0.35) and any(o.covered < 1.0 for o in e.openings):
        timer = Timer((_one(rng, ["5 min every 1 h", "15 min every 1 h from 08:00 to 20:00", "always"]),))
        if _yes(rng, 0.6):
            fans = (Fan("fan", "exchange", timer, flow_m3_h=_between(rng, 0.5, 5.0)),)
        else:
            fans = (Fan("fan", "circulate", timer, air_speed_cm_s=_between(rng, 10.0, 60.0)),)
    siphons = ()
    if e.drainage is not None and _yes(rng, 0.5):
        siphons = (Siphon(round(0.3 * e.drainage.depth_cm, 1), when_gap_below_cm=round(0.3 * e.drainage.depth_cm, 1)),)
    return Routine(pours, sprays, mists, tuple(lamps), heaters, fans, siphons)
