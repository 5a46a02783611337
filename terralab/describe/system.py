"""Whether a box was described in US units: then everything computed from it is said in them too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from terralab.describe.fields import Measure
from terralab.measured import US_UNITS, Measured

#: Quantities that everybody types, and that the two systems write differently.
_TELLING = ("length", "area", "volume", "temperature")


def speaks_us(box: object) -> bool:
    """True where most of the sizes, amounts and temperatures that were typed have US units."""
    typed = list(_typed(box))
    return 2 * sum(typed) > len(typed)


def _typed(part: object) -> Iterator[bool]:
    """For each measure typed in a part of a description: whether its unit is one of the US."""
    if isinstance(part, tuple):
        for item in part:
            yield from _typed(item)
        return
    if not is_dataclass(part):
        return
    for field in fields(part):
        value, kind = getattr(part, field.name), field.metadata.get("kind")
        if isinstance(value, Measured):
            if value.quantity in _TELLING:
                yield value.unit in US_UNITS
        elif isinstance(kind, Measure):
            # a default was not typed, and says nothing about who described the box
            if kind.quantity in _TELLING and value is not None and value != field.default:
                yield False
        else:
            yield from _typed(value)
