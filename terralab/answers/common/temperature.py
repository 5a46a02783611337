"""How warm it gets, and whether that is right for those who live there: one rule for every answer.

The rule is a choice. It looks at means and at peaks, since hours outside a band hide how far outside they are.
Too hot is a mean by day or by night more than half a degree above its band; more than three hours of the day or of the
night more than one degree above it; or the air, the ground or the glass at any time past its limit. Too cold is the
same below the band, means and hours.
Dangerous is air past its limit for more than an hour a day or by more than three degrees, ground or glass three degrees
past theirs, or air five degrees under the lowest wanted for more than an hour.

The air judged is all air mixed, which is what the bands of the groups are for. The air below, above and in a hide, where
animals sit, is held against the same band beside it (`Heat.elsewhere`). How likely all that is comes from the draws
of everything uncertain (`heat_measures`, `likely_heat`).

Two gates stand before all advice. `keeps_temperature`: for levers, schedules and covers, of which there is a choice.
`worse_than`: for what has to be done anyway, such as giving water.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import numpy as np

from terralab.answers.common.humidity_target import is_day, target_of
from terralab.describe.box import Box
from terralab.describe.wanted import ANYONE, Temperatures, temperatures_wanted, typed
from terralab.quantities import quantity
from terralab.simulation.record import Record
from terralab.uncertainty import middle_range

# All of these are choices; see the rule above.
NEAR_K = 0.5
BEYOND_K = 1.0
LONG_H = 3.0
DANGER_H = 1.0
FAR_K = 3.0
SHOWN_K = 0.02  # a mean no farther outside than that is shown as inside, in tenths of °C and of °F
READ_K = 0.05  # what is past a limit by less reads like the limit itself, in tenths of a degree
MOVED_K = 0.1  # what a box that is outside already may move further out and still be shown as much the same
SAME_K = 0.5  # what a household thermometer may be off; a change that small makes nothing worse

OFTEN = 0.1  # the share of draws from which on it is told that some boxes like it are too hot or too cold

ZONES = ("below", "above", "hide")


class Verdict(StrEnum):
    """What is to be said of the warmth of a box."""

    FINE = "fine"
    TOO_HOT = "too hot"
    TOO_COLD = "too cold"
    DANGEROUS = "dangerous"
    UNKNOWN = "nothing wanted known"


@dataclass(frozen=True)
class LikelyHeat:
    """How warm it is over draws of everything uncertain: ends of the central 80 % of the means by day and by night [C].

    `hot`, `cold`, `danger`: shares of the draws, 0 to 1, in which it is too hot, too cold, dangerous.
    """

    day: tuple[float, float]
    night: tuple[float, float]
    hot: float
    cold: float
    danger: float

    def to_dict(self) -> dict[str, Any]:
        """The same as plain numbers."""
        ends = {time: [round(end, 1) for end in getattr(self, time)] for time in ("day", "night")}
        return ends | {name: round(getattr(self, name), 3) for name in ("hot", "cold", "danger")}


@dataclass(frozen=True)
class Heat:
    """The warmth of a span of a run, judged.

    `seen[part][time]` holds mean, low and high [C] of "air", "ground" (soil, litter or moss), "glass", and of the air
    "below", "above" and in the "hide" where there are such, by "day" and "night". `why_hot` and `why_cold` are halves of
    sentences, what is dangerous first, empty where it is not; both may hold. `over_k` and `under_k`:
    how far out it is at worst, in degrees; 0 inside. `wanted` is None where nothing is known, and then nothing is judged,
    unless it is past what not one group of the tables bears. `likely`: the same over draws, None where none were made.
    `why_danger`: those of the halves of sentences that are dangerous.
    """

    verdict: Verdict
    why_hot: tuple[str, ...]
    why_cold: tuple[str, ...]
    danger: bool
    over_k: float
    under_k: float
    seen: Mapping[str, Mapping[str, Mapping[str, float]]]
    wanted: Temperatures | None
    likely: LikelyHeat | None = None
    why_danger: tuple[str, ...] = ()

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

    def out_k(self, time: str, part: str = "air") -> float:
        """By how much the mean of a `part` by "day" or "night" lies outside its band, negative below it; 0 inside.

        0 too where nothing is wanted, and where it is shown inside, in tenths of °C and of °F.
        """
        if self.wanted is None:
            return 0.0
        return outside_k(self.seen[part][time]["mean"], *self.wanted.band(time))

    @property
    def strays_k(self) -> float:
        """How far the mean of the air by day or by night lies outside its band, as shown, at worst; 0 inside."""
        return max(abs(self.out_k(time)) for time in ("day", "night"))

    @property
    def elsewhere(self) -> tuple[tuple[str, str, float], ...]:
        """Where else animals sit outside the band while all air mixed is inside: (zone, "day" or "night", degrees), worst first.

        A hide that is cooler than the band is no fault: it is there to hide from the heat.
        """
        found = []
        for zone in (zone for zone in ZONES if zone in self.seen):
            for time in ("day", "night"):
                out = self.out_k(time, zone)
                outside = out > NEAR_K or (out < -NEAR_K and zone != "hide")
                if outside and abs(self.out_k(time)) <= NEAR_K:
                    found.append((zone, time, out))
        return tuple(sorted(found, key=lambda one: -abs(one[2])))

    def with_likely(self, results: Mapping[str, np.ndarray] | None) -> Heat:
        """The same with how likely it is, from what a sample measured by `heat_measures`; ends hold the means shown here."""
        if results is None:
            return self
        found = likely_heat(results)
        ends = {
            time: (min(low, self.seen["air"][time]["mean"]), max(high, self.seen["air"][time]["mean"]))
            for time, (low, high) in (("day", found.day), ("night", found.night))
        }
        return replace(self, likely=replace(found, **ends))

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
            "likely": None if self.likely is None else self.likely.to_dict(),
            "elsewhere": [{"air": zone, "time": time, "degrees": round(k, 1)} for zone, time, k in self.elsewhere],
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


def outside_k(mean: float, low: float, high: float) -> float:
    """By how much a mean lies outside its band, negative below it; 0 where it is shown inside, in tenths of °C and of °F."""
    out = min(0.0, mean - low) + max(0.0, mean - high)
    return out if abs(out) > SHOWN_K else 0.0


def degrees(value: float) -> str:
    """The mark of a temperature of a box: the same rounding everywhere.

    >>> from terralab.quantities import said
    >>> said(degrees(24.36))
    '24.4 °C'
    """
    return quantity("°C", ".1f", value)


def last_days(record: Record, days: float = 3.0) -> np.ndarray:
    """The rows of a run's last `days` days, the first day left out, on which it still settles (unless it is the only one).

    Also of a run that goes on from another, whose days are counted on.
    """
    first, last = float(record.times_days[0]), float(record.times_days[-1])
    return record.rows(max(last - days, first + (1.0 if last - first >= 2.0 else 0.0)), last)


def heat_of(record: Record, rows: np.ndarray | None = None, wanted_in: Box | None = None) -> Heat:
    """Judge the warmth of a record over `rows` (its last three days where none are given).

    `wanted_in`: the box whose wants count, where an answer has changed who or what lives in the one that was run, such as by
    taking off its moss; by itself the box that was run.
    """
    rows = last_days(record) if rows is None else rows
    wanted_in = record.box if wanted_in is None else wanted_in
    day = is_day(record, rows, target_of(wanted_in)[0])
    course = {"air": record.air_c[rows], "ground": record.ground_c[rows], "glass": record.glass_c[rows]}
    course |= {zone: record.zone_c(zone)[rows] for zone in ZONES if zone in record.zone_names}
    return judged(course, day, temperatures_wanted(wanted_in))


HEAT_MEASURES = ("C by day", "C by night", "too hot", "too cold", "dangerous")


def heat_measures(
    rows: Callable[[Record], np.ndarray] = last_days, named: str = "", wanted_in: Box | None = None
) -> dict[str, Callable[[Record], float]]:
    """What a sample measures of each draw (see `ensemble.sampled`) so that `Heat.with_likely` can tell how likely it is.

    `rows`: which rows of a run are judged; `named`: goes before the names of the measures; `wanted_in`: as in `heat_of`.
    """
    kept: list[Any] = [None, None]

    def heat(record: Record) -> Heat:
        if kept[0] is not record:
            kept[:] = [record, heat_of(record, rows(record), wanted_in)]
        return kept[1]

    what: tuple[Callable[[Heat], float], ...] = (
        lambda of: of.day["mean"],
        lambda of: of.night["mean"],
        lambda of: float(of.hot),
        lambda of: float(of.cold),
        lambda of: float(of.danger),
    )
    return {
        f"{named}{name}": lambda record, take=take: take(heat(record))
        for name, take in zip(HEAT_MEASURES, what, strict=True)
    }


def likely_heat(results: Mapping[str, np.ndarray], named: str = "") -> LikelyHeat:
    """What the draws of a sample say of the warmth, from their `heat_measures`; draws that could not be run are left out."""
    ends = [middle_range(results[f"{named}{name}"]) for name in HEAT_MEASURES[:2]]
    shares = [float(np.nanmean(results[f"{named}{name}"])) for name in HEAT_MEASURES[2:]]
    return LikelyHeat(*((low, high) for low, _, high in ends), *shares)


def judged(course: Mapping[str, np.ndarray], day: np.ndarray, wanted: Temperatures | None) -> Heat:
    """Judge courses of "air", "ground" and "glass" [C], evenly spaced over whole days; `day` marks the rows of the day.

    Courses of the air "below", "above" and in the "hide" may stand beside them (see `Heat.elsewhere`).
    """
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
    hot, cold, worst, danger = [], [], [], False
    over, under = 0.0, 0.0
    for time, low, high in (("day", w.day_low, w.day_high), ("night", w.night_low, w.night_high)):
        mean = seen["air"][time]["mean"]
        if mean > high + NEAR_K:
            hot.append(f"the air is at {degrees(mean)} by {time} on average, at most {typed(high)} is wanted")
            over = max(over, mean - high)
        if mean < low - NEAR_K:
            cold.append(f"the air is at {degrees(mean)} by {time} on average, at least {typed(low)} is wanted")
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
        if peak > limit + READ_K:
            past = peak > limit + FAR_K or (part == "air" and hours(air > limit + READ_K) > DANGER_H)
            (worst if past else hot).append(f"{words} reaches {degrees(peak)}, {typed(limit)} is the very most")
            over = max(over, peak - limit)
            danger |= past
    hot = [*worst[:1], *hot, *worst[1:]]  # the air itself, then its means, then what else is dangerous
    if hours(air < w.least - READ_K) > DANGER_H:
        cold.insert(0, f"the air falls to {degrees(float(air.min()))}, under {typed(w.least)} it is dangerous")
        under = max(under, w.least - float(air.min()))
        danger = True
        worst.append(cold[0])
    verdict = (
        Verdict.DANGEROUS
        if danger
        else Verdict.TOO_HOT
        if hot
        else Verdict.TOO_COLD
        if cold
        else Verdict.FINE
    )  # fmt: skip
    return Heat(verdict, tuple(hot), tuple(cold), danger, over, under, seen, w, why_danger=tuple(worst))


def keeps_temperature(after: Heat, before: Heat | None = None) -> bool:
    """True where a change may be recommended: it leaves air, ground and glass inside the temperatures wanted.

    The one gate for levers, schedules, covers and remedies. A change that is too hot never passes. One that is too
    cold passes only where the box as it is (`before`) is as cold already, so that a cool room does not forbid all advice.
    Nor does a change pass whose mean is shown outside the band, however little, unless the box as it is lies as far outside,
    nor one that takes the air below, above or in the hide farther outside than it is.
    """
    return not why_refused(after, before)


def why_refused(after: Heat, before: Heat | None = None) -> str:
    """Why `keeps_temperature` refuses a change, as a clause with its °C; "" where it passes."""
    if after.hot:
        return after.why_hot[0]
    strayed = 0.0 if before is None else before.strays_k
    if not after.cold and after.strays_k > (strayed + MOVED_K if strayed else 0.0):
        return _stray_words(after, "air", max(("day", "night"), key=lambda time: abs(after.out_k(time))))
    if after.cold and (before is None or not before.cold or after.under_k > before.under_k + SAME_K):
        return after.why_cold[0]
    if before is None:
        return ""
    return next(
        (
            _stray_words(after, zone, time)
            for zone, time, k in after.elsewhere
            if zone in before.seen and abs(k) > abs(before.out_k(time, zone)) + SAME_K
        ),
        "",
    )


def worse_than(after: Heat, before: Heat) -> str:
    """Why a box is worse off in warmth than before, as a clause with its °C: dangerous, or half a degree farther outside than
    it was; "" where it is not. The gate for what has to be done anyway, such as giving water.
    """
    strays = [before.out_k(time) for time in ("day", "night")]
    over, under = max(before.over_k, *strays), max(before.under_k, *(-out for out in strays))
    crosses = after.danger and not before.danger
    if after.hot and (after.over_k > over + SAME_K or crosses):
        return after.why_hot[0]
    if after.cold and (after.under_k > under + SAME_K or crosses):
        return after.why_cold[0]
    return ""


def _stray_words(heat: Heat, part: str, time: str) -> str:
    where = {"air": "the air is at", "hide": "the air in the hide is at"}.get(part, f"the air {part} is at")
    low, high = heat.wanted.band(time)
    end = f"at least {typed(low)}" if heat.out_k(time, part) < 0.0 else f"at most {typed(high)}"
    return f"{where} {degrees(heat.seen[part][time]['mean'])} by {time} on average, {end} is wanted"


def rank(heat: Heat) -> tuple[bool, int, bool, int]:
    """What schedules are ordered by before anything else, best first: no danger, then degrees too hot, then too cold."""
    return (heat.danger, round(heat.over_k) if heat.hot else -1, heat.cold, round(heat.under_k))
