"""Sentences on a terminal: wrapped to its width, later lines set in under the first."""

from __future__ import annotations

import shutil

from terralab.wording import lines

NARROWEST, WIDEST = 40, 100  # characters; longer lines are tiring to read


def width() -> int:
    """Characters a line may have on this terminal."""
    return min(WIDEST, max(NARROWEST, shutil.get_terminal_size().columns - 1))


def wrapped(text: str, hang: int = 2, columns: int | None = None) -> str:
    """Wrap every line of `text`, keeping its own indent and setting what follows in by `hang` more.

    A number and its unit stay together, words are never cut, and a command in backticks stays on one line.

    >>> print(wrapped("  Pour a little, then pour 40 ml.", columns=24))
      Pour a little, then
        pour 40 ml.
    """
    out = []
    for line in text.splitlines():
        indent = line[: len(line) - len(line.lstrip())]
        out.extend(lines(line.strip(), columns or width(), indent, indent + " " * hang) or [""])
    return "\n".join(out)
