"""`terralab diary`, an empty diary for a box, and `terralab sensor`, a hygrometer tried over salt."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from terralab.answers.drainage.weight import weight
from terralab.atomic_files import place, write_new
from terralab.cli.asking import short_name
from terralab.cli.words import wrapped
from terralab.describe.box import Box
from terralab.describe.files import load
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.logs.diary_blank import blank_diary
from terralab.logs.diary_file import read_diary
from terralab.logs.diary_run import diary_events, levels
from terralab.logs.diary_weighed import in_words, on_scales
from terralab.logs.salt_test import salt_test
from terralab.physics.salts import SALTS
from terralab.quantities import said

ENDINGS = (".csv", ".tsv", ".txt")


def add(add_command: Callable[..., argparse.ArgumentParser]) -> None:
    """Add both commands."""
    book = add_command(
        "diary", _diary, "Write an empty diary for a box: what you pour, spray, siphon and weigh. Fill it in by hand."
    )
    book.add_argument("box", metavar="BOX", help="the name of a demo, or a file of yours")
    book.add_argument(
        "file",
        nargs="?",
        metavar="FILE",
        help="the new file, .csv, .tsv or .txt (default: BOX-diary.csv); a file in use is kept",
    )
    book.add_argument(
        "--read",
        metavar="FILLED",
        help="say back a diary that was filled in, and what it means for the box; nothing is written",
    )
    order = book.add_mutually_exclusive_group()
    order.add_argument("--day-first", action="store_const", dest="day_first", const=True, help="3/8/2026 is 3 August")
    order.add_argument("--month-first", action="store_const", dest="day_first", const=False, help="3/8/2026 is 8 March")
    book.add_argument("--usual-time", metavar="TIME", help="what stands for lines without a time, such as 18:00")
    test = add_command("sensor", _sensor, "How far is a hygrometer off? From a night in a closed bag with wet salt.")
    test.add_argument(
        "--salt", action="append", metavar="SALT", help=f"repeatable: {', '.join(SALTS)} (default: table salt)"
    )
    test.add_argument(
        "--reads", action="append", required=True, metavar="READING", help='what it shows in the bag, such as "78 %%"'
    )
    test.add_argument(
        "--temperature",
        action="append",
        required=True,
        metavar="T",
        help='how warm the bag is, such as "21 C" or "70 F"; once, or for each salt',
    )
    test.add_argument(
        "--hours",
        action="append",
        type=float,
        metavar="N",
        help="hours in the bag (default: 12); once, or for each salt",
    )


def _diary(asked: argparse.Namespace) -> None:
    box = load(asked.box)
    if asked.read:
        if asked.file:
            raise TerralabError(f"--read says back {asked.read} and writes nothing; leave {asked.file} out.")
        _said_back(box, asked)
        return
    ending = Path(asked.file).suffix.lower() if asked.file else ".csv"
    if ending not in ENDINGS:
        raise TerralabError(f"FILE must end in {', '.join(ENDINGS)}; {quoted(asked.file)} was given.")
    stem = f"{short_name(asked.box)}-diary"
    text = blank_diary(box, weighs_kg=weight(box).total, separator="," if ending == ".csv" else "\t")
    # a spreadsheet takes a file for UTF-8 only where it begins with the mark
    data = text.encode("utf-8-sig" if ending == ".csv" else "utf-8")
    path = write_new(data, place(asked.file, stem, ending), number=asked.file is None)
    print(
        wrapped(
            f"Wrote {path}. Every line in it is an example: take the # away from what you use, and write your own below."
        )
    )


def _said_back(box: Box, asked: argparse.Namespace) -> None:
    """Print how a filled diary was read, what it does to a run of the box, and what its weights tell."""
    found = read_diary(asked.read, day_first=asked.day_first, usual_time=asked.usual_time)
    told = diary_events(found, box, found.entries[0].when.astype("datetime64[D]").item())
    scales = on_scales(found, box, soil_water_ml=1000.0 * weight(box).soil_water)
    levels(found, box)  # a reading that cannot be is refused
    us = speaks_us(box)
    for line in (found.understood, *told.words, *map(in_words, scales.weighed), *scales.words):
        print(wrapped(said(line, us=us)))


def _sensor(asked: argparse.Namespace) -> None:
    found = salt_test(asked.salt or ["table salt"], asked.reads, asked.temperature, asked.hours or [12.0])
    for line in found.lines():
        print(wrapped(line))
