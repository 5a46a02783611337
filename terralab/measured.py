"""A number that remembers the unit it was written in, so that what was typed in inches or °F comes back so."""

from __future__ import annotations

from terralab.units import convert, parse, plain, show, written_as

US_UNITS = frozenset(
    {"in", "ft", "in2", "ft2", "gal", "fl oz", "tsp", "tbsp", "F", "cfm", "ft/min", "gal/h", "fl oz/min", "inH2O"}
)
#: Quantities that are written in one way only, or whose text does not depend on how they were typed.
_ONE_WAY = ("share", "humidity", "humidity difference", "time of day", "air changes")
_PRETTY = {"C": "°C", "F": "°F"}


class Measured(float):
    """A number in the unit `base` of its field, typed as `amount` of `unit` (names as in `units.QUANTITIES`).

    It counts, compares and travels like the plain number; what is computed from it is a plain number.
    """

    __slots__ = ("amount", "base", "quantity", "unit")

    amount: float
    unit: str
    base: str
    quantity: str

    def __new__(cls, amount: float, unit: str, base: str, quantity: str) -> Measured:
        self = super().__new__(cls, convert(amount, quantity, unit, base))
        self.amount, self.unit, self.base, self.quantity = amount, unit, base, quantity
        return self

    def __reduce__(self) -> tuple:
        return Measured, (self.amount, self.unit, self.base, self.quantity)

    def __deepcopy__(self, memo: object) -> Measured:
        return self

    @property
    def text(self) -> str:
        """As it was typed, so that reading it gives the same number."""
        return show(self.amount, self.quantity, self.unit)


def read(raw: object, quantity: str, unit: str, field: str, bare: bool) -> float:
    """What `units.parse` reads, with the unit kept in mind where it was typed in another than `unit`."""
    if fits(raw, quantity, unit):
        return raw  # type: ignore[return-value]
    value = parse(raw, quantity, unit, field=field, bare=bare)
    typed = written_as(raw, quantity) if quantity not in _ONE_WAY else None
    return value if typed is None or typed[1] == unit else Measured(*typed, unit, quantity)


def fits(value: object, quantity: str, unit: str) -> bool:
    """True for a number that was measured in this very quantity and stands in this very unit."""
    return isinstance(value, Measured) and value.quantity == quantity and value.base == unit


def with_unit(value: float, quantity: str, unit: str, digits: int = 4, us: bool = False) -> str:
    """A number for reading, with its unit: as it was typed, else in `unit`, or in US units where `us` says so.

    >>> with_unit(Measured(24.0, "in", "cm", "length"), "length", "cm")
    '24 in'
    >>> with_unit(12.5, "length", "cm"), with_unit(12.5, "length", "cm", 3, us=True), with_unit(20.0, "temperature", "C", us=True)
    ('12.5 cm', '4.92 in', '68 °F')
    """
    if isinstance(value, Measured):
        value, unit = value.amount, value.unit
    elif us and unit in _IN_US:
        value, unit = convert(value, quantity, unit, _IN_US[unit]), _IN_US[unit]
    return f"{plain(value, digits)} {_PRETTY.get(unit, unit)}"


def alike(value: float, like: float, quantity: str, unit: str, digits: int = 4) -> str:
    """A number in `unit` for reading, in the unit in which another, `like`, was typed.

    >>> alike(3785.4, Measured(40.0, "gal", "ml", "volume"), "volume", "ml"), alike(12.0, 5.0, "volume", "ml")
    ('1 gal', '12 ml')
    """
    if isinstance(like, Measured):
        value, unit = convert(value, quantity, unit, like.unit), like.unit
    return f"{plain(value, digits)} {_PRETTY.get(unit, unit)}"


def span(low: float, high: float, quantity: str, unit: str) -> str:
    """Two ends of a range, each as it was typed, the unit once where it is the same.

    >>> span(18.0, 21.0, "temperature", "C"), span(18.0, Measured(70.0, "F", "C", "temperature"), "temperature", "C")
    ('18 to 21 °C', '18 °C to 70 °F')
    """
    first, last = with_unit(low, quantity, unit), with_unit(high, quantity, unit)
    if first == last:
        return first
    number, _, shown = first.rpartition(" ")
    return f"{number} to {last}" if last.endswith(f" {shown}") else f"{first} to {last}"


_IN_US = {
    "cm": "in",
    "mm": "in",
    "cm2": "in2",
    "ml": "fl oz",
    "l": "gal",
    "C": "F",
    "cm/s": "ft/min",
    "m3/h": "cfm",
    "ml/min": "fl oz/min",
}
