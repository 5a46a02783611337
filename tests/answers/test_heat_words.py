"""What the first lines say of heat, and that the week's plan does not contradict them; no runs, only judged courses."""

from __future__ import annotations

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.heat_words import first_lines
from terralab.answers.common.temperature import Heat, judged
from terralab.answers.together.plan import week_plan
from terralab.describe import Box
from terralab.describe.wanted import temperatures_wanted
from terralab.quantities import said

pytestmark = pytest.mark.filterwarnings("ignore::terralab.TerralabWarning")
DAY = np.repeat([True, False], 48)
SNAKES = "tropical-forest snakes"


def heated(set_point: float) -> Box:
    """A box for snakes (25 to 28 °C by day, 31 at most) with a panel on a thermostat."""
    return tl.load("fern-hollow").change(
        **{
            "group": SNAKES,
            "routine.heaters": [
                {"name": "panel", "kind": "ceramic emitter", "power": "40 W", "timer": ["00:00-24:00"],
                 "control": {"senses": "temperature", "on": "below", "set_point": f"{set_point} C", "hysteresis": "1 K"}}
            ],
        }
    )  # fmt: skip


def warmth(box: Box, day: float, night: float) -> Heat:
    air = np.where(DAY, day, night).astype(float)
    return judged({"air": air, "ground": air, "glass": air}, DAY, temperatures_wanted(box))


def test_a_worse_summer_is_told_even_where_it_is_too_hot_now() -> None:
    box = heated(60)
    now, summer = warmth(box, 29.7, 26.8), warmth(box, 32.0, 30.2)
    assert not now.danger
    lines = first_lines(box, now, {"winter": now, "summer": summer})
    hotter = [line for line in lines if line.startswith("Hotter still in summer")]
    assert len(hotter) == 1
    assert "32.0 °C" in said(hotter[0])
    assert "dangerous" in hotter[0]
    assert not any("winter" in line for line in lines), "no worse than now"


def test_a_dangerous_winter_is_told_even_where_it_is_too_cold_now() -> None:
    """Also on top of a report and of a plan: cold that kills in the default winter is no detail of a cool room."""
    box = tl.load("fern-hollow").change(**{"room.winter": None})
    now, winter = warmth(box, 18.5, 16.0), warmth(box, 12.0, 3.7)
    assert now.cold
    assert not now.danger
    assert winter.danger
    lines = first_lines(box, now, {"winter": winter, "summer": now})
    (colder,) = (line for line in lines if line.startswith("Colder still in winter"))
    assert "default room" in colder
    assert "3.7 °C" in said(colder)
    assert "dangerous" in colder
    assert not any("summer" in line for line in lines), "no worse than now"


def test_a_hot_room_is_cooled_first() -> None:
    box = heated(60).change(**{"room.temperature": "33 C"})
    line = first_lines(box, warmth(box, 34, 33))[0]
    assert 0 < line.index("cool the room") < line.index('set the thermostat of "panel"')


def test_a_closed_jar_has_no_mesh_to_open() -> None:
    jar = tl.load("moss-jar").change(**{"enclosure.openings": [], "room.temperature": "20 C"})
    line = first_lines(jar, warmth(jar, 38, 36))[0]
    assert "mesh" not in line
    assert ": open it, " in line


@pytest.mark.parametrize(("set_point", "too_high"), [(60, True), (26, False)])
def test_the_plan_shows_the_most_a_thermostat_may_have(set_point: float, too_high: bool) -> None:
    box = heated(set_point)
    plan = {chore.what: chore.when for chore in week_plan(box, None, None)}
    warned = any("28 °C at most" in said(line) for line in first_lines(box, warmth(box, 29.7, 26.8)))
    assert warned == too_high
    assert ("thermostat at 28 °C at most (yours says 60 °C)" in plan["Heater: panel"]) == too_high
    assert ("temperature below" in plan["Heater: panel"]) != too_high


def test_a_heater_that_heats_the_night_is_named_before_a_lamp_that_is_off_then() -> None:
    """Days are as wanted, nights too hot: the thermostat of the heater is the cause, not the spot that burns at noon."""
    spot = {"name": "spot", "kind": "incandescent or halogen spot", "power": "20 W", "timer": ["11:00-13:00"]}
    box = heated(27.0).change(**{"routine.lamps": [spot], "enclosure.openings.lid.covered": 0.0})
    wanted = temperatures_wanted(box)
    heat = warmth(box, wanted.day_high, wanted.day_high)
    assert heat.hot
    (line,) = (one for one in first_lines(box, heat) if one.now)
    assert 'let "panel" rest by night' in line
    assert line.index('"panel"') < line.index('"spot"')
    assert '"panel"' in line.short[1]
    by_day = next(one for one in first_lines(box, warmth(box, wanted.day_high + 4.0, wanted.night_high)) if one.now)
    assert "by night, or" not in by_day
