"""What each exchange fan of a description delivers [m3/s], worked out once before a run."""

from __future__ import annotations

import math
from collections.abc import Callable

from terralab.describe.enclosure import Enclosure
from terralab.describe.routine import Fan
from terralab.physics.fan import operating_point


def delivered(fan: Fan, enclosure: Enclosure, pick: Callable) -> float:
    """Flow [m3/s] that `fan` really moves between box and room; 0 for a circulating one or where no air can pass.

    `pick(table, name, property)` gives numbers of the materials tables. A given flow counts as delivered. Of a free
    flow without shut-off pressure a share passes (the default "fan through mesh"). With a shut-off pressure the fan's
    straight curve is met by the mesh before it and by the openings through which the other air passes.
    """
    if fan.mode != "exchange" or not can_move(fan, enclosure):
        return 0.0
    if fan.flow_m3_h is not None:
        return fan.flow_m3_h / 3600.0
    free = fan.free_flow_m3_h / 3600.0
    if fan.shut_off_pa is None:
        return free * pick("defaults", "fan through mesh", "delivered")
    return operating_point(free, fan.shut_off_pa, *_way(fan, enclosure, pick))


def can_move(fan: Fan, enclosure: Enclosure) -> bool:
    """True where air can pass: something is open, and the opening the fan sits in is not covered altogether."""
    open_ones = {o.name for o in enclosure.openings if o.covered < 1.0}
    return bool(open_ones) and (not fan.opening or fan.opening in open_ones)


def _way(fan: Fan, enclosure: Enclosure, pick: Callable) -> tuple[tuple, list[tuple]]:
    """The opening right before the fan and those of the make-up air: (area, discharge, porosity, thread) each.

    A fan that names no opening sits in the largest. What its face leaves of that opening serves the make-up air too.
    """
    cd = pick("defaults", "discharge coefficient", "factor")
    mesh = (pick("defaults", "mesh screen", "porosity"), pick("defaults", "mesh screen", "thread_mm") / 1000.0)
    bare = (1.0, 0.0)
    diameter = fan.diameter_cm / 100.0 if fan.diameter_cm else pick("defaults", "fan face", "diameter")
    areas = {o.name: o.area_cm2 / 1e4 * (1.0 - o.covered) for o in enclosure.openings}
    seat = fan.opening or max(areas, key=lambda name: areas[name])
    face = min(math.pi / 4.0 * diameter**2, areas[seat])
    others, before = [], None
    for o in enclosure.openings:
        left = areas[o.name] - (face if o.name == seat else 0.0)
        if left > 0.0:
            others.append((left, cd, *(mesh if o.mesh else bare)))
        if o.name == seat:
            before = (face, 0.0, *(mesh if o.mesh else bare))
    return before, others  # gaps of door and lid, small beside any vent, are left out
