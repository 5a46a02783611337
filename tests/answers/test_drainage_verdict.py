"""One verdict on one layer in every face, and a box without a layer is told so and gets no siphoning."""

from __future__ import annotations

import warnings
from types import SimpleNamespace

import pytest
from matplotlib.text import Text

import terralab as tl
from terralab import show, wording
from terralab.answers.drainage.bottoms import layer_of
from terralab.answers.drainage.sizing import SiphonRule, SiphonTimes, siphon_rule, sized
from terralab.answers.drainage.statements import has_words
from terralab.answers.drainage.words import mishap_words, too_thin_words, weeks_words
from terralab.answers.together.plan import week_plan
from terralab.quantities import said
from terralab.show.report.seasons import seasons_table

POURS = {"now": 100.0, "winter": 100.0, "summer": 100.0}


@pytest.fixture(scope="module")
def thin() -> tuple[tl.Box, tl.Answer]:
    box = tl.load("tall-glen")
    return box, tl.drainage(box, members=4, pour="described")


@pytest.fixture(scope="module")
def bare() -> tuple[tl.Box, tl.Answer]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        box = tl.load("fern-hollow").change(
            **{"enclosure.drainage": None, "enclosure.tube": None, "routine.siphons": []}
        )
    return box, tl.drainage(box, members=4, pour="described")


def siphoning(box: tl.Box, answer: tl.Answer) -> list[str]:
    return [chore.when for chore in week_plan(box, POURS, answer) if chore.what == "Water below the mesh"]


def season_row(box: tl.Box, answer: tl.Answer) -> str:
    water = tl.daily_water(box, members=2)
    page = seasons_table(SimpleNamespace(box=box, water=water, fans=None, drainage=answer, away=None, pours=None))
    return next((row for row in page.split("<tr") if ">Siphon<" in row), "")


def test_a_layer_too_thin_to_siphon_has_one_verdict(thin: tuple[tl.Box, tl.Answer]) -> None:
    box, answer = thin
    plan = {**answer.window, "too_thin": True}
    words = too_thin_words(plan)
    text = has_words(box, 4.5, plan)
    assert "enough to hold a month, but not to siphon with a reserve" in text
    assert text.count(words) == 1
    assert words in has_words(box, 9.0, plan)
    assert "too little" in has_words(box, 9.0, plan)
    if answer.window["too_thin"]:
        assert answer.text("why").count("siphon with a reserve") == 1
        assert siphoning(box, answer) == [words]
        assert words.removeprefix("siphon ") in season_row(box, answer)


def test_a_layer_of_the_depth_told_can_be_siphoned_with_a_reserve() -> None:
    box = tl.load("tall-glen")
    rule = siphon_rule(box, sized(box, "now", 2))
    deep = box.change(**{"enclosure.drainage.depth": rule.depth_from_cm})
    assert not siphon_rule(deep, sized(deep, "now", 2)).too_thin
    assert SiphonRule(3.8, 1.0, 0.2, 0.4).depth_from_cm == 5.5


def test_a_box_without_a_layer_is_told_so_first_and_has_no_siphoning(bare: tuple[tl.Box, tl.Answer]) -> None:
    box, answer = bare
    text = " ".join(answer.text("all").split())
    assert answer.value > 0.0
    assert text.index("This box has no drainage layer") < text.index("cm deep would be enough")
    assert "as it stands" not in text
    assert "cm now" not in text
    assert f"with a layer of {layer_of(box).depth_cm:g} cm" in text
    assert "Siphon " not in text
    assert siphoning(box, answer) == []
    assert season_row(box, answer) == ""


def test_a_foot_without_a_wet_band_is_drawn_without_one(thin: tuple[tl.Box, tl.Answer]) -> None:
    """The picture says the band of the table, which is none here, and points at no band."""
    _, answer = thin
    row, drawn = answer.table[0], show.section_picture(answer.record)
    assert row["wet_band_cm"] <= 0.05
    written = "\n".join([*(text.get_text() for text in drawn.findobj(Text)), drawn.alt])
    assert "no part of it holds less than 10 % air" in written
    assert "wet band, " not in written
    assert f"gap, {row['gap_cm']:.1f} cm" in written


def test_vapour_never_rises_by_less_than_nothing(
    bare: tuple[tl.Box, tl.Answer], thin: tuple[tl.Box, tl.Answer]
) -> None:
    for _, answer in (bare, thin):
        (line,) = (line for line in answer.sentences if "From the water below" in line)
        assert " -" not in line
        assert ("takes up" in line) == (answer.table[0]["vapour_ml_per_day"] < 0.0)


def test_water_at_or_over_the_mesh_is_said_so_and_never_below_nothing() -> None:
    assert [said(wording.gap(cm)) for cm in (2.0, 0.04, -0.04, -0.3)] == [
        "2.0 cm",
        "at the mesh",
        "at the mesh",
        "0.3 cm over the mesh",
    ]
    never = (None, None, None)
    weeks = (3.0, 1.0, -0.04, -0.5, -1.0)
    text = said(weeks_words(SiphonTimes(weeks, tuple(x - 0.2 for x in weeks), weeks, never, never, never, 1, 2), "now"))
    assert "-" not in text
    assert "over the mesh" in text
    still = (-0.02,) * 5
    assert "the water stays at the mesh" in weeks_words(
        SiphonTimes(still, still, still, never, never, never, 2, 2), "now"
    )
    once = {"litres": 2.0, "gap_before_cm": 1.0, "smallest_gap_cm": -0.4}
    words = mishap_words(
        tl.load("tall-glen"),
        {"mishaps": {"over-watering": once}, "fits_l": {"under the mesh": 1.0, "then in the soil": 2.0}},
    )
    assert said(words[0]).endswith("from 1.0 cm under the mesh to 0.4 cm over the mesh.")
