"""Draws that could not be run: which they are, why, and the sentence that says so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.uncertainty import Ensemble

LEAST_TO_COMPARE = 3  # draws of either kind, to say what the failed ones have in common
APART = 0.9  # share of pairs (a failed draw, one that ran) that differ the same way, to call a number their common mark
NAMED = 6  # draw numbers told in a sentence; data has them all


@dataclass(frozen=True, slots=True)
class Failure:
    """A draw that could not be run: its number in the ensemble (from 0), why in words, and the day it stopped (or None)."""

    draw: int
    why: str
    day: float | None = None


def by_reason(failures: Sequence[Failure]) -> list[dict[str, Any]]:
    """The failures as data, the most frequent reason first: "why", "draws" (numbers), "days" on which they stopped."""
    reasons: dict[str, list[Failure]] = {}
    for one in failures:
        reasons.setdefault(one.why, []).append(one)
    return [
        {
            "why": why,
            "draws": [one.draw for one in ones],
            "days": [None if one.day is None else round(one.day, 2) for one in ones],
        }
        for why, ones in sorted(reasons.items(), key=lambda item: -len(item[1]))
    ]


def why_words(reasons: Sequence[Mapping[str, Any]]) -> str:
    """What `by_reason` found, in words: each reason with the numbers of its draws."""
    parts = []
    for one in reasons:
        numbers = ", ".join(str(draw) for draw in one["draws"][:NAMED])
        more = f" and {len(one['draws']) - NAMED} more" if len(one["draws"]) > NAMED else ""
        parts.append(f"{one['why']} (draw{'s' if len(one['draws']) > 1 else ''} {numbers}{more})")
    return "; ".join(parts)


def inputs_counted(found: Ensemble) -> dict[str, Any]:
    """How many numbers were drawn, and where some were learned from a log how many and from which."""
    out: dict[str, Any] = {"uncertain_inputs": len(found.inputs)}
    learned = [one.log for one in found.inputs if one.log]
    return out | {"learned_inputs": len(learned), "log": learned[0]} if learned else out


def drawn_words(spread: Mapping[str, Any]) -> str:
    """How the numbers behind a range were drawn, from the `spread` of an answer: the end of a sentence without its stop."""
    inputs, learned = spread["uncertain_inputs"], spread.get("learned_inputs", 0)
    drawn = f"{inputs} numbers that nobody can read off a box were drawn {spread['members']} times"
    if not learned:
        return f"{drawn}, each within its own range"
    taught = f"together as your log of {spread['log']} taught them"
    return (
        f"{drawn}, {taught}"
        if learned == inputs
        else f"{drawn}, {learned} of them {taught}, each other one within its own range"
    )


def left_out_words(spread: Mapping[str, Any], of: str = "draws") -> str:
    """That some draws of an answer could not be run, from its `spread`; "" where all ran."""
    if not spread.get("failed"):
        return ""
    return (
        f"{spread['ran']} of the {spread['members']} {of} ran; the others could not be run and are left out: "
        f"{why_words(spread['why_failed'])}."
    )


def in_common(found: Ensemble, failures: Sequence[Failure], tried: int) -> str:
    """What sets the failed draws apart from those that ran, such as 'a high "leakage.ach"'; "" where nothing does."""
    failed = np.zeros(found.size, bool)
    failed[[one.draw for one in failures]] = True
    bad, good = found.values[:tried][failed[:tried]], found.values[:tried][~failed[:tried]]
    if min(len(bad), len(good)) < LEAST_TO_COMPARE:
        return ""
    above = (bad[:, None, :] > good[None, :, :]).mean(axis=(0, 1))
    mark = int(np.argmax(np.abs(above - 0.5)))
    if abs(above[mark] - 0.5) < APART - 0.5:
        return ""
    return f'a {"high" if above[mark] > 0.5 else "low"} "{found.inputs[mark].key}"'
