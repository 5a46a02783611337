"""My soil is soggy: how many days until its top and its bottom have air again, under each remedy."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.common.cautions import for_box
from terralab.answers.common.ensemble import sampled
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.temperature import Heat, heat_measures, heat_of, why_refused
from terralab.answers.drainage.bottoms import thirds
from terralab.answers.rescue.remedies import DAYS, Remedy, RemedyKind, Treated, done, remedies, worth_it
from terralab.answers.rescue.words import assumed, move_out, reason_words, rescue_statements
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.system import speaks_us
from terralab.describe.trial import Trial
from terralab.errors import RunError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty import middle_range
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.units import DAY_S
from terralab.validate import whole

LOOK_DAYS = 14
WARMTH_DAYS = 4
MEMBERS = 32


@in_typical_room
def rescue(box: Box, *, members: int = MEMBERS) -> Answer:
    """Days until a soggy box has at least 10 % air in top and bottom third of its soil, under each remedy.

    The wet state is that of the description where it is one: `start.soil = "wet"`, or a drainage level above the mesh
    as you measured it. Otherwise the soil is taken as soaked to its top with the layer full. value, low, high: days of
    the quickest remedy that keeps the mix, or of a plainer one that is about as quick; None where none works within six weeks. table: `Remedy`, one a row. `members`
    (2 to 8192): draws of everything uncertain behind each remedy.
    """
    needs_box(box, "rescue")
    members = whole("members", members, 2, MOST_MEMBERS)
    soggy, described = _soggy(box)
    found: list[Remedy] = []
    warmth: dict[RemedyKind, Mapping[str, np.ndarray]] = {}
    left_out: dict[str, str] = {}
    before = heat_of(run_job(Job(soggy, WARMTH_DAYS, accuracy="preview")), wanted_in=box)
    tried = remedies(soggy)
    for one in tried:
        try:
            remedy, warmth[one.kind] = _remedy(one, before, members, box)
            found.append(remedy)
        except RunError as error:
            left_out[one.name] = " ".join(str(error).split())
    kept = [r for r in found if r.kind is not RemedyKind.NEW_MIX]
    if not kept:
        raise RunError(
            f"{box.name}: none of the remedies could be run. " + " ".join(f"{n}: {why}" for n, why in left_out.items())
        )
    best = worth_it([r for r in kept if r.allowed] or kept)
    low, middle, high = best.bottom_days
    record = run_job(Job(next(one.box for one in tried if one.kind is best.kind), LOOK_DAYS))
    seen = seen_air(record, likely=warmth[best.kind], wanted_in=box)
    answer = Answer(
        us=speaks_us(box),
        question="rescue of soggy soil",
        value=middle,
        low=low,
        high=high,
        unit="days",
        reason=reason_words(soggy, found, best, before),
        spread={"members": members, "ran": best.draws["ran"], "failed": best.draws["failed"], "share": 0.8},
        details={
            "best": best.name,
            "recommended": best.allowed,
            "start": described,
            "left_out": left_out,
            "heat_before": before.to_dict(),
        },
        table=tuple(asdict(r) for r in found),
        assumptions=assumed(box, described),
        cautions=(move_out(found), *for_box(box, "rescue")),
        record=record,
        **seen.fields(),
    )
    verdict, statements = rescue_statements(answer, box, found, best, done(best.kind, tried), left_out, seen, before)
    return replace(answer, verdict=verdict, statements=statements)


def _soggy(box: Box) -> tuple[Box, str]:
    d = box.enclosure.drainage
    if box.start.soil == "wet" or (d is not None and d.level_cm > d.depth_cm):
        return box, "The start is wet as described."
    glass = box.enclosure if d is None else replace(box.enclosure, drainage=replace(d, level_cm=d.depth_cm))
    words = "The soil is taken as soaked to its top" + (" and the layer as full of water." if d is not None else ".")
    return Trial.of(box, enclosure=glass, start=box.start.with_soil("wet")), words


def _remedy(one: Treated, before: Heat, members: int, described: Box) -> tuple[Remedy, Mapping[str, np.ndarray]]:
    """The remedy, and what its draws say of the warmth. Two weeks first; six only where a member has not got there by then."""
    for days in (LOOK_DAYS, DAYS):
        measures = {"top": _since(0), "bottom": _since(2)}
        sample = sampled(one.box, days, measures | heat_measures(wanted_in=described), members=members)
        if max(np.nanmax(sample.results[part]) for part in measures) < days:
            break
    within = lambda d: None if d >= DAYS else round(d, 2)  # noqa: E731
    spans = [tuple(within(d) for d in middle_range(sample.results[part])) for part in ("top", "bottom")]
    typical = run_job(Job(one.box, LOOK_DAYS, accuracy="preview", record_every_min=60))
    air = 100.0 * thirds(typical, typical.air_space)[-1]
    heat = heat_of(typical, wanted_in=described)
    means = (round(heat.day["mean"], 1), round(heat.night["mean"], 1))
    rounded = tuple(round(float(a), 1) for a in air)
    refused = why_refused(heat, before)
    remedy = Remedy(one.name, *spans, rounded, sample.counted(), *means, not refused, one.kind, refused)
    return remedy, sample.results


def _since(third: int) -> Callable[[Record], float]:
    """The day from which a third has enough air until the run ends; twice six weeks where it has not at the end."""

    def days(record: Record) -> float:
        # a dry hour before the next pour is no rescue, so the last hour without enough air decides
        lacking = np.flatnonzero(thirds(record, record.air_space)[:, third] < AIR_WANTED)
        since = lacking[-1] + 1 if len(lacking) else 0
        return float(record.times_s[since] / DAY_S) if since < len(record.times_s) else 2.0 * DAYS

    return days
