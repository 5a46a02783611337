"""Two answers compared draw by draw: the range of a change is that of the change alone."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from tests.asked import asked

MEMBERS = 32  # as the notebook on water asks


@pytest.fixture(scope="module")
def answer() -> tl.Answer:
    return asked("daily_water", "fern-hollow", members=MEMBERS)


def test_taking_the_fan_away_saves_what_it_carried_off(answer: tl.Answer) -> None:
    """The pairs agree with the water budget: the fan's own vapour, less what leaves otherwise in its place.

    Each answer alone leaves some 90 ml open; the difference leaves a tenth of that, and no pair says the fan saves water.
    """
    box = tl.load("fern-hollow")
    still = asked("daily_water", box.change(**{"routine.fans": None}), members=MEMBERS)
    found = tl.difference(answer, still)
    assert found.low <= found.value <= found.high <= 0.0
    assert found.smaller > 0.95
    assert -found.value <= answer.budget_ml_per_day["vapour lost by fan"] + 1.0
    assert found.high - found.low < 0.25 * (answer.high - answer.low)
    assert "less" in str(found)
    back = tl.difference(still, answer)
    assert (back.low, back.value, back.high) == (-found.high, -found.value, -found.low)


def test_a_box_does_not_differ_from_itself(answer: tl.Answer) -> None:
    found = tl.difference(answer, answer)
    assert (found.low, found.value, found.high) == (0.0, 0.0, 0.0)
    assert "just as much" in str(found)


def test_knowing_a_number_better_never_widens_a_range(answer: tl.Answer) -> None:
    """Leaves traced: with the same draws of all else the range shrinks or stays; it once seemed to widen by luck."""
    own = [{"of": "enclosure.plants.leaf_area", "low": "3300 cm2", "high": "3700 cm2"}]
    traced = tl.daily_water(tl.load("fern-hollow").change(ranges=own), members=MEMBERS // 2)
    drawn, known = (np.nanstd(one.sample.results["pour"][: MEMBERS // 2]) for one in (answer, traced))
    assert known <= drawn * 1.005


def test_what_cannot_be_paired_is_refused(answer: tl.Answer) -> None:
    fewer = asked("daily_water", "fern-hollow", members=8)
    with pytest.raises(tl.TerralabError, match="32 and 8 members"):
        tl.difference(answer, fewer)
    with pytest.raises(tl.TerralabError, match="daily_water"):
        tl.difference(answer, "fern-hollow")
