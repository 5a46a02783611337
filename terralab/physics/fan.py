"""What a fan adds to the opening it sits in: its own falling pressure, as a loss. Pressures Pa, flows m3/s, areas m2."""

import math


def blowing_loss(free_flow, shut_off, area):
    """Viscous loss [Pa s/m] that makes an opening of `area` [m2] behind a push of `shut_off` [Pa] a fan.

    Along a straight curve the fan gives shut_off (1 - q/free_flow): a push that does not change, less a loss in step
    with the flow. Real curves of small axial fans lie about there, with a dent in the middle that is left out (a
    simplification without source). A number that cannot be (below 0, NaN) gives NaN.
    """
    if not (free_flow > 0.0 and shut_off >= 0.0 and area > 0.0):
        return math.nan
    return shut_off * area / free_flow
