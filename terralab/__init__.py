"""Water and humidity in a planted, living-soil glass enclosure, by real computation.

import terralab as tl
box = tl.load("fern-hollow")            # an invented one, or your file "my-box.toml"
print(tl.daily_water(box))              # how much water a day, in sentences
record = tl.simulate(box, days=14)      # humidity, temperatures, soil water

Describe a box
    demos, load, loads              names of the invented boxes; read one from a file or a text
    save, dumps                     write one to a file or a text
    Box                             what is read: enclosure, room, routine; box.change, box.describe
    materials                       soils, plants, lamps, animal groups, each number with its source

Ask about it
    daily_water, first_soak         how much water a day; how much on the first day
    fan_schedules                   when fans run, how far the lid is covered
    drainage                        how deep the layer under the soil, when to siphon
    mister                          an automatic watering: bursts, hours, switch, tank
    rescue, away                    days until soggy soil has air; days without a keeper
    forecast                        the next weeks if one goes on as now
    fails                           what if a device fails: hours until danger, alarms, floods
    normal, normal_log              is this reading usual; since when does a log show a change
    all_answers                     everything at once, with a plan of the week
    difference                      how far two answers of daily_water lie apart
    sensitivities                   which uncertain numbers decide
    learn, Learned                  what the box's own log tells of its hidden numbers
    Answer, Answers                 what comes back: print it, or take its numbers

Run it
    simulate                        one run, a Record
    Event                           what differs for a while, or happens once, in a run
    Start, Reading                  how a box stands at the start, by what was measured
    run_many, Job                   many runs, on this machine or a cluster
    Record                          series, soil by depth, budgets of water and heat; a table of them

What you measured
    read_log, Log                   the file of a hygrometer or logger, and how it was understood
    read_diary, Diary               what you poured, siphoned and weighed, from a table filled in by hand
    demo_log                        files of an invented box that was logged, to try it on
    salt_test, SaltTest             how far a hygrometer is off, from a night in a bag with wet salt

The soil alone
    Column                          a column of soil: pour on it, drain it, dry it
    Soil, ExponentialSoil           how a soil holds water and lets it through

What goes wrong
    TerralabError                   everything that is refused; its text says what to do
    DescriptionError, UnknownName   a box that cannot be; a name that no table holds
    RunError                        a run that could not be finished
    TerralabWarning                 allowed, but to be known

Pictures, panels and the report page are in terralab.show: `from terralab import show`.
"""

from terralab.cli.stop import quiet_start

quiet_start()  # first: the imports below take seconds

from terralab import materials
from terralab.answers import (
    Answer,
    Answers,
    Learned,
    all_answers,
    away,
    daily_water,
    difference,
    drainage,
    fails,
    fan_schedules,
    first_soak,
    forecast,
    learn,
    mister,
    normal,
    normal_log,
    rescue,
    sensitivities,
)
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.files import demo_log, demos, dumps, load, loads, save
from terralab.describe.start import Reading, Start
from terralab.errors import DescriptionError, RunError, TerralabError, TerralabWarning, UnknownName
from terralab.logs.diary import Diary
from terralab.logs.diary_file import read_diary
from terralab.logs.log import Log
from terralab.logs.read import read_log
from terralab.logs.salt_test import SaltTest, salt_test
from terralab.simulation.record import Record
from terralab.simulation.simulate import Job, run_many, simulate
from terralab.soil.column import Column
from terralab.soil.hydraulics import ExponentialSoil, Soil
from terralab.version import VERSION as __version__

__all__ = [
    "Answer",
    "Answers",
    "Box",
    "Column",
    "DescriptionError",
    "Diary",
    "Event",
    "ExponentialSoil",
    "Job",
    "Learned",
    "Log",
    "Reading",
    "Record",
    "RunError",
    "SaltTest",
    "Soil",
    "Start",
    "TerralabError",
    "TerralabWarning",
    "UnknownName",
    "__version__",
    "all_answers",
    "away",
    "daily_water",
    "demo_log",
    "demos",
    "difference",
    "drainage",
    "dumps",
    "fails",
    "fan_schedules",
    "first_soak",
    "forecast",
    "learn",
    "load",
    "loads",
    "materials",
    "mister",
    "normal",
    "normal_log",
    "read_diary",
    "read_log",
    "rescue",
    "run_many",
    "salt_test",
    "save",
    "sensitivities",
    "simulate",
]


def __dir__() -> list[str]:
    # What the Tab key offers: the modules behind the public names are no part of it.
    return [*__all__]
