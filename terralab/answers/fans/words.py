"""The fan answer as statements: the decision first, then its reasons, how sure it is, the tables and the fresh air."""

from __future__ import annotations

from terralab import wording
from terralab.answers.common.airs import uneven_words
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import air_lines, brief, from_box, nothing_today, outside_words
from terralab.answers.common.difference import more_words
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import chance_words, place_words, warmth_line
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.optional import known
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.surfaces import too_hot_words
from terralab.answers.common.words import amount_span, ml, target_in_words
from terralab.answers.fans.alike_words import alike_in_short, alike_words
from terralab.answers.fans.choice import NOTED_K, inside
from terralab.answers.fans.compared import ROOM_WORDS, Compared
from terralab.answers.fans.faults import Fault, FaultKind
from terralab.answers.fans.fresh_air_words import fresh_air_words, renewal_words
from terralab.answers.fans.lid_words import air_of, alternative_in_short, first_lid_words
from terralab.answers.fans.places_words import places_legend, places_table, places_words, stirring_words
from terralab.answers.fans.reason_words import stirring_instead
from terralab.answers.fans.schedules import AS_DESCRIBED, NO_FAN
from terralab.answers.fans.table_words import legend, lid_table, table
from terralab.describe.box import Box
from terralab.quantities import quantity
from terralab.units import DAY_S


def fan_statements(a: Answer, c: Compared, careful: Box) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states. `careful`: the box whose cautions stand here."""
    verdict, wrong = _wrong(a, c)
    hot = too_hot_words(c.box, c.now["basking"], c.heat)
    uneven = "" if hot else uneven_words(c.now["airs"], {"day": a.rh_day, "night": a.rh_night}, c.target)
    warm = (place_words(c.heat, c.now["airs"]), chance_words(c.heat))
    out = state(Kind.TITLE, f"{c.box.name}: which fan schedule?", views=EVERYWHERE)
    out += brief(
        careful,
        "fans",
        _do(a, c),
        _sure(a, c),
        air_lines({"day": a.rh_day, "night": a.rh_night}, c.heat, c.target),
        wrong,
        a.measure_next,
        first=c.heat.hot or c.heat.cold,
        mind=uneven,
        warm=(hot, *warm),
    )
    out += state(Kind.WARNING, *a.first, uneven)
    out += state(Kind.HOT_PLACE, hot, *warm)
    out += state(Kind.DO, _decision(a, c))
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(Kind.EXPLAINED, *alike_words(c))
    out += state(Kind.ALTERNATIVE, a.alternative)
    out += state(Kind.WARMTH, warmth_line(c.heat, f" with {_with(c)}"))
    out += state(Kind.WRONG, *_even_so(c))
    out += state(Kind.EXPLAINED, c.details["blocked"])
    out += state(Kind.WINDOW, stirring_instead(c))
    out += state(Kind.PLACES, *places_words(c), stirring_words(c))
    out += state(Kind.SURE, *_ranges_lead(a), under=_ranges(c))
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.SEASONS, _by_season(c))
    if c.target is not None:
        out += state(Kind.WANTED, f"Wanted: {target_in_words(c.target, c.heat.wanted)}.")
    out += state(Kind.TABLE, "Side by side, in the room as described:", under=table(c), views=View.ALL)
    out += state(Kind.LEGEND, legend(c), views=View.ALL)
    out += state(Kind.TABLE, "By pane and place, in the room as described:", under=places_table(c), views=View.ALL)
    out += state(Kind.LEGEND, places_legend(c), views=View.ALL)
    if c.covers:
        out += state(Kind.TABLE, "The other lever, the lid:", under=lid_table(c), views=View.ALL)
    out += state(Kind.LEFT_OUT, *(f"Left out of the comparison, {text}." for text in c.details["left_out"]))
    out += state(
        Kind.FRESH_AIR,
        *fresh_air_words(c.box, c.source, c.none["now"], c.now, c.best["name"]),
        renewal_words(c.now),
    )
    out += state(
        Kind.ASSUMED,
        "Taken for granted: Only the fan is changed; watering, light and heat stay as described. Unless the description says "
        "so, an exchange fan does not stir the air of the box. " + " ".join(a.assumptions),
    )
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


# ---- the decision


def _plan(c: Compared, with_what: str = "") -> str:
    """The schedule itself, as an order."""
    minutes = c.best["minutes_a_day"]
    daily = f" ({minutes:.0f} minutes a day)" if 0.0 < minutes < DAY_S / 60.0 else ""
    if c.details["blocked"] and c.best["mode"] == "none":
        return "No fan can help while the box is shut."
    if c.best["name"] == AS_DESCRIBED:
        return f"Keep your fans as they are{daily}."
    return "Run no fan." if c.best["name"] == NO_FAN else f"Run: {c.best['name']}{daily}{with_what}."


def _do(a: Answer, c: Compared) -> str:
    """What to do, for the short screen."""
    plan = _plan(c, f", with {c.assumed}" if c.assumed else "")
    later = f"{plan[0].lower()}{plan[1:]}"
    if c.heat.hot:
        out = f"Move {c.heat.wanted.whose} out until it is cooler, and bring" if c.heat.danger else "Bring"
        return f"{out} the heat down: {_no_cure(c)}. Best of them: {_with(c)}."
    if c.heat.danger:
        return f"Move {c.heat.wanted.whose} to a warmer place first. Then {later}"
    if a.reachable is not False:
        return f"{plan} {alike_in_short(c)}".rstrip()
    if c.details["blocked"] and c.gap > 0.0 and (why := c.details["opening_refused"]):
        return f"Leave it shut until it is {'cooler' if c.heat.hot else 'warmer'}: opened, {why}. {plan}"
    if c.details["blocked"] and c.gap > 0.0:
        return f"Open a vent or part of the lid first; then ask again. Until then {later}"
    lid = c.first_lid
    if lid is None:
        return f"{plan} No schedule reaches the humidity wanted."
    slowly = ", step by step" if c.gap < 0 else ""
    if lid["fan"] == c.best["name"]:
        return f"{plan} {_upper(first_lid_words(c.box, lid, c.gap, fan=False))}{slowly}; then ask again."
    return f"{_upper(first_lid_words(c.box, lid, c.gap))}{slowly}; then ask again. Until then {later}"


def _upper(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _decision(a: Answer, c: Compared) -> str:
    """What to do, at length."""
    plan = _plan(c)
    if c.heat.hot:
        return f"{_upper(_no_cure(c))}; the heat itself must come down first. Of the schedules this is the best: {plan}"
    if a.reachable is not False:
        return plan
    first = ""
    if c.first_lid is not None:
        slowly = " (step by step, never under a hot lamp)" if c.gap < 0 else ""
        first = f"; {first_lid_words(c.box, c.first_lid, c.gap)}{slowly}"
    return (
        f"No schedule reaches the humidity wanted{first}. Of the schedules the best is still "
        f"{wording.points(c.gap)} too {'dry' if c.gap < 0 else 'damp'} on average. {plan}"
    )


def _no_cure(c: Compared) -> str:
    """That no schedule ends the heat, or none by as much as a keeper could see."""
    if all(row["now"]["heat"].hot for row in c.rows):
        return "no schedule keeps it cool enough"
    return f"no schedule takes it down by {quantity('K', 'g', NOTED_K)}"


def _with(c: Compared) -> str:
    return "your fans as they are" if c.best["name"] == AS_DESCRIBED else c.best["name"]


# ---- what is wrong

#: What is most wrong by the first fault that is left; all others are glass and leaves that stay wet.
_VERDICTS = {
    FaultKind.TOO_HOT: Verdict.TOO_HOT,
    FaultKind.TOO_COLD: Verdict.TOO_COLD,
    FaultKind.TOP_DRIES: Verdict.TOO_DRY,
}


def _wrong(a: Answer, c: Compared) -> tuple[Verdict, list[str]]:
    """The one thing that is most wrong under the recommended schedule, and the sentences on it."""
    verdict, wrong = from_box(a.first)
    if wrong:
        return verdict, wrong
    if a.reachable is False:
        outside = outside_words({"day": c.now["rh_day"], "night": c.now["rh_night"]}, c.target)
        return (Verdict.TOO_DRY if c.gap < 0 else Verdict.TOO_DAMP), [outside, alternative_in_short(c)]
    if c.best["mode"] == "none" and c.details["blocked"]:
        return Verdict.NOTHING_WORKS, [c.details["blocked"]]
    for room, words in ROOM_WORDS.items():
        faults: list[Fault] = c.best[room]["faults"]
        if faults:
            where = "" if room == "now" else f"{words} "
            said = " and ".join(fault.words() for fault in faults)
            return _VERDICTS.get(faults[0].kind, Verdict.TOO_DAMP), [f"even so {where}{said}."]
    return nothing_today(a.first, c.heat)


def _even_so(c: Compared) -> list[str]:
    """A sentence for each fault that the recommended schedule leaves, with the rooms in which it does."""
    rooms: dict[str, list[str]] = {}
    for room, words in ROOM_WORDS.items():
        for fault in c.best[room]["faults"]:
            rooms.setdefault(fault.words(), []).append(words)
    return [
        f"Mind that even so {' and '.join(where)} {fault}, if nothing but the fan is changed."
        for fault, where in rooms.items()
    ]


# ---- how sure


def _sure(a: Answer, c: Compared) -> str:
    """The range, for the short screen."""
    if c.target is None:
        return f"80 of 100 such boxes have {amount_span(a.low, a.high, '%')} humidity by day."
    return f"80 of 100 such boxes are as humid as wanted {amount_span(a.low, a.high, 'h')} a day."


def _ranges_lead(a: Answer) -> list[str]:
    return [
        f"How sure, over {a.spread['ran']} draws of everything uncertain, the same for all (in brackets, 80 % of them):"
    ]


def _ranges(c: Compared) -> list[str]:
    """One line for each of the best schedules: its range, how often the first is as good, and how much more water it takes."""
    ranges, chosen = c.details["ranges"], c.details["choice"]
    key, unit = ("humidity by day", "% by day") if c.target is None else ("hours in band", "h a day inside")
    out = []
    for name, found in ranges.items():
        low, middle, high = found[key]
        water = found["water ml a day"]
        share = c.details["better_than"].get(name)
        good = "as humid or more so" if c.target is None else "as good or better"
        level = "" if not known(share) else f"; {chosen} is {good} in {100 * share:.0f} % of the draws"
        dearer = c.details["dearer_than"].get(name)
        if dearer is not None:
            level += f" and takes {more_words(dearer)}"
        spread = "" if ml(water[0]) == ml(water[2]) else f" ({amount_span(water[0], water[2], 'ml')})"
        kept = "" if c.water == "of water" else f" {c.water}"
        out.append(f"{name}: {middle:.1f} {unit} ({low:.1f} to {high:.1f}), {ml(water[1])}{kept} a day{spread}{level}")
    for name, counted in c.details["unsure"].items():
        none = "" if name in ranges else "no fair range; "
        out.append(f"{name}: {none}{left_out_words(counted)}")
    return out


def _by_season(c: Compared) -> str:
    parts = []
    for room in ("winter", "summer"):
        seen, kept = c.best[room], c.details["rooms"][room]
        own = "" if kept["own"] else ", a default"
        hours = f", {inside(seen):.1f} h a day inside" if seen["hours"] else ""
        parts.append(f"{room} ({kept['room']}{own}) {air_of(seen)}{hours}, {ml(seen['water_ml'])} {c.water} a day")
    return f"By season, {c.best['name']}: {'; '.join(parts)}."
