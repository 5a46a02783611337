"""The air of a cross-section: below, above and in a hide, each in the colour of its humidity; fog on the panes; the basking place."""

from __future__ import annotations

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.patches import Ellipse, Rectangle

from terralab.answers.common.airs import WHERE
from terralab.show.figures.style import BLACK, BLUE, LINE, ORANGE, TEXT_PT
from terralab.simulation.record import Record

HUMIDITY_MAP = "Blues"  # one hue from light to dark, which any eye orders
DRIEST, DAMPEST = 0.0, 100.0
_SOFT = 0.5  # so that black words stand out from the dampest air too


def humidity_scale() -> ScalarMappable:
    """The colours of humidity [%], for a scale beside the picture."""
    soft = matplotlib.colormaps[HUMIDITY_MAP](np.linspace(0.0, _SOFT, 256))
    return ScalarMappable(
        Normalize(DRIEST, DAMPEST), matplotlib.colors.LinearSegmentedColormap.from_list("humidity", soft)
    )


def air_text(record: Record, zone: str, row: int) -> str:
    """One air at a row: "82 % at 22 °C"."""
    return f"{record.zone_humidity(zone)[row]:.0f} % at {record.zone_c(zone)[row]:.0f} °C"


def draw_air(axes: Axes, record: Record, row: int, size: float = TEXT_PT, small: bool = False) -> None:
    """Colour the air below and above, or the one air, by its humidity at a row, with its numbers."""
    e = record.box.enclosure
    zones = [zone for zone in record.zone_names if zone != "hide"]
    colours, tall = humidity_scale(), e.air_height_cm / len(zones)
    for level, zone in enumerate(zones):
        foot = e.surface_cm + level * tall
        colour = colours.to_rgba(float(record.zone_humidity(zone)[row]))
        axes.add_patch(Rectangle((0.0, foot), e.width_cm, tall, facecolor=colour, linewidth=0.0, zorder=0))
        word = "air" if zone == "whole" else zone if small else f"air {WHERE[zone]}"
        # over the leaves in the lower air, under the arrows from above in the upper one
        share = 0.7 if level + 1 == len(zones) else 0.84
        axes.text(0.5 * e.width_cm, foot + share * tall, f"{word} {air_text(record, zone, row)}", ha="center", va="center",
                  fontsize=size, zorder=9)  # fmt: skip
    if len(zones) > 1:
        half = e.surface_cm + tall
        axes.plot([0.0, e.width_cm], [half, half], color=LINE, linewidth=0.6, linestyle=(0, (2, 3)), zorder=1)


def draw_hide(axes: Axes, record: Record, row: int) -> None:
    """The hide to scale (half as wide as the glass at most), its air in its colour, its opening white."""
    e = record.box.enclosure
    if "hide" not in record.zone_names or e.hide is None:
        return
    wide, _, tall = e.hide.sides_cm
    wide, tall = min(wide, 0.5 * e.width_cm), min(tall, e.air_height_cm)
    left = max(0.02 * e.width_cm, 0.82 * e.width_cm - wide)
    colour = humidity_scale().to_rgba(float(record.zone_humidity("hide")[row]))
    axes.add_patch(
        Rectangle((left, e.surface_cm), wide, tall, facecolor=colour, edgecolor=BLACK, linewidth=1.8, zorder=6)
    )
    door = min(e.hide.opening_height_cm, tall)
    axes.plot([left, left], [e.surface_cm, e.surface_cm + door], color="white", linewidth=2.4, zorder=7)
    axes.text(
        left + 0.5 * wide, e.surface_cm + 0.5 * tall, "hide", fontsize=TEXT_PT, ha="center", va="center", zorder=7
    )


def draw_basking(axes: Axes, record: Record, row: int, size: float = TEXT_PT) -> None:
    """The basking place as a flat stone; its temperature and humidity stand beside the glass."""
    e = record.box.enclosure
    if not record.has_basking or e.basking is None:
        return
    top, wide = e.basking.top_cm(e), min(0.3 * e.width_cm, max(0.06 * e.width_cm, (e.basking.area_cm2 or 80.0) ** 0.5))
    x = 0.24 * e.width_cm
    axes.add_patch(Ellipse((x, top), wide, 0.3 * wide, facecolor=ORANGE, edgecolor=BLACK, linewidth=1.0, zorder=7))
    axes.text(x, top + 0.2 * wide, "basking", fontsize=size, ha="center", va="bottom", zorder=13)


def draw_fog(axes: Axes, record: Record, row: int) -> None:
    """Drops along the side panes, and under the lid's glass, where they are fogged at a row."""
    e = record.box.enclosure
    w, h = e.width_cm, e.height_cm
    zones = [zone for zone in record.zone_names if zone != "hide"]
    tall, wide = e.air_height_cm / len(zones), 0.022 * max(w, h)
    for level, zone in enumerate(zones):
        if record.fogged("sides", zone)[row]:
            for left in (0.0, w - wide):
                _drops(axes, left, e.surface_cm + level * tall, wide, tall)
    if "lid" in record.pane_names and record.fogged("lid")[row]:
        closed = w - min(w, sum(o.width_cm * (1.0 - o.covered) for o in e.openings if o.wall == "lid"))
        _drops(axes, 0.0, h - wide, max(closed, wide), wide)


def _drops(axes: Axes, left: float, foot: float, wide: float, tall: float) -> None:
    axes.add_patch(
        Rectangle((left, foot), wide, tall, facecolor="white", edgecolor=BLUE, hatch="ooo", linewidth=0.0, zorder=7)
    )


def basking_text(record: Record, row: int) -> str:
    """The basking place at a row, with the humidity right there: "40 % at 35 °C"."""
    c = record.basking_c
    return f"{record.humidity_at(c, record.low_air)[row]:.0f} % at {c[row]:.0f} °C"


def air_words(record: Record, row: int) -> str:
    """Say the airs, the hide, the basking place and the fogged panes at a row."""
    airs = [
        f"{'air' if zone == 'whole' else f'air {WHERE[zone]}'} {air_text(record, zone, row)}"
        for zone in record.zone_names
    ]
    if record.has_basking:
        airs.append(f"basking place {basking_text(record, row)}")
    foggy = [pane for pane in record.pane_names if record.fogged(pane)[row]]
    fog = f"fogged panes: {', '.join(foggy)}" if foggy else "no pane is fogged"
    text = f"{', '.join(airs)}; {fog}."
    return text[0].upper() + text[1:]
