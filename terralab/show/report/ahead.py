"""The report's parts on days to come: the next weeks, an absence, an automatic watering."""

from __future__ import annotations

from terralab.answers.away.words import season_words
from terralab.answers.common.draws import left_out_words
from terralab.answers.common.statement import Kind
from terralab.answers.together.all_answers import Answers
from terralab.describe.seasons import SEASONS
from terralab.show.figures.away import away_picture
from terralab.show.figures.forecast import forecast_picture
from terralab.show.figures.mister import mister as mister_picture
from terralab.show.report.parts import items, paragraphs, picture, section
from terralab.show.report.told import long, prose, warnings_first

#: What an absence states on the page.
_ALONE = (
    Kind.WARNING, Kind.DO, Kind.WHY, Kind.WINDOW, Kind.SURE, Kind.AIR, Kind.WARMTH, Kind.LEVEL, Kind.DRAWS,
)  # fmt: skip
_SHEET = (
    "A sheet for your helper: `terralab away BOX --sheet helper.html`. Let nothing automatic start its first day on the day "
    "you leave (common practice, no source)."
)


def forecast_section(answers: Answers) -> str:
    """The section on the next weeks; empty where there is no answer."""
    ahead = answers.forecast
    if ahead is None:
        return ""
    words = "Fans of likely courses, with the routine as described. Black dots: the middle with the recommended pour."
    heading = f"What comes in the next {ahead.details['days']} days?"
    told = prose(ahead, Kind.DO, Kind.WHY, Kind.WINDOW, Kind.EXPLAINED)
    return section("forecast", heading, told, picture(forecast_picture(ahead), words))


def mister_section(answers: Answers) -> str:
    """The section on an automatic watering; empty where there is no answer."""
    found = answers.mister
    if found is None:
        return ""
    kinds = (Kind.DO, Kind.WHY, Kind.WINDOW, Kind.ALTERNATIVE, Kind.LEVEL, Kind.MISHAP, Kind.EXPLAINED)
    told = paragraphs(one.text for one in long(found) if one.kind in kinds)
    words = "Every way that was tried, and what the named ones give over all draws."
    drawn = picture(mister_picture(found), words) if found.details.get("choices") else ""
    return section("mister", "An automatic watering?", told, drawn)


def away_section(answers: Answers) -> str:
    """The section on an absence; empty where there is no answer."""
    if answers.away is None:
        return ""
    alone = answers.away["now"]
    words = "Days until each thing happens while nobody is there, and the chance that all is well day by day."
    unrun = [left_out_words(answers.away[season].spread, f"draws in {season}") for season in SEASONS[1:]]
    return section(
        "away",
        "Can it be left alone?",
        paragraphs(warnings_first(answers)),
        prose(alone, *_ALONE),
        picture(away_picture(alone), words),
        *("<h3>What can be prepared</h3>" + items(one.under) for one in alone.of_kind(Kind.TABLE)),
        paragraphs([*(season_words(answers.away[season]) for season in SEASONS[1:]), *unrun, _SHEET]),
        "<h3>What this takes for granted</h3>",
        items(alone.assumptions),
    )
