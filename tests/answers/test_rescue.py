"""Rescue of soggy soil: remedies rank as physics has it, the measured state is taken, and the caution is there."""

from __future__ import annotations

import importlib
import json
import warnings

import pytest

import terralab as tl
from terralab.answers.common.statement import Kind, Verdict
from terralab.answers.rescue.remedies import RemedyKind, done, remedies
from terralab.answers.rescue.words import days_cell, days_words
from tests.asked import asked

rescue_module = importlib.import_module("terralab.answers.rescue.rescue")


@pytest.fixture(scope="module")
def soggy() -> tl.Answer:
    """The rescue of the default demo, computed once, from few draws: the remedies rank in every draw."""
    return asked("rescue", "fern-hollow", members=8)  # as the notebook on siphoning asks


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
    best = next(row for row in soggy.table if row["name"] == soggy.details["best"])
    kept = [row for row in soggy.table if row["kind"] not in (RemedyKind.NEW_MIX, RemedyKind.GO_ON) and row["allowed"]]
    quicker = [row for row in kept if days(soggy, row["name"], "bottom") < days(soggy, best["name"], "bottom")]
    assert f"is{' clearly quicker than this' if quicker else ''}: {best['name']}." in soggy.reason
    for row in quicker:
        assert kept.index(row) > kept.index(best), "only what is more work is passed over"


def test_top_recovers_before_the_bottom(soggy: tl.Answer) -> None:
    for row in soggy.table:
        assert days(soggy, row["name"], "top") <= days(soggy, row["name"], "bottom")


def test_the_value_is_that_of_the_best_remedy(soggy: tl.Answer) -> None:
    assert soggy.value == days(soggy, soggy.details["best"], "bottom")
    assert soggy.low <= soggy.value <= soggy.high
    json.loads(soggy.json())


def test_it_says_when_to_move_animals_out(soggy: tl.Answer) -> None:
    assert "Animals out first" in str(soggy)
    assert "Move animals out first" in soggy.text("why")
    assert "soaked to its top" in soggy.text("why")
    assert soggy.verdict is Verdict.NO_AIR


def test_a_measured_level_is_the_start() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        box = tl.load("fern-hollow").change(**{"enclosure.drainage.level": "8 cm", "routine.siphons": None})
        answer = tl.rescue(box, members=4)
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


def test_days_are_rounded_once_and_hours_are_said_below_one_day() -> None:
    """The headline and the table have one figure: 2.6 days in both, 3 hours instead of 0 days."""
    same = lambda days: (days, days, days)  # noqa: E731
    assert (days_words(same(2.62)), days_cell(same(2.62))) == ("2.6 days", "2.6")
    assert (days_words(same(0.125)), days_cell(same(0.125))) == ("about 3 hours", "3 h")
    assert (days_words(same(17.2)), days_cell(same(17.2))) == ("17 days", "17")
    assert days_cell((0.5, 0.9, 1.4)) == "22 h (12 h to 1.4)"
    assert days_words((8.0, 10.0, 18.0)) == "10 days (8 to 18 days)"
    assert days_words((0.2, 0.3, 0.5)) == "about 7 hours (5 to 12 hours)"
    assert days_cell((10.0, None, None)) == "over 42 (from 10)"
    assert days_words((0.5, None, None)) == "over 42 days (from about 12 hours)"
    assert len(days_cell((10.0, 36.0, None))) <= 18


def test_a_siphon_of_the_routine_is_named_as_the_reason() -> None:
    answer = tl.rescue(tl.load("tall-glen"), members=2)
    assert answer.value < 1.0
    assert "0 days" not in answer.text("all")
    assert "hour" in answer.sentences[1]
    assert "because your routine siphons by itself" in answer.reason


def test_the_columns_of_the_table_keep_apart(soggy: tl.Answer) -> None:
    rows = [line for line in soggy.sentences if line.startswith("    stop pouring, siphon")]
    assert rows
    for line in rows:
        assert len(line) < 80
        assert len([part for part in line.split("  ") if part.strip()]) >= 3


def test_it_says_which_cover_comes_off_and_opens_a_sealed_glass() -> None:
    """Litter on the soil and a cover on the lid are two remedies; a glass without openings gets its lid off."""
    box = tl.load("moss-jar")
    names = [one.name for one in remedies(box)]
    assert not any("cover off" in name for name in names)
    assert "stop pouring, moss off" in names
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        sealed = box.change(**{"enclosure.openings": [], "routine.fans": []})
        half = tl.load("fern-hollow").change(**{"enclosure.openings.lid.covered": "50 %"})
    named = lambda box, name: next(one.box for one in remedies(box) if one.name == name)  # noqa: E731
    opened = named(sealed, "stop pouring, lid open")
    assert opened.enclosure.openings[0].area_cm2 == pytest.approx(1e4 * sealed.enclosure.floor_area_m2)
    assert "whole lid is off" in tl.rescue(sealed, members=2).text("why")
    cleared = named(half, "stop pouring, lid cleared")
    assert all(o.covered == 0.0 for o in cleared.enclosure.openings)
    assert cleared.enclosure.cover == half.enclosure.cover


def test_the_screen_names_each_thing_to_do(soggy: tl.Answer) -> None:
    """ "All remedies together" tells nobody what to do; the short screen names each of them."""
    tried = remedies(tl.load("fern-hollow"))
    together = "stop pouring, siphon daily, fan all day, litter off, lid cleared"
    assert done(RemedyKind.TOGETHER, tried) == together
    best = soggy.details["best"]
    does = (together if best == "all remedies together" else best).capitalize()
    assert f"{does}: the soil has air again after" in " ".join(str(soggy).split())
    assert "Animals out first" in str(soggy)


def test_remedies_are_known_by_kind_and_not_by_name() -> None:
    """A cover of any name is a cover; the new mix is the only remedy that does not keep the mix."""
    found = remedies(tl.load("fern-hollow"))
    assert len({one.kind for one in found}) == len(found)
    assert [one.kind for one in found if one.name.startswith("new mix")] == [RemedyKind.NEW_MIX]
    assert [one.kind for one in found if one.adds] == [
        RemedyKind.SIPHON, RemedyKind.FAN, RemedyKind.BARE, RemedyKind.OPEN,
    ]  # fmt: skip


def test_the_table_has_its_degrees_in_either_system(soggy: tl.Answer) -> None:
    (table,) = soggy.of_kind(Kind.TABLE)
    metric, us = table.lines()[1:], table.lines(us=True)[1:]
    assert metric[0].rstrip().endswith("°C")
    assert us[0].rstrip().endswith("°F")
    for row, one, other in zip(soggy.table, metric[1:], us[1:], strict=True):
        assert one.split("  ")[-1].strip(" !") == f"{row['temp_day']:.0f}, {row['temp_night']:.0f}"
        day, night = other.split("  ")[-1].strip(" !").split(", ")
        # whole degrees of either system
        assert abs(float(day) - (1.8 * row["temp_day"] + 32.0)) <= 0.51
        assert abs(float(night) - (1.8 * row["temp_night"] + 32.0)) <= 0.51
