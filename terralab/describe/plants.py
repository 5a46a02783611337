"""All plants of a box together: how much leaf, how deep their roots, how high they stand."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import Switch, entry, listed, measure
from terralab.describe.part import Described
from terralab.describe.sizes import cm, cm2
from terralab.errors import Problem

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure

_MOST_LEAF_PER_FLOOR = 20.0
_HALFWAY = 0.5  # of the air, where the top leaves of plants are taken to stand that nobody measured (a choice)


@dataclass(frozen=True, slots=True)
class Plants(Described):
    """All plants together.

    `kind` from the table "plants". How much leaf, in one of two ways: `leaf_area_cm2`, 0 to 1,000,000, counts one side of
    every leaf; `cover`, 0 to 1, is the share of the floor that leaves stand over, seen from above, and a leaf area with a
    wide range follows from it by the table's "leaf_area_per_cover". `leaf_width_cm` 0.1 to 50. `root_depth_cm` 0.1 to
    200, from the top of the soil; roots end with the soil. `height_cm`, 0.1 to 300: from the ground to the top leaves
    (None: half way up the air). `raised_damp`: whether they grew up in very damp air, in a closed box or a greenhouse;
    such leaves close their pores badly for weeks (None: not known).
    """

    word: ClassVar[str] = "plants"

    kind: str = listed("kind of plant", "plants")
    leaf_area_cm2: float | None = measure("area", "cm2", 0, 1e6, None)
    leaf_width_cm: float = measure("length", "cm", 0.1, 50, 5.0)
    root_depth_cm: float = measure("length", "cm", 0.1, 200, 8.0)
    cover: float | None = measure("share", "share", 0, 1, None)
    height_cm: float | None = measure("length", "cm", 0.1, 300, None)
    raised_damp: bool | None = entry(Switch(optional=True), None)

    def leaf_area_m2(self, floor_m2: float, pick: Callable[[str, str, str], float]) -> float:
        """Return the leaf area [m2] over a floor of `floor_m2`: as typed, else cover times floor times what `pick(table,
        name, property)` gives as the leaf area over each covered area.
        """
        if self.leaf_area_cm2 is not None:
            return self.leaf_area_cm2 / 1e4
        return (self.cover or 0.0) * floor_m2 * pick("plants", self.kind, "leaf_area_per_cover")

    def top_cm(self, glass: Enclosure) -> float:
        """Return the height [cm] of the top leaves above the floor of the glass."""
        return glass.surface_cm + (_HALFWAY * glass.air_height_cm if self.height_cm is None else self.height_cm)

    def conflicts(self) -> Iterable[Problem]:
        if self.leaf_area_cm2 is None and self.cover is None:
            yield self.problem(
                "leaf_area",
                "nothing given",
                'an area such as "5 cm2", or cover instead, a share such as "40 %"',
                "Count one side of each leaf; or say as cover which share of the floor the plants stand over, seen from above.",
            )
        elif self.leaf_area_cm2 is not None and self.cover is not None:
            yield self.problem(
                "cover",
                "given beside leaf_area",
                "one of the two",
                "Keep leaf_area where you measured leaves, else cover.",
            )

    def wrong_in(self, glass: Enclosure) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit the glass: entry, given, allowed and what to do."""
        most = _MOST_LEAF_PER_FLOOR * glass.floor_area_m2 * 1e4
        if self.leaf_area_cm2 is not None and self.leaf_area_cm2 > most:
            yield (
                "plants.leaf_area",
                f"given {cm2(self.leaf_area_cm2)}",
                f"at most {cm2(most)}, {_MOST_LEAF_PER_FLOOR:g} floors",
                "Count one side of each leaf.",
            )
        if self.height_cm is not None and self.height_cm > glass.air_height_cm + 1e-9:
            yield (
                "plants.height",
                f"given {cm(self.height_cm)}, higher than the air above the ground",
                f"at most {cm(glass.air_height_cm)}",
                "Measure from the ground to the top leaves; what is bent under the lid reaches up to the lid.",
            )
