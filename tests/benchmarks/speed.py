"""How fast, against what: `python -m tests.benchmarks.speed` prints the tables of reference/speed.md (some minutes).

Everything is measured in one run on one machine. A time is CPU time and the least of several tries unless it says
wall time. `--quick` runs two days and few members, to try the program itself.
"""

from __future__ import annotations

import argparse
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

import numpy as np

import terralab as tl
from terralab.answers.fans.schedules import schedules
from terralab.simulation.simulate import Job, run_many
from terralab.uncertainty import ensemble
from tests.benchmarks.integrators import has_cvode, integrate
from tests.benchmarks.parts import costs
from tests.benchmarks.profile import calls_of_a_day
from tests.engine.test_reference import without_thermostats

REFERENCE = 1e-7  # relative tolerance of the reference
ALONE = "import time; a = time.perf_counter(); import terralab as tl; b = time.perf_counter()\n"
DAY = "tl.simulate(tl.load('fern-hollow'), 1, cells=20); c = time.perf_counter()\n"


def say(text: str = "") -> None:
    """Print a line at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def table(*head: str) -> None:
    """Begin a table."""
    say()
    row(*head)
    row(*["---"] * len(head))


def row(*cells: object) -> None:
    """One row of a table."""
    say("| " + " | ".join(f"{cell:.3g}" if isinstance(cell, float) else str(cell) for cell in cells) + " |")


def timed(box: tl.Box, days: int, tries: int = 5, **more: object) -> tuple[float, tl.Record]:
    """CPU seconds of one run, the least of some tries, and its record."""
    tl.simulate(box, 1, **more)
    least = np.inf
    for _ in range(tries):
        before = time.process_time()
        record = tl.simulate(box, days, **more)
        least = min(least, time.process_time() - before)
    return least, record


def machine() -> None:
    """Which machine, and how busy it was."""
    model = next((x.split(":")[1].strip() for x in _cpu() if x.startswith("model name")), platform.processor())
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    say(
        f"{date.today():%Y-%m-%d}, {os.cpu_count()} cores, {model}, Python {platform.python_version()}, load {load:.1f}"
    )


def _cpu() -> list[str]:
    try:
        return Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return []


def against_others(days: int) -> None:
    """This engine and general integrators on the same equations."""
    box = without_thermostats("fern-hollow")
    exact = integrate(box, days, "LSODA", REFERENCE)
    say(f"\n## Same equations, {days} days, 40 cells, Fern Hollow without thermostat")
    table(
        "who", "CPU s", "times the engine", "largest RH error, points", "daily evaporation error, %", "water closes to"
    )
    normal = None
    for accuracy in ("normal", "strict", "preview"):
        seconds, record = timed(box, days, accuracy=accuracy)
        normal = seconds if normal is None else normal
        flow = record.raw.flow
        names = (
            "soil_evaporation",
            "cover_evaporation",
            "transpiration",
            "leaf_film",
            "glass_film",
            "dish_evaporation",
        )
        daily = sum(flow[name][1:] for name in (*names, "tube_evaporation")).reshape(days, -1).sum(axis=1)
        wrong = np.abs(record.relative_humidity - exact.humidity).max()
        off = 100.0 * np.abs(daily / exact.evaporated - 1.0).max()
        row(
            f"this engine, {accuracy}",
            seconds,
            seconds / normal,
            float(wrong),
            float(off),
            f"{record.closure_water:.0e}",
        )
    for method in ("LSODA", "Radau", *(["CVODE"] if has_cvode() else [])):
        for tolerance in (1e-3, 1e-4, 1e-5):
            found = integrate(box, days, method, tolerance)
            wrong = float(np.abs(found.humidity - exact.humidity).max())
            off = float(100.0 * np.abs(found.evaporated / exact.evaporated - 1.0).max())
            who = f"{method}, tolerance {tolerance:g}"
            row(who, found.seconds, found.seconds / normal, wrong, off, "not kept")
    if not has_cvode():
        say("\nCVODE was not measured: scikit-sundae is not installed.")


def uncompiled() -> None:
    """The same engine as plain Python: one day, ten cells."""
    code = ALONE + "x = time.process_time(); tl.simulate(tl.load('fern-hollow'), 1, cells=10)\n"
    code += "print(time.process_time() - x)"
    plain = _python(code, NUMBA_DISABLE_JIT="1")
    compiled, _ = timed(tl.load("fern-hollow"), 1, cells=10)
    say(f"\nUncompiled, one day of 10 cells: {float(plain):.1f} s against {1000 * compiled:.1f} ms compiled.")


def _python(code: str, **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], env=os.environ | environment, capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


def growth(quick: bool) -> None:
    """Days, cells and members."""
    box = tl.load("fern-hollow")
    say("\n## Longer and finer")
    table("days", "cells", "CPU ms", "soil steps (repeated)", "air steps", "ns a cell-step")
    for days, cells in ((14, 40), (30, 40), (90, 40), (14, 20), (14, 80), (14, 120))[: 2 if quick else None]:
        seconds, record = timed(box, days, tries=3, cells=cells)
        s = record.settings
        steps = s["soil_steps"] + s["repeated_steps"]
        row(
            days,
            s["cells"],
            1000 * seconds,
            f"{s['soil_steps']} ({s['repeated_steps']})",
            s["air_steps"],
            1e9 * seconds / steps / s["cells"],
        )
    say("\n## Members of 14 days, preview, a row an hour")
    table("members", "threads", "wall s", "CPU s", "CPU ms a member")
    for members in (1, 10, 100, 200, 1000, 2000)[: 3 if quick else None]:
        found = ensemble(box, max(2, members)).overrides[:members]
        jobs = [Job(box, 14, overrides=c, accuracy="preview", record_every_min=60.0) for c in found]
        for threads in (1, 2):
            wall, cpu = time.perf_counter(), time.process_time()
            run_many(jobs, threads, failed="none")
            wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
            row(members, threads, wall, cpu, 1000 * cpu / members)


def answers(quick: bool) -> None:
    """The answers of a warm process, and what a comparison of fan schedules costs."""
    say("\n## Answers of Fern Hollow, warm")
    table("answer", "wall s", "CPU s")
    box = tl.load("fern-hollow")
    asked = (
        ("daily_water, three rooms of 128 members", tl.daily_water),
        ("first_soak", tl.first_soak),
        ("fan_schedules, three rooms and ranges", tl.fan_schedules),
        ("drainage, ranges and comparison", tl.drainage),
        ("rescue", tl.rescue),
        ("forecast, 28 days, with the pour beside it", tl.forecast),
    )
    for name, question in asked[: 2 if quick else None]:
        question(box)
        wall, cpu = time.perf_counter(), time.process_time()
        question(box)
        row(name, time.perf_counter() - wall, time.process_time() - cpu)
    say("\n## Fan schedules side by side, 14 days in one room, normal accuracy, two threads")
    table("box", "schedules", "wall s", "CPU s")
    for name in tl.demos()[: 1 if quick else None]:
        tried, _ = schedules(tl.load(name))
        jobs = [Job(one.box, 14) for one in tried]
        wall, cpu = time.perf_counter(), time.process_time()
        run_many(jobs)
        row(name, len(jobs), time.perf_counter() - wall, time.process_time() - cpu)


def starting(quick: bool) -> None:
    """Import, compiling, memory."""
    say("\n## Starting")
    table("what", "wall s")
    row("import terralab", min(float(_python(ALONE + "print(b - a)")) for _ in range(3)))
    code = ALONE + DAY + "print(c - b)"
    row("first day of a new process, code kept", float(_python(code)))
    if not quick:
        with tempfile.TemporaryDirectory() as fresh:
            row(
                "first day of a new process, nothing kept",
                float(_python(code, XDG_CACHE_HOME=fresh, LOCALAPPDATA=fresh)),
            )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    say(f"\nPeak memory of this whole benchmark: {peak:.0f} MB.")


def where_the_time_goes() -> None:
    """Pieces: what one costs, how often a day asks for it."""
    box = tl.load("fern-hollow")
    each = costs(box)
    say("\n## Pieces")
    table("piece", "ns")
    for name, ns in each.items():
        row(name, ns)
    count, shares = calls_of_a_day()
    say("\n## One day of Fern Hollow (40 cells), counted uncompiled")
    table("function", "calls a day", "share of uncompiled time, with what it calls, %")
    for name, calls in count.items():
        row(name, calls, shares[name])


def main() -> None:
    """Run all of it."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--quick", action="store_true")
    quick = asked.parse_args().quick
    machine()
    against_others(2 if quick else 14)
    growth(quick)
    answers(quick)
    uncompiled()
    where_the_time_goes()
    starting(quick)


if __name__ == "__main__":
    main()
