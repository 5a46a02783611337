"""Daylight and sun in their hours, stones that dry and give nothing more, puddles, and roots under water, through the engine."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab import materials
from terralab.describe.routine import Routine
from terralab.describe.seasons import room_of
from terralab.engine.devices import light_adds
from terralab.engine.layout import Overrides
from terralab.engine.light import SEASONS, skies
from terralab.engine.pack import pack
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.units import DAY_S

WINDOW = {"room.window": {"distance": "1 m", "faces": "east"}}
SUN = {"room.sun": {"times": ["08:00-09:30"], "strength": "300 W/m2", "share": "20 %", "seasons": ["now", "summer"]}}


def bare(name: str = "fern-hollow", **changes: object) -> tl.Box:
    """A demo without its routine, in a steady room."""
    box = replace(tl.load(name), routine=Routine())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return box.change(**{"room.temperature": "21 C", "room.humidity": "50 %", **changes})


def sky_of(box: tl.Box, season: str) -> list:
    return skies(box, season, Overrides(), 0.5)


@pytest.mark.parametrize("season", SEASONS)
def test_daylight_by_the_hour_is_the_day_as_a_whole(season: str) -> None:
    """A half wave between sunrise and sunset has 2/pi of its height on the mean."""
    (sky,) = sky_of(bare(**WINDOW), season)
    row = materials.get("defaults", SEASONS[season])
    light_hours = row.typical("sets") - row.typical("rises")
    assert sky.loads.sum() == pytest.approx(2.0 / np.pi * light_hours, rel=0.01)
    assert sky.loads.max() <= 1.0
    assert not sky.loads[: int(row.typical("rises"))].any()


def test_the_sun_falls_in_only_in_its_hours_and_seasons() -> None:
    box = bare(**SUN)
    (patch,) = sky_of(box, "now")
    assert sum(patch.loads * np.diff([*patch.times, DAY_S])) == pytest.approx(1.5 * 3600.0)
    assert sky_of(box, "winter") == []
    assert 300.0 <= patch.row["beam"] <= 1200.0  # of a clear day behind a window (from memory)


def test_window_and_sun_warm_the_box_by_what_they_bring_and_the_books_close() -> None:
    dark, lit = (tl.simulate(box, 2) for box in (bare(), bare(**WINDOW, **SUN)))
    assert lit.closure_energy < 1e-12
    assert not dark.raw.flow["heat_devices"].any()
    brought = sum(
        (sky.row["leaf_heat"] + sky.row["ground_heat"] + sky.row["glass_heat"])
        * float(sky.loads @ np.diff([*sky.times, DAY_S]))
        for sky in sky_of(bare(**WINDOW, **SUN), "now")
    )
    assert lit.raw.flow["heat_devices"].sum() == pytest.approx(2.0 * brought, rel=1e-6)
    hour = (lit.times_h > 8.2) & (lit.times_h < 9.4)
    assert lit.air_c[hour].min() > dark.air_c[hour].max() + 0.5


def test_a_sun_that_lights_none_of_the_plants_is_even_light_alone() -> None:
    """The two classes of leaves, in the limit of no share in the sun."""
    w = pack(bare(**WINDOW, **SUN), room_of(bare(), "now"), 1)
    w.box["sun_share"] = 0.0
    b, leaf = w.box.view(np.recarray)[0], w.air.surface.view(np.recarray)[0]
    by_python = getattr(light_adds, "py_func", light_adds)
    assert by_python(b, leaf, 20.0, 700.0) == by_python(b, leaf, 20.0, 0.0)


def test_a_wet_stone_dries_and_then_gives_nothing() -> None:
    """Sprayed once, half an hour after midnight of the first day: by the next noon its film is gone and stays so."""
    spray = {"routine.sprays": [{"amount": "60 ml", "over": "1 min", "every": "9 d", "time": "00:30"}]}
    box = bare(
        **{"enclosure.ground": {"rock": "50 %"}, "enclosure.cover": None, "enclosure.leakage": "20 per hour", **spray}
    )
    record = tl.simulate(box, 3)
    stone = record.raw.surfaces["film"][:, record.raw.of_name("rock")][:, 0]
    wet = stone > 1e-6
    assert stone.max() > 1e-3
    assert not wet[record.times_h > 36.0].any()
    given = record.raw.flow["patch_film"]
    assert given[record.times_h < 36.0].sum() > 1e-3
    assert abs(given[record.times_h > 48.0]).max() < 1e-9
    assert stone[-1] < 1e-9


def test_a_puddle_on_the_bare_floor_dries_as_free_water_does() -> None:
    """As a dish on that floor, each by what its own warmth asks of the same air; the floor has some from the table below."""
    floor = {
        "enclosure.ground": {"bare_floor": "40 %"},
        "enclosure.drainage": None,
        "enclosure.tube": None,
        "enclosure.cover": None,
    }
    dish = {"enclosure.dish": {"area": "540 cm2", "depth": "2 cm", "stands_on": "bare floor"}}
    spray = {"routine.sprays": [{"amount": "1000 ml", "over": "1 min", "every": "9 d", "time": "00:30"}]}
    record = tl.simulate(bare(**floor, **dish, **spray), 2)
    rows = np.flatnonzero((record.times_h > 6.0) & (record.times_h < 18.0))
    raw = record.raw
    water = raw.zones["w"][rows, 0]

    def for_each_drive(flow: str, name: str, area: float) -> float:
        warm = raw.surfaces["t"][rows][:, raw.of_name(name)][:, 0]
        drive = np.array([humidity_ratio(saturation_pressure(t)) for t in warm]) - water
        return float((raw.flow[flow][rows] / area / drive).mean())

    puddle = for_each_drive("patch_film", "bare floor", 0.4 * record.box.enclosure.floor_area_m2)
    free = for_each_drive("dish_evaporation", "dish", 0.054)
    assert raw.surfaces["film"][-1, raw.of_name("bare floor")][0] > 0.1
    assert puddle == pytest.approx(free, rel=0.25)


def test_flooded_plants_fall_as_trees_did_within_the_range_of_the_table_and_never_to_nothing() -> None:
    """Three flooded trees kept 0.49, 0.56 and 0.53 of their conductance after a day (Pezeshki & Chambers 1986, abstract)."""
    box = bare(
        **{
            "start.soil": "wet",
            "enclosure.plants.kind": "foliage plants",
            "enclosure.plants.leaf_area": "50 cm2",  # too few to change the air they stand in
            "enclosure.drainage": None,
            "enclosure.tube": None,
        }
    )
    well = {"foliage plants.wet_share_left": 1.0}
    healthy = tl.simulate(box, 3, overrides=well).raw.flow["transpiration"]

    def kept(**changed: float | str) -> np.ndarray:
        own = {f"foliage plants.{name}": value for name, value in changed.items()}
        return tl.simulate(box, 3, overrides=own).raw.flow["transpiration"][1:] / healthy[1:]

    quick, slow = kept(wet_days_to_fall="low", wet_share_left="low"), kept(wet_days_to_fall="high")
    day = 96
    assert quick[day] < 0.49
    assert slow[day] > 0.56
    assert np.all(np.diff(kept()[:: day // 4]) < 0.0)
    assert quick.min() > 0.25
