"""Why this schedule: what it ends, gains and costs against no fan, and whether stirring the air would do the same."""

from __future__ import annotations

import math

from terralab import wording
from terralab.answers.common.difference import span_words
from terralab.answers.common.optional import dry_words, known
from terralab.answers.common.temperature import Heat, degrees, keeps_temperature
from terralab.answers.common.words import ml
from terralab.answers.fans.choice import NEAR, SAME_HOURS, inside, outside_points
from terralab.answers.fans.compared import Compared, Row
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN
from terralab.answers.fans.water_cost import Span
from terralab.describe.box import HumidityTarget
from terralab.quantities import quantity

LEAST_COOLER_K = 0.1  # what the shown figures can tell
LEAST_NEARER = 1.0  # RH points, likewise


def why(c: Compared) -> str:
    """The reason for the recommended schedule of a comparison."""
    most = max((inside(row["now"]) for row in c.rows), default=0.0)
    return reason_words(c.best, c.none, c.target, c.details["dearer_than"].get(NO_FAN), c.water, most)


def reason_words(
    best: Row, none: Row, target: HumidityTarget | None, dearer: Span | None, water: str, most: float = 0.0
) -> str:
    """What the schedule `best` does against `none`; `dearer`: how much more water it takes, draw by draw [ml a day]; `most`: the
    most hours a day that any schedule keeps inside the humidity wanted.
    """
    seen, still = best["now"], none["now"]
    if best["mode"] == "none":
        part = f"without one the air is changed {still['air_changes']['mean']:.1f} times an hour anyway"
        wet = f", leaves and front pane are {dry_words(still)}" if known(still["dry_out_h"]) else ""
        more = "" if target is None else f", and {_no_gain(best, most)}"
        return f"{part}{wet}{more}."
    left = {fault.same_as for fault in seen["faults"]}
    cured = [fault.words() for fault in still["faults"] if fault.same_as not in left]
    gain = inside(seen) - inside(still)
    parts = []
    if cured:
        parts.append(f"without a fan {' and '.join(cured)}; with it that ends")
    parts += _still_hot(still["heat"], seen["heat"])
    if target is not None and abs(gain) >= 0.25:
        parts.append(
            f"it gives {abs(gain):.1f} hours a day {'more' if gain > 0 else 'fewer'} inside the humidity wanted"
        )
    nearer = outside_points(still, target) - outside_points(seen, target)
    if nearer >= LEAST_NEARER and gain < SAME_HOURS:
        parts.append(
            f"by day and by night together it brings the air {wording.points(nearer)} nearer to the humidity wanted"
        )
    cost = seen["water_ml"] - still["water_ml"] if dearer is None else dearer[1]
    if abs(cost) >= 1.0:
        likely = "" if dearer is None else f" (likely {span_words(dearer if cost > 0 else [-x for x in dearer])})"
        parts.append(f"it {'costs' if cost > 0 else 'saves'} {ml(abs(cost))} {water} a day{likely}")
    if not parts:
        parts.append("it comes out level with no fan in everything that is compared here")
    return "; ".join(parts) + "."


def _no_gain(best: Row, most: float) -> str:
    """That no schedule brings clearly more of the humidity wanted than `best`."""
    if most <= inside(best["now"]) + SAME_HOURS:
        return "no schedule gives over an hour a day more inside the humidity wanted"
    return (
        f"no schedule is worth it: the best has {most - inside(best['now']):.1f} hours a day more inside the humidity wanted, but its "
        "humidity is so near to this one's that no household hygrometer shows it"
    )


def _still_hot(before: Heat, after: Heat) -> list[str]:
    """By how much a fan cools a box that stays too hot with it; nothing where it does not, or where that is no heat."""
    cooler = before.day["mean"] - after.day["mean"]
    if not (before.hot and after.hot) or cooler < LEAST_COOLER_K:
        return []
    still = "dangerous" if after.danger else "too hot"
    return [f"the air is cooler by {quantity('K', '.1f', cooler)} by day than without a fan, still {still}"]


def stirring_instead(c: Compared) -> str:
    """That a circulating fan would do what one wants from an exchange fan; "" where it would not, or leaves the temperatures
    wanted.
    """
    described = next((row for row in c.rows if row["name"] == AS_DESCRIBED), None)
    blown = next((row for row in (c.best, described) if row is not None and row["mode"] == "exchange"), None)
    if blown is None:
        blown = min((row for row in c.rows if row["mode"] == "exchange"), key=_until_dry, default=None)
    rival = min((row for row in c.rows if row["mode"] == "circulate"), key=_until_dry, default=None)
    if blown is None or rival is None:
        return ""
    a, b = blown["now"], rival["now"]
    if not (known(a["dry_out_h"]) and known(b["dry_out_h"])):
        return ""
    as_dry = b["dry_out_h"] <= a["dry_out_h"] + 0.25
    as_humid = inside(b) >= inside(a) - SAME_HOURS and outside_points(b, c.target) <= outside_points(a, c.target) + NEAR
    if not (as_dry and as_humid and b["water_ml"] < a["water_ml"] - 1.0):
        return ""
    if not keeps_temperature(b["heat"], a["heat"]):
        return ""
    return (
        f"A circulating fan would do what you want from an exchange fan: {rival['name']} has leaves and front pane dry in "
        f"{b['dry_out_h']:.1f} h ({blown['name']}: {a['dry_out_h']:.1f} h), and keeps the humidity "
        f"({b['rh_day']['mean']:.0f} % at {degrees(b['temperature_day_c'])} by day against {a['rh_day']['mean']:.0f} % at "
        f"{degrees(a['temperature_day_c'])}) for {ml(b['water_ml'])} {c.water} a "
        f"day instead of {ml(a['water_ml'])}."
    )


def _until_dry(row: Row) -> float:
    """What schedules are ranked by, the quickest to dry first; those that do not dry come last."""
    taken = row["now"]["dry_out_h"]
    return taken if known(taken) else math.inf
