"""The air of a cross-section: each zone in the tint of its humidity, fog on the panes, and what is said of warm and cool places."""

from __future__ import annotations

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.patches import Rectangle

from terralab.answers.common.airs import WHERE
from terralab.quantities import quantity
from terralab.show.figures.style import BLUE, LINE
from terralab.simulation.record import Record

_SOFT = 0.34  # of the map's strength, so that the soil's colours stand out before it


def humidity_tints() -> ScalarMappable:
    """The tints of humidity [0 to 100 %], from white to a soft blue, which any eye orders."""
    soft = matplotlib.colormaps["Blues"](np.linspace(0.0, _SOFT, 256))
    return ScalarMappable(Normalize(0.0, 100.0), LinearSegmentedColormap.from_list("humidity", soft))


def air_text(record: Record, zone: str, row: int) -> str:
    """One air at a row, as a mark: "82 % at 22 °C"."""
    return _reading(record.zone_humidity(zone)[row], record.zone_c(zone)[row])


def basking_text(record: Record, row: int) -> str:
    """The basking place at a row, with the humidity right there, as a mark: "40 % at 35 °C"."""
    c = record.basking_c
    return _reading(record.humidity_at(c, record.low_air)[row], c[row])


def _reading(humidity: float, c: float) -> str:
    return f"{humidity:.0f} % at {quantity('°C', '.0f', float(c))}"


def air_name(zone: str) -> str:
    """An air in words: "air below", or "air" where there is but one."""
    return "air" if zone == "whole" else f"air {WHERE[zone]}"


def draw_air(axes: Axes, record: Record, row: int) -> dict[str, float]:
    """Tint the air below and above, or the one air, by its humidity at a row; give the height of each one's middle [cm]."""
    e = record.box.enclosure
    zones = [zone for zone in record.zone_names if zone != "hide"]
    tints, tall = humidity_tints(), e.air_height_cm / len(zones)
    axes.add_patch(Rectangle((0.0, 0.0), e.width_cm, e.height_cm, facecolor="white", linewidth=0.0, zorder=-1))
    middles = {}
    for level, zone in enumerate(zones):
        # what is under the surface of the soil is air where the floor is bare
        foot = e.surface_cm + level * tall if level else 0.0
        top = e.surface_cm + (level + 1) * tall
        tint = tints.to_rgba(float(record.zone_humidity(zone)[row]))
        axes.add_patch(Rectangle((0.0, foot), e.width_cm, top - foot, facecolor=tint, linewidth=0.0, zorder=0))
        middles[zone] = e.surface_cm + (level + 0.5) * tall
    if len(zones) > 1:
        half = e.surface_cm + tall
        axes.plot([0.0, e.width_cm], [half, half], color=LINE, linewidth=0.7, linestyle=(0, (2, 3)), zorder=1)
    return middles


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


def air_words(record: Record, row: int) -> str:
    """Say the airs, the hide, the basking place and the fogged panes at a row, as marks."""
    airs = [f"{air_name(zone)} {air_text(record, zone, row)}" for zone in record.zone_names]
    if record.has_basking:
        airs.append(f"basking place {basking_text(record, row)}")
    foggy = [pane for pane in record.pane_names if record.fogged(pane)[row]]
    fog = f"fogged panes: {', '.join(foggy)}" if foggy else "no pane is fogged"
    text = f"{', '.join(airs)}; {fog}."
    return text[0].upper() + text[1:]
