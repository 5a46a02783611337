"""Which room a season means: the described one, its winter or summer, or a shipped default that says so."""

from __future__ import annotations

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.errors import UnknownName, nearest
from terralab.measured import Measured
from terralab.quantities import as_typed

SEASONS = ("now", "winter", "summer")


def room_of(box: Box, season: str) -> RoomState:
    """The room's state in a season; raises UnknownName for another word."""
    if not isinstance(season, str) or season not in SEASONS:
        raise UnknownName(f"season must be one of now, winter or summer; {season!r} was given.{_guess(season)}")
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
    """The room in a few words, such as "17 to 21 °C, 30 % humidity", its measures as marks (see `terralab.quantities`)."""

    ends = lambda signal: (x if isinstance(x, Measured) else round(x, 1) for x in signal.range())  # noqa: E731
    return f"{as_typed('temperature', 'C', *ends(state.temperature))}, {as_typed('humidity', '%', *ends(state.humidity))} humidity"


def _guess(word: str) -> str:
    near = nearest(word, SEASONS)
    return f" Did you mean {near!r}?" if near else ""
