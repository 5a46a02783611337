"""`terralab learn`: a box's own log, diary and salt test read, and a new description written that holds what they tell."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from terralab.answers.learn.learn import BANK, MEMBERS, Learned, learn
from terralab.atomic_files import place, write_new
from terralab.cli.asking import Add, add_views, computed, print_answer, say_aside, short_name
from terralab.cli.bar import bar
from terralab.cli.days_ahead import picture_options
from terralab.cli.pairs import pairs
from terralab.cli.words import wrapped
from terralab.describe.files import demo_log, dumps
from terralab.errors import TerralabError, quoted
from terralab.logs.diary import Diary
from terralab.logs.diary_file import read_diary
from terralab.logs.log import BOX, PLACES, ROOM, Log
from terralab.logs.read import read_log
from terralab.logs.salt_test import SaltTest, salt_test

WORDS = "What does my box's own log tell? Writes a new description that holds it, for every other question."
SALT = 'SALT, READING, TEMPERATURE and hours, as in "table salt, 79 %, 21 C, 12 h"'
Draw = Callable[[argparse.Namespace, str, Callable[[Any], Any]], None]


def add(add_command: Add, draw: Draw) -> None:
    """Add the command; `draw` draws a picture into the file that is asked for."""
    command = add_command("learn", lambda asked: _learn(asked, draw), WORDS)
    command.add_argument(
        "box",
        nargs="?",
        metavar="BOX",
        help="the file of your box (without it: an invented box with its log and diary)",
    )
    add_views(command)
    files = command.add_argument_group("what was measured")
    files.add_argument("--log", metavar="FILE", help="what hygrometers in the box logged, CSV or spreadsheet")
    files.add_argument("--room", metavar="FILE", help="the same of the room, where it stands in a file of its own")
    files.add_argument(
        "--diary", metavar="FILE", help="what you poured and weighed; `terralab diary BOX` makes an empty one"
    )
    files.add_argument(
        "--salt",
        action="append",
        default=[],
        metavar="TEST",
        help=f"a salt test of the box's sensor: {SALT.replace('%', '%%')}; repeatable; begin with 'room:' for the room's",
    )
    read = command.add_argument_group("where a file can be read in two ways")
    order = read.add_mutually_exclusive_group()
    order.add_argument("--day-first", dest="day_first", action="store_true", default=None, help="3/4 is 3 April")
    order.add_argument("--month-first", dest="day_first", action="store_false", help="3/4 is 4 March")
    read.add_argument(
        "--sensor",
        action="append",
        default=[],
        metavar="COLUMN=PLACE",
        help=f"where a sensor hangs: {', '.join(PLACES)}, leave out; repeatable",
    )
    read.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="COLUMN=KIND",
        help="what a column is: time, temperature, humidity, dew point, ...; repeatable",
    )
    read.add_argument(
        "--device",
        action="append",
        default=[],
        metavar="DEVICE=COLUMN",
        help="the column that says how much of a device is on; repeatable",
    )
    read.add_argument("--unit", metavar="UNIT", help="unit of the temperatures: C, F or K")
    read.add_argument("--decimal", metavar="SIGN", help='decimal sign, "." or ","')
    read.add_argument(
        "--separator", metavar="NAME", help="what stands between columns: comma, semicolon, tab, bar or blank"
    )
    read.add_argument(
        "--time-zone", metavar="ZONE", help="where the box stands, such as Europe/Berlin, for logs in UTC"
    )
    more = command.add_argument_group("what is written, and how much is run")
    more.add_argument(
        "--to", metavar="FILE", help="the new description (default: BOX-learned.toml); a file in use is kept"
    )
    more.add_argument(
        "--runs", type=int, default=BANK, metavar="N", help=f"boxes that the tables allow (default: {BANK})"
    )
    more.add_argument(
        "--members", type=int, default=MEMBERS, metavar="N", help=f"boxes that fit the log (default: {MEMBERS})"
    )
    picture_options(command)


def _learn(asked: argparse.Namespace, draw: Draw) -> None:
    demo = asked.box is None and asked.log is None
    if demo:
        _take_demo(asked)
    elif asked.box is None or asked.log is None:
        lacks = (
            "BOX, the description of your box" if asked.box is None else "--log FILE, what a hygrometer in the box read"
        )
        raise TerralabError(f"terralab learn needs {lacks}. Without both it takes an invented box with its log.")
    target = _target(asked)
    name = short_name(asked.box)
    draws = not (asked.no_picture or (asked.json and not asked.picture))
    if draws:
        place(asked.picture, f"{name}-learned", ".png")
    log, room, diary, salts = _read(asked)
    with bar("learning", say_aside) as progress:
        answer = computed(
            asked,
            lambda box: learn(
                box, log, room=room, diary=diary, salts=salts, bank=asked.runs, members=asked.members, progress=progress
            ),
        )
    try:
        # the file before the screen: whoever reads the screen may stop reading after a few lines
        written = _written(answer, target, asked.to is None)
    finally:
        print_answer(asked, answer)
    aside = sys.stderr if asked.json else sys.stdout
    for words in (*written, _demo_words() if demo else ""):
        if words:
            print(wrapped(words), file=aside)
    if draws:
        draw(asked, f"{name}-learned", lambda show: show.learned_picture(answer))


def _take_demo(asked: argparse.Namespace) -> None:
    files = demo_log()
    asked.box, asked.log = str(files["box"]), str(files["log"])
    asked.diary = asked.diary or str(files["diary"])


def _demo_words() -> str:
    return f"The box is invented; its description, log and diary lie in {demo_log()['box'].parent}, to look at and to copy."


def _target(asked: argparse.Namespace) -> Path:
    """Where the new description goes; a bad place is refused before anything is run."""
    if asked.to is None:
        return place(None, f"{short_name(asked.box)}-learned", ".toml")
    if Path(asked.to).suffix.lower() != ".toml":
        raise TerralabError(f"--to must be a file that ends in .toml; {quoted(asked.to)} was given.")
    target = place(asked.to, "learned", ".toml")
    if target.exists():
        raise TerralabError(f"{asked.to} is in use and was kept. Choose another name for --to.")
    return target


def _written(answer: Learned, target: Path, number: bool) -> list[str]:
    """Write the new description, and say where it lies and what to ask next."""
    if answer.box is None:
        return ["Nothing was written, since nothing was learned that an answer may use."]
    path = write_new(dumps(answer.box).encode("utf-8"), target, number=number)
    return [f"Written: {path}. Ask it as any box: terralab water {path}"]


def _read(
    asked: argparse.Namespace,
) -> tuple[Log, Log | None, Diary | None, dict[str, SaltTest] | None]:
    """The files that are named, read with the options that are given."""
    how = {
        "unit": asked.unit,
        "decimal": asked.decimal,
        "separator": asked.separator,
        "day_first": asked.day_first,
        "time_zone": asked.time_zone,
    }
    named = {
        "sensors": pairs("--sensor", asked.sensor),
        "columns": pairs("--column", asked.column),
        "devices": pairs("--device", asked.device),
    }
    log = read_log(asked.log, **how, **named)
    room = None if asked.room is None else read_log(asked.room, place=ROOM, **how)
    diary = None if asked.diary is None else read_diary(asked.diary, day_first=asked.day_first)
    return log, room, diary, _salts(asked.salt)


def _salts(given: Sequence[str]) -> dict[str, SaltTest] | None:
    """The salt tests by place; several of one place make one test."""
    found: dict[str, list[list[str]]] = {}
    for one in given:
        head, sign, rest = one.partition(":")
        where, words = (head.strip().lower(), rest) if sign and head.strip().lower() in PLACES else (BOX, one)
        parts = [part.strip() for part in words.split(",")]
        if len(parts) not in (3, 4) or not all(parts):
            raise TerralabError(f"--salt must be {SALT}; {quoted(one)} was given.")
        found.setdefault(where, []).append([*parts, "12 h"][:4])
    out = {}
    for where, tests in found.items():
        salt, reads, warmth, hours = map(list, zip(*tests, strict=True))
        out[where] = salt_test(salt, reads, warmth, hours)
    return out or None
