"""The ground enlarged: a piece of soil and drainage layer to scale, and beside it the air in the soil against depth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.drainage.bottoms import airless, wet_band_cm
from terralab.quantities import quantity, said
from terralab.show.figures.labels import text_width
from terralab.show.figures.scales import Scales
from terralab.show.figures.section_soil import (
    bands,
    cell_heights,
    colours_of,
    draw_cover,
    draw_floor,
    draw_layer,
    draw_level_in_soil,
    draw_pond,
    draw_soil,
    level_cm,
    pond_cm,
    soil_bottom_cm,
)
from terralab.show.figures.style import BLACK, NIGHT, TEXT_PT, VERMILLION, WIDTH_IN, Picture, write
from terralab.simulation.record import Record

SCALE_WORDS = {"water": "water in soil, %", "air": "air in soil, %"}
AIR_AXIS, SHORT_AIR_AXIS = "air in the soil, %", "soil air, %"
AIR_COLOUR = "#F6C9A8"  # under the curve of air
_TICK_IN = 0.3  # between two depths on the axis
_ABOVE = 0.04  # of the height of the ground that is left free over it


def ground_top_cm(record: Record, rows: np.ndarray) -> float:
    """Height of the top of the enlarged ground above the floor [cm]: cover, soil, and water standing on it in any row."""
    deepest = max((pond_cm(record, int(row)) for row in rows), default=0.0)
    top = max(record.box.enclosure.surface_cm, float(cell_heights(record)[0]) + deepest)
    return (1.0 + _ABOVE) * top


def frame_column(axes: Axes, record: Record, top: float, wide_in: float, tall_in: float, us: bool) -> float:
    """Give axes of this size the scale of a piece of the ground, with depths below the soil's surface; return its width [cm]."""
    wide = top * wide_in / tall_in
    axes.set_xlim(0.0, wide)
    axes.set_ylim(0.0, top)
    axes.set_xticks([])
    scales, surface = Scales(us), record.box.enclosure.soil_top_cm
    per = float(scales.of("cm", 1.0))
    most = max(1, min(5, int(surface / top * tall_in / _TICK_IN)))
    ticks = [
        t for t in MaxNLocator(most, steps=[1, 2, 5, 10]).tick_values(0.0, surface * per) if t <= surface * per + 1e-9
    ]
    axes.set_yticks([surface - t / per for t in ticks], [f"{t:g}" for t in ticks])
    axes.tick_params(labelsize=TEXT_PT, length=3)
    axes.set_ylabel(f"depth, {scales.word('cm')}", fontsize=TEXT_PT)
    for side in ("top", "right", "left", "bottom"):
        axes.spines[side].set_visible(False)
    return wide


def draw_column(axes: Axes, record: Record, rows: np.ndarray, row: int, look: str = "water") -> None:
    """Draw a piece of the ground onto framed axes: soil (mean of the rows), water and layer (at the row), and the floor."""
    e, (left, right) = record.box.enclosure, axes.get_xlim()
    spans = [(left, right)]
    draw_layer(axes, record, row, spans)
    draw_soil(axes, record, rows, spans, look)
    draw_cover(axes, e, spans)
    draw_pond(axes, record, row, spans)
    draw_level_in_soil(axes, record, row, spans)
    draw_floor(axes, e, spans)


def frame_curve(axes: Axes, top: float, most: float) -> None:
    """Give axes the scale of the curve of air: 0 to `most` % across, up to the `top` of the ground."""
    axes.set_xlim(0.0, most)
    axes.set_ylim(0.0, top)
    axes.set_yticks([])
    step = 20.0 if most <= 60.0 else 40.0
    first = [0.0, 100.0 * AIR_WANTED] if most <= 60.0 else [100.0 * AIR_WANTED]
    axes.set_xticks([*first, *np.arange(step, most + 1.0, step)])
    axes.tick_params(labelsize=TEXT_PT, length=3)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def draw_curve(axes: Axes, record: Record, rows: np.ndarray) -> None:
    """Draw the air in the soil [% of volume, mean of the rows] against height onto framed axes, with the 10 % that roots want."""
    heights = cell_heights(record)
    air = 100.0 * record.air_space[rows].mean(axis=0)
    for foot, top in bands(heights, airless(record, rows)):
        axes.add_patch(Rectangle((0.0, foot), axes.get_xlim()[1], top - foot, facecolor=NIGHT, linewidth=0.0, zorder=0))
    axes.fill_betweenx(np.repeat(heights, 2)[1:-1], 0.0, np.repeat(air, 2), color=AIR_COLOUR, linewidth=0.0, zorder=1)
    axes.plot([100.0 * AIR_WANTED] * 2, heights[[0, -1]], color=BLACK, linewidth=1.4, linestyle=(0, (4, 2)), zorder=3)
    for which in range(int(record.layer_of_cell[-1]) + 1):
        cells = np.flatnonzero(record.layer_of_cell == which)
        middle = 0.5 * (heights[cells] + heights[cells + 1])
        # carried to the edges of its layer, so that the curve ends where the soil does
        y = np.concatenate([[heights[cells[0]]], middle, [heights[cells[-1] + 1]]])
        axes.plot(air[[cells[0], *cells, cells[-1]]], y, color=VERMILLION, linewidth=2.4, zorder=4)


def most_air(records: Sequence[Record], rows: Sequence[np.ndarray]) -> float:
    """The right end of the curves of air [%]: the most that any of the records holds in its rows, in steps of 10."""
    most = max(float(record.air_space[these].max()) for record, these in zip(records, rows, strict=True))
    return max(30.0, 10.0 * float(np.ceil(10.0 * most)))


def level_words(record: Record, row: int) -> str:
    """The gap under the mesh, or the water above it, as a mark in a few words."""
    gap = float(record.gap_below_mesh_cm[row])
    if round(gap, 1) == 0.0:
        return "water at the mesh"
    return f"gap, {quantity('cm', '.1f', gap)}" if gap > 0.0 else f"water, {quantity('cm', '.1f', -gap)} above mesh"


def names(record: Record, row: int, rows: np.ndarray, us: bool) -> list[tuple[float, str]]:
    """What is seen in the ground, each with its height above the floor [cm]: layers, wet band (mean of the rows), mesh, water."""
    e = record.box.enclosure
    foot, band = soil_bottom_cm(e), wet_band_cm(record, rows)
    out = []
    if e.cover is not None:
        out.append((e.surface_cm - 0.5 * e.cover.depth_cm, e.cover.material))
    if (deep := pond_cm(record, row)) > 0.02:
        out.append((float(cell_heights(record)[0]) + 0.5 * deep, f"water on the soil, {quantity('cm', '.1f', deep)}"))
    upper = e.soil_top_cm
    for layer in e.layers:
        low = upper - layer.depth_cm
        out.append((0.5 * (upper + low), layer.material))
        upper = low
    if band > 0.05:
        at = cell_heights(record)[:-1][airless(record, rows)].mean()
        out.append((float(at), f"wet band, {quantity('cm', '.1f', band)}"))
    if e.drainage is not None:
        gap, level = float(record.gap_below_mesh_cm[row]), level_cm(record, row)
        out.append((foot, "mesh" if e.mesh_barrier else "foot of the soil"))
        out.append((foot - 0.5 * max(0.0, gap), level_words(record, row)))
        if gap > 0.05 and level > 0.05:
            out.append((0.6 * level, f"water, {quantity('cm', '.1f', level)}"))
        out.append((0.25 * foot, e.drainage.material))
    else:
        out.append((0.0, "drain hole" if e.drain_hole else "sealed floor"))
    return [(y, said(text, us)) for y, text in out]


def draw_scale(figure: Picture, left: float, top: float, wide: float, look: str = "water", tall: float = 0.13) -> None:
    """Draw the one scale of colours with its words, so many inches from the left and from the top of the figure."""
    words = text_width(figure, SCALE_WORDS[look]) + 0.12
    height = figure.get_figheight()
    where = ((left + words) / WIDTH_IN, 1.0 - (top + tall) / height, (wide - words) / WIDTH_IN, tall / height)
    bar = figure.colorbar(colours_of(look), cax=figure.add_axes(where), orientation="horizontal")
    bar.set_ticks(
        [0, 50, 100] if wide - words < 1.6 else [0, 20, 40, 60, 80, 100] if look == "water" else [0, 20, 40, 60]
    )
    bar.ax.tick_params(labelsize=TEXT_PT, length=2)
    write(figure, left, top + 0.5 * tall, SCALE_WORDS[look], TEXT_PT, middle=True)
