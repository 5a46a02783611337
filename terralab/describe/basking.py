"""A basking place: a spot on the ground, on a stone or on a branch, under one lamp or heater."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import Words, entry, listed, measure
from terralab.describe.part import Described
from terralab.describe.sizes import cm, cm2

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure


@dataclass(frozen=True, slots=True)
class Basking(Described):
    """Where an animal lies under a lamp.

    `lamp`: the name of a lamp or heater of the routine. `distance_cm`, 1 to 300 cm, from the lamp to the place.
    `area_cm2`, 1 to 10,000 cm2, of the place; None: the palm of a hand, the default "basking place". `measured_c`, 0 to
    100 C: what a thermometer there shows when the lamp has been on for hours; it outranks what would be computed.
    `material` of the table "basking" (empty: the ground itself). `height_cm`, 0 to 300: its top above the floor of the
    glass (None: on the ground).
    """

    word: ClassVar[str] = "basking"

    lamp: str = entry(Words(60, empty=False, label=True))
    distance_cm: float = measure("length", "cm", 1, 300)
    area_cm2: float | None = measure("area", "cm2", 1, 1e4, None)
    measured_c: float | None = measure("temperature", "C", 0, 100, None, key="measured")
    material: str = listed("material of a basking place", "basking", "")
    height_cm: float | None = measure("length", "cm", 0, 300, None)

    def top_cm(self, glass: Enclosure) -> float:
        """Height [cm] of the place above the floor of the glass."""
        return glass.surface_cm if self.height_cm is None else self.height_cm

    def wrong_in(self, glass: Enclosure) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit the glass: entry, given, allowed and what to do."""
        ground = 1e4 * glass.floor_area_m2
        if self.area_cm2 is not None and self.area_cm2 > ground * (1.0 + 1e-9):
            yield (
                "basking.area",
                f"given {cm2(self.area_cm2)}, more than the ground",
                f"at most {cm2(ground)}",
                "Give the part that the lamp shines on and an animal lies on.",
            )
        if self.height_cm is not None and not glass.surface_cm - 1e-9 <= self.height_cm < glass.height_cm:
            yield (
                "basking.height",
                f"given {cm(self.height_cm)}, not between the ground and the lid",
                f"{cm(glass.surface_cm)} to less than {cm(glass.height_cm)}",
                "Measure from the floor of the glass, or leave this entry out for a place on the ground.",
            )
