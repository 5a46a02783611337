"""Roots: where they draw water and when they stop."""

import math

from terralab.jit import kernel


@kernel
def water_stress(head, air_filled, wet_limit, start, stop):
    """Share of its demand that a root can draw [-] at `head` [m] with `air_filled` [m3/m3] pore space.

    One between the limits; falls to nothing as air runs out (from wet_limit to half of it) and as suction grows
    from `start` to `stop` [m, negative]. Feddes, Kowalik & Zaradny 1978; 10 % air after Wesseling & van Wijk 1957. The
    fall from wet_limit to half of it is a choice of this model (a guess). Less air than none counts as none. NaN
    for NaN, unless wet_limit is above 0 and at most 1, and unless stop < start <= 0.
    """
    if not (-math.inf < head < math.inf and air_filled <= 1.0 and 0.0 < wet_limit <= 1.0 and stop < start <= 0.0):
        return math.nan
    dry = 1.0
    if head <= stop:
        dry = 0.0
    elif head < start:
        dry = (stop - head) / (stop - start)
    wet = 1.0
    half = 0.5 * wet_limit
    if air_filled <= half:
        wet = 0.0
    elif air_filled < wet_limit:
        wet = (air_filled - half) / half
    return dry * wet
