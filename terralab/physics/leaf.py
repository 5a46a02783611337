"""Leaf pores: how much vapour one side of a leaf lets out, by the light on it, the dryness of the air and its warmth.

Light is photosynthetic light in umol/m2/s, resistances are s/m, and one side of the leaf counts. What cannot be gives
NaN.
"""

import math

from terralab.jit import kernel

DRIEST, DAMPEST = 2.5, 0.4  # kPa, the dryness between which palms showed what it does
COOLEST, WARMEST = 15.0, 33.0  # C, the warmth between which they did (17 to 33, widened by a little)
REFERENCE_C = 25.0  # C, warmth at which `warming` is 1


@kernel
def leaf_conductance(light, dark, full, half):
    """Conductance of a leaf's pores and skin [m/s] in `light` [umol/m2/s]: 1/dark + (1/full - 1/dark) Q/(Q + half).

    `dark` and `full` are resistances [s/m] in the dark and in much light, `half` the light [umol/m2/s] that brings half
    of the change. A hyperbola in the manner of Jarvis 1976 (form from memory); held against palms on scales in the
    tests. For plants that open at night `dark` is the smaller resistance, and conductance falls with light. NaN for
    light below 0, and unless both resistances and `half` are above 0.
    """
    if not (0.0 <= light < math.inf and 0.0 < dark < math.inf and 0.0 < full < math.inf and 0.0 < half < math.inf):
        return math.nan
    return 1.0 / dark + (1.0 / full - 1.0 / dark) * (light / (light + half))


@kernel
def closing(vpd_kpa, exponent):
    """Factor [-] on what light adds to the conductance, by the dryness of the air: (vpd/1 kPa)^-exponent.

    `vpd_kpa` [kPa] is what the air lacks of saturation; it counts as 0.4 below and as 2.5 above, beyond which heat,
    dryness and surplus water in the pots of the measurement cannot be told apart. Air above saturation counts as 0.4. An
    exponent of 0 leaves the leaf alone. Fitted to palms on scales (Perez and others 2025) together with `warming`:
    across their days warmth came with dryness and hid it. With both, the water of whole palm days of 16 to 23 C and of
    23 to 32 C comes out within 11 %; by light alone a fifth of that of warm days is missing. NaN for an endless dryness,
    and unless the exponent is 0 to 1.
    """
    if not (-math.inf < vpd_kpa < math.inf and 0.0 <= exponent <= 1.0):
        return math.nan
    return min(DRIEST, max(DAMPEST, vpd_kpa)) ** -exponent


@kernel
def warming(t_c, slope):
    """Factor [-] on what light adds to the conductance, by the warmth of the leaf: exp(slope (t - 25 C)).

    `t_c` [C] counts as 15 below and as 33 above; `slope` [1/K] is 0 for a leaf that does not care. Belongs to `closing`,
    with which it was fitted (Perez and others 2025). NaN outside -40 to 200 C, and unless the slope is 0 to 0.2.
    """
    if not (-40.0 <= t_c <= 200.0 and 0.0 <= slope <= 0.2):
        return math.nan
    return math.exp(slope * (min(WARMEST, max(COOLEST, t_c)) - REFERENCE_C))
