"""`terralab drainage` from the outside; `terralab rescue` goes the same way."""

from __future__ import annotations

from functools import partial

import terralab as tl
from terralab.__main__ import main


def test_drainage_prints_the_table_and_draws_on_request(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    few = partial(tl.drainage, members=4, pour_members=4)  # it is the screen that is read
    monkeypatch.setattr(tl, "drainage", few)
    assert main(["drainage", "moss-jar", "--all", "--picture", "jar.png"]) == 0
    out = capsys.readouterr().out
    assert "no layer, drain hole" in out
    assert "kg/m2" in out
    assert (tmp_path / "jar.png").is_file()
