"""A panel for people who do not program: sliders and choices, one picture, the answer in sentences.

While a slider moves, one run is drawn and the old sentences make way for a first look. When it has rested for a moment a
rough answer comes, then the whole one, which is that of the command line. All runs are made beside the page (`worker`);
pictures are drawn on the loop that the slider's message came by. What a question needs beyond that stands in `questions`.
"""

from __future__ import annotations

import asyncio
import os
from math import isclose
from threading import RLock
from typing import Any

from terralab.answers.common.answer import Answer
from terralab.describe.box import Box
from terralab.describe.files import load
from terralab.describe.needed import needs_box
from terralab.describe.part import cautions_untold
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError
from terralab.quantities import US, marked
from terralab.show.panel import face, limits
from terralab.show.panel.controls import Choice, Slide, described, with_values
from terralab.show.panel.page import Page
from terralab.show.panel.question import Drawn, Question
from terralab.show.panel.sliders import slider_for
from terralab.show.panel.worker import Rank, Work

REST_S = 0.3  # a slider that has not moved for so long counts as let go
TELL_S = 0.5  # between two lines on how far the work has come
_NOT_FINISHED = "The answer was not finished. Move a slider to ask again."


class Panel(Page):
    """The panel of one question. Show it by writing its name in the last line of a cell.

    `box` is the box as the sliders stand, `answer` the whole answer for it, `units` "metric" or "US", `words` the sentences
    now shown. `move` and `release` do by code what a hand does.

    In a notebook a panel works its answer out beside the page, and the cells below go on meanwhile. A cell that reads
    `answer` waits for it. So does one that reads `words` or `alt`, as long as no slider has been moved.
    """

    def __init__(self, question: Question, box: Box | str = "fern-hollow") -> None:
        self._lock = RLock()  # Jupyter answers sliders in other threads than cells
        self._looking: Work | None = None
        self._working: Work | None = None
        self._by_code = self._whole = False
        self._rests = 0
        super().__init__(question, box if isinstance(box, str) else "")
        box = load(box) if isinstance(box, (str, os.PathLike)) else box
        needs_box(box, "A panel")
        self._take(box)
        self._look_now()
        self._later(0.0)
        if _loop() is None:
            self.release()

    @property
    def answer(self) -> Answer | None:
        """The whole answer for the box as it stands. Where it is not there yet it is waited for; None for a box that cannot be."""
        self.release()
        return self._answer

    @property
    def words(self) -> str:
        """The sentences now shown: the answer's, or those of a first look after a move by code."""
        self._first()
        return self._words

    @property
    def alt(self) -> str:
        """What the picture shows, in words."""
        self._first()
        return self._alt

    def move(self, **values: Any) -> Panel:
        """Move sliders, in the units shown, and choose from lists, as a hand would; `release` then gives the answer.

        The first look is there when this returns. Raises UnknownName for a slider the panel does not have.
        """
        for key, value in values.items():
            slider = slider_for(self._sliders, key, value)
            with self._lock:
                self._by_code = True
                try:
                    slider.value = value
                finally:
                    self._by_code = False
        return self

    def release(self) -> Panel:
        """Work the whole answer out now, and wait for it."""
        while True:
            with self._lock:
                if self._answer is not None:
                    return self
                if self._refused or ((self._looking or self._seen is None) and not self._look_now()):
                    return self
                self._looking = None
                if self._working is None or not self._whole:
                    self._stop_answering()
                    self._begin(whole=True)
                work = self._working
            try:
                work.wait()
            except BaseException:
                self._say(_NOT_FINISHED, grey=True)
                raise
            self._came(work)

    def close(self) -> None:
        """Take the panel off the page, and end what is worked out for it."""
        self._drop()
        super().close()

    def _first(self) -> None:
        """Wait for the answer where the panel has just been opened."""
        if not self._moved:
            self.release()

    def _take(self, box: Box) -> None:
        """Start from a box: sliders where it has something to slide, each at its value and within what the box allows."""
        self._drop()
        self._base, self.box, self._moved, self._refused = box, box, {}, False
        self._answer: Answer | None = None  # the whole answer for the box as it stands
        self._shown: Answer | None = None  # the answer drawn, which may be a rough one
        self._seen: Any = None
        self._answered: tuple[tuple[Box, dict[str, Any]], Any, Answer] | None = None
        self._sliders = {}  # none are there yet that a change of units could turn
        self._units.value = US if speaks_us(box) else self._units.value
        self._values = described(self.question.controls, box)
        self._good = dict(self._values)
        there = [c for c in self.question.controls if c.key in self._values]
        self._ends = {
            c.key: limits.allowed(box, self.question.controls, c, self._values[c.key], {})
            for c in there
            if isinstance(c, Slide)
        }
        self._sliders = {c.key: self._slider(c) for c in there}
        self._set_sliders()
        self._grid.children = tuple(self._sliders.values())
        self.question.picture.reset()
        self._resting = True

    def _changed(self, control: Slide | Choice, value: Any) -> None:
        with self._lock:
            if self._setting:
                return
            if isinstance(control, Slide) and isclose(value, control.shown(self._values[control.key], self.units)):
                return  # the page sends back, rounded to its steps, what it was told: 59.99999999999999 for 60
            inside = value if isinstance(control, Choice) else control.inside(value, self.units)
            self._moved[control.key] = self._values[control.key] = inside
            if isinstance(control, Slide) and control.chooses is not None:
                self._choose(*control.chooses)
            self._stop_answering()
            self._answer = None
            if self._resting:
                self.question.picture.keep()
                self._resting = False
            if not self._describe(control):
                self._looking = None
            elif self._answered is not None and self._asked() == self._answered[0]:
                self._looking = None
                self._seen = self._answered[1]
                self._show_answer(self._answered[2])  # moved back to where it was: nothing needs to be worked out
            elif self._by_code or _loop() is None:
                self._looking = None
                if self._look_now():
                    self._later(REST_S)
            elif self._looking is None:
                self._look_soon()

    def _choose(self, key: str, value: Any) -> None:
        """Make a choice that goes with a slider which was moved."""
        self._moved[key] = self._values[key] = value
        self._setting = True
        self._sliders[key].value = value
        self._setting = False

    def _asked(self) -> tuple[Box, dict[str, Any]]:
        """The box as the sliders stand, and how it is asked about."""
        return self.box, self.question.how(self._values)

    def _describe(self, control: Slide | Choice) -> bool:
        """The box as the sliders stand; what cannot be is refused in the words of the panel."""
        controls = self.question.controls
        try:
            with cautions_untold():
                self.box = with_values(self._base, controls, self._moved)
        except TerralabError as error:
            why = limits.clash(self._base, controls, self._moved, control, self._good[control.key], self.units)
            self._refuse(why or self._in_keepers_words(error))
            return False
        self._good, self._refused = dict(self._values), False
        return True

    def _later(self, rest_s: float) -> None:
        """Have the answer worked out once the sliders have rested so long. Without a running loop `release` does it."""
        self._rests += 1
        loop = _loop()
        if loop is not None:
            loop.call_later(rest_s, self._rested, self._rests)

    def _rested(self, number: int) -> None:
        with self._lock:
            if number == self._rests and self._answer is None and self._working is None:
                self._begin(whole=self.question.rough is None)

    def _look_now(self) -> bool:
        """A first look, worked out and drawn at once. False where the box cannot be run."""
        try:
            with cautions_untold():
                box, how = self._asked()
                found = self.question.preview(box, **how)
        except TerralabError as error:
            self._refuse(self._in_keepers_words(error))
            return False
        self._show_look(*found)
        return True

    def _look_soon(self) -> None:
        """A first look beside the page. What moves meanwhile waits for it, and then the last place alone counts."""
        (box, how), preview = self._asked(), self.question.preview
        self._looking = Work(lambda: (box, preview(box, **how)), Rank.LOOK, _loop(), self._looked)

    def _looked(self, work: Work) -> None:
        with self._lock:
            if work is not self._looking:
                return
            self._looking = None
            last = work.error is not None or work.result[0] is self.box
            if not last:
                self._look_soon()
            if work.error is None:
                self._show_look(*work.result[1])
            elif not isinstance(work.error, TerralabError):
                self._say(_NOT_FINISHED, grey=True)
                raise work.error
            else:
                self._refuse(self._in_keepers_words(work.error))
            if last:
                self._later(REST_S)

    def _begin(self, whole: bool) -> Work:
        """Work the answer out beside the page, whole or at first roughly."""
        (box, how), ask = self._asked(), self.question.answer if whole else self.question.rough
        self._whole = whole
        self._working = Work(lambda: ask(box, **how), Rank.ANSWER, _loop(), self._came)
        self._tell(self._working)
        return self._working

    def _tell(self, work: Work) -> None:
        """Say now and then how far the work has come."""
        with self._lock:
            if work is not self._working:
                return
            what = "the answer with its range" if self._whole else "a rough answer"
            so_far = f": {work.runs} runs made so far." if work.runs else "."
            self._progress.value = face.progress(f"Working out {what}{so_far}")
            loop = _loop()
            if loop is not None:
                loop.call_later(TELL_S, self._tell, work)

    def _came(self, work: Work) -> None:
        """An answer has been worked out, or could not be."""
        with self._lock:
            if work is not self._working:
                return
            stopped = work.stopped
            self._stop_answering()
            if stopped:
                return
            if isinstance(work.error, TerralabError):
                self._refuse(self._in_keepers_words(work.error))
            elif work.error is not None:
                # it was worked out outside any cell, so nobody else would say so
                self._say(_NOT_FINISHED, grey=True)
                raise work.error
            elif self._whole:
                self._answered = self._asked(), self._seen, work.result
                self._show_answer(work.result)
            else:
                self._shown = work.result
                self._draw()
                self._say_answer(rough=True)
                self._begin(whole=True)

    def _stop_answering(self) -> None:
        self._rests += 1
        if self._working is not None:
            self._working.stop()
        self._working = None
        self._progress.value = face.progress("")

    def _drop(self) -> None:
        """End all that is worked out."""
        with self._lock:
            self._looking = None
            self._stop_answering()

    def _show_look(self, seen: Any, words: str) -> None:
        """Draw a first look; the old sentences make way for its own."""
        self._seen, self._shown = seen, None
        self._look_words = f"{words} Let go, and the whole answer is worked out."
        self._say_note(" ".join(map(marked, self.box.cautions())))
        self._draw()
        self._say(self._look_words, grey=True)

    def _show_answer(self, answer: Answer) -> None:
        self._answer = self._shown = answer
        self.question.picture.rest()
        self._resting = True
        self._say_note(" ".join(map(marked, self.box.cautions())))
        self._draw()
        self._say_answer()
        self._still.renew(self._image.value + self._text.value)

    def _refuse(self, why: str) -> None:
        """Say what is wrong; no number and no picture stays."""
        self._answer = self._shown = self._seen = None
        self._alt, self._refused = "", True
        self._image.value = face.no_picture(self.question.picture.widths(), self.question.picture.height())
        self._say("No answer: something in the box cannot be right. See below.", grey=True)
        self._say_note(why)

    def _show_units(self) -> None:
        with self._lock:
            if not self._sliders:
                return
            self._set_sliders()
            self.question.picture.reset()
            if self._seen is None:
                return
            self._draw()
            if self._shown is None:
                self._say(self._look_words, grey=True)
            else:
                self._say_answer(rough=self._answer is None)

    def _opened(self, name: str) -> None:
        try:
            with cautions_untold():
                box = load(name.strip())
        except TerralabError as error:
            self._say_note(f"Not opened. {self._in_keepers_words(error)}")
            return
        with self._lock:
            self._take(box)
            if self._look_now():
                self._later(0.0)


def _loop() -> asyncio.AbstractEventLoop | None:
    """The loop that runs in this thread, None without one."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


__all__ = ["Drawn", "Panel", "Question"]
