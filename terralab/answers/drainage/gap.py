"""Does water below make the air damp? Humidity against the gap under the mesh, with the routine and with nothing given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.answers.common.balance import top_stays_moist
from terralab.answers.drainage.bottoms import DAYS, SEEN_DAYS, gross_ml_per_day, layer_of, with_bottom
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.seasons import room_of
from terralab.describe.system import speaks_us
from terralab.describe.trial import Trial
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many
from terralab.units import DAY_S

GAPS_CM = (4.0, 3.0, 2.0, 1.5, 1.0, 0.5, 0.0)


@dataclass(frozen=True)
class GapRow:
    """One gap under the mesh, and the box some weeks later; `gap_cm` None: the same box without a layer, on a sealed floor.

    `gap_cm` is that of the first day. Humidity [%] and air temperature [deg C] are means of the last week, day and night.
    `vapour_ml_per_day` and `contact_ml_per_day` rise into the soil, gross, over all weeks. `soil_l`: water in
    the soil at the end. `top_moist`: its top 2 cm stay moist in the last week, by the limit of `balance.top_stays_moist`.
    """

    gap_cm: float | None
    humidity: float
    air_c: float
    vapour_ml_per_day: float
    contact_ml_per_day: float
    soil_l: float
    top_moist: bool


@dataclass(frozen=True)
class GapAndHumidity:
    """What `gap_and_humidity` found: rows by falling gap, the last one without a layer.

    `given`: with the routine as described. `nothing_given`: no pour, no spray, no mist. `reach_cm`: from here the stones lift
    water to the soil. `room`: mean humidity [%] and temperature [deg C] of the room. `us`: the box speaks in US units.
    """

    name: str
    days: int
    given: tuple[GapRow, ...]
    nothing_given: tuple[GapRow, ...]
    reach_cm: float
    room: tuple[float, float]
    us: bool

    def spread(self, rows: str = "given") -> float:
        """Points of humidity between the dampest and the driest gap, of the rows "given" or "nothing_given"."""
        seen = [row.humidity for row in getattr(self, rows) if row.gap_cm is not None]
        return max(seen) - min(seen)


def gap_and_humidity(
    box: Box, days: int = DAYS, season: str = "now", gaps_cm: Sequence[float] = GAPS_CM
) -> GapAndHumidity:
    """Humidity and temperature of the air for `gaps_cm` (those that the layer is deep enough for), `days` later.

    Every row is a run of typical numbers that differs from the next in the level of the first day alone; nobody siphons.
    The same again with nothing poured, sprayed or misted. A box without a layer gets the usual one. Raises TerralabError
    where no layer fits, RunError where a run fails.
    """
    needs_box(box, "gap_and_humidity")
    layer = layer_of(box)
    gaps = sorted({gap for gap in gaps_cm if gap <= layer.depth_cm}, reverse=True)
    bottoms = [with_bottom(box, replace(layer, level_cm=layer.depth_cm - gap)) for gap in gaps]
    bottoms.append(with_bottom(box, None))
    trials = [_routine(one, given) for given in (True, False) for one in bottoms]
    jobs = [Job(trial, days, season, accuracy="preview", record_every_min=60) for trial in trials]
    records = run_many(jobs)
    rows = [_row(gap, record) for gap, record in zip([*gaps, None] * 2, records, strict=True)]
    first, half = records[0], len(bottoms)
    return GapAndHumidity(
        box.name, days, tuple(rows[:half]), tuple(rows[half:]), first.fringe_cm, _room(box, season), speaks_us(box)
    )


def _routine(box: Box, given: bool) -> Box:
    none = {"siphons": ()} if given else {"siphons": (), "pours": (), "sprays": (), "mists": ()}
    return Trial.of(box, routine=replace(box.routine, **none))


def _row(gap: float | None, record: Record) -> GapRow:
    rows = record.rows(max(0.0, record.days - SEEN_DAYS), record.days)
    return GapRow(
        gap_cm=gap,
        humidity=float(record.humidity_shown[rows].mean()),
        air_c=float(record.air_c[rows].mean()),
        vapour_ml_per_day=gross_ml_per_day(record, "vapour"),
        contact_ml_per_day=gross_ml_per_day(record, "contact"),
        soil_l=float(record.series["soil water ml"][-1]) / 1000.0,
        top_moist=bool(top_stays_moist(record, rows)),
    )


def _room(box: Box, season: str) -> tuple[float, float]:
    """Humidity [%] and temperature [deg C] of the room, means of a day."""
    room = room_of(box, season)
    hours = np.arange(0.0, DAY_S, 600.0)
    return float(np.mean(room.humidity.at(hours))), float(np.mean(room.temperature.at(hours)))
