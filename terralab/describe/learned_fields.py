"""What the entries of a learned part may hold: plain numbers, ranges, a day, and many numbers by their names."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import ClassVar, Generic, TypeVar

from terralab.errors import DescriptionError, quoted
from terralab.units import as_float, is_number

DIGITS = 5
FEWEST, MOST = 16, 1024  # draws
MOST_NAMES = 500
V = TypeVar("V")

#: What helps with any entry that is wrong here: nobody writes these by hand.
FORGET = "Learn it again from the log, or take the whole part [learned] out of the file to forget it."


class ByName(Mapping[str, V], Generic[V]):
    """Values by name. It does not change, compares by what it holds, and goes to another process as it is."""

    __slots__ = ("_held",)

    def __init__(self, held: Mapping[str, V] | None = None) -> None:
        self._held: dict[str, V] = dict(held or {})

    def __getitem__(self, name: str) -> V:
        return self._held[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    def __hash__(self) -> int:
        return hash(frozenset(self._held.items()))

    def __reduce__(self) -> tuple[type, tuple[dict[str, V]]]:
        return ByName, (self._held,)

    def __repr__(self) -> str:
        return f"ByName({self._held!r})"


def as_kept(number: float) -> float:
    """Return a number with as many digits as a file keeps of it."""
    return float(f"{float(number):.{DIGITS}g}") + 0.0  # adding zero turns -0 into 0


def rounded(value: object, place: str, lowest: float = -math.inf, highest: float = math.inf) -> float:
    """Return a number as it is kept. Raises DescriptionError for anything else, and outside lowest to highest."""
    if not is_number(value) or not math.isfinite(as_float(value)):
        raise DescriptionError.of(place, f"given {quoted(value)}", "a plain number", FORGET)
    number = as_kept(value)
    if not lowest <= number <= highest:
        raise DescriptionError.of(place, f"given {number:g}", f"{lowest:g} to {highest:g}", FORGET)
    return number


@dataclass(frozen=True, slots=True)
class Plain:
    """A plain number from `lowest` to `highest`, None allowed where `optional`; kept with `DIGITS` digits."""

    lowest: float = -math.inf
    highest: float = math.inf
    optional: bool = False
    whole: bool = False
    needs: ClassVar[str] = "a plain number"

    def check(self, value: object, place: str) -> float | int | None:
        if value is None and self.optional:
            return None
        number = rounded(value, place, self.lowest, self.highest)
        if self.whole and number != round(number):
            raise DescriptionError.of(place, f"given {number:g}", "a whole number", FORGET)
        return int(number) if self.whole else number

    def read(self, raw: object, place: str, bare: bool) -> float | int | None:
        return self.check(raw, place)

    def write(self, value: float) -> float:
        return value


@dataclass(frozen=True, slots=True)
class Span:
    """Three plain numbers that do not fall: low, middle and high."""

    needs: ClassVar[str] = "three numbers that rise: low, middle, high"

    def check(self, value: object, place: str) -> tuple[float, ...]:
        if not isinstance(value, (list, tuple)) or len(value) != 3:
            raise DescriptionError.of(place, f"given {quoted(value)}", self.needs, FORGET)
        found = tuple(rounded(one, place) for one in value)
        if not found[0] <= found[1] <= found[2]:
            raise DescriptionError.of(place, f"given {list(found)}", self.needs, FORGET)
        return found

    def read(self, raw: object, place: str, bare: bool) -> tuple[float, ...]:
        return self.check(raw, place)

    def write(self, value: tuple[float, ...]) -> list[float]:
        return list(value)


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the calendar as a text, "2026-03-01"."""

    needs: ClassVar[str] = 'a day such as "2026-03-01"'

    def check(self, value: object, place: str) -> str:
        if isinstance(value, date):
            value = value.isoformat()[:10]
        try:
            return date.fromisoformat(value).isoformat()  # type: ignore[arg-type]
        except (TypeError, ValueError):
            raise DescriptionError.of(place, f"given {quoted(value)}", self.needs, FORGET) from None

    def read(self, raw: object, place: str, bare: bool) -> str:
        return self.check(raw, place)

    def write(self, value: str) -> str:
        return value


def _names(value: object, place: str, needs: str) -> Mapping[str, object]:
    if not isinstance(value, Mapping):
        raise DescriptionError.of(place, f"given {quoted(value)}", needs, FORGET)
    if len(value) > MOST_NAMES:
        raise DescriptionError.of(place, f"given {len(value)} names", f"at most {MOST_NAMES}", FORGET)
    for name in value:
        if not isinstance(name, str) or not 3 <= len(name) <= 200 or not name.isprintable() or "." not in name:
            raise DescriptionError.of(
                place, f"given {quoted(name)}", 'names of uncertain numbers, such as "leakage.ach"', FORGET
            )
    return value


@dataclass(frozen=True, slots=True)
class Values:
    """A plain number by each name."""

    needs: ClassVar[str] = "a plain number for each name"

    def check(self, value: object, place: str) -> ByName[float]:
        if isinstance(value, _CheckedValues):
            return value
        given = _names(value, place, self.needs)
        return _CheckedValues({name: rounded(one, f"{place}.{name}") for name, one in given.items()})

    def read(self, raw: object, place: str, bare: bool) -> ByName[float]:
        return self.check(raw, place)

    def write(self, value: ByName[float]) -> dict[str, float]:
        return dict(value)


@dataclass(frozen=True, slots=True)
class Draws:
    """Equally many plain numbers by each name, `FEWEST` to `MOST` of them: those in one place belong together."""

    needs: ClassVar[str] = f"for each name a list of {FEWEST} to {MOST} numbers, equally many of all"

    def check(self, value: object, place: str) -> ByName[tuple[float, ...]]:
        if isinstance(value, _CheckedDraws):
            return value
        found: dict[str, tuple[float, ...]] = {}
        for name, given in _names(value, place, self.needs).items():
            where = f"{place}.{name}"
            if isinstance(given, str) or not hasattr(given, "__len__"):
                raise DescriptionError.of(where, f"given {quoted(given)}", self.needs, FORGET)
            if not FEWEST <= len(given) <= MOST:
                raise DescriptionError.of(where, f"given {len(given)} numbers", self.needs, FORGET)
            first = next(iter(found.values()), given)
            if len(given) != len(first):
                raise DescriptionError.of(
                    where, f"given {len(given)} numbers, and {len(first)} before", self.needs, FORGET
                )
            found[name] = tuple(rounded(one, where) for one in given)
        return _CheckedDraws(found)

    def read(self, raw: object, place: str, bare: bool) -> ByName[tuple[float, ...]]:
        return self.check(raw, place)

    def write(self, value: ByName[tuple[float, ...]]) -> dict[str, list[float]]:
        return {name: list(draws) for name, draws in value.items()}


class _CheckedValues(ByName[float]):
    """Values that have been checked and rounded once."""

    __slots__ = ()

    def __reduce__(self) -> tuple[type, tuple[dict[str, float]]]:
        return _CheckedValues, (self._held,)


class _CheckedDraws(ByName[tuple[float, ...]]):
    """Draws that have been checked and rounded once."""

    __slots__ = ()

    def __reduce__(self) -> tuple[type, tuple[dict[str, tuple[float, ...]]]]:
        return _CheckedDraws, (self._held,)
