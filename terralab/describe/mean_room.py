"""A room that was logged for days, as its mean day: half hour by half hour of the clock, so that the whole log counts."""

from __future__ import annotations

import numpy as np

from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.errors import DescriptionError
from terralab.physics.moist_air import saturation_pressure

STEP_H = 0.5
DAY_H = 24.0


def mean_day(state: RoomState, first_h: float, last_h: float) -> RoomState:
    """The mean day of a room between two hours of its log, at least 24 h apart; the last whole days are taken.

    Its temperature is the mean, its humidity that of the mean vapour pressure.
    """
    days = int((last_h - first_h) / DAY_H + 1e-9)
    start = last_h - days * DAY_H
    hours = start + (np.arange(round(days * DAY_H / STEP_H)) + 0.5) * STEP_H
    t, rh = (
        np.asarray(s.at(3600.0 * hours), float) + np.zeros(len(hours)) for s in (state.temperature, state.humidity)
    )
    vapour = rh * np.array([saturation_pressure(x) for x in t])
    t, vapour = (x.reshape(days, -1).mean(axis=0) for x in (t, vapour))
    rh = np.clip(vapour / np.array([saturation_pressure(x) for x in t]), 0.0, 100.0)
    first_day = hours[: len(t)] % DAY_H
    order = np.argsort(first_day)
    clock = np.append(first_day[order], first_day[order][0] + DAY_H)
    course = lambda x: Signal.series(clock, np.append(x[order], x[order][0]))  # noqa: E731
    return RoomState(course(t), course(rh))


def logged_span(state: RoomState, season: str) -> tuple[float, float] | None:
    """The hours in which all that was logged was logged; None where nothing was. Raises DescriptionError for less than a day."""
    spans = {name: getattr(state, name).logged_h for name in ("temperature", "humidity")}
    logged = {name: span for name, span in spans.items() if span is not None}
    if not logged:
        return None
    first, last = max(a for a, _ in logged.values()), min(b for _, b in logged.values())
    if last - first < DAY_H:
        place = "room" if season == "now" else f"room.{season}"
        both = " together" if len(logged) == 2 else ""
        raise too_short(f"{place}.{next(iter(logged))}", last - first, both)
    return first, last


def too_short(place: str, hours: float, both: str) -> DescriptionError:
    """The error for a log that holds no whole day."""
    return DescriptionError.of(
        place,
        f"given a log of {max(0.0, hours):.3g} hours{both}",
        "a log of at least 24 hours",
        "Log it for some days, or write what it is by day and by night.",
    )
