"""The pour that is recommended: computed once for a box, a room and a number of members, and used by all that follows.

Drainage, siphoning, fans, the week's plan, the report and the pictures are all about the box with this pour, in the
room of their season. So they cannot disagree about it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from terralab.answers.common.balance import balancing_ml, kept_dry, with_pour
from terralab.answers.common.ensemble import EnsembleResults, sampled_pours, settle_days, settled_rows
from terralab.answers.common.fair_rows import fair_days, fair_rows_min
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.rounding import jug
from terralab.answers.common.settled_day import day_measures
from terralab.answers.common.temperature import heat_measures
from terralab.answers.common.words import as_typed, ml
from terralab.describe.box import Box
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty.sampling import MEMBERS

SHOWN_DAYS = 14
TRIES = 4
BOXES_KEPT, RUNS_KEPT = 64, 12  # pours are small; a run of two weeks takes some megabytes


@dataclass(frozen=True, eq=False)
class Recommended:
    """The daily pour [ml a day] for a box in one room: the middle of the members, and the central 80 % of them.

    `ml`, `low` and `high` are rounded to what a jug shows, and never again. `typical_ml`: what balances the box with every
    number typical, not rounded. `sample`: the members, with "pour", "day", "night" (humidity, %) and "exchange" (air
    changes an hour), the warmth (see `temperature.heat_measures`) and the last day by the hour (see `settled_day`).
    """

    ml: float
    low: float
    high: float
    typical_ml: float
    sample: EnsembleResults


def recommended(box: Box, season: str = "now", members: int = MEMBERS) -> Recommended:
    """The recommended pour of `box` in the room of `season`, from `members` (2 to 8192) draws of everything uncertain.

    Raises RunError when the box cannot be run.
    """
    return _recommended(box, season, members)


def with_recommended(box: Box, season: str = "now", members: int = MEMBERS) -> Box:
    """The box at the moisture wanted, with the pour that is recommended for the room of `season`."""
    return with_pour(box, recommended(box, season, members).ml)


def shown_run(box: Box, season: str = "now", members: int = MEMBERS) -> Record:
    """Two weeks of the typical box with its recommended pour: what answers show and describe. Its last days count (`seen_rows`)."""
    return _run(with_recommended(box, season, members), season)


def seen_rows(record: Record) -> np.ndarray:
    """The rows of a run of two weeks that count: its last week, or whole periods of what is done every few days."""
    return record.rows(first_seen(record), SHOWN_DAYS)


def first_seen(record: Record) -> float:
    """The day from which these rows begin."""
    return float(SHOWN_DAYS - fair_days(record.box))


def described_ml(box: Box) -> float:
    """What the routine of the description itself pours on the soil [ml a day]."""
    return sum(pour.amount_ml / pour.every_days for pour in box.routine.pours if pour.into == "soil")


def described_words(box: Box) -> str:
    """The same in words: a single daily pour as it was typed."""
    pours = [pour for pour in box.routine.pours if pour.into == "soil"]
    if len(pours) == 1 and pours[0].every_days == 1:
        return as_typed(pours[0].amount_ml)
    return ml(described_ml(box))


@lru_cache(maxsize=BOXES_KEPT)
def typical_ml(box: Box, season: str = "now") -> float:
    """The pour [ml a day] that balances the typical box, found by letting it follow the loss until both agree."""
    if kept_dry(box):
        # dry soil that is to stay dry needs no pour: what it still gives off ends by itself
        return 0.0
    ml = described_ml(box) if season == "now" else typical_ml(box, "now")
    for _ in range(TRIES):
        record = run_job(Job(with_pour(box, ml), settle_days(box), season))
        new = balancing_ml(record, settled_rows(record))
        settled = abs(new - ml) <= max(1.0, 0.01 * ml)
        ml = new
        if settled:
            break
    return ml


@lru_cache(maxsize=BOXES_KEPT)
def _recommended(box: Box, season: str, members: int) -> Recommended:
    start = typical_ml(box, season)
    fewer = [one for one in _drawn(box, season) if one.ensemble.size < members]
    known = max(fewer, key=lambda one: one.ensemble.size, default=None)
    sample = sampled_pours(box, start, _measures(box), season, members, known=known)
    _drawn(box, season).append(sample)
    low, ml, high = (jug(x) for x in sample.range_of("pour"))
    return Recommended(ml, low, high, start, sample)


@lru_cache(maxsize=BOXES_KEPT)
def _drawn(box: Box, season: str) -> list[EnsembleResults]:
    """The samples of this box that were drawn before: a rough answer's are the first of the whole one's."""
    return []


@lru_cache(maxsize=RUNS_KEPT)
def _run(poured: Box, season: str) -> Record:
    return run_job(Job(poured, SHOWN_DAYS, season, record_every_min=fair_rows_min(poured, season=season)))


def _measures(box: Box) -> dict[str, Callable[[Record], float | np.ndarray]]:
    """Mean humidity by day and by night, air changes an hour, and the course of the last days; and how warm it is."""
    target, _ = target_of(box)
    mean = lambda part: lambda record: humidity(record, settled_rows(record), target)[part]["mean"]  # noqa: E731
    return {
        "day": mean("day"),
        "night": mean("night"),
        "exchange": _air_changes,
        **heat_measures(),
        **day_measures(settled_rows),
    }


def _air_changes(record: Record) -> float:
    rows = settled_rows(record)
    exchanged = record.air_exchanged_kg[rows].sum()
    return float(exchanged / record.air_mass_kg / (len(rows) * record.step_s / 3600.0))
