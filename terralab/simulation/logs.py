"""A run must not outlast what was logged: nobody knows what the room or a device does after its log."""

from __future__ import annotations

from terralab.describe.room import RoomState
from terralab.describe.routine import Routine
from terralab.describe.timing import KINDS
from terralab.errors import DescriptionError
from terralab.units import DAY_S, HOUR_S

_SLACK_S = 1e-3


def needs_logs(room: RoomState, routine: Routine, season: str, first_s: float, end_s: float) -> None:
    """Raise DescriptionError where a log of the room or of a device begins after the run or ends before it, and is not repeated.

    `first_s` and `end_s`: from when to when the run goes [s after the midnight of its first day].
    """
    place = "room" if season == "now" else f"room.{season}"
    for name in ("temperature", "humidity"):
        signal = getattr(room, name)
        if not signal.covers(first_s, end_s):
            raise _too_short(f"{place}.{name}", signal.logged_h, first_s, end_s)
    for kind in KINDS:
        for device in getattr(routine, kind):
            timer = device.timer
            if not timer.is_log or timer.repeat:
                continue
            if HOUR_S * timer.hours[0] > first_s + _SLACK_S or end_s > HOUR_S * timer.hours[-1] + _SLACK_S:
                raise _too_short(
                    f"routine.{kind}.{device.name}.timer", (timer.hours[0], timer.hours[-1]), first_s, end_s
                )


def _too_short(place: str, logged_h: tuple[float, float], first_s: float, end_s: float) -> DescriptionError:
    first, last = (hour / 24.0 for hour in logged_h)
    return DescriptionError.of(
        place,
        f"given a log from day {first:.3g} to day {last:.3g} for a run from day {first_s / DAY_S:.3g} to day {end_s / DAY_S:.4g}",
        "a log that lasts as long as the run, or one that is repeated",
        "Run fewer days, or add repeat = true beside hours and values: its last whole days then come again.",
    )
