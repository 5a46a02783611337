"""A fair sample of what the uncertain numbers may be together: the members of an ensemble.

Every number has draws of its own, found by its name alone (seeded, so the same every time). So two boxes that are
compared share the draws of all they have in common, member by member: a fan more or a leaf area traced redraws nothing
else. Numbers that follow a common cause are tied to it: each is normal in the same hidden cause and in a share of its
own (a Gaussian copula), then mapped to its own range.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from hashlib import blake2b

import numpy as np

from terralab.describe.box import Box
from terralab.uncertainty.inputs import UncertainInput, uncertain_inputs
from terralab.uncertainty.learned import draws_taken
from terralab.uncertainty.spread import quantile
from terralab.validate import whole

MEMBERS = 128  # twice as many move no end of a range by more than 5 % of its width; see reference/uncertainty.md
SEED = 20
MOST_MEMBERS = 8192
#: What decided the answers most in the study of reference/uncertainty.md, by how its key ends. A box has each of these
#: once, of names in brackets only one. They take the columns of one scrambled Sobol sequence, which are even together and not only each by itself.
FIRST = (
    "mesh exchange.factor",
    "mesh law.factor",
    ".resistance_full",
    "room.humidity",
    "room.temperature",
    ("plants.leaf_area_cm2", ".leaf_area_per_cover"),  # traced, or by the cover: a box has one of the two
    "leakage.ach",
    "air movement.speed",
    ".vapour_resistance_factor",
    ".resistance_dark",
)


@dataclass(frozen=True, eq=False)
class Ensemble:
    """Members of one box: `overrides[i]` is member i for `simulate(box, overrides=...)`; `values[i, j]` its number j.

    `inputs[j]` says what number j is.
    """

    inputs: tuple[UncertainInput, ...]
    values: np.ndarray

    @property
    def size(self) -> int:
        """How many members there are."""
        return len(self.values)

    @cached_property
    def overrides(self) -> tuple[dict[str, float], ...]:
        """Each member as a `overrides` mapping."""
        keys = [one.key for one in self.inputs]
        return tuple(dict(zip(keys, map(float, row), strict=True)) for row in self.values)


def ensemble(box: Box, members: int = MEMBERS, season: str = "now", seed: int = SEED) -> Ensemble:
    """A seeded ensemble of `members` (2 to 8192; a power of two fills space best) for `box` in the room of `season`.

    Numbers that were learned from a log of the box take its draws, joined as they are; the others are drawn as ever.
    """
    members = whole("members", members, 2, MOST_MEMBERS)
    found = uncertain_inputs(box, season)
    values = values_at(found, draws(found, members, seed))
    for j, taken in draws_taken(box, found, members, season).items():
        values[:, j] = taken
    return Ensemble(found, values)


def drawn_beside(found: Ensemble, more: tuple[UncertainInput, ...], seed: int = SEED) -> Ensemble:
    """Return the same members with the numbers of `more` that they lack, such as those of a by-product no run needs."""
    known = {one.key for one in found.inputs}
    new = tuple(one for one in more if one.key not in known)
    if not new:
        return found
    values = values_at(new, draws(new, found.size, seed))
    return Ensemble((*found.inputs, *new), np.hstack([found.values, values]))


def dimensions(found: tuple[UncertainInput, ...]) -> int:
    """How many independent draws the uncertain inputs need: one each and one for each common cause."""
    return len(found) + len(causes_of(found))


def causes_of(found: tuple[UncertainInput, ...]) -> list[str]:
    """The common causes of some uncertain inputs, each once, in a fixed order."""
    return sorted({one.follows for one in found if one.follows})


def draws(found: tuple[UncertainInput, ...], members: int, seed: int) -> np.ndarray:
    """Independent draws (members x `dimensions`), strictly between 0 and 1: the inputs', then their common causes'.

    The draws of a name are the same whatever stands beside it, and the first of many are those of few.
    """
    names = [one.name for one in found] + [f"cause: {cause}" for cause in causes_of(found)]
    return np.column_stack([_draws_of(name, members, seed) for name in names])


def _draws_of(name: str, members: int, seed: int) -> np.ndarray:
    power = int(np.ceil(np.log2(members)))
    place = next((i for i, end in enumerate(FIRST) if name.endswith(end)), None)
    column = _alone(name, power, seed) if place is None else _together(power, seed)[:, place]
    return column[:members]


@cache
def _together(power: int, seed: int) -> np.ndarray:
    return uniform(2**power, len(FIRST), seed)


@cache
def _alone(name: str, power: int, seed: int) -> np.ndarray:
    """Draws of one name: of every 2, 4, 8 ... first ones, one lies in each half, quarter, eighth ... of 0 to 1.

    Doubling puts one new draw into the empty half of each part, in an order of its own. Between two names there is then
    no more likeness than chance gives, which late columns of a Sobol sequence do not promise.
    """
    chance = np.random.default_rng(int.from_bytes(blake2b(f"{seed}: {name}".encode(), digest_size=8).digest()))
    u = chance.random(1)
    for m in range(power):
        parts = 2 ** (m + 1)
        empty = np.floor(u * parts).astype(int) ^ 1  # the neighbour of every half that is taken
        u = np.concatenate([u, (chance.permutation(empty) + chance.random(len(empty))) / parts])
    return np.clip(u, 1e-9, 1.0 - 1e-9)


def uniform(members: int, dimension: int, seed: int) -> np.ndarray:
    """Scrambled Sobol points, members x dimension, each strictly between 0 and 1."""
    from scipy.stats import qmc  # late: half a second to load

    points = qmc.Sobol(dimension, scramble=True, seed=seed)
    power = int(np.ceil(np.log2(members)))
    return np.clip(points.random_base2(power)[:members], 1e-9, 1.0 - 1e-9)


def values_at(found: tuple[UncertainInput, ...], u: np.ndarray) -> np.ndarray:
    """The numbers at independent uniform draws u (members x `dimensions`), ties to common causes included."""
    from scipy.special import ndtr, ndtri  # late, as above

    causes = causes_of(found)
    out = np.empty((len(u), len(found)))
    for j, one in enumerate(found):
        draw = u[:, j]
        if one.follows:
            common = ndtri(u[:, len(found) + causes.index(one.follows)])
            own = np.sqrt(1.0 - one.strength**2) * ndtri(draw)
            draw = ndtr(one.strength * common + own)
        out[:, j] = [quantile(float(x), one.low, one.typical, one.high) for x in draw]
    return out
