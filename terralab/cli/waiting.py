"""What is said while the fast code is prepared on a first run, so that nobody takes the quiet for a standstill."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from terralab.jit import must_compile_first

WAITING = "First run on this machine: preparing the fast code, half a minute to a minute and a half. Later runs start at once."
EVERY_S = 15.0
TELLER = "tells of preparing"


@contextmanager
def told_while_preparing(say: Callable[[str], None], every_s: float = EVERY_S) -> Iterator[None]:
    """Around the work of a command: where the fast code must be prepared first, `say` so, and again every `every_s` seconds
    until it is done.
    """
    if not must_compile_first():
        yield
        return
    say(WAITING)
    over = threading.Event()

    def tell() -> None:
        waited = 0.0
        while not over.wait(every_s) and must_compile_first():
            waited += every_s
            say(f"Still preparing the fast code, {waited:.0f} seconds so far.")

    teller = threading.Thread(target=tell, name=TELLER, daemon=True)
    teller.start()
    try:
        yield
    finally:
        over.set()
        teller.join()
