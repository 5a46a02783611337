"""What runs at an instant: devices and hands summed up, the openings as they stand, and controls that want to switch."""

from terralab.engine.kinds import BARE, BASKING, CARPET, COVER, LEAF, LID, PANE, SOIL, STONE
from terralab.engine.surfaces import saturated
from terralab.jit import inner
from terralab.physics.canopy import two_lights
from terralab.physics.constants import MASS_RATIO
from terralab.physics.convection import forced_plate
from terralab.physics.leaf import leaf_conductance

LAST_DROP = 1e-6  # s: a tank that lasts for less is empty
NOTHING, TEMPERATURE, HUMIDITY = 0.0, 1.0, 2.0  # what a device senses


@inner
def combine(now, b, air, schedule_on, schedule_rate, devices, device_on, tank_left, openings, vents, on_row):
    """Sum what the running devices do into NOW, with the hand's rates of this schedule row, and how the air then blows.

    `vents` become the openings as they stand with the fans that run and the doors that stand open.
    """
    now.leaf_heat = 0.0
    now.ground_heat = 0.0
    now.glass_heat = 0.0
    now.air_heat = 0.0
    now.basking_heat = 0.0
    now.floor_heat = 0.0
    now.par = 0.0
    now.beam = 0.0
    now.jet_flow = 0.0
    now.air_speed = b.still_air
    now.fog_in = schedule_rate[on_row, 2]
    now.spray = schedule_rate[on_row, 1]
    now.drip = 0.0
    now.watering = schedule_rate[on_row, 0]
    now.power = 0.0
    now.doors = 0.0
    for i in range(vents.size):
        vents[i].area = openings[i].area
    for i in range(devices.size):
        load = schedule_on[on_row, i]
        if load > 0.0 and device_on[i] > 0.0:
            d = devices[i]
            now.leaf_heat += load * d.leaf_heat
            now.ground_heat += load * d.ground_heat
            now.glass_heat += load * d.glass_heat
            now.air_heat += load * d.air_heat
            now.basking_heat += load * d.basking_heat
            now.floor_heat += load * d.floor_heat
            now.par += load * d.par
            now.beam += load * d.beam
            if d.seat_row >= 0.0:
                seat = vents[int(d.seat_row)]
                seat.area = max(0.0, seat.area - d.face)
            if d.vent_row >= 0.0:
                for m in range(int(d.vent_row), int(d.vent_row + d.vent_rows)):
                    vents[m].area = vents[m].full
            now.doors += d.door
            now.air_speed = max(now.air_speed, d.air_speed)
            if d.jet_flow > now.jet_flow:
                now.jet_flow, now.jet_diameter = d.jet_flow, d.jet_diameter
            if d.tank == 0.0 or tank_left[i] > 0.0:
                now.spray += load * d.spray
                now.drip += load * d.drip
                now.fog_in += load * d.fog_in
            now.power += load * d.power
    for i in range(air.zone.size):
        air.zone_source[i] = air.heat_share[i] * now.air_heat
    for j in range(air.surface.size):
        f = air.surface[j]
        air.blown[j] = forced_plate(f.air_speed if f.air_speed > 0.0 else now.air_speed, f.length)
        air.source[j] = 0.0
        if f.kind == LEAF:
            air.source[j] = now.leaf_heat * f.area / b.leaf_area
            air.surface_now[j].pores = light_adds(b, f, now.par, now.beam)
        elif f.kind == PANE or f.kind == LID:
            air.source[j] = now.glass_heat * f.area / b.glass_area
        elif f.kind == BASKING:
            air.source[j] = now.basking_heat
        elif (
            f.kind == COVER
            or f.kind == STONE
            or f.kind == CARPET
            or f.kind == BARE
            or (f.kind == SOIL and b.cover == 0.0)
        ):
            air.source[j] = now.ground_heat * f.area / b.ground


@inner
def light_adds(b, f, par, beam):
    """What light adds to the conductance of the pores of leaves [m/s], less than nothing for those that open at night.

    `par` is the even light above all plants, `beam` that of a sun patch [umol/m2/s], in which a share of them stands.
    """
    dark = 1.0 / b.leaf_dark
    adds = leaf_conductance(par * f.light, b.leaf_dark, b.leaf_full, b.light_half) - dark
    if beam > 0.0:
        share, sunlit, shaded = two_lights(beam, par, b.beam_taken, b.extinction, b.layers)
        there = share * leaf_conductance(sunlit, b.leaf_dark, b.leaf_full, b.light_half)
        there += (1.0 - share) * leaf_conductance(shaded, b.leaf_dark, b.leaf_full, b.light_half)
        adds += b.sun_share * (there - dark - adds)
    return adds


@inner
def mean_air(air, row):
    """Temperature [C] and humidity ratio [kg/kg] of the stacked zones mixed, as a sensor half way up reads them."""
    t = 0.0
    w = 0.0
    for i in range(air.zone.size):
        t += air.mean_share[i] * air.zones[row, i].t
        w += air.mean_share[i] * air.zones[row, i].w
    return t, w


@inner
def overshoot(d, on, air, row):
    """How far device d's reading at the states of `row` is past where it switches next, as a share of the hysteresis; below 0: not yet."""
    t, w = mean_air(air, row)
    value = t
    if d.senses == HUMIDITY:
        ws, _ = saturated(t)
        value = 100.0 * w * (MASS_RATIO + ws) / (ws * (MASS_RATIO + w))
    beyond = value - d.set_point if d.above > 0.0 else d.set_point - value
    return (-beyond if on > 0.0 else beyond) / d.hysteresis - 0.5


@inner
def switch_wanted(air, row, t, devices, device_on, device_since):
    """The device that a control wants to switch at the states of `row` and time t, and its overshoot.

    Returns (device or -1, overshoot). A device holds at least its minimum on-time.
    """
    worst = -1
    overdue = 0.0
    for i in range(devices.size):
        d = devices[i]
        if d.senses == NOTHING or (device_on[i] > 0.0 and t + 1e-6 < device_since[i] + d.minimum_on):
            continue
        over = overshoot(d, device_on[i], air, row)
        if over > 0.0 and over >= overdue:
            worst = i
            overdue = over
    return worst, overdue


@inner
def begun(t, times, row, on, devices, device_on, device_since):
    """Let the minimum on-time count from here for devices that their control let run already and whose timer begins at t.

    `times` [s] and `on` are those of the schedule, `row` the one that holds from now on. So a burst that a timer begins is
    finished, however long its control had been waiting for it.
    """
    if row == 0 or times[row] < t - 1e-6:
        return
    for i in range(devices.size):
        if devices[i].senses != NOTHING and device_on[i] > 0.0 and on[row, i] > 0.0 and on[row - 1, i] <= 0.0:
            device_since[i] = t


@inner
def held_until(t, t_end, devices, device_on, device_since):
    """When the next running device on a control has run its minimum on-time, at the latest t_end [s]."""
    first = t_end
    for i in range(devices.size):
        if devices[i].senses != NOTHING and device_on[i] > 0.0:
            free = device_since[i] + devices[i].minimum_on
            if t + 1e-6 < free < first:
                first = free
    return first


@inner
def empties(i, on, devices, device_on, tank_left):
    """Water [kg/s] that device i draws from a tank that is not empty; `on` is the row of the schedule that holds."""
    d = devices[i]
    if d.tank == 0.0 or tank_left[i] <= 0.0 or on[i] <= 0.0 or device_on[i] <= 0.0:
        return 0.0
    return on[i] * (d.spray + d.drip + d.fog_in)


@inner
def lasts_until(t, t_end, on, devices, device_on, tank_left):
    """When the next tank runs dry, at the latest t_end [s]."""
    first = t_end
    for i in range(devices.size):
        rate = empties(i, on, devices, device_on, tank_left)
        if rate > 0.0:
            first = min(first, t + tank_left[i] / rate)
    return first


@inner
def drawn(t, dt, on, devices, device_on, tank_left, ran_dry):
    """Take out of the tanks what was drawn in the dt [s] up to t; returns whether one ran dry."""
    dry = False
    for i in range(devices.size):
        rate = empties(i, on, devices, device_on, tank_left)
        if rate > 0.0:
            tank_left[i] -= rate * dt
            if tank_left[i] <= LAST_DROP * rate:
                tank_left[i] = 0.0
                dry = True
                if ran_dry[i] < 0.0:
                    ran_dry[i] = t
    return dry
