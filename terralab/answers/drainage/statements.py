"""The drainage answer as statements."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import clauses, warmth_line
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.recommended import described_words
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.words import RANGE, ml
from terralab.answers.drainage.bottoms import BottomRow
from terralab.answers.drainage.bottoms_words import (
    below_words,
    foot_words,
    lacks_air,
    table,
    touch_words,
    wick_words,
)
from terralab.answers.drainage.sizing import MONTH, SiphonTimes, Sized
from terralab.answers.drainage.weight import Weight
from terralab.answers.drainage.words import (
    gap_words,
    mishap_words,
    month_words,
    siphon_rule_words,
    siphon_words,
    too_thin_words,
)
from terralab.describe.box import Box
from terralab.quantities import as_typed, quantity

RECOMMENDED, DESCRIBED = "recommended", "described"
ASKED = "how deep a drainage layer, and when to siphon?"
SAUCER = "Keep the saucer empty: standing water at the hole is contact."


def drainage_statements(
    a: Answer,
    box: Box,
    seen: SeenAir,
    courses: Mapping[str, SiphonTimes],
    rows: list[BottomRow],
    left_out: Sequence[str],
    heavy: Weight,
) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states."""
    verdict, wrong = _wrong(a, box, seen, rows)
    out = state(Kind.TITLE, f"{box.name}: {ASKED}", views=EVERYWHERE)
    out += brief(
        box,
        "drainage",
        _do(a, box),
        f"{RANGE} need {_depth(a.low, a.high)}." if a.value else "",
        seen.lines(),
        wrong,
        a.measure_next,
        first=seen.heat.hot or seen.heat.cold,
        warm=seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    if a.value == 0.0:
        out += state(Kind.DO, f"None needed. {a.reason}")
    else:
        out += state(Kind.DO, _verdict(a, box))
        out += state(Kind.WHY, f"Why: {a.reason}")
        out += state(
            Kind.EXPLAINED,
            "What a layer does: it stores what drains, out of the soil's reach, and gives a place to siphon from. It does not "
            "make the soil drain better: a wet band stays above it, as above a drain hole.",
        )
    out += state(Kind.EXPLAINED, f"{pour_words(a.details, box)}.")
    out += state(Kind.DRAWS, *draws_words(a, courses))
    if courses:
        out += state(Kind.SIPHON, siphon_words(box, a.window))
        out += state(Kind.LEVEL, *(gap_words(box, season, c) for season, c in courses.items()), month_words(courses))
        out += state(Kind.MISHAP, *mishap_words(box, a.details), touch_words(rows))
        out += state(Kind.ALTERNATIVE, wick_words(rows, box))
    out += table(rows)
    out += state(Kind.EXPLAINED, foot_words(rows))
    out += state(Kind.WHERE, below_words(rows))
    out += state(Kind.LEFT_OUT, *(f"Left out, {text}" for text in left_out), views=View.ALL)
    out += state(Kind.WEIGHT, heavy.sentence())
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.AIR, seen.sentence())
    out += state(Kind.WARMTH, warmth_line(seen.heat))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _depth(*cm: float, join: str = " to ") -> str:
    return quantity("cm", "g", *cm, join=join)


def _has(box: Box) -> str:
    return as_typed("length", "cm", box.enclosure.drainage.depth_cm)


def _too_shallow(a: Answer, box: Box) -> bool:
    return box.enclosure.drainage is not None and box.enclosure.drainage.depth_cm < a.value


def _too_thin(a: Answer) -> bool:
    return bool(a.window) and a.window["too_thin"]


def _do(a: Answer, box: Box) -> str:
    """What to do, for the short screen."""
    if a.value == 0.0:
        if box.enclosure.drainage is None:
            return f"Build no drainage layer.{f' {SAUCER}' if box.enclosure.drain_hole else ''}"
        return "Leave the drainage layer as it is: this routine does not need one."
    if box.enclosure.drainage is None:
        return f"A drainage layer of {_depth(a.value)} would be enough. This box has none."
    enough = f"{_depth(a.value)} would do"
    if _too_shallow(a, box):
        deeper = max(a.value, a.window["depth_from_cm"]) if _too_thin(a) else a.value
        until = too_thin_words(a.window) if _too_thin(a) else _small(siphon_rule_words(a.window))
        return f"Make the layer {_depth(deeper)} deep; it has {_has(box)}. Until then {until}."
    if _too_thin(a):
        return f"Leave the layer as it is ({_has(box)}; {enough} for a month), and {too_thin_words(a.window)}."
    return f"Leave the layer as it is ({_has(box)}; {enough}). {siphon_rule_words(a.window)}."


def _small(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _wrong(a: Answer, box: Box, seen: SeenAir, rows: list[BottomRow]) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(seen.first)
    if wrong:
        return verdict, wrong
    if _too_shallow(a, box):
        return Verdict.LAYER_TOO_THIN, [
            f"the layer is too thin: it has {_has(box)}, and a month without siphoning needs {_depth(a.value)}."
        ]
    if a.value and box.enclosure.drainage is not None and _too_thin(a):
        return Verdict.LAYER_TOO_THIN, [
            f"the layer is too thin to siphon with a reserve left: that takes {_depth(a.window['depth_from_cm'])}."
        ]
    if lacks_air(rows):
        return Verdict.NO_AIR, clauses(foot_words(rows))
    if seen.outside:
        return (Verdict.TOO_DRY if seen.dry else Verdict.TOO_DAMP), [seen.outside]
    return nothing_today(seen.first, seen.heat)


def _verdict(a: Answer, box: Box) -> str:
    """How deep a layer is enough, and the one verdict on that described."""
    likely = (
        f" (likely between {_depth(a.low, a.high, join=' and ')})" if a.low < a.high else " in nearly all such boxes"
    )
    none = "" if box.enclosure.drainage is not None else "This box has no drainage layer. "
    return f"{none}A layer {_depth(a.value)} deep {'would be' if none else 'is'} enough{likely}.{has_words(box, a.value, a.window)}"


def has_words(box: Box, needed_cm: float, plan: Mapping) -> str:
    """The one verdict on the layer as described; "" where there is none."""
    described = box.enclosure.drainage
    if described is None:
        return ""
    thin = bool(plan) and plan["too_thin"]
    if described.depth_cm < needed_cm:
        then = f": {too_thin_words(plan)}, or deepen it" if thin else ""
        return f" It has {_has(box)}: too little{then}."
    if not thin:
        return f" It has {_has(box)}: enough."
    return (
        f" It has {_has(box)}: enough to hold a month, but not to siphon with a reserve left: {too_thin_words(plan)}, or deepen "
        f"it to {_depth(plan['depth_from_cm'])}."
    )


def pour_words(details: Mapping, box: Box) -> str:
    """Which pour the answer is for, each season's."""
    pours = details["pour_ml_per_day"]
    if max(pours.values()) == 0.0:
        return "Nothing is poured on the soil" + ("" if details["pour"] == DESCRIBED else ", as recommended")
    if details["pour"] == DESCRIBED:
        return f"The pour is that of the routine, {described_words(box)} a day"
    rooms = {"now": "in the room as described", "winter": "in winter", "summer": "in summer"}
    each = ", ".join(f"{ml(pours[season])} {words}" for season, words in rooms.items())
    return f"The pour is the recommended one (terralab water): {each}, a day"


def draws_words(a: Answer, courses: Mapping[str, SiphonTimes]) -> list[str]:
    """How many draws stand behind the depth and behind the course of the gap, and which could not be run."""
    gaps = ", ".join(f"{c.members} for {season}" for season, c in courses.items())
    unrun = [left_out_words(a.spread, "draws for the depth")]
    unrun += [left_out_words(c.draws, f"draws for the gap in {season}") for season, c in courses.items()]
    then = f", the gap on {gaps}" if gaps else ""
    return [f"The depth rests on {a.spread['ran']} draws of everything uncertain{then}.", *unrun]


def reason_words(box: Box, found: Sized, season: str, over_l: float) -> str:
    """Why the layer is as deep as it is, or why there is none."""
    low, middle, high = found.down_l
    down = quantity("litres", ".1f", middle)
    if found.nothing:
        return (
            f"Nothing drains: the soil keeps the routine's water, and even {ml(1000.0 * over_l)} at once stay in it. A layer "
            "would stay empty and only take height. If you water more than that, ask again with that routine."
        )
    if box.enclosure.drain_hole and box.enclosure.drainage is None:
        return f"Water leaves by the drain hole, {down} in {MONTH} days of the routine with one over-watering. {SAUCER}"
    span = f" ({quantity('litres', '.1f', low, high)})" if f"{low:.1f}" != f"{high:.1f}" else ""
    return (
        f"In {MONTH} days of the routine with one over-watering of {ml(1000.0 * over_l)}, {down} come down{span}, "
        f"{'in the room as described' if season == 'now' else f'in {season}'}, when most comes down here. The layer must hold "
        f"that and keep {quantity('cm', '.1f', found.clear_cm)} free under the mesh, where its grains would pull water up, and "
        "be at least two large grains thick."
    )
