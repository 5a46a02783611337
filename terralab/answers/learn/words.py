"""What a log told, as statements: what was learned and what was not, how far to trust it, and what to weigh next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import groupby

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.brief import brief, fitting, from_box, nothing_today
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.learned import NARROWED
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.rounding import LITRE_ML, jug
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, View, state
from terralab.answers.common.words import amount_span, ml, target_in_words
from terralab.answers.learn.doubt_words import (
    amount_words,
    clock_table,
    clock_words,
    held_out_words,
    misfit_words,
    offset_words,
    offsets_words,
    surely_off,
)
from terralab.answers.learn.misfit import (
    UNIT_OF,
    of_quantity,
    together,
)
from terralab.answers.learn.to_weigh import bottle_words, hardly_any, uncounted_brief, uncounted_words
from terralab.describe.box import Box
from terralab.describe.learned import amount_form
from terralab.describe.number_words import may_be_shown, number_words, span_mark
from terralab.learning.fit import EXCHANGE, LOSS, POUR, Fit, Narrowed, Refusal
from terralab.learning.readings import HUMIDITY, TEMPERATURE
from terralab.quantities import quantity

AS_BEFORE = 0.95  # from here on a number is as unknown as it was
MOST_NUMBERS = 6
FINE_ML = 100.0  # below it amounts are said to the millilitre, since a scale may have told them
#: What a refusal comes to, the gravest first.
AGAINST = ("outside the tables", "model cannot explain", "contradiction")
GRAVE = ("log", *AGAINST)
VERDICTS = {
    "log": Verdict.UNTOLD,
    "outside the tables": Verdict.CONTRADICTED,
    "model cannot explain": Verdict.CONTRADICTED,
    "contradiction": Verdict.CONTRADICTED,
}


@dataclass(frozen=True, eq=False)
class Shown:
    """What a fit found, for its words. `known`: the ml a day are told; `understood`: how each file was read.

    `salted`: a sensor was tried over salt; `clock`: what is said of the logger's clock (None: what the fit knows). `uncounted`: why
    nothing that was weighed counts.
    """

    box: Box
    fit: Fit
    seen: SeenAir
    known: bool
    understood: tuple[str, ...] = ()
    salted: bool = False
    clock: str | None = None
    uncounted: str = ""

    @property
    def grave(self) -> tuple[Refusal, ...]:
        """What speaks against the description or the log itself, the gravest first."""
        found = [self._in_words(one) for one in self.fit.refusals if one.kind in GRAVE]
        return tuple(sorted(found, key=lambda one: GRAVE.index(one.kind)))

    def _in_words(self, one: Refusal) -> Refusal:
        """The refusal with the words of a number in place of its key."""
        if one.what not in {number.name for number in self.fit.numbers}:
            return one
        words = f'"{number_words(self.box, one.what)}"'
        return replace(one, why=one.why.replace(one.what, words), ask=one.ask.replace(one.what, words))

    @property
    def untold(self) -> tuple[Refusal, ...]:
        """What the log does not tell."""
        return tuple(one for one in self.fit.refusals if one.kind not in GRAVE)


def narrowed(fit: Fit) -> tuple[Narrowed, ...]:
    """The numbers that were narrowed most and may be shown."""
    found = [one for one in fit.numbers if may_be_shown(one.name) and not one.refused and one.width_left <= NARROWED]
    return tuple(sorted(found, key=lambda one: one.width_left)) if fit.usable else ()


def reason_words(s: Shown) -> str:
    """Why the range is as narrow as it is, or why there is none."""
    if not s.known:
        found = [*s.grave, *s.untold]
        refused = "" if s.grave else s.fit.results[LOSS].refused if LOSS in s.fit.results else ""
        return refused or (_sentences(found[0]) if found else "The log tells nothing of the ml a day.")
    if s.fit.weighed:
        return "The log tells the ratio of evaporation to air exchange, and what was weighed tells one of the two, so both are known."
    if s.uncounted or hardly_any(s.fit):
        return (
            "A humidity log alone tells the ratio of evaporation to air exchange. What the description says of leaves, soil and "
            "mesh bounds each of the two."
        )
    return (
        "A humidity log alone tells the ratio of evaporation to air exchange. What the description says of leaves, soil and "
        "mesh bounds each of the two; a weighed bottle would tell them apart."
    )


def learn_statements(a: Answer, s: Shown) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states."""
    fit = s.fit
    verdict, wrong = _wrong(s)
    out = state(Kind.TITLE, f"{s.box.name}: what does its log of {_days(fit)} tell?", views=EVERYWHERE)
    out += brief(
        s.box,
        "water",
        _do(s),
        _sure(s),
        s.seen.lines(),
        wrong,
        a.measure_next,
        first=s.seen.heat.hot or s.seen.heat.cold,
        # where nothing counts of what was weighed, that goes before a sensor that is off
        mind=(s.known and uncounted_brief(s.uncounted)) or (_most_off(fit) if fit.weighed or not s.known else ""),
        warm=s.seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *s.seen.minds)
    out += state(Kind.LEARNED, _results_lead(s), under=_results(s))
    out += state(Kind.WHY, f"Why: {reason_words(s)}")
    if narrowed(fit):
        out += state(
            Kind.LEARNED,
            "Numbers of the description and the tables that the log narrowed most:",
            under=[_number(s.box, one) for one in narrowed(fit)[:MOST_NUMBERS]],
        )
    out += state(Kind.UNTOLD, *map(_sentences, s.grave), *_untold_words(s), _rest_words(s))
    out += state(Kind.SENSOR, offsets_words(fit, s.salted), s.clock if s.clock is not None else clock_words(fit))
    out += state(Kind.MISFIT, misfit_words(fit), held_out_words(fit))
    out += state(Kind.MISFIT, "Read less computed, by hour of the day:", under=clock_table(fit), views=View.ALL)
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else _weigh_words(s))
    out += state(Kind.AIR, s.seen.sentence(" over the log"))
    out += state(Kind.WARMTH, warmth_line(s.seen.heat, " over the log"))
    if s.seen.target is not None:
        out += state(Kind.WANTED, f"Wanted: {target_in_words(s.seen.target, s.seen.heat.wanted)}.")
    out += state(Kind.UNDERSTOOD, *(f"How it was read: {text}" for text in s.understood if text), views=View.ALL)
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


# -- the short screen -------------------------------------------------------------------------------------------------


def _days(fit: Fit) -> str:
    return wording.days((fit.hours[-1] - fit.hours[0]) / 24.0)


def _do(s: Shown) -> str:
    """What was learned, or that it was not and what to weigh."""
    if not s.known:
        return fitting([*_untold_forms(s)], 4)
    loss = s.fit.results[LOSS]
    air = s.fit.results.get(EXCHANGE)
    lost = f"It lost {ml_words(loss.after[1])} of water a day ({_bare_ml(loss.after)}; without the log {_bare_ml(loss.before)})"
    if air is None or air.refused:
        return f"{lost}."
    low, middle, high = air.after
    by = f"{lost}, by {middle:.2g} air changes an hour ({span_words(low, high)}"
    return fitting([f"{by}; without it {span_words(*air.before[::2])}).", f"{by})."], 2)


def _bare_ml(span: tuple[float, float, float]) -> str:
    """The ends of a range in ml without the unit, which stands before it; with it where litres are said."""
    low, high = span[0], span[2]
    return (
        quantity("ml", amount_form(high), _fine(low), _fine(high), bare=True)
        if high < LITRE_ML
        else amount_span(low, high, "ml")
    )


def _fine(value: float) -> float:
    """An amount that was weighed: to the millilitre where it is small, else as a jug shows it."""
    return value if value < FINE_ML else jug(value)


def ml_words(value: float) -> str:
    """An amount of water as a mark, to the millilitre where it is small."""
    return quantity("ml", amount_form(value), value) if value < FINE_ML else ml(value)


def ml_span(low: float, high: float) -> str:
    """A range of them as a mark."""
    return (
        quantity("ml", amount_form(high), _fine(low), _fine(high)) if high < LITRE_ML else amount_span(low, high, "ml")
    )


def _untold_forms(s: Shown) -> list[str]:
    """That the ml a day are not told, and what to weigh for them, the fullest form first."""
    found = _untold_by(s)
    lead = "The log does not tell how many ml a day this box loses"
    if found is None:
        return [f"{lead}: {bottle_words(s.box)}.", f"{lead}."]
    if found.kind in AGAINST:
        return [f"{lead}: it and the description do not go together."]
    return [
        f"{lead}. {_sentences(found)}",
        f"{lead}. {found.ask or found.why}",
        f"{lead}: {bottle_words(s.box)}.",
    ]


def _untold_by(s: Shown) -> Refusal | None:
    """Why the ml a day are not told: what is said of them, else the first that is refused."""
    each = (*s.untold, *s.grave)
    return next((one for one in each if one.what == LOSS), next(iter(each), None))


def _sure(s: Shown) -> str:
    """What the brackets mean, and how far the fit foretold what it had not seen."""
    found = []
    for name in (HUMIDITY, TEMPERATURE):
        one = together(s.fit, name, "held_out")
        found += [amount_words(name, one.rms)] if one.hours else []
    met = f"readings held back were met within {' and '.join(found)}." if found else ""
    if not s.known:
        return f"{met[:1].upper()}{met[1:]}"
    return f"80 of 100 boxes like this lie there; {met}" if met else "80 of 100 boxes like this lie there."


def _most_off(fit: Fit) -> str:
    """The sensor of the box that is surely off, the hygrometer before the thermometer, for the short screen."""
    off = [offset_words(one) for name in UNIT_OF for one in of_quantity(fit, name) if surely_off(one)]
    return f"{off[0][:1].upper()}{off[0][1:]}." if off else ""


def _wrong(s: Shown) -> tuple[Verdict, list[str]]:
    """What speaks against log or description, else what is wrong with the box."""
    if s.grave:
        # where nothing was learned for that very reason, it stands in place of what was
        told = s.known or _untold_by(s) != s.grave[0] or s.grave[0].kind in AGAINST
        return VERDICTS[s.grave[0].kind], [_sentences(one) for one in (s.grave if told else s.grave[1:])]
    verdict, wrong = from_box(s.seen.first)
    if wrong:
        return verdict, wrong
    if not s.known:
        return Verdict.UNTOLD, []
    if s.seen.outside:
        return (Verdict.TOO_DRY if s.seen.dry else Verdict.TOO_DAMP), [s.seen.outside]
    return nothing_today(s.seen.first, s.seen.heat)


def _sentences(one: Refusal) -> str:
    return " ".join(text for text in (one.why, one.ask) if text)


def span_words(low: float, high: float) -> str:
    """Two numbers without a unit, with two figures: "6.3 to 8"."""
    ends = (f"{low:.2g}", f"{high:.2g}")
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


# -- what was learned -------------------------------------------------------------------------------------------------

RESULT_WORDS = {
    LOSS: "water lost to the room, a day",
    POUR: "pour that keeps the soil as it was, a day",
    EXCHANGE: "air changes an hour",
}


def _results_lead(s: Shown) -> str:
    if not s.fit.usable:
        return "Nothing of the log goes into the description. What was known before it still holds:"
    how = f" and {s.fit.weighed} weighed {'amount' if s.fit.weighed == 1 else 'amounts'}" if s.fit.weighed else ""
    return f"Learned from {_days(s.fit)}{how}, the day of warm-up before them left out; likely range without the log, and now:"


def result_spans(one: Narrowed) -> tuple[str, str]:
    """The range of a result before and after, as marks."""
    if one.name == EXCHANGE:
        return span_words(*one.before[::2]), span_words(*one.after[::2])
    return ml_span(one.before[0], one.before[2]), ml_span(one.after[0], one.after[2])


def _results(s: Shown) -> list[str]:
    lines = []
    for name, one in s.fit.results.items():
        before, after = result_spans(one)
        middle = f"{one.after[1]:.2g}" if name == EXCHANGE else ml_words(one.after[1])
        now = "not told" if one.refused or not s.fit.usable else f"now {after}, middle {middle}"
        lines.append(f"{RESULT_WORDS[name]}: {before}, {now}")
    return lines


def _number(box: Box, one: Narrowed) -> str:
    before, after = (span_mark(one.name, one.unit, x[0], x[2]) for x in (one.before, one.after))
    return f"{number_words(box, one.name)}: {before}, now {after}"


def _untold_words(s: Shown) -> list[str]:
    """What the log does not tell; results that share a kind of reason share its sentences, and what "Why" says is not said again."""
    out: list[str] = []
    for _, found in groupby(s.untold, key=lambda one: one.kind):
        first, *more = found
        if first.why != reason_words(s):
            out.append(_sentences(first))
        same = [RESULT_WORDS[one.what].removesuffix(", a day") for one in more if one.what in RESULT_WORDS]
        if same:
            out.append(f"For the same reason the log does not tell: {', '.join(same)}.")
        out += [_sentences(one) for one in more if one.what not in RESULT_WORDS]
    return out


def _rest_words(s: Shown) -> str:
    """How many numbers are as unknown as before, and why leaves are not among what is shown."""
    if not s.fit.usable or not s.fit.numbers:
        return ""
    same = sum(1 for one in s.fit.numbers if one.refused or one.width_left >= AS_BEFORE)
    return (
        f"{same} of {len(s.fit.numbers)} uncertain numbers are as unknown as before: the log does not feel them. How far leaves hold back "
        "water is never shown as learned, since it also takes up whatever the model of leaves lacks."
    )


def _weigh_words(s: Shown) -> str:
    if hardly_any(s.fit):
        return ""
    if s.uncounted:
        return f"What to measure next: {uncounted_words(s.uncounted)}"
    if s.fit.weighed and s.known:
        return ""
    text = next((one.ask for one in (*s.untold, *s.grave) if one.ask), "")
    return f"What to measure next: {text}" if text else f"What to measure next: {bottle_words(s.box)}."
