"""Neither slogan: the signs of published pot experiments, the capillary break and its loss, the small vapour, by the engine.

Rowe 2025, PLoS ONE 20:e0318716 (abstract): freely drained pots with loamless mixes keep less water over a coarse layer;
loam hardly changes. Bilderback & Fonteno 1987, J. Environ. Hort. 5:180-182 (abstract) and Owen & Altland 2008,
HortScience 43:505-508 (abstract): the taller the column, the more air and the less water it keeps. Signs only: these are
whole boxes with the shipped mixes, not the media of the papers.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import terralab as tl
from terralab.answers.drainage.bottoms import gross_ml_per_day

MIXES = ("peat-based mix", "fine coir mix", "coarse coir mix")


def pot(mix: str, soil_cm: float = 10.0, **more: object) -> tl.Box:
    """A bare, soaked box that nothing is poured into, in a room as damp as itself."""
    changes = {
        "enclosure.layers": [{"material": mix, "depth": f"{soil_cm} cm"}],
        "enclosure.cover": None,
        "enclosure.plants": None,
        "enclosure.tube": None,
        "enclosure.openings": [],
        "routine.pours": [],
        "routine.sprays": [],
        "routine.siphons": [],
        "routine.heaters": [],
        "routine.fans": [],
        "routine.lamps": [],
        "room.temperature": "20 C",
        "room.humidity": "98 %",
        "start.soil": "wet",
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.load("fern-hollow").change(**(changes | more))


def kept_mm(box: tl.Box, days: int = 10) -> float:
    record = tl.simulate(box, days, accuracy="preview", record_every_min=60)
    return 1000.0 * float(record.raw.water[-1, :-1].sum())


def on_hole(mix: str, soil_cm: float = 10.0) -> tl.Box:
    return pot(mix, soil_cm, **{"enclosure.drainage": None, "enclosure.drain_hole": True})


def on_stones(mix: str, stones_cm: float = 20.0, level: float = 0.0) -> tl.Box:
    stones = {"material": "gravel 8-15 mm", "depth": f"{stones_cm} cm", "level": f"{level} cm"}
    return pot(mix, **{"enclosure.drainage": stones})


@pytest.mark.parametrize("mix", MIXES)
def test_loamless_mixes_keep_less_over_stones(mix: str) -> None:
    assert kept_mm(on_stones(mix)) < 0.995 * kept_mm(on_hole(mix))


def test_loam_hardly_changes() -> None:
    ratio = kept_mm(on_stones("loam topsoil")) / kept_mm(on_hole("loam topsoil"))
    assert 0.99 < ratio < 1.0


def test_stones_take_no_wet_band_away() -> None:
    """The slogan's other half: soil over stones is far from free of its wet band."""
    record = tl.simulate(on_stones("fine coir mix"), 10, accuracy="preview", record_every_min=60)
    assert record.air_space[-1][-1] < 0.05
    assert record.air_space[-1][0] > 0.2


@pytest.mark.parametrize("mix", [*MIXES, "bark-rich mix"])
def test_taller_soil_has_more_air(mix: str) -> None:
    air = []
    for cm in (4.0, 8.0, 16.0, 30.0):
        record = tl.simulate(on_hole(mix, cm), 10, accuracy="preview", record_every_min=60)
        air.append(float(record.mean_over(record.air_space, 0.0, cm)[-1]))
    assert air == sorted(air)
    assert air[-1] > air[0] + 0.05


def fed(gap_cm: float, hours: int = 240) -> float:
    """Water [ml] the reservoir gave in ten days to a soil that stood drained, with so much air under the mesh."""
    stones = {"material": "expanded clay 8-16 mm", "depth": "6 cm", "level": f"{6.0 - gap_cm} cm"}
    box = pot(
        "fine coir mix",
        **{"enclosure.drainage": stones, "start.soil": "drained-moist", "room.humidity": "50 %",
           "enclosure.openings": [{"name": "lid", "wall": "lid", "width": "50 cm", "height": "35 cm"}]},
    )  # fmt: skip
    record = tl.simulate(box, hours // 24, accuracy="preview", record_every_min=60)
    m = record.raw.moved
    return 1000.0 * float(np.sum(m["reservoir_vapour"]) - np.sum(m["drained"]))


def test_the_break_holds_until_water_reaches_the_fringe() -> None:
    """Fringe of these grains: 7 mm. Above it the soil gets vapour only; inside it, as much as it loses."""
    apart = [fed(gap) for gap in (4.0, 2.0, 1.0)]
    touching = fed(0.3)
    assert max(apart) < 60.0
    assert touching > 4.0 * max(apart)


def test_isothermal_vapour_is_small_and_falls_with_the_gap() -> None:
    """Under damp soil in a steady room next to nothing rises: under 0.1 ml a day over a floor of 2700 cm2."""
    box = on_stones("fine coir mix", 6.0, 2.0).change(**{"start.soil": "drained-moist"})
    record = tl.simulate(box, 10, accuracy="preview", record_every_min=60)
    assert abs(gross_ml_per_day(record, "vapour")) < 0.1
    # where the soil above cools by drying, vapour does rise, the more the narrower the gap; still millilitres
    assert 0.5 < fed(4.0) / 10.0 < fed(1.0) / 10.0 < 10.0
