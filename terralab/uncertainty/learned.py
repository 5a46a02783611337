"""What a log taught of a box (`Box.learned`), as runs and ensembles take it: the value in the middle, and draws that belong together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from terralab.describe.box import Box
from terralab.describe.learned import standing
from terralab.describe.seasons import is_own
from terralab.materials import Number
from terralab.materials.limits import ROOM

if TYPE_CHECKING:
    from terralab.uncertainty.inputs import UncertainInput


def learned_keys(box: Box, season: str = "now") -> dict[str, str]:
    """The key of each number that a log of `box` taught and that holds in `season`, by its name.

    What was learned of the room's sensor holds for rooms that the keeper gave, not for the shipped ones of a season.
    """
    found = standing(box)
    if found and season in ("winter", "summer") and not is_own(box, season):
        found = {name: key for name, key in found.items() if key not in ROOM}
    return found


def typical_learned(box: Box, season: str = "now") -> dict[str, float]:
    """The learned values in the middle, as an `overrides` mapping; empty for a box that was not logged."""
    return {key: box.learned.typical[name] for name, key in learned_keys(box, season).items()}


def number_now(box: Box, name: str, number: Number, season: str = "now") -> Number:
    """What is known of a number: what a log of the box taught of it, else what it is given as."""
    return box.learned.number(name, number.unit) if name in learned_keys(box, season) else number


def with_learned(box: Box, overrides: Mapping[str, float | str], season: str = "now") -> dict[str, float | str]:
    """The overrides of a run, with the learned value in the middle for each number that they leave open."""
    return {**typical_learned(box, season), **overrides}


def as_learned(box: Box, found: Sequence[UncertainInput], season: str = "now") -> tuple[UncertainInput, ...]:
    """Uncertain inputs, those that were learned with the ends of their draws, the learned value, and where it comes from."""
    held = learned_keys(box, season)
    out = []
    for one in found:
        if one.name in held:
            n = box.learned.number(one.name, one.unit)
            ends = {"low": n.low, "typical": n.typical, "high": n.high}
            one = replace(one, **ends, grade=n.grade, source=n.source, log=box.learned.log_words)
        out.append(one)
    return tuple(out)


def draws_taken(box: Box, found: Sequence[UncertainInput], members: int, season: str = "now") -> dict[int, np.ndarray]:
    """For each of the inputs that was learned, by its place: its value in each member.

    Member i takes draw i of every number, counted round and round, so that what belongs together stays together.
    """
    held = learned_keys(box, season)
    if not held:
        return {}
    taken = np.arange(members) % box.learned.size
    return {j: np.array(box.learned.draws[one.name])[taken] for j, one in enumerate(found) if one.name in held}
