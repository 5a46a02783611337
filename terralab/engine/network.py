"""One pressure for the whole box: as much air leaves through its openings and fans as enters.

The excess of pressure over the room's at height z is x = P + rho g lightness z. Outflow of every opening rises with P
and inflow falls, so there is one P at which they meet, and another opening, or a wider one, raises both curves: the
exchange where they cross cannot fall. The two-way part of a level opening has no net flow and is added afterwards.
"""

from terralab.jit import inner, kernel
from terralab.physics.constants import GRAVITY
from terralab.physics.openings import AIR_DENSITY, lid_exchange, mean_speed, speed, speed_slope, still_exchange

CLOSED = 1.0e-9  # of all that flows: net flow at which the pressure is found
ROUNDS = 80
UPRIGHT, LEVEL, FAN = 0.0, 1.0, 2.0  # kinds of openings; a fan's face is a hole with a push of its own


@inner
def flows_at(pressure, column, vents):
    """Air out of, into and through the fans of the openings at `pressure` [Pa]: (out, in, by fans, slope of out - in).

    `column` is rho g lightness [Pa/m].
    """
    out = 0.0
    into = 0.0
    blown = 0.0
    slope = 0.0
    for i in range(vents.size):
        o = vents[i]
        if o.area == 0.0:
            continue
        if o.kind == UPRIGHT:
            v_out, v_in, v_slope = mean_speed(
                pressure + column * o.bottom, pressure + column * o.top, o.viscous, o.inertial
            )
            out += o.area * v_out
            into += o.area * v_in
            slope += o.area * v_slope
        else:
            x = pressure + column * o.bottom + o.push
            q = o.area * speed(x, o.viscous, o.inertial)
            slope += o.area * speed_slope(x, o.viscous, o.inertial)
            out += max(q, 0.0)
            into += max(-q, 0.0)
            if o.kind == FAN:
                blown += abs(q)
    return out, into, blown, slope


@inner
def bounds(column, vents, fan):
    """Pressures [Pa] between which the root lies: where every opening blows one way, enough to feed `fan` [m3/s, out]."""
    low = 1e30
    high = -1e30
    need = 1e30
    for i in range(vents.size):
        o = vents[i]
        if o.area == 0.0:
            continue
        at_bottom = -column * o.bottom - o.push
        at_top = -column * o.top - o.push
        low = min(low, at_bottom, at_top)
        high = max(high, at_bottom, at_top)
        v = abs(fan) / o.area
        need = min(need, (o.viscous + o.inertial * v) * v)
    if low > high:  # nothing is open
        return 0.0, 0.0
    need *= 1.0 + 1e-9
    return (low - need, high) if fan > 0.0 else (low, high + need)


@inner
def balance(guess, column, vents, fan):
    """The pressure [Pa] at which nothing is left over, and its flows: (pressure, out, in, by fans).

    Newton's method kept in a shrinking bracket: on a law of square roots alone it would swing for ever.
    """
    low, high = bounds(column, vents, fan)
    width = high - low
    pressure = guess
    if not low < pressure < high:
        pressure = 0.5 * (low + high)
    before = 1e300
    out, into, blown, slope = flows_at(pressure, column, vents)
    for _ in range(ROUNDS):
        net = out - into + fan
        if abs(net) <= CLOSED * (out + into + abs(fan)) or high - low <= 1e-14 * width:
            break
        if net > 0.0:
            high = pressure
        else:
            low = pressure
        new = pressure - net / slope
        if not low < new < high or abs(net) > 0.5 * before:
            new = 0.5 * (low + high)
        if new == pressure:
            break
        before = abs(net)
        pressure = new
        out, into, blown, slope = flows_at(pressure, column, vents)
    return pressure, out, into, blown


@kernel
def through_doors(lightness, diffusivity, vents, first, pressure):
    """The part of the exchange [m3/s] that passes open doors, the openings from `first` on.

    Half of what blows out and in there at `pressure` [Pa] (see `exchanged`), and what goes both ways at once.
    """
    column = AIR_DENSITY * GRAVITY * lightness
    passed = 0.0
    for i in range(first, vents.size):
        o = vents[i]
        if o.area == 0.0:
            continue
        if o.kind == UPRIGHT:
            out, into, _ = mean_speed(pressure + column * o.bottom, pressure + column * o.top, o.viscous, o.inertial)
            passed += 0.5 * o.area * (out + into)
        else:
            x = pressure + column * o.bottom
            passed += 0.5 * o.area * abs(speed(x, o.viscous, o.inertial))
            passed += lid_exchange(lightness, x, o.area, o.viscous, o.inertial) + still_exchange(o.area, diffusivity)
    return passed


@kernel
def exchanged(lightness, diffusivity, vents, fan_out, fan_in, guess):
    """Room air [m3/s] that enters through `vents` (a row of OPENING each) and fans that blow `fan_out`, `fan_in` [m3/s].

    `lightness` of the inside air [-], `diffusivity` of vapour [m2/s]; `guess` [Pa] where to look first. Returns (air
    that enters, what of it fans move, pressure at height nothing [Pa]). Fans need an opening; without one they are
    not asked (`engine.fans.can_move`).
    """
    column = AIR_DENSITY * GRAVITY * lightness
    pressure, out, into, blown = balance(guess, column, vents, fan_out - fan_in)
    into = 0.5 * (into + fan_in + out + fan_out)  # the two agree to CLOSED
    both_ways = 0.0
    for i in range(vents.size):
        o = vents[i]
        if o.kind == LEVEL and o.area > 0.0:
            both_ways += lid_exchange(lightness, pressure + column * o.bottom, o.area, o.viscous, o.inertial)
            both_ways += still_exchange(o.area, diffusivity)
    return into + both_ways, min(into, blown + max(fan_out, fan_in)), pressure
