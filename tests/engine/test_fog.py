"""Fog in all kinds of air: droplets and vapour are solved together, so that neither runs away."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

import terralab as tl
from tests.engine.stores import water_on


def jar(airborne: float, leakage: float, mesh: bool = False, flow: str = "5 ml/min") -> tl.Box:
    """A small lit jar with a fogger: 10 minutes of every hour."""
    table = tl.load("moss-jar").write()
    table.pop("band", None)
    table["enclosure"] = {
        "width": "30 cm",
        "front_to_back": "30 cm",
        "height": "40 cm",
        "layers": [{"material": "fine coir mix", "depth": "6 cm"}],
        "leakage": leakage,
    }
    if mesh:
        table["enclosure"]["openings"] = [{"name": "lid", "wall": "lid", "width": "25 cm", "height": "25 cm"}]
    table["routine"] = {
        "mists": [{"name": "fogger", "flow": flow, "timer": ["10 min every 1 h"], "airborne": airborne}],
        "lamps": [{"name": "light", "kind": "led bar inside", "power": "15 W", "timer": ["08:00-20:00"]}],
    }
    return tl.Box.read(table, bare=True)


def test_fog_under_a_lamp_in_a_nearly_closed_jar_follows_the_finer_run() -> None:
    """Temperatures of air and glass within 0.2 K of the strict run at every row (measured 0.03 K), RH within 0.5."""
    rough, fine = (tl.simulate(jar(0.9, 1.0), 2, accuracy=accuracy) for accuracy in ("normal", "strict"))
    for part in ("zones", "surfaces"):
        assert np.abs(getattr(rough.raw, part)["t"] - getattr(fine.raw, part)["t"]).max() < 0.2
    assert np.abs(rough.relative_humidity - fine.relative_humidity).max() < 0.5
    # in each air by itself: fog lies below and above at different hours
    for zone, name in enumerate(fine.zone_names):
        fog = fine.raw.zones["fog"][:, zone]
        foggy = fog > 0.02 * fog.max()
        assert foggy.any()
        assert fine.zone_humidity(name)[foggy].min() > 99.0
    assert rough.closure_water < 1e-9
    assert rough.closure_energy < 1e-6


@pytest.mark.parametrize(
    ("airborne", "leakage", "mesh"), list(itertools.product((0.1, 0.5, 1.0), (0.0, 1.0, 30.0), (False, True)))
)
def test_any_fogger_runs_and_closes(airborne: float, leakage: float, mesh: bool) -> None:
    """Sealed, leaking and open, with little and much fog: water and heat close, no droplet store falls below nothing."""
    record = tl.simulate(jar(airborne, leakage, mesh), 1)
    assert record.closure_water < 1e-9
    assert record.closure_energy < 1e-6
    assert record.raw.zones["fog"].min() >= 0.0
    assert record.relative_humidity.max() < 102.0


def test_droplets_are_booked_once() -> None:
    """What floats up either evaporates, settles, leaves with the air or still floats, to a millionth."""
    record = tl.simulate(jar(1.0, 5.0), 1)
    f, fog = record.raw.flow, water_on(record, "fog")
    gone = sum(f[name].sum() for name in ("fog_evaporation", "fog_lost", "fog_settled"))
    assert f["fog_in"].sum() == pytest.approx(gone + fog[-1] - fog[0], rel=1e-6)
