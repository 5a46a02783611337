"""Names and numbers of strangers: a name stays text and in its folder, a number that is none is refused by its field."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas
import pytest

import terralab as tl
from terralab import show
from terralab.atomic_files import slug
from terralab.cli.words import wrapped
from terralab.describe import Signal
from terralab.errors import DescriptionError, TerralabError, quoted
from terralab.show.figures import film_page
from terralab.validate import number, numbers

ROOT = Path(__file__).resolve().parents[1]
NAMES = [
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", '"><b>', "O'Hara & \"Sons\"", "$\\frac{$ $x", "🐸 box",
    "../../etc/passwd", "/etc/passwd", "C:\\Windows\\x", "con", "NUL", "com1", ".hidden", "~root", "{0.__class__} %s",
    "-rf", "שלום عالم", "👩\u200d🌱", "می\u200cخواهم", "<!--<script>", "=1+1",
]  # fmt: skip
#: Microsoft, "Naming Files, Paths, and Namespaces": reserved whatever ending follows.
RESERVED = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]", re.I)


@pytest.fixture(scope="module")
def record():
    return tl.simulate(tl.load("moss-jar"), 1, accuracy="preview", record_every_min=60)


@pytest.mark.parametrize("name", NAMES)
def test_a_name_stays_text_in_file_and_file_name(name, tmp_path):
    box = tl.load("moss-jar").change(name=name)
    path = tl.save(box, tmp_path / "a.toml")
    assert tl.load(path).name == box.name == name
    made = slug(name)
    assert re.fullmatch(r"[a-z0-9][a-z0-9-]*", made)
    assert not RESERVED.fullmatch(made)


@pytest.mark.parametrize("name", ["$\\frac{$ $x", "<b>🐸", "../../a"])
def test_a_name_stays_text_in_a_picture(name, record, tmp_path):
    """A picture would read signs between dollars as mathematics, and stop at what is none."""
    from dataclasses import replace

    named = replace(record, box=record.box.change(name=name))
    path = show.save(show.week_picture(named), tmp_path, stem=name)
    assert path.parent == tmp_path
    assert path.read_bytes().startswith(b"\x89PNG")
    show.save(show.section_picture(named), tmp_path, stem=name)
    show.save(show.courses_picture({name: named}), tmp_path)


def test_no_order_to_a_terminal_comes_through():
    """A name, a heading or a file may hold what clears a screen, renames its window or turns the line."""
    text = "a\x1b[2J\x9b31m\x07\u202eb"
    for shown in (quoted(text), wrapped(text), wrapped(f"There is no file {text}.")):
        assert "\\x1b[2J" in shown
        assert all(letter.isprintable() for letter in shown)


def test_no_text_ends_the_script_of_a_film_or_opens_a_comment_in_it():
    names = ["</script>", "<!--<script>"]
    page = film_page.page("k", 1, ["", ""], names, names, [names, names])
    assert page.count("<script") == page.count("</script") == 1
    assert "<!--" not in page


def test_a_hidden_number_and_one_beyond_its_few_bits_are_none():
    """What a mask hides is no number, whatever stands below the mask."""
    with pytest.raises(DescriptionError, match="hours"):
        number("hours", np.float16("inf"), 0.0, 1e6, "h")
    with pytest.raises(DescriptionError, match="values"):
        numbers("values", np.ma.array([1.0, 999.0], mask=[False, True]), 0.0, 1000.0, "")


def test_a_box_that_would_take_hours_to_read_is_refused_at_once():
    """The reader of TOML takes time with the square of a name's parts, and nobody reads advice on sixty thousand entries."""
    with pytest.raises(TerralabError, match="very many parts"):
        tl.loads("a." * 100_000 + "b = 1")
    with pytest.raises(DescriptionError, match="more entries are not known") as caught:
        tl.loads("\n".join(f"k{n} = 1" for n in range(60_000)))
    assert len(str(caught.value)) < 5000


@pytest.mark.parametrize("mark", ["\u202e", "\u2066", "\u200f", "\0", "\x1b[31m", "a\nb", "\u200b", "a\u200db"])
def test_a_name_with_marks_that_cannot_be_seen_is_refused(mark):
    """Marks of direction turn what stands after them, in a page as in a file name."""
    with pytest.raises(DescriptionError, match="name"):
        tl.load("moss-jar").change(name=f"mine {mark} yours")


@pytest.mark.slow
def test_a_name_with_markup_stays_text_in_the_page():
    name = "<script>alert(1)</script>\"'&"
    page = show.report_page(tl.all_answers(tl.load("moss-jar").change(name=name), members=2))
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


@pytest.mark.parametrize(
    "bad",
    [
        math.nan,
        math.inf,
        -math.inf,
        np.float32("inf"),
        10**400,
        10**5000,
        True,
        np.array([1.0, 2.0]),
        1j,
        np.timedelta64(31),
        pandas.NA,
    ],
    ids=lambda bad: type(bad).__name__,
)
@pytest.mark.parametrize("place", ["enclosure.width", "room.now.temperature", "routine.pours.1.amount"])
def test_what_is_no_number_is_refused_by_its_field(place, bad):
    with pytest.raises(TerralabError) as caught:
        tl.load("fern-hollow").change(**{place: bad})
    assert place.split(".")[-1] in str(caught.value)


@pytest.mark.parametrize("kind", [np.float64, np.float32, np.int64, np.uint8])
def test_numbers_of_numpy_are_numbers(kind):
    box = tl.load("moss-jar").change(**{"enclosure.width": kind(31)})
    assert box.enclosure.width_cm == 31.0
    assert tl.loads(tl.dumps(box)).enclosure.width_cm == 31.0


@pytest.mark.parametrize(
    ("hours", "values", "word"),
    [
        ([0, 5, 5, 24], [1, 2, 3, 1], "keep one row for each time"),
        ([0, 9, 5, 30], [1, 2, 3, 1], "Sort the rows"),
        ([0, math.nan, 30], [1, 2, 3], "hours"),
        ([0, 5, 30], [1, math.nan, 3], "values"),
        ([0, None, 30], [1, 2, 3], "hours"),
        ([0, 5, 30], [1, math.inf, 3], "values"),
        ([0, 5], [1, 2, 3], "same length"),
        (np.arange(100_001.0) / 10, np.full(100_001, 20.0), "100"),
        ([np.datetime64("2026-01-01")] * 2, [1, 2], "hours"),
    ],
)
def test_a_series_with_double_unsorted_or_missing_times_is_refused_by_name(hours, values, word):
    with pytest.raises(DescriptionError, match="signal") as caught:
        Signal.series(hours, values)
    assert word in str(caught.value)


def test_a_series_as_long_as_is_allowed_is_taken():
    assert len(Signal.series(np.arange(100_000.0) / 2, np.full(100_000, 20.0)).hours) == 100_000


# Surroundings of a command


@pytest.mark.skipif(os.name != "posix", reason="asks for a Unix shell")
@pytest.mark.parametrize(
    ("before", "python", "more"),
    [
        ("ulimit -v 1048576", [], {}),
        ("true", ["-O"], {}),
        ("true", [], {"LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}),
    ],
    ids=["1 GB of memory", "python -O", "LANG=C"],
)
def test_a_command_in_odd_surroundings_writes_a_whole_file_or_says_why_not(tmp_path, before, python, more):
    done = subprocess.run(
        ["sh", "-c", f'{before}; exec "$@"', "sh", sys.executable, *python, "-m", "terralab", "box", "moss-jar", "a.toml"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT), **more}, capture_output=True, check=False,
    )  # fmt: skip
    assert b"Traceback" not in done.stderr, done.stderr
    assert done.returncode in (0, 2)
    if done.returncode == 0:
        assert tl.load(tmp_path / "a.toml").name == tl.load("moss-jar").name
    else:
        assert list(tmp_path.iterdir()) == []
