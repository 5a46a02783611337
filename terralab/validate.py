"""Check the numbers and words a person hands to a function, and say plainly what is wrong with them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from numbers import Integral

import numpy as np

from terralab.errors import DescriptionError, TerralabError, advice, quoted
from terralab.units import as_float, is_number


def number(field: str, value: object, lowest: float, highest: float, unit: str, hint: str = "") -> float:
    """Return `value` as a float from `lowest` to `highest` (both in `unit`), or raise `DescriptionError`."""
    allowed = f"a number from {lowest:g} to {highest:g} {unit}".rstrip()
    if not is_number(value):
        raise DescriptionError.of(field, f"given {quoted(value)}, which is not a number", allowed, hint)
    found = as_float(value)  # a limit beside a number of few bits is cut to its bits, and may become infinite
    if not lowest <= found <= highest:
        raise DescriptionError.of(field, f"given {found:g} {unit}".rstrip(), allowed, hint or "Check the unit.")
    return found


def numbers(field: str, values: object, lowest: float, highest: float, unit: str, hint: str = "") -> np.ndarray:
    """Return `values` (one number, a list or an array) as a float array of any shape, every number in range.

    The first one out of range, or anything that is not a number, raises `DescriptionError`.
    """
    allowed = f"numbers from {lowest:g} to {highest:g} {unit}".rstrip()
    try:
        array = np.asarray(values)
        # what a mask hides is no number, whatever stands below the mask
        usable = array.dtype.kind in "fiu" and not np.ma.is_masked(values)
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
    if isinstance(value, Integral) and is_number(value) and lowest <= value <= highest:
        return int(value)
    raise TerralabError(f"{name} must be a whole number from {lowest} to {highest}; {quoted(value)} was given.")


def is_real(value: object) -> bool:
    """True for a number, those of numpy too; not for yes and no, a text, what is no number (NaN) or too large for one."""
    return is_number(value) and (math.isfinite(as_float(value)) or as_float(value) == value)
