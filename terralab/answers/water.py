"""How much water a day? The pour that balances a day's loss, its range, its window and what it gives the air.

Below potential loss many pours are steady: soil carries weeks, and a drier soil simply loses less. So the answer
says what it holds: the soil at rest after a thorough watering and draining ("drained-moist").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.answers.answer import Answer
from terralab.answers.balance import (
    AIR_WANTED,
    DRY_HEAD_M,
    TOP_CM,
    budget_ml,
    kept_dry,
    needed_ml,
    roots_have_air,
    top_stays_moist,
    with_pour,
)
from terralab.answers.band import band_of, hours, humidity, shortfall
from terralab.answers.cautions import for_box
from terralab.answers.grounds import assumptions_of, reason_of, sources_of
from terralab.answers.heat_words import before_answer, first_lines, heat_fields, warmth_line
from terralab.answers.lever import find_lever
from terralab.answers.measure import measure_next, measure_sentence
from terralab.answers.sample import SETTLE_DAYS, Sample, last_day, sampled_pours
from terralab.answers.temperature import heat_of
from terralab.answers.words import water_sentences
from terralab.describe.box import Box
from terralab.errors import RunError
from terralab.record import Record
from terralab.seasons import is_own, room_in_words, room_of
from terralab.simulate import Job, run_job, run_many
from terralab.uncertain.members import MEMBERS

SHOWN_DAYS = 14
WINDOW_DAYS = 60
WATCHED_FROM = 20  # days: the window is judged from here to the end
SIPHONS_A_WEEK = 1
NEVER_NEARER_CM = 0.5


@dataclass(frozen=True)
class _Found:
    """A pour and the record of it."""

    ml: float
    record: Record
    rows: np.ndarray


def daily_water(box: Box, *, members: int = MEMBERS) -> Answer:
    """The daily pour [ml a day] that balances the loss of `box` at drained-moist soil, as an Answer.

    value: the middle of `members` (2 to 8192) draws of everything uncertain, in the room as described; low and
    high: the central 80 % of them. window: the least and the most daily pour that work over 60 days, with every
    number typical. seasons: winter and summer. Raises RunError when the box cannot be run.
    """
    found = _balance(box, "now")
    band, band_words = band_of(box)
    sample = _members(box, found.ml, "now", members)
    low, ml, high = sample.range_of("pour")
    record = run_job(Job(with_pour(box, ml), SHOWN_DAYS))
    rows = record.rows(SHOWN_DAYS - 7, SHOWN_DAYS)
    seen = humidity(record, rows, band)
    seasons = {season: _season(box, season, found.ml, members) for season in ("winter", "summer")}
    heat = heat_of(record, rows)
    first = first_lines(box, heat, {season: s.pop("judged") for season, s in seasons.items()})
    window = _window(box, ml)
    reachable, lever = (None, "")
    if band is not None:
        reachable, lever = find_lever(box, ml, band, shortfall(seen, band), heat)
    budget = budget_ml(record, rows)
    assumptions = assumptions_of(box, band_words)
    reason = reason_of(box, budget, ml)
    answer = Answer(
        question="daily water",
        value=round(ml, 1),
        low=round(low, 1),
        high=round(high, 1),
        unit="ml a day",
        reason=reason,
        window=window,
        seasons=seasons,
        rh_day=_rounded(seen["day"] | _likely(sample, "day")),
        rh_night=_rounded(seen["night"] | _likely(sample, "night")),
        **heat_fields(heat, first),
        hours_in_band=_rounded(hours(record, rows, band)) if band is not None else {},
        spread=sample.spread(found.ml),
        measure_next=measure_next(sample, "pour", "ml a day"),
        reachable=reachable,
        lever=lever,
        budget_ml_per_day=_rounded(budget),
        assumptions=assumptions,
        sources=sources_of(box),
        cautions=for_box(box, "water"),
        record=record,
        sample=sample,
        sentences=(),
    )
    lines = water_sentences(answer, box, band, measure_sentence(answer.measure_next), warmth_line(heat))
    return replace(answer, sentences=before_answer(lines, first))


def _members(box: Box, ml: float, season: str, members: int) -> Sample:
    """The members' pours, and the mean humidity by day and by night and the air changes an hour that each then has."""
    band, _ = band_of(box)
    mean = lambda part: lambda record: humidity(record, last_day(record), band)[part]["mean"]  # noqa: E731
    measures = {"day": mean("day"), "night": mean("night"), "exchange": _air_changes}
    return sampled_pours(box, ml, measures, season, members)


def _air_changes(record: Record) -> float:
    """Air changes an hour, mean of the last day."""
    exchanged = record.raw.flow["air_exchanged"][last_day(record)].sum()
    return float(exchanged / record.raw.constants["air_mass"] / 24.0)


def _likely(sample: Sample, part: str) -> dict[str, float]:
    """The central 80 % of the members' mean humidity by day or by night."""
    low, _, high = sample.range_of(part)
    return {"mean_low": low, "mean_high": high}


def _balance(box: Box, season: str, first: float | None = None) -> _Found:
    """The pour that balances a day's loss in a season, by letting the pour follow the loss until both agree."""
    ml = first if first is not None else sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil")
    if kept_dry(box):
        ml = 0.0
    for _ in range(4):
        record = run_job(Job(with_pour(box, ml), SETTLE_DAYS, season))
        rows = last_day(record)
        # dry soil that is to stay dry needs no pour: what it still gives off ends by itself
        new = 0.0 if kept_dry(box) else max(0.0, needed_ml(record, rows))
        settled = abs(new - ml) <= max(1.0, 0.01 * ml)
        ml = new
        if settled:
            break
    return _Found(ml, record, rows)


def _season(box: Box, season: str, ml: float, members: int) -> dict[str, object]:
    found = _balance(box, season, ml)
    sample = _members(box, found.ml, season, members)
    heat = heat_of(found.record)
    low, middle, high = sample.range_of("pour")
    return {
        "value": round(middle, 1),
        "low": round(low, 1),
        "high": round(high, 1),
        "room": room_in_words(room_of(box, season)),
        "own": is_own(box, season),
        "rh_day": round(sample.range_of("day")[1], 1),
        "rh_night": round(sample.range_of("night")[1], 1),
        "temp_day": round(heat.day["mean"], 1),
        "temp_night": round(heat.night["mean"], 1),
        "heat": heat.to_dict(),
        "judged": heat,
    }


def _window(box: Box, ml: float) -> dict[str, object]:
    """Least and most daily pour that work over 60 days, by runs in two rounds on a finer and finer ladder."""
    scale = max(ml, 5.0)
    least = most = None
    tried: dict[float, tuple[bool, bool]] = {}

    def ladder(pours: Sequence[float]) -> None:
        new = [p for p in pours if p not in tried]
        for pour, verdict in zip(new, _verdicts(box, new), strict=True):
            tried[pour] = verdict

    ladder([0.0, *(scale * f for f in (0.25, 0.5, 0.75, 1.0, 1.5, 2.5, 5.0, 10.0))])
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
    least = moist[0] if moist else None
    most = airy[-1] if airy else None
    works = least is not None and most is not None and least <= most
    return {
        "least": least if works else None,
        "most": most if works else None,
        "unit": "ml a day",
        "days": WINDOW_DAYS,
        "least_is_none": bool(works and least < 0.1 and not kept_dry(box)),
        "most_is_open": bool(works and most >= max(tried)),
        "keeps": _keeps(box),
        "why": "" if works else _why_none(moist, airy),
    }


def _keeps(box: Box) -> str:
    air = f"the root zone at {100 * AIR_WANTED:.0f} % air or more, {_siphon_words(box)}"
    if kept_dry(box):
        return f"dry soil is wanted, so only {air}"
    return f"the top {TOP_CM:g} cm moist (suction under {-DRY_HEAD_M:g} m of water), {air}"


def _why_none(moist: list[float], airy: list[float]) -> str:
    if not moist and not airy:
        return "no pour tried keeps the top moist, and none leaves the roots their air"
    if not moist:
        return "no pour tried keeps the top of the soil moist"
    if not airy:
        return "no pour leaves the roots their air and the reservoir in bounds; even without pouring they are too wet"
    return "what keeps the top moist is already too much for the roots or the reservoir"


def _siphon_words(box: Box) -> str:
    if box.enclosure.drainage is None:
        return "no reservoir to watch"
    by_gap = [s for s in box.routine.siphons if s.when_gap_below_cm is not None]
    if by_gap:
        return (
            f"siphoning when less than {by_gap[0].when_gap_below_cm:g} cm are left below the mesh, at most once a week"
        )
    if box.routine.siphons:
        return (
            f"the water below the mesh between the siphonings of the routine (never nearer than {NEVER_NEARER_CM:g} cm)"
        )
    return f"the water at least {NEVER_NEARER_CM:g} cm below the mesh for {WINDOW_DAYS} days without siphoning"


def _verdicts(box: Box, pours: Sequence[float]) -> list[tuple[bool, bool]]:
    """(top stays moist, roots and reservoir in bounds) for each pour, judged over days 20 to 60."""
    jobs = [Job(with_pour(box, p), WINDOW_DAYS, accuracy="preview", record_every_min=60) for p in pours]
    try:
        records = run_many(jobs)
    except RunError:
        return [_verdict_of(job) for job in jobs]
    return [_verdict(record) for record in records]


def _verdict_of(job: Job) -> tuple[bool, bool]:
    try:
        return _verdict(run_job(job))
    except RunError:
        return False, False


def _verdict(record: Record) -> tuple[bool, bool]:
    rows = record.rows(WATCHED_FROM, WINDOW_DAYS)
    wet_enough = kept_dry(record.box) or top_stays_moist(record, rows)
    airy = roots_have_air(record, rows)
    if record.has_reservoir:
        by_gap = any(s.when_gap_below_cm is not None for s in record.box.routine.siphons)
        siphons = int(np.count_nonzero(record.raw.moved["siphoned"] > 0.0))
        if by_gap and siphons > SIPHONS_A_WEEK * WINDOW_DAYS / 7.0:
            airy = False
        if np.min(record.gap_below_mesh_cm[record.rows(0, WINDOW_DAYS)]) < NEVER_NEARER_CM:
            airy = False
    return wet_enough, airy


def _rounded(values: dict[str, float]) -> dict[str, float]:
    return {name: round(float(value), 1) for name, value in values.items()}
