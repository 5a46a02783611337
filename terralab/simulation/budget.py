"""The auditor: water and energy budgets recomputed from what a record saved, sharing nothing with the engine's sums.

A budget closes when what came in, less what went out, equals the change of what is stored. `closure` is the
misfit as a share of gross throughput plus stored water (or heat).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.physics.constants import AIR_HEAT, LATENT_ZERO, VAPOUR_HEAT, WATER_DENSITY, WATER_HEAT

WATER_IN = ("poured", "refilled", "spray_leaf", "spray_glass", "spray_ground", "fog_in")
WATER_OUT = ("vapour_leak", "vapour_openings", "vapour_fan", "fog_lost", "siphoned", "spilled", "drained_away")
HEAT_IN = ("heat_devices", "heat_floor", "poured_heat", "refilled_heat", "spray_heat", "fog_in_heat")
HEAT_OUT = (
    "heat_glass",
    "heat_lid",
    "heat_vent",
    "heat_side",
    "heat_base",
    "fog_lost_heat",
    "siphoned_heat",
    "spilled_heat",
    "drained_away_heat",
)


@dataclass(frozen=True)
class Budget:
    """A budget over a span: what came in, went out and stayed, by name (kg or J), and how well it closes."""

    unit: str
    incoming: dict[str, float]
    outgoing: dict[str, float]
    stored_change: float
    closure: float

    def __str__(self) -> str:
        lines = [f"in  {name.replace('_', ' '):<18}{value:12.4g} {self.unit}" for name, value in self.incoming.items()]
        lines += [f"out {name.replace('_', ' '):<18}{value:12.4g} {self.unit}" for name, value in self.outgoing.items()]
        lines.append(f"stored more         {self.stored_change:14.4g} {self.unit}")
        lines.append(f"left over, as a share of all that moved and is stored: {self.closure:.1e}")
        return "\n".join(lines)


def stored_water(raw) -> dict[str, np.ndarray]:
    """Water in each store [kg] at every saved time, from the saved states alone."""
    b = raw.constants
    area = float(b["floor"]) * WATER_DENSITY
    s = raw.state
    return {
        "soil": raw.water[:, :-1].sum(axis=1) * area,
        "reservoir": raw.water[:, -1] * area,
        "cover": s["cover_water"],
        "leaf film": s["leaf_film"],
        "glass film": s["glass_film"],
        "dish": s["dish_water"],
        "air": float(b["air_mass"]) * s["air_w"],
        "fog": s["fog"],
        "wood": float(b["wood_store"]) * s["wood"],
    }


def stored_heat(raw) -> dict[str, np.ndarray]:
    """Heat in each store [J], counted from 0 C and liquid water, at every saved time."""
    b = raw.constants
    s = raw.state
    floor = float(b["floor"])
    soil = np.zeros(len(raw.t))
    starts = raw.layer_start
    for layer in range(len(starts) - 1):
        cells = slice(starts[layer], starts[layer + 1])
        dry = (raw.dry_heat[cells] * raw.dz[cells]).sum()
        wet = raw.water[:, cells].sum(axis=1) * WATER_DENSITY * WATER_HEAT
        soil += floor * (dry + wet) * raw.chain[:, layer]
    reservoir = np.zeros(len(raw.t))
    if b["has_reservoir"]:
        capacity = float(b["aggregate_capacity"]) + floor * raw.water[:, -1] * WATER_DENSITY * WATER_HEAT
        reservoir = capacity * raw.chain[:, -1]
    air = float(b["air_mass"]) * (AIR_HEAT * s["air_t"] + s["air_w"] * (LATENT_ZERO + VAPOUR_HEAT * s["air_t"]))
    heat = lambda name, film, t: (float(b[name]) + WATER_HEAT * s[film]) * s[t]  # noqa: E731
    return {
        "soil": soil,
        "reservoir": reservoir,
        "air": air + WATER_HEAT * s["fog"] * s["air_t"],
        "glass": heat("glass_capacity", "glass_film", "glass_t"),
        "leaves": heat("leaf_capacity", "leaf_film", "leaf_t") if b["has_plants"] else np.zeros(len(raw.t)),
        "cover": heat("ground_capacity", "cover_water", "cover_t") if b["cover"] else np.zeros(len(raw.t)),
        "dish": heat("dish_capacity", "dish_water", "dish_t") if b["has_dish"] else np.zeros(len(raw.t)),
    }


def _sums(raw, names: tuple[str, ...], first: int, last: int) -> dict[str, float]:
    out = {}
    for name in names:
        source = raw.moved if name in raw.moved.dtype.names else raw.flow
        out[name] = float(np.sum(source[name][first + 1 : last + 1]))
    return out


def _budget(raw, unit, names_in, names_out, stores, first, last) -> Budget:
    incoming = _sums(raw, names_in, first, last)
    outgoing = _sums(raw, names_out, first, last)
    total = sum(stores.values())
    change = float(total[last] - total[first])
    gross = sum(abs(v) for v in (*incoming.values(), *outgoing.values())) + abs(float(total[first]))
    left = sum(incoming.values()) - sum(outgoing.values()) - change
    return Budget(unit, incoming, outgoing, change, abs(left) / gross)


def water_budget(raw, first: int = 0, last: int = -1) -> Budget:
    """The water budget [kg] between two saved rows (default: the whole run)."""
    last = len(raw.t) - 1 if last == -1 else last
    return _budget(raw, "kg", WATER_IN, WATER_OUT, stored_water(raw), first, last)


def energy_budget(raw, first: int = 0, last: int = -1) -> Budget:
    """The energy budget [J] between two saved rows (default: the whole run)."""
    last = len(raw.t) - 1 if last == -1 else last
    return _budget(raw, "J", HEAT_IN, HEAT_OUT, stored_heat(raw), first, last)
