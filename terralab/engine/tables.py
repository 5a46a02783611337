"""The records that the compiled engine reads and writes: one field a quantity, SI units, whole-box values.

Flows are kg/s and W for the whole box unless a name says otherwise; positive means in the direction named.
"""

from typing import NamedTuple

import numpy as np

from terralab.engine.flows_table import AIR_CLOCK, SOIL_CLOCK, TABLE
from terralab.soil.arrays import Newton


def _record(fields: str) -> np.dtype:
    return np.dtype([(name, np.float64) for name in fields.split()], align=True)


#: What does not change during a run (written by `layout`).
BOX = _record(
    "floor air_mass volume air_height glass_area glass_capacity glass_out leaf_area leaf_capacity leaf_width "
    "dish_area dish_capacity dish_full ground_length cover ground_capacity cover_conductance cover_resistance "
    "cover_capacity cover_water_max cover_half_wet glass_film_max glass_half_wet leaf_film_max leaf_half_wet "
    "drip_seconds radiation lid_radiation wood_store wood_seconds tube_area tube_length "
    "leak lid_area still_air light_full "
    "resistance_lit resistance_dark wet_limit root_start root_stop root_depth "
    "fog_diameter fog_settle fog_cooling supersaturation_seconds land_leaf land_glass land_ground run_off_to_soil "
    "reservoir_depth void fringe entry wick_share wick_conducts wick_rise repellent_below bypass_share rim bottom_out "
    "side_per_m aggregate_capacity aggregate_dry aggregate_wet siphon_gap siphon_to bottom_kind "
    "first_door has_plants has_dish has_tube tube_built has_reservoir"
)

#: What drives the box at an instant (summed over the devices that run).
NOW = _record(
    "room_t room_w leaf_heat ground_heat glass_heat air_heat floor_heat light lit fan_out fan_in air_speed pressure "
    "spray fog_in watering root_stress power doors blown_glass blown_leaf blown_ground blown_dish"
)

#: What a device adds to NOW while it runs, plus its control.
DEVICE = _record(
    "leaf_heat ground_heat glass_heat air_heat floor_heat light fan_out fan_in air_speed spray fog_in power "
    "fan_row seat_row face door_row senses above set_point hysteresis minimum_on"
)

#: An opening to the room, by its edges above the floor of the glass [m]; `kind`, losses and `push` [Pa, outwards] as
#: `engine.network` reads them. A fan that follows a curve has a row of its own, whose area is 0 while it rests, and so
#: has a door while it is shut; doors come last.
OPENING = _record("kind bottom top area viscous inertial push")

#: The fast states. Temperatures C, water kg for the whole box, air_w kg/kg dry air, wood as its own RH [-].
STATE = _record(
    "air_t air_w fog glass_t glass_film leaf_t leaf_film dish_t dish_water cover_t cover_water wood surface_water surface_head"
)

#: Conductances, slopes and wet shares frozen for one linear solve (`c` heat W/K, `g` vapour kg/s per unit W).
COEFFICIENTS = _record(
    "glass_c glass_g glass_ws glass_s glass_l leaf_c leaf_g leaf_film_g leaf_ws leaf_s leaf_l "
    "ground_c soil_c soil_g soil_l soil_e soil_t soil_e_t soil_e_w soil_up cover_g cover_ws cover_s cover_l cover_t "
    "dish_c dish_g dish_ws dish_s dish_l tube_e tube_l tube_t vent fan_share leak_share door_share "
    "air_ws air_s fog_e fog_supply fog_haste fog_held fog_owed fog_mist wood_e wood_e_w wood_e_t air_l "
    "leaf_drip glass_drip cover_drip glass_t leaf_t dish_t air_t air_w"
)

#: What crosses from one place to another: rates (kg/s, W) at an instant, amounts (kg, J) over an interval. All names come
#: from the table of flows: what the air clock moves, and what the soil clock and the keeper's hands move.
FLOW = _record(" ".join(TABLE.fields(AIR_CLOCK)))
MOVED = _record(" ".join(TABLE.fields(SOIL_CLOCK)))


#: Of each soil cell: conductivity of heat, dry and wet [W/mK], heat capacity of the dry mix [J/m3K], porosity [m3/m3].
THERMAL = _record("dry_conducts wet_conducts dry_capacity porosity")


class Cells(NamedTuple):
    """One number a soil cell, and a last one for the drainage layer where it has such a number.

    The first four drive a soil step and the next three are its flows: see `soil.arrays`. theta [m3/m3] water content
    at its start; root_share [-] of what the leaves draw; course [m/s] how the heads went in the step before; kept_* what
    a try that is thrown away goes back to.
    """

    source: np.ndarray
    temperature: np.ndarray
    diffusion: np.ndarray
    vapour_density: np.ndarray
    flow: np.ndarray
    vapour: np.ndarray
    contact: np.ndarray
    theta: np.ndarray
    root_share: np.ndarray
    course: np.ndarray
    kept_head: np.ndarray
    kept_water: np.ndarray


class Carried(NamedTuple):
    """Heat that vapour carries out of each soil layer to the next [W]: as the air clock moves it meanwhile (foreseen),
    as the soil step found it (found); and the layers' temperatures with it, at the base of a stage (warmed) [C].
    """

    foreseen: np.ndarray
    found: np.ndarray
    warmed: np.ndarray


class Work(NamedTuple):
    """All arrays of one run, handed to the kernels in one piece. `*_v` are the same memory as plain numbers.

    States: row 0 now, 1 stage, 2 base of a stage, 3 end of a step, 4 kept copy. Flows: row 0 and 1 the stages,
    2 one air step, 3 one soil step, 4 the interval being recorded. Chains (soil layer and reservoir
    temperatures) use the same rows as states. Openings are as described, vents as they stand with the fans that run.
    """

    box: np.ndarray
    now: np.ndarray
    coefficients: np.ndarray
    state: np.ndarray
    state_v: np.ndarray
    flow: np.ndarray
    flow_v: np.ndarray
    moved: np.ndarray
    moved_v: np.ndarray
    chain: np.ndarray
    capacity: np.ndarray
    between: np.ndarray
    side: np.ndarray
    sweep: np.ndarray
    layer_resistance: np.ndarray
    carried: Carried
    surface_cell: np.ndarray
    openings: np.ndarray
    vents: np.ndarray
    devices: np.ndarray
    device_on: np.ndarray
    device_since: np.ndarray
    device_kept: np.ndarray
    schedule_t: np.ndarray
    schedule_on: np.ndarray
    schedule_rate: np.ndarray
    hand_t: np.ndarray
    hand: np.ndarray
    room: np.ndarray
    dz: np.ndarray
    soil_of: np.ndarray
    soils: np.ndarray
    thermal: np.ndarray
    layer_start: np.ndarray
    root_weight: np.ndarray
    head: np.ndarray
    water: np.ndarray
    cells: Cells
    newton: Newton
