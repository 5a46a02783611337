"""Put a described box, a room and a span of days into the arrays that the compiled engine works on."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.engine import schedule
from terralab.engine.air_clock import SLOPE
from terralab.engine.layout import (
    Overrides,
    box_row,
    device_rows,
    grid,
    roots_of,
    soil_row,
    start_heads,
    stored_water,
    thermal_layers,
)
from terralab.engine.settings import record_of
from terralab.engine.surface_cell import SURFACE_CELL
from terralab.engine.tables import COEFFICIENTS, FLOW, MOVED, NOW, STATE, THERMAL, Carried, Cells, Work
from terralab.jit import COMPILED
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.physics.retention import THETA_S
from terralab.soil.arrays import newton_arrays
from terralab.soil.storage import reservoir_stored

CELLS = 40
START_HUMIDITY = 0.8  # - of the air and wood from which `settle` looks for their balance


def pack(
    box: Box,
    room: RoomState,
    days: int,
    overrides: Mapping[str, float | str] | Overrides | None = None,
    cells: int = CELLS,
) -> Work:
    """Arrays for one run of `box` in `room` over `days`; `overrides` moves uncertain numbers within their range."""
    pick = overrides if isinstance(overrides, Overrides) else Overrides(overrides)
    layers = box.enclosure.porous_layers
    dz, place = grid(layers, cells)
    n = len(dz)
    soils = np.array([soil_row(pick, material) for material, _ in layers])
    b = box_row(box, pick, dz)
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
    times, on, rates = schedule.switching(box.routine, days, pick("defaults", "hand spray", "airborne"))
    rows, openings = device_rows(box, pick, one)
    hand_t, hand = schedule.by_hand(box.routine, days, bool(one["has_dish"]))
    room_rows = schedule.room_course(room, days)
    level = 0.0
    depth = float(one["reservoir_depth"])
    if box.enclosure.drainage is not None:
        level = box.enclosure.drainage.level_cm / 100.0 - depth
    head = start_heads(box.start.soil, dz, soils, place, float(one["entry"]), level)
    water = stored_water(head, dz, soils, place)
    if one["has_reservoir"]:
        head = np.append(head, level)
        water = np.append(water, reservoir_stored(level, depth, float(one["void"]))[0])
    else:
        head = np.append(head, -1.0)
        water = np.append(water, 0.0)
    state = np.zeros(6, STATE)
    t0 = room_rows[0, 1]
    s = state[0]
    for name in ("air_t", "glass_t", "leaf_t", "dish_t", "cover_t"):
        s[name] = t0
    s["air_w"] = humidity_ratio(START_HUMIDITY * saturation_pressure(t0))
    s["dish_water"] = one["dish_full"]
    s["wood"] = START_HUMIDITY
    s["surface_water"], s["surface_head"] = water[0], head[0]
    chain = np.full((6, size), t0)
    chain[SLOPE] = 0.0
    flow = np.zeros(5, FLOW)
    moved = np.zeros(2, MOVED)
    now = np.zeros(1, NOW)
    devices_on = np.where(rows["senses"] > 0.0, 0, 1).astype(np.int64)
    plain = lambda array: array.view(np.float64).reshape(len(array), -1)  # noqa: E731
    if not COMPILED:
        # plain Python reaches the fields of a record by name only in this guise
        b, now, state, flow, moved, rows, openings, thermal = (
            a.view(np.recarray) for a in (b, now, state, flow, moved, rows, openings, thermal)
        )
    return Work(
        box=b,
        now=now,
        coefficients=record_of(COEFFICIENTS),
        state=state,
        state_v=plain(state),
        flow=flow,
        flow_v=plain(flow),
        moved=moved,
        moved_v=plain(moved),
        chain=chain,
        capacity=np.zeros(size),
        between=np.zeros(max(1, size - 1)),
        side=side,
        sweep=np.zeros((2, size + 1)),
        layer_resistance=np.zeros(soil_layers),
        carried=Carried(*np.zeros((3, size))),
        surface_cell=record_of(SURFACE_CELL),
        openings=openings,
        vents=openings.copy(),
        devices=rows,
        device_on=devices_on.astype(float),
        device_since=np.full(len(rows), -1e9),
        device_kept=np.zeros((2, len(rows))),
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
        cells=Cells(*np.zeros((len(Cells._fields), n + 1))),
        newton=newton_arrays(n + 1),
    )
