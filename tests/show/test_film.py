"""Films of the ground: which moments they show, that water moves in them, that they are small and play without a network."""

from __future__ import annotations

import base64
import io
import json
import re
import warnings
from dataclasses import replace
from html import escape

import numpy as np
import pytest
from PIL import Image

import terralab as tl
from terralab import show
from terralab.describe import Pour
from terralab.show.figures.film_moments import moments
from terralab.show.figures.film_page import ASLEEP

MISHAP_S = 9 * 3600 + 1200  # 09:20 of the first day
DAYS = 3


@pytest.fixture(scope="module")
def records() -> dict[str, tl.Record]:
    """A jar that gets half a litre at once, with its layer and on a sealed floor, in rows of 20 minutes."""
    jar = tl.load("moss-jar")
    routine = replace(jar.routine, pours=(*jar.routine.pours, Pour(MISHAP_S, 500.0, 5.0, 366)), siphons=())
    layer = replace(jar, routine=routine)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        boxes = {"with a layer": layer, "sealed": layer.change(**{"enclosure.drainage": None, "enclosure.tube": None})}
        return {name: tl.simulate(box, DAYS, accuracy="preview", record_every_min=20) for name, box in boxes.items()}


@pytest.fixture(scope="module")
def film(records):
    return show.section_film(records, frames=30)


def inside(film, name: str) -> list:
    """A list of the script: p the pictures, w the moments, a the words for those who cannot see, l the numbers below."""
    start = re.search(rf"[ ,]{name}=(?=\[)", film.html).end()
    return json.JSONDecoder().raw_decode(film.html, start)[0]


def pixels(film) -> list[np.ndarray]:
    return [np.asarray(Image.open(io.BytesIO(base64.b64decode(one))).convert("RGB")) for one in inside(film, "p")]


def test_moments_are_fine_around_the_mishap_and_daily_after_it(records):
    """From an hour before the pour 24 hours in steps of 20 minutes, then once a day at the same hour."""
    times = moments(list(records.values()), 0.0, DAYS, 120)
    steps = np.diff(times) * 1440.0
    assert steps[:72] == pytest.approx(20.0)
    assert steps[72:] == pytest.approx(1440.0)
    assert times[0] == pytest.approx(MISHAP_S / 86400.0 - 1.0 / 24.0, abs=1.0 / 72.0 + 1e-9)
    assert times[-1] <= DAYS
    assert np.ptp(times[72:] % 1.0) < 1e-6
    for most in (2, 7, 30, 74):
        few = moments(list(records.values()), 0.0, DAYS, most)
        assert 2 <= len(few) <= most
        assert (np.diff(few) > 0.0).all()
    short = moments(list(records.values()), 1.5, 2.0, 120)
    assert short[0] >= 1.5
    assert short[-1] <= 2.0
    assert np.diff(short) == pytest.approx(1.0 / 72.0)


def test_water_is_seen_to_move(film, records):
    """From picture to picture something changes on the day of the mishap, in the drawing and in a number of its words."""
    shots, words, alts = pixels(film), inside(film, "w"), inside(film, "a")
    assert len(shots) == len(words) == len(alts) == film.frames <= 30
    assert len({shot.shape for shot in shots}) == 1
    ground = slice(90, 310)  # rows of pixels with the drawing, without the line of the moment and the words below
    fine = [k for k, word in enumerate(words) if word.startswith("day 1")]
    changed = [int((shots[k][ground] != shots[k - 1][ground]).any(axis=2).sum()) for k in fine[1:]]
    assert sum(one > 0 for one in changed) >= 0.7 * len(changed)
    assert max(changed) > 5000
    numbers = [tuple(re.findall(r"\d+(?:\.\d+)?", alt.partition(". ")[2])) for alt in alts]
    assert len(set(numbers)) > 5
    told = [tuple(one) for one in inside(film, "l")]
    assert len(set(told)) > 3
    assert all(len(one) == 2 and one[0].startswith("with a layer") for one in told)
    gaps = [re.search(r"Below, water stands (at|[\d.]+)", alt).group(1) for alt in alts]
    assert len(set(gaps)) > 1
    assert all("with a layer" in alt and "sealed" in alt for alt in alts)
    assert any("500 ml given since the moment before" in alt or "505 ml given" in alt for alt in alts)


def test_the_scale_keeps_its_colours(film):
    """The colours are the same in all pictures: none of the scale's pixels changes."""
    shots = pixels(film)
    assert all((shot[:45, 330:] == shots[0][:45, 330:]).all() for shot in shots)
    assert len(np.unique(shots[0].reshape(-1, 3), axis=0)) > 60


def test_a_film_is_small_whole_and_needs_no_network(film):
    html = film._repr_html_()
    assert film.megabytes / film.frames * 120 < 3.0
    assert not re.search(r'https?:|@import|url\(|(?:src|href)="(?!data:)', html)
    assert re.search(r'<img [^>]*alt="day 1, 08:20', html)
    assert film.words[0] == "day 1, 08:20"
    assert film.alt.startswith("Film in ")
    assert "background:#fff" in html
    assert not re.search(r"setInterval\([^)]*\)[^}]*\}\)\(\)", html)  # it stands still until Play


def test_all_that_moves_a_film_has_a_name(film):
    """Play, one moment on, one moment back, and a slider that says its moment; without scripts a note stays."""
    html = film.html
    assert re.search(r'<input [^>]*type="range"[^>]*aria-label="moment shown" aria-valuetext="day 1, 08:20"', html)
    for name in ("one moment back", "one moment on"):
        assert re.search(rf'<button [^>]*aria-label="{name}"', html)
    assert ">Play</button>" in html
    assert escape(ASLEEP) in html
    assert '("n").style.display="none"' in html


def test_one_record_is_filmed_alone_and_a_fourth_is_refused(records):
    one = show.section_film(records["sealed"], frames=2)
    assert one.frames == 2
    assert "Moss Jar" in one.alt
    with pytest.raises(tl.TerralabError, match="1 to 3"):
        show.section_film({str(k): records["sealed"] for k in range(4)})
    with pytest.raises(tl.TerralabError, match="frames"):
        show.section_film(records["sealed"], frames=1)
    with pytest.raises(tl.TerralabError, match="record"):
        show.section_film("sealed")
