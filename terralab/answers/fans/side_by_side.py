"""All schedules in the same draws of everything uncertain, so that their differences are known and not their levels only."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from terralab.answers.common.balance import with_pour
from terralab.answers.common.ensemble import SETTLE_DAYS, Course, measured, settled
from terralab.answers.common.fair_rows import ROWS_MIN, fair_rows_min
from terralab.answers.common.glass import fogged_panes
from terralab.answers.common.humidity_target import hours, humidity
from terralab.answers.common.temperature import heat_of
from terralab.answers.fans.alike import MEASURES, Draws
from terralab.answers.fans.measure import dry_out, water_ml
from terralab.answers.fans.schedules import Schedule
from terralab.describe.box import HumidityTarget
from terralab.simulation.record import Record
from terralab.uncertainty import ensemble
from terralab.uncertainty.sampling import SEED

MEMBERS = (
    8  # draws, at most; they tell how far two schedules differ, which varies far less than what each of them gives
)
GO_ON_DAYS = 2  # the air follows a fan within hours


def drawn_side_by_side(
    tried: Sequence[Schedule], ml: float, target: HumidityTarget | None, members: int, seen: Callable[[int], None]
) -> dict[str, Draws]:
    """Each of `alike.MEASURES` for every draw of every schedule, with the pour `ml` [ml a day] in the room now.

    The draws settle once for each fan, then go on for two days under each schedule. `seen(done)` is called with the
    draws done so far. A draw that could not be run is NaN.
    """
    out: dict[str, Draws] = {}
    families: dict[tuple, list[Schedule]] = {}
    for one in tried:
        keys = tuple(found.key for found in ensemble(one.box, 2, "now", SEED).inputs)
        families.setdefault((keys, tuple(fan.name for fan in one.box.routine.fans)), []).append(one)
    for family in families.values():
        found = ensemble(family[0].box, members, "now", SEED)
        starts = settled(with_pour(family[0].box, ml), SETTLE_DAYS, "now", found)
        for one in family:
            course = Course(starts=starts)
            kept: list[dict[str, float]] = []
            measures = {
                "": lambda record, kept=kept: kept.append(_seen(record, target)) or 0.0,
            }
            sample = measured(
                [with_pour(one.box, ml)] * members,
                GO_ON_DAYS,
                measures,
                "now",
                found,
                fair_rows_min(one.box, ROWS_MIN[1]),
                course=course,
            )  # type: ignore[arg-type]
            ran = np.isfinite(sample.results[""])
            drawn = {name: np.full(members, np.nan) for name in MEASURES}
            for name in MEASURES:
                drawn[name][ran] = [numbers[name] for numbers in kept]
            out[one.name] = drawn
            seen(members * len(out))
    return out


def _seen(record: Record, target: HumidityTarget | None) -> dict[str, float]:
    """What of a run the measures need, from where it went on."""
    end = float(record.times_days[-1])
    begin = end - GO_ON_DAYS
    rows = record.rows(begin, end)
    air, heat = humidity(record, rows, target), heat_of(record, rows)
    seen = {
        "rh_day": air["day"],
        "rh_night": air["night"],
        "temperature_day_c": heat.day["mean"],
        "temperature_night_c": heat.night["mean"],
        "hours": {} if target is None else hours(record, rows, target),
        "front_fogged_h": fogged_panes(record, rows)["front"].hours,
        "water_ml": water_ml(record, rows),
        **dry_out(record, begin),
    }
    return {name: read(seen) for name, read in MEASURES.items()}
