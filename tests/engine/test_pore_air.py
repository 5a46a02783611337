"""Dry soil and the air above it: they are in balance when their vapours press alike, at any warmth."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import terralab as tl
from terralab.describe import Trial
from terralab.describe.routine import Routine
from terralab.materials.pot import AIR_DRY_SUCTION
from terralab.physics.moist_air import damp_ratio, humidity_ratio, saturation_pressure


@pytest.mark.parametrize("warmth", [10.0, 20.0, 40.0])
def test_a_sealed_box_of_dry_soil_takes_the_humidity_of_its_pores(warmth: float) -> None:
    """exp(g h / R_v T) by Kelvin (Philip 1957), worked out here by hand. Counted as a share of the humidity ratio instead
    of the pressure it would be 0.6 points damper at 20 C, 1.7 at 40."""
    jar = Trial.of(tl.load("moss-jar")).change(  # at 40 C it would be told that moss cannot live there
        **{
            "enclosure.openings": [],
            "enclosure.leakage": "0 per hour",
            "enclosure.cover": None,
            "enclosure.drainage": None,
            "enclosure.mesh_barrier": False,
            "start.soil": "dry",
            "room.temperature": f"{warmth} C",
            "room.humidity": "50 %",
        }
    )
    record = tl.simulate(replace(jar, routine=Routine()), 2)
    pores = lambda head: 100.0 * math.exp(9.80665 * head / (461.52 * (warmth + 273.15)))  # noqa: E731
    assert record.relative_humidity[0] == pytest.approx(pores(-AIR_DRY_SUCTION), abs=0.1)
    # vapour then moves a little between layers that differ by hundredths of a kelvin, and the surface cell's head with it
    assert record.relative_humidity[-1] == pytest.approx(pores(record.raw.head[-1, 0]), abs=0.12)


def test_a_share_of_the_pressure_is_not_a_share_of_the_ratio() -> None:
    for warmth, apart in ((20.0, 0.53), (40.0, 1.70)):
        full = saturation_pressure(warmth)
        w, by_humidity, by_full = damp_ratio(0.65, humidity_ratio(full))
        assert w == pytest.approx(humidity_ratio(0.65 * full), rel=1e-12)
        wrong = 0.65 * humidity_ratio(full)
        wrong_humidity = 101325.0 * wrong / (0.621945 + wrong) / full
        assert 100.0 * (wrong_humidity - 0.65) == pytest.approx(apart, abs=0.02)
        step = 1e-6
        more = damp_ratio(0.65 + step, humidity_ratio(full))[0]
        assert by_humidity == pytest.approx((more - w) / step, rel=1e-4)
        more = damp_ratio(0.65, humidity_ratio(full) + step)[0]
        assert by_full == pytest.approx((more - w) / step, rel=1e-4)
