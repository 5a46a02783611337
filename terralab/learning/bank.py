"""Runs of many members of a logged box, and what is kept of each: what the sensors would have read, and what water did."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.errors import RunError, TerralabError
from terralab.learning.fit import EXCHANGE, LOSS, POUR
from terralab.learning.logged_box import LoggedBox
from terralab.learning.readings import TEMPERATURE, WARM_UP_H, Channel
from terralab.learning.unknowns import Unknowns
from terralab.logs.log import BOX, HIDE, HIGH, LOW
from terralab.simulation.balancing import needed_ml
from terralab.simulation.record import Record
from terralab.simulation.simulate import run_many
from terralab.units import HOUR_S

BATCH = 16  # runs begun together, after which progress is told and a stop is heard
MOST_FAILED = 4  # at most one of so many members may fail: the rest would not be a fair sample
HOPELESS = 64  # members after which a sample that cannot be fair is given up


@dataclass(frozen=True, eq=False)
class Runs:
    """Members that ran. Arrays go by member, then by hour of the window.

    `z` and `values`: their unknowns. `read`: by channel, what a perfect sensor there would have read. `lost_ml`: water that
    left as vapour in each hour. `gap_cm`: air under the mesh (NaN without a drainage layer). `soil_ml`: water in the soil.
    `loss`, `pour` [ml a day] and `exchange` [air changes an hour]: the results over what comes after the warm-up. `kept`: which members they
    are of those asked for. `failed`: how many could not be run.
    """

    z: np.ndarray
    values: np.ndarray
    read: tuple[np.ndarray, ...]
    lost_ml: np.ndarray
    gap_cm: np.ndarray
    soil_ml: np.ndarray
    results: dict[str, np.ndarray]
    kept: np.ndarray
    failed: int = 0

    @property
    def size(self) -> int:
        """How many members there are."""
        return len(self.kept)


def run_members(
    logged: LoggedBox,
    unknowns: Unknowns,
    z: np.ndarray,
    channels: Sequence[Channel],
    seen: Callable[[int], None] | None = None,
) -> Runs:
    """Run a member for each row of `z`; those that cannot be run are left out.

    Raises RunError where more than a quarter fail. `seen` is called with how many are done.
    """
    values = unknowns.values(z)
    rows = [dict(zip(unknowns.keys, map(float, row), strict=True)) for row in values]
    found = run_values(logged, rows, channels, seen)
    return replace(found, z=z[found.kept], values=values[found.kept])


def run_values(
    logged: LoggedBox,
    rows: Sequence[Mapping[str, float]],
    channels: Sequence[Channel],
    seen: Callable[[int], None] | None = None,
) -> Runs:
    """Likewise for members by the values of their unknowns; z and values stay empty."""
    kept: list[int] = []
    found: list[_Kept] = []
    whys: list[str] = []
    for first in range(0, len(rows), BATCH):
        part = range(first, min(first + BATCH, len(rows)))
        jobs, makes = [], []
        for i in part:
            try:
                jobs.append(logged.job(rows[i]))
                makes.append(i)
            except TerralabError as error:
                whys.append(str(error))
        for i, record in zip(makes, run_many(jobs, failed="error"), strict=True):
            if isinstance(record, Record):
                kept.append(i)
                found.append(_Kept.of(record, logged, channels))
            else:
                whys.append(getattr(record, "why", str(record)))
        if len(whys) > max(HOPELESS, len(rows)) // MOST_FAILED:
            break
        if seen is not None:
            seen(part.stop)
    if len(whys) > len(rows) // MOST_FAILED:
        raise RunError(
            f"{logged.box.name}: {len(whys)} of {len(kept) + len(whys)} members could not be run in the logged room, so nothing "
            f"can be learned fairly. One of the reasons: {whys[0]} Check the description for extreme values."
        )
    stack = lambda name: np.array([getattr(one, name) for one in found])  # noqa: E731
    nothing = np.empty((len(kept), 0))
    return Runs(
        nothing,
        nothing,
        tuple(np.array([one.read[c] for one in found]) for c in range(len(channels))),
        stack("lost_ml"),
        stack("gap_cm"),
        stack("soil_ml"),
        {name: np.array([one.results[name] for one in found]) for name in found[0].results},
        np.array(kept),
        len(whys),
    )


@dataclass(frozen=True, eq=False)
class _Kept:
    """What is kept of one run."""

    read: tuple[np.ndarray, ...]
    lost_ml: np.ndarray
    gap_cm: np.ndarray
    soil_ml: np.ndarray
    results: dict[str, float]

    @classmethod
    def of(cls, record: Record, logged: LoggedBox, channels: Sequence[Channel]) -> _Kept:
        per = round(HOUR_S / record.step_s)
        n = logged.window.ends - logged.window.begins
        mean = lambda series: series[1:].reshape(n, per).mean(axis=1)  # noqa: E731
        total = lambda series: series[1:].reshape(n, per).sum(axis=1)  # noqa: E731
        seen: dict[str, np.ndarray] = {}
        for one in channels:
            if one.name not in seen:
                seen[one.name] = mean(_at(record, one))
        after = np.arange(WARM_UP_H * per + 1, len(record.times_h))
        lost = 1000.0 * total(record.arrow_kg("vapour_out"))
        days = (n - WARM_UP_H) / 24.0
        changes = float(record.air_exchanged_kg[after].sum()) / record.air_mass_kg / (24.0 * days)
        soil = 1000.0 * record.stored_kg["soil"][per::per]
        gap = record.gap_below_mesh_cm[per::per] if record.has_reservoir else np.full(n, np.nan)
        results = {
            LOSS: float(lost[WARM_UP_H:].sum()) / days,
            POUR: max(0.0, needed_ml(record, after)),
            EXCHANGE: changes,
        }
        return cls(tuple(seen[one.name] for one in channels), lost, gap, soil, results)


def _at(record: Record, channel: Channel) -> np.ndarray:
    """What a perfect sensor would read at a place, row by row."""
    zone = zone_at(record, channel.place)
    if channel.quantity == TEMPERATURE:
        return record.air_c if zone is None else record.zone_c(zone)
    return record.humidity_shown if zone is None else record.zone_humidity(zone)


def zone_at(record: Record, place: str) -> str | None:
    """Return the air of a record that a sensor hangs in, None for all of it mixed; raises TerralabError for a hide that is not there."""
    names = record.zone_names
    if place == HIDE:
        if "hide" not in names:
            raise TerralabError(
                "The log has a sensor in a hide, but no hide is described. Add it, or call the sensor's place box low."
            )
        return "hide"
    if place == BOX or "whole" in names:
        return None
    return {LOW: "below", HIGH: "above"}[place]
