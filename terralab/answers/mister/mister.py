"""Which automatic watering? Nozzles, bursts, hours, switch and tank for the humidity wanted, and what each choice costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from terralab.answers.common.answer import Answer
from terralab.answers.common.cautions import for_box
from terralab.answers.common.humidity_target import hours, target_of
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.no_number import without_number
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import jug, percent
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.statement import Kind, Verdict, state
from terralab.answers.common.temperature import heat_of
from terralab.answers.common.words import target_in_words
from terralab.answers.mister.below import WATCHED_DAYS, Below, below_of
from terralab.answers.mister.choices import Choice, Drip, Span, chosen, drawn, standing
from terralab.answers.mister.none_words import few_words, no_band_words, none_words
from terralab.answers.mister.plan import Plan, nozzles_of
from terralab.answers.mister.scan import EVERY_MIN, LACKING_H, Base, Tried, base_of, front_of, scan
from terralab.answers.mister.words import ASKED, UNIT, assumed, mister_statements, reason_words
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import SEASONS
from terralab.describe.system import speaks_us
from terralab.errors import UnknownName
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import number, whole

MEMBERS = 16
QUESTION = "automatic watering"
LONGEST_TANK_DAYS = 90
SHOWN_DAYS = 6  # of the box as it is, where no mister is recommended


@in_typical_room
def mister(
    box: Box,
    season: str = "now",
    days: int = 14,
    *,
    nozzles: int | None = None,
    nozzle_ml_min: float | None = None,
    members: int = MEMBERS,
) -> Answer:
    """Size an automatic watering of `box` for the humidity wanted, in the room of `season`, as an `Answer` in ml a day.

    It takes the place of all sprays and misters that are described, and of that part of the pour which its water makes
    needless. Some twenty to forty short runs try bursts by the clock and with a humidity switch, in the hours in which it is
    too dry and no hot glass is near. Of those that keep to the temperatures wanted, let leaves dry and gain something, two
    or three are named that soil and layer bear for two weeks: details["choices"], the balanced one first. value, low,
    high: its water over `members` (2 to 8192) draws of everything uncertain, ml a day; 0 where no mister helps, and
    `reason` says why; None where no humidity is known to be wanted. table: every way tried.

    days: 1 to 90, how long the tank is to last. nozzles (1 to 50) and nozzle_ml_min (1 to 1,000 ml/min each): None takes
    the mister described, else what the tables have. Raises RunError when the box cannot be run.
    """
    needs_box(box, "mister")
    if not isinstance(season, str) or season not in SEASONS:
        raise UnknownName.among("season", season, SEASONS)
    days = whole("days", days, 1, LONGEST_TANK_DAYS)
    members = whole("members", members, 2, MOST_MEMBERS)
    nozzles = None if nozzles is None else whole("nozzles", nozzles, 1, 50)
    flow = None if nozzle_ml_min is None else number("nozzle_ml_min", nozzle_ml_min, 1.0, 1000.0, "ml/min")
    target, band = target_of(box)
    if target is None:
        record = run_job(Job(box, SHOWN_DAYS, season))
        do, reason = no_band_words()
        return without_number(box, "mister", QUESTION, UNIT, ASKED, do, "None.", reason, record)
    base = base_of(box, target, nozzles_of(box, nozzles, flow), season)
    before = below_of(run_job(base.job(base.box, WATCHED_DAYS)))
    lacks = base.seen.dry_h >= LACKING_H
    rows = scan(base) if lacks and not before.drowned else []
    found, rows = chosen(base, rows, before)
    if not found:
        return _none(box, base, before, rows)
    return _sized(box, base, before, rows, found, days, members, band)


def _none(
    box: Box,
    base: Base,
    before: Below,
    rows: Sequence[Tried],
    best: Choice | None = None,
) -> Answer:
    """The answer that no mister helps: 0 ml a day, and why. `best`: the one that helps the typical box alone."""
    do, reason = none_words(base, before, rows) if best is None else few_words(base, best)
    verdict = Verdict.NO_AIR if before.drowned and base.seen.dry_h >= LACKING_H else None
    details = {"without_typical": _rounded(asdict(base.seen)), "choices": ()}
    wanted = state(Kind.WANTED, f"Wanted: {target_in_words(base.target, base.heat.wanted)}.")
    answer = without_number(
        box, "mister", QUESTION, UNIT, ASKED, do, "No mister.", reason, base.record, value=0.0, verdict=verdict,
        more=tuple(wanted), details=details,
    )  # fmt: skip
    return replace(answer, table=_table(rows, {}))


def _sized(
    box: Box,
    base: Base,
    before: Below,
    rows: Sequence[Tried],
    found: Sequence[Choice],
    days: int,
    members: int,
    band: str,
) -> Answer:
    asked = drawn(base, box, found, members)
    gains = [one.gains for one in asked.choices]
    if not any(gains):
        return _none(box, base, before, rows, max(asked.choices, key=lambda one: one.spans["gain_h"][1]))
    good = [one for one, enough in zip(asked.choices, gains, strict=True) if enough]
    choices = standing(good, asked.without["inside_h"])
    best, drip, without = choices[0], asked.drip, asked.without
    sample = next(sample for one, sample in zip(asked.choices, asked.samples, strict=True) if one.tried is best.tried)
    record = best.record
    shown = best.rows
    seen = seen_air(record, shown, likely=sample.results)
    low, middle, high = best.spans["ml"]
    tank_l = best.tank_l(days)
    seasons = _seasons(base, best)
    answer = Answer(
        us=speaks_us(box),
        question=QUESTION,
        value=jug(middle),
        low=jug(low),
        high=jug(high),
        unit=UNIT,
        reason=reason_words(base, best, without),
        seasons=seasons,
        hours_in_target={name: round(h, 1) for name, h in hours(record, shown, base.target).items()},
        spread=sample.spread(best.tried.seen.ml),
        measure_next=measure_next(sample, "ml", UNIT),
        reachable=not seen.outside,
        budget_ml_per_day={name: round(float(ml), 1) for name, ml in record.where_it_goes(shown).items()},
        window={"tank_l": tank_l, "tank_days": days, "siphon_every_days": _whole(best.below.every_days)},
        details={
            "nozzles": asdict(base.nozzles),
            "without_typical": _rounded(asdict(base.seen)),
            "without": {"pour_ml": jug(base.pour_ml), **_below(before), **_spans(without)},
            "choices": tuple(_as_data(one, days) for one in choices),
            "now": None if asked.now is None else _spans(asked.now),
            "drip": None if drip is None else _drip_data(drip, days),
            "season": base.season,
        },
        table=_table(rows, {id(one.tried): ", ".join(one.kinds) for one in choices}),
        assumptions=assumed(box, base, band),
        sources=(f"nozzles: {base.nozzles.source}",),
        cautions=for_box(record.box, "mister"),
        record=record,
        sample=sample,
        **seen.fields(),
    )
    verdict, statements = mister_statements(answer, box, base, before, choices, drip, without, asked.now, seen, days)
    return replace(answer, verdict=verdict, statements=statements)


def _seasons(base: Base, best: Choice) -> dict[str, dict[str, Any]]:
    """The balanced plan in the typical winter and summer room, but for the one that was asked about: hours in the band, humidity and temperature."""
    out = {}
    names = [name for name in ("winter", "summer") if name != base.season]
    box = base.with_plan(best.plan, best.pour_ml)
    jobs = [Job(box, SHOWN_DAYS, name, accuracy="preview", record_every_min=EVERY_MIN) for name in names]
    for season, record in zip(names, run_many(jobs, failed="none"), strict=True):
        if record is None:  # a room in which the box cannot be run is left out
            continue
        rows = record.rows(SHOWN_DAYS - 1, SHOWN_DAYS)
        h, heat = hours(record, rows, base.target), heat_of(record, rows)
        rh = seen_air(record, rows).rh
        out[season] = {
            "inside_h": round(h["day inside"] + h["night inside"], 1),
            "dry_h": round(h["day too dry"] + h["night too dry"], 1),
            **{f"rh_{part}": percent(rh[part]["mean"]) for part in ("day", "night")},
            "temp_day": round(heat.day["mean"], 1),
            "temp_night": round(heat.night["mean"], 1),
        }
    return out


def _table(rows: Sequence[Tried], named: Mapping[int, str]) -> tuple[dict[str, Any], ...]:
    """Every way that was tried, each in a short run of the typical box."""
    front = {id(one) for one in front_of([one for one in rows if one.allowed])}
    return tuple(
        {
            **_plan(one.plan),
            **_rounded(asdict(one.seen)),
            "allowed": one.allowed,
            "why_not": one.why_not,
            "on_the_front": id(one) in front,
            "named": named.get(id(one), ""),
        }
        for one in rows
    )


def _plan(plan: Plan) -> dict[str, Any]:
    return {
        "seconds": plan.seconds,
        "hours": plan.hours,
        "set_point": plan.set_point,
        "most_ml": round(plan.most_ml, 1),
    }


def _as_data(one: Choice, days: int) -> dict[str, Any]:
    return {
        "kinds": tuple(str(kind) for kind in one.kinds),
        **_plan(one.plan),
        "pause_h": one.plan.pause_h,
        "pour_ml": one.pour_ml,
        "tank_l": one.tank_l(days),
        "lands_ml": {where: round(ml, 1) for where, ml in one.lands.items()},
        "more_vapour_ml": round(one.vapour_ml, 1),
        **{f"rh_{part}": percent(one.air[part]["mean"]) for part in ("day", "night")},
        **_below(one.below),
        **_spans(one.spans),
    }


def _below(below: Below) -> dict[str, Any]:
    return {
        "arrives_below_ml": round(below.ml, 1),
        "siphon_every_days": _whole(below.every_days),
        "fits_below_l": None if below.fits_l is None else round(below.fits_l, 1),
    }


def _drip_data(drip: Drip, days: int) -> dict[str, Any]:
    return {
        **_spans(drip.spans),
        "emitters": drip.emitters,
        "ml_min": drip.ml_min,
        "minutes": round(drip.minutes, 1),
        "ml": drip.ml,
        "tank_l": drip.tank_l(days),
    }


def _whole(days: float | None) -> float | None:
    return None if days is None else float(math.floor(days))


def _spans(spans: Mapping[str, Span]) -> dict[str, list[float]]:
    return {name: [round(end, 1) for end in span] for name, span in spans.items() if name.islower()}


def _rounded(values: Mapping[str, float]) -> dict[str, float]:
    return {name: round(float(value), 1) for name, value in values.items()}
