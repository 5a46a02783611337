"""An absence as it is told: one number in every face, what is wanted beside what comes, orders, the sheet, dates."""

from __future__ import annotations

import json
import re
import warnings
from datetime import date

import pytest

import terralab as tl
from terralab import show
from terralab.answers.away.dates import absence_asked, season_of
from terralab.answers.away.sheet import sheet_parts, sheet_text
from terralab.answers.away.words import longest_cell, season_words
from terralab.answers.common.rounding import jug
from terralab.answers.common.statement import Kind, Verdict
from terralab.quantities import said
from tests.answers.faces import check

MISTER = {"name": "mister", "flow": "60 ml/min", "timer": ["1 min every 6 h"], "tank": "1 l"}


def changed(name: str, **changes: object) -> tl.Box:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.load(name).change(**changes)


@pytest.fixture(scope="module")
def tank() -> tl.Answer:
    """Ten days of a box whose small tank and shallow dish run dry, from few draws."""
    box = changed(
        "fern-hollow",
        **{"routine.mists": [MISTER], "routine.sprays": None, "enclosure.dish": {"area": "80 cm2", "depth": "2 mm"}},
    )
    return tl.away(box, 10, members=4)


@pytest.fixture(scope="module")
def jar() -> tl.Answer:
    """A week of the moss jar with a helper on the third day."""
    return tl.away(tl.load("moss-jar"), 7, "summer", [3], members=4)


def test_a_fan_in_bursts_is_seen_in_its_bursts(tank: tl.Answer) -> None:
    """Its fan runs 15 minutes of each hour: rows an hour apart all fell into its pauses, 2.4 points too damp."""
    assert tank.record.step_s <= 900.0


def test_what_is_said_holds_in_either_system_and_the_screen_is_short(tank: tl.Answer, jar: tl.Answer) -> None:
    for answer in (tank, jar):
        check(answer)
        json.loads(answer.json())
        text = answer.text("all")
        assert "Animals need a person's eyes every day" in str(answer)
        assert " nan" not in text
        assert "None" not in text


def test_the_tank_and_the_dish_run_dry_on_the_days_that_are_told(tank: tl.Answer) -> None:
    days = tank.details["days_until"]
    low, middle, high = days["tank dry: mister"]
    # 1 litre at 240 ml a day, two days of which are over when one leaves
    assert 1.0 <= low <= middle <= high <= 3.0
    assert days["dish dry"][1] is not None
    assert tank.value is not None
    assert tank.value <= middle
    assert f"{low:.1f} to {high:.1f}" in tank.text("all")
    larger = next(row for row in tank.table if row["name"] == "a larger tank")
    assert larger["amounts"]["ml"] >= 10 * 240.0
    assert larger["days_later"] >= 0.0
    assert larger["gains"]["as with you there"] >= 0.0
    assert tank.details["days_until_prepared"]["tank dry: mister"][0] > 10.0


def test_every_preparation_is_told_with_its_gain_or_why_it_is_not_recommended(tank: tl.Answer) -> None:
    (table,) = tank.of_kind(Kind.TABLE)
    assert len(table.under) == len(tank.table) > 4
    for row, line in zip(tank.table, table.under, strict=True):
        assert ("not recommended" in line) != row["recommended"]
        assert row["recommended"] or row["why_not"]
        assert f"{row['minutes']:.0f} min" in line
    orders = [one.said() for one in tank.of_kind(Kind.DO)]
    assert orders
    assert all(
        one["name"] in ("a helper's visit", "a larger tank", "fill dish and tanks")
        for one in tank.table[: len(orders) - 1]
    )


def test_the_chance_says_what_it_is_a_share_of(tank: tl.Answer) -> None:
    sure = tank.of_kind(Kind.SURE)[-1]
    assert "of 100 boxes that fit this description (4 were drawn)" in sure.text
    assert "not how often something breaks" in sure.text
    words = " ".join(sure.under)
    for name, chance in tank.details["chances"]["prepared"].items():
        assert 0.0 <= chance <= 1.0
        assert f"{100 * tank.details['chances']['as_asked'][name]:.0f} of 100" in words


def test_the_longest_absence_is_one_number(jar: tl.Answer) -> None:
    days = jar.window["longest_days"]
    assert days == 28
    assert longest_cell(jar) == "28 days or more"
    assert "28 days or more (no longer was run)" in jar.text("why")
    assert "28 days or more" in season_words(jar)
    assert f"{jar.rh_day['mean']:.0f} % at {jar.temp_day['mean']:.1f} °C by day" in said(season_words(jar))


def test_a_helper_measures_what_a_jug_shows(jar: tl.Answer, tank: tl.Answer) -> None:
    assert [one["day"] for one in jar.details["visits"]] == [3]
    for answer in (jar, tank):
        for visit in (*answer.details["visits"], *(v for row in answer.table for v in row["visits"])):
            assert visit["ml"] == jug(visit["ml"])
            assert 1 <= visit["day"] <= answer.details["days"]
    assert "Your helper: on day 3" in str(jar)


def test_without_preparing_nothing_is_tried() -> None:
    plain = tl.away(tl.load("moss-jar"), 3, prepare=False, members=2)
    assert plain.table == ()
    assert not plain.of_kind(Kind.TABLE)


def test_soil_that_is_dry_now_is_soaked_first_unless_it_is_wanted_dry() -> None:
    """How the soil is and how it is wanted are two entries, and both count."""
    dry = changed("fern-hollow", **{"start.soil": "dry"})
    moist_wanted = tl.away(dry, 3, prepare=False, members=2)
    assert moist_wanted.details["chances"]["as_asked"]["not too dry"] == 0.0
    assert "Soak it first (terralab soak)" in str(moist_wanted)
    assert moist_wanted.verdict is Verdict.TOO_DRY
    dry_wanted = tl.away(tl.load("dry-ledge"), 3, prepare=False, members=2)
    assert dry_wanted.details["chances"]["as_asked"]["not too dry"] == 1.0
    assert "top of the soil dry" not in dry_wanted.details["days_until"]


def test_a_box_that_is_dangerously_hot_is_not_left_alone() -> None:
    hot = tl.away(changed("moss-jar", **{"room.temperature": "33 C"}), 3, members=2)
    assert "Do not leave it alone" in str(hot)
    assert hot.verdict is Verdict.DANGEROUS
    assert hot.details["chances"]["prepared"]["out of danger"] == 0.0
    assert not any(row["recommended"] for row in hot.table if row["name"] == "cover the lid")
    check(hot)


def test_a_covered_lid_under_heat_goes_before_all_else() -> None:
    """A box with a caution against it is not called fit to be left alone."""
    answer = tl.away(changed("dry-ledge", **{"enclosure.openings.1.covered": "50 %"}), 2, prepare=False, members=2)
    assert "Do not leave it alone before what is dangerous here is put right" in str(answer)
    assert str(answer).index("Most wrong") < str(answer).index("Do not leave")
    assert answer.verdict is Verdict.DANGEROUS


@pytest.mark.parametrize(
    ("how", "days", "season", "visits"),
    [
        ({}, 14, "now", ()),
        ({"days": 21, "visits": ["7", "14"]}, 21, "now", (7, 14)),
        ({"leaves": "2026-08-03", "returns": "2026-08-17", "visits": ["2026-08-09"]}, 14, "summer", (7,)),
        ({"leaves": "2026-12-20", "days": 10}, 10, "winter", ()),
        ({"leaves": "2026-05-25", "returns": "2026-06-05"}, 11, "now", ()),
        ({"leaves": "2026-08-03", "returns": "2026-08-17", "season": "now"}, 14, "now", ()),
    ],
)
def test_dates_give_the_days_and_where_it_is_plain_the_season(how, days, season, visits) -> None:
    found = absence_asked(**how)
    assert (found.days, found.season, found.visits) == (days, season, visits)


def test_a_season_is_plain_only_where_all_days_lie_in_it() -> None:
    assert season_of(date(2026, 8, 25), 7) == "summer"
    assert season_of(date(2026, 8, 25), 8) == "now"


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ({"leaves": "3 August", "returns": "2026-08-17"}, "--from must be a date such as 2026-08-03"),
        ({"leaves": "2026-08-17", "returns": "2026-08-03"}, "--to must be 1 to 60 days after --from"),
        ({"leaves": "2026-08-17"}, "needs two"),
        ({"returns": "2026-08-17"}, "needs two"),
        ({"days": 3, "leaves": "2026-08-01", "returns": "2026-08-04"}, "not all three"),
        ({"days": 3, "visits": ["4"]}, "within the 3 days"),
        ({"days": 3, "visits": ["2026-08-04"]}, "a day of the absence"),
    ],
)
def test_what_is_no_absence_is_refused_with_what_to_do(how, words) -> None:
    with pytest.raises(tl.TerralabError, match=re.escape(words)):
        absence_asked(**how)


def test_the_sheet_says_when_what_and_what_never(tank: tl.Answer) -> None:
    answer = tl.away(tank.record.box, 10, "now", [5], prepare=False, members=2)
    text = sheet_text(answer, date(2026, 8, 3))
    (visit,) = answer.details["visits"]
    assert "Friday, 7 August (day 5)" in text
    if visit["ml"]:
        assert f"Pour {visit['ml']:.0f} ml" in text
    assert 'Fill the dish and the tank of "mister" to the brim' in " ".join(text.split())
    for word in ("Every day: look at the animals", "Never spray or pour water on lamps", "Never touch plugs", "Keeper (back on Thursday, 13 August)",
                 "Vet who treats rainforest-floor small frogs", "20 to 26 °C by day", "call at once"):  # fmt: skip
        assert word in " ".join(text.split()), word
    assert len(text.splitlines()) <= 70  # one page
    assert max(map(len, text.splitlines())) <= 80
    page = show.helper_page(answer)
    assert page.count("<section") == 5
    assert "°C" in page
    assert not re.search(r"[\ue000-\uf8ff]", page + text)


def test_the_sheet_of_a_hot_lamp_forbids_to_cover_and_that_of_a_jar_names_no_vet(jar: tl.Answer) -> None:
    ledge = tl.away(tl.load("dry-ledge"), 2, prepare=False, members=2)
    never = " ".join(dict(sheet_parts(ledge))["Never"])
    assert "Never cover the lid or lay anything on it" in never
    assert '"basking lamp"' in never
    assert "vet" not in sheet_text(jar).lower()
    assert "animal" not in sheet_text(jar).lower()


def test_a_sheet_needs_an_absence() -> None:
    with pytest.raises(tl.TerralabError, match=r"tl\.away"):
        sheet_parts(tl.load("moss-jar"))


def test_the_picture_says_what_it_shows(tank: tl.Answer) -> None:
    picture = show.away_picture(tank)
    assert 'the tank of "mister" dry: after' in picture.alt
    assert "to the end: 0 of 100 boxes, prepared 100" in picture.alt
    with pytest.raises(tl.TerralabError, match=r"tl\.away"):
        show.away_picture("moss-jar")
