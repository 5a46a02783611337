"""Invented boxes whose hidden numbers are known, and the logs that a cheap hygrometer would have written of them.

A hidden number is drawn from its published range, the box is run in an invented room, and what a sensor of the trade would
have shown is made of the run: it lags, reads too high or too low, wanders, is rounded, misses rows and has a clock of its
own. Nothing here knows how a log is learned from. All boxes, rooms and errors are invented.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

import numpy as np

import terralab as tl
from terralab.answers.common.balance import needed_ml
from terralab.describe.room import Room, RoomState
from terralab.describe.signal import Signal
from terralab.errors import TerralabWarning
from terralab.logs.diary import Weighed
from terralab.logs.log import BOX, ROOM, Log, SensorLog
from terralab.simulation.chain import start_s as seconds
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_job

FIRST = np.datetime64("2026-08-03T00:00:00")
WARM_UP_H = 24.0  # of a log, as long as it takes a box to forget how it was started
#: What may be wrong with a truth beyond what the errors of a log allow for.
FAULTS = ("lid", "gain", "leaves", "all")
CLOSED = 2.5  # times as much resistance of the leaves after noon, where they close


# -- boxes -----------------------------------------------------------------------------------------------------------


def fern_hollow() -> tl.Box:
    """The demo: moist, mesh lid half covered."""
    return tl.load("fern-hollow")


def shut_jar() -> tl.Box:
    """A jar that is shut; nobody knows how much it leaks."""
    jar = tl.load("moss-jar")
    return replace(jar, name="shut jar", enclosure=replace(jar.enclosure, openings=(), leakage_ach=None))


def open_and_dry() -> tl.Box:
    """Wide open, sparsely planted, on dry soil: hardly more vapour than the room has."""
    box = fern_hollow()
    glass, plants = box.enclosure, box.enclosure.plants
    wide = tuple(replace(one, covered=0.0, mesh=False) for one in glass.openings)
    return replace(
        box,
        name="open and dry",
        enclosure=replace(glass, openings=wide, plants=replace(plants, leaf_area_cm2=150.0), drainage=None, tube=None),
        start=replace(box.start, soil="dry"),
        routine=replace(box.routine, pours=(), sprays=(), siphons=()),
    )


def hot_and_arid() -> tl.Box:
    """A low, long box on sand under a mesh lid with a hot lamp below it, a dish and a few succulents."""
    return _read(
        {
            "name": "hot and arid",
            "group": "arid lizards",
            "start": {"soil": "dry"},
            "enclosure": {
                "width": "110 cm",
                "front_to_back": "55 cm",
                "height": "50 cm",
                "layers": [{"material": "sandy mix", "depth": "6 cm"}],
                "openings": [
                    {"name": "lid", "wall": "lid", "width": "100 cm", "height": "45 cm", "mesh": "metal lid mesh"}
                ],
                "plants": {
                    "kind": "night-opening succulents",
                    "leaf_area": "800 cm2",
                    "leaf_width": "3 cm",
                    "root_depth": "5 cm",
                },
                "dish": {"area": "120 cm2", "depth": "4 cm"},
            },
            "routine": {
                "sprays": [{"time": "07:30", "amount": "60 ml", "over": "1 min", "every": "2 d"}],
                "lamps": [
                    {
                        "name": "spot",
                        "kind": "incandescent or halogen spot",
                        "power": "75 W",
                        "timer": ["09:00-19:00"],
                    },
                    {"name": "bar", "kind": "led bar inside", "power": "18 W", "timer": ["08:00-20:00"]},
                ],
            },
        }
    )


def two_vents() -> tl.Box:
    """A tall planted glass under a pane, with a low vent in front and a high one behind."""
    return _read(
        {
            "name": "two vents",
            "group": "rainforest-floor small frogs",
            "enclosure": {
                "width": "45 cm",
                "front_to_back": "45 cm",
                "height": "80 cm",
                "layers": [{"material": "coarse coir mix", "depth": "9 cm"}],
                "cover": {"material": "leaf litter", "depth": "1.5 cm"},
                "drainage": {"material": "expanded clay 4-10 mm", "depth": "5 cm", "level": "1 cm"},
                "openings": [
                    {"name": "front vent", "wall": "front", "width": "40 cm", "height": "2.5 cm", "bottom": "20 cm",
                     "mesh": True},
                    {"name": "back vent", "wall": "back", "width": "40 cm", "height": "5 cm", "bottom": "73 cm",
                     "mesh": True},
                ],
                "plants": {"kind": "foliage plants", "leaf_area": "4500 cm2", "leaf_width": "6 cm", "root_depth": "7 cm"},
            },
            "routine": {
                "pours": [{"time": "09:00", "amount": "60 ml", "over": "2 min", "every": "1 d"}],
                "sprays": [{"time": "18:00", "amount": "30 ml", "over": "1 min", "every": "1 d"}],
                "lamps": [{"name": "bar", "kind": "led bar outside lid", "power": "30 W", "timer": ["08:00-20:00"]}],
            },
        }
    )  # fmt: skip


def small_and_quick() -> tl.Box:
    """A small planted box, quickly run: a meshed hole in its lid, one lamp, one pour."""
    return _read(
        {
            "name": "small and quick",
            "group": "mosses",
            "enclosure": {
                "width": "30 cm",
                "front_to_back": "20 cm",
                "height": "24 cm",
                "layers": [{"material": "fine coir mix", "depth": "4 cm"}],
                "cover": {"material": "leaf litter", "depth": "2 cm"},
                "openings": [{"name": "lid", "wall": "lid", "width": "28 cm", "height": "18 cm", "mesh": True}],
                "plants": {"kind": "ferns", "leaf_area": "600 cm2", "leaf_width": "3 cm", "root_depth": "4 cm"},
            },
            "routine": {
                "pours": [{"time": "09:00", "amount": "30 ml", "over": "2 min", "every": "1 d"}],
                "lamps": [{"name": "bar", "kind": "led bar outside lid", "power": "6 W", "timer": ["08:00-20:00"]}],
            },
        }
    )


#: Boxes unlike each other, by name.
BOXES = {
    "fern hollow": fern_hollow,
    "two vents": two_vents,
    "hot and arid": hot_and_arid,
    "shut jar": shut_jar,
    "open and dry": open_and_dry,
}


def _read(table: dict) -> tl.Box:
    room = {"temperature": "20 C", "humidity": "48 %"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return tl.Box.read({"room": room, **table})


# -- the room --------------------------------------------------------------------------------------------------------


@cache
def room(seed: int, days: int, every_min: int = 5, mean: tuple[float, float] = (20.0, 48.0)) -> RoomState:
    """A room with a daily swing, weather of two days and an hour's jitter, a point every so many minutes."""
    rng = np.random.default_rng([seed, 77])
    hours = np.arange(0, 24 * days + 1)
    day = np.cos(2.0 * np.pi * (hours - 16) / 24.0)
    warm = mean[0] + 1.5 * day + wandering(rng, len(hours), 48.0, 0.8) + wandering(rng, len(hours), 2.0, 0.3)
    damp = mean[1] - 4.0 * day + wandering(rng, len(hours), 48.0, 6.0) + wandering(rng, len(hours), 2.0, 1.5)
    fine = np.arange(0, 60 * 24 * days + 1, every_min) / 60.0
    course = lambda x: Signal.series(tuple(fine), tuple(np.interp(fine, hours, x).round(3)))  # noqa: E731
    return RoomState(course(warm), course(np.clip(damp, 15.0, 85.0)))


def wandering(rng: np.random.Generator, n: int, hours: float, spread: float) -> np.ndarray:
    """An hourly series that forgets itself over so many hours."""
    keeps = np.exp(-1.0 / hours)
    steps = spread * rng.normal(size=n)
    out = np.empty(n)
    out[0] = steps[0]
    for i in range(1, n):
        out[i] = keeps * out[i - 1] + np.sqrt(1.0 - keeps**2) * steps[i]
    return out


def in_room(box: tl.Box, seed: int, days: int) -> tl.Box:
    """The box in an invented room."""
    return replace(box, room=Room(now=room(seed, days)))


# -- truths ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Truth:
    """A box that was run with known hidden numbers: what its air was, and what it lost, needed and exchanged."""

    overrides: Mapping[str, float]
    hours: np.ndarray
    air_c: np.ndarray
    humidity: np.ndarray
    results: Mapping[str, float]


def truth(job: Job, fault: str = "", every_min: float = 5.0, accuracy: str = "normal") -> Truth:
    """Run a job with its hidden numbers, finely; `fault` may be the lid (other for three days), the leaves (closing after noon) or all."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        events = lid_moved(job.box) if fault in ("lid", "all") else ()
        job = replace(job, accuracy=accuracy, record_every_min=every_min, events=(*job.events, *events))
        records = _closing(job) if fault in ("leaves", "all") else [run_job(job)]
    rows = [slice(0 if n == 0 else 1, None) for n in range(len(records))]
    gather = lambda f: np.concatenate([f(one)[part] for one, part in zip(records, rows, strict=True)])  # noqa: E731
    return Truth(
        dict(job.overrides),
        gather(lambda r: r.times_h),
        gather(lambda r: r.air_c),
        gather(lambda r: r.humidity_shown),
        of_records(records),
    )


def of_records(records: list[Record]) -> dict[str, float]:
    """Water lost as vapour and the pour that was needed [ml a day], air changes an hour, all after the first day."""
    lost = poured = changed = 0.0
    begins_h = records[0].times_h[0] + WARM_UP_H
    for one in records:
        rows = np.flatnonzero((one.times_h > begins_h + 1e-6) & (one.raw.t > one.raw.t[0]))
        if not rows.size:
            continue
        days = rows.size * one.step_s / 86400.0
        raw = one.raw
        lost += 1000.0 * sum(raw.amount(f"vapour_{way}")[rows].sum() for way in ("leak", "openings", "fan", "door"))
        poured += needed_ml(one, rows) * days
        changed += raw.amount("air_exchanged")[rows].sum() / one.air_mass_kg
    hours = records[-1].times_h[-1] - begins_h
    return {"loss": 24.0 * lost / hours, "pour": max(0.0, 24.0 * poured / hours), "exchange": changed / hours}


def lid_moved(box: tl.Box) -> tuple[tl.Event, ...]:
    """The cover of the first opening taken away for days 6 to 9, or laid over it where there was none; nothing in a shut box."""
    if not box.enclosure.openings:
        return ()
    one = box.enclosure.openings[0]
    return (tl.Event(6, 9, {f"enclosure.openings.{one.name}.covered": 0.0 if one.covered > 0.2 else 0.7}),)


def _closing(job: Job) -> list[Record]:
    """A run whose leaves close after noon, every day: another law than the one that is learned with."""
    begins_h = seconds(job.start_at) / 3600.0
    edges = [
        begins_h,
        *(h for h in range(12, 24 * 400, 12) if begins_h < h < begins_h + 24.0 * job.days),
        begins_h + 24.0 * job.days,
    ]
    found: list[Record] = []
    for first, last in pairwise(edges):
        factor = CLOSED if first % 24.0 >= 12.0 else 1.0
        now = {key: factor * x if key.endswith("resistance_full") else x for key, x in job.overrides.items()}
        part = replace(job, days=(last - first) / 24.0, overrides=now)
        if found:  # a run refuses to go on with other numbers, but these leaves do just that
            before = found[-1]
            before = Record(before.box, before.season, before.raw, {**before.settings, "overrides": now})
            part = replace(part, start=before, start_at="00:00")
        found.append(run_job(part))
    return found


# -- what a sensor makes of it ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Errors:
    """Errors of a sensor's log. Pairs are K and points RH; what `wanders` is the model's own error, as a likelihood states it.

    `offset`: spread of what it reads too high. `noise` of each row, `steps` it is rounded to. `lag_min`: from, to. `clock_min`:
    spread of its clock's error. `missing`: share of rows lost one by one; `gap_h`: longest gap. `gain`: of humidity about 50 %.
    `daily`, `slow`, `block`: spreads of the model's error that repeats every day, that forgets itself in a day, of six hours.
    """

    offset: tuple[float, float] = (0.5, 3.0)
    noise: tuple[float, float] = (0.1, 0.7)
    steps: tuple[float, float] = (0.1, 1.0)
    lag_min: tuple[float, float] = (5.0, 20.0)
    clock_min: float = 5.0
    missing: float = 0.01
    gap_h: float = 9.0
    gain: float = 1.0
    daily: tuple[float, float] = (0.0, 0.0)
    slow: tuple[float, float] = (0.0, 0.0)
    block: tuple[float, float] = (0.0, 0.0)


#: A model as imperfect as the likelihood says it is, and one that is perfect.
STATED = Errors(daily=(0.3, 2.0), slow=(0.2, 1.5), block=(0.15, 1.0))
PERFECT = Errors()


def readings(
    hours: np.ndarray, air: tuple[np.ndarray, np.ndarray], chance: np.random.Generator, errors: Errors = STATED
) -> list[np.ndarray]:
    """What a sensor in the box reads of its `air`, temperature and humidity: too high or too low, and astray as `errors` say."""
    found = []
    for place, shown in enumerate(air):
        if place == 1:
            shown = 50.0 + errors.gain * (shown - 50.0)
        shown = shown + _strays(chance, hours, *(getattr(errors, name)[place] for name in ("daily", "slow", "block")))
        shown = shown + chance.normal(0.0, errors.offset[place]) + chance.normal(0.0, errors.noise[place], len(shown))
        found.append(_rounded(shown, errors.steps[place]))
    found[1] = np.clip(found[1], 0.0, 100.0)
    return found


def logged(true: Truth, around: RoomState, rng: np.random.Generator, errors: Errors = STATED) -> Log:
    """The log that a sensor in the box and one in the room would have written, on one clock that is a little wrong."""
    hours, step_h = true.hours, float(true.hours[1] - true.hours[0])
    lag = 1.0 - np.exp(-60.0 * step_h / rng.uniform(*errors.lag_min))
    inside = readings(hours, (_lagging(true.air_c, lag), _lagging(true.humidity, lag)), rng, errors)
    still = np.random.default_rng(5)  # the room's sensor is the same for all truths of a room
    outside = [
        _rounded(signal.at(3600.0 * hours) + still.normal(0.0, noise, len(hours)), step)
        for signal, noise, step in zip((around.temperature, around.humidity), errors.noise, errors.steps, strict=True)
    ]
    kept = rng.random(len(hours)) >= errors.missing
    begins = rng.uniform(hours[0] + WARM_UP_H, hours[-1] - 24.0)
    kept &= (hours < begins) | (hours > begins + rng.uniform(0.0, errors.gap_h))
    # whatever its clock, the log has the same whole hours, so that one bank serves all logs of a box
    kept &= (hours > hours[0] + 0.5) & (hours < hours[-1] - 0.5)
    shift_s = round(60.0 * errors.clock_min * rng.normal())
    times = FIRST + (3600.0 * hours).round().astype("timedelta64[s]") + np.timedelta64(shift_s, "s")
    room_log = SensorLog(outside[0][kept], outside[1][kept])
    top = inside[1][kept] >= 99.0
    sensors = {BOX: SensorLog(inside[0][kept], inside[1][kept], top if top.any() else None), ROOM: room_log}
    return Log(times[kept], sensors, missing_share=float(1.0 - kept.mean()))


def bottle(true: Truth, rng: np.random.Generator, error: float = 0.05) -> Weighed:
    """The vapour that was lost after the first day, weighed to a share of `error`."""
    lost = true.results["loss"]
    ends = FIRST + np.timedelta64(round(3600.0 * float(true.hours[-1])), "s")
    seen = lost * float(np.exp(error * rng.normal()))
    begins = FIRST + np.timedelta64(round(3600.0 * (float(true.hours[0]) + WARM_UP_H)), "s")
    return Weighed(begins, ends, seen, error * abs(lost), "box on a scale")


def _lagging(course: np.ndarray, share: float) -> np.ndarray:
    out = np.array(course, float)
    for i in range(1, len(out)):
        out[i] = out[i - 1] + share * (out[i] - out[i - 1])
    return out


def _rounded(values: np.ndarray, step: float) -> np.ndarray:
    return np.round(values / step) * step


def _strays(rng: np.random.Generator, hours: np.ndarray, daily: float, slow: float, block: float) -> np.ndarray:
    """The model's own error: a part that comes again every day, one that wanders, one of each six hours alone."""
    n = int(hours[-1]) + 2
    clock = np.arange(24)
    apart = np.abs(clock[:, None] - clock[None, :])
    apart = np.minimum(apart, 24 - apart)
    each = np.linalg.cholesky(np.exp(-apart / 8.0) + 1e-9 * np.eye(24)) @ rng.normal(size=24)
    wide = wandering(rng, n, 24.0, slow)
    alone = block * rng.normal(size=n // 6 + 1)
    at = np.arange(n)
    return np.interp(hours, at, daily * each[at % 24] + wide) + alone[(hours // 6.0).astype(int)]
