"""The picture and the panel of the wet foot: the numbers in them are those of the soil at rest, whatever is dragged."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

import terralab as tl
from terralab import show
from terralab.answers.drainage.at_rest import at_rest
from terralab.answers.drainage.bottoms import row_of
from terralab.describe.files import loads
from terralab.quantities import US
from terralab.show.figures.style import TEXT_PT
from tests.answers.us_box import BOX
from tests.show.looking import drawn, needs_words_inside_and_apart

BAND = re.compile(r"wet band \(less than 10 % air\) is ([\d./ ]+) (cm|in) thick")


@pytest.fixture(scope="module")
def jar() -> tl.Record:
    return tl.simulate(tl.load("moss-jar"), 14, accuracy="preview", record_every_min=60)


def shown(kind: str, jar: tl.Record) -> object:
    sealed = {"enclosure.drainage": None, "enclosure.tube": None, "routine.siphons": None}
    return {
        "record": lambda: jar,
        "layers": lambda: tl.load("tall-glen"),
        "no layer": lambda: tl.load("dry-ledge"),
        "sealed": lambda: tl.load("fern-hollow").change(**sealed),
        "inches": lambda: loads(BOX),
        "mix": lambda: "bark-rich mix",
    }[kind]()


@pytest.mark.parametrize("kind", ["record", "layers", "no layer", "sealed", "inches", "mix"])
def test_it_is_drawn_large_enough_with_its_numbers_in_words(kind: str, jar: tl.Record) -> None:
    thing = shown(kind, jar)
    picture = show.suction_picture(thing)
    needs_words_inside_and_apart(picture)
    assert min(text.get_fontsize() for text, _ in drawn(picture)) >= min(9.0, TEXT_PT)
    said, unit = BAND.search(picture.alt).groups()
    assert unit == ("in" if kind == "inches" else "cm")
    if kind != "mix":
        band = at_rest(thing).wet_band_cm / (2.54 if unit == "in" else 1.0)
        # to a tenth of a cm, or an eighth of an inch
        assert float(sum(map(Fraction, said.split()))) == pytest.approx(band, abs=0.0626 if unit == "in" else 0.051)
    if kind == "record":
        assert f"it is {row_of('', jar).wet_band_cm:.1f} cm, the mean of the last week" in picture.alt
    if kind == "inches":
        words = " ".join(text.get_text() for text, _ in drawn(picture))
        assert " cm" not in (words + picture.alt).replace("60 cm box", "")


def test_one_level_line_goes_through_all_three_graphs() -> None:
    """The second graph is the first by pull: what lies on one line there has one height on the page."""
    first, curve, last = show.suction_picture(tl.load("fern-hollow")).axes[:3]
    place = lambda axes, at: axes.transData.transform((0.0, at))[1]  # noqa: E731
    rest = at_rest(tl.load("fern-hollow"))
    needed, foot = rest.air_from_cm[0], float(rest.pull_cm[0])
    heights = [place(first, needed - foot), place(curve, needed), place(last, needed - foot)]
    assert heights == pytest.approx([heights[0]] * 3)


@pytest.mark.parametrize("wrong", [3, None, ["fine coir mix"], "no such mix"])
def test_what_is_no_soil_is_refused(wrong: object) -> None:
    with pytest.raises(tl.TerralabError):
        show.suction_picture(wrong)


def test_a_box_knows_its_own_depth() -> None:
    with pytest.raises(tl.DescriptionError, match="depth_cm"):
        show.suction_picture(tl.load("moss-jar"), depth_cm=20)


def test_dragging_the_water_does_nothing_until_the_stones_lift_it() -> None:
    panel = show.suction_panel("fern-hollow")
    bands = []
    for level in (0.0, 2.0, 4.0, 5.2, 7.0, 9.0):
        panel.move(level=level)
        bands.append(panel.rest.wet_band_cm)
        assert f"{panel.rest.wet_band_cm:.1f} cm thick" in panel.words
        assert panel.words in panel.alt
        assert panel.alt.partition(".")[0] in panel._image.value
    assert bands[:4] == pytest.approx([bands[0]] * 4)
    assert bands[5] - bands[4] == pytest.approx(2.0)
    assert bands[4] == pytest.approx(bands[0] + 1.5)  # 1 cm over the mesh, and half a centimetre of pull less
    panel.move(level=2.0, soil="coarse coir mix")
    assert panel.rest.wet_band_cm < 0.5 * bands[0]
    assert panel.box.enclosure.layers[0].material == "coarse coir mix"


def test_its_sliders_end_where_the_box_does_and_slips_are_named() -> None:
    panel = show.suction_panel("fern-hollow")
    depth = panel._sliders["soil_depth"]
    panel.move(soil_depth=depth.max)
    assert panel.box.enclosure.soil_depth_cm == pytest.approx(14.0)  # the vent is 22 cm up, litter and layer take 8
    with pytest.raises(tl.TerralabError, match="must be 2 to 14"):
        panel.move(soil_depth=20)
    with pytest.raises(tl.UnknownName, match="level"):
        panel.move(levle=3)
    assert all(slider.description for slider in panel._sliders.values())


def test_a_box_in_inches_is_dragged_in_inches_and_one_without_a_layer_has_no_level() -> None:
    panel = show.suction_panel(loads(BOX))
    assert panel._units == US
    assert "in" in panel._sliders["level"].description
    assert "cm" not in panel.words
    assert "level" not in show.suction_panel("dry-ledge")._sliders


def test_only_what_moves_is_painted_anew_and_the_picture_is_the_same() -> None:
    """The quick way of drawing gives the pixels of the slow one."""
    panel = show.suction_panel("moss-jar")
    panel.move(level=1.0)
    quick = panel._image.value
    panel._picture._scales = None  # all is painted again
    panel._show()
    assert panel._image.value == quick


def test_the_numbers_on_the_panel_s_axes_are_not_cut() -> None:
    figure = show.suction_panel("moss-jar")._picture.figure
    width = figure.get_size_inches()[0] * figure.dpi
    ends = [label.get_window_extent() for axes in figure.axes for label in axes.get_xticklabels() if label.get_text()]
    assert "100" in {label.get_text() for label in figure.axes[-1].get_xticklabels()}
    assert all(0.0 <= end.x0 <= end.x1 <= width for end in ends)
