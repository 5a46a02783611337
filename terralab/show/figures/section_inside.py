"""All that is inside the glass of a cross-section, drawn onto axes that are the glass, and the places that have a name."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from terralab.describe.enclosure import Enclosure
from terralab.show.figures.labels import Label
from terralab.show.figures.section_air import Airs, draw_air, draw_fog
from terralab.show.figures.section_box import (
    columns_of,
    draw_basking,
    draw_boards,
    draw_glass,
    draw_hide,
    draw_patches,
    draw_pots,
    draw_tube,
    draw_wick,
    draw_wood,
    grounds_of,
)
from terralab.show.figures.section_devices import draw_devices
from terralab.show.figures.section_flows import Flows, amount, draw_arrow
from terralab.show.figures.section_plants import draw_plants
from terralab.show.figures.section_soil import draw_cover, draw_layer, draw_level_in_soil, draw_pond, draw_soil
from terralab.show.figures.style import GREEN, LINE, VERMILLION
from terralab.simulation.record import Record

POURED, SPRAYED, LOST = 0.1, 0.5, 0.86  # where water comes and goes at the lid, shares of its width
_REACH_IN = 0.34  # of arrows inside


def draw_inside(
    axes: Axes, airs: Airs, row: int, rows: np.ndarray, look: str, per_in: float
) -> tuple[list[Label], list[Label]]:
    """Draw the box; `per_in`: its cm in an inch of the page. Return the places inside and those on the lid, by their names.

    Water below is that of the `row`, the soil is the mean of the `rows`. A label's point is in cm of the box.
    """
    record, e = airs.record, airs.record.box.enclosure
    w, h = e.width_cm, e.height_cm
    axes.set_xlim(0.0, w)
    axes.set_ylim(0.0, h)
    axes.set_axis_off()
    grounds = grounds_of(e)
    inside = [Label(w, middle, airs.label(zone)) for zone, middle in draw_air(axes, airs).items()]
    draw_layer(axes, record, row, grounds.columns)
    draw_soil(axes, record, rows, grounds.columns, look)
    draw_cover(axes, e, grounds.columns)
    draw_pond(axes, record, row, grounds.columns)
    draw_level_in_soil(axes, record, row, grounds.columns)
    draw_pots(axes, e, grounds.columns)
    inside += [Label(*where, words) for *where, words in draw_patches(axes, e, grounds)]
    inside += [Label(*where, words) for *where, words in draw_wood(axes, e)]
    inside += [Label(*where, words) for *where, words in draw_plants(axes, e, grounds.planted or grounds.columns)]
    right = grounds.columns[-1][1]
    draw_tube(axes, e, right)
    draw_wick(axes, e, 0.45 * right)
    inside += [Label(*where, words) for *where, words in draw_boards(axes, e, per_in)]
    if (spot := draw_basking(axes, record)) is not None:
        inside.append(Label(*spot, airs.basking()))
    if (hide := draw_hide(axes, airs)) is not None:
        inside.append(Label(*hide, airs.label("hide")))
    draw_fog(axes, airs)
    draw_glass(axes, e)
    devices = draw_devices(axes, record.box, per_in, tuple(share * w for share in (POURED, SPRAYED, LOST)))
    inside += [Label(one.x, one.y, one.name) for one in devices if not one.above]
    inside += _vents(e)
    return inside, [Label(one.x, one.y, one.name) for one in devices if one.above]


def _vents(e: Enclosure) -> list[Label]:
    """What air passes, by its name and what spans it."""
    out = []
    for o in e.openings:
        if o.covered < 1.0:
            span = o.mesh if isinstance(o.mesh, str) else "mesh" if o.mesh else "open"
            half = f", {100.0 * o.covered:.0f} % covered" if o.covered > 0.0 else ""
            x = {"left": 0.0, "front": 0.5 * (e.width_cm + o.width_cm), "back": 0.5 * (e.width_cm + o.width_cm)}.get(
                o.wall, e.width_cm
            )
            y = e.height_cm if o.wall == "lid" else o.bottom_cm + 0.5 * o.height_cm
            out.append(Label(x, y, f"{o.name}: {span}{half}"))
    return out


def draw_rising(axes: Axes, record: Record, flows: Flows, per_in: float) -> list[Label]:
    """Arrows for what rises from the soil and from the leaves, where it is worth one; give their names."""
    e = record.box.enclosure
    reach, out = min(_REACH_IN * per_in, 0.5 * e.air_height_cm), []
    leaves = 0.0 if e.plants is None else e.plants.top_cm(e)
    # on the right, near its words, unless a hide or the tube stands there
    tube = 0.0 if e.tube is None else min(0.3 * e.width_cm, 1.5 * e.tube.diameter_cm)
    left, right = columns_of(e)[-1]
    aside = 0.05 * (right - left)
    soil = columns_of(e)[0][0] + aside if e.hide is not None else max(left, right - tube - aside)
    for x, foot, value, words, colour in (
        (soil / e.width_cm, e.surface_cm, flows.evaporated, "from the soil", VERMILLION),
        (0.5, min(leaves, e.height_cm - 1.4 * reach), flows.breathed, "from the leaves", GREEN),
    ):
        if value >= 0.05:
            draw_arrow(axes, x * e.width_cm, foot + 0.1 * reach, foot + 1.1 * reach, value, colour, flows.per)
            out.append(Label(x * e.width_cm, foot + 0.6 * reach, f"{words}: {amount(value, flows.per)}"))
    return out


def lead_to_wall(axes: Axes, labels: list[Label]) -> None:
    """Thin lines from places inside to the right wall, behind all that stands there."""
    wide = axes.get_xlim()[1]
    for one in labels:
        if one.x < 0.97 * wide:
            axes.plot([one.x, wide], [one.y, one.y], color=LINE, linewidth=0.7, zorder=1.2, clip_on=False)
