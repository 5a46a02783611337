"""What happens when something else is handed to a public function than it needs: a sentence, never a traceback.

Most often it is the name of a box in place of the box, yes or no in place of a number, or a number of numpy. Every
function of `terralab` and of `terralab.show` stands in the table below with an input that is good; each argument in
turn is replaced by things that are not. A public function that is missing in the table fails the test.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

import terralab as tl
from terralab import show, uncertainty
from terralab.errors import TerralabError

NO_BOX = ["moss-jar", None, 7, ["moss-jar"], tl.Box]
NO_COUNT = [True, 2.5, "14", None, -1, 10**9, [3], np.float64(16.0), float("nan")]
NO_MEMBERS = [*NO_COUNT, 1]
NO_NUMBER = [True, "5", [5.0], float("nan"), float("inf"), -5.0]
NO_NAME = [7, ["x"], b"x", None]
NO_RECORD = ["moss-jar", None, 7, object()]
NO_ANSWER = ["water", None, 7, tl.Answer]


class Later:
    """A good value that is made when a test first wants it: pytest reads this file before any engine is compiled."""

    def __init__(self, make: Callable[[], Any]) -> None:
        self.make = cache(make)


def ready(good: Any) -> Any:
    """The value itself, made where it was put off, in lists and pairs too."""
    if isinstance(good, Later):
        return good.make()
    return type(good)(ready(one) for one in good) if type(good) in (list, tuple) else good


BOX = tl.load("moss-jar")
RECORD = Later(lambda: tl.simulate(BOX, 1, accuracy="preview", record_every_min=60))
WATER = Later(lambda: tl.daily_water(BOX, members=2))

#: function -> for each argument by name: a good value, and those that are refused. Nothing here is run with good ones.
DOORS: dict[str, dict[str, tuple[Any, list[Any]]]] = {
    "daily_water": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS)},
    "first_soak": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS)},
    "difference": {"first": (WATER, NO_ANSWER), "second": (WATER, NO_ANSWER)},
    "drainage": {
        "box": (BOX, NO_BOX),
        "members": (4, NO_MEMBERS),
        "pour": ("recommended", ["mine", 3, None, ["described"]]),
        "pour_members": (4, NO_MEMBERS),
    },
    "rescue": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS)},
    "away": {"box": (BOX, NO_BOX), "season": ("now", ["autumn", 3, None, ["now"]]), "members": (4, NO_MEMBERS)},
    "all_answers": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS), "step": (None, [3, "x"])},
    "fan_schedules": {
        "box": (BOX, NO_BOX),
        "own": (None, ["exchange", 3, {"mine": "always"}, {3: None}]),
        "members": (4, NO_MEMBERS),
        "animals_g": (20.0, NO_NUMBER),
        "dry_within_h": (12.0, [*NO_NUMBER, 0.0, 25.0, None]),
        "progress": (None, [3, "x"]),
        "pour_members": (4, NO_MEMBERS),
    },
    "sensitivities": {
        "box": (BOX, NO_BOX),
        "question": ("water", ["depth", 3, None, ["water"]]),
        "samples": (8, [*NO_COUNT, 12]),
        "most": (3, [*NO_COUNT, 0]),
        "season": ("now", ["autumn", 3]),
    },
    "simulate": {
        "box": (BOX, NO_BOX),
        "days": (1, [*NO_COUNT, 0]),
        "season": ("now", ["autumn", 3, None, ["now"]]),
        "overrides": (None, ["leakage.ach", [("leakage.ach", 1.0)], {3: 1.0}, {"leakage.ach": True}, 5]),
        "accuracy": ("preview", ["exact", 3, None, ["preview"]]),
        "cells": (40, [*NO_COUNT, 9]),
        "record_every_min": (60, [True, "15", None, [15], float("nan"), 0.0, 7.0, 90]),
    },
    "run_many": {
        "jobs": ([tl.Job(BOX, 1)], ["moss-jar", 3, None, BOX, [BOX], [None], tl.Job(BOX, 1)]),
        "threads": (2, [*NO_COUNT, 0]),
        "executor": (None, [3, "x"]),
        "failed": ("raise", ["stop", 3, None, ["none"]]),
    },
    "dumps": {"box": (BOX, NO_BOX)},
    "loads": {"text": (tl.dumps(BOX), [7, None, b"x", ["x"]])},
    "load": {"name_or_path": ("moss-jar", [7, None, b"moss-jar", ["moss-jar"], True])},
    "save": {
        "box": (BOX, NO_BOX),
        "path": ("x.toml", [7, None, b"x", ["x"]]),
        "overwrite": (False, ["no", 1, None]),
    },
    "Column": {
        "layers": ([("loam topsoil", 0.2)], ["loam", 3, None, [3], [("no such soil", 0.1)]]),
    },
    "show.week_picture": {"record": (RECORD, NO_RECORD), "days": (7, [*NO_COUNT, 0]), "target": (None, ["70", 3])},
    "show.section_picture": {"record": (RECORD, NO_RECORD), "look": ("water", ["mud", 3, None, ["water"]])},
    "show.section_film": {
        "record": (RECORD, NO_RECORD),
        "look": ("water", ["mud", 3, None, ["water"]]),
        "frames": (2, [*NO_COUNT, 1]),
    },
    "show.sections_picture": {"records": ([("a", RECORD), ("b", RECORD)], [RECORD, "x", 3, None, [3]])},
    "show.water_picture": {"record": (RECORD, NO_RECORD), "answer": (None, ["x", 3, None])},
    "show.budget_picture": {"amounts_ml_per_day": ({}, ["x", 3, None, [1.0]]), "title": ("x", [])},
    "show.measure_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.fans_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.fan_trade_off": {"answer": (None, ["x", 3, None, BOX])},
    "show.fan_day": {"answer": (None, ["x", 3, None, BOX])},
    "show.report_page": {"answers": (None, ["x", 3, None, BOX])},
    "show.save_report": {"page": ("<html>", [7, None, b"x"])},
    "show.save": {"figure": (None, ["x", 3, None])},
    **{f"show.{name}_panel": {"box": (BOX, [7, None, ["moss-jar"], "no such box"])}
       for name in ("start", "water", "fans", "drainage", "sure")},
}  # fmt: skip

#: Public, but not asked with arguments of a keeper's: results, classes that are built by others or have tests of their
#: own at their doors (tests/describe, tests/test_soil_column.py), and pictures of the proofs, whose data the notebooks
#: read from tables.
ELSEWHERE = {
    "Answer", "Answers", "Box", "DescriptionError", "ExponentialSoil", "Job", "Record", "RunError", "Soil",
    "TerralabError", "TerralabWarning", "UnknownName", "__version__", "demos", "materials",
    "show.balance_picture", "show.drying_picture", "show.front_picture", "show.retention_picture",
}  # fmt: skip


def function(name: str) -> Callable:
    return getattr(show, name.removeprefix("show.")) if name.startswith("show.") else getattr(tl, name)


CASES = [
    pytest.param(name, key, bad, id=f"{name}-{key}-{number}")
    for name, door in DOORS.items()
    for key, (_, wrong) in door.items()
    for number, bad in enumerate(wrong)
    # the one argument for which nothing stands for "the default" is no slip
    if not (
        bad is None and door[key][0] is None and key in ("step", "own", "progress", "overrides", "executor", "target")
    )
]


@pytest.mark.parametrize(("name", "key", "bad"), CASES)
def test_what_a_function_does_not_take_is_refused_in_words(name, key, bad, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    given = {other: ready(good) for other, (good, _) in DOORS[name].items()} | {key: bad}
    with pytest.raises(TerralabError) as caught:
        function(name)(**given)
    assert len(str(caught.value)) > 20
    assert not list(tmp_path.iterdir())


def test_no_public_function_is_left_out():
    public = {*tl.__all__, *(f"show.{name}" for name in show.__all__)}
    assert public == {*DOORS, *ELSEWHERE}


@pytest.mark.parametrize("name", [name for name, door in DOORS.items() if "box" in door and "panel" not in name])
def test_the_name_of_a_box_is_no_box_and_how_to_load_it_is_said(name):
    with pytest.raises(TerralabError, match="moss-jar") as caught:
        function(name)(**{key: ready(good) for key, (good, _) in DOORS[name].items()} | {"box": "moss-jar"})
    assert "needs a box" in str(caught.value)
    assert 'tl.load("moss-jar")' in str(caught.value)


def test_whole_numbers_of_numpy_are_whole_numbers():
    record = tl.simulate(BOX, np.int64(1), cells=np.int32(20), record_every_min=np.float64(60.0), accuracy="preview")
    assert record.settings["days"] == 1
    assert uncertainty.ensemble(BOX, np.int16(4)).size == 4
    same = tl.simulate(BOX, 1, overrides={"leakage.ach": np.float32(0.5)}, accuracy="preview")
    assert same.settings["overrides"]["leakage.ach"] == 0.5


def test_a_record_cannot_be_changed_by_writing_into_what_it_shows():
    record = tl.simulate(BOX, 1, accuracy="preview", record_every_min=60)
    before = {name: values.copy() for name, values in record.series.items()}
    for held in (record, pickle.loads(pickle.dumps(record))):
        for name in before:
            with pytest.raises(ValueError, match="read-only"):
                held.series[name][:] = 0.0
        with pytest.raises(TypeError):
            held.series["relative humidity %"] = 0.0
        for values in (held.relative_humidity, held.raw.water, held.raw.t, held.raw.state, held.raw.head):
            with pytest.raises(ValueError, match="read-only"):
                values[:] = 0.0
        table = held.table()
        table.iloc[:, :] = 0.0
        for name, values in before.items():
            np.testing.assert_array_equal(held.series[name], values)
        assert held.closure_water < 1e-9
