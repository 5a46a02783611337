"""The cross-section over a day or a month, as a piece of HTML that plays in a notebook and in a saved page, offline."""

from __future__ import annotations

import io
import json
from base64 import b64encode
from dataclasses import dataclass
from html import escape
from itertools import count
from zlib import crc32

import numpy as np
from matplotlib.figure import Figure

from terralab.errors import UnknownName
from terralab.show.figures.section import draw_section, section_words, top_of
from terralab.show.figures.section_flows import flows_of
from terralab.show.figures.section_parts import LOOKS
from terralab.show.figures.style import TEXT_PT, Picture, literal, plain_look, png, short
from terralab.simulation.record import Record, needs_record
from terralab.units import DAY_S
from terralab.validate import number, whole

FRAMES = 32
DOTS_PER_INCH = 80
COLOURS = 224  # of a frame; fewer would cost the arrows their colours
MOST_FRAMES = 120

_COUNT = count(1)  # a page may hold the same film twice, and each needs names of its own

#: Nothing is fetched: pictures and script are inside. It stands still until Play is pressed.
_PAGE = """<div class="terralab-film" style="background:#fff;color:#000;padding:8px;max-width:{width}px;font-family:sans-serif">
<img id="{key}i" width="{width}" alt="{alt}" src="data:image/png;base64,{first}" style="max-width:100%;height:auto">
<div><button id="{key}b" type="button" style="min-width:5em">Play</button>
<input id="{key}s" type="range" min="0" max="{last}" value="0" step="1" aria-label="moment shown" style="width:60%">
<span id="{key}w" aria-live="off">{word}</span></div>
<script>(function(){{
var p={pictures},w={words},a={alts},t=null,$=function(x){{return document.getElementById("{key}"+x)}};
function show(){{var n=+$("s").value;$("i").src="data:image/png;base64,"+p[n];$("i").alt=a[n];$("w").textContent=w[n];
$("s").setAttribute("aria-valuetext",w[n])}}
function stop(){{clearInterval(t);t=null;$("b").textContent="Play"}}
$("s").oninput=function(){{stop();show()}};
$("b").onclick=function(){{if(t){{stop();return}}$("b").textContent="Pause";
t=setInterval(function(){{$("s").value=(+$("s").value+1)%p.length;show()}},250)}};
}})();</script></div>"""


@dataclass(frozen=True)
class Film:
    """A film of a box. A notebook shows it when it is the last line of a cell; `html` goes into any page.

    `alt`: what its first and last moment show. `megabytes`: size of `html`.
    """

    html: str
    alt: str
    frames: int

    @property
    def megabytes(self) -> float:
        """Size of the film in a page [MB]."""
        return len(self.html.encode()) / 1e6

    def _repr_html_(self) -> str:
        return self.html


@plain_look
def film(
    record: Record, first_day: float = 0.0, last_day: float | None = None, frames: int = FRAMES, look: str = "water"
) -> Film:
    """Film the cross-section from `first_day` to `last_day` (None: the end) in `frames` (2 to 120) even moments.

    Arrows are means of the day before a moment; of the hour before where the film is no longer than two days. `look`:
    soil coloured by its "water" or its "air". Raises TerralabError for anything else.
    """
    needs_record(record, "A film")
    if not isinstance(look, str) or look not in LOOKS:
        raise UnknownName.among("look", look, LOOKS)
    frames = whole("frames", frames, 2, MOST_FRAMES)
    end = record.days
    last = number("last_day", end if last_day is None else last_day, 0.0, end, "days")
    first = number("first_day", first_day, 0.0, last, "days")
    per = "hour" if last - first <= 2.0 else "day"
    step = record.step_s
    span = max(1, round((3600.0 if per == "hour" else DAY_S) / step))
    rows = np.unique(
        np.clip(np.round(np.linspace(first, last, frames) * DAY_S / step), 1, len(record.times_s) - 1).astype(int)
    )
    top = top_of([record], look)
    pictures, words, alts = [], [], []
    for row in rows:
        flows = flows_of(record, np.arange(max(1, row - span + 1), row + 1), per)
        words.append(_moment(record, int(row)))
        alts.append(f"{record.box.name}, {words[-1]}: {section_words(record, int(row), flows, short_form=True)}")
        pictures.append(_frame(record, int(row), look, flows, top, words[-1], per))
    key = f"tl{crc32(''.join(pictures).encode()):08x}n{next(_COUNT)}"
    html = _PAGE.format(
        width=640, key=key, alt=escape(alts[0]), first=pictures[0], last=len(rows) - 1, word=words[0],
        pictures=json.dumps(pictures), words=json.dumps(words), alts=json.dumps(alts).replace("</", "<\\/"),
    )  # fmt: skip
    return Film(html, f"Film in {len(rows)} moments. First: {alts[0]} Last: {alts[-1]}", len(rows))


def _frame(record: Record, row: int, look: str, flows: object, top: float, word: str, per: str) -> str:
    """One moment as base64 PNG of few colours."""
    from PIL import Image  # comes with matplotlib

    e = record.box.enclosure
    figure = Picture(float(np.clip(1.2 + 4.9 * (e.height_cm * 1.25) / (e.width_cm * 1.3), 4.0, 8.5)))
    figure.set_dpi(DOTS_PER_INCH)
    axes = figure.add_axes((0.085, 0.02, 0.74, 0.92))
    mesh = draw_section(axes, record, row, look, flows, top)
    bar = figure.colorbar(mesh, cax=figure.add_axes((0.9, 0.42, 0.02, 0.36)))
    bar.ax.tick_params(labelsize=TEXT_PT, length=2)
    bar.set_label(f"{look}, % of volume", fontsize=TEXT_PT)
    figure.text(
        0.02, 0.975, literal(f"{short(record.box.name, 40)}, {word}"), fontsize=TEXT_PT + 2, weight="bold", va="top"
    )
    figure.text(0.98, 0.975, f"arrows: the {per} before", fontsize=TEXT_PT, va="top", ha="right")
    return b64encode(_few_colours(Image, figure)).decode()


def _few_colours(image: object, figure: Figure) -> bytes:
    held = io.BytesIO()
    with image.open(io.BytesIO(png(figure))) as full:
        full.convert("RGB").quantize(COLOURS).save(held, format="PNG", optimize=True)
    return held.getvalue()


def _moment(record: Record, row: int) -> str:
    day, hour = divmod(float(record.times_s[row]) / 3600.0, 24.0)
    return f"day {int(day) + 1}, {int(hour):02d}:{round(60 * (hour % 1)):02d}"
