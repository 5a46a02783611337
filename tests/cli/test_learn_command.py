"""`terralab learn` from the outside: files in, a screen, a new description and a picture out, and what is refused."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

import terralab as tl
from terralab import __main__ as main_module
from terralab.__main__ import INTERRUPTED, REFUSED, main
from terralab.answers.common.brief import COLUMNS, MOST_LINES
from terralab.answers.learn.learn import told
from terralab.cli import learn as command
from tests.answers.hand_made_fit import NO_ML, made, record_of, refused

FILES = tl.demo_log()


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def asked_of(here, monkeypatch):
    """What the command hands on, and an answer made by hand in place of some hundred runs."""
    seen: dict = {}

    def learn(box, log, **given):
        seen.update(given, box=box, log=log)
        return told(seen["fit"].box, seen["fit"], record_of(seen["fit"]))

    seen["fit"] = made()
    monkeypatch.setattr(command, "learn", learn)
    return seen


def test_without_a_word_it_learns_from_the_invented_box(here, monkeypatch, capsys):
    """From the first five days of it, which takes a third of the time."""
    log = here / "logs" / "log.csv"
    log.parent.mkdir()
    log.write_text("\n".join(FILES["log"].read_text(encoding="utf-8").splitlines()[:480]), encoding="utf-8")
    monkeypatch.setattr(command, "demo_log", lambda: FILES | {"log": log})
    assert main(["learn", "--runs", "64", "--members", "16"]) == 0
    found = capsys.readouterr()
    out = found.out.splitlines()
    assert out[0] == "Fern Nook: what does its log of 4 days tell?"
    screen = out[: next(i for i, line in enumerate(out) if line.startswith("Written: "))]
    assert len(screen) <= MOST_LINES
    assert max(map(len, screen)) <= COLUMNS
    assert "learning: 25 %" in found.err
    assert (here / "fern-nook-learned.png").is_file()
    box = tl.load(here / "fern-nook-learned.toml")
    assert box.learned is not None
    assert box.name == "Fern Nook"


def test_its_files_are_read_with_the_words_that_are_given(asked_of, capsys):
    box, log, diary = (str(FILES[name]) for name in ("box", "log", "diary"))
    words = ["learn", box, "--log", log, "--diary", diary, "--day-first", "--no-picture", "--to", "new.toml"]
    words += [
        "--sensor",
        "RH 1 box (%)=box high",
        "--sensor",
        "Temp. 1 box (°C)=box high",
        "--sensor",
        "room=leave out",
    ]
    words += ["--salt", "table salt, 79.2 %, 21.4 C, 14 h", "--salt", "box: magnesium chloride, 36 %, 21 C"]
    assert main(words) == 0
    assert set(asked_of["log"].sensors) == {"box high"}
    assert len(asked_of["diary"].entries) > 20
    assert len(asked_of["salts"]["box"].points) == 2
    assert asked_of["salts"]["box"].points[1].hours == 12.0
    assert "Written: new.toml" in capsys.readouterr().out


def test_no_file_in_use_is_written_over(asked_of, here, capsys):
    words = ["learn", str(FILES["box"]), "--log", str(FILES["log"]), "--no-picture"]
    assert main(words) == 0
    first = (here / "fern-nook-learned.toml").read_bytes()
    assert main(words) == 0
    assert (here / "fern-nook-learned.toml").read_bytes() == first
    assert (here / "fern-nook-learned-2.toml").is_file()
    asked_of.pop("log")
    assert main([*words, "--to", "fern-nook-learned.toml"]) == REFUSED
    assert "in use and was kept" in capsys.readouterr().err
    assert "log" not in asked_of  # refused before anything is run


def test_what_taught_nothing_writes_nothing(asked_of, here, capsys):
    asked_of["fit"] = refused("fern-hollow", NO_ML)
    assert main(["learn", str(FILES["box"]), "--log", str(FILES["log"]), "--no-picture"]) == 0
    out = capsys.readouterr().out
    assert "does not tell how many ml a day" in out
    assert "Nothing was written" in out
    assert list(here.iterdir()) == []


def test_as_data_it_prints_data_alone(asked_of, here, capsys):
    assert main(["learn", str(FILES["box"]), "--log", str(FILES["log"]), "--json"]) == 0
    found = capsys.readouterr()
    assert json.loads(found.out)["question"] == "learn"
    assert "Written: fern-nook-learned.toml" in found.err
    assert list(here.glob("*.png")) == []


def test_a_stop_leaves_nothing_behind(asked_of, here, monkeypatch, capsys):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "learn", stopped)
    assert main(["learn", str(FILES["box"]), "--log", str(FILES["log"])]) == INTERRUPTED
    assert "Stopped by you" in capsys.readouterr().err
    assert list(here.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["my-box.toml"], "--log FILE"),
        (["--log", "a.csv"], "BOX"),
        (["fern-hollow", "--log", "none.csv"], "none.csv"),
        (["fern-hollow", "--log", str(FILES["log"]), "--diary", "none.csv"], "none.csv"),
        (["fern-hollow", "--log", str(FILES["log"]), "--salt", "79 %"], "table salt"),
        (["fern-hollow", "--log", str(FILES["log"]), "--salt", "sugar, 79 %, 21 C"], "sugar"),
        (["fern-hollow", "--log", str(FILES["log"]), "--sensor", "box"], "="),
        (["fern-hollow", "--log", str(FILES["log"]), "--sensor", "RH 1 box (%)=attic"], "attic"),
        (["fern-hollow", "--log", str(FILES["log"]), "--to", "x.csv"], ".toml"),
        (["fern-hollow", "--log", str(FILES["log"]), "--runs", "3"], "bank"),
        (["no-such-box", "--log", str(FILES["log"])], "no-such-box"),
    ],
)
def test_a_slip_is_answered_in_words(here, capsys, words, said):
    assert main(["learn", "--no-picture", *words]) == REFUSED
    found = capsys.readouterr()
    assert said in found.err
    assert "Traceback" not in found.err
    assert found.out == ""
    assert list(here.iterdir()) == []


class _Closed(io.StringIO):
    """A screen whose reader went away, as after `| head`."""

    def reconfigure(self, **_):
        pass

    def write(self, _):
        raise BrokenPipeError


def test_a_reader_who_goes_away_costs_no_description(asked_of, here, monkeypatch):
    """What took a minute to learn is in its file before a line of it is printed."""
    monkeypatch.setattr(main_module, "_drop_output", lambda: None)
    monkeypatch.setattr(sys, "stdout", _Closed())
    main(["learn", str(FILES["box"]), "--log", str(FILES["log"])])
    assert tl.load(here / "fern-nook-learned.toml").learned is not None


def _refused_by_the_system(name):
    """The system lets nobody make a file there, whatever the rights of the folder say."""
    real = Path.open

    def opened(self, *given, **more):
        if self.parent.name == name:
            raise PermissionError(13, "Permission denied")
        return real(self, *given, **more)

    return opened


@pytest.mark.parametrize("option", ["--to", "--picture"])
def test_a_place_that_takes_no_file_is_refused_before_anything_is_run(asked_of, here, monkeypatch, capsys, option):
    (here / "sealed").mkdir()
    monkeypatch.setattr(Path, "open", _refused_by_the_system("sealed"))
    ending = ".toml" if option == "--to" else ".png"
    words = ["learn", str(FILES["box"]), "--log", str(FILES["log"]), option, f"sealed/new{ending}"]
    assert main(words) == REFUSED
    found = capsys.readouterr()
    assert "cannot be written" in found.err
    assert found.out == ""
    assert "log" not in asked_of
    assert list((here / "sealed").iterdir()) == []
