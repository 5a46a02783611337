"""Read measures the way keepers write them ("60 cm", "24 in", "72 F", "8:30 pm"), and write them back.

A number may have a decimal point or a decimal comma. "2,5 l" is read as 2.5 litres. "1,500 ml" could mean
two things and is refused. Capitals do not matter, and a space before the unit is optional.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Mapping
from numbers import Real
from typing import TypeGuard

import numpy as np

from terralab.errors import DescriptionError, advice, quoted, suggestion
from terralab.unit_table import CLEAR_WITHOUT_UNIT, ELSEWHERE, QUANTITIES, Unit
from terralab.unit_table import DAY_S as DAY_S
from terralab.unit_table import HOUR_S as HOUR_S

_LONGEST = 60
_NUMBER = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?(?:e[+-]?\d{1,3})?|[+-]?[.,]\d+)\s*(.*?)\s*", re.ASCII | re.IGNORECASE)
_CLOCK = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?(?::(\d{2}))?\s*(?:([ap])\.?m\.?)?", re.ASCII)


def is_number(value: object) -> TypeGuard[Real]:
    """True for a number of Python or numpy; not for yes and no, nor for numpy's lengths of time, which call themselves numbers."""
    return isinstance(value, Real) and not isinstance(value, (bool, np.timedelta64))


def as_float(value: Real) -> float:
    """Return any real number as a float; one beyond the range of a float is infinite."""
    try:
        return float(value)
    except OverflowError:
        return math.inf if value > 0 else -math.inf


def parse(value: object, quantity: str, default_unit: str, *, field: str = "", bare: bool = True) -> float:
    """Read a measure and return it in `default_unit`.

    `value` is a number or a text such as "60 cm"; `quantity` a key of `QUANTITIES`. A plain number is taken
    in `default_unit`; with `bare=False` it is refused where its unit would be a guess (0 is always clear,
    but for temperatures). A humidity of more than 0 and at most 1 without a % is refused, as it looks like
    a fraction; a share above 1 without a % likewise. A time of day becomes seconds after midnight. Anything
    that is not a finite measure raises `DescriptionError`, which names `field` (or the quantity).
    """
    field = field or quantity
    units = _table(quantity)
    wanted = _unit(default_unit, quantity)
    if quantity == "time of day":
        return _time_of_day(value, field)
    number, unit_text = _split(value, quantity, field)
    if not unit_text:
        _check_bare(number, value, quantity, default_unit, field, bare)
        return number
    unit = _find(unit_text, units)
    if unit is None:
        raise DescriptionError.of(
            field,
            f"given {quoted(value)}, but {quoted(unit_text)} is no unit of {_a(quantity)}",
            example(quantity),
            ELSEWHERE.get((quantity, _bare_word(unit_text))) or suggestion(unit_text, units),
        )
    return _convert(number, units[unit], units[wanted]) if unit != wanted else number


def written_as(value: object, quantity: str) -> tuple[float, str] | None:
    """The number and the unit (a key of the quantity's table) that the text `value` gives; None for a plain number.

    Raises `DescriptionError` for what `parse` refuses too.
    """
    if quantity == "time of day" or not isinstance(value, str):
        return None
    number, unit_text = _split(value, quantity, quantity)
    unit = _find(unit_text, _table(quantity)) if unit_text else None
    return None if unit is None else (number, unit)


def convert(value: float, quantity: str, from_unit: str, to_unit: str) -> float:
    """Turn `value` in `from_unit` into `to_unit`, both units of `quantity` (a key of `QUANTITIES`)."""
    units = _table(quantity)
    start, end = _unit(from_unit, quantity), _unit(to_unit, quantity)
    return value if start == end else _convert(value, units[start], units[end])


def show(value: float, quantity: str, unit: str, digits: int | None = None) -> str:
    """Write `value`, given in `unit`, so that `parse` reads the same number back.

    With `digits` the number is rounded to that many figures, for reading only. A time of day is written as
    "08:00", a share as "40 %".
    """
    if quantity == "time of day":
        return clock(value)
    if quantity == "share":
        return _show_share(value, digits)
    return f"{plain(value, digits)} {_unit(unit, quantity)}"


def plain(value: float, digits: int | None = None) -> str:
    """Write a number without needless zeros; all its figures, or only `digits` of them."""
    if digits is not None:
        value = float(f"{value:.{digits}g}")
    text = repr(float(value) + 0.0)  # adding zero turns -0 into 0
    return text.removesuffix(".0")


def clock(seconds: float) -> str:
    """Write seconds after midnight (0 to 86400) as "08:00", or as "08:00:30" where the minute is not
    full.
    """
    whole = round(seconds)
    text = f"{whole // 3600:02d}:{whole // 60 % 60:02d}"
    return f"{text}:{whole % 60:02d}" if whole % 60 else text


def example(quantity: str) -> str:
    """Say how a quantity may be written: an example, and the known units."""
    if quantity == "time of day":
        return 'a time such as "08:00" or "8:30 pm"'
    if quantity == "share":
        return 'a share such as "40 %" or 0.4'
    units = _table(quantity)
    first = next(iter(units))
    sample = {"humidity": 70, "temperature": 22, "humidity difference": 3, "air changes": 0.5, **_SAMPLES}.get(
        quantity, 5
    )
    return f'{_a(quantity)} such as "{sample} {first}" (units: {", ".join(units)})'


_SAMPLES = {"plant light": 40, "brightness": 2000, "sun strength": 350}


def _a(quantity: str) -> str:
    return f"an {quantity}" if quantity[0] in "aeio" else f"a {quantity}"


def _table(quantity: str) -> Mapping[str, Unit]:
    if quantity not in QUANTITIES:
        raise DescriptionError.of(
            "quantity", f"given {quoted(quantity)}", ", ".join(QUANTITIES), advice(quantity, QUANTITIES)
        )
    return QUANTITIES[quantity]


def _unit(name: str, quantity: str) -> str:
    found = _find(name, _table(quantity))
    if found is None:
        raise DescriptionError.of(
            "unit", f"given {quoted(name)}", ", ".join(_table(quantity)), advice(name, _table(quantity))
        )
    return found


def _find(text: str, units: Mapping[str, Unit]) -> str | None:
    key = _bare_word(text)
    for name, unit in units.items():
        if key == _bare_word(name) or key in unit.aliases:
            return name
    return None


def _bare_word(text: str) -> str:
    return "".join(text.split()).lower().replace("²", "2").replace("³", "3")


def _convert(number: float, start: Unit, end: Unit) -> float:
    return (number + start.shift) * start.factor / end.factor - end.shift


def _split(value: object, quantity: str, field: str) -> tuple[float, str]:
    """Take a measure apart into its number and the text of its unit (empty where there is none)."""
    if is_number(value):
        # Whole numbers beyond the range of a float are refused like infinity.
        number = as_float(value)
        return _finite(number, value, quantity, field), ""
    if not isinstance(value, str):
        raise DescriptionError.of(field, f"given {quoted(value)}, which is not a number or a text", example(quantity))
    match = _NUMBER.fullmatch(value.replace("−", "-").replace("\u00a0", " ")) if len(value) <= _LONGEST else None
    if match is None:
        raise DescriptionError.of(
            field,
            f"given {quoted(value)}, which does not start with one plain number",
            example(quantity),
            "Write one number, then its unit.",
        )
    digits = match[1]
    if "," in digits:
        whole, _, rest = digits.partition(",")
        if len(rest) == 3 and whole.lstrip("+-").strip("0"):
            raise DescriptionError.of(
                field,
                f"given {quoted(value)}, which can be read in two ways",
                example(quantity),
                f"Write {whole}{rest} or {whole}.{rest}.",
            )
        digits = f"{whole}.{rest}"
    return _finite(float(digits), value, quantity, field), match[2]


def _finite(number: float, value: object, quantity: str, field: str) -> float:
    if not math.isfinite(number):
        raise DescriptionError.of(field, f"given {quoted(value)}, which is not a usable number", example(quantity))
    return number


def _check_bare(number: float, value: object, quantity: str, default_unit: str, field: str, bare: bool) -> None:
    shown = quoted(value)
    if quantity == "humidity" and 0 < number <= 1:
        raise DescriptionError.of(
            field,
            f"given {shown}, which looks like a fraction",
            "0 to 100 %",
            f'Write "{plain(100 * number, 6)} %".',
        )
    if quantity == "share" and number > 1:
        raise DescriptionError.of(
            field,
            f"given {shown}, which is more than the whole",
            example(quantity),
            f'If you mean percent, write "{plain(number, 6)} %".',
        )
    clear = quantity in CLEAR_WITHOUT_UNIT or (number == 0 and quantity != "temperature")
    if not (bare or clear):
        raise DescriptionError.of(
            field,
            f"given {shown} without a unit",
            example(quantity),
            f'Write "{plain(number, 6)} {_unit(default_unit, quantity)}" if that is the unit you mean.',
        )


def _time_of_day(value: object, field: str) -> float:
    if isinstance(value, datetime.time):
        return value.hour * 3600.0 + value.minute * 60.0 + value.second
    if is_number(value):
        number = as_float(value)
        if math.isfinite(number) and 0 <= number <= DAY_S:
            return number
    match = _CLOCK.fullmatch(value.strip().lower()) if isinstance(value, str) and len(value) <= _LONGEST else None
    if match is not None and (match[2] or match[4]):
        hour, minute, second = (int(match[i] or 0) for i in (1, 2, 3))
        half = match[4]
        good = 1 <= hour <= 12 if half else hour <= 24
        if good and minute < 60 and second < 60:
            hour = hour % 12 + (12 if half == "p" else 0) if half else hour
            seconds = hour * 3600.0 + minute * 60.0 + second
            if seconds <= DAY_S:
                return seconds
    raise DescriptionError.of(
        field,
        f"given {quoted(value)}, which is not a time of day",
        example("time of day"),
        "Hours run from 00:00 to 24:00, or from 1 to 12 with am or pm.",
    )


def _show_share(value: float, digits: int | None) -> str:
    percent = f"{100 * value:.{digits or 12}g} %"
    # Percent reads best. Where it would lose the last digit of the number, the plain number is written.
    if digits is None and parse(percent, "share", "share") != value:
        return plain(value)
    return percent
