"""What people read keeps its word: examples load, commands exist, tables agree with the program."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab.cli.words import screen
from tests.asked import asked

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)


def test_the_example_box_is_a_good_box():
    example = blocks("toml")[0]
    box = tl.loads(example)
    assert box.enclosure.height_cm == pytest.approx(24 * 2.54)
    assert box.enclosure.openings[0].covered == 0.5


def test_the_other_pieces_fit_into_the_example():
    example, *pieces = blocks("toml")
    without_plants = re.sub(r"^\[enclosure\.plants\]\n(?:.+\n)+", "", example, flags=re.MULTILINE)
    box = tl.loads("\n".join((without_plants, *pieces)))
    assert box.enclosure.plants.cover == 0.4
    assert box.enclosure.ground is not None
    assert box.room.window is not None
    assert {fan.mode for fan in box.routine.fans} == {"exchange", "circulate"}
    assert box.routine.sprays


def test_the_python_lines_use_names_that_exist():
    lines = "\n".join(blocks("python"))
    used = set(re.findall(r"\btl\.(\w+)", lines)) | set(re.findall(r"`tl\.(\w+)", README))
    assert len(used) > 6
    assert all(hasattr(tl, name) for name in used)
    compile(lines, "README", "exec")


def test_the_commands_are_those_of_the_program():
    _, commands = cli._parser()
    listed = set(re.findall(r"^\| `terralab (\w+)", README, flags=re.MULTILINE))
    assert listed == set(commands)


def test_what_the_first_command_prints_is_what_stands_there():
    assert screen(asked("daily_water", "fern-hollow"), "short") in README


def test_the_picture_is_there_and_small():
    (name,) = re.findall(r"!\[[^]]{80,}\]\((\S+)\)", README)
    assert (ROOT / name).read_bytes().startswith(b"\x89PNG")
    assert (ROOT / name).stat().st_size < 200_000


def test_the_guesses_listed_are_those_of_the_tables():
    text = (ROOT / "reference" / "limits.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([a-z -]+): ([a-z ]+) \| ([A-Z]+) \| (\S+), (\S+), (\S+)", text, flags=re.MULTILINE)
    assert len(rows) > 10
    for name, prop, grade, *values in rows:
        holders = [table for table in tl.materials.tables() if name in tl.materials.names(table)]
        numbers = [tl.materials.get(table, name).get(prop.replace(" ", "_")) for table in holders]
        (number,) = [number for number in numbers if number is not None]
        assert number.grade == grade, name
        assert [f"{value:g}" for value in (number.low, number.typical, number.high)] == values, name
