"""Which schedules come out alike: the rule, and the groups into which it puts them.

Two schedules are alike when a keeper could not tell the one from the other: in the run that is shown, and in at least eight
of ten draws of everything uncertain, the same for both, none of their differences is larger than `SAME` says. Hours inside
the humidity wanted hang on a sharp border that no hygrometer tells to the point: of them the middle of the draws counts. And they
share their faults, their warmth and whether the air is stuffy, so that no danger hides in a group. The numbers of `SAME`
are choices: what a household hygrometer, a thermometer and a jug show (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from terralab.answers.common.optional import known
from terralab.answers.common.temperature import SAME_K, rank
from terralab.answers.fans.choice import SAME_HOURS, SAME_MEANS, SAME_ML, inside
from terralab.answers.fans.fresh_air import STUFFY_PPM
from terralab.uncertainty import middle_range

Seen = Mapping[str, Any]
Draws = Mapping[str, np.ndarray]

NEVER_DRY_H = 24.0
HOURS = "hours inside"
MOST = 0.8  # the share of draws in which two schedules must be alike
#: What is compared -> how it is read off a run.
MEASURES: dict[str, Callable[[Seen], float]] = {
    "rh day": lambda seen: seen["rh_day"]["mean"],
    "rh night": lambda seen: seen["rh_night"]["mean"],
    "c day": lambda seen: seen["temperature_day_c"],
    "c night": lambda seen: seen["temperature_night_c"],
    HOURS: inside,
    "fog h": lambda seen: seen["front_fogged_h"],
    "dry h": lambda seen: until_dry(seen),
    "water ml": lambda seen: seen["water_ml"],
}
#: The largest difference of each that a keeper would not see: points, °C, hours a day, hours, ml a day.
SAME = {
    "rh day": SAME_MEANS, "rh night": SAME_MEANS, "c day": SAME_K, "c night": SAME_K, HOURS: SAME_HOURS, "fog h": 0.5,
    "dry h": 1.0, "water ml": SAME_ML,
}  # fmt: skip
SAME_SHARE = 0.1  # and a tenth of what there is of fog, of drying and of water, where that is more
OF_IT = ("fog h", "dry h", "water ml")
SAME_BASKING_K = 1.0


def until_dry(seen: Seen) -> float:
    """Hours until leaves and front pane are dry after a spray; a whole day where they are not, 0 where nothing is sprayed."""
    if not seen["sprays"]:
        return 0.0
    return seen["dry_out_h"] if known(seen["dry_out_h"]) else NEVER_DRY_H


def told_apart(a: Mapping[str, Any], b: Mapping[str, Any]) -> Any:
    """The largest difference of two schedules as a share of what a keeper would see; over 1 they are told apart.

    `a` and `b`: a number, or an array over the draws, for each of `MEASURES`; NaN where a draw could not be run.
    """
    shares = []
    for name in a:
        shares.append(np.abs(np.subtract(a[name], b[name])) / same_by(name, np.minimum(a[name], b[name])))
    return np.max(shares, axis=0)


def same_by(name: str, level: Any) -> Any:
    """The largest difference in one of `MEASURES` that a keeper would not see, where there is so much of it as `level`."""
    return np.maximum(SAME[name], SAME_SHARE * level) if name in OF_IT else SAME[name]


def alike(a: Mapping[str, Any], b: Mapping[str, Any], drawn: Mapping[str, Draws]) -> bool:
    """Whether two rows of the comparison are alike in the room now; see the rule above."""
    one, other = a["now"], b["now"]
    if _kept_apart(one, other) or told_apart(_of(one), _of(other)) > 1.0 + 1e-9:
        return False
    if a["name"] not in drawn or b["name"] not in drawn:
        return True
    each, every = drawn[a["name"]], drawn[b["name"]]
    by_hours = np.abs(each[HOURS] - every[HOURS])
    ran = np.isfinite(by_hours)
    far = told_apart(*({name: x[ran] for name, x in one.items() if name != HOURS} for one in (each, every)))
    if not ran.any():
        return True
    return float((far <= 1.0 + 1e-9).mean()) >= MOST and float(np.median(by_hours[ran])) <= SAME[HOURS] + 1e-9


def _of(seen: Seen) -> dict[str, float]:
    return {name: read(seen) for name, read in MEASURES.items()}


def _kept_apart(one: Seen, other: Seen) -> bool:
    """Whether two schedules differ in what is never a small thing: a fault, danger, stuffy air, the basking place."""
    faults = [{fault.same_as for fault in seen["faults"]} for seen in (one, other)]
    stuffy = [seen["co2_ppm"] > STUFFY_PPM for seen in (one, other)]
    warm = [(rank(seen["heat"]), seen["heat"].hot) for seen in (one, other)]
    if faults[0] != faults[1] or stuffy[0] != stuffy[1] or warm[0] != warm[1]:
        return True
    spots = [seen["basking"] for seen in (one, other)]
    return None not in spots and abs(spots[0]["c"] - spots[1]["c"]) > SAME_BASKING_K


def plainest(rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Of schedules that are alike the plainest: the one with the fewest minutes of fan, the first in the table of such."""
    return min(rows, key=lambda row: row["minutes_a_day"])


def grouped(
    rows: Sequence[dict[str, Any]], best: dict[str, Any], now: dict[str, Any], drawn: Mapping[str, Draws]
) -> list[dict[str, Any]]:
    """All rows in groups that are alike, each once: first that of the recommended row, then that of today's, then the rest.

    A group is named after one of its rows, to which all others of it are alike: the recommended one, today's, or the
    plainest that is left. "than_today": what that row differs by from today's in each of `MEASURES`, as (low, in the run that
    is shown, high), the ends those of 80 % of the draws.
    """
    left, out = list(rows), []
    while left:
        lead = next((row for row in (best, now) if any(row is one for one in left)), None) or plainest(left)
        mine = [row for row in left if row is lead or alike(row, lead, drawn)]
        left = [row for row in left if not any(row is one for one in mine)]
        out.append(
            {
                "name": lead["name"],
                "names": [row["name"] for row in rows if any(row is one for one in mine)],
                "recommended": lead is best,
                "today": any(row is now for row in mine),
                "than_today": differences(lead, now, drawn),
                "shown": {name: _ends([read(row["now"]) for row in mine]) for name, read in MEASURES.items()},
            }
        )
    place = {row["name"]: number for number, row in enumerate(rows)}
    return sorted(out, key=lambda group: (not group["recommended"], not group["today"], place[group["name"]]))


def differences(
    row: dict[str, Any], now: dict[str, Any], drawn: Mapping[str, Draws]
) -> dict[str, tuple[float, float, float]]:
    """What a row differs by from today's: (low, in the run that is shown, high) for each of `MEASURES`."""
    out = {}
    for name, read in MEASURES.items():
        shown = read(row["now"]) - read(now["now"])
        low = high = shown
        if row is not now and row["name"] in drawn and now["name"] in drawn:
            by = drawn[row["name"]][name] - drawn[now["name"]][name]
            if np.isfinite(by).any():
                low, _, high = middle_range(by[np.isfinite(by)])
        out[name] = (min(float(low), shown), shown, max(float(high), shown))
    return out


def _ends(values: Sequence[float]) -> tuple[float, float]:
    return min(values), max(values)


def groups_of(answer: Any) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """The groups of a fan answer, each with the row of the table it is named after, in the order in which they are shown.

    A group holds "name", "names" (all that come out alike, its own among them), "recommended", "today", "than_today" and
    "shown"; see `grouped`.
    """
    rows = {row["name"]: row for row in answer.table}
    return [(rows[group["name"]], group) for group in answer.details["groups"]]
