"""Air that goes between zones and to the room: what the openings pass, and what mixes zones that stand on each other.

The openings give what each zone exchanges with the room. What one zone loses by it and another gains goes up or down
between them. Besides, neighbours mix: by turning over where the upper air is heavier, by currents along panes, plumes over
warm ground, room air that falls in through the lid, a fan's jet, and diffusion (`physics.mixing`).
"""

import math

from terralab.engine.kinds import PANE, UPWARDS
from terralab.engine.network import exchanged, stand
from terralab.jit import inner
from terralab.physics.conductivity import vapour_diffusivity
from terralab.physics.constants import AIR_HEAT, GRAVITY
from terralab.physics.convection import natural_vertical
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
from terralab.physics.moist_air import density, lightness
from terralab.physics.openings import AIR_DENSITY

HALF_SOURCE = 1.5  # radii below a warm patch: where its plume would begin if it came from a point


@inner
def link_up(b, now, air, vents):
    """Fill LINK [kg/s] at the states last looked at, and the shares of fans, gaps and doors in the exchange with the room."""
    stacked = int(b.stacked)
    outside = density(now.room_t, now.room_w)
    inside = 0.0  # dry air in a cubic metre, on average
    for i in range(stacked):
        k = air.zone_now[i]
        air.light[i] = lightness(k.rho, outside)
        inside += k.rho / (1.0 + k.w) * air.zone[i].volume / b.volume
    stand(air.light, air.zone, stacked, air.columns)
    diffusivity = vapour_diffusivity(air.zone_now[stacked - 1].t)
    enters, blown, now.pressure, now.pressure_back = exchanged(
        air.columns, diffusivity, vents, now.pressure, now.pressure_back
    )
    to_room(b, now, air.zone, air.link, vents, inside, enters, blown)
    for i in range(stacked - 1):
        lifts = lightness(air.zone_now[i + 1].rho, air.zone_now[i].rho)
        zone = air.zone[i]
        mixed = overturning(lifts, zone.section) + by_surfaces(air.surface, air.surface_now, zone.top, i, lifts)
        mixed = b.mixing_factor * (mixed + by_room_air(vents, air.light, zone.top, i, lifts))
        distance = 0.5 * (air.zone[i + 1].top - zone.bottom)
        mixed += diffusion_exchange(zone.section, distance, diffusivity) + by_fan(b, now, distance, lifts)
        air.link[stacked + i].mix = inside * mixed
    if air.zone.size > stacked:
        light = lightness(air.zone_now[stacked].rho, air.zone_now[0].rho)
        air.link[2 * stacked - 1].mix = inside * (
            one_opening(light, b.hide_area, b.hide_height, b.discharge)
            + diffusion_exchange(b.hide_area, b.hide_height, diffusivity)
        )
    leaving(air.zone_now, air.link)


@inner
def to_room(b, now, zone, links, vents, inside, enters, blown):
    """Give each zone what openings and gaps exchange with the room, and what then goes up or down between zones."""
    stacked = int(b.stacked)
    for i in range(stacked):
        # for the moment: what goes out and what comes in
        links[i].net = inside * b.leak * zone[i].volume / b.volume
        links[i].mix = links[i].net
    doors = 0.0
    for i in range(vents.size):
        o = vents[i]
        if o.area > 0.0:
            link = links[int(o.zone)]
            link.net += inside * o.out
            link.mix += inside * o.into
            if i >= int(b.first_door):
                doors += 0.5 * (o.out + o.into)
    up = 0.0
    for i in range(stacked):
        link = links[i]
        out, into = link.net, link.mix
        link.net = out - into
        link.mix = min(out, into)
        up += into - out
        if i + 1 < stacked:
            links[stacked + i].net = up
    total = b.leak + enters
    now.leak_share = b.leak / total
    now.fan_share = blown / total
    now.door_share = min(doors, enters - blown) / total


@inner
def by_surfaces(surfaces, now, top, i, lifts):
    """Air [m3/s] that currents carry past `top` [m], from zone i to the one above, which is lighter by `lifts`, and back.

    Along panes that are colder above or warmer below, and over warm ground.
    """
    q = 0.0
    for j in range(surfaces.size):
        f, k = surfaces[j], now[j]
        place = int(f.zone)
        if f.kind == PANE:
            falls = -k.light if place == i + 1 else k.light if place == i else 0.0
            if falls > 0.0:
                # what the pane did to the air of a current that passes ends where the current does; what blown air
                # takes from the pane stays: of the cubes that `convection.combined` adds, that of the current is its part
                share = passes(COLDNESS * falls, lifts)
                own = natural_vertical(k.light, f.length) / k.h
                k.carries = share * own * own * own
                k.beyond = float(i if place == i + 1 else i + 1)
                q += pane_current(falls, f.length, f.width) * share
        elif f.facing == UPWARDS and place <= i and k.c > 0.0 and k.light > 0.0:
            fed = GRAVITY * k.light * k.c / (AIR_DENSITY * AIR_HEAT)
            carried = plume(fed, top - f.high + HALF_SOURCE * math.sqrt(f.area / math.pi))
            q += carried * passes(fed / (GRAVITY * carried), lifts)
    return q


@inner
def by_room_air(vents, light, top, i, lifts):
    """Air [m3/s] that room air carries down past `top` [m], the upper edge of zone i, from openings above it."""
    q = 0.0
    for m in range(vents.size):
        o = vents[m]
        z = int(o.zone)
        if o.area == 0.0 or o.into == 0.0 or z <= i or light[z] <= 0.0:
            continue
        carried = sinking(light[z], o.into, 0.5 * (o.bottom + o.top) - top)
        if carried > 0.0:
            q += carried * passes(light[z] * o.into / carried, lifts)
    return q


@inner
def by_fan(b, now, distance, lifts):
    """Air [m3/s] that the jet of a circulating fan changes between two zones whose middles are `distance` [m] apart."""
    if now.jet_flow == 0.0:
        return 0.0
    carried = jet(now.jet_flow, now.jet_diameter, distance)
    return stirred(carried, jet_work_limit(now.jet_flow, now.jet_diameter, lifts, distance, b.stirring))


@inner
def leaving(zones, links):
    """Sum the air that leaves each zone [kg/s]."""
    for i in range(zones.size):
        zones[i].leaves = 0.0
    for m in range(links.size):
        link = links[m]
        zones[int(link.a)].leaves += link.mix + max(link.net, 0.0)
        if link.b >= 0.0:
            zones[int(link.b)].leaves += link.mix + max(-link.net, 0.0)
