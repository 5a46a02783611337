"""What weighing the watering can tell: what is poured is what leaves, plus what the stores in the box gain meanwhile.

The bottle is weighed to the gram, but the soil may grow wetter or drier the while, and its keeper knows that by feel
only. So the box is run with several pours, and what each leaves behind is looked at as a keeper can: the soil by
feel, the water below the mesh with a ruler on the glass, what is siphoned on the scale, a light box on the scale
itself. Where a different pour leaves marks that are too faint to be told, the pour that balances is not told either.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping

import numpy as np

from terralab import materials
from terralab.answers.common.balance import balancing_ml, with_pour
from terralab.answers.common.ensemble import EnsembleResults, settled_rows
from terralab.answers.common.measure_next import WITH_THE_BOX
from terralab.answers.drainage.weight import weight
from terralab.describe.box import Box
from terralab.errors import DescriptionError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many

#: The pours that are run: the middle one, and what lies off it by these shares of the range's width.
OFF = (-1.5, -0.75, -0.25, 0.0, 0.25, 0.75, 1.5)
LEAST_WIDTH = 0.1  # of the middle pour, so that pours that hardly differ can still be told apart in a run
DAY_H = 24.0
BOTTLE = ("watering for three days", "watering for two weeks")


def error_of_weighing(box: Box, sample: EnsembleResults, season: str = "now") -> Mapping[str, np.ndarray]:
    """How far each way of weighing may be off [ml a day, one standard deviation], member by member of `sample`.

    By the names of the table `measurements`; a box too heavy for a kitchen scale has no entry for weighing it. Infinite where a pour leaves no mark that could be seen. Empty where the range has no width or the box cannot
    be run.
    """
    low, middle, high = sample.range_of("pour")
    if not low < high:
        return {}
    width = max(high - low, LEAST_WIDTH * middle, 1.0)
    pours = np.unique([max(0.0, middle + share * width) for share in OFF])
    days = round(max(_hours(entry) for entry in BOTTLE) / DAY_H)
    jobs = {}
    for ml in pours:
        with contextlib.suppress(DescriptionError):  # more than the box holds
            jobs[ml] = Job(with_pour(box, float(ml)), days, season, accuracy="preview", record_every_min=60.0)
    runs = run_many(list(jobs.values()), failed="none")
    kept = [(ml, record) for ml, record in zip(jobs, runs, strict=True) if record is not None]
    if len(kept) < 2:
        return {}
    pours = np.array([ml for ml, _ in kept])
    records = [record for _, record in kept]
    at = int(np.argmin(np.abs(pours - middle)))
    balance = balancing_ml(records[at], settled_rows(records[at]))
    # a member that needs less than the middle gets too much of it, as the box of the tables does of a larger pour
    off = middle - sample.results["pour"]
    ways = [*BOTTLE, WITH_THE_BOX] if weight(box).total <= _typical("kitchen scale", "bears") else BOTTLE
    return {entry: _error(entry, records, pours, off + balance, sample.results["pour"]) for entry in ways}


def _error(entry: str, records: list[Record], pours: np.ndarray, like: np.ndarray, need: np.ndarray) -> np.ndarray:
    """The error of one way [ml a day] for members whose stores change like those of a run with the pour `like`."""
    days = round(_hours(entry) / DAY_H)
    marks = _marks(records, days, by_weight=entry == WITH_THE_BOX)
    apart = np.diff(pours) * days
    with_unit = sum((np.diff(seen) / apart / error) ** 2 for seen, error in marks if error > 0.0)
    with np.errstate(divide="ignore"):
        unseen = 1.0 / (days * np.sqrt(with_unit))
    # a little less dries the soil, which is felt poorly, a little more is seen below: each counts between its own two pours
    at = np.searchsorted(pours, np.where(np.isfinite(like), like, pours[0]), "right") - 1
    unseen = unseen[np.clip(at, 0, len(unseen) - 1)]
    own = 0.5 * materials.get("measurements", entry).typical("relative_error") * np.maximum(np.nan_to_num(need), 0.0)
    return np.hypot(unseen, own)


def _marks(records: list[Record], days: int, by_weight: bool) -> list[tuple[np.ndarray, float]]:
    """What a keeper sees of the stores after some days: (gain in each run [ml], one standard deviation [ml])."""
    row = round(days * DAY_H)
    stores = [record.stored_kg for record in records]
    gain = lambda names: np.array([1000.0 * sum(s[n][row] - s[n][0] for n in names) for s in stores])  # noqa: E731
    caught = np.array(
        [1000.0 * sum(float(r.moved_kg(n)[: row + 1].sum()) for n in ("siphoned", "drained_away")) for r in records]
    )
    scale = 0.5e3 * _typical("kitchen scale", "error")  # a gram is a millilitre
    if by_weight:
        return [(gain(list(stores[0])) + caught, scale)]
    soil = 1000.0 * float(stores[0]["soil"][0])
    marks = [(gain(["soil"]), 0.5 * _typical("soil judged by feel", "share") * soil)]
    drainage = records[0].box.enclosure.drainage
    if drainage is None:
        return [*marks, (caught, scale)]
    a_metre_ml = 1e6 * records[0].floor_m2 * drainage.voids
    read = 0.5e-3 * _typical("water level on the glass", "error")
    return [*marks, (gain(["reservoir"]) + caught, read * a_metre_ml)]


def _typical(entry: str, prop: str) -> float:
    return materials.get("defaults", entry).typical(prop)


def _hours(entry: str) -> float:
    return materials.get("measurements", entry).typical("hours")
