"""Boxes with a learned part, made without any log: for tests of whatever takes what a log taught."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np

import terralab as tl
from terralab.describe.learned import EXCHANGE, LOSS, Learned, LearnedResult, LearnedSensor, NotLearned
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.learning.fit import Course, Fit, Narrowed, Refusal
from terralab.uncertainty import Ensemble, ensemble
from terralab.uncertainty.inputs import described


def part(box: tl.Box, draws: int = 64, narrow: float = 1.0, only: Callable[[str], bool] = lambda name: True) -> Learned:
    """A learned part of draws as the tables give them, drawn in by `narrow` to the typical values, with these as the middle."""
    found = ensemble(box, draws)
    held = [(j, one) for j, one in enumerate(found.inputs) if only(one.name)]
    return Learned(
        began="2026-03-01",
        days=14.0,
        weighed=1,
        clock_shift_min=3.0,
        measure_next="Weigh the box a day apart.",
        results=(LearnedResult(LOSS, (50, 90, 200), (80, 100, 130)),),
        sensors=(LearnedSensor("box", "humidity", (-1.0, 0.5, 2.0), 1.6), LearnedSensor("room", "temperature", (0, 1, 2))),
        refused=(NotLearned(EXCHANGE, "The log tells the ratio of evaporation to exchange only.", "Weigh the bottle."),),
        described={one.name: described(box, one.key) for _, one in held if one.key.startswith("box.")},
        typical={one.name: one.typical for _, one in held},
        draws={one.name: one.typical + narrow * (found.values[:, j] - one.typical) for j, one in held},
    )  # fmt: skip


def learned(
    box: tl.Box, draws: int = 64, narrow: float = 1.0, only: Callable[[str], bool] = lambda name: True
) -> tl.Box:
    """The box with such a part."""
    return replace(box, learned=part(box, draws, narrow, only))


def fitted(box: tl.Box, members: int = 64, **changes: object) -> Fit:
    """A fit of two weeks in a room that swings by the day, as if it had halved every range."""
    h = np.arange(0.0, 14 * 24 + 0.1, 0.5)
    swing = np.sin(2.0 * np.pi * h / 24.0)
    now = RoomState(Signal.series(h, 20.0 + 2.0 * swing), Signal.series(h, 50.0 - 5.0 * swing))
    driven = replace(box, room=replace(box.room, now=now))
    found: Ensemble = ensemble(driven, members)
    middle = np.median(found.values, axis=0)
    values = middle + 0.5 * (found.values - middle)
    keys = [one.key for one in found.inputs]
    hours = np.arange(24.0, 14 * 24.0)
    flat = np.zeros(len(hours))
    three = lambda *ends: np.array([flat + one for one in ends])  # noqa: E731
    course = Course(
        "box",
        "humidity",
        flat + 80.0,
        flat > 1.0,
        three(70, 79, 90),
        three(76, 79, 83),
        three(*3 * (np.nan,)),
        (-1, 0.5, 2),
    )
    fit = Fit(
        driven, date(2026, 3, 1), hours, (course,),
        {LOSS: Narrowed(LOSS, "ml a day", (50.0, 90.0, 200.0), (80.0, 100.0, 130.0)),
         EXCHANGE: Narrowed(EXCHANGE, "air changes an hour", (0.3, 1.0, 5.0), (0.3, 1.0, 5.0), "Only the ratio is known.")},
        (Narrowed("air movement.speed", "m/s", (0.05, 0.1, 0.3), (0.05, 0.1, 0.3), "Nothing was learned of it."),),
        {key: tuple(values[:, j]) for j, key in enumerate(keys)}, dict(zip(keys, middle, strict=True)),
        (Refusal("no information", "pour", "The log cannot tell the pour.", "Weigh the bottle\nfor two weeks."),),
        weighed=1, clock_shift_min=3.0,
    )  # fmt: skip
    return replace(fit, **changes)
