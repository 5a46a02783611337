"""Answers are data; every face renders the same statements, in both systems of units."""

from __future__ import annotations

import json
import pickle
import re

import pytest

import terralab as tl
from terralab.answers.common.statement import Kind, Verdict, View
from terralab.cli.words import screen
from terralab.quantities import Text
from tests.answers.faces import check
from tests.answers.us_box import QUESTIONS, answer_of


@pytest.fixture(scope="module", params=QUESTIONS)
def answer(request: pytest.FixtureRequest) -> tl.Answer:
    return answer_of(request.param)


def test_both_systems_render_the_same_statements(answer: tl.Answer) -> None:
    check(answer, typed_us=True)


def test_a_name_with_a_measure_stays_a_name(answer: tl.Answer) -> None:
    for us in (False, True):
        assert answer.text("all", us).startswith("My 60 cm box of 5 gal: ")


def test_a_printed_answer_has_the_units_of_its_box_and_data_is_metric(answer: tl.Answer) -> None:
    assert "°F" in str(answer)
    assert "°C" not in str(answer)
    data = json.loads(answer.json())
    assert "°C" in " ".join(one["text"] for one in data["statements"] if one["kind"] == Kind.AIR)
    for one in data["statements"]:
        for held in one["quantities"]:
            assert held["low"] <= held["value"] <= held["high"]
    assert data["verdict"] in {*Verdict}


def test_each_view_holds_the_one_before_and_more(answer: tl.Answer) -> None:
    counts = [len(answer.lines(view)) for view in ("short", "why", "all")]
    assert counts[0] < counts[2]
    assert counts[1] <= counts[2]
    assert answer.sentences == tuple(answer.lines("all", us=False))
    assert not any(View.WHY in one.views for one in answer.statements if one.kind is Kind.TABLE)


def test_every_text_of_an_answer_reads_metric_and_travels(answer: tl.Answer) -> None:
    again = pickle.loads(pickle.dumps(answer.statements))
    assert [one.said(us=True) for one in again] == [one.said(us=True) for one in answer.statements]
    assert isinstance(answer.statements[0].text, Text)


def test_a_terminal_gets_colour_only_where_somebody_looks(answer: tl.Answer, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = screen(answer, "short")
    assert "\x1b" not in plain
    monkeypatch.setattr("terralab.cli.words.in_colour", lambda: True)
    coloured = screen(answer, "short")
    assert "\x1b[1m" in coloured
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == plain
