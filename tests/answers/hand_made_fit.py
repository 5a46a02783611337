"""A fit made by hand, so that words and pictures are tried without learning anything: a box, a log of it, ranges before and after."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

import terralab as tl
from terralab.learning.fit import EXCHANGE, LOSS, POUR, RESULTS, Course, Fit, Narrowed, Refusal
from terralab.simulation.simulate import Job, run_many
from terralab.uncertainty import ensemble, middle_range, uncertain_inputs

DAYS, MEMBERS, DROPPED_H = 6, 16, 24
OFFSET = {"temperature": (0.1, 0.4, 0.8), "humidity": (1.6, 3.4, 4.9)}


@cache
def made(demo: str = "fern-hollow") -> Fit:
    """A fit whose members are draws of the demo: all of them before, two of them after; the log is one of the two."""
    box = tl.load(demo)
    found = ensemble(box, MEMBERS)
    jobs = [Job(box, DAYS, overrides=one, accuracy="preview", record_every_min=60) for one in found.overrides]
    records = run_many(jobs)
    hours = np.arange(DROPPED_H + 1, DAYS * 24 + 1)
    rng = np.random.default_rng(3)
    courses = []
    for quantity, noise, of in (
        ("temperature", 0.1, lambda record: record.air_c),
        ("humidity", 0.8, lambda record: record.humidity_shown),
    ):
        runs = np.array([of(record)[hours] for record in records]) + OFFSET[quantity][1]
        band = lambda rows: np.array([middle_range(at) for at in rows.T]).T  # noqa: E731
        measured = runs[0] + noise * rng.normal(size=len(hours))
        at_least = np.zeros(len(hours), bool)
        if quantity == "humidity":
            top = np.quantile(measured, 0.95)
            measured, at_least = np.minimum(measured, top), measured >= top
        measured[50:54] = np.nan
        held = band(runs[:3])
        held[:, hours < 0.6 * hours[-1]] = np.nan
        courses.append(Course("box", quantity, measured, at_least, band(runs), band(runs[:2]), held, OFFSET[quantity]))
    rows = np.arange(DROPPED_H + 1, DAYS * 24 + 1)
    loss = np.array([record.vapour_out_ml_a_day(rows) for record in records])
    air = np.array(
        [record.air_exchanged_kg[rows].sum() / record.air_mass_kg / (DAYS * 24 - DROPPED_H) for record in records]
    )
    results = {
        name: Narrowed(name, RESULTS[name], middle_range(values), middle_range(values[:2]))
        for name, values in ((LOSS, loss), (POUR, 0.7 * loss), (EXCHANGE, air))
    }
    values, keys = found.values, [one.key for one in found.inputs]
    units = {one.key: one.unit for one in uncertain_inputs(box)}
    numbers = sorted(
        (
            Narrowed(key, units[key], middle_range(values[:, j]), middle_range(values[:2, j]))
            for j, key in enumerate(keys)
        ),
        key=lambda one: one.width_left,
    )
    return Fit(
        box=box,
        first_day=np.datetime64("2026-03-02").item(),
        hours=hours,
        courses=tuple(courses),
        results=results,
        numbers=tuple(numbers),
        draws={key: tuple(map(float, values[:, j])) for j, key in enumerate(keys)},
        typical=found.overrides[0],
        clock_shift_min=25.0,
        weighed=1,
        settings={"bank": 16, "members": 2},
    )


NO_ML = Refusal(
    "no information",
    LOSS,
    "A humidity log tells the ratio of evaporation to air exchange, not the ml a day.",
    "Weigh the watering bottle before and after each use for two weeks, and what you siphon off.",
)
LAMP = Refusal(
    "contradiction",
    "plant light",
    'The log warms up at 09:00, when "plant light" as described has burned since 07:30.',
    "Look at its timer.",
)
NOT_THIS_BOX = Refusal(
    "outside the tables",
    "mesh law.factor",
    "No box that the tables allow reads like this: more air would have to pass the mesh than any mesh lets through.",
    "Look for an opening that the description lacks.",
)


def refused(demo: str = "fern-hollow", *why: Refusal) -> Fit:
    """The same fit with nothing learned, for these reasons."""
    fit = made(demo)
    words = why[0].why if why else ""
    unchanged = {name: replace(one, after=one.before, refused=words) for name, one in fit.results.items()}
    return replace(fit, usable=False, draws={}, typical={}, results=unchanged, refusals=tuple(why), weighed=0)


@cache
def _run(demo: str) -> tl.Record:
    return tl.simulate(made(demo).box, DAYS, record_every_min=60, accuracy="preview")


def record_of(fit: Fit) -> tl.Record:
    """A run of its box over the days that it compares."""
    return _run(next(name for name in tl.demos() if tl.load(name).name == fit.box.name))
