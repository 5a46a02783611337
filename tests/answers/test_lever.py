"""What is said of the levers on humidity: nothing that does not help, nothing that is not there, hours beside means."""

from __future__ import annotations

import re

import pytest

import terralab as tl
from terralab import wording
from terralab.answers.common.at_the_lid import hours_for_spraying, lid_words
from terralab.answers.common.cautions import HEAT, for_box
from terralab.answers.common.rationale import assumptions_of, reason_of
from terralab.answers.common.surfaces import surface_cautions
from terralab.answers.common.temperature import heat_of
from terralab.answers.fans.lid_words import first_lid_words
from terralab.answers.together.plan import week_plan
from terralab.answers.water.alternatives import BY_ITSELF, HOURLY, find_alternative
from terralab.describe import Box, HumidityTarget
from terralab.describe.hot import hot_words
from terralab.quantities import said
from tests.answers.plausible import drawn

pytestmark = pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
ALL_IN = {"day inside": 12.0, "night inside": 12.0}
NIGHT_OUT = {"day inside": 10.9, "day too damp": 1.1, "night inside": 3.4, "night too dry": 8.6}
BAND = HumidityTarget(20, 40, 40, 60)


def jar() -> Box:
    return tl.load("moss-jar").change(**{"enclosure.openings": [], "group": "", "routine.sprays": []})


def test_nothing_poured_is_not_called_a_pour() -> None:
    box = jar()
    heat = heat_of(tl.simulate(box, 2, accuracy="preview"))
    assert find_alternative(box, 0.0, BAND, 0.0, heat, ALL_IN) == (True, f"{BY_ITSELF}.")
    assert find_alternative(box, 20.0, BAND, 0.0, heat, ALL_IN)[1].startswith("The pour itself")
    for ml in (0.0, 20.0):
        _, said = find_alternative(box, ml, BAND, -0.9, heat, NIGHT_OUT)
        assert "by night only 3.4 of 12 hours are inside, most are too dry" in said
        assert "by day only" not in said


def test_what_changes_nothing_is_no_lever() -> None:
    """A jar without an opening hardly knows of its room: neither a drier room nor less watering dries its air. Opening does."""
    box = jar().change(**{"enclosure.leakage": "0.001 per hour"})
    heat = heat_of(tl.simulate(box, 4, accuracy="preview"))
    reachable, alternative = find_alternative(box, 0.0, HumidityTarget(30, 50, 30, 50), 45.0, heat)
    assert not reachable
    assert "The best lever is a tenth of the lid open" in alternative
    assert "°C by day" in said(alternative)


@pytest.mark.parametrize("seed", range(4))
def test_a_cover_is_taken_off_and_not_only_0_per_cent(seed: int) -> None:
    box = drawn(seed, hot=False).change(**{"enclosure.openings.lid.covered": "40 %", "group": ""})
    heat = heat_of(tl.simulate(box, 4, accuracy="preview"))
    _, alternative = find_alternative(box, 20.0, HumidityTarget(2, 20, 2, 20), 40.0, heat)
    assert "only 0 %" not in alternative
    assert not re.search(r"covering only (40|60) %", alternative), "no less covered than it is"
    assert not re.search(r"\b1 points", alternative)


def test_points_are_counted_in_plain_words() -> None:
    assert [wording.points(x) for x in (1.2, -0.8, 2.0, -14.6)] == ["1 point", "1 point", "2 points", "15 points"]


@pytest.mark.parametrize("seed", range(6))
def test_what_is_said_to_reach_the_band_is_shown_inside_it(seed: int) -> None:
    """Spraying all day may be far too much, and a point short is short: neither reaches what is wanted."""
    box = drawn(seed, hot=False).change(group="")
    heat = heat_of(tl.simulate(box, 4, accuracy="preview"))
    for band in (HumidityTarget(60, 75, 70, 80), HumidityTarget(70, 90, 85, 99), HumidityTarget(40, 50, 45, 55)):
        for gap in (-20.0, 20.0):
            reachable, text = find_alternative(box, 40.0, band, gap, heat)
            told = said(text)
            if "More watering can reach it (" not in told and "brings it down (" not in told:
                continue
            assert reachable
            day, night = re.search(r"about (\d+) % at \S+ °C by day and (\d+) % at \S+ °C by night\)", told).groups()
            assert band.day_low <= int(day) <= band.day_high
            assert band.night_low <= int(night) <= band.night_high


def test_no_water_is_sprayed_while_a_hot_lamp_is_on_or_its_glass_hot() -> None:
    """The caution on the same page says so; an open lid under a lamp is no reason to spray at it."""
    spot = {
        "name": "spot",
        "kind": "incandescent or halogen spot",
        "power": "75 W",
        "timer": ["22:00-01:00", "09:00-16:00"],
    }
    box = jar().change(**{"routine.lamps": [spot]})
    assert hours_for_spraying(box, tuple(range(24))) == (2, 3, 4, 5, 6, 7, 8, 17, 18, 19, 20, 21)
    assert hours_for_spraying(jar(), HOURLY) == HOURLY
    always = box.change(**{"routine.lamps": [spot | {"timer": "always"}]})
    assert hours_for_spraying(always, HOURLY) == ()
    heat = heat_of(tl.simulate(always, 2, accuracy="preview"))
    _, text = find_alternative(always, 0.0, HumidityTarget(95, 99, 95, 99), -20.0, heat)
    assert "spraying" not in text


def test_a_lid_is_called_what_it_is() -> None:
    """A hole in the lid has no mesh to cover."""
    box = drawn(1, hot=False).change(**{"enclosure.openings.lid.covered": "0 %", "group": ""})
    bare = box.change(**{"enclosure.openings.lid.mesh": False})
    for one, meshed in ((box, True), (bare, False)):
        assert ("mesh" in lid_words(one)) == meshed
        order = first_lid_words(one, {"covered": 0.9, "fan": "no fan"}, -5.0)
        assert order.startswith("cover 90 % of the")
        assert ("mesh" in order) == meshed
    _, text = find_alternative(
        bare, 60.0, HumidityTarget(97, 99, 97, 99), -30.0, heat_of(tl.simulate(bare, 4, accuracy="preview"))
    )
    assert "mesh" not in text


def test_a_tube_that_is_warm_is_no_hot_lamp() -> None:
    """Nobody burns at a fluorescent tube or a LED bar; what gathers heat under a cover keeps the lid open all the same."""
    bar = {"name": "bar", "kind": "led bar inside", "power": "60 W", "timer": ["08:00-20:00"]}
    tube = bar | {"name": "tube", "kind": "fluorescent tube"}
    for lamp in (bar, tube):
        box = jar().change(**{"routine.lamps": [lamp]})
        record = tl.simulate(box, 1, accuracy="preview")
        assert surface_cautions(record) == ""
        assert (HEAT in for_box(box, "water")) == (lamp is tube)
    assert hot_words(jar().change(**{"routine.lamps": [tube]})) == 'a lamp that gives off heat ("tube")'


def test_other_watering_is_named_only_where_there_is_some() -> None:
    budget = {"vapour lost through vents": 20.0, "vapour lost through gaps": 1.0}
    dry = tl.load("dry-ledge").change(**{"routine.sprays": [], "enclosure.dish": None})
    assert "other watering" not in reason_of(dry, budget, 0.0)
    assert "nothing is given for it" in reason_of(dry, budget, 0.0)
    assert "other watering" not in reason_of(jar(), budget, 0.0)
    assert "other watering" in reason_of(tl.load("dry-ledge"), budget, 0.0)


def test_the_moss_of_a_hide_is_watering_too() -> None:
    """It is wetted every day by hand, so the reasons and the week's plan both name it."""
    box = tl.load("dry-ledge").change(**{"enclosure.hide.floor": "damp moss", "routine.sprays": []})
    assert "moss in the hide" in reason_of(box, {"vapour lost through vents": 20.0}, 0.0)
    assert any("damp moss of the hide" in text for text in assumptions_of(box, "", 0.0, ("below", "above")))
    assert [chore.what for chore in week_plan(box, None, None)].count("Moss in the hide") == 1
    bare = tl.load("dry-ledge")
    assert not any("hide" in text for text in assumptions_of(bare, "", 0.0, ("below", "above")) if "watering" in text)
    assert "Moss in the hide" not in [chore.what for chore in week_plan(bare, None, None)]


def test_still_air_is_taken_for_granted_only_while_no_fan_stirs() -> None:
    stirrer = {"name": "stirrer", "mode": "circulate", "air_speed": "25 cm/s", "timer": ["08:00-20:00"]}
    for fans, said_so in (([], False), ([stirrer], True)):
        box = tl.load("fern-hollow").change(**{"routine.fans": fans})
        texts = assumptions_of(box, "", 40.0, ("below", "above"))
        assert any("moves at" in text for text in texts)
        assert any("While no circulating fan runs" in text for text in texts) == said_so
