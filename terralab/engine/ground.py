"""Between the two clocks: what the air must know of the soil before a soil step, and the heat that its water carries after."""

from terralab.engine.air_clock import CURRENT
from terralab.jit import inner
from terralab.physics.conductivity import (
    conductivity,
    hydraulics,
    pore_diffusivity,
    pore_humidity,
    vapour_diffusivity,
)
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.physics.heat import soil_capacity, soil_conductivity, vapour_heat_conductivity
from terralab.physics.moist_air import latent_heat, saturated_vapour_density, vapour_enthalpy
from terralab.physics.roots import dry_target, follow, wet_target
from terralab.soil.tridiagonal import thomas

SURFACE_ACTIVE_BELOW = -3.0  # m: a wetter surface cell is never the bottleneck within one soil step
FOLLOWING = 8  # cells below the surface cell that are asked how far they go along with it
NARROWEST_GAP = 2.0e-3  # m: vapour path between water and soil is not counted as shorter


@inner
def spread_temperatures(chain, layer_start, dz, middles, warmth):
    """Return each cell its temperature: straight lines between the middles of the temperature layers."""
    layers = layer_start.size - 1
    top = 0.0
    before = 0.0
    layer = 0
    middle = 0.0
    for k in range(layers):
        thick = 0.0
        for i in range(layer_start[k], layer_start[k + 1]):
            thick += dz[i]
        middles[k] = top + 0.5 * thick
        top += thick
    for i in range(dz.size):
        middle = before + 0.5 * dz[i]
        before += dz[i]
        while layer + 2 < layers and middles[layer + 1] < middle:
            layer += 1
        if layers == 1:
            warmth[i] = chain[0]
        else:
            x = (middle - middles[layer]) / (middles[layer + 1] - middles[layer])
            x = min(1.0, max(0.0, x))
            warmth[i] = chain[layer] + x * (chain[layer + 1] - chain[layer])


@inner
def warm_again(w):
    """Give the cells the temperatures that the air clock came to, and vapour its density there."""
    c = w.cells
    spread_temperatures(w.chain[CURRENT], w.layer_start, w.dz, w.sweep[0], c.temperature)
    for i in range(w.dz.size):
        c.vapour_density[i] = saturated_vapour_density(c.temperature[i])


@inner
def follows(w, dt):
    """Share [-] of a change of the surface cell's head by which the cell below goes along within dt [s].

    All cells down from there give way, each against what it stores: from the bottom up, a chain of slopes.
    """
    c = w.cells
    last = min(w.dz.size - 1, FOLLOWING)
    stiff = 0.0  # [1/s] how strongly all below holds the cell in hand
    k_below = 0.0
    for i in range(last, 0, -1):
        _, capacity, k, _ = hydraulics(w.head[i], w.soils[w.soil_of[i]])
        _, da = pore_humidity(w.head[i], c.temperature[i])
        if i < last:
            distance = 0.5 * (w.dz[i] + w.dz[i + 1])
            joint = (0.5 * (k + k_below) + c.diffusion[i] * da * c.vapour_density[i] / WATER_DENSITY) / distance
            stiff = joint * stiff / (joint + stiff)
        stiff += max(capacity, 1e-12) * w.dz[i] / dt
        k_below = k
    k, _ = conductivity(w.head[0], w.soils[w.soil_of[0]])
    _, da = pore_humidity(w.head[0], c.temperature[0])
    above = 0.5 * (k + k_below) + c.diffusion[0] * da * c.vapour_density[0] / WATER_DENSITY
    above /= 0.5 * (w.dz[0] + w.dz[1])
    return above / (above + stiff)


@inner
def prepare(w, dt):
    """Fill temperatures, vapour paths, heat paths, root stress and the surface cell for a soil step of dt [s].

    A step of no length holds the soil below its surface cell as it is.
    """
    c = w.cells
    n = w.dz.size
    warm_again(w)
    for i in range(n):
        porosity = w.thermal[i].porosity
        c.theta[i] = min(w.water[i] / w.dz[i], porosity)
        c.diffusion[i] = pore_diffusivity(porosity - c.theta[i], porosity, c.temperature[i])
    heat_paths(w)
    for i in range(n - 1):
        c.diffusion[i] = 0.5 * (c.diffusion[i] + c.diffusion[i + 1])
    w.now[0].root_stress = share_roots(w)
    describe_surface_cell(w, dt)
    w.air.cell[CURRENT].water = w.water[0]
    w.air.cell[CURRENT].head = w.head[0]


@inner
def heat_paths(w):
    """Fill the layers' heat capacities [J/K] and the conductances between them [W/K], with those of the drainage layer."""
    b = w.box[0]
    c = w.cells
    n = w.dz.size
    layers = w.layer_start.size - 1
    for layer in range(layers):
        resistance = 0.0
        heat = 0.0
        for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
            mix = w.thermal[i]
            conducts = soil_conductivity(c.theta[i], mix.porosity, mix.dry_conducts, mix.wet_conducts)
            a, _ = pore_humidity(w.head[i], c.temperature[i])
            conducts += vapour_heat_conductivity(c.diffusion[i], a, c.vapour_density[i], c.temperature[i])
            resistance += w.dz[i] / conducts
            heat += soil_capacity(w.water[i] / w.dz[i], mix.dry_capacity) * w.dz[i]
        w.capacity[layer] = heat * b.floor
        w.layer_resistance[layer] = resistance
    for layer in range(layers - 1):
        w.between[layer] = b.floor / (0.5 * (w.layer_resistance[layer] + w.layer_resistance[layer + 1]))
    if b.has_reservoir > 0.0:
        wet = min(1.0, max(0.0, 1.0 + w.head[n] / b.reservoir_depth))
        path = 0.5 * b.reservoir_depth / (b.aggregate_dry + wet * (b.aggregate_wet - b.aggregate_dry))
        w.between[layers - 1] = b.floor / (0.5 * w.layer_resistance[layers - 1] + path)
        w.capacity[layers] = b.aggregate_capacity + WATER_HEAT * WATER_DENSITY * b.floor * w.water[n]
        b.has_tube = b.tube_built if w.water[n] > 1e-4 else 0.0


@inner
def share_roots(w):
    """Fill the share of the leaves' water that each cell gives; returns how much of their wish the roots can meet [-]."""
    b = w.box[0]
    c = w.cells
    stress = 0.0
    for i in range(w.dz.size):
        c.root_share[i] = 0.0
        if w.root_weight[i] > 0.0:
            c.root_share[i] = w.root_weight[i] * c.fit[i] * dry_target(w.head[i], b.root_start, b.root_stop)
            stress += c.root_share[i]
    if stress > 0.0:
        for i in range(w.dz.size):
            c.root_share[i] /= stress
    return stress


@inner
def roots_follow(w, dt):
    """Let the roots of each cell follow, over dt [s], the air they have: soon less fit without it, slowly well again."""
    b = w.box[0]
    c = w.cells
    for i in range(w.dz.size):
        if w.root_weight[i] > 0.0:
            air = w.thermal[i].porosity - min(w.water[i] / w.dz[i], w.thermal[i].porosity)
            c.fit[i] = follow(c.fit[i], wet_target(air, b.wet_limit, b.wet_left), dt, b.wet_fall, b.wet_recover)


@inner
def describe_surface_cell(w, dt):
    """Fill what the air clock must know of the surface cell and the cell below it during a soil step of dt [s]."""
    c = w.cells
    cell = w.surface_cell[0]
    n = w.dz.size
    a, _ = pore_humidity(w.head[0], w.chain[CURRENT, 0])
    cell.active = 1.0 if w.head[0] < SURFACE_ACTIVE_BELOW and n > 1 else 0.0
    cell.humidity = a
    cell.dz = w.dz[0]
    if n > 1:
        below = w.head[1]
        cell.head_1 = w.head[0]
        cell.head_2 = below
        cell.k_2, cell.slope_2 = conductivity(below, w.soils[w.soil_of[1]])
        cell.distance = 0.5 * (w.dz[0] + w.dz[1])
        a2, da2 = pore_humidity(below, c.temperature[1])
        cell.vapour_2 = a2 * c.vapour_density[1]
        cell.vapour_slope_2 = da2 * c.vapour_density[1]
        cell.follows = follows(w, dt) if cell.active > 0.0 and dt > 0.0 else 0.0
    cell.diffusion = c.diffusion[0]
    cell.density_1 = c.vapour_density[0]


@inner
def reservoir_vapour(w):
    """Vapour from the standing water up to the underside of the soil [kg/s], negative when it comes down.

    Diffusion through the dry aggregate (Millington & Quirk 1961) between the reservoir's temperature and that of
    the lowest soil layer, whose pore air is at its Kelvin humidity. Nothing once the water touches the mesh.
    """
    b = w.box[0]
    n = w.dz.size
    level = w.head[n]
    if b.has_reservoir == 0.0 or level >= 0.0 or w.water[n] <= 0.0:
        return 0.0
    t_r = w.chain[CURRENT, w.chain.shape[1] - 1]
    a, _ = pore_humidity(w.head[n - 1], w.cells.temperature[n - 1])
    drop = saturated_vapour_density(t_r) - a * w.cells.vapour_density[n - 1]
    d_eff = vapour_diffusivity(t_r) * b.void ** (4.0 / 3.0)
    return b.floor * d_eff / max(NARROWEST_GAP, -level) * drop


@inner
def bypass(b, theta, dz):
    """Share of a pour that runs past a dry, water-repellent mix into the drainage layer [-].

    It falls with the mean water content of all cells (theta [m3/m3] of thickness dz [m]): shrinkage gaps
    and shedding last until the bulk of the mix is wet again, however wet its surface.
    """
    if b.bypass_share <= 0.0 or b.repellent_below <= 0.0:
        return 0.0
    held = 0.0
    deep = 0.0
    for i in range(dz.size):
        held += theta[i] * dz[i]
        deep += dz[i]
    x = held / deep / b.repellent_below
    return b.bypass_share * (1.0 - x) ** 2 if x < 1.0 else 0.0


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

    The latent heat of what warmth drives went with the heat conduction of the air clock already. The rest changes
    slowly, but it is much for a thin dry layer. So the air clock moved what was foreseen meanwhile, and only the difference
    is moved here; what is found now is foreseen for the next step.
    """
    heat = vapour * vapour_enthalpy(warm) - driven * latent_heat(warm)
    carried.found[layer] = (heat - WATER_HEAT * vapour * warm) / dt
    return heat - carried.foreseen[layer] * dt
