"""Sentences on a terminal: wrapped to its width, later lines set in under the first."""

from __future__ import annotations

import shutil
import textwrap

NARROWEST, WIDEST = 40, 100  # characters; longer lines are tiring to read


def width() -> int:
    """Characters a line may have on this terminal."""
    return min(WIDEST, max(NARROWEST, shutil.get_terminal_size().columns - 1))


def wrapped(text: str, hang: int = 2, columns: int | None = None) -> str:
    """Wrap every line of `text`, keeping its own indent and setting what follows in by `hang` more.

    >>> print(wrapped("  Pour a little, wait, and pour again.", columns=24))
      Pour a little, wait,
        and pour again.
    """
    out = []
    for line in text.splitlines():
        indent = line[: len(line) - len(line.lstrip())]
        pieces = textwrap.wrap(
            line.strip(), columns or width(), initial_indent=indent, subsequent_indent=indent + " " * hang,
            break_long_words=False, break_on_hyphens=False,
        )
        out.extend(pieces or [""])
    return "\n".join(out)
