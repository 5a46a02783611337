"""The ground of one to three boxes as a film: a piece of HTML that plays in a notebook and in a saved page, offline."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import NamedTuple
from zlib import crc32

import numpy as np
from matplotlib.axes import Axes

from terralab.answers.drainage.bottoms import wet_band_cm
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError
from terralab.quantities import quantity, said
from terralab.show.figures import film_page
from terralab.show.figures.film_colours import few_colours
from terralab.show.figures.film_moments import moments
from terralab.show.figures.labels import fitted
from terralab.show.figures.section_flows import Flows, amount, draw_arrow, flows_of, volume
from terralab.show.figures.section_ground import (
    SHORT_AIR_AXIS,
    draw_column,
    draw_curve,
    draw_scale,
    frame_column,
    frame_curve,
    ground_top_cm,
    level_words,
    most_air,
)
from terralab.show.figures.section_soil import pond_cm, soil_bottom_cm
from terralab.show.figures.section_words import ground_words, moment
from terralab.show.figures.style import BLUE, HEADING_PT, TEXT_PT, WIDTH_IN, Picture, plain_look, write
from terralab.simulation.record import Record, needs_record
from terralab.units import DAY_S
from terralab.validate import number, whole

MOST_SIDE_BY_SIDE = 3
MOST_FRAMES = 120
DOTS_PER_INCH = 90
_HEIGHT_IN, _TOP_IN, _TALL_IN = 3.85, 1.05, 2.3
_LEFT_IN, _BETWEEN_IN = 0.6, 0.12

_COUNT = count(1)  # a page may hold the same film twice, and each needs names of its own


@dataclass(frozen=True)
class Film:
    """A film of one box or of several side by side. A notebook shows it when it is the last line of a cell.

    `html` goes into any page. `alt`: what its first and last moment show. `frames`: how many moments it has. `words`: when
    each of them is. `megabytes`: size of `html`.
    """

    html: str
    alt: str
    frames: int
    words: tuple[str, ...] = ()

    @property
    def megabytes(self) -> float:
        """Size of the film in a page [MB]."""
        return len(self.html.encode()) / 1e6

    def _repr_html_(self) -> str:
        return self.html


@plain_look
def film(
    records: Record | Mapping[str, Record], first_day: float = 0.0, last_day: float | None = None,
    frames: int = MOST_FRAMES,
) -> Film:  # fmt: skip
    """Film soil, water and air of one record, or of up to three side by side, {name: record}, from `first_day` to `last_day`.

    `last_day`: None is the end of the shortest. In the 24 hours around the greatest change there is a moment for every row
    of the record, 20 minutes apart at least; the other days are seen once, at one and the same hour. `frames` (2 to 120):
    how many moments there are at most; with fewer they lie further apart. All pictures have one scale. Raises TerralabError
    for anything else.
    """
    named = _named(records)
    shown = list(named.values())
    frames = whole("frames", frames, 2, MOST_FRAMES)
    end = min(record.days for record in shown)
    last = number("last_day", end if last_day is None else last_day, 0.0, end, "days")
    first = number("first_day", first_day, 0.0, last, "days")
    times = moments(shown, first, last, frames)
    rows = [_rows(record, times) for record in shown]
    us = speaks_us(shown[0].box)
    stage = _Stage(shown, list(named), max(map(ground_top_cm, shown, rows)), most_air(shown, rows), us)
    pictures, words, alts, numbers = [], [], [], []
    for k in range(len(times)):
        now = [_seen(record, these, k) for record, these in zip(shown, rows, strict=True)]
        words.append(moment(shown[0], int(rows[0][k])))
        told = " ".join(f"{name}: {one.words()}" for name, one in zip(named, now, strict=True))
        alts.append(said(f"{words[-1]}. {told}", us))
        numbers.append([said(f"{name}\n{one.numbers()}", us) for name, one in zip(named, now, strict=True)])
        pictures.append(b64encode(stage.picture(now, words[-1])).decode())
    key = f"tl{crc32(''.join(pictures).encode()):08x}n{next(_COUNT)}"
    html = film_page.page(key, round(WIDTH_IN * DOTS_PER_INCH), pictures, words, alts, numbers)
    alt = f"Film in {len(words)} moments. First: {alts[0]} Last: {alts[-1]}"
    return Film(html, alt, len(words), tuple(words))


class _Seen(NamedTuple):
    """One box at one moment: its row, and what has flowed since the moment before, in ml an hour; `given_ml` in all."""

    record: Record
    row: int
    flows: Flows
    given_ml: float

    def words(self) -> str:
        """All that is seen of it, as marks."""
        given = f"{volume(self.given_ml)} given since the moment before; " if self.given_ml >= 0.05 else ""
        text = ground_words(self.record, self.row, np.array([self.row]))
        drains = f" {amount(self.flows.drained, 'hour')} drain." if self.record.has_reservoir else ""
        return f"{given}{text}{drains}"

    def numbers(self) -> str:
        """Three short lines, as marks: where the water stands, how thick the wet band is, what moves."""
        record = self.record
        band = f"wet band, {quantity('cm', '.1f', wet_band_cm(record, np.array([self.row])))}"
        if record.has_reservoir:
            stands, moves = level_words(record, self.row), f"drains {amount(self.flows.drained, 'hour')}"
        elif record.box.enclosure.drain_hole:
            stands, moves = "drain hole", f"runs out: {amount(self.flows.taken_out, 'hour')}"
        else:
            deep = pond_cm(record, self.row)
            stands = f"water on the soil, {quantity('cm', '.1f', deep)}" if deep > 0.02 else "no water on the soil"
            moves = "sealed: nothing leaves below"
        return f"{stands}\n{band}\n{moves}"

    def draw_ground(self, axes: Axes) -> None:
        """Soil, layer and water, with an arrow for what was poured and one for what drains."""
        record, e = self.record, self.record.box.enclosure
        draw_column(axes, record, np.array([self.row]), self.row)
        wide, top = axes.get_xlim()[1], axes.get_ylim()[1]
        tip, surface, foot = 0.09 * top, e.surface_cm, soil_bottom_cm(e)
        if self.given_ml >= 0.05:
            draw_arrow(axes, 0.3 * wide, surface + 1.3 * tip, surface - 0.5 * tip, self.given_ml, BLUE, "day")
        down = self.flows.drained if record.has_reservoir else self.flows.taken_out if e.drain_hole else 0.0
        if down >= 0.005:
            draw_arrow(axes, 0.5 * wide, foot + tip, foot - tip, down, BLUE, "hour")

    def draw_curve(self, axes: Axes) -> None:
        """Its air against depth."""
        draw_curve(axes, self.record, np.array([self.row]))


class _Stage:
    """What is the same in all pictures is drawn once; what moves is drawn over it, picture by picture."""

    def __init__(self, records: Sequence[Record], names: Sequence[str], top: float, most: float, us: bool) -> None:
        each = (WIDTH_IN - 0.1) / len(records)
        self._figure = figure = Picture(_HEIGHT_IN)
        figure.set_dpi(DOTS_PER_INCH)
        draw_scale(figure, 4.7, 0.14, 3.0)
        inner = each - _LEFT_IN - _BETWEEN_IN - 0.15
        column, curve = 0.6 * inner, 0.4 * inner
        self._axes: list[tuple[Axes, Axes]] = []
        for place, (record, name) in enumerate(zip(records, names, strict=True)):
            left = place * each
            beside = left + _LEFT_IN + column + _BETWEEN_IN
            shown = fitted(figure, name, each - 0.2, HEADING_PT, 1)
            write(figure, left + 0.12, 0.65, shown, HEADING_PT, weight="bold")
            pair = self._add_axes(left + _LEFT_IN, column), self._add_axes(beside, curve)
            frame_column(pair[0], record, top, column, _TALL_IN, us)
            frame_curve(pair[1], top, most)
            write(figure, beside, _TOP_IN + _TALL_IN + 0.22, SHORT_AIR_AXIS, TEXT_PT)
            self._axes.append(pair)
        figure.canvas.draw()
        self._empty = figure.canvas.copy_from_bbox(figure.bbox)

    def _add_axes(self, left: float, wide: float) -> Axes:
        foot = 1.0 - (_TOP_IN + _TALL_IN) / _HEIGHT_IN
        return self._figure.add_axes((left / WIDTH_IN, foot, wide / WIDTH_IN, _TALL_IN / _HEIGHT_IN))

    def picture(self, seen: Sequence[_Seen], word: str) -> bytes:
        """One moment as PNG of few colours."""
        figure = self._figure
        figure.canvas.restore_region(self._empty)
        kept = len(figure.texts)
        write(figure, 0.12, 0.1, word, HEADING_PT + 2.5, weight="bold")
        for one, (ground, curve) in zip(seen, self._axes, strict=True):
            _draw_over(ground, one.draw_ground)
            _draw_over(curve, one.draw_curve)
        for text in figure.texts[kept:]:
            figure.draw_artist(text)
            text.remove()
        return few_colours(np.asarray(figure.canvas.buffer_rgba()))


def _draw_over(axes: Axes, draw: Callable[[Axes], None]) -> None:
    """Draw onto axes that stand already, and take away again what was drawn, which stays in the canvas alone."""
    before = set(axes.get_children())
    draw(axes)
    moved = [artist for artist in axes.get_children() if artist not in before]
    for artist in sorted(moved, key=lambda artist: artist.get_zorder()):
        axes.draw_artist(artist)
        artist.remove()


def _named(records: Record | Mapping[str, Record]) -> dict[str, Record]:
    if isinstance(records, Record):
        return {records.box.name: records}
    if not isinstance(records, Mapping):
        needs_record(records, "A film")
    named = {str(name): record for name, record in dict(records).items()}
    if not 1 <= len(named) <= MOST_SIDE_BY_SIDE:
        raise TerralabError(f"A film shows 1 to {MOST_SIDE_BY_SIDE} records side by side; {len(named)} were given.")
    for record in named.values():
        needs_record(record, "A film")
    return named


def _rows(record: Record, times: np.ndarray) -> np.ndarray:
    """The row of each moment [days since the record's start]."""
    return np.clip(np.round(times * DAY_S / record.step_s).astype(int), 0, len(record.times_s) - 1)


def _seen(record: Record, rows: np.ndarray, k: int) -> _Seen:
    """What is seen at the k-th of these rows, with what flowed since the one before; at the first since the row before."""
    row = max(1, int(rows[k]))
    before = min(int(rows[k - 1]) if k else row - 1, row - 1)
    since = np.arange(before + 1, row + 1)
    flows = flows_of(record, since, "hour")
    return _Seen(record, int(rows[k]), flows, (flows.poured + flows.sprayed) * len(since) * record.step_s / 3600.0)
