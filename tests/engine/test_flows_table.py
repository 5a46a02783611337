"""The one table of flows: a row in it is counted everywhere, and every store changes by its rows and by nothing else.

A flow that some list forgot used to be lost from the answers without a word: a fifth of the vapour, once. So a copy of
the table with one more row must show that row in the engine's stores, the audits, the series, "where it goes" and the
arrows; and the saved stores of many boxes are held against the sum of their rows.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import warnings
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import terralab as tl
from terralab.engine.flows_table import HEAT, INSIDE, LEFT, TABLE, WATER, Flow
from terralab.engine.kinds import BASKING, COVER, DISH, LEAF, LID, PANE, SHELL
from terralab.engine.tables import BOX, FLOW, MOVED, ZONE, ZONE_STATE
from terralab.show.figures.section_flows import ARROWS
from terralab.simulation.budget import gained, stored_heat, stored_water
from terralab.simulation.where_it_goes import KINDS
from tests.keepers import keepers_box

DEMOS = ("fern-hollow", "moss-jar", "dry-ledge", "tall-glen")

# An invented way out of the air, as a newcomer would add it: a row of the table, and a line with its rate.
ROW = """    Flow("through_cork", "air", ROOM, label="vapour lost through the cork", series="vapour lost through the cork",
         way="through the cork", arrows=("vapour_out",)),
"""
RATE = "    f.through_cork = 1.0e-4 * air.zones[row, 0].w * b.air_mass\n    air.zone_flow[flow_row, 0].vapour -= f.through_cork\n"
SEEN = """
import json, warnings
from dataclasses import replace
import terralab as tl
from terralab.answers.common.balance import budget_ml
from terralab.show.figures.budget import alt_text
from terralab.show.figures.section_flows import flows_of
from terralab.simulation.where_it_goes import kind_of, ways_out
from terralab.engine import settle
from terralab.engine.settings import ACCURACY
# where the day begins and how finely it is solved do not matter here, and uncompiled it takes long
settle.DAYS = 0
ACCURACY["preview"] = replace(ACCURACY["preview"], rh=0.5, temperature=5.0, longest_air=3600.0, theta=0.1, surface_cell=0.5)
warnings.simplefilter("ignore")
record = tl.simulate(tl.load("moss-jar"), 1, accuracy="preview", cells=10, record_every_min=60)
rows = record.rows(0, 1)
goes = budget_ml(record, rows)
of = lambda kind: sum(amount for word, amount in goes.items() if kind_of(word) == kind)
a_day = lambda name: float(record.series[f"{name} ml/h"][rows].sum())
print(json.dumps({
    "closure": record.closure_water,
    "audited": 1000.0 * record.water_budget().outgoing["through_cork"],
    "series": a_day("vapour lost through the cork"),
    "goes": goes["vapour lost through the cork"],
    "misfit": of("came in") - of("left") - of("stored"),
    "arrow": flows_of(record, rows).vapour_out,
    "vapour": sum(a_day(f"vapour lost {way}") for way in ("through gaps", "through vents", "by fan")),
    "picture": alt_text(goes, "Jar"),
    "way": ways_out()["vapour lost through the cork"],
}))
"""


@pytest.fixture(scope="module")
def seen(tmp_path_factory) -> dict:
    """What terralab says with the row and the line added to a copy of it; uncompiled, since a day is short."""
    folder = tmp_path_factory.mktemp("copy")
    copy = folder / "terralab"
    shutil.copytree(Path(tl.__file__).parent, copy, ignore=shutil.ignore_patterns("__pycache__"))
    for file, before, more in (
        ("flows_table.py", "    # films that run off", ROW),
        ("exchange.py", "    f.surface_up = ", RATE),
    ):
        text = (copy / "engine" / file).read_text(encoding="utf-8")
        assert text.count(before) == 1
        (copy / "engine" / file).write_text(text.replace(before, more + before), encoding="utf-8")
    surroundings = os.environ | {"NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(folder)}
    done = subprocess.run(
        [sys.executable, "-c", SEEN], capture_output=True, text=True, env=surroundings, cwd=folder, timeout=300
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_a_new_row_is_counted_everywhere(seen) -> None:
    assert seen["audited"] > 0.5
    assert seen["closure"] < 1e-9  # the air lost what the audit counts
    assert seen["series"] == pytest.approx(seen["audited"], rel=1e-9)
    assert seen["goes"] == pytest.approx(seen["audited"], rel=1e-9)
    assert abs(seen["misfit"]) < 1e-6
    assert seen["arrow"] == pytest.approx(seen["vapour"] + seen["goes"], rel=1e-9)
    assert seen["way"] == "through the cork"
    left = seen["picture"].split("Left the box")[1].split(". ")[0]
    assert f"vapour lost through the cork {seen['goes']:.1f}" in left


def test_a_copy_of_the_table_has_the_new_row_in_every_list() -> None:
    new = Flow(
        "through_cork", "air", "room", label="lost through the cork", way="through the cork", arrows=("vapour_out",)
    )
    table = replace(TABLE, flows=(*TABLE.flows, new))
    assert set(table.fields("air clock")) - set(TABLE.fields("air clock")) == {"through_cork"}
    assert table.crossing(WATER, LEFT)[-1] == "through_cork"
    assert table.crossing(HEAT, LEFT) == TABLE.crossing(HEAT, LEFT)
    assert new in table.sums("shown_as")["through cork ml/h"]
    assert new in table.sums("label")["lost through the cork"]
    assert new in table.sums("arrows")["vapour_out"]
    assert table.kind_of("lost through the cork") == LEFT
    assert table.ways_out["lost through the cork"] == "through the cork"
    box = np.zeros(1, BOX)[0]
    gains = table.water_gains(lambda name: 1.0 if name == "through_cork" else 0.0, box)
    assert {store: gain for store, gain in gains.items() if gain} == {"air": -1.0}


def test_the_table_names_only_what_there_is() -> None:
    places = {store.name for store in TABLE.stores} | {"room", "ground", "foot of the glass", "surfaces", "floor"}
    assert {end for flow in TABLE.flows for end in (flow.source, flow.target)} <= places
    names = [flow.name for flow in TABLE.flows]
    assert len(set(names)) == len(names)
    assert {flow.part_of for flow in TABLE.flows} - {""} <= set(names)
    assert {store.zone for store in TABLE.stores} - {""} <= set(ZONE_STATE.names)
    assert {store.times for store in TABLE.stores} - {""} <= set(ZONE.names)
    # every surface, whatever it is, has its water and its heat in one store at most, and its heat in one at least
    kinds = (LEAF, PANE, LID, DISH, BASKING, SHELL, COVER)
    for kind in kinds:
        assert sum(kind in store.kinds and WATER in store.holds for store in TABLE.stores) == (kind != BASKING)
        assert sum(kind in store.kinds and HEAT in store.holds for store in TABLE.stores) == 1
    assert set(TABLE.fields("air clock")) == set(FLOW.names)
    assert set(TABLE.fields("soil clock")) == set(MOVED.names)
    assert set(TABLE.sums("arrows")) == set(ARROWS)
    # one word has one kind, and whatever crosses the glass as water is told
    for label, flows in TABLE.sums("label").items():
        assert len({flow.kind for flow in flows}) == 1, label
    for flow in TABLE.booked:
        if flow.crosses_the_glass and flow.carries == WATER:
            assert flow.label, flow.name
    assert {TABLE.kind_of(flow.label) for flow in TABLE.flows if flow.label} <= set(KINDS)
    assert INSIDE in KINDS


def holds(record: tl.Record) -> None:
    """Each store of the record changed by the sum of its rows, from every saved row to the next."""
    raw = record.raw
    stores = {WATER: stored_water(raw), HEAT: stored_heat(raw)}
    for carried, limit in ((WATER, 1e-9), (HEAT, 1e-6)):
        for name, gain in gained(raw, carried).items():
            held = stores[carried][name]
            if carried == HEAT and not held.any():
                continue  # a store that the box does not have
            scale = np.abs(held).max() + np.abs(gain + np.zeros(len(held))).sum() + (1e-6 if carried == WATER else 1.0)
            misfit = np.abs(np.diff(held) - (gain + np.zeros(len(held)))[1:]).max()
            assert misfit <= limit * scale, (record.box.name, carried, name, misfit, scale)


@pytest.mark.parametrize("name", DEMOS)
def test_a_store_of_a_demo_changes_by_the_sum_of_its_rows(name) -> None:
    holds(tl.simulate(tl.load(name), 3, cells=20))


@pytest.mark.parametrize("number", range(12))
def test_a_store_of_any_box_changes_by_the_sum_of_its_rows(number) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        holds(tl.simulate(keepers_box(number), 2, cells=15, record_every_min=30))
