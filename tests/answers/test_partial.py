"""A question that fails takes no other with it, and says why on top of the page; a fault of terralab is named as one."""

from __future__ import annotations

import html
import importlib
import re

import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab import show
from terralab.errors import RunError, TerralabWarning, fault_words
from terralab.show.report import page as report
from terralab.show.report import questions
from tests.asked import asked as asked_once

asking = importlib.import_module("terralab.answers.together.all_answers")  # the package has a function of that name
ASKS = ("daily_water", "first_soak", "fan_schedules", "drainage", "mister", "forecast", "fails", "away")
PARTS = {name: name for name in ASKS} | {"daily_water": "water", "first_soak": "soak", "fan_schedules": "fans"}


@pytest.fixture(scope="module")
def given():
    """What each question gives for the smallest demo, from few draws."""
    whole = asked_once("all_answers", "moss-jar", members=4)  # as `tests/answers/test_one_number.py` asks
    return {name: getattr(whole, PARTS[name]) for name in ASKS[:-1]} | {"away": whole.away["now"]}


@pytest.fixture
def asked(given, monkeypatch):
    """Ask everything again at once, with some questions failing by an error."""

    def ask(failing: dict[str, Exception]) -> asking.Answers:
        for name in ASKS:

            def one(*args, name=name, **more):
                if name in failing:
                    raise failing[name]
                return given[name]

            monkeypatch.setattr(asking, name, one)
        return tl.all_answers(tl.load("moss-jar"), members=4)

    return ask


def page_text(answers: asking.Answers) -> str:
    page = show.report_page(answers)
    return html.unescape(re.sub(r"<[^>]+>", " ", page.split("</style>")[1])).replace("\u00a0", " ")


@pytest.mark.parametrize("name", ASKS)
def test_one_question_that_fails_leaves_the_others(asked, name):
    answers = asked({name: RunError("Moss Jar: the flow of water found no solution.")})
    assert len(answers.missing) == 1
    (question,) = answers.missing
    assert "no solution" in answers.missing[question]
    assert not answers.faults
    assert getattr(answers, PARTS[name]) is None
    for other in ASKS:
        if other != name:
            assert getattr(answers, PARTS[other]) is not None
    assert answers.used
    assert answers.plan


@pytest.mark.parametrize("name", ["daily_water", "fan_schedules"])
def test_what_failed_stands_on_top_of_the_page(asked, name):
    text = page_text(asked({name: RunError("Moss Jar: the flow of water found no solution.")}))
    assert text.index("no solution") < text.index("What to do")
    assert " None" not in text
    assert " nan" not in text


def test_all_but_one_may_fail(asked):
    for name in ("first_soak", "away"):
        answers = asked({other: RunError(f"{other} cannot be run.") for other in ASKS if other != name})
        assert len(answers.missing) == len(ASKS) - 1
        text = page_text(answers)
        assert all(f"{other} cannot be run." in text for other in ASKS if other != name)


def test_a_box_of_which_nothing_can_be_said_is_an_error(asked):
    with pytest.raises(RunError, match=r"no question about this box can be answered.*daily_water cannot"):
        asked({name: RunError(f"{name} cannot be run.") for name in ASKS})


@pytest.mark.parametrize("name", ASKS)
def test_a_fault_of_the_program_is_named_and_leaves_the_others(asked, name):
    with pytest.warns(TerralabWarning, match="ZeroDivisionError"):
        answers = asked({name: ZeroDivisionError("float division by zero")})
    (question,) = answers.faults
    assert isinstance(answers.faults[question], ZeroDivisionError)
    assert "fault in terralab" in answers.missing[question]
    assert "report it" in answers.missing[question]
    assert "ZeroDivisionError" in report.without_answer(answers.missing)


def test_a_fault_is_not_hidden_from_tests(asked):
    # here warnings are errors, so a fault in any question fails the test that asked it
    with pytest.raises(TerralabWarning, match="ZeroDivisionError"):
        asked({"drainage": ZeroDivisionError("float division by zero")})


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_a_part_of_the_page_that_fails_leaves_the_others(asked, monkeypatch):
    def broken(*args, **more):
        raise TypeError("unsupported format string passed to NoneType.__format__")

    monkeypatch.setattr(questions, "fans_picture", broken)
    text = page_text(asked({}))
    assert text.index("NoneType.__format__") < text.index("What to do")
    assert "How deep a drainage layer?" in text


@pytest.mark.parametrize("command", [("water", "daily_water"), ("soak", "first_soak"), ("rescue", "rescue")])
def test_a_command_says_a_fault_in_one_sentence(command, monkeypatch, capsys):
    def broken(*args, **more):
        raise TypeError("unsupported format string passed to NoneType.__format__")

    monkeypatch.setattr(tl, command[1], broken)
    assert cli.main([command[0], "moss-jar"]) == cli.FAULT
    with_unit = capsys.readouterr()
    assert with_unit.out == ""
    assert "Traceback" not in with_unit.err
    words = " ".join(with_unit.err.split())
    assert "A fault in terralab stopped this, not your description (TypeError: unsupported format string" in words
    assert "Please report it" in words


def test_the_place_of_a_fault_is_inside_terralab():
    try:
        tl.materials.get("substrates", 3.5j)
    except Exception as error:
        words = fault_words(error)
    assert re.search(r"materials/\w+\.py line \d+", words)
    assert "/home" not in words
    assert "/work" not in words
