"""`terralab mister` from the outside."""

from __future__ import annotations

import json
from functools import partial

import terralab as tl
from terralab.__main__ import main


def test_mister_prints_its_plan_draws_and_takes_the_days_of_the_tank(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tl, "mister", partial(tl.mister, members=4))  # it is the screen that is read
    assert main(["mister", "--days-tank", "21"]) == 0
    out = capsys.readouterr().out
    assert "of tank for 21 days" in " ".join(out.split())
    assert "°C" in out
    assert (tmp_path / "fern-hollow-mister.png").is_file()
    assert main(["mister", "moss-jar", "--season", "summer", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["question"] == "automatic watering"
    assert found["value"] == 0.0


def test_mister_refuses_days_and_seasons_that_cannot_be(capsys):
    assert main(["mister", "--days-tank", "0"]) == 2
    assert "days" in capsys.readouterr().err
    assert main(["mister", "--season", "monsoon"]) == 2
    assert "winter" in capsys.readouterr().err
