"""From bank and members to what a keeper is told: results, numbers, courses, and the draws that every answer takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fnmatch import fnmatch

import numpy as np

from terralab.describe.box import Box
from terralab.describe.number_words import LEAF_LAWS
from terralab.describe.part import cautions_untold
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.learning.bank import Runs
from terralab.learning.case import Case
from terralab.learning.courses import courses_of
from terralab.learning.fit import RESULTS, Fit, Narrowed, Refusal
from terralab.learning.logged_box import OF_THE_LOG, LoggedBox
from terralab.learning.smoother import Smoother, cut
from terralab.learning.unknowns import Unknowns
from terralab.uncertainty.spread import middle_range

# Twins with a wrong law of leaves held the true resistance in half of the ranges.
LAW_WHY = "It takes up what the law of leaves gets wrong, so a log teaches nothing sure of it."
APART = 0.25  # of the width: members and regression that differ by more are not both right, so the wider counts


@dataclass(frozen=True, eq=False)
class Taught:
    """What the bank alone makes of a log: the smoother with its errors as wide as they must be, and what is refused.

    `refused`: by result, those of which such a log tells nothing. `against`: what speaks against the description as a whole. `doubts`: other
    contradictions. `bounds`: by result, what is known on one side alone.
    """

    smoother: Smoother
    refused: Mapping[str, Refusal]
    against: tuple[Refusal, ...]
    doubts: tuple[Refusal, ...] = ()
    bounds: Mapping[str, tuple[float | None, float | None]] = field(default_factory=dict)


def concluded(box: Box, case: Case, runs: Runs, learned: Taught, moved: Runs, settings: Mapping[str, float]) -> Fit:
    """Return the fit of a case from its bank, what that taught, and the members run again."""
    smoother, refused, against = learned.smoother, learned.refused, learned.against
    results = {}
    for name in RESULTS:
        before = middle_range(runs.results[name])
        why = against[0].why if against else refused[name].why if name in refused else ""
        after = before if why else wider(cut(moved.results[name], smoother.cuts(name)), smoother.after(name))
        results[name] = Narrowed(name, RESULTS[name], before, after, why, *learned.bounds.get(name, (None, None)))
    usable = not against and any(not one.refused for one in results.values())
    means = case.blocks.means(moved.read)
    residual = case.blocks.y - means
    offsets = smoother.errors.offsets(residual, np.random.default_rng([smoother.seed, 1]))
    draws = _draws(case, moved) if usable else {}
    middle = _middle(moved)
    return Fit(
        box=with_room(box, case.logged),
        first_day=case.logged.window.first_day,
        hours=case.logged.window.hours[case.shown],
        courses=courses_of(case, runs, moved, smoother, residual, offsets),
        results=results,
        numbers=_numbers(case.unknowns, runs, moved),
        draws=draws,
        typical={key: held[middle] for key, held in draws.items()},
        refusals=(*learned.doubts, *against, *refused.values()),
        usable=usable,
        misfit=smoother.misfit(means.mean(axis=0)),
        widened=smoother.errors.model,
        weighed=len(smoother.more),
        settings=settings,
        members={key: tuple(map(float, moved.values[:, j])) for j, key in enumerate(case.unknowns.keys)},
        outcomes={name: tuple(map(float, values)) for name, values in moved.results.items()},
    )


def wider(one: tuple[float, float, float], other: tuple[float, float, float]) -> tuple[float, float, float]:
    """Return the range of the members `one`, or that of the regression `other` where that is wider by over a quarter."""
    return other if other[2] - other[0] > (1.0 + APART) * (one[2] - one[0]) else one


def _draws(case: Case, moved: Runs) -> dict[str, tuple[float, ...]]:
    """The members' values by the keys that a run's overrides know.

    A room whose sensor is off in several ways comes down to how much warmer and damper it was than read, on the mean.
    """
    unknowns, logged = case.unknowns, case.logged
    held = {key: moved.values[:, j] for j, key in enumerate(unknowns.keys) if key not in OF_THE_LOG}
    if logged.room_c is not None:
        rooms = [logged.room(dict(zip(unknowns.keys, row, strict=True))) for row in moved.values]
        held["room.temperature"] = np.array([np.mean(one.temperature.values) for one in rooms]) - logged.room_c.mean()
        held["room.humidity"] = np.array([np.mean(one.humidity.values) for one in rooms]) - logged.room_rh.mean()
    return {key: tuple(map(float, values)) for key, values in sorted(held.items())}


def _middle(moved: Runs) -> int:
    """The member in the middle: nearest to the middles of the results, each by its spread, and of the unknowns."""
    results = np.column_stack([np.log(np.maximum(1e-9, values)) for values in moved.results.values()])
    apart = lambda x: ((x - np.median(x, axis=0)) / np.maximum(1e-9, x.std(axis=0))) ** 2  # noqa: E731
    return int(np.argmin(apart(results).mean(axis=1) + 0.5 * apart(moved.z).mean(axis=1)))


def _numbers(unknowns: Unknowns, runs: Runs, moved: Runs) -> tuple[Narrowed, ...]:
    """Each uncertain input before and after, those narrowed most first."""
    found = []
    for j, one in enumerate(unknowns.inputs):
        before, after = middle_range(runs.values[:, j]), middle_range(moved.values[:, j])
        law = any(fnmatch(one.key, pattern) for pattern in LEAF_LAWS)
        found.append(Narrowed(one.key, one.unit, before, before if law else after, LAW_WHY if law else ""))
    return tuple(sorted(found, key=lambda one: one.width_left))


def with_room(box: Box, logged: LoggedBox) -> Box:
    """Return the box as described, in the room as it was logged, which comes again after its end; without what was learned before."""
    with cautions_untold():
        box = box if box.learned is None else replace(box, learned=None)
    if logged.room_c is None:
        return box
    hours, state = tuple(logged.room_h.tolist()), logged.room({})
    now = RoomState(
        Signal.trusted(hours, state.temperature.values, True), Signal.trusted(hours, state.humidity.values, True)
    )
    with cautions_untold():
        return replace(box, room=replace(box.room, now=now))
