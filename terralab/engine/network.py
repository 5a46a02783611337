"""One pressure for the whole box: as much air leaves through its openings and fans as enters.

Zones stand on each other, so pressure is hydrostatic through them, and one unknown serves all: the excess over the room's
at height z is x = P + offset + column z, with the numbers of the zone that z lies in. Outflow of every opening rises with
P and inflow falls, so there is one P at which they meet, and another opening, or a wider one, raises both curves: the
exchange where they cross cannot fall. The two-way part of a level opening has no net flow and is added afterwards.
"""

from terralab.jit import inner, kernel
from terralab.physics.constants import GRAVITY
from terralab.physics.openings import AIR_DENSITY, lid_exchange, mean_speed, speed, speed_slope, still_exchange

CLOSED = 1.0e-9  # of all that flows: net flow at which the pressure is found
ROUNDS = 80
# kinds of openings: a fan's face is a hole with a push of its own, a given flow is moved whatever stands against it
UPRIGHT, LEVEL, FAN, GIVEN = 0.0, 1.0, 2.0, 3.0
COLUMN, OFFSET = 0, 1  # of each zone: Pa/m, Pa


@inner
def stand(lightness, zones, stacked, columns):
    """Fill column and offset of each of the `stacked` zones from its `lightness` [-] against the room."""
    offset = 0.0
    for i in range(stacked):
        column = AIR_DENSITY * GRAVITY * lightness[i]
        if i > 0:
            offset += (columns[i - 1, COLUMN] - column) * zones[i - 1].top
        columns[i, COLUMN] = column
        columns[i, OFFSET] = offset


@inner
def at(o, z, pressure, columns, gust):
    """Excess of pressure [Pa] inside an opening at height z [m]; `gust` is 1, 0 or -1 times its draught."""
    zone = int(o.zone)
    return pressure + columns[zone, OFFSET] + columns[zone, COLUMN] * z + o.push + gust * o.draught


@inner
def passing(o, pressure, columns, gust):
    """Air out of and into one opening [m3/s] at `pressure` [Pa], and the slope of their difference [m3/s/Pa]."""
    if o.kind == GIVEN:
        return max(o.given, 0.0), max(-o.given, 0.0), 0.0
    low = at(o, o.bottom, pressure, columns, gust)
    if o.kind == UPRIGHT:
        out, into, slope = mean_speed(low, at(o, o.top, pressure, columns, gust), o.viscous, o.inertial)
        return o.area * out, o.area * into, o.area * slope
    q = o.area * speed(low, o.viscous, o.inertial)
    return max(q, 0.0), max(-q, 0.0), o.area * speed_slope(low, o.viscous, o.inertial)


@inner
def flows_at(pressure, columns, vents, gust):
    """Air out of and into all openings at `pressure` [Pa], and the slope of their difference: (out, in, slope).

    What each passes stands in its row for `note`.
    """
    out = 0.0
    into = 0.0
    slope = 0.0
    for i in range(vents.size):
        if vents[i].area > 0.0:
            o = vents[i]
            o.just_out, o.just_in, one_slope = passing(o, pressure, columns, gust)
            out += o.just_out
            into += o.just_in
            slope += one_slope
    return out, into, slope


@inner
def bounds(columns, vents, gust):
    """Pressures [Pa] between which the root lies: where every opening blows one way, enough to feed the given flows."""
    low = 1e30
    high = -1e30
    given = 0.0
    for i in range(vents.size):
        o = vents[i]
        if o.area == 0.0:
            continue
        if o.kind == GIVEN:
            given += o.given
            continue
        at_bottom = -at(o, o.bottom, 0.0, columns, gust)
        at_top = -at(o, o.top, 0.0, columns, gust)
        low = min(low, at_bottom, at_top)
        high = max(high, at_bottom, at_top)
    if low > high:  # nothing is open
        return 0.0, 0.0
    need = 1e30
    for i in range(vents.size):
        o = vents[i]
        if o.area > 0.0 and o.kind != GIVEN:
            v = abs(given) / o.area
            need = min(need, (o.viscous + o.inertial * v) * v)
    need *= 1.0 + 1e-9
    return (low - need, high) if given > 0.0 else (low, high + need)


@inner
def balance(guess, columns, vents, gust):
    """The pressure [Pa] at which nothing is left over.

    Newton's method kept in a shrinking bracket: on a law of square roots alone it would swing for ever.
    """
    low, high = bounds(columns, vents, gust)
    width = high - low
    pressure = guess
    if not low < pressure < high:
        pressure = 0.5 * (low + high)
    before = 1e300
    out, into, slope = flows_at(pressure, columns, vents, gust)
    for _ in range(ROUNDS):
        net = out - into
        if abs(net) <= CLOSED * (out + into) or high - low <= 1e-14 * width:
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
        out, into, slope = flows_at(pressure, columns, vents, gust)
    return pressure


@inner
def note(pressure, columns, diffusivity, vents, gust, share):
    """Add `share` of what each opening passes at `pressure` to its row: through-flow, and what turns over in the lid."""
    out = 0.0
    into = 0.0
    for i in range(vents.size):
        if vents[i].area > 0.0:
            out += vents[i].just_out
            into += vents[i].just_in
    # the two agree to CLOSED, and to the last digit from here on; a lone opening passes nothing but round-off
    even = out / into if into > 0.0 else 0.0
    through = share if out > 0.0 and into > 0.0 else 0.0
    for i in range(vents.size):
        o = vents[i]
        if o.area == 0.0:
            continue
        o.out += through * o.just_out
        o.into += through * o.just_in * even
        if o.kind == LEVEL:
            light = columns[int(o.zone), COLUMN] / (AIR_DENSITY * GRAVITY)
            x = at(o, o.bottom, pressure, columns, gust)
            both_ways = lid_exchange(light, x, o.area, o.viscous, o.inertial, o.rim, o.turning)
            both_ways += still_exchange(o.area, diffusivity)
            o.out += share * both_ways
            o.into += share * both_ways


@kernel
def exchanged(columns, diffusivity, vents, guess, guess_back):
    """Fill `out` and `into` [m3/s] of each row of `vents` (a row of OPENING each); all that goes out comes in.

    `columns` are those of the zones (see `stand`), `diffusivity` of vapour [m2/s]; `guess` [Pa] is where to look first.
    Returns (air that enters in all, what of it fans move, pressures at height nothing [Pa]). A draught blows on its
    openings this way half of the time, and that way the other half, for which `guess_back` stands. A given flow needs an
    opening (`engine.fans.can_move`).
    """
    gusts = 0.0
    for i in range(vents.size):
        vents[i].out = 0.0
        vents[i].into = 0.0
        if vents[i].area > 0.0 and vents[i].draught != 0.0:
            gusts = 1.0
    pressure = balance(guess, columns, vents, gusts)
    back = guess_back
    if gusts > 0.0:
        note(pressure, columns, diffusivity, vents, 1.0, 0.5)
        back = balance(back, columns, vents, -1.0)
        note(back, columns, diffusivity, vents, -1.0, 0.5)
    else:
        note(pressure, columns, diffusivity, vents, 0.0, 1.0)
    enters = 0.0
    blown = 0.0
    for i in range(vents.size):
        o = vents[i]
        enters += o.into
        if o.kind == FAN or o.kind == GIVEN:
            blown += o.out + o.into
    return enters, min(enters, blown), pressure, back
