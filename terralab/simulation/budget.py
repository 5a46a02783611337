"""The auditor: water and energy budgets recomputed from what a record saved, sharing nothing with the engine's sums.

What came in and what went out is every row of the table of flows that crosses the glass; what is stored is worked out
from the saved states.

A budget closes when what came in, less what went out, equals the change of what is stored. `closure` is the
misfit as a share of gross throughput plus stored water (or heat).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from terralab.engine.flows_table import CAME_IN, HEAT, LEFT, TABLE, WATER, Table
from terralab.folded import page, paragraph, table
from terralab.physics.constants import AIR_HEAT, LATENT_ZERO, VAPOUR_HEAT, WATER_DENSITY, WATER_HEAT


@dataclass(frozen=True)
class Budget:
    """A budget over a span: what came in, went out and stayed, by name (kg or J), and how well it closes."""

    unit: str
    incoming: dict[str, float]
    outgoing: dict[str, float]
    stored_change: float
    closure: float

    def _repr_html_(self) -> str:
        """Return what a notebook shows: a table, and how well it closes."""
        rows = [("came in: ", name, value) for name, value in self.incoming.items()]
        rows += [("left: ", name, value) for name, value in self.outgoing.items()]
        cells = [(way + name.replace("_", " "), f"{value:.4g}") for way, name, value in rows]
        return page(
            table(("", self.unit), [*cells, ("stored more", f"{self.stored_change:.4g}")]),
            paragraph(f"Left over, as a share of all that moved and is stored: {self.closure:.1e}."),
        )

    def __str__(self) -> str:
        lines = [f"in  {name.replace('_', ' '):<18}{value:12.4g} {self.unit}" for name, value in self.incoming.items()]
        lines += [f"out {name.replace('_', ' '):<18}{value:12.4g} {self.unit}" for name, value in self.outgoing.items()]
        lines.append(f"stored more         {self.stored_change:14.4g} {self.unit}")
        lines.append(f"left over, as a share of all that moved and is stored: {self.closure:.1e}")
        return "\n".join(lines)


def stored_water(raw, table: Table = TABLE) -> dict[str, np.ndarray]:
    """Water in each store [kg] at every saved time, from the saved states alone."""
    return _together([_stored_water(piece, table) for piece in raw.pieces()])


def _together(pieces: list[dict[str, np.ndarray]]) -> dict[str, np.ndarray]:
    """Put the parts of a run behind one another; a store that is not there in one holds nothing."""
    if len(pieces) == 1:
        return pieces[0]
    return {name: np.concatenate([piece[name] for piece in pieces]) for name in pieces[0]}


def _stored_water(raw, table: Table) -> dict[str, np.ndarray]:
    b = raw.constants
    area = float(b["floor"]) * WATER_DENSITY
    out = {"soil": raw.water[:, :-1].sum(axis=1) * area, "reservoir": raw.water[:, -1] * area}
    for store in table.stores:
        if WATER in store.holds and store.kinds:
            out[store.name] = raw.surfaces["film"][:, raw.of_kinds(store.kinds)].sum(axis=1)
        elif WATER in store.holds and store.zone:
            out[store.name] = raw.zones[store.zone] @ (raw.zone[store.times] if store.times else np.ones(raw.zone.size))
    return out


def stored_heat(raw, table: Table = TABLE) -> dict[str, np.ndarray]:
    """Heat in each store [J], counted from 0 C and liquid water, at every saved time."""
    return _together([_stored_heat(piece, table) for piece in raw.pieces()])


def _stored_heat(raw, table: Table) -> dict[str, np.ndarray]:
    b = raw.constants
    z, s = raw.zones, raw.surfaces
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
    air = (AIR_HEAT * z["t"] + z["w"] * (LATENT_ZERO + VAPOUR_HEAT * z["t"])) @ raw.zone["mass"]
    out = {"soil": soil, "reservoir": reservoir, "air": air + WATER_HEAT * (z["fog"] * z["t"]).sum(axis=1)}
    heat = (raw.surface["capacity"] + WATER_HEAT * s["film"]) * s["t"]
    for store in table.stores:
        if HEAT in store.holds and store.kinds:
            out[store.name] = heat[:, raw.of_kinds(store.kinds)].sum(axis=1)
    return out


def _sums(raw, names: tuple[str, ...], first: int, last: int) -> dict[str, float]:
    return {name: float(np.sum(raw.amount(name)[first + 1 : last + 1])) for name in names}


def _budget(raw, unit: str, carried: str, stores: dict[str, np.ndarray], first: int, last: int, table: Table) -> Budget:
    last = len(raw.t) - 1 if last == -1 else last
    incoming = _sums(raw, table.crossing(carried, CAME_IN), first, last)
    outgoing = _sums(raw, table.crossing(carried, LEFT), first, last)
    total = sum(stores.values())
    change = float(total[last] - total[first])
    gross = sum(abs(v) for v in (*incoming.values(), *outgoing.values())) + abs(float(total[first]))
    left = sum(incoming.values()) - sum(outgoing.values()) - change
    return Budget(unit, incoming, outgoing, change, abs(left) / gross)


def water_budget(raw, first: int = 0, last: int = -1, table: Table = TABLE) -> Budget:
    """Return the water budget [kg] between two saved rows (default: the whole run)."""
    return _budget(raw, "kg", WATER, stored_water(raw, table), first, last, table)


def energy_budget(raw, first: int = 0, last: int = -1, table: Table = TABLE) -> Budget:
    """Return the energy budget [J] between two saved rows (default: the whole run)."""
    return _budget(raw, "J", HEAT, stored_heat(raw), first, last, table)


def gained(raw, carried: str, table: Table = TABLE) -> dict[str, np.ndarray]:
    """Return what each store gained since the row before by all its rows of the table [kg or J], in every saved row.

    Of heat only the stores whose gain the air clock books; soil and drainage layer exchange it within themselves.
    """
    return table.water_gains(raw.amount, raw.constants) if carried == WATER else table.heat_gains(raw.amount)
