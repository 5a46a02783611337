"""What each material table must hold: properties, their unit and the widest value that can be real.

Units are SI, or the plain everyday unit where a table is read by keepers (C, % RH, mm). Heads and suctions
are in metres of water. "share" is a fraction between 0 and 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from terralab.units import DAY_S

#: Units a table may use, with their meaning in plain words.
UNITS: Mapping[str, str] = MappingProxyType(
    {
        "-": "no unit",
        "share": "part of a whole, 0 to 1",
        "m3/m3": "cubic metre of water or air in a cubic metre of material",
        "kg/kg": "kilogram of water for each kilogram of dry material",
        "m": "metre (of length, or of water head)",
        "mm": "millimetre",
        "um": "thousandth of a millimetre",
        "1/m": "for each metre",
        "m/s": "metre a second",
        "s/m": "second for each metre (resistance to vapour)",
        "kg/m3": "kilogram in a cubic metre",
        "kg/m2": "kilogram on a square metre (1 kg/m2 of water is 1 mm)",
        "kg/m2/cm": "kilogram on a square metre for each centimetre of depth",
        "kg/m2/% RH": "kilogram on a square metre for each point of relative humidity",
        "W/mK": "heat conductivity",
        "W/m2": "watt on a square metre",
        "m2/m2": "square metre of leaf over a square metre of floor",
        "W/m2K": "heat transfer at a surface",
        "J/m3K": "heat stored by a cubic metre for each degree",
        "1/h": "times an hour",
        "ml/min": "millilitre a minute",
        "s": "second",
        "h": "hour",
        "C": "degree Celsius",
        "K": "difference of temperature in degrees",
        "deg": "degree of an angle",
        "% RH": "per cent relative humidity",
        "Pa": "pascal (pressure)",
        "kg": "kilogram",
        "cm2": "square centimetre",
        "umol/m2/s": "millionth of a mole, of gas or of light, for a square metre and a second",
        "umol/J": "millionth of a mole of light for a joule",
        "lux/umol": "lux for one umol/m2/s of light",
        "1/K": "for each degree",
        "d": "day",
        "ml/g/h": "millilitre of gas an hour for each gram of animal",
        "ppm": "millionth part of the air",
    }
)


@dataclass(frozen=True, slots=True)
class Property:
    """Unit and widest believable limits of one property; `required` means every entry must state it."""

    unit: str
    lowest: float
    highest: float
    required: bool = True


def _optional(unit: str, lowest: float, highest: float) -> Property:
    return Property(unit, lowest, highest, required=False)


_SUBSTRATE = {
    "theta_r": Property("m3/m3", 0.0, 0.6),
    "theta_s": Property("m3/m3", 0.1, 0.99),
    "alpha": Property("1/m", 0.1, 1000.0),
    "n": Property("-", 1.01, 12.0),
    "ks": Property("m/s", 1e-9, 0.1),
    "l": Property("-", -10.0, 10.0),
    "air_entry": Property("m", 0.0, 0.05),
    "lambda_dry": Property("W/mK", 0.02, 5.0),
    "lambda_wet": Property("W/mK", 0.02, 5.0),
    "heat_capacity_dry": Property("J/m3K", 1e3, 3e6),
    "bulk_density": Property("kg/m3", 1.0, 2000.0),
    "repellent_below": Property("m3/m3", 0.0, 0.6),
    "bypass_share": Property("share", 0.0, 1.0),
    "refuses_dry": _optional("share", 0.0, 1.0),
    "wetting_hours": _optional("h", 0.001, 200.0),
    "w2": _optional("share", 0.0, 1.0),
    "alpha2": _optional("1/m", 0.1, 1000.0),
    "n2": _optional("-", 1.01, 12.0),
}

_AGGREGATE = {
    "void_fraction": Property("m3/m3", 0.2, 0.8),
    "grain_mm": Property("mm", 0.5, 100.0),
    "capillary_rise": Property("m", 0.0, 0.1),
    "entry_suction": Property("m", 0.0, 0.1),
    "loose_density": Property("kg/m3", 50.0, 2500.0),
    "particle_density": Property("kg/m3", 200.0, 3500.0),
    "water_uptake": Property("kg/kg", 0.0, 1.0),
    "lambda_dry": Property("W/mK", 0.02, 5.0),
    "lambda_wet": Property("W/mK", 0.02, 5.0),
    "heat_capacity_dry": Property("J/m3K", 1e4, 3e6),
}

_COVER = {
    "porous": Property("-", 0.0, 1.0),
    "porosity": Property("m3/m3", 0.1, 0.999),
    "vapour_resistance_factor": Property("-", 0.0, 2.0),
    "water_capacity": Property("kg/m2/cm", 0.0, 10.0),
    "heat_capacity": Property("J/m3K", 1e3, 4.2e6),
    "lambda": Property("W/mK", 0.02, 1.0),
}

_PLANT = {
    "resistance_full": Property("s/m", 1.0, 1e5),
    "resistance_dark": Property("s/m", 1.0, 1e5),
    "light_half": Property("umol/m2/s", 0.1, 2000.0),
    "leaf_film": Property("kg/m2", 0.0, 5.0),
    "leaf_area_per_cover": Property("m2/m2", 0.05, 100.0),
    "wet_limit_air": Property("m3/m3", 0.0, 0.5),
    "wet_share_left": Property("share", 0.0, 1.0),
    "wet_days_to_fall": Property("d", 0.0, 1000.0),
    "wet_days_to_recover": Property("d", 0.0, 1000.0),
    "dry_limit_head": Property("m", -1000.0, -0.1),
    "dry_start_head": Property("m", -1000.0, -0.1),
}

_LAMP = {
    "light": Property("share", 0.0, 1.0),
    "radiant": Property("share", 0.0, 1.0),
    "convective": Property("share", 0.0, 1.0),
    "photons_per_joule": Property("umol/J", 0.0, 5.0),
    "lux_per_umol": Property("lux/umol", 20.0, 120.0),
}

_HEATER = {
    "radiant": Property("share", 0.0, 1.0),
    "convective": Property("share", 0.0, 1.0),
    "floor": Property("share", 0.0, 1.0),
}

_GROUP = {
    "day_rh_low": Property("% RH", 0.0, 100.0),
    "day_rh_high": Property("% RH", 0.0, 100.0),
    "night_rh_low": Property("% RH", 0.0, 100.0),
    "night_rh_high": Property("% RH", 0.0, 100.0),
    "temp_low": Property("C", -10.0, 60.0),
    "temp_high": Property("C", -10.0, 60.0),
    "night_temp_low": Property("C", -10.0, 60.0),
    "night_temp_high": Property("C", -10.0, 60.0),
    "temp_most": Property("C", -10.0, 60.0),
    "spot_temp_low": _optional("C", -10.0, 60.0),
    "spot_temp_high": _optional("C", -10.0, 60.0),
    "soil_moist": Property("-", 0.0, 1.0),
}

#: How far a home measurement may be off, in the one way that fits it, and how long it takes.
_MEASUREMENT = {
    "hours": Property("h", 0.01, 2000.0),
    "relative_error": _optional("share", 0.0, 1.0),
    "share_error": _optional("share", 0.0, 1.0),
    "humidity_error": _optional("% RH", 0.0, 100.0),
    "temperature_error": _optional("K", 0.0, 10.0),
}

#: A woven mesh has threads; a sheet has holes and its own thickness.
_MESH = {
    "open_share": Property("share", 0.05, 0.96),
    "thread_mm": _optional("mm", 0.02, 2.0),
    "hole_mm": _optional("mm", 0.1, 20.0),
    "sheet_mm": _optional("mm", 0.05, 20.0),
}

_BACKGROUND = {
    "lambda": Property("W/mK", 0.02, 5.0),
    "heat_capacity": Property("J/m3K", 1e4, 4.2e6),
    "moisture_per_percent": Property("kg/m2/% RH", 0.0, 0.1),
    "hours": Property("h", 0.1, 1000.0),
    "film_capacity": Property("kg/m2", 0.0, 20.0),
}

_BASKING = {
    "absorbs": Property("share", 0.0, 1.0),
    "lambda": Property("W/mK", 0.02, 5.0),
    "heat_capacity": Property("J/m3K", 1e4, 4.2e6),
    "thickness_mm": Property("mm", 1.0, 500.0),
}

_SHARE = Property("share", 0.0, 1.0)
_FILM = Property("kg/m2", 0.0, 1.0)
_TIME = Property("s", 0.0, DAY_S)
_DEGREES = Property("C", -10.0, 60.0)
_HUMIDITY = Property("% RH", 0.0, 100.0)
_DRAUGHT = Property("m/s", 0.0, 5.0)
_LIGHT = Property("umol/m2/s", 0.0, 2500.0)
_FACTOR = Property("-", 0.01, 10.0)
_HOUR = Property("h", 0.0, 24.0)
_DAYLIGHT = {"factor": _FACTOR, "rises": _HOUR, "sets": _HOUR}

#: The table of defaults is one process a name, so its schema is by name.
DEFAULTS: Mapping[str, Mapping[str, Property]] = MappingProxyType(
    {
        "leakage": {"ach": Property("1/h", 0.0, 100.0)},
        "air movement": {"speed": Property("m/s", 0.0, 5.0)},
        "run-off share to soil": {"share": _SHARE},
        "glass film": {"capacity": _FILM, "half_wet": _FILM},
        "leaf film": {"capacity": _FILM, "half_wet": _FILM},
        "drip time": {"time": _TIME},
        "supersaturation time": {"time": _TIME},
        "mesh exchange": {"factor": Property("-", 0.0, 2.0)},
        "discharge coefficient": {"factor": Property("-", 0.3, 1.0)},
        "fan through mesh": {"delivered": _SHARE},
        "mesh screen": {"porosity": Property("share", 0.05, 0.95), "thread_mm": Property("mm", 0.02, 2.0)},
        "wick": {"rise": Property("m", 0.01, 5.0), "conductivity": Property("m/s", 1e-8, 0.1)},
        "wetting": {"easy_above": _SHARE, "pond_mm": Property("mm", 0.1, 100.0)},
        "mesh law": {"factor": Property("-", 0.1, 10.0)},
        "open share as typed": {"offset": Property("share", -1.0, 1.0)},
        "thread as typed": {"factor": Property("-", 0.1, 10.0)},
        "draught as typed": {"factor": Property("-", 0.1, 10.0)},
        "calm room": {"draught": _DRAUGHT},
        "usual room": {"draught": _DRAUGHT},
        "draughty room": {"draught": _DRAUGHT},
        "basking place": {"area": Property("cm2", 1.0, 1e4), "absorbs": _SHARE},
        "basking lamp": {"beam": Property("deg", 5.0, 170.0)},
        "moist hide": {"water": Property("kg/m2", 0.0, 50.0)},
        "fan face": {"diameter": Property("m", 0.01, 0.4)},
        "circulating fan": {"speed": Property("m/s", 0.01, 5.0)},
        "soil life": {"carbon_dioxide": Property("umol/m2/s", 0.0, 50.0)},
        "leaf breath": {"carbon_dioxide": Property("umol/m2/s", 0.0, 10.0)},
        "frog breath": {"oxygen": Property("ml/g/h", 0.0, 5.0)},
        "animal breath": {"quotient": Property("-", 0.6, 1.2)},
        "room air": {"carbon_dioxide": Property("ppm", 300.0, 10000.0)},
        "winter room": {"temperature": _DEGREES, "humidity": _HUMIDITY},
        "summer room": {"temperature": _DEGREES, "humidity": _HUMIDITY},
        "wood buffer": {
            "moisture_per_percent": Property("kg/m2/% RH", 0.0, 0.1),
            "hours": Property("h", 0.1, 1000.0),
        },
        "glass pane": {
            "conductivity": Property("W/mK", 0.1, 3.0),
            "heat_capacity": Property("J/m3K", 5e5, 4e6),
        },
        "outer glass": {"h": Property("W/m2K", 1.0, 50.0)},
        "radiation": {"emissivity": Property("-", 0.05, 1.0)},
        "hand spray": {"airborne": _SHARE},
        "mister": {
            "airborne": _SHARE,
            "flow": Property("ml/min", 1.0, 1000.0),
            "reach": Property("cm2", 100.0, 10_000.0),
        },
        "drip emitter": {"flow": Property("ml/min", 1.0, 1000.0), "reach": Property("cm2", 50.0, 10_000.0)},
        "fogger": {"airborne": _SHARE, "drop_um": Property("um", 0.5, 200.0)},
        "lamp light": {
            "on_glass": _SHARE,
            "leaves_box": _SHARE,
            "beam": Property("deg", 5.0, 175.0),
            "walls_reflect": _SHARE,
            "plants_reflect": _SHARE,
        },
        "moss carpet": {"water": Property("kg/m2", 0.0, 50.0), "resistance": Property("s/m", 0.0, 5000.0)},
        "clear glass": {"light_transmission": _SHARE},
        "double glazing": {"light_transmission": _SHARE},
        "daylight": {
            "lux_per_umol": Property("lux/umol", 20.0, 120.0),
            "umol_per_joule": Property("umol/J", 3.0, 6.0),
            "par_share": _SHARE,
        },
        "window": {"at_pane": _LIGHT, "share_1_m": _SHARE, "share_3_m": _SHARE},
        **{f"{side} window": {"factor": _FACTOR} for side in ("north", "east", "south", "west")},
        **{f"{season} daylight": _DAYLIGHT for season in ("winter", "spring or autumn", "summer")},
        "leaf pores": {
            "dryness_exponent": Property("-", 0.0, 1.0),
            "warmth_slope": Property("1/K", 0.0, 0.2),
            "dark_resistance_factor_grown_humid": Property("-", 0.01, 1.0),
        },
        "canopy": {"extinction": Property("-", 0.1, 2.0), "shelter": Property("-", 1.0, 5.0)},
        "air pressure": {"pressure": Property("Pa", 5e4, 1.1e5)},
        "leaf area as typed": {"factor": Property("-", 0.1, 10.0)},
        "covered share as typed": {"offset": Property("share", -1.0, 1.0)},
        "power as typed": {"factor": Property("-", 0.1, 10.0)},
        "fan flow as typed": {"factor": Property("-", 0.1, 10.0)},
        "mist flow as typed": {"factor": Property("-", 0.1, 10.0)},
        "soil judged by feel": {"share": _SHARE},
        "water level on the glass": {"error": Property("mm", 0.1, 50.0)},
        "kitchen scale": {"bears": Property("kg", 1.0, 100.0), "error": Property("kg", 1e-4, 1.0)},
        "bathroom scale": {"bears": Property("kg", 10.0, 500.0), "error": Property("kg", 1e-2, 5.0)},
        "gram scale": {"error": Property("kg", 1e-5, 0.1)},
        "measuring jug": {"error": _SHARE},
        "air mixing": {"factor": Property("-", 0.0, 100.0)},
        "lid column": {"length": Property("m", 1e-3, 2.0)},
        "stirring fan": {"efficiency": _SHARE},
        "leaves below": {"share": _SHARE},
        "lamp heat above": {"share": _SHARE},
        "sun patch": {"strength": Property("W/m2", 1.0, 1100.0), "share": _SHARE},
        "light level": {f"{level}_light": _LIGHT for level in ("low", "medium", "bright", "direct")},
        "light as typed": {"factor": Property("-", 0.1, 10.0)},
        "sun strength as typed": {"factor": Property("-", 0.1, 10.0)},
        "sun share as typed": {"offset": Property("share", -1.0, 1.0)},
        "plant cover as typed": {"offset": Property("share", -1.0, 1.0)},
        "weighed pot": {
            "scale_error": Property("kg", 1e-5, 0.1),
            "volume_error": Property("share", 0.0, 0.3),
            "air_left": Property("m3/m3", 0.0, 0.3),
        },
        "household sensor": {"humidity_error": _HUMIDITY, "temperature_error": Property("K", 0.0, 5.0)},
        "hygrometer scale": {"gain_error": Property("-", 0.0, 1.0), "bend_error": _HUMIDITY},
        "salt bag": {"settling": Property("h", 0.1, 100.0), "begins_off": _HUMIDITY, "apart": Property("K", 0.0, 10.0)},
    }
)

#: Table name to property name to what it must look like.
SCHEMAS: Mapping[str, Mapping[str, Property]] = MappingProxyType(
    {
        "substrates": _SUBSTRATE,
        "soils": _SUBSTRATE,
        "aggregates": _AGGREGATE,
        "covers": _COVER,
        "plants": _PLANT,
        "lamps": _LAMP,
        "heaters": _HEATER,
        "meshes": _MESH,
        "backgrounds": _BACKGROUND,
        "basking": _BASKING,
        "groups": _GROUP,
        "measurements": _MEASUREMENT,
    }
)

#: Every table that ships, in the order people meet them.
TABLES: tuple[str, ...] = (*SCHEMAS, "defaults")


def schema(table: str, name: str) -> Mapping[str, Property] | None:
    """Return the properties allowed for entry `name` of `table`; None where `defaults` has no such process."""
    if table == "defaults":
        return DEFAULTS.get(name)
    return SCHEMAS[table]
