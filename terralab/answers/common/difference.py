"""How far two answers lie apart, draw by draw: what they have in common cancels, and only what differs is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.common.rounding import jug
from terralab.answers.common.words import ml
from terralab.errors import TerralabError, quoted
from terralab.folded import page, paragraph
from terralab.quantities import quantity, said
from terralab.uncertainty import middle_range

LEAST_ML = 0.5


@dataclass(frozen=True)
class Difference:
    """`value`: the second answer less the first, middle of the pairs; `low` and `high`: the central 80 % of them.

    In ml a day, rounded to what a jug shows. `smaller`: share of the pairs in which the second answer is the smaller one.
    """

    value: float
    low: float
    high: float
    smaller: float
    pairs: int

    def __str__(self) -> str:
        return said(f"{more_words((self.low, self.value, self.high))}, over {self.pairs} pairs")

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the same sentence."""
        return page(paragraph(str(self)))


def difference(first: Answer, second: Answer) -> Difference:
    """How much more `second` pours a day than `first`, both from `daily_water` with as many members, pair by pair.

    Member i of both has the same draw of every number that both boxes have. So the range is that of the change alone: it
    is far narrower than what each answer by itself leaves open. Two boxes that hold what the same log taught share its draws; of a
    box with and one without it what was learned is not paired, and the range is as wide as both leave it. Raises TerralabError where they cannot be paired.
    """
    for answer in (first, second):
        if not (isinstance(answer, Answer) and answer.sample is not None and "pour" in answer.sample.results):
            raise TerralabError(f"difference needs two answers of daily_water; it was given {quoted(answer)}.")
    mine, other = (answer.sample.results["pour"] for answer in (first, second))
    if len(mine) != len(other):
        raise TerralabError(
            f"difference: the answers have {len(mine)} and {len(other)} members; ask both with the same `members`."
        )
    apart = (other - mine)[np.isfinite(other - mine)]
    low, value, high = (jug(x) for x in middle_range(apart))
    return Difference(value, low, high, float(np.mean(apart < 0.0)) if len(apart) else float("nan"), len(apart))


def more_words(span: Sequence[float]) -> str:
    """A difference (low, middle, high) in ml a day as words: "5 ml a day less (likely 2 to 9 ml less)"."""
    low, middle, high = span
    if abs(middle) < LEAST_ML:
        most = max(abs(low), abs(high))
        return "just as much" if most < LEAST_ML else f"the same within {ml(most)} a day"
    ends = (low, high) if middle > 0.0 else (-high, -low)
    return (
        f"{ml(abs(middle))} a day {'more' if middle > 0.0 else 'less'} (likely {span_words((ends[0], 0.0, ends[1]))})"
    )


def span_words(span: Sequence[float]) -> str:
    """The two ends of a range (low, middle, high) as a jug shows them: "2 to 9 ml"; an end below nothing keeps its sign."""
    return quantity("ml", ".0f", *sorted((jug(span[0]), jug(span[2]))))
