"""Air that goes between zones and to the room: what the openings pass, and what mixes zones that stand on each other.

The openings give what each zone exchanges with the room. What one zone loses by it and another gains goes up or down
between them. Besides, neighbours mix: by turning over where the upper air is heavier, by currents along panes, plumes over
warm ground, room air that falls in through the lid, a fan's jet, and diffusion (`physics.mixing`).
"""

import math

from terralab.engine.network import exchanged, stand
from terralab.engine.kinds import DOWNWARDS, PANE, UPRIGHT
from terralab.jit import inner
from terralab.physics.conductivity import vapour_diffusivity
from terralab.physics.constants import AIR_HEAT, GRAVITY
from terralab.physics.mixing import (
    COLDNESS,
    diffusion_exchange,
    jet,
    jet_work_limit,
    one_opening,
    overturning,
    pane_current,
    passes,
    plume,
    sinking,
    stirred,
)
from terralab.physics.moist_air import density, dry_air_density, lightness
from terralab.physics.openings import AIR_DENSITY

HALF_SOURCE = 1.5  # radii below a warm patch: where its plume would begin if it came from a point


@inner
def link_up(b, now, air, row, vents):
    """Fill LINK [kg/s] at the states of `row`, and the shares of fans, gaps and doors in the exchange with the room."""
    stacked = int(b.stacked)
    outside = density(now.room_t, now.room_w)
    inside = 0.0  # dry air in a cubic metre, on average
    for i in range(stacked):
        s = air.zones[row, i]
        air.light[i] = lightness(density(s.t, s.w), outside)
        inside += dry_air_density(s.t, s.w) * air.zone[i].volume / b.volume
    stand(air.light[:stacked], air.zone["top"], air.columns)
    diffusivity = vapour_diffusivity(air.zones[row, stacked - 1].t)
    enters, blown, now.pressure = exchanged(air.columns, diffusivity, vents, now.pressure)
    to_room(b, now, air, vents, inside, enters, blown)
    for i in range(stacked - 1):
        lifts = lightness_between(air, row, i)
        air.link[stacked + i].mix = inside * (
            b.mixing_factor * by_currents(air, row, i, lifts, vents) + by_others(b, now, air, i, lifts, diffusivity)
        )
    if air.zone.size > stacked:
        hide = air.link[2 * stacked - 1]
        inner_air = air.zones[row, stacked]
        s = air.zones[row, 0]
        light = lightness(density(inner_air.t, inner_air.w), density(s.t, s.w))
        hide.mix = inside * (
            one_opening(light, b.hide_area, b.hide_height, b.discharge)
            + diffusion_exchange(b.hide_area, b.hide_height, diffusivity)
        )
    leaving(air)


@inner
def to_room(b, now, air, vents, inside, enters, blown):
    """Give each zone what openings and gaps exchange with the room, and what then goes up or down between zones."""
    stacked = int(b.stacked)
    for i in range(stacked):
        # for the moment: what goes out and what comes in
        air.link[i].net = inside * b.leak * air.zone[i].volume / b.volume
        air.link[i].mix = air.link[i].net
    doors = 0.0
    for i in range(vents.size):
        o = vents[i]
        if o.area > 0.0:
            link = air.link[int(o.zone)]
            link.net += inside * o.out
            link.mix += inside * o.into
            if i >= int(b.first_door):
                doors += 0.5 * (o.out + o.into)
    up = 0.0
    for i in range(stacked):
        link = air.link[i]
        out, into = link.net, link.mix
        link.net = out - into
        link.mix = min(out, into)
        up += into - out
        if i + 1 < stacked:
            air.link[stacked + i].net = up
    total = b.leak + enters
    now.leak_share = b.leak / total
    now.fan_share = blown / total
    now.door_share = min(doors, enters - blown) / total


@inner
def lightness_between(air, row, i):
    """How much lighter [-] the air of zone i + 1 is than that of zone i beneath it."""
    low, high = air.zones[row, i], air.zones[row, i + 1]
    return lightness(density(high.t, high.w), density(low.t, low.w))


@inner
def by_currents(air, row, i, lifts, vents):
    """Air [m3/s] that currents carry between zone i and the one above, which is lighter by `lifts`.

    Along panes that are colder above or warmer below, over warm ground, and with room air that falls from the lid.
    """
    zone = air.zone[i]
    low, high = air.zones[row, i], air.zones[row, i + 1]
    rho_low, rho_high = density(low.t, low.w), density(high.t, high.w)
    q = overturning(lifts, zone.section)
    for j in range(air.surface.size):
        f, k, s = air.surface[j], air.surface_now[j], air.surfaces[row, j]
        place = int(f.zone)
        if f.kind == PANE and place == i + 1:
            falls = -lightness(density(s.t, min(high.w, k.ws)), rho_high)
            if falls > 0.0:
                q += pane_current(falls, f.length, f.width) * passes(COLDNESS * falls, lifts)
        elif f.kind == PANE and place == i:
            rises = lightness(density(s.t, min(low.w, k.ws)), rho_low)
            if rises > 0.0:
                q += pane_current(rises, f.length, f.width) * passes(COLDNESS * rises, lifts)
        elif f.facing != UPRIGHT and f.facing != DOWNWARDS and place <= i and k.c > 0.0:
            rises = lightness(density(s.t, low.w), rho_low)
            if rises > 0.0:
                fed = GRAVITY * rises * k.c / (AIR_DENSITY * AIR_HEAT)
                carried = plume(fed, zone.top - f.high + HALF_SOURCE * math.sqrt(f.area / math.pi))
                q += carried * passes(fed / (GRAVITY * carried), lifts)
    return q + falling(air, row, i, lifts, vents)


@inner
def falling(air, row, i, lifts, vents):
    """Air [m3/s] that room air carries down past the top of zone i, from openings above it."""
    q = 0.0
    for m in range(vents.size):
        o = vents[m]
        z = int(o.zone)
        if o.area == 0.0 or o.into == 0.0 or z <= i or air.light[z] <= 0.0:
            continue
        carried = sinking(air.light[z], o.into, 0.5 * (o.bottom + o.top) - air.zone[i].top)
        if carried > 0.0:
            q += carried * passes(air.light[z] * o.into / carried, lifts)
    return q


@inner
def by_others(b, now, air, i, lifts, diffusivity):
    """Air [m3/s] that a circulating fan and diffusion change between zone i and the one above."""
    zone = air.zone[i]
    distance = 0.5 * (air.zone[i + 1].top - zone.bottom)
    q = diffusion_exchange(zone.section, distance, diffusivity)
    if now.jet_flow > 0.0:
        carried = jet(now.jet_flow, now.jet_diameter, distance)
        q += stirred(carried, jet_work_limit(now.jet_flow, now.jet_diameter, lifts, distance, b.stirring))
    return q


@inner
def leaving(air):
    """Sum the air that leaves each zone [kg/s]."""
    for i in range(air.zone.size):
        air.zone_now[i].leaves = 0.0
    for m in range(air.link.size):
        link = air.link[m]
        air.zone_now[int(link.a)].leaves += link.mix + max(link.net, 0.0)
        if link.b >= 0.0:
            air.zone_now[int(link.b)].leaves += link.mix + max(-link.net, 0.0)
