"""What a box breathes: age of its air, carbon dioxide and oxygen, for one well-mixed space.

Plain functions that also take arrays where noted. Exchange is a rate [1/h], shares of gas are parts of the air. What
cannot be (a rate, volume or time below 0, NaN) gives NaN.
"""

import math

MOLAR_VOLUME = 0.0242  # m3/mol at 22 C and 101325 Pa (ideal gas, R T / p)


def litres_per_hour(micromoles, area):
    """Gas [l/h] given off by `area` [m2] at `micromoles` [umol/m2s]: rate x 1e-6 x molar volume x 3600 x 1000."""
    if not (micromoles >= 0.0 and area >= 0.0):
        return math.nan
    return micromoles * 1e-6 * MOLAR_VOLUME * 3600.0 * 1000.0 * area


def exchange_for(source, volume, excess):
    """Air changes an hour at which a gas from `source` [l/h] stays `excess` [-] above the room's in `volume` [l].

    In the steady state source = volume exchange excess.
    """
    if not (source >= 0.0 and volume > 0.0 and excess > 0.0):
        return math.nan
    return source / (volume * excess)


def relax(value, goal_rate, exchange, hours):
    """(value at the end, its mean) of d value/dt = goal_rate - exchange value over `hours`, exact.

    With goal_rate 1 the value is the mean age of the air [h]; with source/volume it is the excess of a gas. No
    exchange: it just grows.
    """
    if not (value >= 0.0 and goal_rate >= 0.0 and exchange >= 0.0 and hours >= 0.0):
        return math.nan, math.nan
    x = exchange * hours
    # shares of the start and of the rise, without the difference of two large numbers where exchange is slow
    kept = -math.expm1(-x) / x if x > 0.0 else 1.0
    risen = (1.0 - kept) / x if x > 1e-4 else 0.5 - x / 6.0
    rise = goal_rate * hours
    return value * math.exp(-x) + rise * kept, value * kept + rise * risen


def periodic(goal_rate, exchange, hours):
    """(mean, highest) of a value that repeats over steps of `hours` each with its `exchange` [1/h] and `goal_rate`.

    Sequences of equal length. The value at the start is found from the repetition itself, so nothing has to settle.
    Infinite without any exchange; NaN for steps without length.
    """
    if not sum(hours) > 0.0:
        return math.nan, math.nan
    start, left = 0.0, 1.0
    for rate, flow, span in zip(goal_rate, exchange, hours, strict=True):
        start, _ = relax(start, rate, flow, span)
        left *= math.exp(-flow * span)
    if math.isnan(start):
        return math.nan, math.nan
    value = start / (1.0 - left) if left < 1.0 else math.inf
    total = 0.0
    highest = value
    for rate, flow, span in zip(goal_rate, exchange, hours, strict=True):
        value, mean = relax(value, rate, flow, span)
        total += mean * span
        highest = max(highest, value)
    return total / sum(hours), highest


def oxygen_lost(carbon_dioxide, quotient):
    """Share of oxygen [-] that is gone when breathing has added `carbon_dioxide` [-].

    quotient: carbon dioxide given off for each volume of oxygen used (0.7 to 1; NaN outside 0.6 to 1.1).
    """
    if not (carbon_dioxide >= 0.0 and 0.6 <= quotient <= 1.1):
        return math.nan
    return carbon_dioxide / quotient
