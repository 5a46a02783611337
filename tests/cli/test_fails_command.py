"""`terralab fails` from the outside."""

from __future__ import annotations

import json
from functools import partial

import pytest

import terralab as tl
from terralab.__main__ import main


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tl, "fails", partial(tl.fails, members=2))  # it is the screen that is read


def test_fails_prints_the_table_and_draws_on_request(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    asked = ["fails", "moss-jar", "--season", "now", "--mains-hours", "3", "--all", "--picture", "jar.png"]
    assert main(asked) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "mains cut for 3 h" in out
    assert "Alarm limits now" in out
    assert "winter" not in out.split("Alarm limits now")[0]
    assert (tmp_path / "jar.png").read_bytes().startswith(b"\x89PNG")


def test_fails_as_data_is_data_alone(capsys):
    assert main(["fails", "moss-jar", "--season", "winter", "--json"]) == 0
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert found["question"] == "what if a device fails"
    assert set(found["details"]["alarms"]) == {"winter"}
    assert all(row["season"] == "winter" for row in found["table"])


@pytest.mark.parametrize(
    ("words", "said"), [(["--season", "wintr"], "winter"), (["--mains-hours", "100"], "0.5 to 48 hours")]
)
def test_fails_refuses_in_words(words, said, capsys):
    assert main(["fails", "moss-jar", *words]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
