"""What the runs of a forecast show: soil water by depth, the air day by day, the water below, and when limits are passed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from terralab.answers.common.balance import TOP_CM, mean_suction_m, root_zone_cm
from terralab.answers.common.drying import MEASURES, Days, days_span
from terralab.answers.common.ensemble import Course, EnsembleResults, sampled
from terralab.answers.common.humidity_target import is_day, target_of
from terralab.answers.common.limits import (
    DANGEROUSLY_COLD,
    DANGEROUSLY_HOT,
    TOO_COLD,
    TOO_DAMP,
    TOO_DRY,
    TOO_HOT,
    WATER_AT_MESH,
    WATER_IN_SOIL,
    limits_of,
)
from terralab.answers.common.temperature import heat_measures, last_days
from terralab.answers.common.vessels import damp_hide, dish_dry_day, hide_dry_day, tank_dry_day
from terralab.describe.box import Box
from terralab.describe.wanted import temperatures_wanted
from terralab.simulation.record import Record
from terralab.uncertainty import Ensemble, middle_range

DAY_H = 24
FINE_DAYS, FINE_H = 62, 6  # up to so many days a value every so many hours is kept, beyond that one a day
THIN_CM = 3.0  # soil no deeper than this is looked at as a whole
#: What a forecast gives the day of, in the order of gravity: the names of its measures.
DANGER, FLOOD, MESH, WILTING, TOP, HUMIDITY, DRY, DAMP, WARMTH, HOT, COLD = (
    "danger", "flood", "mesh", "wilting", "top", "humidity", "dry", "damp", "warmth", "hot", "cold",
)  # fmt: skip
DISH, TANK, HIDE = "dish", "tank", "hide"  # what a keeper fills
DAYS_OF = (DANGER, FLOOD, MESH, WILTING, TOP, DISH, TANK, HIDE, HUMIDITY, DRY, DAMP, WARMTH, HOT, COLD)
#: Of what is judged hour by hour: the share of the time in which it is as wanted.
KEPT = {HUMIDITY: "humid as wanted", WARMTH: "warm as wanted"}


def depths_of(record: Record) -> dict[str, tuple[float, float]]:
    """The depths [cm from the top] that are told apart: the top 2 cm, a moss cover counted, middle and lowest third of the mix."""
    mix, bottom = root_zone_cm(record)[0], record.cells_deep_cm
    if bottom <= THIN_CM:
        return {"whole": (0.0, bottom)}
    third = (bottom - mix) / 3.0
    return {"top": (0.0, TOP_CM), "middle": (mix + third, bottom - third), "bottom": (bottom - third, bottom)}


def facts_of(record: Record) -> dict[str, float]:
    """Days from the first row until a limit is passed (inf: not in this run, NaN: no such limit), and what it comes to at the end.

    "top", "wilting", "thirst", "empty": see `common.drying`. "mesh", "flood": water from below at the mesh, water on the
    soil. "dish", "tank", "hide": the dish, the first of the tanks, the moss in the hide without water. "dry", "damp", "hot", "cold":
    out of what is wanted, "humidity" and "warmth": the first of two; "danger": hot or cold past what is borne. "humid as wanted", "warm as wanted": share of the time. "litres": water in the soil at the end.
    "day", "night": mean humidity then [%].
    """
    box, limits = record.box, limits_of(record)
    days = lambda *names: min(limits.first_h(name) for name in names) / DAY_H  # noqa: E731
    damp_known, warm_known = target_of(box)[0] is not None, temperatures_wanted(box) is not None
    only = lambda known, day: day if known else math.nan  # noqa: E731
    # hot ground and hot glass are as little wanted as hot air
    unfit = (TOO_HOT, TOO_COLD, DANGEROUSLY_HOT, DANGEROUSLY_COLD)
    tanks = [mist.name for mist in box.routine.mists if mist.tank_ml is not None]
    seen = record.humidity_shown[last_days(record)]
    day = is_day(record, last_days(record), target_of(box)[0])
    return {
        **{name: measure(record) for name, measure in MEASURES.items()},
        MESH: only(record.has_reservoir, days(WATER_AT_MESH)),
        FLOOD: days(WATER_IN_SOIL),
        DISH: only(box.enclosure.dish is not None, dish_dry_day(record)),
        TANK: min((tank_dry_day(record, name) for name in tanks), default=math.nan),
        HIDE: only(damp_hide(box), hide_dry_day(record)),
        HUMIDITY: only(damp_known, days(TOO_DRY, TOO_DAMP)),
        WARMTH: only(warm_known, days(*unfit)),
        DRY: only(damp_known, days(TOO_DRY)),
        DAMP: only(damp_known, days(TOO_DAMP)),
        HOT: only(warm_known, days(TOO_HOT)),
        COLD: only(warm_known, days(TOO_COLD)),
        DANGER: days(DANGEROUSLY_HOT, DANGEROUSLY_COLD),
        KEPT[HUMIDITY]: only(damp_known, 1.0 - limits.share(TOO_DRY, TOO_DAMP)),
        KEPT[WARMTH]: only(warm_known, 1.0 - limits.share(*unfit)),
        "litres": litres_of(record)[1],
        "day": float(seen[day].mean()),
        "night": float(seen[~day].mean()),
    }


def litres_of(record: Record) -> tuple[float, float]:
    """Water in the soil [litres] in the first and the last row of a run; moss counts as soil, the layer below does not."""
    first, last = 1000.0 * record.floor_m2 * record.cell_water_m[[0, -1]].sum(axis=1)
    return float(first), float(last)


def times_of(record: Record) -> tuple[np.ndarray, np.ndarray]:
    """The rows that a course keeps, and days since the first row at the middle of each day, for means of days."""
    every = FINE_H if record.days <= FINE_DAYS else DAY_H
    step = max(1, round(every * 3600.0 / record.step_s))
    return np.arange(0, len(record.times_s), step), np.arange(round(record.days)) + 0.5


def course_of(record: Record) -> dict[str, np.ndarray]:
    """The courses of one run by name: "time" and "day time" [days since the first row], and beside "time" of each depth "water ..."
    [% of volume] and "suction ..." [m], "suction roots" [m] and "gap" [cm below the mesh]; beside "day time" the means "rh day",
    "rh night" [%], "C day" and "C night".
    """
    rows, middles = times_of(record)
    out = {"time": record.times_days[rows] - record.times_days[0], "day time": middles}
    water = 100.0 * record.soil_water[rows]
    for name, span in depths_of(record).items():
        out[f"water {name}"] = record.mean_over(water, *span)
        out[f"suction {name}"] = mean_suction_m(record, rows, *span)
    out["suction roots"] = mean_suction_m(record, rows, *root_zone_cm(record))
    if record.has_reservoir:
        out["gap"] = record.gap_below_mesh_cm[rows]
    hours = np.arange(1, 1 + len(middles) * round(DAY_H * 3600.0 / record.step_s))
    day = is_day(record, hours, target_of(record.box)[0]).reshape(len(middles), -1)
    for name, values in (("rh", record.humidity_shown), ("C", record.air_c)):
        of_day = values[hours].reshape(len(middles), -1)
        for part, where in (("day", day), ("night", ~day)):
            out[f"{name} {part}"] = np.where(where, of_day, 0.0).sum(axis=1) / where.sum(axis=1)
    return out


def courses(
    box: Box, days: int, season: str, found: Ensemble, course: Course, every_min: float = 60.0
) -> EnsembleResults:
    """Run every draw and return what each gave: `facts_of`, how warm it is, and its courses, a row of `results[name]` each; rows `every_min` apart.

    Raises RunError where too many cannot be run.
    """
    kept: list[dict[str, np.ndarray]] = []
    at_hand: list[tuple[Record, dict[str, float]]] = []

    def fact(name: str) -> Callable[[Record], float]:
        def of(record: Record) -> float:
            if not at_hand or at_hand[0][0] is not record:
                at_hand[:] = [(record, facts_of(record))]
                kept.append(course_of(record))
            return at_hand[0][1].get(name, math.nan)

        return of

    measures: Mapping[str, Callable[[Record], float]] = {name: fact(name) for name in FACTS} | heat_measures(last_days)
    sample = sampled(box, days, measures, season, found=found, course=course, every_min=every_min)
    failed = {one.draw for one in sample.failures}
    ran = [i for i in range(found.size) if i not in failed][: len(kept)]
    results = dict(sample.results)
    for name in kept[0]:
        results[name] = np.full((found.size, len(kept[0][name])), np.nan)
        results[name][ran] = [one[name] for one in kept]
    return EnsembleResults(found, results, sample.failures, sample.tried)


FACTS = (*MEASURES, *(name for name in DAYS_OF if name not in MEASURES), *KEPT.values(), "litres", "day", "night")


@dataclass(frozen=True)
class When:
    """When a limit is passed: `span`, days until then as (soonest, middle, latest), the central 80 % of the draws.

    An end that is None lies beyond the days that were run. `share`: of the draws in which it is passed within them, 0 to 1.
    `kept`: the share of the time in which it is not, the middle of the draws; None where that is not counted.
    """

    span: Days
    share: float
    kept: float | None = None

    @property
    def comes(self) -> bool:
        """Whether it is passed in half of the draws or more."""
        return self.span[1] is not None

    @property
    def may_come(self) -> bool:
        """Whether it is passed in a tenth of the draws or more."""
        return self.span[0] is not None


def whens_of(sample: EnsembleResults, days: int) -> dict[str, When]:
    """When each limit is passed within the `days` that were run; limits that the box does not have are left out."""
    out = {}
    for name in DAYS_OF:
        found = sample.results[name][~np.isnan(sample.results[name])]
        if len(found):
            kept = sample.range_of(KEPT[name])[1] if name in KEPT else None
            out[name] = When(days_span(found, days), float(np.mean(found <= days)), kept)
    return out


def fan(sample: EnsembleResults, name: str) -> np.ndarray:
    """Low, middle and high of a course at each of its times, the central 80 % of the draws: three by times."""
    return np.array([middle_range(at) for at in sample.results[name].T]).T
