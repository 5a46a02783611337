"""Pictures for keepers. Nothing is loaded until a picture is asked for.

from terralab import show
picture = show.week_picture(record)        # humidity, temperatures, routine, soil water, water below
picture = show.budget_picture(answer.budget_ml_per_day, "Fern Hollow")
picture = show.water_picture(answer.record, answer)   # one settled day: air, what is wanted, what runs, soil, where water goes
picture = show.section_picture(record)     # the box cut open: its places, its ground enlarged, arrows with ml a day
film = show.section_film({"layer": record, "sealed": other})   # the ground as a film; plays in a page without a network
picture = show.measure_picture(answer)     # what to measure next, ranked by what it leaves of the range
picture = show.members_picture(answer)     # the boxes behind a range, one block each, and how the range settles
picture = show.fans_picture(answer)        # fan schedules side by side, and the lid; also lid_picture(answer), fan_day(answer)
picture = show.courses_picture({"no fan": record})  # several runs side by side over some hours
picture = show.forecast_picture(answer)    # the next weeks as a fan of likely courses, with their limits
picture = show.learned_picture(answer)     # what a log tells: read over computed, by hour of the day, ranges before and after
picture = show.mister_picture(answer)      # what each way of misting gains and costs
picture = show.away_picture(answer)        # days until each thing while nobody is there, and what preparing gains
picture = show.suction_picture(box)        # why the foot of the soil stays wet; show.suction_panel(box) to drag the water
picture = show.gap_picture(found)          # humidity against the gap under the mesh, of gap_and_humidity(box)
page = show.helper_page(answer)            # the sheet for the helper, of an answer of tl.away
panel = show.water_panel("my-box.toml")    # sliders for a notebook; also lid_, start_, fans_, drainage_ and sure_panel
show.guess("Which is damper?", ["the jar", "the box"], work)   # a result that waits for a guess; also show.on_demand
picture.alt                                # what it shows, in words
show.save(picture, stem="fern-hollow")     # a PNG under a new name; gives its path
page = show.report_page(tl.all_answers(box))    # one page with everything; show.save_report(page) keeps it
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the same names for type checkers, which read only what is written out; a test compares the two
    from terralab.show.figures.away import away_picture
    from terralab.show.figures.budget import budget as budget_picture
    from terralab.show.figures.courses import courses as courses_picture
    from terralab.show.figures.day import water_answer as water_picture
    from terralab.show.figures.fails import fails_picture
    from terralab.show.figures.fan_day import fan_day
    from terralab.show.figures.fan_lid import lid as lid_picture
    from terralab.show.figures.fans import fans as fans_picture
    from terralab.show.figures.film import film as section_film
    from terralab.show.figures.forecast import forecast_picture
    from terralab.show.figures.gap_humidity import gap_picture
    from terralab.show.figures.learned import learned_picture
    from terralab.show.figures.measure_next import measure_picture
    from terralab.show.figures.members import members_picture
    from terralab.show.figures.mister import mister as mister_picture
    from terralab.show.figures.proof import balance_picture, drying_picture, front_picture, retention_picture
    from terralab.show.figures.section import section as section_picture
    from terralab.show.figures.section_side_by_side import sections as sections_picture
    from terralab.show.figures.style import save
    from terralab.show.figures.suction import suction_picture
    from terralab.show.figures.week import week as week_picture
    from terralab.show.panel.guess import guess, on_demand
    from terralab.show.panel.questions import (
        drainage_panel,
        fans_panel,
        lid_panel,
        start_panel,
        sure_panel,
        water_panel,
    )
    from terralab.show.panel.suction import suction_panel
    from terralab.show.report.helper_sheet import helper_page
    from terralab.show.report.page import report_page, save_report

_WHERE = {
    "away_picture": ("figures.away", "away_picture"),
    "week_picture": ("figures.week", "week"),
    "budget_picture": ("figures.budget", "budget"),
    "water_picture": ("figures.day", "water_answer"),
    "retention_picture": ("figures.proof", "retention_picture"),
    "front_picture": ("figures.proof", "front_picture"),
    "balance_picture": ("figures.proof", "balance_picture"),
    "drying_picture": ("figures.proof", "drying_picture"),
    "section_picture": ("figures.section", "section"),
    "sections_picture": ("figures.section_side_by_side", "sections"),
    "section_film": ("figures.film", "film"),
    "helper_page": ("report.helper_sheet", "helper_page"),
    "measure_picture": ("figures.measure_next", "measure_picture"),
    "members_picture": ("figures.members", "members_picture"),
    "fails_picture": ("figures.fails", "fails_picture"),
    "fans_picture": ("figures.fans", "fans"),
    "courses_picture": ("figures.courses", "courses"),
    "fan_day": ("figures.fan_day", "fan_day"),
    "lid_picture": ("figures.fan_lid", "lid"),
    "forecast_picture": ("figures.forecast", "forecast_picture"),
    "learned_picture": ("figures.learned", "learned_picture"),
    "mister_picture": ("figures.mister", "mister"),
    "suction_picture": ("figures.suction", "suction_picture"),
    "gap_picture": ("figures.gap_humidity", "gap_picture"),
    "suction_panel": ("panel.suction", "suction_panel"),
    "guess": ("panel.guess", "guess"),
    "on_demand": ("panel.guess", "on_demand"),
    "start_panel": ("panel.questions", "start_panel"),
    "water_panel": ("panel.questions", "water_panel"),
    "fans_panel": ("panel.questions", "fans_panel"),
    "lid_panel": ("panel.questions", "lid_panel"),
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
    "courses_picture",
    "drainage_panel",
    "drying_picture",
    "fails_picture",
    "fan_day",
    "fans_panel",
    "fans_picture",
    "forecast_picture",
    "front_picture",
    "gap_picture",
    "guess",
    "helper_page",
    "learned_picture",
    "lid_panel",
    "lid_picture",
    "measure_picture",
    "members_picture",
    "mister_picture",
    "on_demand",
    "report_page",
    "retention_picture",
    "save",
    "save_report",
    "section_film",
    "section_picture",
    "sections_picture",
    "start_panel",
    "suction_panel",
    "suction_picture",
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
