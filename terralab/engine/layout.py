"""From a description to the numbers of the compiled engine (SI): the grid, the box, the devices, the start.

Nothing is computed over time here. `overrides` lets an uncertain number stand at the low or high end of its
published range, which is how answers get their own range.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from terralab import materials
from terralab.describe.box import Box
from terralab.engine.doors import door_rows
from terralab.engine.fans import fan_rows, open_area
from terralab.engine.schedule import devices, opened
from terralab.engine.tables import BOX
from terralab.physics.conductivity import conductivity_scale, vapour_diffusivity
from terralab.physics.constants import (
    STEFAN_BOLTZMANN,
    WATER_DENSITY,
    WATER_HEAT,
    ZERO_CELSIUS,
)
from terralab.physics.convection import litter_resistance
from terralab.physics.fog import chill_factor, settling_speed
from terralab.physics.retention import SOIL_COLUMNS, water_content
from terralab.soil.arrays import RESERVOIR, SEALED, SEEPAGE

TOP_CELL = 1.5e-3  # m, thin enough to carry the drying of the surface (measured in the method study)
FIRST_THERMAL = 2.5e-3  # m, thickness of the uppermost temperature layer
LONG_WAVE_AT = 22.0  # C, temperature about which long-wave exchange is made linear
LIGHT_BLOCKED = 0.6  # -, extinction of light by leaves (about 0.5 to 0.7, Monsi & Saeki 1953, from memory)
SPRAY_ON_GLASS = 0.2  # -, share of a hand-spray that lands on panes (a guess)
SOIL_CONDUCTS = 0.3  # W/mK, a damp mix, for the way of heat from the middle of a layer to the panes
PHOTONS = 4.6  # umol of photosynthetic light in a joule of white light (from memory)
LEAF_HEAT = 800.0  # J/m2K, a leaf of 0.2 mm water (a guess; leaves follow within a minute either way)
SUCTION_OF_DRY = -5000.0  # m: pore air at 70 % humidity (Kelvin), a mix that stood unwatered for months


class Overrides:
    """Numbers from the materials tables: as `overrides` asks, "low", "high" or a value of its own, else typical."""

    def __init__(self, overrides: Mapping[str, float | str] | None = None) -> None:
        self.overrides = dict(overrides or {})

    def __call__(self, table: str, name: str, prop: str) -> float:
        asked = self.overrides.get(f"{name}.{prop}", "typical")
        return getattr(materials.get(table, name)[prop], asked) if isinstance(asked, str) else float(asked)


def soil_row(pick: Overrides, material: str) -> np.ndarray:
    """One row of the engine's soil table, in the order of `retention.SOIL_COLUMNS`."""
    entry = materials.get("substrates", material)
    row = np.zeros(len(SOIL_COLUMNS))
    for column, prop in enumerate(SOIL_COLUMNS):
        if prop in entry.numbers:
            row[column] = pick("substrates", material, prop)
    row[0] = 1.0 if "w2" in entry.numbers else 0.0
    row[SOIL_COLUMNS.index("dry_end")] = 1.0
    row[SOIL_COLUMNS.index("k_scale")] = conductivity_scale(row)
    return row


def grid(layers: list[tuple[str, float]], cells: int) -> tuple[np.ndarray, np.ndarray]:
    """Cell thicknesses [m] growing from a thin top, fitted to the layers, and the layer each cell lies in."""
    depth = sum(thickness for _, thickness in layers)
    top = min(TOP_CELL, depth / cells)
    low, high = 1.0, 2.0
    for _ in range(60):
        ratio = 0.5 * (low + high)
        total = top * cells if ratio == 1.0 else top * (ratio**cells - 1.0) / (ratio - 1.0)
        low, high = (ratio, high) if total < depth else (low, ratio)
    faces = np.concatenate([[0.0], np.cumsum(top * low ** np.arange(cells))])
    faces *= depth / faces[-1]
    sizes: list[float] = []
    place: list[int] = []
    above = 0.0
    for index, (_, thickness) in enumerate(layers):
        below = above + thickness
        inside = faces[(faces > above + 1e-4) & (faces < below - 1e-4)]
        if len(inside) == 0:
            inside = np.array([0.5 * (above + below)])
        edges = np.concatenate([[above], inside, [below]])
        # no sliver beside a layer's edge
        while len(edges) > 3 and edges[-1] - edges[-2] < 0.4 * (edges[-2] - edges[-3]):
            edges = np.delete(edges, -2)
        while len(edges) > 3 and edges[1] - edges[0] < 0.4 * (edges[2] - edges[1]) and index > 0:
            edges = np.delete(edges, 1)
        sizes.extend(np.diff(edges))
        place.extend([index] * (len(edges) - 1))
        above = below
    return np.array(sizes), np.array(place, dtype=np.int64)


def thermal_layers(dz: np.ndarray) -> np.ndarray:
    """First cell of each temperature layer (and one past the last): thin on top, doubling downwards."""
    starts = [0]
    target = FIRST_THERMAL
    thick = 0.0
    for i, size in enumerate(dz):
        thick += size
        if thick >= target and i + 1 < len(dz):
            starts.append(i + 1)
            thick = 0.0
            target = min(2.0 * target, 0.03)
    return np.array([*starts, len(dz)], dtype=np.int64)


def box_row(box: Box, pick: Overrides, dz: np.ndarray) -> np.ndarray:
    """The constants of the box as one BOX record."""
    e = box.enclosure
    default = lambda name, prop: pick("defaults", name, prop)  # noqa: E731
    row = np.zeros(1, BOX)
    b = row[0]
    width, depth = e.width_cm / 100.0, e.front_to_back_cm / 100.0
    floor = width * depth
    b["floor"] = floor
    b["volume"] = e.air_volume_m3
    b["air_height"] = e.air_height_cm / 100.0
    b["air_mass"] = 1.18 * e.air_volume_m3  # kg of dry air at about 23 C; breathing with temperature is left out
    b["lid_area"] = sum(open_area(opening) for opening in e.openings if opening.wall == "lid")
    leakage = default("leakage", "ach") if e.leakage_ach is None else e.leakage_ach
    b["leak"] = max(leakage, 1e-3) * e.air_volume_m3 / 3600.0
    speed = default("air movement", "speed") if e.air_speed_cm_s is None else e.air_speed_cm_s / 100.0
    b["still_air"] = max(0.01, speed)
    # glass: walls above the soil and what of the lid is not open
    glass = 2.0 * (width + depth) * b["air_height"] + floor - b["lid_area"]
    pane = e.glass_mm / 1000.0
    conductivity = default("glass pane", "conductivity")
    outer = 1.0 / (1.0 / default("outer glass", "h") + 0.5 * pane / conductivity)
    b["glass_area"] = glass
    b["glass_capacity"] = glass * pane * default("glass pane", "heat_capacity")
    b["glass_out"] = glass * outer
    b["side_per_m"] = 2.0 * (width + depth) / (1.0 / outer + min(width, depth) / (6.0 * SOIL_CONDUCTS))
    b["bottom_out"] = floor / (0.17 + pane / conductivity)  # room air below the glass (ISO 6946, R = 0.17 m2K/W)
    kelvin = LONG_WAVE_AT + ZERO_CELSIUS
    # every surface inside sees the panes and, through the open lid, the room in proportion to their areas
    seen = b["lid_area"] / (glass + b["lid_area"])
    long_wave = default("radiation", "emissivity") * 4.0 * STEFAN_BOLTZMANN * kelvin**3
    b["radiation"] = long_wave * (1.0 - seen)
    b["lid_radiation"] = long_wave * floor * seen
    b["glass_film_max"] = glass * default("glass film", "capacity")
    b["glass_half_wet"] = glass * default("glass film", "half_wet")
    b["drip_seconds"] = default("drip time", "time")
    shade = 0.0
    if e.plants is not None:
        p = e.plants
        area = p.leaf_area_cm2 / 1e4
        plant = lambda prop: pick("plants", p.kind, prop)  # noqa: E731
        shade = 1.0 - math.exp(-LIGHT_BLOCKED * area / floor)
        b["has_plants"] = 1.0 if area > 0.0 else 0.0
        b["leaf_area"] = area
        b["leaf_capacity"] = LEAF_HEAT * area
        b["leaf_width"] = p.leaf_width_cm / 100.0
        b["leaf_film_max"] = area * plant("leaf_film")
        b["leaf_half_wet"] = area * default("leaf film", "half_wet")
        b["resistance_lit"], b["resistance_dark"] = plant("resistance_lit"), plant("resistance_dark")
        b["wet_limit"] = plant("wet_limit_air")
        b["root_start"], b["root_stop"] = plant("dry_start_head"), plant("dry_limit_head")
        b["root_depth"] = p.root_depth_cm / 100.0
    b["land_leaf"] = 0.5 * shade
    b["land_glass"] = SPRAY_ON_GLASS
    b["land_ground"] = 1.0 - b["land_leaf"] - b["land_glass"]
    b["ground_length"] = math.sqrt(floor)
    if e.cover is not None and materials.get("covers", e.cover.material).typical("porous") == 0:
        cover = lambda prop: pick("covers", e.cover.material, prop)  # noqa: E731
        thick = e.cover.depth_cm / 100.0
        b["cover"] = 1.0
        b["ground_capacity"] = floor * thick * cover("heat_capacity")
        b["cover_conductance"] = floor * cover("lambda") / (0.5 * thick)
        b["cover_resistance"] = litter_resistance(
            thick, cover("porosity"), cover("vapour_resistance_factor"), vapour_diffusivity(LONG_WAVE_AT)
        )
        b["cover_water_max"] = floor * e.cover.depth_cm * cover("water_capacity")
        b["cover_half_wet"] = 0.15 * b["cover_water_max"]
    if e.dish is not None:
        area = e.dish.area_cm2 / 1e4
        b["has_dish"] = 1.0
        b["dish_area"] = area
        b["dish_full"] = area * e.dish.depth_cm / 100.0 * WATER_DENSITY
        b["dish_capacity"] = 5000.0 * area  # J/K, a few millimetres of ceramic
    store = (e.wood_area_cm2 + e.background_area_cm2) / 1e4
    b["wood_store"] = store * 100.0 * default("wood buffer", "moisture_per_percent")
    hours = default("wood buffer", "hours")
    # the published value is the uptake of 8 hours in a daily cycle; the store behind it, with its lag, is larger
    lag = math.exp(-8.0 / hours)
    b["wood_store"] *= (1.0 - lag**3) / ((1.0 - lag) * (1.0 - lag**2))
    b["wood_seconds"] = 3600.0 * hours
    b["supersaturation_seconds"] = default("supersaturation time", "time")
    drop = default("fogger", "drop_um") * 1e-6
    b["fog_diameter"] = drop
    b["fog_settle"] = max(30.0, b["air_height"] / settling_speed(drop))
    b["fog_cooling"] = chill_factor(LONG_WAVE_AT, vapour_diffusivity(LONG_WAVE_AT))
    top = materials.get("substrates", e.layers[0].material)
    b["repellent_below"] = pick("substrates", top.name, "repellent_below")
    b["bypass_share"] = pick("substrates", top.name, "bypass_share")
    b["rim"] = max(1e-3, e.free_space_ml * 1e-6 / floor)
    b["run_off_to_soil"] = 1.0
    b["siphon_gap"] = -1.0
    b["bottom_kind"] = SEEPAGE if e.drain_hole else SEALED
    if e.drainage is not None:
        d = e.drainage
        stone = lambda prop: pick("aggregates", d.material, prop)  # noqa: E731
        b["has_reservoir"] = 1.0
        b["bottom_kind"] = RESERVOIR
        b["reservoir_depth"] = d.depth_cm / 100.0
        b["void"] = stone("void_fraction") if d.void_fraction is None else d.void_fraction
        # grains cannot draw from water that is not there: in a thin layer the rise ends at its floor
        b["fringe"] = min(stone("capillary_rise"), b["reservoir_depth"])
        b["entry"] = stone("entry_suction")
        b["wick_rise"] = 1.0
        if d.wick_area_cm2 > 0.0:
            b["wick_share"] = d.wick_area_cm2 / 1e4 / floor
            b["wick_conducts"], b["wick_rise"] = default("wick", "conductivity"), default("wick", "rise")
        b["aggregate_capacity"] = floor * b["reservoir_depth"] * stone("heat_capacity_dry")
        b["aggregate_dry"], b["aggregate_wet"] = stone("lambda_dry"), stone("lambda_wet")
        share = e.runoff_to_soil
        if share is None:
            share = default("run-off share to soil", "share")
        b["run_off_to_soil"] = share
        if e.tube is not None and not e.tube.capped:
            b["tube_built"] = 1.0
            b["tube_area"] = math.pi / 4.0 * (e.tube.diameter_cm / 100.0) ** 2
            b["tube_length"] = float(dz.sum()) + 0.5 * b["reservoir_depth"]
        for siphon in box.routine.siphons:
            if siphon.when_gap_below_cm is not None:
                b["siphon_gap"] = siphon.when_gap_below_cm / 100.0
                b["siphon_to"] = siphon.to_level_cm / 100.0
    return row


def device_rows(box: Box, pick: Overrides, b: np.void) -> tuple[np.ndarray, np.ndarray]:
    """What each device does while it runs (see `schedule.devices`), and the openings with those of fans and doors.

    It also tells `b` how much light opens the leaves, and where the doors begin.
    """
    shade = 2.0 * float(b["land_leaf"])
    openings, fans = fan_rows(box.enclosure, box.routine.fans, pick)
    shut, doors = door_rows(box.enclosure, opened(box.routine), pick, len(openings))
    b["first_door"] = len(openings)
    openings = np.concatenate([openings, shut])
    rows = devices(box.routine, pick, shade, [*fans, *doors])
    if b["has_plants"] > 0.0 and rows["light"].any():
        b["light_full"] = b["floor"] * pick("defaults", "leaf light", "opens_fully") / PHOTONS
    return rows, openings


def start_heads(
    kind: str, dz: np.ndarray, soils: np.ndarray, place: np.ndarray, entry: float, level: float
) -> np.ndarray:
    """Heads of the cells [m] at the start. drained-moist: at rest above the mesh; wet: brimful; dry: -5000 m."""
    above_base = dz.sum() - (np.cumsum(dz) - 0.5 * dz)
    if kind == "dry":
        head = np.full(len(dz), SUCTION_OF_DRY)
    elif kind == "wet":
        head = np.full(len(dz), -1e-3)
    else:
        head = -(above_base + entry)
    if level > 0.0:  # water stands above the mesh: the soil is flooded up to it
        head = np.maximum(head, level - above_base)
    return head


def stored_water(head: np.ndarray, dz: np.ndarray, soils: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Water of each cell [m] at `head`, as the soil clock counts it."""
    from terralab.soil.storage import stored

    return np.array([stored(head[i], dz[i], soils[place[i]], i == 0, True)[0] for i in range(len(dz))])


def roots_of(dz: np.ndarray, start: float, depth: float) -> np.ndarray:
    """Share of the roots in each cell [-]: even from `start` (below a moss cover) over `depth` [m]."""
    bottom = np.cumsum(dz)
    inside = np.clip(np.minimum(bottom, start + depth) - np.maximum(bottom - dz, start), 0.0, None)
    return inside / inside.sum() if inside.sum() > 0.0 else inside


def water_heat(mass: float, t_c: float) -> float:
    """Heat of liquid water [J] counted from 0 C."""
    return WATER_HEAT * mass * t_c


def air_space(head: float, row: np.ndarray) -> float:
    """Air-filled porosity [m3/m3] of a soil at a head [m]."""
    return row[2] - water_content(head, row)[0]
