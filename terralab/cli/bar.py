"""How far many runs have come, on the error stream: a bar that fills on a terminal, a line each quarter elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

WIDE = 30


@contextmanager
def bar(what: str, say: Callable[[str], None]) -> Iterator[Callable[[int, int], None]]:
    """Return a function (done, of) that draws the bar, and wipes it in the end.

    Where nobody looks at a terminal it says a line for each quarter of the runs, such as "fan schedules: 25 %", by `say`.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield _quarters(what, say)
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


def _quarters(what: str, say: Callable[[str], None]) -> Callable[[int, int], None]:
    told = -1

    def tell(done: int, of: int) -> None:
        nonlocal told
        quarter = 4 * done // max(1, of)
        if told < quarter < 4:  # the answer itself says that it is done
            told = quarter
            say(f"{what}: {25 * quarter} %")

    return tell
