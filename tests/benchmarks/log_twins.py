"""How honest are ranges learned from a log? Invented boxes whose hidden numbers are known: `python -m tests.benchmarks.log_twins`.

A bank of runs a box serves all its truths, so a truth costs one run and a regression. For a few of them the whole way is
gone, members run again. Prints the tables of reference/learning.md: how often stated 80 % ranges hold the truth, in all and
where the truth is extreme, how wide they are against the tables' own, with and without a weighed bottle; what is refused;
and what happens where sensor, lid, leaves or tables are wrong in a way that nobody wrote down.
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace

import numpy as np

from terralab.learning.fit import LOSS, RESULTS
from tests.learning.invented import BOXES, FAULTS, PERFECT, STATED, Errors, bottle, logged
from tests.learning.shared_bank import Shared, Told

GAIN = 0.92
#: Numbers that a truth may have and the tables do not hold: box, key, value.
BEYOND = (
    ("two vents", "mesh exchange.factor", 1.0),
    ("fern hollow", "box.enclosure.openings.0.covered", 0.0),
    ("fern hollow", "box.enclosure.plants.leaf_area_cm2", 12_000.0),
)


def say(text: str = "") -> None:
    """Print a line at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


class Count:
    """What many truths of one kind came to: whether each result lay in its range, how wide it was, what was refused."""

    def __init__(self) -> None:
        self.rows: list[dict[str, tuple[bool, float, float, bool]]] = []
        self.flagged: list[bool] = []

    def add(self, told: Told, true: dict[str, float], rank: dict[str, float]) -> None:
        """Count one truth; `rank` is where each of its results lies among those of the bank, 0 to 1."""
        self.flagged.append(told.flagged)
        self.rows.append(
            {
                name: (low <= true[name] <= high, told.left[name], rank[name], name in told.refused)
                for name, (low, _, high) in told.ranges.items()
            }
        )

    def of(self, name: str, outer: bool = False, shown: bool = False) -> tuple[int, float, float]:
        """Return how many truths, the share held [%] and the median width against the tables' range.

        `outer`: of the truths in the outer tenths alone. `shown`: of those whose result was not refused.
        """
        rows = [
            row[name]
            for row, flag in zip(self.rows, self.flagged, strict=True)
            if name in row and not (shown and (flag or row[name][3]))
        ]
        rows = [row for row in rows if not outer or not 0.1 < row[2] < 0.9]
        if not rows:
            return 0, float("nan"), float("nan")
        return len(rows), 100.0 * float(np.mean([row[0] for row in rows])), float(np.median([row[1] for row in rows]))

    def refused(self, name: str) -> float:
        """Share of truths whose result was refused, flagged ones among them [%]."""
        return 100.0 * float(np.mean([row[name][3] or flag for row, flag in zip(self.rows, self.flagged, strict=True)]))

    def merged(self, other: Count) -> Count:
        """Both together."""
        both = Count()
        both.rows, both.flagged = self.rows + other.rows, self.flagged + other.flagged
        return both


def counted(
    shared: Shared, n: int, fault: str, errors: Errors, seed: int, fixed: dict[str, float] | None = None
) -> tuple[Count, Count]:
    """Draw `n` truths of a box, write their logs and learn from each by the bank alone: without a bottle and with one."""
    found = Count(), Count()
    for i in range(n):
        true = shared.truth([seed, i], fault, fixed)
        if true is None:
            continue
        chance = np.random.default_rng([seed, i, 1])
        log, rank = logged(true, shared.room, chance, errors), shared.rank(true)
        found[0].add(shared.quick(log), true.results, rank)
        found[1].add(shared.quick(log, [bottle(true, chance)]), true.results, rank)
    return found


def head(*cells: str) -> None:
    """Begin a table."""
    say()
    say("| " + " | ".join(cells) + " |")
    say("|" + " --- |" * len(cells))


def row(name: str, log: Count, with_bottle: Count) -> None:
    """One row: coverage and width of each result from a log, and of the loss with a bottle."""
    cells = [name, str(len(log.rows))]
    for result in RESULTS:
        n, held, width = log.of(result, shown=True)
        cells.append(f"{held:.0f} / {width:.2f} ({n})" if n else "none told")
    for result in RESULTS:
        n, held, width = with_bottle.of(result, shown=True)
        cells.append(f"{held:.0f} / {width:.2f} ({n})" if n else "none told")
    cells += [f"{log.refused(LOSS):.0f}", f"{with_bottle.refused(LOSS):.0f}", f"{100 * np.mean(log.flagged):.0f}"]
    say("| " + " | ".join(cells) + " |")


COLUMNS = (
    "what", "truths", *(f"{name}, log" for name in RESULTS), *(f"{name}, bottle" for name in RESULTS),
    "loss refused, log %", "bottle %", "flagged %",
)  # fmt: skip


def main() -> None:
    """Print the tables."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--truths", type=int, default=20, help="true boxes a kind of box")
    asked.add_argument("--whole", type=int, default=2, help="of them learned the whole way, members run again")
    asked.add_argument("--faults", type=int, default=20, help="truths a fault, of the first box")
    asked.add_argument("--boxes", nargs="*", default=list(BOXES))
    asked.add_argument("--bank", type=int, default=1024)
    asked.add_argument("--days", type=int, default=14)
    asked.add_argument("--seed", type=int, default=1)
    to = asked.parse_args()
    say(
        f"{to.days} days, bank {to.bank}. Cells: truths held by the stated 80 % range / median width against the tables' range (number shown)."
    )
    began = time.process_time()
    all_of: dict[tuple[bool, bool], Count] = {}
    shares = {name: Shared(BOXES[name](), to.days, to.bank, to.seed) for name in to.boxes}
    for stated in (True, False):
        head(*COLUMNS)
        for name, shared in shares.items():
            both = counted(shared, to.truths, "", STATED if stated else PERFECT, to.seed)
            row(f"{name}, {'model as imperfect as stated' if stated else 'model perfect'}", *both)
            for weighed, one in zip((False, True), both, strict=True):
                key = stated, weighed
                all_of[key] = all_of[key].merged(one) if key in all_of else one
        row("all", all_of[stated, False], all_of[stated, True])
    head("outer tenths of the true result", *(f"{name}, {how}" for how in ("log", "bottle") for name in RESULTS))
    for stated in (True, False):
        cells = []
        for weighed in (False, True):
            for name in RESULTS:
                n, held, _ = all_of[stated, weighed].of(name, outer=True, shown=True)
                cells.append(f"{held:.0f} ({n})")
        say(f"| {'as stated' if stated else 'perfect'} | " + " | ".join(cells) + " |")
    if to.faults:
        head(*COLUMNS)
        first = shares[to.boxes[0]]
        for fault in FAULTS:
            errors = replace(PERFECT, gain=GAIN) if fault in ("gain", "all") else PERFECT
            row(f"{to.boxes[0]}, {fault}", *counted(first, to.faults, fault, errors, to.seed))
        for name, key, value in BEYOND:
            if name in shares:
                what = f"{name}, {key} = {value:g}, which its table does not hold"
                row(what, *counted(shares[name], to.faults, "", PERFECT, to.seed, {key: value}))
    if to.whole:
        head("whole way", "result", "truth", "range by regression", "range of the fit", "refused", "CPU s")
        for name, shared in shares.items():
            for i in range(to.whole):
                whole(shared, name, i, to.seed)
    say(
        f"\n{time.process_time() - began:.0f} CPU s in all, {sum(one.cpu_s for one in shares.values()):.0f} of them banks"
    )


def whole(shared: Shared, name: str, i: int, seed: int) -> None:
    """One truth learned by the bank alone and by the whole way, side by side."""
    true = shared.truth([seed, i])
    if true is None:
        return
    log = logged(true, shared.room, np.random.default_rng([seed, i, 1]), STATED)
    quick = shared.quick(log, [])
    began = time.process_time()
    found = shared.fit(log, [])
    spent = time.process_time() - began
    for result, one in ((name, found.results[name]) for name in quick.ranges):
        said = lambda ends: f"{ends[0]:.3g} to {ends[2]:.3g}"  # noqa: E731
        cells = [
            f"{name} {i}",
            result,
            f"{true.results[result]:.3g}",
            said(quick.ranges[result]),
            said(one.after),
            one.refused[:40],
            f"{spent:.0f}",
        ]
        say("| " + " | ".join(cells) + " |")


if __name__ == "__main__":
    main()
