"""How long can the box be left alone, and what is worth preparing? Every draw goes on from the same last day at home."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from terralab.answers.away.absence import AT_END, HORIZON, SURE, Absence, Branch, end_rows, names_of
from terralab.answers.away.judged import Tried, chances_of, courses_of, together, tried_all
from terralab.answers.away.preparations import Visit, drinks_ml_a_day, visits_on, visits_plan
from terralab.answers.away.words import assumed, away_statements, reason_words
from terralab.answers.common.answer import Answer
from terralab.answers.common.cautions import for_box
from terralab.answers.common.draws import inputs_counted
from terralab.answers.common.room_log import in_typical_room
from terralab.answers.common.rounding import percent
from terralab.answers.common.seen_air import seen_air
from terralab.answers.common.temperature import HEAT_MEASURES
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import room_of
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.uncertainty.sampling import MOST_MEMBERS
from terralab.validate import whole

DAYS, MOST_DAYS = 14, 60
MEMBERS = 16


@in_typical_room
def away(
    box: Box,
    days: int = DAYS,
    season: str = "now",
    visits: Sequence[int] = (),
    *,
    prepare: bool = True,
    members: int = MEMBERS,
) -> Answer:
    """How `box` fares while nobody is there for `days` (1 to 60) in the room of `season`, and what is worth preparing.

    It begins with the soil as it is now, and lives two days of the routine as described. Then no hand pours, sprays, siphons,
    opens a door or fills dish and tank, while timers go on. `visits`: days of the absence, counted from 1, on which a
    helper comes; how much that helper pours is worked out. value, low, high: days until the first thing is dangerous
    or has run dry (None: not within the days that were run, `details["run_days"]`). details: "chances", the shares of
    the draws, 0 to 1, out of each danger, in the band, and with air no worse than while the keeper was there, "as_asked" and
    "prepared"; "days_until" by thing; "gap_cm" under the mesh on return; "visits"; "by_day", the chances day by day. window: "longest_days",
    for which nine in ten draws stay out of danger, and the same "prepared". table: everything that can be prepared, the most worth
    doing first. `prepare`: False leaves that out. `members` (2 to 8192): draws of everything uncertain.
    Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    needs_box(box, "away")
    days = whole("days", days, 1, MOST_DAYS)
    room_of(box, season)
    asked_days = _visit_days(visits, days)
    if not isinstance(prepare, bool):
        raise TerralabError(f"prepare must be True or False; {quoted(prepare)} was given.")
    members = whole("members", members, 2, MOST_MEMBERS)
    absence = Absence(box, days, season, members)
    asked = visits_on(absence, asked_days)
    base = absence.branch(visits_plan(box, asked), max(days, HORIZON))
    tried = tried_all(absence, base, asked) if prepare else ()
    tried, best = together(absence, base, tried)
    return _answer(absence, base, best, tried, asked, prepare)


def _visit_days(visits: object, days: int) -> tuple[int, ...]:
    if isinstance(visits, str) or not isinstance(visits, Sequence):
        raise TerralabError(f"visits must be a list of days of the absence, such as [7]; {quoted(visits)} was given.")
    return tuple(sorted({whole("A day of visits", day, 1, days) for day in visits}))


def _answer(
    absence: Absence,
    base: Branch,
    best: Branch,
    tried: tuple[Tried, ...],
    asked: tuple[Visit, ...],
    prepared: bool,
) -> Answer:
    box, days = absence.box, absence.days
    chosen = tuple(one for one in tried if one.recommended)
    record = absence.typical(best.plan, days)
    rows = end_rows(record)
    likely = {name: best.sample.results[f"{AT_END}{name}"] for name in HEAT_MEASURES}
    seen = seen_air(record, rows, likely)
    chances = lambda branch: chances_of(branch, days)  # noqa: E731
    visits = asked or next((one.prep.visits for one in chosen if one.prep.visits), ())
    low, middle, high = base.span(base.harms)
    gap = None
    if box.enclosure.drainage is not None:
        gap = [round(x, 1) for x in best.sample.range_of(f"{AT_END}gap")]
    draft = Answer(
        us=speaks_us(box),
        question="away",
        value=middle,
        low=low,
        high=high,
        unit="days",
        reason=reason_words(box, days, base, best, chosen),
        window={
            "longest_days": base.longest(),
            "prepared": best.longest(),
            "chance": SURE,
            "run_days": base.days,
        },
        spread={**base.sample.counted(), "share": 0.8, **inputs_counted(absence.found)},
        details={
            "days": days,
            "season": absence.season,
            "run_days": base.days,
            "chances": {"as_asked": chances(base), "prepared": chances(best)},
            "days_until": {name: list(base.span((name,))) for name in names_of(box)},
            "days_until_prepared": {name: list(best.span((name,))) for name in names_of(box)},
            "not_dry": {name: round(best.chance((name,), days), 3) for name in best.empties},
            "gap_cm": gap,
            "rh_likely": {
                part: [percent(x) for x in best.sample.range_of(f"{AT_END}{part}")] for part in ("day", "night")
            },
            "dish_ml_a_day": round(drinks_ml_a_day(base.record), 1),
            "visits": [{"day": visit.day, "ml": visit.ml} for visit in visits],
            "visits_asked": bool(asked),
            "prepared": [str(one.prep.kind) for one in chosen],
            "asked_to_prepare": prepared,
            "by_day": {"as_asked": courses_of(base, days), "prepared": courses_of(best, days)},
        },
        table=tuple(_row(one, days) for one in tried),
        assumptions=assumed(box, days),
        cautions=for_box(box, "away"),
        record=record,
        **seen.fields(),
    )
    verdict, statements = away_statements(draft, box, base, best, tried, chosen, visits, seen)
    return replace(draft, verdict=verdict, statements=statements)


def _row(one: Tried, days: int) -> dict[str, Any]:
    branch = one.branch
    return {
        "name": str(one.prep.kind),
        "minutes": one.prep.minutes,
        "recommended": one.recommended,
        "why_not": one.why_not,
        "amounts": dict(one.prep.amounts),
        "visits": [{"day": visit.day, "ml": visit.ml} for visit in one.prep.visits],
        "gains": {name: round(gain, 3) for name, gain in one.gains.items()},
        "days_later": round(one.days, 1),
        "chances": {} if branch is None else chances_of(branch, days),
        "by_day": {} if branch is None else courses_of(branch, days),
    }
