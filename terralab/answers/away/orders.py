"""What is prepared and what a helper does, as orders: in the answer, on the helper's sheet and on the page alike."""

from __future__ import annotations

from collections.abc import Sequence

from terralab import wording
from terralab.answers.away.preparations import APART_H, Prep, Preparation, Visit
from terralab.answers.common.at_the_lid import lid_words
from terralab.answers.common.words import ml
from terralab.describe.box import Box
from terralab.quantities import quantity

NAME = {Prep.COVER: "cover the lid further", Prep.FILL: "fill the layer below through the tube"}


def name_of(kind: Prep) -> str:
    """What a preparation is called in a list."""
    return NAME.get(kind, str(kind))


def order(box: Box, prep: Preparation) -> str:
    """What to do for a preparation, as a clause in the imperative, with its amounts."""
    a = prep.amounts
    if prep.kind is Prep.TOP_UP:
        return f"fill {vessels(box)} to the brim on the evening before"
    if prep.kind is Prep.SOAK:
        parts = int(a["portions"])
        how = f" in {parts} portions, {60.0 * APART_H:.0f} minutes apart" if parts > 1 else ""
        return f"pour {ml(a['ml'])} over the soil{how} on the day before"
    if prep.kind is Prep.SIPHON:
        return f"draw the water below down to {quantity('cm', '.1f', a['level_cm'])} on the evening before"
    if prep.kind is Prep.FILL:
        return f"pour {ml(a['ml'])} down the tube on the day before, up to {quantity('cm', '.1f', a['level_cm'])} over the floor"
    if prep.kind is Prep.COVER:
        return f"cover {100.0 * a['share']:.0f} % of {lid_words(box)} when you leave"
    if prep.kind is Prep.TANK:
        name = box.routine.mists[int(a["mister"])].name
        return f'give "{name}" {ml(a["ml"])} of fresh water in a larger tank, or a second one, on the evening before'
    return f"have a helper come {visits_words(box, prep.visits)}"


def vessels(box: Box) -> str:
    """The dish and the tanks of a box: "the dish and the tank of "mister""."""
    names = ["the dish"] if box.enclosure.dish is not None else []
    names += [f'the tank of "{mist.name}"' for mist in box.routine.mists if mist.tank_ml is not None]
    return joined(names)


def joined(parts: Sequence[str]) -> str:
    """Parts as they are spoken: "a, b and c"."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def visits_words(box: Box, visits: Sequence[Visit]) -> str:
    """On which days, and what is done then: "on day 7 to pour 300 ml on the soil"."""
    fills = f"fill {vessels(box)}" if vessels(box) else ""
    pours = [visit for visit in visits if visit.ml > 0.0]
    if not pours:
        return f"{on_days(visits)} to {fills or 'look in'}"
    amounts = list(dict.fromkeys(ml(visit.ml) for visit in pours))
    poured = f"pour {amounts[0] if len(amounts) == 1 else joined([ml(visit.ml) for visit in pours])} on the soil"
    if len(pours) < len(visits):
        return f"{on_days(visits)} to {fills or 'look in'}, and to {poured} {on_days(pours)}"
    return f"{on_days(visits)} to {poured}{f' and {fills}' if fills else ''}"


def on_days(visits: Sequence[Visit]) -> str:
    """The days of visits: "on day 7", "on days 5 and 10", "every day"."""
    days = [visit.day for visit in visits]
    if len(days) > 3 and days == list(range(1, len(days) + 1)):
        return "every day"
    return f"on day{'s' if len(days) > 1 else ''} {joined([str(day) for day in days])}"


def span_words(span: Sequence[float | None], run_days: int) -> str:
    """The days until something happens: "after 7 days (5 to 8)", or that it did not happen in those that were run."""
    low, middle, high = span
    if low is None:
        return f"not within the {run_days} days that were run"
    if middle is None:
        return f"in most cases not within {run_days} days, but after {day_count(low)} in the first tenth"
    late = f"more than {run_days}" if high is None else plain_days(high)
    if high is not None and plain_days(low) == plain_days(high):
        return f"after {day_count(middle)}"
    return f"after {day_count(middle)} ({plain_days(low)} to {late})"


def plain_days(days: float) -> str:
    """Days as said: tenths below three, else whole."""
    return f"{days:.1f}" if days < 3.0 else f"{days:.0f}"


def day_count(days: float) -> str:
    """The same with what is counted."""
    return "less than an hour" if days < 1.0 / 24.0 else wording.days(days) if days >= 3.0 else f"{days:.1f} days"
