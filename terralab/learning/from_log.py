"""Learn the hidden numbers of a box from its log: bank, errors, smoother, members run again, and when to refuse."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from terralab.describe.box import Box
from terralab.learning.bank import Runs, run_members
from terralab.learning.case import Case, Salts, case_of
from terralab.learning.conclusion import Taught, concluded
from terralab.learning.errors import Errors
from terralab.learning.excess import excess_of, one_sided, too_dry
from terralab.learning.fit import Fit, Refusal
from terralab.learning.refusals import POOR, cannot_explain, no_information, outside_tables, unlike_described
from terralab.learning.smoother import Smoother
from terralab.learning.weighing import LEVELS, level_data, soil_water_ml, weighed_data
from terralab.logs.diary import Diary, Weighed
from terralab.logs.diary_weighed import weighed as weighing
from terralab.logs.log import Log

BANK, MEMBERS, SEED = 1024, 128, 20
MOST_WIDENED = 6.0  # times: errors that must be wider still explain nothing
WIDENING = 1.2  # the step by which errors are widened where the model fits badly
Progress = Callable[[str, int, int], None]


def fit(
    box: Box,
    log: Log,
    *,
    room: Log | None = None,
    diary: Diary | None = None,
    weighed: Sequence[Weighed] = (),
    salts: Salts = None,
    until: np.datetime64 | str | None = None,
    bank: int = BANK,
    members: int = MEMBERS,
    seed: int = SEED,
    progress: Progress | None = None,
) -> Fit:
    """Return what a log teaches of `box`.

    `log`: temperature, humidity or both at places in the box, and loads of its devices; a sensor of it at the place "room", or
    one in the log `room`, drives the runs (else the described room does). `diary`: what was poured, sprayed, siphoned, the
    lid. `weighed`: water that left, as weighing tells it. `salts`: a `SaltTest` of the sensor in the box, or several by
    place. `until`: learn from what comes before alone. `bank` runs are made with numbers from the tables' ranges and `members`
    with what was learned. `progress(what, done, of)` is told after every few runs. Same seed, same result.
    Raises TerralabError for logs that are too short or do not fit the box, RunError where its runs fail.
    """
    case = case_of(box, log, room, diary, salts, None if until is None else np.datetime64(until, "s"))
    told = lambda what, of: None if progress is None else (lambda done: progress(what, done, of))  # noqa: E731
    runs = run_members(case.logged, case.unknowns, case.unknowns.first(bank, seed), case.channels, told("bank", bank))
    scales = () if diary is None else weighing(diary, box, soil_water_ml=soil_water_ml(runs))
    learned = taught(case, runs, (*weighed, *scales), seed)
    members = min(members, runs.size)
    z = learned.smoother.moved(members)
    moved = run_members(case.logged, case.unknowns, z, case.channels, told("members", members))
    settings = {"bank": float(bank), "members": float(members), "seed": float(seed), "failed": float(runs.failed)}
    return concluded(box, case, runs, learned, moved, settings)


def taught(case: Case, runs: Runs, weighed: Sequence[Weighed], seed: int, errors: Errors | None = None) -> Taught:
    """Return what a bank of runs makes of a log; `errors` in place of those of the case."""
    more = [*weighed_data(weighed, runs, case.logged.window), *level_data(case.logged.levels, runs, case.logged.window)]
    errors = case.errors if errors is None else errors
    start = Smoother(errors, errors.blocks.means(runs.read), runs.z, runs.results, tuple(more), seed)
    chosen, hopeless = _widened(start)
    strange = outside_tables(chosen, case.unknowns.keys)
    against = tuple(one for one in (strange, hopeless) if one is not None)
    refused, bounds = no_information(start), {}
    excess = excess_of(case, runs)
    dry = None if excess is None else too_dry(excess, runs)
    # one doubt of a kind: air far drier than described is the nearer reason for a result far from the described ones
    doubts = tuple(one for one in (dry or unlike_described(chosen),) if one is not None)
    if excess is not None and excess.none and not any(one.name != LEVELS for one in more):
        refused, bounds = one_sided(excess, chosen)
    return Taught(chosen, refused, against, doubts, bounds)


def _widened(start: Smoother) -> tuple[Smoother, Refusal | None]:
    """The smoother with errors widened until its members may fit, and a refusal where that would take too much."""
    misfit = start.misfit(start.expected_means)
    if misfit <= POOR:
        return start, None
    refusal = cannot_explain(misfit)
    chosen, factor = start, 1.0
    while chosen.misfit(chosen.expected_means) > 1.0 and factor < MOST_WIDENED:
        factor *= WIDENING
        chosen = replace(start, errors=replace(start.errors, model=factor))
    return chosen, refusal
