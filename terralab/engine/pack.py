"""Put a described box, a room and a span of days into the arrays that the compiled engine works on."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.seasons import box_in
from terralab.engine import schedule
from terralab.engine.air_clock import CURRENT, SLOPE
from terralab.engine.air_layout import AirLayout
from terralab.engine.box_constants import box_row
from terralab.engine.layout import (
    Overrides,
    device_rows,
    grid,
    roots_of,
    soil_row,
    start_heads,
    stored_water,
    thermal_layers,
)
from terralab.engine.light import skies
from terralab.engine.measured_start import measured_heads
from terralab.engine.schedule import topped_up
from terralab.engine.settings import record_of
from terralab.engine.surface_cell import SURFACE_CELL
from terralab.engine.tables import (
    CELL_STATE,
    FLOW,
    GROUND_NOW,
    MOVED,
    NOW,
    SURFACE_FLOW,
    SURFACE_NOW,
    SURFACE_STATE,
    THERMAL,
    ZONE_FLOW,
    ZONE_NOW,
    ZONE_STATE,
    Air,
    Carried,
    Cells,
    Work,
)
from terralab.jit import COMPILED
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.physics.retention import THETA_S
from terralab.soil.arrays import newton_arrays
from terralab.soil.storage import reservoir_stored

CELLS = 40
START_HUMIDITY = 0.8  # - of the air and wood from which `settle` looks for their balance


def air_arrays(tables: AirLayout, t: float, water: float, head: float) -> Air:
    """The arrays of the air: all at the temperature `t` [C]; `water` [m] and `head` [m] are of the soil's surface cell."""
    zones, surfaces = len(tables.zones), len(tables.surfaces)
    widths = [len(ZONE_STATE.names) * zones, len(SURFACE_STATE.names) * surfaces, len(CELL_STATE.names)]
    state = np.zeros((6, sum(widths)))
    ends = np.cumsum(widths)
    named = lambda rows, first, end, dtype: rows[:, first:end].view(dtype)  # noqa: E731
    zone_state = named(state, 0, ends[0], ZONE_STATE)
    surface_state = named(state, ends[0], ends[1], SURFACE_STATE)
    cell_state = named(state, ends[1], ends[2], CELL_STATE)[:, 0]
    now = zone_state[CURRENT]
    now["t"], now["wood"] = t, START_HUMIDITY
    now["w"] = humidity_ratio(START_HUMIDITY * saturation_pressure(t))
    surface_state[CURRENT]["t"], surface_state[CURRENT]["film"] = t, tables.films
    cell_state[CURRENT]["water"], cell_state[CURRENT]["head"] = water, head
    flow = np.zeros((4, len(ZONE_FLOW.names) * zones + len(SURFACE_FLOW.names) * surfaces))
    split = len(ZONE_FLOW.names) * zones
    surface_now = np.zeros(surfaces, SURFACE_NOW)
    surface_now["ws"] = humidity_ratio(saturation_pressure(t))
    whole = 2 * zones + 1
    arrays = {
        "zone": tables.zones,
        "surface": tables.surfaces,
        "link": tables.links,
        "zones": zone_state,
        "surfaces": surface_state,
        "cell": cell_state,
        "zone_now": np.zeros(zones, ZONE_NOW),
        "surface_now": surface_now,
        "ground_now": np.zeros(1, GROUND_NOW),
        "zone_flow": named(flow, 0, split, ZONE_FLOW),
        "surface_flow": named(flow, split, flow.shape[1], SURFACE_FLOW),
        "foreseen": np.zeros(zones, ZONE_STATE),
    }
    if not COMPILED:
        arrays = {name: array.view(np.recarray) for name, array in arrays.items()}
    return Air(
        **arrays,
        state_v=state,
        flow_v=flow,
        source=np.zeros(surfaces),
        zone_source=np.zeros(zones),
        heat_share=tables.heat_share,
        mean_share=tables.mean_share,
        blown=np.zeros(surfaces),
        light=np.zeros(zones),
        columns=np.zeros((zones, 2)),
        matrix=np.zeros((whole, whole + 1 + zones)),
    )


def pack(
    box: Box,
    room: RoomState,
    days: int,
    overrides: Mapping[str, float | str] | Overrides | None = None,
    cells: int = CELLS,
    season: str = "now",
    first_day: int = 0,
) -> Work:
    """Arrays for one run of `box` in `room` over `days`, from its day `first_day` on; `season` is that of the daylight, `overrides` moves uncertain numbers within their range."""
    box = box_in(box, season)
    pick = overrides if isinstance(overrides, Overrides) else Overrides(overrides)
    layers = box.enclosure.porous_layers
    dz, place = grid(layers, cells)
    n = len(dz)
    soils = np.array([soil_row(pick, material) for material, _ in layers])
    b, tables = box_row(box, pick, dz)
    one = b[0]
    starts = thermal_layers(dz)
    soil_layers = len(starts) - 1
    size = soil_layers + int(one["has_reservoir"])
    thermal = np.zeros(n, THERMAL)
    for field, number in (
        ("dry_conducts", "lambda_dry"),
        ("wet_conducts", "lambda_wet"),
        ("dry_capacity", "heat_capacity_dry"),
    ):
        thermal[field] = np.array([pick("substrates", material, number) for material, _ in layers])[place]
    thermal["porosity"] = soils[place, THETA_S]
    side = np.zeros(size)
    for layer in range(soil_layers):
        side[layer] = one["side_per_m"] * dz[starts[layer] : starts[layer + 1]].sum()
    if size > soil_layers:
        side[-1] = one["side_per_m"] * one["reservoir_depth"]
    sky = skies(box, season, pick, 2.0 * float(one["land_leaf"]))
    times, on, rates = schedule.switching(box.routine, days, pick("defaults", "hand spray", "airborne"), sky, first_day)
    rows, openings = device_rows(box, pick, one, tables.zones[: tables.stacked], sky)
    hand_t, hand = schedule.by_hand(box.routine, days, *topped_up(box.enclosure), first_day)
    room_rows = schedule.room_course(room, days, first_day)
    level = 0.0
    depth = float(one["reservoir_depth"])
    if box.enclosure.drainage is not None:
        level = box.enclosure.drainage.level_cm / 100.0 - depth
    head = start_heads(box.start.soil, dz, soils, place, float(one["entry"]), level)
    head = measured_heads(box, head, dz, place, soils, level)
    water = stored_water(head, dz, soils, place)
    if one["has_reservoir"]:
        head = np.append(head, level)
        water = np.append(water, reservoir_stored(level, depth, float(one["void"]))[0])
    else:
        head = np.append(head, -1.0)
        water = np.append(water, 0.0)
    t0 = room_rows[0, 1]
    chain = np.full((6, size), t0)
    chain[SLOPE] = 0.0
    flow = np.zeros(5, FLOW)
    moved = np.zeros(2, MOVED)
    now = np.zeros(1, NOW)
    devices_on = np.where(rows["senses"] > 0.0, 0, 1).astype(np.int64)
    plain = lambda array: array.view(np.float64).reshape(len(array), -1)  # noqa: E731
    air = air_arrays(tables, t0, water[0], head[0])
    if not COMPILED:
        # plain Python reaches the fields of a record by name only in this guise
        b, now, flow, moved, rows, openings, thermal = (
            a.view(np.recarray) for a in (b, now, flow, moved, rows, openings, thermal)
        )
    return Work(
        box=b,
        now=now,
        air=air,
        flow=flow,
        flow_v=plain(flow),
        moved=moved,
        moved_v=plain(moved),
        chain=chain,
        capacity=np.zeros(size),
        between=np.zeros(max(1, size - 1)),
        side=side,
        sweep=np.zeros((2, size + 1)),
        carried=Carried(*np.zeros((9, size))),
        surface_cell=record_of(SURFACE_CELL),
        openings=openings,
        vents=openings.copy(),
        devices=rows,
        device_on=devices_on.astype(float),
        device_since=np.full(len(rows), -1e9),
        device_kept=np.zeros((4, len(rows))),
        tank_left=rows["tank"].copy(),
        ran_dry=np.full(len(rows), -1.0),
        schedule_t=times,
        schedule_on=on,
        schedule_rate=rates,
        hand_t=hand_t,
        hand=hand,
        room=room_rows,
        dz=dz,
        soil_of=place,
        soils=soils,
        thermal=thermal,
        layer_start=starts,
        root_weight=roots_of(dz, float(dz.sum()) - box.enclosure.soil_depth_cm / 100.0, float(one["root_depth"]))
        if one["has_plants"]
        else np.zeros(n),
        head=head,
        water=water,
        cells=Cells(*np.zeros((len(Cells._fields), n + 1)))._replace(fit=np.ones(n + 1)),
        newton=newton_arrays(n + 1),
    )
