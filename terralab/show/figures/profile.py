"""What fills the soil from top to bottom: water, solid and air, and the air that roots want; the water below under it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.ticker import MaxNLocator

from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.common.fair_rows import fair_days
from terralab.answers.common.temperature import last_days
from terralab.answers.drainage.bottoms import airless
from terralab.quantities import quantity
from terralab.show.figures.ground import moss_cm
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    NIGHT,
    ORANGE,
    SKY,
    TEXT_PT,
    water_colour,
    water_scale,
)
from terralab.simulation.record import Record

AIR_PERCENT = 100.0 * AIR_WANTED
LEAST_AIR = {"color": GREEN, "linestyle": (0, (4, 2)), "linewidth": 1.8, "zorder": 4}
SHORT = {"facecolor": ORANGE, "edgecolor": BLACK, "hatch": "...", "linewidth": 0.0, "zorder": 3}


@dataclass(frozen=True)
class Profile:
    """The soil as it is on the mean of some days: in cells between `edges_cm` (from the surface down) water and air [% of volume].

    `short`: which cells hold less air than roots want. `moss_cm`: thickness of the moss on top, whose hollow space is counted neither as water nor as air. `layer_cm`: thickness
    of the drainage layer under the soil, 0 without one. `level_cm`: how high water stands in it in the end.
    """

    edges_cm: np.ndarray
    water: np.ndarray
    air: np.ndarray
    short: np.ndarray
    moss_cm: float
    layer_cm: float
    level_cm: float

    @property
    def soil_cm(self) -> float:
        """Depth at which the soil ends."""
        return float(self.edges_cm[-1])

    @property
    def airless_cm(self) -> float:
        """Thickness of the soil [cm] that holds less air than roots want."""
        return float(np.diff(self.edges_cm)[self.short].sum())


def profile_of(record: Record, rows: np.ndarray | None = None) -> Profile:
    """The profile of a record over `rows`, by itself over its last week, as the section shows it."""
    rows = last_days(record, fair_days(record.box)) if rows is None else rows
    layer = record.box.enclosure.drainage if record.has_reservoir else None
    return Profile(
        record.edges_cm,
        100.0 * record.soil_water[rows].mean(axis=0),
        100.0 * record.air_space[rows].mean(axis=0),
        airless(record, rows),
        moss_cm(record),
        0.0 if layer is None else layer.depth_cm,
        0.0 if layer is None else layer.depth_cm - float(record.gap_below_mesh_cm[rows[-1]]),
    )


def in_words(profile: Profile) -> str:
    """What the profile shows, for the picture's words; lengths as marks (see `terralab.quantities`)."""
    soil = profile.edges_cm[1:] > profile.moss_cm + 1e-6
    water, air = profile.water[soil], profile.air[soil]
    said = (
        f"In the soil water fills {water[0]:.0f} % of the volume at the top and {water[-1]:.0f} % at the foot, air "
        f"{air[0]:.0f} and {air[-1]:.0f} %"
    )
    thick = quantity("cm", ".1f", profile.airless_cm)
    return f"{said}; " + (
        f"{thick} of it hold less than {AIR_PERCENT:.0f} % air"
        if profile.short.any()
        else f"all of it holds {AIR_PERCENT:.0f} % air or more"
    )


def draw_profile(axes: Axes, profile: Profile, scales: Scales) -> None:
    """Draw the profile: water from the left, then what is solid, then air; marked where roots are short of air."""
    edges = scales.of("cm", profile.edges_cm)
    depth = np.repeat(edges, 2)[1:-1]  # each cell is a step: layers end where they end
    water, air = np.repeat(profile.water, 2), np.repeat(profile.air, 2)
    colours = water_scale()
    mesh = axes.pcolormesh([0.0, 100.0], edges, profile.water[:, None], cmap=colours.cmap, norm=colours.norm, zorder=1)
    wet = axes.fill_betweenx(depth, 0.0, water, facecolor="none", edgecolor=BLACK, linewidth=0.8, zorder=2)
    mesh.set_clip_path(wet.get_paths()[0], axes.transData)
    soil = np.repeat(profile.edges_cm[1:] > profile.moss_cm + 1e-6, 2)
    axes.fill_betweenx(
        depth, water, 100.0 - air, where=soil, facecolor=NIGHT, edgecolor=LINE, hatch="..", linewidth=0.8, zorder=2
    )
    axes.plot([100.0 - AIR_PERCENT] * 2, [edges[-1], scales.of("cm", profile.moss_cm)], **LEAST_AIR)
    axes.fill_betweenx(depth, 100.0 - AIR_PERCENT, 100.0 - air, where=np.repeat(profile.short, 2), **SHORT)
    if profile.moss_cm > 0.0:
        middle = scales.of("cm", 0.5 * profile.moss_cm)
        axes.text(97.0, middle, "moss", ha="right", va="center", fontsize=TEXT_PT)
    floor = float(scales.of("cm", profile.soil_cm + profile.layer_cm))
    if profile.layer_cm > 0.0:
        _draw_layer(axes, profile, scales, floor)
    axes.set_xlim(0.0, 100.0)
    axes.set_ylim(floor, 0.0)
    axes.set_xticks([0, 50, 100])
    axes.set_xlabel("% of the volume", fontsize=TEXT_PT, labelpad=1.0)
    axes.yaxis.set_major_locator(MaxNLocator(7, steps=[1, 2, 5, 10]))


def keys(profile: Profile) -> list[tuple[Artist, str]]:
    """What the areas and lines stand for."""
    out: list[tuple[Artist, str]] = [
        (Patch(facecolor=water_colour(float(profile.water.mean())), edgecolor=BLACK), "water"),
        (Patch(facecolor=NIGHT, edgecolor=LINE, hatch="..."), "solid"),
        (Patch(facecolor="white", edgecolor=LINE), "air"),
        (Line2D([], [], **(LEAST_AIR | {"zorder": 1})), f"{AIR_PERCENT:.0f} % air, wanted"),
    ]
    if profile.short.any():
        out.append((Patch(**SHORT), "too little air"))
    return out


def _draw_layer(axes: Axes, profile: Profile, scales: Scales, floor: float) -> None:
    soil, level = (
        float(scales.of("cm", x)) for x in (profile.soil_cm, max(0.0, min(profile.level_cm, profile.layer_cm)))
    )
    stones = {"facecolor": "white", "edgecolor": LINE, "hatch": "oo", "linewidth": 0.8, "zorder": 1}
    axes.add_patch(Rectangle((0, soil), 100, floor - soil, **stones))
    axes.add_patch(Rectangle((0, floor - level), 100, level, facecolor=SKY, alpha=0.8, edgecolor=BLUE, zorder=2))
    axes.axhline(soil, color=BLACK, linewidth=1.6, linestyle=(0, (6, 2)), zorder=5)
