"""Metric or US: the names of the two systems, and sentences turned from the one into the other."""

from __future__ import annotations

import re

from terralab.units import convert

METRIC, US = "metric", "US"
SYSTEMS = (METRIC, US)
POUND_KG = 0.45359237  # exact by definition (from memory, grade M)
_NOTHING = 0.005  # fluid ounces or gallons that nobody can pour
_LITRES_A_GALLON_FROM = 3.0  # below that fluid ounces read better

#: unit in a sentence -> (quantity, unit it is, unit it becomes)
_TURNS = {
    "ml": ("volume", "ml", "fl oz"),
    "l": ("volume", "l", "gal"),
    "litres": ("volume", "l", "gal"),
    "cm": ("length", "cm", "in"),
    "mm": ("length", "mm", "in"),
    "m": ("length", "m", "ft"),
    "cm2": ("area", "cm2", "in2"),
    "C": ("temperature", "C", "F"),
    "°C": ("temperature", "C", "°F"),
    "K": ("temperature difference", "K", "°F"),
    "cm/s": ("speed", "cm/s", "ft/min"),
    "m3/h": ("air flow", "m3/h", "cfm"),
    "ml/min": ("water flow", "ml/min", "fl oz/min"),
    "kg": ("mass", "kg", "lb"),
    "kg/m2": ("mass", "kg/m2", "lb/ft2"),
}
_NUMBER = r"-?\d+(?:\.\d+)?"
_UNIT = "|".join(sorted((re.escape(unit) for unit in _TURNS), key=len, reverse=True))
# "18 to 21 C", "between 3.5 and 4 cm", "1.8 litres come down (1.4 to 2.7)", "5.1 cm instead of 2.9". The names of
# materials, such as "clay 4-8 mm", are left alone: a dash stands before their last number.
_MEASURE = re.compile(
    rf"(?<![\w.\-])(?P<first>{_NUMBER})(?P<join> to | and | or )?(?(join)(?P<second>{_NUMBER})) (?P<unit>{_UNIT})(?![\w/])"
    rf"(?P<tail>(?: [a-z ]{{1,30}})? \((?:at worst |perhaps |at most |range |likely )?(?:between )?{_NUMBER}(?: (?:to|and) {_NUMBER})?\)| instead of {_NUMBER}(?![\w.]* ?(?:{_UNIT})\b))?"
)


def pretty(unit: str) -> str:
    """A unit as it is shown beside a slider: "C" as °C, "cm2" as cm²."""
    return {"C": "°C", "F": "°F"}.get(unit, unit.replace("2", "²").replace("3", "³"))


def in_us(text: str) -> str:
    """Return a sentence with its measures in US units, with two figures.

    >>> in_us("Pour 125 ml a day (likely between 80 ml and 170 ml) at 18 to 21 C.")
    'Pour 4.2 fl oz a day (likely between 2.7 fl oz and 5.7 fl oz) at 64 to 70 F.'
    >>> in_us("A layer of expanded clay 8-16 mm, 3.5 cm deep")
    'A layer of expanded clay 8-16 mm, 1.4 in deep'
    """
    return _MEASURE.sub(_turned, text)


def _turned(found: re.Match) -> str:
    quantity, start, end = _TURNS[found["unit"]]
    if quantity == "volume" and start == "l" and abs(float(found["second"] or found["first"])) < _LITRES_A_GALLON_FROM:
        end = "fl oz"
    turn = lambda number: _number(number, quantity, start, end)  # noqa: E731
    out = turn(found["first"])
    if found["second"]:
        out += found["join"] + turn(found["second"])
    tail = re.sub(_NUMBER, lambda number: turn(number[0]), found["tail"] or "")
    return f"{out} {end}{tail}"


def _number(text: str, quantity: str, start: str, end: str) -> str:
    value = float(text)
    if quantity == "mass":
        new = value / POUND_KG * (1.0 if end == "lb" else convert(1.0, "area", "ft2", "m2"))
    else:
        new = convert(value, quantity, start, end)
    if quantity.startswith("temperature"):
        # a thermometer at home has one digit after the point at most
        return f"{new:.{min(1, len(text.partition('.')[2]))}f}"
    if quantity == "volume" and abs(new) < _NOTHING:
        return "0"
    shown = float(f"{new:.2g}") if abs(new) < 100.0 else round(new)
    return f"{shown:g}"
