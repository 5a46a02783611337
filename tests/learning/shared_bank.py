"""One bank of runs of a box in its room, shared by the logs of many truths: what makes a hundred of them cheap.

It goes the way of `terralab.learning.from_log.fit` with its own parts, but runs no member twice: the ranges are those of the
regression over the bank.
"""

from __future__ import annotations

import time
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

import terralab as tl
from terralab.errors import TerralabError, TerralabWarning
from terralab.learning.bank import Runs, run_members
from terralab.learning.case import case_of
from terralab.learning.conclusion import concluded
from terralab.learning.fit import RESULTS, Fit
from terralab.learning.from_log import taught
from terralab.learning.refusals import outside_tables
from terralab.learning.smoother import Smoother
from terralab.logs.diary import Weighed
from terralab.logs.log import Log
from terralab.uncertainty.spread import middle_range
from tests.learning.invented import PERFECT, Truth, logged, room, truth

SAME = 1e-9  # ml a day, air changes an hour


@dataclass(frozen=True)
class Told:
    """What a log taught by the bank alone: `ranges` of each result and its width against the tables' `left`, whichever is refused.

    `refused`: of which results nothing is learned. `flagged`: the tables do not hold this box, or no member explains it.
    """

    ranges: Mapping[str, tuple[float, float, float]]
    left: Mapping[str, float]
    refused: frozenset[str]
    flagged: bool
    smoother: Smoother


class Shared:
    """A box in an invented room, its unknowns and its bank."""

    def __init__(self, box: tl.Box, days: int, bank: int, seed: int = 1, room_seed: int = 1) -> None:
        self.room = room(room_seed, days + 1)
        self.days, self.seed = days, seed
        hours = np.arange(0.0, 24.0 * days + 1e-9, 1.0 / 12.0)
        level = np.zeros(len(hours))
        whole = replace(PERFECT, missing=0.0, gap_h=0.0, clock_min=0.0)
        log = logged(Truth({}, hours, level + 20.0, level + 50.0, {}), self.room, np.random.default_rng(0), whole)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            self.case = case_of(box, log)
            self.box = box
            began = time.process_time()
            self.runs: Runs = self.run(self.case.unknowns.first(bank, seed))
            self.cpu_s = time.process_time() - began

    def run(self, z: np.ndarray) -> Runs:
        """Run members of the box."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            return run_members(self.case.logged, self.case.unknowns, z, self.case.channels)

    def truth(self, seed: object, fault: str = "", fixed: Mapping[str, float] | None = None) -> Truth | None:
        """A true box of this kind, drawn from what the unknowns may be, some of them `fixed`; None where it cannot be run."""
        chance = np.random.default_rng(seed)
        row = self.case.unknowns.values(chance.normal(size=(1, self.runs.z.shape[1])))[0]
        values = dict(zip(self.case.unknowns.keys, map(float, row), strict=True)) | dict(fixed or {})
        try:
            return truth(self.case.logged.job(values), fault)
        except TerralabError:
            return None

    def rank(self, true: Truth) -> dict[str, float]:
        """Where each true result lies among those of the bank, 0 to 1."""
        return {name: float(np.mean(self.runs.results[name] < true.results[name])) for name in RESULTS}

    def quick(self, log: Log, weighed: Sequence[Weighed] = (), daily: float = 1.0) -> Told:
        """Learn from a log by the bank alone; `daily`: factor on the error that repeats every day."""
        case = self.case.with_log(log)
        learned = taught(case, self.runs, weighed, self.seed, replace(case.errors, daily=daily))
        before = {name: middle_range(self.runs.results[name]) for name in RESULTS}
        # what is the same in all members, such as the pour of a shut jar, is known without a log
        open_ones = [name for name, (low, _, high) in before.items() if high - low > SAME]
        ranges = {name: learned.smoother.after(name) for name in open_ones}
        left = {name: (ranges[name][2] - ranges[name][0]) / (before[name][2] - before[name][0]) for name in open_ones}
        return Told(ranges, left, frozenset(learned.refused), bool(learned.against), learned.smoother)

    def flags(self, smoother: Smoother) -> bool:
        """Whether a log is too strange for every box that the tables hold."""
        return outside_tables(smoother, self.case.unknowns.keys) is not None

    def fit(self, log: Log, weighed: Sequence[Weighed] = (), members: int = 128) -> Fit:
        """Learn from a log the whole way: the members that it moves are run again."""
        case = self.case.with_log(log)
        learned = taught(case, self.runs, weighed, self.seed)
        moved = self.run(learned.smoother.moved(members))
        return concluded(self.box, case, self.runs, learned, moved, {"seed": float(self.seed)})
