"""One question a file; each returns an `Answer`."""

from terralab.answers.all_answers import Answers, all_answers
from terralab.answers.answer import Answer
from terralab.answers.away import Away, away
from terralab.answers.difference import Difference, difference
from terralab.answers.drainage import drainage
from terralab.answers.fans import fan_schedules
from terralab.answers.rescue import rescue
from terralab.answers.sensitivities import sensitivities
from terralab.answers.soak import first_soak
from terralab.answers.water import daily_water

__all__ = [
    "Answer",
    "Answers",
    "Away",
    "Difference",
    "all_answers",
    "away",
    "daily_water",
    "difference",
    "drainage",
    "fan_schedules",
    "first_soak",
    "rescue",
    "sensitivities",
]
