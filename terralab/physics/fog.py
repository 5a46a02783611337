"""Floating droplets: how fast they evaporate, how fast they sink, how fast mist forms."""

import math

from terralab.jit import kernel
from terralab.physics.constants import AIR_CONDUCTIVITY, WATER_DENSITY
from terralab.physics.moist_air import latent_heat, saturated_vapour_density

ONSET = 0.001  # -, supersaturation at which twice as many drops grow as in air just full (see `mist_haste`)


@kernel
def evaporation_rate(diameter, diffusivity, density_sat, cooling):
    """Rate constant [1/s] per unit of missing saturation: 12 D c_sat / (rho_w d^2) cooling.

    A drop of diameter d [m] in air lacking a share x of saturation loses mass at this constant times x. The
    factor `cooling` (about 0.25 at 25 C) is the drop's own chill. d-squared law, Hinds 1999 ch. 13 (from memory).
    NaN unless diameter, diffusivity and density are above 0 and cooling 0 to 1.
    """
    if not (diameter > 0.0 and diffusivity > 0.0 and density_sat > 0.0 and 0.0 <= cooling <= 1.0):
        return math.nan
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
    NaN unless D is above 0 and t_c -38 to 199.
    """
    if not diffusivity > 0.0:
        return math.nan
    t_drop = t_c - 1.4
    slope = saturated_vapour_density(t_drop + 0.5) - saturated_vapour_density(t_drop - 0.5)
    return 1.0 / (1.0 + diffusivity * latent_heat(t_c) * slope / AIR_CONDUCTIVITY)


@kernel
def mist_haste(excess):
    """How fast mist forms in air with the share `excess` above saturation [-], in units of 1/(time to form mist).

    x + x^2/ONSET. The more the air is overfull, the more of its dust bears drops: their number grows about in
    proportion to the excess (Twomey 1959, N = c x^k with k 0.5 to 1, from memory), and each grows in proportion to
    it. With 10^9 drops of 1 um in a cubic metre at 1 %, the excess is taken up in 1/(4 pi D N r) = 3 s, a tenth of
    the 30 s of air just full: so ONSET is 0.001, a working estimate. NaN below 0.
    """
    if not excess >= 0.0:
        return math.nan
    return excess + excess * excess / ONSET


@kernel
def mist_left(excess, pull, growth):
    """Share above saturation [-] left of `excess` [-] where x + growth x + pull mist_haste(x) = excess, in closed form.

    `pull` [-] is how much a mist forming at the haste of 1 takes off the excess, `growth` [-] how much drops that
    float already take off it by growing, both per unit of what is left. NaN if one of them is below 0.
    """
    if not (excess >= 0.0 and pull >= 0.0 and growth >= 0.0):
        return math.nan
    b = 1.0 + pull + growth
    return 2.0 * excess / (b + math.sqrt(b * b + 4.0 * pull * excess / ONSET))
