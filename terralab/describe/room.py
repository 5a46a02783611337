"""What surrounds the box: the room's temperature and humidity, now, in winter and in summer, its air, its window."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Self

from terralab.describe.fields import Measure, Part, entry, strays
from terralab.describe.light import Sun, Window
from terralab.describe.part import Described
from terralab.describe.signal import Signal, SignalField
from terralab.errors import DescriptionError, closest, quoted

DRAUGHTS = ("calm", "usual", "draughty")


@dataclass(frozen=True, slots=True)
class RoomState(Described):
    """The air of the room at one season: `temperature` -10 to 60 C and `humidity` 0 to 100 % RH, as a
    `Signal`.

    A plain number counts as steady. A humidity above 0 and up to 1 is refused, as it looks like a fraction.
    """

    word: ClassVar[str] = "room"

    temperature: Signal = entry(SignalField(Measure("temperature", "C", -10, 60)))
    humidity: Signal = entry(SignalField(Measure("humidity", "%", 0, 100)))


@dataclass(frozen=True, slots=True)
class DraughtField:
    """A field that holds one of DRAUGHTS, a measured speed in cm/s, or None."""

    needs = 'a word out of "calm", "usual" and "draughty", or a measured speed such as "5 cm/s"'
    speed = Measure("speed", "cm/s", 0, 200)

    def check(self, value: object, place: str) -> str | float | None:
        if value is None or not isinstance(value, str):
            return value if value is None else self.speed.check(value, place)
        word = " ".join(value.split()).lower()
        if word in DRAUGHTS:
            return word
        near = closest(word, DRAUGHTS)
        hint = f"Did you mean {quoted(near[0])}?" if near else ""
        if any(letter.isdigit() for letter in value):
            hint = "In Python give a plain number in cm/s."
        raise DescriptionError.of(place, f"given {quoted(value)}", self.needs, hint)

    def read(self, raw: object, place: str, bare: bool) -> str | float | None:
        if isinstance(raw, str) and any(letter.isdigit() for letter in raw):
            return self.speed.read(raw, place, bare)
        return self.check(raw, place) if isinstance(raw, str) else self.speed.read(raw, place, bare)

    def write(self, value: str | float) -> str:
        return value if isinstance(value, str) else self.speed.write(value)


@dataclass(frozen=True, slots=True)
class Room(Described):
    """The room `now`, and what the keeper knows of it in `winter` and in `summer` (None: the shipped
    default).

    `draught`: how the air of the room moves about the box, at all seasons: "calm", "usual", "draughty", or a measured
    speed in cm/s, 0 to 200. None: as usual. `window`: where the box stands in the daylight (None: none is counted);
    `sun`: when the sun falls straight on it (None: never).
    """

    word: ClassVar[str] = "room"

    now: RoomState = entry(Part(RoomState))
    winter: RoomState | None = entry(Part(RoomState, optional=True), None)
    summer: RoomState | None = entry(Part(RoomState, optional=True), None)
    draught: str | float | None = entry(DraughtField(), None)
    window: Window | None = entry(Part(Window, optional=True), None)
    sun: Sun | None = entry(Part(Sun, optional=True), None)

    def draught_m_s(self, pick: Callable[[str, str, str], float]) -> float:
        """Return the speed [m/s] of the room's air about the box.

        What was measured counts; else `pick(table, name, property)` is asked for the number of a calm, usual or draughty
        room in the table of defaults.
        """
        if self.draught is None or isinstance(self.draught, str):
            return pick("defaults", f"{self.draught or 'usual'} room", "draught")
        return self.draught / 100.0

    @classmethod
    def read(cls, raw: object, place: str = "room", bare: bool = False) -> Self:
        """Build the room from a file's table, where the entries of `now` stand in the room itself."""
        if not isinstance(raw, dict):
            raise DescriptionError.of(
                place,
                f"given {quoted(raw)}",
                "temperature and humidity of the room",
                f"Write them below a line [{place}].",
            )
        here = ("temperature", "humidity", "winter", "summer", "draught", "window", "sun")
        problems = strays(raw, here, place)
        tables = {"now": {key: raw[key] for key in here[:2] if raw.get(key) is not None}}
        tables |= {season: raw[season] for season in here[2:4] if raw.get(season) is not None}
        states: dict[str, RoomState] = {}
        light: dict[str, Window | Sun] = {}
        draught = None
        for key, part in (("window", Window), ("sun", Sun)):
            if raw.get(key) is not None:
                try:
                    light[key] = part.read(raw[key], f"{place}.{key}", bare)
                except DescriptionError as error:
                    problems += error.problems
        if raw.get("draught") is not None:
            try:
                draught = DraughtField().read(raw["draught"], f"{place}.draught", bare)
            except DescriptionError as error:
                problems += error.problems
        for season, table in tables.items():
            try:
                states[season] = RoomState.read(table, place if season == "now" else f"{place}.{season}", bare)
            except DescriptionError as error:
                problems += error.problems
        if problems:
            raise DescriptionError(problems)
        return cls(**states, **light, draught=draught)

    def write(self) -> dict[str, object]:
        """Return the table of a file that `read` turns back into this room."""
        seasons = {"winter": self.winter, "summer": self.summer}
        held = {name: state.write() for name, state in seasons.items() if state is not None}
        air = {} if self.draught is None else {"draught": DraughtField().write(self.draught)}
        lit = {name: part.write() for name, part in (("window", self.window), ("sun", self.sun)) if part is not None}
        return self.now.write() | air | held | lit
