"""The picture of a forecast: its fans and limits are those of the answer, and a keeper can read it."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.text import Text

import terralab as tl
from terralab import show
from terralab.answers.forecast.course import MESH, TOP, fan
from terralab.errors import TerralabError, TerralabWarning
from terralab.show.figures import style as looks
from tests.keepers import keepers_box

ALLOWED = {to_hex(c) for c in (*looks.PALETTE, looks.NIGHT, looks.LINE, "white")}


def drying() -> tl.Box:
    return tl.load("fern-hollow").change(
        **{"room.humidity": "20 %", "routine.pours": [], "routine.sprays": [], "routine.siphons": []}
    )


BOXES = {
    "drying": (drying, 60),
    "flooding": (lambda: drying().change(**{"routine.pours": [{"time": "08:00", "amount": "1 l"}]}), 20),
    "dry": (lambda: tl.load("dry-ledge"), 3),
    "a keeper's": (lambda: keepers_box(103), 90),
}


@pytest.fixture(scope="module", params=BOXES)
def answer(request) -> tl.Answer:
    make, days = BOXES[request.param]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.forecast(make(), days, members=4, pour_members=4)


@pytest.fixture(scope="module")
def picture(answer):
    return show.forecast_picture(answer)


def drawn(picture) -> list:
    """Every text that is really drawn, with its place in pixels."""
    found = []
    draw = Text.draw

    def noted(self, renderer, *args, **kwargs):
        if self.get_visible() and self.get_text().strip():
            found.append((self, self.get_window_extent(renderer)))
        return draw(self, renderer, *args, **kwargs)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Text, "draw", noted)
        looks.png(picture)
    return found


def test_all_words_lie_inside_and_apart_and_are_large_enough(picture):
    width, height = picture.get_size_inches() * picture.dpi
    words = drawn(picture)
    for text, box in words:
        assert 0.0 <= box.x0 <= box.x1 <= width, text
        assert 0.0 <= box.y0 <= box.y1 <= height, text
        assert text.get_fontsize() >= 9.0
    for k, (text, box) in enumerate(words):
        for later, its_box in words[k + 1 :]:
            across = min(box.x1, its_box.x1) - max(box.x0, its_box.x0)
            up = min(box.y1, its_box.y1) - max(box.y0, its_box.y0)
            assert min(across, up) <= 1.0, (text, later)


def test_every_axis_has_its_unit_and_all_colours_are_of_the_palette(picture, answer):
    units = [axes.get_ylabel() for axes in picture.axes]
    assert units[:4] == ["% of volume", "m of water", "% RH", "°C"]
    assert len(units) == (5 if answer.record.has_reservoir else 4)
    assert "days from now" in picture.axes[-1].get_xlabel()
    for axes in picture.axes:
        for line in axes.lines:
            assert to_hex(line.get_color()) in ALLOWED
        for filled in axes.collections:
            assert {to_hex(c[:3]) for c in filled.get_facecolor() if c[3] > 0} <= ALLOWED


def test_the_fans_are_the_draws_of_the_answer(picture, answer):
    """The middle line lies within the band, the band within the draws; days run from now to the last."""
    soil = picture.axes[0]
    assert soil.get_xlim() == (0.0, answer.details["days"])
    strong = [line for line in soil.lines if line.get_linewidth() > 1.7]
    names = [name for name in answer.sample.results if name.startswith("water ")]
    assert len(strong) == len(names) > 0
    for line, name in zip(strong, names, strict=True):
        low, middle, high = fan(answer.sample, name)
        np.testing.assert_array_equal(line.get_ydata(), middle)
        values = answer.sample.results[name]
        assert np.all((low <= middle) & (middle <= high))
        assert np.all((np.nanmin(values, axis=0) <= low) & (high <= np.nanmax(values, axis=0)))


def test_a_limit_that_is_passed_is_marked_on_the_day_that_is_said(picture, answer):
    """The bar on a limit runs from the soonest to the latest day of the answer, to the end where that is open."""
    marked = {MESH: 4, TOP: 1}
    for name, panel in marked.items():
        span = answer.details["limits"].get(name)
        if span is None or span[0] is None or panel >= len(picture.axes) or answer.value is None:
            continue
        bars = [line.get_xdata() for line in picture.axes[panel].lines if line.get_linewidth() == 4.0]
        days = answer.details["days"]
        assert [span[0], days if span[2] is None else span[2]] in [list(bar) for bar in bars]


def test_the_words_say_the_limits_and_the_ends(picture, answer):
    assert f"the next {answer.details['days']} days" in picture.alt
    assert "°C" in picture.alt
    assert "%" in picture.alt
    assert "nan" not in picture.alt
    last = answer.table[-1]
    depth = "whole" if "water whole" in last else "top"
    assert f"at the end, {depth}: {last[f'water {depth}'][1]:.0f} %" in picture.alt


def test_another_answer_is_refused():
    for other in (None, "forecast", 3):
        with pytest.raises(TerralabError, match=r"tl\.forecast"):
            show.forecast_picture(other)
