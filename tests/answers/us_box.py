"""A box typed in US units and what is asked about it: once in a process, for the test files that look at the words."""

from __future__ import annotations

from functools import cache

import terralab as tl

BOX = """
name = "My 60 cm box of 5 gal"
group = "arboreal temperate and subtropical frogs"
[enclosure]
width = "20 in"
front_to_back = "16 in"
height = "22 in"
[[enclosure.layers]]
material = "fine coir mix"
depth = "4 in"
[enclosure.drainage]
material = "expanded clay 8-16 mm"
depth = "3 in"
level = "0.5 in"
[[enclosure.openings]]
name = "top"
wall = "lid"
width = "14 in"
height = "10 in"
[enclosure.plants]
kind = "ferns"
leaf_area = "300 in2"
[band]
day_low = "60 %"
day_high = "85 %"
night_low = "70 %"
night_high = "95 %"
day_temp_low = "66 F"
day_temp_high = "78 F"
night_temp_low = "60 F"
night_temp_high = "72 F"
[room]
temperature = { day = "72 F", night = "66 F" }
humidity = "40 %"
[[routine.pours]]
time = "08:00"
amount = "5 fl oz"
[[routine.sprays]]
time = "20:00"
amount = "2 fl oz"
"""
QUESTIONS = {
    "water": lambda box: tl.daily_water(box, members=4),
    "soak": lambda box: tl.first_soak(box, members=16),
    "drainage": lambda box: tl.drainage(box, members=4, pour_members=4),
    "fans": lambda box: tl.fan_schedules(box, members=4, pour_members=4),
    "rescue": lambda box: tl.rescue(box, members=4),
    "forecast": lambda box: tl.forecast(box, 14, members=16, pour_members=4),
    "mister": lambda box: tl.mister(box, members=4),
    "fails": lambda box: tl.fails(box, ("now",), members=2),
}


@cache
def answer_of(question: str) -> tl.Answer:
    """The answer about that box."""
    return QUESTIONS[question](tl.loads(BOX))
