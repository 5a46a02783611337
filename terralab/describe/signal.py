"""How a room's temperature or humidity runs over time: steady, day and night, or a measured series."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import Self

import numpy as np

from terralab import measured
from terralab.describe.fields import Measure, strays
from terralab.describe.log_times import period_h, repeated
from terralab.errors import DescriptionError, Problem, quoted
from terralab.measured import Measured
from terralab.units import DAY_S, as_float, clock, example, is_number, parse

CHANGE_S = 3600.0
_MOST_POINTS = 100_000
_LATEST_H = 24 * 366 * 10
_FORMS = ("value", "day and night", "hours and values")
_FORMS_ALLOWED = "one value, or day and night, or hours and values"


@dataclass(frozen=True, slots=True)
class Signal:
    """A value over time, in one of three forms, in the unit of whoever holds it (C or % RH).

    `value`: steady. `day` and `night`: the night value turns into the day value in the hour that starts at
    `day_from`, and back in the hour that starts at `day_to` (times such as "07:00"; day and night each last
    at least 1 hour). `hours` and `values`: straight lines between the points; hours rise, from 0 to ten
    years. A series that spans exactly 24 hours repeats every day, so its last value must equal its first. Any other
    must last as long as a run, or `repeat`: then its last whole days come again after it, and its first ones before it,
    each hour of the clock at its place. At most 100,000 points. Raises `DescriptionError`.
    """

    value: float | None = None
    day: float | None = None
    night: float | None = None
    day_from: str = "07:00"
    day_to: str = "22:00"
    hours: tuple[float, ...] = ()
    values: tuple[float, ...] = ()
    repeat: bool = False

    @classmethod
    def constant(cls, value: float) -> Self:
        """Return a steady signal."""
        return cls(value=value)

    @classmethod
    def day_night(cls, day: float, night: float, day_from: str = "07:00", day_to: str = "22:00") -> Self:
        """Return a signal with a day and a night value."""
        return cls(day=day, night=night, day_from=day_from, day_to=day_to)

    @classmethod
    def series(cls, hours: Iterable[float], values: Iterable[float], repeat: bool = False) -> Self:
        """Return a signal through the points (`hours`, `values`)."""
        return cls(hours=hours, values=values, repeat=repeat)  # type: ignore[arg-type]

    @classmethod
    def trusted(cls, hours: tuple[float, ...], values: Iterable[float], repeat: bool = False) -> Self:
        """Return a signal through points that are known to be right, unchecked: hours of a signal, finite values.

        For the many rooms of an ensemble, all made of one that was checked.
        """
        made = object.__new__(cls)
        plain = {field.name: field.default for field in fields(cls)}
        found = tuple(values.tolist()) if isinstance(values, np.ndarray) else tuple(values)
        for name, value in (plain | {"hours": hours, "values": found, "repeat": repeat}).items():
            object.__setattr__(made, name, value)
        return made

    def __post_init__(self) -> None:
        given = [
            self.value is not None,
            self.day is not None or self.night is not None,
            not (_is_empty(self.hours) and _is_empty(self.values)),
        ]
        if sum(given) != 1:
            named = [form for form, there in zip(_FORMS, given, strict=True) if there]
            raise _refused("", f"given {', '.join(named) or 'nothing'}", _FORMS_ALLOWED, "Keep one of the forms.")
        if not isinstance(self.repeat, bool) or (self.repeat and not given[2]):
            raise _refused(
                "repeat", f"given {quoted(self.repeat)}", "true or false, for hours and values", "Leave it out."
            )
        if given[0]:
            object.__setattr__(self, "value", _number(self.value, "value"))
        elif given[1]:
            self._settle_day()
        else:
            self._settle_series()

    def _settle_day(self) -> None:
        for name in ("day", "night"):
            object.__setattr__(self, name, _number(getattr(self, name), name))
        times = {
            name: parse(getattr(self, name), "time of day", "s", field=f"signal.{name}") % DAY_S
            for name in ("day_from", "day_to")
        }
        for name, time in times.items():
            object.__setattr__(self, name, clock(time))
        length = (times["day_to"] - times["day_from"]) % DAY_S
        if not CHANGE_S <= length <= DAY_S - CHANGE_S:
            raise _refused(
                "day_to",
                f"given {self.day_from} to {self.day_to}",
                "a day of 1 to 23 hours",
                "For a steady value write it alone.",
            )

    def _settle_series(self) -> None:
        hours, values = _points(self.hours, "hours"), _points(self.values, "values")
        if len(hours) != len(values) or len(hours) < 2:
            raise _refused(
                "values",
                f"given {len(hours)} hours and {len(values)} values",
                "two lists of the same length, at least 2 long",
            )
        fallen = next((k for k in range(1, len(hours)) if hours[k] <= hours[k - 1]), None)
        if fallen is not None:
            raise _refused(
                "hours",
                f"given {hours[fallen]:g} after {hours[fallen - 1]:g}",
                "hours that rise",
                "Sort the rows, and keep one row for each time.",
            )
        if hours[0] < 0 or hours[-1] > _LATEST_H:
            raise _refused("hours", f"given {hours[0]:g} to {hours[-1]:g}", f"0 to {_LATEST_H} hours")
        if _spans_a_day(hours) and values[0] != values[-1]:
            raise _refused(
                "values",
                f"given {values[0]:g} first and {values[-1]:g} last",
                "the same first and last value in a series of 24 hours",
                "It repeats every day.",
            )
        if self.repeat and not period_h(hours):
            raise _refused(
                "repeat",
                f"given for a log of {hours[-1] - hours[0]:.3g} hours",
                "a log of a day at least",
                "Whole days come again, so that day stays day.",
            )
        object.__setattr__(self, "hours", hours)
        object.__setattr__(self, "values", values)

    @property
    def repeats(self) -> bool:
        """Whether every day is the same."""
        return not self.hours or _spans_a_day(self.hours)

    @property
    def logged_h(self) -> tuple[float, float] | None:
        """The first and the last hour of a log, repeated or not; None for a course in which every day is the same."""
        return None if self.repeats else (self.hours[0], self.hours[-1])

    def covers(self, first_s: float, end_s: float) -> bool:
        """Whether the course is known from `first_s` to `end_s`, in seconds after the midnight of the first day."""
        if self.repeats or self.repeat:
            return True
        return 3600.0 * self.hours[0] <= first_s + 1e-6 and end_s <= 3600.0 * self.hours[-1] + 1e-6

    def range(self) -> tuple[float, float]:
        """Return the lowest and the highest value."""
        held = self._knots()[1]
        return min(held), max(held)

    def at(self, t_s: np.ndarray | float) -> np.ndarray | float:
        """Return the value at the times `t_s`, in seconds after the midnight the run starts at."""
        if self.repeat and not self.repeats:
            times, values = repeated(self.hours, self.values, float(np.max(t_s)) / 3600.0)
            return np.interp(t_s, 3600.0 * times, values)
        times, values = self._knots()
        if self.repeats:
            return np.interp(t_s, times, values, period=DAY_S)
        return np.interp(t_s, times, values)

    def knots_s(self, days: float) -> np.ndarray:
        """Return the sorted times, in seconds, within 0 to `days` days where the course bends."""
        end = days * DAY_S
        times = np.asarray(self._knots()[0], dtype=float)
        if self.value is not None:
            return np.empty(0)
        if self.repeat and not self.repeats:
            times = 3600.0 * repeated(self.hours, self.values, end / 3600.0)[0]
        elif self.repeats:
            times = (np.arange(math.ceil(days) + 1)[:, None] * DAY_S + np.unique(times % DAY_S)).ravel()
        return times[(times >= 0) & (times <= end)]

    def _knots(self) -> tuple[list[float], list[float]]:
        if self.value is not None:
            return [0.0], [self.value]
        if self.hours:
            count = len(self.hours) - (1 if self.repeats else 0)
            return [3600.0 * hour for hour in self.hours[:count]], list(self.values[:count])
        start, stop = (parse(time, "time of day", "s") for time in (self.day_from, self.day_to))
        return (
            [start, start + CHANGE_S, stop, stop + CHANGE_S],
            [self.night, self.day, self.day, self.night],
        )


@dataclass(frozen=True, slots=True)
class SignalField:
    """A field that holds a `Signal` whose values keep to `limits`, with their unit in files."""

    limits: Measure

    @property
    def needs(self) -> str:
        """The forms it may be written in."""
        return (
            f"{example(self.limits.quantity)}, or {{ day = ..., night = ... }}, or {{ hours = [...], values = [...] }}, with repeat = true "
            "if it is shorter than a run"
        )

    def check(self, value: object, place: str) -> Signal:
        try:
            signal = value if isinstance(value, Signal) else Signal(value=value)  # type: ignore[arg-type]
            for held in signal.range():
                self.limits.check(held, place)
        except DescriptionError as error:
            raise _placed(error, place) from None
        return signal

    def read(self, raw: object, place: str, bare: bool) -> Signal:
        if isinstance(raw, Signal):
            return self.check(raw, place)
        if not isinstance(raw, dict):
            return self.check(self.limits.read(raw, place, bare), place)
        known = tuple(field.name for field in fields(Signal) if field.name != "value")
        problems = strays(raw, known, place)
        table = dict(raw)
        for key in ("day", "night", "values"):
            try:
                if key in table:
                    table[key] = self._values(table[key], f"{place}.{key}", bare)
            except DescriptionError as error:
                problems += error.problems
        lacking = ({"day", "night"} if {"day", "night"} & raw.keys() else {"hours", "values"}) - raw.keys()
        problems += [Problem(place, key, "nothing given", _FORMS_ALLOWED, "Add this entry.") for key in sorted(lacking)]
        if problems:
            raise DescriptionError(problems)
        try:
            return self.check(Signal(**table), place)
        except DescriptionError as error:
            raise _placed(error, place) from None

    def write(self, signal: Signal) -> object:
        if signal.value is not None:
            return self.limits.write(signal.value)
        if signal.hours:
            values = [value.text if isinstance(value, Measured) else value for value in signal.values]
            log = {"hours": list(signal.hours), "values": values}
            return log | {"repeat": True} if signal.repeat else log
        return {
            "day": self.limits.write(signal.day),
            "night": self.limits.write(signal.night),
            "day_from": signal.day_from,
            "day_to": signal.day_to,
        }

    def _values(self, raw: object, place: str, bare: bool) -> object:
        if not place.endswith(".values"):
            return measured.read(raw, self.limits.quantity, self.limits.unit, place, bare)
        if not isinstance(raw, list) or len(raw) > _MOST_POINTS:
            raise DescriptionError.of(place, f"given {quoted(raw)}", f"a list of 2 to {_MOST_POINTS} values")
        # A long list of plain numbers is how logs come; they are in C or %, as the file's heading says.
        return [measured.read(item, self.limits.quantity, self.limits.unit, place, True) for item in raw]


def _placed(error: DescriptionError, place: str) -> DescriptionError:
    """Put problems that a signal words as "signal.day" under the place where it stands."""
    problems = (
        replace(p, owner=place if p.key else "", key=p.key or place) if p.owner == "signal" else p
        for p in error.problems
    )
    return DescriptionError(problems)


def _refused(key: str, given: str, allowed: str, hint: str = "") -> DescriptionError:
    return DescriptionError([Problem("signal", key, given, allowed, hint)])


def _spans_a_day(hours: tuple[float, ...]) -> bool:
    # Hours such as 0.1 and 24.1 differ from a day by their last bit.
    return abs(hours[-1] - hours[0] - 24) < 1e-9


def _is_empty(values: object) -> bool:
    return hasattr(values, "__len__") and len(values) == 0  # type: ignore[arg-type]


def _number(value: object, key: str) -> float:
    if value is None:
        raise _refused(key, "nothing given", _FORMS_ALLOWED, "Give both the day and the night value.")
    if not is_number(value):
        raise _refused(key, f"given {quoted(value)}, which is not a number", "a plain number")
    if not abs(as_float(value)) < 1e9:
        raise _refused(key, f"given {quoted(value)}, which is not a usable number", "a plain number")
    return value if isinstance(value, Measured) else float(value)


def _points(values: object, key: str) -> tuple[float, ...]:
    if (
        isinstance(values, (str, bytes, dict, set, frozenset))
        or not hasattr(values, "__iter__")
        or not hasattr(values, "__len__")
    ):
        raise _refused(key, f"given {quoted(values)}", "a list of numbers")
    if len(values) > _MOST_POINTS:
        raise _refused(key, f"given {len(values)} points", f"at most {_MOST_POINTS}", "Thin the log out.")
    return tuple(_number(value, key) for value in values)
