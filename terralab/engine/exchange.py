"""From conductances to flows, and from flows to changed stores: the bookkeeping of the air clock.

Every flow is worked out once and booked on both sides at once. Water moves with its heat: vapour leaves a surface with
the enthalpy it has there, liquid with 4186 J/kgK times its temperature. Every store is changed by the very amounts that
are recorded, so both budgets close to round-off, however long the step.
"""

from terralab.engine.air_solve import gauss
from terralab.engine.kinds import (
    BARE,
    BASKING,
    CARPET,
    COVER,
    DISH,
    HANGING,
    HIDDEN_SOIL,
    LEAF,
    LID,
    MOSS,
    PANE,
    PATCHES,
    SHELL,
    SOIL,
    STONE,
)
from terralab.jit import inner
from terralab.physics.constants import AIR_HEAT, LATENT_ZERO, VAPOUR_HEAT, WATER_HEAT
from terralab.physics.moist_air import air_enthalpy

TRACE = 1.0e-10  # kg of drops in a zone: fewer are gone at once


@inner
def flows(b, now, air, row, base_row, chain, side, tau, f, flow_row):
    """Fill all rates (kg/s, W) at the states of `row`, the end of a stage of tau [s] from those of `base_row`.

    Those of zones and surfaces go to row `flow_row` of their tables, those of the box as a whole to `f`, a FLOW record.
    """
    room = now.room_t
    f.heat_glass = 0.0
    f.heat_lid = b.lid_radiation * (air.ground_now[0].radiant - room)
    for i in range(air.zone.size):
        z = air.zone_flow[flow_row, i]
        z.vapour = 0.0
        z.heat = air.zone_source[i]
        z.fog = 0.0
    float_drops(b, now, air, row, base_row, tau, f, flow_row)
    through_links(now, air, row, f, flow_row)
    share_out(now, f)
    for j in range(air.surface.size):
        place = int(air.surface[j].zone)
        own = air.surface_flow[flow_row, j]
        heat = surface_rates(
            now,
            air.surface[j],
            air.surface_now[j],
            own,
            air.zones[row, place],
            air.zone_flow[flow_row, place],
            air.surfaces[row, j].t,
            air.source[j],
            air.ground_now[0].radiant,
        )
        f.heat_glass += own.heat_out
        share = air.surface_now[j].carries
        if share > 0.0:
            beyond = air.zone_flow[flow_row, int(air.surface_now[j].beyond)]
            beyond.vapour += share * (own.inner + own.film)
            beyond.heat += share * heat
    by_itself(air, row, f, flow_row)
    # what the devices and the room give the box as a whole
    f.fog_in = now.fog_in
    f.fog_in_heat = WATER_HEAT * now.fog_in * room
    f.spray_ground = now.spray * b.land_ground + now.drip
    f.spray_heat = WATER_HEAT * (now.spray + now.drip) * room
    onto_ground(b, now, air, row, chain, f, flow_row)
    f.surface_up = air.ground_now[0].soil_up
    f.heat_side = 0.0
    for i in range(chain.size):
        f.heat_side += side[i] * (chain[i] - room)
    f.heat_base = b.bottom_out * (chain[chain.size - 1] - room)
    f.heat_devices = now.leaf_heat + now.ground_heat + now.glass_heat + now.air_heat + now.basking_heat
    f.heat_floor = now.floor_heat


@inner
def float_drops(b, now, air, row, base_row, tau, f, flow_row):
    """Drops that float at the end of a stage, put into the states of `row`: how fast they arrive, evaporate and settle.

    They go with the air from zone to zone and fall from each zone into the one beneath, so all are solved at once.
    """
    nz = air.zone.size
    stacked = int(b.stacked)
    any_drops = now.fog_in
    for i in range(nz):
        any_drops += abs(air.zones[base_row, i].fog) + abs(air.zone_now[i].fog_e)
    if any_drops > 0.0:
        a = air.matrix
        for i in range(nz):
            zone, k = air.zone[i], air.zone_now[i]
            for j in range(nz + 1):
                a[i, j] = 0.0
            a[i, i] = 1.0 + tau * (1.0 / zone.settle + k.leaves / zone.mass)
            a[i, nz] = air.zones[base_row, i].fog + tau * (now.fog_in * air.mean_share[i] - k.fog_e)
        for i in range(stacked - 1):
            a[i, i + 1] -= tau / air.zone[i + 1].settle
        for i in range(air.link.size):
            link = air.link[i]
            one, other = int(link.a), int(link.b)
            if other >= 0:
                a[other, one] -= tau * (link.mix + max(link.net, 0.0)) / air.zone[one].mass
                a[one, other] -= tau * (link.mix + max(-link.net, 0.0)) / air.zone[other].mass
        gauss(a, nz, 1)
        for i in range(nz):
            air.zones[row, i].fog = max(0.0, a[i, nz])
    else:
        for i in range(nz):
            air.zones[row, i].fog = 0.0
    f.fog_settled = 0.0
    f.fog_settled_heat = 0.0
    for i in range(nz):
        s, z = air.zones[row, i], air.zone_flow[flow_row, i]
        arrives = now.fog_in * air.mean_share[i]
        settled = s.fog / air.zone[i].settle
        heat = WATER_HEAT * settled * s.t
        z.fog_evaporation = air.zone_now[i].fog_e
        z.fog += arrives - z.fog_evaporation - settled
        z.heat += WATER_HEAT * arrives * now.room_t - heat
        if 0 < i < stacked:
            below = air.zone_flow[flow_row, i - 1]
            below.fog += settled
            below.heat += heat
        else:
            f.fog_settled += settled
            f.fog_settled_heat += heat


@inner
def through_links(now, air, row, f, flow_row):
    """Air that goes between zones and to the room, with its vapour, drops and heat: booked on both sides."""
    f.air_exchanged = 0.0
    f.air_mixed = 0.0
    f.vapour_openings = 0.0
    f.heat_vent = 0.0
    f.fog_lost = 0.0
    f.fog_lost_heat = 0.0
    for i in range(air.link.size):
        link = air.link[i]
        one, other = int(link.a), int(link.b)
        s = air.zones[row, one]
        t, w, drops = now.room_t, now.room_w, 0.0
        if other >= 0:
            t, w = air.zones[row, other].t, air.zones[row, other].w
            drops = air.zones[row, other].fog / air.zone[other].mass
        there = link.mix + max(link.net, 0.0)
        back = link.mix + max(-link.net, 0.0)
        fog_there = there * s.fog / air.zone[one].mass
        fog_back = back * drops
        vapour = there * s.w - back * w
        heat = there * air_enthalpy(s.t, s.w) - back * air_enthalpy(t, w)
        wet_heat = WATER_HEAT * (fog_there * s.t - fog_back * t)
        z = air.zone_flow[flow_row, one]
        z.vapour -= vapour
        z.fog -= fog_there - fog_back
        z.heat -= heat + wet_heat
        if other >= 0:
            z = air.zone_flow[flow_row, other]
            z.vapour += vapour
            z.fog += fog_there - fog_back
            z.heat += heat + wet_heat
            f.air_mixed += 0.5 * (there + back)
        else:
            f.air_exchanged += there
            f.vapour_openings += vapour
            f.heat_vent += heat
            f.fog_lost += fog_there
            f.fog_lost_heat += wet_heat


@inner
def share_out(now, f):
    """Share what leaves with the air among gaps, fans, doors and vents."""
    out = f.vapour_openings
    f.vapour_leak = now.leak_share * out
    f.vapour_fan = now.fan_share * out
    f.vapour_door = now.door_share * out
    f.vapour_openings = out - f.vapour_leak - f.vapour_fan - f.vapour_door
    f.heat_door = now.door_share * f.heat_vent
    f.heat_vent -= f.heat_door
    f.fog_door = now.door_share * f.fog_lost
    f.fog_lost -= f.fog_door


@inner
def surface_rates(now, surface, k, own, s, z, t, source, radiant):
    """The rates of one surface at t [C], booked with its zone too: `s` is that zone's state, `z` what it gains.

    Returns the heat [W] that the air gains, of which a share is carried to another zone.
    """
    dt = t - k.t
    dw = s.w - k.w
    own.inner = k.e + k.e_t * dt + k.e_w * dw
    own.film = k.f + k.f_t * dt + k.f_w * dw
    own.condensed = max(0.0, -own.film)
    own.drip = k.drip
    own.drip_heat = WATER_HEAT * k.drip * t
    own.spray = now.spray * surface.spray
    own.landed = 0.0
    own.liquid = WATER_HEAT * k.t * own.inner
    own.heat_out = surface.out * (t - now.room_t)
    vapour_heat = (own.inner + own.film) * (k.l + WATER_HEAT * k.t)
    warms = k.c * (t - s.t)
    own.gain = (
        source - warms - surface.radiates * (t - radiant) - vapour_heat - own.heat_out + own.liquid - own.drip_heat
    )
    own.gain += WATER_HEAT * own.spray * now.room_t
    stays = 1.0 - k.carries
    z.vapour += stays * (own.inner + own.film)
    z.heat += stays * (warms + vapour_heat)
    return warms + vapour_heat


@inner
def onto_ground(b, now, air, row, chain, f, flow_row):
    """What falls on the ground, with its heat: onto the cover and on to the soil, onto bare soil, rock, moss or bare floor.

    In the row of the soil stand only these arrivals: what its surface gains otherwise went into its temperature already.
    """
    soil = air.surface.size - 1
    over = int(air.surface[soil].over)
    landed = now.spray * b.land_ground + f.fog_settled
    heat = WATER_HEAT * now.spray * b.land_ground * now.room_t + f.fog_settled_heat
    run_off, run_off_heat = 0.0, 0.0
    heat_in_hide = 0.0
    for j in range(soil):
        kind, own = air.surface[j].kind, air.surface_flow[flow_row, j]
        if kind == HIDDEN_SOIL:
            # this floor has no warmth of its own: the soil paid what was foreseen, and pays the rest
            foreseen = air.ground_now[0].hide_heat
            foreseen += air.ground_now[0].hide_slope * (chain[0] - air.surface_now[j].t)
            heat_in_hide += own.gain + foreseen
        elif kind in (LEAF, LID, SHELL, MOSS, HANGING):
            landed += own.drip
            heat += own.drip_heat
        elif kind == PANE:
            run_off += own.drip
            run_off_heat += own.drip_heat
    # a drip wets the planted soil alone, below what lies on it
    on_soil, on_soil_heat = now.drip, WATER_HEAT * now.drip * now.room_t
    for j in range(soil):
        surface, own = air.surface[j], air.surface_flow[flow_row, j]
        if surface.lands > 0.0:
            own.landed = surface.lands * landed
            own.gain += surface.lands * heat
        if surface.kind == BARE:
            own.landed += b.stands_free * run_off
            own.gain += b.stands_free * run_off_heat
        if surface.between > 0.0:
            own.gain -= surface.between * (air.surfaces[row, j].t - chain[0])
        if j == over or surface.kind == STONE or surface.kind == CARPET:
            on_soil += own.drip
            on_soil_heat += own.drip_heat
    if over < 0:
        on_soil += (1.0 - b.patch_share) * landed
        on_soil_heat += (1.0 - b.patch_share) * heat
    ground = air.surface_flow[flow_row, soil]
    ground.landed, ground.gain = on_soil, on_soil_heat + heat_in_hide


@inner
def by_itself(air, row, f, flow_row):
    """What each zone has of drops that evaporate, of wood, and of the tube."""
    f.fog_evaporation = 0.0
    f.wood_release = 0.0
    for i in range(air.zone.size):
        z, k, s = air.zone_flow[flow_row, i], air.zone_now[i], air.zones[row, i]
        z.wood = k.wood_e + k.wood_e_w * (s.w - k.w) + k.wood_e_t * (s.t - k.t)
        z.vapour += z.wood + z.fog_evaporation
        f.wood_release += z.wood
        f.fog_evaporation += z.fog_evaporation
    ground = air.ground_now[0]
    f.tube_evaporation = air.zone_now[0].tube_e
    f.tube_liquid_heat = WATER_HEAT * ground.tube_t * f.tube_evaporation
    z = air.zone_flow[flow_row, 0]
    z.vapour += f.tube_evaporation
    z.heat += f.tube_evaporation * (ground.tube_l + WATER_HEAT * ground.tube_t)


@inner
def staged(air, row, base_row, flow_row, tau):
    """The stores at the end of a stage of tau [s]: films, drops and wood of `row` from those of `base_row` and the rates."""
    for j in range(air.surface.size):
        own = air.surface_flow[flow_row, j]
        if air.surface[j].film_half > 0.0:
            gain = own.spray + own.landed - own.film - own.drip
            air.surfaces[row, j].film = air.surfaces[base_row, j].film + tau * gain
    for i in range(air.zone.size):
        z, s, base = air.zone_flow[flow_row, i], air.zones[row, i], air.zones[base_row, i]
        s.fog = base.fog + tau * z.fog
        if air.zone[i].wood_store > 0.0:
            s.wood = base.wood - tau * z.wood / air.zone[i].wood_store


@inner
def applied(air, old_row, row, flow_row):
    """Change all stores by the amounts [kg, J] of `flow_row`, exactly: `row` is `old_row` plus those.

    Films and drops that a step overdrew by a trace are repaired: the missing water is taken back from the vapour it became.
    """
    for j in range(air.surface.size):
        surface, own = air.surface[j], air.surface_flow[flow_row, j]
        old, s = air.surfaces[old_row, j], air.surfaces[row, j]
        if surface.film_half > 0.0:
            s.film = old.film + own.spray + own.landed - own.film - own.drip
            if s.film < 0.0:
                z = air.zone_flow[flow_row, int(surface.zone)]
                own.film += s.film
                own.gain -= s.film * LATENT_ZERO
                z.heat += s.film * LATENT_ZERO
                z.vapour += s.film
                s.film = 0.0
        if surface.kind != SOIL and surface.kind != HIDDEN_SOIL:
            heat = (surface.capacity + WATER_HEAT * old.film) * old.t + own.gain
            s.t = heat / (surface.capacity + WATER_HEAT * s.film)
    for i in range(air.zone.size):
        zone, z = air.zone[i], air.zone_flow[flow_row, i]
        old, s = air.zones[old_row, i], air.zones[row, i]
        s.fog = old.fog + z.fog
        if s.fog < TRACE:
            # overdrawn, or the last drops: a trace that never ends would keep the steps short
            z.fog_evaporation += s.fog
            z.vapour += s.fog
            z.fog -= s.fog
            s.fog = 0.0
        s.w = old.w + z.vapour / zone.mass
        if zone.wood_store > 0.0:
            s.wood = old.wood - z.wood / zone.wood_store
        heat = zone.mass * air_enthalpy(old.t, old.w) + WATER_HEAT * old.fog * old.t + z.heat
        heat -= zone.mass * s.w * LATENT_ZERO
        s.t = heat / (zone.mass * (AIR_HEAT + s.w * VAPOUR_HEAT) + WATER_HEAT * s.fog)


@inner
def collect(air, f, flow_row):
    """Put what surfaces and zones moved into `f`, a FLOW record: the names of the one table of flows."""
    f.fog_evaporation = 0.0
    for i in range(air.zone.size):
        f.fog_evaporation += air.zone_flow[flow_row, i].fog_evaporation
        f.air_gain += air.zone_flow[flow_row, i].heat
    for j in range(air.surface.size):
        kind, own = air.surface[j].kind, air.surface_flow[flow_row, j]
        if kind == LEAF:
            f.transpiration += own.inner
            f.leaf_film += own.film
            f.leaf_drip += own.drip
            f.spray_leaf += own.spray
            f.root_heat += own.liquid
            f.leaf_gain += own.gain
        elif kind in (PANE, LID):
            f.glass_film += own.film
            f.condensation += own.condensed
            f.spray_glass += own.spray
            f.glass_gain += own.gain
            if kind == LID:
                f.lid_drip += own.drip
            else:
                f.glass_drip += own.drip
                f.run_off_heat += own.drip_heat
        elif kind == DISH:
            f.dish_evaporation += own.film
            f.dish_gain += own.gain
        elif kind == COVER:
            f.cover_evaporation += own.film
            f.cover_drip += own.drip
            f.cover_gain += own.gain
        elif kind == SOIL:
            f.soil_evaporation += own.inner
            f.soil_liquid_heat += own.liquid
            f.soil_gain += own.gain
            f.landed += own.landed
        elif kind == HIDDEN_SOIL:
            f.soil_evaporation += own.inner
            f.soil_liquid_heat += own.liquid
        elif kind in (SHELL, MOSS):
            f.hide_film += own.film
            f.hide_drip += own.drip
            f.hide_gain += own.gain
        elif kind == BASKING:
            f.basking_gain += own.gain
        elif kind in PATCHES:
            f.patch_film += own.film
            f.patch_gain += own.gain
            if kind == HANGING:
                f.moss_drip += own.drip
                f.spray_moss += own.spray
            else:
                f.patch_drip += own.drip
