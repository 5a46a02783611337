"""The constants of a described box, as the engine reads them (SI, whole-box values): one BOX record."""

from __future__ import annotations

import math

import numpy as np

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.enclosure import Enclosure
from terralab.engine.air_layout import AirLayout, air_layout, long_wave, under_leaves
from terralab.engine.fans import open_area
from terralab.engine.ground_layout import LONG_WAVE_AT, through_floor
from terralab.engine.kinds import HANGING, LEAF, LID, PANE
from terralab.engine.layout import Overrides
from terralab.engine.tables import BOX
from terralab.physics.canopy import let_through
from terralab.physics.conductivity import vapour_diffusivity
from terralab.physics.constants import WATER_DENSITY
from terralab.physics.fog import chill_factor
from terralab.soil.arrays import RESERVOIR, SEALED, SEEPAGE
from terralab.units import DAY_S

SUN_TAKEN = 0.7  # -, extinction of the sun's slanting beam in leaves of all slopes (0.5 from overhead; Campbell 1986, form from memory)
DAMP_AIR = 60.0  # % RH wanted by day from which leaves are taken to have grown up damp (a choice)
SPRAY_ON_GLASS = 0.2  # -, share of a hand-spray that lands on panes (a guess)
SOIL_CONDUCTS = 0.3  # W/mK, a damp mix, for the way of heat from the middle of a layer to the panes


def box_row(box: Box, pick: Overrides, dz: np.ndarray) -> tuple[np.ndarray, AirLayout]:
    """The constants of the box as one BOX record, and the tables of its air; dz [m] are the soil's cells."""
    e = box.enclosure
    row = np.zeros(1, BOX)
    b = row[0]
    put_air(b, e, pick)
    put_glass(b, e, pick)
    put_plants(b, e, pick, raised_damp(box))
    b["sun_share"] = 0.0 if box.room.sun is None else box.room.sun.lit_share(pick)
    put_ground(b, e)
    put_dish(b, e)
    put_fog(b, pick)
    put_soil(b, e, pick)
    if e.drainage is not None:
        put_drainage(b, e, pick)
        put_tube(b, e, float(dz.sum()))
        for siphon in box.routine.siphons:
            if siphon.when_gap_below_cm is not None:
                b["siphon_gap"] = siphon.when_gap_below_cm / 100.0
                b["siphon_to"] = siphon.to_level_cm / 100.0
    return row, put_tables(b, box, pick)


def put_air(b: np.void, e: Enclosure, pick: Overrides) -> None:
    """The air space, what of the lid is open, what leaks, and how the air moves by itself."""
    b["floor"] = e.soil_share * e.floor_area_m2
    # soil that does not reach the panes, as in pots, loses no warmth through them and takes none of what runs down them
    b["stands_free"] = float(e.bare_floor_share > 0.0)
    b["volume"] = e.air_volume_m3
    b["air_height"] = e.air_height_cm / 100.0
    b["lid_area"] = sum(open_area(opening) for opening in e.openings if opening.wall == "lid")
    leakage = pick("defaults", "leakage", "ach") if e.leakage_ach is None else e.leakage_ach
    b["leak"] = max(leakage, 1e-3) * e.air_volume_m3 / 3600.0
    still = e.air_speed_cm_s
    speed = pick("defaults", "air movement", "speed") if still is None else still / 100.0
    b["still_air"] = max(0.01, speed)
    b["discharge"] = pick("defaults", "discharge coefficient", "factor")


def put_glass(b: np.void, e: Enclosure, pick: Overrides) -> None:
    """The panes (walls above the soil and what of the lid is not open), the glass beside and below the soil."""
    width, depth = e.width_cm / 100.0, e.front_to_back_cm / 100.0
    floor = width * depth
    pane = e.glass_mm / 1000.0
    conductivity = pick("defaults", "glass pane", "conductivity")
    outside = 1.0 / pick("defaults", "outer glass", "h") + 0.5 * pane / conductivity
    b["glass_area"] = 2.0 * (width + depth) * b["air_height"] + floor - b["lid_area"]
    b["side_per_m"] = 2.0 * (width + depth) / (outside + min(width, depth) / (6.0 * SOIL_CONDUCTS))
    b["side_per_m"] *= 1.0 - b["stands_free"]
    b["bottom_out"] = b["floor"] * through_floor(e, pick)
    b["radiation"] = long_wave(pick)
    b["drip_seconds"] = pick("defaults", "drip time", "time")


def put_plants(b: np.void, e: Enclosure, pick: Overrides, raised_damp: bool) -> None:
    """Leaves and roots, and how a spray divides among leaves, panes and ground."""
    shade = 0.0
    if e.plants is not None:
        p = e.plants
        plant = lambda prop: pick("plants", p.kind, prop)  # noqa: E731
        stands = under_leaves(e)
        b["leaf_area"] = area = e.leaf_area_m2(pick)
        b["layers"] = area / (stands * e.floor_area_m2)
        b["extinction"] = pick("defaults", "canopy", "extinction")
        shade = stands * (1.0 - let_through(b["extinction"], b["layers"]))
        b["has_plants"] = 1.0 if area > 0.0 else 0.0
        b["leaf_full"], b["leaf_dark"] = plant("resistance_full"), plant("resistance_dark")
        if raised_damp:
            # pores of such leaves close badly: by night, or by day in plants that open at night
            shut = "leaf_dark" if b["leaf_dark"] > b["leaf_full"] else "leaf_full"
            b[shut] *= pick("defaults", "leaf pores", "dark_resistance_factor_grown_humid")
        b["light_half"] = plant("light_half")
        b["dryness"], b["warming"] = (
            pick("defaults", "leaf pores", "dryness_exponent"),
            pick("defaults", "leaf pores", "warmth_slope"),
        )
        b["beam_taken"] = SUN_TAKEN
        b["shelter"] = pick("defaults", "canopy", "shelter")
        b["wet_limit"], b["wet_left"] = plant("wet_limit_air"), plant("wet_share_left")
        b["wet_fall"], b["wet_recover"] = DAY_S * plant("wet_days_to_fall"), DAY_S * plant("wet_days_to_recover")
        b["root_start"], b["root_stop"] = plant("dry_start_head"), plant("dry_limit_head")
        b["root_depth"] = p.root_depth_cm / 100.0
    b["land_leaf"] = 0.5 * shade
    b["land_glass"] = SPRAY_ON_GLASS
    b["land_ground"] = 1.0 - b["land_leaf"] - b["land_glass"]


def raised_damp(box: Box) -> bool:
    """Whether the leaves grew up in very damp air: as said, else where the animals want such air by day."""
    said = None if box.enclosure.plants is None else box.enclosure.plants.raised_damp
    if said is not None or not box.group:
        return bool(said)
    return materials.get("groups", box.group).typical("day_rh_low") >= DAMP_AIR


def put_ground(b: np.void, e: Enclosure) -> None:
    """Whether a cover that is no soil of its own, such as leaf litter, lies on the soil."""
    if e.cover is not None and materials.get("covers", e.cover.material).typical("porous") <= 0:
        b["cover"] = 1.0


def put_dish(b: np.void, e: Enclosure) -> None:
    """The water dish."""
    if e.dish is not None:
        b["has_dish"] = 1.0
        b["dish_full"] = e.dish.area_cm2 / 1e4 * e.dish.depth_cm / 100.0 * WATER_DENSITY


def put_tables(b: np.void, box: Box, pick: Overrides) -> AirLayout:
    """The tables of the air, what of them the box keeps as a whole, and how airs that stand on each other mix."""
    tables = air_layout(box.enclosure, pick, b, heated=bool(box.routine.lamps or box.routine.heaters))
    b["stacked"] = tables.stacked
    # a number is asked for only where it counts: what a run asks for is drawn as uncertain
    if tables.stacked > 1:
        b["mixing_factor"] = pick("defaults", "air mixing", "factor")
        if any(fan.mode == "circulate" for fan in box.routine.fans):
            b["stirring"] = pick("defaults", "stirring fan", "efficiency")
    b["air_mass"] = tables.zones["mass"][: tables.stacked].sum()
    b["lid_radiation"] = tables.lid_radiation
    b["wood_seconds"] = 3600.0 * pick("defaults", "wood buffer", "hours")
    for kind, share, area in (
        (PANE, "land_glass", "glass_area"),
        (LID, "land_glass", "glass_area"),
        (LEAF, "land_leaf", "leaf_area"),
    ):
        these = tables.surfaces["kind"] == kind
        if these.any():
            tables.surfaces["spray"][these] = b[share] * tables.surfaces["area"][these] / b[area]
    # moss on wood stands before the ground and catches its part by area
    hanging = tables.surfaces["kind"] == HANGING
    caught = b["land_ground"] / (box.enclosure.floor_area_m2 + tables.surfaces["area"][hanging].sum())
    tables.surfaces["spray"][hanging] = caught * tables.surfaces["area"][hanging]
    b["land_ground"] -= tables.surfaces["spray"][hanging].sum()
    return tables


def put_fog(b: np.void, pick: Overrides) -> None:
    """Droplets that float, and air above saturation."""
    b["supersaturation_seconds"] = pick("defaults", "supersaturation time", "time")
    drop = pick("defaults", "fogger", "drop_um") * 1e-6
    b["fog_diameter"] = drop
    b["fog_cooling"] = chill_factor(LONG_WAVE_AT, vapour_diffusivity(LONG_WAVE_AT))


def put_soil(b: np.void, e: Enclosure, pick: Overrides) -> None:
    """How the top mix takes water, the rim, and what lies below the soil where there is no drainage layer."""
    top = e.layers[0].material
    b["repellent_below"] = pick("substrates", top, "repellent_below")
    b["bypass_share"] = pick("substrates", top, "bypass_share")
    b["rim"] = max(1e-3, e.free_depth_cm / 100.0)
    b["run_off_to_soil"] = 1.0
    b["siphon_gap"] = -1.0
    b["bottom_kind"] = SEEPAGE if e.drain_hole else SEALED


def put_drainage(b: np.void, e: Enclosure, pick: Overrides) -> None:
    """The drainage layer, its wick, and what of the run-off from the panes reaches the soil all the same."""
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
        b["wick_share"] = d.wick_area_cm2 / 1e4 / b["floor"]
        b["wick_conducts"], b["wick_rise"] = pick("defaults", "wick", "conductivity"), pick("defaults", "wick", "rise")
    b["aggregate_capacity"] = b["floor"] * b["reservoir_depth"] * stone("heat_capacity_dry")
    b["aggregate_dry"], b["aggregate_wet"] = stone("lambda_dry"), stone("lambda_wet")
    share = e.runoff_to_soil
    b["run_off_to_soil"] = pick("defaults", "run-off share to soil", "share") if share is None else share


def put_tube(b: np.void, e: Enclosure, soil_depth: float) -> None:
    """An open tube from the drainage layer through the soil (soil_depth [m])."""
    if e.tube is not None and not e.tube.capped:
        b["tube_built"] = 1.0
        b["tube_area"] = math.pi / 4.0 * (e.tube.diameter_cm / 100.0) ** 2
        b["tube_length"] = soil_depth + 0.5 * b["reservoir_depth"]
