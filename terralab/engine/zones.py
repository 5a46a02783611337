"""What each zone of air does by itself: saturation, drops that float in it, wood that follows it, the tube below it."""

from terralab.engine.surfaces import paid, saturated
from terralab.jit import inner
from terralab.physics.conductivity import vapour_diffusivity
from terralab.physics.constants import MASS_RATIO
from terralab.physics.fog import evaporation_rate
from terralab.physics.moist_air import density, latent_heat, saturated_vapour_density


@inner
def look_at_zones(b, air, row, base_row, reservoir_t, tau):
    """Fill ZONE_NOW at the states of `row`, for an implicit stage of tau [s] from those of `base_row`; not yet its drops."""
    for i in range(air.zone.size):
        k = air.zone_now[i]
        s = air.zones[row, i]
        k.t, k.w = s.t, s.w
        k.rho = density(s.t, s.w)
        k.ws, k.slope = saturated(s.t)
        k.l = latent_heat(s.t)
        look_at_wood(b, air.zone[i], k, air.zones[base_row, i].wood, tau)
        k.tube_e = 0.0
    ground = air.ground_now[0]
    ground.tube_l = 0.0
    ground.tube_t = reservoir_t
    if b.has_tube > 0.0:
        low = air.zone_now[0]
        ws, _ = saturated(reservoir_t)
        low.tube_e = b.tube_area * vapour_diffusivity(reservoir_t) * low.rho / b.tube_length * (ws - low.w)
        ground.tube_l = paid(low.tube_e, reservoir_t, low.t)


@inner
def look_at_all_drops(b, now, air, base_row, tau):
    """Fill what `droplets` asks of every zone, once it is known how much air leaves it.

    Drops also come with the air of other zones and fall from the one above: as many as would float there if none evaporated.
    """
    nz = air.zone.size
    for i in range(nz):
        k, zone = air.zone_now[i], air.zone[i]
        k.fog_held = 1.0 + tau * (1.0 / zone.settle + k.leaves / zone.mass)
        k.fog_e = now.fog_in * air.mean_share[i]  # for the moment: what arrives
    for i in range(air.link.size):
        link = air.link[i]
        one, other = int(link.a), int(link.b)
        if other >= 0:
            there = link.mix + max(link.net, 0.0)
            back = link.mix + max(-link.net, 0.0)
            air.zone_now[other].fog_e += there * floating(now, air, base_row, one, tau) / air.zone[one].mass
            air.zone_now[one].fog_e += back * floating(now, air, base_row, other, tau) / air.zone[other].mass
    for i in range(int(b.stacked) - 1):
        air.zone_now[i].fog_e += floating(now, air, base_row, i + 1, tau) / air.zone[i + 1].settle
    for i in range(nz):
        k = air.zone_now[i]
        look_at_drops(b, k.fog_e, air.zone[i], k, air.zones[base_row, i].fog, tau)


@inner
def floating(now, air, base_row, i, tau):
    """Drops [kg] that would float in zone i at the end of a stage, of its own, if none evaporated."""
    own = air.zones[base_row, i].fog + tau * now.fog_in * air.mean_share[i]
    return max(0.0, own) / air.zone_now[i].fog_held


@inner
def look_at_drops(b, arrives, zone, k, fog, tau):
    """Fill what `droplets` asks of a zone: drops that evaporate, or mist where the air is above saturation.

    With x the share of saturation that the air lacks, drops give supply x / (held + haste x) [kg/s], which tends to all
    there is within the stage; air above saturation makes mist x instead (x below nothing).
    """
    source = fog + tau * arrives
    rate = 0.0
    if source > 0.0:
        rate = evaporation_rate(b.fog_diameter, vapour_diffusivity(k.t), saturated_vapour_density(k.t), b.fog_cooling)
    k.fog_supply = rate * max(0.0, source)
    k.fog_haste = tau * rate
    k.fog_mist = zone.mass * k.ws / b.supersaturation_seconds
    # a first stage may give out more droplets than there are; the second takes them back
    k.fog_owed = source / tau if source < 0.0 and tau > 0.0 else 0.0


@inner
def look_at_wood(b, zone, k, wood, tau):
    """Fill the vapour that wood and background give: a store that follows the air's humidity."""
    k.wood_e = k.wood_e_w = k.wood_e_t = 0.0
    if zone.wood_store > 0.0:
        rh = k.w / k.ws * (MASS_RATIO + k.ws) / (MASS_RATIO + k.w)
        pull = zone.wood_store / (b.wood_seconds + tau)
        k.wood_e = pull * (wood - rh)
        k.wood_e_w = -pull * rh / k.w
        k.wood_e_t = pull * rh / k.ws * k.slope
