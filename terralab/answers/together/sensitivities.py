"""Which uncertain numbers decide an answer, by Sobol indices: for those who want more than what to measure next."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab.answers.common.balance import balancing_ml, with_pour
from terralab.answers.common.ensemble import SETTLE_DAYS, sampled, settled_rows
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.room_log import in_typical_room
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.simulation.record import Record
from terralab.uncertainty import Ensemble, UncertainInput, uncertain_inputs
from terralab.uncertainty.learned import draws_taken
from terralab.uncertainty.sampling import FIRST, MEMBERS, SEED, causes_of, dimensions, draws, values_at
from terralab.uncertainty.sensitivity import Indices, Reading, narrowing, sobol
from terralab.validate import whole

QUESTIONS = ("water", "day humidity", "night humidity")
REST = "all others"
LEARNED = "all that the log taught, together"
NOTE = (
    "{} numbers were learned from a log and hang together: they count as one ({:.0f} % of the variance alone). Of single ones "
    '"alone" is what would be gone of the variance if it were known, with what that tells of the others; "in all" cannot be given.'
)
MOST_SAMPLES = 65536


@in_typical_room
def sensitivities(
    box: Box, question: str = "water", *, samples: int = 128, most: int = 8, season: str = "now"
) -> Indices:
    """Shares of the variance of an answer that come from its uncertain numbers, alone and in all.

    question: "water" (the daily pour), "day humidity" or "night humidity". A first sample of 128 members picks the
    `most` (1 to 30) numbers that go with the result most closely; they are varied one by one and all others together.
    It takes samples x (most + 3) runs of a hundredth of a second or so each; `samples` is a power of two from 8.
    Numbers that share a cause (the coarseness of a mix) count through it. What was learned from a log of the box hangs together and
    counts as one; of its single numbers only what knowing each would take away is given, and `note` says so. Raises TerralabError for bad input.
    """
    needs_box(box, "sensitivities")
    if not isinstance(question, str) or question not in QUESTIONS:
        raise UnknownName.among("question", question, QUESTIONS)
    most = whole("most", most, 1, 30)
    samples = whole("samples", samples, 8, MOST_SAMPLES)
    if samples & (samples - 1):
        raise TerralabError(f"samples must be a power of two from 8, such as 128; {quoted(samples)} was given.")
    found = uncertain_inputs(box, season)
    target, _ = target_of(box)
    poured = with_pour(box, sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil"))

    def result(record: Record) -> float:
        rows = settled_rows(record)
        if question == "water":
            return balancing_ml(record, rows)
        return humidity(record, rows, target)[question.split()[0]]["mean"]

    taken = {} if box.learned is None else draws_taken(box, found, box.learned.size, season)
    alone = tuple(one for j, one in enumerate(found) if j not in taken)
    size = dimensions(alone) + bool(taken)  # the last column takes all that was learned, together

    def members_at(u: np.ndarray) -> Ensemble:
        values = np.empty((len(u), len(found)))
        own = [j for j in range(len(found)) if j not in taken]
        if alone:
            values[:, own] = values_at(alone, u[:, place])
        row = np.minimum((u[:, -1] * box.learned.size).astype(int), box.learned.size - 1) if taken else None
        for j, draws_ in taken.items():
            values[:, j] = draws_[row]
        return Ensemble(found, values)

    def function(u: np.ndarray) -> np.ndarray:
        return sampled(poured, SETTLE_DAYS, {"result": result}, season, found=members_at(u)).results["result"]

    place = _places(alone)
    first = np.empty((MEMBERS, size))
    if alone:
        first[:, place] = draws(alone, MEMBERS, SEED)
    if taken:
        first[:, -1] = (np.arange(MEMBERS) % box.learned.size + 0.5) / box.learned.size
    y = function(first)
    names = dict(zip(place.tolist(), [*(one.key for one in alone), *causes_of(alone)], strict=True))
    chosen = _picked(first[:, : len(names)], y, most) if alone else []
    blocks = {names[column]: [column] for column in chosen}
    if taken:
        blocks[LEARNED] = [size - 1]
    if rest := [column for column in names if column not in chosen]:
        blocks[REST] = rest
    found_shares = sobol(function, blocks, samples, SEED + 1) if alone else _all_of_it(y)
    return (
        _with_each_learned(found_shares, members_at(first), y, [found[j].key for j in taken], most)
        if taken
        else found_shares
    )


def _all_of_it(y: np.ndarray) -> Indices:
    """The shares where every number was learned: all of the variance is of them together."""
    one, none = {LEARNED: 1.0}, {LEARNED: 0.0}
    return Indices(one, one, none, none, len(y), int((~np.isfinite(y)).sum()))


def _with_each_learned(shares: Indices, members: Ensemble, y: np.ndarray, keys: list[str], most: int) -> Indices:
    """The shares with those of single numbers that were learned: of each, what would be gone of the variance were it known.

    They hang together, so what is known of one tells of others too: these shares may add up to more than all of them, and what
    one acts through in all has no meaning.
    """
    at = {one.key: j for j, one in enumerate(members.inputs)}
    known = {key: narrowing(y, [Reading(members.values[:, at[key]], 0.0)]) for key in keys}
    whole = max(0.0, shares.first[LEARNED])
    best = sorted(keys, key=lambda key: -known[key][0])[:most]
    # a spread that shrinks by s leaves (1 - s)^2 of the variance
    alone = {key: 1.0 - (1.0 - known[key][0]) ** 2 for key in best if known[key][0] > 0.0}
    give = {key: 1.96 * 2.0 * (1.0 - known[key][0]) * known[key][1] for key in alone}
    nothing = dict.fromkeys(alone, float("nan"))
    return replace(
        shares,
        first={**shares.first, **alone},
        total={**shares.total, **nothing},
        first_error={**shares.first_error, **give},
        total_error={**shares.total_error, **nothing},
        note=NOTE.format(len(keys), 100.0 * whole),
    )


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
