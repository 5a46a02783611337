"""Put a described box, a room and a span of days into the arrays that the compiled engine works on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

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
from terralab.engine.tables import COEFFICIENTS, FLOW, MOVED, NOW, STATE, Work
from terralab.jit import COMPILED
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.soil.richards import reservoir_stored

CELLS = 40
START_HUMIDITY = 0.8  # - of the air and wood from which `settle` looks for their balance


@dataclass(frozen=True)
class Accuracy:
    """How finely the engine works. Three sets are offered: "normal", "strict" and "preview"."""

    rh: float
    temperature: float
    longest_air: float
    longest_soil: float
    theta: float
    surface_cell: float
    rounds: int = 2
    residual_tolerance: float = 1.0e-9  # m of water; nothing: every change of heads is looked at again


ACCURACY = {
    "normal": Accuracy(rh=0.01, temperature=0.3, longest_air=450.0, longest_soil=900.0, theta=0.005, surface_cell=0.02),
    "strict": Accuracy(
        rh=0.001,
        temperature=0.03,
        longest_air=60.0,
        longest_soil=120.0,
        theta=0.002,
        surface_cell=0.005,
        rounds=3,
        residual_tolerance=0.0,
    ),
    "preview": Accuracy(
        rh=0.05, temperature=1.0, longest_air=900.0, longest_soil=3600.0, theta=0.03, surface_cell=0.05
    ),
}


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
    thermal = np.array(
        [
            [
                pick("substrates", layers[i][0], "lambda_dry"),
                pick("substrates", layers[i][0], "lambda_wet"),
                pick("substrates", layers[i][0], "heat_capacity_dry"),
                soils[i][2],
            ]
            for i in place
        ]
    )
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
        b, now, state, flow, moved, rows, openings = (
            a.view(np.recarray) for a in (b, now, state, flow, moved, rows, openings)
        )
    return Work(
        box=b,
        now=now,
        coefficients=np.zeros(1, COEFFICIENTS).view(np.ndarray if COMPILED else np.recarray),
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
        carried=np.zeros((3, size)),
        surface_cell=np.zeros(14),
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
        cells=np.zeros((12, n + 1)),
        newton=np.zeros((12, n + 2)),
    )
