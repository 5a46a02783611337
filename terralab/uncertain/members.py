"""A fair sample of what the uncertain numbers may be together: the members of an ensemble.

Points of a Sobol sequence (scrambled, seeded, so the same every time) fill the space of all uncertain numbers
evenly. Numbers that follow a common cause are tied to it: each is normal in the same hidden cause and in a share of
its own (a Gaussian copula), then mapped to its own range.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from terralab.describe.box import Box
from terralab.errors import TerralabError
from terralab.uncertain.spread import quantile
from terralab.uncertain.unknowns import Unknown, unknowns

MEMBERS = 128  # twice as many move no end of a range by more than 6 % of its width; see reference/uncertainty.md
SEED = 20
MOST_MEMBERS = 8192
#: What decided the answers most in the study of reference/uncertainty.md, by how its key ends. A Sobol sequence is
#: most even in its first columns, and with few points two late ones may run almost alike, so these come first. The
#: order changes how soon a range settles, not what it settles to.
FIRST = (
    "mesh exchange.factor",
    ".resistance_lit",
    "room.humidity",
    "room.temperature",
    "leaf_area_cm2",
    "leakage.ach",
    "air movement.speed",
    ".vapour_resistance_factor",
    "flow_m3_h",
    ".covered",
    ".resistance_dark",
    "flow_ml_min",
)


@dataclass(frozen=True, eq=False)
class Ensemble:
    """Members of one box: `choose[i]` is member i for `simulate(box, choose=...)`; `values[i, j]` its number j.

    `unknowns[j]` says what number j is.
    """

    unknowns: tuple[Unknown, ...]
    values: np.ndarray

    @property
    def size(self) -> int:
        """How many members there are."""
        return len(self.values)

    @cached_property
    def choose(self) -> tuple[dict[str, float], ...]:
        """Each member as a `choose` mapping."""
        keys = [one.key for one in self.unknowns]
        return tuple(dict(zip(keys, map(float, row), strict=True)) for row in self.values)


def ensemble(box: Box, members: int = MEMBERS, season: str = "now", seed: int = SEED) -> Ensemble:
    """A seeded ensemble of `members` (2 to 8192; a power of two fills space best) for `box` in the room of `season`."""
    if not (isinstance(members, int) and 2 <= members <= MOST_MEMBERS):
        raise TerralabError(f"members: {members!r} was given; allowed is a whole number from 2 to {MOST_MEMBERS}.")
    found = unknowns(box, season)
    return Ensemble(found, values_at(found, uniform(members, dimensions(found), seed)))


def dimensions(found: tuple[Unknown, ...]) -> int:
    """How many independent draws the unknowns need: one each and one for each common cause."""
    return len(found) + len({one.follows for one in found if one.follows})


def columns_of(found: tuple[Unknown, ...]) -> np.ndarray:
    """Which column of the draws each unknown takes: those named in `FIRST` the first; common causes follow them all."""
    rank = [next((i for i, end in enumerate(FIRST) if one.key.endswith(end)), len(FIRST)) for one in found]
    return np.argsort(np.argsort(rank, kind="stable"), kind="stable")


def uniform(members: int, dimension: int, seed: int) -> np.ndarray:
    """Scrambled Sobol points, members x dimension, each strictly between 0 and 1."""
    from scipy.stats import qmc  # late: half a second to load

    points = qmc.Sobol(dimension, scramble=True, seed=seed)
    power = int(np.ceil(np.log2(members)))
    return np.clip(points.random_base2(power)[:members], 1e-9, 1.0 - 1e-9)


def values_at(found: tuple[Unknown, ...], u: np.ndarray) -> np.ndarray:
    """The numbers at independent uniform draws u (members x `dimensions`), ties to common causes included."""
    from scipy.special import ndtr, ndtri  # late, as above

    causes = sorted({one.follows for one in found if one.follows})
    out = np.empty((len(u), len(found)))
    column = columns_of(found)
    for j, one in enumerate(found):
        draw = u[:, column[j]]
        if one.follows:
            common = ndtri(u[:, len(found) + causes.index(one.follows)])
            own = np.sqrt(1.0 - one.strength**2) * ndtri(draw)
            draw = ndtr(one.strength * common + own)
        out[:, j] = [quantile(float(x), one.low, one.typical, one.high) for x in draw]
    return out
