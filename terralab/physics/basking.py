"""The light and heat of a lamp on the place below it: a beam that widens with distance. Angles are in degrees.

NaN unless distance is above 0, the half angle between 0 and 90 degrees, and areas 0 or more.
"""

import math


def lit_area(distance, half_angle):
    """Return the area [m2] that a lamp's cone covers on a level place `distance` [m] below: pi d^2 tan^2(half angle).

    Geometry. `half_angle` [degrees] is measured from the middle of the beam to where its brightness has fallen to a half.
    NaN unless distance is above 0 and the angle between 0 and 90 degrees.
    """
    if not (0.0 < distance < math.inf and 0.0 < half_angle < 90.0):
        return math.nan
    return math.pi * (distance * math.tan(math.radians(half_angle))) ** 2


def share_on(area, distance, half_angle):
    """Return the share [-] of a lamp's radiant power that falls on a round patch of `area` [m2] in the middle of its beam.

    1 - 2^(-area / lit area): a bell-shaped beam, half of which falls beside the cone that its printed angle gives.
    Geometry. NaN where `lit_area` is, and for an area below 0.
    """
    lit = lit_area(distance, half_angle)
    if not (0.0 <= area < math.inf and lit > 0.0):
        return math.nan
    return -math.expm1(-math.log(2.0) * area / lit)
