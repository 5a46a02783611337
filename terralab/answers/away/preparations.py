"""What can be done before an absence or during it, each as the events of a run, with the amounts worked out by runs of the typical box."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from terralab.answers.away.absence import (
    BEFORE_D,
    LEAVES_D,
    NOTHING,
    TANK,
    TOP_DRY,
    WILTING,
    Absence,
    Branch,
    Plan,
    end_rows,
    refills,
    soil_lost_ml,
)
from terralab.answers.common.balance import kept_dry, roots_have_air
from terralab.answers.common.limits import OUT_OF_BAND, WATER_AT_MESH, WATER_IN_SOIL, limits_of
from terralab.answers.common.rounding import jug, jug_down, jug_up
from terralab.answers.common.temperature import heat_of, keeps_temperature, why_refused
from terralab.answers.common.words import ml as ml_words
from terralab.answers.drainage.sizing import LEAST_DRAWN_CM, LOWEST_SIPHON_CM, clear_cm
from terralab.answers.fails.flood import tank_room_ml
from terralab.answers.fans.fresh_air import TOO_LITTLE, grows_stuffy
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.hot import hot_at_lid, hot_words
from terralab.errors import RunError
from terralab.simulation.record import Record
from terralab.units import DAY_S

# Minutes that each takes of somebody's time: choices, to rank by.
FEW_MIN, SOME_MIN, SHOP_MIN, VISIT_MIN = 5, 15, 45, 30
COVERED = (0.5, 0.75, 0.9)  # shares of the lid that are tried; never all of it, since animals breathe
PORTION_MM, MOST_PORTIONS, APART_H, FIRST_H = 2.0, 8, 1.25, 8.0  # a soak goes down in portions (choices)
SOAK_MM = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)  # of water over the soil that are tried
LEAST_MM = 0.1  # less is not worth a pour
WATCHED_D = 3  # days after a soak in which its water is watched
EVENING_D = 21.0 / 24.0
VISIT_H = 10.0
TANK_MARGIN = 1.2  # a tank lasts a fifth longer than the absence


class Prep(StrEnum):
    """What is done."""

    TOP_UP = "fill dish and tanks"
    SOAK = "soak the soil"
    SIPHON = "draw off the water below"
    FILL = "fill the layer below"
    COVER = "cover the lid"
    TANK = "a larger tank"
    VISIT = "a helper's visit"


@dataclass(frozen=True)
class Visit:
    """A helper's visit: on which day of the absence, counted from 1, and how much goes onto the soil [ml]."""

    day: int
    ml: float


@dataclass(frozen=True)
class Preparation:
    """One thing that can be done: how long it takes somebody [min], its events, and its amounts by name.

    `refused`: why it may not be done, as a clause; "" where it may be tried.
    """

    kind: Prep
    minutes: float
    plan: Plan = NOTHING
    amounts: dict[str, float] = field(default_factory=dict)
    visits: tuple[Visit, ...] = ()
    refused: str = ""


def visits_on(absence: Absence, days: Sequence[int]) -> tuple[Visit, ...]:
    """A visit on each of these days, with what the typical soil lost since the one before, rounded as it is measured."""
    out, watered = [], 0.0
    for day in days:
        ml = 0.0 if kept_dry(absence.box) else jug(soil_lost_ml(absence.alone, _at(day) - watered))
        if ml < _least_ml(absence.box):
            ml = 0.0  # little enough to wait for the next visit
        else:
            watered = _at(day)
        out.append(Visit(day, ml))
    return tuple(out)


def _at(day: int) -> float:
    """The hour of a visit in days since leaving."""
    return day - 1 + VISIT_H / 24.0


def visits_plan(box: Box, visits: Sequence[Visit]) -> Plan:
    """What helpers do: they pour, and fill the dish and the tanks."""
    events: list[Event] = []
    for visit in visits:
        at = LEAVES_D + _at(visit.day)
        events += [Event(at, None, {"pour": f"{visit.ml:g} ml"})] if visit.ml > 0.0 else []
        events += refills(box, at)
    return Plan(during=tuple(events))


def topped_up(box: Box) -> Preparation | None:
    """The dish and the tanks filled in the evening before; None where there are none."""
    fill = refills(box, BEFORE_D + EVENING_D)
    return Preparation(Prep.TOP_UP, FEW_MIN, Plan(before=fill)) if fill else None


def preparations(absence: Absence, base: Branch, topped: Branch, asked: Sequence[Visit]) -> Iterator[Preparation]:
    """What else can be done for this box, the least trouble first.

    `base`: as it would go with the visits `asked`; `topped`: the same with dish and tanks filled in the evening before.
    """
    box, plan = absence.box, base.plan
    yield from _cover(absence, base)
    if not kept_dry(box) and box.start.soil == "dry":
        yield Preparation(
            Prep.SOAK, SOME_MIN, refused="dry soil takes days to wet: soak it well before (terralab soak)"
        )
    elif not kept_dry(box):
        ml = _soak_ml(absence, plan)
        if ml > 0.0:
            portions = _portions(box, ml)
            events = Plan(before=soak_events(ml, portions))
            yield Preparation(Prep.SOAK, SOME_MIN, events, {"ml": ml, "portions": portions})
    yield from _below(absence, base)
    yield from _tanks(absence, base)
    if not asked:
        visits = visits_on(absence, visit_days(topped, absence.days))
        if visits:
            filled = topped_up(box)
            events = visits_plan(box, visits) + (NOTHING if filled is None else filled.plan)
            yield Preparation(Prep.VISIT, VISIT_MIN * len(visits), events, {"visits": len(visits)}, visits)


def visit_days(topped: Branch, days: int) -> tuple[int, ...]:
    """The days on which a helper comes, evenly spread: in time for the soil in nine of ten draws, for dish and tanks in all.

    One in the middle where nothing runs dry.
    """
    if days < 2:
        return ()
    # nobody goes without water to drink: there every draw counts
    empty = float(topped.first(topped.empties).min()) if topped.empties else math.inf
    soil = topped.soonest((TOP_DRY, WILTING), days)
    soil = days if soil < 1.0 else soil  # what is dry as they leave is no work for a helper
    reach = max(1.0, math.floor(min(soil, empty)))
    count = min(days - 1, max(1, math.ceil(days / reach - 1e-9) - 1))
    step = days / (count + 1)
    return tuple(dict.fromkeys(max(1, round(step * (k + 1))) for k in range(count)))


def soak_events(ml: float, portions: float) -> tuple[Event, ...]:
    """A soak in portions over the day before leaving."""
    each = ml / portions
    return tuple(
        Event(BEFORE_D + (FIRST_H + APART_H * k) / 24.0, None, {"pour": f"{each:.3f} ml"}) for k in range(int(portions))
    )


def _portions(box: Box, ml: float) -> float:
    return float(min(MOST_PORTIONS, max(1, math.ceil(ml / (1000.0 * PORTION_MM * box.enclosure.soil_area_m2) - 1e-9))))


def _least_ml(box: Box) -> float:
    return 1000.0 * LEAST_MM * box.enclosure.soil_area_m2


def _soak_ml(absence: Absence, plan: Plan) -> float:
    """The most that the soil and the layer take the day before, and never more than the absence uses up.

    The water below stays clear of the mesh, none stands on the soil, and the roots keep their air. 0 where nothing does.
    """
    box = absence.box
    area = 1000.0 * box.enclosure.soil_area_m2
    most = soil_lost_ml(absence.alone, absence.days)
    if most < _least_ml(box):
        return 0.0
    before = absence.typical(plan, WATCHED_D)

    def takes(ml: float) -> bool:
        soaked = Plan(before=soak_events(ml, _portions(box, ml)))
        try:
            return _room_left(box, absence.typical(plan + soaked, WATCHED_D), before)
        except RunError:
            return False

    good = 0.0
    for mm in SOAK_MM:
        ml = min(mm * area, most)
        if not takes(ml):
            between = 0.5 * (good + ml)
            good = between if good and takes(between) else good
            break
        good = ml
        if ml >= most:
            break
    ml = jug_down(good)
    return ml if ml >= _least_ml(box) else 0.0


def _room_left(box: Box, after: Record, before: Record) -> bool:
    """Whether water stays clear of the mesh and off the soil, and the roots have air as before."""
    if box.enclosure.drainage is not None:
        gap = float(after.gap_below_mesh_cm.min())
        if gap < least_gap_cm(box) - 1e-6 and gap < float(before.gap_below_mesh_cm.min()) - 0.05:
            return False
    if math.isfinite(limits_of(after).first_h(WATER_IN_SOIL)):
        return False
    rows = end_rows(after)[12:]
    return roots_have_air(after, rows) or not roots_have_air(before, rows)


def least_gap_cm(box: Box) -> float:
    """Air that is left under the mesh [cm]: what must stay clear, and what the routine's own siphon waits for."""
    own = [s.when_gap_below_cm for s in box.routine.siphons if s.when_gap_below_cm is not None]
    return max([clear_cm(box), *own])


def _cover(absence: Absence, base: Branch) -> Iterator[Preparation]:
    """The lid covered further, where neither heat nor sun forbids it: as far as brings the typical air nearest the band."""
    box = absence.box
    lids = [
        (number, o) for number, o in enumerate(box.enclosure.openings, 1) if o.wall == "lid" and o.covered < COVERED[-1]
    ]
    if not lids:
        return
    if hot_at_lid(box):
        yield Preparation(Prep.COVER, FEW_MIN, refused=f"the mesh under or around {hot_words(box)} stays open")
        return
    if box.room.sun is not None:
        yield Preparation(
            Prep.COVER, FEW_MIN, refused="sun falls on the glass, and a closer box gets hot within minutes"
        )
        return
    before, why, best = heat_of(base.record, end_rows(base.record, absence.days)), "", None
    for share in COVERED:
        changes = {f"enclosure.openings.{number}.covered": share for number, o in lids if o.covered < share}
        if not changes:
            continue
        plan = Plan(during=(Event(LEAVES_D, None, changes),))
        try:
            record = absence.typical(base.plan + plan, absence.days)
        except RunError:
            continue
        heat = heat_of(record, end_rows(record))
        if not keeps_temperature(heat, before):
            why = why or f"with {100 * share:.0f} % covered {why_refused(heat, before)}"
            continue
        if grows_stuffy(record, base.record):
            why = why or f"with {100 * share:.0f} % covered {TOO_LITTLE}"
            continue
        out = limits_of(record).share(*OUT_OF_BAND)
        if best is None or (out, soil_lost_ml(record, absence.days)) < best[0]:
            best = (out, soil_lost_ml(record, absence.days)), share, plan
    if best is not None:
        yield Preparation(Prep.COVER, FEW_MIN, best[2], {"share": best[1]})
    elif why:
        yield Preparation(Prep.COVER, FEW_MIN, refused=why)


def _below(absence: Absence, base: Branch) -> Iterator[Preparation]:
    """The layer below: drawn off where its water stands too near the mesh, or filled through the tube where there is room."""
    box = absence.box
    d = box.enclosure.drainage
    if d is None:
        return
    gap = float(absence.typical_home.gap_below_mesh_cm[-1])
    nearest = float(base.record.gap_below_mesh_cm[: end_rows(base.record, absence.days)[-1] + 1].min())
    lowest = min(LOWEST_SIPHON_CM, 0.5 * d.depth_cm)
    if min(gap, nearest) < least_gap_cm(box) and d.depth_cm - min(gap, nearest) > lowest + 0.1:
        plan = Plan(before=(Event(BEFORE_D + EVENING_D, None, {"siphon": f"{lowest:g} cm"}),))
        yield Preparation(Prep.SIPHON, SOME_MIN, plan, {"level_cm": lowest})
        return
    room_cm = gap - least_gap_cm(box)
    if kept_dry(box) or box.enclosure.tube is None or room_cm < LEAST_DRAWN_CM:
        return
    ml = jug_down(1000.0 * room_cm * 10.0 * d.voids * box.enclosure.soil_area_m2)
    own = box.write().get("routine", {}).get("pours", [])
    pour = {"time": "17:00", "amount": f"{ml:g} ml", "into": "drainage"}
    plan = Plan(before=(Event(BEFORE_D, LEAVES_D, {"routine.pours": [*own, pour]}),))
    try:
        record = absence.typical(base.plan + plan, absence.days)
    except RunError:
        return
    if float(record.gap_below_mesh_cm.min()) >= least_gap_cm(box) - 0.1:
        yield Preparation(Prep.FILL, SOME_MIN, plan, {"ml": ml, "level_cm": d.depth_cm - least_gap_cm(box)})


def _tanks(absence: Absence, base: Branch) -> Iterator[Preparation]:
    """A larger tank, or a second one beside it, for every mister that runs dry during the absence.

    Never one that could flood the box where the mister sticks on: it fits into the room that `fails` counts, in every draw, and
    poured out whole on leaving it leaves mesh and soil of the typical box free.
    """
    box = absence.box
    for number, mist in enumerate(box.routine.mists, 1):
        if mist.tank_ml is None:
            continue
        dry = base.first((f"{TANK}{mist.name}",))
        if not (dry < absence.days).any():
            continue
        a_day = mist.tank_ml / float(np.clip(np.quantile(dry, 0.1), 0.25, None))
        ml = jug_up(min(a_day, mist.water_ml_day) * absence.days * TANK_MARGIN)
        if ml <= mist.tank_ml:
            continue
        amounts = {"ml": ml, "mister": float(number - 1)}
        events = (
            Event(BEFORE_D + EVENING_D, None, {f"routine.mists.{number}.tank": f"{ml:g} ml"}),
            Event(BEFORE_D + EVENING_D + 0.01, None, {"refill": mist.name}),
        )
        plan = Plan(before=events)
        homes = [absence.typical_home, *(one for one in absence.home if isinstance(one, Record))]
        if ml > min(tank_room_ml(box, home) for home in homes) or _floods(absence, base.plan + plan, mist.name):
            refused = f"{ml_words(ml)} would be needed, and stuck on the mister could flood the box with them (terralab fails)"
            yield Preparation(Prep.TANK, SHOP_MIN, amounts=amounts, refused=refused)
            continue
        yield Preparation(Prep.TANK, SHOP_MIN, plan, amounts)


def _floods(absence: Absence, plan: Plan, name: str) -> bool:
    """Whether a mister that sticks on as one leaves brings water to the mesh or over the soil; True where it cannot be run."""
    stuck = Plan(during=(Event(LEAVES_D, None, {"stuck on": name}),))
    try:
        limits = limits_of(absence.typical(plan + stuck, absence.days))
    except RunError:
        return True
    return any(math.isfinite(limits.first_h(limit)) for limit in (WATER_AT_MESH, WATER_IN_SOIL))


def drinks_ml_a_day(record: Record) -> float:
    """What the dish gives off [ml a day], over the days on which it still holds water; 0 without one."""
    if record.box.enclosure.dish is None:
        return 0.0
    wet = record.stored_kg["dish"] > 0.0
    a_row = 1000.0 * record.moved_kg("dish_evaporation")[wet]
    return float(a_row[1:].mean()) * DAY_S / record.step_s if len(a_row) > 1 else 0.0
