"""The whole description: an enclosure, its room, its routine, how it starts and for whom it is kept."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Self

from terralab.describe.capacity import capacity
from terralab.describe.enclosure import Enclosure
from terralab.describe.fields import OneOf, Part, Parts, Words, entry, listed, measure
from terralab.describe.learned import Learned, learned_doubts, wrong_learned
from terralab.describe.own_in_box import left_out, named_in, with_own
from terralab.describe.own_material import OwnMaterial
from terralab.describe.part import Described
from terralab.describe.paths import with_changes
from terralab.describe.ranges import Range, wrong_ranges
from terralab.describe.room import Room
from terralab.describe.routine import Routine
from terralab.describe.sizes import cm
from terralab.describe.start import Start
from terralab.describe.substance import own_materials
from terralab.describe.system import speaks_us
from terralab.describe.wanted import DRY, MOIST
from terralab.describe.warmth import warmth_doubts
from terralab.describe.words import describe
from terralab.errors import Problem, advice, quoted
from terralab.folded import fold, page, paragraph
from terralab.measured import alike, with_unit
from terralab.quantities import Text, as_typed, said
from terralab.units import DAY_S, HOUR_S, clock, parse, show


@dataclass(frozen=True, slots=True)
class ClockTime:
    """A field that holds a time of day as a text, "08:00"."""

    needs = 'a time such as "08:00"'

    def check(self, value: object, place: str) -> str:
        return clock(parse(value, "time of day", "s", field=place))

    def read(self, raw: object, place: str, bare: bool) -> str:
        return self.check(raw, place)

    def write(self, value: str) -> str:
        return value


@dataclass(frozen=True, slots=True)
class HumidityTarget(Described):
    """The humidity the keeper wants, in place of the animal group's, and if given the temperature.

    `day_low`, `day_high`, `night_low`, `night_high` in % RH (0 to 100, low below high). Day runs from
    `day_from` to `day_to`, texts such as "08:00"; it may run past midnight. `day_temp_low_c` and `day_temp_high_c`,
    `night_temp_low_c` and `night_temp_high_c`: the air's temperature, -10 to 60 C, both of a pair or neither (None:
    that of the group).
    """

    word: ClassVar[str] = "band"

    day_low: float = measure("humidity", "%", 0, 100)
    day_high: float = measure("humidity", "%", 0, 100)
    night_low: float = measure("humidity", "%", 0, 100)
    night_high: float = measure("humidity", "%", 0, 100)
    day_from: str = entry(ClockTime(), "08:00")
    day_to: str = entry(ClockTime(), "20:00")
    day_temp_low_c: float | None = measure("temperature", "C", -10, 60, None, key="day_temp_low")
    day_temp_high_c: float | None = measure("temperature", "C", -10, 60, None, key="day_temp_high")
    night_temp_low_c: float | None = measure("temperature", "C", -10, 60, None, key="night_temp_low")
    night_temp_high_c: float | None = measure("temperature", "C", -10, 60, None, key="night_temp_high")

    @property
    def has_temperatures(self) -> bool:
        """True where a temperature was typed too."""
        return self.day_temp_low_c is not None or self.night_temp_low_c is not None

    @property
    def day_from_s(self) -> float:
        """When the day starts, in seconds after midnight."""
        return parse(self.day_from, "time of day", "s")

    @property
    def day_to_s(self) -> float:
        """When the day ends, in seconds after midnight."""
        return parse(self.day_to, "time of day", "s")

    def conflicts(self) -> Iterable[Problem]:
        for part, low, high in (
            ("day", self.day_low, self.day_high),
            ("night", self.night_low, self.night_high),
        ):
            if low >= high:
                yield self.problem(
                    f"{part}_low",
                    f"given {show(low, 'humidity', '%', 4)}",
                    f"less than {part}_high, {show(high, 'humidity', '%', 4)}",
                    "Swap the two.",
                )
        yield from self._wrong_temperatures()
        if self.day_from == self.day_to:
            yield self.problem("day_to", f"given {self.day_to}, the start of the day", "another time than day_from")
        elif not HOUR_S <= (self.day_to_s - self.day_from_s) % DAY_S <= DAY_S - HOUR_S:
            # rows of an hour could all miss it, and there would be nothing to judge
            yield self.problem(
                "day_to",
                f"given {self.day_to}, with the day from {self.day_from}",
                "a day and a night of an hour at least",
                "Say when the lights go on and off.",
            )

    def _wrong_temperatures(self) -> Iterable[Problem]:
        for part in ("day", "night"):
            ends = {end: getattr(self, f"{part}_temp_{end}_c") for end in ("low", "high")}
            low, high = ends["low"], ends["high"]
            if low is None and high is None:
                continue
            if low is None or high is None:
                lacking = f"{part}_temp_{'low' if low is None else 'high'}"
                yield self.problem(
                    lacking, "nothing given", 'a temperature such as "22 C"', "Give both ends, or neither."
                )
            elif low >= high:
                yield self.problem(
                    f"{part}_temp_low",
                    f"given {as_typed('temperature', 'C', low)}",
                    f"less than {part}_temp_high, {as_typed('temperature', 'C', high)}",
                    "Swap the two.",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Box(Described):
    """A box that can be simulated.

    `name` (1 to 80 characters), `note` (any text up to 4,000), `group` (of the table "groups", or empty),
    `humidity_target` (None: that of the group), `soil_wanted` ("moist", "dry", or empty: what the group wants, moist without one),
    `enclosure`, `room`, `routine`, `start` (how the soil is now), and `ranges`, what the keeper knows of the spread of
    single entries, `materials`, soil mixes that the keeper weighed, which the layers may name, and `learned`, what a log of the
    box taught (computed, and None without one). Give them by name. Raises `DescriptionError` with all problems found; what is possible but hardly
    meant, such as a pour that would reach the mesh or a covered lid under a hot lamp, only warns.
    """

    word: ClassVar[str] = ""

    name: str = entry(Words(80, empty=False))
    note: str = entry(Words(4000, lines=True), "")
    group: str = listed("animal group", "groups", "")
    humidity_target: HumidityTarget | None = entry(Part(HumidityTarget, optional=True), None, key="band")
    soil_wanted: str = entry(OneOf("way to keep the soil", lambda: (MOIST, DRY), empty=True), "")
    start: Start = entry(Part(Start), Start())
    enclosure: Enclosure = entry(Part(Enclosure))
    room: Room = entry(Part(Room))
    routine: Routine = entry(Part(Routine), Routine())
    ranges: tuple[Range, ...] = entry(Parts(Range, most=50), ())
    materials: tuple[OwnMaterial, ...] = entry(Parts(OwnMaterial), ())
    learned: Learned | None = entry(Part(Learned, optional=True), None)

    def __post_init__(self) -> None:
        object.__setattr__(self, "enclosure", with_own(self.enclosure, self.materials))
        Described.__post_init__(self)

    @classmethod
    def read(cls, raw: object, place: str = "", bare: bool = False) -> Self:
        """Build the box from the table of a file, as `Described.read`; layers may name the materials of the same file."""
        with own_materials(named_in(raw, bare)):
            return Described.read.__func__(cls, raw, place, bare)

    def conflicts(self) -> Iterable[Problem]:
        yield from wrong_ranges(self)
        yield from wrong_learned(self)
        yield from left_out(self.enclosure, self.materials)
        yield from self.too_much_water()
        yield from self._wrong_siphons()
        names = [opening.name for opening in self.enclosure.openings]
        for fan in self.routine.fans:
            if fan.opening and fan.opening not in names:
                yield self.problem(
                    f"routine.fans.{fan.name}.opening",
                    f"given {quoted(fan.opening)}",
                    "the name of an opening of this box",
                    advice(fan.opening, names) if names else "Add an opening first, or leave this entry out.",
                )
        yield from self._wrong_lamp()
        for wrong in self.start.wrong_in(self.enclosure):
            yield self.problem(*wrong)
        for door in self.routine.doors:
            for wrong in door.wrong_in(self.enclosure, f"routine.doors.{door.name}"):
                yield self.problem(*wrong)
        if self.enclosure.drainage is None or self.enclosure.tube is None:
            for number, pour in enumerate(self.routine.pours, 1):
                if pour.into == "drainage":
                    yield self.problem(
                        f"routine.pours.{number}.into",
                        'given "drainage"',
                        '"soil" in this box',
                        "Pouring into the drainage layer needs enclosure.drainage and enclosure.tube.",
                    )

    def _wrong_lamp(self) -> Iterable[Problem]:
        """The lamp of a basking place is one of the routine."""
        basking = self.enclosure.basking
        names = [device.name for device in (*self.routine.lamps, *self.routine.heaters)]
        if basking is not None and basking.lamp not in names:
            yield self.problem(
                "enclosure.basking.lamp",
                f"given {quoted(basking.lamp)}",
                "the name of a lamp or heater of this box",
                advice(basking.lamp, names) if names else "Add it under [[routine.lamps]] first, or leave basking out.",
            )

    def too_much_water(self) -> Iterable[Problem]:
        """Amounts that cannot stay in the glass, however dry its soil: most often a slip of the unit."""
        for place, words, amount_ml in self._waters():
            if (
                amount_ml > max(0.0, self.enclosure.free_space_ml)
                and amount_ml > (room := capacity(self.enclosure)).most_ml
            ):
                each = " a day" if "mists" in place else ""
                yield self.problem(
                    place,
                    f"given {with_unit(amount_ml, 'volume', 'ml', 6)}{each}, which would overflow",
                    f"at most {alike(room.most_ml, amount_ml, 'volume', 'ml')}{each}, which dry soil, what lies under it and the "
                    f"space up to {self._brim()} take",
                    words,
                )

    def _waters(self) -> Iterable[tuple[str, str, float]]:
        """Every watering of the routine: its place, what to do where it is too much, and ml (of a mister a day's)."""
        less = "Pour less at a time, or check the unit."
        for kind in ("pours", "sprays"):
            for number, water in enumerate(getattr(self.routine, kind), 1):
                yield f"routine.{kind}.{number}.amount", less, water.amount_ml
        for mist in self.routine.mists:
            shorter = "Shorten the timer, or check the unit of the flow."
            yield f"routine.mists.{mist.name}.flow", shorter, mist.water_ml_day

    def _brim(self) -> str:
        walled = any(o.wall != "lid" for o in self.enclosure.openings)
        return "the lowest opening in a wall" if walled else "the brim"

    def _wrong_siphons(self) -> Iterable[Problem]:
        drainage = self.enclosure.drainage
        for number, siphon in enumerate(self.routine.siphons, 1):
            where = f"routine.siphons.{number}"
            if drainage is None:
                yield self.problem(
                    where,
                    "given a siphon without a drainage layer",
                    "a siphon only with one",
                    "Add enclosure.drainage, or leave the siphon out.",
                )
                continue
            depth, gap = drainage.depth_cm, siphon.when_gap_below_cm
            if siphon.to_level_cm >= depth:
                yield self.problem(
                    f"{where}.to_level",
                    f"given {cm(siphon.to_level_cm)}, not below the mesh",
                    f"less than {cm(depth)}, the depth of the drainage layer",
                    "Draw the water down further.",
                )
            elif gap is not None and siphon.to_level_cm >= depth - gap:
                yield self.problem(
                    f"{where}.when_gap_below",
                    f"given {cm(gap)}, which leaves nothing to draw off",
                    f"less than {cm(depth - siphon.to_level_cm)}, the gap after siphoning",
                    "Draw down further, or wait for a smaller gap.",
                )

    def cautions(self) -> Iterable[str]:
        us = speaks_us(self)
        yield from (f"{self.name}: {said(doubt, us)}" for doubt in warmth_doubts(self))
        yield from learned_doubts(self)
        yield from self._idle_fans()
        yield from self._running_over()
        drainage = self.enclosure.drainage
        if drainage is None:
            return
        gap_cm = drainage.depth_cm - drainage.level_cm
        if gap_cm < 0:
            yield Text(
                f"{self.name}: the water stands {cm(-gap_cm)} above the mesh at the start. The soil starts flooded."
            )
            return
        room_ml = self.enclosure.soil_area_m2 * gap_cm * 1e4 * drainage.voids
        largest = max((pour.amount_ml for pour in self.routine.pours), default=0.0)
        if largest > room_ml:
            yield (
                f"{self.name}: a pour of {with_unit(largest, 'volume', 'ml')} is more than the "
                f"{alike(room_ml, largest, 'volume', 'ml', 3)} that fit under the mesh. "
                "The water may reach the soil from below."
            )

    def _running_over(self) -> Iterable[str]:
        """Waterings that drained soil does not take up at once: what stands above the brim or a vent runs out."""
        for place, _, amount_ml in self._waters():
            if amount_ml <= max(0.0, self.enclosure.free_space_ml):
                continue
            room = capacity(self.enclosure).taken_up_ml
            if amount_ml > room:
                each = " a day" if "mists" in place else ""
                yield (
                    f"{self.name}: {place} is {with_unit(amount_ml, 'volume', 'ml')}{each}; moist soil, the layer under it and the "
                    f"space up to {self._brim()} take about {alike(room, amount_ml, 'volume', 'ml', 2)} at once. Once the soil is moist, "
                    "the rest may run out of the glass: water in portions."
                )

    def _idle_fans(self) -> Iterable[str]:
        open_ones = [o.name for o in self.enclosure.openings if o.covered < 1.0]
        for fan in self.routine.fans:
            if fan.mode != "exchange" or (open_ones and (not fan.opening or fan.opening in open_ones)):
                continue
            why = f'its opening "{fan.opening}" is covered' if open_ones else "no opening of the box is open"
            yield f'{self.name}: the exchange fan "{fan.name}" moves nothing, since {why}.'

    def change(self, **changes: object) -> Self:
        """Return a new, checked box with some entries changed.

        The names are the dotted words of the file, the values what a file may hold:
        `box.change(**{"room.temperature": "18 C", "enclosure.openings.lid.covered": 0.5})`. An item of a
        list is found by its name, or by its number counted from 1. None takes an optional entry away. A
        plain number is taken in the unit of the field (cm, ml, C, %). Raises `DescriptionError`; a misspelt
        word is named with the nearest good one.
        """
        table = self.write()
        if self.learned is not None and not any(path.partition(".")[0] == "learned" for path in changes):
            # its thousands of numbers were checked when it was built
            table["learned"] = self.learned
        return type(self).read(with_changes(table, changes), bare=True)

    def describe(self) -> str:
        """Say in plain English what stands there, what surrounds it and what is done to it."""
        return describe(self)

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the first line of the description, the others folded."""
        first, *more = self.describe().splitlines()
        return page(
            paragraph(first, large=True), fold("What stands in it, around it, and is done to it", *map(paragraph, more))
        )
