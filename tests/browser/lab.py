"""A JupyterLab of its own, and a headless browser to look at it. No file name begins with test_: pytest imports this."""

from __future__ import annotations

import os
import secrets
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

from terralab.cli.handout import quiet_lab
from tests.notebook_kernels import ROOT, settings_folder

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
# a browser that asks nobody for news of itself, and that runs as root in a container
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]


def browser_path() -> str:
    """The path of a Chromium on this machine. Without one a person's run skips, and a run with CI=true fails."""
    for name in BROWSERS:
        if found := shutil.which(name):
            return found
    words = (
        "No browser was found. Install Chromium (Debian: sudo apt install chromium) to run the tests in tests/browser."
    )
    if os.environ.get("CI") == "true":
        pytest.fail(words)
    pytest.skip(words)


@contextmanager
def jupyter(folder: Path) -> Iterator[tuple[str, str]]:
    """JupyterLab on `folder` at a free port of this machine, with settings of its own: (address, token)."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    token = secrets.token_hex(16)
    home = folder / ".home"
    own = {name: str(home / name.lower()) for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR")}
    own |= {
        "JUPYTERLAB_SETTINGS_DIR": str(home / "s"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "w"),
        "PYTHONPATH": str(ROOT),
        "IPYTHONDIR": settings_folder(home / "ipython", presses=False),
    }
    options = [
        "--no-browser", "--allow-root", "--ip=127.0.0.1", f"--port={port}", "--ServerApp.port_retries=0",
        f"--IdentityProvider.token={token}", "--LabApp.expose_app_in_browser=True", f"--ServerApp.root_dir={folder}",
    ]  # fmt: skip
    # the very command a keeper gets from `terralab notebooks`
    with quiet_lab() as (command, surroundings), open(folder / ".lab.log", "wb") as log:
        server = subprocess.Popen([*command, *options], cwd=folder, env=surroundings | own, stdout=log, stderr=log)
        try:
            address = f"http://127.0.0.1:{port}"
            _wait(f"{address}/api/status?token={token}", server, folder)
            yield address, token
        finally:
            server.terminate()
            try:
                server.wait(20)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def _wait(address: str, server: subprocess.Popen, folder: Path) -> None:
    end = time.monotonic() + 60.0
    while time.monotonic() < end and server.poll() is None:
        try:
            with urlopen(address, timeout=5):
                return
        except (URLError, OSError):
            time.sleep(0.2)
    pytest.fail("JupyterLab did not start:\n" + (folder / ".lab.log").read_text(errors="replace")[-2000:])


@contextmanager
def chromium(offline: bool = False) -> Iterator[tuple[object, dict[str, list[str]]]]:
    """A page of a headless browser, and what it did: "errors" on its console, "abroad" what it asked other machines."""
    path = browser_path()
    from playwright.sync_api import sync_playwright

    seen: dict[str, list[str]] = {"errors": [], "abroad": []}
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=path, args=FLAGS)
        try:
            page = browser.new_page(viewport={"width": 1280, "height": 1000})
            if offline:
                page.context.set_offline(True)
            page.set_default_timeout(60_000)
            page.on("console", lambda m: seen["errors"].append(m.text) if m.type == "error" else None)
            page.on("pageerror", lambda e: seen["errors"].append(str(e)))
            page.on("request", lambda r: None if _here(r.url) else seen["abroad"].append(r.url))
            page.on("websocket", lambda s: None if _here(s.url) else seen["abroad"].append(s.url))
            yield page, seen
        finally:
            browser.close()


def _here(url: str) -> bool:
    return url.startswith(
        ("http://127.0.0.1:", "ws://127.0.0.1:", "data:", "blob:", "file:", "about:", "chrome-extension:")
    )
