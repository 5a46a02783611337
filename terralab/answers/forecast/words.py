"""The forecast as statements: what comes when, how sure, and what the recommended pour would make of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import TOP_CM, kept_dry
from terralab.answers.common.brief import brief, fitting, from_box, nothing_today
from terralab.answers.common.draws import drawn_words, left_out_words
from terralab.answers.common.drying import days_in_store
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.heat_words import warmth_line
from terralab.answers.common.measure_next import measure_sentence
from terralab.answers.common.recommended import described_ml, described_words
from terralab.answers.common.seen_air import SeenAir
from terralab.answers.common.statement import EVERYWHERE, Kind, Statement, Verdict, state
from terralab.answers.common.words import RANGE, amount_span, ml, target_in_words
from terralab.answers.forecast.course import (
    COLD,
    DAMP,
    DANGER,
    DISH,
    DRY,
    FLOOD,
    HIDE,
    HOT,
    HUMIDITY,
    KEPT,
    MESH,
    TANK,
    TOP,
    WARMTH,
    WILTING,
    When,
    litres_of,
)
from terralab.answers.forecast.course_words import course_tables, soil_words, wanted_words
from terralab.answers.water.words import DRY_NOW, LEAST_ML, drain_words
from terralab.describe.box import Box
from terralab.describe.seasons import room_in_words, room_of
from terralab.quantities import quantity, said
from terralab.simulation.record import Record

_TOP = quantity("cm", "g", TOP_CM)
#: What has happened once a limit is passed, in the words of the long answer and of the short screen.
PASSED = {
    DANGER: ("the temperature is dangerous", "dangerous temperature"),
    FLOOD: ("water stands on the soil", "water on the soil"),
    MESH: ("the water below stands at the mesh", "water at the mesh"),
    WILTING: ("plants wilt", "wilting"),
    TOP: (f"the top {_TOP} are dry", f"dry top {_TOP}"),
    DISH: ("the dish is dry", "dry dish"),
    TANK: ("a tank is dry", "dry tank"),
    HIDE: ("the moss in the hide is dry", "dry hide"),
    HUMIDITY: ("the humidity leaves what is wanted", "humidity outside what is wanted"),
    WARMTH: ("the temperature leaves what is wanted", "temperature outside what is wanted"),
    DRY: ("at times the air is too dry:", "air too dry"),
    DAMP: ("at times the air is too damp:", "air too damp"),
    HOT: ("at times it is too hot:", "too hot"),
    COLD: ("at times it is too cold:", "too cold"),
}
AS_WANTED = {HUMIDITY: "humidity as wanted", WARMTH: "temperature as wanted"}
HOURLY_DAYS = 2.0  # what is out of its band sooner is so for some hours of every day
IN_THE_SOIL = (FLOOD, MESH, WILTING, TOP)
FILLED = (DISH, TANK, HIDE)
GRAVE = (DANGER, *IN_THE_SOIL, *FILLED)
#: What the short screen tells, and what the long answer tells in place of its last two.
SHORT = (*GRAVE, HUMIDITY, WARMTH)
LONG = (*GRAVE, DRY, DAMP, HOT, COLD)
VERDICTS = {
    DANGER: Verdict.DANGEROUS, FLOOD: Verdict.NO_AIR, MESH: Verdict.NO_AIR,
    **dict.fromkeys((WILTING, TOP, *FILLED), Verdict.TOO_DRY),
}  # fmt: skip
DO_LINES = 4  # of the short screen


@dataclass(frozen=True, eq=False)
class Shown:
    """What a forecast found: `limits` going on as now, `limits_then` with the recommended pour of `pour_ml` a day.

    `as_now`: that pour is the routine's own. `warmth_first`: what goes before the order to pour it; `too_wet`: that anything
    poured is too much.
    """

    box: Box
    days: int
    season: str
    record: Record
    seen: SeenAir
    limits: Mapping[str, When]
    limits_then: Mapping[str, When]
    pour_ml: float
    pour_range: tuple[float, float]
    as_now: bool
    warmth_first: str
    too_wet: bool
    goes_on: bool
    has_events: bool
    going_on: EnsembleResults
    with_it: EnsembleResults

    @property
    def soak_first(self) -> bool:
        """Whether dry soil that is to be moist is soaked before the recommended pour begins."""
        return self.box.start.soil == "dry" and not self.goes_on and not kept_dry(self.box)

    def of_these(self, names: Sequence[str]) -> tuple[str, ...]:
        """Which of these limits count for this box: in soil that is to stay dry nothing is too dry."""
        dry = (TOP, WILTING) if kept_dry(self.box) else ()
        return tuple(name for name in names if name in self.limits and name not in dry)


def after_words(when: When, days: int) -> str:
    """When a limit is passed. An end that lies beyond the days that were run is said so.

    >>> after_words(When((6.2, 9.0, 14.0), 1.0), 28), after_words(When((6.2, 9.0, None), 0.8), 28)
    ('after 9 days (6 to 14)', 'after 9 days (6 to more than 28)')
    >>> after_words(When((20.0, None, None), 0.2), 28), after_words(When((0.0, None, None), 0.3), 28)
    ('after 20 days at the soonest in 20 of 100 such boxes', 'now in 30 of 100 such boxes')
    >>> after_words(When((0.0, 0.0, 0.0), 1.0), 28), after_words(When((0.0, 0.5, 3.0), 1.0), 28)
    ('now', 'within the first day (now to 3)')
    >>> after_words(When((None, None, None), 0.0), 28)
    'not within 28 days'
    """
    low, middle, high = when.span
    if low is None:
        return f"not within {wording.days(days)}"
    if middle is None:
        return f"{_soon(low)}{' at the soonest' if low >= 0.5 else ''} {_share(when)}"
    ends = (_end(low, days), _end(high, days))
    return _soon(middle) + (f" ({ends[0]} to {ends[1]})" if ends[0] != ends[1] else "")


def _share(when: When) -> str:
    return f"in {100.0 * when.share:.0f} of 100 such boxes"


def _soon(day: float) -> str:
    return "now" if day == 0.0 else "within the first day" if round(day) < 1 else f"after {wording.days(day)}"


def _end(day: float | None, days: int) -> str:
    return f"more than {days}" if day is None else "now" if day == 0.0 else f"{max(1, round(day))}"


def passed_words(found: Mapping[str, When], names: Sequence[str], days: int, spares: bool = True) -> str:
    """All limits in one clause for the short screen: those that are passed, the soonest first, then what is spared.

    What is judged hour by hour and out for some hours from the first days on has its share of the time in place of a day.
    """
    come = sorted((name for name in names if found[name].may_come), key=lambda one: _order(found[one], days))
    hourly = [name for name in come if name in KEPT and found[name].span[0] < HOURLY_DAYS]
    parts = [
        f"{PASSED[name][1]}: {after_words(found[name], days) if found[name].comes else _share(found[name])}"
        for name in come
        if name not in hourly
    ]
    spared = [PASSED[name][1] for name in names if name not in come and name in (MESH, WILTING, TOP)]
    if spared and spares:
        parts.append(f"within {wording.days(days)} no {', no '.join(spared)}")
    parts += [f"{AS_WANTED[name]} {100.0 * found[name].kept:.0f} % of the time" for name in hourly]
    return "; ".join(parts) if parts else f"no limit of the soil passed within {wording.days(days)}"


def _order(when: When, days: int) -> tuple[float, float]:
    low, middle, _ = when.span
    return (2.0 * days if middle is None else middle, low or 0.0)


def begins_words(s: Shown) -> str:
    """From what it starts, for what is taken for granted."""
    if s.goes_on:
        return f"It goes on from the end of a record, day {float(s.record.times_days[0]):g} of its course, each draw from a past of its own."
    how = {"drained-moist": "watered and drained", "dry": "unwatered for months", "wet": "just saturated"}
    return f"It begins with the soil as it is described now: {s.box.start.soil} ({how[s.box.start.soil]})."


def reason_words(s: Shown) -> str:
    """Why it goes as it goes: what the soil holds and loses."""
    first, last = litres_of(s.record)
    a_day = 1000.0 * (first - last) / s.days
    begins = f"The soil holds {ml(1000.0 * first)} of water now"
    if abs(a_day) < LEAST_ML:
        return f"{begins} and keeps them, with {_poured(s.box)}."
    moved = "loses" if a_day > 0.0 else "gains"
    out = f"{begins} and {moved} {ml(abs(a_day))} a day on average, with {_poured(s.box)}."
    if a_day > 0.0 and not kept_dry(s.box) and not s.limits[TOP].comes:
        left = days_in_store(s.record)
        if left > 0.0 and left < 10.0 * s.days:
            out += (
                f" At the pace of the last week the water that roots draw easily is spent after another {wording.days(left)}; "
                "the top may dry sooner."
            )
    return out


def _poured(box: Box) -> str:
    return f"{described_words(box)} a day poured on it" if described_ml(box) >= LEAST_ML else "nothing poured on it"


def forecast_statements(a: Answer, s: Shown) -> tuple[Verdict, tuple[Statement, ...]]:
    """What is most wrong, and all that the answer `a` (a draft) states."""
    box, seen = s.box, s.seen
    verdict, wrong = _wrong(s)
    asked = "the end of the record" if s.goes_on else "now"
    title = f"{box.name}: what comes in {wording.days(s.days)} if I go on as now?"
    out = state(Kind.TITLE, title, views=EVERYWHERE)
    out += brief(
        box,
        "water",
        _do(s),
        f"{RANGE} lie within the brackets.",
        seen.lines(" at the end"),
        wrong,
        a.measure_next,
        first=seen.heat.hot or seen.heat.cold,
        warm=seen.minds,
    )
    out += state(Kind.WARNING, *a.first)
    out += state(Kind.HOT_PLACE, *seen.minds)
    room = room_in_words(room_of(box, s.season))
    going = (
        f"Going on as described, with {_poured(box)}, in the room {_season(s.season)} ({room}), counted from {asked}:"
    )
    out += state(Kind.DO, going, under=_each(s, s.limits))
    out += state(Kind.WHY, f"Why: {a.reason}")
    out += state(Kind.DO, _pour_words(s), DRY_NOW if s.soak_first and not s.too_wet else "")
    if not s.as_now:
        out += state(
            Kind.WINDOW,
            f"With that pour {'after the soak' if s.soak_first else 'from now on'}, all else the same:",
            under=_each(s, s.limits_then),
        )
    out += state(
        Kind.SURE,
        f"The brackets hold {RANGE}: {drawn_words(a.spread)}.",
    )
    out += state(Kind.DRAWS, left_out_words(a.spread))
    if not s.as_now:
        out += state(Kind.DRAWS, left_out_words(a.spread["with the pour"], "draws with the recommended pour"))
    to_measure = measure_sentence(a.measure_next)
    out += state(Kind.MEASURE, f"What to measure next: {to_measure}" if to_measure else "")
    out += state(Kind.EXPLAINED, soil_words(a, s.record, s.days))
    out += course_tables(a, s.record)
    out += state(Kind.AIR, seen.sentence(" at the end"))
    out += state(Kind.WARMTH, warmth_line(seen.heat, " at the end"))
    if seen.target is not None:
        wanted = target_in_words(seen.target, seen.heat.wanted)
        out += state(Kind.WANTED, f"Wanted: {wanted}. {wanted_words(a.details, s.as_now)}")
    out += state(Kind.ASSUMED, "Taken for granted: " + " ".join(a.assumptions))
    out += state(Kind.CAUTION, "Take care: " + " ".join(a.cautions))
    return verdict, tuple(out)


def _season(season: str) -> str:
    return "as described" if season == "now" else f"of {season}"


def _do(s: Shown) -> str:
    """What comes, and what to do, for the short screen: as much of it as its lines hold, what to do always."""
    poured = f"{described_words(s.box)} a day" if described_ml(s.box) >= LEAST_ML else "nothing poured"
    poured += ", and the events given" if s.has_events else ""
    gravest = s.of_these(GRAVE)
    soil = f"; the soil's {ml(1000.0 * litres_of(s.record)[0])} of water become {_litres(s.going_on)}"
    forms = [
        (passed_words(s.limits, s.of_these(SHORT), s.days), soil),
        (passed_words(s.limits, s.of_these(SHORT), s.days, spares=False), soil),
        (passed_words(s.limits, gravest, s.days, spares=False), soil),
        (passed_words(s.limits, gravest, s.days, spares=False), ""),
        (passed_words(s.limits, [name for name in gravest if s.limits[name].may_come][:2], s.days, spares=False), ""),
    ]
    lead = f"Going on {'from the record' if s.goes_on else 'as now'} ({poured})"
    return fitting([_with_advice(s, f"{lead}: {come}{more}.") for come, more in forms], DO_LINES)


def _with_advice(s: Shown, now: str) -> str:
    if s.too_wet:
        return f"{now} {SOAKED_TOO_WET}" if s.soak_first else f"{drain_words(s.record.has_reservoir)}. {now}"
    if s.as_now:
        return f"{now} That is the recommended pour."
    pour = f"pour {ml(s.pour_ml)} a day" if s.pour_ml >= LEAST_ML else "pour nothing"
    if s.soak_first:
        pour = f"soak the dry soil first (terralab soak), then {pour}"
    lead = f"{s.warmth_first} Then: {pour}" if s.warmth_first else f"{pour[:1].upper()}{pour[1:]}"
    met = [name for name in s.of_these(IN_THE_SOIL) if s.limits_then[name].may_come]
    comes = f"{passed_words(s.limits_then, met, s.days)}; " if met else ""
    return f"{now} {lead} (terralab water): {comes}{_litres(s.with_it)} then."


def _litres(sample: EnsembleResults) -> str:
    """The water in the soil at the end with its range, as a mark."""
    low, middle, high = (1000.0 * x for x in sample.range_of("litres"))
    span = amount_span(low, high, "ml")
    return ml(middle) if said(span) == said(ml(middle)) else f"{ml(middle)} ({span})"


def _pour_words(s: Shown) -> str:
    low, high = s.pour_range
    if s.too_wet:
        return SOAKED_TOO_WET if s.soak_first else f"{drain_words(s.record.has_reservoir)}."
    given = f"{ml(s.pour_ml)} a day" if s.pour_ml >= LEAST_ML else "nothing"
    span = f" (likely {amount_span(low, high, 'ml')})" if high >= LEAST_ML else ""
    same = " It is what the routine pours." if s.as_now else ""
    lead = f"{s.warmth_first} Then: the" if s.warmth_first else "The"
    return f"{lead} recommended pour is {given}{span}: it holds soil that is {_held(s.box)}.{same}"


def _held(box: Box) -> str:
    return "to stay dry" if kept_dry(box) else "watered and drained"


def _each(s: Shown, found: Mapping[str, When]) -> list[str]:
    """A line for each limit that is passed, the soonest first, and one for those that are not."""
    come = sorted(
        (name for name in s.of_these(LONG) if found[name].may_come), key=lambda one: _order(found[one], s.days)
    )
    lines = [f"{PASSED[name][0]} {after_words(found[name], s.days)}" for name in come]
    spared = [PASSED[name][1] for name in s.of_these(LONG) if name not in come]
    return [*lines, *([f"not within {wording.days(s.days)}: {', '.join(spared)}"] if spared else [])]


def _wrong(s: Shown) -> tuple[Verdict, list[str]]:
    """The thing most wrong: the box whatever the question, what is dangerous or comes in the soil, what the air comes to."""
    verdict, wrong = from_box(s.seen.first)
    if wrong:
        return verdict, wrong
    for at_all in (False, True):
        for name in GRAVE:
            if name in s.of_these(LONG) and (s.limits[name].comes or (at_all and s.limits[name].may_come)):
                return VERDICTS[name], [f"{PASSED[name][0]} {after_words(s.limits[name], s.days)}{_against(s, name)}."]
    if s.seen.outside:
        return (Verdict.TOO_DRY if s.seen.dry else Verdict.TOO_DAMP), [s.seen.outside, LEVERS]
    return nothing_today(s.seen.first, s.seen.heat)


SOAKED_TOO_WET = "Soaked, as it is to be kept, it would be too wet even without a pour: see to what lies below first (terralab drainage)."
LEVERS = "The answers on the daily water and on fans tell what helps."


def _against(s: Shown, name: str) -> str:
    """What to do against it, as the end of the sentence; "" where what to do stands on the screen anyway."""
    if name in FILLED:
        return "; fill it before that"
    if name not in (MESH, FLOOD):
        return ""
    return "; siphon before that (terralab drainage)" if s.record.has_reservoir else "; pour less"
