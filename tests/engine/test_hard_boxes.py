"""Boxes that the engine once refused, or took thousands of steps for: each runs, closes, and costs what a box may cost.

The rows were found by `tests/benchmarks/hard_boxes.py`, which also says what a row means; what is left open there is
as in `PLAIN`.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

import terralab as tl
from tests.benchmarks.hard_boxes import PLAIN, box_of, work

CASES = Path(__file__).parent / "data" / "hard_boxes.csv"
DAYS = 7


def cases() -> list[pytest.param]:
    """The rows of the table, each with numbers where the plain box has numbers."""
    found = []
    with CASES.open(encoding="utf-8", newline="") as file:
        for number, row in enumerate(csv.DictReader(file), 1):
            fault = row.pop("fault")
            found.append(pytest.param(read(row), id=f"{number}: {fault}"))
    return found


def read(row: dict[str, str]) -> dict[str, object]:
    """A row as `box_of` takes it."""
    out: dict[str, object] = {}
    for name, text in row.items():
        if text == "":
            continue
        try:
            out[name] = float(text)
        except ValueError:
            out[name] = text
    # an empty layer of stones is not the plain one: the table says "none"
    return {name: "" if value == "none" else value for name, value in out.items()}


@cache
def usual() -> float:
    """The work of the default demo over the same days, at the accuracy it is run with by default."""
    return work(tl.simulate(tl.load("fern-hollow"), DAYS, record_every_min=60).settings)


@pytest.mark.parametrize("accuracy", ["normal", "preview"])
@pytest.mark.parametrize("row", cases())
def test_a_box_once_refused_or_slow_runs_and_costs_at_most_ten_times_the_demo(row, accuracy) -> None:
    assert set(row) <= set(PLAIN)
    record = tl.simulate(box_of(row), DAYS, accuracy=accuracy, record_every_min=60)
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    assert record.relative_humidity.max() < 101.0
    assert work(record.settings) < 10.0 * usual()
    assert record.settings["unconverged_steps"] <= record.settings["repeated_steps"]
    assert record.settings["rough_steps"] <= record.settings["soil_steps"]


def test_the_count_of_tries_without_a_solution_counts() -> None:
    """A bone-dry moss sucks water up within seconds: the first long steps find no solution, and the record says so."""
    rows = [one.values[0] for one in cases()]
    tried = [tl.simulate(box_of(row), 1, record_every_min=60).settings["unconverged_steps"] for row in rows]
    assert max(tried) > 0
    assert tl.simulate(tl.load("fern-hollow"), 1).settings["unconverged_steps"] == 0


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_a_step_of_the_air_that_ends_in_no_number_is_taken_shorter():
    """Moss that a fan dries for a month: in long steps its surface cell once gave a humidity that was no number, and the run stopped."""
    box = tl.load("moss-jar").change(
        **{
            "start.soil": "wet",
            "enclosure.drainage.level": "3 cm",
            "routine.fans": [{"name": "rescue fan", "mode": "exchange", "flow": "3 m3/h", "timer": "always"}],
        }
    )
    with (CASES.parent / "drying_moss.csv").open(encoding="utf-8", newline="") as file:
        overrides = {row["number"]: float(row["value"]) for row in csv.DictReader(file)}
    record = tl.simulate(box, 34, overrides=overrides, accuracy="preview", record_every_min=60)
    assert record.closure_water <= 1e-9


@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_a_layer_thinner_than_its_rise_gives_no_more_than_it_holds():
    """Grains that draw water up 9 mm, in a layer of 8: it went on giving when it was empty, and its heat ran away."""
    box = tl.load("moss-jar").change(
        **{"enclosure.drainage.depth": "0.8 cm", "enclosure.drainage.level": "0.1 cm", "routine.sprays": []}
    )
    record = tl.simulate(box, 30, accuracy="preview", record_every_min=60)
    assert record.raw.water[:, -1].min() > -1e-9
    assert record.closure_water <= 1e-9


#: A front of water in cells of a fraction of a millimetre that are bone-dry: soaked coir over dry sand, and dry coir that
#: draws from the layer below it. It crosses many cells within the shortest step.
FRONTS = {
    "soaked coir over dry sand": {
        "enclosure.layers": [
            {"material": "fine coir mix", "depth": "0.5 cm"},
            {"material": "sandy mix", "depth": "0.9 cm"},
        ],
        "enclosure.drainage": None,
        "start.readings": [{"depth": "0 cm", "water": "0 %"}, {"layer": "1", "suction": "0 kPa"}],
    },
    "dry coir over water": {
        "enclosure.layers": [{"material": "fine coir mix", "depth": "0.85 cm"}],
        "enclosure.drainage": {"material": "expanded clay 4-10 mm", "depth": "1.8 cm", "level": "1 cm"},
        "start.readings": [{"layer": "1", "suction": "10000 kPa"}],
    },
}


@pytest.mark.parametrize("accuracy", ["normal", "preview"])
@pytest.mark.parametrize("which", FRONTS)
def test_water_finds_its_way_into_bone_dry_thin_cells(which, accuracy) -> None:
    """Once refused in the first second: "the flow of water in the soil found no solution"."""
    jar = tl.load("moss-jar").change(**{"enclosure.plants": None, "enclosure.cover": None, **FRONTS[which]})
    record = tl.simulate(jar, 1, accuracy=accuracy, record_every_min=60)
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    assert work(record.settings) < 10.0 * usual()
    lowest = record.raw.water[:, -2]
    assert lowest.max() > 2.0 * lowest[0]  # it arrived
