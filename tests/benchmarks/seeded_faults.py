"""Faults seeded into boxes whose hidden numbers differ from any that `tl.normal` draws: is each found, and are sound boxes left alone?

python -m tests.benchmarks.seeded_faults [BOX ...]        some minutes; prints a table a box and hour

A true box is drawn with a seed of its own, run with a fault, and read by a sensor with the stated errors. The answer is then
asked. A fault counts as found where it is one of the first two causes, or where the answer names it among those that this reading
cannot tell from the first; one that gives what a sound box gives has to be named as not ruled out.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

import terralab as tl
from terralab.answers.normal import runs
from terralab.answers.normal.causes import causes_of, with_door
from terralab.answers.normal.cloud import RH, T, mistaken
from terralab.answers.normal.judged import ALIKE, Judged, Standing, judged, of_sensor
from terralab.answers.normal.runs import Seen, Usual, seen_under, usual_of
from terralab.answers.normal.typed import Typed
from terralab.describe import Mist, Timer
from terralab.describe.timer import Control
from terralab.errors import TerralabWarning
from tests.learning.invented import fern_hollow, hot_and_arid, two_vents

TRUE_SEED = 977
HOURS = (3.0, 14.0, 21.5)
BOTH = (True, True)


def misted() -> tl.Box:
    """A planted box with a mister by a humidity switch and no other water."""
    box = two_vents()
    mist = Mist("mister", 80.0, Timer(("1 min every 2 h",)), Control("humidity", "below", 80.0, 5.0))
    return replace(box, name="misted", routine=replace(box.routine, mists=(mist,), sprays=(), pours=()))


#: Boxes unlike each other, by name.
BOXES = {
    "fern-hollow": fern_hollow,
    "moss-jar": lambda: tl.load("moss-jar"),
    "hot-and-arid": hot_and_arid,
    "two-vents": two_vents,
    "misted": misted,
}


@dataclass(frozen=True, eq=False)
class Case:
    """One box at one hour: what the answer knows, and what true boxes show when sound and under each cause."""

    usual: Usual
    seen: list[Seen]
    true_usual: Usual
    true_seen: list[Seen]

    def judge(self, reading: np.ndarray) -> Judged:
        """What the answer says of a reading (temperature, humidity)."""
        return judged(self.usual, Typed(float(reading[RH]), float(reading[T])), self.seen, ())

    def readings(self, points: np.ndarray, seed: int) -> Iterator[np.ndarray]:
        """What a sensor with the stated errors shows, whole percents and tenths of a degree."""
        rng = np.random.default_rng(seed)
        for point in points:
            shown = point + rng.normal(size=2) * self.usual.error.about
            yield np.array([round(shown[T], 1), round(min(100.0, max(0.0, shown[RH])))])

    def alone(self, key: str) -> bool:
        """Whether a reading of both tells a cause from every other one and from a sound box."""
        one = next(seen for seen in self.seen if seen.cause.key == key)
        others = [seen.cloud for seen in self.seen if seen is not one] + [self.usual.cloud]
        return all(mistaken(one.cloud, cloud, BOTH) < 0.5 * ALIKE for cloud in others)


def case(box: tl.Box, at_h: float, members: int | None = None, branched: int | None = None) -> Case:
    """Run a box and its true twins at an hour of the day."""
    tried = with_door(box)
    pair = []
    for seed in (runs.SEED, TRUE_SEED):
        usual = usual_of(tried, "now", 3600.0 * at_h, "box", members, None, runs.household(), seed=seed)
        usual = usual if branched is None else replace(usual, branched=branched)
        seen, _ = seen_under(usual, causes_of(tried, "now", False, usual.at_s)[0])
        pair += [usual, [*seen, *of_sensor(usual)]]
    return Case(*pair)


def found(j: Judged, key: str) -> str:
    """Whether an answer names a cause: "first two", "not told apart", "not ruled out" or ""."""
    if j.standing is not Standing.USUAL:
        if key in [one.cause.key for one in j.ranked[:2]]:
            return "first two"
        return "not told apart" if key in [one.cause.key for one in j.alike] else ""
    return "not ruled out" if key in [one.cause.key for one in j.hidden] else ""


def sound_share(one: Case, repeats: int = 6) -> float:
    """The share of readings of sound boxes that are called usual."""
    points = one.true_usual.cloud.points
    told = [
        one.judge(reading).standing is Standing.USUAL
        for seed in range(repeats)
        for reading in one.readings(points[:: max(1, len(points) // 60)], seed)
    ]
    return float(np.mean(told))


def table(one: Case, repeats: int = 3) -> list[tuple[str, bool, dict[str, float]]]:
    """For each cause: its key, whether it can be told from all others, and how often it was named in which way."""
    out = []
    for truth in one.true_seen:
        if truth.cause.group == "sensor":
            continue
        ways = [
            found(one.judge(reading), truth.cause.key)
            for seed in range(repeats)
            for reading in one.readings(truth.cloud.points, 100 + seed)
        ]
        out.append(
            (truth.cause.key, one.alone(truth.cause.key), {way: ways.count(way) / len(ways) for way in set(ways)})
        )
    return out


def main(names: Sequence[str]) -> None:
    """Print a table for each box and hour."""
    write = sys.stdout.write
    for name in names or BOXES:
        for at_h in HOURS:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", TerralabWarning)
                one = case(BOXES[name](), at_h)
            write(f"{name} at {at_h:g} h: sound and called usual {sound_share(one):.2f}\n")
            for key, alone, ways in table(one):
                told = ", ".join(
                    f"{way or 'MISSED'} {share:.2f}" for way, share in sorted(ways.items(), key=lambda x: -x[1])
                )
                write(f"  {key:<28} {'alone ' if alone else '      '} {told}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
