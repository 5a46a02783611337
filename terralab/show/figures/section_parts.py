"""The parts of a cross-section, drawn to scale in cm: glass, plants, soil, wet band, mesh, stones, water, arrows."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import EllipseCollection
from matplotlib.patches import Ellipse, FancyArrowPatch, Rectangle

from terralab import materials
from terralab.answers.drainage.bottoms import airless, wet_band_cm
from terralab.describe.enclosure import Enclosure
from terralab.show.figures.section_air import air_text, basking_text
from terralab.show.figures.section_flows import Flows, amount
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    NIGHT,
    ORANGE,
    SKY,
    TEXT_PT,
    VERMILLION,
    WATER_MAP,
    short,
)
from terralab.simulation.record import Record

AIR_MAP = "cividis"  # light where there is air, dark where water has taken its place: the same sense as for water
LOOKS = ("water", "air")
_MOST_STONES = 900


def soil_bottom_cm(e: Enclosure) -> float:
    """Height of the foot of the soil above the floor [cm]."""
    return e.drainage.depth_cm if e.drainage is not None else 0.0


def draw_glass(axes: Axes, e: Enclosure) -> None:
    """The panes, and the lid: drawn through where it is closed, dotted where mesh or a gap lets air pass."""
    w, h = e.width_cm, e.height_cm
    axes.plot([0, 0, w, w], [h, 0, 0, h], color=BLACK, linewidth=2.6, solid_joinstyle="miter", zorder=8)
    openings = [o for o in e.openings if o.wall == "lid"]
    open_cm = min(w, sum(o.width_cm * (1.0 - o.covered) for o in openings))
    axes.plot([0, w - open_cm], [h, h], color=BLACK, linewidth=2.6, zorder=8)
    if open_cm > 0.0:
        axes.plot([w - open_cm, w], [h, h], color=BLACK, linewidth=1.8, linestyle=(0, (1, 1.6)), zorder=8)
    for o in e.openings:
        if o.wall != "lid" and o.covered < 1.0:
            x = {"right": w}.get(o.wall, 0.0)
            axes.plot([x, x], [o.bottom_cm, o.bottom_cm + o.height_cm], color="white", linewidth=3.0, zorder=9)
            axes.plot(
                [x, x],
                [o.bottom_cm, o.bottom_cm + o.height_cm],
                color=BLACK,
                linewidth=1.6,
                linestyle=(0, (1, 1.6)),
                zorder=10,
            )


def draw_plants(axes: Axes, e: Enclosure) -> None:
    """Leaves on stems: more where the leaf area is larger. A sign for plants, not a portrait."""
    if e.plants is None or e.leaf_area_m2() <= 0.0:
        return
    ground, air = e.surface_cm, e.air_height_cm
    count = int(np.clip(round(3.0 * e.leaf_area_m2() / e.floor_area_m2), 1, 5))
    leaf = min(0.5 * e.plants.leaf_width_cm + 2.0, 0.08 * e.width_cm)
    for x in np.linspace(0.35, 0.6, count) * e.width_cm if count > 1 else [0.5 * e.width_cm]:
        tall = 0.34 * air
        axes.plot([x, x], [ground, ground + tall], color=GREEN, linewidth=1.4, zorder=4)
        for share, side in ((0.45, 1), (0.7, -1), (1.0, 1)):
            middle = (x + side * 0.8 * leaf, ground + share * tall)
            axes.add_patch(
                Ellipse(
                    middle,
                    1.9 * leaf,
                    0.75 * leaf,
                    angle=side * 28,
                    facecolor=GREEN,
                    edgecolor="white",
                    linewidth=0.5,
                    zorder=5,
                )
            )


def draw_soil(axes: Axes, record: Record, rows: np.ndarray, look: str, top: float) -> object:
    """The soil, coloured by its water or its air [% of volume, 0 to `top`], hatched where it holds less than 10 % air.

    Both are means of the rows.
    """
    e = record.box.enclosure
    foot = soil_bottom_cm(e)
    values = 100.0 * (record.soil_water if look == "water" else record.air_space)[rows].mean(axis=0)
    depth = record.edges_cm
    heights = foot + depth[-1] - depth
    mesh = axes.pcolormesh(
        [0.0, e.width_cm], heights[::-1], values[::-1, None], cmap=WATER_MAP if look == "water" else AIR_MAP,
        vmin=0.0, vmax=top, zorder=2, rasterized=True,
    )  # fmt: skip
    for i in np.flatnonzero(airless(record, rows)):
        axes.add_patch(
            Rectangle((0.0, heights[i + 1]), e.width_cm, heights[i] - heights[i + 1], facecolor="none", hatch="///",
                      edgecolor="white", linewidth=0.0, zorder=3)
        )  # fmt: skip
    if e.cover is not None and heights[0] < e.surface_cm - 0.01:
        axes.add_patch(
            Rectangle((0.0, heights[0]), e.width_cm, e.surface_cm - heights[0], facecolor="white", hatch="xxx",
                      edgecolor=ORANGE, linewidth=0.0, zorder=2)
        )  # fmt: skip
    return mesh


def draw_layer(axes: Axes, record: Record, row: int) -> None:
    """Stones, the water among them, and the mesh above; water above the mesh stands in the soil and is its own."""
    e = record.box.enclosure
    d = e.drainage
    if d is None:
        return
    level = float(np.clip(d.depth_cm - record.gap_below_mesh_cm[row], 0.0, d.depth_cm))
    axes.add_patch(Rectangle((0.0, 0.0), e.width_cm, d.depth_cm, facecolor="white", linewidth=0.0, zorder=1))
    axes.add_patch(Rectangle((0.0, 0.0), e.width_cm, level, facecolor=SKY, linewidth=0.0, zorder=2))
    grain = materials.get("aggregates", d.material)["grain_mm"]
    size = 0.05 * (grain.low + grain.high)
    size = min(0.9 * d.depth_cm, max(size, math.sqrt(e.width_cm * d.depth_cm / _MOST_STONES)))
    across, up = (
        np.arange(0.5 * size, e.width_cm - 0.49 * size, size),
        np.arange(0.5 * size, d.depth_cm - 0.49 * size, 0.9 * size),
    )
    places = [(x + 0.5 * size * (k % 2) * (x + 1.05 * size < e.width_cm), y) for k, y in enumerate(up) for x in across]
    if places:
        axes.add_collection(
            EllipseCollection(
                0.92 * size, 0.92 * size, 0.0, units="xy", offsets=places, offset_transform=axes.transData,
                facecolors=NIGHT, edgecolors=LINE, linewidths=0.5, alpha=0.85, zorder=3,
            )
        )  # fmt: skip
    axes.plot([0.0, e.width_cm], [level, level], color=BLUE, linewidth=2.0, zorder=6)
    edge = {"linestyle": (0, (4, 1.5)), "linewidth": 2.0} if e.mesh_barrier else {"linestyle": "-", "linewidth": 0.8}
    axes.plot([0.0, e.width_cm], [d.depth_cm] * 2, color=BLACK, zorder=7, **edge)


def draw_wick(axes: Axes, e: Enclosure) -> None:
    """The cord from the floor of the layer into the foot of the soil, where there is one."""
    if e.drainage is None or not e.drainage.wick_area_cm2:
        return
    x, top = 0.55 * e.width_cm, e.drainage.depth_cm + 0.15 * e.soil_depth_cm
    axes.plot([x, x], [0.3, top], color="white", linewidth=5.0, zorder=7, solid_capstyle="butt")
    axes.plot([x, x], [0.3, top], color=BLACK, linewidth=3.0, linestyle=(0, (1, 0.6)), zorder=8)


def draw_tube(axes: Axes, e: Enclosure) -> None:
    """The corner tube, closed by a bar where it is capped."""
    if e.tube is None or e.drainage is None:
        return
    left, wide, top = e.width_cm - 1.3 * e.tube.diameter_cm, e.tube.diameter_cm, e.surface_cm + 0.05 * e.height_cm
    axes.add_patch(
        Rectangle((left, 0.3), wide, top - 0.3, facecolor="white", edgecolor=LINE, linewidth=1.0, alpha=0.9, zorder=6)
    )
    if e.tube.capped:
        axes.plot([left, left + wide], [top, top], color=BLACK, linewidth=3.0, zorder=7)


def arrow(axes: Axes, x: float, start: float, end: float, value: float, colour: str, biggest: float) -> None:
    """An upright arrow, thicker the more flows, up to `biggest`; a thin dotted one for next to nothing."""
    thick = 0.8 + 4.2 * math.sqrt(min(1.0, abs(value) / biggest))
    axes.add_patch(
        FancyArrowPatch(
            (x, start), (x, end), arrowstyle="-|>", mutation_scale=9.0 + 2.2 * thick, linewidth=thick, color=colour,
            linestyle="-" if abs(value) >= 0.5 else (0, (1, 1)), shrinkA=0.0, shrinkB=0.0, zorder=12,
        )
    )  # fmt: skip


def above_hide(e: Enclosure) -> float:
    """How far over the ground the right-hand words keep, so that a hide stays to be seen [cm]."""
    return 0.0 if e.hide is None else min(e.hide.sides_cm[2], 0.6 * e.air_height_cm)


def above_spot(e: Enclosure) -> float:
    """How far over the ground the left-hand words keep above a basking place [cm]."""
    return 0.0 if e.basking is None else min(max(0.0, e.basking.top_cm(e) - e.surface_cm), 0.5 * e.air_height_cm)


def draw_arrows(axes: Axes, record: Record, flows: Flows, size: float = TEXT_PT) -> None:
    """Arrows with amounts: above the lid what comes and goes, over the soil what rises, through the mesh what drains and rises."""
    e = record.box.enclosure
    w, h = e.width_cm, e.height_cm
    reach = 0.085 * max(h, 0.6 * w)
    most = 300.0 if flows.per == "day" else 60.0

    def label(x: float, y: float, text: str, va: str, ha: str = "center") -> None:
        box = {"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}
        axes.text(x, y, text, fontsize=size, ha=ha, va=va, linespacing=1.05, bbox=box, zorder=13)

    for x, value, words, colour, up in (
        (0.14, flows.poured, "poured", BLUE, False),
        (0.46, flows.sprayed, "sprayed", SKY, False),
        (0.82, flows.vapour_out, "lost as vapour", VERMILLION, True),
    ):
        if value < 0.05:
            continue
        ends = (h - 0.7 * reach, h + reach) if up else (h + reach, h - 0.7 * reach)
        arrow(axes, x * w, *ends, value, colour, most)
        by_door = f"\nof it {amount(flows.door, flows.per)} by the door" if up and flows.door >= 0.05 else ""
        label(x * w, h + 1.15 * reach, f"{words}\n{amount(value, flows.per)}{by_door}", "bottom")
    ground = e.surface_cm + 0.2
    # the words stand at the walls, over whatever stands there
    for x, side, foot, value, words, colour in (
        (0.09, 0.015, ground + above_spot(e), flows.evaporated, "from the soil", VERMILLION),
        (0.88, 0.985, ground + above_hide(e), flows.breathed, "from the leaves", GREEN),
    ):
        if value < 0.05:
            continue
        arrow(axes, x * w, foot, foot + reach, value, colour, most)
        words = f"{words}\n{amount(value, flows.per)}"
        label(side * w, foot + 1.2 * reach, words, "bottom", "left" if x < 0.5 else "right")
    below = -0.025 * max(h, w)
    if e.drainage is not None:
        mesh, tip = e.drainage.depth_cm, min(0.45 * e.drainage.depth_cm, reach)
        for x, value, words, colour, up in (
            (0.08, flows.drained, "drains", BLUE, False),
            (
                0.36,
                flows.vapour_up,
                "up as\nvapour" if flows.vapour_up > -0.05 else "down as\nvapour",
                VERMILLION,
                flows.vapour_up >= 0.0,
            ),
            (
                0.65,
                flows.contact_up + flows.wick_up,
                "up by\nwick" if e.drainage.wick_area_cm2 and flows.wick_up >= flows.contact_up else "up by\ncontact",
                ORANGE,
                True,
            ),
            (0.93, flows.taken_out, "siphoned", BLACK, False),
        ):
            ends = (mesh - tip, mesh + tip) if up else (mesh + tip, mesh - tip)
            lower = below
            if words == "siphoned":
                ends = (0.5 * mesh, -0.8 * tip)
                lower = min(below, ends[1]) if abs(value) >= 0.005 else below
            if abs(value) >= 0.005:
                arrow(axes, x * w, *ends, value, colour, most)
            label(x * w, lower, f"{words}\n{amount(abs(value), flows.per)}", "top")
    elif e.drain_hole:
        arrow(axes, 0.5 * w, 1.0, -0.6 * reach, flows.taken_out, BLUE, most)
        label(0.5 * w, below - 0.6 * reach, f"runs out of the drain hole\n{amount(flows.taken_out, flows.per)}", "top")
    else:
        label(0.5 * w, below, "sealed floor: nothing can leave below", "top")


def draw_names(axes: Axes, record: Record, row: int, rows: np.ndarray, size: float = TEXT_PT) -> None:
    """Names and heights at the right of the glass: wet band (mean of the rows), mesh, gap and water (at the row)."""
    e = record.box.enclosure
    w = e.width_cm
    foot, target = soil_bottom_cm(e), wet_band_cm(record, rows)
    notes = []
    if e.cover is not None:
        notes.append((e.surface_cm - 0.5 * e.cover.depth_cm, e.cover.material))
    upper = e.soil_top_cm
    for layer in e.layers:
        low = upper - layer.depth_cm
        notes.append(
            (0.5 * (upper + max(low, foot + target)) if upper > foot + target else 0.5 * (upper + low), layer.material)
        )
        upper = low
    if target > 0.05:
        notes.append((foot + 0.5 * target, f"wet band, {target:.1f} cm"))
        axes.plot([1.015 * w] * 2, [foot, foot + target], color=BLACK, linewidth=2.2, clip_on=False, zorder=9)
    if e.drainage is not None:
        gap = float(record.gap_below_mesh_cm[row])
        notes.append((0.3 * foot, e.drainage.material))
        notes.append((foot, "mesh" if e.mesh_barrier else "foot of the soil"))
        if gap >= 0.0:
            notes.append((foot - 0.5 * gap, f"gap, {gap:.1f} cm"))
            axes.plot([1.015 * w] * 2, [foot - gap, foot], color=BLUE, linewidth=2.2, clip_on=False, zorder=9)
            if gap < foot - 0.05:
                notes.append((0.5 * (foot - gap), f"water, {foot - gap:.1f} cm"))
        else:
            notes.append((0.5 * foot, f"water, {-gap:.1f} cm above mesh"))
    if any(o.covered < 1.0 for o in e.openings):
        axes.text(1.03 * w, e.height_cm, "dotted: mesh or gap,\nair passes", fontsize=size, va="center", color=LINE)
    if e.hide is not None and "hide" in record.zone_names:
        _, _, tall = e.hide.sides_cm
        notes.append((e.surface_cm + 0.5 * min(tall, e.air_height_cm), f"hide, {air_text(record, 'hide', row)}"))
    if e.basking is not None and record.has_basking:
        notes.append((e.basking.top_cm(e), f"basking place, {basking_text(record, row)}"))
    notes = [(y, short(text, 32)) for y, text in sorted(notes, key=lambda note: -note[0])]
    apart = 0.052 * max(e.height_cm, 0.8 * w)
    # spread about their own middle, so that no line to a name gets long
    place = sum(y for y, _ in notes) / len(notes) + 0.5 * apart * (len(notes) - 1)
    for y, text in notes:
        at = place
        axes.annotate(text, (1.02 * w, y), xytext=(1.08 * w, at), fontsize=size, va="center", annotation_clip=False,
                      arrowprops={"arrowstyle": "-", "color": LINE, "linewidth": 0.7, "relpos": (0.0, 0.5)})  # fmt: skip
        place = at - apart
