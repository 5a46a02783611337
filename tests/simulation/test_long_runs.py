"""Two years: the work grows in a straight line, memory with the rows alone, and budgets close as after a day."""

from __future__ import annotations

import pytest

import terralab as tl

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("name", tl.demos())
def test_two_years_close_as_a_day_does_and_take_work_in_a_straight_line(name):
    box = tl.load(name)
    runs = {days: tl.simulate(box, days, accuracy="preview", record_every_min=60) for days in (1, 365, 730)}
    for record in runs.values():
        assert record.closure_water < 1e-9
        assert record.closure_energy < 1e-6
    steps = {d: r.settings["soil_steps"] + r.settings["air_steps"] for d, r in runs.items()}
    # by steps, which no busy machine changes; measured: the second year takes 1.0 times the first's, in the closed jar,
    # which is wetter by then, 1.4 times
    assert steps[730] - steps[365] < 1.6 * steps[365]
    held = {d: sum(getattr(r.raw, n).nbytes for n in ("zones", "surfaces", "chain", "water", "head", "flow", "moved"))
            for d, r in runs.items()}  # fmt: skip
    rows = {d: len(r.raw.t) for d, r in runs.items()}
    assert held[730] * rows[365] == held[365] * rows[730]
