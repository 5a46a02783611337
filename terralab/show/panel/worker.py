"""Work beside the page: answers are worked out in threads of their own, so that sliders and other panels go on meanwhile.

The compiled engine lets other threads run while it computes, so threads are enough. Before each run a piece of work is
asked: it ends if nobody waits for it any more, and waits while somebody waits for something more urgent. So the first
look of one panel never waits for the whole answer of another, and two whole answers share the machine.
"""

from __future__ import annotations

import asyncio
import atexit
from collections.abc import Callable
from contextlib import suppress
from contextvars import Context, copy_context
from enum import IntEnum
from threading import Condition, Event, Thread
from typing import Any

from terralab.describe.part import cautions_untold
from terralab.simulation.turns import Stopped, before_each_run

_LOOK_S = 0.2  # how often who waits looks up, so that an interrupt is heard


class Rank(IntEnum):
    """What goes first: the first look, which a moving slider waits for. Answers share what is left."""

    LOOK = 0
    ANSWER = 1


_going: list[Work] = []
_turns = Condition()


class Work:
    """`task()` in a thread of its own, from now on. `arrived(work)` is called on `loop` when it has ended by itself.

    `done` once it has ended, `result` or `error` then; `runs`: how many runs it has begun.
    """

    def __init__(
        self,
        task: Callable[[], Any],
        rank: Rank,
        loop: asyncio.AbstractEventLoop | None = None,
        arrived: Callable[[Work], None] | None = None,
    ) -> None:
        self.rank, self.runs = rank, 0
        self.result: Any = None
        self.error: BaseException | None = None
        self._task, self._loop, self._arrived = task, loop, arrived
        self._stopped, self._done = Event(), Event()
        self._context: Context = copy_context()  # Jupyter tells by it whose message is answered
        with _turns:
            _going.append(self)
        Thread(target=self._work, name="terralab panel", daemon=True).start()

    @property
    def done(self) -> bool:
        """Whether it has ended, stopped or not."""
        return self._done.is_set()

    @property
    def stopped(self) -> bool:
        """Whether it was stopped."""
        return self._stopped.is_set()

    def stop(self) -> None:
        """Nobody waits for it any more: it ends before its next run, and says nothing."""
        self._stopped.set()
        with _turns:
            _turns.notify_all()

    def wait(self) -> None:
        """Wait until it has ended. Stopping by an interrupt stops the work too."""
        try:
            while not self._done.wait(_LOOK_S):
                pass
        except BaseException:
            self.stop()
            raise

    def _work(self) -> None:
        try:
            with cautions_untold(), before_each_run(self._turn):
                self.result = self._task()
        except BaseException as error:  # whoever waits has to hear of it, whatever it is
            self.error = error
        finally:
            with _turns:
                _going.remove(self)
                _turns.notify_all()
            self._done.set()
        if not self.stopped and self._loop is not None and self._arrived is not None:
            with suppress(RuntimeError):  # the loop is closed: the kernel is going
                self._loop.call_soon_threadsafe(self._arrived, self, context=self._context)

    def _turn(self) -> None:
        with _turns:
            while not self.stopped and any(other.rank < self.rank for other in _going):
                _turns.wait()
            self.runs += 1
        if self.stopped:
            raise Stopped


@atexit.register
def stop_all() -> None:
    """Stop whatever is still being worked out, when Python ends."""
    for work in tuple(_going):
        work.stop()


__all__ = ["Rank", "Work", "stop_all"]
