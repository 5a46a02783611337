"""How often `tl.normal_log` finds a change in months in which nothing changed, and how often it finds one that was seeded.

python -m tests.benchmarks.false_alarms [--truths N] [BOX ...]        some minutes a box

A true box is drawn with a seed of its own and run for a month in an invented room; a sensor writes its log with the stated errors
of sensor and model. The boxes drawn by the answer are run once for each room, for all logs in it.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

import terralab as tl
from terralab.answers.normal.causes import causes_of, with_door
from terralab.answers.normal.change import Change, change_of
from terralab.answers.normal.log_causes import NOON_S, alike, explained
from terralab.answers.normal.log_model import MEMBERS, Model, model_of
from terralab.describe.part import cautions_untold
from terralab.errors import TerralabError, TerralabWarning
from terralab.learning.errors import blocks_of
from terralab.learning.readings import WARM_UP_H, channels_of
from terralab.logs.log import Log
from terralab.simulation.simulate import Job
from terralab.uncertainty import ensemble
from tests.benchmarks.seeded_faults import BOXES, TRUE_SEED
from tests.learning import invented

DAYS, TRUTHS, BEGINS_D = 30, 24, 14.5
ERRORS = replace(invented.STATED, missing=0.0, gap_h=0.0, clock_min=0.0)  # rows alike, so that one bank serves all


@dataclass(frozen=True, eq=False)
class Month:
    """One box in one room for a month: the answer's boxes, and logs of true ones."""

    box: tl.Box
    room: int
    days: int = DAYS
    members: int = MEMBERS

    @cached_property
    def placed(self) -> tl.Box:
        """The box in its room, with a door that can be opened."""
        with cautions_untold():
            return with_door(invented.in_room(self.box, self.room, self.days))

    def truth(self, i: int) -> dict[str, float]:
        """The hidden numbers of a true box; the room is as it is."""
        own = ensemble(self.box, max(64, i + 1), "now", TRUE_SEED).overrides[i]
        return {key: value for key, value in own.items() if not key.startswith("room.")}

    def log(self, i: int, events: Sequence[tl.Event] = ()) -> Log:
        """The month's log of true box i."""
        job = Job(self.placed, self.days, "now", self.truth(i), "preview", 20, 15.0, events=tuple(events))
        true = invented.truth(job, every_min=15.0, accuracy="preview")
        return invented.logged(
            true, invented.room(self.room, self.days), np.random.default_rng([i, self.room, 8]), ERRORS
        )

    @cached_property
    def model(self) -> Model:
        """The answer's boxes, run in the room."""
        return model_of(self.box, self.log(0), None, None, self.members)

    @cached_property
    def limit(self) -> float:
        """What sound logs seldom pass."""
        return change_of(self.model).limit

    def of(self, log: Log) -> Model:
        """The model with another log of the same room."""
        channels = channels_of(log, self.model.window)
        hours = self.model.window.hours
        blocks = blocks_of(channels, hours, hours > self.model.window.begins + WARM_UP_H)
        return replace(self.model, channels=channels, blocks=blocks, means=blocks.means(self.model.runs.read))

    def change(self, log: Log) -> tuple[Model, Change]:
        """What is found in another log of the same room."""
        model = self.of(log)
        return model, change_of(model, self.limit)


def alarms(month: Month, truths: int) -> float:
    """False alarms a month."""
    return float(np.mean([month.change(month.log(i))[1].is_one for i in range(truths)]))


def seeded(month: Month, i: int, key: str) -> str:
    """What becomes of a fault that begins in the middle of the month: "not seen", "first two", "not told apart" or "another"."""
    causes = {one.key: one for one in causes_of(month.placed, "now", True, NOON_S)[0]}
    room = month.placed.room.now
    events = causes[key].events(month.placed, room, 86400.0 * BEGINS_D, 86400.0 * month.days)
    model, change = month.change(month.log(i, events))
    if not change.is_one:
        return "not seen"
    ranked, _ = explained(model, change)
    if abs(change.begins_h / 24.0 - BEGINS_D) > 3.0:
        return "at another time"
    if key in [one.cause.key for one in ranked[:2]]:
        return "first two"
    return "not told apart" if key in [one.cause.key for one in alike(ranked)] else "another"


def main(words: Sequence[str]) -> None:
    """Print what was counted."""
    truths = int(words[words.index("--truths") + 1]) if "--truths" in words else TRUTHS
    names = [word for word in words if word in BOXES] or list(BOXES)
    write = sys.stdout.write
    for name in names:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", TerralabWarning)
            month = Month(BOXES[name](), 3)
            write(
                f"{name}: {alarms(month, truths):.2f} false alarms a month in {truths} months; limit {month.limit:.0f}\n"
            )
            for cause in causes_of(month.placed, "now", True, NOON_S)[0]:
                if cause.exact or cause.from_dry:
                    continue
                ways = []
                for i in range(3):
                    try:
                        ways.append(seeded(month, i, cause.key))
                    except TerralabError as error:
                        ways.append(f"could not be run ({str(error)[:60]})")
                write(f"  {cause.key:<28} {', '.join(ways)}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
