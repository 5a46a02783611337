"""What a keeper weighed or measured of the water, beside what every member of the bank says to it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.learning.bank import Runs
from terralab.learning.readings import Window
from terralab.learning.smoother import Datum
from terralab.logs.diary import Weighed
from terralab.logs.diary_run import Level

LEAST_SHARE = 0.02  # a weighing is no better than this share of what it tells: evaporation runs on while one weighs
LEVELS = "water below the mesh"
LEAST_ML = 0.5  # ml a day: below it a loss counts as this, so that nothing is infinitely unlikely


def weighed_data(weighed: Sequence[Weighed], runs: Runs, window: Window) -> list[Datum]:
    """Return each weighed loss that lies in the window as a datum, in logarithms."""
    found = []
    for one in weighed:
        first, last = window.hour_of(one.begins), window.hour_of(one.ends)
        if last <= window.begins or first >= window.ends or last - first < 1.0 or not np.isfinite(one.ml_per_day):
            continue
        lost = lost_between(runs, window, first, last)
        error = float(np.hypot(one.error, LEAST_SHARE * abs(one.ml_per_day)))
        told = max(LEAST_ML, one.ml_per_day)
        # errors of a share in logarithms; large ones are no shares any more, so they end where they stop to say anything
        found.append(Datum(one.how, np.log(np.maximum(lost, LEAST_ML)), float(np.log(told)), min(2.0, error / told)))
    return found


def lost_between(runs: Runs, window: Window, first: float, last: float) -> np.ndarray:
    """Return the vapour [ml a day] that each member lost between two hours; past an end of the window as in the day beside it."""
    edges = np.arange(window.begins, window.ends + 1)
    done = np.concatenate([np.zeros((runs.size, 1)), np.cumsum(runs.lost_ml, axis=1)], axis=1)
    a, b = max(first, window.begins), min(last, window.ends)
    at = lambda hour: np.array([np.interp(hour, edges, row) for row in done])  # noqa: E731
    return (at(b) - at(a)) / (b - a) * 24.0


def level_data(levels: Sequence[Level], runs: Runs, window: Window) -> list[Datum]:
    """Return each level of the water below that was read as a datum [cm under the mesh]."""
    found = []
    for one in levels:
        hour = window.hour_of(one.when)
        if not window.begins < hour <= window.ends or not np.isfinite(runs.gap_cm).all():
            continue
        place = min(len(window.hours) - 1, max(0, int(np.ceil(hour)) - window.begins - 1))
        found.append(Datum(LEVELS, runs.gap_cm[:, place], one.gap_cm, one.error_cm))
    return found


def soil_water_ml(runs: Runs) -> float:
    """Return the water in the soil of the member in the middle [ml]: how far it may have shifted unseen hangs on it."""
    return float(np.median(runs.soil_ml))
