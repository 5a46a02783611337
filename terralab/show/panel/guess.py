"""Guess first, then look: a question whose result stays hidden until a reader has pressed what they believe.

*Run > Run All Cells* shows the questions and answers none of them. `on_demand` is the same for a solution: a button, and
nothing is worked out before it is pressed. A notebook that is saved and opened again shows the question with what had
come of it, and how to wake it.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from html import escape
from typing import Any

import ipywidgets as w

from terralab.errors import TerralabError, UnknownName, quoted
from terralab.show.panel.asleep import HAND, Still, asleep, curtain
from terralab.show.panel.top import back_to_top

_PAPER = "background:#fff;color:#000;padding:2px 10px;font-size:14px;line-height:1.5;max-width:60em"
# a long guess takes a second line in a narrow window, and pictures and sentences below it shrink with it: nothing is cut
_LOOK = (
    "<style>.terralab-guess .widget-button {white-space:normal; height:auto; min-height:32px; line-height:1.35; "
    "padding:5px 14px; max-width:100%; text-align:left} .terralab-guess .widget-button:focus-visible "
    "{outline:3px solid #0072B2; outline-offset:1px} .terralab-result, .terralab-result .widget-html-content "
    "{min-width:0; max-width:100%; margin-left:0; margin-right:0; box-sizing:border-box}</style>"
)


# a page of Jupyter breaks its lines of text within words, which nobody can read on a phone
_PRE = "white-space:pre-wrap;word-break:normal;overflow-wrap:break-word"


def as_html(thing: Any) -> str:
    """Anything a notebook can show, as HTML: a picture with its words, an answer, a table; else its text as it is."""
    if thing is None:
        return ""
    if isinstance(thing, (list, tuple)):
        return "".join(as_html(one) for one in thing)
    if isinstance(thing, str):
        return f"<p>{escape(thing)}</p>"
    for way in ("_repr_mimebundle_", "_repr_html_"):
        made = getattr(thing, way)() if hasattr(thing, way) else None
        html = made.get("text/html") if isinstance(made, dict) else made
        if html:
            return str(html)
    return f'<pre style="{_PRE}">{escape(str(thing))}</pre>'


class Reveal(w.VBox):
    """Buttons, and below them what `work` shows once one is pressed. `press` does by code what a hand does.

    `shown` is the HTML now below the buttons, "" before a press; `pressed` the words of the button.
    """

    def __init__(self, question: str, options: Sequence[str], work: Callable[[], Any], right: str | None) -> None:
        if not callable(work):
            raise TerralabError(
                f"work must be a function that shows the result, such as one you wrote; {quoted(work)} was given."
            )
        self.question, self.options, self.right = question, tuple(options), right
        self.pressed: str | None = None
        self.shown = ""
        self._work, self._found = work, None
        # the tooltip is read after the words of the button, so that each is understood where it is met
        self._buttons = [
            w.Button(description=text, tooltip=question or text, layout=w.Layout(width="auto", height="auto"))
            for text in options
        ]
        for button in self._buttons:
            button.on_click(lambda pressed: self.press(pressed.description))
        row = w.HBox(self._buttons, layout=w.Layout(flex_flow="row wrap"))
        row.add_class(HAND)
        row.add_class("terralab-guess")
        self._below = w.HTML(layout=w.Layout(width="100%"))
        self._below.add_class("terralab-result")
        super().__init__()
        self._again = asleep("question" if question else "button")
        self._still = Still(self.model_id, self._again)
        self._asked = f'<p style="{_PAPER}"><strong>{escape(question)}</strong></p>' if question else ""
        self.children = [w.HTML(_LOOK + curtain(self.model_id, self._again) + self._asked), row, self._below]

    def press(self, option: str) -> Reveal:
        """Choose an option and show the result. Raises UnknownName for an option that is not there."""
        if option not in self.options:
            raise UnknownName.among("guess", option, self.options)
        self.pressed = option
        for button in self._buttons:
            chosen = button.description == option
            button.button_style, button.icon = ("info", "check") if chosen and self.question else ("", "")
        if self._found is None:
            self._show("<em>Working it out.</em>", busy=True)
            said = io.StringIO()
            try:
                with redirect_stdout(said):
                    thing = self._work()
            except BaseException as error:
                words = str(error) if isinstance(error, TerralabError) else "It was not finished."
                self._show(f"{escape(words)} Press again to try again.")
                raise
            text = f'<pre style="{_PRE}">{escape(said.getvalue())}</pre>' if said.getvalue() else ""
            self._found = text + as_html(thing)
        verdict = ""
        if self.right is not None:
            what = "Right." if option == self.right else f"Not so: {self.right}."
            verdict = f"<p><strong>You said: {escape(option)}.</strong> {escape(what)}</p>"
        elif self.question:
            verdict = f"<p><strong>You said: {escape(option)}.</strong></p>"
        self._show(verdict or "The result is below.", self._found)
        self._still.renew(self._kept())
        return self

    def _show(self, status: str, found: str = "", busy: bool = False) -> None:
        """Announce `status` to whoever listens, and show what was found under it; long tables are not read out."""
        below = f'<div role="region" aria-label="result">{found}</div>' if found else ""
        quiet = "" if self.question or busy or not found else ";position:absolute;left:-9999px"
        self.shown = (
            f'<div role="status" aria-busy="{str(busy).lower()}" style="{_PAPER}{quiet}">{status}</div>'
            f'<div style="{_PAPER}">{below}</div>'
        )
        self._below.value = self.shown

    def _kept(self) -> str:
        """What a saved notebook keeps: the question, and the result once there is one."""
        named = self._asked or f'<p style="{_PAPER}"><strong>{escape(self.options[0])}</strong></p>'
        guesses = f'<p style="{_PAPER}">Guesses: {escape("; ".join(self.options))}.</p>' if self.question else ""
        return named + guesses + self.shown

    def _ipython_display_(self) -> None:
        """Show it, and below it what stays of it in a saved notebook; hidden while it is awake."""
        from IPython.display import display

        display(self._repr_mimebundle_(), raw=True)
        self._still.show(self._kept(), back_to_top())

    def _repr_mimebundle_(self, **more: Any) -> dict[str, Any]:
        data = super()._repr_mimebundle_(**more) or {}
        return data | {"text/plain": repr(self)}

    def __repr__(self) -> str:
        return f"{self.question} {self._again}".strip()


def guess(question: str, options: Sequence[str], work: Callable[[], Any], right: str | None = None) -> Reveal:
    """Ask for a guess before anything is computed.

    `options`: two to six short texts, each a button. `work`: called once, at the first press; what it prints and what it
    gives (a picture, an answer, a text, a table, or a list of these) is shown. `right`: the option that comes out, where
    there is one; the guess is then compared with it. Raises TerralabError for a question that is no text, for other
    options, for a `work` that cannot be called, and for a `right` that is none of the options.
    """
    texts = tuple(options) if isinstance(options, (list, tuple)) else ()
    if (
        not 2 <= len(texts) <= 6
        or not all(isinstance(one, str) and one for one in texts)
        or len(set(texts)) < len(texts)
    ):
        raise TerralabError(f"options must be two to six different texts; {quoted(options)} was given.")
    if right is not None and (not isinstance(right, str) or right not in texts):
        raise UnknownName.among("right guess", right, texts)
    return Reveal(_text("question", question), texts, work, right)


def on_demand(label: str, work: Callable[[], Any]) -> Reveal:
    """A button `label`; pressed, it shows what `work` prints and gives, as in `guess`. Raises as `guess` does."""
    return Reveal("", (_text("label", label),), work, None)


def _text(name: str, given: Any) -> str:
    if not isinstance(given, str) or not given.strip():
        raise TerralabError(f"{name} must be a text with at least one letter; {quoted(given)} was given.")
    return given
