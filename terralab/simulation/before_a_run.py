"""What the engine makes of a description before anything runs: the water it starts with, what a fan moves, the room's air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from terralab.describe.box import Box
from terralab.describe.enclosure import Enclosure
from terralab.describe.routine import Fan
from terralab.describe.seasons import room_of
from terralab.engine import fans, layout, schedule
from terralab.engine.pack import pack
from terralab.physics.retention import water_content
from terralab.uncertainty.learned import with_learned
from terralab.uncertainty.overrides import shifted
from terralab.units import DAY_S


@dataclass(frozen=True)
class AtStart:
    """A box as it stands before a run.

    `soil_water_m`: water in all soil [m over the floor]; `floor_m2`: its floor.
    """

    soil_water_m: float
    floor_m2: float


def at_start(box: Box, overrides: Mapping[str, float | str] | None = None, season: str = "now") -> AtStart:
    """Return how a box stands at its start; `overrides` as `simulate` takes them."""
    work = pack(box, room_of(box, season), 1, with_learned(box, overrides or {}, season), season=season)
    return AtStart(float(work.water[:-1].sum()), float(work.box[0]["floor"]))


def fan_delivers_m3_s(fan: Fan, enclosure: Enclosure) -> float:
    """Return the flow [m3/s] that a fan moves by itself, with typical numbers; 0 where no air can pass."""
    return fans.delivered(fan, enclosure, layout.Overrides())


def fan_can_move(fan: Fan, enclosure: Enclosure) -> bool:
    """Return True where the air that a fan moves finds a way in and out."""
    return fans.can_move(fan, enclosure)


def room_air(
    box: Box, season: str, times_s: np.ndarray, overrides: Mapping[str, float | str] | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Return the room's temperature [C] and humidity ratio [kg/kg] at these times of a run [s]; `overrides` as it took them."""
    room = shifted(room_of(box, season), with_learned(box, overrides or {}, season))
    course = schedule.room_course(room, int(np.ceil(float(times_s[-1] / DAY_S))))
    return np.interp(times_s, course[:, 0], course[:, 1]), np.interp(times_s, course[:, 0], course[:, 2])


def held_at(head_m: float, enclosure: Enclosure) -> np.ndarray:
    """Return the water content [m3/m3] of each porous layer of an enclosure at a pressure head [m], typical numbers."""
    pick = layout.Overrides()
    return np.array([water_content(head_m, layout.soil_row(pick, name))[0] for name, _ in enclosure.porous_layers])
