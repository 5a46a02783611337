"""The surfaces where animals sit: basking place, ground, hide and front glass, each with its temperature and local humidity.

Warm and cool ends are surfaces, not airs of their own. What the humidity is right at a surface follows from the vapour of
the air that it lies in and its own temperature.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from terralab.answers.common.airs import air_words, by_part
from terralab.answers.common.humidity_target import is_day
from terralab.answers.common.temperature import Heat
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.hot import is_cool, is_hot
from terralab.describe.wanted import ANYONE, PLANTS, typed
from terralab.quantities import as_typed, quantity
from terralab.simulation.record import Record

Place = Mapping[str, Mapping[str, float]]


def surfaces_of(
    record: Record, rows: np.ndarray, target: HumidityTarget | None
) -> dict[str, dict[str, dict[str, float]]]:
    """Each surface by "day" and "night" as in `airs.by_part`: "basking place", "cool place" or "ground", "hide", "front glass".

    A hide is the air in it. The ground is called the cool place where a basking place is described.
    """
    day = is_day(record, rows, target)
    low = record.low_air
    glass_c = record.pane_c("front", low)
    places = {"cool place" if record.has_basking else "ground": record.ground_c}
    if record.has_basking:
        places = {"basking place": record.basking_c, **places}
    out = {name: by_part(record.humidity_at(c, low)[rows], c[rows], day) for name, c in places.items()}
    if "hide" in record.zone_names:
        out["hide"] = by_part(record.zone_humidity("hide")[rows], record.zone_c("hide")[rows], day)
    out["front glass"] = by_part(record.humidity_at(glass_c, low)[rows], glass_c[rows], day)
    return out


def lead(record: Record) -> str:
    """What stands above the lines on the surfaces."""
    where = "At the surfaces" if record.box.group in PLANTS else "Where animals sit"
    return f"{where}, over the day, with the humidity right there (computed; trust a thermometer in the place more):"


_WORDS = {
    "basking place": "basking place",
    "cool place": "cool place (the ground away from the lamp)",
    "ground": "ground",
    "hide": "in the hide",
    "front glass": "front glass, its lower part",
}


def surface_lines(record: Record, surfaces: Mapping[str, Place], beam: tuple[float, float] | None = None) -> list[str]:
    """A line for each surface; a measured basking place before the computed one, which has a range by the lamp's `beam`."""
    out = []
    for name, seen in surfaces.items():
        parts = "; ".join(
            f"by {part} {air_words(seen[part])} on average ({quantity('°C', '.1f', seen[part]['c_low'], seen[part]['c_high'])}, "
            f"{seen[part]['rh_low']:.0f} to {seen[part]['rh_high']:.0f} %)"
            for part in ("day", "night")
        )
        if name == "basking place" and beam is not None:
            parts += f". That is for a usual beam: at its hottest {quantity('°C', '.0f', *beam)}, from a wide to a narrow one"
        words = "front glass" if name == "front glass" and record.low_air == "whole" else _WORDS[name]
        out.append(f"{words}: {measured_words(record) if name == 'basking place' else ''}{parts}")
    return out


def measured_words(record: Record) -> str:
    """What a thermometer at the basking place shows, where the keeper has told; it stands before what is computed."""
    place = record.box.enclosure.basking
    if place is None or place.measured_c is None:
        return ""
    return (
        f"{as_typed('temperature', 'C', place.measured_c)} under the lamp as you measured it, which counts; computed "
    )


def hottest_of(seen: Place) -> dict[str, float]:
    """The most that a surface reaches, `c`, and the lowest humidity of that part of the day, `rh`."""
    part = max(seen.values(), key=lambda one: one["c_high"])
    return {"c": part["c_high"], "rh": part["rh_low"]}


def basking_of(record: Record, rows: np.ndarray, target: HumidityTarget | None) -> dict[str, float] | None:
    """What the basking place reaches: the most, `c` [C], and the lowest humidity then, `rh` [%]; None without one."""
    if not record.has_basking:
        return None
    c = record.basking_c
    return hottest_of(by_part(record.humidity_at(c, record.low_air)[rows], c[rows], is_day(record, rows, target)))


def too_hot_words(box: Box, hottest: Mapping[str, float] | None, heat: Heat) -> str:
    """The warning that the basking place gets hotter than any surface should, with the humidity there; "" otherwise.

    `hottest` is what `hottest_of` gives, None without such a place. What a thermometer there shows counts where the keeper
    has told; the computed course where not.
    """
    if hottest is None:
        return ""
    place = box.enclosure.basking
    measured = None if place is None else place.measured_c
    most = (ANYONE if heat.wanted is None else heat.wanted).surface_most
    # computed ones are said, and so judged, in whole degrees
    if (round(hottest["c"]) if measured is None else float(measured)) <= most:
        return ""
    damp = f"({hottest['rh']:.0f} %)"
    if measured is not None:
        return f"Mind: you measured {typed(measured)} {damp} on the basking place, {typed(most)} is the most: raise the lamp."
    return (
        f"Mind: computed for a usual beam, the basking place reaches {quantity('°C', '.0f', hottest['c'])} {damp}, "
        f"{typed(most)} is the most. Measure it, and raise or dim the lamp bit by bit."
    )


def surface_cautions(record: Record) -> str:
    """What must stand beside a basking place, or beside any hot lamp or heater; "" without either."""
    routine = record.box.routine
    if not record.has_basking and not any(
        is_hot(one) and not is_cool(one) for one in (*routine.lamps, *routine.heaters)
    ):
        return ""
    spot = (
        "Measure the basking place itself, at the height of the animal's back, before an animal goes in. "
        if record.has_basking
        else ""
    )
    return (
        f"{spot}Guard every hot lamp and heater so that no animal can touch it: they burn skin before it hurts. "
        "A vet and the species guide decide which heat an animal needs."
    )


def plain(surfaces: Mapping[str, Place]) -> dict[str, Any]:
    """The surfaces as plain data, to tenths."""
    return {
        name: {part: {k: round(v, 1) for k, v in seen.items()} for part, seen in one.items()}
        for name, one in surfaces.items()
    }
