"""The first soak as statements."""

from __future__ import annotations

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
from terralab.answers.soak.parts import Soak
from terralab.describe.box import Box
from terralab.quantities import quantity

ASKED = "how much water on day one?"
SAFE_GAP_CM = 1.0
FINE_BELOW_L = 2.0  # litres below which hundredths are said


NOW = {"drained-moist": "moist", "wet": "wet"}


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
    )
    out += state(Kind.WARNING, *a.first)
    likely = _litres(a.value, a.low, a.high, join=" and ")
    sure = (
        f"likely between {likely}"
        if _litres(a.value, a.low) != _litres(a.value, a.high)
        else "in nearly all cases drawn"
    )
    out += state(Kind.DO, f"{_litres(a.value, a.value)} ({sure}), {_portions(a)}, all over the soil.")
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(Kind.DRAWS, left_out_words(a.spread))
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.LEVEL, _below(a, box))
    evaporates = a.details["evaporates_meanwhile_ml_a_day"]
    about = f", about {ml(evaporates)} a day in the room as described," if known(evaporates) else ""
    out += state(
        Kind.SEASONS,
        f"Winter and summer make no difference: what evaporates meanwhile{about} is for the daily pour (terralab water).",
    )
    if seen is not None:
        out += state(Kind.AIR, seen.sentence())
        out += state(Kind.WARMTH, warmth_line(seen.heat))
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _do(a: Answer, box: Box) -> str:
    """What to do, for the short screen: soil that is not dry is not to be soaked."""
    siphon = " Siphon between portions." if _near(a) else ""
    pour = f"{_litres(a.value, a.value)} {_portions(a)}, all over the soil.{siphon}"
    if box.start.soil == "dry":
        return f"Pour {pour}"
    return f"Soak nothing now: the soil is described as {NOW[box.start.soil]}. Once it has dried out: {pour}"


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
    return nothing_today(seen.first, seen.heat.wanted is not None)


def _portions(a: Answer) -> str:
    n = a.window["portions"]
    return "at once" if n == 1 else f"in {n} portions of about {ml(a.window['portion_ml'])}"


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
        return f"There is no reservoir: what the soil cannot hold {does}. Stop when the bottom is dark."
    if _near(a):
        return f"Watch the water below: it {_comes(a)}. Siphon between portions."
    return f"The water below the mesh comes no nearer than {wording.gap(a.window['gap_cm'])}."


def _litres(of: float, *litres: float, join: str = " to ") -> str:
    """The mark of litres beside an answer of so many: tenths, or hundredths where that is little."""
    return quantity("litres", f".{_digits(of)}f", *litres, join=join)


def _digits(of: float) -> int:
    return 1 if of >= FINE_BELOW_L else 2


def reason_words(soak: Soak) -> str:
    """The parts in words, rounded so that what is read adds up."""
    digits = _digits(soak.litres)
    total, dry = round(soak.litres, digits), round(soak.dry, digits)
    past = min(round(soak.past, digits), total)
    lacking = total - past
    litres = lambda value: _litres(soak.litres, value)  # noqa: E731
    first = (
        f"Dry, the soil holds {litres(dry)}; watered and drained it holds {litres(dry + lacking)}. The difference, "
        f"{litres(lacking)}, is what it lacks."
    )
    if past > 0.0:
        return f"{first} Another {litres(past)} run past the dry mix into the layer below, which makes {litres(total)} together."
    return first


def shedding(box: Box) -> tuple[str, ...]:
    """The caution about mixes that may shed water when dry."""
    mixes = [name for name, _ in box.enclosure.porous_layers]
    repellent = [name for name in mixes if materials.get("substrates", name)["bypass_share"].high > 0]
    if not repellent:
        return ()
    layer = box.enclosure.drainage is not None
    where = "into the drainage layer" if layer else "to the bottom"
    then = "use a fine spray first, and siphon if the water below rises fast" if layer else "and use a fine spray first"
    return (
        f"Dry {' and '.join(dict.fromkeys(repellent))} may shed water: it runs past the mix {where}. Wait between portions, "
        f"{then} (common practice, no source; the pace is not computed, "
        "so the litres are the same however fast you pour).",
    )
