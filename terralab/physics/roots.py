"""Roots: where they draw water and when they stop."""

from terralab.compiled import kernel


@kernel
def water_stress(head, air_filled, wet_limit, start, stop):
    """Share of its demand that a root can draw [-] at `head` [m] with `air_filled` [m3/m3] pore space.

    One between the limits; falls to nothing as air runs out (from wet_limit to half of it) and as suction grows
    from `start` to `stop` [m, negative]. Feddes, Kowalik & Zaradny 1978; 10 % air after Wesseling & van Wijk 1957. The
    fall from wet_limit to half of it is a choice of this model (a guess).
    """
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
