"""Where a run begins: air, surfaces and warmth in balance with room, soil and routine, the soil's water held.

The routine of the first day is lived through a few times by the air clock alone, from a plain guess, while the soil
neither gives nor takes water. So the first day of a run is like those that follow. What a description states stays as
described: water in soil, drainage layer and dish. Only the surface cell of a dry soil, a millimetre, dries to where what rises
from below feeds it, as it would within hours. A box that starts dry has not been sprayed: its films are dry too.
"""

import numpy as np

from terralab.engine.air_clock import CURRENT, FIRST, KEPT, SLOPE, advance
from terralab.engine.ground import prepare
from terralab.engine.kinds import DISH, MOSS
from terralab.engine.settings import Accuracy, run_settings
from terralab.jit import kernel
from terralab.soil.storage import stored
from terralab.units import DAY_S

DAYS = 2  # wood and deep soil follow within a third of a day
HELD = 1800.0  # s for which ways of heat in the soil are kept before they are worked out again
#: How finely the air clock works here.
ROUGHLY = Accuracy(
    rh=0.02, temperature=0.5, longest_air=900.0, longest_soil=HELD, theta=1.0, surface_cell=1.0, rounds=1
)
SINCE_EVER = -1.0e9  # s


def settling() -> np.ndarray:
    """Return the settings for `settle`."""
    return run_settings(DAYS * DAY_S, DAY_S, ROUGHLY, 0.0)


@kernel
def settle(w, settings, dry, hour):
    """Bring the CURRENT rows of `w` into balance at the hour a run starts; `dry`: nothing was watered (0 or 1), `hour` [s] after midnight.

    `settings` is those of `settling`.

    Returns 0, or 1 where the air leaves the range of the formulas: then `w` is as it was, and the run gives the hour.
    """
    air, state, chain = w.air, w.air.state_v, w.chain
    for i in range(state.shape[1]):
        state[KEPT, i] = state[CURRENT, i]
    for i in range(chain.shape[1]):
        chain[KEPT, i] = chain[CURRENT, i]
    for i in range(w.device_on.size):
        w.device_kept[0, i] = w.device_on[i]
    s = air.cell[CURRENT]
    head, water = w.head[0], w.water[0]
    size = 2.0
    status = 0
    for half in range(2 * DAYS):
        # from the hour to midnight, and then the hours before it
        t, day_end = (hour, DAY_S) if half % 2 == 0 else (0.0, hour)
        row = FIRST
        while t < day_end - 1e-6 and status == 0:
            end = min(day_end, t + HELD)
            prepare(w, 0.0)
            for i in range(w.flow_v.shape[1]):
                w.flow_v[3, i] = 0.0
            for i in range(air.flow_v.shape[1]):
                air.flow_v[3, i] = 0.0
            status, size, row, _ = advance(w, t, end, size, row, settings[0])
            if w.surface_cell[0].active > 0.0:
                w.head[0] = s.head
                w.water[0], _ = stored(w.head[0], w.dz[0], w.soils[w.soil_of[0]], True, True)
            t = end
        if half % 2 == 1:
            continue
        for j in range(air.surface.size):
            if air.surface[j].kind == DISH or air.surface[j].kind == MOSS:
                air.surfaces[CURRENT, j].film = air.surfaces[KEPT, j].film
        for i in range(w.device_since.size):
            w.device_since[i] -= DAY_S
            w.tank_left[i] = w.devices[i].tank
    if status != 0:
        w.head[0], w.water[0] = head, water
        for i in range(state.shape[1]):
            state[CURRENT, i] = state[KEPT, i]
        for i in range(chain.shape[1]):
            chain[CURRENT, i] = chain[KEPT, i]
        for i in range(w.device_on.size):
            w.device_on[i] = w.device_kept[0, i]
    if dry > 0:
        for j in range(air.surface.size):
            if air.surface[j].kind != DISH and air.surface[j].kind != MOSS:
                air.surfaces[CURRENT, j].film = 0.0
    s.water, s.head = w.water[0], w.head[0]
    for i in range(w.device_on.size):
        w.device_since[i] = SINCE_EVER
        w.tank_left[i], w.ran_dry[i] = w.devices[i].tank, -1.0
    # the run starts with nothing moved and nothing learnt
    for i in range(w.flow_v.shape[1]):
        w.flow_v[3, i] = 0.0
    for i in range(air.flow_v.shape[1]):
        air.flow_v[3, i] = 0.0
    for i in range(state.shape[1]):
        state[SLOPE, i] = 0.0
    for i in range(chain.shape[1]):
        chain[SLOPE, i] = 0.0
    w.now[0].pressure = w.now[0].pressure_back = 0.0
    return status
