"""A mister or fogger that does not stop: how much water until it stands where, and the largest tank that cannot flood the box.

Water is let run without end, nobody siphons or pours, and it is seen when it stands at the mesh, over the soil, and runs over
the sill. A tank is called safe when it is so small that what it holds fits into the layer under the mesh as it usually is,
less a reserve, with what drains from the last pours, and nothing counted for what the soil keeps or the air takes; and only
when runs with such a tank, poured out whole, leave the mesh and the soil free in every box drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab.answers.common.balance import AIR_WANTED, root_zone_cm
from terralab.answers.common.ensemble import LEAST_STEPS, LEAST_STEPS_A_DAY
from terralab.answers.common.limits import WATER_AT_MESH, WATER_IN_SOIL, limits_of
from terralab.answers.common.rounding import jug_down
from terralab.answers.fails.runs import Drawn, Season
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.routine import Mist
from terralab.describe.trial import Trial
from terralab.errors import TerralabError
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many

RESERVE = 0.2  # of the room in the layer that is kept free (a choice)
LONGEST_H = 72.0
LONGEST_TANK_H = 240.0  # a tank that lasts for longer is not tried
AFTER_H = 48.0  # how long water is let sink in after a tank has run out
ROWS = 120  # of a record until all is full
TRIES, LESS = 5, 0.6  # how often a tank that did flood is made smaller, and to what share
LEAST_TANK_ML = 20.0  # less is no tank
_EVERY = (60, 30, 20, 15, 12, 10, 6, 5, 4, 3, 2, 1)  # minutes, dividing an hour
MESH, SOIL, SILL = "at the mesh", "over the soil", "over the sill"
PLACES = (MESH, SOIL, SILL)


@dataclass(frozen=True)
class Flood:
    """A mister stuck on: hours until water stands in each of `PLACES`, for each box drawn; inf: not in three days.

    `flow_ml_min`: what runs. `tank_ml`: the largest tank that cannot flood it, None where not even a small one may be called
    safe, and `why` says so. `has_ml`: the tank it has, None where it is fed without end.
    """

    name: str
    flow_ml_min: float
    hours: dict[str, tuple[float, ...]]
    tank_ml: float | None
    has_ml: float | None
    why: str = ""

    def ml(self, hours: float) -> float:
        """What has run out after some hours [ml]."""
        return 60.0 * self.flow_ml_min * hours


def flood_of(box: Box, mist: Mist, season: Season) -> Flood:
    """What a mister stuck on does in the boxes drawn of a season, from the hour of the day at which there is least room."""
    every = (season.typical, *season.members)
    hour = _fullest_hour(season.typical.usual, season.plan.hours)
    hours = _until(box, mist, season, hour)
    tank, why = _tank(box, mist, season, hour, min(tank_room_ml(box, one.usual) for one in every))
    return Flood(mist.name, mist.flow_ml_min, hours, tank, mist.tank_ml, why)


def _until(box: Box, mist: Mist, season: Season, hour: int) -> dict[str, tuple[float, ...]]:
    to_fill_h = 1.3 * _all_space_ml(box, season.typical) / (60.0 * mist.flow_ml_min) + 1.5
    watched = min(LONGEST_H, to_fill_h)
    records = _runs(box, mist, season.members, season.name, hour, watched, None)
    ran = [record for record in records if isinstance(record, Record)]
    return {place: tuple(_first_h(record, place, hour) for record in ran) for place in PLACES}


def _runs(
    box: Box, mist: Mist, drawn: Sequence[Drawn], season: str, hour: int, watched_h: float, tank_ml: float | None
) -> list[Record | TerralabError]:
    """The mister stuck on in boxes drawn, from a tank or without end; nobody pours or siphons."""
    every = next((m for m in _EVERY if m <= max(1.0, 60.0 * watched_h / ROWS)), 1)
    days = math.ceil((hour + watched_h) * 60.0 / every) * every / 60.0 / 24.0
    mists = tuple(replace(one, tank_ml=tank_ml, refill_days=None) if one == mist else one for one in box.routine.mists)
    tried = Trial.of(box, routine=replace(box.routine, mists=mists))
    jobs = []
    for one in drawn:
        begins = f"{float(one.end.times_s[-1]) + 3600.0 * hour} s"
        events = [Event(begins, None, "no hand"), Event(begins, None, {"stuck on": mist.name})]
        if tank_ml is not None:
            # a minute later, since what a hand does at the very start of a run belongs to the run before
            full = f"{float(one.end.times_s[-1]) + 3600.0 * hour + 60.0} s"
            events.append(Event(full, None, {"refill": mist.name}))
        most = int(LEAST_STEPS + LEAST_STEPS_A_DAY * days)
        jobs.append(
            Job(tried, days, season, one.overrides, "preview", record_every_min=every, start=one.end, events=tuple(events), most_steps=most)
        )  # fmt: skip
    return run_many(jobs, failed="error")


def _first_h(record: Record, place: str, hour: int) -> float:
    """Hours until water stands at a place; inf if it never does."""
    since = round(3600.0 * hour / record.step_s)
    flags = _stands(record, place)[since:]
    first = np.flatnonzero(flags)
    return float(first[0]) * record.step_s / 3600.0 if len(first) else math.inf


def _stands(record: Record, place: str) -> np.ndarray:
    if place == SILL:
        return np.cumsum(record.moved_kg("spilled")) > 0.0
    return limits_of(record).passed[WATER_AT_MESH if place == MESH else WATER_IN_SOIL]


def _fullest_hour(usual: Record, hours: Sequence[int]) -> int:
    """The hour of the day, of those looked at, from which on there is least room for water."""
    held = usual.reservoir_water_m if usual.has_reservoir else usual.cell_water_m.sum(axis=1)
    row = round(3600.0 / usual.step_s)
    return max(hours, key=lambda hour: float(held[hour * row]))


def _all_space_ml(box: Box, one: Drawn) -> float:
    """Water [ml] until it runs over the sill: room under the mesh, in the pores, and over the soil."""
    last = one.usual
    pores = float(((last.pore_space * last.cell_m) - last.cell_water_m[-1]).clip(0.0).sum())
    return 1e6 * pores * last.floor_m2 + _layer_ml(last) + box.enclosure.free_space_ml


def _layer_ml(usual: Record) -> float:
    """Room [ml] left under the mesh, at its least in ordinary days; 0 without a layer."""
    if not usual.has_reservoir:
        return 0.0
    depth_m = usual.box.enclosure.drainage.depth_cm / 100.0  # type: ignore[union-attr]
    return 1e6 * usual.floor_m2 * max(0.0, float(np.min(usual.voids * depth_m - usual.reservoir_water_m)))


def tank_room_ml(box: Box, usual: Record) -> float:
    """What a tank may hold at most [ml] to fit: into the layer, or without one into the pores that roots can spare.

    `usual`: ordinary days of the box. Below zero where not even the last pours fit.
    """
    last_pours = sum(pour.amount_ml for pour in box.routine.pours) + sum(
        spray.amount_ml for spray in box.routine.sprays
    )
    if usual.has_reservoir:
        return (1.0 - RESERVE) * _layer_ml(usual) - last_pours
    top, bottom = root_zone_cm(usual)
    air = usual.mean_over(usual.air_space, top, bottom).min() - AIR_WANTED
    return (1.0 - RESERVE) * 1e4 * usual.floor_m2 * (bottom - top) * max(0.0, float(air)) - last_pours


def _tank(box: Box, mist: Mist, season: Season, hour: int, room_ml: float) -> tuple[float | None, str]:
    """The largest tank that leaves mesh and soil free in every box drawn when it is poured out whole, and why there is none."""
    tank = jug_down(max(0.0, min(room_ml, 60.0 * mist.flow_ml_min * LONGEST_TANK_H)))
    for _ in range(TRIES):
        if tank < LEAST_TANK_ML:
            break
        if not floods(box, mist, season, hour, tank):
            return tank, ""
        tank = jug_down(LESS * tank)
    if room_ml < LEAST_TANK_ML:
        return None, "ordinary days leave no room for more water"
    return None, "each that was tried let water stand at the mesh or over the soil, or could not be run"


def floods(box: Box, mist: Mist, season: Season, hour: int, tank_ml: float) -> bool:
    """Whether a tank that is poured out whole lets water stand at the mesh or over the soil, in any of the boxes drawn."""
    watched = tank_ml / (60.0 * mist.flow_ml_min) + AFTER_H
    every = (season.typical, *season.members)
    for one, record in zip(every, _runs(box, mist, every, season.name, hour, watched, tank_ml), strict=True):
        if not isinstance(record, Record) or mist.name not in record.ran_dry_h:
            return True  # what could not be run, or did not run out, is not called safe
        usual = {place: bool(_stands(one.usual, place).any()) for place in PLACES}
        if any(
            _stands(record, place)[round(3600.0 * hour / record.step_s) :].any() and not usual[place]
            for place in PLACES
        ):
            return True
        if usual[MESH] or usual[SOIL]:
            return True
    return False
