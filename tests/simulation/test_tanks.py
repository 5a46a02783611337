"""Water that comes to an end: a dish that nobody tops up, a bottle that drips; every drop is counted."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import terralab as tl
from terralab.errors import DescriptionError
from tests.simulation.test_resume import same_to_the_last_bit

DISH = {"area": "60 cm2", "depth": "0.5 cm", "refill": "never"}
DRIP = {"name": "bottle", "flow": "2 ml/min", "timer": ["30 min every 6 h"], "onto": "soil", "tank": "400 ml"}


@pytest.fixture(autouse=True)
def quietly():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        yield


def fern(**changes: object) -> tl.Box:
    return tl.load("fern-hollow").change(**{"routine.sprays": [], "routine.pours": [], **changes})


def ml(record: tl.Record, *names: str) -> float:
    return 1000.0 * float(record.moved_kg(*names).sum())


def test_a_dish_that_is_not_topped_up_empties_and_then_gives_no_more() -> None:
    """Of its 30 ml all has evaporated or is there; empty it gives nothing, and the air is drier than beside a full one."""
    record = tl.simulate(fern(**{"enclosure.dish": DISH}), 16)
    left = 1000.0 * record.stored_kg["dish"]
    assert left[0] == pytest.approx(60 * 0.5 * 0.998, rel=0.005)
    assert ml(record, "refilled") == 0.0
    assert ml(record, "dish_evaporation") == pytest.approx(left[0] - left[-1], rel=1e-9)
    dry = record.ran_dry_h["dish"]
    assert 0.0 < left[record.times_h >= dry].max() <= 0.6 + 1e-9
    assert (
        record.series["dish evaporation ml/h"][-96:].max() < 0.01 * record.series["dish evaporation ml/h"][1:96].mean()
    )
    assert record.closure_water < 1e-12
    assert record.closure_energy < 1e-10
    full = tl.simulate(fern(**{"enclosure.dish": DISH | {"refill": "1 d"}}), 16)
    assert "dish" not in full.ran_dry_h
    late = record.rows(15, 16)
    assert record.relative_humidity[late].mean() < full.relative_humidity[late].mean()


def test_a_dish_is_topped_up_when_it_is_said_to_be() -> None:
    for refill, days in (("1 d", {0, 1, 2, 3, 4, 5, 6}), ("3 d", {0, 3, 6}), ("never", set())):
        record = tl.simulate(fern(**{"enclosure.dish": DISH | {"refill": refill}}), 7, record_every_min=60)
        came = record.times_h[record.moved_kg("refilled") > 0.0]
        assert {int(hour // 24) for hour in came} == days
        assert all(hour % 24 == 9 for hour in came)


def test_a_hide_is_kept_damp_whatever_the_dish_gets() -> None:
    hide = {"volume": "1 l", "opening_width": "6 cm", "opening_height": "5 cm", "floor": "damp moss"}
    record = tl.simulate(fern(**{"enclosure.dish": DISH, "enclosure.hide": hide}), 3)
    assert ml(record, "refilled") == 0.0
    assert np.count_nonzero(record.moved_kg("hide_wetted")) == 3


def test_a_drip_wets_the_soil_alone_and_its_bottle_empties() -> None:
    """60 ml in each half hour: the seventh ends after 20 minutes, at 36:20; no drop on leaves, panes or litter."""
    record = tl.simulate(fern(**{"routine.mists": [DRIP]}), 3)
    assert ml(record, "spray_ground") == pytest.approx(400.0, rel=1e-9)
    assert ml(record, "spray_leaf", "spray_glass", "fog_in") == 0.0
    assert record.ran_dry_h["bottle"] == pytest.approx(36.0 + 20.0 / 60.0, abs=1e-6)
    assert record.closure_water < 1e-12
    assert record.closure_energy < 1e-10


def test_what_drips_does_what_a_pour_as_slow_does() -> None:
    """The same water in the same half hour: where a moist mix takes all of it, a drip and a pour are one."""
    dripped = tl.simulate(fern(**{"routine.mists": [DRIP | {"timer": ["08:00-08:30"], "tank": None}]}), 3)
    poured = tl.simulate(fern(**{"routine.pours": [{"time": "08:00", "amount": "60 ml", "over": "30 min"}]}), 3)
    assert ml(dripped, "spray_ground") == pytest.approx(ml(poured, "poured"))
    assert np.abs(dripped.soil_water - poured.soil_water).max() < 1e-4
    assert np.abs(dripped.humidity_shown - poured.humidity_shown).max() < 0.5


def test_a_drip_under_a_switch_and_through_a_cut(tmp_path) -> None:
    box = fern(
        **{
            "enclosure.dish": DISH,
            "routine.mists": [
                DRIP | {"control": {"senses": "humidity", "on": "below", "set_point": "85 %", "hysteresis": "4"}}
            ],
        }
    )
    whole, first = tl.simulate(box, 2), tl.simulate(box, 0.75)
    same_to_the_last_bit(whole, first, tl.simulate(box, 1.25, start=first))
    assert whole.closure_water < 1e-12


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"enclosure.dish": DISH | {"refill": "sometimes"}}, 'or "never"'),
        ({"enclosure.dish": DISH | {"refill": "0 d"}}, "enclosure.dish.refill"),
        ({"routine.mists": [DRIP | {"airborne": "10 %"}]}, "no such share for a drip"),
        ({"routine.mists": [DRIP | {"onto": "sol"}]}, "soil"),
        ({"routine.mists": [DRIP | {"tank": None, "refill": "3 d"}]}, "size of the tank"),
    ],
)
def test_what_cannot_be_is_refused(changes, words) -> None:
    with pytest.raises(DescriptionError, match=words):
        fern(**changes)
