"""When a limit is passed: hours of a made-up course, and laws over records."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.limits import (
    DANGEROUSLY_COLD,
    DANGEROUSLY_HOT,
    DANGERS,
    LASTS_H,
    OUT_OF_BAND,
    TOO_DRY,
    TOO_HOT,
    WATER_AT_MESH,
    WATER_IN_SOIL,
    Limits,
    limits_of,
)


def made_up(flags: str, name: str = TOO_DRY, step_h: float = 1.0) -> Limits:
    return Limits({name: np.array([flag == "x" for flag in flags])}, step_h)


@pytest.mark.parametrize(
    ("flags", "hour"), [("....", np.inf), ("xxx.", 0.0), ("xx.xx.", np.inf), (".xx.xxx", 4.0), ("", np.inf)]
)
def test_a_limit_must_be_passed_without_a_break(flags, hour) -> None:
    assert LASTS_H[TOO_DRY] == 3.0
    assert made_up(flags).first_h(TOO_DRY) == hour


def test_what_is_usual_at_that_hour_is_not_counted_and_hours_run_from_the_row_asked() -> None:
    failed, usual = made_up("xxxx..xxxx"), made_up("xxxx......")
    assert failed.first_h(TOO_DRY) == 0.0
    assert failed.first_h(TOO_DRY, usual=usual) == 6.0
    assert failed.first_h(TOO_DRY, since=4) == 2.0


def test_what_is_usual_for_minutes_hides_nothing_that_stays() -> None:
    """A thermostat takes the air past a limit again and again; where it then stays past it, that is no usual hour."""
    failed, flickers = made_up("..xxxxxxxx"), made_up("x.x.x.x.x.")
    assert failed.first_h(TOO_DRY, usual=flickers) == failed.first_h(TOO_DRY) == 2.0


def test_quarter_hours_count_as_hours_do() -> None:
    assert made_up("x" * 11, step_h=0.25).first_h(TOO_DRY) == np.inf
    assert made_up("." * 2 + "x" * 12, step_h=0.25).first_h(TOO_DRY) == 0.5


@pytest.fixture(scope="module")
def fern() -> tl.Box:
    return tl.load("fern-hollow")


def test_a_room_past_every_limit_passes_them_and_an_ordinary_one_none(fern) -> None:
    usual = limits_of(tl.simulate(fern, 2))
    assert all(np.isinf(usual.first_h(name)) for name in DANGERS)
    with pytest.warns(tl.TerralabWarning, match="room"):
        hot, cold = (limits_of(tl.simulate(fern.change(**{"room.temperature": room}), 2)) for room in ("39 C", "5 C"))
    assert hot.first_h(DANGEROUSLY_HOT) < 24.0
    assert cold.first_h(DANGEROUSLY_COLD) < 24.0
    assert hot.first_h(TOO_HOT) <= hot.first_h(DANGEROUSLY_HOT)
    assert np.isinf(cold.first_h(DANGEROUSLY_HOT))
    assert hot.share(TOO_HOT) > 0.5


def test_water_poured_without_end_comes_to_the_mesh_before_it_stands_on_the_soil(fern) -> None:
    pours = [tl.Event(f"{hour} h", None, {"pour": "3 l"}) for hour in range(1, 20)]
    limits = limits_of(tl.simulate(fern, 2, events=[tl.Event(0, None, "no hand"), *pours]))
    assert limits.first_h(WATER_AT_MESH) <= limits.first_h(WATER_IN_SOIL) < np.inf


def test_nobody_wants_anything_so_nothing_is_out_of_band(fern) -> None:
    bare = fern.change(group=None, band=None, **{"enclosure.plants": None})  # plants want temperatures of their own
    limits = limits_of(tl.simulate(bare.change(**{"room.temperature": "30 C"}), 1))
    assert all(np.isinf(limits.first_h(name)) for name in OUT_OF_BAND)
