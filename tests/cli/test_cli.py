"""The commands as a keeper types them: what they print, what they refuse, and what they leave alone."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import threading
from pathlib import Path

import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab.cli import bar, waiting
from terralab.errors import TerralabWarning
from tests.asked import asked

PROMISED = {
    "question",
    "value",
    "low",
    "high",
    "unit",
    "reason",
    "cautions",
    "closure_water",
    "closure_energy",
    "window",
    "rh_day",
    "rh_night",
    "hours_in_target",
    "seasons",
    "reachable",
    "alternative",
    "assumptions",
    "budget_ml_per_day",
}


@pytest.fixture(scope="module")
def answer():
    """One answer, shared: asking the question is the slow part."""
    return asked("daily_water", "fern-hollow")


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def answered(answer, here, monkeypatch):
    """The water command with its answer ready, in an empty folder."""
    monkeypatch.setattr(tl, "daily_water", lambda box: answer)
    return here


def said(capsys) -> str:
    """What came out on both streams, each run of blanks as one, so that wrapping does not matter."""
    out = capsys.readouterr()
    return " ".join((out.out + out.err).split())


def test_water_prints_the_sentences_and_leaves_a_picture(answered, answer, capsys):
    assert cli.main(["water"]) == 0
    text = said(capsys)
    for sentence in answer.lines("short"):
        assert " ".join(sentence.split()) in text
    for view in ("why", "all"):
        assert cli.main(["water", "--no-picture", f"--{view}"]) == 0
        more = said(capsys)
        for sentence in answer.lines(view):
            assert " ".join(sentence.split()) in more
    (picture,) = answered.iterdir()
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert picture.name in text


def test_json_is_all_that_reaches_the_output(answered, answer, capsys):
    assert cli.main(["water", "--json"]) == 0
    out = json.loads(capsys.readouterr().out, parse_constant=lambda word: pytest.fail(f"{word} is not JSON"))
    assert set(out) >= PROMISED
    assert out == answer.to_dict()
    assert out["closure_water"] < 1e-9
    assert out["closure_energy"] < 1e-6
    assert set(out["seasons"]) == {"winter", "summer"}
    assert list(answered.iterdir()) == []


def test_a_picture_never_takes_a_name_in_use(answered, capsys):
    mine = answered / "mine.png"
    mine.write_text("a holiday photograph")
    assert cli.main(["water", "--picture", "mine.png"]) == 0
    assert mine.read_text() == "a holiday photograph"
    (new,) = set(answered.iterdir()) - {mine}
    text = said(capsys)
    assert f"Picture: {new.name}" in text
    assert "mine.png is in use and was kept" in text


def test_no_picture_means_none(answered):
    assert cli.main(["water", "--no-picture"]) == 0
    assert list(answered.iterdir()) == []


@pytest.mark.parametrize(("ready", "said_so"), [(False, True), (True, False)])
def test_a_first_run_says_what_it_waits_for(answered, monkeypatch, capsys, ready, said_so):
    monkeypatch.setattr(waiting, "must_compile_first", lambda: not ready)
    assert cli.main(["water", "--json"]) == 0
    out = capsys.readouterr()
    assert ("First run on this machine" in out.err) == said_so
    json.loads(out.out)


def test_a_long_preparation_is_told_again_and_again_until_it_is_done(monkeypatch):
    """A minute without a word looks like a standstill; once the work is done nothing more is said."""
    monkeypatch.setattr(waiting, "must_compile_first", lambda: True)
    heard, again = [], threading.Event()

    def hear(text: str) -> None:
        heard.append(text)
        if len(heard) > 2:
            again.set()

    with waiting.told_while_preparing(hear, every_s=0.01):
        assert again.wait(30.0)
    after = len(heard)
    assert heard[0] == waiting.WAITING
    assert all(text.startswith("Still preparing") for text in heard[1:])
    assert not any(thread.name == waiting.TELLER for thread in threading.enumerate())
    assert len(heard) == after


def test_where_no_bar_can_be_drawn_each_quarter_is_a_line(capsys):
    """Fan schedules take half a minute: into a file or a pipe, too, one sees how far they are."""
    heard = []
    with bar.bar("fan schedules", heard.append) as progress:
        for done in range(101):
            progress(done, 100)
    assert heard == [f"fan schedules: {share} %" for share in (0, 25, 50, 75)]


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["water", "fern-holow"], 'Did you mean "fern-hollow"?'),
        (["box", "mos-jar"], 'Did you mean "moss-jar"?'),
        (["material", "leaf liter"], 'Did you mean "leaf litter" (covers)?'),
        (["watr"], 'Did you mean "water"?'),
        (["check", "nowhere.toml"], "There is no file"),
        (["water", "--jsn"], 'Did you mean "--json"? All it takes: terralab water --help'),
        (["water", "one.toml", "two.toml"], '"two.toml" is not known here. All it takes'),
        (["box"], "The following arguments are required: NAME. All it takes: terralab box --help"),
        (["water", "--picture"], "All it takes: terralab water --help"),
    ],
)
def test_a_slip_is_answered_with_the_nearest_good_name(here, capsys, words, hint):
    assert cli.main(words) == cli.REFUSED
    out = capsys.readouterr()
    assert hint in " ".join(out.err.split())
    assert not re.search(r"\d+ ml", out.out)
    assert list(here.iterdir()) == []


def test_a_bad_description_is_refused_with_every_problem(here, capsys):
    text = tl.dumps(tl.load("fern-hollow"))
    text = text.replace('depth = "10 cm"', 'depth = "-10 cm"').replace('humidity = "45 %"', 'humidity = "140 %"')
    (here / "bad.toml").write_text(text)
    assert cli.main(["water", "bad.toml"]) == cli.REFUSED
    out = capsys.readouterr()
    assert out.out == ""
    assert "enclosure.layers.1.depth" in out.err
    assert "room.humidity" in out.err


def test_a_warning_is_a_note_and_not_a_refusal(here, capsys):
    with pytest.warns(TerralabWarning):
        flooded = tl.load("fern-hollow").change(**{"enclosure.drainage.level": "6.5 cm"})
    tl.save(flooded, "flooded.toml")
    capsys.readouterr()
    assert cli.main(["check", "flooded.toml"]) == 0
    out = capsys.readouterr()
    assert " ".join(out.out.split()).count("above the mesh") == 1
    assert out.err == ""
    assert cli.main(["soak", "flooded.toml"]) == 0  # it lacks nothing, since it draws up what stands there
    assert capsys.readouterr().err.lstrip().startswith("Note: ")


def test_stopping_is_no_accident(monkeypatch, here, capsys):
    def interrupted(box):
        raise KeyboardInterrupt

    monkeypatch.setattr(tl, "daily_water", interrupted)
    assert cli.main(["water"]) == cli.INTERRUPTED
    assert "Stopped" in capsys.readouterr().err


def test_box_writes_a_description_to_edit_and_keeps_the_one_there(here, capsys):
    for name in ("my-moss-jar.toml", "my-moss-jar-2.toml"):
        assert cli.main(["box", "moss-jar"]) == 0
        assert tl.load(here / name) == tl.load("moss-jar")
    (here / "mine.toml").write_text("mine")
    assert cli.main(["box", "moss-jar", "mine.toml"]) == cli.REFUSED
    assert (here / "mine.toml").read_text() == "mine"
    assert cli.main(["box", "moss-jar", "no/such/place.toml"]) == cli.REFUSED
    assert "There is no folder" in said(capsys)


def test_demos_and_check_say_what_is_there(capsys):
    assert cli.main(["demos"]) == 0
    text = said(capsys)
    assert all(name in text for name in tl.demos())
    assert cli.main(["check", "dry-ledge"]) == 0
    assert "No problems found" in said(capsys)


def test_material_shows_numbers_with_source_and_grade(capsys):
    assert cli.main(["material"]) == 0
    text = said(capsys)
    assert all(f"{table}: " in text for table in tl.materials.tables())
    assert cli.main(["material", "sheet", "moss"]) == 0
    text = said(capsys)
    # a cover and a substrate bear that name; both are shown
    for table in ("covers", "substrates"):
        assert " ".join(str(tl.materials.get(table, "sheet moss")).split()) in text


def test_groups_are_listed_with_their_temperature_beside_their_humidity(capsys):
    assert cli.main(["material", "groups"]) == 0
    text = said(capsys)
    for group in tl.materials.names("groups"):
        band = text.partition(f"{group}: ")[2]
        assert "%" in band
        assert "°C by night" in band
    assert "20 to 26 °C by day, 17 to 24 °C by night" in text


def test_soak_answers_in_litres(here, capsys):
    assert cli.main(["soak", "moss-jar", "--json"]) == 0
    out = json.loads(capsys.readouterr().out)
    assert out["question"] == "first soak"
    assert 0 < out["low"] <= out["value"] <= out["high"]
    assert list(here.iterdir()) == []


def test_notebooks_are_copied_and_the_keepers_own_kept(here, capsys):
    assert cli.main(["notebooks", "books", "--no-open"]) == 0
    copied = sorted((here / "books").glob("*.ipynb"))
    assert [path.name for path in copied][:1] == ["00_start_here.ipynb"]
    copied[0].write_text("my own work")
    capsys.readouterr()
    assert cli.main(["notebooks", "books", "--no-open"]) == 0
    assert copied[0].read_text() == "my own work"
    assert "kept as they are" in said(capsys)
    assert cli.main(["notebooks", "books/00_start_here.ipynb", "--no-open"]) == cli.REFUSED


def test_notebooks_open_in_their_folder_without_asking_the_network(here, monkeypatch):
    started = []

    def run(command, cwd, check, env):
        (settings,) = Path(env["JUPYTER_CONFIG_PATH"].split(os.pathsep)[0]).rglob("*.json")
        started.append((command, cwd, settings.read_text()))
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr("terralab.cli.handout.subprocess.run", run)
    assert cli.main(["notebooks", "books"]) == 0
    ((command, cwd, settings),) = started
    assert command[:3] == [sys.executable, "-m", "jupyterlab"]
    assert "--LabApp.news_url=None" in command
    assert '"fetchNews": "false"' in settings
    assert cwd.name == "books"
    assert command[-1] == "--LabApp.default_url=/lab/tree/00_start_here.ipynb"
    assert (cwd / "00_start_here.ipynb").is_file()
    assert "--log-level=ERROR" in command


def test_the_command_runs_as_a_program():
    done = subprocess.run([sys.executable, "-m", "terralab", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == f"terralab {tl.__version__}"
    asked = subprocess.run([sys.executable, "-m", "terralab"], capture_output=True, text=True, check=True)
    assert "water" in asked.stdout
