"""A place to hide with air of its own: a moist hide, a cork tube, a cave."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import choice, measure
from terralab.describe.part import Described
from terralab.describe.sizes import cm, cm2, ml
from terralab.errors import Problem

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure

_SIDES = ("width", "front_to_back", "height")
_MOST_OPEN = 2.0  # a tube is open at both ends: twice the side of a cube of its volume
_MOST_SHARE = 0.9  # of the ground, or of the air above it


@dataclass(frozen=True, slots=True)
class Hide(Described):
    """A hide on the ground, with one opening at its foot.

    Its inner size either as `volume_ml`, 10 to 500,000, or as `width_cm`, `front_to_back_cm` and `height_cm`, 1 to
    200 cm each. `opening_width_cm` and `opening_height_cm`, 0.3 to 100 cm: all its entrances together. `floor`: "soil"
    (the soil of the box goes on inside), "damp moss" (on it or on a tray, wetted again every day) or "dry".
    """

    word: ClassVar[str] = "hide"

    opening_width_cm: float = measure("length", "cm", 0.3, 100)
    opening_height_cm: float = measure("length", "cm", 0.3, 100)
    volume_ml: float | None = measure("volume", "ml", 10, 5e5, None)
    width_cm: float | None = measure("length", "cm", 1, 200, None)
    front_to_back_cm: float | None = measure("length", "cm", 1, 200, None)
    height_cm: float | None = measure("length", "cm", 1, 200, None)
    floor: str = choice("floor of a hide", "soil", "damp moss", "dry", default="soil")

    @property
    def sides_cm(self) -> tuple[float, float, float]:
        """Width, front to back and height inside, in cm; of a hide known by its volume, the side of a cube."""
        if self.volume_ml is not None:
            side = self.volume_ml ** (1.0 / 3.0)
            return side, side, side
        return self.width_cm or 0.0, self.front_to_back_cm or 0.0, self.height_cm or 0.0

    @property
    def inner_volume_ml(self) -> float:
        """Volume of its air in ml."""
        width, deep, height = self.sides_cm
        return width * deep * height if self.volume_ml is None else self.volume_ml

    @property
    def floor_area_cm2(self) -> float:
        """Area of its floor inside, in cm2."""
        width, deep, _ = self.sides_cm
        return width * deep

    @property
    def opening_area_cm2(self) -> float:
        """Area of its opening in cm2."""
        return self.opening_width_cm * self.opening_height_cm

    def conflicts(self) -> Iterable[Problem]:
        sides = (self.width_cm, self.front_to_back_cm, self.height_cm)
        given = [key for key, side in zip(_SIDES, sides, strict=True) if side is not None]
        lacking = [key for key in _SIDES if key not in given]
        if self.volume_ml is None and not given:
            yield self.problem(
                "volume",
                "nothing given",
                "how large the hide is inside",
                'Write volume = "1 l", or width, front_to_back and height. Water poured in a hide, or sand, measures it.',
            )
        elif self.volume_ml is not None and given:
            yield self.problem(
                "volume",
                f"given beside {given[0]}",
                "one of the two",
                "Keep volume, or width, front_to_back and height.",
            )
        elif given and lacking:
            yield self.problem(
                lacking[0],
                "nothing given",
                "all of width, front_to_back and height, or volume alone",
                f"Add {' and '.join(lacking)}.",
            )
        else:
            yield from self._wrong_opening()

    def _wrong_opening(self) -> Iterable[Problem]:
        width, deep, height = self.sides_cm
        if self.volume_ml is not None:
            most = _MOST_OPEN * width * height
            if self.opening_area_cm2 > most * (1.0 + 1e-9):
                yield self.problem(
                    "opening_width",
                    f"given {cm(self.opening_width_cm)} by {cm(self.opening_height_cm)}, {cm2(self.opening_area_cm2)}",
                    f"at most {cm2(most)} for a hide of {ml(self.inner_volume_ml)}",
                    "Check the units. What is open all round is no hide; for a flat one give width, front_to_back, height.",
                )
            return
        if self.opening_width_cm > 2.0 * max(width, deep) * (1.0 + 1e-9):
            yield self.problem(
                "opening_width",
                f"given {cm(self.opening_width_cm)}, more than two walls of the hide",
                f"at most {cm(2.0 * max(width, deep))}",
                "Check the unit.",
            )
        if self.opening_height_cm > height * (1.0 + 1e-9):
            yield self.problem(
                "opening_height",
                f"given {cm(self.opening_height_cm)}, higher than the hide",
                f"at most {cm(height)}",
                "Check the unit.",
            )

    def wrong_in(self, glass: Enclosure) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit the glass: entry, given, allowed and what to do."""
        if self.volume_ml is not None:
            most = _MOST_SHARE * 1e6 * glass.air_volume_m3
            if self.volume_ml > most * (1.0 + 1e-9):
                yield (
                    "hide.volume",
                    f"given {ml(self.volume_ml)}",
                    f"at most {ml(most)}, nine tenths of the air of the box",
                    "Check the unit.",
                )
            return
        room_cm = dict(zip(_SIDES, (glass.width_cm, glass.front_to_back_cm, glass.air_height_cm), strict=True))
        for key, side in zip(_SIDES, self.sides_cm, strict=True):
            if side > room_cm[key] + 1e-9:
                what = "air above the ground" if key == "height" else "glass"
                yield (
                    f"hide.{key}",
                    f"given {cm(side)}, more than the {what}",
                    f"at most {cm(room_cm[key])}",
                    "Check the unit. A hide stands on the ground.",
                )
        if self.floor_area_cm2 > _MOST_SHARE * 1e4 * glass.floor_area_m2 * (1.0 + 1e-9):
            yield (
                "hide.width",
                f"given a floor of {cm2(self.floor_area_cm2)}",
                f"at most {cm2(_MOST_SHARE * 1e4 * glass.floor_area_m2)}, nine tenths of the ground",
                "A hide must leave some ground around it.",
            )
