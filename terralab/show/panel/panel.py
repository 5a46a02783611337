"""A panel for people who do not program: sliders and choices, one picture, the answer in sentences.

While a slider moves, one run is drawn at once and the old sentences turn grey. When it has rested for a moment the
whole answer with its range is worked out. What a question needs beyond that stands in `panel_questions`.
"""

from __future__ import annotations

import asyncio
import os
import warnings
from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as w

from terralab.answers.common.answer import Answer
from terralab.answers.common.statement import Kind, View
from terralab.describe.box import Box
from terralab.describe.files import demos, load, save
from terralab.describe.needed import needs_box
from terralab.describe.system import speaks_us
from terralab.errors import DescriptionError, TerralabError, TerralabWarning, UnknownName
from terralab.quantities import SYSTEMS, US, marked, pretty, said
from terralab.show.panel.asleep import AGAIN, HAND, Still, curtain
from terralab.show.panel.controls import Choice, Slide, described, with_values

REST_S = 0.6  # a slider that has not moved for so long counts as let go
_WIDE = w.Layout(width="100%")
_LABEL = {"description_width": "13em"}
_PAPER = "background:#fff;color:#000;padding:4px 10px;max-width:800px;line-height:1.45"


@dataclass(frozen=True)
class Question:
    """What one panel asks. `preview` runs a box once and gives what `draw` needs and a sentence; `answer` works it out.

    `draw(seen, answer, system)` gives a PNG and its alternative text; `answer` is None while only a preview is there.
    `leads_on`: link the other notebooks.
    """

    title: str
    controls: tuple[Slide | Choice, ...]
    preview: Callable[[Box], tuple[Any, str]]
    answer: Callable[[Box], Answer]
    draw: Callable[[Any, Answer | None, str], tuple[bytes, str]]
    leads_on: bool = False


class Panel(w.VBox):
    """The panel of one question. Show it by writing its name in the last line of a cell.

    `box` is the box as the sliders stand, `answer` the last answer (None while one is due), `units` "metric" or "US",
    `words` the sentences now shown. `move` and `release` do by code what a hand does.
    """

    def __init__(self, question: Question, box: Box | str = "fern-hollow") -> None:
        self.question = question
        self.answer: Answer | None = None
        self.words = ""
        self._moved: dict[str, Any] = {}
        self._sliders: dict[str, w.Widget] = {}
        self._setting = False
        self._timer: asyncio.TimerHandle | None = None
        self._seen: Any = None
        self._units = w.ToggleButtons(
            options=list(SYSTEMS), tooltips=["cm, ml, °C", "in, fl oz, °F"], style={"button_width": "5em"}
        )
        units = w.HBox([w.Label("Units", layout=w.Layout(margin="2px 4px 2px 24px")), self._units])
        self._open = w.Combobox(
            value=box if isinstance(box, str) else "", options=_boxes(), description="Box", placeholder="a file, or a demo",
        )  # fmt: skip
        opener = w.Button(description="Open this box")
        self._name = w.Text(value="my-box.toml", description="File name")
        saver = w.Button(description="Save this box")
        self._grid = w.GridBox(
            layout=w.Layout(grid_template_columns="repeat(auto-fit, minmax(390px, 1fr))", max_width="820px")
        )
        self._image, self._text, self._note = w.HTML(layout=_WIDE), w.HTML(layout=_WIDE), w.HTML(layout=_WIDE)
        opener.on_click(lambda _: self._opened(self._open.value))
        saver.on_click(lambda _: self._saved(self._name.value))
        self._units.observe(lambda _: self._show_units(), "value")
        above, below = (
            w.HBox(row, layout=w.Layout(flex_flow="row wrap"))
            for row in ([self._open, opener, units], [self._name, saver])
        )
        for row in (above, self._grid, below):
            row.add_class(HAND)
        super().__init__()
        self._still = Still(self.model_id)
        asleep = w.HTML(curtain(self.model_id))
        self.children = [asleep, above, self._grid, self._image, self._text, self._note, below]
        box = load(box) if isinstance(box, (str, os.PathLike)) else box
        needs_box(box, "A panel")
        self._take(box)
        self.release()

    @property
    def units(self) -> str:
        """The system of units now shown."""
        return self._units.value

    @units.setter
    def units(self, system: str) -> None:
        if system not in SYSTEMS:
            raise UnknownName.among("system of units", system, SYSTEMS)
        self._units.value = system

    @property
    def alt(self) -> str:
        """What the picture shows, in words."""
        return self._alt

    def move(self, **values: Any) -> Panel:
        """Move sliders, in the units shown, and choose from lists, as a hand would; `release` then gives the answer.

        Raises UnknownName for a slider the panel does not have.
        """
        for key, value in values.items():
            if key not in self._sliders:
                raise UnknownName.among("slider", key, self._sliders)
            slider = self._sliders[key]
            if isinstance(slider, w.FloatSlider) and not slider.min <= value <= slider.max:
                raise TerralabError(
                    f"{slider.description} must be {slider.min:g} to {slider.max:g}; {value!r} was given."
                )
            slider.value = value
        return self

    def release(self) -> Panel:
        """Work the answer out now, without waiting for the sliders to rest."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        if self.answer is None and (self._seen is not None or self._preview()):
            self._settle()
        return self

    def _ipython_display_(self) -> None:
        """Show the panel, and below it what stays of it in a saved notebook; hidden while the panel is awake."""
        from IPython.display import display

        display(self._repr_mimebundle_(), raw=True)
        self._still.show(self._image.value + self._text.value)

    def _repr_mimebundle_(self, **more: Any) -> dict[str, Any]:
        data = super()._repr_mimebundle_(**more) or {}
        return data | {"text/plain": AGAIN}

    def __repr__(self) -> str:
        return AGAIN

    def _take(self, box: Box) -> None:
        """Start from a box: sliders where it has something to slide, each at its value."""
        self._base, self.box, self._moved, self.answer, self._seen = box, box, {}, None, None
        self._sliders = {}  # none are there yet that a change of units could turn
        self._units.value = US if speaks_us(box) else self._units.value
        self._values = described(self.question.controls, box)
        self._sliders = {c.key: self._slider(c) for c in self.question.controls if c.key in self._values}
        self._set_sliders()
        self._grid.children = tuple(self._sliders.values())
        self._answered: tuple[Box, Answer] | None = None

    def _slider(self, control: Slide | Choice) -> w.Widget:
        if isinstance(control, Choice):
            held, options = self._values[control.key], list(control.options)
            if held not in [value for _, value in options]:  # a mixture, or a material of the keeper's own
                options.append((str(held), held))
            made: w.Widget = w.Dropdown(options=options, description=control.words, style=_LABEL)
        else:
            made = w.FloatSlider(description=control.words, style=_LABEL, continuous_update=True)
        made.layout.width = "390px"
        made.observe(lambda change, c=control: self._changed(c, change["new"]), "value")
        return made

    def _set_sliders(self) -> None:
        """Put every slider where its value is, in the units shown; this is no move of the keeper's."""
        self._setting = True
        for control in self.question.controls:
            slider = self._sliders.get(control.key)
            if slider is None:
                continue
            value = self._values[control.key]
            if isinstance(control, Choice):
                slider.value = value
                continue
            scale, shown = control.scale(self.units), control.shown(value, self.units)
            with slider.hold_trait_notifications():
                slider.min, slider.max = min(scale.low, shown), max(scale.high, shown)
                slider.step, slider.readout_format = scale.step, f".{scale.digits}f"
                slider.value, slider.description = shown, f"{control.words}, {pretty(scale.unit)}"
        self._setting = False

    def _changed(self, control: Slide | Choice, value: Any) -> None:
        if self._setting:
            return
        inside = value if isinstance(control, Choice) else control.inside(value, self.units)
        self._moved[control.key] = self._values[control.key] = inside
        self.answer = None
        if not self._preview():
            return
        if self._answered is not None and self.box == self._answered[0]:
            self._show_answer(self._answered[1])  # moved back to where it was: nothing needs to be worked out
        else:
            self._later()

    def _later(self) -> None:
        """Have the answer worked out once the slider rests. Without a running loop `release` does it."""
        if self._timer is not None:
            self._timer.cancel()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return
        self._timer = loop.call_later(REST_S, self.release)

    def _preview(self) -> bool:
        """One run, drawn at once; the old sentences turn grey. False where the box cannot be."""
        try:
            with warnings.catch_warnings():
                # what a box warns of is shown below the picture
                warnings.simplefilter("ignore", TerralabWarning)
                self.box = with_values(self._base, self.question.controls, self._moved) if self._moved else self._base
                self._seen, words = self.question.preview(self.box)
        except TerralabError as error:
            self._refuse(error)
            return False
        self._say_note(" ".join(map(marked, self.box.cautions())))
        self._draw()
        self._say(f"{words} Let go, and the whole answer is worked out.", grey=True)
        return True

    def _settle(self) -> None:
        self._say("Working out the answer with its range. This takes a few seconds.", grey=True)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", TerralabWarning)
                answer = self.question.answer(self.box)
        except TerralabError as error:
            self._refuse(error)
            return
        except BaseException:
            # a slider's answer runs outside any cell, so nobody else would say so
            self._say("The answer was not finished. Move a slider to ask again.", grey=True)
            raise
        self._answered = self.box, answer
        self._show_answer(answer)

    def _show_answer(self, answer: Answer) -> None:
        self.answer = answer
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        self._draw()
        self._say_answer()
        self._still.renew(self._image.value + self._text.value)

    def _draw(self) -> None:
        data, self._alt = self.question.draw(self._seen, self.answer, self.units)
        source = b64encode(data).decode()
        self._image.value = (
            f'<img alt="{escape(self._alt)}" src="data:image/png;base64,{source}" '
            'style="max-width:100%;height:auto;background:#fff">'
        )

    def _say(self, html: str, grey: bool = False) -> None:
        """Show sentences; grey ones are also set in italics and marked as not final for a screen reader."""
        look = "color:#595959;font-style:italic" if grey else ""
        text = said(html, self.units == US)
        self.words = text
        self._text.value = f'<div role="status" aria-busy="{str(grey).lower()}" style="{_PAPER};{look}">{text}</div>'

    def _say_answer(self) -> None:
        """The short screen of the answer, what to do first and large; its reasons folded below."""
        rows = {
            view: [
                (one.kind, escape(marked(one.text), quote=False))
                for one in self.answer.statements
                if view in one.views and one.kind is not Kind.TITLE
            ]
            for view in (View.SHORT, View.WHY)
        }
        large = 'style="font-size:115%;font-weight:bold"'
        out = "".join(f"<p {large if kind is Kind.DO else ''}>{text}</p>" for kind, text in rows[View.SHORT])
        why = "".join(f"<p>{text}</p>" for _, text in rows[View.WHY])
        out += f"<details><summary>Why, what the range means, and what is taken for granted</summary>{why}</details>"
        self._say(out + (_links() if self.question.leads_on else ""))

    def _say_note(self, text: str) -> None:
        shown = said(escape(text), self.units == US)
        self._note.value = (
            f'<div role="alert" style="{_PAPER};border-left:4px solid #0072B2">{shown}</div>' if text else ""
        )

    def _refuse(self, error: TerralabError) -> None:
        """Say what is wrong; no number and no picture stays."""
        self.answer, self._seen, self._alt = None, None, ""
        self._image.value = ""
        self._say("No answer: something in the box cannot be right. See below.", grey=True)
        self._say_note(self._in_keepers_words(error))

    def _in_keepers_words(self, error: TerralabError) -> str:
        if not isinstance(error, DescriptionError):
            return str(error)
        return " ".join(
            f"{p.field.removeprefix('enclosure.').replace('.', ', ').replace('_', ' ')}: {marked(p.given)}. "
            f"Allowed: {marked(p.allowed)}.{' ' if p.hint else ''}{marked(p.hint)}"
            for p in error.problems
        )

    def _show_units(self) -> None:
        if not self._sliders:
            return
        self._set_sliders()
        if self.answer is None:
            self._preview()
        else:
            self._draw()
            self._say_answer()

    def _opened(self, name: str) -> None:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", TerralabWarning)
                box = load(name.strip())
        except TerralabError as error:
            self._say_note(f"Not opened. {self._in_keepers_words(error)}")
            return
        self._take(box)
        if self._preview():
            self._later()

    def _saved(self, name: str) -> None:
        path = Path(name.strip() or "my-box.toml")
        path = path if path.suffix else path.with_suffix(".toml")
        if path.exists():
            self._say_note(f"Not saved: {path} is already there and was kept. Choose another name.")
            return
        try:
            self._say_note(f"Saved as {save(self.box, path).resolve()}.")
        except TerralabError as error:
            self._say_note(f"Not saved. {error}")
            return
        self._open.options = _boxes()


def _boxes() -> list[str]:
    """The demos, and the description files beside the notebook."""
    return [*demos(), *sorted(path.name for path in Path().glob("*.toml"))]


def _links() -> str:
    """Links to the notebooks beside this one, those of the questions."""
    found = sorted(path.name for path in Path().glob("[01][0-9]*_*.ipynb") if not path.name.startswith("00"))
    if not found:
        return ""
    words = lambda name: name.partition("_")[2].removesuffix(".ipynb").replace("_", " ")  # noqa: E731
    items = "".join(f'<li><a href="{name}" target="_blank">{words(name)}</a></li>' for name in found)
    return f"<p>Go on with a question:</p><ul>{items}</ul>"
