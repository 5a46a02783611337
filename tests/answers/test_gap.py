"""Does the water below make the air damp? Not while the top of the soil is moist, in any box; where it is dry, by some points."""

from __future__ import annotations

import pytest

import terralab as tl
from terralab import show
from terralab.answers.drainage.gap import GapAndHumidity, gap_and_humidity
from terralab.describe.files import loads
from terralab.show.figures.style import TEXT_PT
from tests.answers.us_box import BOX
from tests.keepers import keepers_box
from tests.show.looking import drawn, needs_words_inside_and_apart

FAR_AND_NEAR = (2.5, 0.0)
MOIST, DRY = (1, 6, 14), (10, 26)  # seeds whose soil begins damp and stays so, and others that stand dry


def found(seed: int) -> GapAndHumidity:
    return gap_and_humidity(keepers_box(seed, new_air=False), gaps_cm=FAR_AND_NEAR)


@pytest.fixture(scope="module")
def jar() -> GapAndHumidity:
    return gap_and_humidity(tl.load("moss-jar"))


@pytest.fixture(scope="module")
def dry() -> GapAndHumidity:
    box = tl.load("fern-hollow").change(**{"start.soil": "dry", "name": "Bone Dry"})
    return gap_and_humidity(box, gaps_cm=(4.0, 1.0, 0.0))


def needs_the_law(seen: GapAndHumidity) -> None:
    """Where the top stays moist far from the water, touching water adds less than a point; so where it adds more, it was dry."""
    for far, near, _ in (seen.given, seen.nothing_given):
        assert not far.top_moist or near.humidity - far.humidity < 1.0


@pytest.mark.parametrize("seed", MOIST)
def test_water_below_adds_less_than_a_point_where_the_soil_is_damp(seed: int) -> None:
    seen = found(seed)
    assert all(row.top_moist for row in seen.given)
    needs_the_law(seen)


@pytest.mark.parametrize("seed", DRY)
def test_it_adds_some_points_where_nothing_is_poured_on_dry_soil(seed: int) -> None:
    seen = found(seed)
    assert not any(row.top_moist for row in seen.nothing_given)
    assert seen.spread("nothing_given") > 1.0
    needs_the_law(seen)


def test_a_demo_has_one_humidity_at_every_gap_and_without_a_layer(jar: GapAndHumidity) -> None:
    assert [row.gap_cm for row in jar.given] == [3.0, 2.0, 1.5, 1.0, 0.5, 0.0, None]
    for rows in ("given", "nothing_given"):
        assert jar.spread(rows) < 0.5
        *gaps, bare = getattr(jar, rows)
        assert bare.humidity == pytest.approx(gaps[0].humidity, abs=0.5)
        assert bare.vapour_ml_per_day == bare.contact_ml_per_day == 0.0
        far = [row for row in gaps if row.gap_cm > jar.reach_cm + 0.2]
        assert all(row.contact_ml_per_day == 0.0 for row in far)
        assert gaps[-1].contact_ml_per_day > 1.0


def test_a_gap_is_the_run_it_names(jar: GapAndHumidity) -> None:
    """The row of 2 cm is the box with its water 2 cm down, run by hand."""
    box = tl.load("moss-jar").change(**{"enclosure.drainage.level": "1 cm", "routine.siphons": None})
    record = tl.simulate(box, 28, accuracy="preview", record_every_min=60)
    rows = record.rows(21, 28)
    assert jar.given[1].humidity == pytest.approx(float(record.humidity_shown[rows].mean()), abs=0.01)
    assert jar.given[1].air_c == pytest.approx(float(record.air_c[rows].mean()), abs=0.01)


def test_the_picture_says_the_finding_with_its_temperature(jar: GapAndHumidity, dry: GapAndHumidity) -> None:
    flat, slope = show.gap_picture(jar), show.gap_picture(dry)
    assert "at every gap" in flat.alt
    assert "the top of the soil is dry" in slope.alt
    for picture, seen in ((flat, jar), (slope, dry)):
        for row in (seen.given[-1], seen.nothing_given[-1]):
            assert f"{row.humidity:.0f} % at {row.air_c:.1f} °C" in picture.alt
        needs_words_inside_and_apart(picture)
        assert min(text.get_fontsize() for text, _ in drawn(picture)) >= min(9.0, TEXT_PT)
    damp = slope.axes[0]
    assert damp.get_ylim() == (0.0, 100.0)
    assert list(damp.lines[0].get_ydata()) == [row.humidity for row in dry.given[:-1]]


def test_inches_come_back_as_inches() -> None:
    seen = gap_and_humidity(loads(BOX), days=2, gaps_cm=(2.5, 0.0))
    picture = show.gap_picture(seen)
    assert seen.us
    assert "fl oz" in picture.alt
    assert "°F" in picture.alt
    words = " ".join(text.get_text() for text, _ in drawn(picture))
    assert ", in (0: it touches" in words
    assert " cm" not in (words + picture.alt).replace("60 cm box", "")


@pytest.mark.parametrize("wrong", ["moss-jar", 3, None])
def test_a_picture_of_anything_else_is_refused(wrong: object) -> None:
    with pytest.raises(tl.TerralabError, match="gap_and_humidity"):
        show.gap_picture(wrong)
