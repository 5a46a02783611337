"""The end of a run is the end of that run, whether it begins at day nought or goes on from another."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.drying import days_in_store
from terralab.answers.common.ensemble import settled_rows
from terralab.answers.common.temperature import heat_of, last_days


@pytest.fixture(scope="module")
def runs() -> tuple[tl.Record, tl.Record]:
    """Twenty days in one go, and the last twelve of them as a run that goes on; nobody pours."""
    box = tl.load("moss-jar").change(**{"routine.pours": [], "routine.sprays": []})
    whole = tl.simulate(box, 20, record_every_min=60)
    return whole, tl.simulate(box, 12, start=tl.simulate(box, 8, record_every_min=60), record_every_min=60)


@pytest.mark.parametrize("rows_of", [settled_rows, last_days])
def test_the_last_days_are_those_at_the_end(runs, rows_of) -> None:
    whole, rest = runs
    assert np.array_equal(whole.times_s[rows_of(whole)], rest.times_s[rows_of(rest)])
    assert len(rows_of(rest)) >= 24


def test_what_is_said_of_the_end_is_the_same(runs) -> None:
    whole, rest = runs
    assert heat_of(whole).to_dict() == heat_of(rest).to_dict()
    assert days_in_store(rest) == pytest.approx(days_in_store(whole), rel=1e-9)
