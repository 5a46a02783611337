"""How often and for how many days a run must be looked at so that what comes in bursts or every few days is seen as it is.

A row of a record is one moment. Rows every half hour all fall into the pauses of a fan that runs the first ten minutes of each
hour, and so would show a box without it: two points too damp in Fern Hollow.

A mean over a week counts a spray of every second day three times or four: 13 or 17 ml a day in place of 15. So means are taken over
whole periods of all that is done by hand.
"""

from __future__ import annotations

import math
from itertools import pairwise

from terralab.describe.box import Box
from terralab.units import DAY_S

WEEK_DAYS = 7
LONGEST_DAYS = 12  # a run of two weeks has settled by its third day well enough for a mean (a choice)
ROWS_MIN = (60.0, 30.0, 15.0, 5.0)  # minutes from row to row, from the coarsest to the finest


def fair_rows_min(box: Box, most: float = 15.0, season: str = "now") -> float:
    """The longest time from row to row [min], at most `most`, at which the timers of all fans are seen fairly.

    Fairly: every run and every pause lasts two rows, or begins and ends on one. Five minutes where nothing longer is fair.
    A fan on a control is left aside, since nobody knows when it runs.
    """
    fans = [fan for fan in box.routine.in_season(season).fans if fan.control is None]
    tried = [every for every in ROWS_MIN if every <= most]
    return next(
        (every for every in tried if all(_fair(fan.timer.periods_s(), 60.0 * every) for fan in fans)), tried[-1]
    )


def fair_days(box: Box) -> int:
    """Over how many days means are taken: a week, or the most of it in which what is done every few days comes as often as its
    rhythm says; one whole period where that is longer than a week. A week too where no such span is short enough.
    """
    routine, dish = box.routine, box.enclosure.dish
    sprayed, poured = ([one.every_days for one in what] for what in (routine.sprays, routine.pours))
    refilled = [dish.refill_days] if dish is not None and isinstance(dish.refill_days, int) else []
    # where all of it together takes too long to come round, first the refills are left aside and then the pours: sprays moisten
    # the air most
    for every in ([*sprayed, *poured, *refilled], [*sprayed, *poured], sprayed):
        period = math.lcm(*every)
        if period <= LONGEST_DAYS:
            return period * max(1, WEEK_DAYS // period)
    return WEEK_DAYS


def rhythm_days(box: Box) -> int:
    """After how many days its sprays come round; 1 where that would take too long to run."""
    found = box.routine.sprays_come_round_days
    return found if found <= LONGEST_DAYS else 1


def _fair(periods: list[tuple[float, float]], row_s: float) -> bool:
    edges = sorted(edge for period in periods for edge in period)
    if not edges:
        return True
    round_the_clock = [*edges, edges[0] + DAY_S]
    shortest = min((b - a for a, b in pairwise(round_the_clock) if b - a > 1.0), default=DAY_S)
    on_rows = all(abs(edge / row_s - round(edge / row_s)) * row_s < 1.0 for edge in edges)
    return shortest >= 2.0 * row_s - 1.0 or on_rows
