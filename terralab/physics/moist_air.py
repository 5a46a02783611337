"""Moist air: saturation, humidity ratio, relative humidity, density, enthalpy.

Source: ASHRAE Handbook Fundamentals, chapter 1 (Hyland & Wexler 1983). Humidity ratio W is kg of water
vapour per kg of dry air. RH is never a state: it is derived from W and the temperature.
"""

import math

from terralab.jit import kernel
from terralab.physics.constants import (
    AIR_HEAT,
    GAS_AIR,
    GAS_VAPOUR,
    LATENT_ZERO,
    MASS_RATIO,
    PRESSURE,
    VAPOUR_HEAT,
    WATER_HEAT,
    ZERO_CELSIUS,
)

COLDEST, HOTTEST = -40.0, 200.0  # C: outside this, every function of a temperature gives NaN


@kernel
def saturation_pressure(t_c):
    """Vapour pressure over liquid water [Pa] at t_c [C]; valid 0 to 200 C, NaN outside -40 to 200.

    ln p = C8/T + C9 + C10 T + C11 T^2 + C12 T^3 + C13 ln T. Source: ASHRAE Fundamentals ch. 1 eq. 6.
    Below 0 C the curve over (supercooled) water is continued.
    """
    if not COLDEST <= t_c <= HOTTEST:
        return math.nan
    t = t_c + ZERO_CELSIUS
    return math.exp(
        -5.8002206e3 / t
        + 1.3914993
        + t * (-4.8640239e-2 + t * (4.1764768e-5 - 1.4452093e-8 * t))
        + 6.5459673 * math.log(t)
    )


@kernel
def saturation_slope(t_c, e_s):
    """Slope of the saturation pressure [Pa/K], given e_s = saturation_pressure(t_c) [Pa]; derivative of eq. 6.

    NaN outside -40 to 200 C and for e_s < 0.
    """
    if not (COLDEST <= t_c <= HOTTEST and e_s >= 0.0):
        return math.nan
    t = t_c + ZERO_CELSIUS
    return e_s * (
        5.8002206e3 / (t * t) - 4.8640239e-2 + t * (2.0 * 4.1764768e-5 - 3.0 * 1.4452093e-8 * t) + 6.5459673 / t
    )


@kernel
def humidity_ratio(e):
    """Humidity ratio W [kg/kg dry air] at vapour pressure e [Pa] and standard pressure; NaN unless 0 <= e < p.

    W = 0.621945 e / (p - e). Source: ASHRAE Fundamentals ch. 1 eq. 22.
    """
    if not 0.0 <= e < PRESSURE:
        return math.nan
    return MASS_RATIO * e / (PRESSURE - e)


@kernel
def damp_ratio(humidity, saturated):
    """Humidity ratio [kg/kg] of air at relative `humidity` [-] where saturated air has the ratio `saturated` [kg/kg].

    Humidity is a share of the vapour's pressure, not of its ratio: W = a W_s / (1 + (1 - a) W_s / 0.621945), which is
    below a W_s by up to 0.6 points of humidity at 20 C and 1.8 at 40. Returns W and its slopes by `humidity` and
    by `saturated`. Source: ASHRAE Fundamentals ch. 1 eq. 22. NaN below 0.
    """
    if not (humidity >= 0.0 and saturated >= 0.0):
        return math.nan, math.nan, math.nan
    dilution = 1.0 + (1.0 - humidity) * saturated / MASS_RATIO
    share = humidity / dilution
    return share * saturated, saturated * (1.0 + saturated / MASS_RATIO) / (dilution * dilution), share / dilution


@kernel
def vapour_pressure(w):
    """Vapour pressure [Pa] of air with humidity ratio w [kg/kg]; NaN for w < 0. Inverse of `humidity_ratio`."""
    if not w >= 0.0:
        return math.nan
    return PRESSURE * w / (MASS_RATIO + w)


@kernel
def relative_humidity(t_c, w):
    """Relative humidity [-] of air at t_c [C] with humidity ratio w [kg/kg]; above 1 means supersaturated.

    NaN outside -40 to 200 C and for w < 0.
    """
    return vapour_pressure(w) / saturation_pressure(t_c)


@kernel
def density(t_c, w):
    """Density of moist air [kg/m3] at t_c [C], humidity ratio w [kg/kg], standard pressure.

    rho = (p - 0.378 e) / (R_air T). Source: ideal mixture, ASHRAE Fundamentals ch. 1. NaN outside -40 to 200 C and
    for w < 0.
    """
    if not COLDEST <= t_c <= HOTTEST:
        return math.nan
    e = vapour_pressure(w)
    return (PRESSURE - (1.0 - MASS_RATIO) * e) / (GAS_AIR * (t_c + ZERO_CELSIUS))


@kernel
def saturated_vapour_density(t_c):
    """Vapour density at saturation [kg/m3] at t_c [C], -40 to 200, else NaN: e_s / (R_v T)."""
    return saturation_pressure(t_c) / (GAS_VAPOUR * (t_c + ZERO_CELSIUS))


@kernel
def vapour_enthalpy(t_c):
    """Enthalpy of water vapour [J/kg] at t_c [C], liquid at 0 C being zero; NaN outside -40 to 200 C.

    Source: ASHRAE Fundamentals ch. 1 eq. 28.
    """
    if not COLDEST <= t_c <= HOTTEST:
        return math.nan
    return LATENT_ZERO + VAPOUR_HEAT * t_c


@kernel
def latent_heat(t_c):
    """Heat that evaporates water at t_c [C], J/kg: vapour enthalpy less liquid enthalpy; NaN outside -40 to 200."""
    if not COLDEST <= t_c <= HOTTEST:
        return math.nan
    return LATENT_ZERO + (VAPOUR_HEAT - WATER_HEAT) * t_c


@kernel
def air_enthalpy(t_c, w):
    """Enthalpy of moist air [J per kg dry air] at t_c [C], humidity ratio w [kg/kg].

    Source: ASHRAE Fundamentals ch. 1 eq. 28. NaN outside -40 to 200 C and for w < 0.
    """
    if not (COLDEST <= t_c <= HOTTEST and w >= 0.0):
        return math.nan
    return AIR_HEAT * t_c + w * (LATENT_ZERO + VAPOUR_HEAT * t_c)


@kernel
def lightness(rho, rho_around):
    """How much lighter air of density rho [kg/m3] is than the air around it, as a share of their mean density [-].

    Positive when it would rise; NaN where `density` is. Humid air counts: 45 to 95 % RH at 24 C equals 1.7 K of warmth.
    """
    return 2.0 * (rho_around - rho) / (rho_around + rho)
