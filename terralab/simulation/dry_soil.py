"""How the soil of a box wets after it stood dry: what its layers refuse at first, for how long, and how fast it takes water."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from terralab.describe.box import Box
from terralab.engine.layout import Overrides
from terralab.materials import get
from terralab.physics.wetting import refusing
from terralab.simulation.before_a_run import held_at
from terralab.uncertainty.inputs import UncertainInput, asked_by
from terralab.uncertainty.learned import with_learned
from terralab.units import HOUR_S

AIR_DRY_M = -5000.0  # pore air at 70 % humidity (Kelvin): soil that stood unwatered for months
SURELY_S = 200.0 * HOUR_S  # longer than any mix of the tables takes


@dataclass(frozen=True)
class DryLayer:
    """One layer: its part of the water that the soil lacks [-], what of it refuses water at first [-], and its time [s]."""

    part: float
    refuses: float
    wetting_s: float


@dataclass(frozen=True)
class DrySoil:
    """The layers of a soil from the top down; `takes_m_s`: what its slowest layer takes when wet; `pores_m`: all its pores,
    as depth of water [m]; `pond_m`: what may stand on it while it is shrunken [m]; `easy`: see `physics.wetting.dryness`.
    """

    layers: tuple[DryLayer, ...]
    takes_m_s: float
    pores_m: float
    pond_m: float
    easy: float

    def refuses(self, dry: float, contact_s: float) -> float:
        """Share of the soil [-], by the water it lacks, that refuses water after `contact_s` [s]; `dry` as in `dryness`."""
        return math.fsum(one.part * refusing(one.refuses, dry, contact_s, one.wetting_s) for one in self.layers)

    def wets_in_s(self, dry: float, left: float) -> float:
        """Seconds of contact until no more than `left` [-] refuses water; 0 where that is so at once."""
        if self.refuses(dry, 0.0) <= left:
            return 0.0
        low, high = 0.0, SURELY_S
        for _ in range(40):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.refuses(dry, middle) > left else (low, middle)
        return high


def dry_soil(box: Box, overrides: Mapping[str, float | str] | None = None) -> DrySoil:
    """Return how the soil of `box` wets; `overrides` as `simulate` takes them."""
    return _soil(box, Overrides(with_learned(box, overrides or {})))


def dry_soil_inputs(box: Box) -> tuple[UncertainInput, ...]:
    """Return the uncertain numbers of the tables that decide it; a run asks for few of them."""
    return asked_by(lambda pick: _soil(box, pick))


def _soil(box: Box, pick: Overrides) -> DrySoil:
    glass = box.enclosure
    thick = [depth for _, depth in glass.porous_layers]
    dry = held_at(AIR_DRY_M, glass)
    # at rest a layer sucks as hard as its middle stands high above the base
    wet = [float(held_at(-(sum(thick[i + 1 :]) + 0.5 * deep), glass)[i]) for i, deep in enumerate(thick)]
    lacks = [max(1e-9, deep * (w - d)) for deep, w, d in zip(thick, wet, dry, strict=True)]
    layers, takes, pores = [], math.inf, 0.0
    for (name, deep), part in zip(glass.porous_layers, lacks, strict=True):
        entry = get("substrates", name)
        refuses = pick("substrates", name, "refuses_dry") if "refuses_dry" in entry else 0.0
        hours = pick("substrates", name, "wetting_hours") if "wetting_hours" in entry else 1.0
        layers.append(DryLayer(part / sum(lacks), refuses, HOUR_S * hours))
        takes = min(takes, pick("substrates", name, "ks"))
        pores += deep * pick("substrates", name, "theta_s")
    pond, easy = pick("defaults", "wetting", "pond_mm") / 1000.0, pick("defaults", "wetting", "easy_above")
    return DrySoil(tuple(layers), takes, pores, pond, easy)
