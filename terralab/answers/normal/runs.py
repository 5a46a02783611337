"""The runs behind a reading: ordinary days of every box drawn, and what a few of them show after each cause began."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from terralab import materials
from terralab.answers.common.draws import Failure
from terralab.answers.common.ensemble import LEAST_STEPS, LEAST_STEPS_A_DAY, EnsembleResults, fair, settled
from terralab.answers.fails.runs import COSTLY_STEPS
from terralab.answers.normal.causes import Cause
from terralab.answers.normal.cloud import RH, Cloud, T
from terralab.answers.normal.typed import Typed
from terralab.describe.box import Box
from terralab.describe.seasons import room_of
from terralab.describe.start import Start
from terralab.describe.trial import Trial
from terralab.errors import TerralabError
from terralab.logs.log import HIDE, HIGH, LOW
from terralab.materials.limits import ROOM
from terralab.physics.moist_air import saturation_pressure
from terralab.simulation.places import ABOVE, BELOW
from terralab.simulation.places import HIDE as HIDE_AIR
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job, run_many
from terralab.uncertainty import Ensemble, ensemble, overrides
from terralab.uncertainty.sampling import SEED
from terralab.units import DAY_S, HOUR_S

EVERY_MIN = 15.0
ROW_S = 60.0 * EVERY_MIN
SETTLE_DAYS = 6  # the daily cycle repeats to well under 1 % by then
LOOKED_AT = 3  # of these, the last days count, so that what is done every second or third day does too
MOST_LOOKED_AT = 7
#: How many boxes are drawn for what is usual, and how many of these each cause is run with; fewer where runs are long.
MEMBERS, BRANCHED = 48, 8
FEW, FEW_BRANCHED = 24, 5
OF_NORMAL = 2.5631  # standard deviations of a normal number between the ends of its central 80 %
#: What a model of any real box misses, beside the sensor's own error: what repeats daily, what lasts a day or two, and each
#: reading by itself: in K, and in points of humidity. Choices, tried on no real box.
MISSED = ((0.3, 2.0), (0.2, 1.5), (0.15, 1.0))


@dataclass(frozen=True, slots=True)
class SensorError:
    """By how much a sensor reads too high, and how sure that is: (K, points) each."""

    offset: tuple[float, float]
    sd: tuple[float, float]

    @property
    def about(self) -> np.ndarray:
        """Standard deviations of a reading about what is computed: the sensor's and the model's together [K, points]."""
        return np.sqrt([sum(one[i] ** 2 for one in (self.sd, *MISSED)) for i in (T, RH)])


def household() -> SensorError:
    """The error of a household sensor, from the table of defaults."""
    entry = materials.get("defaults", "household sensor")
    return SensorError((0.0, 0.0), (entry.typical("temperature_error"), entry.typical("humidity_error")))


def sensor_of(box: Box, place: str) -> SensorError:
    """The error of the sensor at a place: by how much it was learned to read too high, else that of a household sensor."""
    usual = household()
    offset, sd = list(usual.offset), list(usual.sd)
    for one in () if box.learned is None else box.learned.sensors:
        if one.place == place:
            i = {"temperature": T, "humidity": RH}[one.quantity]
            low, offset[i], high = one.offset
            sd[i] = (high - low) / OF_NORMAL
    return SensorError((offset[0], offset[1]), (sd[0], sd[1]))


@dataclass(frozen=True, eq=False)
class Usual:
    """Ordinary days: the boxes drawn with the record each settled in, the cloud of readings at that hour, and the fogged share."""

    box: Box
    season: str
    found: Ensemble
    ends: tuple[Record | TerralabError, ...]
    sample: EnsembleResults
    cloud: Cloud
    fogged: float
    at_s: float
    place: str
    error: SensorError
    room: np.ndarray  # (n, 2), what the room has at that hour in each box drawn
    branched: int


@dataclass(frozen=True, eq=False)
class Seen:
    """What a cause does: the cloud of readings under it, and in what share of the boxes the front pane is then fogged."""

    cause: Cause
    cloud: Cloud
    fogged: float


def air_at(record: Record, place: str) -> np.ndarray:
    """What a sensor without error reads at a place, row by row: (rows, 2) temperature [C] and humidity [%]."""
    zone = {LOW: BELOW, HIGH: ABOVE, HIDE: HIDE_AIR}.get(place)
    if zone is None or (zone != HIDE_AIR and BELOW not in record.zone_names):
        return np.column_stack([record.air_c, record.humidity_shown])
    return np.column_stack([record.zone_c(zone), record.zone_humidity(zone)])


def needs_place(box: Box, place: str) -> None:
    """Raise TerralabError for a hide that is not there."""
    if place == HIDE and box.enclosure.hide is None:
        raise TerralabError(f'place must be where a sensor can hang; "{HIDE}" was given, but {box.name} has no hide.')


def with_room(found: Ensemble, box: Box, season: str, read: Typed | None, at_s: float) -> Ensemble:
    """The boxes drawn, each in a room that was read as `read`: moved at all hours by what it was unlike the description then."""
    if read is None:
        return found
    room = room_of(box, season)
    values = found.values.copy()
    for j, one in enumerate(found.inputs):
        signal, typed = {
            "room.temperature": (room.temperature, read.temperature_c),
            "room.humidity": (room.humidity, read.humidity),
        }.get(one.key, (None, np.nan))
        if signal is not None and not np.isnan(typed):
            low, high, _ = ROOM[one.key]
            values[:, j] = np.clip(values[:, j] + typed - float(signal.at(at_s)), low, high)
    return Ensemble(found.inputs, values)


def usual_of(
    box: Box,
    season: str,
    at_s: float,
    place: str,
    members: int | None,
    read_room: Typed | None,
    error: SensorError,
    seed: int = SEED,
) -> Usual:
    """Settle the boxes drawn and look at their last days at that hour. Raises RunError where too many cannot be run."""
    day = run_job(Job(box, 1, season, accuracy="preview", record_every_min=60.0))
    costly = day.settings["air_steps"] > COSTLY_STEPS
    size, branched = (FEW, FEW_BRANCHED) if costly else (MEMBERS, BRANCHED)
    size = size if members is None else members
    found = with_room(ensemble(box, size, season, seed), box, season, read_room, at_s)
    periods = [one.every_days for one in (*box.routine.pours, *box.routine.sprays)]
    days = min(MOST_LOOKED_AT, max(LOOKED_AT, *periods, 1))
    settle = max(SETTLE_DAYS, days + 2)
    ends = settled(box, settle, season, found, every_min=EVERY_MIN)
    ran = [end for end in ends if isinstance(end, Record)]
    sample = fair(box, EnsembleResults(found, {}, _failures(ends), found.size))
    hours = [(settle - 1 - n) * DAY_S + at_s for n in range(days)]
    points, fogged = read_at(ran, hours, place)
    cloud = Cloud(points + np.array(error.offset), error.about, len(ran))
    state = [overrides.shifted(room_of(box, season), found.overrides[i]) for i in range(found.size)]
    room = np.array([[float(one.temperature.at(at_s)), float(one.humidity.at(at_s))] for one in state])
    return Usual(box, season, found, ends, sample, cloud, fogged, at_s, place, error, room, min(branched, found.size))


def _failures(ends: Sequence[Record | TerralabError]) -> tuple[Failure, ...]:
    return tuple(
        Failure(i, getattr(end, "why", str(end)), getattr(end, "day", None))
        for i, end in enumerate(ends)
        if not isinstance(end, Record)
    )


def read_at(
    records: Sequence[Record], times_s: Sequence[float], place: str, exact: bool = False
) -> tuple[np.ndarray, float]:
    """What sensors without error read at some times of some records (n, 2), and the share of them with a fogged front pane.

    The row before counts too, unless `exact`: a sensor takes ten minutes to follow, and a clock is a few minutes off.
    """
    points, fogged = [], []
    for record in records:
        air = air_at(record, place)
        first = float(record.times_s[0])
        front = record.fogged("front") if "front" in record.pane_names else np.zeros(len(air), bool)
        for time in times_s:
            row = min(max(round((time - first) / record.step_s), 0), len(air) - 1)
            rows = [row] if exact or row == 0 else [row, row - 1]
            points += [air[one] for one in rows]
            fogged += [front[one] for one in rows]
    return np.array(points), float(np.mean(fogged))


def seen_under(usual: Usual, causes: Sequence[Cause]) -> tuple[list[Seen], list[str]]:
    """What each cause shows, in a few of the boxes drawn, and the words of those that could not be run."""
    members = [i for i, end in enumerate(usual.ends) if isinstance(end, Record)][: usual.branched]
    plans = [_job(usual, cause, i) for cause in causes for i in members]
    records = iter(run_many([job for job, _ in plans], failed="error"))
    out: list[Seen] = []
    failed: list[str] = []
    for n, cause in enumerate(causes):
        good = [record for _ in members if isinstance(record := next(records), Record)]
        if len(good) < max(2, len(members) // 2):
            failed.append(cause.words)
            continue
        begins = plans[n * len(members)][1]
        times = [begins + HOUR_S * hour for hour in cause.after_h]
        points, fogged = read_at(good, times, usual.place, cause.exact)
        out.append(Seen(cause, Cloud(points + np.array(usual.error.offset), usual.error.about, len(good)), fogged))
    return out, failed


def _job(usual: Usual, cause: Cause, i: int) -> tuple[Job, float]:
    """The run of one box drawn in which a cause begins, and when it does [s]: so that the hour of the reading is `after_h` later."""
    end = usual.ends[i]
    assert isinstance(end, Record)
    box = usual.box if not cause.from_dry else Trial.of(usual.box, start=Start("dry"))
    start = 0.0 if cause.from_dry else float(end.times_s[-1])
    first = start + usual.at_s - HOUR_S * cause.after_h[0]  # all other times lie whole days later
    while first < start:
        first += DAY_S
    rows = int(np.ceil((first + HOUR_S * cause.after_h[-1] - start) / ROW_S)) + 1
    own = usual.found.overrides[i]
    room = overrides.shifted(room_of(box, usual.season), own)
    days = rows * ROW_S / DAY_S
    job = Job(box, days, usual.season, own, "preview", record_every_min=EVERY_MIN, start=None if cause.from_dry else end,
              most_steps=int(LEAST_STEPS + LEAST_STEPS_A_DAY * days))  # fmt: skip
    return replace(job, events=tuple(cause.events(box, room, first, start + rows * ROW_S))), first


def heated(points: np.ndarray, by_k: float) -> np.ndarray:
    """What a sensor shows that is warmer than the air about it: the temperature too high, the vapour the same."""
    out = points.copy()
    out[:, T] += by_k
    share = [
        saturation_pressure(cold) / saturation_pressure(warm)
        for cold, warm in zip(points[:, T], out[:, T], strict=True)
    ]
    out[:, RH] *= np.array(share)
    return out
