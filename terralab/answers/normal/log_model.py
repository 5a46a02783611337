"""A log beside what boxes that fit the description would have read in the logged room: six-hour means, and how they may stray.

What may lie between a sound log and the middle of the boxes drawn: that this box is another of them (their covariance), and the
errors of sensor and model (see `terralab.learning.errors`); where no sensor logged the room, its weather too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from terralab.answers.normal.causes import with_door
from terralab.answers.normal.runs import sensor_of
from terralab.describe.box import Box
from terralab.errors import TerralabError
from terralab.learning.bank import Runs, run_values
from terralab.learning.case import case_of
from terralab.learning.errors import Blocks, Errors
from terralab.learning.logged_box import LoggedBox
from terralab.learning.readings import HUMIDITY, TEMPERATURE, Channel, Window, window_of
from terralab.logs.diary import Diary
from terralab.logs.log import Log
from terralab.uncertainty import ensemble
from terralab.uncertainty.sampling import SEED

MEMBERS = 40
LEAST_DAYS = 6.0
MOST_DAYS = 100.0
#: What a room does beside its description, where no sensor logged it: its weather [K, points], which lasts two days, and each
#: day's course. Choices.
WEATHER = {TEMPERATURE: (1.0, 0.7), HUMIDITY: (6.0, 3.0)}
WEATHER_H = 48.0


@dataclass(frozen=True, eq=False)
class Model:
    """All that is known of a log before a change is looked for.

    `rows`: the numbers of each box drawn that ran. `means` (boxes x blocks): what each would have read; `errors`: covariance of all
    else, without the boxes' own; `middle`: what the sensors are known to read too high.
    """

    box: Box
    window: Window
    channels: tuple[Channel, ...]
    logged: LoggedBox
    rows: tuple[dict[str, float], ...]
    runs: Runs
    blocks: Blocks
    means: np.ndarray
    errors: np.ndarray
    middle: np.ndarray

    @cached_property
    def y(self) -> np.ndarray:
        """The six-hour means of the log, less what its sensors are known to read too high."""
        return self.blocks.y - self.middle

    @property
    def room_logged(self) -> bool:
        """Whether a sensor logged the room."""
        return self.logged.room_c is not None


def model_of(
    box: Box,
    log: Log,
    room: Log | None,
    diary: Diary | None,
    members: int,
    progress: Callable[[int], None] | None = None,
) -> Model:
    """Run the boxes drawn through the log's days. Raises TerralabError for a log that is too short or does not fit the box."""
    window = window_of(log, room)
    if not LEAST_DAYS <= window.days <= MOST_DAYS:
        raise TerralabError(
            f"A log of {LEAST_DAYS:g} to {MOST_DAYS:g} days is needed to see when a box began to behave otherwise; this one, as far as "
            f"it has both box and room, is {window.days:.1f} days long."
        )
    case = case_of(with_door(box), log, room, diary)
    table = case.unknowns.values(case.unknowns.first(members, SEED))
    keys = case.unknowns.keys
    found = ensemble(box, members)  # of a learned box its draws, which belong together
    for j, one in enumerate(found.inputs):
        if one.key in keys:
            table[:, keys.index(one.key)] = found.values[:, j]
    rows = [dict(zip(keys, map(float, row), strict=True)) for row in table]
    runs = run_values(case.logged, rows, case.channels, progress)
    offsets = []
    for one in case.channels:
        sensor, i = sensor_of(box, one.place), 0 if one.quantity == TEMPERATURE else 1
        offsets.append((sensor.offset[i], sensor.sd[i]))
    errors = Errors(case.blocks, tuple(offsets))
    more = errors.covariance + (0.0 if case.logged.room_c is not None else _weather(case.blocks))
    kept = tuple(rows[i] for i in runs.kept)
    return Model(
        box,
        window,
        case.channels,
        case.logged,
        kept,
        runs,
        case.blocks,
        case.blocks.means(runs.read),
        more,
        errors.middle,
    )


def _weather(blocks: Blocks) -> np.ndarray:
    """Covariance of what an unlogged room does beside its description, as the sensors in the box see it at most."""
    lag = np.abs(blocks.at_h[:, None] - blocks.at_h[None, :])
    clock = np.minimum(lag % 24.0, 24.0 - lag % 24.0)
    quantity = np.array([one.quantity for one in blocks.channels])[blocks.channel]
    weather, daily = (np.array([WEATHER[one][i] for one in quantity]) for i in (0, 1))
    same = quantity[:, None] == quantity[None, :]
    return same * (
        np.outer(weather, weather) * np.exp(-lag / WEATHER_H) + np.outer(daily, daily) * np.exp(-clock / 8.0)
    )
