"""What a fault can do: commands stopped at random moments, without output, without memory, room or letters.

`python -m tests.benchmarks.faults 6` tries every command and fault so often (each try takes some seconds) and prints the
table in `reference/faults.md`. A few of these tries are tests of their own (`tests/test_robust.py`, `tests/test_faults.py`).
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
}
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
                full_disk(words, chance.choice((4, 8, 40)), tried)
    lines = ["| what | tried | ran to its end | drafts left | wrong |", "| --- | --- | --- | --- | --- |"]
    lines += [f"| {n} | {t.times} | {t.finished} | {t.drafts} | {len(t.wrong)} |" for n, t in rows.items()]
    sys.stdout.write("\n".join(lines) + "\n\n" + "\n".join(wrong for t in rows.values() for wrong in t.wrong) + "\n")


if __name__ == "__main__":
    main()
