"""Laws of light and ground through the whole engine, and boxes unlike the demos that must close all the same."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.describe.ground import Ground
from terralab.describe.routine import Lamp, Routine
from terralab.describe.timer import Timer
from tests.engine import stores

SPRAYED = [{"amount": "100 ml", "over": "1 min", "every": "1 d", "time": "09:00"}]
FERN = {"enclosure.cover": None, "routine.sprays": SPRAYED}
UNLIKE = {
    "pots on a bare floor": ("fern-hollow", {
        "enclosure.ground": {"bare_floor": "80 %"}, "enclosure.drainage": None, "enclosure.tube": None,
        "routine.siphons": [], "routine.pours.1.amount": "100 ml"}),
    "half rock under a hot lamp": ("dry-ledge", {
        "enclosure.ground": {"rock": "50 %"}, "routine.lamps.1.power": "120 W"}),
    "a pond on a third of the floor": ("fern-hollow", {"enclosure.dish": {"area": "900 cm2", "depth": "4 cm"}}),
    "mostly moss": ("fern-hollow", {"enclosure.ground": {"moss": "60 %"}}),
    "a hide on soil beside rock": ("fern-hollow", {
        "enclosure.ground": {"rock": "30 %"},
        "enclosure.hide": {"volume": "1 l", "opening_width": "6 cm", "opening_height": "5 cm", "floor": "soil"}}),
    "a jar with moss on wood": ("moss-jar", {
        "enclosure.wood_area": "150 cm2", "enclosure.moss_on_wood_area": "120 cm2"}),
}  # fmt: skip


@pytest.mark.parametrize("name", UNLIKE)
def test_boxes_unlike_the_demos_close(name: str) -> None:
    demo, changes = UNLIKE[name]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        stores.closes(tl.simulate(tl.load(demo).change(**(FERN if demo == "fern-hollow" else {}), **changes), 3))


def test_a_ground_of_no_shares_is_no_ground() -> None:
    """To the last bit."""
    box = tl.load("fern-hollow").change(**FERN)
    none, zero = (replace(box, enclosure=replace(box.enclosure, ground=ground)) for ground in (None, Ground()))
    assert stores.same(tl.simulate(none, 2), tl.simulate(zero, 2))


def test_more_rock_never_lets_more_water_out_of_the_soil() -> None:
    box = tl.load("fern-hollow").change(**FERN)
    out = [
        tl.simulate(box.change(**{"enclosure.ground": {"rock": f"{share} %"}}), 3).raw.flow["soil_evaporation"].sum()
        for share in (0, 20, 40, 60, 80)
    ]
    assert np.all(np.diff(out) < 0.0)


def under(kind: str, par: float) -> float:
    """Water [kg] that plants breathe out in two days under a light that warms nothing, with moist roots."""
    box = tl.load("fern-hollow").change(**{"enclosure.plants.kind": kind})
    lamp = Lamp("light", "led bar outside lid", 1e-6, Timer(("07:00-19:00",)), par_at_plants=par)
    return float(tl.simulate(replace(box, routine=Routine(lamps=(lamp,))), 2).raw.flow["transpiration"].sum())


@pytest.mark.parametrize("kind", ["foliage plants", "ferns", "palms", "aroids"])
def test_more_light_never_means_less_breath_of_plants_that_open_by_day(kind: str) -> None:
    assert np.all(np.diff([under(kind, par) for par in (0.0, 5.0, 20.0, 80.0, 300.0)]) > 0.0)


@pytest.mark.parametrize("kind", ["night-opening bromeliads", "night-opening succulents"])
def test_and_never_more_of_those_that_open_by_night(kind: str) -> None:
    assert np.all(np.diff([under(kind, par) for par in (0.0, 5.0, 20.0, 80.0, 300.0)]) < 0.0)


def test_sprays_wet_moss_on_wood_and_all_of_a_spray_lands_somewhere() -> None:
    """Moss on wood once got nothing of a spray, and dried for good."""
    box = tl.load("fern-hollow").change(
        **FERN, **{"enclosure.wood_area": "1000 cm2", "enclosure.moss_on_wood_area": "800 cm2"}
    )
    flow = tl.simulate(box, 2).raw.flow
    landed = {name: float(flow[f"spray_{name}"].sum()) for name in ("leaf", "glass", "ground", "moss")}
    assert landed["moss"] > 0.0
    # the finest drops float as mist
    assert sum(landed.values()) + float(flow["fog_in"].sum()) == pytest.approx(0.2, rel=1e-6)


def test_ferns_on_drained_loam_breathe() -> None:
    """Roots short of air are slowed, never stopped."""
    box = tl.load("fern-hollow").change(
        **{"enclosure.plants.kind": "ferns", "enclosure.layers": [{"material": "loam topsoil", "depth": "10 cm"}]}
    )
    assert tl.simulate(box, 3).raw.flow["transpiration"][-96:].sum() > 1e-3
