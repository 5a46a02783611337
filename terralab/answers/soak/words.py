"""The first soak as statements."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from terralab import materials, wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, from_box, nothing_today
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.optional import known
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, state
from terralab.answers.common.words import RANGE, ml
from terralab.answers.soak.checked import CLOSE, SAFE_GAP_CM
from terralab.answers.soak.pace import MOST_S, PORTION_M, RATE_M_S, Pace
from terralab.describe.box import Box
from terralab.physics.wetting import SHUT
from terralab.quantities import quantity
from terralab.units import HOUR_S

ASKED = "how much water on day one?"
FINE_BELOW_L = 2.0  # litres below which hundredths are said
LONG_MIN = 120.0  # minutes from which hours are said


NOW = {"drained-moist": "moist", "wet": "wet", "dry": "dry"}
#: Shares as a keeper says them.
SHARES = (
    *((0.1, "a tenth"), (0.2, "a fifth"), (0.25, "a quarter"), (1 / 3, "a third"), (0.4, "two fifths"), (0.5, "half")),
    *(
        (0.6, "three fifths"),
        (2 / 3, "two thirds"),
        (0.75, "three quarters"),
        (0.8, "four fifths"),
        (0.9, "nine tenths"),
    ),
)
ANIMALS = (
    "Animals out before the first portion, and back only once the water below has been siphoned and the air has its "
    "temperature again (common practice, no source)."
)


def soak_statements(a: Answer, box: Box, seen: SeenAir | None) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states. `seen`: the air of the run that checked it, if any."""
    verdict, wrong = _wrong(a, box, seen)
    spread = _litres(a.value, a.low, a.high)
    out = state(Kind.TITLE, f"{box.name}: {ASKED}", views=EVERYWHERE)
    out += brief(
        box,
        "soak",
        _do(a, box),
        f"{RANGE} need {spread}.",
        [] if seen is None else seen.lines(" then"),
        wrong,
        a.measure_next,
        first=seen is not None and (seen.heat.hot or seen.heat.cold),
        warm=() if seen is None else seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *(() if seen is None else seen.minds))
    likely = _litres(a.value, a.low, a.high, join=" and ")
    sure = (
        f"likely between {likely}"
        if _litres(a.value, a.low) != _litres(a.value, a.high)
        else "the same in nearly all such boxes"
    )
    litres = f"{_litres(a.value, a.value)} ({sure}), {_portions(a)}, all over the soil.{_siphon(a)}"
    if not _lacks(a):
        out += state(Kind.DO, f"Nothing now: {_enough(box)}.")
        litres = f"If it stood dry: {litres}"
    out += state(Kind.DO, a.details["warmth_first"], litres)
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(Kind.EXPLAINED, f"Why this pace: {pace_words(a, box)}")
    out += state(Kind.DRAWS, left_out_words(a.spread))
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.LEVEL, _below(a, box))
    out += state(Kind.SEASONS, _seasons(a))
    if seen is not None:
        out += state(Kind.AIR, seen.sentence())
        out += state(Kind.WARMTH, warmth_line(seen.heat))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _do(a: Answer, box: Box) -> str:
    """What to do, for the short screen: soil that lacks nothing is not to be soaked."""
    pour = f"{_litres(a.value, a.value)} {_portions(a)}, all over the soil.{_siphon(a)}"
    if _lacks(a):
        first = a.details["warmth_first"]
        return f"{first} Then pour {pour}" if first else f"Pour {pour}"
    return f"Soak nothing now: {_enough(box)}. Once it has dried out: {pour}"


def _lacks(a: Answer) -> bool:
    """Whether the soil as described lacks enough for a soak."""
    return a.details["lacks_now_l"] > CLOSE * a.details["lacking_l"]


def _enough(box: Box) -> str:
    return f"the soil is described as {NOW.get(box.start.soil, box.start.soil)}"


def _near(a: Answer) -> bool:
    """Whether the water below comes near the mesh."""
    return a.window["gap_cm"] is not None and a.window["gap_cm"] < SAFE_GAP_CM


def _wrong(a: Answer, box: Box, seen: SeenAir | None) -> tuple[Verdict, list[str]]:
    if seen is None:
        return Verdict.UNKNOWN, [_below(a, box)]
    verdict, wrong = from_box(seen.first)
    if wrong:
        return verdict, wrong
    if _near(a):
        return Verdict.LAYER_TOO_THIN, [f"the layer is thin for so much at once: the water below {_comes(a)}."]
    if seen.outside:
        return (Verdict.TOO_DRY if seen.dry else Verdict.TOO_DAMP), [seen.outside]
    return nothing_today(seen.first, seen.heat)


def portions_words(window: Mapping[str, float]) -> str:
    """Portions and pauses of the `window` of a soak, in few words."""
    n = window["portions"]
    return "at once" if n == 1 else f"in {n} portions, {window['every_min']} minutes apart"


def _portions(a: Answer) -> str:
    if a.window["portions"] == 1:
        return portions_words(a.window)
    hours = a.window["hours"]
    whole = f"about {wording.days(hours, 'hour')} in all" if hours >= 1.5 else f"{60.0 * hours:.0f} minutes in all"
    each = f" of about {ml(a.window['portion_ml'])},"
    return f"{portions_words(a.window).replace(',', each, 1)} ({whole})"


def _siphon(a: Answer) -> str:
    after = a.window["siphon_after"]
    if after is not None:
        return f" Siphon after {'each portion' if after == 1 else f'every {after} portions'}."
    return " Siphon between portions." if _near(a) else ""


def _comes(a: Answer) -> str:
    gap = a.window["gap_cm"]
    if wording.under_mesh(gap):
        return f"comes within {wording.gap(gap)} of the mesh"
    return "rises to the mesh" if gap == 0.0 else f"rises to {wording.gap(gap)}"


def _below(a: Answer, box: Box) -> str:
    """What the water below does, or that no run could tell."""
    layer = box.enclosure.drainage is not None
    if a.details["unchecked"]:
        watch = "Watch the water below as you pour." if layer else "Stop when the bottom is dark."
        return f"A run could not check this, since {a.details['unchecked']}. {watch}"
    if not layer:
        does = "runs out of the drain hole" if box.enclosure.drain_hole else "stays in its bottom"
        return f"There is no drainage layer: what the soil cannot hold {does}. Stop when the bottom is dark."
    if _near(a):
        return f"Watch the water below: it {_comes(a)}. Siphon between portions."
    if a.window["siphon_after"] is not None:
        return (
            f"The layer does not take all that runs past.{_siphon(a)} The water below the mesh then comes no nearer than "
            f"{wording.gap(a.window['gap_cm'])}."
        )
    return f"The water below the mesh comes no nearer than {wording.gap(a.window['gap_cm'])}."


def _seasons(a: Answer) -> str:
    """What the season changes: what evaporates in the hours of the soak, and nothing else."""
    if a.details["unchecked"]:
        return "The season changes only what evaporates meanwhile; no run could tell how much."
    lost = {"now": a.details["evaporates_l"]} | {one: a.seasons[one]["evaporates_l"] for one in a.seasons}
    said = {one: ml(1000.0 * value) for one, value in lost.items()}
    totals = {one: _litres(a.value, a.seasons[one]["value"]) for one in a.seasons}
    return (
        f"The season changes only what evaporates from the first portion to the last: {said['now']} now, {said['winter']} in "
        f"winter, {said['summer']} in summer. That makes {totals['winter']} in winter and {totals['summer']} in summer. What "
        "evaporates later is for the daily pour (terralab water)."
    )


def _litres(of: float, *litres: float, join: str = " to ") -> str:
    """The mark of litres beside an answer of so many: tenths, or hundredths where that is little."""
    return quantity("litres", f".{_digits(of)}f", *litres, join=join)


def _digits(of: float) -> int:
    return 1 if of >= FINE_BELOW_L else 2


def reason_words(a: Answer, box: Box) -> str:
    """The parts in words, rounded so that what is read adds up."""
    d = a.details
    digits = _digits(a.value)
    total, dry = round(a.value, digits), round(d["dry_l"], digits)
    past = min(round(d["runs_past_l"], digits), total)
    air = min(round(d["evaporates_l"], digits), total - past)
    lacking = total - past - air
    litres = lambda value: _litres(a.value, value)  # noqa: E731
    out = [
        f"Dry, the soil holds {litres(dry)}; watered and drained it holds {litres(dry + lacking)}. The difference, "
        f"{litres(lacking)}, is what it lacks."
    ]
    more = []
    if past > 0.0:
        where = "into the layer below" if box.enclosure.drainage is not None else "out of the hole"
        more.append(f"{litres(past)} run past it {where}")
    if air > 0.0:
        more.append(f"{litres(air)} evaporate meanwhile")
    if more:
        out.append(f"Another {' and '.join(more)}, which makes {litres(total)} together.")
    if past > 0.0:
        catch = "Siphon" if box.enclosure.drainage is not None else "Catch"
        out.append(
            f"{catch} what ran past and pour it on the same soil again the same day: then {litres(lacking + air)} of fresh water are enough."
        )
    return " ".join(out)


def pace_words(a: Answer, box: Box) -> str:
    """Why so many portions, so far apart."""
    d, n = a.details, a.window["portions"]
    mix = _slowest(box)
    if d["hours_to_wet"] <= 0.0 and d["first_held"] >= 1.0 - SHUT - 1e-9:
        some = "" if n == 1 else _goes_in(a)
        return f"this soil takes water readily even when dry, so little depends on the pace.{some}"
    span = _hours(d["hours_to_wet_low"], d["hours_to_wet_high"])
    parts = [
        f"dry {mix} refuses water at first and takes it only as it stays in touch with it. It keeps about "
        f"{share_words(d['first_held'])} of the first portion; the rest {_rest(box)}. After {span} hardly any of it refuses water "
        "(a twentieth).",
    ]
    if _goes_below(box) and d["at_once_past_l"] > d["runs_past_l"]:
        parts.append(
            f"Poured in ten minutes, {_litres(a.value, d['at_once_past_l'])} of this water would run past; at this pace "
            f"{_litres(a.value, d['runs_past_l'])} do."
        )
    if d["still_refuses"] > 2.0 * SHUT:
        parts.append(
            f"Even so about {share_words(d['still_refuses'])} of the mix may stay dry in pockets after a day of "
            f"{MOST_S / HOUR_S:.0f} hours; soak the rest the same way the next day."
        )
    return " ".join(parts) + _goes_in(a)


def _goes_below(box: Box) -> bool:
    """Whether what runs past a mix is lost to it: there is a layer or a hole."""
    return box.enclosure.drainage is not None or box.enclosure.drain_hole


def _rest(box: Box) -> str:
    """What becomes of the water that a dry mix does not keep."""
    return "runs past" if _goes_below(box) else "runs to the foot of the soil and soaks in from there"


def _goes_in(a: Answer) -> str:
    """Why a portion is no larger, where the soil or the can decides."""
    takes = a.details["takes_mm_h"]
    if takes < 1000.0 * RATE_M_S * HOUR_S:
        return f" The soil takes no more than {quantity('mm', '.0f', max(1.0, takes))} an hour, and each portion goes in before the next."
    return f" A portion is at most {quantity('mm', 'g', 1000.0 * PORTION_M)} of water on the soil."


def _hours(low: float, high: float) -> str:
    """A range of hours as a keeper says it: in minutes where it is short, the unit once."""
    many, unit = (60.0, "minute") if 60.0 * high < LONG_MIN else (1.0, "hour")
    ends = [max(1, round(many * one)) for one in (low, high)]
    return (
        f"about {wording.days(ends[1], unit)}" if ends[0] == ends[1] else f"{ends[0]} to {wording.days(ends[1], unit)}"
    )


def share_words(share: float) -> str:
    """A share in words, the nearest a keeper would say.

    >>> share_words(0.31), share_words(0.04), share_words(0.97)
    ('a third', 'little', 'all')
    """
    if share < 0.05:
        return "little"
    if share > 0.95:
        return "all"
    return min(SHARES, key=lambda one: abs(one[0] - share))[1]


def _slowest(box: Box) -> str:
    """The layer that refuses most water when dry."""
    names = [name for name, _ in box.enclosure.porous_layers]
    refuses = lambda name: _typical(name, "refuses_dry") * dict(box.enclosure.porous_layers)[name]  # noqa: E731
    return max(names, key=refuses)


def _typical(name: str, prop: str) -> float:
    entry = materials.get("substrates", name)
    return entry.typical(prop) if prop in entry else 0.0


def assumed(box: Box, pace: Pace) -> tuple[str, ...]:
    """What is taken for granted."""
    now = box.start.soil
    started = "" if now == "dry" else f" Your description starts it {now}; the soak is for a dry one."
    return (
        f"The soil stood dry for months (its pores at 70 % humidity).{started}",
        "Watered and drained: wetted through, then drained to rest above the mesh.",
        f"Poured all over the soil with a fine rose, about {wording.days(max(1.0, pace.over_s / 60.0), 'minute')} a portion.",
        "How much of a dry mix refuses water was taken from waterings of peat, coir and bark in small columns (Schulker et al. "
        "2020, abstract); for how many hours is partly from memory, and so a wide range.",
    )


def soak_cautions(a: Answer, box: Box, seen: SeenAir | None) -> tuple[str, ...]:
    """What can go wrong on the day: shedding, weight, animals, cold water."""
    return (*shedding(box), _weight(a), ANIMALS, _lukewarm(seen))


def _weight(a: Answer) -> str:
    return (
        f"The soak adds up to {quantity('kg', '.0f' if a.value >= FINE_BELOW_L else '.1f', a.value)} of water: stand and glass "
        "floor must bear it (the answer on the drainage layer tells the whole weight), and a wet box is not lifted."
    )


def _lukewarm(seen: SeenAir | None) -> str:
    """As warm as the box, within what is wanted there."""
    if seen is None or not known(seen.heat.day.get("mean")):
        return "Pour lukewarm water, as warm as the box: not cold from the tap, never hot."
    warm, wanted = seen.heat.day["mean"], seen.heat.wanted
    if wanted is not None:
        warm = min(wanted.day_high, max(wanted.day_low, warm))
    return f"Pour lukewarm water, about {quantity('°C', '.0f', warm)}: not cold from the tap, never hot."


def shedding(box: Box) -> tuple[str, ...]:
    """The caution about mixes that may shed water when dry."""
    mixes = [name for name, _ in box.enclosure.porous_layers]
    repellent = [
        name
        for name in mixes
        if "refuses_dry" in (held := materials.get("substrates", name)) and held["refuses_dry"].high > 0
    ]
    if not repellent:
        return ()
    layer = box.enclosure.drainage is not None
    where = "into the drainage layer" if layer else "to the bottom"
    then = (
        "wet the top with a fine spray first, and siphon if the water below rises fast"
        if layer
        else "wet the top with a fine spray first"
    )
    return (
        f"Dry {_listed(dict.fromkeys(repellent))} may shed water: it runs past the mix {where}. Keep the pauses, {then} "
        "(the spray: common practice, no source).",
    )


def _listed(names: Iterable[str]) -> str:
    """Names as a list in a sentence."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
