"""`terralab diary` and `terralab sensor` from the outside, and the empty diary of any keeper's box."""

from __future__ import annotations

import re
import warnings
from datetime import date

import pytest

import terralab as tl
from terralab.__main__ import REFUSED, main
from terralab.answers.drainage.weight import weight
from terralab.errors import TerralabError
from terralab.logs.diary_blank import blank_diary
from terralab.logs.diary_run import diary_events, levels
from terralab.logs.diary_weighed import on_scales
from tests.keepers import keepers_box


def filled(text: str) -> str:
    """The diary with every example taken for an entry."""
    return re.sub(r"^# (?=\d{4}-)", "", text, flags=re.MULTILINE)


@pytest.mark.parametrize("ending", ["csv", "tsv", "txt"])
def test_an_empty_diary_is_written_and_a_file_in_use_is_kept(tmp_path, monkeypatch, capsys, ending):
    monkeypatch.chdir(tmp_path)
    assert main(["diary", "fern-hollow", f"mine.{ending}"]) == 0
    path = tmp_path / f"mine.{ending}"
    before = path.read_bytes()
    with pytest.raises(TerralabError, match="holds no entry"):
        tl.read_diary(path)
    assert main(["diary", "moss-jar", f"mine.{ending}"]) == REFUSED
    assert path.read_bytes() == before
    assert "was kept" in capsys.readouterr().err
    path.write_bytes(filled(before.decode("utf-8-sig")).encode())
    assert len(tl.read_diary(path).entries) >= 8


def test_without_a_name_the_next_free_one_is_taken(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    for name in ("fern-hollow-diary.csv", "fern-hollow-diary-2.csv"):
        assert main(["diary", "fern-hollow"]) == 0
        assert (tmp_path / name).is_file()
        assert name in capsys.readouterr().out
    assert main(["diary", "fern-hollow", "x.docx"]) == REFUSED
    assert main(["diary", "fern-holow"]) == REFUSED


def test_an_empty_diary_holds_what_this_box_needs():
    has = lambda box, what: f",{what}," in blank_diary(box, weighs_kg=weight(box).total)  # noqa: E731
    fern, jar = tl.load("fern-hollow"), tl.load("moss-jar")
    assert has(fern, "gap below mesh")
    assert has(fern, "siphoned")
    assert has(jar, "gap below mesh") == (jar.enclosure.drainage is not None)
    assert "kitchen" in blank_diary(jar, weighs_kg=3.0)
    assert "bathroom" in blank_diary(jar, weighs_kg=30.0)
    assert "box weighs" not in blank_diary(jar, weighs_kg=300.0)
    assert "Two people lift" in blank_diary(jar, weighs_kg=30.0)
    inches = fern.change(
        **{"enclosure.width": "24 in", "enclosure.height": "24 in", "enclosure.front_to_back": "18 in"}
    )
    assert "ml" in blank_diary(inches).split("\n", 4)[4]


@pytest.mark.parametrize("seed", range(8))
def test_the_examples_of_any_keepers_box_can_be_lived_through(seed):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        box = keepers_box(seed)
    text = filled(blank_diary(box, weighs_kg=weight(box).total, day=date(2026, 8, 3)))
    book = tl.read_diary(text)
    told = diary_events(book, box, date(2026, 8, 3))
    levels(book, box)
    on_scales(book, box)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        record = tl.simulate(told.box, 1, events=told.events, accuracy="preview", record_every_min=60)
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6


def test_a_filled_diary_is_said_back(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "filled.csv").write_text(
        "date,time,what,how much,note\n3/8/2026,08:00,box weighs,45.2 kg,\n4/8/2026,08:00,poured,240 ml,\n7/8/2026,08:00,poured,240 ml,\n"
        "9/8/2026,08:00,siphoned,0 ml,\n9/8/2026,08:00,sprayed,0 ml,\n9/8/2026,20:00,box weighs,45.0 kg,\n"
    )
    assert main(["diary", "fern-hollow", "--read", "filled.csv"]) == REFUSED
    assert "day_first" in capsys.readouterr().err
    assert main(["diary", "fern-hollow", "--read", "filled.csv", "--day-first"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Read 6 entries from 2026-08-03 08:00 to 2026-08-09 20:00" in out
    # 480 ml given and 200 g gone over six and a half days
    assert "about 105 ml a day left as vapour" in out
    assert "take the place" in out
    assert [one.name for one in tmp_path.iterdir()] == ["filled.csv"]
    assert main(["diary", "fern-hollow", "new.csv", "--read", "filled.csv"]) == REFUSED


@pytest.mark.parametrize("bad", [{"weighs_kg": -1.0}, {"weighs_kg": "heavy"}, {"separator": "x"}])
def test_an_empty_diary_takes_only_what_it_can_use(bad):
    with pytest.raises(TerralabError):
        blank_diary(tl.load("moss-jar"), **bad)


def test_a_hygrometer_is_tried_from_the_command_line(capsys):
    asked = ["sensor", "--reads", "78 %", "--temperature", "21 C"]
    assert main([*asked, "--hours", "24"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Over table salt at 21 °C, where 75.4 % is right, it showed 78 % after 24 h" in out
    assert "take 2.6 points from what it shows near 75 %" in out
    assert "gloves" in out
    both = [
        "sensor",
        "--salt",
        "table salt",
        "--salt",
        "MgCl2",
        "--reads",
        "78",
        "--reads",
        "34",
        "--temperature",
        "70 F",
    ]
    assert main(both) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "With 2 salts the error is a line" in out
    assert "°C" not in out


@pytest.mark.parametrize(
    "asked",
    [
        ["sensor"],
        ["sensor", "--reads", "78 %"],
        ["sensor", "--reads", "78 %", "--temperature", "21"],
        ["sensor", "--reads", "wet", "--temperature", "21 C"],
        ["sensor", "--salt", "sugar", "--reads", "78 %", "--temperature", "21 C"],
        ["sensor", "--reads", "78 %", "--reads", "77 %", "--temperature", "21 C"],
    ],
)
def test_what_cannot_be_tried_is_refused_in_a_sentence(asked, capsys):
    code = main(asked)
    said = capsys.readouterr()
    if asked[-1] == "21":
        assert code == 0  # without a unit it is degrees Celsius, and the answer says so
        assert "°C" in said.out
    else:
        assert code == REFUSED
        assert len(said.err) > 20
        assert "Traceback" not in said.err


def test_a_switched_mister_has_a_line_for_its_tank():
    """What it gave is told by its tank alone, which nobody would weigh unasked."""
    switch = {"senses": "humidity", "on": "below", "set_point": "70 %", "hysteresis": "5 %"}
    mist = {"name": "fogger", "flow": "50 ml/min", "timer": ["08:00-08:10"]}
    plain, switched = (
        tl.load("fern-hollow").change(**{"routine.mists": [one]}) for one in (mist, mist | {"control": switch})
    )
    assert "bottle: tank" not in blank_diary(plain)
    text = blank_diary(switched)
    assert "bottle: tank" in text
    assert any(one.name == "tank" for one in tl.read_diary(filled(text)).of("bottle weighs"))
