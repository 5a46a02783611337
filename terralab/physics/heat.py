"""Heat in soil and aggregate: conductivity and capacity against water content."""

from terralab.compiled import kernel
from terralab.physics.constants import GAS_VAPOUR, WATER_DENSITY, WATER_HEAT, ZERO_CELSIUS
from terralab.physics.moist_air import latent_heat


@kernel
def soil_conductivity(theta, theta_s, dry, wet):
    """Thermal conductivity [W/mK]: straight between `dry` at no water and `wet` at theta_s.

    Peat is exactly so: 0.04 + 0.511 theta (Moene & van Dam 2014, Table 2.2); sand is higher in between.
    """
    return dry + (wet - dry) * min(1.0, theta / theta_s)


@kernel
def soil_capacity(theta, dry):
    """Heat capacity [J/m3K] of a mix holding theta [m3/m3] water: dry + theta rho c (peat: 0.25 + 4.18 theta MJ)."""
    return dry + theta * WATER_DENSITY * WATER_HEAT


@kernel
def vapour_heat_conductivity(diffusivity, humidity, density_sat, t_c):
    """Heat that diffusing vapour carries as latent heat, as a conductivity [W/mK] (Philip & de Vries 1957).

    L D_eff a drho_sat/dT, with drho_sat/dT = rho_sat / T (L / (R_v T) - 1) [kg/m3K] after Clausius and Clapeyron;
    diffusivity [m2/s] of vapour in the pores, humidity a [-] of the pore air.
    """
    t = t_c + ZERO_CELSIUS
    latent = latent_heat(t_c)
    return latent * diffusivity * humidity * density_sat / t * (latent / (GAS_VAPOUR * t) - 1.0)
