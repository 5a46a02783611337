"""Two or three ways worth naming among those that were tried, and what everything uncertain makes of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from functools import cached_property

import numpy as np

from terralab import materials
from terralab.answers.common.balance import balancing_ml, kept_dry
from terralab.answers.common.ensemble import SETTLE_DAYS, Course, EnsembleResults, fair, measured, settled, settled_rows
from terralab.answers.common.humidity_target import humidity, target_of
from terralab.answers.common.rounding import jug
from terralab.answers.common.temperature import heat_measures, heat_of
from terralab.answers.mister.below import WATCHED_DAYS, Below, below_of
from terralab.answers.mister.plan import Plan
from terralab.answers.mister.scan import (
    EVERY_MIN,
    GAIN_H,
    LANDS,
    TRIED_DAYS,
    Base,
    Seen,
    Tried,
    front_of,
    seen_in,
)
from terralab.describe.box import Box
from terralab.errors import RunError
from terralab.simulation.record import Record
from terralab.simulation.simulate import run_job
from terralab.uncertainty import ensemble

# Choices: the gentlest must bring half of what can be gained, the balanced nearly all of it.
GENTLE_SHARE, BALANCED_SHARE = 0.5, 0.85
MOST_REFUSED = 6  # plans that soil or layer do not bear, after which none of their kind will
SHOWN_DAYS = 3.0  # at the end of two weeks, whose air is told
RESERVE = 0.1  # of the tank, so that the pump never sucks air (a choice)
TANK_STEP_L = 0.5
DRIP_H = (8, 20)  # o'clock at which a drip runs; half the water each
Span = tuple[float, float, float]


class Kind(StrEnum):
    """Why a plan is named."""

    GENTLE = "gentlest"
    BALANCED = "balanced"
    DAMPEST = "dampest"


@dataclass(frozen=True, eq=False)
class Choice:
    """A plan that may be recommended: why it is named, the pour beside it [ml a day], and what the draws make of it.

    `inside_h`, `wet_h`, `ml`, `rh_day`, `rh_night`: low, middle and high of the central 80 %. `lands`: what of its water
    lands on leaves, glass and soil and what floats [ml a day]; `vapour_ml`: how much more vapour leaves than without it;
    `below` and `record`: two weeks of the typical box. `without_ml`: the pour without a mister [ml a day].
    """

    kinds: tuple[Kind, ...]
    tried: Tried
    pour_ml: float
    record: Record
    below: Below
    lands: dict[str, float]
    vapour_ml: float
    without_ml: float
    spans: dict[str, Span] = field(default_factory=dict)

    @property
    def plan(self) -> Plan:
        """The plan itself."""
        return self.tried.plan

    @property
    def rows(self) -> np.ndarray:
        """The rows of the last three days of its record."""
        end = float(self.record.times_days[-1])
        return self.record.rows(end - SHOWN_DAYS, end)

    @cached_property
    def air(self) -> dict[str, dict[str, float]]:
        """Mean, lowest and highest humidity [%] of these days by day and by night."""
        return humidity(self.record, self.rows, target_of(self.record.box)[0])

    @cached_property
    def warm(self) -> dict[str, float]:
        """Mean temperature of the air [C] of these days by day and by night."""
        heat = heat_of(self.record, self.rows)
        return {"day": heat.day["mean"], "night": heat.night["mean"]}

    @property
    def gains(self) -> bool:
        """Whether it is worth having: an hour more in the band in the middle of the draws, and in hardly any an hour less."""
        low, middle, _ = self.spans["gain_h"]
        return middle >= GAIN_H and low > -GAIN_H

    def tank_l(self, days: float) -> float:
        """The tank [litres] that lasts for so many days in nine of ten draws, with a reserve."""
        return tank_l(self.spans["ml"][2], days)


def tank_l(ml_a_day: float, days: float) -> float:
    """A tank [litres] for so many ml a day and so many days, with a reserve, rounded up to half a litre."""
    return TANK_STEP_L * max(1, math.ceil(days * ml_a_day * (1.0 + RESERVE) / 1000.0 / TANK_STEP_L - 1e-9))


@dataclass(frozen=True, eq=False)
class Drip:
    """What a drip on the soil would do instead: how many emitters, minutes a day, ml a day, and what the draws make of it."""

    emitters: int
    ml_min: float
    minutes: float
    ml: float
    spans: dict[str, Span]

    def tank_l(self, days: float) -> float:
        """The tank [litres] that lasts for so many days, with a reserve."""
        return tank_l(self.ml, days)


def chosen(base: Base, rows: Sequence[Tried], before: Below) -> tuple[list[Choice], list[Tried]]:
    """The named plans, the balanced first, and all rows again: of those that soil or layer do not bear it is said why not.

    Each named plan stands on the trade-off front of what may be recommended.
    """
    known = list(rows)
    proven: dict[int, Choice] = {}
    refused = 0
    while (left := [one for one in known if one.allowed]) and refused < MOST_REFUSED:
        named = _named(left, base.seen)
        unproven = next((one for one in named.values() if id(one) not in proven), None)
        if unproven is None:
            return _merged(named, proven), known
        found = _proven(base, unproven, before)
        if isinstance(found, Choice):
            proven[id(unproven)] = found
        else:
            refused += 1
            known[known.index(unproven)] = replace(unproven, why_not=found)
    return [], known


def _named(rows: Sequence[Tried], without: Seen) -> dict[Kind, Tried]:
    """One plan for each kind, all on the front of `rows`."""
    front = front_of(rows)
    gain = lambda one: one.seen.inside_h - without.inside_h  # noqa: E731
    least = lambda one: (one.seen.wet_h, one.seen.ml, -one.seen.inside_h)  # noqa: E731
    most = max(gain(one) for one in front)
    wettest = max(1.0, max(one.seen.wet_h for one in front))
    thirstiest = max(1.0, max(one.seen.ml for one in front))
    cost = lambda one: one.seen.wet_h / wettest + one.seen.ml / thirstiest  # noqa: E731
    return {
        Kind.BALANCED: min((one for one in front if gain(one) >= BALANCED_SHARE * most), key=cost),
        Kind.GENTLE: min((one for one in front if gain(one) >= GENTLE_SHARE * most), key=least),
        Kind.DAMPEST: min(front, key=lambda one: (-one.seen.inside_h, *least(one))),
    }


def _merged(named: dict[Kind, Tried], proven: dict[int, Choice]) -> list[Choice]:
    kinds: dict[int, tuple[Kind, ...]] = {}
    for kind, one in named.items():
        kinds[id(one)] = (*kinds.get(id(one), ()), kind)
    return [replace(proven[key], kinds=found) for key, found in kinds.items()]


def _proven(base: Base, one: Tried, before: Below) -> Choice | str:
    """Two weeks of a plan with the pour that is still needed beside it, or why soil and layer do not bear it."""
    try:
        short = run_job(base.job(base.with_plan(one.plan)))
        pour = 0.0 if kept_dry(base.box) else jug(balancing_ml(short, settled_rows(short)))
        record = run_job(base.job(base.with_plan(one.plan, pour), WATCHED_DAYS))
    except RunError as error:
        return error.why
    below = below_of(record, before)
    if below.why_not:
        return below.why_not
    rows = settled_rows(record)
    lands = {where: 1000.0 * float(record.moved_kg(*names)[rows].sum()) for where, names in LANDS.items()}
    more = record.vapour_out_ml_a_day(rows) - base.record.vapour_out_ml_a_day(settled_rows(base.record))
    return Choice((), one, pour, record, below, lands, more, jug(base.pour_ml))


def standing(choices: Sequence[Choice], without: Span) -> list[Choice]:
    """The choices that no other beats over the draws, the balanced first, named anew by what the draws say.

    `without`: hours in the band without a mister. What the typical box shows and most draws do not is no reason for a name.
    """
    middle = lambda one: tuple(one.spans[name][1] for name in ("inside_h", "wet_h", "ml"))  # noqa: E731

    def beats(a: Choice, b: Choice) -> bool:
        (in_a, wet_a, ml_a), (in_b, wet_b, ml_b) = middle(a), middle(b)
        good = (in_a - in_b, wet_b - wet_a, ml_b - ml_a)
        return min(good) >= -1e-9 and max(good) > 1e-9

    kept = [one for one in choices if not any(beats(other, one) for other in choices)]
    most, wettest, thirstiest = (max(1.0, *(middle(one)[k] for one in kept)) for k in range(3))
    gain = most - without[1]
    worth = lambda share: [  # noqa: E731
        one for one in kept if middle(one)[0] - without[1] >= min(gain, share * gain) - 1e-9
    ]
    cost = lambda one: middle(one)[1] / wettest + middle(one)[2] / thirstiest  # noqa: E731
    named = {
        Kind.BALANCED: min(worth(BALANCED_SHARE), key=cost),
        Kind.GENTLE: min(worth(GENTLE_SHARE), key=lambda one: middle(one)[1:]),
        Kind.DAMPEST: max(kept, key=lambda one: middle(one)[0]),
    }
    kinds = {id(one): tuple(kind for kind, its in named.items() if its is one) for one in kept}
    found = [replace(one, kinds=kinds[id(one)]) for one in kept if kinds[id(one)]]
    return sorted(found, key=lambda one: Kind.BALANCED not in one.kinds)


def drip_of(base: Base) -> tuple[int, float, float]:
    """Emitters that reach all the soil, ml a minute of each, and minutes of a portion, of which there are two a day."""
    shipped = materials.get("defaults", "drip emitter")
    emitters = max(1, math.ceil(1e4 * base.box.enclosure.soil_area_m2 / shipped["reach"].typical - 1e-9))
    flow = shipped["flow"].typical
    return emitters, flow, max(0.1, base.pour_ml / len(DRIP_H) / (emitters * flow))


@dataclass(frozen=True, eq=False)
class Drawn:
    """What the draws say: the choices with their ranges, the drip (None: no pour is needed), the box without a mister, the
    box as it is sprayed or misted now (None: not at all), and the sample behind each choice.
    """

    choices: list[Choice]
    drip: Drip | None
    without: dict[str, Span]
    now: dict[str, Span] | None
    samples: list[EnsembleResults]


def drawn(base: Base, described: Box, choices: Sequence[Choice], members: int) -> Drawn:
    """Ask `members` draws of everything uncertain; `described`: the keeper's box.

    All settle once without a mister, and every choice goes on from there. Raises RunError where no fair sample can be had.
    """
    found = ensemble(base.box, members, base.season)
    starts = settled(base.box, SETTLE_DAYS, base.season, found)
    course = Course(starts=starts)

    def ask(box: Box) -> EnsembleResults:
        boxes = [box] * found.size
        out = measured(boxes, TRIED_DAYS, _measures(base), base.season, found, EVERY_MIN, course=course)
        return fair(box, out)

    spans = lambda sample: {name: sample.range_of(name) for name in sample.results}  # noqa: E731
    plain = ask(base.box)
    samples = [ask(base.with_plan(one.plan, one.pour_ml)) for one in choices]
    for sample in samples:
        sample.results["gain_h"] = sample.results["inside_h"] - plain.results["inside_h"]
    ranged = [replace(one, spans=spans(sample)) for one, sample in zip(choices, samples, strict=True)]
    drip = now = None
    if base.pour_ml >= 1.0:
        emitters, flow, minutes = drip_of(base)
        dripped = ask(base.with_drip([3600.0 * hour for hour in DRIP_H], minutes))
        drip = Drip(emitters, flow, len(DRIP_H) * minutes, jug(base.pour_ml), spans(dripped))
    if described.routine.mists:  # other devices, so it cannot go on from the others
        box = base.as_now(described)
        other = ensemble(box, members, base.season)
        boxes = [box] * other.size
        now = spans(fair(box, measured(boxes, SETTLE_DAYS, _measures(base), base.season, other, EVERY_MIN)))
    elif described.routine.sprays:
        now = spans(ask(base.as_now(described)))
    return Drawn(ranged, drip, spans(plain), now, samples)


def _measures(base: Base) -> dict[str, Callable[[Record], float]]:
    """What is measured in each draw; one look at a record serves all."""
    seen: dict[int, tuple[Record, Seen]] = {}

    def look(record: Record) -> Seen:
        kept = seen.get(0)
        if kept is None or kept[0] is not record:
            seen[0] = kept = (record, seen_in(record, base.target))
        return kept[1]

    names = tuple(one.name for one in fields(Seen))
    read = {name: (lambda record, name=name: getattr(look(record), name)) for name in names}
    return read | heat_measures(settled_rows)
