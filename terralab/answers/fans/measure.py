"""What one fan schedule does to a box, read from its record: air, humidity, wet surfaces, water."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from terralab.answers.common.airs import airs_of, apart
from terralab.answers.common.balance import DRY_HEAD_M, balancing_ml, budget_ml, kept_dry, top_suction_m
from terralab.answers.common.glass import fogged_panes, fogged_words
from terralab.answers.common.humidity_target import hours, humidity, is_day
from terralab.answers.common.surfaces import basking_of
from terralab.answers.common.temperature import heat_of
from terralab.answers.water.misted import hand_ml
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.routine import Fan, Spray
from terralab.describe.seasons import box_in
from terralab.physics.gases import periodic
from terralab.physics.moist_air import density
from terralab.simulation.before_a_run import room_air
from terralab.simulation.places import VISIBLE_FILM
from terralab.simulation.record import Record
from terralab.units import DAY_S

LONGEST_DRY_OUT_H = 24.0


def measured(record: Record, target: HumidityTarget | None, first_day: float, store_ml: float) -> dict[str, Any]:
    """The numbers of one run from `first_day` to its end; `store_ml` is what the soil can give easily.

    Hours are hours a day. `dry_out_h` is the middle of all sprays, None where leaves or front pane do not dry before the
    next spray or within a day, or where nothing is sprayed (`sprays` is then 0).
    """
    days = record.days
    rows = record.rows(first_day, days)
    day = is_day(record, rows, target)
    heat = heat_of(record, rows)
    seen = humidity(record, rows, target)
    front = record.fogged("front")[rows]
    panes = fogged_panes(record, rows)
    airs = airs_of(record, rows, target)
    water = water_ml(record, rows)
    out: dict[str, Any] = {
        "rh_day": seen["day"],
        "rh_night": seen["night"],
        "temperature_day_c": heat.day["mean"],
        "temperature_night_c": heat.night["mean"],
        "night_drop_k": heat.day["mean"] - heat.night["mean"],
        "heat": heat,
        "front_fogged_h": panes["front"].hours,
        "front_fogged_day_h": float(24.0 * (front & day).mean()),
        "fogged_h": {name: one.hours for name, one in panes.items()},
        "fogged_words": fogged_words(panes),
        "airs": airs,
        "apart": {part: {"points": points, "k": k} for part, (points, k) in apart(airs).items()},
        "basking": basking_of(record, rows, target),
        "leaves_wet_h": float(24.0 * _wet(record, "leaves")[rows].mean()),
        **dry_out(record, first_day),
        "water_ml": water,
        "soil_days": store_ml / water if water > 1.0 and not kept_dry(record.box) else None,
        "top_suction_m": top_suction_m(record, rows),
        "moss_share": _moss(record),
        "falling_h": float(24.0 * (_lightness(record)[rows] < 0.0).mean()),
        **exchange(record),
        "course": course(record),
    }
    out["hours"] = hours(record, rows, target) if target is not None else {}
    out["top_dries"] = not kept_dry(record.box) and out["top_suction_m"] >= -DRY_HEAD_M
    out["front_all_day"] = bool(day.any() and front[day].all())
    return out


def water_ml(record: Record, rows: np.ndarray) -> float:
    """Water [ml a day] a schedule costs: the pour that holds the soil, or where the soil is kept dry all that is given.

    Dry soil is not to be held at anything, so there the sprays and the dish's refill are the cost. Sprays count as the
    routine has them: a spray every other day falls three or four times into a week that is looked at.
    """
    if kept_dry(record.box):
        given = budget_ml(record, rows)
        start, end = record.times_s[rows[0] - 1] if rows[0] else 0.0, record.times_s[rows[-1]]
        sprayed = sum(
            spray.amount_ml * sum(start <= day * DAY_S + spray.time_s < end for day in _days_of(spray, end))
            for spray in record.box.routine.sprays
        ) / ((end - start) / DAY_S)
        misted = max(0.0, given["sprayed and misted"] - sprayed) if record.box.routine.mists else 0.0
        return hand_ml(record.box) + misted + given["dish refilled"] + given["poured"]
    return balancing_ml(record, rows)


def _days_of(spray: Spray, end_s: float) -> range:
    """The days of a run on which a spray is given."""
    return range(0, int(end_s // DAY_S) + 1, spray.every_days)


def _film(record: Record, where: str) -> np.ndarray:
    """Water [kg/m2] on "leaves" or on the "front" pane, through which a keeper looks."""
    return record.pane_film("front") if where == "front" else record.film(where)


def _wet(record: Record, where: str) -> np.ndarray:
    """True for the rows with visible water on leaves or front pane."""
    return _film(record, where) > VISIBLE_FILM


def watering_ends(box: Box, first_day: float, days: float) -> list[float]:
    """Times [s] at which a spray of the routine ends, or else a run of a mister, from `first_day` on."""
    out = []
    for day in range(int(first_day), int(days)):
        for spray in box.routine.sprays:
            if day % spray.every_days == 0:
                out.append(day * DAY_S + spray.time_s + 60.0 * spray.over_min)
        if not box.routine.sprays:
            out += [day * DAY_S + off for mist in box.routine.mists for _, off in mist.timer.periods_s()]
    return sorted(out)


def dry_out(record: Record, first_day: float) -> dict[str, Any]:
    """How long leaves and front pane show water after a spray [h], the middle of all sprays; see `measured`."""
    t = record.times_s
    step = t[1] - t[0]
    ends = watering_ends(box_in(record.box, record.season), first_day, t[-1] / DAY_S)
    ends = [end for end in ends if end + 3600.0 < t[-1]]
    out: dict[str, Any] = {"sprays": len(ends)}
    for where in ("leaves", "front"):
        film, wet = _film(record, where), _wet(record, where)
        lasted = []
        for i, end in enumerate(ends):
            until = min(end + LONGEST_DRY_OUT_H * 3600.0, ends[i + 1] if i + 1 < len(ends) else math.inf)
            after = np.flatnonzero((t > end) & (t <= min(until, t[-1])))
            dry = after[~wet[after]]
            if dry.size and dry[0] == after[0]:
                lasted.append(0.0)  # never showed at all
            elif dry.size:
                # between two rows the film is taken to shrink in a straight line
                last, next_ = film[dry[0] - 1], film[dry[0]]
                over = (last - VISIBLE_FILM) / (last - next_)
                lasted.append((t[dry[0] - 1] + over * step - end) / 3600.0)
            elif until <= t[-1]:
                lasted.append(math.inf)  # a run that ends before the surface dries says nothing
        middle = float(np.median(lasted)) if lasted else math.inf
        out[f"dry_out_{where}_h"] = middle if math.isfinite(middle) else None
    both = [out["dry_out_leaves_h"], out["dry_out_front_h"]]
    out["dry_out_h"] = max(both) if None not in both else None
    return out


def steps_of_day(record: Record) -> tuple[list[float], list[float], list[bool]]:
    """Spans [h] of the last day, the air changes an hour in each, and whether a fan runs then.

    A row of the record that a fan shares with its pause is split in two: the pause has the exchange of the pauses
    before and after it, the fan the rest. Only timers can split; a fan on a hygrostat leaves its rows whole.
    """
    end = float(record.times_days[-1])  # a record that goes on from another does not begin at 0
    rows = record.rows(end - 1.0, end)
    step = record.step_s / 3600.0
    rate = record.air_exchanged_kg[rows] / step / record.air_mass_kg
    on = np.zeros(len(rows))
    for fan in record.box.routine.in_season(record.season).fans:
        on = np.maximum(on, _share_on(fan, record.times_s[rows], 3600.0 * step))
    still = on < 1e-6
    rest = np.interp(np.arange(len(rows)), np.flatnonzero(still), rate[still]) if still.any() else np.zeros(len(rows))
    spans, exchange_rates, running = [], [], []
    for share, r, q in zip(on, rest, rate, strict=True):
        if share < 1e-6 or share > 1.0 - 1e-6 or not still.any():
            parts = [(step, q, share > 0.5)]
        else:
            parts = [((1.0 - share) * step, r, False), (share * step, max(0.0, (q - (1.0 - share) * r) / share), True)]
        for span, value, runs in parts:
            spans.append(float(span))
            exchange_rates.append(float(value))
            running.append(bool(runs))
    return spans, exchange_rates, running


def _share_on(fan: Fan, t: np.ndarray, step_s: float) -> np.ndarray:
    """Share of each row's interval in which the fan's timer is on (0 for one on a control, which cannot be known)."""
    if fan.control is not None:
        return np.zeros(len(t))
    end = np.mod(t - 1.0, DAY_S) + 1.0
    start = end - step_s
    return sum((np.clip(np.minimum(end, off) - np.maximum(start, on), 0.0, None) for on, off in fan.timer.periods_s()),
               np.zeros(len(t))) / step_s  # fmt: skip


def exchange(record: Record) -> dict[str, Any]:
    """Air changes an hour (mean, fan resting, fan running) and the mean and highest age of the air [min], last day."""
    spans, rates, running = steps_of_day(record)
    span, rate, runs = np.array(spans), np.array(rates), np.array(running)
    mean = lambda part: float(np.average(rate[part], weights=span[part])) if part.any() else None  # noqa: E731
    age, oldest = periodic([1.0] * len(spans), rates, spans)
    return {
        "air_changes": {"mean": mean(span > 0.0), "resting": mean(~runs), "running": mean(runs)},
        "age_min": 60.0 * age,
        "oldest_min": 60.0 * oldest,
    }


def _lightness(record: Record) -> np.ndarray:
    """How much lighter the air of the box is than the room's, as a share; negative: it falls out below."""
    t, w = room_air(record.box, record.season, record.times_s, record.settings["overrides"])
    outside = np.array([density(a, b) for a, b in zip(t, w, strict=True)])
    inside = np.array([density(a, b) for a, b in zip(record.air_c, record.humidity_ratio, strict=True)])
    return (outside - inside) / outside


def course(record: Record) -> dict[str, list[float]]:
    """The last day by half hours: humidity [%], and whether the front pane shows water (1) or not (0)."""
    days = record.days
    rows = record.rows(days - 1, days).reshape(48, -1)
    rh = record.humidity_shown[rows].mean(axis=1)
    wet = _wet(record, "front")[rows].any(axis=1)
    return {"rh": [round(float(x), 1) for x in rh], "front": [int(x) for x in wet]}


def _moss(record: Record) -> float | None:
    """Water in a moss cover at the end as a share of that at the start; None without moss."""
    if len(record.box.enclosure.porous_layers) == len(record.box.enclosure.layers):
        return None
    cells = record.layer_of_cell == 0
    held = record.cell_water_m[:, cells].sum(axis=1)
    return float(held[-1] / held[0])
