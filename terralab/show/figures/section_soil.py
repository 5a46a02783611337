"""What lies below the air, drawn to scale in cm: soil in the colour of its water, stripes where air is short, grains, water, mesh."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import EllipseCollection
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from terralab import materials
from terralab.answers.drainage.bottoms import airless
from terralab.describe.enclosure import Enclosure
from terralab.show.figures.style import BLACK, BLUE, LINE, SKY, WATER_MAP, water_scale
from terralab.simulation.record import Record

LOOKS = ("water", "air")
AIR_SPAN, AIR_MAP = (0.0, 60.0), WATER_MAP.reversed()  # dark where water has taken the place of air
LITTER, LITTER_PALE = "#C9A66B", "#EFE3CB"
#: first words of an aggregate -> its colour dry, and soaked
GRAINS = {"expanded clay": ("#C47F5C", "#8F4F35"), "": ("#BDB7AC", "#7F7A72")}
_MOST_GRAINS = 1200
DAMP = "#CDE6F5"  # water drawn up between the grains

Span = tuple[float, float]  # from left to right [cm]


def soil_bottom_cm(e: Enclosure) -> float:
    """Height of the foot of the soil above the floor [cm]."""
    return e.drainage.depth_cm if e.drainage is not None else 0.0


def cell_heights(record: Record) -> np.ndarray:
    """Heights of the edges of the soil's cells above the floor [cm], from the top down."""
    depth = record.edges_cm
    return soil_bottom_cm(record.box.enclosure) + depth[-1] - depth


def level_cm(record: Record, row: int) -> float:
    """Height of the water in the drainage layer above the floor [cm]; at most that of the mesh."""
    depth = soil_bottom_cm(record.box.enclosure)
    return float(np.clip(depth - record.gap_below_mesh_cm[row], 0.0, depth)) if record.has_reservoir else 0.0


def pond_cm(record: Record, row: int) -> float:
    """Depth of the water that stands on the soil [cm]; 0 where none does."""
    full = record.pore_space[0] * record.cell_m[0]
    return 100.0 * max(0.0, float(record.cell_water_m[row, 0] - full))


def colours_of(look: str) -> ScalarMappable:
    """The colours of soil by its "water" or its "air", for a scale beside the picture."""
    return water_scale() if look == "water" else ScalarMappable(Normalize(*AIR_SPAN), AIR_MAP)


def bands(heights: np.ndarray, flags: np.ndarray) -> list[Span]:
    """Stretches (foot, top) of neighbouring cells with a flag."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    return [(float(heights[end]), float(heights[start])) for start, end in edges.reshape(-1, 2)]


def draw_soil(axes: Axes, record: Record, rows: np.ndarray, spans: Sequence[Span], look: str = "water") -> None:
    """The soil, coloured by its water or its air, striped where it holds less than 10 % air: both means of the rows."""
    values = 100.0 * (record.soil_water if look == "water" else record.air_space)[rows].mean(axis=0)
    heights, colours, short_of_air = cell_heights(record), colours_of(look), airless(record, rows)
    for left, right in spans:
        axes.pcolormesh(
            [left, right], heights[::-1], values[::-1, None], cmap=colours.cmap, norm=colours.norm, zorder=2,
            rasterized=True,
        )  # fmt: skip
        for foot, top in bands(heights, short_of_air):
            # black under white, so that the stripes are seen on pale sand too
            for colour, width in ((BLACK, 2.4), ("white", 1.1)):
                stripes = Rectangle(
                    (left, foot), right - left, top - foot, facecolor="none", hatch="//", edgecolor=colour, linewidth=0.0,
                    zorder=3,
                )  # fmt: skip
                if hasattr(stripes, "set_hatch_linewidth"):  # matplotlib before 3.10 draws the white ones alone
                    stripes.set_hatch_linewidth(width)
                axes.add_patch(stripes)
        for k in np.flatnonzero(np.diff(record.layer_of_cell)):
            for colour, width in (("white", 2.2), (LINE, 0.9)):
                axes.plot(
                    [left, right], [heights[k + 1]] * 2, color=colour, linewidth=width, linestyle=(0, (5, 3)), zorder=4
                )
        axes.plot([left, right], [heights[0]] * 2, color=LINE, linewidth=0.8, zorder=4)


def draw_cover(axes: Axes, e: Enclosure, spans: Sequence[Span]) -> None:
    """Litter or bark on the soil; moss that is computed with the soil is drawn with it."""
    if e.cover is None or e.cover.is_moss:
        return
    for left, right in spans:
        axes.add_patch(
            Rectangle((left, e.soil_top_cm), right - left, e.cover.depth_cm, facecolor=LITTER_PALE, hatch="xx",
                      edgecolor=LITTER, linewidth=0.0, zorder=3)
        )  # fmt: skip


def draw_pond(axes: Axes, record: Record, row: int, spans: Sequence[Span]) -> None:
    """Water that stands on the soil."""
    deep = pond_cm(record, row)
    top = float(cell_heights(record)[0])
    for left, right in spans if deep > 0.02 else ():
        axes.add_patch(
            Rectangle(
                (left, top), right - left, deep, facecolor=SKY, edgecolor=BLUE, linewidth=1.2, alpha=0.8, zorder=5
            )
        )


def draw_layer(axes: Axes, record: Record, row: int, spans: Sequence[Span]) -> None:
    """The drainage layer: grains in their own colour, water among them up to its level, a damp seam above it, the mesh."""
    e = record.box.enclosure
    d = e.drainage
    if d is None:
        return
    level = level_cm(record, row)
    damp = min(d.depth_cm, level + record.fringe_cm)
    dry, soaked = next(colours for word, colours in GRAINS.items() if d.material.startswith(word))
    for left, right in spans:
        for foot, top, colour in ((0.0, d.depth_cm, "white"), (level, damp, DAMP), (0.0, level, SKY)):
            axes.add_patch(Rectangle((left, foot), right - left, top - foot, facecolor=colour, linewidth=0.0, zorder=1))
        places, size = _grains(d.material, d.depth_cm, left, right)
        if len(places):
            axes.add_collection(
                EllipseCollection(
                    0.9 * size, 0.82 * size, 0.0, units="xy", offsets=places, offset_transform=axes.transData,
                    facecolors=[soaked if y < damp else dry for _, y in places], edgecolors="white", linewidths=0.4,
                    zorder=3,
                )
            )  # fmt: skip
        if level > 0.02 and record.gap_below_mesh_cm[row] >= 0.0:
            _draw_level(axes, left, right, level, BLUE)
        if e.mesh_barrier:
            axes.plot([left, right], [d.depth_cm] * 2, color="white", linewidth=3.2, zorder=7)
        look = {"linewidth": 2.4, "linestyle": (0, (3, 1.2))} if e.mesh_barrier else {"linewidth": 0.8}
        axes.plot([left, right], [d.depth_cm] * 2, color=BLACK, zorder=7, **look)


def draw_level_in_soil(axes: Axes, record: Record, row: int, spans: Sequence[Span]) -> None:
    """The level of water that stands above the mesh, in the soil."""
    gap = float(record.gap_below_mesh_cm[row]) if record.has_reservoir else 0.0
    level = min(soil_bottom_cm(record.box.enclosure) - gap, float(cell_heights(record)[0]))
    for left, right in spans if gap < -0.02 else ():
        _draw_level(axes, left, right, level, SKY)


def _draw_level(axes: Axes, left: float, right: float, level: float, colour: str) -> None:
    """A line at the level of water, with the mark of open water on it."""
    axes.plot([left, right], [level, level], color=colour, linewidth=2.2, zorder=6)
    mark = {"marker": 7, "markersize": 9.0, "markeredgecolor": "white", "markeredgewidth": 0.6}
    axes.plot(left + 0.22 * (right - left), level, color=colour, zorder=7, **mark)


def draw_floor(axes: Axes, e: Enclosure, spans: Sequence[Span]) -> None:
    """The floor of the glass under the ground; with a hole and its lips in the middle where there is one."""
    look = {"color": BLACK, "linewidth": 4.0, "solid_capstyle": "butt", "clip_on": False, "zorder": 8}
    for left, right in spans:
        if not e.drain_hole or e.drainage is not None:
            axes.plot([left, right], [0.0, 0.0], **look)
            continue
        middle, half = 0.5 * (left + right), 0.04 * (right - left)
        for edge, start in ((middle - half, left), (middle + half, right)):
            axes.plot([start, edge, edge], [0.0, 0.0, -0.05 * axes.get_ylim()[1]], **look)


def _grains(material: str, depth: float, left: float, right: float) -> tuple[np.ndarray, float]:
    """Middles of the grains in a layer, in staggered rows that fill it, and their size [cm]; larger where they were too many."""
    grain = materials.get("aggregates", material)["grain_mm"]
    size = max(0.05 * (grain.low + grain.high), math.sqrt((right - left) * depth / _MOST_GRAINS))
    size = min(size, depth, right - left)
    up = max(1, round(depth / size))
    across = max(1, int((right - left) / size + 1e-6))
    step = (right - left) / across
    out = []
    for k in range(up):
        shift = 0.25 * step * (1 if k % 2 else -1) if across > 1 else 0.0
        out += [(left + (j + 0.5) * step + shift * (0 < j < across - 1), (k + 0.5) * depth / up) for j in range(across)]
    return np.array(out), size
