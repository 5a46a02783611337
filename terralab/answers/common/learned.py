"""What a log of a box taught, number by number: what it narrowed, as the report says it."""

from __future__ import annotations

from dataclasses import dataclass

from terralab.describe.box import Box
from terralab.describe.number_words import may_be_shown, number_words
from terralab.uncertainty import middle_range, quantile
from terralab.uncertainty.inputs import before_any_log
from terralab.uncertainty.learned import learned_keys
from terralab.uncertainty.spread import SHARE

NARROWED = 0.75  # what is left of the width, at most, of a number that is said to have been narrowed


@dataclass(frozen=True)
class NarrowedNumber:
    """One number that a log narrowed: (low, middle, high) of the central 80 % before and after, and the width that is left."""

    key: str
    what: str
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]

    @property
    def left(self) -> float:
        """The width after as a share of that before."""
        return (self.after[2] - self.after[0]) / (self.before[2] - self.before[0])


def narrowed_numbers(box: Box, most: int = 12) -> tuple[NarrowedNumber, ...]:
    """The numbers that the log of `box` narrowed, those narrowed most first; empty for a box that was not logged.

    One of which the log was said to tell nothing is left out.
    """
    learned = box.learned
    if learned is None:
        return ()
    refused = {name.strip() for one in learned.refused for name in one.what.split(",")}
    held = learned_keys(box)
    found = []
    for one in before_any_log(box):
        if one.name not in held or {one.name, one.key} & refused or not may_be_shown(one.key):
            continue
        before = tuple(quantile(u, one.low, one.typical, one.high) for u in (0.5 - 0.5 * SHARE, 0.5, 0.5 + 0.5 * SHARE))
        after = middle_range(learned.draws[one.name])
        if before[2] > before[0]:
            found.append(NarrowedNumber(one.key, number_words(box, one.key), one.unit, before, after))
    return tuple(sorted((one for one in found if one.left <= NARROWED), key=lambda one: one.left)[:most])
