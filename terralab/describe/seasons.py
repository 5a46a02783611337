"""Which room a season means: the described one, its winter or summer, or a shipped default that says so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.describe.trial import Trial
from terralab.errors import UnknownName, nearest, quoted
from terralab.measured import Measured
from terralab.quantities import as_typed
from terralab.units import DAY_S

_LEAST_C, _MOST_C = -10.0, 60.0  # what a room may have (see `RoomState`)
SEASONS = ("now", "winter", "summer")


def box_in(box: Box, season: str) -> Box:
    """The box with the timers its devices have in a season."""
    routine = box.routine.in_season(season)
    return box if routine is box.routine else Trial.of(box, routine=routine)


def room_of(box: Box, season: str) -> RoomState:
    """The room's state in a season; raises UnknownName for another word."""
    if not isinstance(season, str) or season not in SEASONS:
        raise UnknownName(f"season must be one of now, winter or summer; {quoted(season)} was given.{_guess(season)}")
    own = getattr(box.room, season)
    return own if own is not None else default_room(season, box.room.now)


def default_room(season: str, now: RoomState | None = None) -> RoomState:
    """The shipped winter or summer room: mean temperature and humidity from the defaults table.

    Its temperature swings between day and night as that of the room `now` does, since nights are cooler in every season; it is
    steady without `now`, or where that is steady or logged over other than a day.
    """
    entry = materials.get("defaults", f"{season} room")
    mean = entry.typical("temperature")
    course = Signal.constant(mean) if now is None else _about(mean, now.temperature)
    return RoomState(temperature=course, humidity=Signal.constant(entry.typical("humidity")))


def _about(mean: float, course: Signal) -> Signal:
    """A course of the day moved to another mean [C]."""
    if course.value is not None or not course.repeats:
        return Signal.constant(mean)
    times = np.unique([*course.knots_s(1.0), 0.0, DAY_S])
    by = mean - float(np.trapezoid(course.at(times), times)) / DAY_S
    moved = lambda value: round(min(_MOST_C, max(_LEAST_C, float(value) + by)), 2)  # noqa: E731
    if course.hours:
        return replace(course, values=tuple(moved(value) for value in course.values))
    return replace(course, day=moved(course.day), night=moved(course.night))


def is_own(box: Box, season: str) -> bool:
    """True when the description itself says what the room is like in that season."""
    return getattr(box.room, season) is not None


def room_in_words(state: RoomState) -> str:
    """The room in a few words, such as "17 to 21 °C, 30 % humidity", its measures as marks (see `terralab.quantities`)."""

    ends = lambda signal: (x if isinstance(x, Measured) else round(x, 1) for x in signal.range())  # noqa: E731
    return f"{as_typed('temperature', 'C', *ends(state.temperature))}, {as_typed('humidity', '%', *ends(state.humidity))} humidity"


def _guess(word: str) -> str:
    near = nearest(word, SEASONS)
    return f" Did you mean {quoted(near)}?" if near else ""
