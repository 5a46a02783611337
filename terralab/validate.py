"""Check the numbers and words a person hands to a function, and say plainly what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterable
from numbers import Integral, Real

import numpy as np

from terralab.errors import DescriptionError, TerralabError, advice, quoted
from terralab.units import as_float


def number(field: str, value: object, lowest: float, highest: float, unit: str, hint: str = "") -> float:
    """Return `value` as a float from `lowest` to `highest` (both in `unit`), or raise `DescriptionError`."""
    allowed = f"a number from {lowest:g} to {highest:g} {unit}".rstrip()
    if isinstance(value, bool) or not isinstance(value, Real):
        raise DescriptionError.of(field, f"given {quoted(value)}, which is not a number", allowed, hint)
    if not lowest <= value <= highest:
        given = f"given {as_float(value):g} {unit}".rstrip()
        raise DescriptionError.of(field, given, allowed, hint or "Check the unit.")
    return float(value)


def numbers(field: str, values: object, lowest: float, highest: float, unit: str, hint: str = "") -> np.ndarray:
    """Return `values` (one number, a list or an array) as a float array of any shape, every number in range.

    The first one out of range, or anything that is not a number, raises `DescriptionError`.
    """
    allowed = f"numbers from {lowest:g} to {highest:g} {unit}".rstrip()
    try:
        array = np.asarray(values)
        usable = array.dtype.kind in "fiu"
    except ValueError:
        usable = False
    if not usable:
        raise DescriptionError.of(field, f"given {quoted(values)}, which is not a list of numbers", allowed, hint)
    array = array.astype(float)
    wrong = array[~((array >= lowest) & (array <= highest))]
    if wrong.size:
        given = f"given {wrong[0]:g} {unit}".rstrip()
        raise DescriptionError.of(field, given, allowed, hint or "Check the unit.")
    return array


def word(field: str, value: object, known: Iterable[str]) -> str:
    """Return `value` if it is one of the `known` words, whatever its capitals, or raise `DescriptionError`."""
    words = tuple(known)
    cleaned = " ".join(value.split()).lower() if isinstance(value, str) else value
    if not isinstance(cleaned, str) or cleaned not in words:
        raise DescriptionError.of(field, f"given {quoted(value)}", "one of the words below", advice(value, words))
    return cleaned


def whole(name: str, value: object, lowest: int, highest: int) -> int:
    """Return `value` as an int from `lowest` to `highest`, or raise `TerralabError`.

    The whole numbers of numpy count; yes and no, texts and fractions do not.
    """
    if isinstance(value, Integral) and not isinstance(value, bool) and lowest <= value <= highest:
        return int(value)
    raise TerralabError(f"{name} must be a whole number from {lowest} to {highest}; {quoted(value)} was given.")


def is_real(value: object) -> bool:
    """True for a number, those of numpy too; not for yes and no, and not for a text or what is no number (NaN)."""
    return isinstance(value, Real) and not isinstance(value, bool) and value == value
