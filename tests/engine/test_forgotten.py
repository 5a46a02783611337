"""The closure tests can fail: a flow that somebody forgets to count opens the books, in a box that has this flow."""

from __future__ import annotations

import warnings
from dataclasses import replace

import pytest

import terralab as tl
from terralab.engine.flows_table import CAME_IN, HEAT, LEFT, TABLE, WATER
from terralab.simulation import budget

EVERY = [
    (carried, name) for carried in (WATER, HEAT) for kind in (CAME_IN, LEFT) for name in TABLE.crossing(carried, kind)
]


@pytest.fixture(scope="module")
def records() -> list[tl.Record]:
    """Invented boxes that between them have every flow across the glass: wet ones, one with a hole, one that runs over."""
    fern = tl.load("fern-hollow").change(
        **{
            "enclosure.dish": {"area": "100 cm2", "depth": "2 cm"},
            "enclosure.drainage.level": "5 cm",
            "routine.mists": [{"name": "fog", "flow": "5 ml/min", "airborne": 0.9, "timer": ["20 min every 2 h"]}],
            "routine.heaters": [{"name": "mat", "kind": "heat mat under floor", "power": "10 W", "timer": ["always"]}],
            "routine.sprays": [{"amount": "20 ml", "over": "1 min", "every": "1 d", "time": "09:00"}],
            "routine.siphons": [{"to_level": "1 cm", "every": "1 d", "time": "12:00"}],
            "routine.doors": [{"time": "12:05", "open": "30 min"}],
            "enclosure.hide": {
                "volume": "4 l",
                "opening_width": "6 cm",
                "opening_height": "5 cm",
                "floor": "damp moss",
            },
            "enclosure.ground": {"moss": "20 %"},
            "enclosure.moss_on_wood_area": "300 cm2",
            "enclosure.wood_area": "1000 cm2",
        }
    )
    gone = dict.fromkeys(("enclosure.drainage", "enclosure.tube", "routine.siphons"))
    holed = fern.change(**{**gone, "enclosure.drain_hole": True, "routine.pours.1.amount": "2 l"})
    over = fern.change(**{**gone, "start.soil": "wet", "routine.pours.1.amount": "9 l"})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        # a second day on which much is put in and taken out
        bare = fern.change(
            **{
                "enclosure.hide": None,
                "enclosure.dish": None,
                "enclosure.openings.lid.width": "60 cm",
                "enclosure.openings.lid.height": "45 cm",
            }
        )
        brings = {
            "enclosure.dish": {"area": "100 cm2", "depth": "2 cm"},
            "enclosure.hide": fern.enclosure.hide,
            "enclosure.wood_area": "4000 cm2",
            "enclosure.moss_on_wood_area": 0.0,
            "enclosure.ground": None,
            "enclosure.plants": None,
            "enclosure.cover": None,
            "enclosure.openings.lid.covered": 0.0,
            "enclosure.basking": {"lamp": "plant light", "distance": "20 cm"},
        }
        changed = tl.simulate(bare, 3, cells=20, record_every_min=60, events=[tl.Event("day 2 04:10", None, brings)])
        return [*(tl.simulate(box, 3, cells=20, record_every_min=60) for box in (fern, holed, over)), changed]


@pytest.mark.parametrize(("carried", "name"), EVERY, ids=[name for _, name in EVERY])
def test_a_flow_that_is_not_counted_opens_the_books(records, carried, name) -> None:
    closes = budget.water_budget if carried == WATER else budget.energy_budget
    limit = 1e-9 if carried == WATER else 1e-6
    assert all(closes(record.raw).closure <= limit for record in records)
    # the row alone is left out, or made to carry no heat; other rows may share its warmth
    kept = tuple(replace(flow, warmth="") if flow.warmth == name else flow for flow in TABLE.flows if flow.name != name)
    without = replace(TABLE, flows=kept)
    assert max(closes(record.raw, table=without).closure for record in records) > 10.0 * limit
