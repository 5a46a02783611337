"""`terralab normal` from the outside."""

from __future__ import annotations

import json
from functools import partial

import pytest

from terralab.__main__ import main
from terralab.cli import normal as command
from terralab.describe.files import demo_log


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(command, "normal", partial(command.normal, members=3))  # it is the screen that is read
    monkeypatch.setattr(command, "normal_log", partial(command.normal_log, members=8))


def test_a_reading_is_judged_on_the_screen(capsys):
    assert main(["normal", "moss-jar", "--reading", "40 % 79 F", "--at", "9:30 pm"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "is 40 % at 26.1 °C usual at 21:30?" in out
    assert "Look first: (1)" in out


def test_a_log_as_data_is_data_alone(capsys):
    files = demo_log()
    asked = ["normal", str(files["box"]), "--log", str(files["log"]), "--diary", str(files["diary"]), "--json"]
    assert main(asked) == 0
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert found["question"] == "since when is the box unlike itself"
    assert found["details"]["changed"] is False


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "neither was given"),
        (["--reading", "82 %", "--log", "x.csv"], "both were given"),
        (["--reading", "82 23"], "82 % 23 C"),
        (["--reading", "82 %", "--at", "soon"], "21:30"),
        (["--log", "x.csv", "--sensor", "T"], "Temp 1=box low"),
        (["--log", "no-such-file.csv"], "no-such-file.csv"),
    ],
)
def test_normal_refuses_in_words(words, said, capsys):
    assert main(["normal", "moss-jar", *words]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
