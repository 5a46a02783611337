"""A stop (Ctrl-C, or the system's request to end) that is never lost."""

from __future__ import annotations

import atexit
import os
import signal
import sys
import threading
from _thread import interrupt_main
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import PurePath
from threading import Timer
from typing import Any, NoReturn

STOPPED = "Stopped by you. Nothing more was written."
NOT_BEGUN = (
    "terralab could not begin. This machine has too little memory for it, a setting of a library (NUMBA_...) is wrong, or a "
    "library is missing: then install terralab again."
)


#: Asked to end by the system, or by a terminal whose window was closed.
_ENDS = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))


class Ended(KeyboardInterrupt):
    """The system, or whoever looks after it, asked this program to end: it tidies up as after Ctrl-C.

    Its first argument is the number of the signal.
    """


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

    def end(number: int, *_: object) -> None:
        raise Ended(number)

    # only the main thread of a program hears signals; one that is ignored (nohup) stays so
    main = threading.current_thread() is threading.main_thread()
    mine = [one for one in _ENDS if main and signal.getsignal(one) is signal.SIG_DFL]
    for one in mine:
        signal.signal(one, end)
    sys.unraisablehook = again
    try:
        yield
    finally:
        sys.unraisablehook = before
        for one in mine:
            signal.signal(one, signal.SIG_DFL)


def leave(code: int) -> NoReturn:
    """End this program with its exit code; one that was stopped, once it has tidied up, ends at once.

    A thread of it may still be at work in compiled code, and a Python that ends around such a thread can abort.
    """
    if code <= 128:
        sys.exit(code)
    try:
        atexit._run_exitfuncs()
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
    finally:
        os._exit(code)  # also where the terminal is gone and nothing can be flushed


def quiet_start() -> None:
    """While the command itself is loading, which takes seconds, a stop ends in a sentence and not in lines of Python.

    So does what keeps its libraries from loading. With `python -X dev` all lines are shown.
    """
    if not sys.argv or not (sys.argv[0] == "-m" or PurePath(sys.argv[0]).stem == "terralab"):
        return  # somebody's own program: how it ends is its own matter
    before = sys.excepthook

    def hook(kind: type[BaseException], error: BaseException, trace: Any) -> None:
        if sys.flags.dev_mode:
            before(kind, error, trace)
        elif sys.stderr is not None:
            why = " ".join(f"{kind.__name__}: {error}".split())[:160].rstrip(".")
            sys.stderr.write(f"{STOPPED if issubclass(kind, KeyboardInterrupt) else f'{NOT_BEGUN} ({why}.)'}\n")

    sys.excepthook = hook
