"""Between the two clocks: what the soil tells the air before a soil step, and the heat that its water carries after."""

from terralab.engine.air_clock import CURRENT, FORESEEN, FOUND
from terralab.engine.surface_cell import (
    ACTIVE,
    DENSITY_1,
    DIFFUSION,
    DISTANCE,
    DZ,
    FOLLOWS,
    HEAD_1,
    HEAD_2,
    HUMIDITY,
    HUMIDITY_SLOPE_2,
    K_2,
    SLOPE_2,
    VAPOUR_2,
)
from terralab.jit import inner
from terralab.physics.conductivity import conductivity, hydraulics, pore_diffusivity, vapour_diffusivity
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.physics.heat import soil_capacity, soil_conductivity, vapour_heat_conductivity
from terralab.physics.moist_air import latent_heat, saturated_vapour_density, vapour_enthalpy
from terralab.physics.roots import water_stress
from terralab.soil.richards import pore_humidity

# rows of the per-cell scratch array
SOURCE, WARMTH, DIFFUSE, DENSE, FLOW, VAPOUR, CONTACT, KEPT_HEAD, KEPT_WATER, THETA, DRAWN, COURSE = range(12)
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
    """Return the cells the temperatures that the air clock came to, and vapour its density there."""
    spread_temperatures(w.chain[CURRENT], w.layer_start, w.dz, w.sweep[0], w.cells[WARMTH])
    for i in range(w.dz.size):
        w.cells[DENSE, i] = saturated_vapour_density(w.cells[WARMTH, i])


@inner
def follows(w, dt):
    """Share [-] of a change of the surface cell's head by which the cell below goes along within dt [s].

    All cells down from there give way, each against what it stores: from the bottom up, a chain of slopes.
    """
    last = min(w.dz.size - 1, FOLLOWING)
    stiff = 0.0  # [1/s] how strongly all below holds the cell in hand
    k_below = 0.0
    for i in range(last, 0, -1):
        _, capacity, k, _ = hydraulics(w.head[i], w.soils[w.soil_of[i]])
        _, da = pore_humidity(w.head[i], w.cells[WARMTH, i])
        if i < last:
            distance = 0.5 * (w.dz[i] + w.dz[i + 1])
            joint = (0.5 * (k + k_below) + w.cells[DIFFUSE, i] * da * w.cells[DENSE, i] / WATER_DENSITY) / distance
            stiff = joint * stiff / (joint + stiff)
        stiff += max(capacity, 1e-12) * w.dz[i] / dt
        k_below = k
    k, _ = conductivity(w.head[0], w.soils[w.soil_of[0]])
    _, da = pore_humidity(w.head[0], w.cells[WARMTH, 0])
    above = 0.5 * (k + k_below) + w.cells[DIFFUSE, 0] * da * w.cells[DENSE, 0] / WATER_DENSITY
    above /= 0.5 * (w.dz[0] + w.dz[1])
    return above / (above + stiff)


@inner
def prepare(w, dt):
    """Fill temperatures, vapour paths, heat paths, root stress and the surface cell row for a soil step of dt [s].

    A step of no length holds the soil below its surface cell as it is.
    """
    b = w.box[0]
    chain = w.chain[CURRENT]
    n = w.dz.size
    layers = w.layer_start.size - 1
    spread_temperatures(chain, w.layer_start, w.dz, w.sweep[0], w.cells[WARMTH])
    for i in range(n):
        theta = min(w.water[i] / w.dz[i], w.thermal[i, 3])
        w.cells[THETA, i] = theta
        w.cells[DENSE, i] = saturated_vapour_density(w.cells[WARMTH, i])
        w.cells[DIFFUSE, i] = pore_diffusivity(w.thermal[i, 3] - theta, w.thermal[i, 3], w.cells[WARMTH, i])
    for layer in range(layers):
        resistance = 0.0
        heat = 0.0
        for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
            conducts = soil_conductivity(w.cells[THETA, i], w.thermal[i, 3], w.thermal[i, 0], w.thermal[i, 1])
            a, _ = pore_humidity(w.head[i], w.cells[WARMTH, i])
            conducts += vapour_heat_conductivity(w.cells[DIFFUSE, i], a, w.cells[DENSE, i], w.cells[WARMTH, i])
            resistance += w.dz[i] / conducts
            heat += soil_capacity(w.water[i] / w.dz[i], w.thermal[i, 2]) * w.dz[i]
        w.capacity[layer] = heat * b.floor
        w.sweep[1, layer] = resistance
    for layer in range(layers - 1):
        w.between[layer] = b.floor / (0.5 * (w.sweep[1, layer] + w.sweep[1, layer + 1]))
    if b.has_reservoir > 0.0:
        wet = min(1.0, max(0.0, 1.0 + w.head[n] / b.reservoir_depth))
        path = 0.5 * b.reservoir_depth / (b.aggregate_dry + wet * (b.aggregate_wet - b.aggregate_dry))
        w.between[layers - 1] = b.floor / (0.5 * w.sweep[1, layers - 1] + path)
        w.capacity[layers] = b.aggregate_capacity + WATER_HEAT * WATER_DENSITY * b.floor * w.water[n]
        b.has_tube = b.tube_built if w.water[n] > 1e-4 else 0.0
    for i in range(n - 1):
        w.cells[DIFFUSE, i] = 0.5 * (w.cells[DIFFUSE, i] + w.cells[DIFFUSE, i + 1])
    stress = 0.0
    for i in range(n):
        w.cells[DRAWN, i] = 0.0
        if w.root_weight[i] > 0.0:
            air = w.thermal[i, 3] - w.cells[THETA, i]
            w.cells[DRAWN, i] = w.root_weight[i] * water_stress(w.head[i], air, b.wet_limit, b.root_start, b.root_stop)
            stress += w.cells[DRAWN, i]
    if stress > 0.0:
        for i in range(n):
            w.cells[DRAWN, i] /= stress
    w.now[0].root_stress = stress
    a, _ = pore_humidity(w.head[0], chain[0])
    w.surface_cell[ACTIVE] = 1.0 if w.head[0] < SURFACE_ACTIVE_BELOW and n > 1 else 0.0
    w.surface_cell[HUMIDITY] = a
    w.surface_cell[DZ] = w.dz[0]
    if n > 1:
        below = w.head[1]
        w.surface_cell[HEAD_2] = below
        w.surface_cell[K_2], w.surface_cell[SLOPE_2] = conductivity(below, w.soils[w.soil_of[1]])
        w.surface_cell[DISTANCE] = 0.5 * (w.dz[0] + w.dz[1])
        a2, w.surface_cell[HUMIDITY_SLOPE_2] = pore_humidity(below, w.cells[WARMTH, 1])
        w.surface_cell[HUMIDITY_SLOPE_2] *= w.cells[DENSE, 1]
        w.surface_cell[VAPOUR_2] = a2 * w.cells[DENSE, 1]
        w.surface_cell[HEAD_1] = w.head[0]
        w.surface_cell[FOLLOWS] = follows(w, dt) if w.surface_cell[ACTIVE] > 0.0 and dt > 0.0 else 0.0
    w.surface_cell[DIFFUSION] = w.cells[DIFFUSE, 0]
    w.surface_cell[DENSITY_1] = w.cells[DENSE, 0]
    w.state[CURRENT].surface_water = w.water[0]
    w.state[CURRENT].surface_head = w.head[0]


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
    a, _ = pore_humidity(w.head[n - 1], w.cells[WARMTH, n - 1])
    drop = saturated_vapour_density(t_r) - a * w.cells[DENSE, n - 1]
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
def vapour_by_warmth(cells, head, dz, i):
    """The part of the vapour flow below cell i that a temperature difference drives [kg/m2s], positive downwards."""
    a, _ = pore_humidity(head[i], cells[WARMTH, i])
    b, _ = pore_humidity(head[i + 1], cells[WARMTH, i + 1])
    distance = 0.5 * (dz[i] + dz[i + 1])
    return cells[DIFFUSE, i] / distance * 0.5 * (a + b) * (cells[DENSE, i] - cells[DENSE, i + 1])


@inner
def carry_heat(w, dt, top_heat, vapour_up, reservoir_heat):
    """Move the heat that water carried during a soil step of dt [s]; temperatures of the chain follow.

    Liquid carries the (new) temperature of the layer it leaves, vapour its enthalpy at the old one. `top_heat`
    [J] net arrival on the soil, `vapour_up` [kg] from the reservoir to the lowest layer, `reservoir_heat` [J] what
    reached the reservoir otherwise. Implicit and exact: the heat of the chain changes by what crosses its ends.
    The latent heat that vapour carries from layer to layer changes slowly, but it is much for a thin dry layer. So the
    air clock moved what was FORESEEN [W below each layer] while it marched, and only the rest is moved here; what was
    FOUND is foreseen for the next step.
    Returns the heat that left with drained water where there is no reservoir [J], and the largest change of a
    temperature [K]: vapour is carried explicitly, so a large change calls for a shorter step.
    """
    b = w.box[0]
    chain = w.chain[CURRENT]
    layers = w.layer_start.size - 1
    size = chain.size
    c = WATER_HEAT
    diagonal = w.newton[0]
    upper = w.newton[1]
    lower = w.newton[2]
    push = w.newton[3]
    root_heat = w.flow[3].root_heat
    for layer in range(layers):
        dry = 0.0
        heat = 0.0
        drawn = 0.0
        for i in range(w.layer_start[layer], w.layer_start[layer + 1]):
            dry += w.thermal[i, 2] * w.dz[i]
            heat += w.water[i]
            drawn += w.cells[DRAWN, i]
        diagonal[layer] = (dry + heat * WATER_DENSITY * c) * b.floor
        push[layer] = w.capacity[layer] * chain[layer] - drawn * root_heat
        upper[layer] = 0.0
        lower[layer] = 0.0
    push[0] += top_heat
    if size > layers:
        n = w.dz.size
        diagonal[layers] = b.aggregate_capacity + c * WATER_DENSITY * b.floor * w.water[n]
        push[layers] = w.capacity[layers] * chain[layers] + reservoir_heat
        upper[layers] = 0.0
        lower[layers] = 0.0
    drained = 0.0
    for layer in range(layers):
        i = w.layer_start[layer + 1] - 1
        vapour = w.cells[VAPOUR, i] * dt * b.floor * WATER_DENSITY
        liquid = w.cells[FLOW, i] * dt * b.floor * WATER_DENSITY - vapour
        driven = 0.0
        if layer == layers - 1:
            vapour = -vapour_up
        else:
            driven = dt * b.floor * vapour_by_warmth(w.cells, w.head, w.dz, i)
        if layer + 1 < size:
            # the latent heat of what warmth drives went with the heat conduction of the air clock already
            warm = chain[layer] if vapour > 0.0 else chain[layer + 1]
            moved = vapour * vapour_enthalpy(warm) - driven * latent_heat(warm)
            w.carried[FOUND, layer] = (moved - c * vapour * warm) / dt
            moved -= w.carried[FORESEEN, layer] * dt
            push[layer] -= moved
            push[layer + 1] += moved
            if liquid > 0.0:
                diagonal[layer] += c * liquid
                lower[layer + 1] -= c * liquid
            else:
                diagonal[layer + 1] -= c * liquid
                upper[layer] += c * liquid
        else:
            diagonal[layer] += c * liquid
            drained = liquid
    for i in range(1, size):
        factor = lower[i] / diagonal[i - 1]
        diagonal[i] -= factor * upper[i - 1]
        push[i] -= factor * push[i - 1]
    largest = 0.0
    for i in range(size - 1, -1, -1):
        new = push[i] / diagonal[i]
        if i < size - 1:
            new = (push[i] - upper[i] * chain[i + 1]) / diagonal[i]
        largest = max(largest, abs(new - chain[i]))
        chain[i] = new
    return c * drained * chain[size - 1], largest
