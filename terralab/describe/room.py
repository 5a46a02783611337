"""What surrounds the box: the room's temperature and humidity, now, in winter and in summer."""

# entry() does nothing but call dataclasses.field(), which is the allowed call here.
# ruff: noqa: RUF009
from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Self

from terralab.describe.fields import Measure, Part, entry, strays
from terralab.describe.part import Described
from terralab.describe.signal import Signal, SignalField
from terralab.errors import DescriptionError, quoted


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
class Room(Described):
    """The room `now`, and what the keeper knows of it in `winter` and in `summer` (None: the shipped
    default).
    """

    word: ClassVar[str] = "room"

    now: RoomState = entry(Part(RoomState))
    winter: RoomState | None = entry(Part(RoomState, optional=True), None)
    summer: RoomState | None = entry(Part(RoomState, optional=True), None)

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
        here = ("temperature", "humidity", "winter", "summer")
        problems = strays(raw, here, place)
        tables = {"now": {key: raw[key] for key in here[:2] if raw.get(key) is not None}}
        tables |= {season: raw[season] for season in here[2:] if raw.get(season) is not None}
        states = {}
        for season, table in tables.items():
            try:
                states[season] = RoomState.read(table, place if season == "now" else f"{place}.{season}", bare)
            except DescriptionError as error:
                problems += error.problems
        if problems:
            raise DescriptionError(problems)
        return cls(**states)

    def write(self) -> dict[str, object]:
        """Return the table of a file that `read` turns back into this room."""
        seasons = {"winter": self.winter, "summer": self.summer}
        return self.now.write() | {name: state.write() for name, state in seasons.items() if state is not None}
