"""The soil of a box as it would rest over its water: what the bottom of the box makes of it once nothing flows."""

from __future__ import annotations

from terralab import materials
from terralab.describe.box import Box
from terralab.simulation.record import Record
from terralab.soil.resting import Resting, foot_pull, resting


def at_rest(shown: Box | Record) -> Resting:
    """The mix of a box at rest, without a moss cover: over the water as described, or as it stands at the end of a record.

    Over a drain hole or a sealed floor the foot is just soaked; over a layer see `soil.resting.foot_pull`.
    """
    box = shown.box if isinstance(shown, Record) else shown
    layers = [(layer.material, layer.depth_cm) for layer in box.enclosure.layers]
    gap = gap_cm(shown)
    return resting(layers, 0.0 if gap is None else foot_pull(gap, *_stones(box)))


def gap_cm(shown: Box | Record) -> float | None:
    """Air between the mesh and the water below it [cm], as described or at the end of a record; None without a layer."""
    if isinstance(shown, Record):
        return float(shown.gap_below_mesh_cm[-1]) if shown.has_reservoir else None
    d = shown.enclosure.drainage
    return None if d is None else d.depth_cm - d.level_cm


def touches(shown: Box | Record) -> bool:
    """True where the water below is near enough for the grains to lift it into the soil."""
    gap = gap_cm(shown)
    box = shown.box if isinstance(shown, Record) else shown
    return gap is not None and gap < _stones(box)[1]


def _stones(box: Box) -> tuple[float, float]:
    """The pull at which soil lets water go to the stones, and how high these lift water; both in cm, typical."""
    d = box.enclosure.drainage
    stone = materials.get("aggregates", d.material)
    # as in the engine: grains cannot draw from water that is not there
    return 100.0 * stone.typical("entry_suction"), min(100.0 * stone.typical("capillary_rise"), d.depth_cm)
