"""A cord of fibres that leads water from the standing water below up into the soil, or down out of it.

SI units: heads and lengths m, conductivity m/s, flow m/s of the cord's cross-section, positive downwards.
"""

import math

from terralab.jit import kernel

LAST_WATER = 2.0e-3  # m: below this depth of standing water a cord draws less and less, and at none nothing


@kernel
def wetness(head, rise):
    """Flow that a cord's wet share allows at `head` [m], added up from dry, as a share of full [-], and its slope [1/m].

    exp(head / rise) below the water table (Gardner 1958, Soil Sci. 85:228-232), 1 above. `rise` [m], above 0, is the
    cord's capillary length, 1/alpha.
    """
    if head >= 0.0:
        return 1.0, 0.0
    x = head / rise
    if x < -700.0:
        x = -700.0
    u = math.exp(x)
    return u, u / rise


@kernel
def wick_flow(head, half, level, depth, conducts, rise):
    """Steady flow [m/s] down a cord from soil to standing water, and its slopes by the soil's head and by the level.

    The cord ends `half` [m] above the mesh, in soil of the given `head` [m]. `level` [m] is that of the water, counted
    from the mesh; the layer's floor is `depth` [m] below it. `conducts` [m/s] when full, `rise` [m]: see `wetness`.
    Over the length L between both q = conducts (u - exp(-L/rise)) / (1 - exp(-L/rise)): Darcy's law solved for such a
    cord, as Rimmer, Steenhuis & Selker 1995 (Soil Sci. Soc. Am. J. 59:88-92) do for the wicks of soil-water samplers.
    Pressure above 0 at either end adds conducts times its difference over L; exact but where water stands over the
    mesh and the soil sucks (0.3 % off at 20 cm of suction). Negative: water rises. It rises at most at
    conducts / (exp(L/rise) - 1), however dry the soil: that limits the height. An empty layer gives nothing, but
    still takes what the cord lets down.
    """
    length = half - level if level < 0.0 else half
    u, u_h = wetness(head, rise)
    fall = math.exp(-length / rise)
    free = 1.0 - fall
    q = conducts * (u - fall) / free
    q_h = conducts * u_h / free
    q_l = 0.0
    if level < 0.0:
        # a higher level: a shorter cord
        q_l = conducts * (u - 1.0) * fall / (rise * free * free)
    else:
        q -= conducts * level / length
        q_l = -conducts / length
    if head > 0.0:
        q += conducts * head / length
        q_h = conducts / length
        if level < 0.0:
            q_l += conducts * head / (length * length)
    if q < 0.0:
        left = (level + depth) / LAST_WATER
        if left <= 0.0:
            return 0.0, 0.0, 0.0
        if left < 1.0:
            # a smooth end: no jump of the flow or of its slope
            share = left * left * (3.0 - 2.0 * left)
            q_l = share * q_l + q * 6.0 * left * (1.0 - left) / LAST_WATER
            return share * q, share * q_h, q_l
    return q, q_h, q_l
