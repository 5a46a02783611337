"""How warm it gets, and whether that is right for those who live there: one rule for every answer.

The rule is a choice. It looks at means and at peaks, since hours outside a band hide how far outside they are.
Too hot is a mean by day or by night more than half a degree above its band; more than three hours of the day or of the
night more than one degree above it; or the air, the ground or the glass at any time past its limit. Too cold is the
same below the band, means and hours.
Dangerous is air past its limit for more than an hour a day or by more than three degrees, ground or glass three degrees
past theirs, or air five degrees under the lowest wanted for more than an hour.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from terralab.answers.common.humidity_target import is_day, target_of
from terralab.describe.wanted import ANYONE, Temperatures, temperatures_wanted, typed
from terralab.quantities import quantity
from terralab.simulation.record import Record

# All of these are choices; see the rule above.
NEAR_K = 0.5
BEYOND_K = 1.0
LONG_H = 3.0
DANGER_H = 1.0
FAR_K = 3.0
SHOWN_K = 0.02  # a mean no farther outside than that is shown as inside, in tenths of °C and of °F
MOVED_K = 0.1  # what a box that is outside already may move further out and still be shown as much the same
SAME_K = 0.5  # what a household thermometer may be off; a change that small makes nothing worse

PARTS = ("air", "ground", "glass")


class Verdict(StrEnum):
    """What is to be said of the warmth of a box."""

    FINE = "fine"
    TOO_HOT = "too hot"
    TOO_COLD = "too cold"
    DANGEROUS = "dangerous"
    UNKNOWN = "nothing wanted known"


@dataclass(frozen=True)
class Heat:
    """The warmth of a span of a run, judged.

    `seen[part][time]` holds mean, low and high [C] of "air", "ground" (soil, litter or moss) and "glass" by "day" and
    "night". `why_hot` and `why_cold` are halves of sentences, empty where it is not; both may hold. `over_k` and `under_k`:
    how far out it is at worst, in degrees; 0 inside. `wanted` is None where nothing is known, and then nothing is judged,
    unless it is past what not one group of the tables bears.
    """

    verdict: Verdict
    why_hot: tuple[str, ...]
    why_cold: tuple[str, ...]
    danger: bool
    over_k: float
    under_k: float
    seen: Mapping[str, Mapping[str, Mapping[str, float]]]
    wanted: Temperatures | None

    @property
    def hot(self) -> bool:
        """True where it is too hot."""
        return bool(self.why_hot)

    @property
    def cold(self) -> bool:
        """True where it is too cold."""
        return bool(self.why_cold)

    @property
    def day(self) -> dict[str, float]:
        """Mean, low and high of the air by day [C]."""
        return dict(self.seen["air"]["day"])

    @property
    def night(self) -> dict[str, float]:
        """Mean, low and high of the air by night [C]."""
        return dict(self.seen["air"]["night"])

    @property
    def strays_k(self) -> float:
        """How far the mean of the air by day or by night lies outside its band, as shown, at worst; 0 inside."""
        if self.wanted is None:
            return 0.0
        ends = (
            (self.day, self.wanted.day_low, self.wanted.day_high),
            (self.night, self.wanted.night_low, self.wanted.night_high),
        )
        out = max(max(low - seen["mean"], seen["mean"] - high) for seen, low, high in ends)
        return out if out > SHOWN_K else 0.0

    def highest(self, part: str) -> float:
        """The highest temperature [C] of "air", "ground" or "glass"."""
        return max(self.seen[part][time]["high"] for time in ("day", "night"))

    def to_dict(self) -> dict[str, Any]:
        """The same as plain words and numbers."""
        w = self.wanted
        return {
            "verdict": str(self.verdict),
            "too_hot": self.hot,
            "too_cold": self.cold,
            "dangerous": self.danger,
            "reasons": [*self.why_hot, *self.why_cold],
            "degrees_over": round(self.over_k, 1),
            "degrees_under": round(self.under_k, 1),
            **{
                f"{part}_{time}": {end: round(value, 1) for end, value in ends.items()}
                for part, times in self.seen.items()
                for time, ends in times.items()
            },
            "wanted": None
            if w is None
            else {
                "day": [w.day_low, w.day_high],
                "night": [w.night_low, w.night_high],
                "most": w.most,
                "least": w.least,
                "surface_most": w.surface_most,
                "source": w.source,
            },
        }


def degrees(value: float) -> str:
    """The mark of a temperature of a box: the same rounding everywhere.

    >>> from terralab.quantities import said
    >>> said(degrees(24.36))
    '24.4 °C'
    """
    return quantity("°C", ".1f", value)


def last_days(record: Record, days: float = 3.0) -> np.ndarray:
    """The rows of a run's last `days` days, the first day left out, on which it still settles (unless it is the only one)."""
    end = record.days
    return record.rows(max(end - days, 1.0 if end >= 2.0 else 0.0), end)


def heat_of(record: Record, rows: np.ndarray | None = None) -> Heat:
    """Judge the warmth of a record over `rows` (its last three days where none are given)."""
    rows = last_days(record) if rows is None else rows
    day = is_day(record, rows, target_of(record.box)[0])
    course = {"air": record.air_c[rows], "ground": record.ground_c[rows], "glass": record.glass_c[rows]}
    return judged(course, day, temperatures_wanted(record.box))


def judged(course: Mapping[str, np.ndarray], day: np.ndarray, wanted: Temperatures | None) -> Heat:
    """Judge courses of "air", "ground" and "glass" [C], evenly spaced over whole days; `day` marks the rows of the day."""
    parts = {"day": day if day.any() else ~day, "night": ~day if (~day).any() else day}
    seen = {
        part: {
            time: {"mean": float(x[of].mean()), "low": float(x[of].min()), "high": float(x[of].max())}
            for time, of in parts.items()
        }
        for part, x in course.items()
    }
    if wanted is None:
        extreme = _verdict(course, day, seen, ANYONE)
        return extreme if extreme.danger else Heat(Verdict.UNKNOWN, (), (), False, 0.0, 0.0, seen, None)
    return _verdict(course, day, seen, wanted)


def _verdict(course: Mapping[str, np.ndarray], day: np.ndarray, seen: dict, w: Temperatures) -> Heat:
    air = course["air"]
    hours = lambda where: 24.0 * float(np.mean(where))  # noqa: E731
    hot, cold, danger = [], [], False
    over, under = 0.0, 0.0
    for time, low, high in (("day", w.day_low, w.day_high), ("night", w.night_low, w.night_high)):
        mean = seen["air"][time]["mean"]
        if mean > high + NEAR_K:
            hot.append(f"the air has {degrees(mean)} by {time} on the mean, at most {typed(high)} is wanted")
            over = max(over, mean - high)
        if mean < low - NEAR_K:
            cold.append(f"the air has {degrees(mean)} by {time} on the mean, at least {typed(low)} is wanted")
            under = max(under, low - mean)
        here = day if time == "day" else ~day
        above, below = hours(here & (air > high + BEYOND_K)), hours(here & (air < low - BEYOND_K))
        if mean <= high + NEAR_K and above > LONG_H:
            peak = seen["air"][time]["high"]
            hot.append(f"for {above:.0f} hours by {time} the air is over {typed(high)}, up to {degrees(peak)}")
            over = max(over, BEYOND_K)
        if mean >= low - NEAR_K and below > LONG_H:
            dip = seen["air"][time]["low"]
            cold.append(f"for {below:.0f} hours by {time} the air is under {typed(low)}, down to {degrees(dip)}")
            under = max(under, BEYOND_K)
    for part, words in (("air", "the air"), ("ground", "the ground"), ("glass", "the glass")):
        limit = w.most if part == "air" else w.surface_most
        peak = float(course[part].max())
        if peak > limit:
            hot.append(f"{words} reaches {degrees(peak)}, {typed(limit)} is the very most")
            over = max(over, peak - limit)
            danger |= peak > limit + FAR_K or (part == "air" and hours(air > limit) > DANGER_H)
    if hours(air < w.least) > DANGER_H:
        cold.append(f"the air falls to {degrees(float(air.min()))}, under {typed(w.least)} it is dangerous")
        under = max(under, w.least - float(air.min()))
        danger = True
    verdict = (
        Verdict.DANGEROUS
        if danger
        else Verdict.TOO_HOT
        if hot
        else Verdict.TOO_COLD
        if cold
        else Verdict.FINE
    )  # fmt: skip
    return Heat(verdict, tuple(hot), tuple(cold), danger, over, under, seen, w)


def keeps_temperature(after: Heat, before: Heat | None = None) -> bool:
    """True where a change may be recommended: it leaves air, ground and glass inside the temperatures wanted.

    The one gate for levers, schedules, covers and remedies. A change that is too hot never passes. One that is too
    cold passes only where the box as it is (`before`) is as cold already, so that a cool room does not forbid all advice.
    Nor does a change pass whose mean is shown outside the band, however little, unless the box as it is lies as far outside.
    """
    if after.hot:
        return False
    strayed = 0.0 if before is None else before.strays_k
    if not after.cold and after.strays_k > (strayed + MOVED_K if strayed else 0.0):
        return False
    if not after.cold:
        return True
    return before is not None and before.cold and after.under_k <= before.under_k + SAME_K


def rank(heat: Heat) -> tuple[bool, int, bool, int]:
    """What schedules are ordered by before anything else, best first: no danger, then degrees too hot, then too cold."""
    return (heat.danger, round(heat.over_k) if heat.hot else -1, heat.cold, round(heat.under_k))
