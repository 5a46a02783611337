"""A dry, water-repellent mix takes up water only as it is kept in touch with it: what it refuses, holds and sheds.

A share of a mix that dried out refuses water at first. Kept in touch with water that share falls off with time, as
contact angles on dry peat do. What meets the refusing share of the mix runs past it.
"""

import math

from terralab.jit import kernel

SHUT = 0.05  # share that still refuses: below it the gap between mix and glass is taken to close (a choice)


@kernel
def dryness(filled, easy):
    """How repellent a mix is for its water [-]: 1 when air-dry, a straight line to 0 where it wets easily.

    `filled` [-]: how far its water has come from air-dry (0) to watered and drained (1). `easy` [-]: where on that way it
    wets easily. Peat is hydrophilic again at 60 % of water by weight: Durand et al. 2021, Agronomy 11:907; the straight
    line is a choice. NaN for NaN, and unless both are finite and easy lies above 0.
    """
    if not (-math.inf < filled < math.inf and 0.0 < easy < math.inf):
        return math.nan
    return min(1.0, max(0.0, 1.0 - filled / easy))


@kernel
def refusing(share, dry, contact, wetting_time):
    """Share [-] of a mix that still refuses water after `contact` [s] with it.

    `share` [-]: what refuses at first when air-dry; `dry` [-] from `dryness`; `wetting_time` [s]: in which it falls to 1/e.
    The form is a choice that repeats what ten waterings in a row showed of peat, coir and bark (Schulker et al. 2020,
    Agronomy 10:1389, abstract). NaN unless the shares are 0 to 1, the contact 0 or more and the time above 0.
    """
    if not (0.0 <= share <= 1.0 and 0.0 <= dry <= 1.0 and 0.0 <= contact < math.inf and 0.0 < wetting_time < math.inf):
        return math.nan
    return share * dry * math.exp(-contact / wetting_time)


@kernel
def sheds(depth, lasts, takes, pond, refuses):
    """What of a pour [m] stands too high on a shrunken mix and runs down the gap along the glass [m].

    `depth` [m] poured in `lasts` [s] on a surface that takes up to `takes` [m/s] and on which up to `pond` [m] may stand. The
    gap is open while more than `SHUT` of the mix refuses water (`refuses` [-]) and narrows in proportion below it; what does
    not run down it stands and soaks in later. NaN for NaN, for anything below 0, without end, or a share above 1.
    """
    if not (0.0 <= depth < math.inf and 0.0 <= lasts < math.inf and 0.0 <= takes < math.inf and 0.0 <= pond < math.inf):
        return math.nan
    if not 0.0 <= refuses <= 1.0:
        return math.nan
    return max(0.0, depth - takes * lasts - pond) * min(1.0, refuses / SHUT)


@kernel
def holds(depth, refuses, room, held):
    """What a mix keeps [m] of `depth` [m] of water that goes into it, `refuses` [-] of which meets mix that takes none.

    No more than there is room for in the part that takes water: `room` [m] is that of the whole mix, `held` [m] what it has
    taken up so far. NaN for NaN, for anything below 0, without end, or a share above 1.
    """
    if not (0.0 <= depth < math.inf and 0.0 <= room < math.inf and 0.0 <= held < math.inf and 0.0 <= refuses <= 1.0):
        return math.nan
    takes = 1.0 - refuses
    return min(takes * depth, max(0.0, takes * room - held))
