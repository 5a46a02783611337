"""Cross-sections and films: what they say, that nothing is cut off or hidden, that a film needs no network."""

from __future__ import annotations

import base64
import io
import json
import re
import warnings

import numpy as np
import pytest
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from PIL import Image

import terralab as tl
from terralab import show
from terralab.show.figures import style as looks
from terralab.show.figures.section_flows import amount, flows_of

WORST = {"start.soil": "wet", "enclosure.drainage.level": "8 cm"}


@pytest.fixture(scope="module")
def records() -> dict[str, tl.Record]:
    """Short runs: the three demos, one flooded, one on a drain hole."""
    out = {name: tl.simulate(tl.load(name), 3, accuracy="preview", record_every_min=60) for name in tl.demos()}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        flooded = tl.load("fern-hollow").change(**WORST, **{"routine.siphons": []})
    hole = {"enclosure.drainage": None, "enclosure.tube": None, "enclosure.drain_hole": True, "routine.siphons": []}
    out["flooded"] = tl.simulate(flooded, 3, accuracy="preview", record_every_min=60)
    out["hole"] = tl.simulate(tl.load("fern-hollow").change(**hole), 3, accuracy="preview", record_every_min=60)
    hide = {"volume": "2 l", "opening_width": "6 cm", "opening_height": "5 cm", "floor": "damp moss"}
    spot = {"enclosure.hide": hide, "enclosure.basking": {"lamp": "warm spot", "distance": "30 cm"}}
    out["furnished"] = tl.simulate(tl.load("tall-glen").change(**spot), 3, accuracy="preview", record_every_min=60)
    return out


def texts(picture: looks.Picture) -> list[Text]:
    return [text for text in picture.findobj(Text) if text.get_text().strip() and text.get_visible()]


@pytest.mark.parametrize("name", ["fern-hollow", "moss-jar", "dry-ledge", "flooded", "hole", "furnished"])
@pytest.mark.parametrize("look", ["water", "air"])
def test_no_word_leaves_the_picture(records, name, look):
    picture = show.section_picture(records[name], look=look)
    data = looks.png(picture)
    assert Image.open(io.BytesIO(data)).size[0] == 1200
    width, height = picture.get_size_inches() * picture.dpi
    for text in texts(picture):
        box = text.get_window_extent()
        assert box.x0 >= -1, text.get_text()
        assert box.x1 <= width + 1, text.get_text()
        assert box.y0 >= -1, text.get_text()
        assert box.y1 <= height + 1, text.get_text()


@pytest.mark.parametrize("name", ["fern-hollow", "moss-jar", "dry-ledge", "tall-glen", "flooded", "hole", "furnished"])
def test_no_word_stands_on_another(records, name):
    """Names, amounts, the hide and the basking place each stay to be read, in a narrow box too."""
    picture = show.section_picture(records[name])
    looks.png(picture)
    # of an annotation the words alone, without its line
    boxes = [
        (text.get_text(), Text.get_window_extent(text)) for text in texts(picture) if text.axes in picture.axes[:1]
    ]
    for number, (words, a) in enumerate(boxes):
        for other, b in boxes[:number]:
            over = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
            assert over[0] <= 2 or over[1] <= 2, (words, other)


def test_the_words_carry_the_records_numbers(records):
    record = records["fern-hollow"]
    picture = show.section_picture(record)
    assert f"water stands {record.gap_below_mesh_cm[-1]:.1f} cm under the mesh" in picture.alt
    assert f"{100 * record.mean_over(record.air_space, 0, 10 / 3)[-1]:.0f} % air in its top third" in picture.alt
    assert "above the mesh" in show.section_picture(records["flooded"]).alt
    assert "sealed" in show.section_picture(records["dry-ledge"]).alt
    assert "drain hole" in show.section_picture(records["hole"]).alt


def test_the_air_is_told_where_it_is(records):
    """Below, above, in the hide and at the basking place: picture and words carry the record's own numbers."""
    record = records["furnished"]
    picture = show.section_picture(record)
    drawn = " ".join(text.get_text().replace("\n", " ") for text in texts(picture))
    for zone in ("below", "above"):
        number = f"air {zone} {record.zone_humidity(zone)[-1]:.0f} % at {record.zone_c(zone)[-1]:.0f} °C"
        assert number in drawn
        assert number in picture.alt.lower().replace("°c", "°C")
    assert f"hide, {record.zone_humidity('hide')[-1]:.0f} % at {record.zone_c('hide')[-1]:.0f} °C" in drawn
    assert "basking place" in drawn
    assert "Fogged glass" in drawn
    assert "Fogged glass" in picture.alt
    assert "air below" not in show.section_picture(records["moss-jar"]).alt.lower()


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


def test_labels_name_every_part_and_amount(records):
    record = records["fern-hollow"]
    said = " ".join(text.get_text() for text in texts(show.section_picture(record)))
    for word in (
        "mesh",
        "gap",
        "water",
        "wet band",
        "leaf litter",
        "fine coir mix",
        "expanded clay",
        "poured",
        "ml a day",
    ):
        assert word in said
    flows = flows_of(record, record.rows(0, 3))
    assert flows.poured == pytest.approx(120.0)
    assert amount(flows.sprayed, "day") in said


def test_flows_of_a_day_are_the_records_own(records):
    record = records["fern-hollow"]
    rows = record.rows(2, 3)
    vapour = sum(
        record.series[f"vapour lost {way} ml/h"][rows].sum() for way in ("through gaps", "through vents", "by fan")
    )
    assert flows_of(record, rows).vapour_out == pytest.approx(vapour, rel=1e-9)
    assert flows_of(record, rows, "hour").vapour_out == pytest.approx(vapour / 24.0, rel=1e-9)


def test_side_by_side_has_one_scale_and_all_names(records):
    picture = show.sections_picture({name: record for name, record in records.items() if name != "dry-ledge"})
    said = [text.get_text() for text in texts(picture)]
    assert {"fern-hollow", "moss-jar", "flooded", "hole"} <= set(said)
    scales = {
        c.get_clim()
        for axes in picture.axes
        for c in axes.collections
        if c.get_array() is not None and axes.get_title() == ""
    }
    assert len({limit for limit in scales if limit[1] is not None and limit[1] > 2.0}) == 1
    assert picture.alt.count("top third") == len(records) - 1


def test_what_cannot_be_drawn_is_refused(records):
    record = records["moss-jar"]
    with pytest.raises(tl.TerralabError, match="water"):
        show.section_picture(record, look="watr")
    with pytest.raises(tl.TerralabError, match="day"):
        show.section_picture(record, day=9)
    with pytest.raises(tl.TerralabError, match="1 to 6"):
        show.sections_picture({})
    with pytest.raises(tl.TerralabError, match="frames"):
        show.section_film(record, frames=1)


def test_a_film_is_small_whole_and_needs_no_network(records):
    film = show.section_film(records["fern-hollow"], frames=4)
    html = film._repr_html_()
    assert film.megabytes < 1.5 / 8  # 32 moments stay under 1.5 MB
    assert not re.search(r'https?:|@import|url\(|(?:src|href)="(?!data:)', html)
    assert re.search(r'<img [^>]*alt="Fern Hollow, day 1', html)
    assert 'type="range"' in html
    assert "background:#fff" in html
    pictures = json.loads(re.search(r"var p=(\[.*?\]),w=", html).group(1))
    words = json.loads(re.search(r",w=(\[.*?\]),a=", html).group(1))
    assert len(pictures) == len(words) == film.frames == 4
    assert words[-1] == "day 4, 00:00"
    assert len(set(pictures)) == 4
    sizes = {Image.open(io.BytesIO(base64.b64decode(picture))).size for picture in pictures}
    assert len(sizes) == 1


def test_a_film_of_a_day_counts_by_the_hour(records):
    assert "ml an hour" in show.section_film(records["moss-jar"], 0, 2, frames=2).alt
    assert "ml a day" in show.section_film(records["moss-jar"], frames=2).alt
