"""The records that the compiled engine reads and writes: one field a quantity, SI units, whole-box values.

Flows are kg/s and W for the whole box unless a name says otherwise; positive means in the direction named.
"""

from typing import NamedTuple

import numpy as np

from terralab.engine.flows_table import AIR_CLOCK, SOIL_CLOCK, TABLE
from terralab.soil.arrays import Newton


def _record(fields: str) -> np.dtype:
    return np.dtype([(name, np.float64) for name in fields.split()], align=True)


#: What does not change during a run and belongs to no row of the tables below (written by `box_constants`).
BOX = _record(
    "floor ground patch_share stands_free air_mass volume air_height glass_area leaf_area dish_full cover cover_conductance "
    "drip_seconds radiation lid_radiation wood_seconds tube_area tube_length "
    "leak lid_area still_air discharge mixing_factor stirring "
    "leaf_dark leaf_full light_half dryness warming beam_taken sun_share extinction layers shelter "
    "wet_limit wet_left wet_fall wet_recover root_start root_stop root_depth "
    "fog_diameter fog_cooling supersaturation_seconds land_leaf land_glass land_ground run_off_to_soil "
    "reservoir_depth void fringe entry wick_share wick_conducts wick_rise repellent_below bypass_share rim bottom_out "
    "side_per_m aggregate_capacity aggregate_dry aggregate_wet siphon_gap siphon_to bottom_kind hide_area hide_height "
    "first_door has_plants has_dish has_tube tube_built has_reservoir stacked"
)

#: A body of air: dry air [kg], volume [m3], its edges above the floor of the glass [m], its level section [m2], seconds in
#: which fog falls through it, and the water that its wood and background take up [kg]. Zones stand on each other from
#: the ground up, `BOX.stacked` of them; a hide comes after them.
ZONE = _record("mass volume bottom top section settle wood_store")

#: Of each zone: temperature C, humidity ratio kg/kg, floating drops kg, wood as its own RH [-].
ZONE_STATE = _record("t w fog wood")

#: A surface inside: kind and wall (see `engine.kinds`), zone, area [m2], faces that touch the air, length [m], which way it
#: faces, heat capacity [J/K], conductances [W/K] to the radiant node, to the room and to the soil it lies on, what film
#: it holds and at which half of it is wet [kg], the resistance behind it [s/m], the share of a spray that lands on it,
#: its height above the floor and its width [m], the surface over it (-1: none), how fast its own air moves [m/s, 0: as all],
#: the share it takes of what lands on the ground; of leaves, the light on them as a share of that above all.
SURFACE = _record(
    "kind wall zone area faces length facing capacity radiates out between film_max film_half resistance spray high width "
    "over air_speed lands light"
)

#: Of each surface: temperature C, and the water on it kg.
SURFACE_STATE = _record("t film")

#: The water of the soil's surface cell [m], its head [m], and the seconds since the soil step began: see `surface_cell`.
CELL_STATE = _record("water head age")

#: Air that goes between two zones, or a zone and the room (-1): `net` from a to b, and `mix` both ways [kg/s].
LINK = _record("a b net mix")

#: What drives the box at an instant (summed over the devices that run).
NOW = _record(
    "room_t room_w leaf_heat ground_heat glass_heat air_heat basking_heat floor_heat par beam air_speed pressure pressure_back "
    "spray drip fog_in watering root_stress power doors jet_flow jet_diameter exchange fan_share leak_share door_share"
)

#: What a device adds to NOW while it runs, plus its control. `vent_row` is the first of the `vent_rows` openings
#: that it opens (-1: none), and `face` the area that it takes from the one it sits in, `seat_row`. `tank` [kg]: what it is fed
#: from holds when full (0: water without end).
DEVICE = _record(
    "leaf_heat ground_heat glass_heat air_heat basking_heat floor_heat par beam air_speed spray drip fog_in power "
    "jet_flow jet_diameter vent_row vent_rows seat_row face door senses above set_point hysteresis minimum_on tank"
)

#: An opening to the room, by its edges above the floor of the glass [m]; `kind`, losses (`rim`: that of the bare hole), the
#: column that turns over in a lid, `turning` [m], `push` [Pa, outwards] and
#: `given` [m3/s, outwards] as `engine.network` reads them, `zone` the air it opens to. An opening that reaches over two
#: zones is one row in each. Fans have rows of their own, whose area is 0 while they rest, and so have doors while they
#: are shut; `full` is what it is then. Doors come last. `out` and `into` [m3/s] are what `exchanged` finds,
#: `just_out` and `just_in` what it tried last.
OPENING = _record(
    "kind bottom top area full viscous inertial rim turning push given draught zone out into just_out just_in"
)

#: Of each surface, frozen for one linear solve: how much lighter the air at it is than its zone's [-]; heat coefficient h [W/m2K], conductance c [W/K]; what light adds to the
#: conductance of leaves, `pores`, and their whole `open` conductance [m/s]; vapour by the inner way
#: (stomata, soil) e and from the film f [kg/s] with their slopes by temperature and humidity ratio; heat a kg takes l;
#: where they were looked at (t, w); saturation there and its slope; wet share; drip [kg/s]; the share of its heat and vapour that its current carries into the
#: zone `beyond`; and its temperature as
#: alpha + beta T + gamma W + delta T_radiant (+ sigma T_soil) of its zone's air.
SURFACE_NOW = _record(
    "light h c pores open e e_t e_w f f_t f_w l t w ws slope wet drip carries beyond alpha beta gamma delta sigma"
)

#: Of each zone, frozen likewise: where looked at, its density, saturation and slope, its latent heat, floating drops (see
#: `droplets`), the vapour that wood gives and the slopes of that, vapour from the tube, and air that leaves it [kg/s].
ZONE_NOW = _record(
    "t w rho ws slope l fog_supply fog_haste fog_held fog_owed fog_mist fog_e wood_e wood_e_w wood_e_t tube_e leaves"
)

#: What the air clock alone knows of ground and tube: upward flow [m/s], what a kg from the tube takes, drips and all that lands
#: on the soil [kg/s], the radiant temperature, and the heat that the soil gives in a hide [W] with its slope [W/K].
GROUND_NOW = _record(
    "soil_up tube_l tube_t leaf_drip lid_drip glass_drip patch_drip landed radiant hide_heat hide_slope"
)

#: Rates of one surface (kg/s, W) at the end of a stage, or amounts over an interval.
SURFACE_FLOW = _record("inner film drip spray landed condensed heat_out gain liquid drip_heat")

#: Rates of one zone: what it gains of vapour, fog, heat; and by itself: wood, drops that evaporate and that settle.
ZONE_FLOW = _record("vapour fog heat wood fog_evaporation fog_settled fog_settled_heat")

#: What crosses from one place to another: rates (kg/s, W) at an instant, amounts (kg, J) over an interval. All names come
#: from the table of flows: what the air clock moves, and what the soil clock and the keeper's hands move.
FLOW = _record(" ".join(TABLE.fields(AIR_CLOCK)))
MOVED = _record(" ".join(TABLE.fields(SOIL_CLOCK)))


#: Of each soil cell: conductivity of heat, dry and wet [W/mK], heat capacity of the dry mix [J/m3K], porosity [m3/m3].
THERMAL = _record("dry_conducts wet_conducts dry_capacity porosity")


class Cells(NamedTuple):
    """One number a soil cell, and a last one for the drainage layer where it has such a number.

    The first four drive a soil step and the next three are its flows: see `soil.arrays`. theta [m3/m3] water content
    at its start; root_share [-] of what the leaves draw; fit [-] what the air they had leaves the roots of their strength; course [m/s] how the heads went in the step before; kept_* what
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
    fit: np.ndarray
    course: np.ndarray
    kept_head: np.ndarray
    kept_water: np.ndarray


class Carried(NamedTuple):
    """Latent heat that vapour carries out of each soil layer to the next [W]: as the air clock moves it meanwhile (foreseen),
    all of it and what warmth drives by itself, as the last soil step found them (whole, warm) and as the try at hand does
    (*_found); which share of what warmth drives lasts through a step [-]; and the layers' temperatures with what is foreseen,
    at the base of a stage (warmed) [C]. arrives, in its first place: what water that arrives on the soil brings of heat
    beyond the soil's own [W], foreseen as found in the step before (arrives_found).
    """

    foreseen: np.ndarray
    whole: np.ndarray
    warm: np.ndarray
    whole_found: np.ndarray
    warm_found: np.ndarray
    lasts: np.ndarray
    warmed: np.ndarray
    arrives: np.ndarray
    arrives_found: np.ndarray


class Air(NamedTuple):
    """The air's tables, what drives them and their states. `*_v` are the same memory as plain numbers.

    States: row 0 now, 1 stage, 2 base of a stage, 3 end of a step, 4 kept copy, 5 how fast it went. Flows: row 0 and 1
    the stages, 2 one air step, 3 one soil step.
    """

    zone: np.ndarray
    surface: np.ndarray
    link: np.ndarray
    state_v: np.ndarray
    zones: np.ndarray
    surfaces: np.ndarray
    cell: np.ndarray
    zone_now: np.ndarray
    surface_now: np.ndarray
    ground_now: np.ndarray
    flow_v: np.ndarray
    zone_flow: np.ndarray
    surface_flow: np.ndarray
    foreseen: np.ndarray
    source: np.ndarray
    zone_source: np.ndarray
    heat_share: np.ndarray
    mean_share: np.ndarray
    blown: np.ndarray
    light: np.ndarray
    columns: np.ndarray
    matrix: np.ndarray


class Work(NamedTuple):
    """All arrays of one run, handed to the kernels in one piece. `*_v` are the same memory as plain numbers.

    Flows: row 0 and 1 the stages, 2 one air step, 3 one soil step, 4 the interval being recorded. Chains (soil layer and reservoir temperatures) use the
    same rows as the states of `Air`. Of each device: what its tank holds [kg], and when it first ran dry [s, -1: not]. Openings are as described, vents as they stand with the fans that run.
    """

    box: np.ndarray
    now: np.ndarray
    air: Air
    flow: np.ndarray
    flow_v: np.ndarray
    moved: np.ndarray
    moved_v: np.ndarray
    chain: np.ndarray
    capacity: np.ndarray
    between: np.ndarray
    side: np.ndarray
    sweep: np.ndarray
    carried: Carried
    surface_cell: np.ndarray
    openings: np.ndarray
    vents: np.ndarray
    devices: np.ndarray
    device_on: np.ndarray
    device_since: np.ndarray
    device_kept: np.ndarray
    tank_left: np.ndarray
    ran_dry: np.ndarray
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
