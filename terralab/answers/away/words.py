"""An absence as statements: what to prepare, how sure it is, what happens when, and that no model looks after animals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terralab import wording
from terralab.answers.away.absence import DISH_DRY, HARMS, HIDE_DRY, LEAVES_D, SURE, TANK, TOP_DRY, WILTING, Branch
from terralab.answers.away.judged import STAY, Tried
from terralab.answers.away.orders import day_count, joined, name_of, order, span_words, visits_words
from terralab.answers.away.preparations import Prep, Visit
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import TOP_CM, kept_dry
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.limits import OUT_OF_BAND
from terralab.answers.common.rounding import LEAST_ML
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.temperature import degrees
from terralab.answers.common.words import RANGE, ml
from terralab.answers.water.misted import allowed_ml
from terralab.describe.box import Box
from terralab.describe.wanted import PLANTS
from terralab.quantities import quantity

ROOMS = {"now": "in the room as described", "winter": "in winter", "summer": "in summer"}
DAILY = "Somebody must look at animals every day"
WRONG = {
    "too hot": Verdict.TOO_HOT, "too cold": Verdict.TOO_COLD, "too dry": Verdict.TOO_DRY, "too wet": Verdict.TOO_DAMP,
}  # fmt: skip
CHANCE = {"in the band": "always in the band", "as with you there": "with air no worse than while you are there"}


def away_statements(
    a: Answer,
    box: Box,
    base: Branch,
    best: Branch,
    tried: Sequence[Tried],
    chosen: Sequence[Tried],
    visits: Sequence[Visit],
    seen: SeenAir,
) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states. `base`: as asked, `best`: with what is recommended."""
    days, where = a.details["days"], ROOMS[a.details["season"]]
    verdict, wrong = _wrong(a, box, seen)
    out = state(Kind.TITLE, f"{box.name}: can it be left alone for {wording.days(days)}?", views=EVERYWHERE)
    out += brief(
        box,
        "away",
        _do(a, box, chosen, visits, seen),
        _sure(a),
        seen.lines(" at the end"),
        wrong,
        first=seen.heat.hot or seen.heat.cold or any(one.verdict is Verdict.DANGEROUS for one in seen.first),
        warm=seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.DO, _do(a, box, chosen, visits, seen), *_orders(box, chosen))
    out += state(Kind.WINDOW, longest_words(a))
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += _chances(a, where)
    out += _things(a, box)
    out += state(Kind.LEVEL, level_words(a))
    out += _table(box, tried)
    out += state(Kind.DRAWS, left_out_words(a.spread))
    out += state(Kind.AIR, seen.sentence(" in the last three days"), _likely_air(a))
    out += state(Kind.WARMTH, warmth_line(seen.heat, " in the last three days"))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def of_100(chance: float) -> str:
    """A share of the draws as boxes of a hundred."""
    return f"{100.0 * chance:.0f}"


def _do(a: Answer, box: Box, chosen: Sequence[Tried], visits: Sequence[Visit], seen: SeenAir) -> str:
    """What to do, in one or two sentences, for the short screen."""
    days, chance = a.details["days"], a.details["chances"]["prepared"]["out of danger"]
    if seen.heat.danger:
        return "Do not leave it alone: it is dangerous in there whatever is prepared for the water."
    if any(one.verdict is Verdict.DANGEROUS for one in seen.first):
        return "Do not leave it alone before what is dangerous here is put right."
    if box.start.soil == "dry" and not kept_dry(box):
        return (
            "Do not leave it yet: the soil is dry now. Soak it first (terralab soak), and ask again once it is moist."
        )
    asked = f"Your helper: {visits_words(box, visits)}. " if a.details["visits_asked"] else ""
    if chance < SURE:
        return f"Do not leave it alone for {wording.days(days)}: in too many such boxes it gets {worst(a)}."
    warmth = " See to the warmth first." if seen.heat.hot or seen.heat.cold or seen.hot else ""
    orders = joined([order(box, one.prep) for one in chosen])
    if orders:
        return f"{asked}{orders[:1].upper()}{orders[1:]}.{warmth}"
    if not a.details["asked_to_prepare"]:
        return f"{asked}The water lasts for {wording.days(days)}.{warmth}"
    return f"{asked}Nothing that can be prepared helps clearly: the water lasts for {wording.days(days)}.{warmth}"


def worst(a: Answer) -> str:
    """The danger that most boxes come to."""
    chances = a.details["chances"]["prepared"]
    return min(HARMS, key=lambda name: chances[f"not {name}"])


def _orders(box: Box, chosen: Sequence[Tried]) -> list[str]:
    return [f"{order(box, one.prep)[:1].upper()}{order(box, one.prep)[1:]}: {gain_words(one)}." for one in chosen]


def gain_words(one: Tried) -> str:
    """What a preparation gains, as a clause."""
    parts = []
    danger = sum(one.gains[name] for name in HARMS)
    others = {name: gain for name, gain in one.gains.items() if name not in HARMS}
    for gain, words in ((danger, "stay out of danger"), *((gain, STAY[name]) for name, gain in others.items())):
        if round(100.0 * gain):
            parts.append(f"{abs(100.0 * gain):.0f} {'more' if gain > 0.0 else 'fewer'} of 100 {words}")
    if abs(one.days) >= 0.05:
        parts.append(f"the first trouble comes {abs(one.days):.1f} days {'later' if one.days > 0.0 else 'sooner'}")
    return joined(parts) or "no difference"


def _sure(a: Answer) -> str:
    chances = a.details["chances"]["prepared"]
    before = a.details["chances"]["as_asked"]
    was = lambda name: "" if before[name] == chances[name] else f" ({of_100(before[name])} unprepared)"  # noqa: E731
    return (
        f"of 100 such boxes {of_100(chances['out of danger'])} stay out of danger{was('out of danger')}, in "
        f"{of_100(chances['as with you there'])}{was('as with you there')} the air stays as good as with you there."
    )


def longest_words(a: Answer) -> str:
    """How long it can be left: the longest absence with which nine of ten boxes stay out of danger."""
    w = a.window
    more = lambda days: f"{days} days or more (no longer was run)" if days >= w["run_days"] else wording.days(days)  # noqa: E731
    helped = " with your helper" if a.details["visits_asked"] else ""
    many = f"{100 * SURE:.0f} of 100 such boxes"
    text = f"{many} stay out of danger for {more(w['longest_days'])}{helped}"
    if w["longest_days"] == 0:
        text = f"Not even for one day do {many} stay out of danger{helped}"
    if w["prepared"] != w["longest_days"]:
        text += f", and for {more(w['prepared'])} with what is recommended here"
    span = a.details["days_until_prepared"].get(DISH_DRY, (None, None, None))
    dish = (
        "" if span[0] is None else f"; but the dish runs dry {span_words(span, w['run_days'])} if nobody fills it then"
    )
    return f"{text}{dish}. That is about soil, water and warmth, not about animals. {DAILY}."


def reason_words(box: Box, days: int, base: Branch, best: Branch, chosen: Sequence[Tried]) -> str:
    """What comes first, and why it is worth preparing something or not."""
    told = f"{'With nothing prepared' if chosen else 'Here'} {_first_harm(base)}"
    names = [name for name in base.harms if (base.first((name,)) < days).any()]
    which = f"; it is {joined([thing_words(name) for name in names])}" if names else ""
    band = base.chance(OUT_OF_BAND, days)
    home = base.chance(tuple(f"worse: {name}" for name in OUT_OF_BAND), days)
    at_home = (
        " Many of them leave the band with you there too, so it also counts whether the air gets worse."
        if home > band + 0.1
        else ""
    )
    return f"{told}{which}.{at_home}"


def _first_harm(base: Branch) -> str:
    """When the first thing turns dangerous or runs dry, as a clause."""
    low, middle, _ = span = base.span(base.harms)
    if low is None:
        return f"nothing turns dangerous or runs dry within the {base.days} days that were run"
    if middle is None:
        return (
            f"nothing turns dangerous or runs dry within {base.days} days in most boxes, but something does after "
            f"{day_count(low)} in the first tenth"
        )
    return f"the first thing to turn dangerous or run dry does so {span_words(span, base.days)}"


def thing_words(name: str) -> str:
    """What may happen, as a noun."""
    if name == TOP_DRY:
        return f"the top {quantity('cm', 'g', TOP_CM)} of the soil dry"
    if name == WILTING:
        return "plants that wilt"
    if name.startswith(TANK):
        return f'the tank of "{name.removeprefix(TANK)}" dry'
    return f"the {name}" if name in (DISH_DRY, HIDE_DRY) else name


def _chances(a: Answer, where: str) -> list[Statement]:
    before, after = a.details["chances"]["as_asked"], a.details["chances"]["prepared"]
    lines = []
    for name in before:
        with_it = f", {of_100(after[name])} with what is recommended" if after[name] != before[name] else ""
        lines.append(f"{CHANCE.get(name, name)}: {of_100(before[name])} of 100{with_it}")
    text = (
        f"The chance over {wording.days(a.details['days'])} {where}: how many of 100 boxes that fit this description "
        f"({a.spread['ran']} were drawn) pass no limit from leaving to return. It says how much the description leaves open, not how "
        "often something breaks."
    )
    return state(Kind.SURE, text, under=lines)


def _things(a: Answer, box: Box) -> list[Statement]:
    run, prepared = a.details["run_days"], a.details["days_until_prepared"]
    lines = []
    for name, span in a.details["days_until"].items():
        if name.startswith("worse: "):
            continue
        air = name in OUT_OF_BAND
        if air and span[0] is None:
            continue
        what = f"air {name} for hours" if air else thing_words(name)
        then = "" if prepared[name] == span else f"; prepared: {span_words(prepared[name], run)}"
        lines.append(f"{what}: {span_words(span, run)}{then}")
    if a.details["dish_ml_a_day"] >= LEAST_ML and box.enclosure.dish is not None:
        lines.append(
            f"the dish gives off {ml(a.details['dish_ml_a_day'])} a day; a second one as flat dries on the same day, and a deep "
            "one can drown small animals"
        )
    return state(Kind.EXPLAINED, f"Days until it happens, the middle and where {RANGE} lie:", under=lines)


def season_words(a: Answer) -> str:
    """An absence in the room of one season, in a sentence: the chances, the air with its °C, and the longest."""
    before = a.details["chances"]["as_asked"]
    parts = [
        f"{rh['mean']:.0f} % at {degrees(warm['mean'])} by {part}"
        for part, rh, warm in (("day", a.rh_day, a.temp_day), ("night", a.rh_night, a.temp_night))
    ]
    where = ROOMS[a.details["season"]]
    return (
        f"{where[:1].upper()}{where[1:]}: with nothing prepared {of_100(before['out of danger'])} of 100 such boxes stay out of "
        f"danger for {wording.days(a.details['days'])}, and {longest_cell(a)} is the longest for nine in ten; at the end the air "
        f"is at {' and '.join(parts)}."
    )


def longest_cell(a: Answer) -> str:
    """The longest absence for a table."""
    days = a.window["longest_days"]
    return f"{days} days or more" if days >= a.window["run_days"] else wording.days(days)


def level_words(a: Answer) -> str:
    """Where the water below stands on the return; "" without a layer."""
    if a.details["gap_cm"] is None:
        return ""
    low, middle, high = a.details["gap_cm"]
    span = "" if wording.level(low) == wording.level(high) else f" (likely {wording.levels(low, high)})"
    return f"On your return the water below stands {wording.level(middle)}{span}."


def _table(box: Box, tried: Sequence[Tried]) -> list[Statement]:
    if not tried:
        return []
    rows = []
    for one in tried:
        if one.recommended:
            rows.append(f"{name_of(one.prep.kind)}, {one.prep.minutes:.0f} min: recommended; {gain_words(one)}")
        else:
            what = "" if one.branch is None else f" ({order(box, one.prep)}: {gain_words(one)})"
            still = (
                f" for soil and air ({DAILY[0].lower()}{DAILY[1:]} all the same)" if one.prep.kind is Prep.VISIT else ""
            )
            rows.append(
                f"{name_of(one.prep.kind)}, {one.prep.minutes:.0f} min: not recommended{still}, {one.why_not}{what}"
            )
    return state(
        Kind.TABLE,
        "What can be prepared, the most useful first, with the time it takes (a guess):",
        under=rows,
        views=View.WHY | View.ALL,
    )


def _likely_air(a: Answer) -> str:
    likely = a.details["rh_likely"]
    parts = [
        f"{wording.span(low, high)} % at {quantity('°C', '.0f', *_ends(a, part))} by {part}"
        for part, (low, _, high) in likely.items()
    ]
    return f"In {RANGE} the mean at the end is {' and '.join(parts)}."


def _ends(a: Answer, part: str) -> tuple[float, float]:
    found = a.heat["likely"]
    return tuple(found[part]) if found else (a.heat[f"air_{part}"]["mean"],) * 2


def _wrong(a: Answer, box: Box, seen: SeenAir) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(seen.first)
    if wrong:
        return verdict, wrong
    chances: Mapping[str, float] = a.details["chances"]["prepared"]
    if chances["out of danger"] < SURE:
        name = worst(a)
        day = a.details["days_until_prepared"]
        soonest = [day[one][0] for one in HARMS[name] if one in day and day[one][0] is not None]
        many = f"{of_100(1.0 - chances[f'not {name}'])} of 100 such boxes"
        if soonest and min(soonest) < 1.0:
            return WRONG[name], [f"it is {name} in {many}, in some from the first day on."]
        return WRONG[name], [f"it gets {name} in {many}{f', from day {min(soonest):.0f} on' if soonest else ''}."]
    dry = [
        f"{thing_words(name).removesuffix(' dry')} runs dry before you return in {of_100(1.0 - chance)} of 100 such boxes."
        for name, chance in a.details["not_dry"].items()
        if chance < SURE
    ]
    if dry:
        return Verdict.TOO_DRY, dry
    if seen.outside:
        return (Verdict.TOO_DRY if seen.dry else Verdict.TOO_DAMP), [f"at the end {seen.outside}"]
    return nothing_today(seen.first, seen.heat)


def assumed(box: Box, days: int) -> tuple[str, ...]:
    """What an absence takes for granted, and what it leaves out."""
    out = [
        f"It begins with the soil as it is now and {LEAVES_D:.0f} days of your routine; the absence begins at midnight.",
        "Then nobody pours, sprays, siphons, opens a door, or fills dish and tanks; lamps, heaters, fans and misters go on by their timers.",
        "A helper comes at ten and does no more than is said.",
        "The room is the same every day, and nothing fails: no heat wave, no power cut, no stuck device.",
    ]
    endless = [mist for mist in box.routine.mists if mist.tank_ml is None]
    if endless:
        most = sum(allowed_ml(mist) for mist in endless)
        out.append(
            f"Misters and foggers whose tank is not described never run dry; they may take up to {ml(most)} a day, "
            f"{ml(days * most)} in {wording.days(days)}."
        )
    if animals(box):
        out.append("Days count for soil, water and warmth alone: food and the health of animals are not in them.")
    return tuple(out)


def animals(box: Box) -> bool:
    """Whether animals may live in the box: nobody has said that only plants do."""
    return box.group not in PLANTS
