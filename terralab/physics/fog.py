"""Floating droplets: how fast they evaporate, how fast they sink."""

import math

from terralab.compiled import kernel
from terralab.physics.constants import AIR_CONDUCTIVITY, WATER_DENSITY
from terralab.physics.moist_air import latent_heat, saturated_vapour_density


@kernel
def evaporation_rate(diameter, diffusivity, density_sat, cooling):
    """Rate constant [1/s] per unit of missing saturation: 12 D c_sat / (rho_w d^2) cooling.

    A drop of diameter d [m] in air lacking a share x of saturation loses mass at this constant times x. The
    factor `cooling` (about 0.25 at 25 C) is the drop's own chill. d-squared law, Hinds 1999 ch. 13 (from memory).
    """
    return 12.0 * diffusivity * density_sat * cooling / (WATER_DENSITY * diameter * diameter)


@kernel
def settling_speed(diameter):
    """Speed [m/s] at which a water drop of `diameter` [m] sinks in air, 1 to 300 um; NaN outside.

    Stokes with the drag of Schiller & Naumann 1933: iterate Re; Hinds 1999 ch. 3.
    """
    if not 1e-6 <= diameter <= 3e-4:
        return math.nan
    stokes = 998.0 * 9.80665 * diameter * diameter / (18.0 * 1.83e-5)
    speed = stokes
    for _ in range(50):
        reynolds = 1.19 * speed * diameter / 1.83e-5
        speed = stokes / (1.0 + 0.15 * reynolds**0.687)
    return speed


@kernel
def chill_factor(t_c, diffusivity):
    """How much its own cooling slows a drop in air of t_c [C] [-]: 1 / (1 + D L dc_sat/dT / k), D in m2/s.

    The slope is taken at the drop, about 1.4 K below the air at 90 %. Hinds 1999 ch. 13 (from memory).
    """
    t_drop = t_c - 1.4
    slope = saturated_vapour_density(t_drop + 0.5) - saturated_vapour_density(t_drop - 0.5)
    return 1.0 / (1.0 + diffusivity * latent_heat(t_c) * slope / AIR_CONDUCTIVITY)
