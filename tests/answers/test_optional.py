"""Numbers that may not exist, such as a dry-out time where nothing is sprayed: words, page and pictures do without them."""

from __future__ import annotations

import copy
import html
import re
from dataclasses import replace
from types import SimpleNamespace

import pytest

import terralab as tl
from terralab import show
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.optional import between, dry_cell, dry_words, known, said
from terralab.answers.common.temperature import heat_of
from terralab.answers.fans import fresh_air
from terralab.answers.fans.compared import Compared
from terralab.answers.fans.fan_schedules import fan_schedules
from terralab.answers.fans.faults import faults_of
from terralab.answers.fans.lid_words import alternative_words
from terralab.answers.fans.reason_words import why
from terralab.answers.fans.words import fan_statements
from terralab.quantities import said as in_words
from terralab.show.report.questions import fans_section

NO_SPRAYS = {"routine.sprays": [], "routine.mists": []}
BAND = {"day_low": "86 %", "day_high": "98 %", "night_low": "88 %", "night_high": "99 %"}


@pytest.fixture(scope="module")
def box():
    """A box without sprays, too dry for what is wanted, where closing the lid helps."""
    return tl.load("fern-hollow").change(**NO_SPRAYS, band=BAND)


@pytest.fixture(scope="module")
def answer(box):
    return fan_schedules(box, members=4, pour_members=4)


def faces(answer: tl.Answer) -> str:
    """Everything of a fan answer that is read or seen, as text."""
    page = fans_section(SimpleNamespace(fans=answer, box=None))
    text = html.unescape(re.sub(r"<[^>]+>", " ", page))
    return " ".join(
        (answer.text("short"), answer.text("all"), text, show.fans_picture(answer).alt, show.fan_day(answer).alt)
    )


def test_a_lid_that_helps_where_nothing_is_sprayed_has_no_time_to_dry(answer):
    # the dry-out time that does not exist ended the question, and the whole report, in a TypeError
    lid = answer.details["first_lid"]
    assert lid is not None
    assert lid["ranges"]["dry-out h"] == [None, None, None]
    assert "How sure that is: " in answer.alternative
    assert "before the next spray" not in answer.text("all")
    text = faces(answer)
    assert "None" not in text
    assert "nan" not in text.lower().split()


def without(data: object, place: tuple) -> object:
    """A copy of nested data with the number, or the range, at one place missing."""
    changed = copy.deepcopy(data)
    owner = changed
    for step in place[:-1]:
        owner = owner[step]
    held = owner[place[-1]]
    owner[place[-1]] = [None] * len(held) if isinstance(held, list) else None
    return changed


def test_every_number_that_may_be_missing_can_be(answer, box):
    rows = rows_of(answer)
    best = next(i for i, row in enumerate(rows) if row["name"] == answer.details["choice"])
    places = [("first_lid", "ranges", name) for name in answer.details["first_lid"]["ranges"]]
    places += [("better_than", name) for name in answer.details["better_than"]]
    cases = [(without(dict(answer.details), place), rows, place) for place in places]
    optional = ("dry_out_h", "dry_out_leaves_h", "dry_out_front_h", "soil_days", "moss_share")
    for sprays in (0, 3):
        for i in {best, 0, len(rows) - 1}:
            for name in optional:
                changed = without(rows, (i, "now", name))
                changed[i]["now"]["sprays"] = sprays
                cases.append((dict(answer.details), changed, (i, name, sprays)))
    for name in ("running", "resting"):
        cases.append((dict(answer.details), without(rows, (best, "now", "air_changes", name)), name))
    assert len(cases) > 20
    for details, table, place in cases:
        text = said_again(answer, box, details, table, best).text("all")
        assert "None" not in text, place
        assert "nan" not in text.lower().split(), place
    # pictures take time, so they get all rows at once without what they may lack
    table = copy.deepcopy(rows)
    for i, row in enumerate(table):
        row["now"] |= {"sprays": i % 2 * 3, "dry_out_h": None, "soil_days": None}
    text = faces(said_again(answer, box, dict(answer.details), table, best))
    assert "None" not in text


def rooms_of(row: dict) -> list[str]:
    """The rooms in which a schedule was run: all of them for today's and the recommended one, else the room now."""
    return [room for room in ("now", "winter", "summer") if room in row]


def rows_of(answer: tl.Answer) -> list[dict]:
    """The rows as the words get them: with the warmth judged, which an answer holds as plain numbers."""
    rows = [copy.deepcopy(dict(row)) for row in answer.table]
    for row in rows:
        for room in rooms_of(row):
            row[room]["heat"] = heat_of(answer.record)
    return rows


def compared(answer: tl.Answer, box: tl.Box, details: dict, table: list, best: int) -> Compared:
    """What the words are made of, its faults as they follow from its other numbers."""
    for seen in (row[room] for row in table for room in rooms_of(row)):
        seen["faults"] = faults_of(seen, details["dry_within_h"])
    covers = [{**one, "faults": []} for one in answer.details["covers"]]
    target, _ = target_of(box)
    return Compared(box, target, table, table[best], covers, details, fresh_air.sources(box))


def said_again(answer: tl.Answer, box: tl.Box, details: dict, table: list, best: int) -> tl.Answer:
    """The answer with other numbers, in words again."""
    c = compared(answer, box, details, table, best)
    draft = replace(
        answer, details=details, statements=(), reason=why(c), alternative=alternative_words(c, answer.reachable)
    )
    data = [dict(row, **{room: {**row[room], "faults": [], "heat": {}} for room in rooms_of(row)}) for row in table]
    verdict, statements = fan_statements(draft, c, box)
    return replace(draft, table=tuple(data), verdict=verdict, statements=statements)


def test_the_lid_without_a_fair_range_says_so(answer, box):
    details = copy.deepcopy(dict(answer.details))
    details["first_lid"] |= {
        "ranges": {}, "members": 64, "ran": 40, "failed": 24, "why_failed": [{"why": "too hot", "draws": [1], "days": [1.0]}],
    }  # fmt: skip
    alternative = in_words(alternative_words(compared(answer, box, details, rows_of(answer), 0), answer.reachable))
    assert "How sure that is, is not known" in alternative
    assert "too hot" in alternative


def test_a_schedule_that_cannot_be_run_is_left_out_and_named(box, monkeypatch):
    from terralab.answers.fans import runs
    from terralab.errors import RunError

    run = runs.run_many

    def some_fail(jobs, *args, **more):
        found = run(jobs, *args, **more)
        hot = lambda job: any(fan.timer.on_s >= 86_400 for fan in job.box.routine.fans) and job.season == "now"  # noqa: E731
        return [
            RunError("stopped: too hot", "too hot", 1.0) if hot(job) else one
            for job, one in zip(jobs, found, strict=True)
        ]

    monkeypatch.setattr(runs, "run_many", some_fail)
    answer = fan_schedules(box, members=2, pour_members=4)
    names = [row["name"] for row in answer.table]
    assert "exchange all day" not in names
    assert "exchange at night" in names
    assert (
        "Left out of the comparison, exchange all day: in the room as described it could not be run, since too hot."
        in answer.text("all")
    )


def test_the_one_way_of_saying_what_may_be_missing():
    assert known(0.0)
    assert not known(None)
    assert not known(float("nan"))
    assert said(None, missing="no") == "no"
    assert between(None, missing="no") == "no"
    assert dry_cell({"sprays": 0, "dry_out_h": None}) == "-"
    assert dry_cell({"sprays": 2, "dry_out_h": None}) == "wet"
    assert dry_cell({"sprays": 2, "dry_out_h": 1.25}, "not dry") == "1.2"
    assert dry_words({"sprays": 0, "dry_out_h": None}) == "nothing is sprayed"
    assert dry_words({"sprays": 2, "dry_out_h": None}) == "not dry before the next spray"
    assert dry_words({"sprays": 2, "dry_out_h": 3.0}) == "dry 3.0 h after a spray"
