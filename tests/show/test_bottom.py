"""The picture of the drainage panel: no scale jumps when the answer comes, the ghost is the state before, inches are inches."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

import terralab as tl
from terralab.quantities import METRIC, US
from terralab.show.panel.bottom import WEEKS, Bottom, BottomPicture
from terralab.show.panel.questions import _see_bottom

DAYS = np.linspace(0.0, 14.0, 30)
SEEN = Bottom("Invented", np.linspace(30.0, 1.0, 60), 10.0, 6.0, 3.4, DAYS, 2.6 - 0.02 * DAYS, 2.8)
COURSE = {
    name: list(np.linspace(4.0, last, WEEKS + 1)) for name, last in (("gap_cm", 3.0), ("low_cm", 2.5), ("high_cm", 3.5))
}
ANSWER = SimpleNamespace(details={"gap_cm_by_week": {"winter": COURSE, "summer": COURSE}})


def scales(picture: BottomPicture) -> list[tuple[float, float]]:
    return [limits for axes in (picture.left, picture.right) for limits in (axes.get_xlim(), axes.get_ylim())]


def test_preview_and_answer_have_the_same_scales() -> None:
    picture = BottomPicture()
    _, first = picture.draw(SEEN, None, METRIC)
    before = scales(picture)
    _, final = picture.draw(SEEN, ANSWER, METRIC)
    assert scales(picture) == before
    assert "A preview of one run" in first
    assert "Gap after 12 weeks: winter 3.0 cm, summer 3.0 cm" in final
    assert [line.get_visible() for line in picture.lines] == [True, True]


def test_the_stripes_are_the_wet_band_on_the_mesh_and_the_ghost_is_what_was() -> None:
    picture = BottomPicture()
    picture.draw(SEEN, None, METRIC)
    picture.keep()
    picture.draw(replace(SEEN, layer_cm=9.0, level_cm=3.4), None, METRIC)
    assert (picture.band.get_y(), picture.band.get_height()) == pytest.approx((9.0, 2.8))
    (_, ghost), *_ = picture._ghosts
    assert ghost.get_ydata()[-1] == pytest.approx(6.0)
    assert picture.air.get_ydata()[-1] == pytest.approx(9.0)
    picture.reset()
    assert len(ghost.get_ydata()) == 0


def test_inches_and_a_box_without_a_layer() -> None:
    picture = BottomPicture()
    _, words = picture.draw(SEEN, ANSWER, US)
    assert " cm" not in words
    assert picture.air.get_ydata()[-1] == pytest.approx(6.0 / 2.54)
    assert picture.left.get_ylabel() == "height over the floor, in"
    _, words = picture.draw(replace(SEEN, layer_cm=0.0, level_cm=0.0, gap_cm=None), None, METRIC)
    assert "there is no drainage layer" in words
    assert picture.none.get_visible()
    assert not picture.level.get_visible()


def test_moss_on_the_soil_does_not_push_the_foot_out_of_the_picture() -> None:
    """Moss is computed as a layer of soil; drawn are the mix alone, down to its foot, and the band that is striped there."""
    seen, _ = _see_bottom(tl.load("moss-jar"))
    assert seen.wet_band_cm > 1.0
    assert seen.air_percent[-1] < 10.0
    wet = seen.soil_cm * float((seen.air_percent < 10.0).mean())
    assert wet == pytest.approx(seen.wet_band_cm, abs=0.3)
