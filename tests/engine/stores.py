"""What several tests of the engine ask of a record's stores."""

from __future__ import annotations

import numpy as np

import terralab as tl
from terralab.simulation.budget import stored_water

ARRAYS = ("zones", "surfaces", "chain", "water", "head", "flow", "moved")


def same(one: tl.Record, other: tl.Record) -> bool:
    """Whether two records hold the same states, heads and flows to the last bit."""
    return all(getattr(one.raw, part).tobytes() == getattr(other.raw, part).tobytes() for part in ARRAYS)


def least(record: tl.Record) -> dict[str, float]:
    """The least that each store ever held: vapour [kg/kg], drops [kg] and wood of any zone, film of any surface [kg]."""
    raw = record.raw
    held = {name: float(raw.zones[name].min()) for name in ("w", "fog", "wood")}
    return held | {"film": float(raw.surfaces["film"].min())}


def water_on(record: tl.Record, store: str) -> np.ndarray:
    """Water [kg] of one store of the table of flows: "glass film", "leaf film", "cover", "dish", "fog"."""
    return stored_water(record.raw)[store]


def closes(record: tl.Record) -> None:
    """Water to 1e-9, energy to 1e-6 of what moved and is stored, and no store below nothing."""
    assert record.closure_water <= 1e-9
    assert record.closure_energy <= 1e-6
    for name, lowest in least(record).items():
        assert lowest >= 0.0, name
    # an empty drainage layer may be overdrawn by what a last change of heads leaves over: some nanometres of water
    assert record.raw.water[:, :-1].min() >= -1e-12
    assert record.raw.water[:, -1].min() >= -1e-8
