"""The benchmark itself runs: `pytest -m benchmark tests/benchmarks`. Nothing here judges a time."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.benchmark
def test_the_benchmark_prints_its_tables() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.speed", "--quick"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    for heading in ("Same equations", "Longer and finer", "Answers of Fern Hollow, warm", "Pieces", "Starting"):
        assert heading in done.stdout
