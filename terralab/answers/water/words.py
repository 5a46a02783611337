"""The daily-water answer as statements."""

from __future__ import annotations

from collections.abc import Mapping

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import air_lines, brief, from_box, nothing_today, outside_words
from terralab.answers.common.draws import drawn_words, left_out_words
from terralab.answers.common.heat_words import clauses, warmth_line
from terralab.answers.common.light import light_words
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.rounding import NARROW_ML
from terralab.answers.common.seen_places import SeenPlaces
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, state
from terralab.answers.common.temperature import Heat
from terralab.answers.common.words import RANGE, amount_span, likely, ml, target_in_words
from terralab.answers.water.unpoured import unpoured_words
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.seasons import room_in_words
from terralab.describe.wanted import DRY, soil_wanted
from terralab.quantities import quantity
from terralab.simulation.where_it_goes import ways_out

DRY_NOW = "The soil is described as dry now. Soak it once first (terralab soak); this pour holds from then on."
LEAST_ML = 0.5  # less is said as nothing
# What counts as clearly more: a tenth, and of what is sprayed beyond what leaves 10 ml a day too (choices).
MUCH_SHARE, MUCH_ML = 0.1, 10.0


def first_drain(a: Answer) -> str:
    """What goes before any pour of the daily-water answer `a`, where it is too wet even without one; "" elsewhere."""
    if not a.window.get("too_wet_unpoured"):
        return ""
    return ". ".join(text for text in (drain_words(a.record.has_reservoir), less_spray(a)) if text)


def less_spray(a: Answer) -> str:
    """That more is sprayed and misted than leaves, so that the box fills up without any pour; "" where that is not so."""
    given = a.budget_ml_per_day["sprayed and misted"]
    gone = sum(a.budget_ml_per_day.get(key, 0.0) for key in ways_out())
    if given <= (1.0 + MUCH_SHARE) * gone + MUCH_ML:
        return ""
    return f"Spray and mist less: they bring {ml(given)} a day, and about {ml(gone)} leave"


def drain_words(has_reservoir: bool) -> str:
    """What goes before any pour where it is too wet even without one."""
    how = "draw off the water below" if has_reservoir else "let the soil drain"
    return f"Pour nothing yet: it is too wet even without a pour. First {how} (terralab rescue)"


def water_statements(
    a: Answer, box: Box, target: HumidityTarget | None, heat: Heat, gap: float, seen: SeenPlaces
) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states. `gap`: points outside what is wanted."""
    hot = seen.hot(heat)
    uneven = "" if hot else seen.uneven({"day": a.rh_day, "night": a.rh_night})
    warm = seen.warm(heat)
    outside = outside_words({"day": a.rh_day, "night": a.rh_night}, target)
    verdict, wrong = _wrong(a, box, heat, gap, outside)
    out = state(Kind.TITLE, f"{box.name}: how much water a day?", views=EVERYWHERE)
    out += brief(
        box,
        "water",
        _do(a, box),
        f"{RANGE} need {amount_span(a.low, a.high, 'ml') if a.high >= LEAST_ML else 'nothing'}.",
        air_lines({"day": a.rh_day, "night": a.rh_night}, heat, target),
        wrong,
        a.measure_next if a.high >= LEAST_ML else (),
        first=heat.hot or heat.cold,
        mind=uneven,
        warm=(hot, *warm),
    )
    out += state(Kind.WARNING, *a.first, uneven)
    out += state(Kind.HOT_PLACE, hot, *warm)
    out += state(
        Kind.DO, a.details["warmth_first"], _pour(a, box), DRY_NOW if _soak_first(box) and not first_drain(a) else ""
    )
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(
        Kind.SURE,
        f"The range holds {RANGE}: {drawn_words(a.spread)}.",
    )
    out += state(Kind.DRAWS, left_out_words(a.spread))
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.WINDOW, *_window(a, box))
    out += state(Kind.AIR, _air(a))
    out += state(Kind.WARMTH, warmth_line(heat))
    out += seen.statements()
    out += state(Kind.LIGHT, light_words(box, a.details["light"]))
    if target is not None:
        out += state(Kind.WANTED, _wanted(a, target, heat))
        out += state(Kind.ALTERNATIVE, a.alternative)
    out += state(Kind.SEASONS, f"By season: {'; '.join(_season(name, s) for name, s in a.seasons.items())}.")
    out += state(Kind.DRAWS, *(left_out_words(s["draws"], f"draws in {name}") for name, s in a.seasons.items()))
    out += state(Kind.WHERE, _where(a, box))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _soak_first(box: Box) -> bool:
    return box.start.soil == "dry" and soil_wanted(box) != DRY


def _do(a: Answer, box: Box) -> str:
    """What to do, for the short screen."""
    pour = f"Pour {ml(a.value)} a day, all over the soil." if a.value >= LEAST_ML else "Pour nothing on the soil."
    wait = first_drain(a)
    if not wait and clearly_over(a):
        most = a.window["most_airy"]
        over = f"more than {ml(most)} is" if most >= LEAST_ML else "any pour is"
        pour = f"{pour[:-1]}, but not for long: over {a.window['days']} days {over} too wet."
    soak = "Soak the dry soil once first (terralab soak)." if _soak_first(box) and not wait else ""
    before = [text for text in (f"{wait}." if wait else "", a.details["warmth_first"], soak) if text]
    return " Then: ".join([*before, pour])


def clearly_over(a: Answer) -> bool:
    """Whether the pour is more than roots and reservoir bear for weeks, by more than a jug and a hand are off."""
    most = a.window["most_airy"]
    if most is None or a.window["most_is_open"]:
        return False
    return a.value > (1.0 + MUCH_SHARE) * most + NARROW_ML


def _wrong(a: Answer, box: Box, heat: Heat, gap: float, outside: str) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(a.first)
    if wrong:
        return verdict, wrong
    if a.window["least"] is None:
        return Verdict.NOTHING_WORKS, [f"no daily pour works for {a.window['days']} days: {a.window['why']}."]
    if outside:
        return (Verdict.TOO_DRY if gap < 0 else Verdict.TOO_DAMP), [outside, *clauses(a.alternative)]
    return nothing_today(a.first, heat)


def _pour(a: Answer, box: Box) -> str:
    room = room_in_words(box.room.now)
    wait = first_drain(a)
    lead = f"{wait}. Then: " if wait else ""
    if a.value >= LEAST_ML:
        return f"{lead}Pour {ml(a.value)} a day ({likely(ml(a.low), ml(a.high))}) in the room as described ({room})."
    most = f" (at most {ml(a.high)})" if a.high >= LEAST_ML else ""
    return f"{lead}{ml(0.0)}: nothing needs to be poured{most} in the room as described ({room})."


def _window(a: Answer, box: Box) -> list[str]:
    w = a.window
    if w["least"] is None:
        none = f"No daily pour works for {w['days']} days: {w['why']}."
        return [f"{none} {ml(a.value)} a day only make up for what the soil loses." if a.value >= LEAST_ML else none]
    end = f"at least {ml(w['most'])}" if w["most_is_open"] else ml(w["most"])
    works = f"Anything from {ml(w['least'])} to {end} a day works"
    if not w["most_is_open"] and ml(w["least"]) == end:
        works = f"Only {end} a day works" if w["most"] >= LEAST_ML else "Only to pour nothing works"
    out = [f"{works} for {w['days']} days. It keeps: {w['keeps']}."]
    if clearly_over(a):
        out.append(
            f"Mind that {ml(a.value)} is more than that: it replaces what the soil gives off, but over {w['days']} days the "
            "roots lose their air or the water below comes near the mesh. Pour less, or draw water off below more often."
        )
    if w["least_is_none"]:
        out.append(unpoured_words(w["unpoured"], bool(box.routine.sprays or box.routine.mists)))
    return out


def _air(a: Answer) -> str:
    parts = []
    for part, rh, warm in (("day", a.rh_day, a.temp_day), ("night", a.rh_night, a.temp_night)):
        parts.append(
            f"{rh['mean']:.0f} % at {quantity('°C', '.1f', warm['mean'])} by {part} (likely "
            f"{wording.span(rh['mean_low'], rh['mean_high'])} %, and over the {part} {wording.span(rh['low'], rh['high'])})"
        )
    return f"Humidity then: {', '.join(parts)}."


def _wanted(a: Answer, target: HumidityTarget, heat: Heat) -> str:
    h = a.hours_in_target
    return (
        f"Wanted: {target_in_words(target, heat.wanted)}. Hours a day inside: {h['day inside']:.1f} of the day, {h['night inside']:.1f} of "
        f"the night (too dry {h['day too dry'] + h['night too dry']:.1f}, too damp "
        f"{h['day too damp'] + h['night too damp']:.1f})."
    )


def _season(season: str, s: Mapping) -> str:
    return (
        f"{season} ({s['room']}{'' if s['own'] else ', a default'}) {ml(s['value'])} a day "
        f"({likely(ml(s['low']), ml(s['high']), '{} to {}')}), {s['rh_day']:.0f} % at {quantity('°C', '.1f', s['temp_day'])} by "
        f"day, {s['rh_night']:.0f} % at {quantity('°C', '.1f', s['temp_night'])} by night"
    )


def _where(a: Answer, box: Box) -> str:
    b = a.budget_ml_per_day
    ways = ", ".join(f"{ml(b[key])} {words}" for key, words in ways_out().items() if b.get(key, 0.0) >= LEAST_ML)
    gone = ways or "almost nothing leaves"
    drained = b["drained into the reservoir"] if box.enclosure.drainage is not None else 0.0
    moved = (
        f"{ml(drained)} drain into the layer below"
        if drained > -LEAST_ML
        else f"{ml(-drained)} rise from the layer below"
    )
    below = f"; {moved}." if box.enclosure.drainage is not None else ". There is no drainage layer."
    return f"Where it goes, a day: {gone}; {ml(b['condensed and returned'])} condense on the glass and come back{below}"
