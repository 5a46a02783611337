"""How the test run is spread over the cores of a machine, and the folder in which files share their answers.

xdist hands out whole files, in the order they are collected in. A long file that comes last is waited for by an idle
core, so the longest come first. While one process compiles the engine (half a minute with nothing kept), another
begins with files that do not need it.
"""

from __future__ import annotations

import os
import shutil
import tempfile

import pytest

from tests.asked import FOLDER
from tests.browser.lab import BROWSERS

#: Some half a minute of files that compile next to nothing.
WITHOUT_ENGINE = ()
#: Files that take more than some ten seconds, the longest first.
LONG = ()


def pytest_configure(config: pytest.Config) -> None:
    """Keep the order of `pytest_collection_modifyitems`, and make the folder of this run, once for all its processes."""
    config.option.loadscopereorder = False  # xdist would put the files with the most tests first
    if not hasattr(config, "workerinput"):
        os.environ[FOLDER] = tempfile.mkdtemp(prefix="terralab-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    """Remove that folder."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(FOLDER, ""), ignore_errors=True)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put whole files in the order of the lists above, all others after them; run each notebook once."""
    first = [*LONG[:1], *WITHOUT_ENGINE, *LONG[1:]]
    place = {name: number for number, name in enumerate(first)}
    items.sort(key=lambda item: place.get(item.nodeid.partition("::")[0], len(place)))
    twice = _run_in_a_browser_too(items)
    if twice:
        items[:] = [item for item in items if item not in twice]
        config.hook.pytest_deselected(items=list(twice))


def _run_in_a_browser_too(items: list[pytest.Item]) -> set[pytest.Item]:
    """Cells of notebooks that a test of this run executes in a browser, where no cell may fail either.

    None where the machine has no browser, or where the notebooks are run alone: then their cells run without one.
    """
    if not any(map(shutil.which, BROWSERS)):
        return set()
    shown = {item.name.partition("[")[2].rstrip("]") for item in items if item.path.parent.name == "browser"}
    return {item for item in items if item.path.suffix == ".ipynb" and item.path.stem in shown}
