"""The picture of a forecast: its fans and limits are those of the answer, and a keeper can read it."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.colors import to_hex

import terralab as tl
from terralab import show
from terralab.answers.forecast.course import MESH, TOP, fan
from terralab.errors import TerralabError, TerralabWarning
from tests.keepers import keepers_box
from tests.show.looking import ALLOWED, drawn, needs_us_units, needs_words_inside_and_apart


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


def test_all_words_lie_inside_and_apart_and_are_large_enough(picture):
    needs_words_inside_and_apart(picture)
    assert min(text.get_fontsize() for text, _ in drawn(picture)) >= 9.0


def test_a_box_in_us_units_is_drawn_in_them(answer):
    needs_us_units(show.forecast_picture(replace(answer, us=True)))


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


def test_a_course_with_events_does_not_pass_for_the_routine(answer):
    assert answer.details["events"] == 0
    assert "going on as now" in show.forecast_picture(answer).alt
    told = show.forecast_picture(replace(answer, details={**answer.details, "events": 1}))
    assert "going on as now" not in told.alt + "".join(text.get_text() for text in told.texts)
