"""A room that was logged for days: every question is asked in its mean day, so that the whole log counts.

A question looks for what is usual. Most run a box for a week or two and look at the last day; of a log they would see
that one day's weather and nothing of the rest. So the log becomes its mean day, half hour by half hour of the clock:
the mean temperature, and the humidity of the mean vapour pressure. `simulate` runs a log as it stands.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from typing import TypeVar

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.errors import DescriptionError, TerralabWarning
from terralab.physics.moist_air import saturation_pressure

STEP_H = 0.5
DAY_H = 24.0
Asked = TypeVar("Asked", bound=Callable)


def in_typical_room(question: Asked) -> Asked:
    """Decorate a question that takes a box first: it is asked in the mean day of each room that was logged.

    Then a TerralabWarning says so, as do the assumptions of an Answer. Raises DescriptionError for a log of less than
    a day.
    """

    @wraps(question)
    def asked(box: Box, *args: object, **more: object) -> object:
        if not isinstance(box, Box):
            return question(box, *args, **more)
        usual, words = typical_room(box)
        if not words:
            return question(box, *args, **more)
        warnings.warn(words, TerralabWarning, stacklevel=2)
        found = question(usual, *args, **more)
        return replace(found, assumptions=(*found.assumptions, words)) if isinstance(found, Answer) else found

    return asked


def typical_room(box: Box) -> tuple[Box, str]:
    """The box in the mean day of each of its rooms that was logged, and words that say so; empty where none was."""
    rooms, days = {}, []
    for season in ("now", "winter", "summer"):
        state = getattr(box.room, season)
        if state is not None and (span := _span(state, season)) is not None:
            rooms[season] = mean_day(state, *span)
            days.append(f"{(span[1] - span[0]) / DAY_H:.3g} days" + ("" if season == "now" else f" in {season}"))
    if not rooms:
        return box, ""
    words = f"The room was logged for {' and '.join(days)}: the answer takes the mean day of the whole log."
    return replace(box, room=replace(box.room, **rooms)), words


def mean_day(state: RoomState, first_h: float, last_h: float) -> RoomState:
    """The mean day of a room between two hours of its log, at least 24 h apart; the last whole days are taken."""
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


def _span(state: RoomState, season: str) -> tuple[float, float] | None:
    """The hours in which all that was logged was logged; None where nothing was."""
    spans = {name: getattr(state, name).logged_h for name in ("temperature", "humidity")}
    logged = {name: span for name, span in spans.items() if span is not None}
    if not logged:
        return None
    first, last = max(a for a, _ in logged.values()), min(b for _, b in logged.values())
    if last - first < DAY_H:
        place = "room" if season == "now" else f"room.{season}"
        both = " together" if len(logged) == 2 else ""
        raise DescriptionError.of(
            f"{place}.{next(iter(logged))}",
            f"given a log of {max(0.0, last - first):.3g} hours{both}",
            "a log of at least 24 hours",
            "Log the room for some days, or write the value by day and by night.",
        )
    return first, last
