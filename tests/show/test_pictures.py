"""Pictures: what they say, that a keeper can read them, and how they are kept."""

from __future__ import annotations

import re
import subprocess
import sys
import warnings
from base64 import b64decode
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from html import unescape
from itertools import pairwise
from types import SimpleNamespace

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_hex, to_rgba
from matplotlib.figure import Figure
from PIL import Image

from terralab import atomic_files as keeping
from terralab.describe import Fan, Pour, Timer, load
from terralab.describe.box import HumidityTarget
from terralab.errors import FileError, TerralabError, TerralabWarning
from terralab.quantities import said
from terralab.show import budget_picture, save, water_picture, week_picture
from terralab.show.figures import style as looks
from terralab.show.figures.days import Span
from terralab.show.figures.ground import airless_cm
from terralab.show.figures.section_words import row_at
from terralab.show.figures.strips import MOST_ROWS, strips_of
from terralab.simulation.simulate import simulate
from tests.show.looking import ALLOWED, drawn, needs_words_inside_and_apart

AMOUNTS = {
    "poured": 120.0,
    "sprayed and misted": 40.0,
    "vapour lost through gaps": 5.0,
    "vapour lost through vents": 150.4,
    "vapour lost by fan": 0.0,
    "stored in the soil": -12.3,
    "condensed and returned": 80.0,
    "a new word": 3.0,
}


def other(name, days=2, **changes):
    """A record of a demo with some entries changed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", TerralabWarning)
        return simulate(load(name).change(**changes), days)


@pytest.fixture(scope="module")
def records():
    return {name: simulate(load(name), 3) for name in ("fern-hollow", "moss-jar", "dry-ledge")}


@pytest.fixture(scope="module")
def pictures(records):
    return {name: week_picture(record) for name, record in records.items()}


@pytest.fixture(params=["fern-hollow", "moss-jar", "dry-ledge", "budget", "crowded"])
def any_picture(request, pictures, records):
    if request.param in pictures:
        return pictures[request.param]
    return budget_picture(AMOUNTS, "A budget") if request.param == "budget" else week_picture(crowded(records))


def crowded(records):
    """A record whose box has more fans than fit, with long names."""
    record = records["fern-hollow"]
    fans = tuple(
        Fan(
            name=f"circulating fan behind the cork wall {k}",
            mode="circulate",
            timer=Timer("22:00-06:00"),
            air_speed_cm_s=9,
        )
        for k in range(20)
    )
    box = replace(
        record.box,
        name="A box with a name of almost eighty characters, as long as the file allows it",
        routine=replace(record.box.routine, fans=fans),
    )
    return replace(record, box=box)


def test_a_week_is_1200_by_1500_pixels(pictures):
    for picture in pictures.values():
        assert isinstance(picture, Figure)
        assert tuple(np.round(picture.get_size_inches() * picture.dpi)) == (1200, 1500)


def test_every_axis_says_its_unit(pictures):
    for name, picture in pictures.items():
        labels = [axes.get_ylabel() for axes in picture.axes]
        assert {"% RH", "°C", "cm below\nthe surface", "water, % of soil"} <= set(labels)
        assert ("cm below\nthe mesh" in labels) == (name != "dry-ledge")
        assert any("time in days" in axes.get_xlabel() for axes in picture.axes)
    assert budget_picture(AMOUNTS, "").axes[0].get_xlabel() == "ml a day"


def test_all_colours_are_of_the_palette(pictures):
    for picture in (*pictures.values(), budget_picture(AMOUNTS, "")):
        for axes in picture.axes:
            for line in axes.lines:
                assert to_hex(line.get_color()) in ALLOWED
            for patch in axes.patches:
                assert to_hex(patch.get_facecolor()) in ALLOWED
            for filled in axes.collections:
                if filled.get_array() is None or filled.get_array().size == 0:
                    assert {to_hex(c[:3]) for c in filled.get_facecolor() if c[3] > 0} <= ALLOWED


def test_lines_of_one_panel_differ_by_their_strokes_too(pictures):
    strokes = [line._dash_pattern for line in pictures["fern-hollow"].axes[1].lines]
    assert len(strokes) == len({str(stroke) for stroke in strokes}) == 4


def test_letters_are_large_enough(any_picture):
    assert min(text.get_fontsize() for text, _ in drawn(any_picture)) >= 9.0


def test_all_words_lie_inside_and_apart(any_picture):
    needs_words_inside_and_apart(any_picture)


def test_the_words_give_the_numbers_of_the_record(records, pictures):
    record, alt = records["fern-hollow"], pictures["fern-hollow"].alt
    rh, air = record.relative_humidity, record.series["air temperature C"]
    assert f"relative humidity {rh.min():.0f} to {rh.max():.0f} %" in alt
    assert f"Air {air.min():.1f} to {air.max():.1f} °C" in alt
    assert "room 18.0 to 21.0 °C" in alt
    for zone in ("below", "above"):
        damp, warm = record.zone_humidity(zone), record.zone_c(zone)
        assert f"Air {zone} {damp.min():.0f} to {damp.max():.0f} % at {warm.min():.1f} to {warm.max():.1f} °C" in alt
        assert zone in [text.get_text() for text, _ in drawn(pictures["fern-hollow"])]
    assert "Air below" not in pictures["moss-jar"].alt
    assert "70 to 90 % by day, 90 to 100 % by night" in alt
    assert f"{record.gap_below_mesh_cm[-1]:.1f} cm of air left under the mesh" in alt
    assert "drainage" not in pictures["dry-ledge"].alt


def test_the_last_days_are_shown(records):
    picture = week_picture(records["fern-hollow"], days=2)
    assert picture.axes[0].get_xlim() == (1.0, 3.0)
    assert "days 2 to 3 of 3" in picture.alt
    assert [text.get_text() for text, _ in drawn(picture) if text.get_text().startswith("day")] == ["day 2", "day 3"]


def test_day_and_night_have_their_own_bands(pictures):
    faces = [c for c in pictures["fern-hollow"].axes[0].collections if c.get_facecolor().size]
    seen = {}
    for target in faces:
        corners = target.get_paths()[0].vertices
        hours = 24 * corners[:, 0] % 24
        kind = to_hex(target.get_facecolor()[0][:3])
        seen.setdefault(kind, []).append((set(np.round(hours)), set(corners[:, 1])))
    by_day, by_night = seen[looks.GREEN.lower()], seen[looks.PURPLE.lower()]
    assert len(by_day) == 3
    assert len(by_night) == 4
    assert all(hours == {8, 20} and ends == {70, 90} for hours, ends in by_day)
    assert all(hours <= {0, 8, 20} and ends == {90, 100} for hours, ends in by_night)


def test_another_band_is_taken(records):
    target = HumidityTarget(day_low=41, day_high=52, night_low=63, night_high=74, day_from="20:00", day_to="08:00")
    picture = week_picture(records["fern-hollow"], 1, target)
    assert "41 to 52 % by day, 63 to 74 % by night" in picture.alt
    assert any("grey is night, 08:00 to 20:00" in axes.get_xlabel() for axes in picture.axes)


def test_day_and_night_fill_the_span_without_overlap():
    for start, end in ((8, 20), (20, 8), (0, 24), (6.5, 6)):
        span = Span(2.0, 5.0, 3600.0 * start, 3600.0 * end % 86400.0)
        pieces = sorted([*span.daytimes(), *span.nights()])
        assert pieces[0][0] == 2.0
        assert pieces[-1][1] == 5.0
        assert all(before[1] == pytest.approx(after[0]) for before, after in pairwise(pieces))
        assert sum(b - a for a, b in span.daytimes()) == pytest.approx(3 * ((end - start) % 24 or 24) / 24)


def test_a_run_that_goes_on_from_another_is_drawn_on_its_own_days(records):
    """Its days are counted on: a day after four others is the fifth, and no picture looks for it on the first."""
    before = records["moss-jar"]
    after = simulate(before.box, days=1, accuracy="preview", record_every_min=60, start=before)
    ended = round(before.times_days[-1])
    for days in (1, 7):
        picture = week_picture(after, days)
        assert f"day {ended + 1} of {ended + 1}:" in picture.alt
        assert "nan" not in picture.alt
        assert picture.axes[0].get_xlim() == (ended, ended + 1)
    assert row_at(after, ended + 0.5) == len(after.times_s) // 2
    with pytest.raises(TerralabError, match=f"{ended}"):
        row_at(after, ended - 2.0)


def spans_in(axes, colour):
    """The stretches of the time axis that an axes shades in this colour, read back from what was drawn."""
    found = set()
    for patch in axes.patches:
        if to_hex(patch.get_facecolor()) == to_hex(colour):
            across = patch.get_patch_transform().transform(patch.get_path().vertices)[:, 0]
            found.add((round(across.min(), 4), round(across.max(), 4)))
    return found


@pytest.mark.parametrize(
    ("hours", "nights"),
    [
        (None, {(0, 8), (20, 32), (44, 56), (68, 72)}),
        (("07:00", "19:30"), {(0, 7), (19.5, 31), (43.5, 55), (67.5, 72)}),
        (("22:00", "06:00"), {(6, 22), (30, 46), (54, 70)}),
    ],
)
def test_the_nights_are_grey_and_the_days_are_not(records, hours, nights):
    """In every panel over time: from the end of the day wanted to its start; from 20:00 to 08:00 where none is given."""
    record = records["fern-hollow"]
    target = hours and HumidityTarget(41, 52, 63, 74, day_from=hours[0], day_to=hours[1])
    bare = replace(record, box=replace(record.box, group="", humidity_target=None))
    shaded = [spans_in(axes, looks.NIGHT) for axes in week_picture(bare, 3, target).axes]
    shaded = [found for found in shaded if found]
    assert len(shaded) >= 3
    for found in shaded:
        assert found == {(round(a / 24, 4), round(b / 24, 4)) for a, b in nights}


def test_without_a_band_none_is_drawn(records):
    record = records["fern-hollow"]
    picture = week_picture(replace(record, box=replace(record.box, group="", humidity_target=None)))
    assert "wanted" not in picture.alt
    assert "wanted by day" not in {text.get_text() for text, _ in drawn(picture)}


def test_strips_tell_what_runs_and_what_may_run(records):
    record = records["fern-hollow"]
    pours = (Pour(time_s=8 * 3600, amount_ml=50, every_days=2), Pour(time_s=0, amount_ml=9))
    record = replace(record, box=replace(record.box, routine=replace(record.box.routine, pours=pours)))
    strips = {said(strip.name): strip for strip in strips_of(record, Span.of(record, 2, None))}
    assert list(strips) == ["poured", "sprayed 40 ml", "plant light", "panel", "exchange fan", "siphoned (never)"]
    assert [round(24 * start % 24) for start, _ in strips["poured"].periods] == [0, 0, 8]
    assert [name for name, strip in strips.items() if strip.may] == ["panel"]
    assert len(strips["exchange fan"].periods) == 24


def test_too_many_strips_are_counted(records):
    picture = week_picture(crowded(records))
    names = [label.get_text() for label in picture.axes[2].get_yticklabels()]
    assert len(names) == MOST_ROWS
    assert names[-1] == "10 more, not shown"


def test_siphoning_is_read_from_the_record():
    record = other("fern-hollow", **{"routine.siphons.1.when_gap_below": "4.2 cm"})
    strip = strips_of(record, Span.of(record, 2, None))[-1]
    assert strip.name == "siphoned"
    assert strip.periods


def test_the_water_below_is_drawn_as_it_stands_in_the_glass(records, pictures):
    axes = next(a for a in pictures["fern-hollow"].axes if a.get_ylabel() == "cm below\nthe mesh")
    water, mesh = axes.lines
    assert set(mesh.get_ydata()) == {0.0}
    np.testing.assert_array_equal(water.get_ydata(), records["fern-hollow"].gap_below_mesh_cm)
    bottom, top = axes.get_ylim()
    assert bottom == 6.0
    assert top < 0.0


def test_a_flood_is_named():
    flood = {"routine.pours.1.amount": "10 l", "routine.siphons": None}
    picture = week_picture(other("fern-hollow", 1, **flood))
    assert re.search(r"it stands \d+\.\d cm above the mesh", picture.alt)


def test_moss_is_not_called_airless(records):
    record = records["moss-jar"]
    assert airless_cm(record, Span.of(record, 3, None)) <= 6.0 + 1e-9
    assert record.air_space[:, 0].max() < 0.10
    assert "of 6 cm" in week_picture(record).alt


def test_a_budget_sorts_and_adds_up():
    picture = budget_picture(AMOUNTS, "Fern Hollow")
    words = [text.get_text() for text, _ in drawn(picture)]
    for wanted in (
        "Fern Hollow",
        "Came in: 160 ml a day",
        "Left the box: 155 ml a day",
        "vapour lost through vents and lid",
    ):
        assert wanted in words
    assert {"120", "−12", "3.0", "Also counted"} <= set(words)
    assert "vapour lost by fan" not in words
    assert "poured 120" in picture.alt
    assert "stored in the soil −12" in picture.alt
    widths = sorted(patch.get_width() for patch in picture.axes[0].patches)
    assert widths == sorted(value for value in AMOUNTS.values() if value)


def test_a_budget_without_any_water_is_drawn_too():
    picture = budget_picture({"poured": 0.0}, "Dry")
    assert "nothing" in [text.get_text() for text, _ in drawn(picture)]
    assert "No water moves" in picture.alt


def test_wrong_input_is_refused_in_words(records):
    record = records["fern-hollow"]
    for days in (0, -1, 2.5, True, "7", None, 32):
        with pytest.raises(TerralabError, match=r"days must be a whole number from 1 to 31"):
            week_picture(record, days)
    with pytest.raises(TerralabError, match=r"HumidityTarget"):
        week_picture(record, 7, (70, 90))
    with pytest.raises(TerralabError, match="record"):
        week_picture("fern-hollow")
    for bad in (float("nan"), float("inf"), "120", None, True):
        with pytest.raises(TerralabError, match=r"poured.*number of ml a day"):
            budget_picture({"poured": bad}, "")
    for bad in ({}, None, [1.0]):
        with pytest.raises(TerralabError, match="amounts by name"):
            budget_picture(bad, "")
    with pytest.raises(TerralabError, match=r"record"):
        water_picture(None, SimpleNamespace(budget_ml_per_day=AMOUNTS))
    with pytest.raises(TerralabError, match="picture"):
        save("week")


def test_the_png_is_whole_and_holds_its_words(pictures, tmp_path):
    picture = pictures["fern-hollow"]
    path = save(picture, tmp_path / "week.png")
    with Image.open(path) as image:
        image.load()
        assert image.format == "PNG"
        assert image.size == (1200, 1500)
        assert image.text["Description"] == picture.alt
        assert image.convert("RGB").getpixel((2, 2)) == (255, 255, 255)


def test_a_notebook_gets_the_picture_and_the_words(pictures):
    shown = pictures["moss-jar"]._repr_mimebundle_()
    alt, data = re.search(r'<img alt="([^"]*)" src="data:image/png;base64,([^"]*)"', shown["text/html"]).groups()
    assert b64decode(data).startswith(b"\x89PNG")
    assert unescape(alt) == shown["text/plain"] == pictures["moss-jar"].alt
    assert "overflow-x:auto" in shown["text/html"]  # a phone moves it sideways rather than make its words too small
    assert "min-width:620px" in shown["text/html"]


def test_saving_never_overwrites(tmp_path):
    picture = budget_picture(AMOUNTS, "")
    assert save(picture, tmp_path / "a.png") == tmp_path / "a.png"
    (tmp_path / "a.png").write_bytes(b"mine")
    assert picture.save(tmp_path / "a.png") == tmp_path / "a-2.png"
    assert save(picture, tmp_path / "a") == tmp_path / "a-3.png"
    assert (tmp_path / "a.png").read_bytes() == b"mine"
    assert save(picture, tmp_path, stem="Fern Hollow / 1") == tmp_path / "fern-hollow-1.png"
    assert save(picture, tmp_path, stem="苔") == tmp_path / "terralab.png"


def test_saving_without_a_path_uses_the_folder_one_is_in(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    names = [save(budget_picture(AMOUNTS, "")).name for _ in range(2)]
    assert names == ["terralab.png", "terralab-2.png"]


@pytest.mark.parametrize("links", [True, False], ids=["links", "no links"])
def test_savers_at_the_same_time_get_names_of_their_own(tmp_path, monkeypatch, links):
    if not links:

        def refuse(*_):
            raise PermissionError("no links on this disk")

        monkeypatch.setattr(keeping.os, "link", refuse)
    monkeypatch.setattr(looks, "png", lambda figure: b"whole")
    picture = budget_picture(AMOUNTS, "")
    with ThreadPoolExecutor(8) as pool:
        paths = list(pool.map(lambda _: save(picture, tmp_path / "a.png"), range(24)))
    assert len(set(paths)) == 24
    assert sorted(tmp_path.iterdir()) == sorted(paths)
    assert all(path.read_bytes() == b"whole" for path in paths)


def test_a_picture_that_cannot_be_written_leaves_nothing_behind(tmp_path, monkeypatch):
    picture = budget_picture(AMOUNTS, "")
    with pytest.raises(FileError, match="no folder"):
        save(picture, tmp_path / "missing" / "a.png")
    with pytest.raises(FileError, match=r"\.png"):
        save(picture, tmp_path / "a.jpg")

    def full(number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(keeping.os, "fsync", full)
    with pytest.raises(FileError, match="No space left"):
        save(picture, tmp_path / "a.png")
    assert list(tmp_path.iterdir()) == []


def test_names_with_signs_are_shown_as_they_are(records):
    record = records["dry-ledge"]
    name = "Tom's $5 & $6 box 苔"
    picture = week_picture(replace(record, box=replace(record.box, name=name)))
    assert looks.png(picture)
    assert name in [text.get_text().replace(r"\$", "$") for text, _ in drawn(picture)]


def test_settings_of_the_user_change_nothing():
    plain = looks.png(budget_picture(AMOUNTS, "Same"))
    mine = {
        "axes.facecolor": "black",
        "text.color": "red",
        "font.size": 30,
        "savefig.bbox": "tight",
        "hatch.color": "red",
    }
    with matplotlib.rc_context(mine):
        assert looks.png(budget_picture(AMOUNTS, "Same")) == plain
        assert to_rgba(matplotlib.rcParams["text.color"]) == to_rgba("red")


def test_nothing_is_loaded_before_a_picture_is_asked_for():
    code = (
        "import sys, terralab, terralab.show as show\n"
        "assert 'matplotlib' not in sys.modules\n"
        "show.week_picture\n"
        "assert 'matplotlib' in sys.modules and 'matplotlib.pyplot' not in sys.modules\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_a_misspelt_picture_is_named():
    from terralab import show

    with pytest.raises(AttributeError, match="week_picture"):
        _ = show.week_pictur


def test_vapour_that_comes_in_is_no_loss_below_nothing():
    """A room damper than the box gives it vapour: that came in, and no bar goes the wrong way."""
    amounts = {"poured": 10.0, "vapour lost through gaps": -4.0, "vapour lost through vents": 14.0}
    said = budget_picture(amounts, "").alt
    assert "vapour come in through gaps 4.0" in said
    assert "lost through gaps" not in said
    assert "−" not in said
    assert "Came in 14" in said
    assert "Left the box 14" in said
