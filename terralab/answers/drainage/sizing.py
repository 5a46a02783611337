"""How much water comes down, how the gap under the mesh moves, and what mishaps do: the numbers behind a layer's depth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from terralab import materials
from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.common.ensemble import EnsembleResults, sampled
from terralab.answers.drainage.bottoms import layer_of, litres_under_mesh, over_ml, overwatered, thirds, with_bottom
from terralab.describe.box import Box
from terralab.describe.capacity import capacity
from terralab.describe.routine import Pour, Siphon
from terralab.describe.trial import Trial
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job

MONTH = 30  # days between two siphonings that the layer must bear (a choice)
WEEKS = 12
SIZED_BY = 64  # members of the ensemble behind the depth
FEW = 4  # the same where typically nothing comes down
WATCHED_BY = 32  # members behind the course of the gap in each season
NEVER_NEARER_CM = 0.5  # left between the wet fringe over the water and the mesh
LEAST_GRAINS = 2.0  # a layer thinner than two large grains has no even floor (a choice)
NOTHING_MM = 0.5  # mm of water over the floor: less than this coming down in the month is called nothing
LOWEST_SIPHON_CM = 1.0  # what a hose leaves behind (common practice, no source)
LEAST_DRAWN_CM = 0.5  # less is not worth a siphoning (a choice)


@dataclass(frozen=True)
class Sized:
    """The depth a layer needs [cm]: middle, low and high, and what comes down in the month [litres], likewise.

    `clear_cm`: what must stay free under the mesh. `over_cm`: how far one over-watering lifts the water in the layer.
    `sample`: the members behind it ("down": litres). `typical_cm`: the depth with every number typical, not rounded.
    """

    depth_cm: tuple[float, float, float]
    down_l: tuple[float, float, float]
    clear_cm: float
    over_cm: float
    nothing: bool
    sample: EnsembleResults
    typical_cm: float


def clear_cm(box: Box) -> float:
    """Air that must stay under the mesh [cm]: the highest wet fringe of the aggregate, and half a centimetre."""
    fringe = materials.get("aggregates", layer_of(box).material)["capillary_rise"].high
    return 100.0 * fringe + NEVER_NEARER_CM


def _came_down_m(record: Record) -> float:
    """Water that came down and was not given back, over all the run [m over the floor]."""
    stored = float(record.reservoir_water_m[-1] - record.reservoir_water_m[0])
    return max(0.0, stored + float(record.moved_kg("siphoned").sum()) / 1000.0 / record.floor_m2)


def sized(box: Box, season: str, members: int = SIZED_BY) -> Sized:
    """Depth that holds a month of the routine and one over-watering in the room of `season`, without siphoning.

    The layer is kept empty in the run (siphoned daily), so that all that comes down is counted whatever its depth.
    """
    layer = layer_of(box)
    empty = with_bottom(box, replace(layer, level_cm=0.0))
    daily = (Siphon(to_level_cm=0.0, every_days=1),)
    run = overwatered(empty, siphons=daily)
    floor = box.enclosure.soil_area_m2
    grain = materials.get("aggregates", layer.material)["grain_mm"].high / 10.0
    clear = clear_cm(box)
    needs = lambda r: 100.0 * _came_down_m(r) / r.voids + clear  # noqa: E731
    plain = Trial.of(empty, routine=replace(empty.routine, siphons=daily))
    # where not a drop comes down typically, the soil is dry and slow to run, and fewer members tell as much
    typical = run_job(Job(run, MONTH, season, accuracy="preview", record_every_min=60))
    members = members if _came_down_m(typical) > 0.0 else min(FEW, members)
    sample = sampled(run, MONTH, {"depth": needs, "down": lambda r: 1000.0 * _came_down_m(r) * floor}, season, members)
    low, middle, high = (_half_up(max(LEAST_GRAINS * grain, depth)) for depth in sample.range_of("depth"))
    down = sample.range_of("down")
    without = 1000.0 * _came_down_m(run_job(Job(plain, 7, season, accuracy="preview", record_every_min=60)))
    with_it = 1000.0 * _came_down_m(run_job(Job(run, 7, season, accuracy="preview", record_every_min=60)))
    over = 0.1 * max(0.0, with_it - without) / layer.voids
    return Sized((low, middle, high), down, clear, over, down[2] < NOTHING_MM * floor, sample, needs(typical))


def _half_up(depth_cm: float) -> float:
    """The depth rounded up to half a centimetre."""
    return float(np.ceil(2.0 * depth_cm - 1e-9) / 2.0)


def wettest(poured: Mapping[str, Box]) -> str:
    """The season in which most water comes down, of boxes by season, each with its pour."""
    came = {}
    for season, box in poured.items():
        layer = replace(layer_of(box), level_cm=0.0)
        run = overwatered(with_bottom(box, layer), siphons=(Siphon(to_level_cm=0.0, every_days=1),))
        came[season] = _came_down_m(run_job(Job(run, MONTH, season, accuracy="preview", record_every_min=60)))
    return max(came, key=lambda season: came[season])


@dataclass(frozen=True)
class SiphonRule:
    """Siphon when the gap under the mesh is smaller than `when_gap_below_cm`, down to `to_level_cm` over the floor.

    `drawn_cm`: how far that lowers the water; `litres`: how much it is.
    """

    when_gap_below_cm: float
    to_level_cm: float
    drawn_cm: float
    litres: float

    @property
    def depth_from_cm(self) -> float:
        """The least depth of a layer that can be siphoned with a reserve left, rounded up to half a centimetre."""
        lowest = max(LOWEST_SIPHON_CM, self.to_level_cm)
        return _half_up(self.when_gap_below_cm + lowest + LEAST_DRAWN_CM)

    @property
    def too_thin(self) -> bool:
        """Whether the layer has no room for a siphoning worth the name and a reserve."""
        return self.drawn_cm < LEAST_DRAWN_CM


Days = tuple[float | None, float | None, float | None]


@dataclass(frozen=True)
class SiphonTimes:
    """The gap under the mesh [cm] at the start and after each week, without siphoning: middle, low and high of the members.

    The days are (soonest, middle, latest) of the central 80 % of the members, None where that is not within the weeks
    run: `touch_days` until water first comes within the fringe of the mesh, `siphon_days` until it is to be siphoned,
    `again_days` from one siphoning to the next. `touching`: how many of the `members` that ran reach the mesh. `draws`: how many were drawn and ran, and why others did
    not.
    """

    gap_cm: tuple[float, ...]
    low_cm: tuple[float, ...]
    high_cm: tuple[float, ...]
    touch_days: Days
    siphon_days: Days
    again_days: Days
    touching: int
    members: int
    draws: Mapping[str, Any] = field(default_factory=dict)


def course(box: Box, season: str, rule: SiphonRule, members: int = WATCHED_BY) -> SiphonTimes:
    """How the gap moves week by week with the routine as described, no siphon, in the room of `season`."""
    layer = layer_of(box)
    run = with_bottom(box, layer)
    run = Trial.of(run, routine=replace(run.routine, siphons=()))
    week = lambda n: lambda r: float(r.gap_below_mesh_cm[n * 168])  # noqa: E731
    fringe = lambda r: r.fringe_cm  # noqa: E731
    measures = {f"week {n}": week(n) for n in range(WEEKS + 1)} | {
        "touch": lambda r: _first_day(r, fringe(r)),
        "siphon": lambda r: _first_day(r, rule.when_gap_below_cm),
        "again": lambda r: _again_days(r, rule.drawn_cm),
    }
    sample = sampled(run, 7 * WEEKS, measures, season, members)
    weeks = [sample.range_of(f"week {n}") for n in range(WEEKS + 1)]
    within = lambda day: None if day >= 7 * WEEKS else round(day, 1)  # noqa: E731
    days = lambda name: tuple(within(day) for day in sample.range_of(name))  # noqa: E731
    return SiphonTimes(
        tuple(round(w[1], 1) for w in weeks),
        tuple(round(w[0], 1) for w in weeks),
        tuple(round(w[2], 1) for w in weeks),
        days("touch"),
        days("siphon"),
        days("again"),
        int((sample.results["touch"] < 7 * WEEKS).sum()),
        sample.ran,
        sample.counted(),
    )


def _first_day(record: Record, gap_cm: float) -> float:
    """First day at which the gap under the mesh is down to `gap_cm`; the end of the run doubled where it never is."""
    near = record.gap_below_mesh_cm <= gap_cm
    days = record.times_days
    return float(days[np.argmax(near)]) if near.any() else 2.0 * float(days[-1])


def _again_days(record: Record, drawn_cm: float) -> float:
    """Days in which the water rises by `drawn_cm` as fast as from the fourth week on; the run doubled where that is longer.

    The run doubled, too, where a siphoning would draw nothing worth the name: it then has no rhythm.
    """
    if drawn_cm < LEAST_DRAWN_CM:
        return 2.0 * record.days
    gap = record.gap_below_mesh_cm
    settled = 4 * 168
    a_day = (gap[settled] - gap[-1]) / ((gap.size - 1 - settled) / 24.0)
    longest = 2.0 * record.days
    return longest if a_day * longest <= drawn_cm else float(max(1.0, drawn_cm / a_day))


def mishaps(box: Box) -> dict[str, dict[str, float | None]]:
    """What one over-watering and each mister stuck on do to the layer as it is, typical numbers.

    "over-watering": litres, the gap before and at its smallest within a week, and hours of that week in which the
    bottom third holds less than 10 % air. For a mister: litres an hour, and hours until the water comes within the
    fringe of the mesh and until the top third of the soil lacks air; None where that takes more than three days.
    """
    run = with_bottom(box, layer_of(box))
    once = run_job(Job(overwatered(run), 7, accuracy="preview", record_every_min=60))
    airless = thirds(once, once.air_space)[:, 2] < AIR_WANTED
    out: dict[str, dict[str, float | None]] = {
        "over-watering": {
            "litres": round(over_ml(box) / 1000.0, 2),
            "gap_before_cm": round(float(once.gap_below_mesh_cm[0]), 1),
            "smallest_gap_cm": round(float(once.gap_below_mesh_cm.min()), 1),
            "bottom_airless_h": float(airless[1:].sum()),
        }
    }
    for mist in run.routine.mists:
        out[f"{mist.name} stuck on"] = {
            "litres_an_hour": round(mist.flow_ml_min * 0.06, 2),
            **_stuck(run, mist.flow_ml_min),
        }
    return out


def _stuck(run: Box, flow_ml_min: float) -> dict[str, float | None]:
    """The water of a mister that never stops, put on the soil until a day is over or the glass is nearly full."""
    amount = min(0.95 * capacity(run.enclosure).most_ml, 1440.0 * flow_ml_min)
    pour = Pour(time_s=0, amount_ml=amount, over_min=min(1440.0, max(0.1, amount / flow_ml_min)), every_days=366)
    routine = replace(run.routine, pours=(*run.routine.pours, pour), mists=(), siphons=())
    record = run_job(Job(Trial.of(run, routine=routine), 3, accuracy="preview", record_every_min=15))
    hours = record.times_h
    first = lambda where: round(float(hours[np.argmax(where)]), 1) if where.any() else None  # noqa: E731
    return {
        "mesh_after_h": first(record.gap_below_mesh_cm <= record.fringe_cm),
        "top_airless_after_h": first(thirds(record, record.air_space)[:, 0] < AIR_WANTED),
    }


def fill_litres(box: Box) -> tuple[float, float]:
    """Litres that still fit under the mesh, and litres more until the soil is full to the brim, from the held start."""
    run = with_bottom(box, layer_of(box))
    record = run_job(
        Job(Trial.of(run, routine=replace(run.routine, siphons=())), 1, accuracy="preview", record_every_min=60)
    )
    air = float(record.air_space[0] @ record.cell_m) * box.enclosure.soil_area_m2 * 1000.0
    return litres_under_mesh(record, float(record.gap_below_mesh_cm[0])), air


def siphon_rule(box: Box, found: Sized) -> SiphonRule:
    """When to siphon the layer as it is: once one over-watering and what must stay clear no longer fit above the water."""
    layer = layer_of(box)
    trigger = found.clear_cm + found.over_cm
    lowest = min([LOWEST_SIPHON_CM, layer.depth_cm / 2.0, *(s.to_level_cm for s in box.routine.siphons)])
    drawn = layer.depth_cm - trigger - lowest
    litres = max(0.0, drawn) * 10.0 * layer.voids * box.enclosure.soil_area_m2
    return SiphonRule(trigger, lowest, drawn, litres)


def siphon_plan(rule: SiphonRule, courses: dict[str, SiphonTimes]) -> dict[str, object]:
    """The rule, and for each season the days until the first siphoning and to the next (see `SiphonTimes`), as plain data.

    Where the layer is too thin for the rule there are no such days, and "depth_from_cm" is the depth that has. "fills_by_itself": whether water reaches the mesh in
    any of the members without a mishap.
    """
    never = (None, None, None)
    return {
        "when_gap_below_cm": round(rule.when_gap_below_cm, 1),
        "to_level_cm": round(rule.to_level_cm, 1),
        "litres": round(rule.litres, 1),
        "too_thin": rule.too_thin,
        "depth_from_cm": rule.depth_from_cm,
        "fills_by_itself": any(c.touching for c in courses.values()),
        "days": {season: never if rule.too_thin else c.siphon_days for season, c in courses.items()},
        "every_days": {season: never if rule.too_thin else c.again_days for season, c in courses.items()},
    }
