"""Files: the same box comes back, the demos load, and every bad file has its own sentence."""

import os
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from terralab.describe import Box, demos, dumps, load, loads, save
from terralab.errors import DescriptionError, FileError, TerralabError, TerralabWarning
from tests.describe.random_boxes import boxes

# Every right box is written in full, so the cases are few and large.
FEW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@FEW
@given(boxes())
@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_a_box_comes_back_from_its_file(box):
    text = dumps(box)
    assert loads(text) == box
    assert dumps(loads(text)) == text
    assert box.describe()


@pytest.mark.parametrize("name", demos())
def test_a_demo_loads_without_a_warning_and_comes_back(name):
    box = load(name)
    assert loads(dumps(box)) == box
    assert re.search(
        "warm lamp must never sit on a covered|no part of this lid may ever be covered", " ".join(box.note.split())
    )
    assert "invented" in box.note
    assert box.room.winter is not None
    assert box.room.summer is not None


def test_the_demos():
    assert demos() == ("dry-ledge", "fern-hollow", "moss-jar", "tall-glen")
    assert load("dry-ledge").enclosure.drainage is None
    assert load("moss-jar").enclosure.cover.material == "sheet moss"
    assert load("tall-glen").start.soil == "dry"


def test_the_written_file_explains_itself(fern):
    text = dumps(fern)
    assert text.startswith("# A terralab box.")
    assert 'width = "60 cm"' in text
    assert 'covered = "50 %"' in text
    assert 'time = "08:00"' in text
    assert max(len(line) for line in text.splitlines()) < 120
    assert tomllib.loads(text)["enclosure"]["layers"][0]["material"] == "fine coir mix"


def test_us_units_are_read_everywhere():
    box = loads("""
name = "Inches"
[enclosure]
width = '24 in'
front_to_back = "18 in"
height = "2 ft"
layers = [{ material = "loam topsoil", depth = '4"' }]
plants = { kind = "ferns", leaf_area = "3 ft2" }
openings = [{ name = "lid", wall = "lid", width = "20 in", height = "12 in" }]
[room]
temperature = { day = "72 F", night = "65 F" }
humidity = 45
[routine]
pours = [{ time = "8:00 am", amount = "8 fl oz" }, { time = 20:00:00, amount = "0.05 gal", every = "1 week" }]
fans = [{ name = "fan", mode = "exchange", flow = "2 cfm", timer = "9 am - 9 pm" }]
""")
    assert box.enclosure.width_cm == pytest.approx(60.96)
    assert box.enclosure.soil_depth_cm == pytest.approx(10.16)
    assert box.enclosure.plants.leaf_area_cm2 == pytest.approx(2787.0912)
    assert box.room.now.temperature.day == pytest.approx(200 / 9)
    assert box.routine.pours[0].amount_ml == pytest.approx(236.588, abs=1e-3)
    assert (box.routine.pours[1].time_s, box.routine.pours[1].every_days) == (72_000, 7)
    assert box.routine.fans[0].flow_m3_h == pytest.approx(2 * 60 * 0.3048**3)


def edited(old, new):
    """The default demo as text, with one place edited."""
    text = dumps(load("fern-hollow"))
    assert old in text
    return text.replace(old, new, 1)


@pytest.mark.parametrize(
    ("old", "new", "field", "part"),
    [
        ('width = "60 cm"', 'width = "-60 cm"', "enclosure.width", "cannot be negative"),
        ('width = "60 cm"', "width = 60", "enclosure.width", 'Write "60 cm"'),
        ('width = "60 cm"', 'wdith = "60 cm"', "enclosure.wdith", 'Did you mean "width"?'),
        ('width = "60 cm"', "width = 60\nwidth_cm = 60", "enclosure.width_cm", 'Did you mean "width"?'),
        ('width = "60 cm"', "width = [60]", "enclosure.width", "not a number or a text"),
        ('width = "60 cm"', "width = nan", "enclosure.width", "not a usable number"),
        ('depth = "10 cm"', 'depth = "10 cn"', "enclosure.layers.1.depth", 'Did you mean "cm"?'),
        ('covered = "50 %"', "covered = 50", "enclosure.openings.lid.covered", 'write "50 %"'),
        ('material = "fine coir mix"', 'material = "coir"', "enclosure.layers.1.material", "Did you mean"),
        ("mesh_barrier = true", 'mesh_barrier = "true"', "enclosure.mesh_barrier", "without quotes"),
        ('humidity = "45 %"', "humidity = 0.45", "room.humidity", 'Write "45 %".'),
        ('humidity = "45 %"', 'humidity = "450 %"', "room.humidity", "0 % to 100 %"),
        ('on = "below"', 'on = "bellow"', "routine.heaters.panel.control.on", 'Did you mean "below"?'),
        ('timer = ["07:30-19:30"]', 'timer = ["730-1930"]', "routine.lamps.plant light.timer", "time of day"),
        ('timer = ["07:30-19:30"]', "", "routine.lamps.plant light.timer", "nothing given"),
        ('[start]\nsoil = "drained-moist"', "start = 3", "start", "below a line [start]"),
        ("[[routine.pours]]", "[routine.pours]", "routine.pours", "[[routine.pours]]"),
        ('name = "Fern Hollow"', "name = 7", "name", "between quotes"),
        ('group = "rainforest-floor small frogs"', 'group = "dragons"', "group", "Known: "),
    ],
)
def test_a_slip_in_a_file_is_named(old, new, field, part):
    with pytest.raises(DescriptionError) as caught:
        loads(edited(old, new))
    assert field in [problem.field for problem in caught.value.problems]
    assert part in str(caught.value)


def test_all_slips_of_a_file_are_listed_together():
    text = edited('width = "60 cm"', 'width = "-60 cm"').replace('humidity = "45 %"', 'humidity = "450 %"')
    with pytest.raises(DescriptionError) as caught:
        loads(text.replace("[start]", "[strat]"))
    assert [problem.field for problem in caught.value.problems] == [
        "strat",
        "enclosure.width",
        "room.humidity",
    ]


def test_an_empty_file_says_what_is_needed():
    with pytest.raises(DescriptionError) as caught:
        loads("")
    assert [problem.field for problem in caught.value.problems] == ["name", "enclosure", "room"]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("name = fern", "not TOML"),
        ("time = 08:00", "stand between quotes"),
        ('name = "a"\nname = "b"', "not TOML"),
        ("x = " + "9" * 5000, "not TOML"),
        ("x = " + "[" * 50_000, "nested too deeply"),
    ],
)
def test_what_is_not_toml_is_refused(text, part):
    with pytest.raises(FileError, match=part):
        loads(text)


@settings(max_examples=60, deadline=None)
@given(st.data())
@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_a_damaged_file_gives_a_box_or_a_sentence(data):
    lines = dumps(load("fern-hollow")).splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(lines) - 1))
        junk = st.sampled_from(["", "x = 1", "width = 1e308", "[room]", "= =", 'depth = "\\u0000"', "timer = []"])
        lines[place] = data.draw(junk)
    try:
        box = loads("\n".join(lines))
    except TerralabError:
        return
    assert isinstance(box, Box)


def test_saving_keeps_what_is_there(fern, tmp_path):
    path = save(fern, tmp_path / "box.toml")
    assert load(path) == load(str(path)) == fern
    other = load("moss-jar")
    with pytest.raises(FileError, match="already there and was kept"):
        save(other, path)
    assert load(path) == fern
    assert load(save(other, path, overwrite=True)) == other
    assert [item.name for item in tmp_path.iterdir()] == ["box.toml"]


def test_saving_keeps_a_file_made_in_the_meantime(fern, tmp_path, monkeypatch):
    path = tmp_path / "box.toml"
    monkeypatch.setattr(Path, "exists", lambda self: False)
    path.write_text("mine")
    with pytest.raises(FileError, match="already there"):
        save(fern, path)
    assert path.read_text() == "mine"
    assert [item.name for item in tmp_path.iterdir()] == ["box.toml"]


def test_saving_works_where_links_do_not(fern, tmp_path, monkeypatch):
    def no_links(source, target):
        raise OSError("no links here")

    monkeypatch.setattr(os, "link", no_links)
    assert load(save(fern, tmp_path / "box.toml")) == fern
    assert [item.name for item in tmp_path.iterdir()] == ["box.toml"]


def test_bad_places_to_save_are_named(fern, tmp_path):
    with pytest.raises(FileError, match="is a folder"):
        save(fern, tmp_path)
    with pytest.raises(FileError, match="There is no folder"):
        save(fern, tmp_path / "missing" / "box.toml")
    with pytest.raises(FileError, match="cannot be written"):
        save(fern, tmp_path / ("x" * 300))
    with pytest.raises(TerralabError, match="needs a box"):
        dumps("fern-hollow")


def test_bad_files_are_named(tmp_path):
    latin = tmp_path / "latin.toml"
    latin.write_bytes('name = "Fr\xfchling"'.encode("latin-1"))
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * 1_000_001)
    for path, part in (
        (latin, "not UTF-8"),
        (large, "larger than 1 MB"),
        (tmp_path, "is a folder"),
        (tmp_path / "missing.toml", "There is no file"),
        ("fern-holow", 'Did you mean "fern-hollow"?'),
        ("a\0b", "cannot be read|no file"),
        (3, "neither the name of a demo nor a file"),
    ):
        with pytest.raises(FileError, match=part):
            load(path)


def test_a_file_saved_by_a_windows_editor_is_read(fern, tmp_path):
    path = tmp_path / "box.toml"
    path.write_bytes(b"\xef\xbb\xbf" + dumps(fern).replace("\n", "\r\n").encode())
    assert load(path) == fern


def test_a_path_in_a_file_is_only_a_text(tmp_path):
    secret = tmp_path / "secret.toml"
    secret.write_text("secret words")
    with pytest.raises(DescriptionError) as caught:
        loads(edited("[enclosure]", f'[enclosure]\ninclude = "{secret}"'))
    assert caught.value.field == "enclosure.include"
    assert "secret words" not in str(caught.value)


def test_a_warning_is_given_when_a_file_starts_flooded():
    with pytest.warns(TerralabWarning, match="starts flooded"):
        loads(edited('level = "2 cm"', 'level = "6.5 cm"'))
