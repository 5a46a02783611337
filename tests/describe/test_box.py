"""Routine and box: refusals that need the whole picture, warnings, and changing single entries."""

import pickle
import warnings

import pytest

from terralab.describe import (
    Box,
    Control,
    Cover,
    Drainage,
    Fan,
    Heater,
    HumidityTarget,
    Lamp,
    Layer,
    Mist,
    Pour,
    Room,
    RoomState,
    Routine,
    Signal,
    Siphon,
    Spray,
    Start,
    Timer,
    Tube,
)
from terralab.errors import TerralabWarning

LED = ("led bar outside lid", 24, "08:00-20:00")


@pytest.mark.parametrize(
    ("build", "field", "part"),
    [
        (lambda: Pour(86_400, 100), "pour.time", "00:00 to 23:59:59"),
        (lambda: Pour(0.5, 100), "pour.time", "whole"),
        (lambda: Pour(0, -5), "pour.amount", "cannot be negative"),
        (lambda: Pour(0, 100, every_days=1.5), "pour.every", "whole number"),
        (lambda: Pour(0, 100, into="dish"), "pour.into", "Known: soil, drainage."),
        (lambda: Spray(0, 100, over_min=0), "spray.over", "0.1 min to 1440 min"),
        (lambda: Mist("m", 80, "08:00-25:00"), "mist.timer", "not a time of day"),
        (lambda: Mist("m", 80, None), "mist.timer", "at least one text"),
        (lambda: Mist("m", 80, "never", airborne=2), "mist.airborne", "given 200 %"),
        (lambda: Mist("m", 80, "never", control="below 70 %"), "mist.control", "Build it with Control(...)."),
        (lambda: Lamp("l", "bulb", 24, "never"), "lamp.kind", "Known: "),
        (lambda: Lamp("l", "led bar insid", 24, "never"), "lamp.kind", 'Did you mean "led bar inside"?'),
        (
            lambda: Lamp("l", *LED, light=0.5, radiant=0.4, convective=0.3),
            "lamp.light",
            "the shares make 120 %",
        ),
        (
            lambda: Lamp("l", "incandescent or halogen spot", 50, "never", light=0.9),
            "lamp.light",
            "100 % of the power",
        ),
        (lambda: Heater("h", "heat pannel", 15, "always"), "heater.kind", 'Did you mean "heat panel"?'),
        (lambda: Heater("h", "heat panel", 15_000, "always"), "heater.power", "0 W to 2000 W"),
        (lambda: Fan("f", "exchange", "always"), "fan.flow", "Give what passes the mesh"),
        (lambda: Fan("f", "circulate", "always"), "fan.air_speed", "Give the air movement"),
        (
            lambda: Fan("f", "circulate", "always", flow_m3_h=2, air_speed_cm_s=20),
            "fan.flow",
            "only circulates",
        ),
        (lambda: Fan("f", "blow", "always"), "fan.mode", "Known: exchange, circulate."),
        (lambda: Siphon(2), "siphon.every", "nothing given"),
        (lambda: Siphon(2, every_days=7, when_gap_below_cm=2), "siphon.every", "given both"),
        (
            lambda: Routine(siphons=(Siphon(1, when_gap_below_cm=2), Siphon(1, when_gap_below_cm=1))),
            "routine.siphons.2.when_gap_below",
            "one siphon that watches the gap",
        ),
        (lambda: HumidityTarget(90, 70, 50, 60), "band.day_low", "less than day_high, 70 %"),
        (lambda: HumidityTarget(0.7, 0.9, 50, 60), "band.day_low", 'Write "70 %".'),
        (lambda: HumidityTarget(70, 90, 50, 60, day_from="8"), "band.day_from", "not a time of day"),
        (lambda: HumidityTarget(70, 90, 50, 60, "20:00", "8 pm"), "band.day_to", "another time"),
        (lambda: HumidityTarget(70, 90, 50, 60, "08:00", "08:20"), "band.day_to", "an hour at least"),
        (lambda: HumidityTarget(70, 90, 50, 60, "08:00", "07:40"), "band.day_to", "an hour at least"),
        (lambda: Start("soaked"), "start.soil", "Known: drained-moist, dry, wet."),
        (lambda: RoomState(21, 145), "room.humidity", "0 % to 100 %"),
        (lambda: RoomState(-40, 45), "room.temperature", "-10 C to 60 C"),
    ],
)
def test_a_part_that_cannot_be_is_refused(build, field, part, refusal):
    error = refusal(build)
    assert error.field == field
    assert part in str(error)


@pytest.mark.parametrize(
    ("routine", "field", "part"),
    [
        ({"pours": (Pour(0, 160_000),)}, "routine.pours.1.amount", "the space up to the brim"),
        ({"sprays": (Spray(0, 10), Spray(0, 99_999))}, "routine.sprays.2.amount", "would overflow"),
        ({"mists": (Mist("nozzle", 500, "always"),)}, "routine.mists.nozzle.flow", "would overflow"),
        ({"pours": (Pour(0, 100, into="drainage"),)}, "routine.pours.1.into", "needs enclosure.drainage"),
        ({"siphons": (Siphon(6, every_days=7),)}, "routine.siphons.1.to_level", "less than 6 cm"),
        (
            {"siphons": (Siphon(3, when_gap_below_cm=3),)},
            "routine.siphons.1.when_gap_below",
            "less than 3 cm",
        ),
        ({"fans": (Fan("a", "exchange", "always", flow_m3_h=2),) * 2}, "routine.fans.a.name", "twice"),
        ({"pours": (Pour(0, 1),) * 51}, "routine.pours", "given 51 of them"),
    ],
)
def test_a_routine_that_does_not_fit_the_box_is_refused(routine, field, part, glass, box, refusal):
    # 30 cm of glass leave 14 cm of air: 37.8 l up to the brim.
    error = refusal(box, glass(height_cm=30), **routine)
    assert error.field == field
    assert part in str(error)


def test_a_siphon_needs_a_drainage_layer(glass, box, refusal):
    error = refusal(box, glass(drainage=None), siphons=(Siphon(1, every_days=7),))
    assert error.field == "routine.siphons.1"
    assert "without a drainage layer" in error.given


def test_pouring_below_needs_a_tube(glass, box):
    assert box(glass(tube=Tube(3)), pours=(Pour(0, 100, into="drainage"),)).routine.pours[0].into == "drainage"


def test_a_pour_that_would_reach_the_mesh_warns(box):
    # 0.27 m2 of floor, 4 cm of air gap, 43.3 % of voids: 4676 ml.
    with pytest.warns(TerralabWarning, match="a pour of 4700 ml is more than the 4680 ml that fit under the mesh"):
        box(pours=(Pour(0, 4700),))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        box(pours=(Pour(0, 4600),))


def test_a_flooded_start_warns(glass, box):
    enclosure = glass(drainage=Drainage("expanded clay 8-16 mm", 6, 7))
    with pytest.warns(TerralabWarning, match="1 cm above the mesh at the start"):
        box(enclosure)


def test_a_box_that_is_wrong_does_not_warn_as_well(box, refusal):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        refusal(box, pours=(Pour(0, 160_000),))


def test_the_room_takes_plain_numbers_and_signals(glass):
    box = Box(name="x", enclosure=glass(), room=Room(RoomState(21, Signal.day_night(40, 50))))
    assert box.room.now.temperature == Signal.constant(21)
    assert box.start == Start("drained-moist")
    assert hash(box) == hash(pickle.loads(pickle.dumps(box)))


CHANGES = {
    "room.temperature": ("18 C", lambda b: b.room.now.temperature.value == 18),
    "room.temperature.day": ("25 C", lambda b: b.room.now.temperature.day == 25),
    "room.humidity": (Signal.day_night(50, 60), lambda b: b.room.now.humidity.night == 60),
    "room.winter": (None, lambda b: b.room.winter is None),
    "enclosure.width": (80, lambda b: b.enclosure.width_cm == 80),
    "enclosure.openings.lid.covered": (0.25, lambda b: b.enclosure.openings[0].covered == 0.25),
    "enclosure.openings.2.bottom": (
        "10 in",
        lambda b: b.enclosure.openings[1].bottom_cm == pytest.approx(25.4),
    ),
    "enclosure.openings.front vent": (None, lambda b: len(b.enclosure.openings) == 1),
    "enclosure.layers.1.depth": ("8 cm", lambda b: b.enclosure.soil_depth_cm == 8),
    "enclosure.layers": (
        [Layer("loam topsoil", 5)],
        lambda b: b.enclosure.layers[0].material == "loam topsoil",
    ),
    "enclosure.cover": (Cover("sheet moss", 1), lambda b: b.enclosure.cover.material == "sheet moss"),
    "enclosure.dish": ({"area": "50 cm2", "depth": 2}, lambda b: b.enclosure.dish.depth_cm == 2),
    "enclosure.plants": (None, lambda b: b.enclosure.plants is None),
    "enclosure.leakage": (None, lambda b: b.enclosure.leakage_ach is None),
    "routine.heaters.panel.control": (None, lambda b: b.routine.heaters[0].control is None),
    "routine.lamps.plant light.timer": (
        "06:00-18:00",
        lambda b: b.routine.lamps[0].timer == Timer("06:00-18:00"),
    ),
    "routine.lamps.plant light.control": (
        Control("humidity", "above", 90, 5),
        lambda b: b.routine.lamps[0].control.set_point == 90,
    ),
    "routine.siphons": ([], lambda b: b.routine.siphons == ()),
    "start.soil": ("dry", lambda b: b.start.soil == "dry"),
    "group": ("", lambda b: b.group == ""),
    "band": (HumidityTarget(60, 80, 70, 95), lambda b: b.humidity_target.day_from_s == 28_800),
}


@pytest.mark.parametrize("path", CHANGES)
def test_one_entry_is_changed_and_nothing_else(path, fern):
    value, good = CHANGES[path]
    changed = fern.change(**{path: value})
    assert good(changed)
    before, after = fern.write(), changed.write()
    top = path.split(".")[0]
    assert {k: v for k, v in before.items() if k != top} == {k: v for k, v in after.items() if k != top}


def test_several_changes_at_once(fern):
    changed = fern.change(**{"room.temperature": "18 C", "enclosure.openings.lid.covered": "75 %"})
    assert changed.room.now.temperature.value == 18
    assert changed.enclosure.openings[0].covered == 0.75
    assert fern.change() == fern


@pytest.mark.parametrize(
    ("path", "value", "field", "part"),
    [
        ("room.temprature", "18 C", "room.temprature", 'Did you mean "temperature"?'),
        ("room.temprature", None, "room.temprature", 'Did you mean "temperature"?'),
        ("roon.temperature", "18 C", "roon", 'Did you mean "room"?'),
        ("enclosure.openings.lit.covered", 0.5, "enclosure.openings.lit", 'Did you mean "lid"?'),
        ("enclosure.openings.0.covered", 0.5, "enclosure.openings.0", "a number from 1 to 2"),
        ("enclosure.layers.2.depth", 5, "enclosure.layers.2", "a number from 1 to 1"),
        ("enclosure.layers.0000001.depth", 5, "enclosure.layers.0000001", "a number from 1 to 1"),
        ("enclosure.width.more", 5, "enclosure.width.more", "has no entries of its own"),
        ("enclosure..width", 5, "enclosure..width", "an empty word"),
        ("enclosure.width", None, "enclosure.width", "nothing given"),
        ("enclosure.width", "-5 cm", "enclosure.width", "cannot be negative"),
        ("enclosure.dish.area", 50, "enclosure.dish.depth", "nothing given"),
        ("enclosure.layers.1.depth", 53, "enclosure.height", "at least 62 cm"),
        ("enclosure.layers.1.depth", 20, "enclosure.openings.front vent.bottom", "at least 28 cm"),
        ("enclosure.drainage", None, "enclosure.tube", "without a drainage layer"),
        (
            "routine.fans.exchange fan.control",
            {"senses": "humidity"},
            "routine.fans.exchange fan.control.on",
            "nothing",
        ),
        ("room.humidity", 0.5, "room.humidity", "fraction"),
        ("group", "frog", "group", "Known: "),
        ("name", "", "name", "empty text"),
        ("note", "x" * 4001, "note", "Shorten it."),
    ],
)
def test_a_wrong_change_is_refused(path, value, field, part, fern, refusal):
    error = refusal(fern.change, **{path: value})
    assert field in [problem.field for problem in error.problems]
    assert part in str(error)


def test_a_box_says_what_it_is(fern):
    text = fern.describe()
    for part in (
        "Fern Hollow. Kept for: rainforest-floor small frogs.",
        "2 cm of leaf litter, 10 cm of fine coir mix, a mesh barrier and 6 cm of expanded clay 8-16 mm",
        "with 2 cm of water standing in it",
        "42 cm of air, 113 litres",
        "lid (fine insect mesh in the lid, 50 cm by 35 cm, 50 % covered)",
        "21 °C by day (07:00 to 22:00) and 18 °C by night, with a humidity of 45 %",
        "At 08:00 120 ml are poured into the soil every day.",
        "on at 20.5 °C, off at 21.5 °C",
        "180 minutes a day (15 min every 1 h from 08:00 to 20:00)",
        "down to 1.5 cm when less than 2 cm are left under the mesh",
    ):
        assert part in text


def test_a_bare_box_says_so(glass):
    bare = glass(drainage=None, openings=())
    text = Box(name="Bare", enclosure=bare, room=Room(RoomState(21, 45)), start=Start("wet")).describe()
    assert "no drainage layer" in text
    assert "It has no openings but its gaps." in text
    assert "Nothing is done to it" in text


def test_what_the_keeper_set_is_said(glass, box):
    text = box(
        glass(leakage_ach=0.5, runoff_to_soil=0.2, air_speed_cm_s=5),
        lamps=(Lamp("sun", *LED, light=0.3),),
        mists=(Mist("fog", 2, "30 min every 6 h", Control("humidity", "below", 70, 4), 0.9),),
        fans=(Fan("stir", "circulate", "always", air_speed_cm_s=20, motor_w=2),),
        siphons=(Siphon(1, every_days=7),),
        pours=(Pour(0, 2500, every_days=3),),
    ).describe()
    for part in (
        "gaps that swap the air 0.5 times an hour, air moving at 5 cm/s and 20 % of the water on the glass",
        "with 30 % entering as light",
        '"fog" gives 2 ml a minute 120 minutes a day (30 min every 6 h), while its humidity switch calls '
        "(on at 68 %, off at 72 %), with 90 % floating as fog",
        '"stir" moves the air inside at 20 cm/s all day, with a motor of 2 W inside',
        "at 10:00 every 7 days",
        "2.5 l are poured into the soil every 3 days",
    ):
        assert part in text
