"""What a keeper says of light, plants and ground: window, sun, a light meter, the floor plants cover, shares of the floor."""

from __future__ import annotations

import math
import re
import warnings
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import terralab as tl
from terralab import materials
from terralab.describe import Dish, Enclosure, Ground, Lamp, Layer, Plants, Sun, Window
from terralab.describe.capacity import capacity
from terralab.describe.doubts import doubts
from terralab.describe.wanted import group_band, temperatures_wanted
from terralab.engine.layout import Overrides
from terralab.engine.light import lamp_light, noon_light
from terralab.errors import DescriptionError, TerralabWarning
from terralab.quantities import said
from terralab.uncertainty.inputs import _typed
from terralab.uncertainty.overrides import changed
from tests.describe.random_boxes import enclosures

pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
EAST = {"room.window": {"distance": "1 m", "faces": "east"}}
SUN = {"room.sun": {"times": ["08:00-09:30"]}}
COVER = {"enclosure.plants.leaf_area": None, "enclosure.plants.cover": "50 %"}


def refused(box, **changes):
    with pytest.raises(DescriptionError) as found:
        box.change(**changes)
    return str(found.value)


def pick(end="typical", **own):
    """A chooser of numbers as the engine's: at one end of each range, or a value given by its property."""
    return lambda table, name, prop: own.get(prop, getattr(materials.get(table, name)[prop], end))


# what was never said means what it meant before


#: Demos with what they say of light and ground taken out again.
UNSAID = {
    "fern-hollow": {},
    "moss-jar": {"enclosure.ground": None},
    "tall-glen": {"room.window": None},
    "dry-ledge": {"enclosure.ground": None, "enclosure.plants": None},
}


@pytest.mark.parametrize("name", tl.demos())
def test_a_box_that_says_nothing_of_it_is_planted_soil_all_over(name):
    box = tl.load(name).change(**UNSAID[name])
    e = box.enclosure
    assert (box.room.window, box.room.sun, e.ground, e.moss_on_wood_area_cm2) == (None, None, None, None)
    assert e.soil_share == 1.0
    assert e.soil_area_m2 == e.floor_area_m2
    assert e.air_volume_m3 == e.floor_area_m2 * e.air_height_cm * 0.01
    assert e.open_soil_share == 1.0 - e.dish_share
    assert e.planted_share == e.open_soil_share
    assert e.plants is None or e.leaf_area_m2() == e.plants.leaf_area_cm2 / 1e4
    assert not re.search(r"^(\[room\.(window|sun)\]|\[enclosure\.ground\]|cover = \"\d|stands_on)", tl.dumps(box), re.M)


@pytest.mark.parametrize("name", tl.demos())
def test_a_ground_without_shares_is_the_ground_that_was_never_described(name):
    e = tl.load(name).change(**UNSAID[name]).enclosure
    same = replace(e, ground=Ground())
    for prop in ("soil_share", "open_soil_share", "planted_share", "air_volume_m3", "free_space_ml", "soil_area_m2"):
        assert getattr(same, prop) == getattr(e, prop), prop
    assert capacity(same) == capacity(e)


# ground


@given(enclosures())
def test_the_shares_of_the_floor_make_the_floor(e):
    parts = (e.planted_share, e.moss_share, e.bare_soil_share, e.rock_share, e.dish_share, e.bare_floor_share)
    assert math.fsum(parts) == pytest.approx(1.0, abs=1e-12)
    assert min(parts) >= 0.0
    assert e.soil_share == pytest.approx(e.open_soil_share + e.rock_share + e.dish_share, abs=1e-12)


@given(enclosures(), st.floats(0, 0.5))
def test_soil_and_air_fill_the_glass_with_any_bare_floor(e, bare):
    """What the soil loses the air gains, and all water that soil and layer take goes with the area of the soil."""
    bare_box = replace(e, ground=Ground(bare_floor=bare), dish=None)
    whole = replace(bare_box, ground=None)
    column = bare_box.soil_area_m2 * bare_box.surface_cm / 100.0
    assert bare_box.air_volume_m3 + column == pytest.approx(e.floor_area_m2 * e.height_cm / 100.0, rel=1e-12)
    held, all_of_it = capacity(bare_box), capacity(whole)
    assert held.drained_ml == pytest.approx((1.0 - bare) * all_of_it.drained_ml, rel=1e-9, abs=1e-9)
    assert held.dry_ml == pytest.approx((1.0 - bare) * all_of_it.dry_ml, rel=1e-9)
    assert bare_box.free_space_ml >= whole.free_space_ml


def test_shares_above_the_whole_say_what_is_left(fern):
    text = refused(fern, **{"enclosure.ground": {"moss": "50 %", "rock": "40 %", "bare_floor": "30 %"}})
    assert "moss 50 %, rock 40 %, bare floor 30 %, together 120 % of the floor" in text
    assert "the others leave 10 % for bare floor" in text
    assert fern.change(**{"enclosure.ground": {"moss": "50 %", "rock": "20 %", "bare_floor": "30 %"}})


def test_some_soil_stays_open(fern):
    assert "Water must get into the soil" in refused(fern, **{"enclosure.ground.rock": "97 %"})
    assert fern.change(**{"enclosure.ground.rock": "95 %"}).enclosure.planted_share == pytest.approx(0.05)


def test_a_dish_shades_the_soil_below_it_unless_it_stands_on_bare_floor():
    glass = Enclosure(50, 40, 50, (Layer("fine coir mix", 8),), dish=Dish(400, 3))
    assert glass.dish_share == pytest.approx(0.2)
    assert glass.open_soil_share == pytest.approx(0.8)
    pots = replace(glass, dish=Dish(400, 3, "bare floor"), ground=Ground(bare_floor=0.7))
    assert pots.dish_share == 0.0
    assert pots.open_soil_share == pytest.approx(0.3)
    with pytest.raises(DescriptionError, match="200 cm2 of bare floor"):
        replace(pots, ground=Ground(bare_floor=0.1))
    with pytest.raises(
        DescriptionError, match=r"dish.area: given 400 cm2, 20 % of the floor, beside rock 85 %.*300 cm2"
    ):
        replace(glass, ground=Ground(rock=0.85))


def test_a_moss_cover_and_a_share_of_moss_are_one_too_many(fern):
    mossy = {"enclosure.cover.material": "sheet moss", "enclosure.ground.moss": "20 %"}
    assert "lies on all soil" in refused(fern, **mossy)


def test_moss_sits_on_wood_that_is_there(fern):
    assert "all wood and background" in refused(fern, **{"enclosure.moss_on_wood_area": "4000 cm2"})
    box = fern.change(**{"enclosure.moss_on_wood_area": "200 cm2"})
    assert "200 cm2 of moss on it" in box.describe()
    assert tl.loads(tl.dumps(box)) == box


def test_the_ground_is_said_in_shares(fern):
    box = fern.change(**{"enclosure.ground": {"moss": "20 %", "rock": "15 %", "bare_soil": "10 %"}})
    assert "Of the floor 55 % planted soil, 10 % bare soil, 20 % moss and 15 % rock, tile, glass" in box.describe()
    assert tl.loads(tl.dumps(box)) == box


def test_a_wick_and_a_pour_are_measured_against_the_soil_alone(fern):
    pots = fern.change(**{"enclosure.ground.bare_floor": "60 %"})
    assert "108 cm2, a tenth of the floor under the soil" in refused(
        pots, **{"enclosure.drainage.wick_area": "200 cm2"}
    )
    with pytest.warns(TerralabWarning, match="more than the"):
        pots.change(**{"routine.pours.1.amount": "2600 ml"})


# plants


def test_leaf_area_follows_from_the_floor_that_plants_cover(fern):
    box = fern.change(**COVER)
    e = box.enclosure
    spread = materials.get("plants", e.plants.kind)["leaf_area_per_cover"]
    for end in ("low", "typical", "high"):
        assert e.leaf_area_m2(pick(end)) == pytest.approx(0.5 * 0.27 * getattr(spread, end))
    assert e.leaf_area_m2(pick(leaf_area_per_cover=4.0)) == pytest.approx(0.54)
    assert e.leaf_area_index() == pytest.approx(spread.typical)
    said_of_it = re.search(r"over 50 % of the floor \((\d+) to (\d+) cm2 of leaf\)", box.describe())
    ends = [1e4 * 0.5 * 0.27 * getattr(spread, end) for end in ("low", "high")]
    assert [float(number) for number in said_of_it.groups()] == pytest.approx(ends, rel=0.05)
    assert tl.loads(tl.dumps(box)) == box


def test_a_share_covered_is_a_number_that_may_be_off(fern):
    assert changed(fern.change(**COVER), {"box.enclosure.plants.cover": 0.6}).enclosure.plants.cover == 0.6
    ranged = fern.change(**COVER, ranges=[{"of": "enclosure.plants.cover", "low": "40 %", "high": "70 %"}])
    assert ranged.ranges[0].numbers(ranged)[0] == "box.enclosure.plants.cover"


def test_what_is_judged_by_eye_has_the_spread_of_its_table(fern):
    box = fern.change(**COVER, **SUN, **EAST, **{"room.sun.strength": "400 W/m2", "room.sun.share": "30 %"})
    box = box.change(**{"room.window.lux_at_plants": "800 lux", "routine.lamps.plant light.par_at_plants": "40 umol"})
    found = _typed(box)
    light = materials.get("defaults", "light as typed")["factor"]
    assert (found["box.enclosure.plants.cover"].low, found["box.enclosure.plants.cover"].high) == pytest.approx(
        (0.4, 0.6)
    )
    assert found["box.room.sun.share"].high == pytest.approx(0.4)
    assert found["box.room.sun.strength_w_m2"].low == pytest.approx(320)
    assert found["box.room.window.lux_at_plants"].high == pytest.approx(800 * light.high)
    assert found["box.routine.lamps.0.par_at_plants"].low == pytest.approx(40 * light.low)
    assert "box.enclosure.plants.leaf_area_cm2" not in found


def test_leaves_are_given_in_one_way():
    with pytest.raises(DescriptionError, match="or cover instead"):
        Plants("ferns")
    with pytest.raises(DescriptionError, match="given beside leaf_area"):
        Plants("ferns", 500, cover=0.5)


def test_each_kind_of_plant_says_how_much_leaf_stands_over_a_floor():
    for kind in materials.names("plants"):
        spread = materials.get("plants", kind)["leaf_area_per_cover"]
        assert spread.low < spread.high, kind
        assert spread.unit == "m2/m2"


def test_plants_stand_below_the_lid_and_say_so(fern):
    assert "higher than the air above the ground" in refused(fern, **{"enclosure.plants.height": "43 cm"})
    box = fern.change(**{"enclosure.plants.height": "25 cm", "enclosure.plants.raised_damp": True})
    assert "25 cm high. They grew up in very damp air." in box.describe()
    assert tl.loads(tl.dumps(box)) == box
    assert fern.enclosure.plants.raised_damp is None
    assert "true or false" in refused(fern, **{"enclosure.plants.raised_damp": "yes"})


def test_more_than_eight_floors_of_leaf_are_questioned(fern):
    at = lambda cm2, **more: doubts(fern.change(**{"enclosure.plants.leaf_area": cm2, **more}))  # noqa: E731
    assert not any("leaf_area" in one for one in at(8.0 * 2700))
    assert any("8.5 times the floor" in one for one in at(8.5 * 2700))
    # the same leaves over a third of the floor stand three times as dense
    assert any("leaf_area is" in one for one in at(3.0 * 2700, **{"enclosure.ground.rock": "67 %"}))
    covered = {"enclosure.ground": {"moss": "60 %", "rock": "40 %"}}
    assert any("no planted floor" in one for one in at(2700, **covered))


# light


def test_window_and_sun_come_back_from_the_file(fern):
    box = fern.change(**EAST, **SUN)
    text = tl.dumps(box)
    assert "# The window; faces is" in text
    assert "# Sun straight on the box. Dangerous" in text
    assert tl.loads(text) == box
    assert tl.dumps(tl.loads(text)) == text
    assert "It stands 1 m from an east window of double glass." in box.describe()
    assert "The sun falls on the front 08:00-09:30." in box.describe()
    feet = fern.change(**{"room.window": {"distance": "3 ft", "faces": "south", "glazing": "single"}})
    assert 'distance = "3 ft"' in tl.dumps(feet)
    assert feet.room.window.distance_m == pytest.approx(0.9144)


def test_the_window_knows_its_side_and_panes():
    assert [Window(1, side).azimuth_deg for side in ("north", "east", "south", "west")] == [0, 90, 180, 270]
    assert (Window(1, "east").panes, Window(1, "east", "single").panes) == (2, 1)


def test_the_sun_is_typed_or_comes_from_the_table(fern):
    e = fern.enclosure
    sun, own = Sun(["08:00-09:30"]), Sun(["08:00-09:30"], 300, 0.5, "left")
    table = materials.get("defaults", "sun patch")
    assert (sun.strength(pick("high")), sun.lit_share(pick("low"))) == (table["strength"].high, table["share"].low)
    assert own.watts(e, pick()) == pytest.approx(300 * 0.5 * 0.45 * e.air_height_cm / 100.0)
    assert Sun("always", 300, 1.0, "lid").watts(e, pick()) == pytest.approx(300 * e.floor_area_m2)
    assert sun.shines_in("winter")
    assert not Sun(["08:00-09:30"], seasons=["summer"]).shines_in("winter")
    assert not Sun("never").shines_in("summer")


def test_sun_on_the_glass_warns_and_names_the_limit(fern):
    with pytest.warns(TerralabWarning, match="never leave animals in a closed glass in the sun"):
        fern.change(**SUN)
    with pytest.warns(TerralabWarning, match="28 °C is the very most"):
        fern.change(**SUN)
    with warnings.catch_warnings():
        warnings.simplefilter("error", TerralabWarning)
        fern.change(**{"room.sun": {"times": ["never"]}})


def test_light_that_hardly_can_be_is_questioned(fern):
    odd = lambda **changes: " ".join(doubts(fern.change(**changes)))  # noqa: E731
    west = {"room.window": {"distance": "1 m", "faces": "west"}}
    assert "which has it after noon" in odd(**west, **SUN)
    assert "Check faces and times" not in odd(**EAST, **SUN)
    assert "when it is night" in odd(**{"room.sun": {"times": ["22:00-23:00"]}})
    assert "hardly any daylight" in odd(**{"room.window": {"distance": "6 m", "faces": "east"}})
    assert "more than shade plants bear" in odd(**{"routine.lamps.plant light.par_at_plants": "2000 umol"})
    assert "too dark to read" in odd(**{"routine.lamps.plant light.lux_at_plants": "40 lux"})
    board = {"enclosure.background_area": 0, "enclosure.background": {"material": "cork board", "thickness": "2 cm"}}
    assert "stands in its way" in odd(**board, **{"room.sun": {"times": ["08:00-09:00"], "wall": "back"}})


@pytest.mark.parametrize("text", ["40 umol", "40 µmol/m2s", "40 μmol", "40 umol/m²/s", "40 PPFD", "40 umol m-2 s-1"])
def test_a_reading_of_a_light_meter_is_understood(fern, text):
    box = fern.change(**{"routine.lamps.plant light.par_at_plants": text})
    lamp = box.routine.lamps[0]
    assert lamp_light(box.enclosure, lamp, Overrides()) == 40.0
    assert "Under it a meter shows 40 umol/m2/s." in box.describe()
    assert tl.loads(tl.dumps(box)) == box


def test_a_reading_in_lux_is_turned_by_the_lamp(fern):
    box = fern.change(**{"routine.lamps.plant light.lux_at_plants": "2.8 klux"})
    (lamp, *_), glass = box.routine.lamps, box.enclosure
    each = materials.get("lamps", lamp.kind).typical("lux_per_umol")
    assert lamp_light(glass, lamp, Overrides()) == pytest.approx(2800.0 / each)
    assert lamp_light(glass, fern.routine.lamps[0], Overrides()) != pytest.approx(2800.0 / each)
    window = Window(1, "east", lux_at_plants=540)
    assert noon_light(window, "now", Overrides()) == pytest.approx(10.0)  # 54 lux a umol: Thimijan & Heins 1983


@pytest.mark.parametrize("place", ["routine.lamps.plant light", "room.window"])
def test_lux_and_par_are_told_apart(fern, place):
    box = fern.change(**EAST)
    assert "Write a lux reading as lux_at_plants." in refused(box, **{f"{place}.par_at_plants": "2000 lux"})
    assert "Write a PAR reading as par_at_plants." in refused(box, **{f"{place}.lux_at_plants": "40 umol/m2s"})
    both = {f"{place}.par_at_plants": "40 umol", f"{place}.lux_at_plants": "2000 lux"}
    assert "one of the two" in refused(box, **both)


def test_a_lamp_hangs_as_far_from_the_leaves_as_typed_or_as_the_glass_is_high(fern):
    lamp, e = fern.routine.lamps[0], fern.enclosure
    high = replace(e, plants=replace(e.plants, height_cm=20.0))
    assert lamp.above_plants_cm(high) == pytest.approx(60 - 18 - 20)
    assert lamp.above_plants_cm(replace(e, plants=None)) == pytest.approx(42)
    assert Lamp("led", "led bar inside", 10, "always", to_plants_cm=12).above_plants_cm(high) == 12


# bands


@pytest.mark.parametrize("group", materials.names("groups"))
def test_each_group_has_a_temperature_beside_its_humidity_by_day_and_night(group):
    band = said(group_band(materials.get("groups", group)))
    assert band.count("%") >= 1
    assert band.count("°C") == 2
    assert "by day" in band
    assert "by night" in band
    box = tl.load("moss-jar").change(group=group, band=None, soil_wanted="")
    text = box.describe()
    assert re.search(r"Wanted humidity: [^.]*%[^.]*\. Wanted temperature: [^.]*°C", text), text
    wanted = temperatures_wanted(box)
    assert wanted.night_low <= wanted.day_low
    assert wanted.night_high <= wanted.day_high
