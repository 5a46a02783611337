"""A mister stuck on in words: minutes and litres until water stands where, and the largest tank that cannot flood the box."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from terralab.answers.common.words import ml
from terralab.answers.fails.flood import LONGEST_H, MESH, PLACES, RESERVE, Flood
from terralab.answers.fails.found import Span, span_of
from terralab.answers.fails.hours_words import times_words
from terralab.describe.box import Box
from terralab.quantities import quantity


def flood_words(one: Flood, box: Box) -> str:
    """What a mister stuck on does: minutes and litres, and the largest tank that cannot flood."""
    if not one.hours[PLACES[0]]:
        return f'"{one.name}" stuck on: how long until water stands could not be run. {tank_words(one, box)}'
    parts = []
    for place in PLACES:
        if place == MESH and box.enclosure.drainage is None:
            continue
        low, middle, high = _span(one.hours[place])
        if math.isinf(middle):
            parts.append(f"{place} not within {LONGEST_H:g} h")
            continue
        if middle == 0.0:
            parts.append(f"{place} on ordinary days already")
            continue
        parts.append(f"{place} after about {times_words(low, middle, high)}, {ml(one.ml(middle))}")
    hole = " What the drain hole lets out comes on top: set a tray." if box.enclosure.drain_hole else ""
    return (
        f'"{one.name}" stuck on at {quantity("ml/min", "g", one.flow_ml_min)}, with nobody there: water stands {"; ".join(parts)}.{hole} '
        f"{tank_words(one, box)}"
    )


def _span(hours: Sequence[float]) -> Span:
    return span_of(np.array(hours))


def tank_words(one: Flood, box: Box) -> str:
    """The largest tank that cannot flood, with its reserve, and the one that it has."""
    if one.tank_ml is None:
        return f"No tank is small enough to be called safe, since {one.why}."
    place = (
        "the room under the mesh"
        if box.enclosure.drainage is not None
        else "the air in the root zone that roots can spare"
    )
    has = "It has a tank without end, such as a water pipe." if one.has_ml is None else f"It has {ml(one.has_ml)}."
    return (
        f"The largest tank that cannot flood it holds {ml(one.tank_ml)}: {100 * RESERVE:.0f} % of {place} stay in reserve, and it was "
        f"poured out in every box drawn. {has}"
    )


def tank_too_large(one: Flood) -> str:
    """That its tank is larger than what cannot flood the box, as a clause."""
    most = "no tank is small enough to be safe" if one.tank_ml is None else f"at most {ml(one.tank_ml)} cannot flood it"
    return f'the tank of "{one.name}" holds {ml(one.has_ml or 0.0)}; {most}.'


def endless(one: Flood) -> str:
    """That it is fed without end, and what tank could not flood the box, as a clause."""
    most = (
        "no tank is small enough to be safe"
        if one.tank_ml is None
        else f"a tank of at most {ml(one.tank_ml)} cannot flood it"
    )
    return f'"{one.name}" stuck on has water without end; {most}.'
