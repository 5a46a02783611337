"""The automatic watering as statements."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.draws import drawn_words, left_out_words
from terralab.answers.common.heat_words import clauses, warmth_line
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.words import RANGE, amount_span, ml, target_in_words
from terralab.answers.mister.below import LEAST_BETWEEN_DAYS, WATCHED_DAYS, Below
from terralab.answers.mister.choices import DRIP_H, Choice, Drip, Span
from terralab.answers.mister.choices import Kind as Named
from terralab.answers.mister.plan import Nozzles, Plan
from terralab.answers.mister.scan import GAIN_H, LEAST_DRY_H, Base
from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, hot_words
from terralab.describe.seasons import room_in_words, room_of
from terralab.quantities import as_typed, column, quantity, unit_word
from terralab.units import clock

ASKED = "which automatic watering?"
UNIT = "ml a day"
NAME_WIDE, CELL_WIDE = 26, 7  # characters; the table then fits a terminal of 80
LISTED = 4  # bursts whose hours are listed one by one
BURIED = (
    "Nothing that will need service may be buried in the drainage layer or in the soil: nozzles clog with lime and roots, "
    "valves stick, joints leak. Keep nozzles, emitters, joints, pump and sensors where a hand reaches them without digging "
    "(common practice, no source)."
)
WHY_NAMED = {
    Named.BALANCED: "it brings nearly all that can be gained with few wet hours and little water",
    Named.GENTLE: "of these it has the fewest wet hours, and still brings half or more of what can be gained",
    Named.DAMPEST: "of these it brings the most hours in the band",
}


def mister_statements(
    a: Answer,
    box: Box,
    base: Base,
    before: Below,
    choices: Sequence[Choice],
    drip: Drip | None,
    without: Mapping[str, Span],
    now: Mapping[str, Span] | None,
    seen: SeenAir,
    days: int,
) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states.

    `before`, `without`: the box without a mister; `now`: as it is described, None where nothing is sprayed or misted.
    """
    best = choices[0]
    verdict, wrong = _wrong(best, seen, days)
    title = f"{box.name}: {ASKED}" if base.season == "now" else f"{box.name}, {base.season}: {ASKED}"
    out = state(Kind.TITLE, title, views=EVERYWHERE)
    out += brief(
        best.record.box,
        "mister",
        _do(best, days),
        f"{RANGE} are {_span_h(best.spans['inside_h'])} a day in the band ({_span_h(without['inside_h'])} without), with "
        f"{_wet(box)} wet for {_span_h(best.spans['wet_h'])}.",
        seen.lines(" then"),
        wrong,
        a.measure_next,
        first=seen.heat.hot or seen.heat.cold,
        warm=seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    out += state(Kind.DO, _do(best, days))
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(Kind.SURE, _sure(a))
    out += state(Kind.DRAWS, left_out_words(a.spread))
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.WINDOW, *(_choice(one, box, days) for one in choices))
    out += state(Kind.ALTERNATIVE, _drip_words(drip, days))
    out += state(Kind.AIR, seen.sentence(" then"))
    out += state(Kind.WARMTH, warmth_line(seen.heat, " then"))
    out += state(Kind.WANTED, f"Wanted: {target_in_words(base.target, seen.heat.wanted)}.")
    out += state(Kind.WHERE, _where(best, base))
    out += state(Kind.LEVEL, _level(best, before))
    out += state(Kind.MISHAP, _stuck(best, days))
    out += state(Kind.EXPLAINED, _switch(choices), _hours(base), _replaced(box, base, best, now), BURIED, _tank(base))
    out += state(Kind.SEASONS, _seasons(a))
    out += state(Kind.TABLE, _heading(box), under=_rows(choices, drip, without, now, days), views=View.ALL)
    out += state(Kind.LEGEND, _legend(box), views=View.ALL)
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _wrong(best: Choice, seen: SeenAir, days: int) -> tuple[Verdict, list[str]]:
    verdict, wrong = from_box(seen.first)
    if wrong:
        return verdict, wrong
    if seen.outside:
        return (Verdict.TOO_DRY if seen.dry else Verdict.TOO_DAMP), [seen.outside]
    if _too_much(best, days):
        return Verdict.LAYER_TOO_THIN, clauses(_stuck(best, days))
    return nothing_today(seen.first, seen.heat)


def _too_much(best: Choice, days: int) -> bool:
    """Whether the tank holds more than fits under the mesh, or under the soil without a layer."""
    return best.below.fits_l is not None and best.tank_l(days) > best.below.fits_l


def _do(best: Choice, days: int) -> str:
    beside = f"Pour {ml(best.pour_ml)} a day as well." if best.pour_ml >= 1.0 else "Pour nothing more."
    return (
        f"With {nozzle_words(best.plan.nozzles)} mist {plan_words(best.plan)}: {ml(best.spans['ml'][1])} a day, "
        f"{_tank_to_take(best, days)}. {beside}"
    )


def _tank_to_take(best: Choice, days: int) -> str:
    """The tank for so many days; where it could flood the box, the largest that cannot and how often that is filled."""
    if _too_much(best, days):
        return f"a tank of at most {litres(best.below.fits_l)}, filled every {_holds(best, days)} (a larger one could flood it)"
    return f"{litres(best.tank_l(days))} of tank for {wording.days(days)}"


def _holds(best: Choice, days: int) -> str:
    return wording.days(max(1, int(days * best.below.fits_l / best.tank_l(days))))


def litres(value: float) -> str:
    """The mark of a tank or a layer in litres."""
    return quantity("l", ".1f", value)


def plan_words(plan: Plan) -> str:
    """When it bursts and how long: "10 s at 20:00 and 02:00, only under 91 %"."""
    only = "" if plan.control is None else f", only while the air is under {plan.control.on_at:.0f} %"
    return f"{plan.seconds} s {_at(plan.hours)}{only}"


def _at(hours: Sequence[int]) -> str:
    times = [clock(3600.0 * hour) for hour in hours]
    gaps = {(b - a) % 24 for a, b in pairwise(hours)}
    if len(hours) >= LISTED and len(gaps) == 1:
        gap = gaps.pop()
        return f"every {'hour' if gap == 1 else f'{gap} h'} from {times[0]} to {times[-1]}"
    return f"at {times[0]}" if len(times) == 1 else f"at {', '.join(times[:-1])} and {times[-1]}"


def nozzle_words(nozzles: Nozzles) -> str:
    """How many nozzles, and ml a minute of each."""
    each = quantity("ml/min", ".0f", nozzles.ml_min)
    return f"a nozzle of {each}" if nozzles.count == 1 else f"{nozzles.count} nozzles of {each} each"


def _wet(box: Box) -> str:
    return "leaves" if box.enclosure.plants is not None else "the front pane"


def _span_h(span: Span) -> str:
    low, high = f"{span[0]:.0f}", f"{span[2]:.0f}"
    return f"{high} h" if low == high else f"{low} to {high} h"


def _about_h(span: Span) -> str:
    return f"{span[1]:.1f} h ({_span_h(span)})"


def reason_words(base: Base, best: Choice, without: Mapping[str, Span]) -> str:
    """Why the balanced plan, in numbers."""
    return (
        f"Without spraying or misting the air is too dry for {_about_h(without['dry_h'])} a day; with this it is for "
        f"{_about_h(best.spans['dry_h'])}, and too damp for {_about_h(best.spans['damp_h'])}. Draw by draw it brings "
        f"{_about_h(best.spans['gain_h'])} a day more in the band. It is named as {' and '.join(best.kinds)}: "
        f"{WHY_NAMED[best.kinds[0]]}."
    )


def _sure(a: Answer) -> str:
    return f"The ranges hold {RANGE}: {drawn_words(a.spread)}. They need {amount_span(a.low, a.high, 'ml')} a day of mist; the tank is for the most of it."


def _choice(one: Choice, box: Box, days: int) -> str:
    names = " and ".join(str(kind) for kind in one.kinds)
    why = "; ".join(WHY_NAMED[kind] for kind in one.kinds)
    heat = _warm_of(one)
    return (
        f"{names[:1].upper()}{names[1:]}: {plan_words(one.plan)}, {ml(one.spans['ml'][1])} a day, tank {litres(one.tank_l(days))}, "
        f"pour {ml(one.pour_ml)}. In the band {_about_h(one.spans['inside_h'])} a day, {_wet(box)} wet {_about_h(one.spans['wet_h'])}; "
        f"{heat}. Named since {why}."
    )


def _warm_words(one: Choice) -> str:
    return " and ".join(f"{quantity('°C', '.1f', one.warm[part])} by {part}" for part in ("day", "night"))


def _warm_of(one: Choice) -> str:
    """Humidity and temperature by day and by night of two weeks of a choice."""
    return " and ".join(
        f"{one.air[part]['mean']:.0f} % at {quantity('°C', '.1f', one.warm[part])} by {part}"
        for part in ("day", "night")
    )


def _drip_words(drip: Drip | None, days: int) -> str:
    if drip is None:
        return "A drip on the soil would have nothing to do: no pour is needed."
    minutes = quantity("ml/min", ".0f", drip.ml_min)
    emitters = "an emitter" if drip.emitters == 1 else f"{drip.emitters} emitters"
    each = "" if drip.emitters == 1 else " each"
    span = (
        f"{60.0 * drip.minutes / len(DRIP_H):.0f} s" if drip.minutes < 4.0 else f"{drip.minutes / len(DRIP_H):.0f} min"
    )
    return (
        f"A drip on the soil instead: {emitters} of {minutes}{each} for {span} at "
        f"{' and '.join(clock(3600.0 * hour) for hour in DRIP_H)}, {ml(drip.ml)} a day, {litres(drip.tank_l(days))} of tank for "
        f"{wording.days(days)}. It does what the pour does and wets no leaf, but no more for the air: in the band "
        f"{_about_h(drip.spans['inside_h'])} a day. It gives no drops to drink from."
    )


def _where(best: Choice, base: Base) -> str:
    parts = ", ".join(
        f"{ml(best.lands[where])} {words}"
        for where, words in (
            ("leaves", "land on leaves"),
            ("glass", "on glass"),
            ("soil", "on the ground"),
            ("air", "float"),
        )
    )
    pours = (
        f"The pour goes from {ml(base.pour_ml)} to {ml(best.pour_ml)} a day"
        if base.pour_ml >= 1.0
        else "No pour was needed"
    )
    vapour = (
        f"{ml(best.vapour_ml)} a day more leave the box as vapour"
        if best.vapour_ml >= 0.5
        else "hardly more leaves as vapour"
    )
    return f"Of a day's mist {parts}. {pours}, and {vapour}: so much of it is for the air, the rest is watering."


def _level(best: Choice, before: Below) -> str:
    if best.below.fits_l is None:
        return (
            "There is no drainage layer: what the soil cannot hold stays in its lowest part or leaves by a drain hole."
        )
    now, then = (_siphon(one.every_days) for one in (before, best.below))
    arrives = (
        f"{ml(best.below.ml)} a day arrive under the mesh"
        if best.below.ml >= 0.5
        else "No water gathers under the mesh"
    )
    rhythm = f"{then}" + (", as without a mister" if now == then else f" (without a mister: {now})")
    return (
        f"{arrives}: {rhythm}. It was run for {WATCHED_DAYS} days without the roots running short of air, the top drying out "
        f"or water at the mesh; siphoning more often than every {LEAST_BETWEEN_DAYS:.0f} days would have ruled it out."
    )


def _siphon(every: float | None) -> str:
    return "nothing to siphon within a year" if every is None else f"siphon every {wording.days(int(every))}"


def _stuck(best: Choice, days: int) -> str:
    tank = litres(best.tank_l(days))
    if best.below.fits_l is None:
        return f"If it sticks on, the whole tank ({tank}) goes into soil without a layer below: a smaller tank is the surer one."
    fits = litres(best.below.fits_l)
    if _too_much(best, days):
        return (
            f"A tank for {wording.days(days)} ({tank}) would end in the box if the mister sticks on, and only {fits} fit safely under "
            f"the mesh, where it was siphoned before. Take a tank of no more than that and fill it every {_holds(best, days)}."
        )
    return f"If it sticks on, the whole tank ({tank}) ends in the box; {fits} fit safely under the mesh where it was siphoned before."


def _switch(choices: Sequence[Choice]) -> str:
    one = next((one for one in choices if one.plan.control is not None), None)
    if one is None:
        return (
            "No humidity switch is needed: none that was tried does better than bursts by the clock. A switch helps most "
            "where the room changes from week to week; then give it the same bursts, so that it can only leave some out."
        )
    control, pause = one.plan.control, one.plan.pause_h
    lead = "Set" if one is choices[0] else f"For the {one.kinds[0]} choice set"
    return (
        f"{lead} the humidity switch to {one.plan.set_point:.0f} % with {control.hysteresis:.0f} points between on and off: a burst "
        f"begins only under {control.on_at:.0f} % and is then finished. Lock-out: no second burst within "
        f"{wording.days(pause, 'hour')}, which the clock sees to. The air is then at {_warm_words(one)}. Hang its sensor in the shade "
        "and out of the spray, and check it with salt: household sensors are 3 to 5 points off and stick near saturation (common "
        "practice, no source)."
    )


def _hours(base: Base) -> str:
    if not hot_at_lid(base.box):
        return ""
    free = len(base.hours)
    return (
        f"It rests while {hot_words(base.box)} is on, for an hour after and half an hour before: cold water cracks hot glass. That "
        f"leaves {free} of the day's 24 full hours to begin a burst."
    )


def _replaced(box: Box, base: Base, best: Choice, now: Mapping[str, Span] | None) -> str:
    gone = ["all hand-spraying"] if box.routine.sprays else []
    gone += [f'the mister "{mist.name}" as it is set now' for mist in box.routine.mists]
    instead = f"It takes the place of {' and of '.join(gone)}" if gone else ""
    if gone and now is not None:
        instead += (
            f". As that is now, it is {_about_h(now['inside_h'])} a day in the band with {_wet(box)} wet for "
            f"{_about_h(now['wet_h'])}. "
        )
        if best.spans["inside_h"][1] - now["inside_h"][1] < GAIN_H:
            instead += "So the mister brings no more than that for the air: it only saves the work. "
    what = "Pouring goes on by hand, or by a drip" if best.pour_ml >= 1.0 else "No pour is needed beside it"
    return f"{instead}{what}; siphoning, dish and doors stay as described."


def _tank(base: Base) -> str:
    warm = room_of(base.box, base.season).temperature.range()[1]
    return (
        f"The tank gets as warm as the room, up to {as_typed('temperature', 'C', warm)}, and warmer beside lamps; Legionella grows "
        f"from about {quantity('°C', '.0f', 20.0)} on (from memory). What it lasts for is no reason to let water stand: it is renewed every week while somebody is "
        "at home."
    )


def _seasons(a: Answer) -> str:
    parts = (
        f"in {name} {one['inside_h']:.1f} h a day in the band, {one['rh_day']:.0f} % at {quantity('°C', '.1f', one['temp_day'])} by "
        f"day and {one['rh_night']:.0f} % at {quantity('°C', '.1f', one['temp_night'])} by night"
        for name, one in a.seasons.items()
    )
    return f"The same plan with every number typical: {'; '.join(parts)}. Ask for a season of its own before it begins."


def _heading(box: Box) -> str:
    return "Side by side, the middle of the draws:"


def _rows(
    choices: Sequence[Choice], drip: Drip | None, without: Mapping[str, Span], now: Mapping[str, Span] | None, days: int
) -> list[str]:
    cells = lambda *texts: "".join(column(text, CELL_WIDE) for text in texts)  # noqa: E731
    bare = lambda value: quantity("ml", ".0f", value, bare=True)  # noqa: E731
    tank = lambda value: quantity("l", ".1f", value, bare=True)  # noqa: E731

    def row(name: str, spans: Mapping[str, Span], water: float, pour: float, held: float | None) -> str:
        hours = (f"{spans[key][1]:.1f}" for key in ("inside_h", "dry_h", "damp_h", "wet_h"))
        return f"{wording.cut(name, NAME_WIDE):<{NAME_WIDE}}" + cells(
            *hours, bare(water), bare(pour), "-" if held is None else tank(held)
        )

    head = f"{'':<{NAME_WIDE}}" + cells("in", "dry", "damp", "wet", unit_word("ml"), "pour", unit_word("l"))
    out = [head, row("without a mister", without, 0.0, choices[0].without_ml, None)]
    if now is not None:
        out.append(row("as sprayed or misted now", now, now["ml"][1], choices[0].without_ml, None))
    for one in choices:
        name = " and ".join(str(kind) for kind in one.kinds)
        out.append(row(name, one.spans, one.spans["ml"][1], one.pour_ml, one.tank_l(days)))
    if drip is not None:
        out.append(row("drip on the soil", drip.spans, drip.ml, 0.0, drip.tank_l(days)))
    return out


def _legend(box: Box) -> str:
    return (
        f"in, dry, damp: hours a day inside the band, too dry, too damp. wet: hours a day with {_wet(box)} wet. Then mist or drip a day, the "
        "pour beside it a day, and the tank for the days wanted."
    )


def assumed(box: Box, base: Base, band: str) -> tuple[str, ...]:
    """What is taken for granted."""
    n = base.nozzles
    room = room_in_words(room_of(box, base.season))
    return (
        f"The humidity wanted: {band}.",
        f"{nozzle_words(n)[:1].upper()}{nozzle_words(n)[1:]} ({n.source}): catch and weigh one minute of yours. Drops land on leaves, "
        "glass and ground at once; how they share is a guess.",
        f"Leaves are to be dry for at least {LEAST_DRY_H:.0f} hours a day (common practice, no source). What brings less than "
        f"{GAIN_H:.0f} hour more in the band is no gain. Bursts of 5 to 80 seconds, one to twelve a day, were tried.",
        f"The room: {room}. The soil begins as it is to be kept.",
    )
