"""A page as PDF, printed by a browser that is installed on this machine.

The browser gets one file of ours, in a folder of its own that is removed afterwards: neither its settings nor its history
are the keeper's. It finds no other machine.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from terralab.atomic_files import reason, write_new
from terralab.errors import FileError

TIMEOUT_S = 120.0  # a page takes a second or two; a slow machine that starts its first browser, half a minute
LONGEST_PLACE = 50  # letters of a folder in which a browser can still make its socket
BY_HAND = 'Open the page in any browser, print it there, and choose "Save as PDF" as the printer.'
NO_BROWSER = (
    "No browser was found that prints a page to a PDF by itself (Chromium, Chrome and Edge can). Leave out --pdf; then open "
    'the report in any browser, print it there, and choose "Save as PDF" as the printer.'
)
#: What such browsers are called where programs are found by name.
NAMES = (
    "chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge", "microsoft-edge-stable",
)  # fmt: skip
#: Where they stand in the folder for programs of a Mac, and in those of Windows.
MAC = ("Google Chrome", "Chromium", "Microsoft Edge")
WINDOWS = (
    ("Google", "Chrome", "Application", "chrome.exe"),
    ("Microsoft", "Edge", "Application", "msedge.exe"),
    ("Chromium", "Application", "chrome.exe"),
)
OPTIONS = (
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-extensions",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-dev-shm-usage",  # some machines give a browser too little shared memory, and it would stop
    "--host-resolver-rules=MAP * ~NOTFOUND",  # no other machine has an address
    "--no-pdf-header-footer",
)


def browser() -> Path | None:
    """The first browser on this machine that can print a page by itself; None where there is none."""
    return next((path for path in _places() if path.is_file() and os.access(path, os.X_OK)), None)


def needs_browser() -> Path:
    """The same. Raises `FileError` where there is none, and says what to do."""
    found = browser()
    if found is None:
        raise FileError(NO_BROWSER)
    return found


def _places() -> Iterator[Path]:
    if sys.platform == "win32":  # never by name: Windows would look in the folder one works in first
        for folder in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
            if root := os.environ.get(folder):
                yield from (Path(root, *parts) for parts in WINDOWS)
        return
    if sys.platform == "darwin":
        for root in (Path("/Applications"), Path.home() / "Applications"):
            yield from (root / f"{name}.app" / "Contents" / "MacOS" / name for name in MAC)
    # a folder that is not named in full depends on where one works, and anybody may have put a program there
    folders = [one for one in os.environ.get("PATH", "").split(os.pathsep) if Path(one).is_absolute()]
    for name in NAMES:
        if found := shutil.which(name, path=os.pathsep.join(folders)):
            yield Path(found)


def print_to_pdf(page: str, target: Path, by: Path) -> Path:
    """Print the text of a page, as `show.report_page` gives it, with the browser `by`, and return the path of the PDF.

    A file that is there is never replaced: "plan.pdf" becomes "plan-2.pdf". Raises `FileError` where the browser fails or takes
    longer than two minutes, and where nothing can be written.
    """
    try:
        # a browser may still be tidying up its own folder when it has ended
        with TemporaryDirectory(prefix="terralab-print-", dir=_workplace(by), ignore_cleanup_errors=True) as place:
            folder = Path(place)
            source, printed = folder / "page.html", folder / "page.pdf"
            source.write_text(page, encoding="utf-8")
            said = _run([str(by), *OPTIONS, *_as_root(), f"--user-data-dir={folder / 'profile'}",
                         f"--print-to-pdf={printed}", source.as_uri()], folder)  # fmt: skip
            data = printed.read_bytes() if printed.is_file() else b""
    except OSError as error:
        raise FileError(f"{by} could not print the page: {reason(error)}. {BY_HAND}") from None
    if not (data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")):
        raise FileError(f"{by} printed nothing{f' ({said})' if said else ''}. {BY_HAND}")
    return write_new(data, target, number=True)


def _workplace(by: Path) -> Path | None:
    """Where the browser can read: a packed one (snap) has a /tmp of its own, and sees no more of home than its own part."""
    own = Path.home() / "snap" / "chromium" / "common"
    packed = by.name.startswith("chromium") and (by.is_relative_to("/snap") or Path("/snap/bin/chromium").exists())
    return own if packed and own.is_dir() else None


def _as_root() -> list[str]:
    """As root a browser does not start inside its sandbox; anybody else's stays in it."""
    return ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []


def _run(command: list[str], folder: Path) -> str:
    """Run it to its end and give what it said last where it failed; `FileError` after too long. None of it is left running."""
    words = folder / "said.txt"  # a pipe would be waited for as long as any child of the browser holds it
    # what the browser needs for a while goes with our folder, since a browser that is ended tidies up nothing;
    # it makes a socket there, whose name may not be long
    place = {"TMPDIR": str(folder)} if len(str(folder)) <= LONGEST_PLACE else {}
    with open(words, "wb") as stream:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=stream,
            stderr=stream,
            start_new_session=os.name == "posix",
            env={**os.environ, **place},
        )
    try:
        code = process.wait(TIMEOUT_S)
    except subprocess.TimeoutExpired:
        raise FileError(
            f"{command[0]} did not finish within {TIMEOUT_S:g} seconds and was stopped. {BY_HAND}"
        ) from None
    finally:
        _end(process)
    lines = words.read_text(encoding="utf-8", errors="replace").splitlines() if code else []
    return next((" ".join(line.split())[-200:] for line in reversed(lines) if line.strip()), "")


def _end(process: subprocess.Popen) -> None:
    """End the browser with all it started: it is many processes."""
    with suppress(OSError):
        if os.name == "posix":
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    process.wait()
