"""Importing terralab is quick: what only some answers need is loaded when they ask for it."""

from __future__ import annotations

import subprocess
import sys

import pytest

LATE = ("pandas", "scipy.optimize", "scipy.stats", "matplotlib", "IPython", "ipywidgets", "psychrolib")


@pytest.fixture(scope="module")
def loaded() -> set[str]:
    """Every module in memory after `import terralab` in a new process."""
    code = "import sys, terralab; print('\\n'.join(sys.modules))"
    return set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split())


@pytest.mark.parametrize("module", LATE)
def test_what_few_need_is_loaded_late(module: str, loaded: set[str]) -> None:
    assert "terralab.simulation.simulate" in loaded
    assert module not in loaded


def test_nothing_is_compiled_by_importing() -> None:
    code = "import terralab; from terralab.engine.soil_clock import run; print(len(run.signatures))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "0"
