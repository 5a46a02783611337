"""One implicit stage of the air as linear equations: surfaces are eliminated, 2 Z + 1 unknowns remain.

With Z zones these are their temperatures, then their humidity ratios, then the radiant temperature, at which all surfaces
look at each other. Nothing here knows what a surface is; `engine.surfaces` has put its laws into numbers.
"""

from terralab.engine.droplets import droplets
from terralab.engine.kinds import HIDDEN_SOIL, SOIL
from terralab.jit import inner
from terralab.physics.constants import AIR_HEAT, VAPOUR_HEAT, WATER_HEAT
from terralab.physics.moist_air import vapour_enthalpy

SWEEPS = 8  # over the zones, for drops that float in more than one
SETTLED = 1e-9  # of what drops give: a change that ends the sweeps
DRIEST = 1e-6  # kg/kg


@inner
def soil_chain(b, now, chain_base, capacity, between, side, tau, sweep, tube_heat):
    """Eliminate soil and reservoir temperatures from below: T[i] = sweep[0, i] + sweep[1, i] T[i - 1].

    Returns what is left for the uppermost: its conductance [W/K] and what drives it [W].
    """
    last = chain_base.size - 1
    room = now.room_t
    down = 0.0
    carry = 0.0
    for i in range(last, 0, -1):
        own = capacity[i] / tau + side[i] + between[i - 1] + down
        push = capacity[i] / tau * chain_base[i] + side[i] * room + carry
        if i == last:
            own += b.bottom_out
            push += b.bottom_out * room + now.floor_heat - tube_heat
        sweep[0, i] = push / own
        sweep[1, i] = between[i - 1] / own
        down = between[i - 1] * (1.0 - sweep[1, i])
        carry = between[i - 1] * sweep[0, i]
    return capacity[0] / tau + side[0] + down, capacity[0] / tau * chain_base[0] + side[0] * room + carry


@inner
def eliminate(f, k, source, own, push, room):
    """Express the temperature of one surface by its air, the radiant node and the soil it lies on (`push` [W], `own` [W/K] from beneath)."""
    e_t = k.e_t + k.f_t
    e_w = k.e_w + k.f_w
    own += k.c + f.radiates + f.out + f.between + k.l * e_t
    push += f.out * room + source - k.l * (k.e + k.f - e_t * k.t - e_w * k.w)
    k.alpha = push / own
    k.beta = k.c / own
    k.gamma = -k.l * e_w / own
    k.delta = f.radiates / own
    k.sigma = f.between / own


@inner
def eliminate_all(b, now, air, base_row, chain_base, capacity, between, side, tau, sweep):
    """Eliminate all surfaces; the soil stands last, after what lies on it: those know its temperature by `sigma`."""
    n = air.surface.size
    room = now.room_t
    soil = n - 1
    ground = air.ground_now[0]
    tube_heat = ground.tube_l * air.zone_now[0].tube_e
    own, push = soil_chain(b, now, chain_base, capacity, between, side, tau, sweep, tube_heat)
    # what the soil gives in a hide, foreseen with the hide's air as it is; the books put it right (`exchange.onto_ground`)
    own += ground.hide_slope
    push += ground.hide_slope * air.surface_now[soil].t - ground.hide_heat
    by_t, by_w, by_radiant = 0.0, 0.0, 0.0
    for j in range(soil):
        f = air.surface[j]
        k = air.surface_now[j]
        base = air.surfaces[base_row, j]
        if f.kind == HIDDEN_SOIL:
            k.alpha, k.beta, k.gamma, k.delta = k.t, 0.0, 0.0, 0.0
            continue
        heat = (f.capacity + WATER_HEAT * max(0.0, base.film)) / tau
        eliminate(f, k, air.source[j], heat, heat * base.t, room)
        if f.between > 0.0:
            own += f.between * (1.0 - k.sigma)
            push += f.between * k.alpha
            by_t += f.between * k.beta
            by_w += f.between * k.gamma
            by_radiant += f.between * k.delta
    f, under = air.surface[soil], air.surface_now[soil]
    eliminate(f, under, air.source[soil], own, push, room)
    whole = own + under.c + f.radiates + f.out + under.l * (under.e_t + under.f_t)
    under.beta += by_t / whole
    under.gamma += by_w / whole
    under.delta += by_radiant / whole
    for j in range(soil):
        if air.surface[j].between > 0.0:
            k = air.surface_now[j]
            k.alpha += k.sigma * under.alpha
            k.beta += k.sigma * under.beta
            k.gamma += k.sigma * under.gamma
            k.delta += k.sigma * under.delta


@inner
def fill(b, now, air, row, base_row, tau, a):
    """Fill the equations `a` of zones and radiant node; their right side is column 2 Z + 1."""
    nz = air.zone.size
    radiant = 2 * nz
    right = radiant + 1
    for i in range(right):
        for c in range(right + 1):
            a[i, c] = 0.0
    room = now.room_t
    for i in range(nz):
        zone, k, base = air.zone[i], air.zone_now[i], air.zones[base_row, i]
        mass = zone.mass / tau
        heat = mass * (AIR_HEAT + VAPOUR_HEAT * base.w)
        air_h = vapour_enthalpy(k.t)
        # drops that float have the air's warmth, and those that arrive the room's
        drops = WATER_HEAT * max(0.0, base.fog) / tau
        come = WATER_HEAT * now.fog_in * air.mean_share[i]
        a[i, i] = heat + drops + come + air_h * k.wood_e_t
        a[i, nz + i] = air_h * k.wood_e_w
        a[i, right] = (heat + drops) * base.t + come * room + air.zone_source[i]
        a[i, right] -= air_h * (k.wood_e - k.wood_e_t * k.t - k.wood_e_w * k.w)
        a[nz + i, nz + i] = mass - k.wood_e_w
        a[nz + i, i] = -k.wood_e_t
        a[nz + i, right] = mass * base.w + k.tube_e + k.wood_e - k.wood_e_w * k.w - k.wood_e_t * k.t
    a[radiant, radiant] = b.lid_radiation
    a[radiant, right] = b.lid_radiation * room
    for i in range(air.link.size):
        link = air.link[i]
        one, other = int(link.a), int(link.b)
        arrives(a, nz, other, one, link.mix + max(link.net, 0.0), carried(air, row, one), room, 0.0)
        back = link.mix + max(-link.net, 0.0)
        if other >= 0:
            arrives(a, nz, one, other, back, carried(air, row, other), room, 0.0)
        else:
            arrives(a, nz, one, other, back, AIR_HEAT + VAPOUR_HEAT * now.room_w, room, now.room_w)
    for i in range(int(b.stacked) - 1):
        # drops that fall from the zone above
        falls = WATER_HEAT * max(0.0, air.zones[row, i + 1].fog) / air.zone[i + 1].settle
        a[i, i] += falls
        a[i, i + 1] -= falls
    for j in range(air.surface.size):
        surface_to_zone(air.surface[j], air.surface_now[j], a, nz)


@inner
def carried(air, row, origin):
    """Heat [J/K] that a kilogram of dry air of a zone carries with its vapour and its drops."""
    drops = max(0.0, air.zones[row, origin].fog) / air.zone[origin].mass
    return AIR_HEAT + VAPOUR_HEAT * air.zone_now[origin].w + WATER_HEAT * drops


@inner
def arrives(a, nz, place, origin, flow, heat, room_t, room_w):
    """Air [kg/s] that comes to the zone `place` from the zone `origin`, or from the room (-1), with its `heat` [J/kgK]."""
    if place < 0 or flow == 0.0:
        return
    right = 2 * nz + 1
    heat *= flow
    a[place, place] += heat
    a[nz + place, nz + place] += flow
    if origin >= 0:
        a[place, origin] -= heat
        a[nz + place, nz + origin] -= flow
    else:
        a[place, right] += heat * room_t
        a[nz + place, right] += flow * room_w


@inner
def surface_to_zone(f, k, a, nz):
    """What an eliminated surface means to its zone, to the one that its current reaches, and to the radiant node."""
    radiant = 2 * nz
    right = radiant + 1
    z = int(f.zone)
    to_air(k, z, z, 1.0 - k.carries, a, nz)
    if k.carries > 0.0:
        to_air(k, z, int(k.beyond), k.carries, a, nz)
    a[radiant, radiant] += f.radiates * (1.0 - k.delta)
    a[radiant, z] -= f.radiates * k.beta
    a[radiant, nz + z] -= f.radiates * k.gamma
    a[radiant, right] += f.radiates * k.alpha


@inner
def to_air(k, z, place, share, a, nz):
    """The share of heat and vapour that the zone `place` takes from an eliminated surface that lies in zone z."""
    radiant = 2 * nz
    right = radiant + 1
    e_t = share * (k.e_t + k.f_t)
    e_w = share * (k.e_w + k.f_w)
    e = share * (k.e + k.f)
    c = share * k.c
    a[place, z] += c * (1.0 - k.beta)
    a[place, nz + z] -= c * k.gamma
    a[place, radiant] -= c * k.delta
    a[place, right] += c * k.alpha
    # warmth that vapour brings along [W/K]; what condenses has the air's own
    brings = VAPOUR_HEAT * max(0.0, e)
    a[place, place] += brings
    a[place, right] += brings * k.t
    a[nz + place, z] -= e_t * k.beta
    a[nz + place, nz + z] -= e_w + e_t * k.gamma
    a[nz + place, radiant] -= e_t * k.delta
    a[nz + place, right] += e + e_t * (k.alpha - k.t) - e_w * k.w


@inner
def gauss(a, n, sides):
    """Solve n equations with `sides` right sides in the columns from n on; the diagonal leads, so nothing is exchanged."""
    for i in range(n):
        one = 1.0 / a[i, i]
        for r in range(i + 1, n):
            factor = a[r, i] * one
            if factor != 0.0:
                for c in range(i + 1, n + sides):
                    a[r, c] -= factor * a[i, c]
    for s in range(n, n + sides):
        for i in range(n - 1, -1, -1):
            x = a[i, s]
            for c in range(i + 1, n):
                x -= a[i, c] * a[c, s]
            a[i, s] = x / a[i, i]


@inner
def lack_of(k, t, w):
    """Share of saturation that a zone lacks at the solution, seen along a straight line from where it was looked at."""
    by_w = -1.0 / k.ws
    by_t = k.w * k.slope / (k.ws * k.ws)
    return 1.0 - k.w / k.ws + by_w * (w - k.w) + by_t * (t - k.t)


@inner
def foggy(air, a, nz):
    """Whether drops float in any zone, or air lies above saturation at the solution without them."""
    right = 2 * nz + 1
    for i in range(nz):
        air.zone_now[i].fog_e = 0.0
    for i in range(nz):
        k = air.zone_now[i]
        if k.fog_supply > 0.0 or k.fog_owed < 0.0 or lack_of(k, a[i, right], a[nz + i, right]) < 0.0:
            return True
    return False


@inner
def meet_drops(air, a, nz):
    """Add what drops give [kg/s] to the solution: `a` holds the answer to one kg/s in each zone beside it.

    Each zone's drops and the vapour they make are met together (`droplets`), the zones one after the other until
    nothing changes.
    """
    right = 2 * nz + 1
    for _ in range(SWEEPS):
        most = 0.0
        change = 0.0
        for i in range(nz):
            k = air.zone_now[i]
            t, w = a[i, right], a[nz + i, right]
            for j in range(nz):
                if j != i:
                    t += air.zone_now[j].fog_e * a[i, right + 1 + j]
                    w += air.zone_now[j].fog_e * a[nz + i, right + 1 + j]
            by_w = -1.0 / k.ws
            by_t = k.w * k.slope / (k.ws * k.ws)
            drop = -by_w * a[nz + i, right + 1 + i] - by_t * a[i, right + 1 + i]
            e = droplets(k, lack_of(k, t, w), max(0.0, drop))
            change = max(change, abs(e - k.fog_e))
            most = max(most, abs(e))
            k.fog_e = e
        if change <= SETTLED * most or nz == 1:
            break
    for j in range(nz):
        e = air.zone_now[j].fog_e
        for i in range(right):
            a[i, right] += e * a[i, right + 1 + j]


@inner
def solve(b, now, air, row, base_row, chain, chain_base, capacity, between, side, tau, sweep):
    """Solve one implicit stage of tau [s]; the states of `row` and the chain take its end.

    Films, drops and wood follow from the flows (`exchange.staged`).
    """
    a = air.matrix
    nz = air.zone.size
    n = 2 * nz + 1
    eliminate_all(b, now, air, base_row, chain_base, capacity, between, side, tau, sweep)
    fill(b, now, air, row, base_row, tau, a)
    gauss(a, n, 1)
    if foggy(air, a, nz):
        # the same equations answer to one kg/s of vapour and its heat from the drops of each zone
        fill(b, now, air, row, base_row, tau, a)
        for j in range(nz):
            for i in range(n):
                a[i, n + 1 + j] = 0.0
            a[j, n + 1 + j] = -air.zone_now[j].l
            a[nz + j, n + 1 + j] = 1.0
        gauss(a, n, 1 + nz)
        meet_drops(air, a, nz)
    for i in range(nz):
        air.zones[row, i].t = a[i, n]
        air.zones[row, i].w = max(DRIEST, a[nz + i, n])
    radiant = a[2 * nz, n]
    air.ground_now[0].radiant = radiant
    for j in range(air.surface.size):
        f, k = air.surface[j], air.surface_now[j]
        s = air.zones[row, int(f.zone)]
        t = k.alpha + k.beta * s.t + k.gamma * s.w + k.delta * radiant
        air.surfaces[row, j].t = t
        if f.kind == SOIL:
            chain[0] = t
    for i in range(1, chain.size):
        chain[i] = sweep[0, i] + sweep[1, i] * chain[i - 1]
