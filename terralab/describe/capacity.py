"""How much water a glass takes: what stands on the soil, what the soil soaks up, what the layer below it holds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from terralab.soil.hydraulics import Soil

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure

_SLICES = 16  # of a soil layer; the water in drained soil changes by a few per cent over one of them


@dataclass(frozen=True, slots=True)
class Capacity:
    """Water in ml that an enclosure takes at once.

    `above_ml`: on the surface, up to the brim or the lowest opening in a wall. `drained_ml`: in the air of watered and
    drained soil and in an empty drainage layer. `dry_ml`: the same with soil that holds nothing.
    """

    above_ml: float
    drained_ml: float
    dry_ml: float

    @property
    def taken_up_ml(self) -> float:
        """What watered and drained soil, an empty layer and the space above take."""
        return self.above_ml + self.drained_ml

    @property
    def most_ml(self) -> float:
        """What dry soil, an empty layer and the space above take: more can in no way stay in the glass."""
        return self.above_ml + self.dry_ml


@lru_cache(maxsize=256)
def capacity(glass: Enclosure) -> Capacity:
    """The Capacity of an enclosure, by its typical numbers.

    Drained soil is at rest above its base, its suction growing with height: what `start.soil = "drained-moist"` means.
    """
    drained = dry = base = 0.0
    for material, thickness in reversed(glass.porous_layers):
        soil = Soil.from_material(material)
        heights = base + thickness * (np.arange(_SLICES) + 0.5) / _SLICES
        held = float(np.mean(soil.water_content(-heights)))
        drained += thickness * (soil.theta_s - held)
        dry += thickness * soil.theta_s
        base += thickness
    layer = glass.drainage
    under = 0.0 if layer is None else layer.depth_cm / 100.0 * layer.voids
    to_ml = 1e6 * glass.soil_area_m2
    return Capacity(max(0.0, glass.free_space_ml), to_ml * (drained + under), to_ml * (dry + under))
