"""What each surface exchanges with the air beside it: one row of SURFACE a thing, whatever it is.

`film_coefficients` gives heat conductances, `vapour_laws` the vapour of each surface with its slopes by temperature and
humidity ratio. All is frozen for one linear solve (`engine.air_solve`), which knows nothing of what a surface is.
"""

import math

from terralab.engine.kinds import (
    BARE,
    BASKING,
    CARPET,
    DISH,
    DOWNWARDS,
    HANGING,
    HIDDEN_SOIL,
    LEAF,
    LID,
    MOSS,
    PANE,
    SHELL,
    SOIL,
    STONE,
    UPRIGHT,
)
from terralab.engine.surface_cell import surface_supply
from terralab.jit import inner
from terralab.physics.canopy import sheltered
from terralab.physics.conductivity import pore_humidity
from terralab.physics.constants import MASS_RATIO, PRESSURE, WATER_DENSITY, WATER_HEAT
from terralab.physics.convection import combined, in_series, natural_horizontal, natural_vertical, vapour_conductance
from terralab.physics.leaf import closing, warming
from terralab.physics.moist_air import (
    damp_ratio,
    density,
    humidity_ratio,
    lightness,
    saturation_pressure,
    saturation_slope,
    vapour_enthalpy,
)

KPA_BY_RATIO = 1.0e-3 * PRESSURE / MASS_RATIO  # kPa of vapour in air with 1 kg/kg of it, where it is thin


@inner
def saturated(t_c):
    """Saturated humidity ratio [kg/kg] at t_c [C] and its slope [1/K]."""
    e = saturation_pressure(t_c)
    w = humidity_ratio(e)
    return w, w * PRESSURE / (PRESSURE - e) * saturation_slope(t_c, e) / e


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
def film_coefficient(f, k, z, blown):
    """Heat coefficient [W/m2K] of a surface beside the air of zone z, whose own draught gives `blown`; notes its lightness."""
    if f.facing == UPRIGHT:
        w = min(z.w, k.ws)
    elif f.kind == BASKING:
        w = z.w
    elif f.kind == DISH or f.kind == SOIL or f.kind == HIDDEN_SOIL:
        w = k.ws
    else:
        w = 0.5 * (z.w + k.ws)
    k.light = lightness(density(k.t, w), z.rho)
    if f.facing == UPRIGHT:
        return combined(blown, natural_vertical(k.light, f.length))
    # cold air below a pane falls as warm air above a floor rises
    return combined(blown, natural_horizontal(-k.light if f.facing == DOWNWARDS else k.light, f.length))


@inner
def film_law(f, k, z, water, tau, drip_seconds):
    """Vapour of a film with `water` [kg] on it by the end of a stage of tau [s], its slopes, wet share and drip."""
    g = vapour_conductance(k.h)
    if f.resistance > 0.0:
        g = in_series(g, f.resistance)
    g *= f.area
    drive = k.ws - z.w
    k.wet = covered(water, g * drive, tau, f.film_half)
    g *= k.wet
    k.f = g * drive
    k.f_t = g * k.slope
    k.f_w = -g
    k.drip = excess(water - tau * k.f, f.film_max, tau, drip_seconds)


@inner
def stomata(b, now, f, k, z, first):
    """Vapour that leaves breathe out: through pores and skin, where the leaf is not wet."""
    if first:
        k.open = 1.0 / b.leaf_dark + k.pores
        if k.pores > 0.0:
            lacks = (k.ws - z.w) * KPA_BY_RATIO
            k.open += k.pores * (closing(lacks, b.dryness) * warming(k.t, b.warming) - 1.0)
    if k.ws > z.w:
        g = in_series(vapour_conductance(k.h), 1.0 / k.open) * f.area * (1.0 - k.wet) * now.root_stress
        k.e = g * (k.ws - z.w)
        k.e_t = g * k.slope
        k.e_w = -g


@inner
def soil_law(b, f, k, z, h, dry, own, base, soil, cell, tau, t_below, ground, beside):
    """Vapour of the soil's surface, solved with the head of its top cell; h and `dry` are of what covers it.

    One cell serves the open ground and what lies in a hide: that and roots take `beside` [kg/s] of its water.
    """
    # of a square metre of the cell, the open part
    g = in_series(vapour_conductance(h), f.resistance) * dry * f.area / b.floor
    beside /= WATER_DENSITY * b.floor
    age = base.age + tau
    e, factor, own.head, ground.soil_up, by_warmth, by_ws = surface_supply(
        g, k.ws, z.w, soil, cell, base.water, own.head, age, tau, k.t, t_below, beside
    )
    k.e = e * b.floor
    # what is warmer gives more to the air, and draws less from below
    k.e_t = (factor * g * by_ws + (1.0 - factor) * WATER_DENSITY * by_warmth) * b.floor * k.slope
    k.e_w = -factor * g * b.floor


@inner
def hidden_soil(f, k, z, head, cell):
    """Vapour of the soil's surface inside a hide, as damp as the surface cell is anyway."""
    humidity = cell.humidity
    if cell.active > 0.0:
        humidity, _ = pore_humidity(head, k.t)
    pores, _, by_ws = damp_ratio(humidity, k.ws)
    g = vapour_conductance(k.h) * f.area
    k.e = g * (pores - z.w)
    k.e_t = g * by_ws * k.slope
    k.e_w = -g
    k.l = paid(k.e, k.t, z.t)


@inner
def look_at_surfaces(b, now, air, row, base_row, chain, soil, cell, tau, first):
    """Fill SURFACE_NOW at the states of `row`, for an implicit stage of tau [s] from those of `base_row`.

    `chain` holds the soil's temperatures, whose first is that of its surface. Heat coefficients are worked out where
    `first` is true and kept for the solves after it.
    """
    n = air.surface.size
    ground = air.ground_now[0]
    ground.leaf_drip = 0.0
    ground.lid_drip = 0.0
    ground.glass_drip = 0.0
    ground.patch_drip = 0.0
    hidden = 0.0
    drinks = 0.0
    settling = max(0.0, air.zones[base_row, 0].fog) / air.zone[0].settle
    for j in range(n):
        f = air.surface[j]
        k = air.surface_now[j]
        z = air.zone_now[int(f.zone)]
        k.t = chain[0] if f.kind == SOIL or f.kind == HIDDEN_SOIL else air.surfaces[row, j].t
        k.w = z.w
        k.ws, k.slope = saturated(k.t)
        k.carries = 0.0
        if first and f.faces > 0.0:
            k.h = film_coefficient(f, k, z, air.blown[j])
            if f.kind == LEAF:
                k.h = sheltered(k.h, b.shelter)
            k.c = k.h * f.area * f.faces
        k.e = k.e_t = k.e_w = 0.0
        if f.kind == SOIL:
            over = int(f.over)
            h, dry = k.h, 1.0
            if over >= 0:
                h = air.surface_now[over].h
                if air.surface_now[over].ws > z.w:
                    dry = 1.0 - air.surface_now[over].wet  # under a wet patch the soil has no air film to itself
            beside = hidden + cell.rooted * drinks
            t_below = chain[min(1, chain.size - 1)]
            soil_law(b, f, k, z, h, dry, air.cell[row], air.cell[base_row], soil, cell, tau, t_below, ground, beside)
            k.l = paid(k.e, k.t, z.t)
            continue
        if f.kind == HIDDEN_SOIL:
            hidden_soil(f, k, z, air.cell[row].head, cell)
            # the little air of a hide follows its floor at once: within the stage it takes what then leaves it
            share = 1.0
            if tau > 0.0:
                takes_up = z.leaves + air.zone[int(f.zone)].mass / tau
                share = takes_up / (takes_up - k.e_w)
            hidden += share * k.e
            ground.hide_heat = share * (k.c * (k.t - z.t) + k.l * k.e)
            ground.hide_slope = share * (k.c + k.l * k.e_t)
            continue
        k.l = paid(k.ws - z.w, k.t, z.t)
        if f.film_half > 0.0:
            water = air.surfaces[base_row, j].film + tau * now.spray * f.spray
            if f.lands > 0.0:
                water += tau * f.lands * (now.spray * b.land_ground + ground.leaf_drip + ground.lid_drip + settling)
            if f.kind == BARE:
                water += tau * b.stands_free * ground.glass_drip
            film_law(f, k, z, water, tau, b.drip_seconds)
        if f.kind == LEAF:
            stomata(b, now, f, k, z, first)
            ground.leaf_drip += k.drip
            drinks += k.e
        elif f.kind == LID or f.kind == SHELL or f.kind == MOSS or f.kind == HANGING:
            ground.lid_drip += k.drip
        elif f.kind == PANE:
            ground.glass_drip += k.drip
        elif f.kind == STONE or f.kind == CARPET:
            ground.patch_drip += k.drip
    landed = now.spray * b.land_ground + ground.leaf_drip + ground.lid_drip + settling
    # where soil stands against the panes, what runs down them wets it at its edge
    edge = ground.glass_drip * (1.0 - b.stands_free) * b.run_off_to_soil
    ground.landed = ground.patch_drip + now.drip + edge
    if b.cover == 0.0:
        ground.landed += (1.0 - b.patch_share) * landed
