"""What comes if I go on as now? The next weeks of soil, air and water below, from how the box is now.

Beside it stands the pour that `daily_water` recommends, and what course it gives. It is that very number, not another.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import budget_ml, kept_dry, with_pour
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import inputs_counted
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.heat_words import water_words
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.rationale import assumptions_of, sources_of
from terralab.answers.common.recommended import recommended
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import jug
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.temperature import heat_of
from terralab.answers.forecast.begins import beginning
from terralab.answers.forecast.course import KEPT, TOP, When, courses, depths_of, fan, whens_of
from terralab.answers.forecast.words import Shown, begins_words, forecast_statements, reason_words
from terralab.answers.water.daily_water import too_wet_unpoured
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.needed import needs_box
from terralab.describe.seasons import SEASONS
from terralab.describe.system import speaks_us
from terralab.describe.trial import Trial
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import ensemble
from terralab.uncertainty.sampling import MEMBERS as POUR_MEMBERS
from terralab.uncertainty.sampling import MOST_MEMBERS, SEED
from terralab.validate import whole, word

DAYS, LONGEST = 28, 365
MEMBERS = 32
WITH = "with the pour: "  # before the names of what the draws with the recommended pour gave
STEPS = 4  # rows of the table after the first


@in_typical_room
def forecast(
    box: Box,
    days: int = DAYS,
    season: str = "now",
    *,
    start: Record | str | os.PathLike | None = None,
    events: Sequence[Event] = (),
    members: int = MEMBERS,
    pour_members: int = POUR_MEMBERS,
) -> Answer:
    """The next `days` (1 to 365) of `box` with its routine as it is, as an Answer.

    It begins with the soil as described (`start.soil`), or at the end of `start`, a record of this box or the path of a saved
    one. `events`: what differs for a while; days are counted from the midnight of the first day, that of the record's course
    where there is one. A record knows its own events. season: the room of "now", "winter" or "summer". `members` (2 to 8192)
    draws of everything uncertain, `pour_members` behind the recommended pour.

    value, low, high: days until the top of the soil is dry, counted from now. An end that is None lies beyond the days that
    were run; value is None too where the soil is to be kept dry. details: "limits", days of every limit as (soonest,
    middle, latest), with their "chances" (0 to 1); "pour", what `daily_water` recommends; "limits with the pour". table: the course in steps of days. `sample`:
    a value of every draw, and a row of every draw for courses, under `WITH` those with the recommended pour.
    Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    needs_box(box, "forecast")
    days = whole("days", days, 1, LONGEST)
    season = word("season", season, SEASONS)
    members = whole("members", members, 2, MOST_MEMBERS)
    pour_members = whole("pour_members", pour_members, 2, MOST_MEMBERS)
    begin = beginning(start, events)
    every_min = fair_rows_min(box, 60.0, season)
    job = Job(box, days, season, record_every_min=every_min, start=begin.record, events=begin.events)
    record = run_job(job)
    found = ensemble(box, members, season, SEED)
    course = begin.course(found, every_min)
    going_on = courses(box, days, season, found, course, every_min)
    seen = seen_air(record, likely=going_on.results)
    pour = recommended(box, season, pour_members)
    poured = with_pour(box, pour.ml)
    if begin.record is not None or box.start.soil != "dry":  # dry soil is soaked first, and then as `with_pour` has it
        poured = Trial.of(poured, start=box.start)
    if _pours_so(box, pour.ml):
        with_it, heat_then = going_on, seen.heat
    else:
        with_it = courses(poured, days, season, found, course, every_min)
        then = run_job(replace(job, box=poured))
        heat_then = heat_of(then)
    limits, limits_then = whens_of(going_on, days), whens_of(with_it, days)
    shown = Shown(
        box,
        days,
        season,
        record,
        seen,
        limits,
        limits_then,
        pour.ml,
        (pour.low, pour.high),
        with_it is going_on,
        "" if kept_dry(box) else water_words(heat_then, seen.heat),
        too_wet_unpoured(box),
        begin.record is not None,
        bool(begin.events),
        going_on,
        with_it,
    )
    low, value, high = (None, None, None) if kept_dry(box) else limits[TOP].span
    given = budget_ml(record, np.arange(1, len(record.times_s)))["sprayed and misted"]
    answer = Answer(
        us=speaks_us(box),
        question="forecast",
        value=value,
        low=low,
        high=high,
        unit="days",
        reason=reason_words(shown),
        spread={
            **going_on.counted(),
            "share": 0.8,
            **inputs_counted(found),
            "with the pour": with_it.counted(),
        },
        measure_next=measure_next(going_on, "litres", "litres"),
        details={
            "days": days,
            "season": season,
            "events": len(begin.events),
            "begins_day": float(record.times_days[0]),
            "limits": _plain(limits),
            "limits with the pour": _plain(limits_then),
            "chances": {name: round(when.share, 3) for name, when in limits.items()},
            "chances with the pour": {name: round(when.share, 3) for name, when in limits_then.items()},
            "pour": {"ml": pour.ml, "low": pour.low, "high": pour.high, "as now": with_it is going_on},
            "depths_cm": depths_of(record),
            "as_wanted": _as_wanted(going_on),
            "as_wanted with the pour": _as_wanted(with_it),
        },
        table=_table(going_on, with_it, days),
        budget_ml_per_day={
            name: round(float(ml), 1) for name, ml in budget_ml(record, np.arange(1, len(record.times_s))).items()
        },
        assumptions=assumptions_of(box, target_of(box)[1], given, record.zone_names, begins_words(shown)),
        sources=sources_of(box),
        cautions=for_box(box, "water"),
        record=record,
        sample=EnsembleResults(
            found,
            {**going_on.results, **{WITH + name: values for name, values in with_it.results.items()}},
            going_on.failures,
            going_on.tried,
        ),
        **seen.fields(),
    )
    verdict, statements = forecast_statements(answer, shown)
    return replace(answer, verdict=verdict, statements=statements)


def _pours_so(box: Box, ml: float) -> bool:
    """Whether the routine as described is the recommended pour already."""
    soil = [pour for pour in box.routine.pours if pour.into == "soil"]
    if len(soil) != 1:
        return not soil and ml == 0.0
    return soil[0].every_days == 1 and jug(soil[0].amount_ml) == ml


def _plain(limits: Mapping[str, When]) -> dict[str, list[float | None]]:
    return {name: list(when.span) for name, when in limits.items()}


def _as_wanted(sample: EnsembleResults) -> dict[str, list[float]]:
    """The share of the time in which the air is as humid and as warm as wanted: low, middle, high; not what nobody wants."""
    known = [name for name in KEPT.values() if not np.isnan(sample.results[name]).all()]
    return {name: [round(x, 3) for x in sample.range_of(name)] for name in known}


def _table(going_on: EnsembleResults, with_it: EnsembleResults, days: int) -> tuple[dict[str, Any], ...]:
    """The courses at some days: (low, middle, high) of each by its name, and of those with the recommended pour."""
    out = []
    names = [name for name in going_on.results if name.split()[0] in ("water", "suction", "gap", "rh", "C")]
    names = [name for name in names if going_on.results[name].ndim == 2]
    fans = {prefix + name: fan(sample, name) for prefix, sample in (("", going_on), (WITH, with_it)) for name in names}
    times, middles = ran_times(going_on)
    for day in sorted({round(days * step / STEPS) for step in range(STEPS + 1)}):
        at, of_day = int(np.argmin(np.abs(times - day))), int(np.clip(day - 1, 0, len(middles) - 1))
        row = {
            name: [round(float(x), 2) for x in values[:, of_day if values.shape[1] == len(middles) else at]]
            for name, values in fans.items()
        }
        out.append({"day": day, **row})
    return tuple(out)


def ran_times(sample: EnsembleResults) -> tuple[np.ndarray, np.ndarray]:
    """Days from now at which the courses stand, and of the means of days."""
    ran = int(np.flatnonzero(np.isfinite(sample.results["time"][:, 0]))[0])
    return sample.results["time"][ran], sample.results["day time"][ran]
