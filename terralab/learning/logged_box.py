"""A described box in the room that was logged, with what its keeper wrote down: the runs that a log is compared with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.part import cautions_untold
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.describe.start import Reading, Start
from terralab.describe.timer import Timer
from terralab.describe.trial import Trial
from terralab.errors import TerralabError
from terralab.learning.readings import LONG_GAP_H, WARM_UP_H, Window
from terralab.logs.diary import Diary
from terralab.logs.diary_run import Level, diary_events, levels
from terralab.logs.log import ROOM, Log, hours_since
from terralab.materials import get
from terralab.physics.constants import METRE_KPA
from terralab.physics.moist_air import saturation_pressure
from terralab.simulation.simulate import WORK_CAP, Job
from terralab.uncertainty.overrides import LEAST_RH, MOST_RH
from terralab.units import DAY_S, HOUR_S

#: By how much [K] the room's sensor stands too warm in its own heat, its case or sun: its vapour pressure stays right.
WARMED = "logged room.warmed"
#: By how much [K] at noon daylight or sun on it warms it further, where the box stands in daylight.
SUNNED = "logged room.sunned"
#: What was really poured and sprayed, as a share of what was written down.
POURED = "logged.poured"
#: Suction [m of water] at the start, beyond what the word for the soil means; in dry soil the whole suction.
SUCTION = "start.suction"
LEVEL = "box.enclosure.drainage.level_cm"
OF_THE_LOG = (WARMED, SUNNED, POURED, SUCTION, LEVEL)  # unknowns of these weeks, not of the box
ROOM_KEYS = ("room.temperature", "room.humidity")
EVERY_H = 0.5  # h between two points of the room as it is run: panes and soil even out what is shorter
ROWS_MIN = 15.0  # min between rows of a record: fans that run a quarter of each hour are seen in it
STEPS_A_DAY = 4_000  # soil steps a run may take; a usual day takes about a hundred
DEPTHS = (0.01, 0.3, 0.6, 0.8, 0.9, 0.99)  # shares of the soil's depth: suction bends where it is least
_GRID_C = np.arange(-15.0, 65.01, 0.05)
_DEVICES = ("mists", "lamps", "heaters", "fans")


@cache
def _grid_pa() -> np.ndarray:
    """Worked out when a log is first read: to call a compiled function takes half a second of `import terralab`."""
    return np.array([saturation_pressure(float(t)) for t in _GRID_C])


def saturated(t_c: np.ndarray) -> np.ndarray:
    """Vapour pressure of saturated air [Pa] at t_c [C], -15 to 65, off by less than a millionth part."""
    return np.interp(t_c, _GRID_C, _grid_pa())


def daylight(hours: np.ndarray) -> np.ndarray:
    """Return how the light of a day runs, 0 to 1 at noon: a half wave from seven to seven."""
    return np.maximum(0.0, np.sin(np.pi * (hours % 24.0 - 7.0) / 12.0))


@dataclass(frozen=True, eq=False)
class LoggedBox:
    """A box as its runs begin from it: `box` with the logged devices, over `window`, with the diary's `events`.

    `room_h`, `room_c`, `room_rh`: the logged room, None without a log of it. `levels`: readings of the water below the mesh.
    `words`: what was replaced of the routine, for a keeper.
    """

    box: Box
    window: Window
    events: tuple[Event, ...]
    levels: tuple[Level, ...]
    words: tuple[str, ...]
    room_h: np.ndarray | None
    room_c: np.ndarray | None
    room_rh: np.ndarray | None

    @property
    def gives_water(self) -> bool:
        """Whether anything is poured or sprayed by hand."""
        routine = self.box.routine
        return bool(routine.pours or routine.sprays) or self.written

    @property
    def written(self) -> bool:
        """Whether the diary tells what was poured or sprayed."""
        return any(one.word in ("pour", "spray") for one in self.events)

    @property
    def level_read(self) -> bool:
        """Whether the water below the mesh was read on the first day."""
        return bool(self.levels) and self.window.hour_of(self.levels[0].when) <= self.window.begins + WARM_UP_H

    def job(self, values: Mapping[str, float]) -> Job:
        """Return the run of one member with these values of the unknowns."""
        with cautions_untold():
            box = self.as_member(values)
        known = {key: value for key, value in values.items() if not _ours(key, self.room_c is not None)}
        share = values.get(POURED, 1.0)
        events = self.events if share == 1.0 else tuple(_poured(event, share) for event in self.events)
        return Job(
            box,
            self.window.days,
            "now",
            known,
            "preview",
            record_every_min=ROWS_MIN,
            start_at=HOUR_S * self.window.begins,
            events=events,
            most_steps=int(WORK_CAP + STEPS_A_DAY * self.window.days),
        )

    def as_member(self, values: Mapping[str, float]) -> Box:
        """Return the box of one member: its room, its start, its pours."""
        changes: dict[str, object] = {}
        if self.room_c is not None:
            changes["room"] = replace(self.box.room, now=self.room(values))
        if SUCTION in values:
            changes["start"] = drier(self.box, values[SUCTION], values)
        share = values.get(POURED, 1.0)
        routine = self.box.routine
        if share != 1.0 and (routine.pours or routine.sprays):
            more = lambda held: tuple(replace(one, amount_ml=share * one.amount_ml) for one in held)  # noqa: E731
            changes["routine"] = replace(routine, pours=more(routine.pours), sprays=more(routine.sprays))
        return Trial.of(self.box, **changes) if changes else self.box

    def room(self, values: Mapping[str, float]) -> RoomState:
        """Return the room as it was if its sensor is off by these values.

        "room.temperature" and "room.humidity" are what has to be added to what was read. A sensor that is warmed shows the
        vapour pressure of the room at a temperature of its own: what it shows too much of one it shows too little of the other.
        """
        kelvin, points = (values.get(key, 0.0) for key in ROOM_KEYS)
        own = self.room_c + kelvin
        true = own - values.get(WARMED, 0.0)
        if SUNNED in values:
            true = true - values[SUNNED] * daylight(self.room_h)
        rh = np.clip((self.room_rh + points) * saturated(own) / saturated(true), LEAST_RH, MOST_RH)
        hours = tuple(self.room_h.tolist())
        return RoomState(Signal.trusted(hours, np.clip(true, -10.0, 60.0)), Signal.trusted(hours, rh))


def logged_box(box: Box, log: Log, room: Log | None, diary: Diary | None, window: Window) -> LoggedBox:
    """Return the box as its runs begin from it; raises TerralabError for a device that the box does not have."""
    events: tuple[Event, ...] = ()
    words: tuple[str, ...] = ()
    read: tuple[Level, ...] = ()
    with cautions_untold():
        if diary is not None:
            read = levels(diary, box)
            box, told, words = diary_events(diary, box, window.first_day)
            events = tuple(one for one in told if not one.once or one.begins_s >= HOUR_S * window.begins)
            box = _started_at(box, read, window)
        box = _with_devices(box, log, window)
        source = log if room is None and ROOM in log.sensors else room
        if source is None:
            return LoggedBox(box, window, events, read, words, None, None, None)
        found = LoggedBox(box, window, events, read, words, *_room(source, window))
        return replace(found, box=Trial.of(box, room=replace(box.room, now=found.room({}))))


def _ours(key: str, room_logged: bool) -> bool:
    """Whether a value is applied here, and not by the overrides of a run."""
    return key in (WARMED, SUNNED, POURED, SUCTION) or (room_logged and key in ROOM_KEYS)


def room_sensor(room: Log):
    """Return the sensor of a log of the room: the one named so, else its only one; raises TerralabError for neither."""
    if ROOM in room.sensors:
        return room.sensors[ROOM]
    if len(room.sensors) == 1:
        return next(iter(room.sensors.values()))
    raise TerralabError(
        f"The log of the room holds sensors {', '.join(room.sensors)}: name the one that hangs in the room."
    )


def _room(log: Log, window: Window) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The room every half hour: the means of temperature and vapour pressure about that time, straight lines over gaps."""
    sensor = room_sensor(log)
    if sensor.temperature_c is None or sensor.humidity is None:
        lacks = "temperature" if sensor.temperature_c is None else "humidity"
        raise TerralabError(
            f"The log of the room lacks {lacks}; both are needed. If a column holds it, say which one when the log is read "
            "(--column COLUMN=KIND, or columns= of tl.read_log); else leave the room's sensor out, and the described room counts."
        )
    hours = hours_since(window.first_day, log.times)
    good = np.isfinite(sensor.temperature_c) & np.isfinite(sensor.humidity)
    hours, t, rh = hours[good], sensor.temperature_c[good], np.clip(sensor.humidity[good], 0.0, 100.0)
    if len(hours) < 2 or hours[0] > window.begins + LONG_GAP_H or hours[-1] < window.ends - LONG_GAP_H:
        raise TerralabError("The log of the room does not cover the time of the box's log.")
    pressure = rh / 100.0 * saturated(t)
    at = np.arange(window.begins, window.ends + 1e-9, EVERY_H)
    place = np.round((hours - window.begins) / EVERY_H).astype(int)
    inside = (place >= 0) & (place < len(at))
    counts = np.bincount(place[inside], minlength=len(at))
    means = []
    for held in (t, pressure):
        sums = np.bincount(place[inside], held[inside], len(at))
        means.append(np.where(counts > 0, sums / np.maximum(counts, 1), np.interp(at, hours, held)))
    return at, means[0], 100.0 * means[1] / saturated(means[0])


def drier(box: Box, suction_m: float, values: Mapping[str, float]) -> Start:
    """Return the start with so much suction [m of water] beyond what its word means; in dry soil the whole suction.

    Readings of a probe at some depths say it, as a keeper would. Watered and drained soil is at rest above the foot of the soil
    and what the grains below it hold back.
    """
    deep_cm = 100.0 * sum(thick for _, thick in box.enclosure.porous_layers)
    layer = box.enclosure.drainage
    held = 0.0
    if layer is not None:
        held = values.get(f"{layer.material}.entry_suction", get("aggregates", layer.material).typical("entry_suction"))
    rested = box.start.soil == "drained-moist"
    readings = []
    for share in DEPTHS:
        above_m = (1.0 - share) * deep_cm / 100.0 + held if rested else 0.0
        readings.append(Reading(depth_cm=share * deep_cm, suction_kpa=METRE_KPA * (above_m + suction_m)))
    return replace(box.start, readings=(*box.start.readings, *readings))


def _with_devices(box: Box, log: Log, window: Window) -> Box:
    """The box whose logged devices do what their log says, whatever their timer and control."""
    if not log.devices:
        return box
    hours = hours_since(window.first_day, log.times)
    held = {kind: list(getattr(box.routine, kind)) for kind in _DEVICES}
    names = [one.name for devices in held.values() for one in devices]
    for name, loads in log.devices.items():
        if name not in names:
            raise TerralabError(f"The log tells of a device {name!r}; this box has {', '.join(names) or 'none'}.")
        timer = _logged(hours, np.asarray(loads, float), window)
        for devices in held.values():
            for n, one in enumerate(devices):
                if one.name == name and timer is not None:
                    devices[n] = replace(one, timer=timer, control=None, timer_winter=None, timer_summer=None)
    return Trial.of(box, routine=replace(box.routine, **{kind: tuple(devices) for kind, devices in held.items()}))


def _logged(hours: np.ndarray, loads: np.ndarray, window: Window) -> Timer | None:
    """A timer that is a log over the window, None where nothing was read; each load lasts until the next that was read."""
    good = np.isfinite(loads)
    hours, loads = hours[good], np.clip(loads[good], 0.0, 1.0)
    if not len(hours):
        return None
    changes = np.concatenate([[True], np.diff(loads) != 0.0])
    hours, loads = hours[changes], loads[changes]
    first = max(0, int(np.searchsorted(hours, window.begins, "right")) - 1)
    inside = np.arange(first, len(hours))
    inside = inside[hours[inside] < window.ends]
    times, held = np.maximum(hours[inside], window.begins), loads[inside]
    if times[0] > window.begins:
        times, held = np.append(window.begins, times), np.append(held[0], held)
    return Timer.logged(tuple(map(float, np.append(times, window.ends))), tuple(map(float, np.append(held, held[-1]))))


def _poured(event: Event, share: float) -> Event:
    """The event with so large a share of what it pours or sprays; any other as it is."""
    if event.word not in ("pour", "spray"):
        return event
    return Event(event.begins_s / DAY_S, None, {event.word: share * event.amount()})


def _started_at(box: Box, read: Sequence[Level], window: Window) -> Box:
    """The box with the water below where it was first read, if that was by the end of its first day in the window."""
    layer = box.enclosure.drainage
    if layer is None or not read or window.hour_of(read[0].when) > window.begins + WARM_UP_H:
        return box
    level = min(max(0.0, layer.depth_cm - read[0].gap_cm), box.enclosure.height_cm)
    return Trial.of(box, enclosure=replace(box.enclosure, drainage=replace(layer, level_cm=level)))
