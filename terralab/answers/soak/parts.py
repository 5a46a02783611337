"""What a first soak is made of."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Soak:
    """What a soak is made of [litres]: the soil's water before and when watered and drained, what runs past it, and what
    evaporates in its hours.
    """

    dry: float
    moist: float
    past: float
    evaporates: float = 0.0

    @property
    def lacking(self) -> float:
        """What the soil lacks."""
        return max(0.0, self.moist - self.dry)

    @property
    def litres(self) -> float:
        """What is to be poured."""
        return self.lacking + self.past + self.evaporates
