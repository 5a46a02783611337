"""The light at the plants: the day's sum, a lux meter's reading, and what is said of a dark box."""

from __future__ import annotations

from dataclasses import replace

import pytest

import terralab as tl
from terralab import materials
from terralab.answers.common.cautions import SUN, for_box, nearest_caution
from terralab.answers.common.light import LEVELS, NAMES, level, light_of, light_words
from terralab.answers.fans.schedules import shares_to_try
from terralab.describe import Box, Sun, Timer, Window
from terralab.simulation.light_at_plants import light_at_plants
from terralab.uncertainty import ensemble
from tests.keepers import keepers_box

pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
BOXES = [box for box in map(keepers_box, range(40)) if box.routine.lamps][:12]


def with_lamps(box: Box, **changes: object) -> Box:
    lamps = tuple(replace(lamp, **changes) for lamp in box.routine.lamps)
    return replace(box, routine=replace(box.routine, lamps=lamps))


@pytest.mark.parametrize("box", BOXES, ids=lambda box: box.name)
def test_the_sum_of_a_day_is_light_times_time_and_twice_the_watts_are_twice_the_light(box):
    seen = light_at_plants(box)
    assert seen.mol_a_day == pytest.approx(seen.umol * seen.hours * 3600.0 / 1e6)
    lasts = [lamp.timer.on_s / 3600.0 for lamp in box.routine.lamps]
    assert max(lasts) - 1e-9 <= seen.hours <= sum(lasts) + 1e-9
    none = light_at_plants(with_lamps(box, power_w=0.0))
    assert (none.umol, none.hours, none.mol_a_day) == (0.0, 0.0, 0.0)
    half = light_at_plants(with_lamps(box, power_w=50.0)).mol_a_day
    assert light_at_plants(with_lamps(box, power_w=100.0)).mol_a_day == pytest.approx(2.0 * half)


@pytest.mark.parametrize("box", BOXES, ids=lambda box: box.name)
def test_a_window_adds_light_and_more_of_it_nearer_by(box):
    dark = light_at_plants(box)
    sums = []
    for distance in (6.0, 2.0, 0.5):
        lit = replace(box, room=replace(box.room, window=Window(distance, "east")))
        seen = light_at_plants(lit)
        assert seen.hours >= dark.hours
        sums.append(seen.mol_a_day)
    assert [dark.mol_a_day, *sums] == sorted([dark.mol_a_day, *sums])


def test_what_a_lux_meter_showed_comes_back_as_lux():
    box = next(b for b in BOXES if len(b.routine.lamps) == 1)
    seen = light_at_plants(with_lamps(box, lux_at_plants=2800.0))
    assert seen.lux == pytest.approx(2800.0)
    each = materials.get("lamps", box.routine.lamps[0].kind).typical("lux_per_umol")
    assert seen.umol == pytest.approx(2800.0 / each)


def test_a_reading_narrows_the_range_and_no_light_is_said_to_be_none():
    box = next(b for b in BOXES if b.enclosure.basking is None)
    guessed = light_of(box, ensemble(box, 64))
    read = with_lamps(box, par_at_plants=guessed["umol"]["value"])
    seen = light_of(read, ensemble(read, 64))
    width = lambda light: light["umol"]["high"] - light["umol"]["low"]  # noqa: E731
    assert width(seen) > 0.0
    assert width(guessed) > 0.0
    off = with_lamps(box, power_w=0.0)
    assert "none" in light_words(off, light_of(off, ensemble(off, 4)))
    bare = replace(box, routine=replace(box.routine, lamps=()), room=replace(box.room, window=None))
    assert light_of(bare, ensemble(bare, 4)) == {}
    assert (light_words(bare, {}) == "") == (bare.enclosure.plants is None)


def test_levels_follow_the_foot_candles_of_their_source():
    """75, 150, 300 and 1500 foot-candles (University of Illinois Extension, Houseplants), at 10.764 lux each."""
    entry = materials.get("defaults", "light level")
    for name, candles in zip(LEVELS, (75, 150, 300, 1500), strict=True):
        number = entry[name]
        # daylight makes 52 lux of a umol at least, tubes and LEDs 77 at most (Thimijan & Heins 1983; table of lamps)
        assert number.low == pytest.approx(candles * 10.764 / 77.0, rel=0.06)
        assert number.high == pytest.approx(candles * 10.764 / 52.0, rel=0.06)
        assert number.low < number.typical < number.high
    assert NAMES[level(5.0)] == "too dark for plants"
    assert NAMES[level(30.0)] == "medium light"
    assert [level(x) for x in (0.0, 13.0, 27.0, 54.0, 270.0)] == [0, 1, 2, 3, 4]


def test_sun_on_the_glass_is_the_caution_that_stands_first():
    box = BOXES[0]
    assert SUN not in for_box(box)
    lit = replace(box, room=replace(box.room, sun=Sun(Timer(("08:00-09:30",)))))
    for about in ("water", "fans", "rescue"):
        assert nearest_caution(lit, about) == SUN


def test_in_the_sun_nothing_advises_to_close_the_lid_further() -> None:
    """A caution on the same page forbids it."""
    sunny = tl.load("fern-hollow").change(**{"room.sun": {"times": ["08:00-09:30"]}, "room.humidity": "30 %"})
    answer = tl.daily_water(sunny, members=2)
    assert "covering" not in str(answer).lower()
    assert max(shares_to_try(sunny)) <= max(o.covered for o in sunny.enclosure.openings)
