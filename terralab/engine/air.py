"""The air clock's equations: every exchange between air, glass, leaves, cover, soil surface, dish and room.

`coefficients` evaluates conductances and slopes at a state; `solve` finds the state at the end of an implicit
stage with them; `flows` turns coefficients and a state into rates. The plain rates that an independent
integrator needs are `flows` with a stage of no length. All quantities are for the whole box.
"""

import math

from terralab.engine.droplets import droplets
from terralab.engine.network import exchanged, through_doors
from terralab.engine.surface_cell import surface_supply
from terralab.jit import inner
from terralab.physics.conductivity import vapour_diffusivity
from terralab.physics.constants import AIR_HEAT, PRESSURE, VAPOUR_HEAT, WATER_HEAT
from terralab.physics.convection import (
    combined,
    in_series,
    natural_horizontal,
    natural_vertical,
    vapour_conductance,
)
from terralab.physics.fog import evaporation_rate
from terralab.physics.moist_air import (
    density,
    dry_air_density,
    humidity_ratio,
    latent_heat,
    saturated_vapour_density,
    saturation_pressure,
    saturation_slope,
    vapour_enthalpy,
    virtual_temperature_excess,
)

CHILL_LEAF = 0.72  # a leaf's length along the wind as a share of its width (Campbell & Norman 1998)


@inner
def saturated(t_c):
    """Saturated humidity ratio [kg/kg] at t_c [C] and its slope [1/K]."""
    e = saturation_pressure(t_c)
    w = humidity_ratio(e)
    return w, w * PRESSURE / (PRESSURE - e) * saturation_slope(t_c, e) / e


@inner
def buoyancy(rho_air, t_c, w):
    """How much lighter than the air (density rho_air) the air at a surface of t_c [C] and humidity ratio w is."""
    rho = density(t_c, w)
    return 2.0 * (rho_air - rho) / (rho_air + rho)


@inner
def covered(water, potential, seconds, half):
    """Share of a film-bearing surface that is wet [-], at the end of an implicit stage of `seconds`.

    `water` [kg] at its start (with what arrives), `potential` [kg/s] the loss of a wholly wet surface, `half`
    [kg] the film at half cover. Solves f = water - seconds potential f / (f + half), so that a film never
    turns negative; a stage of no length gives f / (f + half). Condensing surfaces count as whole.
    """
    if potential <= 0.0:
        return 1.0
    if water <= 0.0:
        return 0.0
    b = half + seconds * potential - water
    root = math.sqrt(b * b + 4.0 * water * half)
    f = 2.0 * water * half / (b + root) if b > 0.0 else 0.5 * (root - b)
    return f / (f + half)


@inner
def excess(water, capacity, seconds, drip_seconds):
    """Rate [kg/s] at which an overfull film drains within an implicit stage."""
    return (water - capacity) / (drip_seconds + seconds) if water > capacity else 0.0


@inner
def paid(evaporation, t_surface, t_air):
    """Heat [J/kg] a surface pays for evaporation, or gains by condensation: vapour's enthalpy less the liquid's."""
    return vapour_enthalpy(t_surface if evaporation > 0.0 else t_air) - WATER_HEAT * t_surface


@inner
def coefficients(b, now, s, base, soil_t, reservoir_t, soil, vents, cell, tau, k):
    """Fill k with conductances, slopes and wet shares at state s, for an implicit stage of tau [s] from `base`."""
    rho = density(s.air_t, s.air_w)
    w = s.air_w
    k.air_t = s.air_t
    k.air_w = w
    k.air_l = latent_heat(s.air_t)
    # glass
    k.glass_t = s.glass_t
    k.glass_ws, k.glass_s = saturated(s.glass_t)
    h = combined(
        now.blown_glass,
        natural_vertical(buoyancy(rho, s.glass_t, min(w, k.glass_ws)), b.air_height),
    )
    k.glass_c = h * b.glass_area
    g = vapour_conductance(h) * b.glass_area
    water = base.glass_film + tau * now.spray * b.land_glass
    wet = covered(water, g * (k.glass_ws - w), tau, b.glass_half_wet)
    k.glass_g = g * wet
    k.glass_drip = excess(water - tau * k.glass_g * (k.glass_ws - w), b.glass_film_max, tau, b.drip_seconds)
    k.glass_l = paid(k.glass_ws - w, s.glass_t, s.air_t)
    # leaves
    k.leaf_c = k.leaf_g = k.leaf_film_g = k.leaf_ws = k.leaf_s = k.leaf_l = k.leaf_drip = 0.0
    k.leaf_t = s.leaf_t
    if b.has_plants > 0.0:
        k.leaf_ws, k.leaf_s = saturated(s.leaf_t)
        h = combined(
            now.blown_leaf,
            natural_horizontal(buoyancy(rho, s.leaf_t, 0.5 * (w + k.leaf_ws)), CHILL_LEAF * b.leaf_width),
        )
        k.leaf_c = 2.0 * h * b.leaf_area
        g = vapour_conductance(h)
        water = base.leaf_film + tau * now.spray * b.land_leaf
        wet = covered(water, g * b.leaf_area * (k.leaf_ws - w), tau, b.leaf_half_wet)
        k.leaf_film_g = g * b.leaf_area * wet
        k.leaf_drip = excess(water - tau * k.leaf_film_g * (k.leaf_ws - w), b.leaf_film_max, tau, b.drip_seconds)
        if k.leaf_ws > w:
            closed = b.resistance_dark + now.lit * (b.resistance_lit - b.resistance_dark)
            k.leaf_g = in_series(g, closed) * b.leaf_area * (1.0 - wet) * now.root_stress
        k.leaf_l = paid(k.leaf_ws - w, s.leaf_t, s.air_t)
    # ground: the cover where there is one, else the bare soil
    k.soil_t = soil_t
    k.cover_t = s.cover_t
    ws, slope = saturated(soil_t)
    t_top = s.cover_t if b.cover > 0.0 else soil_t
    k.cover_ws = 0.0
    k.cover_s = 0.0
    k.cover_g = 0.0
    k.cover_l = 0.0
    k.cover_drip = 0.0
    w_top = ws
    if b.cover > 0.0:
        k.cover_ws, k.cover_s = saturated(s.cover_t)
        w_top = 0.5 * (w + k.cover_ws)
    h = combined(now.blown_ground, natural_horizontal(buoyancy(rho, t_top, w_top), b.ground_length))
    k.ground_c = h * b.floor
    g = vapour_conductance(h)
    resistance = 0.0
    dry = 1.0
    if b.cover > 0.0:
        resistance = b.cover_resistance
        landing = now.spray * b.land_ground + k.leaf_drip + base.fog / b.fog_settle
        water = base.cover_water + tau * landing
        wet = covered(water, g * b.floor * (k.cover_ws - w), tau, b.cover_half_wet)
        k.cover_g = g * b.floor * wet
        if k.cover_ws > w:
            dry = 1.0 - wet  # under a wet patch the soil has no air film to itself
        k.cover_drip = excess(water - tau * k.cover_g * (k.cover_ws - w), b.cover_water_max, tau, b.drip_seconds)
        k.cover_l = paid(k.cover_ws - w, s.cover_t, s.air_t)
    k.soil_g = in_series(g, resistance) * b.floor * dry
    k.soil_e, factor, s.surface_head, k.soil_up, by_ws = surface_supply(
        k.soil_g / b.floor, ws, w, soil, cell, base.surface_water, s.surface_head, tau, soil_t
    )
    k.soil_e *= b.floor
    k.soil_e_t = factor * k.soil_g * by_ws * slope
    k.soil_e_w = -factor * k.soil_g
    k.soil_l = paid(k.soil_e, soil_t, s.air_t)
    # water dish and corner tube
    k.dish_c = 0.0
    k.dish_g = 0.0
    k.dish_ws = 0.0
    k.dish_s = 0.0
    k.dish_l = 0.0
    k.dish_t = s.dish_t
    if b.has_dish > 0.0:
        k.dish_ws, k.dish_s = saturated(s.dish_t)
        length = math.sqrt(b.dish_area)
        h = combined(now.blown_dish, natural_horizontal(buoyancy(rho, s.dish_t, k.dish_ws), length))
        k.dish_c = h * b.dish_area
        g = vapour_conductance(h) * b.dish_area
        k.dish_g = g * covered(base.dish_water, g * (k.dish_ws - w), tau, 0.05 * b.dish_area)
        k.dish_l = paid(k.dish_ws - w, s.dish_t, s.air_t)
    k.tube_e = 0.0
    k.tube_l = 0.0
    k.tube_t = reservoir_t
    if b.has_tube > 0.0:
        ws_r, _ = saturated(reservoir_t)
        k.tube_e = b.tube_area * vapour_diffusivity(reservoir_t) * rho / b.tube_length * (ws_r - w)
        k.tube_l = paid(k.tube_e, reservoir_t, s.air_t)
        k.tube_t = reservoir_t
    # air exchange
    light = virtual_temperature_excess(s.air_t, w, now.room_t, now.room_w)
    diffusivity = vapour_diffusivity(s.air_t)
    enters, blown, now.pressure = exchanged(light, diffusivity, vents, now.fan_out, now.fan_in, now.pressure)
    volume_flow = b.leak + enters
    k.vent = volume_flow * dry_air_density(s.air_t, w)
    k.leak_share = b.leak / volume_flow
    k.fan_share = blown / volume_flow
    k.door_share = 0.0
    if now.doors > 0.0:
        k.door_share = (
            min(through_doors(light, diffusivity, vents, int(b.first_door), now.pressure), enters - blown) / volume_flow
        )
    # droplets in the air, and air above saturation
    ws, slope = saturated(s.air_t)
    k.air_ws = ws
    # droplets: with x the share of saturation that the air lacks, they give supply x / (held + haste x) [kg/s],
    # which tends to all there is within the stage; air above saturation makes mist x instead (x below nothing)
    source = base.fog + tau * now.fog_in
    rate = 0.0
    if source > 0.0:
        rate = evaporation_rate(b.fog_diameter, diffusivity, saturated_vapour_density(s.air_t), b.fog_cooling)
    k.air_s = slope
    k.fog_supply = rate * max(0.0, source)
    k.fog_haste = tau * rate
    k.fog_held = 1.0 + tau * (1.0 / b.fog_settle + k.vent / b.air_mass)
    k.fog_mist = b.air_mass * ws / b.supersaturation_seconds
    # a first stage may give out more droplets than there are; the second takes them back
    k.fog_owed = source / tau if source < 0.0 and tau > 0.0 else 0.0
    k.fog_e = droplets(k, 1.0 - w / ws, 0.0)
    # wood and background: a store that follows the air's humidity
    k.wood_e = 0.0
    k.wood_e_w = 0.0
    k.wood_e_t = 0.0
    if b.wood_store > 0.0:
        rh = w / ws * (0.621945 + ws) / (0.621945 + w)
        pull = b.wood_store / (b.wood_seconds + tau)
        k.wood_e = pull * (base.wood - rh)
        k.wood_e_w = -pull * rh / w
        k.wood_e_t = pull * rh / ws * slope


@inner
def solve(b, now, k, base, s, chain, chain_base, capacity, between, side, tau, sweep):
    """Solve one implicit stage of tau [s] with frozen coefficients; s and chain take the new state.

    Soil and reservoir temperatures (a chain) are eliminated from below, leaves, dish and cover each by its own
    balance; what remains is three equations for air temperature, humidity ratio and glass temperature.
    """
    last = chain.size - 1
    p = sweep[0]
    r = sweep[1]
    room = now.room_t
    # the chain from the reservoir up: T[i] = p[i] + r[i] T[i-1]
    down = 0.0
    carry = 0.0
    for i in range(last, 0, -1):
        own = capacity[i] / tau + side[i] + between[i - 1] + down
        push = capacity[i] / tau * chain_base[i] + side[i] * room + carry
        if i == last:
            own += b.bottom_out
            push += b.bottom_out * room + now.floor_heat - k.tube_l * k.tube_e
        p[i] = push / own
        r[i] = between[i - 1] / own
        down = between[i - 1] * (1.0 - r[i])
        carry = between[i - 1] * p[i]
    own = capacity[0] / tau + side[0] + down + k.soil_l * k.soil_e_t
    push = capacity[0] / tau * chain_base[0] + side[0] * room + carry
    push -= k.soil_l * (k.soil_e - k.soil_e_t * k.soil_t - k.soil_e_w * k.air_w)
    pull_w = -k.soil_l * k.soil_e_w
    radiate = b.radiation
    # ground surface: T = g0 + ga Ta + gw W + gg Tg
    ground_r = radiate * b.floor
    if b.cover > 0.0:
        own += b.cover_conductance
        s0 = push / own
        sw = pull_w / own
        sc = b.cover_conductance / own
        heat = (b.ground_capacity + WATER_HEAT * max(0.0, base.cover_water)) / tau
        own = heat + k.ground_c + ground_r + b.lid_radiation + b.cover_conductance * (1.0 - sc)
        own += k.cover_l * k.cover_g * k.cover_s
        g0 = heat * base.cover_t + b.cover_conductance * s0 + b.lid_radiation * room + now.ground_heat
        g0 -= k.cover_l * k.cover_g * (k.cover_ws - k.cover_s * k.cover_t)
        g0 /= own
        ga = k.ground_c / own
        gw = (b.cover_conductance * sw + k.cover_l * k.cover_g) / own
        gg = ground_r / own
        # soil surface below it: T = s0 + sw W + sc Tcover
        s0 += sc * g0
        sa = sc * ga
        sw += sc * gw
        sg = sc * gg
    else:
        own += k.ground_c + ground_r + b.lid_radiation
        g0 = (push + b.lid_radiation * room + now.ground_heat) / own
        ga = k.ground_c / own
        gw = pull_w / own
        gg = ground_r / own
        s0 = g0
        sa = ga
        sw = gw
        sg = gg
    # leaves: T = l0 + la Ta + lw W + lg Tg
    l0 = s.leaf_t
    la = 0.0
    lw = 0.0
    lg = 0.0
    leaf_r = radiate * b.leaf_area
    leaf_g = k.leaf_g + k.leaf_film_g
    if b.has_plants > 0.0:
        heat = (b.leaf_capacity + WATER_HEAT * max(0.0, base.leaf_film)) / tau
        own = heat + k.leaf_c + leaf_r + k.leaf_l * leaf_g * k.leaf_s
        l0 = heat * base.leaf_t + now.leaf_heat - k.leaf_l * leaf_g * (k.leaf_ws - k.leaf_s * k.leaf_t)
        l0 /= own
        la = k.leaf_c / own
        lw = k.leaf_l * leaf_g / own
        lg = leaf_r / own
    # dish: T = d0 + da Ta + dw W + dg Tg
    d0 = s.dish_t
    da = 0.0
    dw = 0.0
    dg = 0.0
    dish_r = radiate * b.dish_area
    if b.has_dish > 0.0:
        heat = (b.dish_capacity + WATER_HEAT * max(0.0, base.dish_water)) / tau
        own = heat + k.dish_c + dish_r + k.dish_l * k.dish_g * k.dish_s
        d0 = heat * base.dish_t - k.dish_l * k.dish_g * (k.dish_ws - k.dish_s * k.dish_t)
        d0 /= own
        da = k.dish_c / own
        dw = k.dish_l * k.dish_g / own
        dg = dish_r / own
    # air temperature
    heat = b.air_mass * (AIR_HEAT + VAPOUR_HEAT * base.air_w) / tau
    blow = k.vent * (AIR_HEAT + VAPOUR_HEAT * now.room_w)
    air_h = vapour_enthalpy(k.air_t)
    damp_t = air_h * k.wood_e_t
    damp_w = air_h * k.wood_e_w
    a11 = heat + blow + k.ground_c + k.leaf_c + k.dish_c + k.glass_c + damp_t
    a11 -= k.ground_c * ga + k.leaf_c * la + k.dish_c * da
    a12 = damp_w - k.ground_c * gw - k.leaf_c * lw - k.dish_c * dw
    a13 = -k.glass_c - k.ground_c * gg - k.leaf_c * lg - k.dish_c * dg
    b1 = heat * base.air_t + blow * room + now.air_heat + k.ground_c * g0 + k.leaf_c * l0 + k.dish_c * d0
    b1 -= air_h * k.wood_e - damp_t * k.air_t - damp_w * k.air_w
    # warmth that vapour brings along [W/K]; what condenses has the air's own
    by_soil = VAPOUR_HEAT * max(0.0, k.soil_e)
    by_cover = VAPOUR_HEAT * k.cover_g * max(0.0, k.cover_ws - k.air_w)
    by_leaf = VAPOUR_HEAT * leaf_g * max(0.0, k.leaf_ws - k.air_w)
    by_dish = VAPOUR_HEAT * k.dish_g * max(0.0, k.dish_ws - k.air_w)
    by_glass = VAPOUR_HEAT * k.glass_g * max(0.0, k.glass_ws - k.air_w)
    a11 += by_soil + by_cover + by_leaf + by_dish + by_glass
    b1 += by_soil * k.soil_t + by_cover * k.cover_t + by_leaf * k.leaf_t + by_dish * k.dish_t + by_glass * k.glass_t
    # drops that float have the air's warmth, and those that arrive the room's
    drops = WATER_HEAT * max(0.0, base.fog) / tau
    a11 += drops + WATER_HEAT * now.fog_in
    b1 += drops * base.air_t + WATER_HEAT * now.fog_in * room
    # vapour
    mass = b.air_mass / tau
    soil = k.soil_e_t
    cover = k.cover_g * k.cover_s
    leaf = leaf_g * k.leaf_s
    dish = k.dish_g * k.dish_s
    pane = k.glass_g * k.glass_s
    a21 = -(soil * sa + cover * ga + leaf * la + dish * da + k.wood_e_t)
    a22 = mass + k.vent - k.soil_e_w + k.cover_g + leaf_g + k.dish_g + k.glass_g - k.wood_e_w
    a22 -= soil * sw + cover * gw + leaf * lw + dish * dw
    a23 = -(soil * sg + cover * gg + leaf * lg + dish * dg + pane)
    b2 = mass * base.air_w + k.vent * now.room_w + k.tube_e
    b2 += k.soil_e + soil * (s0 - k.soil_t) - k.soil_e_w * k.air_w
    b2 += k.cover_g * k.cover_ws + cover * (g0 - k.cover_t) + leaf_g * k.leaf_ws + leaf * (l0 - k.leaf_t)
    b2 += k.dish_g * k.dish_ws + dish * (d0 - k.dish_t) + k.glass_g * k.glass_ws - pane * k.glass_t
    b2 += k.wood_e - k.wood_e_w * k.air_w - k.wood_e_t * k.air_t
    # glass temperature
    heat = (b.glass_capacity + WATER_HEAT * max(0.0, base.glass_film)) / tau
    a31 = -(k.glass_c + ground_r * ga + leaf_r * la + dish_r * da)
    a32 = -(k.glass_l * k.glass_g + ground_r * gw + leaf_r * lw + dish_r * dw)
    a33 = heat + k.glass_c + ground_r + leaf_r + dish_r + b.glass_out + k.glass_l * pane
    a33 -= ground_r * gg + leaf_r * lg + dish_r * dg
    b3 = heat * base.glass_t + b.glass_out * room + now.glass_heat + ground_r * g0 + leaf_r * l0 + dish_r * d0
    b3 -= k.glass_l * (k.glass_g * k.glass_ws - pane * k.glass_t)
    # three by three, by elimination
    f21 = a21 / a11
    a22 -= f21 * a12
    a23 -= f21 * a13
    b2 -= f21 * b1
    f31 = a31 / a11
    a32 -= f31 * a12
    a33 -= f31 * a13
    b3 -= f31 * b1
    f32 = a32 / a22
    a33 -= f32 * a23
    s.glass_t = (b3 - f32 * b2) / a33
    s.air_w = (b2 - a23 * s.glass_t) / a22
    s.air_t = (b1 - a12 * s.air_w - a13 * s.glass_t) / a11
    # droplets add their vapour and take its heat: the same equations answer to one kg/s of it
    by_w = -1.0 / k.air_ws
    by_t = k.air_w * k.air_s / (k.air_ws * k.air_ws)
    lack = 1.0 - k.air_w / k.air_ws + by_w * (s.air_w - k.air_w) + by_t * (s.air_t - k.air_t)
    k.fog_e = 0.0
    if lack < 0.0 or k.fog_supply > 0.0 or k.fog_owed < 0.0:
        c1 = -k.air_l
        c2 = 1.0 - f21 * c1
        c3 = -f31 * c1
        one_g = (c3 - f32 * c2) / a33
        one_w = (c2 - a23 * one_g) / a22
        one_t = (c1 - a12 * one_w - a13 * one_g) / a11
        k.fog_e = droplets(k, lack, max(0.0, -by_w * one_w - by_t * one_t))
        s.glass_t += k.fog_e * one_g
        s.air_w += k.fog_e * one_w
        s.air_t += k.fog_e * one_t
    s.leaf_t = l0 + la * s.air_t + lw * s.air_w + lg * s.glass_t
    s.dish_t = d0 + da * s.air_t + dw * s.air_w + dg * s.glass_t
    chain[0] = s0 + sa * s.air_t + sw * s.air_w + sg * s.glass_t
    s.cover_t = g0 + ga * s.air_t + gw * s.air_w + gg * s.glass_t
    for i in range(1, last + 1):
        chain[i] = p[i] + r[i] * chain[i - 1]
    if s.air_w < 1e-6:
        s.air_w = 1e-6
