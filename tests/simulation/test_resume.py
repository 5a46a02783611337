"""A run that is cut and goes on is the uncut run, to the last digit; it begins at any hour and lasts any rows of its record."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import warnings

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import terralab as tl
from tests.describe.random_boxes import boxes

ARRAYS = ("t", "zones", "surfaces", "chain", "water", "head", "flow", "moved")


def columns(record: tl.Record, like: tl.Record, name: str) -> np.ndarray:
    """An array of a record; surfaces that came and went stand in the order of another record's."""
    held = getattr(record.raw, name)
    if name != "surfaces":
        return held
    keys, order = ([(s["kind"], s["wall"], s["zone"]) for s in r.raw.surface] for r in (record, like))
    return held[:, [keys.index(key) for key in order]]


def same_to_the_last_bit(whole: tl.Record, first: tl.Record, second: tl.Record) -> None:
    for name in ARRAYS:
        one, cut, rest = (columns(record, whole, name) for record in (whole, first, second))
        assert np.array_equal(one[: len(cut)], cut), name
        assert np.array_equal(one[len(cut) :], rest[1:]), name
    for name, held in whole.raw.end.arrays.items():
        assert held.tobytes() == second.raw.end.arrays[name].tobytes(), name


@pytest.fixture(autouse=True)
def quietly():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        yield


@pytest.mark.parametrize("name", tl.demos())
@pytest.mark.parametrize("row", [1, 33, 96, 151, 191])
def test_a_demo_cut_anywhere(name, row) -> None:
    """Rows within a pour, at midnight, in the lamp's hours: nothing that lives on is forgotten."""
    box = tl.load(name)
    whole, first = tl.simulate(box, 2), tl.simulate(box, row / 96)
    same_to_the_last_bit(whole, first, tl.simulate(box, 2 - row / 96, start=first))


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(box=boxes(), row=st.integers(1, 23), hour=st.integers(0, 23))
def test_any_box_cut_anywhere(box, row, hour) -> None:
    run = lambda days, **more: tl.simulate(box, days, cells=15, accuracy="preview", record_every_min=60, **more)  # noqa: E731
    try:
        whole = run(1, start_at=3600.0 * hour)
    except tl.RunError:
        assume(False)
    first = run(row / 24, start_at=3600.0 * hour)
    same_to_the_last_bit(whole, first, run(1 - row / 24, start=first))


def test_through_a_file_and_a_pickle(tmp_path) -> None:
    box = tl.load("fern-hollow")
    first = tl.simulate(box, 0.5)
    path = first.save(tmp_path / "half")
    wholes = [
        tl.simulate(box, 0.25, start=start) for start in (first, path, str(path), pickle.loads(pickle.dumps(first)))
    ]
    for other in wholes[1:]:
        assert all(np.array_equal(getattr(wholes[0].raw, name), getattr(other.raw, name)) for name in ARRAYS)


SCRIPT = """
import json, terralab as tl
from terralab.engine import settle
settle.DAYS = 0  # where the first hour begins does not matter here, and uncompiled it takes long
box = tl.load("fern-hollow")
run = lambda days, **more: tl.simulate(box, days, cells=10, accuracy="preview", record_every_min=60, **more)
whole, first = run(8 / 24), run(5 / 24)
second = run(3 / 24, start=first)
same = all(getattr(whole.raw, n)[6:].tobytes() == getattr(second.raw, n)[1:].tobytes() for n in ("zones", "water", "flow"))
print(json.dumps([same, tl.jit.COMPILED]))
"""


def test_uncompiled_too() -> None:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert json.loads(done.stdout) == [True, False]


def test_it_begins_at_an_hour_and_counts_from_midnight() -> None:
    record = tl.simulate(tl.load("fern-hollow"), 1.5, start_at="14:00")
    assert (record.times_h[0], record.times_h[-1], record.days) == (14.0, 50.0, 1.5)
    assert record.closure_water < 1e-12
    poured = np.flatnonzero(record.moved_kg("poured"))
    assert record.times_h[poured] == pytest.approx([32.25])  # at eight in the morning


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"days": 0.3001}, "whole number of rows"),
        ({"days": 0}, "above 0"),
        ({"start_at": "14:07"}, "where a row of its record falls"),
        ({"start_at": 90000.0}, "time of day"),
        ({"start": 3}, "start must be a Record"),
    ],
)
def test_what_is_refused(more, words) -> None:
    with pytest.raises(tl.TerralabError, match=words):
        tl.simulate(tl.load("fern-hollow"), **{"days": 1, **more})


def test_a_record_of_another_box_is_refused() -> None:
    box = tl.load("fern-hollow")
    record = tl.simulate(box, 0.25)
    for change, words in (
        ({"routine.lamps": []}, "routine"),
        ({"routine.pours.1.amount": "1 l"}, "routine"),
        ({"enclosure.plants": None}, "enclosure"),
        ({"room.temperature": "9 C"}, "room"),
    ):
        with pytest.raises(tl.TerralabError, match=words):
            tl.simulate(box.change(**change), 0.25, start=record)
    with pytest.raises(tl.TerralabError, match="soil layers or cells"):
        tl.simulate(box, 0.25, start=record, cells=20)
    # what a box is called and wanted for changes nothing in it
    other = tl.simulate(box.change(name="Another", note="", group="mosses"), 0.25, start=record)
    assert np.array_equal(other.raw.water, tl.simulate(box, 0.25, start=record).raw.water)
    with pytest.raises(tl.TerralabError, match="overrides"):
        tl.simulate(box, 0.25, start=record, overrides={"mesh exchange.factor": "high"})
