"""What can be done for a box that is too wet, and the boxes in which it is done."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, NamedTuple

from terralab.answers.drainage.bottoms import coarser_than
from terralab.answers.drainage.sizing import LOWEST_SIPHON_CM
from terralab.answers.fans.schedules import exchange_fan, with_timer
from terralab.describe.box import Box
from terralab.describe.enclosure import Enclosure
from terralab.describe.opening import Opening
from terralab.describe.routine import Fan, Siphon
from terralab.describe.timer import Timer
from terralab.describe.trial import Trial
from terralab.simulation.before_a_run import fan_can_move

DAYS = 42  # the longest time looked at
# What a further remedy must save of the days, a tenth and a quarter of a day, to be worth its work (choices).
SAVES_SHARE, SAVES_DAYS = 0.1, 0.25


class RemedyKind(StrEnum):
    """What is done."""

    GO_ON = "go on as before"
    STOP = "stop pouring"
    SIPHON = "siphon daily"
    FAN = "fan all day"
    BARE = "cover of the soil off"
    OPEN = "lid or vents opened"
    TOGETHER = "all remedies together"
    NEW_MIX = "new mix"


class Treated(NamedTuple):
    """A remedy to try: its kind, its name, the box in which it is kept up from the first day, and what it adds to no pouring."""

    kind: RemedyKind
    name: str
    box: Box
    adds: str = ""


Span = tuple[float | None, float | None, float | None]


@dataclass(frozen=True)
class Remedy:
    """One thing that was done, and days until the top and the bottom third hold at least 10 % air: (low, middle, high) each.

    None stands for "not within six weeks". `air_percent`: top, middle and bottom third after two weeks, typical. `draws`:
    how many of the draws ran, and why others did not. `temp_day`, `temp_night`: mean of the air [C] with it; `allowed`:
    whether that keeps the temperatures wanted, and `refused` why not, as a clause.
    """

    name: str
    top_days: Span
    bottom_days: Span
    air_percent: tuple[float, float, float]
    draws: Mapping[str, Any]
    temp_day: float
    temp_night: float
    allowed: bool
    kind: RemedyKind
    refused: str = ""

    @property
    def until(self) -> tuple[float, float]:
        """What remedies are ranked by: days to air in the bottom third, then in the top."""
        return round(days_of(self.bottom_days[1]), 1), round(days_of(self.top_days[1]), 1)


def days_of(days: float | None) -> float:
    """The days as a number to rank by; what takes longer than was run comes last."""
    return 2.0 * DAYS if days is None else days


def remedies(box: Box) -> list[Treated]:
    """What can be done for a soggy box."""
    r, e = box.routine, box.enclosure
    # the keeper's own siphon goes on: without it, to stop pouring would be slower than to go on
    stopped = Trial.of(box, routine=replace(r, pours=()))
    out = [Treated(RemedyKind.GO_ON, "go on as before", box)] if stopped != box else []
    out.append(Treated(RemedyKind.STOP, "stop pouring", stopped))
    together = drained = stopped

    def add(kind: RemedyKind, adds: str, treat: Callable[[Box], Box]) -> Box:
        nonlocal together
        out.append(Treated(kind, f"stop pouring, {adds}", treat(stopped), adds))
        together = treat(together)
        return out[-1].box

    if e.drainage is not None:
        daily = Siphon(to_level_cm=min(LOWEST_SIPHON_CM, 0.5 * e.drainage.depth_cm), every_days=1)
        siphoned = lambda b: Trial.of(b, routine=replace(b.routine, siphons=(*b.routine.siphons, daily)))  # noqa: E731
        drained = add(RemedyKind.SIPHON, "siphon daily", siphoned)
    fan = all_day(box)
    if fan_can_move(fan, e):
        others = tuple(one for one in r.fans if one.name != fan.name)
        blown = lambda b: Trial.of(b, routine=replace(b.routine, fans=(*others, fan)))  # noqa: E731
        add(RemedyKind.FAN, "fan all day", blown)
    if e.cover is not None:
        bare = lambda b: Trial.of(b, enclosure=replace(b.enclosure, cover=None))  # noqa: E731
        # "leaf litter" to "litter", "sheet moss" to "moss": a lid has a cover too
        add(RemedyKind.BARE, f"{e.cover.material.split()[-1]} off", bare)
    opened = _opened(e)
    if opened != e.openings:
        add(RemedyKind.OPEN, opened_words(e), lambda b: Trial.of(b, enclosure=replace(b.enclosure, openings=opened)))
    if together not in [treated.box for treated in out]:
        out.append(Treated(RemedyKind.TOGETHER, "all remedies together", together))
    coarse = coarser_than(e.layers[-1].material)
    if coarse is not None:
        layers = tuple(replace(layer, material=coarse) for layer in e.layers)
        name = f"new mix ({coarse}), {'siphoned' if e.drainage is not None else 'soaked'}"
        again = Trial.of(drained, enclosure=replace(drained.enclosure, layers=layers))
        out.append(Treated(RemedyKind.NEW_MIX, name, again))
    return out


def all_day(box: Box) -> Fan:
    """The fan that is tried: the described one, or the one that the fan answer takes for granted, without a pause."""
    return with_timer(exchange_fan(box)[0], Timer(("always",)))


def worth_it(tried: Sequence[Remedy]) -> Remedy:
    """The remedy to recommend: the quickest, or the plainest before it that is not clearly slower; never to go on as before.

    `tried` stand in their order, the plainest first.
    """
    does = [one for one in tried if one.kind is not RemedyKind.GO_ON] or list(tried)
    quickest = min(does, key=lambda one: one.until)
    bounds = [days + SAVES_DAYS + SAVES_SHARE * days for days in quickest.until]
    return next(one for one in does if all(days <= most for days, most in zip(one.until, bounds, strict=True)))


def done(kind: RemedyKind, tried: Sequence[Treated]) -> str:
    """What is done for a remedy, each part of it named, such as "stop pouring, siphon daily, fan all day"."""
    if kind is RemedyKind.TOGETHER:
        return ", ".join(("stop pouring", *(one.adds for one in tried if one.adds)))
    return next(one.name for one in tried if one.kind is kind)


def _opened(e: Enclosure) -> tuple[Opening, ...]:
    """The openings without what covers them; a sealed glass gets its whole lid as one, with mesh."""
    if not e.openings:
        return (Opening(name="open lid", wall="lid", width_cm=e.width_cm, height_cm=e.front_to_back_cm),)
    return tuple(replace(o, covered=0.0) for o in e.openings)


def opened_words(e: Enclosure) -> str:
    """What is opened, in two words."""
    if not e.openings:
        return "lid open"
    return "lid cleared" if all(o.wall == "lid" for o in e.openings if o.covered) else "vents cleared"
