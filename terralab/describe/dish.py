"""A dish of open water, and how often a hand tops it up."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from terralab.describe.fields import Measure, OneOf, entry, measure
from terralab.describe.part import Described
from terralab.errors import DescriptionError, quoted

NEVER = "never"


@dataclass(frozen=True, slots=True)
class Refill:
    """A field that holds a whole number of days, 1 to 366, or "never"."""

    needs = 'a number of days such as "1 d", or "never"'
    days = Measure("duration", "d", 1, 366, whole=True)

    def check(self, value: object, place: str) -> int | str:
        if isinstance(value, str):
            if value.strip().lower() != NEVER:
                raise DescriptionError.of(place, f"given {quoted(value)}", self.needs, 'Write "never", or the days.')
            return NEVER
        return self.days.check(value, place)  # type: ignore[return-value]

    def read(self, raw: object, place: str, bare: bool) -> int | str:
        if isinstance(raw, str) and not any(letter.isdigit() for letter in raw):
            return self.check(raw, place)
        return self.check(self.days.read(raw, place, bare), place)

    def write(self, value: int | str) -> str:
        return value if isinstance(value, str) else self.days.write(value)


@dataclass(frozen=True, slots=True)
class Dish(Described):
    """A water dish or pond: `area_cm2` of open water 1 to 100,000, `depth_cm` 0.1 to 50.

    `stands_on`: "soil", which it then shades, or "bare floor" (empty: soil). `refill_days`, 1 to 366: it is topped up
    at nine every so many days, first on the first day; "never": it stands until it is empty.
    """

    word: ClassVar[str] = "dish"

    area_cm2: float = measure("area", "cm2", 1, 1e5)
    depth_cm: float = measure("length", "cm", 0.1, 50)
    stands_on: str = entry(OneOf("ground of a dish", lambda: ("soil", "bare floor"), empty=True), "")
    refill_days: int | str = entry(Refill(), 1, key="refill")

    @property
    def stands_on_floor(self) -> bool:
        """True where no soil is under it."""
        return self.stands_on == "bare floor"
