"""Amounts, ranges and what is wanted, as every answer says them; measures are marks (see `terralab.quantities`)."""

from __future__ import annotations

from terralab.answers.common.rounding import LITRE_ML, NARROW_ML, jug
from terralab.describe.box import HumidityTarget
from terralab.describe.wanted import Temperatures
from terralab.measured import Measured
from terralab.quantities import as_typed as typed_mark
from terralab.quantities import quantity

RANGE = "80 of 100 boxes that fit this description"


def ml(value: float) -> str:
    """The mark of a volume the way a keeper would say it: rounded to what a kitchen jug can show."""
    rounded = jug(value)
    return quantity("ml", ".0f", rounded) if rounded < LITRE_ML else quantity("l", ".1f", rounded / LITRE_ML)


def as_typed(value_ml: float) -> str:
    """The mark of a described volume [ml]: as it was typed in another unit, else as `ml` says it."""
    return typed_mark("volume", "ml", value_ml) if isinstance(value_ml, Measured) else ml(value_ml)


def amount(value: float, unit: str) -> str:
    """The mark of a value of an answer with the first word of its unit, as a keeper would say it."""
    if unit.startswith("ml"):
        return ml(value)
    return quantity(unit.split()[0], ".1f", value)


def amount_span(low: float, high: float, unit: str) -> str:
    """The mark of a range of an answer, the unit once: "80 to 170 ml"; one amount where both read the same."""
    if not unit.startswith("ml"):
        return quantity(unit.split()[0], ".1f", low, high)
    if high - low < NARROW_ML and high < LITRE_ML:
        return quantity("ml", ".0f", low, high)
    low, high = jug(low), jug(high)
    if high < LITRE_ML:
        return quantity("ml", ".0f", low, high)
    return quantity("l", ".1f", low / LITRE_ML, high / LITRE_ML) if low >= LITRE_ML else f"{ml(low)} to {ml(high)}"


def likely(low: str, high: str, join: str = "between {} and {}") -> str:
    """The central range of an answer, of two ends as they are said; one word where they read the same.

    >>> likely("5 ml", "10 ml"), likely("0 ml", "0 ml")
    ('likely between 5 ml and 10 ml', 'the same in nearly all such boxes')
    """
    return "the same in nearly all such boxes" if low == high else f"likely {join.format(low, high)}"


def target_in_words(target: HumidityTarget, warm: Temperatures | None) -> str:
    """The humidity and the temperature wanted, with the hours that count as day; `warm`: None where none is known."""
    at = {
        part: "" if warm is None else f" at {typed_mark('temperature', 'C', *warm.band(part))}"
        for part in ("day", "night")
    }
    return (
        f"{target.day_low:g} to {target.day_high:g} %{at['day']} by day ({target.day_from} to {target.day_to}), "
        f"{target.night_low:g} to {target.night_high:g} %{at['night']} by night"
    )
