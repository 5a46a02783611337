"""What decides how air stands and moves in a box: kinds of mesh, gaps, draughts, backgrounds, hides, basking places."""

from __future__ import annotations

import re
import warnings
from dataclasses import replace

import pytest

import terralab as tl
from terralab import materials
from terralab.describe import Background, Basking, Heater, Hide, Lamp, Opening, Room, RoomState, Timer
from terralab.describe.doubts import doubts
from terralab.errors import DescriptionError, TerralabWarning
from terralab.uncertainty.overrides import changed
from terralab.units import parse
from tests.keepers import keepers_box

OPEN = (Opening("lid", "lid", 50, 35),)
DAY = Timer(("08:00-18:00",))
SPOT = Lamp("spot", "incandescent or halogen spot", 50, DAY)


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_a_keepers_box_with_all_of_it_comes_back_from_its_file(seed):
    box = keepers_box(seed, new_air=True)
    text = tl.dumps(box)
    assert tl.loads(text) == box
    assert tl.dumps(tl.loads(text)) == text
    said = box.describe()
    for part in (box.enclosure.hide, box.enclosure.basking, box.enclosure.background):
        assert part is None or {Hide: "hide", Basking: "basking", Background: "stands"}[type(part)] in said
    for opening in box.enclosure.openings:
        assert not isinstance(opening.mesh, str) or opening.mesh in said


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")
def test_the_rest_of_a_keepers_box_is_the_same_without_it(seed):
    plain, full = keepers_box(seed, new_air=False), keepers_box(seed)
    assert plain.routine == full.routine
    assert plain.room.now == full.room.now
    assert plain.enclosure.layers == full.enclosure.layers
    taken_off = {"openings": (), "background": None, "hide": None, "basking": None, "background_area_cm2": 0.0}
    assert replace(plain.enclosure, **taken_off) == replace(full.enclosure, **taken_off)


OLD = {
    "moss-jar": {},
    "fern-hollow": {"enclosure.openings.lid.mesh": True, "enclosure.openings.front vent.mesh": True},
    "dry-ledge": {
        "enclosure.openings.lid.mesh": True,
        "enclosure.openings.side vent.mesh": True,
        "enclosure.hide": None,
    },
}


@pytest.mark.parametrize("name", OLD)
def test_an_old_file_says_nothing_of_it_and_is_written_as_before(name):
    """What was never described is not written, so an old file stays as it is, its mesh an unknown one."""
    box = tl.load(name).change(**OLD[name])
    e = box.enclosure
    assert (e.background, e.hide, e.basking, box.room.draught) == (None, None, None, None)
    assert all(isinstance(o.mesh, bool) and not o.mesh_is_known for o in e.openings)
    text = tl.dumps(box)
    assert not re.search(r"^(draught|open_share|thread) =|\[enclosure\.(background|hide|basking)\]", text, re.MULTILINE)


# mesh


@pytest.mark.parametrize("kind", materials.names("meshes"))
def test_each_kind_of_mesh_is_named_in_the_file_and_outranked_by_its_own_numbers(kind, fern):
    box = fern.change(**{"enclosure.openings.lid.mesh": kind.upper()})
    assert box.enclosure.openings[0].mesh == kind
    assert f'mesh = "{kind}"' in tl.dumps(box)
    counted = box.change(**{"enclosure.openings.lid.open_share": "44 %"})
    assert counted.enclosure.openings[0].open_share == pytest.approx(0.44)
    assert "44 % open" in counted.describe()


def test_own_numbers_need_no_kind_and_remember_their_unit(fern):
    changes = {
        "enclosure.openings.lid.mesh": True,
        "enclosure.openings.lid.open_share": 0.5,
        "enclosure.openings.lid.thread": "0.01 in",
    }
    lid = fern.change(**changes).enclosure.openings[0]
    assert lid.mesh is True
    assert lid.mesh_is_known
    assert lid.thread_mm == pytest.approx(0.254)
    assert 'thread = "0.01 in"' in tl.dumps(fern.change(**changes))


def test_known_is_what_has_a_kind_or_both_numbers():
    known = lambda **more: Opening("lid", "lid", 5, 5, **more).mesh_is_known  # noqa: E731
    assert known(mesh="metal lid mesh")
    assert known(open_share=0.5, thread_mm=0.3)
    assert not known()
    assert not known(mesh=False)


@pytest.mark.parametrize(
    ("more", "field", "part"),
    [
        ({"mesh": "fly screen"}, "opening.mesh", 'Did you mean "window screen"?'),
        ({"mesh": "hardware cloth"}, "opening.mesh", 'Did you mean "coarse wire mesh"?'),
        ({"mesh": "widow screen"}, "opening.mesh", 'Did you mean "window screen"?'),
        ({"mesh": "true"}, "opening.mesh", "Write true without quotes."),
        ({"mesh": ""}, "opening.mesh", "Known: window screen, fine insect mesh"),
        ({"mesh": 1}, "opening.mesh", "true, false, or a known kind of mesh"),
        ({"mesh": None}, "opening.mesh", "true, false, or a known kind of mesh"),
        ({"mesh": ["window screen"]}, "opening.mesh", "true, false, or a known kind of mesh"),
        ({"open_share": 0.5}, "opening.thread", "both open_share and thread"),
        ({"thread_mm": 0.5}, "opening.open_share", "both open_share and thread"),
        ({"mesh": False, "open_share": 0.5}, "opening.open_share", "Say mesh = true"),
        ({"mesh": False, "thread_mm": 0.5}, "opening.thread", "Say mesh = true"),
        ({"mesh": "perforated sheet", "thread_mm": 0.5}, "opening.thread", "round holes"),
        ({"open_share": 0.01, "thread_mm": 0.5}, "opening.open_share", "5 % to 96 %"),
        ({"open_share": 0.5, "thread_mm": 5}, "opening.thread", "0.02 mm to 2 mm"),
        ({"open_share": 0.5, "thread_mm": 0}, "opening.thread", "0.02 mm to 2 mm"),
    ],
)
def test_a_mesh_that_cannot_be_is_refused(more, field, part, refusal):
    error = refusal(Opening, "lid", "lid", 5, 5, **more)
    assert error.field == field
    assert part in str(error)


def test_a_gap_between_panes_is_an_opening(fern):
    """2 mm wide and as high as the panes, or below a door: both can be written."""
    upright = {"name": "gap", "wall": "front", "width": "2 mm", "height": "40 cm", "bottom": "19 cm", "mesh": False}
    below = {"name": "sill", "wall": "front", "width": "60 cm", "height": "1 mm", "bottom": "19 cm", "mesh": False}
    box = fern.change(**{"enclosure.openings": [upright, below]})
    assert [round(o.area_cm2, 6) for o in box.enclosure.openings] == [8.0, 6.0]
    assert "open gap at the front" in box.describe()


def test_a_plastic_net_under_a_hot_lamp_is_warned_of():
    """The lid of the arid demo has a hot spot over it: metal mesh passes in silence, glass-fibre net does not."""
    box = tl.load("dry-ledge")
    with warnings.catch_warnings():
        warnings.simplefilter("error", TerralabWarning)
        box.change(**{"enclosure.openings.lid.mesh": "metal lid mesh"})
        box.change(**{"enclosure.openings.side vent.mesh": "window screen"})
        tl.load("fern-hollow").change(**{"enclosure.openings.lid.mesh": "window screen"})
    with pytest.warns(TerralabWarning, match="soften and burn: use metal mesh"):
        box.change(**{"enclosure.openings.lid.mesh": "window screen"})


@pytest.mark.parametrize(("share", "thread"), [(0.05, 0.02), (0.96, 2.0), (0.07, 1.9)])
def test_what_was_typed_can_be_drawn_about_it(share, thread, fern):
    """The spread about a typed number ends where the description does: each end makes a box, a 2000 W lamp's too."""
    from terralab.uncertainty.inputs import uncertain_inputs  # late: it needs the engine

    places = {"enclosure.openings.lid.open_share": share, "enclosure.openings.lid.thread": thread}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        box = fern.change(**places, **{"routine.lamps.plant light.power": "2000 W", "room.draught": "1.5 m/s"})
        typed = [one for one in uncertain_inputs(box) if one.key.startswith("box.")]
        assert {"box.enclosure.openings.0.open_share", "box.enclosure.openings.0.thread_mm"} < {
            one.key for one in typed
        }
        for one in typed:
            assert one.low <= one.typical <= one.high
            changed(box, {one.key: one.low})
            changed(box, {one.key: one.high})


# the room


def pick(table: str, name: str, prop: str) -> float:
    return materials.get(table, name).typical(prop)


@pytest.mark.parametrize(
    ("written", "held", "speed"),
    [
        ("calm", "calm", None),
        (" Usual ", "usual", None),
        ("draughty", "draughty", None),
        ("8 cm/s", 8.0, 0.08),
        ("0.1 m/s", 10.0, 0.1),
        ("20 ft/min", parse("20 ft/min", "speed", "cm/s"), 0.1016),
    ],
)
def test_a_draught_is_a_word_or_a_speed(written, held, speed, fern):
    box = fern.change(**{"room.draught": written})
    assert box.room.draught == held
    assert tl.loads(tl.dumps(box)) == box
    wanted = speed if speed is not None else pick("defaults", f"{held} room", "draught")
    assert box.room.draught_m_s(pick) == pytest.approx(wanted)
    assert box.room.winter == fern.room.winter


def test_a_room_nobody_described_is_a_usual_one_and_the_words_rise(fern):
    assert fern.room.draught_m_s(pick) == pick("defaults", "usual room", "draught")
    ends = [materials.get("defaults", f"{word} room")["draught"] for word in ("calm", "usual", "draughty")]
    for end in ("low", "typical", "high"):
        values = [getattr(number, end) for number in ends]
        assert values == sorted(values)
        assert len(set(values)) == 3


@pytest.mark.parametrize(
    ("given", "part"),
    [
        ("calmm", 'Did you mean "calm"?'),
        ("windy", '"calm", "usual" and "draughty"'),
        ("5 cm/s", "In Python give a plain number in cm/s."),
        (-1, "cannot be negative"),
        (500, "0 cm/s to 200 cm/s"),
        (True, "not a number"),
        ([5], "not a number"),
    ],
)
def test_a_draught_that_cannot_be_is_refused(given, part, refusal):
    error = refusal(Room, RoomState(21, 45), draught=given)
    assert error.field == "room.draught"
    assert part in str(error)


@pytest.mark.parametrize("written", ["5 cn/s", "-5 cm/s", "drafty 5", "5"])
def test_a_slip_in_the_draught_of_a_file_is_named(written, fern):
    text = tl.dumps(fern).replace('humidity = "45 %"', f'humidity = "45 %"\ndraught = "{written}"', 1)
    with pytest.raises(DescriptionError) as caught:
        tl.loads(text)
    assert caught.value.field == "room.draught"
    assert "cm/s" in str(caught.value)


def test_a_windy_room_is_questioned(fern):
    assert any("papers move" in one for one in doubts(fern.change(**{"room.draught": "90 cm/s"})))
    assert not doubts(fern.change(**{"room.draught": "15 cm/s"}))


# backgrounds


BOARD = {"material": "cork board", "thickness": "2 cm"}


def test_a_background_is_read_with_its_walls_in_one_order(fern):
    bare = fern.change(**{"enclosure.background_area": None})
    for walls, kept in ((["left", "back"], ("back", "left")), ("right", ("right",)), (None, ("back",))):
        box = bare.change(**{"enclosure.background": BOARD | ({} if walls is None else {"walls": walls})})
        assert box.enclosure.background.walls == kept
        assert tl.loads(tl.dumps(box)) == box
        assert all(wall in box.describe() for wall in kept)


@pytest.mark.parametrize(
    ("more", "field", "part"),
    [
        ({"material": "cork"}, "background.material", 'Did you mean "cork board"'),
        ({"material": "styrofoam"}, "background.material", 'Did you mean "foam board"?'),
        ({"thickness_cm": 0}, "background.thickness", "0.1 cm to 20 cm"),
        ({"walls": ()}, "background.walls", 'one or more of "back", "left", "right"'),
        ({"walls": ("front",)}, "background.walls", "a known wall with a background"),
        ({"walls": ("back", "back")}, "background.walls", "Name each once."),
        ({"walls": 3}, "background.walls", "Write a list"),
        ({"walls": None}, "background.walls", "Write a list"),
        ({"inside": "no"}, "background.inside", "true or false"),
    ],
)
def test_a_background_that_cannot_be_is_refused(more, field, part, refusal):
    error = refusal(Background, **({"material": "cork board", "thickness_cm": 2.0} | more))
    assert error.field == field
    assert part in str(error)


def test_a_background_must_leave_room_and_is_not_counted_twice(glass, refusal):
    thick = Background("foam board", 12.0)
    error = refusal(glass, background=thick)
    assert error.field == "enclosure.background.thickness"
    assert "11.2" in str(error)
    assert glass(background=replace(thick, inside=False)).background.thickness_cm == 12.0
    assert glass(background=replace(thick, walls=("left",))).background.walls == ("left",)
    twice = refusal(glass, background=Background("cork board", 2.0), background_area_cm2=2400)
    assert twice.field == "enclosure.background_area"
    assert "Leave background_area out" in str(twice)
    outside = glass(background=Background("foam board", 2.0, inside=False), background_area_cm2=2400)
    assert outside.background_area_cm2 == 2400


# hides


DOOR = {"opening_width_cm": 6.0, "opening_height_cm": 4.0}


def test_sizes_of_a_hide():
    measured = Hide(**DOOR, width_cm=20, front_to_back_cm=15, height_cm=8)
    assert measured.inner_volume_ml == pytest.approx(2400)
    assert measured.floor_area_cm2 == pytest.approx(300)
    assert measured.opening_area_cm2 == pytest.approx(24)
    cube = Hide(**DOOR, volume_ml=1000)
    assert cube.inner_volume_ml == 1000
    assert cube.floor_area_cm2 == pytest.approx(100)


@pytest.mark.parametrize(
    ("more", "field", "part"),
    [
        ({}, "hide.volume", 'volume = "1 l"'),
        ({"volume_ml": 500, "width_cm": 10}, "hide.volume", "one of the two"),
        ({"width_cm": 10, "height_cm": 6}, "hide.front_to_back", "Add front_to_back."),
        ({"volume_ml": 5}, "hide.volume", "10 ml to"),
        ({"volume_ml": 20}, "hide.opening_width", "for a hide of 20 ml"),
        ({"width_cm": 2, "front_to_back_cm": 2, "height_cm": 6}, "hide.opening_width", "at most 4 cm"),
        ({"width_cm": 20, "front_to_back_cm": 9, "height_cm": 3}, "hide.opening_height", "higher than the hide"),
        ({"volume_ml": 500, "floor": "wet"}, "hide.floor", "Known: soil, damp moss, dry."),
        ({"volume_ml": 500, "opening_width_cm": 0}, "hide.opening_width", "0.3 cm to 100 cm"),
    ],
)
def test_a_hide_that_cannot_be_is_refused(more, field, part, refusal):
    error = refusal(Hide, **(DOOR | more))
    assert field in [problem.field for problem in error.problems]
    assert part in str(error)


@pytest.mark.parametrize(
    ("hide", "field"),
    [
        (Hide(**DOOR, volume_ml=115_000), "enclosure.hide.volume"),
        (Hide(**DOOR, width_cm=61, front_to_back_cm=20, height_cm=20), "enclosure.hide.width"),
        (Hide(**DOOR, width_cm=20, front_to_back_cm=46, height_cm=20), "enclosure.hide.front_to_back"),
        (Hide(**DOOR, width_cm=20, front_to_back_cm=20, height_cm=45), "enclosure.hide.height"),
        (Hide(**DOOR, width_cm=60, front_to_back_cm=45, height_cm=5), "enclosure.hide.width"),
    ],
)
def test_a_hide_must_fit_into_the_air_of_its_box(hide, field, glass, refusal):
    assert refusal(glass, hide=hide).field == field


# basking places


def test_a_basking_place_lies_under_a_lamp_there_is(glass, box, refusal):
    place = Basking("spot", 25, 100, material="stone slab")
    made = box(glass(basking=place, openings=OPEN), lamps=(SPOT,), heaters=(Heater("panel", "heat panel", 20, DAY),))
    assert made.enclosure.basking.top_cm(made.enclosure) == made.enclosure.surface_cm
    assert 'lies 25 cm below "spot"' in made.describe()
    assert box(
        glass(basking=replace(place, lamp="panel"), openings=OPEN), heaters=(Heater("panel", "heat panel", 20, DAY),)
    )
    error = refusal(box, glass(basking=replace(place, lamp="spto")), lamps=(SPOT,))
    assert error.field == "enclosure.basking.lamp"
    assert 'Did you mean "spot"?' in str(error)
    assert "[[routine.lamps]]" in str(refusal(box, glass(basking=place)))


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"area_cm2": 3000}, "enclosure.basking.area"),
        ({"height_cm": 15}, "enclosure.basking.height"),
        ({"height_cm": 60}, "enclosure.basking.height"),
    ],
)
def test_a_basking_place_that_does_not_fit_is_refused(more, field, glass, refusal):
    assert refusal(glass, basking=Basking("spot", 25, **more)).field == field


@pytest.mark.parametrize(
    ("more", "field", "part"),
    [
        ({"distance_cm": 0}, "basking.distance", "1 cm to 300 cm"),
        ({"material": "stone"}, "basking.material", 'Did you mean "stone slab"?'),
        ({"measured_c": 140}, "basking.measured", '"140 F"'),
        ({"lamp": ""}, "basking.lamp", "empty text"),
    ],
)
def test_a_basking_place_that_cannot_be_is_refused(more, field, part, refusal):
    error = refusal(Basking, **({"lamp": "spot", "distance_cm": 25} | more))
    assert error.field == field
    assert part in str(error)


def test_hot_and_near_basking_places_are_warned_of_and_guards_asked_for():
    ledge = tl.load("dry-ledge")
    place = {"lamp": "basking lamp", "distance": "30 cm", "measured": "36 C"}
    with warnings.catch_warnings():
        warnings.simplefilter("error", TerralabWarning)
        fair = ledge.change(**{"enclosure.basking": place})
    (asked,) = doubts(fair)
    for word in ("guard", "thermostat", "vet", "electrician"):
        assert word in asked
    with pytest.warns(TerralabWarning, match="measured at 60 °C"):
        ledge.change(**{"enclosure.basking": place | {"measured": "60 C"}})
    with pytest.warns(TerralabWarning, match="8 cm from the hot"):
        ledge.change(**{"enclosure.basking": place | {"distance": "8 cm"}})


@pytest.mark.parametrize("lamp", ["daylight bar"])
def test_a_lamp_without_heat_rays_makes_no_basking_place(lamp):
    box = tl.load("dry-ledge").change(**{"enclosure.basking": {"lamp": lamp, "distance": "10 cm"}})
    assert any("sends hardly any heat" in one for one in doubts(box))


def test_a_keeper_may_say_how_far_a_number_of_theirs_is_off(fern):
    """A range of a draught, a hide or a thread; a word has no range."""
    box = fern.change(
        **{
            "room.draught": "6 cm/s",
            "enclosure.hide": {"volume": "1 l", "opening_width": "5 cm", "opening_height": "4 cm"},
            "enclosure.openings.lid.open_share": 0.5,
            "enclosure.openings.lid.thread": "0.3 mm",
        }
    )
    ranges = [
        {"of": "room.draught", "low": "2 cm/s", "high": "20 cm/s"},
        {"of": "enclosure.hide.volume", "low": "800 ml", "high": "1.3 l"},
        {"of": "enclosure.openings.lid.thread", "low": "0.25 mm", "high": "0.35 mm"},
    ]
    with_ranges = box.change(ranges=ranges)
    assert with_ranges.ranges[0].numbers(with_ranges) == ("box.room.draught", 2.0, 6.0, 20.0)
    with pytest.raises(DescriptionError, match="an entry that is one number"):
        box.change(**{"room.draught": "calm"}, ranges=ranges[:1])


def test_what_was_typed_in_inches_and_degrees_fahrenheit_comes_back_so(fern):
    box = fern.change(
        **{
            "enclosure.background_area": None,
            "enclosure.background": {"material": "foam board", "thickness": "1 in"},
            "enclosure.hide": {"volume": "0.25 gal", "opening_width": "2 in", "opening_height": "1.5 in"},
            "enclosure.basking": {"lamp": "panel", "distance": "10 in", "measured": "82 F", "area": "20 in2"},
        }
    )
    text = tl.dumps(box)
    for typed in ('"1 in"', '"0.25 gal"', '"1.5 in"', '"82 F"', '"20 in2"', '"10 in"'):
        assert typed in text
    assert box.enclosure.basking.measured_c == pytest.approx(27.78, abs=0.01)
    assert "82 °F" in box.describe()
