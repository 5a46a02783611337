"""One settled day as pictures show it: the courses of the air hour by hour, what is wanted, and when it is outside that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.answers.common.brief import NEAR
from terralab.answers.common.fair_rows import fair_days
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.statement import Verdict
from terralab.answers.common.temperature import NEAR_K, Heat, heat_of, last_days
from terralab.describe.box import HumidityTarget
from terralab.describe.seasons import room_of
from terralab.describe.wanted import Temperatures, temperatures_wanted
from terralab.show.figures.days import DAY_FROM_S, DAY_TO_S
from terralab.simulation.record import Record
from terralab.units import DAY_S

LEAST_H = 0.5  # what lasts less is not told in the bar of what is right and wrong


@dataclass(frozen=True)
class Course:
    """One thing over the day at `hours` [h], and `low` and `high` of the central 80 % of the draws at `band_hours`, if known."""

    values: np.ndarray
    band_hours: np.ndarray | None = None
    low: np.ndarray | None = None
    high: np.ndarray | None = None


@dataclass(frozen=True)
class Wanted:
    """What is wanted of one thing by day and by night, and by how much it may be missed before that is told."""

    day: tuple[float, float]
    night: tuple[float, float]
    near: float
    under: str
    over: str

    def ends(self, by_day: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The lower and the upper end at each moment, of which `by_day` are in the day."""
        low, high = (np.where(by_day, self.day[k], self.night[k]) for k in (0, 1))
        return low, high


@dataclass(frozen=True)
class SettledDay:
    """The settled day of a record: `hours` [h after midnight], humidity [%] and temperature [C] of the air and of its parts.

    `parts`: of each air that stands apart ("below", "above", "hide") humidity and temperature. `rh_wanted`, `c_wanted`: None
    where nothing is known. `danger`: what is dangerous, in a few words, such as "the ground reaches 52.3 °C"; "" where nothing
    is. Where something is, a picture says that first and calls nothing right.
    """

    hours: np.ndarray
    rh: Course
    c: Course
    parts: Mapping[str, tuple[np.ndarray, np.ndarray]]
    room_c: np.ndarray
    day_h: tuple[float, float]
    rh_wanted: Wanted | None
    c_wanted: Wanted | None
    danger: str = ""

    @property
    def by_day(self) -> np.ndarray:
        """Which of the hours are of the day; each stands for the step that ends then."""
        return in_day(self.hours - 1e-3, self.day_h)


def settled_day_of(
    record: Record, bands: Mapping[str, Any] | None = None, rows: np.ndarray | None = None
) -> SettledDay:
    """The settled day of `record`: its last week, or whole periods of what is done every few days (or `rows`), averaged by the time of day.

    `bands`: `details["settled_day"]` of the answer that the record belongs to, which knows how sure each hour is.
    """
    rows = last_days(record, fair_days(record.box)) if rows is None else rows
    hours = np.unique(clock_h(record, rows))
    fold = lambda values: folded(record, values, rows)  # noqa: E731
    apart = [zone for zone in record.zone_names if zone != "whole"]  # that one is the box itself, also beside a hide
    parts = {zone: (fold(record.zone_humidity(zone)), fold(record.zone_c(zone))) for zone in apart}
    target, warm = target_of(record.box)[0], temperatures_wanted(record.box)
    return SettledDay(
        hours,
        _course(hours, fold(record.humidity_shown), bands, "rh"),
        _course(hours, fold(record.air_c), bands, "temperature_c"),
        parts,
        fold(room_c(record)),
        day_hours(target),
        humidity_wanted(target),
        warmth_wanted(warm),
        danger_of(heat_of(record, rows)),
    )


def danger_of(heat: Heat) -> str:
    """What is dangerous of the warmth, in a few words for a picture; "" where nothing is."""
    return heat.why_danger[0].partition(",")[0] if heat.why_danger else ""


def with_danger(danger: str, answer: Any) -> str:
    """`danger` itself, or that the answer warns of another one, such as in winter or of a covered lid under a hot lamp."""
    warns = getattr(answer, "verdict", None) is Verdict.DANGEROUS
    return danger or ("read the warning first" if warns else "")


def _course(hours: np.ndarray, values: np.ndarray, bands: Mapping[str, Any] | None, what: str) -> Course:
    if not bands:
        return Course(values)
    at, ends = np.asarray(bands["hours"], float), bands[what]
    return Course(values, at, np.asarray(ends["low"], float), np.asarray(ends["high"], float))


def clock_h(record: Record, rows: np.ndarray) -> np.ndarray:
    """The time of day [h] at the end of the step of each row, above 0 and up to 24."""
    return np.round((np.mod(record.times_s[rows] - 1.0, DAY_S) + 1.0) / 3600.0, 4)


def folded(record: Record, values: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """The mean of a series over the days of `rows`, at each time of the day that they have."""
    _, at, counted = np.unique(clock_h(record, rows), return_inverse=True, return_counts=True)
    return np.bincount(at, np.asarray(values, float)[rows]) / counted


def room_c(record: Record) -> np.ndarray:
    """The temperature of the room [C] at each row."""
    signal = room_of(record.box, record.season).temperature
    return np.asarray(signal.at(record.times_s), float) + np.zeros(len(record.times_s))


def day_hours(target: HumidityTarget | None) -> tuple[float, float]:
    """When the day begins and ends [h after midnight]."""
    day = (DAY_FROM_S, DAY_TO_S) if target is None else (target.day_from_s, target.day_to_s)
    return day[0] / 3600.0, day[1] / 3600.0


def in_day(hours: np.ndarray, day_h: tuple[float, float]) -> np.ndarray:
    """Which hours lie in the day, which may run past midnight."""
    start, end = day_h
    hours = np.mod(hours, 24.0)
    return (hours >= start) & (hours < end) if start < end else (hours >= start) | (hours < end)


def spans_of(day_h: tuple[float, float]) -> dict[str, list[tuple[float, float]]]:
    """Hours of the day and of the night as stretches between 0 and 24."""
    start, end = day_h
    one = [(start, end)] if start < end else [(0.0, end), (start, 24.0)]
    other = [(0.0, start), (end, 24.0)] if start < end else [(end, start)]
    keep = lambda spans: [(a, b) for a, b in spans if b > a]  # noqa: E731
    return {"day": keep(one), "night": keep(other)}


def humidity_wanted(target: HumidityTarget | None) -> Wanted | None:
    """The humidity wanted [%], and what is said outside it."""
    if target is None:
        return None
    return Wanted((target.day_low, target.day_high), (target.night_low, target.night_high), NEAR, "too dry", "too damp")


def warmth_wanted(warm: Temperatures | None) -> Wanted | None:
    """The temperature wanted [C], and what is said outside it."""
    return None if warm is None else Wanted(warm.band("day"), warm.band("night"), NEAR_K, "too cold", "too hot")


def outside(values: np.ndarray, low: np.ndarray, high: np.ndarray, near: float) -> tuple[np.ndarray, np.ndarray]:
    """Where a course lies under and where it lies over what is wanted, by more than `near`."""
    return values < low - near, values > high + near


@dataclass(frozen=True)
class Stretch:
    """A stretch of the day [h] and what it is: "" as wanted, else such as "too dry".

    `whole`: "all night" or the like where it covers that. `nearly`: outside what is wanted by less than a keeper's
    instruments tell apart. `quiet`: that it is as wanted stays unsaid, since something else is dangerous.
    """

    start: float
    end: float
    word: str
    whole: str = ""
    nearly: bool = False
    quiet: bool = False

    @property
    def words(self) -> str:
        """What is written in the bar."""
        if self.quiet and not self.word:
            return ""
        if not self.word:
            return "nearly" if self.nearly else "as wanted"
        return f"{self.word} {self.whole}".strip()


def stretches(hours: np.ndarray, values: np.ndarray, wanted: Wanted, day_h: tuple[float, float]) -> list[Stretch]:
    """The day cut where it becomes right or wrong; stretches of less than half an hour go with the one before."""
    low, high = wanted.ends(in_day(hours - 1e-3, day_h))
    word = np.zeros(len(hours), int)
    for near, code in ((0.0, 2), (wanted.near, 1)):  # what is nearly as wanted first, then what is not
        under, over = outside(values, low, high, near)
        word = np.where(under, -code, np.where(over, code, word))
    word = np.where(np.abs(word) == 2, 2, word)
    starts = np.concatenate([[0.0], hours[:-1]])
    runs: list[list[float]] = []
    for start, end, one in zip(starts, hours, word, strict=True):
        if runs and runs[-1][2] == one:
            runs[-1][1] = float(end)
        else:
            runs.append([float(start), float(end), int(one)])
    kept: list[list[float]] = []
    for run in runs:
        if kept and (run[2] == kept[-1][2] or run[1] - run[0] < LEAST_H - 1e-6):
            kept[-1][1] = run[1]
        else:
            kept.append(run)
    said = {-1: wanted.under, 0: "", 1: wanted.over, 2: ""}
    wrong = {sign: [(a, b) for a, b, one in kept if one == sign] for sign in (-1, 1)}
    return [
        Stretch(a, b, said[int(sign)], _whole(a, b, wrong.get(int(sign), []), day_h), nearly=sign == 2)
        for a, b, sign in kept
    ]


def _whole(start: float, end: float, wrong: list[tuple[float, float]], day_h: tuple[float, float]) -> str:
    """ "all day", "all night" or "day and night" where all of that is wrong and lies partly in this stretch."""
    covers = lambda spans: all(any(a <= s + LEAST_H and b >= e - LEAST_H for a, b in wrong) for s, e in spans)  # noqa: E731
    all_of = {part: bool(spans) and covers(spans) for part, spans in spans_of(day_h).items()}
    if all(all_of.values()):
        return "day and night"
    for part, spans in spans_of(day_h).items():
        if all_of[part] and any(min(end, b) - max(start, a) > LEAST_H for a, b in spans):
            return f"all {part}"
    return ""


def right_or_wrong(found: Sequence[Stretch]) -> str:
    """The day in a few words: "as wanted", "too dry all night", "too dry for 6 h"; "" where there is nothing to say."""
    wrong = [one for one in found if one.word]
    if not wrong:
        if any(one.quiet for one in found):
            return ""
        nearly = any(one.nearly for one in found)
        return ("nearly as wanted" if nearly else "as wanted") if found else ""
    worst = max(wrong, key=lambda one: sum(w.end - w.start for w in wrong if w.word == one.word))
    whole = next((one.words for one in wrong if one.word == worst.word and one.whole), "")
    hours = sum(one.end - one.start for one in wrong if one.word == worst.word)
    return whole or f"{worst.word} for {max(1.0, hours):.0f} h"
