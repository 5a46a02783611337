"""What happens when something else is handed to a public function than it needs: a sentence, never a traceback.

Most often it is the name of a box in place of the box, yes or no in place of a number, or a number of numpy. Every
function of `terralab` and of `terralab.show` stands in the table below with an input that is good; each argument in
turn is replaced by things that are not. A public function that is missing in the table fails the test.
"""

from __future__ import annotations

import inspect
import pickle
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pandas
import pytest

import terralab as tl
from terralab import show, uncertainty
from terralab.answers.drainage.gap import GapAndHumidity, GapRow
from terralab.errors import TerralabError

NO_BOX = ["moss-jar", None, 7, ["moss-jar"], tl.Box]
NO_COUNT = [True, 2.5, "14", None, -1, 10**9, [3], np.float64(16.0), float("nan")]
#: Days may be parts of one.
NO_DAYS = [True, "14", None, -1, 0, 10**9, [3], float("nan"), 0.001]
NO_MEMBERS = [*NO_COUNT, 1]
NO_NUMBER = [True, "5", [5.0], float("nan"), float("inf"), -5.0]
NO_ROWS = ["x", [0.5], [], [-1], [10_000], [[1]]]
NO_NAME = [7, ["x"], b"x", None]
NO_RECORD = ["moss-jar", None, 7, object()]
NO_RUN = ["run", None, 7, tl.Column]
NO_WORD = ["mud", 3, None, ["glass"], np.arange(3.0)]
NO_PATH = [7, None, b"x", ["x"]]
NO_MEASURE = ["1", None, True, [[1.0]], {}, float("nan"), 1e12]
NO_DAY = [one for one in NO_MEASURE if one is not None]
NO_HEAD = [one for one in NO_MEASURE if one != [[1.0]]]
NO_POINTS = ["x", 3, None, [1.0], ([1.0], [1.0, 2.0]), (["a"], [1.0])]
NO_LIST = ["x", 3, None, [], ["a"], [[1.0]], {}]
NO_LISTS = ["x", 3, None, [1.0], {}, {"a": 3}, {"a": "x"}, {3: [1.0, 2.0]}]
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
#: A day of an invented hygrometer.
READINGS = pandas.DataFrame({"temp": 22.5, "rh": 81.0}, index=pandas.date_range("2026-05-01", periods=48, freq="30min"))
RECORD = Later(lambda: tl.simulate(BOX, 1, accuracy="preview", record_every_min=60))
WATER = Later(lambda: tl.daily_water(BOX, members=2))
ANSWERS = Later(lambda: tl.Answers(BOX, ready(WATER), None, None, None, None, (), (), {}))
SALT = Later(lambda: tl.salt_test("table salt", 75, 21, 12))
LOG = tl.Log(np.datetime64("2026-08-03T00:00:00") + np.arange(3) * np.timedelta64(1, "h"), {})
DIARY = "date,time,what,how much,note\n2026-08-03,08:00,poured,120 ml,\n"
SOIL = tl.Soil(0.078, 0.43, 3.6, 1.56, 2.89e-6)
COLUMN = tl.Column([("loam topsoil", 10)])
LAYERS = [("loam topsoil", 0.2)]
PICTURE = show.budget_picture({"soil": 1.0}, "x")
GAPS = GapAndHumidity("x", 1, *[(GapRow(1.0, 50.0, 20.0, 1.0, 0.0, 1.0, True),) * 2] * 2, 0.7, (45.0, 20.0), False)

#: function -> for each argument by name: a good value, and those that are refused. Nothing here is run with good ones.
DOORS: dict[str, dict[str, tuple[Any, list[Any]]]] = {
    "daily_water": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS)},
    "first_soak": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS)},
    **{f"Answer.{name}": {"view": ("short", NO_WORD), "us": (None, ["yes", 1, [True]])} for name in ("lines", "text")},
    "difference": {"first": (WATER, NO_ANSWER), "second": (WATER, NO_ANSWER)},
    "drainage": {
        "box": (BOX, NO_BOX),
        "members": (4, NO_MEMBERS),
        "pour": ("recommended", ["mine", 3, None, ["described"]]),
        "pour_members": (4, NO_MEMBERS),
    },
    "rescue": {"box": (BOX, NO_BOX), "members": (4, NO_MEMBERS)},
    "mister": {
        "box": (BOX, NO_BOX),
        "season": ("now", ["autumn", 3, None, ["now"]]),
        "days": (14, [*NO_COUNT, 0, 91]),
        "nozzles": (2, [one for one in NO_COUNT if one is not None]),
        "nozzle_ml_min": (80.0, NO_NUMBER),
        "members": (4, NO_MEMBERS),
    },
    "learn": {
        "box": (BOX, NO_BOX),
        "log": (tl.demo_log()["log"], [7, None, b"x", ["x"], "no-such.csv", BOX]),
        "room": (None, [7, b"x", ["x"], "no-such.csv"]),
        "diary": (None, [7, b"x", ["x"], "no-such.csv"]),
        "salts": (None, ["x", 3, ["box"], {"box": 3}, {"attic": ready(SALT)}]),
        "until": (None, ["soon", 3, ["2026-03-08"], "2026-13-01"]),
        "bank": (64, [one for one in NO_COUNT if one is not None]),
        "members": (16, [one for one in NO_COUNT if one is not None]),
        "seed": (1, ["1", None, 1.5, -1, [1]]),
        "progress": (None, ["loud", 3, [print]]),
    },
    "away": {
        "box": (BOX, NO_BOX),
        "days": (3, [*NO_COUNT, 0, 61]),
        "season": ("now", ["autumn", 3, None, ["now"]]),
        "visits": ((), ["3", 3, None, [0], [4], ["1"], [1.5], [True]]),
        "prepare": (False, ["no", 1, None]),
        "members": (4, NO_MEMBERS),
    },
    "fails": {
        "box": (BOX, NO_BOX),
        "seasons": (None, ["autumn", 3, [], ["autumn"], [3], {"now": 1}]),
        "mains_h": (8.0, [*NO_NUMBER, None, 0.1, 49.0]),
        "members": (4, [one for one in NO_MEMBERS if one is not None]),
    },
    "normal": {
        "box": (BOX, NO_BOX),
        "reading": ("82 % 23 C", ["82 23", "", "x", 3, None, ["82 %"], "82 % 83 %", "82 % 400 F", "120 %", b"82 %"]),
        "at": ("21:30", ["soon", 3, None, ["21:30"], "2026-13-01 21:30", "25:00", ""]),
        "place": ("box", ["lid", 3, None, ["box"], "room", "hide"]),
        "room": (None, ["warm", 3, ["20 C"], "20"]),
        "season": ("now", ["autumn", 3, None, ["now"]]),
        "members": (4, [one for one in NO_MEMBERS if one is not None]),
    },
    "normal_log": {
        "box": (BOX, NO_BOX),
        "log": (LOG, ["log.csv", 3, None, [1.0], {}]),
        "room": (None, ["log.csv", 3, [1.0], {}]),
        "diary": (None, ["diary.csv", 3, [1.0], {}]),
        "members": (8, [*NO_COUNT, 7]),
        "progress": (None, [3, "x"]),
    },
    "forecast": {
        "box": (BOX, NO_BOX),
        "days": (3, [*NO_COUNT, 0, 366]),
        "season": ("now", ["autumn", 3, None, ["now"]]),
        "start": (None, [3, ["x"], BOX, "no such file"]),
        "events": ((), ["no hand", 3, None, [3]]),
        "members": (4, NO_MEMBERS),
        "pour_members": (4, NO_MEMBERS),
    },
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
        "days": (1, NO_DAYS),
        "season": ("now", ["autumn", 3, None, ["now"]]),
        "overrides": (None, ["leakage.ach", [("leakage.ach", 1.0)], {3: 1.0}, {"leakage.ach": True}, 5]),
        "accuracy": ("preview", ["exact", 3, None, ["preview"]]),
        "cells": (40, [*NO_COUNT, 9]),
        "record_every_min": (60, [True, "15", None, [15], float("nan"), 0.0, 7.0, 90]),
        "start_at": ("14:00", ["25:00", "noon", None, [3], -1, 86400, float("nan"), True]),
        "start": (None, [7, ["x"], BOX, "no such file.npz", b"x", {}]),
        "start_date": (None, ["3 August", 20260803, ["2026-08-03"], "2026-13-01"]),
        "events": ((), ["no hand", None, 5, [None], [("no hand",)], [tl.Event], [tl.Event(0, 1, {"stuck on": "a fan"})]]),
    },
    "Event": {
        "begins": (1, [None, "soon", "3", True, [3], -1, float("nan"), "day 0", b"x"]),
        "ends": (2, ["soon", "3", True, [3], -1, float("nan"), 1, 0.5]),
        "change": ("no hand", ["siesta", None, 5, {}, {"stuck on": "a", "pour": "5 ml"}, {3: 4}, {"pour": "5 ml"}, ["x"]]),
    },
    "run_many": {
        "jobs": (
            [tl.Job(BOX, 1)],
            [
                *("moss-jar", 3, None, BOX, [BOX], [None], tl.Job(BOX, 1)),
                *([tl.Job(box)] for box in NO_BOX),
                *([tl.Job(BOX, days)] for days in NO_DAYS),
                *([tl.Job(BOX, 1, season)] for season in ("autumn", 3, None, ["now"], np.arange(3.0))),
                *([tl.Job(BOX, 1, overrides=overrides)] for overrides in ("leakage.ach", 5, None, {3: 1.0})),
                *([tl.Job(BOX, 1, accuracy=accuracy)] for accuracy in NO_WORD),
                *([tl.Job(BOX, 1, cells=cells)] for cells in NO_COUNT),
                *([tl.Job(BOX, 1, record_every_min=every)] for every in NO_MEASURE),
                *([tl.Job(BOX, 1, most_steps=most)] for most in ("x", 0, 2.5, [3], True)),
            ],
        ),
        "threads": (2, [*NO_COUNT, 0]),
        "executor": (None, [3, "x"]),
        "failed": ("raise", ["stop", 3, None, ["none"]]),
    },
    "read_diary": {
        "source": (DIARY, ["x", 3, None, ["x"], b"x", {}, "a,b\n1,2\n", "no such file.csv"]),
        "day_first": (None, ["yes", 1, [True]]),
        "usual_time": (None, ["soon", "25:00", 90000, [8], True]),
    },
    "salt_test": {
        "salt": ("table salt", ["sugar", 3, None, [], [3], {"NaCl": 1}]),
        "reads": (75, ["wet", None, True, float("nan"), -1, 101, [1, 2], {}]),
        "temperature": (21, ["warm", None, True, float("nan"), 70, [1, 2], {}]),
        "hours": (12, ["long", None, True, float("nan"), 1, 1e6, [1, 2], {}]),
        "resolution": (None, ["1", True, -1.0, 11.0, float("nan"), [1]]),
    },
    "SaltTest.offset_at": {"humidity": (50.0, ["50", None, True, float("nan"), -1.0, 101.0, [50.0]])},
    "dumps": {"box": (BOX, NO_BOX)},
    "loads": {"text": (tl.dumps(BOX), [7, None, b"x", ["x"]])},
    "read_log": {
        "source": (READINGS, ["no-such-log.csv", 7, None, b"x", ["x"], BOX, tl.Log]),
        "place": (None, ["attic", 3, ["box"], True]),
        "sensors": (None, ["box", 3, {"temp": "attic"}, {3: "box"}, {"no column": "box"}, {"temp": 3}]),
        "columns": (None, ["time", 3, {"temp": "wind"}, {"no column": "time"}, {"temp": 3}]),
        "devices": (None, ["lamp", 3, {"lamp": 3}, {"lamp": "no column"}, {"lamp": ("rh", "x")}, {"lamp": ("rh", 0)}]),
        "unit": (None, ["R", 3, ["C"], True]),
        "decimal": (None, ["point", 3, [","], True]),
        "separator": (None, ["comma", "/", 3, [","]]),
        "day_first": (None, ["yes", 1, ["x"]]),
        "first_date": (None, ["soon", 3, True, "2026-13-01", ["2026-05-01"]]),
        "time_zone": (None, ["Berlin", 3, True, "../zone", ["UTC"]]),
        "log_zone": (None, ["Berlin", 3, True, "", "x\x00y"]),
        "timers_shift": (False, ["yes", 1, None]),
        "sheet": (None, ["May", 3, True, ["May"]]),
    },
    "load": {"name_or_path": ("moss-jar", [7, None, b"moss-jar", ["moss-jar"], True])},
    "save": {
        "box": (BOX, NO_BOX),
        "path": ("x.toml", [7, None, b"x", ["x"]]),
        "overwrite": (False, ["no", 1, None]),
    },
    "Column": {
        "layers": (LAYERS, ["loam", 3, None, [3], [("no such soil", 0.1)], [("loam topsoil", "x")], [(SOIL,)]]),
        "cell_cm": (0.1, NO_NUMBER),
        "top_cell_cm": (0.1, NO_NUMBER),
        "grading": (1.3, NO_NUMBER),
        "start_head_cm": (-1.0, ["wet", True, None, ["x"], float("nan"), [-1.0]]),
    },
    "Column.run": {
        "hours": (1.0, [*NO_NUMBER, None]),
        "times": ([0.5], ["x", {}, ["x"], [2.0], [0.5, 0.1]]),
        "top": ("flux", NO_WORD),
        "top_flux_mm_per_h": (1.0, ["1", [1.0], {}, True, float("nan")]),
        "bottom": ("seepage face", NO_WORD),
        "bottom_head_cm": (0.0, ["1", [1.0], {}, True, float("nan")]),
        "max_step_s": (900.0, NO_NUMBER),
        "tolerance": (3e-3, NO_NUMBER),
        "storage": ("mixed", NO_WORD),
    },
    "Column.after": {"run": (None, NO_RUN)},
    "Soil": {
        **{name: (getattr(SOIL, name), NO_MEASURE) for name in ("theta_r", "theta_s", "alpha_per_m", "n", "ks_m_per_s", "l")},
        "second": (None, [3, "x", [1.0], (0.5, "a", 2.0), (0.5, 1.0, float("nan"))]),
        "air_entry_m": (0.0, NO_MEASURE),
        "dry_end": (False, ["yes", 1, None]),
    },
    "Soil.from_material": {"name": ("loam topsoil", [3, None, ["x"], "moon dust"]), "which": ("low", NO_WORD)},
    "Soil.water_content": {"head_m": (-1.0, NO_HEAD)},
    "Soil.capacity": {"head_m": (-1.0, NO_HEAD)},
    "Soil.conductivity": {"head_m": (-1.0, NO_HEAD)},
    "ExponentialSoil": {
        name: (value, NO_MEASURE)
        for name, value in {"theta_r": 0.05, "theta_s": 0.4, "alpha_per_m": 5.0, "ks_m_per_s": 1e-5}.items()
    },
    "Record.film": {"where": ("glass", NO_WORD)},
    "Record.zone_c": {"zone": ("whole", NO_WORD)},
    "Record.zone_humidity": {"zone": ("whole", NO_WORD)},
    **{f"Record.{name}": {"pane": ("front", NO_WORD), "zone": ("", NO_WORD)}
       for name in ("pane_c", "pane_film", "fogged")},
    "Record.fogged_hours_a_day": {"pane": ("front", NO_WORD), "rows": ([1, 2], [None, *NO_ROWS])},
    "Record.humidity_at": {
        "t": (Later(lambda: ready(RECORD).ground_c), ["x", None, 3, [1.0, 2.0], Later(lambda: ready(RECORD).series)]),
        "zone": ("whole", NO_WORD),
    },
    "Record.box_at": {"row": (0, [True, 2.5, "14", None, -2, 25, [3], float("nan")])},
    "Record.arrow_kg": {"arrow": ("poured", NO_WORD)},
    "Record.where_it_goes": {"rows": ([1, 2], NO_ROWS)},
    "Record.vapour_out_ml_a_day": {"rows": ([1, 2], [None, *NO_ROWS])},
    "Record.mean_over": {
        "values": (Later(lambda: ready(RECORD).soil_water), ["x", None, 3, [1.0, 2.0], Later(lambda: ready(RECORD).series)]),
        "top_cm": (0.0, [*NO_MEASURE, -1.0]),
        "bottom_cm": (2.0, [*NO_MEASURE, -1.0, 0.0]),
    },
    "Record.rows": {"first_day": (0.0, [*NO_MEASURE, -1.0, 2.0]), "last_day": (1.0, [*NO_MEASURE, -1.0])},
    "Record.water_budget": {"first": (0, [*NO_COUNT, 24]), "last": (24, [*(set(map(str, NO_COUNT))), 0, 25, None, 2.0])},
    "Record.energy_budget": {"first": (0, [*NO_COUNT, 24]), "last": (24, ["x", 0, 25, None, 2.0, [3], True])},
    "Record.save": {"path": ("x.npz", NO_PATH), "overwrite": (False, ["no", 1, None])},
    "Record.load": {"path": ("x.npz", [*NO_PATH, "x.npz"])},
    "Box": {
        "name": (BOX.name, [3, None, "", ["x"], "x" * 81]),
        "note": ("", [3, None, ["x"]]),
        "group": ("", [3, None, ["x"], "dragons", np.arange(3.0)]),
        "soil_wanted": ("", NO_WORD),
        "humidity_target": (None, ["x", 3, {}, tl.Box]),
        **{name: (getattr(BOX, name), ["x", 3, None, {}, tl.Box]) for name in ("start", "enclosure", "room", "routine")},
        "ranges": ((), ["x", 3, None, [3]]),
    },
    "Box.change": {
        "name": (BOX.name, [3, tl.Box, ["x"]]),
        "room.now.humidity": ("40 %", ["wet", "4000 %", None, ["x"], {}, tl.Box]),
        "enclosure.width": ("30 cm", [-3, "3 l", None, [3], object()]),
    },
    "Box.read": {"raw": (BOX.write(), ["x", 3, None, [3], {}, {"name": "x"}, tl.Box])},
    "materials.get": {
        "table": ("soils", ["rocks", 3, None, ["soils"], np.arange(3.0)]),
        "name": ("loam", ["moon dust", 3, None, ["loam"], np.arange(3.0)]),
    },
    "materials.names": {"table": ("soils", ["rocks", 3, None, ["soils"], np.arange(3.0)])},
    "materials.read_table": {"table": ("soils", []), "lines": ([], ["x", 3, None, [3], [], ["name,low"]])},
    "show.week_picture": {"record": (RECORD, NO_RECORD), "days": (7, [*NO_COUNT, 0]), "target": (None, ["70", 3])},
    "show.section_picture": {"record": (RECORD, NO_RECORD), "look": ("water", NO_WORD), "day": (0.5, NO_DAY),
                             "mean_days": (7.0, NO_DAY), "ground": (False, ["no", 1, None, [True], {}])},
    "show.section_film": {
        "records": (RECORD, [*NO_RECORD, [RECORD], {"a": 3}, {}]),
        "frames": (2, [*NO_COUNT, 1]),
        "first_day": (0.0, NO_MEASURE),
        "last_day": (1.0, NO_DAY),
    },
    "show.sections_picture": {"records": ([("a", RECORD), ("b", RECORD)], [RECORD, "x", 3, None, [3], {}, {"a": 3}]),
                              "look": ("water", NO_WORD), "day": (0.5, NO_DAY), "mean_days": (7.0, NO_DAY)},
    "show.balance_picture": {"step_s": ([60.0], NO_LIST), "ratios": ({"a": [1.0]}, NO_LISTS), "printed": (([1.0], [1.0]), NO_POINTS)},
    "show.drying_picture": {name: ([1.0, 2.0], NO_LIST) for name in ("days", "measured")} | {"computed": ({"a": [1.0, 2.0]}, NO_LISTS)},
    "show.front_picture": {"depth_cm": ([1.0, 2.0], NO_LIST), "head_cm": ([-1.0, -2.0], NO_LIST), "printed": (([1.0], [-1.0]), NO_POINTS)},
    "show.retention_picture": {name: ({"a": ([1.0, 9.0], [0.3, 0.1])}, NO_LISTS) for name in ("lines", "printed")},
    "show.water_picture": {"record": (RECORD, NO_RECORD), "answer": (None, ["x", 3, None])},
    "show.budget_picture": {"amounts_ml_per_day": ({}, ["x", 3, None, [1.0]]), "title": ("x", []), "us": (False, ["x", 3, None])},
    "show.measure_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.members_picture": {"answer": (Later(lambda: tl.daily_water(BOX, members=8)), ["x", 3, None, BOX, WATER]), "weighed_ml": (None, ["x", 3, (5, 4), (1,), ("a", "b"), (-2, -1)])},
    "show.mister_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.fails_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.learned_picture": {"answer": (None, ["x", 3, None, BOX, WATER]), "parts": (("log",), [])},
    "show.forecast_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.fans_picture": {"answer": (None, ["x", 3, None, BOX])},
    "show.away_picture": {"answer": (None, ["x", 3, None, BOX, WATER])},
    "show.helper_page": {"answer": (None, ["x", 3, None, BOX, WATER]), "leaves": (None, ["2026-08-03", 3])},
    "show.lid_picture": {"answer": (None, ["x", 3, None, BOX, WATER])},
    "show.courses_picture": {"records": ({"a": RECORD}, [RECORD, "x", 3, None, [3], {}, {"a": 3}]), "start_h": (0.0, [-1, "x", 25]), "end_h": (24.0, [0.0, "x", 25])},
    "show.fan_day": {"answer": (None, ["x", 3, None, BOX])},
    "show.suction_picture": {"shown": ("fine coir mix", [3, None, "no such mix", [BOX], ANSWERS]), "depth_cm": (10.0, ["x", -1, [3]]),
                             "level_cm": (0.0, ["x", 1e9, [3]])},
    "show.gap_picture": {"found": (GAPS, ["x", 3, None, BOX])},
    "show.report_page": {"answers": (ANSWERS, ["x", 3, None, BOX]), "made": ("", [3, None, ["x"]])},
    "show.save_report": {"page": ("<html>", [7, None, b"x"]), "path": ("x", [7, b"x", ["x"]]), "stem": ("x", [7, None, ["x"]])},
    "show.save": {"figure": (PICTURE, ["x", 3, None]), "path": ("x", [7, b"x", ["x"]]), "stem": ("x", [7, None, ["x"]])},
    "show.guess": {
        "question": ("Which?", [3, None, "", ["x"]]),
        "options": (["a", "b"], ["ab", 3, None, ["a"], ["a", "a"], ["a", ""], ["a", 3], list("abcdefg")]),
        "work": (print, ["print", 3, None, [print]]),
        "right": (None, ["c", 3, ["a"]]),
    },
    "show.on_demand": {"label": ("Solution", [3, None, "", ["x"]]), "work": (print, ["print", 3, None, [print]])},
    **{f"show.{name}_panel": {"box": (BOX, [7, None, ["moss-jar"], "no such box"])}
       for name in ("lid", "start", "water", "fans", "drainage", "suction", "sure")},
}  # fmt: skip

#: Public, but with no argument of a keeper's: what terralab itself makes and hands out, errors, and lists of names.
#: A Job is checked where it is run; what can be wrong with one stands at `run_many`.
ELSEWHERE = {
    "Answer", "Answers", "DescriptionError", "Job", "Log", "Record", "RunError", "TerralabError", "TerralabWarning", "UnknownName",
    "Learned", "Learned.foretell", "__version__", "demo_log", "demos", "materials.tables", "Answer.to_dict", "Answer.json", "Record.table", "Record.given_ml_a_day",
    # an Answer, whose own are tried
    *(f"Learned.{own}" for own in ("json", "lines", "of_kind", "text", "to_dict")),
    # any number of names, tried below
    "Answer.of_kind", "Record.moved_kg",
    "Box.describe",
    # what is read and found, handed out; any number of words, of which those that no entry has find nothing
    "Diary", "Diary.of", "SaltTest", "SaltTest.lines",
    # what a part of a description is asked by those who read and check it
    "Box.cautions", "Box.conflicts", "Box.kind_of", "Box.problem", "Box.too_much_water", "Box.write",
    # what the engine asks of an event
    "Event.amount", "Event.holds",
    *(f"{part}.{own}" for part in ("Start", "Reading") for own in ("cautions", "conflicts", "kind_of", "problem", "read", "write")),
    "Start", "Start.with_soil", "Start.wrong_in", "Reading", "Event.counted_from",
    "Soil.row", "ExponentialSoil.row", "ExponentialSoil.water_content", "ExponentialSoil.capacity",
    "ExponentialSoil.conductivity",
}  # fmt: skip
OBJECTS = {
    "Answer": WATER,
    "SaltTest": SALT,
    "Record": RECORD,
    "Box": BOX,
    "Column": COLUMN,
    "Soil": SOIL,
    "show": show,
    "materials": tl.materials,
}


def function(name: str) -> Callable:
    owner, _, own = name.rpartition(".")
    return getattr(ready(OBJECTS[owner]) if owner else tl, own)


def public() -> set[str]:
    """Every public function, class, and method of a class."""
    found = {*tl.__all__} - {"materials"} | {f"show.{name}" for name in show.__all__}
    found |= {f"materials.{name}" for name in tl.materials.__all__ if inspect.isroutine(getattr(tl.materials, name))}
    for name in tl.__all__:
        if inspect.isclass(thing := getattr(tl, name)) and not issubclass(thing, Exception):
            found |= {f"{name}.{own}" for own in dir(thing) if own[0] != "_" and callable(getattr(thing, own))}
    return found


CASES = {
    (name, key): [
        bad
        for bad in wrong
        # the one argument for which nothing stands for "the default" is no slip
        if not (
            bad is None
            and good is None
            and key in ("step", "own", "progress", "overrides", "executor", "target", "humidity_target")
        )
    ]
    for name, door in DOORS.items()
    for key, (good, wrong) in door.items()
}


@pytest.mark.parametrize(("name", "key"), CASES)
def test_what_a_function_does_not_take_is_refused_in_words(name, key, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    right = {other: ready(good) for other, (good, _) in DOORS[name].items()}
    taken, mute = [], []
    for bad in CASES[name, key]:
        try:
            function(name)(**right | {key: ready(bad)})
        except TerralabError as error:
            mute += [bad] if len(str(error)) <= 20 else []
        except Exception as error:
            error.add_note(f"{name} was given {key}={bad!r}")
            raise
        else:
            taken.append(bad)
    assert (taken, mute) == ([], [])
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["Answer.of_kind", "Record.moved_kg"])
@pytest.mark.parametrize("bad", ["mud", 3, None, ["glass"]])
def test_a_name_among_many_that_is_none_is_refused_in_words(name, bad):
    with pytest.raises(TerralabError, match="There is no"):
        function(name)(bad)


def test_no_public_function_is_left_out():
    assert public() == {*DOORS, *ELSEWHERE}


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
        for values in (
            held.relative_humidity,
            held.raw.water,
            held.raw.t,
            held.raw.zones,
            held.raw.surfaces,
            held.raw.head,
        ):
            with pytest.raises(ValueError, match="read-only"):
                values[:] = 0.0
        table = held.table()
        table.iloc[:, :] = 0.0
        for name, values in before.items():
            np.testing.assert_array_equal(held.series[name], values)
        assert held.closure_water < 1e-9
