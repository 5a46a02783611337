"""Pictures for keepers. Nothing is loaded until a picture is asked for.

from terralab import show
picture = show.week_picture(record)        # humidity, temperatures, routine, soil water, water below
picture = show.budget_picture(answer.budget_ml_per_day, "Fern Hollow")
picture = show.water_picture(answer.record, answer)
picture = show.section_picture(record)     # the box cut open: soil, water below, air and fog, arrows with ml a day
film = show.section_film(record)           # the same over a day or a month, plays in a page without a network
picture = show.measure_picture(answer)     # what to measure next, ranked by what it leaves of the range
picture = show.fans_picture(answer)        # fan schedules as strips; also fan_trade_off(answer), fan_day(answer)
picture = show.forecast_picture(answer)    # the next weeks as a fan of likely courses, with their limits
picture = show.learned_picture(answer)     # what a log tells: read over computed, by hour of the day, ranges before and after
picture = show.mister_picture(answer)      # what each way of misting gains and costs
picture = show.away_picture(answer)        # days until each thing while nobody is there, and what preparing gains
page = show.helper_page(answer)            # the sheet for the helper, of an answer of tl.away
panel = show.water_panel("my-box.toml")    # sliders for a notebook; also start_, fans_, drainage_ and sure_panel
picture.alt                                # what it shows, in words
show.save(picture, stem="fern-hollow")     # a PNG under a new name; gives its path
page = show.report_page(tl.all_answers(box))    # one page with everything; show.save_report(page) keeps it
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the same names for type checkers, which read only what is written out; a test compares the two
    from terralab.show.figures.away import away_picture
    from terralab.show.figures.budget import budget as budget_picture
    from terralab.show.figures.budget import water_answer as water_picture
    from terralab.show.figures.fails import fails_picture
    from terralab.show.figures.fans import fan_day
    from terralab.show.figures.fans import fans as fans_picture
    from terralab.show.figures.fans import trade_off as fan_trade_off
    from terralab.show.figures.film import film as section_film
    from terralab.show.figures.forecast import forecast_picture
    from terralab.show.figures.learned import learned_picture
    from terralab.show.figures.measure_next import measure_picture
    from terralab.show.figures.mister import mister as mister_picture
    from terralab.show.figures.proof import balance_picture, drying_picture, front_picture, retention_picture
    from terralab.show.figures.section import section as section_picture
    from terralab.show.figures.section import sections as sections_picture
    from terralab.show.figures.style import save
    from terralab.show.figures.week import week as week_picture
    from terralab.show.panel.questions import drainage_panel, fans_panel, start_panel, sure_panel, water_panel
    from terralab.show.report.helper_sheet import helper_page
    from terralab.show.report.page import report_page, save_report

_WHERE = {
    "away_picture": ("figures.away", "away_picture"),
    "week_picture": ("figures.week", "week"),
    "budget_picture": ("figures.budget", "budget"),
    "water_picture": ("figures.budget", "water_answer"),
    "retention_picture": ("figures.proof", "retention_picture"),
    "front_picture": ("figures.proof", "front_picture"),
    "balance_picture": ("figures.proof", "balance_picture"),
    "drying_picture": ("figures.proof", "drying_picture"),
    "section_picture": ("figures.section", "section"),
    "sections_picture": ("figures.section", "sections"),
    "section_film": ("figures.film", "film"),
    "helper_page": ("report.helper_sheet", "helper_page"),
    "measure_picture": ("figures.measure_next", "measure_picture"),
    "fails_picture": ("figures.fails", "fails_picture"),
    "fans_picture": ("figures.fans", "fans"),
    "fan_trade_off": ("figures.fans", "trade_off"),
    "fan_day": ("figures.fans", "fan_day"),
    "forecast_picture": ("figures.forecast", "forecast_picture"),
    "learned_picture": ("figures.learned", "learned_picture"),
    "mister_picture": ("figures.mister", "mister"),
    "start_panel": ("panel.questions", "start_panel"),
    "water_panel": ("panel.questions", "water_panel"),
    "fans_panel": ("panel.questions", "fans_panel"),
    "drainage_panel": ("panel.questions", "drainage_panel"),
    "sure_panel": ("panel.questions", "sure_panel"),
    "report_page": ("report.page", "report_page"),
    "save": ("figures.style", "save"),
    "save_report": ("report.page", "save_report"),
}

__all__ = [
    "away_picture",
    "balance_picture",
    "budget_picture",
    "drainage_panel",
    "drying_picture",
    "fails_picture",
    "fan_day",
    "fan_trade_off",
    "fans_panel",
    "fans_picture",
    "forecast_picture",
    "front_picture",
    "helper_page",
    "learned_picture",
    "measure_picture",
    "mister_picture",
    "report_page",
    "retention_picture",
    "save",
    "save_report",
    "section_film",
    "section_picture",
    "sections_picture",
    "start_panel",
    "sure_panel",
    "water_panel",
    "water_picture",
    "week_picture",
]


def __dir__() -> list[str]:
    return [*__all__]


if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        if name not in _WHERE:
            raise AttributeError(f"terralab.show has no {name!r}; it has {', '.join(sorted(_WHERE))}")
        module, function = _WHERE[name]
        return getattr(import_module(f"terralab.show.{module}"), function)
