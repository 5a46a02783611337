"""Which uncertain numbers decide an answer, by Sobol indices: for those who want more than what to measure next."""

from __future__ import annotations

import numpy as np

from terralab.answers.common.balance import balancing_ml, with_pour
from terralab.answers.common.ensemble import SETTLE_DAYS, last_day, sampled
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.room_log import in_typical_room
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.errors import TerralabError, UnknownName
from terralab.simulation.record import Record
from terralab.uncertainty import Ensemble, UncertainInput, uncertain_inputs
from terralab.uncertainty.sampling import FIRST, MEMBERS, SEED, causes_of, dimensions, draws, values_at
from terralab.uncertainty.sensitivity import Indices, sobol
from terralab.validate import whole

QUESTIONS = ("water", "day humidity", "night humidity")
REST = "all others"
MOST_SAMPLES = 65536


@in_typical_room
def sensitivities(
    box: Box, question: str = "water", *, samples: int = 128, most: int = 8, season: str = "now"
) -> Indices:
    """Shares of the variance of an answer that come from its uncertain numbers, alone and in all.

    question: "water" (the daily pour), "day humidity" or "night humidity". A first sample of 128 members picks the
    `most` (1 to 30) numbers that go with the result most closely; they are varied one by one and all others together.
    It takes samples x (most + 3) runs of a hundredth of a second or so each; `samples` is a power of two from 8.
    Numbers that share a cause (the coarseness of a mix) count through it. Raises TerralabError for bad input.
    """
    needs_box(box, "sensitivities")
    if question not in QUESTIONS:
        raise UnknownName.among("question", question, QUESTIONS)
    most = whole("most", most, 1, 30)
    samples = whole("samples", samples, 8, MOST_SAMPLES)
    if samples & (samples - 1):
        raise TerralabError(f"samples must be a power of two from 8, such as 128; {samples!r} was given.")
    found = uncertain_inputs(box, season)
    target, _ = target_of(box)
    poured = with_pour(box, sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil"))

    def result(record: Record) -> float:
        rows = last_day(record)
        if question == "water":
            return balancing_ml(record, rows)
        return humidity(record, rows, target)[question.split()[0]]["mean"]

    def function(u: np.ndarray) -> np.ndarray:
        members = Ensemble(found, values_at(found, u[:, place]))
        return sampled(poured, SETTLE_DAYS, {"result": result}, season, found=members).results["result"]

    size = dimensions(found)
    place = _places(found)
    first = np.empty((MEMBERS, size))
    first[:, place] = draws(found, MEMBERS, SEED)
    chosen = _picked(first, function(first), most)
    names = dict(zip(place.tolist(), [*(one.key for one in found), *causes_of(found)], strict=True))
    blocks = {names[column]: [column] for column in chosen}
    blocks[REST] = [column for column in range(size) if column not in chosen]
    return sobol(function, blocks, samples, SEED + 1)


def _places(found: tuple[UncertainInput, ...]) -> np.ndarray:
    """Which column of the design each number takes, then each common cause: what decides most takes the first.

    A Sobol sequence is most even in its first columns, and with few points two late ones may run almost alike.
    """
    rank = [next((i for i, end in enumerate(FIRST) if one.name.endswith(end)), len(FIRST)) for one in found]
    rank += [len(FIRST) + 1] * len(causes_of(found))
    return np.argsort(np.argsort(rank, kind="stable"), kind="stable")


def _picked(u: np.ndarray, y: np.ndarray, most: int) -> list[int]:
    """The columns of u that y goes with most closely, each judged by what the ones before it leave unexplained."""
    from scipy.special import ndtri  # late: scipy takes time to load

    good = np.isfinite(y)
    x, left = ndtri(u[good]), y[good]
    chosen: list[int] = []
    for _ in range(min(most, u.shape[1])):
        together = np.abs((x - x.mean(axis=0)).T @ (left - left.mean())) / x.std(axis=0)
        together[chosen] = -1.0
        chosen.append(int(together.argmax()))
        known = np.column_stack([np.ones(len(left)), x[:, chosen]])
        left = y[good] - known @ np.linalg.lstsq(known, y[good], rcond=None)[0]
    return sorted(chosen)
