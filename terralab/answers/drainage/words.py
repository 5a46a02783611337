"""The gap under the mesh as words: its course, when to siphon, and what mishaps do to it. Measures are marks."""

from __future__ import annotations

from collections.abc import Mapping

from terralab import wording
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import layer_of
from terralab.answers.drainage.sizing import WEEKS, Days, SiphonTimes
from terralab.describe.box import Box
from terralab.describe.seasons import room_in_words, room_of
from terralab.quantities import as_typed, quantity, said

STILL_CM = 0.15  # a gap that moves less is said to stay


def gap_words(box: Box, season: str, c: SiphonTimes) -> str:
    """The course of the gap in one season, without siphoning."""
    layer = layer_words(box)
    first = "at first" if layer else "now"
    return (
        f"Gap under the mesh{f' {layer}' if layer else ''} in {season} ({room_in_words(room_of(box, season))}), no siphoning: "
        f"{weeks_words(c, first)}; {_touch(c)}."
    )


def layer_words(box: Box) -> str:
    """Which layer stands for one in a box that has none; "" where it has one."""
    if box.enclosure.drainage is not None:
        return ""
    return f"with a layer of {as_typed('length', 'cm', layer_of(box).depth_cm)}"


def weeks_words(c: SiphonTimes, first: str) -> str:
    """The gap at the start, which is said to be `first`, and after some of the weeks."""
    if max(c.high_cm) - min(c.low_cm) < STILL_CM:
        stays = "stays at" if wording.under_mesh(c.gap_cm[0]) else "the water stays"
        return f"{stays} {wording.gap(c.gap_cm[0])} for {len(c.gap_cm) - 1} weeks"
    shown = [n for n in (0, 2, 4, 8, 12) if n < len(c.gap_cm)]
    return ", ".join(
        wording.gap(c.gap_cm[n]) + (f"{_range(c.low_cm[n], c.high_cm[n])} after {n} weeks" if n else f" {first}")
        for n in shown
    )


def _range(low: float, high: float) -> str:
    """Range of a gap in brackets, nothing where it is narrower than can be said in either system of units."""
    small, large = wording.gap(low), wording.gap(high)
    if any(said(small, us) == said(large, us) for us in (False, True)):
        return ""
    if wording.under_mesh(low) and wording.under_mesh(high):
        return f" ({quantity('cm', '.1f', low, high, bare=True)})"
    return f" ({small} to {large})"


def _touch(c: SiphonTimes) -> str:
    if c.touch_days[1] is not None:
        return f"water reaches the mesh {days_words(c.touch_days)}"
    if c.touching:
        return f"water reaches the mesh within {WEEKS} weeks in {c.touching} of the {c.members} cases drawn"
    return f"water does not reach the mesh within {WEEKS} weeks in any of the {c.members} cases drawn"


def month_words(courses: Mapping[str, SiphonTimes]) -> str:
    """What a forgotten month leaves, by season."""
    return f"A forgotten month (watered as ever, not siphoned) leaves a gap of: {', '.join(f'{s} {_month(c)}' for s, c in courses.items())}."


def _month(c: SiphonTimes) -> str:
    worst, middle = wording.gap(c.low_cm[4]), wording.gap(c.gap_cm[4])
    return middle + (f" (in the wettest tenth {worst})" if worst != middle else "")


def days_words(days: Days, lead: str = "after") -> str:
    """(soonest, middle, latest) as words; None is beyond the weeks that were run."""
    soon, middle, late = days
    if soon is None:
        return f"not within {WEEKS} weeks"
    counted = lambda d: "day" if lead.endswith("every") and round(d) == 1 else wording.days(d)  # noqa: E731
    if middle is None:
        return f"not within {WEEKS} weeks in most cases, but {lead} {counted(soon)} in the wettest tenth of them"
    if late is None:
        return f"{lead} {counted(middle)} ({soon:.0f} to more than {7 * WEEKS})"
    return f"{lead} {counted(middle)}" + (f" ({soon:.0f} to {late:.0f})" if round(soon) < round(late) else "")


def season_words(season: str, plan: Mapping) -> str:
    """When the first and the next siphoning fall due in a season, as far as its weeks were run."""
    first, again = plan["days"][season], plan["every_days"][season]
    if first[1] == 0:
        return f"{season}, at once, then {days_words(again, 'every')}"
    then = f", then {days_words(again, 'every')}" if first[1] is not None else ""
    return f"{season}, {days_words(first)}{then}"


def too_thin_after(plan: Mapping) -> str:
    """After what a layer is to be siphoned that has no room for a siphoning and a reserve."""
    return "after every thorough watering" if plan["fills_by_itself"] else "after an over-watering, at once"


def too_thin_words(plan: Mapping) -> str:
    """When to siphon such a layer."""
    return f"siphon {too_thin_after(plan)}"


def siphon_words(box: Box, plan: Mapping) -> str:
    """When to siphon; "" where the verdict on the layer has said it."""
    if box.enclosure.drainage is None:
        return f"A layer that is to be siphoned with a reserve left is {quantity('cm', 'g', plan['depth_from_cm'])} deep or more."
    if plan["too_thin"]:
        return ""
    every = "; ".join(season_words(season, plan) for season in plan["days"])
    return f"{siphon_rule_words(plan)}: {quantity('litres', '.1f', plan['litres'])} a time. Due first: {every}."


def siphon_rule_words(plan: Mapping) -> str:
    """The rule for siphoning alone."""
    return (
        f"Siphon when the gap under the mesh is less than {quantity('cm', '.1f', plan['when_gap_below_cm'])}, down to "
        f"{quantity('cm', '.1f', plan['to_level_cm'])} above the floor"
    )


def mishap_words(box: Box, details: Mapping) -> list[str]:
    """What an over-watering and a mister stuck on do, and how much fits below and into the soil."""
    out = []
    once = details["mishaps"]["over-watering"]
    before, after = once["gap_before_cm"], once["smallest_gap_cm"]
    goes = (
        f"the gap goes from {wording.gap(before)} to {wording.gap(after)}"
        if wording.under_mesh(before) and wording.under_mesh(after)
        else f"the water goes from {wording.level(before)} to {wording.level(after)}"
    )
    out.append(f"One over-watering ({ml(1000.0 * once['litres'])} at once): {goes}.")
    stuck = {name: m for name, m in details["mishaps"].items() if "litres_an_hour" in m}
    for name, m in stuck.items():
        when = "" if m["mesh_after_h"] is None else f", at the mesh after {wording.days(m['mesh_after_h'], 'hour')}"
        top = (
            "" if m["top_airless_after_h"] is None else f", the whole soil airless after {m['top_airless_after_h']:.0f}"
        )
        out.append(f"{name.capitalize()}: {quantity('litres', '.1f', m['litres_an_hour'])} an hour{when}{top}.")
    below, soil = details["fits_l"]["under the mesh"], details["fits_l"]["then in the soil"]
    also = "" if stuck else " There is no mister in the routine that could stick."
    out.append(
        f"{quantity('litres', '.1f', below)} fit under the mesh {layer_words(box) or 'as it stands'}, another "
        f"{quantity('l', '.1f', soil)} fill the soil to its top.{also}"
    )
    return out
