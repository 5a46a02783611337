"""The units that keepers write, and what one of each is: the tables behind `terralab.units`.

A column of water weighs 9.80665 Pa for each millimetre (conventional, grade M). Inch, foot, US gallon, US fluid ounce and
pound, are exact by definition (25.4 mm, 12 inches, 231 cubic inches, 1/128 gallon, 0.45359237 kg; quoted from memory, grade M). All other factors follow from them by arithmetic (grade D).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

DAY_S = 86400.0
HOUR_S = 3600.0
INCH_M = 0.0254
FOOT_M = 12 * INCH_M
POUND_KG = 0.45359237
US_GALLON_L = 231 * (100 * INCH_M) ** 3 / 1000
US_FLUID_OUNCE_ML = 1000 * US_GALLON_L / 128

#: How "for each square metre in a second" is written behind a umol; often it is left out.
_A_SECOND = ("", "/m2s", "/m2/s", "/m^2/s", "/s/m2", "/(m2s)", "m-2s-1")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: `factor` units of the base make one of it, after `shift` was added (only used by
    temperatures).
    """

    factor: float
    aliases: tuple[str, ...] = ()
    shift: float = 0.0


#: quantity -> unit -> factor. The first unit is the one that examples are written in.
QUANTITIES: Mapping[str, Mapping[str, Unit]] = MappingProxyType(
    {
        "length": MappingProxyType(
            {
                "cm": Unit(0.01, ("centimetre", "centimetres", "centimeter", "centimeters")),
                "mm": Unit(0.001, ("millimetre", "millimetres", "millimeter", "millimeters")),
                "m": Unit(1.0, ("metre", "metres", "meter", "meters")),
                "in": Unit(INCH_M, ("inch", "inches", '"', "''", "″", "”")),
                "ft": Unit(FOOT_M, ("foot", "feet", "'", "′", "’")),
            }
        ),
        "area": MappingProxyType(
            {
                "cm2": Unit(1e-4, ("sqcm", "cm^2")),
                "m2": Unit(1.0, ("sqm", "m^2")),
                "in2": Unit(INCH_M**2, ("sqin", "in^2", "squareinches", "squareinch")),
                "ft2": Unit(FOOT_M**2, ("sqft", "ft^2", "squarefeet", "squarefoot")),
            }
        ),
        "volume": MappingProxyType(
            {
                "ml": Unit(1e-6, ("millilitre", "millilitres", "milliliter", "milliliters", "cc", "cm3")),
                "l": Unit(1e-3, ("litre", "litres", "liter", "liters", "dm3")),
                "gal": Unit(US_GALLON_L * 1e-3, ("gallon", "gallons", "usgal", "galus")),
                "fl oz": Unit(US_FLUID_OUNCE_ML * 1e-6, ("usfloz", "fl.oz.", "fl.oz", "fluidounce", "fluidounces")),
                "tsp": Unit(US_FLUID_OUNCE_ML * 1e-6 / 6, ("teaspoon", "teaspoons")),
                "tbsp": Unit(US_FLUID_OUNCE_ML * 1e-6 / 2, ("tablespoon", "tablespoons")),
                "m3": Unit(1.0, ("m^3",)),
            }
        ),
        "weight": MappingProxyType(
            {
                "g": Unit(1e-3, ("gram", "grams", "gr")),
                "kg": Unit(1.0, ("kilo", "kilos", "kilogram", "kilograms")),
                "oz": Unit(POUND_KG / 16, ("ounce", "ounces")),
                "lb": Unit(POUND_KG, ("lbs", "pound", "pounds")),
            }
        ),
        "temperature": MappingProxyType(
            {
                "C": Unit(1.0, ("°c", "degc", "celsius", "℃"), 0.0),
                "F": Unit(5 / 9, ("°f", "degf", "fahrenheit", "℉"), -32.0),
                "K": Unit(1.0, ("kelvin",), -273.15),
            }
        ),
        "temperature difference": MappingProxyType(
            {
                "K": Unit(1.0, ("kelvin", "c", "°c", "degc", "celsius")),
                "F": Unit(5 / 9, ("°f", "degf", "fahrenheit")),
            }
        ),
        "humidity": MappingProxyType({"%": Unit(1.0, ("%rh", "rh", "rh%", "percent"))}),
        "humidity difference": MappingProxyType({"points": Unit(1.0, ("point", "%", "%rh", "rhpoints", "percent"))}),
        "water film": MappingProxyType({"g/m2": Unit(1.0, ("g/m^2", "gm-2", "g/sqm"))}),
        "power": MappingProxyType({"W": Unit(1.0, ("watt", "watts")), "kW": Unit(1000.0, ("kilowatt",))}),
        "air flow": MappingProxyType(
            {
                "m3/h": Unit(1 / 3600, ("m3/hr", "m3ph", "m^3/h", "cmh")),
                "l/min": Unit(1e-3 / 60, ("lpm",)),
                "l/s": Unit(1e-3),
                "cfm": Unit(FOOT_M**3 / 60, ("ft3/min", "cuft/min")),
                "m3/min": Unit(1 / 60, ("m^3/min", "cmm")),
            }
        ),
        "pressure": MappingProxyType(
            {
                "Pa": Unit(1.0, ("pascal", "pascals", "n/m2")),
                "hPa": Unit(100.0, ("hectopascal", "mbar", "millibar")),
                "kPa": Unit(1000.0, ("kilopascal", "cbar", "centibar", "cb")),
                "mmH2O": Unit(9.80665, ("mmaq", "mmwg", "mmwc")),
                "inH2O": Unit(9.80665 * 25.4, ("inwg", "inwc", "iwg")),
            }
        ),
        "water flow": MappingProxyType(
            {
                "ml/min": Unit(1e-6 / 60, ("mlpm", "cc/min")),
                "l/h": Unit(1e-3 / 3600, ("l/hr", "lph")),
                "l/min": Unit(1e-3 / 60, ("lpm",)),
                "gal/h": Unit(US_GALLON_L * 1e-3 / 3600, ("gph", "gal/hr")),
                "fl oz/min": Unit(US_FLUID_OUNCE_ML * 1e-6 / 60, ("floz/min",)),
            }
        ),
        "speed": MappingProxyType(
            {
                "cm/s": Unit(0.01),
                "m/s": Unit(1.0),
                "ft/min": Unit(FOOT_M / 60, ("fpm",)),
            }
        ),
        "plant light": MappingProxyType(
            {
                "umol/m2/s": Unit(
                    1.0,
                    ("ppfd", "par", *(f"{u}mol{area}" for u in ("u", "µ", "μ") for area in _A_SECOND)),
                )
            }
        ),
        "brightness": MappingProxyType({"lux": Unit(1.0, ("lx",)), "klux": Unit(1000.0, ("klx",))}),
        "sun strength": MappingProxyType({"W/m2": Unit(1.0, ("w/m^2", "wm-2", "w/sqm"))}),
        "duration": MappingProxyType(
            {
                "min": Unit(60.0, ("mins", "minute", "minutes")),
                "s": Unit(1.0, ("sec", "secs", "second", "seconds")),
                "h": Unit(3600.0, ("hr", "hrs", "hour", "hours")),
                "d": Unit(DAY_S, ("day", "days")),
                "weeks": Unit(7 * DAY_S, ("week",)),
            }
        ),
        "air changes": MappingProxyType({"per hour": Unit(1.0, ("ach", "/h", "1/h", "anhour"))}),
        "share": MappingProxyType({"share": Unit(1.0), "%": Unit(0.01, ("percent",))}),
        "time of day": MappingProxyType({"s": Unit(1.0)}),
    }
)

#: (quantity, unit as typed) -> what to do with a unit that measures something else. A lux meter sees as eyes do, so how
#: many lux a umol makes depends on the lamp.
ELSEWHERE: Mapping[tuple[str, str], str] = MappingProxyType(
    {("plant light", word): "Write a lux reading as lux_at_plants." for word in ("lux", "lx", "klux", "klx")}
    | {
        ("brightness", f"{u}mol{a}"): "Write a PAR reading as par_at_plants."
        for u in ("u", "µ", "μ")
        for a in _A_SECOND
    }
    | {("brightness", word): "Write a PAR reading as par_at_plants." for word in ("ppfd", "par")}
)
#: Quantities where a number without a unit leaves no doubt.
CLEAR_WITHOUT_UNIT = (
    *("humidity", "humidity difference", "power", "air changes", "share"),
    *("plant light", "brightness", "sun strength", "water film"),
)
