"""Heat in soil and aggregate: conductivity and capacity against water content."""

from terralab.compiled import kernel
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT


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
