"""How every picture looks, and how it is kept: colours, letters, a figure with its words, saving as PNG.

The eight colours are those of Okabe & Ito, "Color Universal Design" (2008), which people with any common colour
vision tell apart (grade M, from memory). Lines also differ by their strokes and bars by their hatching, so that
a picture survives a black-and-white printer.
"""

from __future__ import annotations

import io
import os
import warnings
from base64 import b64encode
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from html import escape
from pathlib import Path
from threading import RLock
from typing import Any, ParamSpec, TypeVar

import matplotlib
import matplotlib.style
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.cm import ScalarMappable
from matplotlib.colors import LinearSegmentedColormap, Normalize, to_hex
from matplotlib.figure import Figure

from terralab.atomic_files import file_path, place, write_new
from terralab.errors import FileError, TerralabError, quoted

BLACK, ORANGE, SKY, GREEN = "#000000", "#E69F00", "#56B4E9", "#009E73"
YELLOW, BLUE, VERMILLION, PURPLE = "#F0E442", "#0072B2", "#D55E00", "#CC79A7"
PALETTE = (BLACK, ORANGE, SKY, GREEN, YELLOW, BLUE, VERMILLION, PURPLE)
NIGHT = "#E6E6E6"  # night and helper lines are grey, which stands for nothing measured
LINE = "#595959"

# Water in soil [% of its volume] has one colour in every picture: from dry sand over moss green to deep blue. It gets
# darker all the way, so it stays in order in grey and for every eye, and fastest from 50 to 90 %, where potting mixes lie.
WATER_SPAN = (0.0, 100.0)
WATER_MAP = LinearSegmentedColormap.from_list(
    "water in soil",
    [
        (0.00, "#fbefda"), (0.15, "#f4e1b5"), (0.30, "#e0d199"), (0.40, "#c0c58d"), (0.50, "#7fb493"),
        (0.60, "#3d98a2"), (0.70, "#0e779d"), (0.80, "#005786"), (0.90, "#003969"), (1.00, "#002248"),
    ],
)  # fmt: skip

WIDTH_IN, DPI = 8.0, 150  # 1200 pixels wide
READ_PX = 620  # a picture of that width has letters of 10 pixels
LEFT_IN, RIGHT_IN = 1.6, 0.95  # room for names on the left, for labels and the colour scale on the right
TITLE_PT, HEADING_PT, TEXT_PT = 14.0, 10.5, 9.5
_HEADING_UP_IN = 0.19  # from the top of a panel to the middle of its heading

_OTHER_PICTURES = {".jpg", ".jpeg", ".gif", ".pdf", ".svg", ".tif", ".tiff", ".webp", ".bmp", ".eps"}


class Picture(Figure):
    """A matplotlib figure with its own words.

    `alt` says in words what the picture shows, for people who cannot see it. A notebook shows the picture when
    it is the last line of a cell. `save()` keeps it as PNG.
    """

    def __init__(self, height_in: float) -> None:
        super().__init__(figsize=(WIDTH_IN, height_in), dpi=DPI, facecolor="white")
        FigureCanvasAgg(self)
        self.alt = ""

    def save(self, path: str | os.PathLike | None = None, stem: str = "terralab") -> Path:
        """Keep the picture as PNG under a new name; see `save` of this module."""
        return save(self, path, stem)

    def html(self) -> str:
        """The picture as HTML with its words, as wide as the page and at most as large as it is drawn.

        It never gets so small that its words cannot be read: on a phone it is moved sideways.
        """
        data, width = b64encode(png(self)).decode("ascii"), round(self.dpi * self.get_figwidth())
        return (
            f'<div style="overflow-x:auto"><img alt="{escape(self.alt)}" src="data:image/png;base64,{data}" '
            f'style="width:100%;min-width:{min(width, READ_PX)}px;max-width:{width}px;height:auto;background:#fff"></div>'
        )

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        """Return notebooks the picture with its words: they show those of an `<img>`, and no others."""
        return {"text/html": self.html(), "text/plain": self.alt or "a picture without words"}


P = ParamSpec("P")
Drawn = TypeVar("Drawn")


def plain_look(draw: Callable[P, Drawn]) -> Callable[P, Drawn]:
    """Make a drawing function give the same picture whatever matplotlib settings its user has."""

    @wraps(draw)
    def drawn(*args: P.args, **kwargs: P.kwargs) -> Drawn:
        with _own_settings():
            return draw(*args, **kwargs)

    return drawn


_DRAWING = (
    RLock()
)  # matplotlib's settings and Python's warnings belong to all threads, and Jupyter answers sliders in several


@contextmanager
def _own_settings() -> Iterator[None]:
    with _DRAWING, matplotlib.style.context("default"), warnings.catch_warnings():
        matplotlib.rcParams["hatch.linewidth"] = 0.7
        # A name in letters the fonts lack is drawn as boxes; that is no reason to alarm a keeper.
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        yield


def add_panel(figure: Picture, top_in: float, height_in: float, heading: str, unit: str = "") -> Axes:
    """Add axes whose upper edge lies `top_in` inches below the top of the figure, with heading and unit."""
    total = figure.get_figheight()
    width = WIDTH_IN - LEFT_IN - RIGHT_IN
    where = (LEFT_IN / WIDTH_IN, 1 - (top_in + height_in) / total, width / WIDTH_IN, height_in / total)
    axes = figure.add_axes(where)
    axes.set_facecolor("white")
    axes.tick_params(labelsize=TEXT_PT, length=3)
    axes.set_ylabel(unit, fontsize=TEXT_PT)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    write(figure, 0.15, top_in - _HEADING_UP_IN, heading, HEADING_PT, middle=True, weight="bold")
    return axes


def write(
    figure: Picture, left_in: float, top_in: float, text: str, size: float, middle: bool = False, **looks: Any
) -> None:
    """Write text so many inches from the left and from the top of the figure: its upper edge, or its middle."""
    place = left_in / WIDTH_IN, 1 - top_in / figure.get_figheight()
    figure.text(*place, literal(text), fontsize=size, va="center" if middle else "top", ha="left", **looks)


def legend_above(axes: Axes, **more: Any) -> None:
    """Put the legend of a panel above it on the right, on the line of its heading."""
    figure, box = axes.figure, axes.get_position()
    middle = box.y1 + _HEADING_UP_IN / figure.get_figheight()
    axes.legend(
        loc="center right",
        bbox_to_anchor=(1 - 0.15 / WIDTH_IN, middle),
        bbox_transform=figure.transFigure,
        ncols=6,
        frameon=False,
        fontsize=TEXT_PT,
        borderpad=0.0,
        borderaxespad=0.0,
        handlelength=2.2,
        columnspacing=1.3,
        handletextpad=0.5,
        **more,
    )


def water_scale() -> ScalarMappable:
    """Return the one colour scale of water in soil [% of its volume], for a colour bar; its `cmap` and `norm` for a mesh."""
    return ScalarMappable(Normalize(*WATER_SPAN), WATER_MAP)


def water_colour(percent: float) -> str:
    """Return the colour of so much water in soil [% of its volume] as "#rrggbb"; the ends' beyond 0 and 100."""
    return to_hex(water_scale().to_rgba(percent))


def literal(text: str) -> str:
    """Return a keeper's text such that a dollar sign is shown, not read as mathematics."""
    return text.replace("$", r"\$")


def short(text: str, most: int) -> str:
    """Cut a text to `most` characters; dots stand for its middle, as names often differ at their ends."""
    tail = most // 3
    return text if len(text) <= most else f"{text[: most - tail - 1].rstrip()}…{text[-tail:]}"


def png(figure: Figure) -> bytes:
    """Return the figure as PNG, with its words (`figure.alt`) inside the file as its "Description"."""
    held = io.BytesIO()
    words = {"Description": getattr(figure, "alt", ""), "Software": "terralab"}
    with _own_settings():
        figure.savefig(held, format="png", dpi=figure.dpi, facecolor="white", metadata=words)
    return held.getvalue()


def save(figure: Figure, path: str | os.PathLike | None = None, stem: str = "terralab") -> Path:
    """Keep a figure as PNG and return the path of the file.

    `path`: a file name, a folder, or None for the folder one works in. `stem`: the first part of the name where
    `path` does not give it; it is made of small letters, digits and dashes. A file that is there already is
    never replaced: "week.png" becomes "week-2.png". The picture is complete or not there at all. Raises
    `FileError` where the folder is missing or cannot be written, or the name is that of another kind of file.
    """
    if not isinstance(figure, Figure):
        raise TerralabError(f"save needs a picture, as week_picture gives it; it was given {quoted(figure)}.")
    if path is not None and file_path(path).suffix.lower() in _OTHER_PICTURES:
        raise FileError(f"{path}: pictures are kept as PNG. Let the name end in .png.")
    target = place(path, stem, ".png")
    return write_new(png(figure), target, number=True)
