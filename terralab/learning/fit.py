"""What a log taught, as numbers: ranges before and after, the band of likely readings, and what was refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from terralab.describe.box import Box
from terralab.describe.learned import EXCHANGE, LOSS, POUR, RESULTS  # results a log may narrow, with their unit

__all__ = ["EXCHANGE", "LOSS", "POUR", "RESULTS", "Course", "Fit", "Narrowed", "Refusal"]


@dataclass(frozen=True)
class Narrowed:
    """One number before and after: (low, middle, high) in `unit`. Eight tenths lie between the ends; less is cut off on the side
    towards which the log speaks.

    `name` is a key of `RESULTS`, or the key of an uncertain input. `refused`: why nothing was learned of it, for a keeper; then
    `after` is `before`. `at_least`, `at_most`: a bound on one side (nine of ten lie within) where that is all that is known.
    """

    name: str
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    refused: str = ""
    at_least: float | None = None
    at_most: float | None = None

    @property
    def width_left(self) -> float:
        """The width of the range after, as a share of that before."""
        was = self.before[2] - self.before[0]
        return 1.0 if was <= 0.0 else (self.after[2] - self.after[0]) / was


@dataclass(frozen=True, eq=False)
class Course:
    """What one sensor measured beside what was computed for it, hour by hour of `Fit.hours`.

    `place` as in `terralab.logs.log.PLACES`, `quantity` "temperature" [C] or "humidity" [% RH]. `measured`: NaN where nothing
    was read; `at_least`: where the reading is a lower bound. `before`, `after`: (3, hours), low, middle and high of the members
    with the tables' ranges and with what was learned, each member with its own offset of the sensor. `offset`: (low, middle,
    high) by how much the sensor reads too high, `offsets` those of each member after; `repeats`: how much more it
    read than was computed in each hour of the day from midnight on, beside the offset, in so far as that came again daily. All bands hold what else sensors and model
    err, so that four of five readings should lie in them. `held_out`: (3, hours), likewise from a fit to the first part of the log alone,
    NaN in that part.
    """

    place: str
    quantity: str
    measured: np.ndarray
    at_least: np.ndarray
    before: np.ndarray
    after: np.ndarray
    held_out: np.ndarray
    offset: tuple[float, float, float]
    offsets: tuple[float, ...] = ()
    repeats: tuple[float, ...] = ()

    def missed(self, which: str = "after", hours: np.ndarray | None = None) -> float:
        """Root mean square of measured less middle of `which` ("before", "after", "held_out"), over `hours` (flags; None: all).

        A reading that is a lower bound misses only by what the middle lies below it.
        """
        gap = self.residual(which)
        gap = gap if hours is None else gap[hours]
        return float(np.sqrt(np.nanmean(gap**2))) if np.isfinite(gap).any() else float("nan")

    def residual(self, which: str = "after") -> np.ndarray:
        """Measured less middle, hour by hour."""
        gap = self.measured - getattr(self, which)[1]
        return np.where(self.at_least & (gap < 0.0), 0.0, gap)


@dataclass(frozen=True)
class Refusal:
    """Something the log cannot tell, or that contradicts the description.

    `kind`: "no information", "outside the tables", "model cannot explain", "no vapour excess", "contradiction", "log". `what`: the result, number or device
    meant. `why` and `ask` are sentences for a keeper: the reason, and what to weigh, measure or look at.
    """

    kind: str
    what: str
    why: str
    ask: str = ""


@dataclass(frozen=True, eq=False)
class Fit:
    """All that was computed from a log.

    `box`: as described, driven by the logged room and devices. `first_day` and `hours` (since its midnight): the hours compared.
    `results`: by `RESULTS`. `numbers`: the uncertain inputs, those narrowed most first. `draws`: a value of each member by key of
    the uncertain inputs, jointly; `typical`: the member in the middle. `refusals`: empty where all is well. `usable`: False where
    the log taught nothing that an answer may use: then `draws` is empty. `misfit`: mean squared whitened residual (about 1 where the
    stated errors are right). `widened`: the factor by which errors had to be widened for that. `clock_shift_min`: how far the
    logger's clock is ahead of the routine's (None: no lamp edge to tell it). `weighed`: how many weighed quantities counted. `members`: as `draws`,
    but of every unknown of the fit, those of the log itself included (see `unknowns`), whether usable or not; `predict` runs them. `outcomes`:
    what each of these members gave, by `RESULTS`.
    """

    box: Box
    first_day: date
    hours: np.ndarray
    courses: tuple[Course, ...]
    results: Mapping[str, Narrowed]
    numbers: tuple[Narrowed, ...]
    draws: Mapping[str, tuple[float, ...]]
    typical: Mapping[str, float]
    refusals: tuple[Refusal, ...] = ()
    usable: bool = True
    misfit: float = 1.0
    widened: float = 1.0
    clock_shift_min: float | None = None
    weighed: int = 0
    settings: Mapping[str, float] = field(default_factory=dict)
    members: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    outcomes: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
