"""How much water a day? The pour that balances a day's loss, its range, its window and what it gives the air.

Below potential loss many pours are steady: soil carries weeks, and a drier soil simply loses less. So the answer
says what it holds: the soil at rest after a thorough watering and draining ("drained-moist").
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from dataclasses import replace
from functools import lru_cache

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import (
    AIR_WANTED,
    DRY_HEAD_M,
    TOP_CM,
    budget_ml,
    kept_dry,
    roots_have_air,
    top_stays_moist,
    with_pour,
)
from terralab.answers.common.cautions import for_box
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.fair_rows import fair_rows_min
from terralab.answers.common.heat_words import first_lines, heat_fields, water_words
from terralab.answers.common.humidity_target import hours, humidity, shortfall, target_of
from terralab.answers.common.light import light_of
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.rationale import assumptions_of, reason_of, sources_of
from terralab.answers.common.recommended import BOXES_KEPT, recommended, seen_rows, shown_run
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import jug_down, jug_up, percent
from terralab.answers.common.seen_places import seen_places
from terralab.answers.common.settled_day import settled_day
from terralab.answers.common.temperature import heat_of
from terralab.answers.common.weighed import error_of_weighing
from terralab.answers.water.alternatives import find_alternative
from terralab.answers.water.unpoured import unpoured
from terralab.answers.water.words import water_statements
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.system import speaks_us
from terralab.quantities import as_typed, quantity
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty.sampling import MEMBERS, MOST_MEMBERS
from terralab.validate import whole

AS_IT_IS_DAYS = 4  # of the run that shows how warm the box is with the routine as described
WINDOW_DAYS = 60
WATCHED_FROM = 20  # days: the window is judged from here to the end
SIPHONS_A_WEEK = 1
# The window is looked for from no pour at all to the last of these shares of the balancing one.
RUNGS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.5, 5.0, 10.0)
NEVER_NEARER_CM = 0.5


@in_typical_room
def daily_water(box: Box, *, members: int = MEMBERS) -> Answer:
    """The daily pour [ml a day] that balances the loss of `box` at drained-moist soil, as an Answer.

    value: the middle of `members` (2 to 8192) draws of everything uncertain, in the room as described; low and
    high: the central 80 % of them. window: the least and the most daily pour that work over 60 days, with every
    number typical. seasons: winter and summer. Raises RunError when the box cannot be run.
    """
    needs_box(box, "daily_water")
    members = whole("members", members, 2, MOST_MEMBERS)
    now = recommended(box, "now", members)
    ml, sample = now.ml, now.sample
    target, band_words = target_of(box)
    record = shown_run(box, "now", members)
    rows = seen_rows(record)
    seen = humidity(record, rows, target)
    seasons = {season: _season(box, season, members) for season in ("winter", "summer")}
    heat = heat_of(record, rows).with_likely(sample.results)
    first = first_lines(box, heat, {season: s.pop("judged") for season, s in seasons.items()})
    window = _window(box, ml)
    reachable, alternative, gap = None, "", 0.0
    if target is not None:
        gap = shortfall(seen, target)
        reachable, alternative = find_alternative(box, ml, target, gap, heat, hours(record, rows, target))
    budget = _rounded(budget_ml(record, rows))
    places = seen_places(record, rows, target)
    assumptions = assumptions_of(box, band_words, budget["sprayed and misted"], record.zone_names)
    reason = reason_of(box, budget, ml)
    answer = Answer(
        us=speaks_us(box),
        question="daily water",
        value=ml,
        low=now.low,
        high=now.high,
        unit="ml a day",
        reason=reason,
        window=window,
        seasons=seasons,
        rh_day=_whole(seen["day"] | _likely(sample, "day", seen)),
        rh_night=_whole(seen["night"] | _likely(sample, "night", seen)),
        **heat_fields(heat, first),
        hours_in_target=_rounded(hours(record, rows, target)) if target is not None else {},
        spread=sample.spread(now.typical_ml),
        measure_next=measure_next(sample, "pour", "ml a day", weighed=error_of_weighing(box, sample)),
        reachable=reachable,
        alternative=alternative,
        details={
            **places.to_dict(),
            "settled_day": settled_day(record, rows, sample.results),
            "light": light_of(box, sample.ensemble),
            "warmth_first": water_words(heat, heat_of(run_job(Job(box, AS_IT_IS_DAYS, accuracy="preview")))),
        },
        budget_ml_per_day=budget,
        assumptions=assumptions,
        sources=sources_of(box),
        cautions=for_box(box, "water"),
        record=record,
        sample=sample,
    )
    verdict, statements = water_statements(answer, box, target, heat, gap, places)
    return replace(answer, verdict=verdict, statements=statements)


def _likely(sample: EnsembleResults, part: str, seen: Mapping[str, Mapping[str, float]]) -> dict[str, float]:
    """The central 80 % of the members' mean humidity by day or by night; its ends hold the mean that is shown, `seen`."""
    low, _, high = sample.range_of(part)
    return {"mean_low": min(low, seen[part]["mean"]), "mean_high": max(high, seen[part]["mean"])}


def _season(box: Box, season: str, members: int) -> dict[str, object]:
    found = recommended(box, season, members)
    record = shown_run(box, season, members)
    rows = seen_rows(record)
    seen = humidity(record, rows, target_of(box)[0])
    heat = heat_of(record, rows).with_likely(found.sample.results)
    return {
        "value": found.ml,
        "low": found.low,
        "high": found.high,
        "room": room_in_words(room_of(box, season)),
        "own": is_own(box, season),
        "rh_day": percent(seen["day"]["mean"]),
        "rh_night": percent(seen["night"]["mean"]),
        "temp_day": round(heat.day["mean"], 1),
        "temp_night": round(heat.night["mean"], 1),
        "heat": heat.to_dict(),
        "judged": heat,
        "draws": found.sample.counted(),
    }


def _window(box: Box, ml: float) -> dict[str, object]:
    """Least and most daily pour that work over 60 days; a copy, in the units of this box."""
    return {**deepcopy(_found_window(box, ml)), "keeps": _keeps(box)}


@lru_cache(maxsize=BOXES_KEPT)
def _found_window(box: Box, ml: float) -> dict[str, object]:
    """Least and most daily pour that work over 60 days, by runs on a coarse ladder and in two rounds on a finer one."""
    scale = max(ml, 5.0)
    least = most = None
    tried: dict[float, tuple[bool, bool]] = {}
    kept: dict[float, Record | None] = {}

    def ladder(pours: Sequence[float]) -> None:
        new = [p for p in pours if p not in tried]
        for pour, record in zip(new, _watched_runs(box, new), strict=True):
            tried[pour] = _verdict(record)
            if pour == 0.0:
                kept[pour] = record

    _coarse([0.0, *(scale * f for f in RUNGS)], tried, ladder)
    for _ in range(2):
        moist = sorted(p for p, v in tried.items() if v[0])
        airy = sorted(p for p, v in tried.items() if v[1])
        more = []
        if moist:
            below = [p for p in tried if p < moist[0]]
            if below:
                more.extend(np.linspace(max(below), moist[0], 4)[1:-1])
        if airy:
            above = [p for p in tried if p > airy[-1]]
            if above:
                more.extend(np.linspace(airy[-1], min(above), 4)[1:-1])
        ladder([round(float(p), 1) for p in more])
    moist = sorted(p for p, v in tried.items() if v[0])
    airy = sorted(p for p, v in tried.items() if v[1])
    # rounded inwards: what a jug shows must itself have been found to work
    least = jug_up(moist[0]) if moist else None
    most = jug_down(airy[-1]) if airy else None
    works = least is not None and most is not None and least <= most
    none = works and least < 0.1 and not kept_dry(box)
    return {
        "least": least if works else None,
        "most": most if works else None,
        "unit": "ml a day",
        "days": WINDOW_DAYS,
        "least_is_none": none,
        "unpoured": unpoured(run_job(_watched(box, 0.0, fair_rows_min(box, 60.0)))) if none else {},
        "most_is_open": bool(works and most >= max(tried)),
        "keeps": _keeps(box),
        "why": "" if works else _why_none(moist, airy),
        "too_wet_unpoured": not airy,
        "most_airy": most,
    }


def too_wet_unpoured(box: Box) -> bool:
    """Whether a box that is poured on no more gets too wet all the same, so that something else has to be done first."""
    return not _verdict(_watched_runs(box, [0.0])[0])[1]


def _keeps(box: Box) -> str:
    air = f"the root zone at {100 * AIR_WANTED:.0f} % air or more, {_siphon_words(box)}"
    if kept_dry(box):
        return f"dry soil is wanted, so only {air}"
    return (
        f"the top {quantity('cm', 'g', TOP_CM)} moist (suction under {quantity('m', 'g', -DRY_HEAD_M)} of water), {air}"
    )


def _why_none(moist: list[float], airy: list[float]) -> str:
    if not moist and not airy:
        return "no pour tried keeps the top moist, and none leaves the roots their air"
    if not moist:
        return "no pour tried keeps the top of the soil moist"
    if not airy:
        return "no pour leaves the roots their air and keeps the water below clear of the mesh; even without pouring they are too wet"
    return "what keeps the top moist is already too much for the roots or the layer below"


def _siphon_words(box: Box) -> str:
    if box.enclosure.drainage is None:
        return "no drainage layer to watch"
    by_gap = [s for s in box.routine.siphons if s.when_gap_below_cm is not None]
    if by_gap:
        return f"siphoning when less than {as_typed('length', 'cm', by_gap[0].when_gap_below_cm)} are left below the mesh, at most once a week"
    if box.routine.siphons:
        return f"the water below the mesh between the siphonings of the routine (never nearer than {quantity('cm', 'g', NEVER_NEARER_CM)})"
    return f"the water at least {quantity('cm', 'g', NEVER_NEARER_CM)} below the mesh for {WINDOW_DAYS} days without siphoning"


def _coarse(
    rungs: Sequence[float], tried: Mapping[float, tuple[bool, bool]], ladder: Callable[[Sequence[float]], None]
) -> None:
    """Try no pour at all, the balancing one, and then those between which the least and the most that work can lie.

    More water dries no top and airs no root. Where the runs show it otherwise, all rungs are tried.
    """
    ladder([rungs[0], rungs[1 + RUNGS.index(1.0)]])
    while True:
        seen = [tried.get(rung) for rung in rungs]
        wet = [i for i, one in enumerate(seen) if one and one[0]]
        dry = [i for i, one in enumerate(seen) if one and not one[0]]
        airy = [i for i, one in enumerate(seen) if one and one[1]]
        soaked = [i for i, one in enumerate(seen) if one and not one[1]]
        limits = [
            (max(dry, default=-1), min(wet, default=len(rungs))),
            (max(airy, default=-1), min(soaked, default=len(rungs))),
        ]
        if any(low > high for low, high in limits):
            return ladder(rungs)
        # two at a time, since two runs are made side by side
        probes = {low + (high - low) * k // 3 for low, high in limits for k in (1, 2)} | {
            low + 1 for low, high in limits if high - low == 2
        }
        open_ = sorted(i for i in probes if 0 <= i < len(rungs) and seen[i] is None)
        if not open_:
            return None
        ladder([rungs[i] for i in open_])


def _watched_runs(box: Box, pours: Sequence[float]) -> list[Record | None]:
    """The run that is judged for each pour; None for one that cannot be run, and so is none to recommend."""
    return run_many([_watched(box, pour) for pour in pours], failed="none")


def _watched(box: Box, pour: float, every_min: float = 60.0) -> Job:
    return Job(with_pour(box, pour), WINDOW_DAYS, accuracy="preview", record_every_min=every_min)


def _verdict(record: Record | None) -> tuple[bool, bool]:
    """(top stays moist, roots and reservoir in bounds), judged over days 20 to 60."""
    if record is None:
        return False, False
    rows = record.rows(WATCHED_FROM, WINDOW_DAYS)
    wet_enough = kept_dry(record.box) or top_stays_moist(record, rows)
    airy = roots_have_air(record, rows)
    if record.has_reservoir:
        by_gap = any(s.when_gap_below_cm is not None for s in record.box.routine.siphons)
        siphons = int(np.count_nonzero(record.moved_kg("siphoned") > 0.0))
        if by_gap and siphons > SIPHONS_A_WEEK * WINDOW_DAYS / 7.0:
            airy = False
        if np.min(record.gap_below_mesh_cm[record.rows(0, WINDOW_DAYS)]) < NEVER_NEARER_CM:
            airy = False
    return wet_enough, airy


def _rounded(values: dict[str, float]) -> dict[str, float]:
    return {name: round(float(value), 1) for name, value in values.items()}


def _whole(values: dict[str, float]) -> dict[str, float]:
    return {name: percent(value) for name, value in values.items()}
