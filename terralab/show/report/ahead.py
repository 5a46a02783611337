"""The report's parts on days to come: the next weeks, an absence, an automatic watering."""

from __future__ import annotations

from terralab.answers.away.words import season_words
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.statement import Kind
from terralab.answers.together.all_answers import Answers
from terralab.describe.seasons import SEASONS
from terralab.quantities import marked
from terralab.show.figures.away import away_picture
from terralab.show.figures.forecast import forecast_picture
from terralab.show.figures.mister import mister as mister_picture
from terralab.show.report.parts import folded, items, paragraphs, picture, section
from terralab.show.report.told import in_short, long, prose, rest

#: What an absence states on the page.
_ALONE = (Kind.WINDOW, Kind.AIR, Kind.DRAWS)
#: What an automatic watering states there.
_MISTED = (Kind.DO, Kind.WHY)
MORE = "The rest of this answer"
NOT_PLANNED = "This is not part of the week's plan: a mister would take the place of its spraying by hand."
_SHEET = (
    "In a terminal `terralab away BOX --sheet helper.html` writes a sheet for your helper. Let nothing automatic start its first day on the day "
    "you leave (common practice, no source)."
)


def forecast_section(answers: Answers) -> str:
    """The section on the next weeks; empty where there is no answer."""
    ahead = answers.forecast
    if ahead is None:
        return ""
    words = "Fans of likely courses, with the routine as described. Black dots: the middle with the recommended pour."
    heading = f"What comes in the next {ahead.details['days']} days?"
    told = prose(ahead, Kind.DO, Kind.WHY)
    more = rest(ahead, Kind.DO, Kind.WHY)
    drawn = picture(forecast_picture(ahead), words)
    return section("forecast", heading, told, folded("Day by day, and the rest of this answer", drawn, more))


def mister_section(answers: Answers) -> str:
    """The section on an automatic watering; empty where there is no answer."""
    found = answers.mister
    if found is None:
        return ""
    words = "Every way that was tried, and what the named ones give over all draws."
    drawn = picture(mister_picture(found), words) if found.details.get("choices") else ""
    lead = NOT_PLANNED if found.details.get("choices") else ""
    told = prose(found, *_MISTED)
    return section(
        "mister",
        "Would an automatic watering do better?",
        paragraphs([lead]),
        told,
        folded(MORE, drawn, rest(found, *_MISTED)),
    )


def away_section(answers: Answers) -> str:
    """The section on an absence; empty where there is no answer."""
    if answers.away is None:
        return ""
    alone = answers.away["now"]
    words = "Days until each thing happens while nobody is there, and the chance that all is well day by day."
    unrun = [left_out_words(answers.away[season].spread, f"draws in {season}") for season in SEASONS[1:]]
    orders = [
        marked(one.text) for one in long(alone) if one.kind is Kind.DO
    ]  # the first of several is all in few words
    prepared = "".join("<h3>What can be prepared</h3>" + items(one.under) for one in alone.of_kind(Kind.TABLE))
    return section(
        "away",
        "Can it be left alone?",
        paragraphs([in_short(alone)] if len(orders) < 2 else []),
        paragraphs(orders[1:]),
        prose(alone, *_ALONE),
        paragraphs([*(season_words(answers.away[season]) for season in SEASONS[1:]), *unrun, _SHEET]),
        folded(
            "Day by day, what can be prepared, and the rest of this answer",
            picture(away_picture(alone), words),
            prepared,
            rest(alone, Kind.DO, *_ALONE),
        ),
    )
