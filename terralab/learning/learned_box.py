"""From a fit to a description that holds what was learned: the box as it goes on, every answer of which uses it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from terralab.describe.box import Box
from terralab.describe.learned import Learned, LearnedResult, LearnedSensor, NotLearned
from terralab.describe.learned_fields import FEWEST
from terralab.describe.mean_room import logged_span, mean_day
from terralab.errors import TerralabError, quoted
from terralab.learning.fit import Fit
from terralab.quantities import said
from terralab.uncertainty.inputs import described as value_as_described
from terralab.uncertainty.inputs import name_of
from terralab.uncertainty.sampling import FIRST

KEPT = 256  # draws at most: a file of them is some 200 kB
LESSER = 0.3  # how much a number that decides little counts beside one that decides much


def learned_box(fit: Fit, described: Box | None = None, *, measure_next: str = "") -> Box:
    """Return the box with what `fit` taught, under its own name; nothing is written.

    `described`: the description that goes on, where it is another than the one driven by the log (None: that one). Its room
    now becomes the mean day of the logged room, since what was learned of the room's sensor belongs to that log. The draws
    come in an order in which the first few stand for all; of very many some are left out. `measure_next`: a sentence.
    Raises TerralabError where the log taught nothing that an answer may use.
    """
    if not isinstance(fit, Fit):
        raise TerralabError(f"learned_box needs a Fit; {quoted(fit)} was given.")
    size = min(map(len, fit.draws.values()), default=0)
    if not fit.usable or size < FEWEST:
        why = said(" ".join(one.why for one in fit.refusals))
        raise TerralabError(f"{fit.box.name}: the log taught nothing that an answer may use. {why}".strip())
    box = fit.box if described is None else described
    names = {key: name_of(fit.box, key) for key in fit.draws}
    values = np.column_stack([np.asarray(fit.draws[key], float)[:size] for key in names])
    rows = spread_first(values, tuple(names.values()), KEPT)
    hours = np.asarray(fit.hours, float)
    learned = Learned(
        began=fit.first_day.isoformat(),
        days=float(hours[-1] - hours[0] + 1.0) / 24.0,
        weighed=fit.weighed,
        clock_shift_min=fit.clock_shift_min,
        measure_next=_line(measure_next),
        results=tuple(
            LearnedResult(one.name, one.before, one.after, one.at_least, one.at_most)
            for one in fit.results.values()
            if np.isfinite([*one.before, *one.after]).all()
        ),
        sensors=tuple(LearnedSensor(one.place, one.quantity, one.offset, _finite(one.missed())) for one in fit.courses),
        refused=_refused(fit),
        described={name: value_as_described(fit.box, key) for key, name in names.items() if key.startswith("box.")},
        typical={name: fit.typical[key] for key, name in names.items()},
        draws={name: values[rows, j] for j, name in enumerate(names.values())},
    )
    now, span = fit.box.room.now, logged_span(fit.box.room.now, "now")
    room = replace(box.room, now=now if span is None else mean_day(now, *span))
    return replace(box, room=room, learned=learned)


def _refused(fit: Fit) -> tuple[NotLearned, ...]:
    """What was refused and why, each thing once; numbers that share a reason stand together."""
    found = {one.what: (one.why, one.ask) for one in fit.refusals}
    shared: dict[str, list[str]] = {}
    for one in (*fit.results.values(), *fit.numbers):
        if one.refused and one.name not in found:
            shared.setdefault(one.refused, []).append(one.name)
    found |= {", ".join(names): (why, "") for why, names in shared.items()}
    return tuple(NotLearned(_line(what, 200), _line(why) or "-", _line(ask)) for what, (why, ask) in found.items())


def _line(text: str, longest: int = 1000) -> str:
    """A text as one line, cut where it is too long for a file."""
    one = " ".join(said(text).split())
    return one if len(one) <= longest else f"{one[: longest - 4].rstrip()} ..."


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def spread_first(values: np.ndarray, names: tuple[str, ...], most: int) -> np.ndarray:
    """Rows of `values` (draws x numbers), at most `most`, in an order in which those that come first stand for all.

    Each next row is the one that brings the rows so far nearest to the whole: their distance to it (the energy distance, twice
    the mean distance to all rows less that among themselves) is least, over ranks, in which numbers that decide much count most.
    """
    n = len(values)
    ranks = np.argsort(np.argsort(values, axis=0, kind="stable"), axis=0, kind="stable") / max(1, n - 1)
    ranks = np.where(np.ptp(values, axis=0) > 0.0, ranks, 0.0)
    ends = tuple(end for one in FIRST for end in ((one,) if isinstance(one, str) else one))
    x = ranks * np.array([1.0 if name.endswith(ends) else LESSER for name in names])
    squares = np.sum(x**2, axis=1)
    apart = np.sqrt(np.maximum(0.0, squares[:, None] + squares[None, :] - 2.0 * x @ x.T))
    to_all = apart.mean(axis=1)
    taken: list[int] = []
    sum_all, sum_pairs, to_taken = 0.0, 0.0, np.zeros(n)
    free = np.ones(n, bool)
    for k in range(1, min(n, most) + 1):
        energy = 2.0 * (sum_all + to_all) / k - (sum_pairs + 2.0 * to_taken) / k**2
        best = int(np.argmin(np.where(free, energy, np.inf)))
        taken.append(best)
        free[best] = False
        sum_all += to_all[best]
        sum_pairs += 2.0 * to_taken[best]
        to_taken = to_taken + apart[best]
    return np.array(taken)
