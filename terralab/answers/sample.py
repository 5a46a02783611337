"""The members of an answer: what each uncertain number was, and what each member gave."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from terralab.answers.balance import kept_dry, needed_ml, with_pour
from terralab.describe.box import Box
from terralab.errors import RunError
from terralab.record import Record
from terralab.simulate import Job, run_many
from terralab.uncertain import Ensemble, ensemble, middle_range
from terralab.uncertain.members import MEMBERS, SEED

SETTLE_DAYS = 6  # the daily cycle repeats to well under 1 % by then
FAR = 0.35  # -, of the pour: below it a second run moves a member by 2 % at most (measured in the three demos)


@dataclass(frozen=True, eq=False)
class Sample:
    """An ensemble and what its members gave: `results[name][i]` for member i, NaN where it could not be run."""

    ensemble: Ensemble
    results: Mapping[str, np.ndarray]

    def range_of(self, name: str) -> tuple[float, float, float]:
        """(low, middle, high) of one result: the middle of the members and the central 80 % of them."""
        return middle_range(self.results[name])

    @property
    def failed(self) -> int:
        """How many members could not be run."""
        return int(sum(np.isnan(np.array(list(self.results.values()))).any(axis=0)))

    def spread(self, as_described: float) -> dict[str, float]:
        """What an answer says about its range, beside low and high."""
        return {
            "members": self.ensemble.size,
            "failed": self.failed,
            "share": 0.8,
            "as_described": round(float(as_described), 1),
            "unknowns": len(self.ensemble.unknowns),
        }


def sampled(
    box: Box,
    days: int,
    measures: Mapping[str, Callable[[Record], float]],
    season: str = "now",
    members: int = MEMBERS,
    boxes: Sequence[Box] | None = None,
    found: Ensemble | None = None,
) -> Sample:
    """Run every member of `box` for `days` and measure each; `boxes` gives each member its own routine.

    Raises RunError when more than a quarter of the members cannot be run: the rest would not be a fair sample.
    """
    found = ensemble(box, members, season, SEED) if found is None else found
    results, failed = _measured([box] * found.size if boxes is None else boxes, days, measures, season, found)
    if failed > found.size // 4:
        raise RunError(
            f"{box.name}: too many of the {found.size} members could not be run, so no fair range can be given. "
            "Check the description for extreme values."
        )
    return Sample(found, results)


def _measured(
    boxes: Sequence[Box], days: int, measures: Mapping[str, Callable[[Record], float]], season: str, found: Ensemble
) -> tuple[dict[str, np.ndarray], int]:
    """What each member gave, NaN where it could not be run, and how many could not."""
    jobs = [
        Job(one, days, season, choose, accuracy="preview", record_every_min=60.0)
        for one, choose in zip(boxes, found.choose, strict=True)
    ]
    records = run_many(jobs, failed="none")
    results = {
        name: np.array([np.nan if record is None else measure(record) for record in records])
        for name, measure in measures.items()
    }
    return results, sum(record is None for record in records)


def sampled_pours(
    box: Box,
    ml: float,
    measures: Mapping[str, Callable[[Record], float]],
    season: str = "now",
    members: int = MEMBERS,
    found: Ensemble | None = None,
) -> Sample:
    """The balancing pour of every member ("pour", ml a day), and what else to measure with that pour.

    The loss at the held moisture hardly depends on the pour itself. So every member runs once with the pour of the
    box as described (`ml`), which gives its own, and only a member whose own is far from that runs again. `found`
    stands in for the ensemble of `members` drawn here.
    """
    if kept_dry(box):
        # dry soil that is to stay dry needs no pour, whatever the numbers are
        return sampled(
            with_pour(box, 0.0), SETTLE_DAYS, {"pour": lambda record: 0.0, **measures}, season, members, found=found
        )
    needs = lambda record: max(0.0, needed_ml(record, last_day(record)))  # noqa: E731
    first = sampled(with_pour(box, ml), SETTLE_DAYS, {"pour": needs, **measures}, season, members, found=found)
    pours = first.results["pour"]
    far = np.flatnonzero(np.abs(pours - ml) > FAR * max(ml, 1.0))
    if not len(far):
        return first
    again = Ensemble(first.ensemble.unknowns, first.ensemble.values[far])
    poured = [with_pour(box, float(pours[i])) for i in far]
    second, _ = _measured(poured, SETTLE_DAYS, {"pour": needs, **measures}, season, again)
    for name, values in second.items():
        first.results[name][far] = values
    return first


def last_day(record: Record) -> np.ndarray:
    """The rows of a run's last day."""
    days = record.raw.t[-1] / 86400.0
    return record.rows(days - 1, days)
