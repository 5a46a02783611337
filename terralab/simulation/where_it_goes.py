"""Where the water of a record goes, in a keeper's words, and the amounts behind the arrows of a section.

Everything here comes from the table of flows: what is said, under which word, of which kind, in which order.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from terralab.engine.flows_table import CAME_IN, INSIDE, LEFT, TABLE, WATER, Flow, Table, sum_of, there
from terralab.simulation import budget
from terralab.simulation.raw import Raw
from terralab.units import DAY_S

STORED = "stored"
KINDS = (CAME_IN, LEFT, STORED, INSIDE)
ARROWS = tuple(TABLE.sums("arrows"))


def a_day(raw: Raw, rows: np.ndarray, amount: np.ndarray) -> float:
    """Return an amount [kg in each saved row] in ml a day, as the mean over the rows."""
    days = len(rows) * (raw.t[1] - raw.t[0]) / DAY_S
    return 1000.0 * float(np.sum(amount)) / days


def ml_a_day(raw: Raw, rows: np.ndarray, table: Table = TABLE) -> dict[str, float]:
    """Return the amounts [ml a day] of all that a keeper is told about, by its words, averaged over the rows.

    First what came in, then what left, what the stores hold more than before, and what moved inside. What came in is
    what left and what is stored more.
    """
    out: dict[str, float] = {}
    by_label = table.sums("label")
    for kind in KINDS:
        if kind == STORED:
            out |= _stored(raw, rows, table)
            continue
        for label, flows in by_label.items():
            if flows[0].kind != kind:
                continue
            amount = _sum(raw, flows)
            if amount.any() or not all(flow.seldom for flow in flows):
                out[label] = a_day(raw, rows, amount[rows])
    return out


def _sum(raw: Raw, flows: Iterable[Flow]) -> np.ndarray:
    real = [flow for flow in flows if there(flow, raw.constants)]
    return sum_of(raw.amount, real) if real else np.zeros(len(raw.t))


def _stored(raw: Raw, rows: np.ndarray, table: Table) -> dict[str, float]:
    days = len(rows) * (raw.t[1] - raw.t[0]) / DAY_S
    held = budget.stored_water(raw, table)
    out: dict[str, float] = {}
    for store in table.stores:
        if WATER in store.holds:
            change = 1000.0 * float(held[store.name][rows[-1]] - held[store.name][rows[0] - 1]) / days
            out[store.label] = out.get(store.label, 0) + change
    return out


def arrow_kg(raw: Raw, arrow: str, table: Table = TABLE) -> np.ndarray:
    """Return what an arrow of the section stands for [kg] in each saved row."""
    return _sum(raw, table.sums("arrows").get(arrow, ()))


def vapour_out_kg(raw: Raw, table: Table = TABLE) -> np.ndarray:
    """Return the water that leaves through the air [kg] in each saved row: vapour and floating fog."""
    by_air = [flow for flow in table.booked if flow.kind == LEFT and flow.carries == WATER]
    return _sum(raw, [flow for flow in by_air if flow.source in ("air", "fog")])


def given_kg(raw: Raw, table: Table = TABLE) -> np.ndarray:
    """Return the water that is given otherwise than by pouring on the soil [kg] in each saved row."""
    rows = [flow for flow in table.booked if flow.kind == CAME_IN and flow.carries == WATER and flow.target != "soil"]
    return _sum(raw, rows)


def kind_of(label: str) -> str:
    """Return the kind of a word of `ml_a_day`: one of KINDS, or "" for a word that is none."""
    return TABLE.kind_of(label)


def ways_out() -> dict[str, str]:
    """Return how vapour gets out of a box ("through gaps"), by the word of `ml_a_day`."""
    return TABLE.ways_out
