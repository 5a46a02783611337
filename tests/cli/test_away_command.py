"""`terralab away` from the outside: what it prints, the sheet it writes, and what it refuses before anything is run."""

from __future__ import annotations

import json
from functools import partial

import pytest

import terralab as tl
from terralab.__main__ import REFUSED, main


@pytest.fixture
def few(tmp_path, monkeypatch):
    """An empty folder, and few draws: it is the screen and the files that are looked at."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tl, "away", partial(tl.away, members=2, prepare=False))
    return tmp_path


def test_dates_and_visits_are_taken_and_a_sheet_is_never_overwritten(few, capsys):
    asked = [
        "away",
        "moss-jar",
        "--from",
        "2026-08-03",
        "--to",
        "2026-08-07",
        "--visit",
        "2026-08-05",
        "--sheet",
        "a.html",
    ]
    assert main([*asked, "--picture", "p.png"]) == 0
    out = capsys.readouterr().out
    assert "can it be left alone for 4 days?" in out
    assert "on day 3" in out
    assert "°C" in out
    assert (few / "p.png").is_file()
    first = (few / "a.html").read_text()
    assert "Wednesday, 5 August (day 3)" in first.replace("\u00a0", " ")
    assert main(asked) == 0
    assert (few / "a.html").read_text() == first
    assert (few / "a-2.html").is_file()


def test_json_goes_alone_to_the_output_and_text_is_written(few, capsys):
    assert main(["away", "moss-jar", "--days", "2", "--json", "--sheet", "a.txt"]) == 0
    told = capsys.readouterr()
    data = json.loads(told.out)
    assert data["details"]["days"] == 2
    assert data["details"]["season"] == "now"
    assert "Sheet for the helper" in told.err
    assert "Telephone" in (few / "a.txt").read_text()


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--days", "0"], "a whole number from 1 to 60"),
        (["--days", "3", "--visit", "9"], "within the 3 days"),
        (["--from", "2026-13-03", "--to", "2026-08-17"], "such as 2026-08-03"),
        (["--sheet", "helper.doc"], "ends in .html or .txt"),
        (["--sheet", "nowhere/helper.html"], "There is no folder nowhere"),
        (["--season", "autumn"], "autumn"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_is_written(words, why, few, capsys):
    assert main(["away", "moss-jar", *words]) == REFUSED
    assert why in " ".join(capsys.readouterr().err.split())
    assert not list(few.iterdir())
