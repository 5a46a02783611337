"""Why a log changed: each cause let happen at that time in a few of the boxes drawn, and held against the step that was found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from terralab.answers.normal.causes import Cause, Group, causes_of
from terralab.answers.normal.change import DAY_FROM_H, DAY_TO_H, Change, Search, Step
from terralab.answers.normal.judged import OFF_K, OFF_POINTS, TELLS, TOO_WARM_K
from terralab.answers.normal.log_model import Model
from terralab.answers.normal.runs import heated
from terralab.learning.bank import zone_at
from terralab.learning.errors import BLOCK_H
from terralab.learning.readings import HUMIDITY, TEMPERATURE, Channel
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many
from terralab.units import DAY_S, HOUR_S

BRANCHED = 6
FOLLOWED_D = 4.0  # days after the change that a cause is followed, where the change lasts
NOON_S = 43200.0
MODEL_MISSES = (0.2, 1.0)  # K, points: by which the size of what a cause does is itself uncertain (a choice)
_TOO_SHORT = ("just opened", "just sprayed")  # what is over within the hour leaves no step in a log


@dataclass(frozen=True, eq=False)
class Explained:
    """A cause beside the step that was found: its share of all causes, its likelihood, and the step it makes by channel and part."""

    cause: Cause
    share: float
    likelihood: float
    makes: np.ndarray

    def to_dict(self) -> dict[str, Any]:
        """The same as plain words and numbers."""
        return {
            "cause": self.cause.key,
            "words": self.cause.words,
            "kind": str(self.cause.group),
            "share": round(self.share, 3),
            "makes": [None if not np.isfinite(x) else round(float(x), 2) for x in self.makes],
            "look": self.cause.look,
            "weight_before": self.cause.weight,
        }


def explained(model: Model, change: Change) -> tuple[tuple[Explained, ...], tuple[str, ...]]:
    """The causes, likeliest first, and the words of those that could not be run."""
    begins = change.begins_h
    ends = min(model.blocks.at_h.max() + BLOCK_H, change.ends_h, begins + 24.0 * FOLLOWED_D)
    found, error = _size_until(model, begins, ends)
    usual, rooms = _usual(model, begins, ends)
    causes = [one for one in causes_of(model.logged.box, "now", model.room_logged, NOON_S)[0]
              if one.key not in _TOO_SHORT and not one.from_dry]  # fmt: skip
    made, failed = _made(model, causes, begins, ends)
    members = {key: (cause, steps, np.zeros((len(found), len(found)))) for key, (cause, steps) in made.items()}
    for cause, steps, more in _of_sensor(model, usual, rooms):
        members[cause.key] = (cause, steps, more)
    own = np.diag(
        [MODEL_MISSES[0 if one.quantity == TEMPERATURE else 1] ** 2 for one in model.channels for _ in range(2)]
    )
    out = []
    for cause, steps, more in members.values():
        if len(steps) <= BRANCHED:  # few boxes stand for all: a normal spread about their mean
            spread = np.cov(steps.T) if len(steps) > 1 else 0.0
            likely = _density(found - steps.mean(axis=0), error + spread + own + more)
        else:
            likely = float(np.mean([_density(found - one, error + own + more) for one in steps]))
        out.append((cause, likely, steps.mean(axis=0)))
    whole = sum(likely * cause.weight for cause, likely, _ in out)
    ranked = sorted(out, key=lambda one: -one[0].weight * one[1])
    return tuple(
        Explained(cause, likely * cause.weight / whole if whole > 0.0 else 0.0, likely, makes)
        for cause, likely, makes in ranked
    ), tuple(failed)


def alike(ranked: Sequence[Explained]) -> tuple[Explained, ...]:
    """The causes that the log does not tell from the first."""
    return tuple(one for one in ranked[1:] if TELLS * one.likelihood >= ranked[0].likelihood > 0.0)


def _size_until(model: Model, begins: float, ends: float) -> tuple[np.ndarray, np.ndarray]:
    """The size of a step that is looked at from its beginning to `ends`, with blocks after it left out."""
    before = model.blocks.at_h < ends - 1e-9
    blocks = model.blocks.only(before)
    part = replace(
        model,
        blocks=blocks,
        means=model.means[:, before],
        errors=model.errors[np.ix_(before, before)],
        middle=model.middle[before],
    )
    search = Search(part, part.means, (), np.zeros((0, 0, 0)))
    size, error = search.size(Step(begins, np.inf), part.y - part.means.mean(axis=0))
    lacking = ~np.isfinite(size)
    size = np.where(lacking, 0.0, size)
    error = np.where(lacking[:, None] | lacking[None, :], 0.0, error) + np.diag(np.where(lacking, 1e6, 0.0))
    return size, error


def _parts(model: Model, rows: Sequence[np.ndarray], hours: np.ndarray) -> np.ndarray:
    """Means by channel and part of the day of hourly courses (one a channel)."""
    clock = (hours - 1) % 24
    day = (clock >= DAY_FROM_H) & (clock < DAY_TO_H)
    out = []
    for row in rows:
        out += [row[these].mean() if these.any() else row.mean() for these in (day, ~day)]
    return np.array(out)


def _usual(model: Model, begins: float, ends: float) -> tuple[np.ndarray, np.ndarray]:
    """(boxes x parts) what the boxes drawn show in the time of the change, and what the room had."""
    hours = model.window.hours
    these = (hours > begins) & (hours <= ends)
    usual = np.array(
        [_parts(model, [read[i, these] for read in model.runs.read], hours[these]) for i in range(model.runs.size)]
    )
    state = model.logged.box.room.now
    at = HOUR_S * (hours[these] - 0.5)
    course = {True: np.asarray(state.temperature.at(at), float), False: np.asarray(state.humidity.at(at), float)}
    rooms = _parts(
        model, [np.broadcast_to(course[one.quantity == TEMPERATURE], at.shape) for one in model.channels], hours[these]
    )
    return usual, rooms


def _made(
    model: Model, causes: Sequence[Cause], begins: float, ends: float
) -> tuple[Mapping[str, tuple[Cause, np.ndarray]], list[str]]:
    """The step that each cause makes in a few boxes drawn: (boxes x parts) by key, and the words of those that could not be run."""
    begins_s, first_s = HOUR_S * begins, HOUR_S * model.window.begins
    jobs = [model.logged.job(row) for row in model.rows[:BRANCHED]]
    until = [replace(job, days=(begins_s - first_s) / DAY_S) for job in jobs]
    starts = run_many(until, failed="error")
    good = [i for i, start in enumerate(starts) if isinstance(start, Record)]
    days = (HOUR_S * ends - begins_s) / DAY_S
    branches: list[Job] = []
    for cause in (None, *causes):
        for i in good:
            more = (
                () if cause is None else tuple(cause.events(jobs[i].box, jobs[i].box.room.now, begins_s, HOUR_S * ends))
            )
            branches.append(
                replace(jobs[i], days=days, start=starts[i], start_at="00:00", events=(*jobs[i].events, *more))
            )
    ran = run_many(branches, failed="error")
    hours = np.arange(round(begins) + 1, round(ends) + 1)
    steps: dict[str, tuple[Cause, np.ndarray]] = {}
    failed = []
    ordinary = [_shown(model, record, hours) for record in ran[: len(good)]]
    for n, cause in enumerate(causes, 1):
        here = [
            _shown(model, record, hours) - before
            for record, before in zip(ran[n * len(good) : (n + 1) * len(good)], ordinary, strict=True)
            if isinstance(record, Record) and before is not None
        ]
        if len(here) < 2:
            failed.append(cause.words)
            continue
        steps[cause.key] = (cause, np.array(here))
    return steps, failed


def _shown(model: Model, record: Record | Exception, hours: np.ndarray) -> np.ndarray | None:
    """Means by channel and part of one branch; None where it could not be run."""
    if not isinstance(record, Record):
        return None
    per = round(HOUR_S / record.step_s)
    courses = [_course(record, one)[1:].reshape(-1, per).mean(axis=1) for one in model.channels]
    return _parts(model, courses, hours[: len(courses[0])])


def _course(record: Record, channel: Channel) -> np.ndarray:
    zone = zone_at(record, channel.place)
    if channel.quantity == TEMPERATURE:
        return record.air_c if zone is None else record.zone_c(zone)
    return record.humidity_shown if zone is None else record.zone_humidity(zone)


def _of_sensor(model: Model, usual: np.ndarray, rooms: np.ndarray) -> list[tuple[Cause, np.ndarray, np.ndarray]]:
    """What a sensor does that begins to err: the cause, the steps it makes (samples x parts), and how they spread beside."""
    n = usual.shape[1]
    nothing, none = np.zeros((1, n)), np.zeros((n, n))
    out = []
    for place in dict.fromkeys(one.place for one in model.channels):
        whose = "" if place == "box" else f" ({place})"
        own = {one.quantity: c for c, one in enumerate(model.channels) if one.place == place}

        def alone(quantity: str, sd: float, own: dict[str, int] = own) -> np.ndarray:
            flags = np.zeros(n)
            flags[2 * own[quantity] : 2 * own[quantity] + 2] = 1.0
            return np.outer(flags, flags) * sd**2

        def add(key: str, words: str, weight: float, look: str, steps: np.ndarray, spread: np.ndarray, whose: str = whose,
                place: str = place) -> None:  # fmt: skip
            cause = Cause(f"{key}: {place}", Group.SENSOR, f"{words}{whose}", weight, look, lambda *_: ())
            out.append((cause, steps, spread))

        if HUMIDITY in own:
            add("sensor humidity", "the hygrometer has drifted", 3.0, "seal it in a bag with damp salt for a day: 75 %",
                nothing, alone(HUMIDITY, OFF_POINTS))  # fmt: skip
            wet = np.zeros_like(usual)
            h = own[HUMIDITY]
            wet[:, 2 * h : 2 * h + 2] = 100.0 - usual[:, 2 * h : 2 * h + 2]
            if np.median(wet) > 1.0 or n == 2:
                add("sensor wet", "the sensor is wet", 2.0, "dry it, hang it out of the spray", wet, none)
        if TEMPERATURE in own:
            add("sensor temperature", "the thermometer has drifted", 1.0, "lay a second thermometer beside it",
                nothing, alone(TEMPERATURE, OFF_K))  # fmt: skip
        if len(own) == 2 and model.box.routine.lamps:
            t, h = own[TEMPERATURE], own[HUMIDITY]
            day = []
            for by in TOO_WARM_K[:3]:
                warm = heated(usual[:, [2 * t, 2 * h]], by) - usual[:, [2 * t, 2 * h]]
                step = np.zeros_like(usual)
                step[:, 2 * t], step[:, 2 * h] = warm[:, 0], warm[:, 1]
                day.append(step)
            add(
                "sensor heated",
                "the sensor hangs in the light of a lamp",
                2.0,
                "shade it, or hang it elsewhere",
                np.vstack(day),
                none,
            )
        lies = np.zeros_like(usual)
        for c in own.values():
            lies[:, 2 * c : 2 * c + 2] = rooms[2 * c : 2 * c + 2] - usual[:, 2 * c : 2 * c + 2]
        add("sensor outside", "the sensor lies outside the box", 1.0, "does it hang where it should?", lies, none)
    return out


def _density(gap: np.ndarray, cov: np.ndarray) -> float:
    sign, log = np.linalg.slogdet(2.0 * np.pi * cov)
    return float(np.exp(-0.5 * (gap @ np.linalg.solve(cov, gap) + log))) if sign > 0 else 0.0
