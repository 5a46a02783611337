"""Facts every keeper knows must come out of the engine. All are common practice, no source."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.balance import with_pour
from terralab.describe.seasons import room_of


@pytest.fixture(scope="module")
def box() -> tl.Box:
    """The humid demo."""
    return tl.load("fern-hollow")


def test_a_glass_box_ends_far_more_humid_than_its_room(box: tl.Box) -> None:
    record = tl.simulate(with_pour(box, 150.0), 5)
    last = record.rows(4, 5)
    room = room_of(box, "now").humidity.at(record.raw.t[last])
    assert record.relative_humidity[last].mean() > np.mean(room) + 20.0


def test_poured_water_runs_through_and_pools_among_the_clay_balls(box: tl.Box) -> None:
    """Two litres on moist soil: most of it stands in the drainage layer a day later, and the gap has shrunk."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        flooded = with_pour(box, 2000.0)
    pours = tuple(replace(pour, every_days=300) for pour in flooded.routine.pours)
    record = tl.simulate(replace(flooded, routine=replace(flooded.routine, pours=pours, siphons=())), 2)
    drained = float(record.raw.moved["drained"].sum())
    assert drained > 1.3
    assert record.gap_below_mesh_cm[-1] < record.gap_below_mesh_cm[0] - 1.0


def soaked(box: tl.Box, **changes: object) -> tl.Box:
    """The box with brimful soil, nothing poured or sprayed any more, and little lost to the air."""
    wet = box.change(**{"start.soil": "wet", "enclosure.openings.lid.covered": 1.0, **changes})
    return replace(wet, routine=replace(wet.routine, pours=(), sprays=(), fans=(), siphons=()))


def upper_air(record: tl.Record) -> float:
    """Air-filled porosity of the soil's upper half at the end."""
    half = 50.0 * float(record.raw.dz.sum())
    return float(record.mean_over(record.air_space, 0.0, half)[-1])


def test_with_a_drainage_layer_the_soil_above_the_wet_band_breathes_again_within_two_days(box: tl.Box) -> None:
    assert upper_air(tl.simulate(soaked(box), 2)) >= 0.10


def test_without_layer_and_drain_soaked_soil_stays_airless(box: tl.Box) -> None:
    sealed = soaked(
        box,
        **{"enclosure.drainage": None, "enclosure.mesh_barrier": False, "enclosure.tube": None, "routine.siphons": []},
    )
    assert upper_air(tl.simulate(sealed, 2)) < 0.10


def test_the_coldest_air_of_the_night_falls_in_the_heaters_pause(box: tl.Box) -> None:
    """A colder room, a heater pausing 23:00 to 06:00: the minimum lies between 23:00 and 06:00 plus 20 minutes of glass."""
    heater = replace(box.routine.heaters[0], control=None, power_w=25.0)
    cold = box.change(**{"room.temperature": "15 C"})
    record = tl.simulate(replace(cold, routine=replace(cold.routine, heaters=(heater,))), 4, record_every_min=5)
    rows = record.rows(2.5, 3.5)
    coldest = rows[np.argmin(record.air_c[rows])]
    hour = (record.times_h[coldest] - 12.0) % 24.0 + 12.0
    assert 23.0 <= hour <= 30.0 + 20.0 / 60.0
