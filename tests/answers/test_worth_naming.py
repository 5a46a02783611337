"""Advice that a keeper could see the effect of: no fan for half a degree, no thermostat that is never reached, no work for an hour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import terralab as tl
from terralab.answers.common.heat_words import first_lines
from terralab.answers.common.temperature import READ_K, Heat, judged
from terralab.answers.fans.choice import NOTED_K, first_of
from terralab.answers.fans.faults import faults_of
from terralab.answers.rescue.remedies import Remedy, RemedyKind, worth_it
from terralab.describe import Control, Heater, Sun, Timer
from terralab.describe.box import HumidityTarget
from terralab.describe.trial import Trial
from terralab.describe.wanted import Temperatures
from terralab.quantities import said

FROGS = Temperatures(20, 26, 17, 24, least=12, most=28, surface_most=28, source="a test")
WANTED = HumidityTarget(70, 90, 90, 100)
DAY = np.repeat([True, False], 48)


def heat_at(day: float, night: float = 20.0) -> Heat:
    air = np.where(DAY, day, night).astype(float)
    return judged({"air": air, "ground": air, "glass": air}, DAY, FROGS)


def row(name: str, day: float, minutes: float, hours: float = 24.0, rh: float = 80.0) -> dict:
    now = {"heat": heat_at(day), "hours": {"day inside": hours, "night inside": 0.0}, "rh_day": {"mean": rh},
           "rh_night": {"mean": rh}, "water_ml": 50.0, "top_dries": False, "front_all_day": False, "sprays": 0}  # fmt: skip
    now["faults"] = faults_of(now, 12.0)
    return {"name": name, "mode": "circulate" if minutes else "none", "minutes_a_day": minutes, "now": now}


@pytest.mark.parametrize(("cooler", "first"), [(0.0, "no fan"), (0.4, "no fan"), (0.9, "no fan"), (1.4, "circulate")])
def test_a_fan_is_named_against_heat_only_where_it_takes_a_degree_off(cooler: float, first: str) -> None:
    """Also where the smaller change would end what counts as too hot: it would still read so on the next warm day."""
    assert NOTED_K == 1.0
    for too_hot in (0.7, 3.0):
        rows = [row("no fan", 26.0 + too_hot, 0.0), row("circulate", 26.0 + too_hot - cooler, 1440.0)]
        assert rows[0]["now"]["heat"].hot
        assert first_of(rows, WANTED)["name"] == first, too_hot


def test_a_schedule_is_not_named_for_hours_that_no_hygrometer_shows() -> None:
    """A point across the border of what is wanted is twelve hours more inside it."""
    near = [row("no fan", 22.0, 0.0, 12.0, 89.5), row("circulate", 22.0, 720.0, 24.0, 90.6)]
    assert first_of(near, WANTED)["name"] == "no fan"
    far = [row("no fan", 22.0, 0.0, 12.0, 80.0), row("circulate", 22.0, 720.0, 24.0, 90.6)]
    assert first_of(far, WANTED)["name"] == "circulate"


def remedy(kind: RemedyKind, top: float, bottom: float | None) -> Remedy:
    span = lambda days: (days, days, days)  # noqa: E731
    return Remedy(kind, span(top), span(bottom), (1.0, 1.0, 1.0), {}, 20.0, 20.0, True, kind)


def test_the_plainest_remedy_that_is_about_as_quick_is_named_and_never_to_go_on() -> None:
    going, stop = remedy(RemedyKind.GO_ON, 1.0, 7.9), remedy(RemedyKind.STOP, 1.0, 8.0)
    assert worth_it([going, stop, remedy(RemedyKind.FAN, 1.0, 7.7)]) is stop
    fan = remedy(RemedyKind.FAN, 1.0, 5.0)
    assert worth_it([going, stop, fan]) is fan
    assert worth_it([stop, remedy(RemedyKind.FAN, 1.0, None)]) is stop
    top = remedy(RemedyKind.SIPHON, 0.2, 8.0)
    assert worth_it([remedy(RemedyKind.STOP, 4.0, 8.0), top]) is top, "the top counts too"


def test_what_reads_like_the_limit_is_not_past_it() -> None:
    """ "The air reaches 28.0 °C, 28 °C is the very most" was called dangerous."""
    at_the_limit = np.where(DAY, 24.0, 20.0).astype(float)
    for over, danger in ((0.8 * READ_K, False), (2.0 * READ_K, True)):
        air = at_the_limit.copy()
        air[10:20] = 28.0 + over
        assert judged({"air": air, "ground": at_the_limit, "glass": at_the_limit}, DAY, FROGS).danger == danger


# ---- orders that can be followed


def lines(box: tl.Box, heat: Heat, room: str = "now") -> str:
    return " ".join(said(text) for one in first_lines(box, heat, room=room) for text in (one, *one.short))


def fern(**changes: object) -> tl.Box:
    return tl.load("fern-hollow").change(**changes)


@pytest.mark.parametrize(
    ("set_point", "timer", "order"),
    [
        (18.0, "always", "raise the thermostat"),
        (27.0, "always", "never reaches its set point: take a stronger one"),
        (27.0, "06:00-12:00", "work for more hours: it does not reach its set point"),
    ],
)
def test_no_thermostat_is_raised_that_is_never_reached(set_point: float, timer: str, order: str) -> None:
    hold = Control("temperature", "below", set_point, 1.0, 5.0)
    heater = Heater("mat", "heat mat under floor", 20.0, Timer((timer,)), hold)
    box = fern()
    text = lines(Trial.of(box, routine=replace(box.routine, heaters=(heater,))), heat_at(18.5, 16.0))
    assert order in text
    assert (set_point == 18.0) == ("raise the thermostat" in text)


def test_a_box_in_the_sun_is_shaded_first_and_only_while_the_sun_shines() -> None:
    sunny = fern()
    sun = Sun(Timer(("10:00-13:00",)), seasons=("now", "summer"))
    sunny = Trial.of(sunny, room=replace(sunny.room, sun=sun))
    assert "First shade the box from the sun." in lines(sunny, heat_at(27.0))
    assert "shade the box" not in lines(sunny, heat_at(27.0), "winter")


def test_what_cools_is_judged_by_the_room_that_was_asked_about() -> None:
    """A mild room now, a hot one in summer: the summer's heat is the room's."""
    box = fern(**{"room.temperature": "20 C", "room.summer.temperature": "27 C"})
    assert "cool the room" in lines(box, heat_at(27.0), "summer")
    assert "cool the room" not in lines(box, heat_at(27.0))
