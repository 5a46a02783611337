"""One way of watering by itself: nozzles, bursts, hours and a humidity switch, and the device that comes of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from terralab import materials
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.routine import Mist
from terralab.describe.timer import Control, Timer
from terralab.units import DAY_S

DEVICE = "mister"
FOG = 0.5  # a device of which more than this share floats is a fogger
MOST_NOZZLES = 8
# All choices: a burst must be long enough for the line to fill and the pump to reach its pressure, and a timer shows
# seconds; the switch waits until the air is inside the band by a point, and lets go some points further in.
SECONDS = (5, 10, 20, 40, 80)
ON_INSIDE, HYSTERESIS, HIGHEST_SET = 1.0, 4.0, 98.0
_HOURS = 24


@dataclass(frozen=True)
class Nozzles:
    """How many nozzles, ml a minute of each, the share that floats (None: the shipped default), and who says so."""

    count: int
    ml_min: float
    airborne: float | None
    name: str
    source: str

    @property
    def flow_ml_min(self) -> float:
        """All nozzles together."""
        return self.count * self.ml_min


@dataclass(frozen=True)
class Plan:
    """A burst of `seconds` at each of the whole `hours` of the day; with a `set_point` [% RH] only while the air is drier.

    `most_ml`: water in ml a day if every burst is given.
    """

    nozzles: Nozzles
    seconds: int
    hours: tuple[int, ...]
    set_point: float | None = None

    @property
    def burst_ml(self) -> float:
        """Water of one burst [ml]."""
        return self.nozzles.flow_ml_min * self.seconds / 60.0

    @property
    def most_ml(self) -> float:
        """Water a day if no burst is left out [ml]."""
        return self.burst_ml * len(self.hours)

    @property
    def pause_h(self) -> int:
        """The shortest pause between two bursts [h]: the lock-out of a switch."""
        later = (*self.hours[1:], self.hours[0])
        return min((b - a) % _HOURS or _HOURS for a, b in zip(self.hours, later, strict=True))

    @property
    def control(self) -> Control | None:
        """The humidity switch; a burst that has begun is finished."""
        if self.set_point is None:
            return None
        return Control("humidity", "below", self.set_point, HYSTERESIS, self.seconds / 60.0)

    def device(self, tank_ml: float | None = None) -> Mist:
        """The device, fed from a tank of so many ml (None: without end)."""
        entries = tuple(
            f"{self.seconds} s every 1 d from {hour:02d}:00 to {(hour + 1) % _HOURS:02d}:00" for hour in self.hours
        )
        return _mist(self.nozzles, Timer(entries), self.control, tank_ml)


def resting(nozzles: Nozzles) -> Mist:
    """The same device, never on: so that a box without its water is uncertain in the same numbers."""
    return _mist(nozzles, Timer("never"))


def _mist(nozzles: Nozzles, timer: Timer, control: Control | None = None, tank_ml: float | None = None) -> Mist:
    return Mist(nozzles.name, nozzles.flow_ml_min, timer, control, nozzles.airborne, tank_ml)


def nozzles_of(box: Box, count: int | None, ml_min: float | None) -> Nozzles:
    """The nozzles: as asked for, else those of the mister described, else as many of the table as reach the floor."""
    described = next((mist for mist in box.routine.mists if (mist.airborne or 0.0) < FOG), None)
    if described is not None and count is None and ml_min is None:
        return Nozzles(1, float(described.flow_ml_min), described.airborne, described.name, "as you described it")
    shipped = materials.get("defaults", "mister")
    each, reach = shipped["flow"], shipped["reach"]
    number = count or min(MOST_NOZZLES, max(1, math.ceil(1e4 * box.enclosure.floor_area_m2 / reach.typical - 1e-9)))
    said = "as you gave it" if ml_min is not None else f"{each.source} (grade {each.grade})"
    return Nozzles(number, float(each.typical if ml_min is None else ml_min), None, _free_name(box), said)


def _free_name(box: Box) -> str:
    """A name that no other device has; misters that are there are replaced."""
    r = box.routine
    taken = {one.name for one in (*r.lamps, *r.heaters, *r.fans, *r.doors)}
    name = DEVICE
    while name in taken:
        name = f"new {name}"
    return name


def in_day(hour: int, target: HumidityTarget) -> bool:
    """Whether an hour of the clock lies in the day of the band."""
    t, start, end = 3600.0 * hour % DAY_S, target.day_from_s, target.day_to_s
    return start <= t < end if start < end else t >= start or t < end


def window(hours: tuple[int, ...], target: HumidityTarget, part: str) -> tuple[int, ...]:
    """Those of the allowed hours that lie in "day", "night" or "all" of the band, in the order in which they come."""
    first = math.ceil(target.day_to_s / 3600.0) if part == "night" else math.ceil(target.day_from_s / 3600.0)
    order = [(first + i) % _HOURS for i in range(_HOURS)]
    return tuple(h for h in order if h in hours and (part == "all" or in_day(h, target) == (part == "day")))


def spread(hours: tuple[int, ...], count: int) -> tuple[int, ...]:
    """`count` of the hours, as even as they allow, from the first on."""
    return tuple(hours[i * len(hours) // count] for i in range(count))


def set_point(hours: tuple[int, ...], target: HumidityTarget) -> float:
    """The humidity [%] at which a switch is set for bursts at these hours: inside the higher of the bands they fall into."""
    low = max(target.day_low if in_day(hour, target) else target.night_low for hour in hours)
    return min(HIGHEST_SET, low + ON_INSIDE + 0.5 * HYSTERESIS)
