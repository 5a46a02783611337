"""How much water was given and drawn off, and how well that is known: by the jug, or by weighing the bottle."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from terralab import materials
from terralab.logs.diary import Diary, Entry, minute
from terralab.quantities import quantity, said

#: A bottle that is called so waters the leaves.
SPRAYER = ("spray", "mist")
#: A bottle that is called so feeds a mister: what it lost was misted by the device itself.
TANK = ("tank", "reservoir")
AGREES = 0.15  # share by which the jug may miss the bottle before that is said; a choice


@dataclass(frozen=True)
class Given:
    """Water that was given: `what` "poured", "sprayed" or, from a mister's tank, "misted", `ml` between `begins` and `ends` (the same where the time is known).

    `error`: one standard deviation [ml]. `weighed`: the bottle says it; else a jug, whose error goes the same way each time.
    """

    begins: np.datetime64
    ends: np.datetime64
    what: str
    ml: float
    error: float
    weighed: bool


def one_deviation(entry: str, prop: str = "error") -> float:
    """Return one standard deviation of a way of measuring: half of what 95 of 100 readings lie within."""
    return 0.5 * materials.get("defaults", entry).typical(prop)


def given(diary: Diary) -> tuple[tuple[Given, ...], tuple[str, ...]]:
    """Return what was poured and sprayed, in order of time, and sentences on where bottle and jug disagree.

    Between two weighings of a bottle the weight that is gone was given. Where pours are written down in that time too, they keep
    their times and their share of it. A bottle that grew heavier was filled up; that stretch tells nothing. A bottle that is
    named a sprayer ("bottle: sprayer") gave sprays, a tank ("bottle: tank") what a mister gave, any other pours.
    """
    jug = one_deviation("measuring jug")
    found = {id(one): _by_jug(one, jug) for one in diary.of("poured", "sprayed")}
    extra: list[Given] = []
    words: list[str] = []
    bottles = {one.name.lower(): None for one in diary.of("bottle weighs")}
    for name in bottles:
        what = _given_by(name)
        weights = [one for one in diary.of("bottle weighs") if one.name.lower() == name]
        for before, after in pairwise(weights):
            gone = (before.amount or 0.0) - (after.amount or 0.0)
            if gone <= 0.0:
                continue
            error = float(np.hypot(_of_scale(before), _of_scale(after)))
            written = [one for one in _written(diary, what) if before.when <= one.when <= after.when]
            total = sum(one.amount or 0.0 for one in written)
            if total <= 0.0:
                extra.append(Given(before.when, after.when, what, gone, error, True))
                continue
            if abs(gone - total) > AGREES * total + 2.0 * error:
                words.append(
                    f"Between {minute(before.when)} and {minute(after.when)} the bottle lost {said(quantity('ml', '.0f', gone))}, while "
                    f"{said(quantity('ml', '.0f', total))} are written down as {what}. The bottle counts."
                )
            for one in written:
                share = (one.amount or 0.0) / total
                found[id(one)] = Given(one.when, one.when, what, gone * share, error * share, True)
    every = sorted([*found.values(), *extra], key=lambda one: one.ends)
    return tuple(every), tuple(words)


def total(every: tuple[Given, ...], begins: np.datetime64, ends: np.datetime64) -> tuple[float, float]:
    """Return what was given after `begins` and up to `ends` [ml], and its standard deviation.

    What a bottle gave between two weighings counts by the part of that time that lies within.
    """
    sums = {True: 0.0, False: 0.0}
    ml = 0.0
    for one in every:
        part = _inside(one, begins, ends)
        ml += part * one.ml
        if one.weighed:
            sums[True] += (part * one.error) ** 2
        else:
            sums[False] += part * one.error
    return ml, float(np.hypot(np.sqrt(sums[True]), sums[False]))


def is_tank(name: str) -> bool:
    """Return whether a bottle of that name is the tank of a mister."""
    return any(word in name.lower() for word in TANK)


def _given_by(bottle: str) -> str:
    return "misted" if is_tank(bottle) else "sprayed" if any(word in bottle for word in SPRAYER) else "poured"


def _written(diary: Diary, what: str) -> tuple[Entry, ...]:
    """Entries that say by jug what a bottle says by weight; what a mister gives nobody writes down."""
    return () if what == "misted" else diary.of(what)


def _inside(one: Given, begins: np.datetime64, ends: np.datetime64) -> float:
    if one.begins == one.ends:
        return float(begins < one.ends <= ends)
    shared = (min(one.ends, ends) - max(one.begins, begins)) / (one.ends - one.begins)
    return float(max(0.0, shared))


def _by_jug(one: Entry, share: float) -> Given:
    ml = one.amount or 0.0
    return Given(one.when, one.when, one.what, ml, max(share * ml, _rounding(one)), False)


def _of_scale(one: Entry) -> float:
    return float(np.hypot(1000.0 * one_deviation("gram scale"), _rounding(one)))


def _rounding(one: Entry) -> float:
    """One standard deviation of what the last digit leaves open."""
    return (one.step or 0.0) / float(np.sqrt(12.0))
