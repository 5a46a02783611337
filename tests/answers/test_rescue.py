"""Rescue of soggy soil: remedies rank as physics has it, the measured state is taken, and the caution is there."""

from __future__ import annotations

import importlib
import json
import warnings

import pytest

import terralab as tl

rescue_module = importlib.import_module("terralab.answers.rescue")


@pytest.fixture(scope="module")
def soggy() -> tl.Answer:
    """The rescue of the default demo, computed once."""
    return tl.rescue(tl.load("fern-hollow"))


def days(answer: tl.Answer, name: str, part: str) -> float:
    """Middle of the days of a remedy; more than six weeks where it does not get there."""
    (row,) = [row for row in answer.table if row["name"] == name]
    return 99.0 if row[f"{part}_days"][1] is None else row[f"{part}_days"][1]


def test_a_siphon_beats_waiting_and_all_beats_one(soggy: tl.Answer) -> None:
    assert days(soggy, "stop pouring, siphon daily", "bottom") <= days(soggy, "stop pouring", "bottom")
    assert days(soggy, "all remedies together", "bottom") <= days(soggy, "stop pouring, siphon daily", "bottom")
    assert days(soggy, "stop pouring, fan all day", "bottom") < days(soggy, "stop pouring", "bottom")
    (new,) = [row["name"] for row in soggy.table if row["name"].startswith("new mix")]
    assert days(soggy, new, "bottom") < days(soggy, "stop pouring, siphon daily", "bottom")


def test_to_stop_pouring_is_never_slower_than_to_go_on(soggy: tl.Answer) -> None:
    """The keeper's own siphon goes on under each remedy."""
    for part in ("top", "bottom"):
        assert days(soggy, "stop pouring", part) <= days(soggy, "go on as before", part)


def test_the_quickest_in_words_is_the_quickest_in_the_table(soggy: tl.Answer) -> None:
    quickest = min(soggy.table, key=lambda row: days(soggy, row["name"], "bottom"))["name"]
    assert quickest.startswith("new mix")
    assert "Quicker still" in soggy.reason
    assert f"is a {quickest}." in soggy.reason
    assert f"The quickest that keeps the mix is: {soggy.details['best']}." in soggy.reason


def test_top_recovers_before_the_bottom(soggy: tl.Answer) -> None:
    for row in soggy.table:
        assert days(soggy, row["name"], "top") <= days(soggy, row["name"], "bottom")


def test_the_value_is_that_of_the_best_remedy(soggy: tl.Answer) -> None:
    assert soggy.value == days(soggy, soggy.details["best"], "bottom")
    assert soggy.low <= soggy.value <= soggy.high
    json.loads(soggy.json())


def test_it_says_when_to_move_animals_out(soggy: tl.Answer) -> None:
    assert "Move animals out first" in str(soggy)
    assert "soaked to its top" in str(soggy)


def test_a_measured_level_is_the_start() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        box = tl.load("fern-hollow").change(**{"enclosure.drainage.level": "8 cm", "routine.siphons": None})
        answer = tl.rescue(box)
    assert "wet as described" in answer.details["start"]
    assert days(answer, "stop pouring, siphon daily", "top") < 1.0


@pytest.mark.parametrize("hot", [True, False])
def test_no_remedy_is_the_best_while_it_is_too_hot_with_each(hot: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the table marks as not recommended, the first sentence does not recommend."""
    every = rescue_module.remedies
    monkeypatch.setattr(rescue_module, "remedies", lambda box: every(box)[:2])
    monkeypatch.setattr(rescue_module, "LOOK_DAYS", 2)
    monkeypatch.setattr(rescue_module, "DAYS", 3)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        box = tl.load("fern-hollow").change(**{"room.temperature": "34 C" if hot else "21 C"})
        answer = rescue_module.rescue(box, members=2)
    assert any(row["allowed"] for row in answer.table) != hot
    assert answer.details["recommended"] != hot
    assert ("None of the remedies is recommended while it is this hot" in answer.reason) == hot
    headline = next(line for line in answer.sentences if "at 10 % air or more" in line)
    assert ("not recommended" in headline) == hot
    assert ("the best remedy" in headline) != hot
