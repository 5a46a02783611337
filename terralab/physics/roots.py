"""Roots: where they draw water, and how lack of air slows them over days."""

import math

from terralab.jit import kernel


@kernel
def dry_target(head, start, stop):
    """Share of its demand that a root can draw [-] at `head` [m], by the suction alone: 1 down to `start`, 0 at `stop`.

    A straight line between the two heads [m, negative]. Feddes, Kowalik & Zaradny 1978. NaN for NaN, and unless
    stop < start <= 0.
    """
    if not (-math.inf < head < math.inf and -math.inf < stop < start <= 0.0):
        return math.nan
    if head <= stop:
        return 0.0
    if head < start:
        return (stop - head) / (stop - start)
    return 1.0


@kernel
def wet_target(air_filled, wet_limit, share_left):
    """Share [-] that a root comes down to when it stays for long in soil with `air_filled` [m3/m3] pore space.

    1 at `wet_limit` [m3/m3] and above; a straight line to `share_left` [-] at half of it; `share_left` below. That the
    line ends at half is a choice of this model (a guess). A limit of 0 means a root that needs no air: always 1. Less
    air than none counts as none. NaN for NaN, for more air than 1, and for a limit or a share outside 0 to 1.
    """
    if not (-math.inf < air_filled <= 1.0 and 0.0 <= wet_limit <= 1.0 and 0.0 <= share_left <= 1.0):
        return math.nan
    if wet_limit == 0.0 or air_filled >= wet_limit:
        return 1.0
    half = 0.5 * wet_limit
    return share_left + (1.0 - share_left) * max(0.0, (air_filled - half) / half)


@kernel
def follow(now, target, seconds, fall_s, recover_s):
    """Where a share that is `now` [-] stands after `seconds`, on its way to `target` [-]: exact, whatever the step.

    It closes all but 1/e of the way in `fall_s` [s] when it falls and in `recover_s` [s] when it rises; a time of 0 is
    at once. That one time serves each way is a choice of this model; the times stand in the table of plants. NaN unless
    both shares are 0 to 1 and the times 0 or more.
    """
    if not (0.0 <= now <= 1.0 and 0.0 <= target <= 1.0 and 0.0 <= seconds < math.inf):
        return math.nan
    if not (0.0 <= fall_s < math.inf and 0.0 <= recover_s < math.inf):
        return math.nan
    slow = fall_s if target < now else recover_s
    if slow == 0.0:
        return target if seconds > 0.0 else now
    return target + (now - target) * math.exp(-seconds / slow)
