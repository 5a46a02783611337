"""The soil's part of one step of both clocks: what arrives, Richards' equation, and the books of water and heat."""

from typing import NamedTuple

from terralab.engine.air_clock import CURRENT
from terralab.engine.ground import reservoir_vapour, warm_again
from terralab.engine.water_heat import carry_heat
from terralab.jit import inner, part
from terralab.physics.conductivity import pore_humidity
from terralab.physics.constants import WATER_DENSITY, WATER_HEAT
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.physics.wick import wick_flow
from terralab.soil.arrays import FLUX, Bottom, Drivers, Flows, Grid, Method, Top
from terralab.soil.richards import step

MOST_WARMED = 1.0  # of the air's tolerance of temperature: how far water and vapour may change one in a soil step
LEAST_WARMED = 0.2  # K, however strict: finer steps gain nothing (measured on the arid demo)
LEAST_DRIVE = (
    0.15  # -: a surface cell in near balance with its air errs by 0.3 % RH at most, a third of the air's share
)
FARTHEST_AHEAD = 0.1  # of a head: a guess for the next step changes it by less
GOOD, AIR_FAILED, SOIL_FAILED, TOO_MUCH_WORK = 0, 1, 2, 3


class Arrivals(NamedTuple):
    """What reaches the soil and the drainage layer in one soil step: water [kg], and its heat [J from 0 C].

    poured: all of it; past: what of it runs past a dry mix; to_soil: what lands on the soil; up: vapour from the
    drainage layer to the lowest cell. top_heat: still to be gained by the soil's surface; below_heat: by what lies below the soil.
    """

    poured: float
    past: float
    to_soil: float
    up: float
    top_heat: float
    below_heat: float


class Outcome(NamedTuple):
    """How one soil step came out, each as a share of what is allowed: water contents, temperatures, surface cell."""

    status: int
    wetted: float
    warmed: float
    surface: float


@inner
def ahead(head, course, dt):
    """Move heads [m] by their `course` [m/s] over dt [s] for a first guess: only while they stay on one side of zero."""
    for i in range(head.size):
        change = dt * course[i]
        if abs(change) < FARTHEST_AHEAD * abs(head[i]):
            head[i] += change


@inner
def arrivals(w, dt, poured):
    """Work out what reaches soil and drainage layer in dt [s], `poured` [kg] among it, and fill the cells' sources [m]."""
    b = w.box[0]
    n = w.dz.size
    f = w.flow[3]
    source = w.cells.source
    to_metres = 1.0 / (WATER_DENSITY * b.floor)
    past = w.surface_cell[0].past * poured
    pour_heat = WATER_HEAT * w.now[0].room_t
    # where soil stands free of the panes, what runs down them stays on the bare floor
    runs = f.glass_drip * (1.0 - b.stands_free)
    runs_heat = f.run_off_heat * (1.0 - b.stands_free)
    edge = runs * b.run_off_to_soil
    to_soil = poured - past + edge
    to_soil += f.landed
    top_heat = pour_heat * (poured - past) + runs_heat * b.run_off_to_soil + f.soil_gain
    # the air clock moved meanwhile what was foreseen of how much warmer or colder than the soil it arrives
    carried = w.carried
    brings = WATER_HEAT * to_soil
    without = w.chain[CURRENT, 0] - carried.arrives[0] * dt / w.capacity[0]
    # a flood takes the soil to its own warmth, and no further
    carried.arrives_found[0] = (top_heat - brings * without) / dt / (1.0 + brings / w.capacity[0])
    top_heat -= carried.arrives[0] * dt
    # vapour answers to warmth at once: with the temperatures of the start both swing about each other
    warm_again(w)
    up = reservoir_vapour(w) * dt
    if up > 0.0:
        up = min(up, 0.5 * w.water[n] / to_metres)
    below = past + runs - edge
    for i in range(n):
        source[i] = -w.cells.root_share[i] * f.transpiration * to_metres
    source[0] += (to_soil - f.soil_evaporation) * to_metres
    source[n] = 0.0
    below_heat = pour_heat * past + runs_heat * (1.0 - b.run_off_to_soil)
    if b.has_reservoir > 0.0:
        source[n - 1] += up * to_metres
        source[n] = (below - up - f.tube_evaporation) * to_metres
        below_heat -= f.tube_liquid_heat
    else:
        # no drainage layer: what runs past the mix or down the glass gathers at the bottom of the soil
        source[n - 1] += below * to_metres
    return Arrivals(poured, past, to_soil, up, top_heat - f.soil_liquid_heat, below_heat)


@inner
def bottom_of(b):
    """What lies below the lowest cell, of a box."""
    return Bottom(
        int(b.bottom_kind),
        0.0,
        b.entry,
        b.reservoir_depth,
        b.void,
        b.fringe,
        b.wick_share,
        b.wick_conducts,
        b.wick_rise,
    )


@part
def solve_soil(w, dt, residual_tolerance):
    """Take the soil's own step of dt [s] with the sources of `arrivals`; returns whether it converged."""
    c = w.cells
    if residual_tolerance > 0.0:
        ahead(w.head, c.course, dt)
    good, _, _ = step(
        w.head,
        w.water,
        dt,
        Grid(w.dz, w.soil_of, w.soils),
        Drivers(c.source, c.temperature, c.diffusion, c.vapour_density),
        Top(FLUX, 0.0, 0.0),
        bottom_of(w.box[0]),
        Method(True, False, residual_tolerance),
        Flows(c.flow, c.vapour, c.contact),
        w.newton,
    )
    return good


@inner
def account_water(w, dt):
    """Change the water of each cell and of the drainage layer by what crossed [m]; returns the largest change of theta."""
    c = w.cells
    n = w.dz.size
    above = 0.0
    change = 0.0
    for i in range(n):
        w.water[i] += c.source[i] + dt * (above - c.flow[i])
        above = c.flow[i]
        # a pond is not a change of the soil
        theta = min(w.water[i] / w.dz[i], w.thermal[i].porosity)
        change = max(change, abs(theta - c.theta[i]))
    if w.box[0].has_reservoir > 0.0:
        w.water[n] += c.source[n] + above * dt
    return change


@inner
def surface_error(w):
    """How far the surface cell's pore humidity came out from the one that the air evaporated by, as a share of the drive."""
    cell = w.surface_cell[0]
    top_t = w.chain[CURRENT, 0]
    a_air, _ = pore_humidity(w.air.cell[CURRENT].head, top_t)
    if cell.active == 0.0:
        a_air = cell.humidity
    a_soil, _ = pore_humidity(w.head[0], top_t)
    ws = humidity_ratio(saturation_pressure(top_t))
    drive = max(LEAST_DRIVE, abs(a_soil - w.air.zones[CURRENT, 0].w / ws))
    return abs(a_soil - a_air) / drive


@inner
def account_heat(w, dt, arrived):
    """Let the water take its heat along; returns the heat [J] that left with it, and the largest change of temperature."""
    if w.box[0].has_reservoir > 0.0:
        return carry_heat(w, dt, arrived.top_heat, arrived.up, arrived.below_heat)
    # the gathered water's heat enters the lowest layer with it
    last = w.chain.shape[1] - 1
    w.chain[CURRENT, last] += arrived.below_heat / w.capacity[last]
    return carry_heat(w, dt, arrived.top_heat, 0.0, 0.0)


@inner
def record_moved(w, dt, arrived, left_heat):
    """Add what moved in a soil step to the record [kg, J]."""
    b = w.box[0]
    n = w.dz.size
    moved = w.moved[1]
    to_metres = 1.0 / (WATER_DENSITY * b.floor)
    wick = 0.0
    if b.wick_share > 0.0:
        half = 0.5 * w.dz[n - 1]
        wick, _, _ = wick_flow(w.head[n - 1], half, w.head[n], b.reservoir_depth, b.wick_conducts, b.wick_rise)
        wick *= b.wick_share
    touching = w.cells.flow[n - 1] - wick  # [m/s] down through the mesh itself
    drained = (touching + max(0.0, wick)) * dt / to_metres
    if b.has_reservoir > 0.0:
        moved.contact_rise += max(0.0, -touching) * dt / to_metres
    else:
        moved.drained_away_heat += left_heat
        moved.drained_away += drained
    moved.poured += arrived.poured
    moved.poured_heat += WATER_HEAT * w.now[0].room_t * arrived.poured
    moved.bypassed += arrived.past
    moved.to_soil += arrived.to_soil
    moved.drained += drained
    moved.reservoir_vapour += arrived.up
    moved.wick_rise += max(0.0, -wick) * dt / to_metres


@part
def soil_step(w, dt, poured, s):
    """The soil clock's part of one step of dt [s], after the air's; s are the SETTINGS. Returns the `Outcome`.

    Its status is SOIL_FAILED when it did not converge: the caller restores everything and tries a shorter step.
    """
    arrived = arrivals(w, dt, poured)
    if not solve_soil(w, dt, s.residual_tolerance):
        return Outcome(SOIL_FAILED, 0.0, 0.0, 0.0)
    change = account_water(w, dt)
    surface = surface_error(w)
    left_heat, warmed = account_heat(w, dt, arrived)
    record_moved(w, dt, arrived, left_heat)
    most_warmed = max(LEAST_WARMED, MOST_WARMED * s.temperature)
    return Outcome(GOOD, change / s.theta, warmed / most_warmed, surface / s.surface_cell)
