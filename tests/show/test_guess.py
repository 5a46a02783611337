"""A guess comes before its result: nothing is worked out until a button is pressed, and once is enough."""

import re
import sys

import pytest

from terralab import TerralabError, show
from terralab.show.figures.style import Picture
from terralab.show.panel import top
from terralab.show.panel.asleep import AGAIN, asleep


def test_nothing_is_worked_out_before_a_press_and_only_once_after():
    called = []

    def work():
        called.append(1)
        sys.stdout.write("3 < 4 cm\n")
        picture = Picture(1.0)
        picture.alt = 'a "picture"'
        return [picture, "and a sentence"]

    asked = show.guess("Which is deeper?", ["this", "that"], work, right="that")
    assert not called
    assert asked.shown == ""
    asked.press("this")
    assert "You said: this.</strong> Not so: that." in asked.shown
    for text in ("3 &lt; 4 cm", "a &quot;picture&quot;", "<p>and a sentence</p>"):
        assert text in asked.shown
    asked.press("that")
    assert "You said: that.</strong> Right." in asked.shown
    assert called == [1]


def test_the_verdict_is_announced_and_long_results_are_not_read_out_with_it():
    asked = show.guess("Which is deeper?", ["this", "that"], lambda: "a long table", right="that").press("that")
    status = re.search(r'<div role="status"[^>]*>(.*?)</div>', asked.shown)[1]
    assert "You said: that." in status
    assert "a long table" not in status
    assert 'role="region" aria-label="result"' in asked.shown
    silent = show.on_demand("Solution", lambda: "a long table").press("Solution")
    assert "The result is below." in silent.shown


def test_a_saved_notebook_keeps_the_question_and_the_result_and_says_how_to_wake_it(monkeypatch):
    kept = []

    class Handle:
        def update(self, page):
            kept.append(page.data)

    def display(what, raw=False, display_id=False):
        kept.append(what if raw else what.data)
        return Handle()

    monkeypatch.setattr("IPython.display.display", display)
    monkeypatch.setattr("terralab.show.panel.asleep.display", display)
    asked = show.guess("Which is deeper < 3?", ["this", "that"], lambda: "it is that")
    asked._ipython_display_()
    assert "Which is deeper < 3?" in kept[0]["text/plain"]
    assert asleep("question") in kept[1]
    assert asleep("question") in asked.children[0].value
    assert AGAIN not in kept[1]  # it is no panel
    assert asleep("button") in repr(show.on_demand("Solution", lambda: ""))
    assert "Which is deeper &lt; 3?" in kept[1]
    assert "this; that" in kept[1]
    assert "it is that" not in kept[1]
    asked.press("this")
    assert "it is that" in kept[-1]
    assert "You said: this." in kept[-1]


def test_each_button_says_what_it_answers_and_the_chosen_one_is_marked_by_more_than_colour():
    asked = show.guess("Which is deeper?", ["this", "that"], lambda: "")
    buttons = asked.children[1].children
    assert [(b.description, b.tooltip, b.icon) for b in buttons] == [
        (t, "Which is deeper?", "") for t in ("this", "that")
    ]
    asked.press("that")
    assert [b.icon for b in buttons] == ["", "check"]


def test_a_failure_is_said_raised_and_can_be_tried_again():
    tries = []

    def work():
        tries.append(1)
        if len(tries) == 1:
            raise TerralabError("The lid is missing.")
        return "done"

    solution = show.on_demand("Solution", work)
    with pytest.raises(TerralabError):
        solution.press("Solution")
    assert "The lid is missing." in solution.shown
    assert "done" in solution.press("Solution").shown


@pytest.mark.parametrize("options", [["one"], "ab", ["a", "a"], ["a", ""], [1, 2], None])
def test_options_that_cannot_be_chosen_from_are_refused(options):
    with pytest.raises(TerralabError, match="two to six different texts"):
        show.guess("?", options, print)


def test_a_right_guess_and_a_press_must_be_among_the_options():
    with pytest.raises(TerralabError):
        show.guess("?", ["a", "b"], print, right="c")
    with pytest.raises(TerralabError):
        show.guess("?", ["a", "b"], print).press("c")


def test_only_the_first_cell_that_asks_or_shows_a_panel_brings_the_reader_back_to_the_top(monkeypatch):
    cell = "first"
    monkeypatch.setattr(top, "_first", [])
    monkeypatch.setattr(top, "_this_cell", lambda: cell)
    assert "<script>" in top.back_to_top()
    cell = "second"
    assert top.back_to_top() == ""
    cell = "first"  # run again
    assert "<script>" in top.back_to_top()
