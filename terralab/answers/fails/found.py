"""What was found of each failure: hours until the band is left and until danger, and the alarm that would tell in time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.answers.fails.alarms import Alarm
from terralab.answers.fails.faults import Fault
from terralab.answers.fails.flood import Flood
from terralab.answers.fails.runs import SCAN_H, Course, Plan, Season, followed
from terralab.describe.box import Box
from terralab.uncertainty import middle_range

Span = tuple[float, float, float]
MOSTLY = 0.5  # an alarm that shows a failure sounds in more of the boxes drawn
NEVER_H = 1e6  # stands for never where a middle is taken: a hundredth of it is longer than anything is followed
NEVER: Span = (math.inf, math.inf, math.inf)


@dataclass(frozen=True)
class InSeason:
    """One failure in the room of one season, begun at the worst `hour` of the day: (low, middle, high) hours; inf is never.

    `band`, `danger`: until the band is left and until danger, and `band_what`, `danger_what` which limit that is; `warm`, `warm_what`:
    until the band of temperature is left, and to which side. `alarm`: the alarm that leaves most time, None where none sounds in most boxes; `alarm_h` when it sounds; `spare` hours from then until
    danger, or until the band is left where there is no danger (negative: it comes too late), None where neither comes;
    `caught`: in what share of the boxes it sounds in time. `back`: until it is back inside all limits (mains alone).
    `far_c`, `far_rh`: what the air comes to where it is farthest from what is usual at that hour [C, % RH], and `far_k`,
    `far_points` how far that is. `ran`: how many boxes drawn stand behind it.
    """

    season: str
    hour: int
    band: Span
    band_what: str
    danger: Span
    danger_what: str
    warm: Span
    warm_what: str
    alarm: Alarm | None
    alarm_h: Span
    spare: Span | None
    caught: float
    back: Span
    far_c: float
    far_k: float
    far_rh: float
    far_points: float
    ran: int

    @property
    def key(self) -> tuple[float, ...]:
        """What is worse comes first: danger, then the temperature wanted, then the humidity, then how far the air strays."""
        of = (self.danger, self.warm, self.band)
        return (*(span[1] for span in of), *(span[0] for span in of), -round(abs(self.far_k), 2))

    @property
    def shown(self) -> bool:
        """Whether an alarm in the box would show it at all."""
        return self.alarm is not None

    def to_dict(self) -> dict[str, Any]:
        """The same as plain words and numbers, None for never."""
        hours = lambda span: None if span is None else [None if math.isinf(x) else round(x, 2) for x in span]  # noqa: E731
        return {
            "season": self.season,
            "begins_at_hour": self.hour,
            "hours_until_out_of_band": hours(self.band),
            "out_of_band": self.band_what,
            "hours_until_danger": hours(self.danger),
            "danger": self.danger_what,
            "hours_until_too_hot_or_cold": hours(self.warm),
            "alarm": "" if self.alarm is None else str(self.alarm.kind),
            "alarm_limit": None if self.alarm is None else self.alarm.limit,
            "hours_until_alarm": hours(self.alarm_h),
            "hours_to_spare": hours(self.spare),
            "caught_in_time": round(self.caught, 2),
            "hours_until_back": hours(self.back),
            "farthest_air_c": round(self.far_c, 1),
            "warmer_than_usual_k": round(self.far_k, 1),
            "farthest_humidity_percent": round(self.far_rh),
            "damper_than_usual_points": round(self.far_points),
            "ran": self.ran,
        }


@dataclass(frozen=True)
class Failing:
    """One thing that fails, in each season that was asked for."""

    fault: Fault
    seasons: Mapping[str, InSeason]

    @property
    def worst(self) -> InSeason:
        """The season in which it is worst."""
        return min(self.seasons.values(), key=lambda one: one.key)

    def to_dict(self) -> dict[str, Any]:
        """The same as plain words and numbers, the worst season's first."""
        return {
            "fault": self.fault.words,
            "device": self.fault.name,
            "kind": str(self.fault.kind),
            **self.worst.to_dict(),
            "seasons": {name: one.to_dict() for name, one in self.seasons.items()},
        }


@dataclass(frozen=True)
class Fails:
    """All that was found: each failure (worst first), floods by device, and the alarms of each season."""

    failing: tuple[Failing, ...]
    floods: tuple[Flood, ...]
    alarms: Mapping[str, tuple[Alarm, ...]]
    seasons: tuple[Season, ...]
    left_out: tuple[str, ...]
    not_run: tuple[str, ...]
    plan: Plan


def found_of(box: Box, seasons: Sequence[Season], faults: Sequence[Fault]) -> tuple[list[Failing], list[str]]:
    """Each failure in each season, worst first, and the words of those that could not be run."""
    held: dict[Fault, dict[str, InSeason]] = {fault: {} for fault in faults}
    for season in seasons:
        begins = season.plan.hours
        cases = [(fault, hour, season.typical) for fault in faults for hour in begins]
        scanned = iter(followed(box, season, cases, SCAN_H))
        hours = {fault: _worst_hour([next(scanned) for _ in begins], begins) for fault in faults}
        drawn = [(fault, hours[fault], one) for fault in faults for one in season.members]
        ran = iter(followed(box, season, drawn, season.plan.watched_h))
        for fault in faults:
            courses = [course for _ in season.members if (course := next(ran)) is not None]
            if 2 * len(courses) >= len(season.members) and courses:
                held[fault][season.name] = _in_season(season, hours[fault], courses)
    found = [Failing(fault, one) for fault, one in held.items() if one]
    return sorted(found, key=lambda one: one.worst.key), [fault.words for fault, one in held.items() if not one]


def _worst_hour(courses: Sequence[Course | None], hours: Sequence[int]) -> int:
    """The hour of the day at which a failure does most, as the typical box has it."""
    ran = [(course.key, hour) for course, hour in zip(courses, hours, strict=True) if course is not None]
    return min(ran)[1] if ran else hours[0]


def _in_season(season: Season, hour: int, courses: Sequence[Course]) -> InSeason:
    band, danger = (np.array([getattr(one, name) for one in courses]) for name in ("band", "danger"))
    sounds = np.array([one.alarms for one in courses]).reshape(len(courses), len(season.alarms))
    alarm, spare, caught, alarm_h = _best_alarm(season.alarms, sounds, np.where(np.isinf(danger), band, danger))
    middle = lambda name: float(np.median([getattr(one, name) for one in courses]))  # noqa: E731
    return InSeason(
        season.name, hour, span_of(band), _mostly([one.band_what for one in courses]), span_of(danger),
        _mostly([one.danger_what for one in courses]), span_of(np.array([one.warm for one in courses])),
        _mostly([one.warm_what for one in courses]), alarm, alarm_h, spare, caught,
        span_of(np.array([one.back for one in courses])), middle("far_c"), middle("far_k"), middle("far_rh"),
        middle("far_points"), len(courses),
    )  # fmt: skip


def _best_alarm(
    alarms: Sequence[Alarm], sounds: np.ndarray, until: np.ndarray
) -> tuple[Alarm | None, Span | None, float, Span]:
    """The alarm that sounds in time in most boxes and leaves most hours; None where none sounds in most of them."""
    best: tuple[tuple[float, float], int] | None = None
    for j in range(len(alarms)):
        heard = np.isfinite(sounds[:, j])
        if heard.mean() <= MOSTLY:
            continue
        in_time = float(np.mean(heard & (sounds[:, j] <= until)))
        rank = (in_time, -float(np.median(sounds[:, j])))
        if best is None or rank > best[0]:
            best = rank, j
    if best is None:
        return None, None, 0.0, NEVER
    (caught, _), j = best
    both = np.isfinite(sounds[:, j]) & np.isfinite(until)
    spare = middle_range(until[both] - sounds[both, j]) if both.any() else None
    return alarms[j], spare, caught, span_of(sounds[:, j])


def span_of(hours: np.ndarray) -> Span:
    """(low, middle, high) of hours of which some are inf; an end that lies among those that never come is inf."""
    ends = middle_range(np.where(np.isinf(hours), NEVER_H, hours))
    return tuple(math.inf if end > 0.01 * NEVER_H else end for end in ends)  # type: ignore[return-value]


def _mostly(words: Sequence[str]) -> str:
    """The word that comes most often, of those that are any; "" where none is."""
    said = [word for word in words if word]
    return max(said, key=said.count) if said else ""
