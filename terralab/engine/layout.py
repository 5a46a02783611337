"""From a description to the numbers of the compiled engine (SI): the grid, the box, the devices, the start.

Nothing is computed over time here. `overrides` lets an uncertain number stand at the low or high end of its
published range, which is how answers get their own range.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from terralab import materials
from terralab.describe.box import Box
from terralab.engine.air_layout import basking_share
from terralab.engine.doors import door_rows
from terralab.engine.fans import fan_rows
from terralab.engine.light import Sky, lamp_light
from terralab.engine.schedule import devices, opened
from terralab.engine.tables import OPENING
from terralab.materials.pot import AIR_DRY_SUCTION
from terralab.physics.conductivity import conductivity_scale
from terralab.physics.retention import SOIL_COLUMNS

TOP_CELL = 1.5e-3  # m, thin enough to carry the drying of the surface (measured in the method study)
FIRST_THERMAL = 2.5e-3  # m, thickness of the uppermost temperature layer


class Overrides:
    """Numbers from the materials tables: as `overrides` asks, "low", "high" or a value of its own, else typical."""

    def __init__(self, overrides: Mapping[str, float | str] | None = None) -> None:
        self.overrides = dict(overrides or {})

    def __call__(self, table: str, name: str, prop: str) -> float:
        asked = self.overrides.get(f"{name}.{prop}", "typical")
        return getattr(materials.get(table, name)[prop], asked) if isinstance(asked, str) else float(asked)


def soil_row(pick: Overrides, material: str) -> np.ndarray:
    """One row of the engine's soil table, in the order of `retention.SOIL_COLUMNS`."""
    entry = materials.get("substrates", material)
    row = np.zeros(len(SOIL_COLUMNS))
    for column, prop in enumerate(SOIL_COLUMNS):
        if prop in entry.numbers:
            row[column] = pick("substrates", material, prop)
    row[0] = 1.0 if "w2" in entry.numbers else 0.0
    row[SOIL_COLUMNS.index("dry_end")] = 1.0
    row[SOIL_COLUMNS.index("k_scale")] = conductivity_scale(row)
    return row


def grid(layers: list[tuple[str, float]], cells: int) -> tuple[np.ndarray, np.ndarray]:
    """Cell thicknesses [m] growing from a thin top, fitted to the layers, and the layer each cell lies in."""
    depth = sum(thickness for _, thickness in layers)
    top = min(TOP_CELL, depth / cells)
    low, high = 1.0, 2.0
    for _ in range(60):
        ratio = 0.5 * (low + high)
        total = top * cells if ratio == 1.0 else top * (ratio**cells - 1.0) / (ratio - 1.0)
        low, high = (ratio, high) if total < depth else (low, ratio)
    faces = np.concatenate([[0.0], np.cumsum(top * low ** np.arange(cells))])
    faces *= depth / faces[-1]
    sizes: list[float] = []
    place: list[int] = []
    above = 0.0
    for index, (_, thickness) in enumerate(layers):
        below = above + thickness
        inside = faces[(faces > above + 1e-4) & (faces < below - 1e-4)]
        if len(inside) == 0:
            inside = np.array([0.5 * (above + below)])
        edges = np.concatenate([[above], inside, [below]])
        # no sliver beside a layer's edge
        while len(edges) > 3 and edges[-1] - edges[-2] < 0.4 * (edges[-2] - edges[-3]):
            edges = np.delete(edges, -2)
        while len(edges) > 3 and edges[1] - edges[0] < 0.4 * (edges[2] - edges[1]) and index > 0:
            edges = np.delete(edges, 1)
        sizes.extend(np.diff(edges))
        place.extend([index] * (len(edges) - 1))
        above = below
    return np.array(sizes), np.array(place, dtype=np.int64)


def thermal_layers(dz: np.ndarray) -> np.ndarray:
    """First cell of each temperature layer (and one past the last): thin on top, doubling downwards."""
    starts = [0]
    target = FIRST_THERMAL
    thick = 0.0
    for i, size in enumerate(dz):
        thick += size
        if thick >= target and i + 1 < len(dz):
            starts.append(i + 1)
            thick = 0.0
            target = min(2.0 * target, 0.03)
    return np.array([*starts, len(dz)], dtype=np.int64)


def device_rows(
    box: Box, pick: Overrides, b: np.void, zones: np.ndarray, skies: Sequence[Sky]
) -> tuple[np.ndarray, np.ndarray]:
    """What each device does while it runs (see `schedule.devices`), and the openings with those of fans and doors.

    `zones` are those that stand on each other. It also writes into `b` where the doors begin.
    """
    shade = 2.0 * float(b["land_leaf"])
    doors = opened(box.routine)
    # only on an upright pane does a draught push or suck
    upright = any(hole.wall != "lid" for hole in (*box.enclosure.openings, *doors))
    draught = box.room.draught_m_s(pick) if upright else 0.0
    tops = [float(top) for top in zones["top"]]
    openings, fans = fan_rows(box.enclosure, box.routine.fans, pick, draught, tops)
    shut, entries = door_rows(box.enclosure, doors, pick, len(openings), draught, tops)
    b["first_door"] = len(openings)
    openings = np.concatenate([openings, np.array(shut, OPENING)])
    under = box.enclosure.basking
    lit = ("", 0.0) if under is None else (under.lamp, basking_share(box.enclosure, pick))
    grows = b["has_plants"] > 0.0
    light_of = {lamp.name: lamp_light(box.enclosure, lamp, pick) if grows else 0.0 for lamp in box.routine.lamps}
    return devices(box.routine, pick, shade, [*fans, *entries], lit, light_of, skies), openings


def start_heads(
    kind: str, dz: np.ndarray, soils: np.ndarray, place: np.ndarray, entry: float, level: float
) -> np.ndarray:
    """Heads of the cells [m] at the start. drained-moist: at rest above the mesh; wet: all pores full; dry: -5000 m."""
    above_base = dz.sum() - (np.cumsum(dz) - 0.5 * dz)
    if kind == "dry":
        head = np.full(len(dz), -AIR_DRY_SUCTION)
    elif kind == "wet":
        head = np.full(len(dz), -1e-3)
    else:
        head = -(above_base + entry)
    if level > 0.0:  # water stands above the mesh: the soil is flooded up to it
        head = np.maximum(head, level - above_base)
    return head


def stored_water(head: np.ndarray, dz: np.ndarray, soils: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Water of each cell [m] at `head`, as the soil clock counts it."""
    from terralab.soil.storage import stored

    return np.array([stored(head[i], dz[i], soils[place[i]], i == 0, True)[0] for i in range(len(dz))])


def roots_of(dz: np.ndarray, start: float, depth: float) -> np.ndarray:
    """Share of the roots in each cell [-]: even from `start` (below a moss cover) over `depth` [m]."""
    bottom = np.cumsum(dz)
    inside = np.clip(np.minimum(bottom, start + depth) - np.maximum(bottom - dz, start), 0.0, None)
    return inside / inside.sum() if inside.sum() > 0.0 else inside
