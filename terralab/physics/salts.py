"""Humidity of the air over saturated salt solutions: fixed points to check a hygrometer with.

Humidity % RH, temperature C; outside the temperatures where a salt's numbers hold NaN is given.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

STEP_C = 5.0  # between two entries of `Salt.errors`


@dataclass(frozen=True)
class Salt:
    """One salt, wet but not dissolved, in a closed bag with the sensor.

    `humidity`: coefficients of the powers 0, 1, 2 ... of the temperature [C]. `first_c`, `last_c`: from where to where they
    hold. `errors`: the stated uncertainty [% RH] every `STEP_C` from `first_c` on, taken as what 95 of 100 values lie within.
    """

    formula: str
    humidity: tuple[float, ...]
    first_c: float
    last_c: float
    errors: tuple[float, ...]


#: By name. Greenspan 1977, J. Res. NBS 81A:89-96. The coefficients were seen in copies in other people's code, which disagree
#: with each other in the sign of the second number of lithium chloride and potassium carbonate; the signs here are those that
#: give the printed table (11.3 % and 43.2 % at 25 C, seen). Those of sodium bromide are ours, fitted to his table, of which
#: 5 to 25 C were seen to a tenth and the rest is from memory. All uncertainties are from memory; that they are meant as two
#: standard deviations is our reading.
SALTS: Mapping[str, Salt] = MappingProxyType(
    {
        "table salt": Salt(
            "NaCl",
            (75.5164, 0.0398321, -2.65459e-3, 2.848e-5),
            0.0,
            50.0,
            (0.34, 0.27, 0.22, 0.18, 0.14, 0.12, 0.11, 0.12, 0.13, 0.16, 0.19),
        ),
        "magnesium chloride": Salt(
            "MgCl2",
            (33.6686, -7.97397e-3, -1.08988e-3),
            0.0,
            50.0,
            (0.33, 0.28, 0.24, 0.21, 0.18, 0.16, 0.14, 0.13, 0.13, 0.13, 0.14),
        ),
        "potassium chloride": Salt(
            "KCl",
            (88.6190, -0.193340, 8.99706e-4),
            0.0,
            50.0,
            (0.53, 0.45, 0.39, 0.33, 0.29, 0.26, 0.25, 0.25, 0.25, 0.28, 0.31),
        ),
        "potassium carbonate": Salt(
            "K2CO3", (43.1315, 1.47523e-3), 0.0, 30.0, (0.66, 0.50, 0.39, 0.33, 0.33, 0.39, 0.50)
        ),
        "magnesium nitrate": Salt(
            "Mg(NO3)2",
            (60.3514, -0.298153),
            0.0,
            50.0,
            (0.55, 0.43, 0.33, 0.27, 0.23, 0.22, 0.24, 0.29, 0.37, 0.47, 0.60),
        ),
        "sodium bromide": Salt(
            "NaBr",
            (64.7097, -0.221331, -4.04312e-3, 5.91453e-5),
            5.0,
            50.0,
            (0.72, 0.60, 0.51, 0.44, 0.40, 0.38, 0.38, 0.41, 0.47, 0.55),
        ),
        "lithium chloride": Salt(
            "LiCl",
            (11.2323, 8.24245e-3, -2.14890e-4),
            0.0,
            50.0,
            (0.54, 0.47, 0.41, 0.35, 0.31, 0.27, 0.24, 0.22, 0.21, 0.21, 0.22),
        ),
        "potassium nitrate": Salt(
            "KNO3",
            (96.3361, 0.0112371, -4.84514e-3),
            0.0,
            50.0,
            (2.9, 2.1, 1.4, 0.96, 0.66, 0.55, 0.60, 0.83, 1.2, 1.8, 2.5),
        ),
        "potassium sulfate": Salt(
            "K2SO4",
            (98.7792, -0.0590502),
            0.0,
            50.0,
            (1.1, 0.91, 0.76, 0.63, 0.53, 0.45, 0.40, 0.38, 0.38, 0.40, 0.45),
        ),
    }
)


def salt_humidity(salt: Salt, t: float) -> float:
    """Return the relative humidity [% RH] over the saturated solution at `t` [C], between `first_c` and `last_c` of the salt.

    A polynomial in t (Greenspan 1977, eq. 1 by memory). NaN outside.
    """
    if not salt.first_c <= t <= salt.last_c:
        return math.nan
    return sum(a * t**n for n, a in enumerate(salt.humidity))


def salt_slope(salt: Salt, t: float) -> float:
    """Return how it changes with temperature [% RH for each degree]; NaN where `salt_humidity` is."""
    if not salt.first_c <= t <= salt.last_c:
        return math.nan
    return sum(n * a * t ** (n - 1) for n, a in enumerate(salt.humidity) if n)


def salt_error(salt: Salt, t: float) -> float:
    """Return the standard deviation [% RH] of `salt_humidity`: half the stated uncertainty, in straight lines between its entries.

    NaN where `salt_humidity` is.
    """
    if not salt.first_c <= t <= salt.last_c:
        return math.nan
    place = (t - salt.first_c) / STEP_C
    before = min(int(place), len(salt.errors) - 2)
    part = place - before
    return 0.5 * (salt.errors[before] + part * (salt.errors[before + 1] - salt.errors[before]))
