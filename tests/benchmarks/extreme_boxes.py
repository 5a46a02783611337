"""Boxes whose entries stand at the ends of what a description allows: do all run, how humid do they get, how slow are they?

`python -m tests.benchmarks.extreme_boxes 600` draws so many keepers' boxes, each with half a dozen entries at an end of
their field and still valid, and runs each for two days at preview accuracy; `--wild` takes the boxes with which the tests
of descriptions are made, as they are drawn or, with `--pushed`, put to the ends too. It prints every refusal, every humidity
above 101 % with what makes it, the slowest, and a summary. The test of some twenty is `tests/test_extreme_boxes.py`.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

import terralab as tl
from terralab.atomic_files import slug
from terralab.describe import Box
from terralab.describe.fields import Measure
from terralab.errors import TerralabError, TerralabWarning
from tests.describe.random_boxes import boxes
from tests.keepers import keepers_box

#: Entries of a box that are put at an end of their field, as often as the box stays valid.
ENDS = 6
#: Wild boxes that are drawn together.
DRAW = 150
ALL = list(HealthCheck)
TOO_HOT = "left -40 to 80 C"
#: Steps at the shortest length and such may hold a little vapour above saturation; above this a process must explain it.
HUMID = 101.0


@dataclass(frozen=True)
class Outcome:
    """What came of one box, as it was run: "" or why it was refused, the highest humidity [%], air and soil steps, CPU seconds."""

    box: Box
    refused: str
    highest_rh: float
    steps: int
    cpu_s: float
    closure_water: float
    closure_energy: float
    fogged: bool

    @property
    def solver_gave_up(self) -> bool:
        """True where the run was refused for another reason than a box too hot or too cold for its formulas."""
        return bool(self.refused) and TOO_HOT not in self.refused


def measures(part: object, way: tuple = ()) -> list[tuple[tuple, Measure]]:
    """The way to every number of a part, the numbers of its parts included."""
    found: list[tuple[tuple, Measure]] = []
    if isinstance(part, tuple):
        for place, item in enumerate(part):
            found += measures(item, (*way, place))
    elif is_dataclass(part):
        for field in fields(part):
            kind, value = field.metadata.get("kind"), getattr(part, field.name)
            if isinstance(kind, Measure):
                if value is not None:
                    found.append(((*way, field.name), kind))
            elif value is not None:
                found += measures(value, (*way, field.name))
    return found


def with_value(part: object, way: Sequence, value: float) -> object:
    """The part with one number changed, checked anew."""
    first, *rest = way
    inner = part[first] if isinstance(first, int) else getattr(part, first)
    new = with_value(inner, rest, value) if rest else value
    if isinstance(first, int):
        return (*part[:first], new, *part[first + 1 :])
    return replace(part, **{first: new})


def pushed(box: Box, number: int) -> Box:
    """The box with some of its numbers at an end of their field; what would make it invalid is left as it was."""
    chance = random.Random(number)
    ways = measures(box)
    chance.shuffle(ways)
    done = 0
    for way, kind in ways:
        if done == ENDS:
            break
        try:
            box = with_value(box, way, chance.choice((kind.lowest, kind.highest)))
        except TerralabError:
            continue
        done += 1
    return box


def extreme_boxes(count: int, first: int = 0) -> Iterator[Box]:
    """So many boxes, the same on every machine: boxes of `tests.keepers` pushed to the ends."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        for number in range(first, first + count):
            yield replace(pushed(keepers_box(number), number), name=f"extreme {number}")


def wild_boxes(number: int) -> list[Box]:
    """Draw `number` of boxes that a description allows, whoever would own them."""
    found: list[Box] = []

    @seed(number)
    @settings(max_examples=DRAW, database=None, deadline=None, phases=[Phase.generate], suppress_health_check=ALL)
    @given(boxes())
    def note(box: Box) -> None:
        found.append(replace(box, name=f"wild {number}.{len(found)}"))

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        note()
    return found


def drawn(to: argparse.Namespace) -> Iterator[Box]:
    """The boxes that were asked for."""
    if not to.wild:
        yield from extreme_boxes(to.count, to.first)
        return
    for place in range(to.count):
        if place % DRAW == 0:
            wild = wild_boxes(to.first + place // DRAW)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            box = wild[place % DRAW]
            yield pushed(box, to.first * DRAW + place) if to.pushed else box


def cooler(box: Box) -> Box:
    """The box with a tenth of every power, and without the sun's patch."""

    def weaker(devices: tuple, name: str) -> tuple:
        return tuple(replace(one, **{name: 0.1 * getattr(one, name)}) for one in devices)

    routine = replace(
        box.routine,
        lamps=weaker(box.routine.lamps, "power_w"),
        heaters=weaker(box.routine.heaters, "power_w"),
        fans=weaker(box.routine.fans, "motor_w"),
    )
    return replace(box, routine=routine, room=replace(box.room, sun=None))


def outcome(box: Box, days: int = 2, accuracy: str = "preview") -> Outcome:
    """Run a box and say what came of it; one too hot to compute is run with a tenth of its power, twice if need be."""
    found = _outcome(box, days, accuracy)
    for _ in range(2):
        if TOO_HOT in found.refused:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", TerralabWarning)
                box = cooler(box)
            found = _outcome(box, days, accuracy)
    return found


def _outcome(box: Box, days: int, accuracy: str) -> Outcome:
    before = time.process_time()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        try:
            record = tl.simulate(box, days, accuracy=accuracy, record_every_min=15.0)
        except TerralabError as error:
            return Outcome(box, str(error), 0.0, 0, time.process_time() - before, 0.0, 0.0, False)
    return Outcome(
        box,
        "",
        max(float(record.zone_humidity(zone).max()) for zone in record.zone_names),
        record.settings["air_steps"] + record.settings["soil_steps"],
        time.process_time() - before,
        record.closure_water,
        record.closure_energy,
        bool(box.routine.mists),
    )


def main() -> None:
    """Draw, run and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", type=int, nargs="?", default=100)
    asked.add_argument("--wild", action="store_true", help="boxes of the tests of descriptions, as they are drawn")
    asked.add_argument("--pushed", action="store_true", help="of these, put to the ends")
    asked.add_argument("--first", type=int, default=0, help="the first box, or the first draw of --wild")
    asked.add_argument("--days", type=int, default=2)
    asked.add_argument("--keep", type=Path, help="a folder for the descriptions of boxes that failed or were slow")
    to = asked.parse_args()
    say = lambda text: (sys.stdout.write(text + "\n"), sys.stdout.flush())  # noqa: E731
    outcomes, odd = [], []
    for box in drawn(to):
        found = outcome(box, to.days)
        outcomes.append(found)
        if found.refused:
            say(f"{found.box.name}: refused: {found.refused}")
            odd += [found] * found.solver_gave_up
        elif found.highest_rh > HUMID:
            odd.append(found)
            say(
                f"{found.box.name}: {found.highest_rh:.1f} %{', with a mister' if found.fogged else ', WITHOUT a mister'}"
            )
    ran = sorted((one for one in outcomes if not one.refused), key=lambda one: one.steps)
    for one in ran[-5:]:
        say(f"{one.box.name}: {one.steps} steps, {one.cpu_s:.2f} CPU s")
    for one in [*odd, *ran[-5:]] if to.keep else ():
        (to.keep / f"{slug(one.box.name)}.toml").write_text(tl.dumps(one.box), encoding="utf-8")
    say(
        f"{len(outcomes)} boxes: {len(ran)} ran, {sum(one.solver_gave_up for one in outcomes)} refused by the solver, "
        f"{len(outcomes) - len(ran)} refused in all; water closes to {max(one.closure_water for one in ran):.1e}, energy "
        f"to {max(one.closure_energy for one in ran):.1e}; steps: median {ran[len(ran) // 2].steps}, most {ran[-1].steps}; "
        f"highest humidity {max(one.highest_rh for one in ran):.1f} %, without a mister "
        f"{max((one.highest_rh for one in ran if not one.fogged), default=0.0):.1f} %"
    )


if __name__ == "__main__":
    main()
