"""A run that begins from what was measured: heads of the soil before the balance, and what else is known after it.

What was not measured stays in balance with room, routine and what was (see `settle`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.describe.box import Box
from terralab.describe.start import Reading, Start, reading_layers
from terralab.engine.air_clock import CURRENT
from terralab.engine.kinds import COVER, DISH, LEAF, LID, PANE
from terralab.engine.tables import Work
from terralab.physics.constants import MASS_RATIO, METRE_KPA, PRESSURE, WATER_DENSITY
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.physics.retention import water_content

DRIEST_M = 1e5  # m: the suction to which the formulas of the soil hold
BEND_M = (
    0.01  # m: between readings suction runs straight when small and in its logarithm when large, which is told here
)


def head_of(reading: Reading, soil: np.ndarray) -> float:
    """Return the head [m] that a reading of suction or water content means in a mix, a row of the soil table."""
    if reading.suction_kpa is not None:
        return max(-DRIEST_M, -float(reading.suction_kpa) / METRE_KPA)
    lacks = lambda bent: water_content(-BEND_M * np.sinh(bent), soil)[0] - float(reading.water)  # noqa: E731
    driest = float(np.arcsinh(DRIEST_M / BEND_M))
    if lacks(driest) >= 0.0:
        return -DRIEST_M
    if lacks(0.0) <= 0.0:
        return 0.0
    from scipy.optimize import brentq  # late: only a measured water content needs it

    return -BEND_M * float(np.sinh(brentq(lacks, 0.0, driest, xtol=1e-13)))


def measured_heads(
    box: Box, head: np.ndarray, dz: np.ndarray, place: np.ndarray, soils: np.ndarray, level: float
) -> np.ndarray:
    """Return `head` [m] with that of every cell of which something was read; `level` [m] is that of the water from the mesh."""
    readings = [one for one in box.start.readings if one.of_water]
    if not readings:
        return head
    bent = np.arcsinh(head / BEND_M)
    middle = np.cumsum(dz) - 0.5 * dz
    at = [one for one in readings if one.depth_cm is not None]
    if at:
        at.sort(key=lambda one: one.depth_cm)
        found = [head_of(one, soils[reading_layers(one, box.enclosure)[0]]) for one in at]
        bent = np.interp(middle, [one.depth_cm / 100.0 for one in at], np.arcsinh(np.array(found) / BEND_M))
    for one in readings:
        if one.depth_cm is None:
            for layer in reading_layers(one, box.enclosure):
                bent[place == layer] = np.arcsinh(head_of(one, soils[layer]) / BEND_M)
    heads = BEND_M * np.sinh(bent)
    # water that stands above the mesh floods the soil up to it, whatever a probe showed
    return np.maximum(heads, level - (dz.sum() - middle)) if level > 0.0 else heads


def as_measured(work: Work, box: Box, heads: np.ndarray, water: np.ndarray) -> None:
    """Set a run that is in balance to what was measured of it; `heads` and `water` are those it was packed with."""
    start = box.start
    if start.readings:
        work.head[:], work.water[:] = heads, water
        work.air.cell[CURRENT]["water"], work.air.cell[CURRENT]["head"] = water[0], heads[0]
    _set_air(work, start)
    _set_soil_warmth(work, box)
    _set_films(work, start)


def _set_air(work: Work, start: Start) -> None:
    if start.air_temperature_c is None and start.air_humidity is None:
        return
    zones, share = work.air.zones[CURRENT], np.asarray(work.air.mean_share)
    t, w = float(share @ zones["t"]), float(share @ zones["w"])
    pressure = PRESSURE * w / (MASS_RATIO + w)
    humid = pressure / saturation_pressure(t) if start.air_humidity is None else start.air_humidity / 100.0
    if start.air_temperature_c is not None:
        zones["t"] += start.air_temperature_c - t
        t = float(start.air_temperature_c)
    full = np.array([humidity_ratio(saturation_pressure(zone_t)) for zone_t in zones["t"]])
    zones["w"] = _spread(zones["w"], humidity_ratio(min(1.0, humid) * saturation_pressure(t)), share, full)


def _spread(w: np.ndarray, mean: float, share: np.ndarray, full: np.ndarray) -> np.ndarray:
    """Return humidity ratios [kg/kg] in proportion to `w`, `mean` when mixed by `share`, and in no zone more than `full`.

    A zone or hide cooler than the rest may be full before the mean is reached; the others then hold what it cannot.
    They always can: saturated airs of several temperatures hold more than one of their mean (the curve bends upwards).
    """
    wet = np.zeros(w.size, bool)
    for _ in range(w.size):
        left, free = mean - share @ (full * wet), share @ (w * ~wet)
        found = np.where(wet, full, w * (left / free)) if free > 0.0 else full
        if not (found > full).any():
            return found
        wet |= found > full
    return np.minimum(found, full)


def _set_soil_warmth(work: Work, box: Box) -> None:
    start, chain = box.start, work.chain[CURRENT]
    edges = np.concatenate([[0.0], np.cumsum(work.dz)])[work.layer_start]
    middle = 0.5 * (edges[1:] + edges[:-1])
    soil = chain[: len(middle)]
    if start.soil_temperature_c is not None:
        soil[:] = start.soil_temperature_c
    warm = [one for one in start.readings if one.temperature_c is not None]
    at = sorted((one for one in warm if one.depth_cm is not None), key=lambda one: one.depth_cm)
    if at:
        soil[:] = np.interp(middle, [one.depth_cm / 100.0 for one in at], [one.temperature_c for one in at])
    for one in warm:
        if one.depth_cm is None:
            cell = np.searchsorted(np.cumsum(work.dz), middle)
            soil[np.isin(work.soil_of[cell], reading_layers(one, box.enclosure))] = one.temperature_c
    if start.drainage_temperature_c is not None:
        chain[-1] = start.drainage_temperature_c


def _set_films(work: Work, start: Start) -> None:
    surface, skins = np.asarray(work.air.surface), work.air.surfaces[CURRENT]
    b = work.box[0]
    films: Sequence[tuple[float | None, tuple[float, ...], float]] = (
        (start.glass_film_g_m2, (PANE, LID), float(b["glass_area"])),
        (start.leaf_film_g_m2, (LEAF,), float(b["leaf_area"])),
        (start.cover_film_g_m2, (COVER,), float(surface["area"][surface["kind"] == COVER].sum())),
    )
    for film, kinds, area in films:
        these = np.isin(surface["kind"], kinds)
        if film is not None and these.any():
            skins["film"][these] = film / 1000.0 * area * surface["area"][these] / surface["area"][these].sum()
    if start.dish_cm is not None:
        dishes = surface["kind"] == DISH
        skins["film"][dishes] = start.dish_cm / 100.0 * surface["area"][dishes] * WATER_DENSITY
