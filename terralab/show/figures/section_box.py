"""The box of a cross-section, to scale in cm: glass and openings, ground with its patches or pots, hide, basking place, dish, tube."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse, FancyBboxPatch, Polygon, Rectangle

from terralab.describe.dish import Dish
from terralab.describe.enclosure import Enclosure
from terralab.quantities import quantity
from terralab.show.figures.section_air import Airs, humidity_tints
from terralab.show.figures.section_soil import Span, draw_floor
from terralab.show.figures.style import BLACK, BLUE, LINE, SKY
from terralab.simulation.record import Record

CLAY, WOOD, STONE, MOSS = "#B86B45", "#7A5533", "#9C9C9C", "#6E8B2F"
_MOST_POTS = 5
_STRIP_IN = 0.06  # of a board behind the glass
_RIM = 1.1  # how much wider the rim of a pot is drawn than the pot


class Grounds(NamedTuple):
    """Where in the drawing the soil stands, and which pieces of its surface are what [cm from the left wall]."""

    columns: tuple[Span, ...]
    rock: tuple[Span, ...]
    planted: tuple[Span, ...]
    moss: tuple[Span, ...]
    dish: tuple[Span, ...]


def grounds_of(e: Enclosure) -> Grounds:
    """Lay out the floor from left to right by its shares: rock, planted soil, bare soil, dish, moss; pots where it is bare."""
    columns = columns_of(e)
    shares = (e.rock_share, e.planted_share, e.bare_soil_share, e.dish_share, e.moss_share)
    ends = np.cumsum([0.0, *shares]) / max(sum(shares), 1e-9)
    rock, planted, _, dish, moss = (_pieces(columns, a, b) for a, b in pairwise(ends))
    return Grounds(columns, rock, planted, moss, dish)


def columns_of(e: Enclosure) -> tuple[Span, ...]:
    """Where soil stands: from wall to wall, or in pots on a bare floor, half of which is left free on the right."""
    w, bare = e.width_cm, e.bare_floor_share * e.width_cm
    if bare <= 0.0:
        return ((0.0, w),)
    soil = w - bare
    count = int(np.clip(round(soil / max(0.9 * e.surface_cm, 1e-6)), 1, _MOST_POTS))
    between, each = 0.5 * bare / count, soil / count
    return tuple((between + k * (between + each), (k + 1) * (between + each)) for k in range(count))


def _pieces(columns: Sequence[Span], first: float, last: float) -> tuple[Span, ...]:
    """The pieces of columns between two shares of all soil."""
    total, gone, out = sum(right - left for left, right in columns), 0.0, []
    for left, right in columns:
        start, end = (min(max(share * total - gone, 0.0), right - left) for share in (first, last))
        if end - start > 1e-6 * total:
            out.append((left + start, left + end))
        gone += right - left
    return tuple(out)


def draw_pots(axes: Axes, e: Enclosure, columns: Sequence[Span]) -> None:
    """The walls of pots around soil that stands on a bare floor."""
    if e.bare_floor_share <= 0.0:
        return
    for left, right in columns:
        top, wall = e.surface_cm, 0.03 * (right - left)
        axes.plot([left, left, right, right], [top, 0.0, 0.0, top], color=CLAY, linewidth=3.5, zorder=6)
        rim = 0.5 * (_RIM - 1.0) * (right - left)
        for x in (left - rim, right - wall):
            axes.add_patch(
                Rectangle((x, top - 0.1 * top), rim + wall, 0.1 * top, facecolor=CLAY, linewidth=0.0, zorder=6)
            )


def draw_patches(axes: Axes, e: Enclosure, grounds: Grounds) -> list[tuple[float, float, str]]:
    """Rock, moss and the dish, each as wide as its share of the floor; give the right end, height and name of each."""
    top, out = e.surface_cm, []
    lump = min(0.09 * e.air_height_cm, 0.05 * e.width_cm)
    for left, right in grounds.rock:
        wide = right - left
        shape = [(0.0, 0.0), (0.04, 0.6), (0.2, 0.95), (0.45, 0.8), (0.7, 1.0), (0.93, 0.7), (1.0, 0.0)]
        outline = [(left + x * wide, top + y * lump) for x, y in shape]
        axes.add_patch(Polygon(outline, facecolor=STONE, edgecolor=LINE, linewidth=1.2, zorder=5))
    for left, right in grounds.moss:
        _draw_cushions(axes, left, right, top, lump)
    if e.cover is not None and e.cover.is_moss:
        for left, right in grounds.columns:
            _draw_cushions(axes, left, right, top, 0.5 * lump)
    for name, share, spans in (("rock", e.rock_share, grounds.rock), ("moss", e.moss_share, grounds.moss)):
        if spans:
            out.append((spans[-1][1], top + 0.4 * lump, f"{name}: {100.0 * share:.0f} % of the floor"))
    if e.bare_floor_share > 0.0:
        out.append((e.width_cm, 0.0, f"bare floor: {100.0 * e.bare_floor_share:.0f} %"))
    if e.dish is not None:
        out.append((*_draw_dish(axes, e, e.dish, grounds.dish), "water dish"))
    return out


def _draw_dish(axes: Axes, e: Enclosure, dish: Dish, spans: Sequence[Span]) -> tuple[float, float]:
    """A dish on its pieces of soil, or at the right on bare floor; give the right end of its water and its height."""
    deep = min(dish.depth_cm, 0.2 * e.air_height_cm)
    foot = e.surface_cm if spans else 0.0
    right = spans[-1][1] if spans else 0.98 * e.width_cm
    wide = right - spans[0][0] if spans else max(dish.area_cm2 / e.front_to_back_cm, 0.04 * e.width_cm)
    left = right - wide
    for share, colour, edge in ((1.0, STONE, LINE), (0.86, SKY, BLUE)):
        inset, floor = 0.5 * (1.0 - share) * wide, foot + (1.0 - share) * deep
        sides = left + inset, left + inset + 0.12 * wide, right - inset - 0.12 * wide, right - inset
        outline = list(zip(sides, (foot + deep, floor, floor, foot + deep), strict=True))
        axes.add_patch(Polygon(outline, facecolor=colour, edgecolor=edge, linewidth=1.0, zorder=6))
    return right, foot + 0.8 * deep


def _draw_cushions(axes: Axes, left: float, right: float, foot: float, tall: float) -> None:
    """Moss from `left` to `right`, as a row of cushions."""
    count = max(2, round((right - left) / (1.6 * tall)))
    half, turn = 0.55 * (right - left) / count, np.linspace(0.0, np.pi, 16)
    for x in left + (np.arange(count) + 0.5) * (right - left) / count:
        shape = np.column_stack([x + half * np.cos(turn), foot + 0.75 * tall * np.sin(turn)])
        axes.add_patch(Polygon(shape, facecolor=MOSS, edgecolor="white", linewidth=0.5, zorder=4.5))


def draw_glass(axes: Axes, e: Enclosure) -> None:
    """The panes and the lid; dotted where mesh or a gap lets air pass, a window on the pane for one in front or back."""
    w, h = e.width_cm, e.height_cm
    for x in (0.0, w):
        axes.plot([x, x], [0, h], color=BLACK, linewidth=2.8, zorder=8, clip_on=False)
    draw_floor(axes, e, [(0.0, w)])
    open_cm = min(w, sum(o.width_cm * (1.0 - o.covered) for o in e.openings if o.wall == "lid"))
    axes.plot([0, w - open_cm], [h, h], color=BLACK, linewidth=2.8, zorder=8, clip_on=False)
    dotted = {"color": BLACK, "linewidth": 2.2, "linestyle": (0, (1, 1.2)), "zorder": 10, "clip_on": False}
    if open_cm > 0.0:
        axes.plot([w - open_cm, w], [h, h], **dotted)
    for o in e.openings:
        if o.wall == "lid" or o.covered >= 1.0:
            continue
        if o.wall in ("left", "right"):
            x, y = (w if o.wall == "right" else 0.0), (o.bottom_cm, o.bottom_cm + o.height_cm)
            axes.plot([x, x], y, color="white", linewidth=4.0, zorder=9, clip_on=False)
            axes.plot([x, x], y, **dotted)
        else:
            axes.add_patch(
                Rectangle((0.5 * (w - o.width_cm), o.bottom_cm), o.width_cm, o.height_cm, facecolor="white", alpha=0.75,
                          edgecolor=LINE, linewidth=1.0, linestyle=":", hatch="++++" if o.mesh else "", zorder=1)
            )  # fmt: skip


def draw_boards(axes: Axes, e: Enclosure, per_in: float) -> list[tuple[float, float, str]]:
    """Boards of cork or foam on the side panes: inside as thick as they are, behind the glass a strip of the page; give their name.

    One on the back wall would hide the air before it, and is not drawn.
    """
    board = e.background
    sides = () if board is None else tuple(wall for wall in board.walls if wall != "back")
    for wall in sides:
        thick = board.thickness_cm if board.inside else -_STRIP_IN * per_in
        start = 0.0 if wall == "left" else e.width_cm
        ends = sorted((start, start + thick if wall == "left" else start - thick))
        look = {"facecolor": WOOD, "edgecolor": BLACK, "linewidth": 0.6, "clip_on": False}
        axes.add_patch(Rectangle((ends[0], e.surface_cm), ends[1] - ends[0], e.air_height_cm, zorder=3.5, **look))
    if not sides:
        return []
    where = e.width_cm if "right" in sides else 0.0
    words = f"{board.material}{'' if board.inside else ' behind the glass'}"
    return [(where, e.surface_cm + 0.9 * e.air_height_cm, words)]


def draw_wood(axes: Axes, e: Enclosure) -> list[tuple[float, float, str]]:
    """Loose wood as a sign, a log that lies on the ground and is no larger for more of it; give its end, height and name."""
    if e.wood_area_cm2 <= 0.0:
        return []
    columns = columns_of(e)
    right = columns[-1][1] if e.bare_floor_share <= 0.0 else e.width_cm
    foot = e.surface_cm if e.bare_floor_share <= 0.0 else 0.0
    behind = 4.2 if e.bare_floor_share <= 0.0 else 1.4  # of pots
    long, thick = 0.3 * e.width_cm, min(0.035 * e.width_cm, 0.08 * e.air_height_cm)
    left = 0.5 * (right - long)
    low, high = foot + 0.6 * thick, foot + min(0.2 * long, 0.3 * e.air_height_cm)
    for width, colour in ((1.0, BLACK), (0.86, WOOD)):
        half = 0.5 * thick * width
        log = [(left, low - half), (left, low + half), (left + long, high + half), (left + long, high - half)]
        axes.add_patch(Polygon(log, facecolor=colour, linewidth=0.0, zorder=behind))
    axes.add_patch(
        Ellipse(
            (left + long, high),
            0.45 * thick,
            thick,
            facecolor="#C9A27A",
            edgecolor=BLACK,
            linewidth=0.8,
            zorder=behind + 0.1,
        )
    )
    return [(left + long, high, f"loose wood: {quantity('cm2', '.0f', e.wood_area_cm2)} of surface")]


def draw_tube(axes: Axes, e: Enclosure, right: float) -> None:
    """The corner tube, closed by a bar where it is capped; its right wall stands near `right` [cm]."""
    if e.tube is None or e.drainage is None:
        return
    wide = min(e.tube.diameter_cm, 0.3 * e.width_cm)
    left, top = right - 1.3 * wide, e.surface_cm + 0.07 * e.height_cm
    axes.add_patch(
        Rectangle((left, 0.0), wide, top, facecolor="white", edgecolor=LINE, linewidth=1.2, alpha=0.9, zorder=6)
    )
    if e.tube.capped:
        axes.plot([left, left + wide], [top, top], color=BLACK, linewidth=3.5, zorder=7)


def draw_wick(axes: Axes, e: Enclosure, x: float) -> None:
    """The cord from the floor of the layer into the foot of the soil, where there is one."""
    if e.drainage is None or not e.drainage.wick_area_cm2:
        return
    top = e.drainage.depth_cm + 0.15 * e.soil_depth_cm
    axes.plot([x, x], [0.0, top], color="white", linewidth=5.0, zorder=7, solid_capstyle="butt")
    axes.plot([x, x], [0.0, top], color=BLACK, linewidth=3.0, linestyle=(0, (1, 0.6)), zorder=8)


def draw_hide(axes: Axes, airs: Airs) -> tuple[float, float] | None:
    """The hide to scale (half as wide as the glass at most), its air in its tint; give the middle of its top, or None."""
    e = airs.record.box.enclosure
    if "hide" not in airs.record.zone_names or e.hide is None:
        return None
    wide, _, tall = e.hide.sides_cm
    wide, tall = min(wide, 0.5 * e.width_cm), min(tall, 0.95 * e.air_height_cm)
    free = 0.5 * e.bare_floor_share * e.width_cm
    foot = 0.0 if e.hide.floor != "soil" and wide < free else e.surface_cm
    tube = 1.4 * e.tube.diameter_cm if e.tube is not None and foot else 0.0
    left = max(0.01 * e.width_cm, 0.97 * e.width_cm - min(tube, 0.3 * e.width_cm) - wide)
    tint = humidity_tints().to_rgba(airs.humidity("hide"))
    round_cm = 0.3 * min(wide, tall)
    axes.add_patch(
        FancyBboxPatch((left + round_cm, foot + round_cm), wide - 2.0 * round_cm, tall - 2.0 * round_cm,
                       boxstyle=f"round,pad={round_cm}", facecolor=WOOD, edgecolor=BLACK, linewidth=1.0, zorder=6)
    )  # fmt: skip
    # its way in, in which its own air is seen
    door, high = min(e.hide.opening_width_cm, 0.7 * wide), min(e.hide.opening_height_cm, 0.8 * tall)
    turn = np.linspace(0.0, np.pi, 24)
    arch = np.column_stack(
        [left + 0.5 * wide + 0.5 * door * np.cos(turn), foot + 0.5 * high + 0.5 * high * np.sin(turn)]
    )
    corners = [(left + 0.5 * (wide - door), foot), (left + 0.5 * (wide + door), foot)]
    axes.add_patch(Polygon([*corners, *arch], facecolor=tint, edgecolor=BLACK, linewidth=1.0, zorder=7))
    return left + wide, foot + 0.5 * tall


def draw_basking(axes: Axes, record: Record) -> tuple[float, float] | None:
    """The basking place, on a foot where it stands above the ground; give its middle, or None where there is none."""
    e = record.box.enclosure
    if not record.has_basking or e.basking is None:
        return None
    top, x = min(e.basking.top_cm(e), 0.97 * e.height_cm), basking_x(e)
    wide = float(np.clip((e.basking.area_cm2 or 80.0) ** 0.5, 0.08 * e.width_cm, 0.3 * e.width_cm))
    thick = min(0.28 * wide, 0.12 * e.air_height_cm)
    colour = WOOD if "branch" in e.basking.material else STONE if e.basking.material else "#E8B04A"
    if top - thick > e.surface_cm + 0.5:
        axes.add_patch(Rectangle((x - 0.08 * wide, e.surface_cm), 0.16 * wide, top - 0.5 * thick - e.surface_cm, facecolor=WOOD,
                                 linewidth=0.0, zorder=6))  # fmt: skip
    axes.add_patch(
        Ellipse(
            (x, top - (0.5 * thick if top > e.surface_cm + thick else 0.0)),
            wide,
            thick,
            facecolor=colour,
            edgecolor=BLACK,
            linewidth=1.2,
            zorder=7,
        )
    )
    return x + 0.5 * wide, top


def basking_x(e: Enclosure) -> float:
    """How far from the left wall the basking place is drawn [cm]."""
    return 0.2 * e.width_cm
