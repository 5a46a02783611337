"""What could be measured in a row of a record, as the start of another run."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab.describe.box import Box
from terralab.describe.start import Reading, Start
from terralab.engine.kinds import DISH
from terralab.physics.constants import METRE_KPA, WATER_DENSITY
from terralab.simulation.raw import Raw


def box_as_at(box: Box, raw: Raw, row: int, series: dict[str, np.ndarray], films: dict[str, np.ndarray]) -> Box:
    """Return `box` with its `start` and the level of its water as a row of its record has them."""
    middle_cm = 100.0 * (np.cumsum(raw.dz) - 0.5 * raw.dz)
    edges = 100.0 * np.concatenate([[0.0], np.cumsum(raw.dz)])[raw.layer_start]
    warm_cm, warm = 0.5 * (edges[1:] + edges[:-1]), raw.chain[row, : len(raw.layer_start) - 1]
    readings = tuple(
        Reading(
            depth_cm=float(deep),
            suction_kpa=max(0.0, -METRE_KPA * float(head)),
            temperature_c=float(np.interp(deep, warm_cm, warm)),
        )
        for deep, head in zip(middle_cm, raw.head[row, :-1], strict=True)
    )
    b, dishes = raw.constants, raw.surface["kind"] == DISH
    has_dish = box.enclosure.dish is not None and dishes.any()
    start = Start(
        box.start.soil,
        air_temperature_c=float(series["air"][row]),
        air_humidity=float(min(100.0, series["humidity"][row])),
        drainage_temperature_c=float(raw.chain[row, -1]) if b["has_reservoir"] else None,
        glass_film_g_m2=1000.0 * float(films["glass"][row]),
        leaf_film_g_m2=1000.0 * float(films["leaves"][row]) if box.enclosure.plants is not None else None,
        cover_film_g_m2=1000.0 * float(films["cover"][row]) if box.enclosure.cover is not None else None,
        dish_cm=100.0
        * float(raw.surfaces["film"][row, dishes].sum() / raw.surface["area"][dishes].sum() / WATER_DENSITY)
        if has_dish
        else None,
        readings=readings,
    )
    glass = box.enclosure
    if glass.drainage is not None:
        level_cm = max(0.0, 100.0 * float(raw.head[row, -1] + b["reservoir_depth"]))
        glass = replace(glass, drainage=replace(glass.drainage, level_cm=level_cm))
    return replace(box, start=start, enclosure=glass)
