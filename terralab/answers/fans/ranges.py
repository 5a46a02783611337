"""How sure a schedule or a lid is: the same draws of everything uncertain for all that are compared."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from terralab.answers.common.balance import with_pour
from terralab.answers.common.ensemble import EnsembleResults, fair, settle_days
from terralab.answers.common.ensemble import measured as drawn_runs
from terralab.answers.common.fair_rows import ROWS_MIN, fair_rows_min
from terralab.answers.common.humidity_target import hours, humidity
from terralab.answers.common.temperature import HEAT_MEASURES, heat_measures
from terralab.answers.fans.measure import dry_out, exchange, measured, water_ml
from terralab.answers.fans.schedules import COVERED, Schedule
from terralab.describe.box import Box, HumidityTarget
from terralab.simulation.record import Record
from terralab.uncertainty import Ensemble, ensemble, middle_range
from terralab.uncertainty.sampling import SEED

SHARES = HEAT_MEASURES[2:]  # of these the share of draws is told, not a range
JUDGED_LAST = 3.0  # days at the end of a draw's shorter run
READ_AS = {"day": "rh by day", "night": "rh by night", "pour": "water ml a day", "exchange": "air changes an hour"}
Progress = Callable[[int, int], None]


def _judged(record: Record) -> np.ndarray:
    days = record.days
    return record.rows(days - JUDGED_LAST, days)


def judge(record: Record, target: HumidityTarget | None) -> float:
    """What the answer's value is, over a run's last three days."""
    rows = _judged(record)
    if target is None:
        return humidity(record, rows, target)["day"]["mean"]
    inside = hours(record, rows, target)
    return inside["day inside"] + inside["night inside"]


def _sampled(
    box: Box,
    drawn: Ensemble,
    measures: Mapping[str, Callable[[Record], float]],
    done: int,
    of: int,
    progress: Progress | None,
) -> EnsembleResults:
    """What each draw of a box gave, NaN where it could not be run."""
    seen = None if progress is None else lambda number: progress(done + number, of)
    return drawn_runs(
        [box] * drawn.size, settle_days(box), measures, "now", drawn, fair_rows_min(box, ROWS_MIN[1]), seen
    )


def lid_ranges(
    box: Box,
    row: dict[str, Any],
    target: HumidityTarget | None,
    members: int,
    done: int,
    of: int,
    progress: Progress | None,
) -> dict[str, Any]:
    """The recommended lid over the draws: ranges, and in how many of them the front pane stays wet or nothing dries."""
    seen = lambda record: measured(record, target, record.days - JUDGED_LAST, 0.0)  # noqa: E731
    measures: dict[str, Callable[[Record], float]] = {
        "rh by day": lambda record: humidity(record, _judged(record), target)["day"]["mean"],
        "rh by night": lambda record: humidity(record, _judged(record), target)["night"]["mean"],
        **heat_measures(),
        "water ml a day": lambda record: water_ml(record, _judged(record)),
        "front pane fogged h": lambda record: seen(record)["front_fogged_h"],
        "front pane all day": lambda record: float(seen(record)["front_all_day"]),
        "dry-out h": lambda record: _known(dry_out(record, 2.0)["dry_out_h"]),
    }
    drawn = ensemble(box, members, "now", SEED)
    sample = _sampled(box, drawn, measures, done, of, progress)
    if not sample.fair:
        return {"covered": row["covered"], "fan": row["fan"], "ranges": {}, **sample.counted()}
    ran = np.isfinite(sample.results["rh by day"])
    below = [share for share in COVERED if 0.5 <= share < row["covered"]]
    return {
        "covered": row["covered"],
        "fan": row["fan"],
        **sample.counted(),
        "front_all_day": int(np.nansum(sample.results["front pane all day"])),
        "never_dry": int((ran & np.isnan(sample.results["dry-out h"])).sum()) if row["sprays"] else 0,
        "step_before": below[-2] if len(below) > 1 else None,
        "too_hot": float(np.nanmean(sample.results["too hot"])),
        "too_cold": float(np.nanmean(sample.results["too cold"])),
        "ranges": {
            name: sample.range_of(name) for name in measures if name != "front pane all day" and name not in SHARES
        },
    }


def schedule_ranges(
    three: list[Schedule],
    now: float,
    target: HumidityTarget | None,
    members: int,
    before: int,
    of: int,
    progress: Progress | None,
) -> tuple[
    EnsembleResults, dict[str, dict[str, tuple[float, float, float]]], dict[str, float], dict[str, dict[str, Any]]
]:
    """With the pour `now`: ranges of the best schedules from the same members, in what share of them the first is at least
    as good, and those without a fair range.

    Raises RunError where the first has none.
    """
    measures: dict[str, Callable[[Record], float]] = {
        "hours in band" if target is not None else "humidity by day": lambda record: judge(record, target),
        "rh by day": lambda record: humidity(record, _judged(record), target)["day"]["mean"],
        "rh by night": lambda record: humidity(record, _judged(record), target)["night"]["mean"],
        "water ml a day": lambda record: water_ml(record, _judged(record)),
        "dry-out h": lambda record: _known(dry_out(record, 2.0)["dry_out_h"]),
        "air changes an hour": lambda record: float(exchange(record)["air_changes"]["mean"]),
    }
    samples, done = [], before
    for schedule in three:
        poured = with_pour(schedule.box, now)
        samples.append(_sampled(poured, ensemble(poured, members), measures, done, of, progress))
        done += members
    fair(three[0].box, samples[0])
    unsure = {one.name: sample.counted() for one, sample in zip(three, samples, strict=True) if sample.failed}
    three, samples = zip(*(pair for pair in zip(three, samples, strict=True) if pair[1].fair), strict=True)
    ranges = {
        schedule.name: {name: middle_range(sample.results[name]) for name in measures}
        for schedule, sample in zip(three, samples, strict=True)
    }
    key = next(iter(measures))
    mine = samples[0].results[key]
    pairs = {
        schedule.name: float(np.nanmean(np.where(np.isnan(mine + other.results[key]), np.nan, mine >= other.results[key] - 0.25)))
        for schedule, other in zip(three[1:], samples[1:], strict=True)
    }  # fmt: skip
    # a dry-out time may not exist in a member; that is no failed run
    kept = {name: x for name, x in samples[0].results.items() if name != "dry-out h"}
    # under the names by which home measurements know what they read
    kept |= {now: kept[name] for now, name in READ_AS.items()}
    return replace(samples[0], results=kept), ranges, pairs, unsure


def _known(value: float | None) -> float:
    return np.nan if value is None else value
