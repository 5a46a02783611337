"""Cross-sections: the record's numbers drawn and said, nothing cut off, no word on another or on a leaf, in any keeper's box."""

from __future__ import annotations

import itertools
import warnings
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.collections import EllipseCollection, QuadMesh
from matplotlib.colors import to_hex, to_rgb
from matplotlib.patches import Polygon, Rectangle

import terralab as tl
from terralab import show
from terralab.answers.drainage.bottoms import wet_band_cm
from terralab.describe import Cover, Dish, Ground, Hide, Layer, Plants
from terralab.show.figures import style as looks
from terralab.show.figures.labels import fitted, spread, text_width
from terralab.show.figures.section_box import STONE, grounds_of
from terralab.show.figures.section_flows import amount, flows_of
from terralab.show.figures.section_plants import LEAF
from terralab.show.figures.section_soil import GRAINS, level_cm
from tests.keepers import keepers_box
from tests.show.looking import drawn, needs_words_inside_and_apart

WORST = {"start.soil": "wet", "enclosure.drainage.level": "8 cm"}
KEEPERS = (41, 46, 48, 50, 55)


def run(box: tl.Box) -> tl.Record:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.simulate(box, 1, accuracy="preview", record_every_min=60)


def inside(box: tl.Box, **parts) -> tl.Box:
    return replace(box, enclosure=replace(box.enclosure, **parts))


@pytest.fixture(scope="module")
def records() -> dict[str, tl.Record]:
    """A day of boxes that are unlike each other."""
    fern, glen, jar = (tl.load(name) for name in ("fern-hollow", "tall-glen", "moss-jar"))
    dry = replace(fern.routine, siphons=())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        none = {"enclosure.drainage": None, "enclosure.tube": None, "routine.siphons": []}
        spot = {"enclosure.basking": {"lamp": "warm spot", "distance": "30 cm"}}
        boxes = {name: tl.load(name) for name in tl.demos()} | {
            "flooded": fern.change(**WORST, **{"routine.siphons": []}),
            "hole": fern.change(**none, **{"enclosure.drain_hole": True}),
            "sealed": fern.change(**none),
            "furnished": inside(glen.change(**spot), hide=Hide(6.0, 5.0, 2000.0, floor="damp moss")),
            "pots": replace(inside(fern, ground=Ground(bare_floor=0.5)), routine=dry),
            "patches": inside(fern, cover=None, ground=Ground(moss=0.4, rock=0.2), dish=Dish(150.0, 2.0)),
            "two layers": inside(fern, layers=(Layer("fine coir mix", 6.0), Layer("washed sand", 5.0)), cover=Cover("sphagnum moss", 2.0)),
            "tiny": inside(jar, width_cm=9.0, front_to_back_cm=9.0, openings=(), plants=None),
        }  # fmt: skip
        boxes |= {f"keeper {seed}": keepers_box(seed) for seed in KEEPERS}
    return {name: run(box) for name, box in boxes.items()}


@pytest.fixture(scope="module")
def pictures(records) -> dict[str, looks.Picture]:
    return {name: show.section_picture(record) for name, record in records.items()}


@pytest.fixture(scope="module")
def words(pictures) -> dict[str, list]:
    """Every word of each picture with its place."""
    return {name: drawn(picture) for name, picture in pictures.items()}


def written(words: list) -> str:
    return " ".join(text.get_text().replace("\n", " ") for text, _ in words)


def lightness(colour) -> float:
    """L* of a colour as the CIE defines it, 0 black to 100 white (formula from memory)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    y = float(np.dot(linear, (0.2126, 0.7152, 0.0722)))
    return 116.0 * y ** (1.0 / 3.0) - 16.0 if y > 0.008856 else 903.3 * y


def test_water_gets_darker_all_the_way_and_most_where_soils_lie():
    """So the scale stays in order in grey and for every eye, and 10 points of water show from 50 to 90 %."""
    shades = [lightness(looks.water_colour(percent)) for percent in range(101)]
    assert (np.diff(shades) < 0.0).all()
    assert shades[0] > 90.0
    assert shades[100] < 20.0
    assert min(shades[p] - shades[p + 10] for p in (50, 60, 70, 80)) > 8.0
    assert looks.water_colour(-5.0) == looks.water_colour(0.0)
    assert looks.water_colour(130.0) == looks.water_colour(100.0)


def test_one_scale_of_water_in_all_pictures(records, pictures):
    """The same water has the same colour in the section, side by side, and in the week."""
    shown = [*pictures.values(), show.sections_picture({"a": records["hole"], "b": records["dry-ledge"]})]
    shown.append(show.week_picture(records["fern-hollow"]))
    meshes = [mesh for picture in shown for mesh in picture.findobj(QuadMesh) if mesh.get_array().size > 1]
    assert len(meshes) > len(shown)
    for mesh in meshes:
        assert mesh.get_clim() in (
            looks.WATER_SPAN,
            (0.0, 1.0),
        )  # the colour bar itself goes from 0 to 1, or as the scale
        if mesh.get_clim() == looks.WATER_SPAN:
            assert mesh.get_cmap() == looks.WATER_MAP


@pytest.mark.parametrize("seed", [None, *KEEPERS])
def test_no_word_is_cut_or_stands_on_a_word_or_a_leaf(pictures, words, seed):
    """In the demos and made boxes, and in keepers' boxes at random; at least 9 points where a picture is 8 inches wide."""
    for name, picture in pictures.items():
        if (name == f"keeper {seed}") if seed else not name.startswith("keeper"):
            needs_words_inside_and_apart(picture, words[name])
            leaves = [patch.get_window_extent() for patch in picture.findobj(lambda one: one.get_gid() == LEAF)]
            assert picture.get_figwidth() == looks.WIDTH_IN
            assert min(text.get_fontsize() for text, _ in words[name]) >= 9.0
            for (text, box), leaf in itertools.product(words[name], leaves):
                assert not box.overlaps(leaf), (name, text.get_text())


def test_long_names_are_cut_and_many_devices_stay_apart(records):
    """Eight lamps with names as long as a file allows: those that do not fit above the lid stand beside the box."""
    box = records["fern-hollow"].box
    lamps = tuple(replace(box.routine.lamps[0], name=f"{'lamp ' * 10}{k}") for k in range(8))
    long = replace(box, name="A name of eighty letters " * 3, routine=replace(box.routine, lamps=lamps))
    picture = show.section_picture(replace(records["fern-hollow"], box=long))
    found = drawn(picture)
    needs_words_inside_and_apart(picture, found)
    assert sum("lamp" in text.get_text() for text, _ in found) == 8


def test_the_words_carry_the_records_numbers(records, pictures, words):
    record, alt = records["fern-hollow"], pictures["fern-hollow"].alt
    rows = record.rows(0, 1)
    assert f"water stands {record.gap_below_mesh_cm[-1]:.1f} cm under the mesh" in alt
    air = record.mean_over(record.air_space[rows], 0, 10 / 3).mean()
    assert f"{100 * air:.0f} % air in its top third" in alt
    assert f"{wet_band_cm(record, rows):.1f} cm at its foot hold less than 10 % air" in alt
    assert "above the mesh" in pictures["flooded"].alt
    assert "sealed" in pictures["dry-ledge"].alt
    assert "drain hole" in pictures["hole"].alt
    for part in ("mesh", "gap, ", "water, ", "wet band, ", "leaf litter", "fine coir mix", "expanded clay", "ml a day"):
        assert part in written(words["fern-hollow"])


def test_warm_and_cool_places_are_told_where_they_are(records, pictures, words):
    """Below, above, in the hide and at the basking place: humidity never without its temperature, as the record has them."""
    record, picture = records["furnished"], pictures["furnished"]
    seen = written(words["furnished"])
    for zone, name in (("below", "air below"), ("above", "air above"), ("hide", "hide")):
        reading = f"{record.zone_humidity(zone)[-1]:.0f} % at {record.zone_c(zone)[-1]:.0f} °C"
        assert f"{name}: {reading}" in seen
        assert reading in picture.alt
    warm = record.basking_c[-1]
    assert f"basking place: {record.humidity_at(record.basking_c, 'below')[-1]:.0f} % at {warm:.0f} °C" in seen
    assert "Fogged glass" in seen
    assert "air below" not in pictures["moss-jar"].alt.lower()


@pytest.mark.parametrize("name", ["fern-hollow", "furnished", *(f"keeper {seed}" for seed in KEEPERS)])
def test_every_device_and_vent_has_its_name(records, words, name):
    box, seen = records[name].box, written(words[name])
    routine = box.routine
    for part in (*routine.lamps, *routine.heaters, *routine.fans, *(m for m in routine.mists if m.onto == "all")):
        assert part.name in seen
    for opening in box.enclosure.openings:
        assert (f"{opening.name}: " in seen) == (opening.covered < 1.0)


def test_fogged_panes_are_drawn_where_they_are(records):
    """Drops stand at the side panes in the rows in which they are fogged, and in no others."""
    record = records["furnished"]
    wet = record.fogged("sides")
    assert wet.any()
    for row in (int(np.argmax(wet)), int(np.argmin(wet))):
        picture = show.section_picture(record, day=float(record.times_days[row]))
        drops = [patch for patch in picture.findobj(Rectangle) if patch.get_hatch() == "ooo"]
        pieces = sum(bool(record.fogged("sides", zone)[row]) for zone in ("below", "above"))
        assert len(drops) == 2 * pieces + bool(record.fogged("lid")[row])


def panels(picture: looks.Picture) -> tuple:
    """The axes of a section: the glass, the enlarged ground, and the curve of air."""
    (curve,) = [axes for axes in picture.axes if axes.get_xlim()[1] in (30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0)
                and axes.get_xlim()[0] == 0.0 and axes.get_ylim()[1] > 1.5 and axes is not picture.axes[0]]  # fmt: skip
    (ground,) = [axes for axes in picture.axes if axes.get_ylabel().startswith("depth")]
    return picture.axes[0], ground, curve


@pytest.mark.parametrize("name", ["fern-hollow", "flooded", "two layers", "tall-glen"])
def test_the_curve_of_air_is_the_records(records, pictures, name):
    """Its points are the record's air, its grey band is as thick as the wet band that is printed, its mark stands at 10 %."""
    record = records[name]
    rows = record.rows(0, 1)
    _, _, curve = panels(pictures[name])
    x = np.concatenate([line.get_xdata()[1:-1] for line in curve.lines if line.get_linewidth() > 2.0])
    np.testing.assert_allclose(x, 100.0 * record.air_space[rows].mean(axis=0))
    (mark,) = [line for line in curve.lines if line.get_linewidth() < 2.0]
    assert set(mark.get_xdata()) == {10.0}
    grey = sum(patch.get_height() for patch in curve.patches)
    assert grey == pytest.approx(wet_band_cm(record, rows), abs=1e-9)


def test_clay_is_clay_and_its_water_stands_at_its_level(records, pictures):
    """Grains have the colour of their kind, darker where they are soaked; the line of the water is the record's level."""
    for name, kind in (("fern-hollow", "expanded clay"), ("tall-glen", "")):
        _, ground, _ = panels(pictures[name])
        (grains,) = ground.findobj(EllipseCollection)
        colours = {to_hex(c) for c in grains.get_facecolors()}
        assert colours <= {c.lower() for c in GRAINS[kind]}
    record = records["fern-hollow"]
    _, ground, _ = panels(pictures["fern-hollow"])
    level = level_cm(record, len(record.times_s) - 1)
    assert level == pytest.approx(6.0 - record.gap_below_mesh_cm[-1])
    assert any(
        set(line.get_ydata()) == {level} and to_hex(line.get_color()) == looks.BLUE.lower() for line in ground.lines
    )


def test_a_drain_hole_is_open_and_a_sealed_floor_is_not(pictures):
    for name, pieces in (("hole", 2), ("sealed", 1), ("fern-hollow", 1)):
        for axes in panels(pictures[name])[:2]:
            floor = [
                line
                for line in axes.lines
                if line.get_zorder() == 8 and line.get_ydata()[0] == line.get_ydata()[1] == 0.0
            ]
            assert len(floor) == pieces
            middle = 0.5 * axes.get_xlim()[1]
            covered = any(min(line.get_xdata()) < middle < max(line.get_xdata()) for line in floor)
            assert covered == (name != "hole")


def test_the_ground_is_drawn_by_its_shares(records, pictures, words):
    """Rock, moss, pots and dish are as wide as their shares of the floor."""
    e = records["patches"].box.enclosure
    glass = pictures["patches"].axes[0]
    rocks = [
        p.get_path().get_extents().width for p in glass.findobj(Polygon) if to_hex(p.get_facecolor()) == STONE.lower()
    ]
    assert max(rocks) == pytest.approx(0.2 * e.width_cm)
    wide = lambda spans: sum(right - left for left, right in spans)  # noqa: E731
    grounds = grounds_of(e)
    shares = [wide(spans) / e.width_cm for spans in (grounds.rock, grounds.moss, grounds.dish, grounds.planted)]
    assert shares == pytest.approx([0.2, 0.4, e.dish_share, e.planted_share])
    pots = grounds_of(records["pots"].box.enclosure)
    assert wide(pots.columns) == pytest.approx(0.5 * e.width_cm)
    assert len(pots.columns) > 1
    seen = written(words["patches"])
    for part in ("rock: 20 % of the floor", "moss: 40 % of the floor", "water dish"):
        assert part in seen
    assert "bare floor: 50 %" in written(words["pots"])


def test_plants_are_as_wide_as_their_cover_and_as_high_as_they_are(records):
    """Leaves of 20 and of 80 % cover, 15 cm high; no leaf reaches out of the glass or past its height."""
    record, found = records["fern-hollow"], []
    for cover in (0.2, 0.8):
        plants = Plants("ferns", cover=cover, height_cm=15.0)
        box = inside(record.box, plants=plants)
        picture = show.section_picture(replace(record, box=box))
        glass, e = picture.axes[0], box.enclosure
        leaves = [patch.get_path().get_extents() for patch in glass.findobj(lambda one: one.get_gid() == LEAF)]
        shaded = np.zeros(1000, bool)
        at = np.linspace(0.0, e.width_cm, 1000)
        for leaf in leaves:
            shaded |= (at >= leaf.x0) & (at <= leaf.x1)
            assert -1e-6 <= leaf.x0 <= leaf.x1 <= e.width_cm + 1e-6
        found.append(shaded.mean())
        assert max(leaf.y1 for leaf in leaves) == pytest.approx(e.surface_cm + 15.0, abs=1.5)
    assert found == pytest.approx([0.2, 0.8], abs=0.05)


def test_a_box_in_us_units_is_drawn_in_them(records):
    """Typed inches come back as inches, on the axes too."""
    record = records["moss-jar"]
    raw = in_inches(record.box.write())
    picture = show.section_picture(replace(record, box=tl.Box.read(raw)))
    found = drawn(picture)
    seen = written(found)
    for unit in (" in", "fl oz a day", "°F", "in above the floor", "depth, in"):
        assert unit in seen
    for text in (seen, picture.alt):
        assert " cm" not in text
        assert "°C" not in text
        assert " ml" not in text
    needs_words_inside_and_apart(picture, found)


def in_inches(raw):
    """A description with every length, volume and temperature in US units."""
    if isinstance(raw, dict):
        return {key: in_inches(value) for key, value in raw.items()}
    if isinstance(raw, list):
        return [in_inches(value) for value in raw]
    amount_, _, unit = raw.partition(" ") if isinstance(raw, str) else ("", "", "")
    turned = {"cm": (1 / 2.54, 0.0, "in"), "ml": (1 / 29.5735, 0.0, "fl oz"), "C": (1.8, 32.0, "F")}
    if unit not in turned:
        return raw
    per, offset, new = turned[unit]
    return f"{float(amount_) * per + offset:.4g} {new}"


def test_flows_of_a_day_are_the_records_own(records):
    record = records["fern-hollow"]
    rows = record.rows(0, 1)
    assert flows_of(record, rows).poured == pytest.approx(120.0)
    vapour = sum(
        record.series[f"vapour lost {way} ml/h"][rows].sum() for way in ("through gaps", "through vents", "by fan")
    )
    assert flows_of(record, rows).vapour_out == pytest.approx(vapour, rel=1e-9)
    assert flows_of(record, rows, "hour").vapour_out == pytest.approx(vapour / 24.0, rel=1e-9)
    assert tl.quantities.said(amount(122.0, "day")) == "120 ml a day"


@pytest.mark.parametrize("look", ["water", "air"])
def test_side_by_side_has_one_size_one_scale_and_all_names(records, look):
    some = {name: records[name] for name in ("fern-hollow", "moss-jar", "flooded", "hole", "tall-glen", "dry-ledge")}
    picture = show.sections_picture(some, look=look)
    found = drawn(picture)
    needs_words_inside_and_apart(picture, found)
    assert set(some) <= {text.get_text() for text, _ in found}
    assert picture.alt.count("top third") == len(some)
    inch = {round(axes.get_position().width * 8.0 / axes.get_xlim()[1], 9) for axes in picture.axes if not axes.axison}
    assert len(inch) == 1  # so many inches for a centimetre in every glass
    assert len({axes.get_ylim() for axes in picture.axes if axes.get_ylabel()}) == 1


def test_the_box_alone_is_half_as_high(records):
    whole, alone = (show.section_picture(records["fern-hollow"], ground=ground) for ground in (True, False))
    assert alone.get_figheight() < 0.7 * whole.get_figheight()
    assert alone.alt == whole.alt
    needs_words_inside_and_apart(alone)


def test_what_cannot_be_drawn_is_refused(records):
    record = records["moss-jar"]
    with pytest.raises(tl.TerralabError, match="water"):
        show.section_picture(record, look="watr")
    with pytest.raises(tl.TerralabError, match="day"):
        show.section_picture(record, day=9)
    with pytest.raises(tl.TerralabError, match="true or false"):
        show.section_picture(record, ground="no")
    with pytest.raises(tl.TerralabError, match="1 to 6"):
        show.sections_picture({})


def test_words_are_moved_apart_as_little_as_can_be():
    """By hand: three that want the same place stand around it, one far off stays, a wall shifts them all."""
    assert spread([5.0, 5.0, 5.0, 20.0], [2.0] * 4, 0.0, 30.0) == pytest.approx([3.0, 5.0, 7.0, 20.0])
    assert spread([1.0, 1.0], [2.0, 2.0], 0.0, 30.0) == pytest.approx([1.0, 3.0])
    assert spread([9.0, 1.0], [2.0, 2.0], 0.0, 10.0) == pytest.approx([9.0, 1.0])
    rng = np.random.default_rng(3)
    for _ in range(50):
        wanted, sizes = rng.uniform(0.0, 10.0, 6), rng.uniform(0.2, 1.5, 6)
        placed = spread(wanted, sizes, 0.0, 10.0)
        order = np.argsort(wanted)
        room = np.diff(placed[order]) - 0.5 * (sizes[order][1:] + sizes[order][:-1])
        assert room.min() > -1e-9
        assert (placed - 0.5 * sizes).min() > -1e-9
        assert (placed + 0.5 * sizes).max() < 10.0 + 1e-9


def test_a_text_is_broken_to_its_room():
    picture = looks.Picture(2.0)
    text = fitted(picture, "two parts of this and one of another thing", 1.2)
    assert text.count("\n") == 1
    assert text_width(picture, text) <= 1.2
    assert text.endswith("…")
    assert fitted(picture, "short", 1.2) == "short"
