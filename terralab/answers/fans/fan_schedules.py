"""Which fan schedule? Many are run side by side, for the room now, in winter and in summer; one is recommended."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import begun_as_kept, budget_ml, kept_dry, kept_soil, with_pour
from terralab.answers.common.cautions import for_box
from terralab.answers.common.drying import easy_store_ml
from terralab.answers.common.heat_words import first_lines, heat_fields
from terralab.answers.common.humidity_target import shortfall, target_of
from terralab.answers.common.measure_next import measure_next
from terralab.answers.common.rationale import assumptions_of
from terralab.answers.common.recommended import recommended, with_recommended
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import percent
from terralab.answers.common.temperature import Heat, why_refused
from terralab.answers.fans import fresh_air
from terralab.answers.fans.choice import NEAR, as_shown, best_three, ordered, today
from terralab.answers.fans.compared import ROOM_WORDS, Compared
from terralab.answers.fans.faults import Fault, faults_of
from terralab.answers.fans.lid_words import alternative_words
from terralab.answers.fans.measure import measured
from terralab.answers.fans.ranges import Progress, judge, lid_ranges, schedule_ranges
from terralab.answers.fans.reason_words import why
from terralab.answers.fans.schedules import (
    AS_DESCRIBED,
    NO_FAN,
    Schedule,
    assumed_fan,
    circulating_fan,
    exchange_fan,
    schedules,
    shares_to_try,
    with_fans,
)
from terralab.answers.fans.warmth_gates import DAYS, JUDGED_FROM, lid_for_all_seasons, opening_refused, safest_first
from terralab.answers.fans.water_cost import anchor, dearer_by, into_rows
from terralab.answers.fans.words import fan_statements
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.needed import needs_box
from terralab.describe.routine import Fan
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.system import speaks_us
from terralab.describe.trial import covered_lid
from terralab.errors import TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty.sampling import MEMBERS as WATER_MEMBERS
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import is_real, whole

ROOMS = ("now", "winter", "summer")
DRY_WITHIN_H = 12.0
MEMBERS = 64  # for each of the three best
BATCH = 16
DETAIL_MIN = 5.0


@in_typical_room
def fan_schedules(
    box: Box,
    own: Mapping[str, Fan] | None = None,
    *,
    members: int = MEMBERS,
    animals_g: float | None = None,
    dry_within_h: float = DRY_WITHIN_H,
    progress: Progress | None = None,
    pour_members: int = WATER_MEMBERS,
) -> Answer:
    """Compare fan schedules for `box` and recommend one, as an Answer.

    The box has the pour recommended for each room, from `pour_members` draws, and keeps the rest of its routine. Each schedule is run for 14 days in the room now, in winter and in
    summer, and judged over the last 7. `own`: your fans by name, beside the built-in ones. `animals_g` (0 to 50,000):
    mass of all animals, for their breath; None: none are counted, and the answer says what each 10 g would add. `dry_within_h` (0.5 to 24): by when leaves and front pane should be dry after a
    spray. `members` (2 to 8192): draws of everything uncertain, the same for the three best, which get a range.
    `progress(done, of)` is called as runs finish.

    value: hours a day inside the humidity wanted under the recommended schedule (where none is wanted, the mean
    humidity by day), the middle of the members, low and high the central 80 %. `details["choice"]` names the
    schedule; `table` has a row for each; `details["covers"]` the other lever, the lid; `record` a run of the chosen
    one, every 5 minutes. Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    needs_box(box, "fan_schedules")
    if not (is_real(dry_within_h) and 0.5 <= dry_within_h <= 24.0):
        raise TerralabError(f"dry_within_h must be 0.5 to 24 hours; {dry_within_h!r} was given.")
    members = whole("members", members, 2, MOST_MEMBERS)
    pour_members = whole("pour_members", pour_members, 2, MOST_MEMBERS)
    if progress is not None and not callable(progress):
        raise TerralabError(f"progress must be a function of (done, of); {progress!r} was given.")
    box = begun_as_kept(box)
    source = fresh_air.sources(box, animals_g)
    target, band_words = target_of(box)
    tried, blocked = schedules(box, own)
    covers = covers_of(box)
    runs = len(ROOMS) * len(tried) + len(covers)
    of = runs + (min(3, len(tried)) + 1) * members  # the last for a lid, where one is recommended
    before = len(ROOMS) * pour_members
    after = 0 if kept_dry(box) else (len(ROOMS) + min(3, len(tried)) - 1) * pour_members

    def told(done: int) -> None:
        if progress is not None:
            progress(done, before + of + after)

    compared = lambda done, _=0: told(before + done)  # noqa: E731
    told(0)
    pours = {}
    for number, room in enumerate(ROOMS, 1):
        pours[room] = recommended(box, room, pour_members)
        told(number * pour_members)
    now = pours["now"].ml
    jobs = [Job(with_pour(one.box, pours[room].ml), DAYS, room) for room in ROOMS for one in tried]
    jobs += [Job(with_pour(cover[2], now), DAYS) for cover in covers]
    found = _in_batches(jobs, of, compared)
    begun = len(jobs)
    tried, covers, records, left_out = _that_ran(tried, covers, found)
    n = len(tried)
    store = easy_store_ml(records[0])
    rows = [
        _row(one, {room: records[j * n + i] for j, room in enumerate(ROOMS)}, target, store, source, dry_within_h)
        for i, one in enumerate(tried)
    ]
    seen_lids = zip(covers, records[len(ROOMS) * n :], strict=True)
    lid = [_cover_row(cover, record, target, dry_within_h) for cover, record in seen_lids]
    anchor(box, rows, lid, pours)
    for one in lid:
        one["why_not"] = why_refused(one["heat"], today(rows)["now"]["heat"])
        one["allowed"] = not one["why_not"]
    of_row = lambda row: tried[rows.index(row)]  # noqa: E731
    three, likely = safest_first(best_three(ordered(rows, target)), of_row, pours["now"], pour_members)
    best, best_tried = three[0], [of_row(row) for row in three]
    best["now"]["heat"] = best["now"]["heat"].with_likely(likely)
    sample, ranges, pairs, unsure = schedule_ranges(best_tried, now, target, members, begun, of, compared)
    for number, (one, room) in enumerate(_poured_later(box, best_tried), 1):
        recommended(one.box, room, pour_members)  # kept, so that what needs it below has it at once
        told(before + of - members + number * pour_members)
    for name, span in into_rows(box, rows, lid, best_tried, ROOMS, pour_members).items():
        if name in ranges:
            ranges[name]["water ml a day"] = span
    as_shown(ranges, three, target)
    dearer = dearer_by(box, best_tried[0], best_tried[1:], pour_members)
    first = lid_for_all_seasons([one[2] for one in covers], lid, gap_of(best, target), today(rows), pours)
    first_span = None
    if first is not None:
        shut = with_pour(covers[lid.index(first)][2], now)
        first_span = lid_ranges(shut, first, target, members, of - members, of, lambda done, _: compared(after + done))
    told(before + of + after)
    shown_box = with_recommended(best_tried[0].box, "now", pour_members)
    record = run_job(Job(shown_box, DAYS, record_every_min=DETAIL_MIN))
    shown = record.rows(JUDGED_FROM, DAYS)
    result = "hours in band" if target is not None else "humidity by day"
    span = ranges[best["name"]][result]
    first_said = first_lines(box, best["now"]["heat"], {room: best[room]["heat"] for room in ROOMS[1:]})
    gap = gap_of(best, target)
    details = {
        "choice": best["name"],
        "minutes_a_day": best["minutes_a_day"],
        "exchange_fan": exchange_fan(box)[1],
        "circulating_fan": circulating_fan(box)[1],
        "blocked": blocked,
        "opening_refused": opening_refused(with_pour(box, now), today(rows)["now"]["heat"]) if blocked else "",
        "gap_points": gap,
        "soil_held": kept_soil(box),
        "dry_within_h": float(dry_within_h),
        "best": [row["name"] for row in three],
        "ranges": ranges,
        "better_than": pairs,
        "left_out": left_out,
        "unsure": unsure,
        "dearer_than": dearer,
        "covers": lid,
        "first_lid": first_span,
        "rooms": {room: {"room": room_in_words(room_of(box, room)), "own": is_own(box, room)} for room in ROOMS},
        "fresh_air": {**source, "matters_below": fresh_air.matters_below(box, source["all"])},
        "target": None if target is None else _target_numbers(target),
    }
    assumed = "" if best["name"] in (own or {}) else assumed_fan(box, best["mode"])
    c = Compared(box, target, rows, best, lid, _rounded_all(details), source, assumed)
    reachable = None if target is None else abs(gap) <= NEAR
    careful = box if box.routine.fans or best["mode"] == "none" else with_fans(box, exchange_fan(box)[0])
    answer = Answer(
        us=speaks_us(box),
        question="fan schedule",
        value=round(_figures(span[1]), 1),
        low=round(_figures(span[0]), 1),
        high=round(_figures(span[2]), 1),
        unit="hours a day inside the humidity wanted" if target is not None else "% humidity by day",
        reason=why(c),
        rh_day={name: percent(value) for name, value in best["now"]["rh_day"].items()},
        rh_night={name: percent(value) for name, value in best["now"]["rh_night"].items()},
        **heat_fields(best["now"]["heat"], first_said),
        hours_in_target=_rounded(best["now"]["hours"]),
        seasons={room: {"room": details["rooms"][room]["room"], **_season(best[room])} for room in ROOMS[1:]},
        spread=sample.spread(judge(record, target)),
        reachable=reachable,
        alternative=alternative_words(c, reachable),
        budget_ml_per_day=_rounded(budget_ml(record, shown)),
        details=c.details,
        table=tuple(_rounded_all(row) for row in rows),
        assumptions=assumptions_of(box, band_words, budget_ml(record, shown)["sprayed and misted"], record.zone_names),
        sources=(
            "stack and single opening: ASHRAE Fundamentals; Brown & Solvason 1962; Epstein 1988 (from memory)",
            'breath of soil, leaves and animals: terralab material "soil life", "leaf breath", "frog breath"',
            "carbon dioxide at work: 5000 ppm over 8 hours, 29 CFR 1910.1000 (United States)",
        ),
        cautions=for_box(careful, "fans"),
        record=record,
        sample=sample,
        measure_next=measure_next(sample, result, "hours a day inside" if target is not None else "% by day"),
    )
    verdict, statements = fan_statements(answer, c, careful)
    return replace(answer, verdict=verdict, statements=statements)


def gap_of(row: dict[str, Any], target: HumidityTarget | None) -> float:
    """Points by which a schedule's means lie outside the band in the room now, negative when too dry."""
    if target is None:
        return 0.0
    return shortfall({"day": row["now"]["rh_day"], "night": row["now"]["rh_night"]}, target)


def covers_of(box: Box) -> list[Cover]:
    """(fan, covered share, box) of the other lever: the lid more or less covered, without a fan and with the own one.

    Nothing is covered where a hot lamp or heater stands at the lid.
    """
    shares = shares_to_try(box)
    out = [(NO_FAN, share, covered_lid(with_fans(box), share)) for share in shares]
    if box.routine.fans:
        out += [(AS_DESCRIBED, share, covered_lid(box, share)) for share in shares]
    return out


def _poured_later(box: Box, best: list[Schedule]) -> list[tuple[Schedule, str]]:
    """The schedules and rooms whose own pour is asked for; see `into_rows`."""
    return [] if kept_dry(box) else [(best[0], room) for room in ROOMS] + [(one, "now") for one in best[1:]]


def _in_batches(jobs: list[Job], of: int, progress: Progress | None) -> list[Record | TerralabError]:
    out: list[Record | TerralabError] = []
    for start in range(0, len(jobs), BATCH):
        out += run_many(jobs[start : start + BATCH], failed="error")
        if progress is not None:
            progress(len(out), of)
    return out


Cover = tuple[str, float, Box]


def _that_ran(
    tried: list[Schedule], covers: list[Cover], found: list[Record | TerralabError]
) -> tuple[list[Schedule], list[Cover], list[Record], list[str]]:
    """The schedules and lids that could be run, their records in the order of the jobs, and what was left out and why.

    Raises the error itself where the box without a fan or as described cannot be run: there is nothing to compare with.
    """
    n = len(tried)
    wrong = lambda one: isinstance(one, TerralabError)  # noqa: E731
    left_out, kept = [], []
    for i, one in enumerate(tried):
        errors = [(room, found[j * n + i]) for j, room in enumerate(ROOMS) if wrong(found[j * n + i])]
        if errors and one.name in (NO_FAN, AS_DESCRIBED):
            raise errors[0][1]
        if errors:
            left_out.append(f"{one.name}: {ROOM_WORDS[errors[0][0]]} it could not be run, since {_why(errors[0][1])}")
        else:
            kept.append(i)
    lids = found[len(ROOMS) * n :]
    for cover, record in zip(covers, lids, strict=True):
        if wrong(record):
            left_out.append(
                f"a lid {100 * cover[1]:.0f} % covered, {cover[0]}: it could not be run, since {_why(record)}"
            )
    records = [found[j * n + i] for j in range(len(ROOMS)) for i in kept]
    good = [k for k, record in enumerate(lids) if not wrong(record)]
    return [tried[i] for i in kept], [covers[k] for k in good], [*records, *(lids[k] for k in good)], left_out


def _why(error: TerralabError) -> str:
    return " ".join(getattr(error, "why", str(error)).split())


def _row(
    one: Schedule, records: dict[str, Record], target: HumidityTarget | None, store: float, source: dict, within: float
) -> dict[str, Any]:
    """One schedule in all rooms, as plain numbers."""
    out: dict[str, Any] = {
        "name": one.name, "mode": one.mode, "when": one.when, "minutes_a_day": one.minutes_a_day,
    }  # fmt: skip
    for room, record in records.items():
        seen = measured(record, target, JUDGED_FROM, store)
        seen |= fresh_air.breathed(record, source["all"])
        seen["faults"] = faults_of(seen, within)
        if room != "now":
            del seen["course"]
        out[room] = seen
    return out


def _cover_row(cover: Cover, record: Record, target: HumidityTarget | None, within: float) -> dict[str, Any]:
    seen = measured(record, target, JUDGED_FROM, 0.0)
    kept = (
        "rh_day",
        "rh_night",
        "temperature_day_c",
        "temperature_night_c",
        "heat",
        "hours",
        "water_ml",
        "front_fogged_h",
        "fogged_h",
        "airs",
        "apart",
        "basking",
        "dry_out_h",
        "air_changes",
        "top_dries",
    )
    gap = 0.0 if target is None else shortfall({"day": seen["rh_day"], "night": seen["rh_night"]}, target)
    out = {"fan": cover[0], "covered": cover[1], "gap_points": gap, **{key: seen[key] for key in kept}}
    return {**out, "refused": "", "sprays": seen["sprays"], "faults": faults_of(seen, within)}


def _season(seen: dict[str, Any]) -> dict[str, float]:
    inside = seen["hours"]
    return {
        "value": round(inside["day inside"] + inside["night inside"], 1) if inside else percent(seen["rh_day"]["mean"]),
        "rh_day": percent(seen["rh_day"]["mean"]),
        "rh_night": percent(seen["rh_night"]["mean"]),
        "temp_day": round(seen["temperature_day_c"], 1),
        "temp_night": round(seen["temperature_night_c"], 1),
        "water_ml": seen["water_ml"],
    }


def _target_numbers(target: HumidityTarget) -> dict[str, Any]:
    names = ("day_low", "day_high", "night_low", "night_high", "day_from", "day_to")
    return {name: getattr(target, name) for name in names}


def _rounded(values: Mapping[str, float]) -> dict[str, float]:
    return {name: round(float(value), 1) for name, value in values.items()}


def _rounded_all(value: Any) -> Any:
    """Numbers to six figures, None for what is no number, everything else as it is."""
    if isinstance(value, Heat | Fault):
        value = value.to_dict()
    if isinstance(value, Mapping):
        return {key: _rounded_all(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded_all(item) for item in value]
    if isinstance(value, bool | str | int) or value is None:
        return value
    return _figures(value) if np.isfinite(value) else None


def _figures(value: float) -> float:
    """A number to six figures: whoever rounds it to tenths, here or in a table, gets the same tenth."""
    return float(f"{float(value):.6g}")
