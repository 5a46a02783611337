"""Light that does not come from lamps, the window and the sun that reaches the box; and what a light meter shows."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import Part, SomeOf, choice, entry, measure
from terralab.describe.part import Described
from terralab.describe.timer import Timer
from terralab.errors import Problem

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure
    from terralab.describe.routine import Lamp

SIDES = ("north", "east", "south", "west")
SUN_SEASONS = ("now", "winter", "summer")
MOST_PAR, MOST_LUX = 2500.0, 150_000.0  # full sun at noon has about 2,000 umol/m2/s and 110,000 lux (from memory)


def two_readings(owner: Lamp | Window) -> Iterable[Problem]:
    """Yield the problem of a reading that was given in both ways."""
    if owner.par_at_plants is not None and owner.lux_at_plants is not None:
        yield owner.problem(
            "lux_at_plants",
            "given beside par_at_plants",
            "one of the two",
            "Keep par_at_plants: a PAR meter counts what plants use.",
        )


@dataclass(frozen=True, slots=True)
class Window(Described):
    """The window by which the box stands. Without one no daylight is counted.

    `distance_m`, 0 to 20 m, from the pane to the box. `faces`: the side it looks out to, "north", "east", "south" or
    "west". `glazing`: "double" or "single". `par_at_plants`, 0 to 2,500 umol/m2/s, or `lux_at_plants`, 0 to 150,000 lux:
    what a meter held level at the top of the plants shows around noon with the lamps off; it outranks what would be
    computed. Direct sun on the box is a part of its own, `Sun`.
    """

    word: ClassVar[str] = "window"

    distance_m: float = measure("length", "m", 0, 20, key="distance")
    faces: str = choice("side of the sky", *SIDES)
    glazing: str = choice("glazing", "double", "single", default="double")
    par_at_plants: float | None = measure("plant light", "umol/m2/s", 0, MOST_PAR, None)
    lux_at_plants: float | None = measure("brightness", "lux", 0, MOST_LUX, None)

    @property
    def azimuth_deg(self) -> float:
        """The side it looks out to, in degrees from north by east: 0, 90, 180 or 270."""
        return 90.0 * SIDES.index(self.faces)

    @property
    def panes(self) -> int:
        """How many panes the daylight passes: 1 or 2."""
        return 2 if self.glazing == "double" else 1

    def conflicts(self) -> Iterable[Problem]:
        yield from two_readings(self)


@dataclass(frozen=True, slots=True)
class Sun(Described):
    """Sun that shines through the window straight on the box.

    `times`: the hours in which it does on a clear day, as for a timer. `strength_w_m2`, 1 to 1,100 W/m2, of the sun
    behind the window, on the pane of the box it falls on; `share`, 0.01 to 1, of that pane, and of the plants behind it,
    that is lit at a time. None for these two means the shipped default with its range. `wall`: the pane it falls on.
    `seasons`: one or more of "now", "winter" and "summer", in whose rooms it shines.
    """

    word: ClassVar[str] = "sun"

    times: Timer = entry(Part(Timer))
    strength_w_m2: float | None = measure("sun strength", "W/m2", 1, 1100, None, key="strength")
    share: float | None = measure("share", "share", 0.01, 1, None)
    wall: str = choice("wall", "front", "back", "left", "right", "lid", default="front")
    seasons: tuple[str, ...] = entry(SomeOf("season", SUN_SEASONS), SUN_SEASONS)

    def conflicts(self) -> Iterable[Problem]:
        if self.times.is_log or self.times.hangs_on:
            yield self.problem("times", f"given {self.times}", "hours of the day", "The sun keeps its own: write them.")

    def shines_in(self, season: str) -> bool:
        """Return whether the sun reaches the box in a season, "now", "winter" or "summer"."""
        return season in self.seasons and self.times.on_s > 0.0

    def strength(self, pick: Callable[[str, str, str], float]) -> float:
        """Return the strength [W/m2] as typed, else what `pick(table, name, property)` gives for a sun patch."""
        return pick("defaults", "sun patch", "strength") if self.strength_w_m2 is None else self.strength_w_m2

    def lit_share(self, pick: Callable[[str, str, str], float]) -> float:
        """Return the lit share of pane and plants, as typed, else what `pick` gives for a sun patch."""
        return pick("defaults", "sun patch", "share") if self.share is None else self.share

    def pane_m2(self, glass: Enclosure) -> float:
        """Return the area [m2] of the pane it falls on, from the ground up."""
        across, up = glass.wall_cm(self.wall)
        return across * (up if self.wall == "lid" else glass.air_height_cm) / 1e4

    def watts(self, glass: Enclosure, pick: Callable[[str, str, str], float]) -> float:
        """Return the power [W] of the sun that falls on the box's glass while it shines."""
        return self.strength(pick) * self.lit_share(pick) * self.pane_m2(glass)
