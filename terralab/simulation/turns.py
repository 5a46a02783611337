"""A say before each run, for work that somebody waits for: to stop it, or to let something more urgent go first.

Runs are short and questions are many runs. So whoever has asked a question and no longer needs it, such as a panel whose
slider has moved on, is heard within one run.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_ask: ContextVar[Callable[[], None] | None] = ContextVar("asked before each run", default=None)


class Stopped(BaseException):
    """The work is no longer waited for. No error: nothing that catches errors may go on with half an answer."""


@contextmanager
def before_each_run(ask: Callable[[], None]) -> Iterator[None]:
    """Call `ask` before each run that begins inside, also in the threads of `run_many`; it may wait or raise `Stopped`."""
    mark = _ask.set(ask)
    try:
        yield
    finally:
        _ask.reset(mark)


def take_turn() -> None:
    """Ask whether a run may begin; called by each."""
    ask = _ask.get()
    if ask is not None:
        ask()
