"""The absence in words: what was seen in the days that were run, what was not counted, and no promise beyond."""

from __future__ import annotations

from terralab.answers.away.away import DAYS, LATER_DAY, Away, Range
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.words import ml
from terralab.answers.water.misted import allowed_ml
from terralab.describe.box import Box

ROOMS = {"now": "In the room as described", "winter": "In winter", "summer": "In summer"}


def dries_words(span: tuple[float | None, float | None, float | None]) -> str:
    """When the top dries out, as a clause. An end that is None lies beyond the days that were run.

    >>> dries_words((8.0, 12.0, None))
    'the top 2 cm dry out after about 12 days (8 to more than the 60 that were run)'
    """
    low, middle, high = span
    if low is None:
        return f"the top 2 cm did not dry out in the {DAYS} days that were run"
    if middle is None:
        return f"the top 2 cm did not dry out in the {DAYS} days that were run in most cases drawn, but after {low:.0f} days in the driest tenth"
    late = f"more than the {DAYS} that were run" if high is None else f"{high:.0f}"
    return f"the top 2 cm dry out after about {middle:.0f} day{'' if middle == 1 else 's'} ({low:.0f} to {late})"


def dries_cell(span: tuple[float | None, float | None, float | None]) -> str:
    """The same for a table: "about 12 days (8 to 20)", or that it was not seen."""
    low, middle, high = span
    if middle is None:
        return f"not seen in {DAYS} days" + ("" if low is None else f" ({low:.0f} days in the driest tenth)")
    late = f"over {DAYS}" if high is None else f"{high:.0f}"
    return f"about {middle:.0f} day{'' if middle == 1 else 's'} ({low:.0f} to {late})"


def away_sentences(box: Box, season: str, found: Away) -> tuple[str, ...]:
    """What an absence does in the room of one season: soil, humidity and temperature, with what is wanted beside them."""
    top = "" if found.top_dries is None else f"{dries_words(found.top_dries)}; "
    target, _ = target_of(box)
    wanted = {"day": "", "night": ""}
    if target is not None:
        wanted = {
            "day": f", wanted {target.day_low:g} to {target.day_high:g} %",
            "night": f", wanted {target.night_low:g} to {target.night_high:g} %",
        }
    air = [
        f"{_span(rh, '%', wanted[part])} at {_span(warm, '°C')} by {part}"
        for part, rh, warm in (("day", found.rh_day, found.temp_day), ("night", found.rh_night, found.temp_night))
    ]
    ends = " and ".join(
        f"{_span(rh, '%')} at {warm[1]:.0f} °C by {part}"
        for part, rh, warm in (
            ("day", found.rh_day_end, found.temp_day_end),
            ("night", found.rh_night_end, found.temp_night_end),
        )
    )
    return (
        f"{ROOMS[season]}: {top}after {LATER_DAY} days the humidity is {air[0]}, {air[1]}; after {DAYS} days {ends}.",
    )


def not_counted(box: Box) -> tuple[str, ...]:
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
    return tuple(out)


def _span(span: Range, unit: str, more: str = "") -> str:
    low, middle, high = (f"{x:.0f}" for x in span)
    likely = f"likely {low} to {high}" if low != high else ""
    inside = f"{likely}{more}".removeprefix(", ")
    return f"{middle} {unit}" + (f" ({inside})" if inside else "")
