"""How long does the box do without watering? Nobody pours or sprays; timers go on."""

from __future__ import annotations

import warnings
from dataclasses import dataclass, replace

from terralab.answers.balance import DRY_HEAD_M, kept_dry, top_suction_m, with_pour
from terralab.answers.band import band_of, humidity
from terralab.answers.sample import sampled
from terralab.answers.temperature import heat_of
from terralab.describe.box import Box
from terralab.errors import TerralabWarning
from terralab.record import Record

DAYS = 60  # the longest absence looked at
MEMBERS = 16
LATER_DAY = 14  # the day whose humidity is told


@dataclass(frozen=True)
class Away:
    """What becomes of a box without pouring and spraying: (low, middle, high) each, middle and 80 % of the members.

    `top_dries`: days until the top 2 cm suck harder than 1 m, an end None where that takes over 60 days; None as a whole
    for a box that is held dry. `rh_day` and `rh_night`: mean humidity [%] after two weeks, `temp_day` and `temp_night`:
    mean temperature of the air [C] then.
    """

    top_dries: tuple[float | None, float | None, float | None] | None
    rh_day: tuple[float, float, float]
    rh_night: tuple[float, float, float]
    temp_day: tuple[float, float, float]
    temp_night: tuple[float, float, float]


def away(box: Box, season: str = "now", members: int = MEMBERS) -> Away:
    """How long `box` does without a keeper in the room of `season` ("now", "winter" or "summer"), as an `Away`.

    Pours and sprays stop; misters, lamps, heaters and fans go on by their timers. `members` (2 to 8192) draws of
    everything uncertain. Raises TerralabError for bad input, RunError when the box cannot be run.
    """
    band, _ = band_of(box)
    alone = with_pour(box, 0.0)
    routine = replace(alone.routine, pours=(), sprays=(), siphons=())
    mean = lambda part: (  # noqa: E731
        lambda record: humidity(record, record.rows(LATER_DAY - 1, LATER_DAY), band)[part]["mean"]
    )
    warm = lambda part: lambda record: heat_of(record, record.rows(LATER_DAY - 1, LATER_DAY)).seen["air"][part]["mean"]  # noqa: E731
    measures = {
        "top": _top_dries,
        "day": mean("day"),
        "night": mean("night"),
        "C day": warm("day"),
        "C night": warm("night"),
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)  # the box as described has given its cautions already
        alone = replace(alone, routine=routine)
    sample = sampled(alone, DAYS, measures, season, members)
    dries = None
    if not kept_dry(box):
        dries = tuple(None if d > DAYS else round(d, 1) for d in sample.range_of("top"))
    parts = (tuple(round(x, 1) for x in sample.range_of(part)) for part in ("day", "night", "C day", "C night"))
    return Away(dries, *parts)


def _top_dries(record: Record) -> float:
    """The day on which the top is first dry; twice the longest absence where it stays moist."""
    for day in range(DAYS):
        if top_suction_m(record, record.rows(day, day + 1)) >= -DRY_HEAD_M:
            return float(day + 1)
    return 2.0 * DAYS


def days_in_words(span: tuple[float | None, float | None, float | None]) -> str:
    """Days with their range, as a keeper would say them: "about 12 days (8 to 20)".

    >>> days_in_words((8.0, 12.0, None))
    'about 12 days (8 to over 60)'
    """
    low, middle, high = span
    over = f"over {DAYS}"
    if low is None:
        return f"{over} days"
    ends = f"({low:.0f} to {over if high is None else f'{high:.0f}'})"
    return f"{over} days {ends}" if middle is None else f"about {middle:.0f} day{'' if middle == 1 else 's'} {ends}"
