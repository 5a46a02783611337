"""The numbers of a mix of several materials, from those of its parts, by a stated rule.

Water held: at each suction the mean of the parts by volume. Two parts with one kind of pores each make a mix with two
kinds (Durner 1994), which is that mean exactly; of more kinds, two are fitted to the mean. Pore space, water left when
dry, weight and heat capacity: means by volume. Flow of water and conductivity of heat: geometric means by volume, which
lie between layers on each other and layers side by side. Every range is a quarter wider than the mean of the parts'
ranges, and reaches to either side a tenth of the difference between the parts, for shares measured with a scoop. The
pore space may be less, by up to a tenth of the volume at equal shares, since small pieces fill in between large ones.

That pieces fill in, and that a linear rule gives too little water for damp mixes such as peat with coir and too much
for dry ones such as peat with straw, was measured on four pairs of materials: Wageningen University 2009, A mixing model
to predict selected parameters in mixing container media, Acta Hort. 819:215-220 (abstract; it prints no numbers). The
widths are a working estimate of this project.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

import numpy as np

from terralab.materials.number import GRADES, Entry, Number
from terralab.materials.recipe import spoken, written
from terralab.materials.schema import Property, schema
from terralab.physics.retention import SOIL_COLUMNS, saturation, water_content

TABLE = "substrates"
WIDER = 1.25  # how much wider a range is than the mean of the parts' ranges
SCOOPS = 0.1  # share of the difference between the parts by which a mix measured with a scoop may be off
FILLING = 0.1  # share of the volume lost at equal shares of two, at most
ODDS = 1.5  # by which the odds of the second kind of pores may be off, at least
AIR_ENTRY = 0.01  # m, the table's rule: 1 cm where n is below 2, never above 0.1/alpha
RULE = "mean by volume of its parts, ranges a quarter wider (see reference/mixes.md)"
_FIT_FROM, _FIT_TO, _POINTS = 1e-3, 1e3, 61  # m of suction: from soaked to far drier than roots take


@dataclass(frozen=True, slots=True)
class _Pores:
    """One kind of pores: the water it can give up [m3/m3 of the mix], alpha [1/m] and n with (low, typical, high)."""

    water: float
    alpha: tuple[float, float, float]
    n: tuple[float, float, float]


def mixed(parts: Sequence[tuple[Fraction, Entry]]) -> Entry:
    """Return the entry of a mix of these shares of volume, in the order of `recipe`; shares add up to 1.

    Every number carries a range wider than those of its parts, the worst grade among them (at best D), and the rule as
    its source. A single part is returned as it is.
    """
    if len(parts) == 1:
        return parts[0][1]
    return _mixed(tuple(parts))


@lru_cache(maxsize=256)
def _mixed(parts: tuple[tuple[Fraction, Entry], ...]) -> Entry:
    name = written({entry.name: share for share, entry in parts})
    rule = _Rule([float(share) for share, _ in parts], [entry for _, entry in parts], spoken(name))
    return Entry(TABLE, name, rule.numbers(), (drained_note(rule.typical),))


class _Rule:
    """The mixing rule at work on the numbers of some parts."""

    def __init__(self, shares: list[float], entries: list[Entry], words: str) -> None:
        self.shares, self.entries, self.words = shares, entries, words
        self.typical: dict[str, float] = {}
        self.done: dict[str, Number] = {}

    def numbers(self) -> Mapping[str, Number]:
        self._mean("bulk_density")
        self._pore_space()
        self._mean("theta_r", highest=0.9 * self.done["theta_s"].low)
        self._pores()
        self._mean("l", lowest=self._least_crooked())
        self._mean("ks", logs=True)
        self._air_entry()
        self._repellent()
        self._mean("heat_capacity_dry")
        self._mean("lambda_dry", logs=True)
        self._mean("lambda_wet", logs=True)
        return {prop: self.done[prop] for prop in schema(TABLE, "") if prop in self.done}

    def _weighted(self, values: Sequence[float]) -> float:
        return math.fsum(f * x for f, x in zip(self.shares, values, strict=True))

    def _put(self, prop: str, low: float, typical: float, high: float, used: Sequence[str] = ()) -> None:
        """Keep one number, its ends within what can be real."""
        spec: Property = schema(TABLE, "")[prop]
        low, typical, high = (min(spec.highest, max(spec.lowest, x)) for x in (low, typical, high))
        origins = [entry[p].grade for entry in self.entries for p in (used or (prop,)) if p in entry]
        order = list(GRADES)
        grade = max([*origins, "D"], key=order.index)
        memory = {"M": ", of which some are from memory", "CP": ", of which some are common practice"}.get(grade, "")
        self.typical[prop] = typical
        self.done[prop] = Number(
            min(low, typical), typical, max(high, typical), spec.unit, grade, f"{self.words}: {RULE}{memory}"
        )

    def _mean(self, prop: str, logs: bool = False, lowest: float = -math.inf, highest: float = math.inf) -> None:
        """The mean by volume, arithmetic or geometric, with the wider range."""
        there, back = (math.log, math.exp) if logs else (float, float)
        ends = [[there(getattr(e[prop], end)) for e in self.entries] for end in ("low", "typical", "high")]
        low, typical, high = (self._weighted(values) for values in ends)
        apart = SCOOPS * (max(ends[1]) - min(ends[1]))
        low, high = (_further(typical, end, apart) for end in (low, high))
        least, most = min(ends[1]), max(ends[1])  # a mean lies between what it is the mean of, to the last digit
        typical = min(most, max(least, typical))
        low, typical, high = (min(highest, max(lowest, back(x))) for x in (low, typical, high))
        self._put(prop, low, typical, high)

    def _pore_space(self) -> None:
        self._mean("theta_s", highest=max(e["theta_s"].high for e in self.entries))
        held = self.done["theta_s"]
        filling = FILLING * 2.0 * (1.0 - math.fsum(f * f for f in self.shares))
        filled = 1.0 - (1.0 - held.typical) / (1.0 - min(0.15, filling))
        self._put("theta_s", min(held.low, filled), held.typical, held.high)

    def _pores(self) -> None:
        """One or two kinds of pores; the coarser is the first."""
        kinds = _kinds(self.shares, self.entries)
        room = self.typical["theta_s"] - self.typical["theta_r"]
        used = ("alpha", "n", "theta_s", "theta_r", "w2", "alpha2", "n2")
        wide = [_Pores(k.water, _wide(k.alpha), _wide(k.n, 1.0)) for k in kinds]
        if len(wide) > 2:
            wide = _fitted(wide, room)
        wide.sort(key=lambda kind: (-kind.alpha[1], kind.n[1]))
        self._put("alpha", *wide[0].alpha, used)
        self._put("n", *wide[0].n, used)
        if len(wide) == 1:
            return
        share = wide[1].water / math.fsum(kind.water for kind in wide)
        odds = share / (1.0 - share)
        factor = max([ODDS, *(_odds_factor(e["w2"]) for e in self.entries if "w2" in e)])
        low, high = odds / factor, odds * factor
        self._put("w2", low / (1.0 + low), share, high / (1.0 + high), used)
        self._put("alpha2", *wide[1].alpha, used)
        self._put("n2", *wide[1].n, used)

    def _least_crooked(self) -> float:
        """Below l = -2/m conductivity would rise again as the mix dries (see `checks`)."""
        steepest = max(self.done[prop].high for prop in ("n", "n2") if prop in self.done)
        return -2.0 / (1.0 - 1.0 / steepest) + 0.01

    def _air_entry(self) -> None:
        alphas = [self.typical[prop] for prop in ("alpha", "alpha2") if prop in self.typical]
        evenness = [self.typical[prop] for prop in ("n", "n2") if prop in self.typical]
        enters = min(AIR_ENTRY, 0.1 / max(alphas)) if min(evenness) < 2.0 else 0.0
        self._put("air_entry", 0.0, enters, enters)

    def _repellent(self) -> None:
        """What lies above the driest state is averaged: below that the threshold of a part would never act."""
        dry = self.typical["theta_r"]
        over = [
            self._weighted([max(0.0, getattr(e["repellent_below"], end) - e.typical("theta_r")) for e in self.entries])
            for end in ("low", "typical", "high")
        ]
        over = [_further(over[1], end, 0.0) for end in over]
        self._put("repellent_below", *(dry + x if x > 0.0 else 0.0 for x in over))
        self._mean("bypass_share", lowest=0.0, highest=1.0)
        if over[2] <= 0.0:
            self._put("bypass_share", 0.0, 0.0, 0.0)
        if all("refuses_dry" in entry and "wetting_hours" in entry for entry in self.entries):
            self._mean("refuses_dry", lowest=0.0, highest=1.0)
            self._mean("wetting_hours", logs=True)


def _further(typical: float, end: float, apart: float) -> float:
    """An end of a range a quarter further from the typical value, and at least `apart` from it."""
    if end > typical:
        return typical + max(WIDER * (end - typical), apart)
    return typical - max(WIDER * (typical - end), apart if end < typical else 0.0)


def _wide(ends: tuple[float, float, float], floor: float = 0.0) -> tuple[float, float, float]:
    """A range a quarter wider on a scale of factors, counted from `floor`."""
    low, typical, high = (x - floor for x in ends)
    return floor + typical * (low / typical) ** WIDER, ends[1], floor + typical * (high / typical) ** WIDER


def _odds_factor(share: Number) -> float:
    odds = [x / (1.0 - x) if x < 1.0 else math.inf for x in (share.low, share.typical, share.high)]
    out = max(odds[1] / odds[0] if odds[0] > 0.0 else ODDS, odds[2] / odds[1])
    return min(out, 5.0) ** WIDER


def _kinds(shares: Sequence[float], entries: Sequence[Entry]) -> list[_Pores]:
    """Every kind of pores of the parts, alike ones together, in the order of the parts."""
    found: dict[tuple[float, float], _Pores] = {}
    for share, entry in zip(shares, entries, strict=True):
        room = share * (entry.typical("theta_s") - entry.typical("theta_r"))
        second = entry.typical("w2") if "w2" in entry else 0.0
        for water, alpha, n in ((room * (1.0 - second), "alpha", "n"), (room * second, "alpha2", "n2")):
            if water <= 0.0:
                continue
            key = (entry.typical(alpha), entry.typical(n))
            held = found.get(key)
            if held is None:
                found[key] = _Pores(water, _ends(entry[alpha]), _ends(entry[n]))
            else:
                spans = [
                    (min(old[0], new.low), old[1], max(old[2], new.high))
                    for old, new in ((held.alpha, entry[alpha]), (held.n, entry[n]))
                ]
                found[key] = _Pores(held.water + water, *spans)
    return list(found.values())


def _ends(number: Number) -> tuple[float, float, float]:
    return number.low, number.typical, number.high


def _fitted(kinds: Sequence[_Pores], room: float) -> list[_Pores]:
    """Two kinds of pores that together come nearest to many, by least squares over the logarithm of suction."""
    from scipy.optimize import least_squares  # late: only such a mix needs it

    suctions = np.geomspace(_FIT_FROM, _FIT_TO, _POINTS)
    total = math.fsum(kind.water for kind in kinds)
    wanted = sum(kind.water / total * _curve(suctions, kind.alpha[1], kind.n[1]) for kind in kinds)
    alphas = [math.log(kind.alpha[1]) for kind in kinds]
    evens = [math.log(kind.n[1] - 1.0) for kind in kinds]
    gap = 1e-9  # least_squares wants room between its bounds
    low = [0.02, min(alphas) - gap, min(evens) - gap, min(alphas) - gap, min(evens) - gap]
    high = [0.98, max(alphas) + gap, max(evens) + gap, max(alphas) + gap, max(evens) + gap]

    def off(x: np.ndarray) -> np.ndarray:
        first, second = (_curve(suctions, math.exp(x[i]), 1.0 + math.exp(x[i + 1])) for i in (1, 3))
        return (1.0 - x[0]) * first + x[0] * second - wanted

    even = math.fsum(k.water / total * e for k, e in zip(kinds, evens, strict=True))
    start = [0.5, max(alphas), even, min(alphas), even]
    x = least_squares(off, start, bounds=(low, high), xtol=1e-12, ftol=1e-12, gtol=1e-12).x
    spread = lambda ends, floor, side: math.fsum(  # noqa: E731
        k.water / total * math.log((ends(k)[side] - floor) / (ends(k)[1] - floor)) for k in kinds
    )
    out = []
    for water, log_alpha, log_n in ((1.0 - x[0], x[1], x[2]), (x[0], x[3], x[4])):
        alpha, even = math.exp(log_alpha), math.exp(log_n)
        a = tuple(alpha * math.exp(spread(lambda k: k.alpha, 0.0, side)) for side in (0, 1, 2))
        n = tuple(1.0 + even * math.exp(spread(lambda k: k.n, 1.0, side)) for side in (0, 1, 2))
        out.append(_Pores(water * room, (a[0], alpha, a[2]), (n[0], 1.0 + even, n[2])))
    return out


def _curve(suctions: np.ndarray, alpha: float, n: float) -> np.ndarray:
    row = np.zeros(len(SOIL_COLUMNS))
    row[SOIL_COLUMNS.index("alpha")], row[SOIL_COLUMNS.index("n")] = alpha, n
    return np.array([saturation(-suction, row)[0] for suction in suctions])


def row_of(value: Mapping[str, float]) -> np.ndarray:
    """Return the numbers of one soil as the row that `physics.retention` reads, with the dry end of the mixes."""
    row = np.array([value.get(column, 0.0) for column in SOIL_COLUMNS])
    row[0] = 1.0 if value.get("w2") else 0.0
    row[SOIL_COLUMNS.index("dry_end")] = 1.0
    return row


def drained(value: Mapping[str, float], height_m: float, slices: int = 100) -> float:
    """Return the mean water content [m3/m3] of a drained column `height_m` high, its suction growing from 0 at its foot."""
    row = row_of(value)
    water: Callable[[float], float] = lambda x: water_content(-x * height_m, row)[0]  # noqa: E731
    return math.fsum(water((i + 0.5) / slices) for i in range(slices)) / slices


def drained_note(value: Mapping[str, float]) -> str:
    """Return the sentence on water and air in a drained layer that every material of the tables carries."""
    held = drained(value, 0.1)
    at_top = value["theta_s"] - water_content(-0.1, row_of(value))[0]
    return (
        f"A drained layer 10 cm deep holds {100 * held:.0f} % water and {100 * (value['theta_s'] - held):.0f} % air on "
        f"average; at 10 cm of suction {100 * at_top:.0f} % is air."
    )
