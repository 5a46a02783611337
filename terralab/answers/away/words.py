"""The absence as statements: what was seen in the days that were run, what was not counted, and no promise beyond."""

from __future__ import annotations

from terralab import wording
from terralab.answers.away.away import DAYS, LATER_DAY, Away, Range
from terralab.answers.common.balance import TOP_CM
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.statement import Kind, Statement, state
from terralab.answers.common.words import ml
from terralab.answers.water.misted import allowed_ml
from terralab.describe.box import Box
from terralab.quantities import quantity

ROOMS = {"now": "In the room as described", "winter": "In winter", "summer": "In summer"}
Days = tuple[float | None, float | None, float | None]


def dries_words(span: Days) -> str:
    """When the top dries out, as a clause. An end that is None lies beyond the days that were run.

    >>> from terralab.quantities import said
    >>> said(dries_words((8.0, 12.0, None)))
    'the top 2 cm dry out after about 12 days (8 to more than the 60 that were run)'
    """
    low, middle, high = span
    top = f"the top {quantity('cm', 'g', TOP_CM)}"
    if low is None:
        return f"{top} did not dry out in the {DAYS} days that were run"
    if middle is None:
        return (
            f"{top} did not dry out in the {DAYS} days that were run in most cases drawn, but after {wording.days(low)} in the "
            "driest tenth"
        )
    late = f"more than the {DAYS} that were run" if high is None else f"{high:.0f}"
    return f"{top} dry out after about {wording.days(middle)} ({low:.0f} to {late})"


def dries_cell(span: Days) -> str:
    """The same for a table: "about 12 days (8 to 20)", or that it was not seen."""
    low, middle, high = span
    if middle is None:
        return f"not seen in {DAYS} days" + ("" if low is None else f" ({wording.days(low)} in the driest tenth)")
    late = f"over {DAYS}" if high is None else f"{high:.0f}"
    return f"about {wording.days(middle)} ({low:.0f} to {late})"


def away_statements(box: Box, season: str, found: Away) -> tuple[Statement, ...]:
    """What an absence does in the room of one season: soil, humidity and temperature, with what is wanted beside them."""
    top = "" if found.top_dries is None else f"{dries_words(found.top_dries)}; "
    target, _ = target_of(box)
    air = []
    for part, rh, warm in (("day", found.rh_day, found.temp_day), ("night", found.rh_night, found.temp_night)):
        wanted = (
            "" if target is None else f"{getattr(target, f'{part}_low'):g} to {getattr(target, f'{part}_high'):g} %"
        )
        air.append(f"{_humidity(rh, wanted)} at {_warmth(warm)} by {part}")
    ends = " and ".join(
        f"{_humidity(rh)} at {quantity('°C', '.0f', warm[1])} by {part}"
        for part, rh, warm in (
            ("day", found.rh_day_end, found.temp_day_end),
            ("night", found.rh_night_end, found.temp_night_end),
        )
    )
    return tuple(
        one.finished()
        for one in state(
            Kind.SEASONS,
            f"{ROOMS[season]}: {top}after {LATER_DAY} days the humidity is {air[0]}, {air[1]}; after {DAYS} days {ends}.",
        )
    )


def not_counted(box: Box) -> tuple[Statement, ...]:
    """What the days of an absence leave out, a sentence each: they say how long the soil lasts, not the animals."""
    out = [
        "What animals and plants need meanwhile: drinking water, food, a look at them each day. Days count for the soil's "
        "water alone."
    ]
    if box.enclosure.dish is not None:
        out.append(
            "The water dish is taken as filled up every day. Nobody does it then: it runs dry, and the air with it."
        )
    if box.routine.mists:
        most = sum(allowed_ml(mist) for mist in box.routine.mists)
        out.append(
            f"The tanks of misters and foggers are taken as never empty. They may take up to {ml(most)} a day, "
            f"{ml(LATER_DAY * most)} in {LATER_DAY} days."
        )
    out.append(
        "The room is taken as the same every day: no heat wave, no cold spell, no power cut, no device that fails."
    )
    return tuple(one.finished() for one in state(Kind.ASSUMED, *out))


def _humidity(span: Range, wanted: str = "") -> str:
    low, middle, high = (f"{x:.0f}" for x in span)
    inside = [f"likely {low} to {high}"] if low != high else []
    inside += [f"wanted {wanted}"] if wanted else []
    return f"{middle} %" + (f" ({', '.join(inside)})" if inside else "")


def _warmth(span: Range) -> str:
    low, middle, high = span
    likely = f" (likely {quantity('°C', '.0f', low, high, bare=True)})" if f"{low:.0f}" != f"{high:.0f}" else ""
    return f"{quantity('°C', '.0f', middle)}{likely}"
