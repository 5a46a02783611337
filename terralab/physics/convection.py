"""Heat and vapour transfer between a surface and the air beside it.

Heat coefficients are W/m2K. The vapour conductance follows from heat transfer by the analogy of Chilton &
Colburn 1934 and is driven by humidity ratio (kg/m2s per kg/kg), the right criterion when surface and air differ
in temperature.
"""

import math

import numpy as np

from terralab.jit import kernel
from terralab.physics.constants import (
    AIR_CONDUCTIVITY,
    AIR_PRANDTL,
    AIR_VISCOSITY,
    DENSITY_PER_RATIO,
    GRAVITY,
    HUMID_HEAT,
    LEWIS_FACTOR,
)

STIRRED = (0.54 / 0.14) ** 12  # Rayleigh number above which the law of the third root gives more: 1.1e7


@kernel
def forced_plate(speed, length):
    """Heat coefficient [W/m2K] of air at `speed` [m/s] along a plate of `length` [m].

    Nu = 0.664 Re^(1/2) Pr^(1/3), laminar, up to Re = 5e5 (Pohlhausen 1921; Incropera & DeWitt 2002); above, only a
    gale in a glasshouse, the tail is turbulent: Nu = (0.037 Re^(4/5) - 871) Pr^(1/3). NaN unless speed and length
    are above 0, and above Re = 1e8.
    """
    if not (speed > 0.0 and length > 0.0 and speed * length <= 1e8 * AIR_VISCOSITY):
        return math.nan
    reynolds = speed * length / AIR_VISCOSITY
    nusselt = 0.664 * math.sqrt(reynolds)
    if reynolds > 5e5:
        nusselt = 0.037 * reynolds**0.8 - 871.0
    return nusselt * AIR_PRANDTL ** (1.0 / 3.0) * AIR_CONDUCTIVITY / length


@kernel
def natural_horizontal(lightness, length):
    """Heat coefficient [W/m2K] above a level surface of `length` [m] by natural convection.

    lightness [-]: how much lighter than the room air the air at the surface is, as a share of density
    (`moist_air.lightness`). Positive: Nu = 0.54 Ra^(1/4); negative (a cool surface under
    lighter air): Nu = 0.27 Ra^(1/4). Above Ra of about 1.1e7 a warm surface stirs the air more: Nu = 0.14 Ra^(1/3).
    McAdams 1954, Heat Transmission, ch. 7: 0.54 and 0.27 as in the library ht, 0.14 from memory (ht has 0.15). Fitted
    for Ra of 1e4 to 1e11, used outside too. NaN unless lightness is within its own bounds, -2 to 2, and length above 0.
    """
    if not (-2.0 <= lightness <= 2.0 and length > 0.0):
        return math.nan
    rayleigh = GRAVITY * abs(lightness) * length**3 * AIR_PRANDTL / (AIR_VISCOSITY * AIR_VISCOSITY)
    if lightness > 0.0 and rayleigh > STIRRED:
        return 0.14 * np.cbrt(rayleigh) * AIR_CONDUCTIVITY / length
    share = 0.54 if lightness > 0.0 else 0.27
    return share * math.sqrt(math.sqrt(rayleigh)) * AIR_CONDUCTIVITY / length


@kernel
def natural_vertical(lightness, height):
    """Heat coefficient [W/m2K] along an upright pane of `height` [m]: Nu = 0.59 Ra^(1/4) (McAdams 1954, as quoted).

    Fitted for Ra of 1e4 to 1e9, used outside too. NaN unless lightness is -2 to 2 and height above 0.
    """
    if not (-2.0 <= lightness <= 2.0 and height > 0.0):
        return math.nan
    rayleigh = GRAVITY * abs(lightness) * height**3 * AIR_PRANDTL / (AIR_VISCOSITY * AIR_VISCOSITY)
    return 0.59 * math.sqrt(math.sqrt(rayleigh)) * AIR_CONDUCTIVITY / height


@kernel
def combined(forced, natural):
    """Forced and natural convection together [W/m2K]: (a^3 + b^3)^(1/3) (Churchill 1977); NaN if one is below 0."""
    if not (forced >= 0.0 and natural >= 0.0):
        return math.nan
    return np.cbrt(forced**3 + natural**3)


@kernel
def vapour_conductance(heat_coefficient):
    """Conductance for vapour [kg/m2s per unit humidity ratio] beside `heat_coefficient` [W/m2K].

    g = h / cp Le^(-2/3), Chilton & Colburn 1934, Le = 0.85; cp is that of moist air per kilogram of dry air, as the
    humidity ratio asks for. It gives 3 % more than vapour density as the driver, the draught of evaporation itself.
    NaN for a coefficient below 0.
    """
    if not heat_coefficient >= 0.0:
        return math.nan
    return heat_coefficient * LEWIS_FACTOR / HUMID_HEAT


@kernel
def in_series(conductance, resistance):
    """A conductance [kg/m2s] behind a further resistance [s/m]: 1 / (1/g + r/rho).

    Resistances in s/m belong to vapour density; rho = 1.14 kg/m3 is its change with humidity ratio near 22 C. NaN if
    one of the two is below 0.
    """
    if not (conductance >= 0.0 and resistance >= 0.0):
        return math.nan
    return conductance / (1.0 + conductance * resistance / DENSITY_PER_RATIO)


@kernel
def litter_resistance(thickness, porosity, factor, diffusivity):
    """Resistance [s/m] of a loose cover: thickness / (D_v porosity^(4/3)) times a field factor 0 to 1.

    porosity^(4/3) is Millington & Quirk 1961 for dry litter; field reductions of evaporation are smaller than
    diffusion alone gives, which the factor stands for (a range, see the covers table). NaN for a thickness below 0, a porosity outside 0 to 1 (0
    excluded), a factor outside 0 to 1 and a diffusivity not above 0.
    """
    if not (thickness >= 0.0 and 0.0 < porosity <= 1.0 and 0.0 <= factor <= 1.0 and diffusivity > 0.0):
        return math.nan
    return factor * thickness / (diffusivity * porosity ** (4.0 / 3.0))
