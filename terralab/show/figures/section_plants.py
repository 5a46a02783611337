"""Plants of a cross-section: how much of the ground they cover and how high they stand is the box's, their leaves are a sign."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch, Polygon
from matplotlib.path import Path

from terralab.describe.enclosure import Enclosure
from terralab.quantities import quantity
from terralab.show.figures.section_soil import Span
from terralab.show.figures.style import GREEN

LEAF = "leaf"  # how a drawn leaf is known again
_DARK = "#00664B"
_ROOT, _ROOT_EDGE = "#F7EBD3", "#5B4632"
_LOW = ("mosses",)
_ROSETTES = {  # leaves that rise from one point: how many, and how wide for their length
    "ferns": (9, 0.13),
    "palms": (7, 0.13),
    "day-opening bromeliads": (8, 0.11),
    "night-opening bromeliads": (8, 0.11),
    "night-opening orchids": (5, 0.17),
    "night-opening succulents": (7, 0.24),
    "spikemosses": (11, 0.10),
}
_MOST_PLANTS = 7
_LEAST_OF_AIR = 0.15
_MOSS_OF_AIR = 0.12  # what moss is drawn high at most, of the air


def draw_plants(axes: Axes, e: Enclosure, spans: Sequence[Span]) -> list[tuple[float, float, str]]:
    """Draw the plants onto the pieces of planted soil; as wide together as the share of the floor that they cover.

    Give where their roots end and how deep that is.
    """
    if e.plants is None or e.leaf_area_m2() <= 0.0 or not spans:
        return []
    ground = e.surface_cm
    tall = e.plants.top_cm(e) - ground
    if e.plants.kind in _LOW:
        tall = min(tall, _MOSS_OF_AIR * e.air_height_cm)
    wide = e.width_cm * _covered(e)
    if e.plants.height_cm is None:  # nobody said how high: no spears where there is little leaf
        tall = min(tall, max(1.3 * wide, _LEAST_OF_AIR * e.air_height_cm))
    each, left = _plants(spans, wide, tall)
    deep = 0.0 if e.plants.kind in _LOW else min(e.plants.root_depth_cm, e.soil_depth_cm)
    rng = np.random.default_rng(7)  # the same box always looks the same
    for x in left:
        high = tall * (1.0 if len(left) == 1 else float(rng.uniform(0.8, 1.0)))
        half = min(0.5 * each, x - 0.01 * e.width_cm, 0.99 * e.width_cm - x)
        if e.plants.kind in _LOW:
            turn = np.linspace(0.0, np.pi, 24)
            shape = np.column_stack([x + half * np.cos(turn), ground + high * np.sin(turn)])
            axes.add_patch(Polygon(shape, facecolor=GREEN, edgecolor="white", linewidth=0.5, zorder=5, gid=LEAF))
        elif e.plants.kind in _ROSETTES:
            _rosette(axes, x, ground, half, high, *_ROSETTES[e.plants.kind])
        else:
            _stem(axes, x, ground, half, high)
        if deep > 0.0:
            _roots(axes, x, e.soil_top_cm, min(0.7 * each, 0.8 * deep), deep, rng)
    if deep <= 0.0:
        return []
    return [(left[-1], e.soil_top_cm - deep, f"roots: {quantity('cm', '.0f', deep)} deep")]


def _roots(axes: Axes, x: float, top: float, half: float, deep: float, rng: np.random.Generator) -> None:
    """Roots under one plant, the middle one as deep as they go; pale on dark soil and dark on pale soil."""
    for side in (-1.0, -0.45, 0.0, 0.4, 0.9):
        down = deep * (1.0 - 0.45 * side * side)
        along = np.linspace(0.0, 1.0, 12)
        across = x + 0.5 * half * side * along**0.6 + 0.03 * half * np.sin(7.0 * along + float(rng.uniform(0.0, 6.0)))
        for colour, width in ((_ROOT_EDGE, 1.5), (_ROOT, 0.8)):
            axes.plot(across, top - down * along, color=colour, linewidth=width, zorder=3.4, solid_capstyle="round")


def _covered(e: Enclosure) -> float:
    """The share of the floor that leaves stand over: as typed, else as leaves that lie at random would cover it."""
    if e.plants is not None and e.plants.cover is not None:
        return e.plants.cover
    return 1.0 - math.exp(-e.leaf_area_m2() / e.floor_area_m2)


def _plants(spans: Sequence[Span], wide: float, tall: float) -> tuple[float, list[float]]:
    """How wide each plant is, and where the plants stand: spread evenly over the pieces of planted soil."""
    soil = sum(right - left for left, right in spans)
    count = int(np.clip(round(wide / max(0.8 * tall, 1e-6)), len(spans), _MOST_PLANTS)) if wide > 0.0 else 1
    count = max(1, min(count, _MOST_PLANTS))
    out, gone, targets = [], 0.0, [(k + 0.5) / count * soil for k in range(count)]
    for left, right in spans:
        out += [left + t - gone for t in targets if gone <= t < gone + right - left]
        gone += right - left
    return wide / count, out


def _leaf(
    axes: Axes, x: float, y: float, tip: tuple[float, float], bow: tuple[float, float], width: float, colour: str
) -> None:
    """One leaf from its foot to its tip, bent towards `bow`, as wide in its middle as given."""
    along = np.array([tip[0] - x, tip[1] - y])
    across = np.array([-along[1], along[0]]) / max(1e-9, float(np.hypot(*along))) * width
    middle = np.array(bow)
    path = Path(
        [(x, y), tuple(middle + across), tip, tuple(middle - across), (x, y)],
        [Path.MOVETO, Path.CURVE3, Path.CURVE3, Path.CURVE3, Path.CURVE3],
    )
    axes.add_patch(PathPatch(path, facecolor=colour, edgecolor="white", linewidth=0.5, zorder=5, gid=LEAF))


def _rosette(axes: Axes, x: float, ground: float, half: float, tall: float, count: int, slim: float) -> None:
    """Leaves that arch from one point to all sides; those in front are lighter."""
    for k in sorted(range(count), key=lambda k: -abs(2 * k - count + 1)):
        side = 2.0 * k / (count - 1) - 1.0
        high = tall * (1.0 - 0.55 * side * side)
        tip = (x + side * half, ground + high * (1.0 - 0.35 * abs(side)))
        bow = (x + 0.42 * side * half, ground + high * 0.95)
        _leaf(axes, x, ground, tip, bow, slim * math.hypot(half * side, high), GREEN if k % 2 else _DARK)


def _stem(axes: Axes, x: float, ground: float, half: float, tall: float) -> None:
    """A stem with leaves to both sides and one at its top."""
    axes.plot([x, x], [ground, ground + 0.86 * tall], color=_DARK, linewidth=1.5, zorder=4)
    levels = max(2, min(5, round(tall / max(0.7 * half, 1e-6))))
    for k in range(levels):
        foot = ground + tall * (0.2 + 0.62 * k / levels)
        long = half * (1.0 - 0.35 * k / levels)
        for side in (-1.0, 1.0):
            lift = min(0.55 * long, 0.8 * tall / levels)
            tip = (x + side * long, min(ground + tall, foot + 0.5 * lift))
            bow = (x + 0.5 * side * long, foot + lift)
            _leaf(axes, x, foot, tip, bow, 0.26 * long, GREEN if (k + (side > 0)) % 2 else _DARK)
    top = ground + tall
    _leaf(axes, x, ground + 0.72 * tall, (x, top), (x, ground + 0.86 * tall), min(0.35 * half, 0.16 * tall), GREEN)
