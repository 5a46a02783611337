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
from terralab.answers.common.recommended import recommended, seen_rows, with_recommended
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import percent
from terralab.answers.common.temperature import Heat, why_refused
from terralab.answers.fans import fresh_air
from terralab.answers.fans.alike import alike, grouped
from terralab.answers.fans.choice import NEAR, as_shown, best_three, first_of, today
from terralab.answers.fans.compared import Compared
from terralab.answers.fans.faults import Fault
from terralab.answers.fans.knee import knee_of
from terralab.answers.fans.lid_words import alternative_words
from terralab.answers.fans.ranges import Progress, judge, lid_ranges, schedule_ranges
from terralab.answers.fans.reason_words import why
from terralab.answers.fans.runs import LATER, Compare, anchored, covers_of, each_once, that_ran
from terralab.answers.fans.schedules import Schedule, assumed_fan, circulating_fan, exchange_fan, schedules, with_fans
from terralab.answers.fans.side_by_side import MEMBERS as SIDE_BY_SIDE
from terralab.answers.fans.side_by_side import drawn_side_by_side
from terralab.answers.fans.warmth_gates import DAYS, lid_for_all_seasons, opening_refused, safest_first
from terralab.answers.fans.water_cost import dearer_by, into_rows, shift, shifts
from terralab.answers.fans.words import fan_statements
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.needed import needs_box
from terralab.describe.routine import Fan
from terralab.describe.seasons import is_own, room_in_words, room_of
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.simulation.simulate import Job, run_job
from terralab.uncertainty.sampling import MEMBERS as WATER_MEMBERS
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import is_real, whole

ROOMS = ("now", "winter", "summer")
DRY_WITHIN_H = 12.0
MEMBERS = 64  # for each of the three best
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

    The box has the pour recommended for each room, from `pour_members` draws, and keeps the rest of its routine. Each
    schedule is run for 14 days in the room now and judged over the last 7, today's and the recommended one in winter and
    summer too. All are run in the same few draws (`MEMBERS` of `side_by_side`), which tell those that come out alike. `own`: your fans by name, beside the built-in ones. `animals_g` (0 to 50,000):
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
        raise TerralabError(f"dry_within_h must be 0.5 to 24 hours; {quoted(dry_within_h)} was given.")
    members = whole("members", members, 2, MOST_MEMBERS)
    pour_members = whole("pour_members", pour_members, 2, MOST_MEMBERS)
    if progress is not None and not callable(progress):
        raise TerralabError(f"progress must be a function of (done, of); {quoted(progress)} was given.")
    box = begun_as_kept(box)
    source = fresh_air.sources(box, animals_g)
    target, band_words = target_of(box)
    tried, blocked = schedules(box, own)
    covers = covers_of(box)
    few = min(members, SIDE_BY_SIDE)
    runs = len(tried) + len(covers)
    begun = runs + few * len(tried)
    of = begun + (min(3, len(tried)) + 1) * members  # the last for a lid, where one is recommended
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
    poured = [with_pour(one, now) for one in (*(one.box for one in tried), *(cover[2] for cover in covers))]
    ran, lids, left_out = that_ran(tried, covers, each_once(poured, compared))
    make = Compare(target, source, dry_within_h, pours)
    make.store = easy_store_ml(ran[0][1])
    rows = [make.row(*one) for one in ran]
    lid = [make.lid(*one) for one in lids]
    by_name = {one.name: one for one, _ in ran}
    of_row = lambda row: by_name[row["name"]]  # noqa: E731
    own_row = today(rows)
    make.in_seasons(own_row, of_row(own_row))
    make.by = shifts(box, own_row, pours)
    anchored([*rows, *lid], make.by["now"])
    for room in LATER:
        shift(own_row[room], make.by[room])
    for one in lid:
        one["why_not"] = why_refused(one["heat"], own_row["now"]["heat"])
        one["allowed"] = not one["why_not"]
    drawn = drawn_side_by_side(list(by_name.values()), now, target, few, lambda done: compared(runs + done))
    same = lambda row, other: alike(row, other, drawn)  # noqa: E731
    sound = lambda row: make.sound(row, of_row(row), own_row)  # noqa: E731
    three = best_three(first_of(rows, target, sound, same), rows, target)
    three, likely = safest_first(three, of_row, pours["now"], pour_members, sound)
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
    first = lid_for_all_seasons([cover[2] for cover, _ in lids], lid, gap_of(best, target), own_row, pours)
    first_span = None
    if first is not None:
        shut = with_pour(lids[lid.index(first)][0][2], now)
        first_span = lid_ranges(shut, first, target, members, of - members, of, lambda done, _: compared(after + done))
    told(before + of + after)
    shown_box = with_recommended(best_tried[0].box, "now", pour_members)
    record = run_job(Job(shown_box, DAYS, record_every_min=DETAIL_MIN))
    shown = seen_rows(record)
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
        "opening_refused": opening_refused(with_pour(box, now), own_row["now"]["heat"]) if blocked else "",
        "gap_points": gap,
        "soil_held": kept_soil(box),
        "dry_within_h": float(dry_within_h),
        "best": [row["name"] for row in three],
        "ranges": ranges,
        "better_than": pairs,
        "left_out": [*left_out, *make.left_out],
        "unsure": unsure,
        "dearer_than": dearer,
        "groups": grouped(rows, best, own_row, drawn),
        "draws_side_by_side": few,
        "covers": lid,
        "knee": knee_of(lid),
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


def _poured_later(box: Box, best: list[Schedule]) -> list[tuple[Schedule, str]]:
    """The schedules and rooms whose own pour is asked for; see `into_rows`."""
    return [] if kept_dry(box) else [(best[0], room) for room in ROOMS] + [(one, "now") for one in best[1:]]


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
