"""Leaves above leaves: the light they share, the air they take from each other, and what of them the panes can see.

`lai` is leaf area over the ground it stands on [-], one side of each leaf; light is umol/m2/s on a level place above the
leaves, and k its extinction [-]: the share that a thin layer of leaves takes up, over that layer's `lai`. What cannot be
gives NaN.
"""

import math

from terralab.jit import kernel


@kernel
def _taken(k, lai):
    """(1 - exp(-k lai))/lai for a k above 0: what a leaf of the canopy gets on the mean, of the light above it."""
    if k * lai < 1e-12:
        return k
    return -math.expm1(-k * lai) / lai


@kernel
def let_through(k, lai):
    """Share of the light above the leaves [-] that reaches the ground below: exp(-k lai) (Monsi & Saeki 1953, from memory).

    NaN unless k is above 0 and lai 0 or more.
    """
    if not (0.0 < k < math.inf and 0.0 <= lai < math.inf):
        return math.nan
    return math.exp(-k * lai)


@kernel
def mean_light(light, k, lai):
    """Light on a leaf [umol/m2/s], the mean of the canopy: Q (1 - exp(-k lai))/lai, and k Q for a single leaf.

    What all leaves get is then what the ground does not (Monsi & Saeki 1953, from memory). One leaf in this light
    breathes out up to 6 % more than all leaves in theirs at 30 umol/m2/s, 15 % in the densest canopy at 100. NaN for
    light below 0, and unless k is above 0 and lai 0 or more.
    """
    if not (0.0 <= light < math.inf and 0.0 < k < math.inf and 0.0 <= lai < math.inf):
        return math.nan
    return light * _taken(k, lai)


@kernel
def sunlit_share(k, lai):
    """Share of the leaf area [-] that the sun's beam falls on: (1 - exp(-k lai))/(k lai), 1 for a single leaf.

    `k` is the extinction of the beam. Campbell & Norman 1998. NaN unless k is above 0 and lai 0 or more.
    """
    if not (0.0 < k < math.inf and 0.0 <= lai < math.inf):
        return math.nan
    return _taken(k, lai) / k


@kernel
def two_lights(beam, diffuse, k_beam, k, lai):
    """Share of sunlit leaves [-], and the light on a sunlit and on a shaded leaf [umol/m2/s], where sun falls in.

    `beam` and `diffuse` are the sun's and all other light on a level place above the leaves. Each class has the mean of
    the diffuse light at the depths where it stands, sunlit leaves k_beam times the beam on top: all leaves together get
    what the ground does not. Two leaves in these lights breathe out up to 2 % more than all leaves in theirs; one leaf in
    the mean of both would breathe out 1.4 times as much at a lai of 2, twice as much at 5. NaN for light below 0, and
    unless both extinctions are above 0 and lai 0 or more.
    """
    share, mean = sunlit_share(k_beam, lai), mean_light(diffuse, k, lai)
    if not (0.0 <= beam < math.inf and share >= 0.0 and mean >= 0.0):
        return math.nan, math.nan, math.nan
    if share > 1.0 - 1e-7:  # a few leaves: none of them in the shade
        return share, k_beam * beam + mean, mean
    sunlit = diffuse * k * _taken(k + k_beam, lai) / ((k + k_beam) * share)
    return share, k_beam * beam + sunlit, max(0.0, mean - share * sunlit) / (1.0 - share)


@kernel
def sheltered(conductance, shelter):
    """What a leaf among leaves passes to the air [unit of `conductance`], of what it would pass alone: over `shelter`.

    `shelter` [-], 1 for a leaf alone, is the drop of the boundary layer's conductance in a crown (Jarvis & McNaughton
    1986, from memory). It serves heat and vapour alike. NaN for a conductance below 0 or a shelter below 1.
    """
    if not (0.0 <= conductance < math.inf and 1.0 <= shelter < math.inf):
        return math.nan
    return conductance / shelter


@kernel
def area_seen(leaf_area, ground, k):
    """Area [m2] with which leaves exchange heat rays with what stands around: 2 ground (1 - exp(-k lai))/k.

    `leaf_area` [m2] counts one side, `ground` [m2] is what the plants cover, `k` the extinction of heat rays in them. A
    leaf among leaves sees out upwards through those above it and downwards through those below. A few leaves show both
    their sides, 2 leaf_area; dense ones no more than 2 ground/k, an envelope that is as rough as the leaves stand
    upright. NaN for a leaf area below 0, and unless ground and k are above 0.
    """
    if not (0.0 <= leaf_area < math.inf and 0.0 < ground < math.inf and 0.0 < k < math.inf):
        return math.nan
    return 2.0 * ground * sunlit_share(k, leaf_area / ground) * (leaf_area / ground)
