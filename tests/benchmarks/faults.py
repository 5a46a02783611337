"""What a fault can do: commands stopped at random moments, without output, without memory, room or letters.

`python -m tests.benchmarks.faults 6` tries every command and fault so often (each try takes some seconds) and prints the
table in `reference/faults.md`. A few of these tries are tests of their own (`tests/test_robust.py`, `tests/test_kernels_kept.py`).
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COMMAND = [sys.executable, "-m", "terralab"]
MINE = "mine, and to be kept"
#: Commands that write, and how long one takes on a free machine [s].
WRITING = {
    "water": (["water", "moss-jar", "--picture", "new.png"], 6.0),
    "report": (["report", "moss-jar", "--file", "new.html"], 14.0),
    "notebooks": (["notebooks", "books", "--no-open"], 3.0),
    "box": (["box", "moss-jar", "new.toml"], 2.5),
    "diary": (["diary", "moss-jar", "new.csv"], 2.5),
    "learn": (["learn", "--runs", "64", "--members", "16", "--to", "new.toml", "--picture", "new.png"], 12.0),
    "normal": (["normal", "moss-jar", "--reading", "80 % 23 C", "--at", "21:30"], 5.0),
}
#: Told over the first kernels of a cache folder: whether they can be read and run, and whether a lock was left behind.
KERNELS = (
    "import warnings\nwarnings.simplefilter('error')\nfrom terralab.jit import _KEEPING\nfrom terralab.kernel_folder import lock\n"
    "from terralab.physics.moist_air import saturation_pressure as f\nassert abs(f(20.0) - 2339.0) < 1.0\n"
    "with lock(_KEEPING.folder / '.compiling', 1.0) as mine:\n    assert mine, 'a lock was left behind'\n"
)
SAVING = (
    "import terralab as tl\nrecord = tl.simulate(tl.load('moss-jar'), 1, accuracy='preview', record_every_min=60)\n"
    "tl.save(record.box, 'new.toml')\nfor i in range(200): record.save('new.npz', overwrite=True)\n"
)
SIGNALS = ("SIGINT", "SIGTERM", "SIGKILL")
GIB = 2**30


@dataclass
class Tried:
    """How often one thing was tried, and what was found wrong."""

    times: int = 0
    finished: int = 0
    drafts: int = 0
    wrong: list[str] = field(default_factory=list)


def environment(**more: str) -> dict[str, str]:
    """The surroundings of a command of this checkout."""
    return {**os.environ, "PYTHONPATH": str(ROOT), **more}


def whole(path: Path) -> bool:
    """True when a file that terralab writes is there to its end."""
    data = path.read_bytes()
    if path.suffix == ".png":
        return data.startswith(b"\x89PNG") and data.endswith(b"IEND\xaeB`\x82")
    if path.suffix == ".html":
        return data.rstrip().endswith(b"</html>")
    if path.suffix == ".ipynb":
        return "cells" in json.loads(data)
    if path.suffix == ".toml":
        return "enclosure" in tomllib.loads(data.decode())
    if path.suffix == ".npz":
        return data[:2] == b"PK" and b"PK\x05\x06" in data[-22:]
    if path.suffix == ".csv":
        return data.decode("utf-8-sig").startswith("#") and data.endswith(b"\n")
    return path.name == "mine.txt" and data.decode() == MINE


def judged(folder: Path, err: str, code: int, allowed: tuple[int, ...], killed: bool, tried: Tried, what: str) -> None:
    """Look at what a command left behind, and at what it said."""
    tried.times += 1
    tried.finished += code == 0
    if code not in allowed:
        tried.wrong.append(f"{what}: ended with {code}: {err[-300:]}")
    if "Traceback" in err or "Exception ignored" in err:
        tried.wrong.append(f"{what}: lines of Python: {err[-600:]}")
    if not (folder / "mine.txt").exists():
        tried.wrong.append(f"{what}: a file of the keeper is gone")
    for path in folder.rglob("*"):
        if path.is_dir():
            continue
        if path.suffix == ".part":  # hidden, and beside the file it was to become
            tried.drafts += 1
            if not killed:
                tried.wrong.append(f"{what}: left {path.name}")
        elif not whole(path):
            tried.wrong.append(f"{what}: half a file, {path.name}")


def stopped(words: list[str], usual_s: float, name: str, moment: float, tried: Tried) -> None:
    """Send the signal `name` at `moment` (0 to 1) of the usual time of a command."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "mine.txt").write_text(MINE)
        running = subprocess.Popen(
            words, cwd=folder, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        try:
            _, err = running.communicate(timeout=moment * usual_s)
        except subprocess.TimeoutExpired:
            running.send_signal(getattr(signal, name))
            _, err = running.communicate(timeout=120)
        number = int(getattr(signal, name))
        # a script of somebody's own that is told to end is ended by the system, which lets nobody tidy up
        abruptly = name == "SIGKILL" or (name == "SIGTERM" and "-c" in words)
        judged(
            folder, err, running.returncode, (0, -number, 128 + number), abruptly, tried,
            f"{words[-4:]} {name} at {moment * usual_s:.2f} s",
        )  # fmt: skip


def stopped_while_compiling(name: str, after_s: float, tried: Tried) -> None:
    """Send the signal `name` so long after a command began to compile the engine for the first time; then use what it kept."""
    with tempfile.TemporaryDirectory() as place, tempfile.TemporaryDirectory() as cache:
        folder, with_cache = Path(place), environment(XDG_CACHE_HOME=cache)
        (folder / "mine.txt").write_text(MINE)
        words = [*COMMAND, *WRITING["water"][0]]
        running = subprocess.Popen(
            words, cwd=folder, env=with_cache, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        first = running.stderr.readline()
        try:
            _, err = running.communicate(timeout=after_s)
        except subprocess.TimeoutExpired:
            running.send_signal(getattr(signal, name))
            _, err = running.communicate(timeout=120)
        number = int(getattr(signal, name))
        what = f"{name} {after_s:.1f} s into compiling"
        judged(folder, first + err, running.returncode, (0, -number, 128 + number), name == "SIGKILL", tried, what)
        if "preparing the fast code" not in first:
            tried.wrong.append(f"{what}: it was not said what is waited for: {first}")
        done = subprocess.run(
            [sys.executable, "-c", KERNELS], env=with_cache, capture_output=True, text=True, check=False
        )
        if done.returncode:
            tried.wrong.append(f"{what}: what it kept is of no use: {done.stderr[-300:]}")


def finished(words: list[str], before: str, allowed: tuple[int, ...], tried: Tried, **more: str) -> None:
    """Run a command to its end below the shell line `before`, such as a limit, and look at what it leaves."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "mine.txt").write_text(MINE)
        done = subprocess.run(
            ["sh", "-c", f'{before}; exec "$@"{" >&-" if before == "true " else ""}', "sh", *words],
            cwd=folder, env=environment(**more), capture_output=True, text=True, encoding="utf-8", errors="replace", check=False,
        )  # fmt: skip
        judged(folder, done.stderr, done.returncode, allowed, False, tried, f"{words[-4:]} {before} {more}")


def full_disk(words: list[str], kib: int, tried: Tried) -> None:
    """Run a command in a file system of so many KiB, which only root can make."""
    with tempfile.TemporaryDirectory() as place:
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kib}k", "tmpfs", place], check=True)
        try:
            folder = Path(place)
            (folder / "mine.txt").write_text(MINE)
            done = subprocess.run(words, cwd=folder, env=environment(), capture_output=True, text=True, check=False)
            judged(folder, done.stderr, done.returncode, (0, 2), False, tried, f"{words[-4:]} on {kib} KiB")
        finally:
            subprocess.run(["umount", place], check=True)


def can_mount() -> bool:
    """True where this user may make a small disk."""
    with tempfile.TemporaryDirectory() as place:
        if subprocess.run(["mount", "-t", "tmpfs", "tmpfs", place], capture_output=True, check=False).returncode:
            return False
        subprocess.run(["umount", place], check=True)
    return True


def main() -> None:
    """Try everything and print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("times", type=int, nargs="?", default=6)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", help="part of the name of what is tried")
    to = asked.parse_args()
    chance = random.Random(to.seed)
    rows: dict[str, Tried] = {}
    writing = {**{name: ([*COMMAND, *words], s) for name, (words, s) in WRITING.items()}}
    writing["save"] = ([sys.executable, "-c", SAVING], 6.0)

    def one(name: str) -> Tried | None:
        return rows.setdefault(name, Tried()) if not to.only or to.only in name else None

    for what, (words, usual_s) in writing.items():
        for name in SIGNALS:
            # somebody's own script ends as Python ends it
            if (what, name) != ("save", "SIGINT") and (tried := one(f"{name} during {what}")):
                for _ in range(to.times):
                    # in the first tenth of a second Python itself is starting, and its words are its own
                    stopped(words, usual_s, name, chance.uniform(0.15 / usual_s, 1.0), tried)
    for name in SIGNALS:
        if tried := one(f"{name} while the engine is compiled for the first time"):
            for _ in range(to.times):
                stopped_while_compiling(name, chance.uniform(0.0, 30.0), tried)
    few = max(1, to.times // 3)
    commands = [[*COMMAND, *words] for words, _ in WRITING.values()]
    small = can_mount()
    for _ in range(few):
        for words in commands:
            if tried := one("standard output closed"):
                finished(words, "true ", (0,), tried)
            if tried := one("memory limited to 1 GB"):
                finished(words, f"ulimit -v {GIB // 1024}", (0, 2), tried)
            if tried := one("LANG=C"):
                finished(words, "true", (0,), tried, LANG="C", LC_ALL="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")
            if tried := one("python -O"):
                finished([words[0], "-O", *words[1:]], "true", (0,), tried)
            if small and (tried := one("full disk")):
                full_disk(words, chance.choice((4, 8, 40, 400)), tried)
    lines = ["| what | tried | ran to its end | drafts left | wrong |", "| --- | --- | --- | --- | --- |"]
    lines += [f"| {n} | {t.times} | {t.finished} | {t.drafts} | {len(t.wrong)} |" for n, t in rows.items()]
    sys.stdout.write("\n".join(lines) + "\n\n" + "\n".join(wrong for t in rows.values() for wrong in t.wrong) + "\n")


if __name__ == "__main__":
    main()
