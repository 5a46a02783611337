"""Which schedule comes first, and which lid: the rules by which those that were run are ordered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from terralab.answers.common.humidity_target import REACHES
from terralab.answers.common.temperature import Heat, keeps_temperature, worse_than
from terralab.answers.fans.faults import FaultKind
from terralab.answers.fans.schedules import AS_DESCRIBED
from terralab.describe.box import HumidityTarget

NEAR = 1.0  # RH points by which a mean may miss the band and still count as there
SAME_HOURS = 1.0  # hours a day, too few to run a fan for
SAME_POINTS = 5.0  # RH points by which a household hygrometer may be off (common practice)
SAME_MEANS = 2.0  # RH points between two means that a hygrometer does not tell apart (a choice)
SAME_ML = 5.0
#: What less heat or cold must bring to be worth a fan (a choice): of two readings of a thermometer each may be off by half.
NOTED_K = 1.0


def first_lid(covers: list[dict[str, Any]], gap: float) -> dict[str, Any] | None:
    """The least change of the lid that brings the mean into the band and keeps the temperatures wanted; None where none
    does or none is needed.

    `gap`: points by which the best schedule lies outside the band, negative when too dry.
    """
    reached = [one for one in covers if abs(one["gap_points"]) <= REACHES and not one["top_dries"] and one["allowed"]]
    if not reached or gap == 0.0:
        return None
    return min(reached, key=lambda one: one["covered"] if gap < 0 else -one["covered"])


def inside(seen: dict[str, Any]) -> float:
    """Hours a day inside the band; 0 where none is wanted. To a thousandth, so that a tie is rounded alike in every face."""
    return round(seen["hours"]["day inside"] + seen["hours"]["night inside"], 3) if seen["hours"] else 0.0


def outside_points(seen: dict[str, Any], target: HumidityTarget | None) -> float:
    """How far the means of day and night lie outside the band, points, both added."""
    if target is None:
        return 0.0
    gaps = (
        (seen["rh_day"]["mean"], target.day_low, target.day_high),
        (seen["rh_night"]["mean"], target.night_low, target.night_high),
    )
    return sum(max(0.0, low - mean, mean - high) for mean, low, high in gaps)


def first_of(
    rows: list[dict[str, Any]],
    target: HumidityTarget | None,
    sound: Callable[[dict[str, Any]], bool] = lambda row: True,
    alike: Callable[[dict[str, Any], dict[str, Any]], bool] = lambda row, other: False,
    now: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """The row that comes first in the room now; `now` is what is done today (see `today`), where it is not among `rows`.

    Warmth goes before all: nothing that is worse off than the box as it is (`worse_than`) comes before what is not. Then no
    danger, then the fewest degrees outside what is wanted, but for one (`NOTED_K`), then what passes the one gate for all advice (`keeps_temperature`)
    beside the box as it is. Then the fewest other faults count. Of those that pass, all stay that have as many hours inside the
    humidity wanted as the best of them, but for an hour, and come as near to it; of these the one with the least water
    and the fewest minutes of fan is taken, and among those alike to it the plainest. It must be `sound` too: no worse off in
    winter and summer. Where it is not, the next is taken, and where none is, the first.
    """
    now = today(rows) if now is None else now
    left, refused = list(rows), []
    while left:
        good = _as_good(_safest(left, now), target)
        pick = min(good, key=lambda row: (round(row["now"]["water_ml"] / SAME_ML), row["minutes_a_day"]))
        while plainer := [row for row in good if row["minutes_a_day"] < pick["minutes_a_day"] and alike(row, pick)]:
            pick = min(plainer, key=lambda row: row["minutes_a_day"])
        if sound(pick):
            return pick
        refused.append(pick)
        left = [row for row in left if row is not pick]
    return refused[0]


def _safest(rows: list[dict[str, Any]], now: dict[str, Any]) -> list[dict[str, Any]]:
    """Those rows before which no other comes for its warmth or for its faults."""
    good = [row for row in rows if not worse_than(row["now"]["heat"], now["now"]["heat"])] or rows
    if calm := [row for row in good if not row["now"]["heat"].danger]:
        good = calm
    for out in ("over_k", "under_k"):
        least = min(getattr(row["now"]["heat"], out) for row in good)
        good = [row for row in good if getattr(row["now"]["heat"], out) <= least + NOTED_K]
    good = _passing(good, now)
    fewest = min(_count(row) for row in good)
    return [row for row in good if _count(row) == fewest]


def _passing(rows: list[dict[str, Any]], now: dict[str, Any]) -> list[dict[str, Any]]:
    """Those rows that may be advised for their warmth; all where none may.

    Where it is too hot or too cold today, those that change that by a degree come first. Where none does, what is done today
    stays among them: a fan that ends half a degree of it ends nothing that a keeper could see, and dimming a lamp does.
    """
    heat = now["now"]["heat"]
    # what keeps all that is wanted, else what is no worse than today
    passing = ([row for row in rows if keeps_temperature(row["now"]["heat"], before)] for before in (None, heat))
    kept = next((found for found in passing if found), rows)
    if not (heat.hot or heat.cold) or all(row is not now for row in rows):
        return kept
    eased = [row for row in kept if _eases(row["now"]["heat"], heat) >= NOTED_K]
    return eased or [row for row in rows if row is now or any(row is one for one in kept)]


def _eases(after: Heat, before: Heat) -> float:
    """By how many degrees the air, the ground or the glass is cooler where it was too hot, or warmer where it was too cold."""
    sign, end = (1.0, "high") if before.hot else (-1.0, "low")
    return max(
        sign * (before.seen[part][time][one] - after.seen[part][time][one])
        for part in ("air", "ground", "glass")
        for time in ("day", "night")
        for one in ("mean", end)
    )


def _count(row: dict[str, Any]) -> int:
    """How many faults of water and glass a row has; those of warmth have been weighed by their degrees."""
    return sum(fault.kind not in (FaultKind.TOO_HOT, FaultKind.TOO_COLD) for fault in row["now"]["faults"])


def _as_good(rows: list[dict[str, Any]], target: HumidityTarget | None) -> list[dict[str, Any]]:
    """Those rows whose humidity is as good as the best has it, within what is too little to run a fan for.

    Hours inside hang on a sharp border: a row whose means lie within what a hygrometer shows of the best row's is as good.
    """
    best = max(rows, key=lambda row: inside(row["now"]))
    most = inside(best["now"])
    means = lambda row: [row["now"][part]["mean"] for part in ("rh_day", "rh_night")]  # noqa: E731
    as_humid = lambda row: all(abs(a - b) <= SAME_MEANS for a, b in zip(means(row), means(best), strict=True))  # noqa: E731
    good = [row for row in rows if inside(row["now"]) >= most - SAME_HOURS - 1e-6 or as_humid(row)]
    nearest = min(outside_points(row["now"], target) for row in good)
    return [row for row in good if outside_points(row["now"], target) <= nearest + SAME_POINTS]


def no_worse_in(row: dict[str, Any], now: dict[str, Any], seasons: Sequence[str]) -> bool:
    """Whether a row is no worse off in warmth in any of these seasons than what is done `now`; both must hold them."""
    return not any(worse_than(row[room]["heat"], now[room]["heat"]) for room in seasons)


def today(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """The row of what is done now: the fans as described, and no fan where none is described."""
    return next((row for row in rows if row["name"] == AS_DESCRIBED), rows[0])


def best_three(
    first: dict[str, Any], rows: list[dict[str, Any]], target: HumidityTarget | None
) -> list[dict[str, Any]]:
    """The recommended row and two more to hold against it: of each mode (none, exchange, circulate) the best.

    Rows that do just the same (another number of minutes of a fan that changes nothing) would say little.
    """
    out, now = [first], today(rows)
    for fresh in (True, False):
        while len(out) < 3:
            modes = {row["mode"] for row in out}
            left = [row for row in rows if not any(row is one for one in out) and not (fresh and row["mode"] in modes)]
            if not left:
                break
            out.append(first_of(left, target, now=now))
    return out


def as_shown(ranges: dict[str, dict[str, Any]], best: list[dict[str, Any]], target: HumidityTarget | None) -> None:
    """Put what the table shows of the best schedules into the middle of their ranges, in place.

    The range is that of the draws, widened where the run of the table lies outside; so a number is told once only.
    """
    for row in best:
        seen, spans = row["now"], ranges[row["name"]]
        shown = {
            "rh by day": seen["rh_day"]["mean"],
            "rh by night": seen["rh_night"]["mean"],
            "water ml a day": seen["water_ml"],
        }
        shown |= {"humidity by day": seen["rh_day"]["mean"]} if target is None else {"hours in band": inside(seen)}
        for name, value in shown.items():
            low, _, high = spans[name]
            spans[name] = (min(low, value), value, max(high, value))
