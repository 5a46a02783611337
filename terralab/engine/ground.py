"""Between the two clocks: what the air must know of the soil before a soil step."""

from terralab.engine.air_clock import CURRENT
from terralab.engine.surface_cell import ACTIVE_BELOW, LEAST_CAPACITY
from terralab.engine.water_heat import foresee
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
from terralab.physics.moist_air import saturated_vapour_density
from terralab.physics.roots import dry_target, follow, wet_target

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
        stiff += max(capacity, LEAST_CAPACITY) * w.dz[i] / dt
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
    heat_paths(w, dt)
    for i in range(n - 1):
        c.diffusion[i] = 0.5 * (c.diffusion[i] + c.diffusion[i + 1])
    w.now[0].root_stress = share_roots(w)
    describe_surface_cell(w, dt)
    w.surface_cell[0].past = bypass(w.box[0], c.theta, w.dz)
    w.surface_cell[0].rooted = c.root_share[0]
    w.air.cell[CURRENT].water = w.water[0]
    w.air.cell[CURRENT].head = w.head[0]
    w.air.cell[CURRENT].age = 0.0


@inner
def heat_paths(w, dt):
    """Fill the layers' heat capacities [J/K] and the conductances between them [W/K], with those of the drainage layer.

    They hold for a soil step of dt [s].
    """
    b = w.box[0]
    c = w.cells
    n = w.dz.size
    layers = w.layer_start.size - 1
    foresee(w, dt)
    lasts_above = 1.0
    below_before = 0.0
    for layer in range(layers):
        lasts_below = w.carried.lasts[layer]
        above = 0.0
        below = 0.0
        heat = 0.0
        for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
            mix = w.thermal[i]
            conducts = soil_conductivity(c.theta[i], mix.porosity, mix.dry_conducts, mix.wet_conducts)
            a, _ = pore_humidity(w.head[i], c.temperature[i])
            vapour = vapour_heat_conductivity(c.diffusion[i], a, c.vapour_density[i], c.temperature[i])
            above += w.dz[i] / (conducts + lasts_above * vapour)
            below += w.dz[i] / (conducts + lasts_below * vapour)
            heat += soil_capacity(w.water[i] / w.dz[i], mix.dry_capacity) * w.dz[i]
        w.capacity[layer] = heat * b.floor
        if layer > 0:
            w.between[layer - 1] = b.floor / (0.5 * (below_before + above))
        lasts_above = lasts_below
        below_before = below
    if b.has_reservoir > 0.0:
        wet = min(1.0, max(0.0, 1.0 + w.head[n] / b.reservoir_depth))
        path = 0.5 * b.reservoir_depth / (b.aggregate_dry + wet * (b.aggregate_wet - b.aggregate_dry))
        w.between[layers - 1] = b.floor / (0.5 * below_before + path)
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
def deeper(w):
    """Share [-] by which the second cell has the temperature of the second soil layer, and not of the first."""
    if w.layer_start.size < 3:
        return 0.0
    first = 0.0
    both = 0.0
    for i in range(w.layer_start[2]):
        both += w.dz[i]
        if i < w.layer_start[1]:
            first += w.dz[i]
    return min(1.0, max(0.0, (w.dz[0] + 0.5 * w.dz[1] - 0.5 * first) / (0.5 * both)))


@inner
def describe_surface_cell(w, dt):
    """Fill what the air clock must know of the surface cell and the cell below it during a soil step of dt [s]."""
    c = w.cells
    cell = w.surface_cell[0]
    n = w.dz.size
    a, _ = pore_humidity(w.head[0], w.chain[CURRENT, 0])
    cell.active = 1.0 if w.head[0] < ACTIVE_BELOW and n > 1 else 0.0
    cell.humidity = a
    cell.dz = w.dz[0]
    if n > 1:
        below = w.head[1]
        cell.head_1 = w.head[0]
        cell.head_2 = below
        cell.k_2, cell.slope_2 = conductivity(below, w.soils[w.soil_of[1]])
        cell.distance = 0.5 * (w.dz[0] + w.dz[1])
        cell.humidity_2, cell.humidity_slope_2 = pore_humidity(below, c.temperature[1])
        cell.deeper = deeper(w)
        cell.follows = follows(w, dt) if cell.active > 0.0 and dt > 0.0 else 0.0
    cell.diffusion = c.diffusion[0]
    cell.course_1 = c.course[0]
    cell.course_2 = c.course[1]


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
