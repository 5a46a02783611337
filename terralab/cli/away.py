"""`terralab away`: its options, and the sheet and the picture that it writes."""

from __future__ import annotations

import argparse
from pathlib import Path

from terralab.answers.away.dates import Asked, absence_asked
from terralab.answers.away.sheet import sheet_text
from terralab.answers.common.answer import Answer
from terralab.atomic_files import place, write_new
from terralab.describe.seasons import SEASONS
from terralab.errors import TerralabError, quoted

WORDS = "Can the box be left alone, and what is worth preparing? With a sheet for the helper."


def options(command: argparse.ArgumentParser) -> None:
    """Give the command its options."""
    command.add_argument("--days", type=int, metavar="DAYS", help="days of the absence (default: 14)")
    command.add_argument("--from", dest="leaves", metavar="DATE", help="the first day, such as 2026-08-03; with --to")
    command.add_argument("--to", dest="returns", metavar="DATE", help="the day of your return")
    command.add_argument(
        "--season", choices=SEASONS, help="the room: now, winter or summer (default: that of the dates, else now)"
    )
    command.add_argument(
        "--visit",
        action="append",
        default=[],
        metavar="DAY",
        help="a day on which a helper comes, as 7 or a date; repeatable",
    )
    command.add_argument(
        "--sheet", metavar="FILE", help="write the sheet for the helper (.html or .txt); a file in use is kept"
    )
    command.add_argument(
        "--picture", metavar="FILE", help="draw the days and the chances to this file; a file in use is kept"
    )


def absence(asked: argparse.Namespace) -> Asked:
    """The absence that is asked for; a bad place for the sheet is refused before anything is run."""
    found = absence_asked(asked.days, asked.leaves, asked.returns, asked.season, asked.visit)
    if asked.sheet and Path(asked.sheet).suffix.lower() not in (".html", ".txt"):
        raise TerralabError(f"--sheet must be a file that ends in .html or .txt; {quoted(asked.sheet)} was given.")
    if asked.sheet:
        place(asked.sheet, "sheet", Path(asked.sheet).suffix.lower())
    return found


def text_sheet(asked: argparse.Namespace, found: Asked, answer: Answer, name: str) -> Path:
    """Write the sheet as plain text and return its path."""
    data = sheet_text(answer, found.leaves, answer.us).encode("utf-8")
    return write_new(data, place(asked.sheet, f"{name}-helper", ".txt"), number=True)


def is_text(path: str) -> bool:
    """Whether the sheet is asked for as plain text."""
    return Path(path).suffix.lower() == ".txt"


def sheet_words(path: Path) -> str:
    """What is said of the sheet once it is written."""
    return f"Sheet for the helper: {path}. Write in the telephone numbers, and go through it together at the box."
