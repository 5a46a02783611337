"""The picture of a log: bands, residuals and ranges are those of the fit, and a keeper can read it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.colors import to_hex

import terralab as tl
from terralab import show
from terralab.answers.learn.learn import Learned, told
from terralab.errors import TerralabError
from terralab.learning.fit import Course, Fit
from terralab.show.figures import style as looks
from terralab.show.figures.learned import LOG, PARTS, by_hour
from tests.answers.hand_made_fit import NO_ML, made, record_of, refused
from tests.show.looking import ALLOWED, drawn, needs_us_units, needs_words_inside_and_apart


def two_sensors() -> Fit:
    """One sensor low and one high, of which one read nothing, and no part that was held back."""
    fit = made()
    warm, damp = fit.courses
    nothing = np.full_like(damp.measured, np.nan)
    return replace(
        fit,
        courses=(
            replace(warm, place="box low", held_out=np.full_like(warm.held_out, np.nan)),
            replace(damp, place="box low", at_least=np.zeros_like(damp.at_least)),
            replace(damp, place="box high", measured=nothing, at_least=np.zeros_like(damp.at_least)),
        ),
    )


FITS = {
    "learned": made,
    "two sensors": two_sensors,
    "refused": lambda: refused("fern-hollow", NO_ML),
    "a jar": lambda: made("moss-jar"),
}


@pytest.fixture(scope="module", params=FITS)
def answer(request) -> Learned:
    fit = FITS[request.param]()
    return told(fit.box, fit, record_of(fit))


@pytest.fixture(scope="module")
def picture(answer):
    return show.learned_picture(answer)


def test_a_box_in_us_units_is_drawn_in_them(answer):
    needs_us_units(show.learned_picture(replace(answer, us=True)))


def test_all_words_lie_inside_and_apart_and_are_large_enough(picture):
    assert picture.get_size_inches()[0] * picture.dpi == 1200
    needs_words_inside_and_apart(picture)
    assert min(text.get_fontsize() for text, _ in drawn(picture)) >= 9.0


def test_every_axis_has_its_unit_and_all_colours_are_of_the_palette(picture, answer):
    units = [axes.get_ylabel() for axes in picture.axes]
    of = {"temperature": "°C", "humidity": "% RH"}
    courses = answer.fit.courses
    assert units[: len(courses)] == [of[one.quantity] for one in courses]
    assert {"points", "°C"} <= set(units)
    assert "hour of the day" in picture.axes[-2].get_xlabel()
    assert "%" in picture.axes[-1].get_xlabel()
    for axes in picture.axes:
        for line in axes.lines:
            assert to_hex(line.get_color()) in ALLOWED
        for filled in axes.collections:
            assert {to_hex(c[:3]) for c in filled.get_facecolor() if c[3] > 0} <= ALLOWED


def lines_of(axes, colour: str) -> list:
    return [line for line in axes.lines if to_hex(line.get_color()) == to_hex(colour)]


def test_what_was_read_is_drawn_as_it_was_read_with_its_gaps_and_tops(picture, answer):
    """Nothing is drawn where nothing was read; readings at the sensor's top are marked, each of them."""
    for axes, course in zip(picture.axes, answer.fit.courses, strict=False):
        (read,) = lines_of(axes, looks.BLACK)
        np.testing.assert_array_equal(read.get_ydata(), course.measured)
        np.testing.assert_allclose(read.get_xdata(), answer.fit.hours / 24.0)
        marks = lines_of(axes, looks.ORANGE)
        assert sum(len(line.get_xdata()) for line in marks) == np.count_nonzero(
            course.at_least & np.isfinite(course.measured)
        )
        foretold = lines_of(axes, looks.VERMILLION)
        assert len(foretold) == np.isfinite(course.held_out).any()


def test_a_residual_of_one_hour_is_drawn_at_that_hour():
    """A row ends its hour: what is read two points too high from 14:00 to 15:00 stands between 14 and 15."""
    hours = np.arange(25, 25 + 72)
    flat = np.full((3, len(hours)), 80.0)
    measured = np.where(np.mod(hours - 1, 24) == 14, 82.0, 80.0)
    course = Course("box", "humidity", measured, np.zeros(72, bool), flat, flat, flat * np.nan, (0.0, 0.0, 0.0))
    fit = replace(made(), hours=hours, courses=(course,))
    middle, low, high = by_hour(fit, course)
    assert middle[14] == low[14] == high[14] == 2.0
    assert not np.delete(middle, 14).any()


def test_the_words_say_what_the_picture_shows(picture, answer):
    assert answer.record.box.name in picture.alt
    assert "°C on average" in picture.alt
    assert "points" in picture.alt
    assert "Range: water lost to the room, a day" in picture.alt
    assert ("not told" in picture.alt) == (not answer.fit.usable)
    assert "nan °C" not in picture.alt


def test_parts_are_drawn_alone(answer):
    log = show.learned_picture(answer, [LOG])
    assert len(log.axes) == len(answer.fit.courses)
    assert log.get_figheight() < show.learned_picture(answer, PARTS).get_figheight()


def test_what_is_no_such_answer_or_part_is_refused(answer):
    for bad in (None, "learned", tl.load("moss-jar")):
        with pytest.raises(TerralabError, match=r"tl\.learn"):
            show.learned_picture(bad)
    for bad in ([], "log", ["sky"], 3):
        with pytest.raises(TerralabError, match="log"):
            show.learned_picture(answer, bad)
