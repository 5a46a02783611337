"""Files from strangers: whatever stands in them, there is a box that runs or an error that names the entry.

Five hundred random, damaged, cut, huge and oddly typed descriptions are read; a few of those that are allowed are run.
"""

from __future__ import annotations

import datetime
import importlib
import math
import re
import tomllib
import warnings
from copy import deepcopy

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import terralab as tl
from terralab.describe import Box, demos, dumps, load, loads
from terralab.errors import DescriptionError, FileError, RunError, TerralabError, TerralabWarning
from terralab.simulation.simulate import Job, run_job
from tests.keepers import keepers_box

pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
MANY = settings(max_examples=250, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
FEW = settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
#: The demos, and two boxes with everything that can be described of their air.
TEXTS = {name: dumps(load(name)) for name in demos()}
for _seed in (283, 16):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        TEXTS[f"keeper {_seed}"] = dumps(keepers_box(_seed, new_air=True))
LONGEST_ERROR = 60_000  # characters; a file may hold hundreds of wrong entries, each has its line

ODD_TEXTS = st.sampled_from(
    ["", " ", "cm", "10", "-10 cm", "1e400 cm", "1e-400 cm", "nan cm", "inf l", "10 cn", "٣ cm", "１２ cm", "1,5 cm",
     "1_000 cm", "0x10 cm", "10 cm 5", "--5 cm", "10\u00a0cm", "½ l", "70 F", "24 in", '2"', "99:99", "24:00", "25:00",
     "08:00-08:00", "1 min every 0 min", "not 08:00-09:00", "every", "../../etc/passwd", "${HOME}", "{0.__class__}", "%s%n",
     "<script>alert(1)</script>", "\u202eright to left", "🐸" * 50, "a" * 100_000, "fine coir mix", "lid", "a.b", "Ａ", "ß",
     "O'Hara; DROP TABLE", "\\", "\n", "\t", "x\u0000y", "\ud7ff", "\ufeff"]
)  # fmt: skip
ODD_NUMBERS = st.sampled_from(
    [0, -0.0, 1, -1, 2**63, 10**400, 1e308, -1e308, 5e-324, math.nan, math.inf, -math.inf, True, False, 0.5, 50]
)
ODD = st.one_of(
    ODD_TEXTS, ODD_NUMBERS, st.none(), st.floats(), st.text(max_size=40),
    st.sampled_from([datetime.time(8), datetime.date(2026, 5, 3), datetime.datetime(2026, 5, 3, 8, tzinfo=datetime.UTC)]),
    st.sampled_from([[], {}, [[]], [{}], [1, "a", None], {"": ""}, {"a": {"b": {"c": 1}}}, [{"name": "x"}] * 60, list(range(99))]),
)  # fmt: skip


def places(part: object, path: tuple = ()) -> list[tuple]:
    """Every place of a table, lists included."""
    out = [path] if path else []
    items = part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ()
    for key, value in items:
        out += places(value, (*path, key))
    return out


@st.composite
def wrong_tables(draw):
    """A demo as a table with one to four entries replaced, removed, renamed or repeated."""
    table = tomllib.loads(TEXTS[draw(st.sampled_from(sorted(TEXTS)))])
    for _ in range(draw(st.integers(1, 4))):
        found = places(table)
        if not found:
            break
        *way, last = draw(st.sampled_from(found))
        here = table
        for step in way:
            here = here[step]
        deed = draw(st.sampled_from(["replace", "replace", "replace", "remove", "rename", "repeat"]))
        if deed == "replace":
            here[last] = deepcopy(draw(ODD))  # the lists among them are shared and must stay as they are
        elif deed == "remove":
            del here[last]
        elif deed == "rename" and isinstance(here, dict):
            here[draw(st.text(min_size=1, max_size=20))] = here.pop(last)
        elif isinstance(here, list):
            here.extend([here[last]] * draw(st.integers(1, 60)))
    return table


@st.composite
def wrong_texts(draw):
    """The text of a demo, damaged: cut, with lines shuffled or doubled, letters changed; or no demo at all."""
    text = TEXTS[draw(st.sampled_from(sorted(TEXTS)))]
    deed = draw(st.sampled_from(["cut", "letters", "lines", "text", "deep", "long"]))
    if deed == "cut":
        return text[: draw(st.integers(0, len(text)))]
    if deed == "letters":
        letters = list(text)
        for _ in range(draw(st.integers(1, 8))):
            letters[draw(st.integers(0, len(letters) - 1))] = draw(st.characters(codec="utf-8"))
        return "".join(letters)
    if deed == "lines":
        lines = text.splitlines()
        for _ in range(draw(st.integers(1, 6))):
            a, b = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
            lines[a] = lines[b]
        return "\n".join(lines)
    if deed == "text":
        return draw(st.text(max_size=300))
    if deed == "deep":
        depth = draw(st.integers(1, 5000))
        return f"name = {'[' * depth}{']' * depth}\n"
    return text + f'\n[[ranges]]\nof = "{draw(ODD_TEXTS)!r}"\n' * draw(st.integers(1, 80))


def read(make) -> Box | None:
    """What reading gives, None where it was refused in good order; any other error is the test's."""
    try:
        box = make()
    except TerralabError as error:
        refused = error
    else:
        assert isinstance(box, Box)
        return box
    said = str(refused)
    assert 10 < len(said) < LONGEST_ERROR
    assert isinstance(refused, (DescriptionError, FileError)), said
    for problem in getattr(refused, "problems", ()):
        assert problem.field, said
        assert problem.given, said
        assert problem.allowed, said
        # a keeper reads no names of Python's own parts
        assert not re.search(r"object at 0x|Error\b|<class|NoneType", str(problem).replace(problem.field, "")), said
    return None


@MANY
@given(wrong_tables())
def test_a_table_with_wrong_entries_is_a_box_or_names_them(table):
    box = read(lambda: Box.read(table))
    if box is not None:
        assert loads(dumps(box)) == box
        assert not re.search(r"\b(nan|inf)\b", box.describe().replace(box.note, "").replace(box.name, ""))


@MANY
@given(wrong_texts())
def test_a_damaged_text_is_a_box_or_a_sentence(text):
    box = read(lambda: loads(text))
    if box is not None:
        assert loads(dumps(box)) == box


def test_a_huge_file_is_refused_at_once(tmp_path):
    path = tmp_path / "huge.toml"
    with open(path, "wb") as stream:
        stream.truncate(2**40)  # a terabyte by its size, nothing on the disk
    with pytest.raises(FileError, match="larger than 1 MB"):
        load(path)


#: Entries with the ends of what a description allows, or near them: extreme, and yet to be run or refused in words.
EXTREMES = {
    "enclosure.openings.lid.covered": ["0 %", "100 %"],
    "enclosure.layers.1.depth": ["0.5 cm", "30 cm"],
    "enclosure.plants.leaf_area": ["0 cm2", "100000 cm2"],
    "room.temperature": ["-10 C", "60 C"],
    "room.humidity": ["2 %", "100 %"],
    "routine.pours.1.amount": ["0.1 ml", "5 l"],
    "routine.lamps.1.power": ["0 W", "2000 W"],
    "routine.fans.1.flow": ["0.01 m3/h", "1000 m3/h"],
    "enclosure.leakage": ["0 1/h", "100 1/h"],
    "start.soil": ["dry", "wet"],
}


@FEW
@given(st.sampled_from(demos()), st.data())
def test_an_extreme_box_runs_and_closes_or_says_why_not(name, data):
    box = load(name)
    for place in data.draw(st.sets(st.sampled_from(sorted(EXTREMES)), min_size=1, max_size=4)):
        try:
            box = box.change(**{place: data.draw(st.sampled_from(EXTREMES[place]))})
        except DescriptionError:
            continue  # this demo has no such part, or the glass is too small for it
    try:
        record = run_job(Job(box, 1, accuracy="preview", cells=12, record_every_min=60))
    except RunError:
        return  # a sentence, and no numbers
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    assert all(np.isfinite(values).all() for values in record.series.values())


def test_a_run_that_would_not_end_is_stopped_with_a_sentence(monkeypatch):
    module = importlib.import_module("terralab.simulation.simulate")
    monkeypatch.setattr(module, "WORK_CAP", 10)
    monkeypatch.setattr(module, "WORK_CAP_A_DAY", 0)
    with pytest.raises(RunError, match="needed more steps"):
        tl.simulate(load("moss-jar"), days=1)


def test_nothing_in_a_file_is_carried_out(tmp_path, monkeypatch):
    """Text that would be a command, a format or a path elsewhere stays text."""
    monkeypatch.chdir(tmp_path)
    odd = "__import__('os').system('touch made') {0.__class__} %s `touch made` ../../made"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        table = tomllib.loads(TEXTS["moss-jar"])
        table["name"] = odd[:80]
        table["note"] = odd
        box = Box.read(table)
        assert odd in box.describe()
        for place in ("group", "start"):
            table[place] = odd
            with pytest.raises(TerralabError):
                Box.read(table)
    assert list(tmp_path.iterdir()) == []
