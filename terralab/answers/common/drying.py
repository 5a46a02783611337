"""When a run dries out: the top, the reach of the roots, the layer below. What is too wet is in `limits`.

A day here is counted from the record's first row, and is that of the first row at which the limit is passed. It is inf
where that does not happen within the run, NaN where there is no such thing (no plants, no drainage layer, no moss).

The top is dry at 1 m of suction (100 hPa), for every kind of plant. Down to there a drained layer of peat, coir or organic soil
gives its water at all depths alike, and from there on its top runs ahead (`reference/drying.md`). Roots are judged by the limits of
their own kind (`terralab material PLANT`), over their own depth. Only lack of water counts here, not lack of air.

>>> days_span([8.0, 10.0, 12.0, math.inf], 30)
(8.0, 10.9, None)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping

import numpy as np

from terralab.answers.common.balance import DRY_HEAD_M, TOP_CM, mean_suction_m, root_zone_cm
from terralab.physics.roots import dry_target
from terralab.simulation.before_a_run import held_at
from terralab.simulation.record import Record
from terralab.uncertainty.spread import middle_range
from terralab.units import DAY_S

THIRSTY, WILTING = 0.95, 0.5  # share of their wish that the roots can still draw: choices of this project
EMPTY_M = 1.0e-4  # m of water over the floor: a layer with less counts as empty
SOONEST = 1.0e-3  # days: what is dry from the first row on
PACE_DAYS = 7.0  # days at the end of a run by which `days_in_store` goes on
Days = tuple[float | None, float | None, float | None]


def top_dry_day(record: Record) -> float:
    """Return the day on which the top 2 cm first suck harder than 1 m; a moss cover counts as the top."""
    return _dry_day(record, 0.0)


def mix_dry_day(record: Record) -> float:
    """Return the day on which the upper 2 cm of the mix itself first suck harder than 1 m, under a moss cover."""
    return _dry_day(record, root_zone_cm(record)[0])


def thirst_day(record: Record) -> float:
    """Return the day on which dry soil first keeps a twentieth of the leaves' wish from the roots; NaN without plants."""
    return _short_day(record, THIRSTY)


def wilting_day(record: Record) -> float:
    """Return the day on which dry soil first keeps half of the leaves' wish from the roots; NaN without plants."""
    return _short_day(record, WILTING)


def empty_day(record: Record) -> float:
    """Return the day on which the drainage layer first holds no water; NaN without one."""
    return _first_day(record, record.reservoir_water_m <= EMPTY_M) if record.has_reservoir else math.nan


#: By name, as `ensemble.sampled` takes its measures. "top" and "mix" are the same where no moss covers the mix.
MEASURES: Mapping[str, Callable[[Record], float]] = {
    "top": top_dry_day,
    "mix": mix_dry_day,
    "thirst": thirst_day,
    "wilting": wilting_day,
    "empty": empty_day,
}


def days_span(values: Iterable[float], run_days: float) -> Days:
    """Return (soonest, middle, latest) of the members' days, the central 80 %; an end beyond the run of `run_days` is None.

    A member that does not get there within the run is not left out: it is counted as later than all that do. So the range
    is taken of one over the days, where "never" is nought. Members for which there is no such thing (NaN) are left out;
    with none left all three are None.
    """
    days = np.array([x for x in values if not math.isnan(x)], float)
    if not len(days):
        return None, None, None
    span = middle_range(1.0 / np.maximum(days, SOONEST))
    return tuple(None if x <= 0.0 or 1.0 / x > run_days else round(1.0 / x, 1) for x in reversed(span))


def root_share(record: Record) -> np.ndarray | None:
    """Return the share of their leaves' wish [-] that dry soil lets the roots draw, in every row; None without plants.

    The mean over the root zone of `physics.roots.dry_target`, with the limits of the run itself.
    """
    limits = record.root_limits_m
    if limits is None:
        return None
    # suction moves slowly: where no head of a row lies under the first limit, all can be drawn
    head = np.minimum(record.head_m, 0.0)
    share = np.ones(head.shape)
    slowed = head < limits[0]
    share[slowed] = [dry_target(h, *limits) for h in head[slowed]]
    return record.mean_over(share, *root_zone_cm(record))


def easy_store_ml(record: Record, row: int = 0) -> float:
    """Water [ml] that the soil of a row gives before it sucks harder than 1 m, its drainage layer not counted.

    By the typical curves of its materials, whatever was drawn for the run.
    """
    left = held_at(DRY_HEAD_M, record.box.enclosure)[record.layer_of_cell]
    held = record.cell_water_m[row] / record.cell_m
    return float(1e6 * record.floor_m2 * np.sum(np.clip(held - left, 0.0, None) * record.cell_m))


def days_in_store(record: Record) -> float:
    """Return in how many days more the soil's easy water is spent at the pace of the run's last week [d]; inf if it loses none.

    Plain arithmetic, for what lies beyond a run: all the easy water over the loss a day. By then the top is dry at the
    latest, if nothing changes. Peat and coir, which dry evenly, come within a few days of it; the top of bark or sand
    dries sooner, and may take half as long.
    """
    first = int(np.searchsorted(record.times_days, record.times_days[-1] - PACE_DAYS))
    water = record.cell_water_m.sum(axis=1)
    passed = (record.times_s[-1] - record.times_s[first]) / DAY_S
    a_day = 1e6 * record.floor_m2 * float(water[first] - water[-1]) / passed
    return easy_store_ml(record, -1) / a_day if a_day > 0.0 else math.inf


def _dry_day(record: Record, from_cm: float) -> float:
    every = np.arange(len(record.times_days))
    return _first_day(record, mean_suction_m(record, every, from_cm, from_cm + TOP_CM) >= -DRY_HEAD_M)


def _short_day(record: Record, share: float) -> float:
    drawn = root_share(record)
    return math.nan if drawn is None else _first_day(record, drawn < share)


def _first_day(record: Record, passed: np.ndarray) -> float:
    """Days from the first row to the first one at which `passed` holds; inf where none does."""
    days = record.times_days - record.times_days[0]
    return float(days[np.argmax(passed)]) if passed.any() else math.inf
