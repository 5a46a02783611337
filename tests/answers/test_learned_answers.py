"""Every question asked about a box of which a log taught something: by laws, with few draws."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.learned import narrowed_numbers
from terralab.answers.common.provenance import numbers_used
from terralab.answers.together.all_answers import Answers, _as_typed
from terralab.answers.together.sensitivities import LEARNED
from terralab.show.report.learned import learned_section
from terralab.show.report.parts import page_said
from terralab.uncertainty.inputs import AS_TYPED
from tests.learned_boxes import learned

FEW = 16
QUESTIONS: dict[str, Callable[[tl.Box], tl.Answer]] = {
    "water": lambda box: tl.daily_water(box, members=FEW),
    "soak": lambda box: tl.first_soak(box, members=FEW),
    "drainage": lambda box: tl.drainage(box, members=4, pour_members=FEW),
    "mister": lambda box: tl.mister(box, members=4),
    "away": lambda box: tl.away(box, 5, members=4),
    "fails": lambda box: tl.fails(box, ("now",), members=4),
    "fans": lambda box: tl.fan_schedules(box, members=4, pour_members=FEW),
    "forecast": lambda box: tl.forecast(box, 5, members=4, pour_members=FEW),
}


@cache
def ask(question: str, box: tl.Box) -> tl.Answer:
    """The answer about a box, asked once for all tests here."""
    return QUESTIONS[question](box)


@pytest.fixture(scope="module")
def jar() -> tl.Box:
    return tl.load("moss-jar")


def _said(answer: tl.Answer) -> str:
    """All that an answer says, but for how its numbers were drawn and what is taken for granted."""
    return "\n".join(
        line for line in answer.text("all").splitlines() if "numbers that nobody" not in line and "granted" not in line
    )


@pytest.mark.parametrize(
    "question", [pytest.param(one, marks=pytest.mark.slow if one in ("drainage", "fans") else ()) for one in QUESTIONS]
)
def test_a_log_that_taught_nothing_changes_no_answer(jar: tl.Box, question: str) -> None:
    """Draws as the tables give them, and their typical values: so every way into a run takes them, each where it belongs.

    A way that forgot the draws, or took them in another order, would be seen in a range; one that forgot the middle, in a value.
    """
    assert _said(ask(question, learned(jar, FEW))) == _said(ask(question, jar))


def _one_for_all(box: tl.Box, row: int = 5) -> tl.Box:
    """The box as if the log had left a single possibility, unlike the typical one."""
    taught = learned(box, FEW)
    values = {name: draws[row] for name, draws in taught.learned.draws.items()}
    draws = {name: (value,) * FEW for name, value in values.items()}
    return replace(taught, learned=replace(taught.learned, typical=values, draws=draws))


@pytest.mark.parametrize("question", ["water", "soak"])
def test_where_all_draws_are_one_the_range_is_a_point(jar: tl.Box, question: str) -> None:
    answer, wide = ask(question, _one_for_all(jar)), ask(question, jar)
    assert wide.high > wide.low
    left = answer.high - answer.low
    # of a soak some numbers are asked for that no run needs, so no log can have taught them
    assert left == 0.0 if question == "water" else left < 0.7 * (wide.high - wide.low)


def test_the_middle_of_a_run_and_of_the_draws_are_the_same_box(jar: tl.Box) -> None:
    """Where all draws are one, a run by itself is that very draw: all faces of an answer tell of one box."""
    answer = ask("water", _one_for_all(jar))
    assert answer.spread["as_described"] == pytest.approx(float(answer.sample.results["pour"][0]), abs=0.06)
    # it is sprayed every other day, and the last day of the members is one without
    assert answer.rh_day["mean_low"] == pytest.approx(float(answer.sample.results["day"][0]), abs=0.51)


def test_an_answer_says_that_it_rests_on_a_log(jar: tl.Box) -> None:
    answer = ask("forecast", learned(jar, FEW, only=lambda name: name.startswith("room.")))
    told = answer.text("all")
    assert "2 of them together as your log of 14 days from 1 March 2026 taught them" in told
    assert "log" not in ask("forecast", jar).text("all").replace("logg", "").replace("biolog", "")
    assert (answer.spread["learned_inputs"], answer.spread["log"]) == (2, "14 days from 1 March 2026")


def test_two_learned_boxes_are_compared_draw_by_draw(jar: tl.Box) -> None:
    """A warmer room: the difference is far surer than either answer, since draw i meets draw i."""
    taught = learned(jar, FEW)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = taught.change(**{"room.temperature": "24 C"})
    first, second = ask("water", taught), ask("water", other)
    mine, theirs = (answer.sample.results["pour"] for answer in (first, second))
    assert np.corrcoef(mine, theirs)[0, 1] > 0.9
    found = tl.difference(first, second)
    assert found.pairs == FEW
    assert found.high - found.low <= first.high - first.low


def test_every_number_says_what_a_log_taught_of_it() -> None:
    bare = tl.load("fern-hollow")
    box = learned(bare, FEW, narrow=0.5)
    used = {(one.entry, one.property): one.number for one in numbers_used(box)}
    before = {(one.entry, one.property): one.number for one in numbers_used(bare)}
    assert set(before) <= set(used)
    taught = {key for key, number in used.items() if "learned from your log" in number.source}
    assert len(taught) == len(box.learned.draws)
    assert all(used[key] == before[key] for key in set(before) - taught)
    assert all(used[key].high - used[key].low < before[key].high - before[key].low for key in set(before) & taught)
    assert {("enclosure plants", "leaf area"), ("room sensor", "humidity error")} <= taught


def test_the_numbers_narrowed_most_are_named_and_refused_ones_are_not() -> None:
    bare = tl.load("fern-hollow")
    box = learned(bare, 64, narrow=0.3)
    found = narrowed_numbers(box, 200)
    assert len(found) > 60
    assert [one.left for one in found] == sorted(one.left for one in found)
    assert all(0.1 < one.left <= 0.75 and one.before[0] <= one.after[1] <= one.before[2] for one in found)
    no = replace(box.learned.refused[0], what="air mixing.factor, room.humidity")
    shown = {one.what for one in found}
    left_out = shown - {
        one.what for one in narrowed_numbers(replace(box, learned=replace(box.learned, refused=(no,))), 200)
    }
    assert left_out == {"how fast the air below and above mix", "error of the room's hygrometer"}
    assert narrowed_numbers(bare) == ()
    assert narrowed_numbers(learned(bare, 64)) == ()


def _page(box: tl.Box) -> str:
    return page_said(learned_section(Answers(box, None, None, None, None, None, (), (), {})), False)


def test_the_report_has_a_part_on_the_log_and_none_without(jar: tl.Box) -> None:
    assert _page(jar) == ""
    page = _page(learned(jar, 64, narrow=0.3))
    for words in (
        "What your log says", "14 days from 1 March 2026", "80 to 130", "50 to 200", "33 %", "3 minutes ahead",
        "0.5", "The log tells the ratio of evaporation to exchange only.", "Weigh the bottle.", "Weigh the box a day apart.",
    ):  # fmt: skip
        assert words in page.replace("\N{NO-BREAK SPACE}", " "), words


def test_a_result_that_was_not_told_is_given_no_range_with_the_log(jar: tl.Box) -> None:
    """The table's range stood there, while the answers on the same page took the draws and said another."""
    box = learned(jar, FEW)
    (first, *rest) = box.learned.results
    untold = replace(box, learned=replace(box.learned, results=(replace(first, after=first.before), *rest)))
    assert _page(untold).count("not told") == _page(box).count("not told") + 1


def test_words_of_a_file_do_no_harm_on_the_page(jar: tl.Box) -> None:
    box = learned(jar, FEW)
    bad = replace(box.learned.refused[0], why="<script>alert(1)</script>", what="<b>x</b>")
    page = _page(replace(box, learned=replace(box.learned, refused=(bad,), measure_next="<i>now</i>")))
    assert "<script>" not in page
    assert "<b>" not in page
    assert "<i>" not in page


def test_a_plan_keeps_the_fan_of_the_description(jar: tl.Box) -> None:
    """A run of a logged box moves what the log taught of a fan; the plan tells of the fan as it was typed."""
    bare = tl.load("fern-hollow")
    box = learned(bare, FEW)
    moved = replace(box, learned=replace(box.learned, typical={
        name: 0.9 * value if name.endswith("flow_m3_h") else value for name, value in box.learned.typical.items()
    }))  # fmt: skip
    ran = tl.simulate(moved, 1, accuracy="preview", record_every_min=60.0).box.routine.fans
    assert ran[0].flow_m3_h != bare.routine.fans[0].flow_m3_h
    assert _as_typed(moved, ran) == bare.routine.fans
    assert "flow_m3_h" in AS_TYPED


@pytest.mark.slow
def test_shares_of_variance_count_what_hangs_together_as_one(jar: tl.Box) -> None:
    some = lambda name: "lamp light" not in name  # noqa: E731
    found: Any = tl.sensitivities(learned(jar, 64, only=some), "day humidity", samples=8, most=2)
    assert LEARNED in found.total
    assert np.isfinite(found.total[LEARNED])
    alone = [name for name, share in found.total.items() if np.isnan(share)]
    assert alone
    assert all("lamp light" not in name for name in alone)
    assert "hang together" in str(found)
    assert "cannot be given" in found.note


@pytest.mark.slow
def test_where_everything_was_learned_all_of_the_variance_is_of_that(jar: tl.Box) -> None:
    whole: Any = tl.sensitivities(learned(jar, 64), "day humidity", samples=8, most=2)
    assert whole.total[LEARNED] == whole.first[LEARNED] == 1.0
    assert all(0.0 <= share <= 1.0 for name, share in whole.first.items() if name != LEARNED)
    assert "hang together" in str(whole)
    assert tl.sensitivities(jar, "day humidity", samples=8, most=2).note == ""
