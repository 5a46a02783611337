"""The drainage answer as plain sentences, its comparison as a table of text."""

from __future__ import annotations

from collections.abc import Mapping

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.recommended import described_words
from terralab.answers.common.rounding import jug
from terralab.answers.common.words import ml
from terralab.answers.drainage.bottoms import BottomRow, layer_of
from terralab.answers.drainage.sizing import MONTH, WEEKS, Days, SiphonTimes, Sized
from terralab.answers.drainage.weight import Weight
from terralab.describe.box import Box
from terralab.describe.seasons import room_in_words, room_of
from terralab.measured import with_unit

RECOMMENDED, DESCRIBED = "recommended", "described"
STILL_CM = 0.15  # a gap that moves less is said to stay
MOST_OF_A_DAY_H = 12.0
_NAME = 30


def table_lines(rows: list[BottomRow]) -> list[str]:
    """The comparison as lines of even width, with what the columns mean."""
    lines = [
        "  Bottoms compared, typical numbers: 4 weeks of the routine without siphoning, one over-watering on the first day.",
        f"    {'':<{_NAME}}    air %  wet  airless  room  rises, ml/d",
        f"    {'':<{_NAME}}  top low band  top low  left  vapour cont.",
    ]
    for r in rows:
        room = "-" if r.reserve_l is None else f"{r.reserve_l:.1f} l"
        rises = (
            "     -     -"
            if r.reserve_l is None
            else f"{wording.fixed(r.vapour_ml_per_day or 0.0, 1):>6} {wording.fixed(_contact(r), 0):>5}"
        )
        lines.append(
            f"    {wording.cut(r.name, _NAME):<{_NAME}} {r.air_percent[0]:4.0f} {r.air_percent[2]:3.0f} {r.wet_band_cm:4.1f} "
            f"{r.airless_hours[0]:4.0f} {r.airless_hours[2]:3.0f} {room:>6} {rises}"
        )
    lines += [
        "    (air: % of volume in the top and the lowest third, last week. wet band: cm of soil under 10 % air. airless: hours a "
        "day in which that third has under 10 %. room left: litres that still fit under the mesh. contact, or by a wick: rises "
        "by night, most of it drained that day; where water stands over the mesh little moves, as the soil is full. Vapour below 0: the layer takes it up from the soil. --json has the middle third, and what drains, too.)"
    ]
    return lines


def _contact(r: BottomRow) -> float:
    return jug(r.contact_ml_per_day + r.wick_ml_per_day)


def _weeks(c: SiphonTimes, first: str) -> str:
    if max(c.high_cm) - min(c.low_cm) < STILL_CM:
        stays = wording.gap(c.gap_cm[0])
        return f"{'the water stays' if 'mesh' in stays else 'stays at'} {stays} for {len(c.gap_cm) - 1} weeks"
    shown = [n for n in (0, 2, 4, 8, 12) if n < len(c.gap_cm)]
    return ", ".join(
        wording.gap(c.gap_cm[n]) + (f"{_range_words(c.low_cm[n], c.high_cm[n])} in week {n}" if n else f" {first}")
        for n in shown
    )


def _range_words(low: float, high: float) -> str:
    """Range of a gap in brackets, nothing where it is narrower than can be said."""
    small, large = wording.gap(low), wording.gap(high)
    if small == large:
        return ""
    return f" ({small} to {large})" if "mesh" in small + large else f" ({low:.1f} to {high:.1f})"


def _month_words(c: SiphonTimes) -> str:
    worst, middle = wording.gap(c.low_cm[4]), wording.gap(c.gap_cm[4])
    return middle + (f" ({worst} in the wettest tenth)" if worst != middle else "")


def _touch(c: SiphonTimes) -> str:
    if c.touch_days[1] is not None:
        return f"water reaches the mesh {days_words(c.touch_days)}"
    if c.touching:
        return f"water reaches the mesh within {WEEKS} weeks in {c.touching} of the {c.members} cases drawn"
    return f"water does not reach the mesh within {WEEKS} weeks in any of the {c.members} cases drawn"


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


def touch_words(rows: list[BottomRow]) -> str:
    """What happens once water touches the mesh, from the rows of the comparison; "" where they are missing."""
    by_name = {r.name: r for r in rows}
    touching = by_name.get("water at the mesh")
    if touching is None:
        return ""
    apart = rows[0]
    return (
        "Once water touches the mesh it is a step, not a slope: it feeds the soil day and night, and the next over-watering has "
        f"no room below: four weeks after one the wet band is {wording.instead_of(touching.wet_band_cm, apart.wet_band_cm, 'cm')}, "
        f"the bottom third has {wording.instead_of(touching.air_percent[2], apart.air_percent[2], '% air', 0)}."
    )


def foot_words(rows: list[BottomRow]) -> list[str]:
    """That the lowest third lacks air, and what changes that, where it does for most of the day; else nothing."""
    r = rows[0]
    hours = r.airless_hours[2]
    if hours < MOST_OF_A_DAY_H:
        return []
    span = "all day" if hours > 23.0 else f"for {wording.days(hours, 'hour')} a day"
    return [
        f"The lowest third of the soil holds {r.air_percent[2]:.0f} % air, and {span} it is under 10 %, because the lowest "
        f"{r.wet_band_cm:.1f} cm stay wet. Most roots and diggers keep above that. A wick lets it down (see the table), and a "
        "coarser mix over the layer holds more air; a deeper layer of stones changes nothing. A sour smell is the sign that it "
        "matters."
    ]


def wick_words(rows: list[BottomRow]) -> str:
    """What a wick does to the foot of the soil, from the rows of the comparison; "" where they are missing."""
    wick = next((r for r in rows if r.name.startswith("with a wick")), None)
    if wick is None:
        return ""
    apart = rows[0]
    change = wick.wet_band_cm - apart.wet_band_cm
    does = (
        "lets the foot down"
        if change < -0.2
        else "keeps the foot wetter"
        if change > 0.2
        else "changes the foot little"
    )
    return (
        f"A wick ({wick.name.removeprefix('with a wick of ')} of cord) joins the foot of the soil to the water below, and water "
        f"goes both ways: here it {does} (wet band {wording.instead_of(wick.wet_band_cm, apart.wet_band_cm, 'cm')}) and leads "
        f"{ml(wick.wick_ml_per_day)} a day up. In an unwatered box it empties the layer into the soil. How well a cord leads "
        "water is a guess (terralab material wick)."
    )


def _season_words(season: str, plan: Mapping) -> str:
    """When the first and the next siphoning fall due in a season, as far as its weeks were run."""
    first, again = plan["days"][season], plan["every_days"][season]
    if first[1] == 0:
        return f"{season}, at once, then {days_words(again, 'every')}"
    then = f", then {days_words(again, 'every')}" if first[1] is not None else ""
    return f"{season}, {days_words(first)}{then}"


def too_thin_words(plan: Mapping) -> str:
    """When to siphon a layer that has no room for a siphoning and a reserve."""
    return f"siphon after {'every thorough watering' if plan['fills_by_itself'] else 'an over-watering, at once'}"


def _has_words(box: Box, needed_cm: float, plan: Mapping) -> str:
    """The one verdict on the layer as described."""
    described = box.enclosure.drainage
    if described is None:
        return ""
    has = with_unit(described.depth_cm, "length", "cm")
    thin = bool(plan) and plan["too_thin"]
    if described.depth_cm < needed_cm:
        then = f": {too_thin_words(plan)}, or deepen it" if thin else ""
        return f" It has {has}: too little{then}."
    if not thin:
        return f" It has {has}: enough."
    return (
        f" It has {has}: enough to hold a month, but not to siphon with a reserve left: {too_thin_words(plan)}, or deepen it "
        f"to {plan['depth_from_cm']:g} cm."
    )


def _plan_words(box: Box, plan: Mapping) -> str:
    """When to siphon; "" where the verdict on the layer has said it."""
    if box.enclosure.drainage is None:
        return f"A layer that is to be siphoned with a reserve left is {plan['depth_from_cm']:g} cm deep or more."
    if plan["too_thin"]:
        return ""
    every = "; ".join(_season_words(season, plan) for season in plan["days"])
    return (
        f"Siphon when the gap under the mesh is less than {plan['when_gap_below_cm']:.1f} cm, down to "
        f"{plan['to_level_cm']:.1f} cm above the floor: {plan['litres']:.1f} litres a time. Due first: {every}."
    )


def _mishap_words(box: Box, details: Mapping) -> list[str]:
    lines = []
    once = details["mishaps"]["over-watering"]
    before, after = wording.gap(once["gap_before_cm"]), wording.gap(once["smallest_gap_cm"])
    goes = (
        f"the water goes from {wording.level(once['gap_before_cm'])} to {after}"
        if "mesh" in before + after
        else f"the gap goes from {before} to {after}"
    )
    lines.append(f"One over-watering ({ml(1000.0 * once['litres'])} at once): {goes}.")
    stuck = [name for name in details["mishaps"] if name.endswith("stuck on")]
    for name in stuck:
        m = details["mishaps"][name]
        when = "" if m["mesh_after_h"] is None else f", at the mesh after {wording.days(m['mesh_after_h'], 'hour')}"
        top = (
            "" if m["top_airless_after_h"] is None else f", the whole soil airless after {m['top_airless_after_h']:.0f}"
        )
        lines.append(f"{name.capitalize()}: {m['litres_an_hour']:.1f} litres an hour{when}{top}.")
    below, soil = details["fits_l"]["under the mesh"], details["fits_l"]["then in the soil"]
    also = "" if stuck else " There is no mister in the routine that could stick."
    lines.append(
        f"{below:.1f} litres fit under the mesh {_with_words(box) or 'as it stands'}, another {soil:.1f} l fill the soil to its top.{also}"
    )
    return lines


def _with_words(box: Box) -> str:
    """Which layer stands for one in a box that has none; "" where it has one."""
    return (
        ""
        if box.enclosure.drainage is not None
        else f"with a layer of {with_unit(layer_of(box).depth_cm, 'length', 'cm')}"
    )


def _vapour_words(r: BottomRow) -> str:
    up = r.vapour_ml_per_day or 0.0
    if up < 0.0:
        return f"no vapour (the layer takes up {wording.fixed(-up, 1)} ml of vapour from the soil)"
    return f"{wording.fixed(up, 1)} ml as vapour"


def pour_words(details: Mapping, box: Box) -> str:
    """Which pour the answer is for, each season's."""
    pours = details["pour_ml_per_day"]
    if max(pours.values()) == 0.0:
        return "Nothing is poured on the soil" + ("" if details["pour"] == DESCRIBED else ", as recommended")
    if details["pour"] == DESCRIBED:
        return f"The pour is that of the routine, {described_words(box)} a day"
    rooms = {"now": "in the room as described", "winter": "in winter", "summer": "in summer"}
    said = ", ".join(f"{ml(pours[season])} {words}" for season, words in rooms.items())
    return f"The pour is the recommended one (terralab water): {said}, a day"


def drainage_sentences(
    a: Answer,
    box: Box,
    found: Sized,
    courses: Mapping[str, SiphonTimes],
    rows: list[BottomRow],
    left_out: list[str],
    heavy: Weight,
) -> tuple[str, ...]:
    """The drainage answer, a line each."""
    lines = [f"{box.name}: how deep a drainage layer, and when to siphon?"]
    if a.value == 0.0:
        lines.append(f"  None needed. {a.reason}")
    else:
        likely = f" (likely between {a.low:g} and {a.high:g} cm)" if a.low < a.high else " in nearly all cases drawn"
        none = "" if box.enclosure.drainage is not None else "This box has no drainage layer. "
        lines += [
            f"  {none}A layer {a.value:g} cm deep {'would be' if none else 'is'} enough{likely}."
            f"{_has_words(box, a.value, a.window)}",
            f"  Why: {a.reason}",
            "  What a layer does: it stores what drains, out of the soil's reach, and gives a place to siphon from. It does not "
            "make the soil drain better: a wet band stays above it, as above a drain hole.",
        ]
    lines.append(f"  {pour_words(a.details, box)}.")
    lines += [f"  {text}" for text in draws_words(a, courses)]
    if courses:
        lines += [f"  {text}" for text in (_plan_words(box, a.window),) if text]
        layer = _with_words(box)
        for season, c in courses.items():
            room = room_in_words(room_of(box, season))
            lines.append(
                f"  Gap under the mesh{f' {layer}' if layer else ''} in {season} ({room}), no siphoning: "
                f"{_weeks(c, 'at first' if layer else 'now')}; {_touch(c)}."
            )
        month = ", ".join(f"{s} {_month_words(c)}" for s, c in courses.items())
        lines.append(f"  A forgotten month (watered as ever, not siphoned) leaves a gap of: {month}.")
        lines += [f"  {text}" for text in _mishap_words(box, a.details)]
        lines.append(f"  {touch_words(rows)}")
        lines.append(f"  {wick_words(rows)}")
    lines += table_lines(rows)
    lines += [f"  {text}" for text in foot_words(rows)]
    drained = [r for r in rows if r.reserve_l is not None]
    if drained:
        r = rows[0]
        lines.append(
            f"  From the water below to the roots, a day, {r.name}: {_vapour_words(r)}, "
            f"{ml(r.contact_ml_per_day)} by contact"
            + (f", {ml(r.wick_ml_per_day)} by wick" if r.wick_ml_per_day else "")
            + "; to the air by an open corner tube "
            + next(
                (f"{wording.fixed(t.tube_ml_per_day, 2)} ml" for t in rows if t.name == "open corner tube"), "nothing"
            )
            + "."
        )
    lines += [f"  Left out, {text}" for text in left_out]
    lines.append(f"  {heavy.sentence()}")
    if a.measure_next:
        lines.append(f"  What to measure next: {measure_sentence(a.measure_next)}")
    lines.append("  Taken for granted: " + " ".join(a.assumptions))
    lines.append("  Take care: " + " ".join(a.cautions))
    return tuple(lines)


def draws_words(a: Answer, courses: Mapping[str, SiphonTimes]) -> list[str]:
    """How many draws stand behind the depth and behind the course of the gap, and which could not be run."""
    gaps = "".join(f", behind the gap in {season} {c.members}" for season, c in courses.items())
    unrun = [left_out_words(a.spread, "draws for the depth")]
    unrun += [left_out_words(c.draws, f"draws for the gap in {season}") for season, c in courses.items()]
    return [f"Behind the depth stand {a.spread['ran']} draws of everything uncertain{gaps}.", *(t for t in unrun if t)]


def _span(low: float, high: float) -> str:
    """A range in brackets, nothing where it is narrower than can be said."""
    return f" ({low:.1f} to {high:.1f})" if f"{low:.1f}" != f"{high:.1f}" else ""


def reason_words(box: Box, found: Sized, season: str, over_l: float) -> str:
    """Why the layer is as deep as it is, or why there is none."""
    low, middle, high = found.down_l[0], found.down_l[1], found.down_l[2]
    if found.nothing:
        return (
            f"Nothing drains: the soil keeps the routine's water, and even {ml(1000.0 * over_l)} at once stay in it. A layer "
            "would stay empty and only take height. If you water more than that, ask again with that routine."
        )
    return (
        f"In {MONTH} days of the routine with one over-watering of {ml(1000.0 * over_l)}, {middle:.1f} litres come down"
        f"{_span(low, high)}, {'in the room as described' if season == 'now' else f'in {season}'}, when most comes down here. "
        f"The layer must hold that and keep {found.clear_cm:.1f} cm free under the mesh, where its grains would pull water up, "
        "and be at least two large grains thick."
    )
