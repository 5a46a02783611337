"""What descriptions learned to say after the first keepers' boxes were drawn: light, ground, pots, mixes, seasons, tanks.

`newer_box` gives a box of `tests.keepers` such parts, each by chance, from a stream of random numbers of its own: the
rest of the box stays the one of its seed. Habits are invented, as there.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import replace

import numpy as np

from terralab import materials
from terralab.answers.common.balance import kept_dry
from terralab.describe import (
    Box,
    Door,
    Enclosure,
    Ground,
    Lamp,
    Mist,
    OwnMaterial,
    Pour,
    Reading,
    Room,
    RoomState,
    Routine,
    Signal,
    Start,
    Sun,
    Timer,
    Window,
)
from terralab.errors import TerralabWarning
from tests.keepers import _between, _one, _yes, keepers_box
from tests.learned_boxes import learned

POT_CM = (6.0, 14.0)
#: When the sun comes in, by the side that the window looks out to.
SUN_FROM = {"east": 7, "south": 10, "west": 15}
#: Draws of a learned part: few, and more than the tests ask members.
LEARNED = 16


def newer_box(seed: int) -> Box:
    """The keepers' box of one seed with newer parts, the same on every machine."""
    rng = np.random.default_rng([seed, 2])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)  # what `check` would ask about is welcome here
        box = keepers_box(seed)
        if box.enclosure.plants is not None and _yes(rng, 0.2):
            box = _in_pots(rng, box)
        own = (_weighed(rng, box.enclosure),) if _yes(rng, 0.25) else ()
        glass = _ground(rng, _planted(rng, _mixed(rng, box.enclosure, own)))
        room = _lit(rng, _seasons(rng, box.room))
        box = replace(
            box,
            name=f"Newer keeper {seed}",
            enclosure=glass,
            room=room,
            routine=_routine(rng, box.routine, glass),
            start=_start(rng, box),
            materials=own,
            soil_wanted=_one(rng, ["moist", "dry"]) if _yes(rng, 0.1) else "",
        )
        return learned(box, LEARNED) if _yes(rng, 0.2) else box


def _in_pots(rng: np.random.Generator, box: Box) -> Box:
    """The same plants in pots on the bare floor: one mix as deep as a pot, no layer below and nothing that belongs to one."""
    glass = box.enclosure
    deep = round(min(_between(rng, *POT_CM), 0.4 * glass.height_cm), 1)
    layer = replace(glass.layers[0], depth_cm=deep)
    low = deep + 0.5
    openings = tuple(
        o if o.wall == "lid" else replace(o, bottom_cm=max(low, min(o.bottom_cm, glass.height_cm - o.height_cm)))
        for o in glass.openings
        if o.wall == "lid" or o.height_cm < glass.height_cm - low
    )
    kept = {"layers": (layer,), "drainage": None, "tube": None, "cover": None, "drain_hole": False, "hide": None}
    share = Ground(bare_floor=round(float(rng.uniform(0.4, 0.85)), 2))
    basking = glass.basking and replace(glass.basking, height_cm=None)
    pots = replace(glass, **kept, openings=openings, ground=share, basking=basking)
    return replace(box, enclosure=pots, routine=replace(box.routine, siphons=()))


def _weighed(rng: np.random.Generator, glass: Enclosure) -> OwnMaterial:
    """A litre or so of a mix, weighed dry, soaked and drained as one near it would be."""
    like = _one(rng, materials.names("substrates"))
    mix = materials.get("substrates", like)
    volume, pot_g = _between(rng, 300.0, 2000.0), _between(rng, 20.0, 80.0)
    dry = pot_g + 1e-3 * volume * mix.typical("bulk_density") + 0.02 * volume
    soaked = dry + volume * (mix.typical("theta_s") - 0.04)
    drained = dry + (soaked - dry) * _between(rng, 0.7, 0.9)
    grams = lambda value: round(float(value), 0)  # noqa: E731
    return OwnMaterial(
        "my mix", volume, _between(rng, 8.0, 15.0), grams(dry), grams(soaked), grams(drained), like, pot_g
    )


def _mixed(rng: np.random.Generator, glass: Enclosure, own: tuple[OwnMaterial, ...]) -> Enclosure:
    """Layers of the keeper's own: what was weighed on top, or parts of two mixes."""
    layers = list(glass.layers)
    if own:
        layers[0] = replace(layers[0], material=own[0].as_material)
    for number in range(len(own), len(layers)):
        if _yes(rng, 0.5):
            other = _one(rng, [name for name in materials.names("substrates") if name != layers[number].material])
            recipe = f"{int(rng.integers(2, 5))} parts {layers[number].material}, 1 part {other}"
            layers[number] = replace(layers[number], material=recipe)
    return replace(glass, layers=tuple(layers))


def _planted(rng: np.random.Generator, glass: Enclosure) -> Enclosure:
    """Plants of which the share that they cover is known instead of their leaves, with their height."""
    if glass.plants is None:
        return glass
    known = {"height_cm": round(_between(rng, 0.1, 0.8) * glass.air_height_cm, 1)} if _yes(rng, 0.5) else {}
    if _yes(rng, 0.5):
        known |= {"leaf_area_cm2": None, "cover": round(float(rng.uniform(0.05, 0.9)), 2)}
    return replace(glass, plants=replace(glass.plants, raised_damp=_one(rng, [None, None, True, False]), **known))


def _ground(rng: np.random.Generator, glass: Enclosure) -> Enclosure:
    """Stones, moss and bare places on the soil; a cord down to the water; moss on wood; a dish that nobody fills."""
    known: dict[str, object] = {}
    share = lambda most: round(float(rng.uniform(0.03, most)), 2)  # noqa: E731
    if glass.ground is None and _yes(rng, 0.6):
        mossy = glass.cover is not None and glass.cover.is_moss
        known["ground"] = Ground(
            bare_soil=share(0.25) if _yes(rng, 0.4) else 0.0,
            moss=share(0.3) if not mossy and _yes(rng, 0.5) else 0.0,
            rock=share(0.3) if _yes(rng, 0.6) else 0.0,
        )
    if glass.drainage is not None and _yes(rng, 0.3):
        most = min(8.0, 0.01 * glass.floor_area_m2 * 1e4)
        known["drainage"] = replace(
            glass.drainage, wick_area_cm2=round(float(rng.uniform(0.1, 1.0)) * most, 2),
            void_fraction=_one(rng, [None, 0.38, 0.45]),
        )  # fmt: skip
    if glass.wood_area_cm2 and _yes(rng, 0.3):
        known["moss_on_wood_area_cm2"] = round(0.5 * glass.wood_area_cm2)
    if glass.dish is not None:
        known["dish"] = replace(glass.dish, refill_days=_one(rng, [1, 2, 7, "never"]))
    return replace(glass, **known)


def _seasons(rng: np.random.Generator, room: Room) -> Room:
    """The keeper's own winter and summer, for some of them."""
    day = room.now.temperature.range()[1]
    known = {}
    for season, warmer, humid in (("winter", (-5.0, 0.0), (20.0, 45.0)), ("summer", (0.0, 6.0), (40.0, 70.0))):
        if _yes(rng, 0.5):
            high = day + _between(rng, *warmer)
            warmth = Signal.day_night(round(high, 1), round(high - _between(rng, 0.5, 5.0), 1), "07:00", "22:00")
            known[season] = RoomState(warmth, Signal.constant(_between(rng, *humid)))
    return replace(room, **known)


def _lit(rng: np.random.Generator, room: Room) -> Room:
    """A window near by, and now and then the sun on a pane."""
    if not _yes(rng, 0.6):
        return room
    faces = _one(rng, ["north", "east", "south", "west"])
    away = _between(rng, 0.2, 4.0)
    read = {"lux_at_plants": round(_between(rng, 100.0, 2000.0))} if _yes(rng, 0.3) else {}
    window = Window(away, faces, _one(rng, ["double", "double", "single"]), **read)
    sun = None
    if faces != "north" and away < 1.5 and _yes(rng, 0.6):
        first = SUN_FROM[faces]
        sun = Sun(
            Timer((f"{first:02}:00-{first + int(rng.integers(1, 4)):02}:00",)),
            share=_one(rng, [None, 0.1, 0.3]),
            wall=_one(rng, ["front", "back", "left", "right"]),
            seasons=_one(rng, [("now", "winter", "summer"), ("now", "summer"), ("winter",)]),
        )
    return replace(room, window=window, sun=sun)


def _routine(rng: np.random.Generator, routine: Routine, glass: Enclosure) -> Routine:
    """Timers that differ by season, tanks, drips, a door that is opened, a pour down the tube."""
    lamps = tuple(_seasonal(rng, _read(rng, lamp, glass)) for lamp in routine.lamps)
    heaters = tuple(_seasonal(rng, heater) for heater in routine.heaters)
    mists = routine.mists
    if not mists and _yes(rng, 0.2):
        flow = round(100.0 * glass.soil_area_m2 * float(rng.uniform(0.5, 2.0)), 1)
        mists = (Mist("drip", flow, Timer((_one(rng, ["2 min every 12 h", "07:00-07:05"]),)), onto="soil"),)
    mists = tuple(_from_a_tank(rng, mist) for mist in mists)
    pours = routine.pours
    if pours and glass.tube is not None and _yes(rng, 0.3):
        most = 0.3 * glass.soil_area_m2 * 1e4 * glass.drainage.depth_cm * glass.drainage.voids
        pours = (*pours, Pour(9 * 3600, round(max(1.0, most), 0), 5.0, 7, "drainage"))
    doors = ()
    if _yes(rng, 0.3):
        doors = (
            Door(19 * 3600, _one(rng, [1.0, 5.0, 15.0]), int(_one(rng, [1, 1, 3])), wall=_one(rng, ["front", "lid"])),
        )
    return replace(routine, lamps=lamps, heaters=heaters, mists=mists, pours=pours, doors=doors)


def _read(rng: np.random.Generator, lamp: Lamp, glass: Enclosure) -> Lamp:
    """The same lamp, for some with what a meter shows under it, or hung higher."""
    way = _one(rng, ["", "", "lux", "hung"])
    if way == "lux":
        return replace(lamp, lux_at_plants=round(_between(rng, 500.0, 15000.0)))
    if way == "hung":
        return replace(lamp, to_plants_cm=round(lamp.above_plants_cm(glass) + _between(rng, 1.0, 15.0), 1))
    return lamp


def _seasonal(rng: np.random.Generator, device):
    """The same device with shorter hours in winter or longer ones in summer, for some."""
    if device.timer.on_s >= 86_400.0 or not _yes(rng, 0.4):
        return device
    return replace(
        device, timer_winter=Timer(("09:00-17:00",)), timer_summer=_one(rng, [None, Timer(("07:00-21:00",))])
    )


def _from_a_tank(rng: np.random.Generator, mist: Mist) -> Mist:
    """The same mister fed from a tank that lasts days or weeks, for some; a fogger now and then."""
    known: dict[str, object] = {}
    if mist.onto == "all" and _yes(rng, 0.3):
        known["airborne"] = 0.9
    if _yes(rng, 0.6):
        days = _one(rng, [3, 10, 30])
        known |= {"tank_ml": math.ceil(days * mist.water_ml_day + 100.0), "refill_days": _one(rng, [None, 7, 14])}
    return replace(mist, **known)


def _start(rng: np.random.Generator, box: Box) -> Start:
    """The start, for some with what a probe shows in the middle of the soil."""
    if not _yes(rng, 0.2):
        return box.start
    suction = _one(rng, [50.0, 200.0] if kept_dry(box) else [1.0, 5.0, 20.0])
    depth = round(0.5 * sum(layer.depth_cm for layer in box.enclosure.layers), 1)
    return Start(box.start.soil, readings=(Reading(depth_cm=depth, suction_kpa=suction),))
