"""The ground as it is seen from above: which shares of the floor are planted, bare, mossy, stone, or without soil."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import measure
from terralab.describe.part import Described
from terralab.describe.sizes import cm2
from terralab.units import show

if TYPE_CHECKING:
    from terralab.describe.dish import Dish
    from terralab.describe.enclosure import Cover

MOST_BARE_FLOOR = 0.95  # a column of soil stands somewhere
LEAST_OPEN = 0.05  # share of the floor where water poured on the ground can enter the soil
_WORDS = {
    "bare_soil": "bare soil",
    "moss": "moss",
    "rock": "rock",
    "bare_floor": "bare floor",
}


@dataclass(frozen=True, slots=True)
class Ground(Described):
    """Shares of the floor, 0 to 1 each, at most 1 together; what is left of the floor is planted soil.

    `bare_soil`: soil with nothing on it, no plants and no litter. `moss`: soil under living moss. `rock`: soil under
    stone, tile, glass or sealed wood, which store no water and dry fast. `bare_floor`, up to 0.95: no soil at all, as
    between pots and saucers; soil, cover and drainage layer stand under the rest only. Water is no share of its own: a
    dish or pond has its area, and the ground beneath it is shaded.
    """

    word: ClassVar[str] = "ground"

    bare_soil: float = measure("share", "share", 0, 1, 0.0)
    moss: float = measure("share", "share", 0, 1, 0.0)
    rock: float = measure("share", "share", 0, 1, 0.0)
    bare_floor: float = measure("share", "share", 0, MOST_BARE_FLOOR, 0.0)


class OnGround:
    """What an enclosure knows of its ground; the part of `Enclosure` that turns shares into areas.

    Without a described ground all of the floor is planted soil but for what the dish stands on.
    """

    __slots__ = ()
    if TYPE_CHECKING:
        width_cm: float
        front_to_back_cm: float
        ground: Ground | None
        dish: Dish | None
        cover: Cover | None

    @property
    def floor_area_m2(self) -> float:
        """Inside floor area in m2, soil or not."""
        return self.width_cm * self.front_to_back_cm * 1e-4

    @property
    def bare_floor_share(self) -> float:
        """Share of the floor without any soil."""
        return 0.0 if self.ground is None else self.ground.bare_floor

    @property
    def soil_share(self) -> float:
        """Share of the floor that has a column of soil: 1 unless a bare floor is described."""
        return 1.0 - self.bare_floor_share

    @property
    def soil_area_m2(self) -> float:
        """Area of the column of soil, and of the drainage layer under it, in m2."""
        return self.floor_area_m2 * self.soil_share

    @property
    def rock_share(self) -> float:
        """Share of the floor where soil lies under rock, tile, glass or sealed wood."""
        return 0.0 if self.ground is None else self.ground.rock

    @property
    def moss_share(self) -> float:
        """Share of the floor where soil lies under living moss, a moss cover over all of it not counted."""
        return 0.0 if self.ground is None else self.ground.moss

    @property
    def bare_soil_share(self) -> float:
        """Share of the floor that is soil with nothing on it."""
        return 0.0 if self.ground is None else self.ground.bare_soil

    @property
    def dish_share(self) -> float:
        """Share of the floor where soil lies under the dish or pond; 0 where it stands on bare floor."""
        if self.dish is None or self.dish.stands_on_floor:
            return 0.0
        return self.dish.area_cm2 / (self.floor_area_m2 * 1e4)

    @property
    def open_soil_share(self) -> float:
        """Share of the floor where soil meets the air, itself or through litter or moss: no bare floor, rock or dish."""
        return max(0.0, self.soil_share - self.rock_share - self.dish_share)

    @property
    def planted_share(self) -> float:
        """Share of the floor that is planted soil: what the other shares and the dish leave."""
        return max(0.0, self.open_soil_share - self.moss_share - self.bare_soil_share)

    def wrong_ground(self) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit together: entry, given, allowed and what to do."""
        share = lambda value: show(value, "share", "share", 4)  # noqa: E731
        if self.dish is not None and self.dish.stands_on_floor:
            bare = self.bare_floor_share * self.floor_area_m2 * 1e4
            if self.dish.area_cm2 > bare * (1.0 + 1e-9):
                yield (
                    "dish.stands_on",
                    f'given "bare floor" for a dish of {cm2(self.dish.area_cm2)}, with {cm2(bare)} of bare floor',
                    "a dish that fits on the bare floor, or one that stands on soil",
                    'Give the share of floor without soil as bare_floor below [enclosure.ground], or write stands_on = "soil".',
                )
                return
        if self.ground is None:
            return
        given = {words: getattr(self.ground, key) for key, words in _WORDS.items()}
        together = math.fsum(given.values())
        listing = ", ".join(f"{words} {share(value)}" for words, value in given.items() if value)
        if together > 1.0 + 1e-9:
            last = [key for key in _WORDS if getattr(self.ground, key)][-1]
            left = max(0.0, 1.0 - (together - getattr(self.ground, last)))
            yield (
                f"ground.{last}",
                f"given {listing}, together {share(together)} of the floor",
                f"at most 100 % together; the others leave {share(left)} for {_WORDS[last]}",
                "Lower one of them. What is left of the floor is planted soil.",
            )
        elif together + self.dish_share > 1.0 + 1e-9:
            yield (
                "dish.area",
                f"given {cm2(self.dish.area_cm2)}, {share(self.dish_share)} of the floor, beside {listing}",
                f"at most {cm2((1.0 - together) * self.floor_area_m2 * 1e4)}, {share(1.0 - together)}, which they leave",
                'Lower a share of enclosure.ground, or write stands_on = "bare floor" if no soil is under the dish.',
            )
        elif self.open_soil_share < LEAST_OPEN - 1e-9:
            yield (
                "ground.rock",
                f"given {share(self.rock_share)}, which leaves {share(self.open_soil_share)} of the floor as open soil",
                f"{share(LEAST_OPEN)} of the floor or more as open soil, beside bare floor, rock and dish",
                "Water must get into the soil somewhere: lower rock or bare_floor.",
            )
        if self.moss_share > 0.0 and self.cover is not None and self.cover.is_moss:
            yield (
                "ground.moss",
                f"given {share(self.moss_share)} beside a cover of {self.cover.material}, which lies on all soil",
                "one of the two",
                "Take the cover out where moss grows on a part of the soil only; else take moss out of enclosure.ground.",
            )
