"""How many members a range needs: `python -m tests.benchmarks.convergence` prints the table of reference/uncertainty.md.

Sobol points grow by doubling, so the first 64 of 1024 members are the ensemble of 64. Each is drawn with several
seeds; how far the ends differ between seeds is how far they may be off by luck.
"""

from __future__ import annotations

import sys

import numpy as np

import terralab as tl
from terralab.answers.common.ensemble import sampled_pours
from terralab.uncertainty import middle_range
from terralab.uncertainty import sampling as members

SIZES = (32, 64, 128, 256, 512, 1024)
BOXES = {"fern-hollow": {}, "moss-jar": {}, "dry-ledge": {"soil_wanted": "moist", "start.soil": "drained-moist"}}


def pours(box: tl.Box, seed: int, size: int) -> np.ndarray:
    """The balancing pours of `size` members drawn with one seed [ml a day]."""
    start = sum(p.amount_ml / p.every_days for p in box.routine.pours if p.into == "soil")
    found = members.ensemble(box, size, seed=seed)
    return sampled_pours(box, max(start, 5.0), {}, found=found).results["pour"]


def main(seeds: int, most: int) -> None:
    """Print one table a box; `most` is the largest ensemble."""
    out = sys.stdout.write
    sizes = [size for size in SIZES if size <= most]
    for name, change in BOXES.items():
        box = tl.load(name).change(**change)
        runs = [pours(box, members.SEED + i, most) for i in range(seeds)]
        ranges = np.array([[middle_range(y[:size]) for size in sizes] for y in runs])
        width = float(np.mean(ranges[:, -1, 2] - ranges[:, -1, 0]))
        out(f"\n{name}, {seeds} seeds; width of the range {width:.1f} ml a day\n\n")
        out(
            "| members | low | middle | high | spread of low, middle, high between seeds, % of width | by doubling, % of width |\n"
        )
        out("|---|---|---|---|---|---|\n")
        for i, size in enumerate(sizes):
            low, middle, high = ranges[0, i]
            by_luck = " ".join(f"{100 * x / width:.1f}" for x in ranges[:, i].std(axis=0, ddof=1)) if seeds > 1 else "-"
            moved = "-" if i + 1 == len(sizes) else f"{100 * np.abs(ranges[0, i + 1] - ranges[0, i]).max() / width:.1f}"
            out(f"| {size} | {low:.1f} | {middle:.1f} | {high:.1f} | {by_luck} | {moved} |\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]) if len(sys.argv) > 2 else (6, 1024))
