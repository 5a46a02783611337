"""Writes the invented log that comes with terralab: `python -m tests.benchmarks.demo_log [FOLDER]`.

A small box, `fern-nook.toml` of that folder: its hidden numbers are one draw of the published ranges, its room has weather, its keeper pours now
more, now less. terralab runs that box, and this file makes of the run what a keeper would have: a logger's file of two cheap
hygrometers that are off, lag behind and round, a diary with a kitchen scale, and what the hygrometers read over salt. Whoever
learns from the files can be held to the truth, which `README.md` of the folder keeps.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

import terralab as tl
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.uncertainty import ensemble

FOLDER = Path(tl.__file__).parent / "demos" / "logs"
DRAW, DRAWS, SEED = 16, 48, 5
FIRST = datetime(2026, 3, 2)  # a Monday; no change of summer time within the log
BEFORE, DAYS, EVERY_MIN = 7, 14, 15
CLOCK_MIN = 25.0  # the logger's clock is ahead by that
LAG_MIN = {"box": 10.0, "room": 6.0}
OFF = {"box": (0.4, 3.6), "room": (-0.2, -1.5)}  # K and points that the sensors read too high
NOISE = (0.08, 0.6)
SIPHONED = 7  # the day of the log
EMPTY_KG = 5.6  # glass, dry soil, plants
LOST = ((6, 13.0, 18.5),)  # day of the log, from, until: the logger's battery was out
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def weather(rng: np.random.Generator, n: int, hours: float, sd: float) -> np.ndarray:
    """A wander that remembers so many hours, at every quarter of an hour."""
    keep = np.exp(-EVERY_MIN / 60.0 / hours)
    out = np.empty(n)
    out[0] = sd * rng.normal()
    for i in range(1, n):
        out[i] = keep * out[i - 1] + sd * np.sqrt(1.0 - keep * keep) * rng.normal()
    return out


def the_room(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Hours since the run began, and the room's true temperature [C] and humidity [%]."""
    n = (BEFORE + DAYS) * 24 * 60 // EVERY_MIN + 1
    hours = np.arange(n) * EVERY_MIN / 60.0
    swing = np.cos(2.0 * np.pi * (hours - 16.0) / 24.0)
    t = 20.3 + 1.5 * swing + weather(rng, n, 48.0, 0.7) + weather(rng, n, 2.0, 0.2)
    rh = 45.0 - 3.0 * swing + weather(rng, n, 48.0, 5.0) + weather(rng, n, 2.0, 1.0)
    return hours, t, np.clip(rh, 20.0, 80.0)


def kept(rng: np.random.Generator) -> list[tuple[float, str, float]]:
    """What the keeper did in the logged days: the time as days of the run, what, and how many ml; a level [cm] to siphon to."""
    out: list[tuple[float, str, float]] = []
    for day in range(DAYS):
        at = BEFORE + day
        poured = 0.0 if day == 8 else 55.0 if day == 9 else float(round(rng.normal(28.0, 3.0)))
        if poured:
            out.append((at + 8.0 / 24.0, "pour", poured))
        out.append((at + 20.5 / 24.0, "spray", float(round(rng.normal(15.0, 2.0)))))
    out.append((BEFORE + SIPHONED + 9.0 / 24.0, "siphon", 0.3))
    return sorted(out)


def lagged(values: np.ndarray, minutes: float) -> np.ndarray:
    """What a sensor that follows slowly shows."""
    share = 1.0 - np.exp(-EVERY_MIN / minutes)
    out = values.copy()
    for i in range(1, len(out)):
        out[i] = out[i - 1] + share * (values[i] - out[i - 1])
    return out


def main(folder: Path) -> None:
    """Run the box and write its files into `folder`."""
    rng = np.random.default_rng(2026)
    described = tl.load(FOLDER / "fern-nook.toml")
    hidden = {
        key: value
        for key, value in ensemble(described, DRAWS, "now", SEED).overrides[DRAW].items()
        if key not in ("room.temperature", "room.humidity")  # the sensors of this file are off in their own way
    }
    hours, t_room, rh_room = the_room(rng)
    now = RoomState(Signal.series(tuple(hours), tuple(t_room)), Signal.series(tuple(hours), tuple(rh_room)))
    box = replace(described, room=replace(described.room, now=now))
    did = kept(rng)
    events = [tl.Event(float(BEFORE), None, "no hand")]
    for when, what, much in did:
        events.append(tl.Event(when, None, {what: f"{much:g} {'cm' if what == 'siphon' else 'ml'}"}))
    record = tl.simulate(box, BEFORE + DAYS, overrides=hidden, record_every_min=EVERY_MIN, events=events)
    folder.mkdir(parents=True, exist_ok=True)
    write_log(folder / "fern-nook-log.csv", rng, record, t_room, rh_room)
    write_diary(folder / "fern-nook-diary.csv", record, did)
    write_truth(folder / "README.md", record)


def write_log(path: Path, rng: np.random.Generator, record: tl.Record, t_room: np.ndarray, rh_room: np.ndarray) -> None:
    """The logger's file: semicolons, decimal commas, the day first, some rows missing and one twice."""
    true = {"box": (record.air_c, record.humidity_shown), "room": (t_room, rh_room)}
    shown = {}
    for place, pair in true.items():
        read = []
        for values, off, noise, most in zip(pair, OFF[place], NOISE, (99.0, 99.9), strict=True):
            read.append(np.minimum(most, lagged(values, LAG_MIN[place]) + off + noise * rng.normal(size=len(values))))
        shown[place] = read
    lines = [
        "Two-channel logger;made-up data: no such box exists;see README.md",
        "Interval;15 min",
        "",
        "No.;Date/Time;Temp. 1 box (°C);RH 1 box (%);Temp. 2 room (°C);RH 2 room (%)",
    ]
    number = 0
    for row in range(BEFORE * 96, len(record.times_h)):
        at = record.times_h[row] - 24.0 * BEFORE
        day, hour = divmod(at, 24.0)
        if any(day == lost and begins <= hour < ends for lost, begins, ends in LOST):
            continue
        number += 1
        time = FIRST + timedelta(hours=at, minutes=CLOCK_MIN)
        cells = [shown["box"][0][row], shown["box"][1][row], shown["room"][0][row], shown["room"][1][row]]
        line = f"{number};{time:%d.%m.%Y %H:%M};" + ";".join(f"{value:.1f}".replace(".", ",") for value in cells)
        lines += [line, line] if number == 500 else [line]  # the logger was read out twice that day
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_diary(path: Path, record: tl.Record, did: list[tuple[float, str, float]]) -> None:
    """What the keeper noted: what was given, weighed with the bottle, and the whole box on the scale three times."""
    lines = [
        (FIRST + timedelta(days=when - BEFORE), {"pour": "poured", "spray": "sprayed"}[what], f"{much:g} ml", "")
        for when, what, much in did
        if what != "siphon"
    ]
    day = BEFORE + SIPHONED
    drawn = 1000.0 * float(record.moved_kg("siphoned")[day * 96 : (day + 1) * 96].sum())
    lines.append((FIRST + timedelta(days=SIPHONED, hours=9), "siphoned", f"{drawn:.0f} ml", "weighed"))
    stored = sum(record.stored_kg.values())
    for day in (0.0, 7.0, 13.0):
        row = round((BEFORE + day + 7.75 / 24.0) * 96)
        time = FIRST + timedelta(days=day, hours=7.75)
        lines.append((time, "box weighs", f"{EMPTY_KG + stored[row]:.2f} kg", "on the kitchen scale"))
    text = ["# Made-up data: no such box exists. See README.md", "date,time,what,how much,note"]
    for time, what, much, note in sorted(lines):
        text.append(f"{time:%Y-%m-%d},{time:%H:%M},{what},{much},{note}")
    path.write_text("\n".join(text) + "\n", encoding="utf-8")


def write_truth(path: Path, record: tl.Record) -> None:
    """What the files are, how they were made, and what is true of the box."""
    rows = record.rows(BEFORE, BEFORE + DAYS)
    air = float(record.air_exchanged_kg[rows].sum()) / record.air_mass_kg / DAYS / 24.0
    text = f"""# An invented box that was logged

No such box exists. `python -m tests.benchmarks.demo_log` made these files: terralab ran the box of `fern-nook.toml` with one
draw of all its uncertain numbers, in a room with weather of its own, and what a cheap logger and a keeper with a kitchen
scale would have noted was written down. They are for trying `terralab learn`, and prove nothing: of several draws one near the middle of the ranges was taken.

- `fern-nook.toml`: the box as its keeper describes it.
- `fern-nook-log.csv`: two hygrometers, one in the box and one in the room, every {EVERY_MIN} minutes for {DAYS} days. They
  follow with a lag of {LAG_MIN["box"]:.0f} and {LAG_MIN["room"]:.0f} minutes, are off, and round to a tenth; the logger's clock is wrong; some rows are
  missing and one is there twice.
- `fern-nook-diary.csv`: what was poured and sprayed, by the weight of the bottle, and the box on a kitchen scale.
- The salt test: over wet table salt in a closed bag, at 21.4 °C and after 14 hours, the hygrometer of the box showed 79.2 %.

What is true, for whoever wants to hold what was learned against it: over the {DAYS} days the box lost
{record.vapour_out_ml_a_day(rows):.1f} ml of water a day as vapour, by {air:.1f} air changes an hour. The sensor in the box reads
{OFF["box"][0]:.1f} K and {OFF["box"][1]:.1f} points too high, that in the room {-OFF["room"][0]:.1f} K and {-OFF["room"][1]:.1f} points too low. The logger's clock is {CLOCK_MIN:.0f} minutes ahead.
"""
    path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
