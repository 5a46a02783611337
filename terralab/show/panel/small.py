"""What the panels' small pictures share: two drawing areas, a ghost of the state before, and scales that do not jump.

A picture keeps its figure and only moves what is in it. What moves with every step of a slider is drawn over the rest,
which is kept as it was painted: so a step costs a fraction of a whole drawing.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.text import Text
from PIL import Image

from terralab.show.figures.style import BLUE, LINE, VERMILLION, Picture, literal, plain_look, short

WIDTH_IN, HEIGHT_IN, DPI = 7.6, 2.7, 100
PT = 8.5
PALE = 0.45  # how strongly a preview is drawn
GHOST = {"color": LINE, "alpha": 0.55, "linestyle": (0, (3, 2)), "linewidth": 1.2}
SPARE = 0.15  # of its span: a scale that has to grow grows so much more, so that the next step finds room


class Small:
    """A figure with one drawing area on the left and one on the right.

    Make the artists once, name those that a slider moves (`moves`), those that leave a ghost (`follow`), and set scales
    with `fit`. `draw(seen, answer, system)` of a picture gives (PNG, words); it need not know whether sliders move.
    `split`: where the figure may be cut in two for a narrow page, as a share of its width.
    """

    @plain_look
    def __init__(self, right_from: float = 0.68, between: float = 0.19, split: float | None = None) -> None:
        self.figure = Picture(HEIGHT_IN)
        self.figure.set_size_inches(WIDTH_IN, HEIGHT_IN)
        self.figure.set_dpi(DPI)
        self._titles: dict[Axes, Text] = {}
        self.left = self._axes(0.085, right_from - 0.085 - between)
        self.right = self._axes(right_from, 0.985 - right_from)
        self.split = right_from - between + 0.01 if split is None else split
        warning = {"color": VERMILLION, "weight": "bold", "fontsize": PT}
        self._warning = self.figure.text(0.01, 0.995, "", va="top", **warning)
        self.moving = False
        self._moves: list[Artist] = []
        self.moves(self._warning)
        self._ghosts: list[tuple[Line2D, Line2D]] = []
        self._bars: list[Bars] = []
        self._fitted: set[tuple[Axes, str]] = set()
        self._ground: Any = None

    def _axes(self, start: float, width: float) -> Axes:
        axes = self.figure.add_axes((start, 0.19, width, 0.66))
        axes.tick_params(labelsize=PT, length=2)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        self._titles[axes] = axes.set_title("", fontsize=PT + 1, loc="left")
        for label in (axes.xaxis.label, axes.yaxis.label):
            label.set_fontsize(PT)
        return axes

    def moves(self, *artists: Artist) -> None:
        """Name artists that change with every step: they are drawn last, in this order, over what stays."""
        for artist in artists:
            artist.set_animated(True)
        self._moves += artists

    def follow(self, *lines: Line2D) -> None:
        """Give lines a ghost: where they were before sliders began to move, pale and dashed."""
        for line in lines:
            ghost = line.axes.plot([], [], drawstyle=line.get_drawstyle(), zorder=line.get_zorder() - 0.1, **GHOST)[0]
            ghost.set_animated(True)
            self._moves.insert(0, ghost)
            self._ghosts.append((line, ghost))

    def add_bars(self, axes: Axes, most: int) -> Bars:
        """Return horizontal bars in `axes`, at most so many, with ghosts of their own."""
        bars = Bars(self, axes, most)
        self._bars.append(bars)
        return bars

    def fit(self, axes: Axes, along: str, low: float, high: float) -> None:
        """Let the scale of `axes` along "x" or "y" span low to high; while sliders move it may only grow."""
        now = axes.get_xlim() if along == "x" else axes.get_ylim()
        if self.moving and (axes, along) in self._fitted:
            spare = SPARE * (high - low)
            low = now[0] if low >= now[0] else low - spare if low else low
            high = now[1] if high <= now[1] else high + spare
        self._fitted.add((axes, along))
        if (low, high) != tuple(now):
            (axes.set_xlim if along == "x" else axes.set_ylim)(low, high)

    def say(self, axes: Axes, title: str | None = None, x: str | None = None, y: str | None = None) -> None:
        """Write a title and the names of the scales; what stands there already is not painted anew."""
        texts = (self._titles[axes], title), (axes.xaxis.label, x), (axes.yaxis.label, y)
        for held, text in texts:
            if text is not None and held.get_text() != literal(text):
                held.set_text(literal(text))

    def warn(self, danger: str) -> str:
        """Write in a few words what is dangerous over all else, "" for nothing; give it as the first words of the picture."""
        said = f"Danger: {danger}" if danger else ""
        self._warning.set_text(literal(said))
        return f"{said}. " if said else ""

    def keep(self) -> None:
        """Sliders begin to move: what is drawn now becomes the ghost, and scales only grow from here."""
        self.moving = True
        for line, ghost in self._ghosts:
            ghost.set_data(*line.get_data())
        for bars in self._bars:
            bars.keep()

    def before(self, line: Line2D) -> tuple[np.ndarray, np.ndarray]:
        """Where the ghost of a line stands (x, y); empty where it has none yet."""
        ghost = next(ghost for followed, ghost in self._ghosts if followed is line)
        return np.asarray(ghost.get_xdata(), float), np.asarray(ghost.get_ydata(), float)

    def show(self, axes: Axes, there: bool) -> None:
        """Show a drawing area with all in it, or hide it."""
        if axes.get_visible() != there:
            axes.set_visible(there)

    def rest(self) -> None:
        """The answer has come to rest: the next drawing fits the scales again. The ghost stays, to compare with."""
        self.moving = False

    def reset(self) -> None:
        """Another box, or other units: no ghost, and scales are free."""
        self.moving = False
        self._fitted.clear()
        for _, ghost in self._ghosts:
            ghost.set_data([], [])
        for bars in self._bars:
            bars.forget()

    def png(self) -> bytes:
        """The figure as PNG, packed lightly: a slider waits for it."""
        self._paint()
        return self._packed(0, self.pixels.shape[1])

    def halves(self) -> tuple[bytes, bytes]:
        """What `png` gave last, cut in two: side by side on a wide page, one below the other on a narrow one."""
        cut = round(self.split * self.pixels.shape[1])
        return self._packed(0, cut), self._packed(cut, self.pixels.shape[1])

    def widths(self) -> tuple[int, int]:
        """How wide both halves are on the page [pixels of CSS]."""
        whole = 100 * WIDTH_IN
        return round(self.split * whole), round((1.0 - self.split) * whole)

    def height(self) -> int:
        """How high both halves are on the page [pixels of CSS]."""
        return round(100 * HEIGHT_IN)

    @property
    def pixels(self) -> np.ndarray:
        """What was painted last, rows x columns x (red, green, blue, opacity)."""
        return np.asarray(self.figure.canvas.buffer_rgba())

    @plain_look
    def _paint(self) -> None:
        canvas = self.figure.canvas
        if self._ground is None or self.figure.stale:
            canvas.draw()
            self._ground = canvas.copy_from_bbox(self.figure.bbox)
        else:
            canvas.restore_region(self._ground)
        for artist in self._moves:
            if artist.get_visible() and (artist.axes is None or artist.axes.get_visible()):
                (artist.axes or self.figure).draw_artist(artist)
        self.figure.stale = False

    def _packed(self, start: int, end: int) -> bytes:
        held = io.BytesIO()
        picture = Image.fromarray(np.ascontiguousarray(self.pixels[:, start:end, :3]))
        picture.save(held, "png", compress_level=1)
        return held.getvalue()


class Bars:
    """Horizontal bars with names, whose lengths, names and count may change; made by `Small.add_bars`."""

    def __init__(self, small: Small, axes: Axes, most: int) -> None:
        self.small, self.axes, self.most = small, axes, most
        rows = range(most)
        self.ghosts = [axes.plot([], [], solid_capstyle="butt", **(GHOST | {"linewidth": 1.6}))[0] for _ in rows]
        self.bars = axes.barh(rows, [0.0] * most, height=0.6, color=BLUE, edgecolor=BLUE)
        paper = {"facecolor": "white", "edgecolor": "none", "pad": 0.6}  # a ghost must not run through a number
        self.texts = [axes.text(0.0, row, "", va="center", fontsize=PT, bbox=paper) for row in rows]
        axes.set_ylim(most - 0.4, -0.6)
        axes.set_yticks(rows, [""] * most, fontsize=PT)
        axes.tick_params(axis="y", length=0)
        axes.set_xticks([])  # each bar has its number
        axes.spines["bottom"].set_visible(False)
        small.moves(*self.bars, *self.ghosts, *self.texts)
        self._shown: dict[str, float] = {}
        self._before: dict[str, float] = {}
        self._labels: list[str] = []

    def show(
        self,
        names: Sequence[str],
        values: Sequence[float],
        words: Sequence[str],
        pale: bool,
        marked: int = -1,
        room: float = 1.35,
    ) -> None:
        """Show bars from the top down; `words` stand behind each. `room`: how much longer than the longest bar the scale is."""
        top = max([*map(float, values), 1e-9])
        self._shown = dict(zip(names, map(float, values), strict=True))
        self.small.fit(self.axes, "x", 0.0, room * top)
        scale = self.axes.get_xlim()[1] / room
        for row in range(self.most):
            there = row < len(values)
            value = float(values[row]) if there else 0.0
            before = self._before.get(names[row]) if there else None
            self.bars[row].set_visible(there)
            self.bars[row].set_width(value)
            self.bars[row].set_alpha(PALE if pale else 1.0)
            self.bars[row].set_hatch("///" if row == marked else "")
            self.bars[row].set_facecolor("white" if row == marked else BLUE)
            self.ghosts[row].set_data(*(([], []) if before is None else ([before] * 2, [row - 0.42, row + 0.42])))
            self.texts[row].set_position((value + 0.02 * scale, row))
            self.texts[row].set_text(words[row] if there else "")
        labels = [literal(short(name, 22)) for name in names] + [""] * (self.most - len(values))
        if labels != self._labels:
            self.axes.set_yticklabels(labels)
            self._labels = labels

    def keep(self) -> None:
        """The bars as they are become the ghost: a dashed mark at the end of each, wherever its name stands."""
        self._before = dict(self._shown)

    def forget(self) -> None:
        """No ghost."""
        self._before = {}


__all__ = ["DPI", "GHOST", "HEIGHT_IN", "PALE", "PT", "WIDTH_IN", "Bars", "Small"]
