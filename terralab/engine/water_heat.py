"""The heat that water carries in the soil: foreseen before a soil step, so that the air clock can move it, and booked after.

Vapour takes its latent heat along, and what arrives on the soil may be colder than the soil by far. In a thin dry layer that
is much: moved at the end of a step it would warm and cool the layer in turn. So the air clock moves what the step before
found, and only the difference is moved here.
"""

from terralab.engine.air_clock import CURRENT
from terralab.engine.surface_cell import ACTIVE_BELOW, LEAST_CAPACITY
from terralab.jit import inner
from terralab.physics.conductivity import conductivity, hydraulics, pore_humidity
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.physics.moist_air import latent_heat, vapour_enthalpy
from terralab.soil.tridiagonal import thomas


@inner
def gives(w, layer):
    """What a soil layer gives up of its water when its heads fall by a metre [m/m], and its thickness [m]."""
    slope = 0.0
    thick = 0.0
    for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
        _, capacity, _, _ = hydraulics(w.head[i], w.soils[w.soil_of[i]])
        slope += max(capacity, LEAST_CAPACITY) * w.dz[i]
        thick += w.dz[i]
    return slope, thick


@inner
def lasts(w, layer, dt):
    """Share [-] of the vapour which warmth drives from a soil layer to the next that lasts all through a step of dt [s].

    Damp pores keep their humidity meanwhile. In dry ones a trace of water taken or left changes it within seconds, until
    the vapour flows again as the soil above and below has it: there a change of warmth moves hardly any.
    """
    c = w.cells
    i = w.layer_start[layer + 1] - 1
    if min(w.head[i], w.head[i + 1]) > ACTIVE_BELOW:
        return 1.0
    upper, thick = gives(w, layer)
    lower, thick_below = gives(w, layer + 1)
    way = 0.5 * (thick + thick_below)
    k, _ = conductivity(w.head[i], w.soils[w.soil_of[i]])
    k_below, _ = conductivity(w.head[i + 1], w.soils[w.soil_of[i + 1]])
    _, da = pore_humidity(w.head[i], c.temperature[i])
    vapour = c.diffusion[i] * da * c.vapour_density[i] / WATER_DENSITY / way
    both = vapour + 0.5 * (k + k_below) / way
    return 1.0 - vapour * dt / (upper * lower / (upper + lower) + both * dt)


@inner
def foresee(w, dt):
    """Fill what vapour is foreseen to carry of heat from layer to layer in a soil step of dt [s], beside heat conduction.

    Conduction moves the heat of what warmth drives, as far as that lasts. All the rest hardly changes from step to step.
    """
    carried = w.carried
    bottom = w.layer_start.size - 2
    for layer in range(bottom):
        carried.lasts[layer] = lasts(w, layer, dt)
        carried.foreseen[layer] = carried.whole[layer] - carried.lasts[layer] * carried.warm[layer]
    carried.lasts[bottom] = 1.0
    carried.foreseen[bottom] = carried.whole[bottom]  # what comes from the drainage layer is no part of conduction


@inner
def vapour_by_warmth(c, head, dz, i):
    """The part of the vapour flow below cell i that a temperature difference drives [kg/m2s], positive downwards."""
    above, _ = pore_humidity(head[i], c.temperature[i])
    below, _ = pore_humidity(head[i + 1], c.temperature[i + 1])
    distance = 0.5 * (dz[i] + dz[i + 1])
    return c.diffusion[i] / distance * 0.5 * (above + below) * (c.vapour_density[i] - c.vapour_density[i + 1])


@inner
def carry_heat(w, dt, top_heat, vapour_up, reservoir_heat):
    """Move the heat that water carried during a soil step of dt [s]; temperatures of the chain follow.

    Liquid carries the (new) temperature of the layer it leaves, vapour its enthalpy at the old one. `top_heat`
    [J] net arrival on the soil, `vapour_up` [kg] from the reservoir to the lowest layer, `reservoir_heat` [J] what
    reached the reservoir otherwise. Implicit and exact: the heat of the chain changes by what crosses its ends.
    Returns the heat that left with drained water where there is no reservoir [J], and the largest change of a
    temperature [K]: vapour is carried explicitly, so a large change calls for a shorter step.
    """
    m = w.newton
    chain = w.chain[CURRENT]
    layers = w.layer_start.size - 1
    last = chain.size - 1
    heat_stores(w, chain, top_heat, reservoir_heat, m)
    drained = 0.0
    for layer in range(layers):
        vapour, liquid, driven = water_below(w, layer, dt)
        if layer == layers - 1:
            vapour, driven = -vapour_up, 0.0
        if layer == last:
            m.diagonal[layer] += WATER_HEAT * liquid
            drained = liquid
        else:
            warm = chain[layer] if vapour > 0.0 else chain[layer + 1]
            heat = heat_of_vapour(w.carried, layer, dt, vapour, driven, warm)
            m.residual[layer] -= heat
            m.residual[layer + 1] += heat
            if liquid > 0.0:
                m.diagonal[layer] += WATER_HEAT * liquid
                m.lower[layer + 1] -= WATER_HEAT * liquid
            else:
                m.diagonal[layer + 1] -= WATER_HEAT * liquid
                m.upper[layer] += WATER_HEAT * liquid
    for i in range(chain.size):
        m.before[i] = chain[i]
    thomas(m.lower, m.diagonal, m.upper, m.residual, chain, chain.size)
    largest = 0.0
    for i in range(last, -1, -1):
        largest = max(largest, abs(chain[i] - m.before[i]))
    return WATER_HEAT * drained * chain[last], largest


@inner
def heat_stores(w, chain, top_heat, reservoir_heat, m):
    """Begin the balances of heat: new capacities [J/K] times new temperatures, old heat [J] and what the ends brought."""
    b = w.box[0]
    layers = w.layer_start.size - 1
    root_heat = w.flow[3].root_heat
    for layer in range(layers):
        dry = 0.0
        held = 0.0
        drawn = 0.0
        for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
            dry += w.thermal[i].dry_capacity * w.dz[i]
            held += w.water[i]
            drawn += w.cells.root_share[i]
        m.diagonal[layer] = (dry + held * WATER_DENSITY * WATER_HEAT) * b.floor
        m.residual[layer] = w.capacity[layer] * chain[layer] - drawn * root_heat
    m.residual[0] += top_heat
    if chain.size > layers:
        m.diagonal[layers] = b.aggregate_capacity + WATER_HEAT * WATER_DENSITY * b.floor * w.water[w.dz.size]
        m.residual[layers] = w.capacity[layers] * chain[layers] + reservoir_heat
    for layer in range(chain.size):
        m.upper[layer] = 0.0
        m.lower[layer] = 0.0


@inner
def water_below(w, layer, dt):
    """Vapour, liquid, and the vapour that warmth alone drives, down from a soil layer in dt [s]: all [kg]."""
    floor = w.box[0].floor
    i = w.layer_start[layer + 1] - 1
    vapour = w.cells.vapour[i] * dt * floor * WATER_DENSITY
    liquid = w.cells.flow[i] * dt * floor * WATER_DENSITY - vapour
    driven = dt * floor * vapour_by_warmth(w.cells, w.head, w.dz, i) if i + 1 < w.dz.size else 0.0
    return vapour, liquid, driven


@inner
def heat_of_vapour(carried, layer, dt, vapour, driven, warm):
    """Heat [J] still to be moved down from a layer with its vapour [kg], which has the temperature `warm` [C].

    The latent heat of what warmth drives, as far as that lasts, went with the heat conduction of the air clock already. The rest
    changes slowly, but it is much for a thin dry layer. So the air clock moved what was foreseen meanwhile, and only the
    difference is moved here; what is found now is foreseen for the next step.
    """
    whole = vapour * vapour_enthalpy(warm)
    by_warmth = driven * latent_heat(warm)
    carried.whole_found[layer] = (whole - WATER_HEAT * vapour * warm) / dt
    carried.warm_found[layer] = by_warmth / dt
    return whole - carried.lasts[layer] * by_warmth - carried.foreseen[layer] * dt
