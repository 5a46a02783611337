"""What is said of the levers on humidity: nothing that does not help, nothing that is not there, hours beside means."""

from __future__ import annotations

import re

import pytest

import terralab as tl
from terralab import wording
from terralab.answers.common.temperature import heat_of
from terralab.answers.water.alternatives import BY_ITSELF, find_alternative
from terralab.describe import Box, HumidityTarget
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
    """A jar without an opening hardly knows of its room: neither a drier room nor less watering dries its air."""
    box = jar().change(**{"enclosure.leakage": "0.001 per hour"})
    heat = heat_of(tl.simulate(box, 4, accuracy="preview"))
    reachable, alternative = find_alternative(box, 0.0, HumidityTarget(30, 50, 30, 50), 45.0, heat)
    assert not reachable
    assert alternative.endswith("None of the levers tried helps; open it a little.")


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
