"""Which room a season means: the described one, its winter or summer, or a shipped default that says so."""

from __future__ import annotations

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.errors import UnknownName, nearest
from terralab.measured import Measured, told

SEASONS = ("now", "winter", "summer")


def room_of(box: Box, season: str) -> RoomState:
    """The room's state in a season; raises UnknownName for another word."""
    if season not in SEASONS:
        raise UnknownName(f"season: {season!r} was given; allowed are now, winter and summer.{_guess(season)}")
    own = getattr(box.room, season)
    return own if own is not None else default_room(season)


def default_room(season: str) -> RoomState:
    """The shipped winter or summer room: constant temperature and humidity from the defaults table."""
    entry = materials.get("defaults", f"{season} room")
    return RoomState(
        temperature=Signal.constant(entry.typical("temperature")), humidity=Signal.constant(entry.typical("humidity"))
    )


def is_own(box: Box, season: str) -> bool:
    """True when the description itself says what the room is like in that season."""
    return getattr(box.room, season) is not None


def room_in_words(state: RoomState) -> str:
    """The room in a few words, such as "17 to 21 °C, 30 % humidity"; a temperature in the unit it was typed in."""

    def span(signal: Signal, quantity: str, unit: str) -> str:
        low, high = (told(x if isinstance(x, Measured) else round(x, 1), quantity, unit) for x in signal.range())
        if low == high:
            return low
        number, _, shown = low.rpartition(" ")
        return f"{number} to {high}" if high.endswith(f" {shown}") else f"{low} to {high}"

    return f"{span(state.temperature, 'temperature', 'C')}, {span(state.humidity, 'humidity', '%')} humidity"


def _guess(word: str) -> str:
    near = nearest(word, SEASONS)
    return f" Did you mean {near!r}?" if near else ""
