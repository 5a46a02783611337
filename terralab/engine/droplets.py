"""Floating droplets within one implicit stage: they and the vapour they make are met together."""

import math

from terralab.jit import inner
from terralab.physics.fog import mist_haste, mist_left


@inner
def droplets(k, lack, drop):
    """Evaporation of droplets [kg/s], negative where air above saturation makes some, at the end of a stage.

    `lack` is the share of saturation that the air would lack without it, `drop` how much each kg/s takes off that.
    Supply and lack are met together, in closed form: droplets in nearly saturated air are a switch that guessing
    and correcting does not follow. Drops that float grow in overfull air as fast as they shrink in air that lacks as
    much (the same diffusion, Hinds 1999 ch. 13, from memory), and mist forms besides.
    """
    e = k.fog_owed
    left = lack - drop * e
    if left <= 0.0:
        grow = k.fog_supply / k.fog_held
        over = mist_left(-left, k.fog_mist * drop, grow * drop)
        return e - grow * over - k.fog_mist * mist_haste(over)
    if k.fog_supply == 0.0:
        return e
    p = k.fog_held + k.fog_haste * left + k.fog_supply * drop
    root = math.sqrt(max(0.0, p * p - 4.0 * k.fog_haste * drop * k.fog_supply * left))
    return e + 2.0 * k.fog_supply * left / (p + root)
