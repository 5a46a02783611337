"""Hand out files for the keeper to edit: a demo description, the notebooks. Nothing of theirs is overwritten."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from importlib.abc import Traversable
from importlib.resources import files
from pathlib import Path

from terralab.describe.files import demos
from terralab.errors import FileError, UnknownName
from terralab.keep import keep, reason


def copy_demo(name: str, target: str | None = None) -> Path:
    """Write the demo `name` to a file to edit (default: my-NAME.toml here, or the next free name) and give its path.

    Raises UnknownName for another demo, FileError when the file exists or cannot be written.
    """
    if name not in demos():
        raise UnknownName.among("demo", name, demos())
    text = files("terralab").joinpath("demos", f"{name}.toml").read_bytes()
    return keep(text, Path(target)) if target else keep(text, Path(f"my-{name}.toml"), number=True)


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
            keep(source.read_bytes(), target)
            copied.append(source.name)
    return place, copied, kept


def open_lab(folder: Path) -> int:
    """Run JupyterLab on `folder` until it is closed, without its news and update questions; give its exit code."""
    if importlib.util.find_spec("jupyterlab") is None:
        raise FileError("JupyterLab is not installed here. Run: pip install jupyterlab")
    quiet = ["--LabApp.news_url=None", "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate"]
    return subprocess.run([sys.executable, "-m", "jupyterlab", *quiet], cwd=folder, check=False).returncode


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
