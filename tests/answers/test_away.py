"""The absence as statements: humidity beside warmth, what is wanted beside both, and no measure that stays metric."""

from __future__ import annotations

import pytest

import terralab as tl
from terralab.answers.away.away import Away
from terralab.answers.away.words import away_statements, dries_words, not_counted
from terralab.answers.common.statement import Kind
from terralab.quantities import said

SPAN = (60.0, 70.0, 80.0)
WARM = (18.0, 20.0, 22.0)
NARROW = (20.0, 20.0, 20.0)


def seen(dries: tuple[float | None, float | None, float | None] | None) -> Away:
    return Away(dries, SPAN, SPAN, WARM, NARROW, SPAN, SPAN, WARM, WARM)


@pytest.mark.parametrize("season", ["now", "winter", "summer"])
def test_an_absence_is_stated_in_either_system(season: str) -> None:
    (one,) = away_statements(tl.load("fern-hollow"), season, seen((8.0, 12.0, None)))
    assert one.kind is Kind.SEASONS
    metric, us = one.said(), one.said(us=True)
    assert one.text == metric
    assert "the top 2 cm dry out after about 12 days (8 to more than the 60 that were run)" in metric
    assert "70 % (likely 60 to 80, wanted 70 to 90 %) at 20 °C (likely 18 to 22) by day" in metric
    assert "at 20 °C by night" in metric  # a range without width is none
    assert "the top 0.79 in dry out" in us
    assert "at 68 °F (likely 64 to 72) by day" in us
    assert "°C" not in us
    assert {q.unit for q in one.quantities} == {"cm", "°C"}


def test_a_box_that_is_held_dry_has_no_day_on_which_it_dries() -> None:
    (one,) = away_statements(tl.load("dry-ledge"), "now", seen(None))
    assert one.text.startswith("In the room as described: after 14 days the humidity is 70 %")


def test_one_day_is_one_day_and_what_was_not_seen_is_said_so() -> None:
    assert "after about 1 day (1 to 2)" in said(dries_words((1.0, 1.0, 2.0)))
    assert "but after 1 day in the driest tenth" in said(dries_words((1.0, None, None)))
    assert said(dries_words((None, None, None))) == "the top 2 cm did not dry out in the 60 days that were run"


def test_what_is_not_counted_is_said_with_its_water() -> None:
    mist = [{"name": "fine mist", "flow": "60 ml/min", "timer": ["1 min every 6 h"]}]
    lines = not_counted(tl.load("fern-hollow").change(**{"routine.mists": mist}))
    (tank,) = (one for one in lines if "tanks" in one.text)
    assert "up to 240 ml a day, 3.4 l in 14 days" in tank.text
    assert "8.1 fl oz a day" in tank.said(us=True)
