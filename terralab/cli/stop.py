"""A stop (Ctrl-C, or the system's request to end) that is never lost."""

from __future__ import annotations

import signal
import sys
import threading
from _thread import interrupt_main
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import PurePath
from threading import Timer
from typing import Any

STOPPED = "Stopped by you. Nothing more was written."


class Ended(KeyboardInterrupt):
    """The system, or whoever looks after it, asked this program to end: it tidies up as after Ctrl-C."""


@contextmanager
def stoppable() -> Iterator[None]:
    """Take a request to end for a stop, and ask again where a stop fell into a place that cannot pass it on, such as the tidying up after a drawing.

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

    def end(*_: object) -> None:
        raise Ended

    # only the main thread of a program hears signals
    mine = threading.current_thread() is threading.main_thread() and signal.getsignal(signal.SIGTERM) is signal.SIG_DFL
    if mine:
        signal.signal(signal.SIGTERM, end)
    sys.unraisablehook = again
    try:
        yield
    finally:
        sys.unraisablehook = before
        if mine:
            signal.signal(signal.SIGTERM, signal.SIG_DFL)


def quiet_start() -> None:
    """While the command itself is loading, which takes seconds, a stop ends in a sentence and not in lines of Python."""
    if not sys.argv or not (sys.argv[0] == "-m" or PurePath(sys.argv[0]).stem == "terralab"):
        return  # somebody's own program: how it ends is its own matter
    before = sys.excepthook

    def hook(kind: type[BaseException], error: BaseException, trace: Any) -> None:
        if not issubclass(kind, KeyboardInterrupt):
            before(kind, error, trace)
        elif sys.stderr is not None:
            sys.stderr.write(STOPPED + "\n")

    sys.excepthook = hook
