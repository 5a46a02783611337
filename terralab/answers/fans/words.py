"""The fan answer as plain sentences: the decision first, then its reasons, the table, the lid, the fresh air."""

from __future__ import annotations

import math
import re
from typing import Any

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.difference import more_words, span_words
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.optional import between, dry_cell, dry_words, known
from terralab.answers.common.temperature import Heat, degrees
from terralab.answers.common.words import ml, target_in_words
from terralab.answers.fans import fresh_air
from terralab.answers.fans.choice import MARKS, NEAR, SAME_HOURS, first_lid, inside, marks_of, outside_points
from terralab.answers.fans.water_cost import Span
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.hot import hot_at_lid, hot_in_words

NAME_WIDE = 29
LEAST_COOLER_K = 0.1  # what the shown figures can tell
MARGIN = 4  # characters before the name: a star, two letters for faults, a space


def sentences_of(
    answer: Answer, box: Box, target: HumidityTarget | None, best: dict, rows: list[dict], source: dict
) -> tuple[str, str, tuple[str, ...]]:
    """(reason, lever, all sentences) of a fan answer."""
    by_name = {row["name"]: row for row in rows}
    none = by_name["no fan"]
    reason = _reason(best, none, target, answer.details["dearer_than"].get("no fan"), water_word(answer))
    alternative = _lever(answer, box, target, best)
    lines = [f"{box.name}: which fan schedule?", f"  {_decision(answer, target, best)}", f"  Why: {reason}"]
    if alternative:
        lines.append(f"  {alternative}")
    lines.append(f"  {warmth_line(best['now']['heat'], f' with {_with(best)}')}")
    lines += [f"  {line}" for line in _warned(best, answer.details["dry_within_h"])]
    if answer.details["blocked"]:
        lines.append(f"  {answer.details['blocked']}")
    lines += [f"  {line}" for line in _instead(best, rows, target, water_word(answer))]
    lines += [f"  {line}" for line in _range(answer, target)]
    if answer.measure_next:
        lines.append(f"  What to measure next: {measure_sentence(answer.measure_next)}")
    lines.append(f"  {_by_season(answer, best, none)}")
    if target is not None:
        lines.append(f"  Wanted: {target_in_words(target)}.")
    lines += ["  Side by side, in the room as described:", *(f"    {line}" for line in table(rows, best, target))]
    lines.append(f"  {_legend(answer)}")
    if answer.details["covers"]:
        lines.append("  The other lever, the lid:")
        lines += [f"    {line}" for line in lid_table(answer)]
    lines += [f"  Left out of the comparison, {text}." for text in answer.details["left_out"]]
    lines += [f"  {line}" for line in fresh_air.said(box, source, none["now"], best["now"], best["name"])]
    lines.append(f"  {_air(best['now'], none['now'])}")
    lines.append(
        "  Taken for granted: Only the fan is changed; watering, light and heat stay as described. Where no other is told, "
        "an exchange fan does not stir the air of the box. " + " ".join(answer.assumptions)
    )
    lines.append("  Take care: " + " ".join(answer.cautions))
    return reason, alternative, tuple(lines)


def _with(best: dict) -> str:
    return "your fans as they are" if best["name"] == "as described" else best["name"]


def _decision(answer: Answer, target: HumidityTarget | None, best: dict) -> str:
    plan = "Run no fan." if best["name"] == "no fan" else f"Run: {best['name']}{_minutes(best)}."
    if best["name"] == "as described":
        plan = f"Keep your fans as they are{_minutes(best)}."
    if answer.details["blocked"] and best["mode"] == "none":
        plan = "No fan can help while the box is shut."
    if best["now"]["heat"].hot:
        return f"No schedule keeps it cool enough; the heat itself must come down first. Of the schedules this is the best: {plan}"
    if target is not None and not answer.reachable:
        gap = answer.details["gap_points"]
        cover = first_cover(answer)
        slowly = " (step by step, never under a hot lamp)" if cover.startswith("cover") else ""
        first = f"; {cover}{slowly}" if cover else ""
        return (
            f"No schedule reaches the humidity wanted{first}. Of the schedules the best is still "
            f"{wording.points(gap)} too {'dry' if gap < 0 else 'damp'} on the mean. {plan}"
        )
    return plan


def _minutes(row: dict) -> str:
    return f" ({row['minutes_a_day']:.0f} minutes a day)" if 0.0 < row["minutes_a_day"] < 1440.0 else ""


def first_cover(answer: Answer) -> str:
    """The least change of the lid that brings the mean into the band, "" where none does or none is needed."""
    first = first_lid(answer.details["covers"], answer.details["gap_points"])
    if first is None:
        return ""
    share = f"{100 * first['covered']:.0f} %"
    fan = "with no fan" if first["fan"] == "no fan" else "with your fans as they are"
    if answer.details["gap_points"] < 0:
        return f"cover {share} of the mesh first, {fan}"
    if first["covered"] == 0.0:
        return f"open the whole lid first, {fan}"
    return f"open the lid down to {share} covered first, {fan}"


def _with_lid(one: dict, water: str) -> str:
    """What comes with a lid covered so, the bad sides too."""
    dry = f", leaves and glass {dry_words(one)}" if one["sprays"] else ""
    mind = f" Mind that then {' and '.join(one['faults'])}." if one["faults"] else ""
    return (
        f"With the lid so it is {_air_of(one)}, with "
        f"{one['glass_fogged_h']:.1f} h a day of wet glass{dry}, and {ml(one['water_ml'])} {water} a day.{mind}"
    )


def _air_of(seen: dict) -> str:
    """Humidity and temperature by day and by night, side by side."""
    return (
        f"{seen['rh_day']['mean']:.0f} % at {degrees(seen['temperature_day_c'])} by day and "
        f"{seen['rh_night']['mean']:.0f} % at {degrees(seen['temperature_night_c'])} by night"
    )


def _lid_range(found: dict, damper: bool) -> str:
    """How sure the recommended lid is, and how to go there."""
    if not found["ranges"]:
        return f"How sure that is, is not known, since too few draws could be run. {left_out_words(found)}"
    spans = {name: between(span, missing="not known") for name, span in found["ranges"].items()}
    wet = f"{found['glass_all_day']:.0f} of {found['ran']:.0f} draws the glass then stays wet all day"
    never = f", and in {found['never_dry']:.0f} nothing dries before the next spray" if found["never_dry"] else ""
    steps = ""
    if damper and found["step_before"] is not None:
        steps = (
            f" So go there in steps, from {100 * found['step_before']:.0f} % covered on: look at the front glass for some days "
            "at each, and go back a step when it stays wet."
        )
    return (
        f"How sure that is: {spans['rh by day']} % by day, {spans['rh by night']} % by night, {spans['glass fogged h']} h a day "
        f"of wet glass; in {wet}{never}.{_also(found)}{steps} Ask again then: the closer a box, the more a fan does."
    )


def _also(found: dict) -> str:
    words = left_out_words(found)
    return f" {words}" if words else ""


def _reason(best: dict, none: dict, target: HumidityTarget | None, dearer: Span | None, water: str) -> str:
    seen, still = best["now"], none["now"]
    if best["mode"] == "none":
        part = f"without one the air is changed {still['air_changes']['mean']:.1f} times an hour anyway"
        wet = f", leaves and glass are {dry_words(still)}" if known(still["dry_out_h"]) else ""
        more = "" if target is None else ", and no schedule gives over an hour a day more inside the humidity wanted"
        return f"{part}{wet}{more}."
    left = {_kind(fault) for fault in seen["faults"]}
    cured = [fault for fault in still["faults"] if _kind(fault) not in left]
    gain = inside(seen) - inside(still)
    parts = []
    if cured:
        parts.append(f"without a fan {' and '.join(cured)}; with it that ends")
    parts += _still_hot(still["heat"], seen["heat"])
    if target is not None and abs(gain) >= 0.25:
        parts.append(
            f"it gives {abs(gain):.1f} hours a day {'more' if gain > 0 else 'fewer'} inside the humidity wanted"
        )
    cost = seen["water_ml"] - still["water_ml"] if dearer is None else dearer[1]
    if abs(cost) >= 1.0:
        likely = "" if dearer is None else f" (likely {span_words(dearer if cost > 0 else [-x for x in dearer])})"
        parts.append(f"it {'costs' if cost > 0 else 'saves'} {ml(abs(cost))} {water} a day{likely}")
    if not parts:
        parts.append("it comes out level with no fan in everything that is compared here")
    return "; ".join(parts) + "."


def _kind(fault: str) -> str:
    """A fault without its temperatures and hours, which differ from schedule to schedule."""
    return re.sub(r"\d+", "", fault.partition(" (")[0])


def _still_hot(before: Heat, after: Heat) -> list[str]:
    """By how much a fan cools a box that stays too hot with it; nothing where it does not, or where that is no heat."""
    cooler = before.day["mean"] - after.day["mean"]
    if not (before.hot and after.hot) or cooler < LEAST_COOLER_K:
        return []
    still = "dangerous" if after.danger else "too hot"
    return [f"the air is cooler by {cooler:.1f} K by day than without a fan, still {still}"]


def water_word(answer: Answer) -> str:
    """What stands after an amount of water: a box kept dry is not poured on, and its water is what is sprayed."""
    return "of water" if answer.details["soil_held"] != "dry" else given_by_hand(answer.record.box)


def given_by_hand(box: Box) -> str:
    """How water comes into a box on whose soil nothing is poured."""
    ways = ["sprayed"] if box.routine.sprays else []
    ways += ["misted"] if box.routine.mists else []
    ways += ["put in the dish"] if box.enclosure.dish is not None else []
    return " and ".join(ways) if ways else "given"


def _lever(answer: Answer, box: Box, target: HumidityTarget | None, best: dict) -> str:
    if target is None or answer.reachable or answer.details["blocked"]:
        return ""
    cover = first_cover(answer)
    if cover:
        first = first_lid(answer.details["covers"], answer.details["gap_points"])
        sure = _lid_range(answer.details["first_lid"], answer.details["gap_points"] < 0)
        return f"The lid does what no fan can. {_with_lid(first, water_word(answer))} {sure}"
    covers = [one for one in answer.details["covers"] if one["allowed"]]
    if hot_at_lid(box) and (not covers or answer.details["gap_points"] < 0):
        left = (
            "more spraying, moss or litter on the soil, or a more humid room"
            if answer.details["gap_points"] < 0
            else "less spraying, or a drier room"
        )
        return (
            f"The lid is no lever here: a hot lamp or heater is there ({hot_in_words(box)}), and its mesh must stay open. What "
            f"is left is {left} (terralab water)."
        )
    if not covers and answer.details["covers"]:
        return "The lid is no lever here: however it is set, the temperatures wanted are left. See terralab water."
    if not covers:
        return "There is no lid opening to change; the room's humidity or the watering is the other lever."
    nearest = min(covers, key=lambda one: abs(one["gap_points"]))
    state = "the whole lid open" if nearest["covered"] == 0.0 else f"{100 * nearest['covered']:.0f} % covered"
    return (
        f"The lid alone does not reach it either: nearest is {state}, {_fans_of(nearest)}, {_air_of(nearest)}. "
        "Then watering and the room are what is left (terralab water)."
    )


def _fans_of(cover: dict) -> str:
    return "no fan" if cover["fan"] == "no fan" else "fans as described"


def _warned(best: dict, within: float) -> list[str]:
    out = []
    names = {"now": "in the room as described", "winter": "in winter", "summer": "in summer"}
    faults: dict[str, list[str]] = {}
    for room, words in names.items():
        for fault in best[room]["faults"]:
            faults.setdefault(fault, []).append(words)
    for fault, where in faults.items():
        out.append(f"Mind that even so {fault} ({', '.join(where)}), if nothing but the fan is changed.")
    return out


def _instead(best: dict, rows: list[dict], target: HumidityTarget | None, water: str) -> list[str]:
    """Whether a circulating fan would do what one wants from an exchange fan."""
    described = next((row for row in rows if row["name"] == "as described"), None)
    exchanging = [row for row in rows if row["mode"] == "exchange"]
    blown = best if best["mode"] == "exchange" else described if described and described["mode"] == "exchange" else None
    if blown is None and exchanging:
        blown = min(exchanging, key=_until_dry)
    stirred = [row for row in rows if row["mode"] == "circulate"]
    if blown is None or not stirred or not known(blown["now"]["dry_out_h"]):
        return []
    rival = min(stirred, key=_until_dry)
    a, b = blown["now"], rival["now"]
    if not known(b["dry_out_h"]):
        return []
    as_dry = b["dry_out_h"] <= a["dry_out_h"] + 0.25
    as_humid = inside(b) >= inside(a) - SAME_HOURS and outside_points(b, target) <= outside_points(a, target) + NEAR
    if as_dry and as_humid and b["water_ml"] < a["water_ml"] - 1.0:
        return [
            f"A circulating fan would do what you want from an exchange fan: {rival['name']} has leaves and glass dry in "
            f"{b['dry_out_h']:.1f} h ({blown['name']}: {a['dry_out_h']:.1f} h), and keeps the humidity "
            f"({b['rh_day']['mean']:.0f} % by day against {a['rh_day']['mean']:.0f} %) for {ml(b['water_ml'])} {water} a "
            f"day instead of {ml(a['water_ml'])}."
        ]
    return []


def _until_dry(row: dict) -> float:
    """What schedules are ranked by, the quickest to dry first; those that do not dry come last."""
    taken = row["now"]["dry_out_h"]
    return taken if known(taken) else math.inf


def _range(answer: Answer, target: HumidityTarget | None) -> list[str]:
    """One line for each of the three best schedules, and how often the first is the best."""
    ranges, chosen = answer.details["ranges"], answer.details["choice"]
    key = "hours in band" if target is not None else "humidity by day"
    unit = "h a day inside" if target is not None else "% by day"
    members = answer.spread["ran"]
    out = [f"How sure, over {members} draws of everything uncertain, the same for all (in brackets, 80 % of them):"]
    for name, found in ranges.items():
        low, middle, high = found[key]
        water = found["water ml a day"]
        share = answer.details["better_than"].get(name)
        level = "" if not known(share) else f"; {chosen} is as good or better in {100 * share:.0f} % of the draws"
        dearer = answer.details["dearer_than"].get(name)
        if dearer is not None:
            level += f" and takes {more_words(dearer)}"
        spread = "" if ml(water[0]) == ml(water[2]) else f" ({ml(water[0])} to {ml(water[2])})"
        kept = f" {water_word(answer)}" if answer.details["soil_held"] == "dry" else ""
        out.append(
            f"  {name}: {middle:.1f} {unit} ({low:.1f} to {high:.1f}), {ml(water[1])}{kept} a day{spread}{level}"
        )
    for name, counted in answer.details["unsure"].items():
        none = "" if name in ranges else "no fair range; "
        out.append(f"  {name}: {none}{left_out_words(counted)}")
    return out


def _by_season(answer: Answer, best: dict, none: dict) -> str:
    parts = []
    for room in ("winter", "summer"):
        seen, kept = best[room], answer.details["rooms"][room]
        own = "" if kept["own"] else ", a default"
        hours = f", {inside(seen):.1f} h a day inside" if seen["hours"] else ""
        parts.append(
            f"{room} ({kept['room']}{own}) {_air_of(seen)}{hours}, {ml(seen['water_ml'])} {water_word(answer)} a day"
        )
    return f"By season, {best['name']}: {'; '.join(parts)}."


def table(rows: list[dict], best: dict, target: HumidityTarget | None, room: str = "now") -> list[str]:
    """The comparison as text lines of equal columns, 75 at most; a star marks the recommended row."""
    wanted = f"{'in d':>5}{'in n':>5}" if target is not None else ""
    out = [
        f"{'schedule':<{NAME_WIDE}}{'% d':>4}{'% n':>4}{'C d':>4}{'C n':>4}{wanted}{'fog':>5}{'dry':>5}{'ach':>5}{'ml':>5}"
    ]
    for row in rows:
        out.append(
            f"{_named(row['name'], row[room], row['name'] == best['name'])}{_cells(row[room], target is not None)}"
        )
    return out


def lid_table(answer: Answer) -> list[str]:
    """The lid as text lines in the columns of `table`."""
    out = []
    for one in answer.details["covers"]:
        state = f"{100 * one['covered']:.0f} % covered" if one["covered"] > 0.0 else "lid open"
        name = f"{state}, {'no fan' if one['fan'] == 'no fan' else 'your fans'}"
        out.append(f"{_named(name, one, False)}{_cells(one, bool(one['hours']))}")
    return out


def _named(name: str, seen: dict, best: bool) -> str:
    most = NAME_WIDE - MARGIN
    short = wording.cut(name, most)
    return f"{('*' if best else '') + marks_of(seen['faults'])[:2]:<{MARGIN}}{short:<{most}}"


def _cells(seen: dict, has_target: bool) -> str:
    dry = dry_cell(seen)
    hours = f"{seen['hours']['day inside']:>5.1f}{seen['hours']['night inside']:>5.1f}" if has_target else ""
    return (
        f"{seen['rh_day']['mean']:>4.0f}{seen['rh_night']['mean']:>4.0f}"
        f"{seen['temperature_day_c']:>4.0f}{seen['temperature_night_c']:>4.0f}{hours}{seen['glass_fogged_h']:>5.1f}{dry:>5}"
        f"{seen['air_changes']['mean']:>5.1f}{seen['water_ml']:>5.0f}"
    )


def _legend(answer: Answer) -> str:
    has_target = (
        "in d, in n: hours of the day and of the night inside the humidity wanted. " if answer.details["target"] else ""
    )
    water = (
        "pour that would hold the soil"
        if answer.details["soil_held"] != "dry"
        else f"{given_by_hand(answer.record.box)} (nothing is poured on the soil)"
    )
    every = [row["now"]["faults"] for row in answer.table] + [one["faults"] for one in answer.details["covers"]]
    found = marks_of([fault for faults in every for fault in faults])
    marks = "".join(f", {mark}: {MARKS[mark][1]}" for mark in found)
    return (
        f"*: recommended{marks}. % d, % n: mean humidity by day and by night. C d, C n: mean temperature, °C. {has_target}fog: hours a day with water to be seen on the glass. "
        "dry: hours until leaves and glass are dry after a spray. ach: air changes an hour. "
        f"ml: {water}, a day. "
        f"Exchange fan: {answer.details['exchange_fan']}. Circulating fan: {answer.details['circulating_fan']}."
    )


def _air(seen: dict[str, Any], still: dict[str, Any]) -> str:
    rates = seen["air_changes"]
    parts = [f"{rates['mean']:.1f} air changes an hour on the mean"]
    if known(rates["running"]) and known(rates["resting"]):
        parts.append(f"{rates['resting']:.1f} while the fan rests and {rates['running']:.1f} while it runs")
    parts.append(f"the air is {_age(seen['age_min'])} old on the mean ({_age(seen['oldest_min'])} at most)")
    falling = ""
    if seen["falling_h"] >= 0.5:
        falling = (
            f" For {seen['falling_h']:.1f} h a day the air of the box is heavier than the room's: it falls out below and "
            "room air enters above, the other way round than usual, and a mesh lid then passes little."
        )
    return f"Air: {', '.join(parts)}. Night is {seen['night_drop_k']:.1f} K cooler than day.{falling}"


def _age(minutes: float) -> str:
    return f"{minutes:.0f} minutes" if minutes < 90.0 else f"{minutes / 60.0:.1f} hours"
