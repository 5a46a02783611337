"""From conductances to flows, and from flows to changed stores: the bookkeeping of the air clock.

`flows` works out every rate. Which store a flow leaves and which it reaches is told by the table of flows alone.

Water moves with its heat: vapour leaves a surface with the enthalpy it has there, liquid with 4186 J/kgK times
its temperature. Every store is changed by the very amounts that are recorded, so both budgets close to
round-off, however long the step.
"""

from terralab.engine.flows_table import GROUND, TABLE
from terralab.jit import inner
from terralab.physics.constants import AIR_HEAT, LATENT_ZERO, VAPOUR_HEAT, WATER_HEAT
from terralab.physics.moist_air import air_enthalpy

# where in a row of flows stands what reaches each store and what leaves it
INTO_AIR, OUT_OF_AIR = TABLE.into("air"), TABLE.out_of("air")
INTO_FOG, OUT_OF_FOG = TABLE.into("fog"), TABLE.out_of("fog")
INTO_LEAF_FILM, OUT_OF_LEAF_FILM = TABLE.into("leaf film"), TABLE.out_of("leaf film")
INTO_GLASS_FILM, OUT_OF_GLASS_FILM = TABLE.into("glass film"), TABLE.out_of("glass film")
INTO_DISH, OUT_OF_DISH = TABLE.into("dish"), TABLE.out_of("dish")
INTO_WOOD, OUT_OF_WOOD = TABLE.into("wood"), TABLE.out_of("wood")
INTO_COVER, OUT_OF_COVER = TABLE.into("cover"), TABLE.out_of("cover")
ONTO_GROUND, INTO_SOIL = TABLE.into(GROUND), TABLE.into("soil")


@inner
def flows(b, now, k, s, base, chain, side, tau, f):
    """Fill f with all rates (kg/s, W) at state s, the end of a stage of tau [s] from `base`."""
    w = s.air_w
    room = now.room_t
    f.soil_evaporation = k.soil_e + k.soil_e_t * (chain[0] - k.soil_t) + k.soil_e_w * (w - k.air_w)
    f.cover_evaporation = k.cover_g * (k.cover_ws + k.cover_s * (s.cover_t - k.cover_t) - w)
    leaf = k.leaf_ws + k.leaf_s * (s.leaf_t - k.leaf_t) - w
    f.transpiration = k.leaf_g * leaf
    f.leaf_film = k.leaf_film_g * leaf
    f.glass_film = k.glass_g * (k.glass_ws + k.glass_s * (s.glass_t - k.glass_t) - w)
    f.dish_evaporation = k.dish_g * (k.dish_ws + k.dish_s * (s.dish_t - k.dish_t) - w)
    f.tube_evaporation = k.tube_e
    f.wood_release = k.wood_e + k.wood_e_w * (w - k.air_w) + k.wood_e_t * (s.air_t - k.air_t)
    f.fog_evaporation = k.fog_e
    f.condensation = max(0.0, -f.glass_film)
    f.surface_up = k.soil_up
    # droplets
    loss = 1.0 / b.fog_settle + k.vent / b.air_mass
    fog = max(0.0, (base.fog + tau * (now.fog_in - f.fog_evaporation)) / (1.0 + tau * loss))
    f.fog_in = now.fog_in
    fog_out = fog * k.vent / b.air_mass
    f.fog_door = k.door_share * fog_out
    f.fog_lost = fog_out - f.fog_door
    f.fog_settled = fog / b.fog_settle
    # air exchange
    f.air_exchanged = k.vent
    out = k.vent * (w - now.room_w)
    f.vapour_leak = k.leak_share * out
    f.vapour_fan = k.fan_share * out
    f.vapour_door = k.door_share * out
    f.vapour_openings = out - f.vapour_leak - f.vapour_fan - f.vapour_door
    heat_out = k.vent * (air_enthalpy(s.air_t, w) - air_enthalpy(room, now.room_w))
    f.heat_door = k.door_share * heat_out
    f.heat_vent = heat_out - f.heat_door
    # films and drops
    f.spray_leaf = now.spray * b.land_leaf
    f.spray_glass = now.spray * b.land_glass
    f.spray_ground = now.spray * b.land_ground
    f.leaf_drip = k.leaf_drip
    f.glass_drip = k.glass_drip
    f.cover_drip = k.cover_drip
    f.drip_heat = WATER_HEAT * k.leaf_drip * s.leaf_t
    f.run_off_heat = WATER_HEAT * k.glass_drip * s.glass_t
    f.spray_heat = WATER_HEAT * now.spray * room
    f.fog_in_heat = WATER_HEAT * now.fog_in * room
    f.fog_lost_heat = WATER_HEAT * (f.fog_lost + f.fog_door) * s.air_t
    f.fog_settled_heat = WATER_HEAT * f.fog_settled * s.air_t
    # what the soil clock will take out of the soil, as liquid
    f.soil_liquid_heat = WATER_HEAT * k.soil_t * f.soil_evaporation
    f.root_heat = WATER_HEAT * k.leaf_t * f.transpiration
    f.tube_liquid_heat = WATER_HEAT * k.tube_t * f.tube_evaporation
    # heat
    top = s.cover_t if b.cover > 0.0 else chain[0]
    ground_r = b.radiation * b.floor * (top - s.glass_t)
    leaf_r = b.radiation * b.leaf_area * (s.leaf_t - s.glass_t)
    dish_r = b.radiation * b.dish_area * (s.dish_t - s.glass_t)
    ground = k.ground_c * (top - s.air_t)
    leaves = k.leaf_c * (s.leaf_t - s.air_t)
    dish = k.dish_c * (s.dish_t - s.air_t)
    glass = k.glass_c * (s.glass_t - s.air_t)
    f.heat_glass = b.glass_out * (s.glass_t - room)
    f.heat_lid = b.lid_radiation * (top - room)
    f.heat_side = 0.0
    for i in range(chain.size):
        f.heat_side += side[i] * (chain[i] - room)
    f.heat_base = b.bottom_out * (chain[chain.size - 1] - room)
    f.heat_devices = now.leaf_heat + now.ground_heat + now.glass_heat + now.air_heat
    f.heat_floor = now.floor_heat
    # heat that vapour takes from each surface and brings to the air
    film_heat = f.leaf_film * (k.leaf_l + WATER_HEAT * k.leaf_t)
    root_heat = f.transpiration * (k.leaf_l + WATER_HEAT * k.leaf_t)
    pane_heat = f.glass_film * (k.glass_l + WATER_HEAT * k.glass_t)
    cover_heat = f.cover_evaporation * (k.cover_l + WATER_HEAT * k.cover_t)
    dish_heat = f.dish_evaporation * (k.dish_l + WATER_HEAT * k.dish_t)
    soil_heat = f.soil_evaporation * (k.soil_l + WATER_HEAT * k.soil_t)
    tube_heat = f.tube_evaporation * (k.tube_l + WATER_HEAT * k.tube_t)
    f.leaf_gain = now.leaf_heat - leaves - leaf_r - film_heat - root_heat + f.root_heat - f.drip_heat
    f.leaf_gain += f.spray_heat * b.land_leaf
    f.glass_gain = now.glass_heat - glass + ground_r + leaf_r + dish_r - f.heat_glass - pane_heat - f.run_off_heat
    f.glass_gain += f.spray_heat * b.land_glass
    f.dish_gain = -dish - dish_r - dish_heat
    f.cover_gain = 0.0
    if b.cover > 0.0:
        f.cover_gain = now.ground_heat - ground - ground_r - f.heat_lid - cover_heat
        f.cover_gain -= b.cover_conductance * (s.cover_t - chain[0])
        f.cover_gain += f.spray_heat * b.land_ground + f.drip_heat + f.fog_settled_heat
        f.cover_gain -= WATER_HEAT * k.cover_drip * s.cover_t
        f.soil_gain = WATER_HEAT * k.cover_drip * s.cover_t
    else:
        # what lands on bare soil reaches the soil clock with its heat
        f.soil_gain = f.spray_heat * b.land_ground + f.drip_heat + f.fog_settled_heat
    f.air_gain = ground + leaves + dish + glass + now.air_heat - f.heat_vent - f.heat_door
    f.air_gain += film_heat + root_heat + pane_heat + cover_heat + dish_heat + soil_heat + tube_heat
    f.air_gain += f.fog_in_heat - f.fog_lost_heat - f.fog_settled_heat


@inner
def after(start, row, into, out_of):
    """Return `start` with the amounts of `row` that stand at the places `into` added, and those at `out_of` taken away."""
    total = start
    for i in into:
        total += row[i]
    for i in out_of:
        total -= row[i]
    return total


@inner
def vapour_gain(row):
    """Vapour that the air gains [kg or kg/s] by a row of flows."""
    return after(0.0, row, INTO_AIR, OUT_OF_AIR)


@inner
def cover_gain(b, row):
    """Water that the cover gains [kg or kg/s]; what lands on bare soil goes to the soil clock instead (`onto_soil`)."""
    if b.cover == 0.0:
        return 0.0
    return after(after(0.0, row, INTO_COVER, ONTO_GROUND[:0]), row, ONTO_GROUND, OUT_OF_COVER)


@inner
def onto_soil(b, row):
    """Water [kg or kg/s] that lands on the soil by a row of flows: through the cover, or all that lands on bare ground."""
    landed = after(0.0, row, INTO_SOIL, OUT_OF_COVER[:0])
    if b.cover == 0.0:
        landed = after(landed, row, ONTO_GROUND, OUT_OF_COVER[:0])
    return landed


@inner
def staged(b, row, base, s, tau):
    """The stores at the end of a stage: s takes films, droplets, wood and surface cell from base and the rates of `row`."""
    s.leaf_film = base.leaf_film + tau * after(0.0, row, INTO_LEAF_FILM, OUT_OF_LEAF_FILM)
    s.glass_film = base.glass_film + tau * after(0.0, row, INTO_GLASS_FILM, OUT_OF_GLASS_FILM)
    s.cover_water = base.cover_water + tau * cover_gain(b, row)
    s.dish_water = base.dish_water + tau * after(0.0, row, INTO_DISH, OUT_OF_DISH)
    s.fog = base.fog + tau * after(0.0, row, INTO_FOG, OUT_OF_FOG)
    if b.wood_store > 0.0:
        s.wood = base.wood + tau * after(0.0, row, INTO_WOOD, OUT_OF_WOOD) / b.wood_store


@inner
def not_below_zero(b, a, s):
    """Repair films that a step overdrew by a trace: the missing water is taken back from the vapour it became."""
    if s.leaf_film < 0.0:
        a.leaf_film += s.leaf_film
        a.air_gain += s.leaf_film * LATENT_ZERO
        a.leaf_gain -= s.leaf_film * LATENT_ZERO
        s.air_w += s.leaf_film / b.air_mass
        s.leaf_film = 0.0
    if s.glass_film < 0.0:
        a.glass_film += s.glass_film
        a.air_gain += s.glass_film * LATENT_ZERO
        a.glass_gain -= s.glass_film * LATENT_ZERO
        s.air_w += s.glass_film / b.air_mass
        s.glass_film = 0.0
    if s.cover_water < 0.0:
        a.cover_evaporation += s.cover_water
        a.air_gain += s.cover_water * LATENT_ZERO
        a.cover_gain -= s.cover_water * LATENT_ZERO
        s.air_w += s.cover_water / b.air_mass
        s.cover_water = 0.0
    if s.dish_water < 0.0:
        a.dish_evaporation += s.dish_water
        a.air_gain += s.dish_water * LATENT_ZERO
        a.dish_gain -= s.dish_water * LATENT_ZERO
        s.air_w += s.dish_water / b.air_mass
        s.dish_water = 0.0
    if s.fog < 0.0:
        a.fog_evaporation += s.fog
        s.air_w += s.fog / b.air_mass
        s.fog = 0.0


@inner
def film_heat(capacity, water):
    """Heat capacity [J/K] of a surface with its film."""
    return capacity + WATER_HEAT * water


@inner
def applied(b, a, row, old, s):
    """Change all stores by the amounts a [kg, J], exactly: s is `old` plus a; temperatures follow from heat.

    `row` is the same memory as a, as plain numbers.
    """
    s.leaf_film = after(old.leaf_film, row, INTO_LEAF_FILM, OUT_OF_LEAF_FILM)
    s.glass_film = after(old.glass_film, row, INTO_GLASS_FILM, OUT_OF_GLASS_FILM)
    s.cover_water = old.cover_water + cover_gain(b, row)
    s.dish_water = after(old.dish_water, row, INTO_DISH, OUT_OF_DISH)
    s.fog = after(old.fog, row, INTO_FOG, OUT_OF_FOG)
    s.air_w = old.air_w + vapour_gain(row) / b.air_mass
    not_below_zero(b, a, s)
    if b.wood_store > 0.0:
        s.wood = old.wood + after(0.0, row, INTO_WOOD, OUT_OF_WOOD) / b.wood_store
    heat = b.air_mass * air_enthalpy(old.air_t, old.air_w) + WATER_HEAT * old.fog * old.air_t + a.air_gain
    heat -= b.air_mass * s.air_w * LATENT_ZERO
    s.air_t = heat / (b.air_mass * (AIR_HEAT + s.air_w * VAPOUR_HEAT) + WATER_HEAT * s.fog)
    s.glass_t = (film_heat(b.glass_capacity, old.glass_film) * old.glass_t + a.glass_gain) / film_heat(
        b.glass_capacity, s.glass_film
    )
    if b.has_plants > 0.0:
        s.leaf_t = (film_heat(b.leaf_capacity, old.leaf_film) * old.leaf_t + a.leaf_gain) / film_heat(
            b.leaf_capacity, s.leaf_film
        )
    if b.has_dish > 0.0:
        s.dish_t = (film_heat(b.dish_capacity, old.dish_water) * old.dish_t + a.dish_gain) / film_heat(
            b.dish_capacity, s.dish_water
        )
    if b.cover > 0.0:
        s.cover_t = (film_heat(b.ground_capacity, old.cover_water) * old.cover_t + a.cover_gain) / film_heat(
            b.ground_capacity, s.cover_water
        )
