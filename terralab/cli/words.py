"""Sentences on a terminal: wrapped to its width, later lines set in under the first, what to do and what is wrong in colour."""

from __future__ import annotations

import os
import shutil
import sys

from terralab.answers.common.answer import VIEWS, Answer
from terralab.answers.common.brief import COLUMNS
from terralab.answers.common.statement import Kind
from terralab.errors import visible
from terralab.wording import lines

NARROWEST, WIDEST = 40, 100  # characters; longer lines are tiring to read
_PLAIN = "\x1b[0m"
#: Bold, and one colour that stays readable on black and on white; nothing is said by the colour alone.
_LOOKS = {Kind.TITLE: "\x1b[1m", Kind.DO: "\x1b[1m", Kind.WARNING: "\x1b[1;35m", Kind.WRONG: "\x1b[1;35m"}
MORE = "More: --why (reasons), --all (tables too), `terralab cautions` (all of them)."


def width(most: int = WIDEST) -> int:
    """Characters a line may have on this terminal."""
    return min(most, max(NARROWEST, shutil.get_terminal_size().columns - 1))


def in_colour() -> bool:
    """Whether somebody looks at a terminal that shows colours, and has not asked for none (the NO_COLOR convention)."""
    stream = sys.stdout
    dumb = os.environ.get("TERM") == "dumb"
    return stream is not None and stream.isatty() and not dumb and not os.environ.get("NO_COLOR")


def wrapped(text: str, hang: int = 2, columns: int | None = None) -> str:
    """Wrap every line of `text`, keeping its own indent and setting what follows in by `hang` more.

    What a name or a file brings along of orders to a terminal is spelled out. A number and its unit stay together, words are never cut, and a command in backticks stays on one line.

    >>> print(wrapped("  Pour a little, then pour 40 ml.", columns=24))
      Pour a little, then
        pour 40 ml.
    """
    out = []
    for line in visible(text).splitlines():
        indent = line[: len(line) - len(line.lstrip())]
        out.extend(lines(line.strip(), columns or width(), indent, indent + " " * hang) or [""])
    return "\n".join(out)


def screen(answer: Answer, view: str) -> str:
    """A view of an answer ("short", "why" or "all") as it stands on this terminal."""
    columns = width(COLUMNS if view == "short" else WIDEST)
    colour = in_colour()
    out = []
    for one in answer.statements:
        if VIEWS[view] not in one.views:
            continue
        text = wrapped("\n".join(one.lines(answer.us)), columns=columns)
        look = _LOOKS.get(one.kind, "") if colour else ""
        out.append(f"{look}{text}{_PLAIN}" if look else text)
    if view == "short":
        out.append(wrapped(f"  {MORE}", columns=columns))
    return "\n".join(out)
