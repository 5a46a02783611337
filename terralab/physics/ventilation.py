"""Air exchange with the room: gaps, pairs of vents, single slots, the open lid, the fan. Volume flows in m3/s.

An opening without area passes nothing. `lightness` is a share of density with its own bounds, -2 to 2; outside them,
and for an area, height or share below 0 (a share above 1), the answer is NaN.
"""

import math

from terralab.compiled import kernel
from terralab.physics.constants import GRAVITY

SMOOTH = 1.0e-5  # density difference (share) below which the square root is straightened


@kernel
def root(lightness):
    """Square root of |lightness| made straight near zero: x / (x^2 + s^2)^(1/4), so that its slope stays finite.

    NaN unless lightness is -2 to 2.
    """
    if not -2.0 <= lightness <= 2.0:
        return math.nan
    x = abs(lightness)
    return x / math.sqrt(math.sqrt(x * x + SMOOTH * SMOOTH))


@kernel
def two_openings(lightness, low, high, apart, discharge):
    """Flow [m3/s] in at one opening and out at another of areas low, high [m2], `apart` [m] in height.

    Q = Cd A_e sqrt(2 g' H), A_e = (low^-2 + high^-2)^(-1/2), g' = g |lightness|.
    Source: ASHRAE Fundamentals, stack effect (1997 ch. 25 eq. 37; later ch. 16).
    """
    if not (low >= 0.0 and high >= 0.0 and apart >= 0.0 and 0.0 < discharge <= 1.0 and -2.0 <= lightness <= 2.0):
        return math.nan
    if low == 0.0 or high == 0.0:
        return 0.0
    area = 1.0 / math.sqrt(1.0 / (low * low) + 1.0 / (high * high))
    return discharge * area * math.sqrt(2.0 * GRAVITY * apart) * root(lightness)


@kernel
def neutral_level(low, high, apart):
    """Height [m] above the lower of two openings at which inside and room have the same pressure.

    What one opening lets in the other lets out, so apart high^2/(low^2 + high^2): near the larger opening. Below it
    room air enters a light box, above it box air leaves; in a box whose air is heavier than the room's both turn
    round. Areas [m2], `apart` [m]. Source: ASHRAE Fundamentals, stack effect (as `two_openings`).
    """
    if not (low > 0.0 and high > 0.0 and apart >= 0.0):
        return math.nan
    return apart * high * high / (low * low + high * high)


@kernel
def one_opening(lightness, area, height, discharge):
    """Exchange [m3/s] through a single upright opening: Q = Cd/3 A sqrt(g' H). Brown & Solvason 1962.

    The same as the single-sided window without wind of Warren & Parkins 1985 (from memory).
    """
    if not (area >= 0.0 and height >= 0.0 and 0.0 < discharge <= 1.0):
        return math.nan
    return discharge / 3.0 * area * math.sqrt(GRAVITY * height) * root(lightness)


@kernel
def open_lid(lightness, area, factor, diffusivity):
    """Exchange [m3/s] through a level opening of `area` [m2] when the air inside is lighter (lightness > 0).

    Q = factor 0.055 sqrt(g' D^5), D the diameter of equal area (Epstein 1988, coefficient from memory); the
    factor stands for the mesh (a wide range: no relation was found in print). Heavier air inside: diffusion only.
    """
    if not (area >= 0.0 and factor >= 0.0 and diffusivity > 0.0 and -2.0 <= lightness <= 2.0):
        return math.nan
    diameter = math.sqrt(4.0 * area / math.pi)
    still = diffusivity * diameter
    if lightness <= 0.0:
        return still
    return still + factor * 0.055 * math.sqrt(GRAVITY) * diameter * diameter * math.sqrt(diameter) * root(lightness)


@kernel
def stack_and_fan(stack, fan):
    """Natural and fan flow through the same openings together [m3/s]: root of squares (ASHRAE Fundamentals ch. 16).

    NaN if one of them is below 0.
    """
    if not (stack >= 0.0 and fan >= 0.0):
        return math.nan
    return math.sqrt(stack * stack + fan * fan)
