"""The week's plan and what the answers advise: nothing that is advised against goes on in it. No runs, only judged courses."""

from __future__ import annotations

import re
import warnings
from types import SimpleNamespace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.heat_words import first_lines, heat_fields
from terralab.answers.common.temperature import judged
from terralab.answers.together.plan import WEEK, Chore, Part, before_a_season, week_plan
from terralab.describe.hot import hot_at_lid
from terralab.describe.wanted import temperatures_wanted
from terralab.quantities import said
from tests.keepers import keepers_box

pytestmark = pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
DAY = np.repeat([True, False], 48)
POURS = {"now": 100.0, "winter": 120.0, "summer": 80.0}
SEEDS = range(40)
#: What the first line says of a device, in its own words: these are orders against how it runs now.
AGAINST = re.compile(
    r'turn (?:the heater )?((?:"[^"]+"(?: and )?)+) down|let ("[^"]+") rest|raise the thermostat of ("[^"]+")'
    r'|let ("[^"]+") work for more hours|("[^"]+") never reaches its set point'
)


def boxes():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return [keepers_box(seed) for seed in SEEDS]


def planned(box: tl.Box, k: float) -> tuple[list[str], dict[str, Chore]]:
    """The first lines and the plan of a box that is `k` degrees over the day wanted, by night too (under it where negative)."""
    w = temperatures_wanted(box)
    ends = [(w.day_high, w.night_high) if k > 0.0 else (w.day_low, w.night_low)]
    air = np.where(DAY, ends[0][0] + k, ends[0][1] + k).astype(float)
    heat = judged({"air": air, "ground": air, "glass": air}, DAY, w)
    lines = first_lines(box, heat)
    plan = week_plan(box, POURS, None, first=lines, heat=heat.to_dict())
    return [said(line) for line in lines], {chore.what: chore for chore in plan}


@pytest.mark.parametrize("k", [4.0, -4.0])
def test_no_device_goes_on_as_its_own_warning_forbids(k):
    """A lamp that is to be turned down had its twelve hours in the plan all the same."""
    named = 0
    for box in boxes():
        lines, plan = planned(box, k)
        against = {
            name
            for line in lines
            for found in AGAINST.findall(line)
            for name in re.findall(r'"([^"]+)"', "".join(found))
        }
        for device in (*box.routine.lamps, *box.routine.heaters):
            chore = next(chore for what, chore in plan.items() if what.endswith(f": {device.name}"))
            assert chore.part is Part.TIMER
            if device.name in against:
                named += 1
                assert set(chore.days) == {"see to it"}, (box.name, device.name)
    assert named >= 10


def test_a_box_that_is_as_warm_as_wanted_keeps_its_hours():
    for box in boxes():
        w = temperatures_wanted(box)
        air = np.where(DAY, np.mean(w.band("day")), np.mean(w.band("night"))).astype(float)
        heat = judged({"air": air, "ground": air, "glass": air}, DAY, w)
        plan = week_plan(box, POURS, None, heat=heat.to_dict())
        assert not [chore for chore in plan if "see to it" in chore.days]


def test_nothing_is_sprayed_on_hot_glass():
    """The caution forbids it; the plan said 07:30, in the middle of the hours of a hot lamp."""
    waits = 0
    for box in boxes():
        hot = [one for one in (*box.routine.lamps, *box.routine.heaters) if one.name in hot_at_lid(box)]
        sprays = [chore for chore in week_plan(box, POURS, None) if chore.what == "Spray by hand"]
        for spray, chore in zip(box.routine.sprays, sprays, strict=True):
            near = any(one.timer.runs_at(spray.time_s) for one in hot)
            waits += near
            assert not near or "off and cold" in chore.when, box.name
    assert waits >= 3


def test_fans_that_are_not_recommended_are_switched_off_once_and_run_in_no_row():
    box = tl.load("fern-hollow")
    (fan,) = box.routine.fans
    for fans in ((), box.routine.fans):
        plan = [chore for chore in week_plan(box, POURS, None, fans) if chore.what == f"Fan: {fan.name}"]
        assert [chore.part for chore in plan] == [Part.TIMER if fans else Part.ONCE]
        assert (set(plan[0].days) == {"off"}) == (not fans)


def test_timers_of_other_seasons_are_in_the_plan():
    box = tl.load("fern-hollow").change(**{"routine.lamps.1.timer_winter": ["09:00-18:00"]})
    lamp = next(chore for chore in week_plan(box, POURS, None) if chore.what == "Lamp: plant light")
    assert lamp.when == "07:30-19:30; in winter 09:00-18:00"


def test_a_tank_is_filled_in_the_plan():
    mist = {"name": "fogger", "flow": "60 ml/min", "timer": ["1 min every 6 h"], "tank": "2 l", "refill": "3 d"}
    plan = week_plan(tl.load("moss-jar").change(**{"routine.mists": [mist]}), POURS, None)
    tank = next(chore for chore in plan if chore.what == "Tank of fogger")
    assert tank.when == "09:00, every 3 days (after this week: Wednesday)"
    assert tank.days == ("fill up", "", "", "fill up", "", "", "fill up")


@pytest.mark.parametrize("every", range(1, 16))
def test_what_is_done_every_few_days_is_as_far_apart_over_the_end_of_the_week(every):
    """A spray of every second day stood on Sunday and on the Monday after it."""
    box = tl.load("moss-jar").change(**{"routine.sprays.1.every": f"{every} d"})
    (spray,) = (chore for chore in week_plan(box, POURS, None) if chore.what == "Spray by hand")
    last = max(day for day, what in enumerate(spray.days) if what)
    if every in (1, 7):
        assert "after this week" not in spray.when
        return
    named = re.search(r"after this week: (\w+)(?: in (\d) weeks)?\)", spray.when)
    assert 7 * int(named[2] or 1) + WEEK.index(named[1]) - last == every


def test_a_warning_about_another_season_is_no_work_of_this_week():
    box = tl.load("moss-jar")
    w = temperatures_wanted(box)
    fine, hot = (
        np.where(DAY, day, night) for day, night in ((w.day_high, w.night_high), (w.day_high + 6.0, w.night_high))
    )
    now, summer = (judged({"air": air, "ground": air, "glass": air}, DAY, w) for air in (fine, hot))
    lines = first_lines(box, now, {"summer": summer})
    (line,) = lines
    answer = SimpleNamespace(first=lines, heat=heat_fields(now, lines)["heat"], of_kind=lambda *_: (), question="")
    assert before_a_season([answer]) == (line,)
    assert line not in answer.first[: answer.heat["first_now"]]
    plan = week_plan(box, POURS, None, later=before_a_season([answer]))
    assert [chore.part for chore in plan if "summer" in chore.when and "Too hot" in chore.when] == [Part.LATER]
