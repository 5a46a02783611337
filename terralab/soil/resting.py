"""Soil at rest: how hard each height pulls at its water, what it holds then, and how thick its wet band is.

At rest nothing flows, so the pull grows by one centimetre of water with each centimetre of height, in every soil: what
weight draws down, pull holds up. With the soil's water curve that gives its water by height (the approach of Bilderback
& Fonteno 1987, J. Environ. Hort. 5:180-182).

>>> loam = Soil(theta_r=0.078, theta_s=0.43, alpha_per_m=3.6, n=1.56, ks_m_per_s=2.88889e-6)
>>> rest = resting([(loam, 50.0)], foot_pull_cm=0.0)
>>> round(float(rest.pull_cm[-1]), 1), round(rest.wet_band_cm, 1)
(50.0, 36.6)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from terralab.errors import DescriptionError, quoted
from terralab.soil.hydraulics import ExponentialSoil, Soil, as_soil
from terralab.validate import number

#: A wet band is soil that holds less air than this (m3/m3): too little for most roots.
AIRLESS = 0.10
DRIEST_CM = 1e6  # pulls are looked for up to here
MOST_CM = 1000.0
_POINTS = 81


@dataclass(frozen=True, eq=False)
class Resting:
    """A soil at rest, from its foot up. Each layer has points of its own, so heights where two meet stand there twice.

    height_cm: above the foot. pull_cm: suction there, in cm of water; negative below the surface of standing water.
    water, pores: m3/m3, what is held, and with all pores full. place: the layer, counted from the top as given.
    soils: that of each layer. wet_band_cm: thickness with less than `AIRLESS` of air. air_from_cm: the pull from which
    each layer has more.
    """

    height_cm: np.ndarray
    pull_cm: np.ndarray
    water: np.ndarray
    pores: np.ndarray
    place: np.ndarray
    soils: tuple[Soil | ExponentialSoil, ...]
    wet_band_cm: float
    air_from_cm: tuple[float, ...]

    @property
    def air(self) -> np.ndarray:
        """Pores without water (m3/m3)."""
        return self.pores - self.water


def resting(layers: Sequence[tuple[Soil | ExponentialSoil | str, float]], foot_pull_cm: float = 0.0) -> Resting:
    """Return the soil of `layers` at rest: (soil or its name, depth in cm, up to 1000) from the top down.

    foot_pull_cm: the pull at the foot, -1000 to 1e5 cm of water: 0 at a drain hole or where water stands just at the
    foot; less than 0 where the foot is under water; what `foot_pull` gives over stones. Bad input raises
    `DescriptionError`.
    """
    foot = number("foot_pull_cm", foot_pull_cm, -MOST_CM, 1e5, "cm")
    if isinstance(layers, (str, bytes)) or not isinstance(layers, Sequence) or not layers:
        raise DescriptionError.of("layers", f"given {quoted(layers)}", "a list of (soil, depth in cm)")
    soils = tuple(as_soil(named, "layers") for named, _ in layers)
    parts, wet, marks, bottom = [], 0.0, [], 0.0
    for place, (_, deep) in reversed(list(enumerate(layers))):
        soil, depth = soils[place], number("depth_cm", deep, 0.01, MOST_CM, "cm")
        heights = np.linspace(bottom, bottom + depth, _POINTS)
        pulls = heights + foot
        full = np.full(_POINTS, soil.theta_s)
        parts.append((heights, pulls, soil.water_content(-0.01 * pulls), full, np.full(_POINTS, place)))
        marks.append(pull_for_air(soil, AIRLESS))
        wet += float(np.clip(marks[-1] - foot - bottom, 0.0, depth))
        bottom += depth
    columns = (np.concatenate(column) for column in zip(*parts, strict=True))
    return Resting(*columns, soils, wet, tuple(reversed(marks)))


def pull_for_air(soil: Soil | ExponentialSoil | str, air: float = AIRLESS) -> float:
    """Return the pull (cm of water) from which `soil` holds at least `air` (m3/m3, 0.001 to 0.9); infinity where never.

    Times one it is also a height: at rest over water at its foot, soil lower than this is wetter. Found by bisection
    (`brentq`) on the water curve. Bad input raises `DescriptionError`.
    """
    from scipy.optimize import brentq  # late: only this question needs it

    held, air = as_soil(soil), number("air", air, 0.001, 0.9, "m3/m3")
    lacks = lambda log_cm: held.theta_s - held.water_content(-0.01 * float(np.exp(log_cm))) - air  # noqa: E731
    low, high = np.log(1e-9), np.log(DRIEST_CM)
    if lacks(high) <= 0.0:
        return float("inf")
    return float(np.exp(brentq(lacks, low, high, xtol=1e-12)))


def foot_pull(gap_cm: float, entry_cm: float, reach_cm: float) -> float:
    """Return the pull (cm of water) at the foot of soil that rests over stones, `gap_cm` above water (below 0: under it).

    Where the corners between the stones lift water up to the soil (`reach_cm`), both are one body of water, and the
    pull at the foot is the gap. Farther off the path is broken: the foot lets water go down to `entry_cm` of pull and
    no further, however deep the stones (the step in the engine is `soil.ends.mesh_flow`, which blends the two; from
    Ross 1990, Water Resour. Res. 26:2625). All in cm, 0 to 1000; the gap from -1000.
    """
    gap = number("gap_cm", gap_cm, -MOST_CM, MOST_CM, "cm")
    entry, reach = number("entry_cm", entry_cm, 0.0, MOST_CM, "cm"), number("reach_cm", reach_cm, 0.0, MOST_CM, "cm")
    return gap if gap < reach else entry
