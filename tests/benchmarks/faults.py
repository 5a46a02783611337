"""What a fault can do: commands stopped at random moments, without output, without memory, room or letters.

`python -m tests.benchmarks.faults 6` tries every command and fault so often (each try takes some seconds) and prints the
table in `reference/faults.md`. A few of these tries are tests of their own (`tests/test_robust.py`, `tests/test_kernels_kept.py`).
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COMMAND = [sys.executable, "-m", "terralab"]
MINE = "mine, and to be kept"
#: Commands that write.
WRITING = {
    "water": ["water", "moss-jar", "--picture", "new.png"],
    "report": ["report", "moss-jar", "--file", "new.html"],
    "report --pdf": ["report", "moss-jar", "--file", "new.html", "--pdf"],
    "notebooks": ["notebooks", "books", "--no-open"],
    "box": ["box", "moss-jar", "new.toml"],
    "diary": ["diary", "moss-jar", "new.csv"],
    "learn": ["learn", "--runs", "64", "--members", "16", "--to", "new.toml", "--picture", "new.png"],
    "away": ["away", "moss-jar", "--days", "7", "--sheet", "new.html", "--picture", "new.png"],
    "forecast": ["forecast", "moss-jar", "--days", "7", "--picture", "new.png"],
}
#: Commands that only read and say.
SAYING = {
    "normal": ["normal", "moss-jar", "--reading", "80 % 23 C", "--at", "21:30"],
    "sensor": ["sensor", "--reads", "78 %", "--temperature", "21 C"],
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
FILM = (
    "import terralab as tl\nfrom terralab import show\nrecord = tl.simulate(tl.load('moss-jar'), 1, accuracy='preview')\n"
    "show.save_report(show.section_film(record, frames=12).html + '</html>', 'new.html')\n"
)
SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGKILL")
GIB = 2**30


@dataclass
class Tried:
    """How often one thing was tried, and what was found wrong.

    `early`: stops that fell into the start of Python itself, which are told in its own words. `left`: drafts, and folders of
    a browser, of what was killed.
    """

    times: int = 0
    finished: int = 0
    early: int = 0
    left: int = 0
    wrong: list[str] = field(default_factory=list)


def environment(**more: str) -> dict[str, str]:
    """The surroundings of a command of this checkout."""
    return {**os.environ, "PYTHONPATH": str(ROOT), **more}


def whole(path: Path) -> bool:
    """True when a file that terralab writes is there to its end."""
    data = path.read_bytes()
    if path.suffix == ".png":
        return data.startswith(b"\x89PNG") and data.endswith(b"IEND\xaeB`\x82")
    if path.suffix == ".pdf":
        return data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")
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
    if err.rstrip().endswith("KeyboardInterrupt") and "terralab" not in err:
        tried.early += 1
    elif "Traceback" in err or "Exception ignored" in err:
        tried.wrong.append(f"{what}: lines of Python: {err[-600:]}")
    if not (folder / "mine.txt").exists():
        tried.wrong.append(f"{what}: a file of the keeper is gone")
    for path in folder.rglob("*"):
        if path.is_dir():
            continue
        if path.suffix == ".part":  # hidden, and beside the file it was to become
            tried.left += 1
            if not killed:
                tried.wrong.append(f"{what}: left {path.name}")
        elif not whole(path):
            tried.wrong.append(f"{what}: half a file, {path.name}")


def for_a_while(folder: Path, killed: bool, tried: Tried, what: str) -> None:
    """Look at the folder that a command had for what it needs for a while, and for programs that still use it."""
    if any(folder.iterdir()):
        tried.left += 1
        if not killed:
            tried.wrong.append(f"{what}: left {[path.name for path in folder.iterdir()]}")
    for one in Path("/proc").glob("[0-9]*"):
        with suppress(OSError):
            if str(folder).encode() in (one / "cmdline").read_bytes():
                if not killed:
                    tried.wrong.append(f"{what}: a program runs on")
                os.kill(int(one.name), signal.SIGKILL)


def seconds(words: list[str]) -> float:
    """How long a command takes on this machine as it is now."""
    with tempfile.TemporaryDirectory() as place:
        began = time.monotonic()
        subprocess.run(words, cwd=place, env=environment(), capture_output=True, check=True)
        return time.monotonic() - began


def stopped(words: list[str], after_s: float, name: str, tried: Tried) -> None:
    """Send the signal `name` so long after a command began."""
    with tempfile.TemporaryDirectory() as place, tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as while_at_it:
        folder = Path(place)
        (folder / "mine.txt").write_text(MINE)
        running = subprocess.Popen(
            words,
            cwd=folder,
            env=environment(TMPDIR=while_at_it),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            _, err = running.communicate(timeout=after_s)
        except subprocess.TimeoutExpired:
            running.send_signal(getattr(signal, name))
            _, err = running.communicate(timeout=120)
        number = int(getattr(signal, name))
        # a script of somebody's own that is told to end is ended by the system, which lets nobody tidy up
        abruptly = name == "SIGKILL" or (name in ("SIGTERM", "SIGHUP") and "-c" in words)
        what = f"{words[-4:]} {name} at {after_s:.2f} s"
        judged(folder, err, running.returncode, (0, -number, 128 + number), abruptly, tried, what)
        for_a_while(Path(while_at_it), abruptly, tried, what)


def stopped_while_compiling(name: str, after_s: float, tried: Tried) -> None:
    """Send the signal `name` so long after a command began to compile the engine for the first time; then use what it kept."""
    with tempfile.TemporaryDirectory() as place, tempfile.TemporaryDirectory() as cache:
        folder, with_cache = Path(place), environment(XDG_CACHE_HOME=cache)
        (folder / "mine.txt").write_text(MINE)
        words = [*COMMAND, *WRITING["water"]]
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
    asked.add_argument("--only", help="a pattern for the name of what is tried")
    to = asked.parse_args()
    # what a shell starts aside, or is to outlive it, is told to ignore these, and so would be all that it starts
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGHUP, signal.SIG_DFL)
    chance = random.Random(to.seed)
    rows: dict[str, Tried] = {}
    commands = {name: [*COMMAND, *words] for name, words in {**WRITING, **SAYING}.items()}
    scripts = {"saving a record": SAVING, "saving a film": FILM}
    stops = {**commands, **{name: [sys.executable, "-c", text] for name, text in scripts.items()}}
    asked_for = re.compile(to.only or "")

    def one(name: str) -> Tried | None:
        return rows.setdefault(name, Tried()) if asked_for.search(name) else None

    for what, words in stops.items():
        # somebody's own script ends as Python ends it
        names = [n for n in SIGNALS if (what not in scripts or n != "SIGINT") and one(f"{n} during {what}")]
        if not names:
            continue
        seconds(words)  # the first start of anything is slower
        usual_s, start_s = seconds(words), 1.5 * seconds([sys.executable, "-c", "pass"])
        for name in names * to.times:
            # in its first moments Python itself is starting, and its words are its own
            stopped(words, chance.uniform(start_s, 1.05 * usual_s), name, rows[f"{name} during {what}"])
        told(f"{what}: {usual_s:.1f} s; {table({n: rows[n] for n in rows if n.endswith(f' during {what}')})}")
    for name in SIGNALS:
        if tried := one(f"{name} while the engine is compiled for the first time"):
            for _ in range(to.times):
                stopped_while_compiling(name, chance.uniform(0.0, 30.0), tried)
            told(f"{name} while compiling")
    few = max(1, to.times // 3)
    small = can_mount()
    for _ in range(few):
        for words in commands.values():
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
    sys.stdout.write(table(rows) + "\n\n" + "\n".join(wrong for t in rows.values() for wrong in t.wrong) + "\n")


def told(what: str) -> None:
    """Say how far it is."""
    sys.stderr.write(f"{what}\n")
    sys.stderr.flush()


def table(rows: dict[str, Tried]) -> str:
    """The table of `reference/faults.md`."""
    lines = [
        "| what | tried | ran to its end | while Python started | left behind | wrong |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    lines += [
        f"| {n} | {t.times} | {t.finished} | {t.early} | {t.left} | {len(t.wrong)} |"
        for n, t in rows.items()
        if t.times
    ]
    return "\n".join(lines)


if __name__ == "__main__":
    main()
