"""A stop (Ctrl-C) that is never lost."""

from __future__ import annotations

import sys
from _thread import interrupt_main
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Timer
from typing import Any


@contextmanager
def stoppable() -> Iterator[None]:
    """Ask again where a stop fell into a place that cannot pass it on, such as the tidying up after a drawing.

    Python itself would print the fault and go on as if nobody had asked.
    """
    before = sys.unraisablehook

    def again(fault: Any) -> None:
        if issubclass(fault.exc_type, KeyboardInterrupt):
            # a moment later: at once it would fall into this very place, and be lost again
            later = Timer(0.02, interrupt_main)
            later.daemon = True
            later.start()
        else:
            before(fault)

    sys.unraisablehook = again
    try:
        yield
    finally:
        sys.unraisablehook = before
