"""The panel of the wet foot: choose a mix, drag the depth of the soil and the water below it, and see the soil at rest.

It is drawn at once: soil at rest needs no run, and nothing in it is uncertain but the numbers of the mix.
"""

from __future__ import annotations

import io
import os
import warnings
from base64 import b64encode
from bisect import bisect_left
from html import escape
from typing import Any

import ipywidgets as w
import numpy as np
from PIL import Image

from terralab.answers.drainage.at_rest import at_rest, gap_cm
from terralab.describe.box import Box
from terralab.describe.files import load
from terralab.describe.needed import needs_box
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, TerralabWarning
from terralab.quantities import METRIC, US, pretty
from terralab.quantities import said as in_units
from terralab.show.figures.style import READ_PX, Picture, plain_look
from terralab.show.figures.suction import Drawing, alt_words, band_words, below_words, layer_cm
from terralab.show.panel import controls as c
from terralab.show.panel.asleep import AGAIN, HAND, Still, curtain
from terralab.show.panel.sliders import options_with, slider_for
from terralab.show.panel.small import DPI, PT, WIDTH_IN
from terralab.soil.resting import Resting

_HEIGHT_IN, _UP = 3.2, (0.17, 0.72)
_PLACES = ((0.08, 0.235), (0.395, 0.25), (0.715, 0.25))
_CONTROLS = (c.SOIL, c.SOIL_DEPTH, c.LEVEL)
_LABEL = {"description_width": "15em"}
# in a narrow window a slider stands under its name, as wide as the window
_LOOK = """<style>
.terralab-pull .widget-inline-hbox {flex-flow:row wrap; height:auto; align-items:center}
.terralab-pull .widget-inline-hbox > .widget-label {flex:1 1 12em; width:auto; text-align:left}
.terralab-pull .widget-inline-hbox > .slider-container, .terralab-pull .widget-inline-hbox > select {flex:2 1 9em; min-width:7em}
</style>"""
_PAPER = "background:#fff;color:#000;padding:4px 10px;max-width:800px;line-height:1.45"


class SuctionPanel(w.VBox):
    """The panel. Show it by writing its name in the last line of a cell.

    `box` is the box as the sliders stand, `rest` its soil at rest, `alt` and `words` what the picture shows and what
    stands below it. `move(soil=..., soil_depth=..., level=...)` does by code what a hand does, in the units shown.
    """

    def __init__(self, box: Box | str = "fern-hollow") -> None:
        box = load(box) if isinstance(box, (str, os.PathLike)) else box
        needs_box(box, "A panel")
        self.box, self._base = box, box
        self._units = US if speaks_us(box) else METRIC
        self._values = c.described(_CONTROLS, box)
        self._moved: dict[str, Any] = {}
        self._before: Resting | None = None
        self._picture = _Picture()
        self._span = _span(box)
        self._sliders = {one.key: self._slider(one) for one in _CONTROLS if one.key in self._values}
        row = w.HBox(list(self._sliders.values()), layout=w.Layout(flex_flow="row wrap"))
        row.add_class(HAND)
        row.add_class("terralab-pull")
        self._image, self._text = w.HTML(layout=w.Layout(width="100%")), w.HTML(layout=w.Layout(width="100%"))
        super().__init__()
        self._still = Still(self.model_id)
        self.children = [w.HTML(_LOOK + curtain(self.model_id)), row, self._image, self._text]
        self._show()

    def move(self, **values: Any) -> SuctionPanel:
        """Move sliders or choose a mix, as a hand would. Raises UnknownName for a slider that is not there."""
        for key, value in values.items():
            slider_for(self._sliders, key, value).value = value
        return self

    def _slider(self, control: c.Slide | c.Choice) -> w.Widget:
        value = self._values[control.key]
        if isinstance(control, c.Choice):
            options = options_with(control, value)
            made: w.Widget = w.Dropdown(options=options, value=value, description=control.words, style=_LABEL)
        else:
            scale, shown = control.scale(self._units), control.shown(value, self._units)
            high = self._highest(control, shown)
            made = w.FloatSlider(
                value=shown, min=min(scale.low, shown), max=max(high, shown), step=scale.step,
                readout_format=f".{scale.digits}f", description=f"{control.words}, {pretty(scale.unit)}", style=_LABEL,
            )  # fmt: skip
        made.layout.width, made.layout.max_width = "430px", "100%"
        made.observe(lambda change: self._changed(control, change["new"]), "value")
        return made

    def _highest(self, control: c.Slide, shown: float) -> float:
        """The end of a slider: as far as the box can go, and with water no further than half way up the soil."""
        scale = control.scale(self._units)
        high = scale.high
        if control is c.LEVEL:
            e = self.box.enclosure
            high = min(high, control.shown(e.drainage.depth_cm + 0.5 * e.soil_depth_cm, self._units))
        steps = range(round((high - shown) / scale.step), 0, -1)
        fits = bisect_left(steps, True, key=lambda n: self._can_be(control, shown + n * scale.step))
        return shown + scale.step * (steps[fits] if fits < len(steps) else 0)

    def _can_be(self, control: c.Slide, shown: float) -> bool:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", TerralabWarning)
                c.with_values(self._base, (control,), {control.key: control.inside(shown, self._units)})
        except TerralabError:
            return False
        return True

    def _changed(self, control: c.Slide | c.Choice, value: Any) -> None:
        if not self._moved:
            self._before = self.rest  # the soil as described stays to be seen, pale, behind the one that moves
        self._moved[control.key] = value if isinstance(control, c.Choice) else control.inside(value, self._units)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", TerralabWarning)
                self.box = c.with_values(self._base, _CONTROLS, self._moved)
        except TerralabError as error:
            self.words = f"This box cannot be: {error}"
            self._say()
            return
        self._show()

    def _show(self) -> None:
        us, box = self._units == US, self.box
        self.rest = at_rest(box)
        now = _span(box)
        self._span = min(now[0], self._span[0]), max(now[1], self._span[1])
        data = self._picture.png(self.rest, layer_cm(box), gap_cm(box), us, span=self._span, before=self._before)
        self.words = in_units(f"{below_words(box)} {band_words(self.rest)}", us)
        self.alt = in_units(f"{box.name}, three graphs side by side. {alt_words(self.rest)}", us) + f" {self.words}"
        self._image.value = (
            f'<div style="overflow-x:auto"><img alt="{escape(self.alt)}" src="data:image/png;base64,'
            f'{b64encode(data).decode()}" style="width:100%;min-width:{READ_PX}px;'
            f'max-width:{round(1.3 * DPI * WIDTH_IN)}px;height:auto;background:#fff"></div>'
        )
        self._say()

    def _say(self) -> None:
        self._text.value = f'<div role="status" aria-busy="false" style="{_PAPER}">{escape(self.words)}</div>'
        self._still.renew(self._image.value + self._text.value)

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


class _Picture:
    """The figure, which stays; what a slider moves is painted over the rest, which is kept as it was painted."""

    @plain_look
    def __init__(self) -> None:
        self.figure = Picture(_HEIGHT_IN)
        self.figure.set_size_inches(WIDTH_IN, _HEIGHT_IN)
        self.figure.set_dpi(DPI)
        axes = [self.figure.add_axes((left, _UP[0], width, _UP[1])) for left, width in _PLACES]
        self.drawing = Drawing(axes, PT)
        axes[-1].tick_params(labelleft=False)  # the scale is that of the first
        self._ground: Any = None
        self._scales: Any = None

    @plain_look
    def png(self, *shown: Any, **more: Any) -> bytes:
        """Draw as `Drawing.show` does, and give it as PNG."""
        self.drawing.show(*shown, **more)
        moved, canvas = sorted(self.drawing.drawn, key=lambda artist: artist.get_zorder()), self.figure.canvas
        for artist in moved:
            artist.set_animated(True)
        scales = [(axes.get_xlim(), axes.get_ylim()) for axes in self.drawing.axes]
        if scales == self._scales:
            canvas.restore_region(self._ground)
        else:
            canvas.draw()
            self._ground, self._scales = canvas.copy_from_bbox(self.figure.bbox), scales
        for artist in moved:
            artist.axes.draw_artist(artist)
        held = io.BytesIO()
        Image.fromarray(np.asarray(canvas.buffer_rgba())[:, :, :3].copy()).save(held, "png", compress_level=1)
        return held.getvalue()


def _span(box: Box) -> tuple[float, float]:
    """Heights that the picture spans [cm], from the floor of the layer to over the soil."""
    top = box.enclosure.soil_depth_cm
    return -max(layer_cm(box), 0.12 * top), 1.04 * max(top, 10.0)


def suction_panel(box: Box | str = "fern-hollow") -> SuctionPanel:
    """The panel of "why does the foot stay wet?": mix, depth of soil and level of the water, drawn at once, at rest.

    `box`: a Box, the name of a demo, or a file. Raises TerralabError for a box that cannot be read.
    """
    return SuctionPanel(box)


__all__ = ["SuctionPanel", "suction_panel"]
