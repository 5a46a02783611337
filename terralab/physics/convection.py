"""Heat and vapour transfer between a surface and the air beside it.

Heat coefficients are W/m2K. The vapour conductance follows from heat transfer by the analogy of Chilton &
Colburn 1934 and is driven by humidity ratio (kg/m2s per kg/kg), the right criterion when surface and air differ
in temperature.
"""

import math

import numpy as np

from terralab.compiled import kernel
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
    """Heat coefficient [W/m2K] of air at `speed` [m/s] along a plate of `length` [m]; NaN unless both > 0.

    Nu = 0.664 Re^(1/2) Pr^(1/3), laminar, Re < 5e5 (Incropera & DeWitt; Pohlhausen 1921).
    """
    if not (speed > 0.0 and length > 0.0):
        return math.nan
    reynolds = speed * length / AIR_VISCOSITY
    return 0.664 * math.sqrt(reynolds) * AIR_PRANDTL ** (1.0 / 3.0) * AIR_CONDUCTIVITY / length


@kernel
def natural_horizontal(lightness, length):
    """Heat coefficient [W/m2K] above a level surface of `length` [m] by natural convection.

    lightness [-]: how much lighter than the room air the air at the surface is, as a share of density
    (`moist_air.virtual_temperature_excess`). Positive: Nu = 0.54 Ra^(1/4); negative (a cool surface under
    lighter air): Nu = 0.27 Ra^(1/4). Above Ra of about 2e7 a warm surface stirs the air more: Nu = 0.14 Ra^(1/3).
    McAdams 1954, Heat Transmission, ch. 7 (from memory).
    """
    rayleigh = GRAVITY * abs(lightness) * length**3 * AIR_PRANDTL / (AIR_VISCOSITY * AIR_VISCOSITY)
    if lightness > 0.0 and rayleigh > STIRRED:
        return 0.14 * np.cbrt(rayleigh) * AIR_CONDUCTIVITY / length
    share = 0.54 if lightness > 0.0 else 0.27
    return share * math.sqrt(math.sqrt(rayleigh)) * AIR_CONDUCTIVITY / length


@kernel
def natural_vertical(lightness, height):
    """Heat coefficient [W/m2K] along an upright pane of `height` [m]: Nu = 0.59 Ra^(1/4) (McAdams 1954, from memory)."""
    rayleigh = GRAVITY * abs(lightness) * height**3 * AIR_PRANDTL / (AIR_VISCOSITY * AIR_VISCOSITY)
    return 0.59 * math.sqrt(math.sqrt(rayleigh)) * AIR_CONDUCTIVITY / height


@kernel
def combined(forced, natural):
    """Forced and natural convection together [W/m2K]: (a^3 + b^3)^(1/3) (Churchill 1977)."""
    return np.cbrt(forced**3 + natural**3)


@kernel
def vapour_conductance(heat_coefficient):
    """Conductance for vapour [kg/m2s per unit humidity ratio] beside `heat_coefficient` [W/m2K].

    g = h / cp Le^(-2/3), Chilton & Colburn 1934, Le = 0.85; cp is that of moist air per kilogram of dry air, as the
    humidity ratio asks for. It gives 3 % more than vapour density as the driver, the draught of evaporation itself.
    """
    return heat_coefficient * LEWIS_FACTOR / HUMID_HEAT


@kernel
def in_series(conductance, resistance):
    """A conductance [kg/m2s] behind a further resistance [s/m]: 1 / (1/g + r/rho).

    Resistances in s/m belong to vapour density; rho = 1.14 kg/m3 is its change with humidity ratio near 22 C.
    """
    return 1.0 / (1.0 / conductance + resistance / DENSITY_PER_RATIO)


@kernel
def litter_resistance(thickness, porosity, factor, diffusivity):
    """Resistance [s/m] of a loose cover: thickness / (D_v porosity^(4/3)) times a field factor 0 to 1.

    porosity^(4/3) is Millington & Quirk 1961 for dry litter; field reductions of evaporation are smaller than
    diffusion alone gives, which the factor stands for (a range, see the covers table).
    """
    return factor * thickness / (diffusivity * porosity ** (4.0 / 3.0))
