"""What a first soak is made of."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Soak:
    """What a soak is made of [litres]: the soil's water when dry and when watered and drained, and what runs past it."""

    dry: float
    moist: float
    past: float

    @property
    def lacking(self) -> float:
        """What the dry soil lacks."""
        return max(0.0, self.moist - self.dry)

    @property
    def litres(self) -> float:
        """What is to be poured."""
        return self.lacking + self.past
