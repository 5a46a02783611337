"""The first soak: it ends drained-moist, in portions, and warns of mixes that shed water."""

from __future__ import annotations

import pytest

import terralab as tl
from terralab.answers.balance import held_state

MOIST = [name for name in tl.demos() if held_state(tl.load(name)) != "dry"]


@pytest.mark.parametrize("name", MOIST)
def test_soak_ends_drained_moist(name: str) -> None:
    answer = tl.first_soak(tl.load(name))
    assert answer.low <= answer.value <= answer.high
    assert answer.unit == "litres"
    record = answer.record
    poured = float(record.raw.moved["poured"].sum())
    assert poured == pytest.approx(answer.value, abs=0.01)
    assert record.closure_water <= 1e-9
    held = record.series["soil water ml"][-1] / 1000.0
    lost = answer.value + record.series["soil water ml"][0] / 1000.0 - held
    assert held > 0.85 * (held + lost)
    if record.has_reservoir:
        assert record.gap_below_mesh_cm.min() > 0.0


def test_dry_peat_is_warned_about_and_runs_past() -> None:
    box = tl.load("fern-hollow").change(**{"enclosure.layers.1.material": "peat-based mix"})
    answer = tl.first_soak(box)
    assert "shed water" in answer.cautions[0]
    assert float(answer.record.raw.moved["bypassed"].sum()) > 0.1


def test_soil_that_is_to_stay_dry_is_not_soaked() -> None:
    answer = tl.first_soak(tl.load("dry-ledge"))
    assert (answer.low, answer.value, answer.high) == (0.0, 0.0, 0.0)
    assert "nothing to soak" in answer.reason
    assert answer.reason in str(answer)
    assert "poured" not in str(answer)
