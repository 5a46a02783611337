"""`terralab forecast` from the outside: the screen, a picture, a record to go on from, and what is refused."""

from __future__ import annotations

import json
from functools import partial

import pytest

import terralab as tl
from terralab.__main__ import REFUSED, main
from terralab.answers.common.brief import COLUMNS, MOST_LINES


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A folder of one's own, and few draws: it is the screen that is read."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tl, "forecast", partial(tl.forecast, members=4, pour_members=4))
    return tmp_path


def test_it_prints_a_screen_and_leaves_a_picture(here, capsys):
    assert main(["forecast", "moss-jar", "--days", "9", "--season", "winter"]) == 0
    out = capsys.readouterr().out.splitlines()
    assert out[0] == "Moss Jar: what comes in 9 days if I go on as now?"
    screen = out[: next(i for i, line in enumerate(out) if line.startswith("Picture: "))]
    assert len(screen) <= MOST_LINES
    assert max(map(len, screen)) <= COLUMNS
    assert (here / "moss-jar-forecast.png").is_file()


def test_it_goes_on_from_a_record(here, capsys):
    tl.simulate(tl.load("moss-jar"), 2, record_every_min=60).save("jar.npz")
    assert main(["forecast", "moss-jar", "--days", "3", "--record", "jar.npz", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["details"]["begins_day"] == 2.0
    assert data["details"]["days"] == 3
    assert list(here.glob("*.png")) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--record", "none.npz"], "There is no file"),
        (["--days", "0"], "days"),
        (["--season", "spring"], "season"),
    ],
)
def test_a_slip_is_answered_in_words(here, capsys, words, said):
    assert main(["forecast", "moss-jar", "--no-picture", *words]) == REFUSED
    found = capsys.readouterr()
    assert said in found.err
    assert "Traceback" not in found.err
    assert found.out == ""
