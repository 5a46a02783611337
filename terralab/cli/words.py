"""Sentences on a terminal: wrapped to its width, later lines set in under the first."""

from __future__ import annotations

import re
import shutil
import textwrap

NARROWEST, WIDEST = 40, 100  # characters; longer lines are tiring to read
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|°C|C|ml|l|cm|mm|m)(?!\w))")
_COMMAND = re.compile(r"`[^`\n]{1,60}`")
_GLUE = "\u00a0"  # a blank at which no line ends


def width() -> int:
    """Characters a line may have on this terminal."""
    return min(WIDEST, max(NARROWEST, shutil.get_terminal_size().columns - 1))


def wrapped(text: str, hang: int = 2, columns: int | None = None) -> str:
    """Wrap every line of `text`, keeping its own indent and setting what follows in by `hang` more.

    A number and its unit stay together.

    >>> print(wrapped("  Pour a little, then pour 40 ml.", columns=24))
      Pour a little, then
        pour 40 ml.
    """
    out = []
    for line in text.splitlines():
        indent = line[: len(line) - len(line.lstrip())]
        glued = _COMMAND.sub(lambda found: found[0].replace(" ", _GLUE), _BEFORE_UNIT.sub(_GLUE, line.strip()))
        pieces = textwrap.wrap(
            glued,
            columns or width(),
            initial_indent=indent,
            subsequent_indent=indent + " " * hang,
            break_long_words=False,
            break_on_hyphens=False,
        )
        out.extend(pieces or [""])
    return "\n".join(out).replace(_GLUE, " ")
