"""Which schedule comes first, and which lid: the rules by which those that were run are ordered."""

from __future__ import annotations

from typing import Any

from terralab.answers.common.humidity_target import REACHES
from terralab.answers.common.temperature import keeps_temperature, rank, worse_than
from terralab.answers.fans.schedules import AS_DESCRIBED
from terralab.describe.box import HumidityTarget

NEAR = 1.0  # RH points by which a mean may miss the band and still count as there
SAME_HOURS = 1.0  # hours a day, too few to run a fan for
SAME_POINTS = 5.0  # RH points by which a household hygrometer may be off (common practice)
SAME_ML = 5.0


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


def ordered(rows: list[dict[str, Any]], target: HumidityTarget | None) -> list[dict[str, Any]]:
    """The rows from the best to the worst in the room now.

    Warmth goes before all: nothing that is worse off than the box as it is (`worse_than`) comes before what is not. Then no
    danger, then the fewest degrees outside what is wanted, then what passes the one gate for all
    advice (`keeps_temperature`) beside the box as it is, then what is no worse off in winter and summer. Then the fewest faults count. Among those, a row comes before another
    when it has clearly more hours in the band, or comes clearly nearer to it; where neither is clear the one with less water and fewer minutes of fan comes first.
    """
    left = list(rows)
    now = today(rows)
    out = []
    while left:
        good = _no_worse(left, now, "now")
        safest = min(rank(row["now"]["heat"]) for row in good)
        good = [row for row in good if rank(row["now"]["heat"]) == safest]
        for before in (None, now["now"]["heat"]):
            if kept := [row for row in good if keeps_temperature(row["now"]["heat"], before)]:
                good = kept
                break
        for season in ("winter", "summer"):
            good = _no_worse(good, now, season)
        fewest = min(len(row["now"]["faults"]) for row in good)
        good = [row for row in good if len(row["now"]["faults"]) == fewest]
        most = max(inside(row["now"]) for row in good)
        good = [row for row in good if inside(row["now"]) >= most - SAME_HOURS - 1e-6]
        nearest = min(outside_points(row["now"], target) for row in good)
        good = [row for row in good if outside_points(row["now"], target) <= nearest + SAME_POINTS]
        first = min(good, key=lambda row: (round(row["now"]["water_ml"] / SAME_ML), row["minutes_a_day"]))
        out.append(first)
        left.remove(first)
    return out


def today(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """The row of what is done now: the fans as described, and no fan where none is described."""
    return next((row for row in rows if row["name"] == AS_DESCRIBED), rows[0])


def _no_worse(rows: list[dict[str, Any]], now: dict[str, Any], room: str) -> list[dict[str, Any]]:
    """Those rows that are no worse off in warmth in a room than what is done `now`; all where each of them is."""
    if room not in now:
        return rows
    return [row for row in rows if not worse_than(row[room]["heat"], now[room]["heat"])] or rows


def best_three(order: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The recommended row and two more to hold against it: of each mode (none, exchange, circulate) the best.

    Rows that do just the same (another number of minutes of a fan that changes nothing) would say little.
    """
    out = [order[0]]
    for fresh in (True, False):
        for row in order:
            if len(out) < 3 and row not in out and (not fresh or row["mode"] not in {kept["mode"] for kept in out}):
                out.append(row)
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
