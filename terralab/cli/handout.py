"""Hand out files for the keeper to edit: a demo description, the notebooks. Nothing of theirs is overwritten."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from tempfile import TemporaryDirectory

from terralab.atomic_files import reason, write_new
from terralab.describe.files import demos
from terralab.errors import FileError, UnknownName

FIRST = "00_start_here.ipynb"


def copy_demo(name: str, target: str | None = None) -> Path:
    """Write the demo `name` to a file to edit (default: my-NAME.toml here, or the next free name) and return its path.

    Raises UnknownName for another demo, FileError when the file exists or cannot be written.
    """
    if name not in demos():
        raise UnknownName.among("demo", name, demos())
    text = files("terralab").joinpath("demos", f"{name}.toml").read_bytes()
    return write_new(text, Path(target)) if target else write_new(text, Path(f"my-{name}.toml"), number=True)


def copy_notebooks(folder: str) -> tuple[Path, list[str], list[str]]:
    """Copy the notebooks into `folder`, made if need be; give it, the names copied and the names kept as they were.

    Raises FileError when the folder cannot be made or written.
    """
    try:
        place = Path(folder).expanduser()
        if place.exists() and not place.is_dir():
            raise FileError(f"{place} is a file, not a folder. Choose another name.")
        place.mkdir(parents=True, exist_ok=True)
    except (OSError, RuntimeError) as error:  # RuntimeError: there is no home folder to put for "~"
        raise FileError(f"The folder {folder} cannot be made: {reason(error)}. Choose another place.") from None
    copied, kept = [], []
    for source in _notebooks():
        target = place / source.name
        if target.exists():
            kept.append(source.name)
        else:
            write_new(source.read_bytes(), target)
            copied.append(source.name)
    return place, copied, kept


def open_lab(folder: Path) -> int:
    """Run JupyterLab on `folder` until it is closed, with the first notebook open; give its exit code.

    It asks no questions about news and updates, and says no more than where its page is.
    """
    if importlib.util.find_spec("jupyterlab") is None:
        raise FileError("JupyterLab is not installed here. Run: pip install jupyterlab")
    with quiet_lab() as (command, surroundings):
        first = [f"--LabApp.default_url=/lab/tree/{FIRST}"] if (folder / FIRST).is_file() else []
        return subprocess.run([*command, *first], cwd=folder, check=False, env=surroundings).returncode


@contextmanager
def quiet_lab() -> Iterator[tuple[list[str], dict[str, str]]]:
    """The command that starts JupyterLab, and the environment in which it asks nobody for news or updates.

    The options alone leave a question about news on the screen. The setting that answers it can only stand in a file.
    """
    with TemporaryDirectory(prefix="terralab-lab-") as place:
        settings = Path(place) / "labconfig" / "default_setting_overrides.json"
        settings.parent.mkdir()
        quiet = {"@jupyterlab/apputils-extension:notification": {"fetchNews": "false", "checkForUpdates": False}}
        settings.write_text(json.dumps(quiet), encoding="utf-8")
        before = os.environ.get("JUPYTER_CONFIG_PATH")
        path = os.pathsep.join([place, *([before] if before else [])])
        options = [
            "--LabApp.news_url=None",
            "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
            "--log-level=ERROR",
        ]
        yield [sys.executable, "-m", "jupyterlab", *options], {**os.environ, "JUPYTER_CONFIG_PATH": path}


def _notebooks() -> list[Traversable | Path]:
    """The notebooks of the installed package, or of the checkout terralab is run from."""
    try:
        place = files("terralab._notebooks")
    except ModuleNotFoundError:
        place = Path(__file__).parents[2] / "notebooks"
    found = sorted((item for item in place.iterdir() if item.name.endswith(".ipynb")), key=lambda item: item.name)
    if not found:
        raise FileError("The notebooks are missing from this installation. Install terralab again.")
    return found
