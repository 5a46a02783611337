"""Sizes inside sentences of a description: marks (see `terralab.quantities`) in the unit that was typed."""

from __future__ import annotations

from terralab.quantities import as_typed


def cm(value: float) -> str:
    """The mark of a length, to four figures, in cm or in the unit it was typed in."""
    return as_typed("length", "cm", value)


def cm2(value: float) -> str:
    """The mark of an area, to four figures, in cm2 or in the unit it was typed in."""
    return as_typed("area", "cm2", value)


def ml(value: float) -> str:
    """The mark of a volume, to four figures, in ml or in the unit it was typed in."""
    return as_typed("volume", "ml", value)
