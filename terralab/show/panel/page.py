"""What of a panel is on the page: sliders, one picture, sentences, a line on the work, and a note. What it says is told to it."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as w

from terralab.answers.common.answer import Answer
from terralab.answers.common.rich import answer_html
from terralab.describe.box import Box
from terralab.describe.files import demos, save
from terralab.errors import DescriptionError, TerralabError, UnknownName
from terralab.quantities import SYSTEMS, US, marked, pretty, said
from terralab.show.panel import face, limits
from terralab.show.panel.asleep import AGAIN, HAND, Still, curtain
from terralab.show.panel.controls import Choice, Slide
from terralab.show.panel.question import Question
from terralab.show.panel.sliders import options_with
from terralab.show.panel.top import back_to_top


class Page(w.VBox):
    """A panel's widgets and what they show; `box` is the name that was opened. What a move means, `Panel` says."""

    box: Box
    _seen: Any
    _shown: Answer | None
    _values: dict[str, Any]
    _ends: dict[str, tuple[float, float]]

    def __init__(self, question: Question, box: str) -> None:
        self.question = question
        self._words, self._alt = "", ""
        self._moved: dict[str, Any] = {}
        self._sliders: dict[str, w.Widget] = {}
        self._setting = False
        self._units = w.ToggleButtons(
            options=list(SYSTEMS), tooltips=["cm, ml, °C", "in, fl oz, °F"], style={"button_width": "5em"}
        )
        units = w.HBox([w.Label("Units", layout=w.Layout(margin="2px 4px 2px 24px")), self._units])
        self._open = w.Combobox(
            value=box, options=_boxes(), description="Box", placeholder="a file, or a demo",
        )  # fmt: skip
        opener = w.Button(description="Open this box")
        self._name = w.Text(value="my-box.toml", description="File name")
        saver = w.Button(description="Save this box")
        self._grid = w.Box()
        self._image, self._text, self._progress, self._note = (w.HTML(layout=w.Layout(width="100%")) for _ in range(4))
        for part, name in ((self._text, "words"), (self._note, "note")):
            part.add_class(f"terralab-{name}")
            part.tabbable = True  # what scrolls can be reached by keys
        self._progress.value = face.progress("")
        opener.on_click(lambda _: self._opened(self._open.value))
        saver.on_click(lambda _: self._saved(self._name.value))
        self._units.observe(lambda _: self._show_units(), "value")
        above, below = w.HBox([self._open, opener, units]), w.HBox([self._name, saver])
        seen = w.VBox([self._image, self._progress, self._text, self._note])
        body = w.Box([self._grid, seen])
        for row in (above, self._grid, below):
            row.add_class(HAND)
        for part, name in ((above, "row"), (below, "row"), (self._grid, "controls"), (seen, "seen"), (body, "body")):
            part.add_class(f"terralab-{name}")
        super().__init__()
        self._still = Still(self.model_id)
        self.add_class(face.PANEL).add_class(face.own_class(self.model_id))
        start = w.HTML(curtain(self.model_id) + face.style())
        self.children = [start, body] if question.bare else [start, above, body, below]

    @property
    def units(self) -> str:
        """The system of units now shown."""
        return self._units.value

    @units.setter
    def units(self, system: str) -> None:
        if system not in SYSTEMS:
            raise UnknownName.among("system of units", system, SYSTEMS)
        self._units.value = system

    def _ipython_display_(self) -> None:
        """Show the panel, and below it what stays of it in a saved notebook; hidden while the panel is awake."""
        from IPython.display import display

        display(self._repr_mimebundle_(), raw=True)
        self._still.show(self._image.value + self._text.value, face.names(self.model_id) + back_to_top())

    def _repr_mimebundle_(self, **more: Any) -> dict[str, Any]:
        data = super()._repr_mimebundle_(**more) or {}
        return data | {"text/plain": AGAIN}

    def __repr__(self) -> str:
        return AGAIN

    def _slider(self, control: Slide | Choice) -> w.Widget:
        if isinstance(control, Choice):
            options = options_with(control, self._values[control.key])
            made: w.Widget = w.Dropdown(options=options, description=control.words)
        else:
            made = w.FloatSlider(description=control.words, continuous_update=True)
        made.add_class(face.CONTROL)
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
            low, high = limits.ends_shown(control, self.units, *self._ends[control.key], shown)
            with slider.hold_trait_notifications():
                slider.min, slider.max = low, high
                slider.step, slider.readout_format = scale.step, f".{scale.digits}f"
                slider.value, slider.description = shown, f"{control.words}, {pretty(scale.unit)}"
        self._setting = False

    def _draw(self) -> None:
        picture = self.question.picture
        _, self._alt = picture.draw(self._seen, self._shown, self.units)
        self._image.value = face.picture(picture.halves(), picture.widths(), picture.height(), self._alt)

    def _say(self, html: str, grey: bool = False) -> None:
        """Show sentences; grey ones are not final."""
        self._words = said(html, self.units == US)
        self._text.value = face.words(self._words, grey)

    def _say_answer(self, rough: bool = False) -> None:
        first = "<p>A rough answer, from few draws. The whole one is being worked out.</p>" if rough else ""
        answer = answer_html(self._shown, us=self.units == US, title=False)
        before = self.question.before(self.box, self._shown)
        first += f"<p>{escape(marked(before))}</p>" if before else ""
        self._say(first + answer + (face.links() if self.question.leads_on else ""), grey=rough)

    def _say_note(self, text: str) -> None:
        self._note.value = face.note(said(escape(text), self.units == US))

    def _in_keepers_words(self, error: TerralabError) -> str:
        if not isinstance(error, DescriptionError):
            return str(error)
        return " ".join(
            f"{p.field.removeprefix('enclosure.').replace('.', ', ').replace('_', ' ')}: {marked(p.given)}. "
            f"Allowed: {marked(p.allowed)}.{' ' if p.hint else ''}{marked(p.hint)}"
            for p in error.problems
        )

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
