"""The panels of what goes on below: soil water by depth, and the water standing in the drainage layer."""

from __future__ import annotations

import matplotlib.patheffects as effects
import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator
from matplotlib.transforms import Affine2D, Transform

from terralab.answers.common.balance import AIR_WANTED
from terralab.quantities import quantity
from terralab.show.figures.days import DAY_S, Span, shade_nights
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import BLACK, BLUE, SKY, TEXT_PT, WIDTH_IN, Picture, literal, short, water_scale
from terralab.simulation.record import Record

_MOST_COLUMNS = 1200  # more than the picture has pixels


def draw_soil(axes: Axes, record: Record, span: Span, figure: Picture, scales: Scales) -> None:
    """Draw soil water [% of the soil's volume] over time and depth, with its colour scale on the right."""
    rows = thinned(span.rows(record))
    time = record.times_s[rows] / DAY_S
    water = 100.0 * record.soil_water[rows].T
    edges = scales.of("cm", record.edges_cm)
    scale = water_scale()
    mesh = axes.pcolormesh(_edges(time), edges, water, cmap=scale.cmap, norm=scale.norm, rasterized=True)
    _hatch_airless(axes, record, rows, time, scales)
    axes.set_ylim(edges[-1], 0.0)
    depth = 0.0
    for material, thick_m in record.box.enclosure.porous_layers:
        if depth > 0.0:
            axes.axhline(scales.of("cm", depth), color="white", linewidth=1.2, linestyle=(0, (5, 3)))
        axes.text(
            0.01,
            (depth + 50.0 * thick_m) / record.edges_cm[-1],
            literal(short(material, 40)),
            transform=_down(axes),
            fontsize=TEXT_PT,
            va="center",
            color="white",
            path_effects=_halo(),
        )
        depth += 100.0 * thick_m
    box = axes.get_position()
    beside = figure.add_axes((box.x1 + 0.1 / WIDTH_IN, box.y0, 0.13 / WIDTH_IN, box.height))
    bar = figure.colorbar(mesh, cax=beside)
    bar.ax.tick_params(labelsize=TEXT_PT, length=2)
    bar.set_label("water, % of soil", fontsize=TEXT_PT)


def draw_gap(axes: Axes, record: Record, span: Span, scales: Scales) -> None:
    """Draw the water under the mesh as it stands in the glass: the mesh at 0, the floor below [cm]."""
    rows = span.rows(record)
    time, gap = record.times_s[rows] / DAY_S, scales.of("cm", record.gap_below_mesh_cm[rows])
    floor = scales.of("cm", record.box.enclosure.drainage.depth_cm)
    top = min(-0.08 * floor, 1.08 * float(gap.min()))
    shade_nights(axes, span)
    axes.fill_between(time, np.minimum(gap, floor), floor, facecolor=SKY, alpha=0.6, linewidth=0, zorder=1)
    axes.plot(time, gap, color=BLUE, linewidth=1.8, zorder=3)
    axes.axhline(0.0, color=BLACK, linewidth=1.8, linestyle=(0, (6, 2)), zorder=4)
    for depth, name in ((0.0, edge_name(record)), (floor, "glass floor")):
        axes.annotate(
            name,
            (1.0, depth),
            xycoords=axes.get_yaxis_transform(),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            fontsize=TEXT_PT,
            annotation_clip=False,
        )
    axes.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
    axes.set_ylim(floor, top)


def edge_name(record: Record) -> str:
    """What the drainage layer ends at: the mesh, or the soil where there is none."""
    return "mesh" if record.box.enclosure.mesh_barrier else "soil"


def gap_words(record: Record) -> str:
    """Where the water in the drainage layer stands at the end of the run; lengths as marks (see `terralab.quantities`)."""
    gap, edge = float(record.gap_below_mesh_cm[-1]), edge_name(record)
    if abs(gap) < 0.05:
        return f"it stands at the {'mesh' if edge == 'mesh' else 'foot of the soil'} at the end"
    if gap < 0.0:
        foot = "mesh" if edge == "mesh" else "foot of the soil"
        return f"it stands {quantity('cm', '.1f', -gap)} above the {foot} at the end"
    return f"{quantity('cm', '.1f', gap)} of air left under the {edge} at the end"


def moss_cm(record: Record) -> float:
    """Thickness of the moss [cm] that lies on the soil and is computed with it; 0 without any.

    Moss is never short of air: its pores that fill with water are a small part of its hollow space.
    """
    enclosure = record.box.enclosure
    return enclosure.cover.depth_cm if len(enclosure.porous_layers) > len(enclosure.layers) else 0.0


def airless_cm(record: Record, span: Span) -> float:
    """The greatest thickness of soil [cm] that at one time holds less than 10 % air."""
    soil = record.depth_cm > moss_cm(record)
    airless = (record.air_space[span.rows(record)] < AIR_WANTED) & soil
    return float((airless * 100.0 * record.cell_m).sum(axis=1).max())


def airless_words(record: Record, span: Span) -> str:
    """How much of the soil lacks air at worst, as a heading; lengths as marks."""
    thick = airless_cm(record, span)
    if thick <= 0.0:
        return "at least 10 % air everywhere"
    deep = record.cells_deep_cm - moss_cm(record)
    of = quantity("cm", ".1f", thick), quantity("cm", ".0f", deep)
    return f"hatched: under 10 % air, up to {of[0]} of {of[1]}"


def thinned(rows: np.ndarray) -> np.ndarray:
    """Rows thinned out evenly where there are more than a picture can show."""
    return rows[:: max(1, len(rows) // _MOST_COLUMNS)]


def _hatch_airless(axes: Axes, record: Record, rows: np.ndarray, time: np.ndarray, scales: Scales) -> None:
    soil = record.depth_cm > moss_cm(record)
    air = record.air_space[rows][:, soil].T
    if air.min() >= AIR_WANTED:
        return
    # The outermost cells are carried to the edges, so that the hatching fills the panel.
    depth = scales.of("cm", np.concatenate([[moss_cm(record)], record.depth_cm[soil], record.edges_cm[-1:]]))
    air = np.vstack([air[:1], air, air[-1:]])
    filled = axes.contourf(time, depth, air, levels=[-1.0, AIR_WANTED], colors="none", hatches=["////"])
    filled.set_edgecolor("white")
    filled.set_linewidth(0.0)
    if air.max() > AIR_WANTED:
        line = axes.contour(time, depth, air, levels=[AIR_WANTED], colors="white", linewidths=1.4)
        line.set_path_effects(_halo())


def _edges(time: np.ndarray) -> np.ndarray:
    return np.concatenate([[time[0]], 0.5 * (time[1:] + time[:-1]), [time[-1]]])


def _halo() -> list[effects.AbstractPathEffect]:
    return [effects.withStroke(linewidth=2.5, foreground=BLACK)]


def _down(axes: Axes) -> Transform:
    """Axes shares, counted from the top, as depth is."""
    return Affine2D().scale(1.0, -1.0).translate(0.0, 1.0) + axes.transAxes
