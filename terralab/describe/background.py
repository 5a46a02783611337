"""A board behind or inside the panes: cork, foam or a fibre mat on back or sides."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import SomeOf, Switch, entry, listed, measure
from terralab.describe.part import Described
from terralab.describe.sizes import cm, cm2

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure

WALLS = ("back", "left", "right")
_MOST_SHARE = 0.25  # of the room between two panes that one board inside may fill


@dataclass(frozen=True, slots=True)
class Background(Described):
    """A board on some of the upright panes, from the surface of the soil to the top.

    `material` from the table "backgrounds"; `thickness_cm` 0.1 to 20 cm; `walls`: one or more of "back", "left" and
    "right". `inside` True: it stands before the glass, and its face takes the place of the pane's. False: it is fixed
    behind the glass, and keeps the pane warm.
    """

    word: ClassVar[str] = "background"

    material: str = listed("background", "backgrounds")
    thickness_cm: float = measure("length", "cm", 0.1, 20)
    walls: tuple[str, ...] = entry(SomeOf("wall with a background", WALLS), ("back",))
    inside: bool = entry(Switch(), True)

    def wrong_in(self, glass: Enclosure) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit the glass: entry, given, allowed and what to do."""
        if not self.inside:
            return
        across = min(glass.front_to_back_cm if wall == "back" else glass.width_cm for wall in self.walls)
        if self.thickness_cm > _MOST_SHARE * across:
            yield (
                "background.thickness",
                f"given {cm(self.thickness_cm)} inside",
                f"at most {cm(_MOST_SHARE * across)}, a quarter of the room between the panes",
                "Check the unit, or say inside = false for a board behind the glass.",
            )
        if glass.background_area_cm2:
            yield (
                "background_area",
                f"given {cm2(glass.background_area_cm2)} beside a background inside, whose surface would count twice",
                "one of the two",
                "Leave background_area out: the walls say how large it is. Count loose pieces of cork as wood_area.",
            )
