"""terralab: water and humidity in a planted, living-soil glass enclosure, by real computation.

import terralab as tl
tl.demos()                              # names of the shipped, invented enclosures
box = tl.load("fern-hollow")            # or "my-box.toml"
record = tl.simulate(box, days=14)      # a Record
answer = tl.daily_water(box)            # an Answer: value, low, high, unit, reason, ...
"""

from terralab import materials
from terralab.answers import (
    Answer,
    Answers,
    all_answers,
    away,
    daily_water,
    difference,
    drainage,
    fan_schedules,
    first_soak,
    rescue,
    sensitivities,
)
from terralab.describe.box import Box
from terralab.describe.files import demos, dumps, load, loads, save
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
    "ExponentialSoil",
    "Job",
    "Record",
    "RunError",
    "Soil",
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
    "fan_schedules",
    "first_soak",
    "load",
    "loads",
    "materials",
    "rescue",
    "run_many",
    "save",
    "sensitivities",
    "simulate",
]
