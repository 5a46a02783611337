"""What the keeper's hands do between steps: siphon, top up the dish, pour below; and what runs over the rim.

Each takes from and gives to the stores exactly what it records in `m` (a MOVED record), water [kg] and heat [J].
"""

from terralab.engine.kinds import DISH, MOSS
from terralab.jit import inner
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.soil.storage import reservoir_level, reservoir_stored

SIPHON, REFILL, BELOW, TANK, DRAW = 0.0, 1.0, 2.0, 3.0, 4.0
DISH_ALONE, MOSS_ALONE = 0.0, 1.0  # what a REFILL tops up


@inner
def siphoned(b, head, water, t_c, level, m):
    """Take water out of the drainage layer down to `level` [m above the floor]; t_c [C] is its temperature."""
    left, _ = reservoir_stored(level - b.reservoir_depth, b.reservoir_depth, b.void)
    drawn_down(b, head, water, t_c, left, m)


@inner
def drawn(b, head, water, t_c, mass, m):
    """Take `mass` [kg] out of the drainage layer, or all that stands there; t_c [C] is its temperature."""
    left = max(0.0, water[head.size - 1] - mass / (WATER_DENSITY * b.floor))
    drawn_down(b, head, water, t_c, left, m)


@inner
def drawn_down(b, head, water, t_c, left, m):
    """Leave `left` [m] of water in the drainage layer where more stands there; t_c [C] is its temperature."""
    last = head.size - 1
    if water[last] > left:
        mass = (water[last] - left) * WATER_DENSITY * b.floor
        water[last] = left
        head[last] = reservoir_level(left, b.reservoir_depth, b.void)
        m.siphoned += mass
        m.siphoned_heat += WATER_HEAT * mass * t_c


@inner
def refilled(b, air, row, room_t, which, m):
    """Top up the water dish or the damp moss in a hide (`which`: DISH_ALONE, MOSS_ALONE) with water of room temperature [C]."""
    for j in range(air.surface.size):
        f, s = air.surface[j], air.surfaces[row, j]
        if f.kind != (DISH if which == DISH_ALONE else MOSS):
            continue
        mass = (b.dish_full if f.kind == DISH else f.film_max) - s.film
        if mass <= 0.0:
            continue
        brought = WATER_HEAT * mass * room_t
        s.t = ((f.capacity + WATER_HEAT * s.film) * s.t + brought) / (f.capacity + WATER_HEAT * (s.film + mass))
        s.film += mass
        if f.kind == DISH:
            m.refilled += mass
            m.refilled_heat += brought
        else:
            m.hide_wetted += mass
            m.hide_wetted_heat += brought


@inner
def poured_below(b, head, water, t_c, mass, room_t, m):
    """Pour `mass` [kg] of room temperature into the drainage layer; returns its new temperature [C]."""
    last = head.size - 1
    heat = WATER_HEAT * mass * room_t
    old = b.aggregate_capacity + WATER_HEAT * WATER_DENSITY * b.floor * water[last]
    water[last] += mass / (WATER_DENSITY * b.floor)
    head[last] = reservoir_level(water[last], b.reservoir_depth, b.void)
    m.poured += mass
    m.poured_heat += heat
    m.bypassed += mass
    return (old * t_c + heat) / (old + WATER_HEAT * mass)


@inner
def spilled(b, head, water, dz, t_c, m):
    """Water standing higher than the rim runs over it; dz [m] and t_c [C] are those of the top cell."""
    pond = head[0] - 0.5 * dz
    if pond > b.rim:
        over = pond - b.rim
        head[0] -= over
        water[0] -= over
        mass = over * WATER_DENSITY * b.floor
        m.spilled += mass
        m.spilled_heat += WATER_HEAT * mass * t_c
