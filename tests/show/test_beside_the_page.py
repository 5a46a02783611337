"""Panels in a running notebook: nothing waits for an answer, the last place of a slider counts, and threads end.

The questions asked here are made up, so that a test says itself when an answer is there.
"""

from __future__ import annotations

import asyncio
import threading
import warnings
from collections.abc import Awaitable, Callable
from types import SimpleNamespace

import pytest

import terralab as tl
from terralab.errors import TerralabError, TerralabWarning
from terralab.show.panel import controls, questions
from terralab.show.panel import panel as frame
from terralab.show.panel.once import once
from terralab.show.panel.small import Small
from terralab.show.panel.worker import Rank, Work
from terralab.simulation.simulate import Job, run_many
from terralab.simulation.turns import Stopped, before_each_run

SOON_S = 30.0  # nothing here takes a second; a test that waits so long has found a panel that hangs


class Blank:
    """A picture that draws nothing and remembers what it was told."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def draw(self, seen: object, answer: object, system: str) -> tuple[bytes, str]:
        self.told.append(f"{seen} {'whole' if answer else 'look'}")
        return b"", str(seen)

    def halves(self) -> tuple[bytes, bytes]:
        return b"", b""

    def widths(self) -> tuple[int, int]:
        return 1, 1

    def height(self) -> int:
        return 1

    def keep(self) -> None:
        self.told.append("keep")

    def rest(self) -> None:
        self.told.append("rest")

    def reset(self) -> None:
        self.told.append("reset")


class Asked:
    """A question whose answers come when the test lets them; `looks` and `answers` say what was asked."""

    def __init__(self, ready: bool = True, fault: BaseException | None = None) -> None:
        self.ready, self.fault = threading.Event(), fault
        self.looks: list[float] = []
        self.answers: list[tuple[str, float]] = []
        self.threads: set[int] = set()
        if ready:
            self.ready.set()
        self.picture = Blank()
        self.question = frame.Question(
            "made up", (controls.ROOM_HUMIDITY,), self.look, lambda box: self.answer("whole", box), self.picture,
            rough=lambda box: self.answer("rough", box),
        )  # fmt: skip

    def look(self, box: tl.Box) -> tuple[float, str]:
        self.looks.append(box.room.now.humidity.value)
        return self.looks[-1], "At a first look: none."

    def answer(self, kind: str, box: tl.Box) -> SimpleNamespace:
        self.threads.add(threading.get_ident())
        self.answers.append((kind, box.room.now.humidity.value))
        while not self.ready.wait(0.005):
            run_many([Job(box, 1 / 24, accuracy="preview")] * 2)  # between runs it is heard that nobody waits any more
        if self.fault is not None:
            raise self.fault
        return SimpleNamespace(
            kind=kind, humidity=box.room.now.humidity.value, statements=(), reason="", sources=(), us=False
        )


def in_a_notebook(cell: Callable[[], Awaitable[None]]) -> None:
    """Run a test as a notebook runs: on a loop. No thread of a panel may be left behind."""
    asyncio.run(asyncio.wait_for(cell(), SOON_S))
    for thread in threading.enumerate():
        if thread.name == "terralab panel":
            thread.join(SOON_S)
            assert not thread.is_alive()


async def until(there: Callable[[], object]) -> None:
    while not there():
        await asyncio.sleep(0.005)


@pytest.fixture(autouse=True)
def short_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frame, "REST_S", 0.02)
    monkeypatch.setattr(frame, "TELL_S", 0.01)


def test_a_panel_opens_at_once_and_answers_roughly_then_wholly_in_threads_of_its_own():
    async def cell() -> None:
        asked = Asked(ready=False)
        panel = frame.Panel(asked.question, "moss-jar")
        assert "first look" in panel._words
        await until(lambda: "runs made so far" in panel._progress.value)
        asked.ready.set()
        await until(lambda: panel._answer)
        assert [kind for kind, _ in asked.answers] == ["rough", "whole"]
        assert panel.answer.kind == "whole"
        assert threading.get_ident() not in asked.threads
        assert "runs made" not in panel._progress.value

    in_a_notebook(cell)


def test_a_cell_that_reads_the_answer_waits_for_it():
    async def cell() -> None:
        asked = Asked()
        assert frame.Panel(asked.question, "moss-jar").answer.kind == "whole"
        panel = frame.Panel(asked.question, "moss-jar")
        assert "first look" not in panel.words
        assert panel.move(room_humidity=61).words.startswith("At a first look")
        assert panel.answer.humidity == 61

    in_a_notebook(cell)


def test_presses_one_upon_another_end_at_the_last_one_and_are_not_all_worked_out():
    async def cell() -> None:
        asked = Asked()
        panel = frame.Panel(asked.question, "moss-jar")
        await until(lambda: panel._answer)
        slow = threading.Event()
        look = asked.question.preview
        object.__setattr__(asked.question, "preview", lambda box: (slow.wait(SOON_S), look(box))[1])
        for humidity in range(50, 70):
            panel._sliders["room_humidity"].value = humidity
            await asyncio.sleep(0)
        slow.set()
        await until(lambda: panel._answer)
        assert panel.answer.humidity == 69
        assert asked.looks[-2:] == [50, 69]  # the first press, and the last: what lay between was outrun
        assert asked.answers[-2:] == [("rough", 69), ("whole", 69)]
        assert asked.picture.told.count("keep") == 1  # one ghost: where the sliders were before they moved

    in_a_notebook(cell)


def test_a_move_stops_the_answer_that_nobody_waits_for():
    async def cell() -> None:
        asked = Asked(ready=False)
        panel = frame.Panel(asked.question, "moss-jar")
        await until(lambda: asked.answers)
        old = panel._working
        panel._sliders["room_humidity"].value = 66
        await until(lambda: old.done)
        assert old.stopped
        assert isinstance(old.error, Stopped)
        asked.ready.set()
        await until(lambda: panel._answer)
        assert panel.answer.humidity == 66

    in_a_notebook(cell)


def test_a_panel_answers_while_another_is_at_work():
    async def cell() -> None:
        slow, quick = Asked(ready=False), Asked()
        busy = frame.Panel(slow.question, "moss-jar")
        await until(lambda: slow.answers)
        panel = frame.Panel(quick.question, "moss-jar")
        await until(lambda: panel._answer)
        assert busy._answer is None
        busy.close()

    in_a_notebook(cell)


def test_what_is_more_urgent_goes_first():
    order: list[str] = []
    begun, let = threading.Event(), threading.Event()

    def run(name: str) -> None:
        run_many([Job(tl.load("moss-jar"), 1 / 24, accuracy="preview")])
        order.append(name)

    def first() -> None:
        begun.set()
        let.wait(SOON_S)
        run("look")

    look = Work(first, Rank.LOOK)
    assert begun.wait(SOON_S)
    whole = Work(lambda: run("whole"), Rank.ANSWER)
    let.set()
    whole.wait()
    look.wait()
    assert order == ["look", "whole"]
    assert whole.runs == 1


def test_whoever_asks_before_each_run_is_heard_in_all_threads():
    def no_more() -> None:
        raise Stopped

    with before_each_run(no_more), pytest.raises(Stopped):
        run_many([Job(tl.load("moss-jar"), 1)] * 3, failed="error")
    assert len(run_many([Job(tl.load("moss-jar"), 1 / 24)] * 2)) == 2


def test_the_same_question_at_the_same_time_is_worked_out_once():
    """A page has two panels of one box; who waited for an answer that was stopped works it out, and others are not mixed up."""
    box, begun, go_on, asked = tl.load("moss-jar"), threading.Event(), threading.Event(), []

    def ask(box: tl.Box, members: int) -> SimpleNamespace:
        asked.append((box.room.now.humidity.value, members))
        begun.set()
        assert go_on.wait(SOON_S)
        if len(asked) == 1:
            raise Stopped
        return SimpleNamespace(members=members)

    first = Work(lambda: once(ask, box, members=2), Rank.ANSWER)
    assert begun.wait(SOON_S)
    second, third = (Work(lambda: once(ask, tl.load("moss-jar"), members=2), Rank.ANSWER) for _ in range(2))
    go_on.set()
    for work in (first, second, third):
        work.wait()
    assert isinstance(first.error, Stopped)
    assert second.result is third.result
    assert len(asked) == 2
    assert once(ask, box, members=3).members == 3
    once(ask, box.change(**{"room.humidity": "61 %"}), members=2)
    assert asked[2:] == [(45, 3), (61, 2)]


def test_an_interrupt_stops_the_work_and_says_so(monkeypatch):
    async def cell() -> None:
        asked = Asked(ready=False)
        panel = frame.Panel(asked.question, "moss-jar")

        def interrupted(_: float) -> bool:
            raise KeyboardInterrupt

        panel.move(room_humidity=58)
        work = panel._begin(whole=True)
        monkeypatch.setattr(work._done, "wait", interrupted)
        with pytest.raises(KeyboardInterrupt):
            panel.release()
        assert "not finished" in panel.words
        assert work.stopped

    in_a_notebook(cell)


def test_an_answer_that_fails_is_told():
    async def cell() -> None:
        loop = asyncio.get_running_loop()
        faults: list[BaseException] = []
        loop.set_exception_handler(lambda _, about: faults.append(about["exception"]))
        refused = Asked(fault=TerralabError("This box cannot be run."))
        panel = frame.Panel(refused.question, "moss-jar")
        await until(lambda: "cannot be run" in panel._note.value)
        assert panel.answer is None
        assert faults == []
        broken = Asked(fault=ZeroDivisionError("by nothing"))
        panel = frame.Panel(broken.question, "moss-jar")
        await until(lambda: "not finished" in panel._words)
        assert [type(fault) for fault in faults] == [ZeroDivisionError]

    in_a_notebook(cell)


def test_cautions_of_what_is_tried_beside_the_page_are_not_printed_and_others_are():
    """Python's own filters of warnings belong to all threads: a panel that set them would silence the keeper's cells."""
    box, hot = tl.load("fern-hollow"), {"room.temperature.day": 40.0}
    begun, go_on = threading.Event(), threading.Event()

    def task() -> tl.Box:
        begun.set()
        go_on.wait(SOON_S)
        return box.change(**hot)

    with warnings.catch_warnings():
        warnings.simplefilter("error", TerralabWarning)
        work = Work(task, Rank.ANSWER)
        assert begun.wait(SOON_S)
        with pytest.raises(TerralabWarning):
            box.change(**hot)
        go_on.set()
        work.wait()
    assert work.error is None
    assert work.result.room.now.temperature.day == 40.0


def test_the_ghost_is_where_the_line_was_and_scales_only_grow_while_sliders_move():
    small = Small()
    line = small.left.plot([], [])[0]
    small.moves(line)
    small.follow(line)
    bars = small.add_bars(small.right, 3)

    def draw(value: float) -> None:
        line.set_data([0, 1], [value, value])
        small.fit(small.left, "y", 0.0, value)
        bars.show(["a", "b"], [value, 1.0], ["", ""], False)
        small.png()

    draw(10.0)
    assert small.left.get_ylim() == (0.0, 10.0)
    small.keep()
    draw(4.0)
    assert small.left.get_ylim() == (0.0, 10.0)
    assert list(small.before(line)[1]) == [10.0, 10.0]
    assert list(bars.ghosts[0].get_xdata()) == [10.0, 10.0]
    kept = small.pixels.copy()
    small._ground = None  # painted anew from nothing it is the same
    small.png()
    assert (small.pixels == kept).all()
    draw(20.0)
    assert small.left.get_ylim()[1] >= 20.0
    small.rest()
    draw(20.0)
    assert small.left.get_ylim() == (0.0, 20.0)
    small.reset()
    draw(5.0)
    assert small.left.get_ylim() == (0.0, 5.0)
    assert small.before(line)[0].size == 0


def test_what_moves_is_painted_as_a_whole_drawing_would_paint_it():
    """The quick way paints over what it kept; a picture that forgot to name what moves would show two states at once."""
    box = tl.load("moss-jar")
    for see, picture in (
        (questions._see_air, questions.AirPicture()),
        (questions._see_bottom, questions.BottomPicture()),
        (questions._see_range, questions.SurePicture()),
    ):
        for humidity in (30.0, 80.0):
            moved = controls.with_values(box, (controls.ROOM_HUMIDITY,), {"room_humidity": humidity})
            picture.keep()
            picture.draw(see(moved)[0], None, "metric")
        quick = picture.pixels.copy()
        picture.figure.stale = True
        picture.png()
        assert abs(picture.pixels.astype(int) - quick).max() <= 1
