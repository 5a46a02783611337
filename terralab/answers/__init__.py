"""One question a file; each returns an `Answer`."""

from terralab.answers.away.away import away
from terralab.answers.common.answer import Answer
from terralab.answers.common.difference import Difference, difference
from terralab.answers.drainage.layer import drainage
from terralab.answers.fails.fails import fails
from terralab.answers.fans.fan_schedules import fan_schedules
from terralab.answers.forecast.forecast import forecast
from terralab.answers.learn.learn import Learned, learn
from terralab.answers.mister.mister import mister
from terralab.answers.normal.normal import normal
from terralab.answers.normal.normal_log import normal_log
from terralab.answers.rescue.rescue import rescue
from terralab.answers.soak.first_soak import first_soak
from terralab.answers.together.all_answers import Answers, all_answers
from terralab.answers.together.sensitivities import sensitivities
from terralab.answers.water.daily_water import daily_water

__all__ = [
    "Answer",
    "Answers",
    "Difference",
    "Learned",
    "all_answers",
    "away",
    "daily_water",
    "difference",
    "drainage",
    "fails",
    "fan_schedules",
    "first_soak",
    "forecast",
    "learn",
    "mister",
    "normal",
    "normal_log",
    "rescue",
    "sensitivities",
]
