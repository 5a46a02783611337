"""Heat in soil and aggregate: conductivity and capacity against water content."""

import math

from terralab.jit import kernel
from terralab.physics.constants import GAS_VAPOUR, WATER_DENSITY, WATER_HEAT, ZERO_CELSIUS
from terralab.physics.moist_air import latent_heat

DRIEST = -1e-6  # m3/m3: dry soil may hold less than nothing by round-off


@kernel
def soil_conductivity(theta, theta_s, dry, wet):
    """Thermal conductivity [W/mK]: straight between `dry` at no water and `wet` at theta_s.

    Peat is exactly so: 0.04 + 0.511 theta (Moene & van Dam 2014, Table 2.2); sand is higher in between.
    Wetter than full counts as full. NaN for theta below 0, theta_s outside 0 to 1, and ends not above 0.
    """
    if not (theta >= DRIEST and 0.0 < theta_s <= 1.0 and dry > 0.0 and wet > 0.0):
        return math.nan
    return dry + (wet - dry) * min(1.0, theta / theta_s)


@kernel
def soil_capacity(theta, dry):
    """Heat capacity [J/m3K] of a mix holding theta [m3/m3] water: dry + theta rho c (peat: 0.25 + 4.18 theta MJ).

    NaN for theta below 0 and `dry` [J/m3K] below 0.
    """
    if not (theta >= DRIEST and dry >= 0.0):
        return math.nan
    return dry + theta * WATER_DENSITY * WATER_HEAT


@kernel
def vapour_heat_conductivity(diffusivity, humidity, density_sat, t_c):
    """Heat that diffusing vapour carries as latent heat, as a conductivity [W/mK] (Philip & de Vries 1957).

    L D_eff a drho_sat/dT, with drho_sat/dT = rho_sat / T (L / (R_v T) - 1) [kg/m3K] after Clausius and Clapeyron;
    diffusivity [m2/s] of vapour in the pores, humidity a [-] of the pore air.
    NaN outside -40 to 200 C and if one of the others is below 0.
    """
    if not (diffusivity >= 0.0 and humidity >= 0.0 and density_sat >= 0.0):
        return math.nan
    t = t_c + ZERO_CELSIUS
    latent = latent_heat(t_c)
    return latent * diffusivity * humidity * density_sat / t * (latent / (GAS_VAPOUR * t) - 1.0)
