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
    all_answers                     everything at once, with a plan of the week
    difference                      how far two answers of daily_water lie apart
    sensitivities                   which uncertain numbers decide
    Answer, Answers                 what comes back: print it, or take its numbers

Run it
    simulate                        one run, a Record
    Event                           what differs for a while, or happens once, in a run
    Start, Reading                  how a box stands at the start, by what was measured
    run_many, Job                   many runs, on this machine or a cluster
    Record                          series, soil by depth, budgets of water and heat; a table of them

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
    all_answers,
    away,
    daily_water,
    difference,
    drainage,
    fails,
    fan_schedules,
    first_soak,
    forecast,
    mister,
    rescue,
    sensitivities,
)
from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.files import demos, dumps, load, loads, save
from terralab.describe.start import Reading, Start
from terralab.errors import DescriptionError, RunError, TerralabError, TerralabWarning, UnknownName
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
    "Event",
    "ExponentialSoil",
    "Job",
    "Reading",
    "Record",
    "RunError",
    "Soil",
    "Start",
    "TerralabError",
    "TerralabWarning",
    "UnknownName",
    "__version__",
    "all_answers",
    "away",
    "daily_water",
    "demos",
    "difference",
    "drainage",
    "dumps",
    "fails",
    "fan_schedules",
    "first_soak",
    "forecast",
    "load",
    "loads",
    "materials",
    "mister",
    "rescue",
    "run_many",
    "save",
    "sensitivities",
    "simulate",
]


def __dir__() -> list[str]:
    # What the Tab key offers: the modules behind the public names are no part of it.
    return [*__all__]
