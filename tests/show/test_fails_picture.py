"""The picture of failures: it holds what the answer holds, in order, and says it in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

import terralab as tl
from terralab import show
from terralab.errors import TerralabError
from tests.asked import asked


@pytest.fixture(scope="module")
def answer() -> tl.Answer:
    return asked("fails", "moss-jar", seasons=("now",), members=2)


def test_each_failure_has_a_row_and_the_axis_is_logarithmic_and_named(answer: tl.Answer) -> None:
    picture = show.fails_picture(answer)
    (axes,) = picture.axes
    assert [label.get_text() for label in axes.get_yticklabels()] == [row["fault"] for row in answer.table]
    assert axes.get_xscale() == "log"
    assert "hours" in axes.get_xlabel()
    assert axes.get_xlim()[1] == answer.details["followed_h"]
    picture.canvas.draw()
    legend = axes.get_legend().get_window_extent()
    assert 0.0 <= legend.x0 < legend.x1 <= picture.bbox.x1  # nothing of it is cut off
    for row in answer.table:
        assert row["fault"] in picture.alt
    assert len(picture.html()) > 10_000


def test_a_danger_is_drawn_from_its_low_to_its_high_end(answer: tl.Answer) -> None:
    made_up = {
        **answer.table[0],
        "hours_until_danger": [2.0, 4.0, 9.0],
        "hours_until_out_of_band": [1.0, None, None],
        "hours_until_too_hot_or_cold": [1.5, 3.0, None],
    }
    picture = show.fails_picture(replace(answer, table=(made_up,)))
    (axes,) = picture.axes
    bars = [bar for bar in axes.patches if bar.get_y() > -2.0]
    ends = sorted((bar.get_x(), bar.get_x() + bar.get_width()) for bar in bars)
    last = answer.details["followed_h"]
    assert ends == [pytest.approx((1.0, last)), pytest.approx((1.5, last)), pytest.approx((2.0, 9.0))]
    assert "too hot or too cold after 3.0 h (1.5 at the soonest, in some boxes never)" in picture.alt
    assert "danger after 4.0 h (2.0 to 9.0)" in picture.alt
    assert "out of band after 1.0 h in some boxes, in most never" in picture.alt


def test_nothing_that_can_fail_is_no_picture(answer: tl.Answer) -> None:
    with pytest.raises(TerralabError, match="with a device"):
        show.fails_picture(replace(answer, table=()))
