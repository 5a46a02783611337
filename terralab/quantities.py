"""Numbers with a unit that stay numbers inside a sentence, until a face says them in metric or in US units.

A sentence is composed as text. A measure in it is not text yet: `quantity` gives a mark, a few characters that nobody
types, which holds the number, its unit and how many digits are said. Only the terminal, the page, the panel or the data
turn marks into words, with `said`. So nothing is ever searched for in finished prose, and a box named "My 60 cm box"
keeps its name in both systems.

>>> sentence = f"Pour {quantity('ml', '.0f', 125.0)} a day at {quantity('°C', '.0f', 18.0, 21.0)}."
>>> said(sentence)
'Pour 125 ml a day at 18 to 21 °C.'
>>> said(sentence, us=True)
'Pour 4 1/4 fl oz a day at 64 to 70 °F.'
>>> [one.value for one in quantities(sentence)]
[125.0, 19.5]
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from terralab.measured import Measured
from terralab.unit_table import POUND_KG
from terralab.units import convert, plain

METRIC, US = "metric", "US"
SYSTEMS = (METRIC, US)
#: What a US keeper reads off a ruler, a measuring jug or a set of spoons: from so many units on, so many marks to the unit
#: (common practice, no source). What is finer than half of the finest mark is said in decimals.
_MARKS = {
    "in": ((12.0, 2), (0.5, 8), (0.0, 16)),
    "fl oz": ((16.0, 1), (8.0, 2), (1.0, 4), (0.0, 8)),
    "tsp": ((1.0, 4), (0.0, 8)),
}
_OUNCE_FROM = 0.97  # fluid ounces; less is measured by the spoon, 6 teaspoons to the ounce
_NOTHING = 0.005  # fluid ounces or gallons that nobody can pour
_LITRES_A_GALLON_FROM = 3.0  # below that fluid ounces read better

#: unit -> (kind of quantity, its name in `units`, the unit it becomes in US units)
_UNITS = {
    "ml": ("volume", "ml", "fl oz"),
    "l": ("volume", "l", "gal"),
    "litres": ("volume", "l", "gal"),
    "cm": ("length", "cm", "in"),
    "mm": ("length", "mm", "in"),
    "m": ("length", "m", "ft"),
    "cm2": ("area", "cm2", "in2"),
    "°C": ("temperature", "C", "°F"),
    "K": ("temperature difference", "K", "°F"),
    "cm/s": ("speed", "cm/s", "ft/min"),
    "m3/h": ("air flow", "m3/h", "cfm"),
    "ml/min": ("water flow", "ml/min", "fl oz/min"),
    "kg": ("mass", "kg", "lb"),
    "kg/m2": ("mass", "kg/m2", "lb/ft2"),
}
_SAYS = {"K": "°C"}  # a difference of temperature too is told in degrees, which keepers know
# Private characters of Unicode, which no keyboard has: around a mark, between its parts, around what is set in a column.
_OPEN, _CLOSE, _PART, _COLUMN, _END = "\ue000", "\ue001", "\ue002", "\ue003", "\ue004"
_WORD = f"[^{_OPEN}{_CLOSE}{_PART}{_COLUMN}{_END}]*"
# strict, so that signs like these in the name of a box stay text
_MARK = re.compile(
    f"{_OPEN}({_WORD}){_PART}({_WORD}){_PART}([btw]*)((?:{_PART}-?(?:[0-9][0-9.e+-]*|nan|inf)){{0,2}}){_CLOSE}"
)
_BLANK = re.compile(f" (?![^{_OPEN}{_CLOSE}]*{_CLOSE})")  # outside a mark
_PADDED = re.compile(f"{_COLUMN}([<>])([0-9]{{1,3}}){_PART}([^{_COLUMN}{_END}]*){_END}")
_BRACKETED = re.compile(r"\[(-?\d+(?:\.\d+)?) ([^\]\d ]+)\]")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measure as it is said: one number or a range of two, in `unit`.

    `numbers`: as metric text, rounded to what is said. `join` stands between two. `bare`: without its unit, which stands
    in the heading of a column. `whole`: said in whole degrees, of which the numbers know the decimals too, so that °F are
    not rounded twice. `typed`: the keeper typed it so, and it stays so where the unit is a US one.
    """

    numbers: tuple[str, ...]
    unit: str
    join: str = " to "
    bare: bool = False
    typed: bool = False
    whole: bool = False

    @property
    def kind(self) -> str:
        """What is measured: "volume", "length", "temperature" ...; empty for a unit that is the same in both systems."""
        return _UNITS[self.unit][0] if self.unit in _UNITS else ""

    @property
    def low(self) -> float:
        """The lower end, or the one number."""
        return min(map(float, self.numbers))

    @property
    def high(self) -> float:
        """The upper end, or the one number."""
        return max(map(float, self.numbers))

    @property
    def value(self) -> float:
        """The one number, or the middle between two ends."""
        return 0.5 * (self.low + self.high)

    def mark(self) -> str:
        """The mark that stands for this quantity in a sentence."""
        flags = ("b" if self.bare else "") + ("t" if self.typed else "") + ("w" if self.whole else "")
        return f"{_OPEN}{_PART.join((self.unit, self.join, flags, *self.numbers))}{_CLOSE}"

    def said(self, us: bool = False) -> str:
        """In words, in metric or US units."""
        unit, numbers = self.unit, self.numbers
        if us and unit in _UNITS:
            quantity, start, unit = _UNITS[unit]
            if start == "l" and numbers and abs(self.high) < _LITRES_A_GALLON_FROM:
                unit = "fl oz"
            if unit == "fl oz" and numbers and not self.bare and 0.0 < _ounces(self.high, start) < _OUNCE_FROM:
                unit = "tsp"
            digits = 3 if self.whole else 1  # what is said in whole degrees is rounded once, below
            turned = _tenths if self.bare and unit == "in" else _turned
            numbers = tuple(turned(text, quantity, start, unit.removeprefix("°"), digits) for text in numbers)
        if self.whole:
            numbers = tuple(_unsigned(f"{float(text):.0f}") for text in numbers)
        if numbers[:1] == numbers[1:]:
            numbers = numbers[:1]
        words = self.join.join(numbers)
        return words if self.bare else f"{words} {_SAYS.get(unit, unit)}".strip()


def quantity(unit: str, form: str, *values: float, join: str = " to ", bare: bool = False) -> str:
    """The mark of one number or of a range of two in `unit`, said with the format `form`, such as ".1f"."""
    whole = unit == "°C" and form == ".0f"
    numbers = tuple(_unsigned(format(value, ".3f" if whole else form)) for value in values)
    return Quantity(numbers, unit, join, bare, whole=whole).mark()


def _unsigned(text: str) -> str:
    """The number as it is said, without a minus before nothing."""
    return text if float(text) else text.removeprefix("-")


def unit_word(unit: str) -> str:
    """The mark of a unit alone, for the heading of a column."""
    return Quantity((), unit).mark()


def as_typed(quantity_: str, unit: str, *values: float, digits: int = 4, join: str = " to ") -> str:
    """The mark of one number or two, in the unit in which a keeper typed them, else in `unit`.

    >>> said(as_typed("length", "cm", Measured(24.0, "in", "cm", "length")))
    '24 in'
    >>> said(as_typed("temperature", "C", 18.0, 21.0), us=True)
    '64 to 70 °F'
    """
    shown = [(v.amount, v.unit) if isinstance(v, Measured) else (float(v), unit) for v in values]
    marks = [Quantity((plain(x, digits),), _SHOWN.get(u, u), typed=True) for x, u in shown]
    if len(marks) == 2 and marks[0].unit == marks[1].unit:
        return Quantity((*marks[0].numbers, *marks[1].numbers), marks[0].unit, join, typed=True).mark()
    return join.join(one.mark() for one in marks)


_SHOWN = {"C": "°C", "F": "°F"}


def us_unit(unit: str) -> tuple[str, str, str]:
    """The kind of quantity of a metric unit, its name in `units`, and the unit that US keepers use for it.

    A unit that is the same in both systems, or unknown, has the kind "".
    """
    return _UNITS.get(unit, ("", unit, unit))


def column(text: str, width: int, align: str = ">") -> str:
    """A cell of a text table: what it says is set to `width` characters once it is said."""
    return f"{_COLUMN}{align}{width}{_PART}{text}{_END}"


def said(text: str, us: bool = False) -> str:
    """The text with every mark said in metric or US units."""
    if isinstance(text, Text):
        text = text.marked
    if _OPEN in text:
        text = _MARK.sub(lambda found: _read(found).said(us), text)
    if _COLUMN in text:
        text = _PADDED.sub(lambda found: f"{found[3]:{found[1]}{found[2]}}", text)
    return text


def bracketed(text: str) -> Text:
    """A text of a table, in which a measure stands in square brackets: "hang it [30 cm] from the box"."""
    return Text(_BRACKETED.sub(lambda found: Quantity((found[1],), found[2]).mark(), text))


def quantities(text: str) -> tuple[Quantity, ...]:
    """The quantities of a text, in the order in which they are said."""
    return tuple(_read(found) for found in _MARK.finditer(marked(text)))


def split(text: str) -> list[str]:
    """The words of a marked text, each measure one of them."""
    return _BLANK.split(text)


def template(text: str) -> str:
    """The text with {0}, {1} ... where its quantities stand."""
    count = iter(range(10_000))
    return _MARK.sub(lambda found: f"{{{next(count)}}}", marked(text).replace("{", "{{").replace("}", "}}"))


class Text(str):
    """A sentence in metric units for whoever reads it; what its marks were is in `marked`, for a face that says it in other units."""

    __slots__ = ("marked",)

    marked: str

    def __new__(cls, marked: str) -> Text:
        self = super().__new__(cls, said(marked))
        self.marked = marked.marked if isinstance(marked, Text) else marked  # finished twice is finished once
        return self

    def __reduce__(self) -> tuple:
        return Text, (self.marked,)


def marked(text: str) -> str:
    """The text with its marks, where it has some."""
    return text.marked if isinstance(text, Text) else text


def finished(value: Any) -> Any:
    """A value, or all that mappings and lists hold, with every marked text made a `Text`."""
    if isinstance(value, Text):
        return value
    if isinstance(value, str):
        return Text(value) if _OPEN in value or _COLUMN in value else value
    if type(value) is dict or (isinstance(value, Mapping) and not hasattr(value, "_fields")):
        return {finished(key): finished(one) for key, one in value.items()}
    if type(value) in (tuple, list):
        return type(value)(finished(one) for one in value)
    return value


def pretty(unit: str) -> str:
    """A unit as it is shown beside a slider: "C" as °C, "cm2" as cm²."""
    return {"C": "°C", "F": "°F"}.get(unit, unit.replace("2", "²").replace("3", "³"))


def _read(found: re.Match[str]) -> Quantity:
    unit, join, flags, numbers = found.groups()
    return Quantity(tuple(numbers.split(_PART)[1:]), unit, join, "b" in flags, "t" in flags, "w" in flags)


def _ounces(value: float, start: str) -> float:
    return abs(convert(value, "volume", start, "fl oz"))


def _on_marks(value: float, marks: tuple[tuple[float, int], ...]) -> str:
    """A number at the nearest mark, with a fraction: "3/4", "4 1/4"."""
    each = next(each for start, each in marks if abs(value) >= start)
    if 0.0 < abs(value) < 0.5 / each:
        return f"{float(f'{value:.1g}'):g}"
    whole, part = divmod(round(abs(value) * each), each)
    words = [str(whole)] if whole or not part else []
    words += [str(Fraction(part, each))] if part else []
    return ("-" if value < 0.0 and (whole or part) else "") + " ".join(words)


def _tenths(text: str, quantity_: str, start: str, end: str, digits: int) -> str:
    """A metric number as text in a US unit with one digit after the point: in a column numbers are compared, not held to a ruler."""
    new = convert(float(text), quantity_, start, end)
    return f"{new:.1g}" if 0.0 < abs(new) < 0.05 else _unsigned(f"{new:.{digits}f}")


def _turned(text: str, quantity_: str, start: str, end: str, digits: int) -> str:
    """A metric number as text in a US unit, as it can be read: lengths and volumes with a fraction (`_MARKS`), others with two figures.

    A temperature has at most so many digits after the point.
    """
    value = float(text)
    if quantity_ == "mass":
        new = value / POUND_KG * (1.0 if end == "lb" else convert(1.0, "area", "ft2", "m2"))
    else:
        new = convert(value, quantity_, start, end)
    if quantity_.startswith("temperature"):
        # a thermometer at home has one digit after the point at most
        return f"{new:.{min(digits, len(text.partition('.')[2]))}f}"
    if quantity_ == "volume" and abs(convert(value, quantity_, start, "fl oz")) < _NOTHING:
        return "0"
    if end in _MARKS:
        return _on_marks(new, _MARKS[end])
    shown = float(f"{new:.2g}") if abs(new) < 100.0 else round(new)
    return f"{shown:g}"
