"""The README keeps its word: its example loads, its commands exist, its picture is there and small."""

from __future__ import annotations

import re
from pathlib import Path

import terralab as tl
from terralab import __main__ as cli

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)


def test_the_example_box_is_a_good_box():
    (example,) = blocks("toml")
    box = tl.loads(example)
    assert box.enclosure.height_cm == 24 * 2.54
    assert box.enclosure.openings[0].covered == 0.5


def test_the_python_lines_use_names_that_exist():
    (lines,) = blocks("python")
    used = set(re.findall(r"\btl\.(\w+)", lines)) | set(re.findall(r"`tl\.(\w+)", README))
    assert len(used) > 6
    assert all(hasattr(tl, name) for name in used)
    compile(lines, "README", "exec")


def test_the_commands_are_those_of_the_program():
    _, commands = cli._parser()
    listed = set(re.findall(r"^\| `terralab (\w+)", README, flags=re.MULTILINE))
    assert listed == set(commands)


def test_the_picture_is_there_and_small():
    (name,) = re.findall(r"!\[[^]]{80,}\]\((\S+)\)", README)
    assert (ROOT / name).read_bytes().startswith(b"\x89PNG")
    assert (ROOT / name).stat().st_size < 200_000
