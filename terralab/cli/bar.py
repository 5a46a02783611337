"""A bar that fills while many runs are done, on the error stream of a terminal and nowhere else."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

WIDE = 30


@contextmanager
def bar() -> Iterator[Callable[[int, int], None] | None]:
    """Return a function (done, of) that draws the bar; None where nobody looks at a terminal. Wipes it in the end."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    widest = 0

    def draw(done: int, of: int) -> None:
        nonlocal widest
        full = round(WIDE * done / max(1, of))
        text = f"{'#' * full}{'.' * (WIDE - full)} {done} of {of} runs"
        widest = max(widest, len(text))
        # the last one wipes the bar, so that the answer starts on a clean line
        sys.stderr.write("\r" + (text.ljust(widest) if done < of else " " * widest + "\r"))
        sys.stderr.flush()

    yield draw
