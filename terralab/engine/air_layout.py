"""The air of a described box as tables: its zones, the surfaces beside them, and what joins both.

Air is parted at half its height where it is tall enough to be warmer above than below; a jar is one zone. A hide is a
zone of its own. Surfaces stand in one order: leaves, panes, lid, dish, basking place, hide, patches of the ground that are
no soil, and last the cover and the soil, on which what drips from the others lands.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from terralab.describe.enclosure import Enclosure
from terralab.engine.ground_layout import COVER_HALF_WET, ENDLESS, LONG_WAVE_AT, MOSS_HEAT, Row, ground, pane, patches
from terralab.engine.kinds import (
    BACK,
    BASKING,
    DISH,
    DOWNWARDS,
    FRONT,
    HIDDEN_SOIL,
    LEAF,
    LID,
    MOSS,
    PANE,
    SHELL,
    SIDES,
    UPRIGHT,
    UPWARDS,
)
from terralab.engine.tables import LINK, SURFACE, ZONE
from terralab.physics.basking import share_on
from terralab.physics.canopy import area_seen, let_through, mean_light
from terralab.physics.constants import STEFAN_BOLTZMANN, WATER_DENSITY, ZERO_CELSIUS
from terralab.physics.fog import settling_speed
from terralab.physics.radiant import star

AIR_DENSITY = 1.18  # kg of dry air in a cubic metre at about 23 C; breathing with temperature is left out
JAR_M = 0.25  # m, air that is lower than this counts as one zone
CHILL_LEAF = 0.72  # a leaf's length along the wind as a share of its width (Campbell & Norman 1998)
LEAF_HEAT = 800.0  # J/m2K, a leaf of 0.2 mm water (a guess; leaves follow within a minute either way)
DISH_HEAT = 5000.0  # J/m2K, a few millimetres of ceramic
DISH_CONTACT = 20.0  # W/m2K, from the water through a dish to the ground under it (a guess)
DISH_HALF_DRY = 0.05  # kg/m2, the last water of a dish, that no longer covers its floor
DRY_GROUND = 0.02 * 1.3e6  # J/m2K, 2 cm of dry mix (a guess)
HIDE_HEAT = 6000.0  # J/m2K of its walls (a guess)
HIDE_CONDUCTS = 5.7  # W/m2K through its walls to what they see: 8 outside behind 5 mm of cork or 1 cm of wood (a guess)
LEAST_PLANTED = 0.02  # of the floor: leaves stand over some of it
HIDE_AIR = 0.02  # m/s, nothing blows in a hide (a guess)


@dataclass
class AirLayout:
    """The tables of the air: zones (the first `stacked` of them stand on each other), surfaces, links.

    `lid_radiation` [W/K] joins the radiant node to the room through what of the lid is open.
    """

    zones: np.ndarray
    stacked: int
    surfaces: np.ndarray
    films: np.ndarray
    links: np.ndarray
    lid_radiation: float
    mean_share: np.ndarray
    heat_share: np.ndarray = field(default_factory=lambda: np.zeros(0))


def air_layout(e: Enclosure, pick: Callable, b: np.void, heated: bool) -> AirLayout:
    """Return the tables of an enclosure; `b` is its BOX record, filled but for what stands in the tables.

    `heated`: a lamp or a heater is described.
    """
    zones, stacked = zone_rows(e, pick)
    rows = [*leaves(e, pick, b, zones, stacked), *panes(e, pick, b, zones, stacked), *dish(e, zones)]
    rows += [*basking(e, pick, b, zones, stacked), *hide_rows(e, pick, b, stacked), *patches(e, pick, b, zones)]
    rows += ground(e, pick, b, zones, over=len(rows))
    surfaces = np.zeros(len(rows), SURFACE)
    for row, one in zip(surfaces, rows, strict=True):
        row["kind"], row["zone"], row["over"] = one.kind, one.zone, -1.0
        for name, value in one.numbers.items():
            row[name] = value
    seen = star([*(one.radiates for one in rows), float(b["lid_area"])])
    surfaces["radiates"] += b["radiation"] * seen[:-1]
    links = [(i, -1.0, 0.0, 0.0) for i in range(stacked)] + [(i, i + 1.0, 0.0, 0.0) for i in range(stacked - 1)]
    if e.hide is not None:
        links.append((stacked, 0.0, 0.0, 0.0))
        b["hide_area"], b["hide_height"] = e.hide.opening_area_cm2 / 1e4, e.hide.opening_height_cm / 100.0
    mean = np.where(np.arange(len(zones)) < stacked, zones["mass"], 0.0)
    above = pick("defaults", "lamp heat above", "share") if stacked > 1 and heated else 1.0
    heat = np.zeros(len(zones))
    heat[stacked - 1] = above
    heat[0] += 1.0 - above
    return AirLayout(
        zones,
        stacked,
        surfaces,
        np.array([one.film for one in rows]),
        np.array(links, LINK),
        float(b["radiation"] * seen[-1]),
        mean / mean.sum(),
        heat,
    )


def zone_rows(e: Enclosure, pick: Callable) -> tuple[np.ndarray, int]:
    """The zones that stand on each other with the hide's air after them, and how many stand."""
    floor = e.floor_area_m2
    bottom, height = e.surface_cm / 100.0, e.air_height_cm / 100.0
    stacked = 1 if height < JAR_M else 2
    zones = np.zeros(stacked + int(e.hide is not None), ZONE)
    fall = settling_speed(pick("defaults", "fogger", "drop_um") * 1e-6)
    air = zones[:stacked]
    air["bottom"] = bottom + np.arange(stacked) * height / stacked
    air["top"] = bottom + np.arange(1, stacked + 1) * height / stacked
    air["section"] = floor
    air["volume"] = floor * height / stacked
    air["settle"] = np.maximum(30.0, height / fall) / stacked
    air["wood_store"] = (wood_store(e, pick) + board_store(e, pick)) / stacked
    if e.hide is not None:
        _, _, tall = e.hide.sides_cm
        inside = zones[stacked]
        inside["volume"] = e.hide.inner_volume_ml / 1e6
        inside["section"] = e.hide.floor_area_cm2 / 1e4
        inside["bottom"], inside["top"] = bottom, bottom + tall / 100.0
        inside["settle"] = max(30.0, tall / 100.0 / fall)
    zones["mass"] = AIR_DENSITY * zones["volume"]
    return zones, stacked


def buffer(area: float, moisture: float, hours: float) -> float:
    """Water [kg] that an open surface of `area` [m2] takes up between dry and saturated air.

    The published value (`moisture` [kg/m2 for each % RH]) is the uptake of 8 hours in a daily cycle; the store behind it,
    which follows with a lag of `hours`, is larger.
    """
    lag = math.exp(-8.0 / hours)
    return area * 100.0 * moisture * (1.0 - lag**3) / ((1.0 - lag) * (1.0 - lag**2))


def wood_store(e: Enclosure, pick: Callable) -> float:
    """Water [kg] that wood and background take up between dry and saturated air."""
    wood = [pick("defaults", "wood buffer", prop) for prop in ("moisture_per_percent", "hours")]
    return buffer((e.wood_area_cm2 + e.background_area_cm2) / 1e4, *wood)


def board_store(e: Enclosure, pick: Callable) -> float:
    """Water [kg] that a board inside takes up through its face."""
    if e.background is None or not e.background.inside:
        return 0.0
    across = {"back": e.width_cm, "left": e.front_to_back_cm, "right": e.front_to_back_cm}
    area = sum(across[wall] for wall in e.background.walls) * e.air_height_cm / 1e4
    own = [pick("backgrounds", e.background.material, prop) for prop in ("moisture_per_percent", "hours")]
    return buffer(area, *own)


def under_leaves(e: Enclosure) -> float:
    """Share of the floor that plants stand over: as typed, else what is planted of it."""
    typed = None if e.plants is None else e.plants.cover
    return max(LEAST_PLANTED, e.planted_share if typed is None else typed)


def leaves(e: Enclosure, pick: Callable, b: np.void, zones: np.ndarray, stacked: int) -> Iterator[Row]:
    """The leaves: one row in each zone."""
    p = e.plants
    if p is None or b["leaf_area"] == 0.0:
        return
    below = pick("defaults", "leaves below", "share") if stacked > 1 else 1.0
    shares = [below, 1.0 - below][:stacked]
    ground = under_leaves(e) * e.floor_area_m2
    k = pick("defaults", "canopy", "extinction")
    seen = area_seen(float(b["leaf_area"]), ground, k)
    for zone, share in enumerate(shares):
        area = share * float(b["leaf_area"])
        if area == 0.0:
            continue
        own, over = area / ground, sum(shares[zone + 1 :]) * float(b["leaf_area"]) / ground
        numbers = {
            "area": area,
            "faces": 2.0,
            "length": CHILL_LEAF * p.leaf_width_cm / 100.0,
            "facing": UPWARDS,
            "capacity": LEAF_HEAT * area,
            "light": let_through(k, over) * mean_light(1.0, k, own),
            "film_max": area * pick("plants", p.kind, "leaf_film"),
            "film_half": area * pick("defaults", "leaf film", "half_wet"),
            "high": 0.5 * (zones[zone]["bottom"] + zones[zone]["top"]),
        }
        yield Row(LEAF, zone, numbers, share * seen)


def panes(e: Enclosure, pick: Callable, b: np.void, zones: np.ndarray, stacked: int) -> Iterator[Row]:
    """Front, sides and back, each in pieces by zone, and the glass of the lid."""
    width, depth = e.width_cm / 100.0, e.front_to_back_cm / 100.0
    for zone in range(stacked):
        height = float(zones[zone]["top"] - zones[zone]["bottom"])
        for wall, across, sides in (
            (FRONT, width, ("front",)),
            (SIDES, 2.0 * depth, ("left", "right")),
            (BACK, width, ("back",)),
        ):
            boards = e.background.walls if e.background is not None else ()
            share = sum(side in boards for side in sides) / len(sides)
            row = pane(e, pick, across * height, share)
            row |= {"wall": wall, "length": height, "width": across, "facing": UPRIGHT}
            row["high"] = float(zones[zone]["bottom"])
            yield Row(PANE, zone, row, across * height)
    area = width * depth - float(b["lid_area"])
    if area > 1e-6:
        row = pane(e, pick, area, 0.0)
        row |= {"length": math.sqrt(area), "facing": DOWNWARDS, "high": e.height_cm / 100.0}
        yield Row(LID, stacked - 1, row, area)


def dish(e: Enclosure, zones: np.ndarray) -> Iterator[Row]:
    """The water dish."""
    if e.dish is None:
        return
    area = e.dish.area_cm2 / 1e4
    numbers = {
        "area": area,
        "faces": 1.0,
        "length": math.sqrt(area),
        "facing": UPWARDS,
        "capacity": DISH_HEAT * area,
        "film_max": ENDLESS,
        "film_half": DISH_HALF_DRY * area,
        "high": float(zones[0]["bottom"]),
        "between": 0.0 if e.dish.stands_on_floor else DISH_CONTACT * area,
    }
    yield Row(DISH, 0, numbers, area, area * e.dish.depth_cm / 100.0 * WATER_DENSITY)


def basking(e: Enclosure, pick: Callable, b: np.void, zones: np.ndarray, stacked: int) -> Iterator[Row]:
    """The place under a lamp: a slab that the lamp warms and the air cools; what lies under it is left out.

    On the bare ground it is as a finger's breadth of dry ground; wet ground stays cooler, since its water evaporates.
    """
    place = e.basking
    if place is None:
        return
    area = basking_area(e, pick)
    high = place.top_cm(e) / 100.0
    zone = int(sum(high >= top - 1e-9 for top in zones["top"][: stacked - 1]))
    heat = DRY_GROUND
    if place.material:
        number = lambda prop: pick("basking", place.material, prop)  # noqa: E731
        heat = number("heat_capacity") * number("thickness_mm") / 1000.0
    numbers = {
        "area": area,
        "faces": 1.0,
        "length": math.sqrt(area),
        "facing": UPWARDS,
        "capacity": heat * area,
        "radiates": float(b["radiation"]) * area,
        "high": high,
    }
    yield Row(BASKING, zone, numbers)


def basking_area(e: Enclosure, pick: Callable) -> float:
    """Area of the basking place [m2]."""
    given = e.basking.area_cm2
    return (pick("defaults", "basking place", "area") if given is None else given) / 1e4


def basking_share(e: Enclosure, pick: Callable) -> float:
    """Share of what the named lamp radiates that the basking place takes up [-]."""
    place = e.basking
    absorbs = (
        pick("basking", place.material, "absorbs") if place.material else pick("defaults", "basking place", "absorbs")
    )
    half_angle = 0.5 * pick("defaults", "basking lamp", "beam")
    return absorbs * share_on(basking_area(e, pick), place.distance_cm / 100.0, half_angle)


def hide_rows(e: Enclosure, pick: Callable, b: np.void, stacked: int) -> Iterator[Row]:
    """The hide: its walls and roof, and its floor. Outside it takes on the temperature of what it sees."""
    if e.hide is None:
        return
    width, deep, tall = (side / 100.0 for side in e.hide.sides_cm)
    floor = e.hide.floor_area_cm2 / 1e4
    area = 2.0 * (width + deep) * tall + floor
    film = {name: pick("defaults", "glass film", name) for name in ("capacity", "half_wet")}
    walls = {
        "area": area,
        "faces": 1.0,
        "length": tall,
        "facing": DOWNWARDS,
        "capacity": HIDE_HEAT * area,
        "radiates": HIDE_CONDUCTS * area,
        "film_max": film["capacity"] * area,
        "film_half": film["half_wet"] * area,
        "air_speed": HIDE_AIR,
    }
    yield Row(SHELL, stacked, walls)
    if e.hide.floor == "dry":
        return
    low = {"area": floor, "faces": 1.0, "length": math.sqrt(floor), "facing": UPWARDS, "air_speed": HIDE_AIR}
    if e.hide.floor == "soil":
        yield Row(HIDDEN_SOIL, stacked, low)
        return
    holds = pick("defaults", "moist hide", "water") * floor
    low |= {"capacity": MOSS_HEAT * floor, "radiates": float(b["radiation"]) * floor}
    low |= {"film_max": holds, "film_half": COVER_HALF_WET * holds}
    yield Row(MOSS, stacked, low, film=holds)


def long_wave(pick: Callable) -> float:
    """Heat that a square metre radiates for each kelvin [W/m2K], made linear about LONG_WAVE_AT."""
    kelvin = LONG_WAVE_AT + ZERO_CELSIUS
    return pick("defaults", "radiation", "emissivity") * 4.0 * STEFAN_BOLTZMANN * kelvin**3
