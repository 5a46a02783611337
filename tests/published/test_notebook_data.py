"""The measured rates that notebook 10 carries are those of the data file, so that the copy cannot stray."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import numpy as np

from tests.published.drying import measured_sand

NOTEBOOK = Path(__file__).resolve().parents[2] / "notebooks" / "10_can_you_trust_it.ipynb"


def test_the_sand_in_the_notebook_is_the_measured_one() -> None:
    cells = json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]
    (text,) = ("".join(cell["source"]) for cell in cells if "measured = np.array" in "".join(cell["source"]))
    held = {
        node.targets[0].id: ast.literal_eval(node.value.args[0])
        for node in ast.parse(text).body
        if isinstance(node, ast.Assign)
    }
    time_s, rate = measured_sand()
    np.testing.assert_allclose(held["days"], time_s / 86400.0, rtol=5e-4)
    np.testing.assert_allclose(held["measured"], rate, rtol=5e-4)
    assert "CC-BY 4.0" in text
