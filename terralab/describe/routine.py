"""What happens when: watering, spraying, misting, light, heat, fans, siphoning and opened doors.

A power is electrical. `timer_winter` and `timer_summer` of a device stand in for its `timer` in that season (None: the same
all year). Every class raises `DescriptionError` for values outside the ranges its docstring
gives. Water given "every n days" is first given on the first day of a run; a siphon is first used on the
n-th day.
"""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from terralab.describe.fields import Measure, OneOf, Part, Parts, Words, choice, entry, listed, measure
from terralab.describe.light import MOST_LUX, MOST_PAR, two_readings
from terralab.describe.part import Described
from terralab.describe.timer import Control, Timer
from terralab.describe.timing import hung, in_season
from terralab.errors import DescriptionError, Problem
from terralab.quantities import as_typed
from terralab.units import DAY_S, plain

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure

_NAME = Words(60, empty=False, label=True)
_TIME = Measure("time of day", "s", 0, DAY_S - 1, whole=True)
_DAYS = Measure("duration", "d", 1, 366, whole=True)


@dataclass(frozen=True, slots=True)
class Pour(Described):
    """Water poured by hand or pump.

    `time_s`, 0 to 86399, seconds after midnight. `amount_ml` 0.1 to 1,000,000. `over_min` 0.1 to 1440: how
    long it takes. `every_days` 1 to 366, whole. `into` "soil", or "drainage" through the corner tube.
    """

    word: ClassVar[str] = "pour"

    time_s: float = entry(_TIME)
    amount_ml: float = measure("volume", "ml", 0.1, 1e6)
    over_min: float = measure("duration", "min", 0.1, 1440, 2.0)
    every_days: int = entry(_DAYS, 1)
    into: str = choice("target", "soil", "drainage", default="soil")


@dataclass(frozen=True, slots=True)
class Spray(Described):
    """Water sprayed by hand: `time_s` 0 to 86399 s after midnight, `amount_ml` 0.1 to 100,000, `over_min`
    0.1 to 1440, `every_days` 1 to 366, whole.
    """

    word: ClassVar[str] = "spray"

    time_s: float = entry(_TIME)
    amount_ml: float = measure("volume", "ml", 0.1, 1e5)
    over_min: float = measure("duration", "min", 0.1, 1440, 1.0)
    every_days: int = entry(_DAYS, 1)


@dataclass(frozen=True, slots=True)
class Mist(Described):
    """A mister or fogger, or a drip.

    `flow_ml_min`, 0.01 to 20,000 ml a minute while it runs, all nozzles together. It runs when `timer` and
    `control` (None: the timer alone) say so. `airborne`, 0 to 1, is the share of the water that floats as
    fog; None means the shipped default with its range. `tank_ml`, 1 to 1,000,000 ml, is what it is fed from, full at the
    start (None: water without end); it is filled up every `refill_days`, 1 to 366, at nine (None: never). `onto`: "all", where
    a fine spray lands on leaves, panes and ground, or "soil" for a drip, from a pump or a bottle, that wets the soil alone.
    """

    word: ClassVar[str] = "mist"

    name: str = entry(_NAME)
    flow_ml_min: float = measure("water flow", "ml/min", 0.01, 20_000)
    timer: Timer = entry(Part(Timer))
    control: Control | None = entry(Part(Control, optional=True), None)
    airborne: float | None = measure("share", "share", 0, 1, None)
    tank_ml: float | None = measure("volume", "ml", 1, 1e6, None)
    refill_days: int | None = entry(Measure("duration", "d", 1, 366, optional=True, whole=True), None)
    onto: str = choice("place where water lands", "all", "soil", default="all")
    timer_winter: Timer | None = entry(Part(Timer, optional=True), None)
    timer_summer: Timer | None = entry(Part(Timer, optional=True), None)

    def conflicts(self) -> Iterable[Problem]:
        if self.refill_days is not None and self.tank_ml is None:
            yield self.problem(
                "refill", "given without a tank", 'the size of the tank, such as tank = "2 l"', "Add it."
            )
        if self.onto == "soil" and self.airborne:
            yield self.problem("airborne", "given for a drip on the soil", "no such share for a drip", "Leave it out.")

    @property
    def water_ml_day(self) -> float:
        """Water in ml a day if the timer alone decides."""
        return self.flow_ml_min * self.timer.on_s / 60


@dataclass(frozen=True, slots=True)
class Lamp(Described):
    """A lamp: `kind` from the table "lamps", `power_w` 0 to 2,000 W, `timer`, `control` (None: the timer
    alone).

    `light`, `radiant` and `convective`, 0 to 1, are the shares of its power that enter the box as light, as
    heat rays and as warm air. None means the value of its kind. Together they cannot exceed 1.

    `par_at_plants`, 0 to 2,500 umol/m2/s, or `lux_at_plants`, 0 to 150,000 lux: what a meter held level at the top of
    the plants shows with this lamp alone; it outranks what would be computed. `to_plants_cm`, 0.5 to 300 cm: from the
    lamp down to the top leaves (None: it is at the lid).
    """

    word: ClassVar[str] = "lamp"

    name: str = entry(_NAME)
    kind: str = listed("kind of lamp", "lamps")
    power_w: float = measure("power", "W", 0, 2000)
    timer: Timer = entry(Part(Timer))
    control: Control | None = entry(Part(Control, optional=True), None)
    light: float | None = measure("share", "share", 0, 1, None)
    radiant: float | None = measure("share", "share", 0, 1, None)
    convective: float | None = measure("share", "share", 0, 1, None)
    par_at_plants: float | None = measure("plant light", "umol/m2/s", 0, MOST_PAR, None)
    lux_at_plants: float | None = measure("brightness", "lux", 0, MOST_LUX, None)
    to_plants_cm: float | None = measure("length", "cm", 0.5, 300, None)
    timer_winter: Timer | None = entry(Part(Timer, optional=True), None)
    timer_summer: Timer | None = entry(Part(Timer, optional=True), None)

    def above_plants_cm(self, glass: Enclosure) -> float:
        """Return the distance [cm] from the lamp to the top leaves, or to the ground where nothing grows."""
        if self.to_plants_cm is not None:
            return self.to_plants_cm
        return glass.height_cm - (glass.surface_cm if glass.plants is None else glass.plants.top_cm(glass))

    def conflicts(self) -> Iterable[Problem]:
        yield from two_readings(self)
        from terralab.materials import get  # late: tables are read only when a description needs them

        shares = {}
        for name in ("light", "radiant", "convective"):
            given = getattr(self, name)
            shares[name] = get("lamps", self.kind).typical(name) if given is None else given
        if sum(shares.values()) > 1 + 1e-9:
            listing = ", ".join(f"{name} {plain(100 * share, 4)} %" for name, share in shares.items())
            yield self.problem(
                "light",
                f"the shares make {plain(100 * sum(shares.values()), 4)} % ({listing})",
                "100 % of the power together",
                "Give all three shares, or lower them.",
            )


@dataclass(frozen=True, slots=True)
class Heater(Described):
    """A heater: `kind` from the table "heaters", `power_w` 0 to 2,000 W, `timer`, `control` (None: the
    timer alone decides). `place`: "lid", over or under it, or "wall" (empty: at the lid, if its kind hangs there). It
    decides whether the mesh may be covered, nothing else.
    """

    word: ClassVar[str] = "heater"

    name: str = entry(_NAME)
    kind: str = listed("kind of heater", "heaters")
    power_w: float = measure("power", "W", 0, 2000)
    timer: Timer = entry(Part(Timer))
    control: Control | None = entry(Part(Control, optional=True), None)
    place: str = entry(OneOf("place", lambda: ("lid", "wall"), empty=True), "")
    timer_winter: Timer | None = entry(Part(Timer, optional=True), None)
    timer_summer: Timer | None = entry(Part(Timer, optional=True), None)


@dataclass(frozen=True, slots=True)
class Fan(Described):
    """A fan. Mode "exchange" swaps the air of box and room, "circulate" only moves the air inside.

    An exchange fan needs one of two flows. `flow_m3_h`, 0.001 to 1,000 m3/h, is what really passes the mesh.
    `free_flow_m3_h`, 0.001 to 2,000 m3/h, is what the maker prints, measured in free air; with `shut_off_pa`,
    0.1 to 2,000 Pa, the greatest pressure printed, the flow through mesh and openings is worked out, without it
    a share passes (the default "fan through mesh"). `diameter_cm`, 1 to 40, of the fan's face (None: the default
    "fan face"). `opening`: the name of the opening it sits in (empty: the largest); the other air passes all
    others. `direction`: "out" or "in"; a fan that blows out carries the heat of its motor out (empty: that heat
    stays). `air_speed_cm_s`, 1 to 500 cm/s, is the air movement at soil, leaves and glass while it runs; a
    circulating fan needs it. `motor_w`, 0 to 200 W, is the power of a motor in the air of the box. `timer`,
    `control` (None: the timer alone decides).
    """

    word: ClassVar[str] = "fan"

    name: str = entry(_NAME)
    mode: str = choice("fan mode", "exchange", "circulate")
    timer: Timer = entry(Part(Timer))
    control: Control | None = entry(Part(Control, optional=True), None)
    flow_m3_h: float | None = measure("air flow", "m3/h", 0.001, 1000, None)
    air_speed_cm_s: float | None = measure("speed", "cm/s", 1, 500, None)
    motor_w: float = measure("power", "W", 0, 200, 0.0)
    free_flow_m3_h: float | None = measure("air flow", "m3/h", 0.001, 2000, None)
    shut_off_pa: float | None = measure("pressure", "Pa", 0.1, 2000, None)
    diameter_cm: float | None = measure("length", "cm", 1, 40, None)
    direction: str = entry(OneOf("direction", lambda: ("out", "in"), empty=True), "")
    opening: str = entry(Words(60, label=True), "")
    timer_winter: Timer | None = entry(Part(Timer, optional=True), None)
    timer_summer: Timer | None = entry(Part(Timer, optional=True), None)

    def conflicts(self) -> Iterable[Problem]:
        if self.mode == "exchange" and self.flow_m3_h is None and self.free_flow_m3_h is None:
            yield self.problem(
                "flow",
                "nothing given",
                'an air flow such as "2 m3/h"',
                "Give what passes the mesh: a third of the printed flow is a fair start. Or give the printed one "
                "as free_flow.",
            )
        if self.flow_m3_h is not None and self.free_flow_m3_h is not None:
            yield self.problem(
                "free_flow",
                "given beside flow",
                "one of the two",
                "Keep flow where you measured what passes the mesh, else free_flow as printed.",
            )
        if self.shut_off_pa is not None and self.free_flow_m3_h is None:
            yield self.problem(
                "shut_off",
                "given without free_flow",
                "both ends of the fan's curve",
                "Add the printed flow as free_flow, or leave the pressure out.",
            )
        if self.mode == "circulate" and self.air_speed_cm_s is None:
            yield self.problem(
                "air_speed",
                "nothing given",
                'a speed such as "20 cm/s"',
                "Give the air movement at the soil.",
            )
        moves = "flow" if self.flow_m3_h is not None else "free_flow" if self.free_flow_m3_h is not None else ""
        if self.mode == "circulate" and moves:
            yield self.problem(
                moves,
                "given for a fan that only circulates",
                "no flow for this mode",
                'Leave it out, or choose the mode "exchange".',
            )


@dataclass(frozen=True, slots=True)
class Siphon(Described):
    """Water drawn off the drainage layer, down to `to_level_cm` (0 to 300 cm above the floor).

    Either every `every_days` (1 to 366, whole) at `time_s` (0 to 86399 s after midnight), or as soon as the
    air gap under the mesh is smaller than `when_gap_below_cm` (0.1 to 100 cm). Give one of the two.
    """

    word: ClassVar[str] = "siphon"

    to_level_cm: float = measure("length", "cm", -300, 300)
    every_days: int | None = entry(Measure("duration", "d", 1, 366, optional=True, whole=True), None)
    time_s: float = entry(_TIME, 36000.0)
    when_gap_below_cm: float | None = measure("length", "cm", 0.1, 100, None)

    def conflicts(self) -> Iterable[Problem]:
        if self.to_level_cm < 0.0:
            yield self.problem(
                "to_level",
                f"given {plain(self.to_level_cm, 3)} cm, below the floor of the glass",
                "0 cm, the floor, up to just below the mesh",
                "Levels count upwards from the floor: give the height of water that is to stay, not how much is drawn off.",
            )
        if (self.every_days is None) == (self.when_gap_below_cm is None):
            both = "given both every and when_gap_below" if self.every_days else "nothing given"
            yield self.problem(
                "every",
                both,
                'either every, as in "7 days", or when_gap_below, as in "2 cm"',
                "Keep one of them.",
            )


@dataclass(frozen=True, slots=True)
class Door(Described):
    """A door that is opened to feed, spray or clean, and shut again.

    `time_s`, 0 to 86399, seconds after midnight; `open_min` 0 to 1440: how long it stands open (0: not at all);
    `every_days` 1 to 366, whole. `wall`: "front", "back", "left" or "right", or "lid" for a lid that is lifted. `width_cm`
    and `height_cm`, 0.1 to 500 cm, are what stands open; None means half the width of a wall (one of two sliding panes)
    and all its height above the soil, or the whole lid. In the lid `height_cm` runs from front to back. `bottom_cm`, 0 to
    300 cm: its lower edge above the floor; None means the surface of the soil.
    """

    word: ClassVar[str] = "door"

    time_s: float = entry(_TIME)
    open_min: float = measure("duration", "min", 0, 1440)
    every_days: int = entry(_DAYS, 1)
    name: str = entry(_NAME, "door")
    wall: str = choice("wall", "front", "back", "left", "right", "lid", default="front")
    width_cm: float | None = measure("length", "cm", 0.1, 500, None)
    height_cm: float | None = measure("length", "cm", 0.1, 500, None)
    bottom_cm: float | None = measure("length", "cm", 0, 300, None)

    def opening_cm(self, glass: Enclosure) -> tuple[float, float, float]:
        """Return width, height and lower edge [cm] of what stands open in `glass`."""
        across, up = glass.wall_cm(self.wall)
        if self.wall == "lid":
            return self.width_cm or across, self.height_cm or up, glass.height_cm
        bottom = glass.surface_cm if self.bottom_cm is None else self.bottom_cm
        return self.width_cm or 0.5 * across, self.height_cm or up - bottom, bottom

    def wrong_in(self, glass: Enclosure, place: str) -> Iterable[tuple[str, str, str, str]]:
        """Yield what does not fit the glass: entry, given, allowed and what to do; `place` is the door's in the file."""
        across, up = glass.wall_cm(self.wall)
        width, height, bottom = self.opening_cm(glass)
        cm = lambda value: as_typed("length", "cm", value)  # noqa: E731
        if width > across + 1e-9:
            yield (
                f"{place}.width",
                f"given {cm(width)}, wider than its wall",
                f"at most {cm(across)}",
                "Shrink it, or check which wall it is in.",
            )
        if self.wall == "lid":
            if self.bottom_cm is not None:
                yield (
                    f"{place}.bottom",
                    f"given {cm(self.bottom_cm)} for a lid",
                    "no lower edge for a lid",
                    "Leave this entry out.",
                )
            if height > up + 1e-9:
                yield (
                    f"{place}.height",
                    f"given {cm(height)}, longer than the lid from front to back",
                    f"at most {cm(up)}",
                    "Shrink it.",
                )
            return
        if not glass.surface_cm - 1e-9 <= bottom < up:
            yield (
                f"{place}.bottom",
                f"given {cm(bottom)}, not between the surface of the soil and the top",
                f"{cm(glass.surface_cm)} to less than {cm(up)}",
                "Measure from the floor of the glass, or leave this entry out: the door then begins at the soil.",
            )
        elif bottom + height > up + 1e-9:
            yield (
                f"{place}.height",
                f"given {cm(height)} from {cm(bottom)} up, past the edge of its wall",
                f"at most {cm(up - bottom)}",
                "Shrink or lower it.",
            )


@dataclass(frozen=True, slots=True)
class Routine(Described):
    """Everything that happens to the box, up to 50 of each kind. Misters, lamps, heaters, fans and doors have
    names. The timer of a device may hang on another one, and be another in winter and summer.
    """

    word: ClassVar[str] = "routine"

    pours: tuple[Pour, ...] = entry(Parts(Pour), ())
    sprays: tuple[Spray, ...] = entry(Parts(Spray), ())
    mists: tuple[Mist, ...] = entry(Parts(Mist), ())
    lamps: tuple[Lamp, ...] = entry(Parts(Lamp), ())
    heaters: tuple[Heater, ...] = entry(Parts(Heater), ())
    fans: tuple[Fan, ...] = entry(Parts(Fan), ())
    siphons: tuple[Siphon, ...] = entry(Parts(Siphon), ())
    doors: tuple[Door, ...] = entry(Parts(Door), ())

    def __post_init__(self) -> None:
        Described.__post_init__(self)
        changed, problems = hung(self)
        if problems:
            raise DescriptionError(problems)
        for kind, devices in changed.items():
            object.__setattr__(self, kind, devices)
        for season in ("winter", "summer"):
            in_season(self, season)  # what hangs on a device must be there in each season

    @property
    def sprays_come_round_days(self) -> int:
        """After how many days the sprays are as they were."""
        return math.lcm(*(spray.every_days for spray in self.sprays))

    def in_season(self, season: str) -> Routine:
        """Return the routine with the timers of a season, "now", "winter" or "summer"."""
        return in_season(self, season)

    def conflicts(self) -> Iterable[Problem]:
        watching = [number for number, siphon in enumerate(self.siphons, 1) if siphon.when_gap_below_cm is not None]
        if len(watching) > 1:
            yield self.problem(
                f"siphons.{watching[1]}.when_gap_below",
                f"given for {len(watching)} siphons",
                "one siphon that watches the gap",
                "Keep the one with the larger gap.",
            )
