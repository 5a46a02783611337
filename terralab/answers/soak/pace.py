"""In how many portions, and how far apart: so that a mix which refuses water at first has time to take it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from terralab.physics.wetting import SHUT, holds, sheds
from terralab.simulation.dry_soil import DrySoil
from terralab.units import HOUR_S

MINUTE_S = 60.0
PORTION_M = 0.010  # of water on the soil at a time at most, where nothing asks for less (a choice)
RATE_M_S = 0.002 / MINUTE_S  # what a can with a fine rose gives over the soil: 2 mm a minute (a choice)
MOST_PORTIONS = 12  # a choice: more is no day's work
MOST_S = 12 * HOUR_S  # one day from morning to evening
SURELY = 0.5  # of what a soil is taken to take: portions are sized for one that takes half (a choice)
SLACK = 0.03  # of what the soil lacks: how much more may run past than with the most portions
LEAST_PAUSE_S = 10 * MINUTE_S  # from one portion to the next (a choice)
STEP_S = 5 * MINUTE_S  # to which the pause is rounded up
SLICE_S = 15 * MINUTE_S  # a long pour is looked at in such pieces
AT_ONCE_S = 10 * MINUTE_S  # all water in one go, to compare with


@dataclass(frozen=True)
class Pace:
    """`portions` alike, one begun every `every_s` [s], each poured in `over_s` [s]."""

    portions: int
    every_s: float
    over_s: float

    @property
    def lasts_s(self) -> float:
        """From the first drop to the last."""
        return (self.portions - 1) * self.every_s + self.over_s


AT_ONCE = Pace(1, 0.0, AT_ONCE_S)


@dataclass(frozen=True)
class Course:
    """What the soil holds and what runs past it, by portion [m]; `stood_m`: the most that stood on it between portions."""

    held: tuple[float, ...]
    past: tuple[float, ...]

    @property
    def first_held(self) -> float:
        """The share of the first portion that the soil keeps [-]."""
        return self.held[0] / max(1e-30, self.held[0] + self.past[0])


def course(soil: DrySoil, dry: float, room: float, depth: float, pace: Pace) -> Course:
    """Pour `depth` [m] at `pace` on a soil with `room` [m] in its pores; `dry` as in `physics.wetting.dryness`.

    Contact is counted from the first drop: what a portion wets stays wet in the pause and wets what lies beside it.
    """
    held = stands = 0.0
    kept_by, past_by = [], []
    pieces = max(1, math.ceil(pace.over_s / SLICE_S))
    piece, lasts = depth / pace.portions / pieces, pace.over_s / pieces
    for k in range(pace.portions):
        kept = 0.0
        for j in range(pieces):
            refuses = soil.refuses(dry, k * pace.every_s + (j + 0.5) * lasts)
            takes = (1.0 - refuses) * soil.takes_m_s
            shed = min(piece, sheds(piece + stands, lasts, takes, soil.pond_m, refuses))
            stands = max(0.0, stands + piece - shed - takes * lasts)
            into = holds(piece - shed, refuses, room, held + kept)
            kept += into
        stands = max(0.0, stands - takes * max(0.0, pace.every_s - pace.over_s))
        held += kept
        kept_by.append(kept)
        past_by.append(max(0.0, piece * pieces - kept))
    return Course(tuple(kept_by), tuple(past_by))


def depth_for(soil: DrySoil, dry: float, room: float, lacks: float, pace: Pace) -> float:
    """How much to pour [m] at `pace` so that the soil keeps `lacks` [m]; where it cannot, until it keeps nearly all it can."""
    kept = lambda depth: math.fsum(course(soil, dry, room, depth, pace).held)  # noqa: E731
    most = 20.0 * lacks
    wanted = min(lacks, 0.98 * kept(most))
    low, high = wanted, most
    first = wanted * wanted / max(1e-30, kept(wanted))  # exact unless the soil is full or water stands too high
    if kept(first) >= wanted * (1.0 - 1e-9):
        high = first
        if kept(first) <= wanted * (1.0 + 1e-9):
            return first
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if kept(middle) < wanted else (low, middle)
    return high


def past_of(soil: DrySoil, dry: float, room: float, lacks: float, pace: Pace) -> float:
    """What runs past [m] while the soil is given what it `lacks` [m]."""
    depth = depth_for(soil, dry, room, lacks, pace)
    return math.fsum(course(soil, dry, room, depth, pace).past)


def pace_for(soil: DrySoil, dry: float, room: float, lacks: float) -> Pace:
    """The fewest portions that lose hardly more than the most would, as far apart as the mix needs to take them.

    The whole lasts until no more than a twentieth of the mix refuses water, at most a day's twelve hours. No portion may
    stand so high on a shrunken mix that it runs down beside it; each has gone in before the next.
    """
    wets = min(MOST_S, soil.wets_in_s(dry, SHUT))
    takes = (1.0 - soil.refuses(dry, 0.0)) * soil.takes_m_s
    # what goes in while it is poured never stands
    largest = min(PORTION_M, soil.pond_m / max(1e-9, 1.0 - SURELY * takes / RATE_M_S))
    most = max(MOST_PORTIONS, min(2 * MOST_PORTIONS, math.ceil(lacks / largest)))
    fewest = min(most, max(1, math.ceil(lacks / largest - 1e-9)))
    paced = lambda n: _paced(n, lacks, wets, takes)  # noqa: E731
    if wets > 0.0:
        least = past_of(soil, dry, room, lacks, paced(most))
        while fewest < most and past_of(soil, dry, room, lacks, paced(fewest)) > least + SLACK * lacks:
            fewest += 1
    return paced(fewest)


def _paced(portions: int, lacks: float, wets: float, takes: float) -> Pace:
    """The pace of so many portions: over the time the mix needs, none begun before the last one has gone in."""
    each = lacks / portions
    over = max(MINUTE_S, each / RATE_M_S)
    if portions == 1:
        return Pace(1, 0.0, over)
    every = max(wets / (portions - 1), LEAST_PAUSE_S, over, each / takes)
    every = STEP_S * math.ceil(every / STEP_S - 1e-9)
    return Pace(portions, max(over, min(every, STEP_S * math.floor(MOST_S / (portions - 1) / STEP_S))), over)
