"""A cross-section of the box that anyone can read, alone or several side by side."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from terralab.answers.common.glass import fogged_panes, fogged_words
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.quantities import said
from terralab.show.figures.labels import Label, fitted, text_height, text_width, write_above, write_beside, write_under
from terralab.show.figures.scales import Scales
from terralab.show.figures.section_flows import Flows, amount, draw_arrow, flows_of, volume
from terralab.show.figures.section_ground import (
    AIR_AXIS,
    draw_column,
    draw_curve,
    draw_scale,
    frame_column,
    frame_curve,
    ground_top_cm,
    most_air,
    names,
)
from terralab.show.figures.section_inside import LOST, POURED, SPRAYED, draw_inside, draw_rising, lead_to_wall
from terralab.show.figures.section_soil import level_cm, soil_bottom_cm
from terralab.show.figures.section_words import checked_look, row_at, rows_before, section_words, span, when
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    HEADING_PT,
    LINE,
    ORANGE,
    SKY,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    WIDTH_IN,
    Picture,
    plain_look,
    short,
    write,
)
from terralab.simulation.record import Record, needs_record
from terralab.validate import number
from terralab.wording import lines

MOST_SIDE_BY_SIDE = 6
_CHARACTERS = 112  # of small letters across the picture
_LEFT_IN, _RIGHT_IN = 0.65, WIDTH_IN - 0.1
_WIDEST_IN, _TALLEST_IN = 4.5, 3.4  # of the box on the page
_LIST_IN, _LIST_WIDE_IN = 0.34, 2.55  # from the box to the words beside it, and their room
_LID_IN, _FAN_IN = 0.42, 0.16  # for what stands on the lid, and for lines from there to its words
_GROUND_IN, _COLUMN_IN, _CURVE_IN = 2.0, 3.3, 1.55
_LONGEST = 40  # letters of a name above the lid


@plain_look
def section(
    record: Record, day: float | None = None, look: str = "water", mean_days: float = 7.0, ground: bool = True
) -> Picture:
    """Draw a cross-section of the box at `day` of the record (None: its end) and give the picture, 1200 pixels wide.

    Above the box as it stands, below its ground enlarged, with the air in the soil against depth. `look`: soil coloured by
    its "water" or by its "air". Soil and arrows are means of the `mean_days` (0.1 to 366) before. `picture.alt` says the
    same in words. `ground`: False leaves the enlarged ground out. Units are those of the box. Raises TerralabError for a day
    that the record does not have.
    """
    checked_look(look)
    if not isinstance(ground, bool):
        raise TerralabError(f"ground must be true or false; {quoted(ground)} was given.")
    needs_record(record, "A section")
    row = row_at(record, day)
    rows = rows_before(record, row, number("mean_days", mean_days, 0.1, 366.0, "days"))
    flows, us = flows_of(record, rows), speaks_us(record.box)
    told = f"{when(record, row)}. Soil and arrows: means of the {span(rows, record)} before."
    fog = said(fogged_words(fogged_panes(record, rows)), us)
    head = [*lines(said(told, us), _CHARACTERS), *lines(f"Computed, not measured. {fog}", _CHARACTERS)]
    figure = Picture(4.0)  # as high as it needs to be, once its words are known
    box = _BoxOnPage.drawn(figure, record, row, rows, flows, look, us)
    lid = 0.58 + 0.18 * len(head) + max((text_height(one.text) for one in box.above), default=0.0) + _FAN_IN + _LID_IN
    foot = lid + max(box.tall, box.list_tall(figure) - 0.5 * _LID_IN)
    height = foot + (_GROUND_IN + 1.9 if ground else 0.7)
    figure.set_size_inches(WIDTH_IN, height)
    box.set_into(figure, height - lid, height - foot)
    _draw_ruler(figure, box.axes, record, us)
    if ground:
        _draw_ground(figure, record, row, rows, flows, look, foot + 0.7, us)
    draw_scale(figure, 0.15, height - 0.42, 3.9, look)
    write(figure, 4.3, height - 0.44, "dotted: air passes; drops: a fogged pane", TEXT_PT, color=LINE)
    striped = "striped soil and grey band: under 10 % air" if ground else "striped soil: under 10 % air"
    write(figure, 4.3, height - 0.26, striped, TEXT_PT, color=LINE)
    write(figure, 0.15, 0.12, short(record.box.name, 60), TITLE_PT, weight="bold")
    for k, line in enumerate(head):
        write(figure, 0.15, 0.4 + 0.18 * k, line, TEXT_PT, color=LINE)
    figure.alt = f"{section_words(record, row, flows, rows=rows)} {fog}"
    return figure


class _BoxOnPage(NamedTuple):
    """The box as it is drawn, not yet in its place: axes, left edge and size [in], cm in an inch, and the words around it."""

    axes: Axes
    left: float
    wide: float
    tall: float
    per_in: float
    above: list[Label]
    beside: list[Label]

    @classmethod
    def drawn(
        cls, figure: Picture, record: Record, row: int, rows: np.ndarray, flows: Flows, look: str, us: bool
    ) -> _BoxOnPage:
        """Draw box and arrows onto new axes of the figure, and share out the words: above the lid what fits in a row."""
        e = record.box.enclosure
        per_in = max(e.width_cm / _WIDEST_IN, e.height_cm / _TALLEST_IN)
        wide, tall = e.width_cm / per_in, e.height_cm / per_in
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        beside, on_lid = draw_inside(axes, record, row, rows, look, per_in)
        beside += draw_rising(axes, record, flows, per_in)
        above = [*_coming_and_going(axes, record, flows, 0.3 * per_in), *on_lid]
        above = [one._replace(text=short(said(one.text, us), _LONGEST)) for one in above]
        room = _RIGHT_IN - 0.1 - sum(text_width(figure, one.text) + 0.15 for one in above)
        while room < 0.0 and on_lid:  # more than fits in a row: the last ones stand beside the box
            room += text_width(figure, above.pop().text) + 0.15
            beside.append(on_lid.pop())
        lead_to_wall(axes, beside)
        # a narrow box stands where its words have room to both sides
        row_wide = _RIGHT_IN - 0.1 - room
        furthest = max(_LEFT_IN, _RIGHT_IN - _LIST_WIDE_IN - _LIST_IN - wide)
        left = float(np.clip(0.1 + 0.5 * (row_wide - wide), _LEFT_IN, furthest))
        return cls(axes, left, wide, tall, per_in, above, [one._replace(text=said(one.text, us)) for one in beside])

    def list_tall(self, figure: Picture) -> float:
        """Height of the words beside the box, one under another [in]."""
        room = _RIGHT_IN - self.left - self.wide - _LIST_IN
        return sum(text_height(fitted(figure, one.text, room)) + 0.05 for one in self.beside)

    def set_into(self, figure: Picture, lid: float, low: float) -> None:
        """Put it under `lid` [in from the bottom of the figure] and write its words, down to `low`."""
        height, foot = figure.get_figheight(), lid - self.tall
        self.axes.set_position((self.left / WIDTH_IN, foot / height, self.wide / WIDTH_IN, self.tall / height))
        above = [Label(self.left + x / self.per_in, foot + y / self.per_in, text) for x, y, text in self.above]
        write_above(figure, above, lid + _LID_IN + _FAN_IN, 0.1, _RIGHT_IN)
        wall = self.left + self.wide
        beside = [Label(wall + 0.03, foot + y / self.per_in, text) for _, y, text in self.beside]
        write_beside(figure, beside, wall + _LIST_IN, _RIGHT_IN, low, lid + 0.5 * _LID_IN)


def _coming_and_going(axes: Axes, record: Record, flows: Flows, reach: float) -> list[Label]:
    """Arrows at the lid for what is poured, sprayed and lost as vapour; give their words."""
    e, out = record.box.enclosure, []
    h = e.height_cm
    for share, value, words, colour, up in (
        (POURED, flows.poured, "poured", BLUE, False),
        (SPRAYED, flows.sprayed, "sprayed", SKY, False),
        (LOST, flows.vapour_out, "lost as vapour", VERMILLION, True),
    ):
        if value < 0.05:
            continue
        ends = (h - 0.8 * reach, h + 1.35 * reach) if up else (h + 1.35 * reach, h - 0.8 * reach)
        draw_arrow(axes, share * e.width_cm, *ends, value, colour, flows.per)
        by_door = f"\nof it {volume(flows.door)} by the door" if up and flows.door >= 0.05 else ""
        out.append(Label(share * e.width_cm, h + 1.4 * reach, f"{words}\n{amount(value, flows.per)}{by_door}"))
    return out


def _draw_ruler(figure: Picture, glass: Axes, record: Record, us: bool) -> None:
    """Heights above the floor to the left of the glass."""
    box, scales = glass.get_position(), Scales(us)
    ruler = figure.add_axes((box.x0 - 0.001, box.y0, 0.001, box.height))
    per = float(scales.of("cm", 1.0))
    ruler.set_ylim(0.0, per * record.box.enclosure.height_cm)
    ruler.patch.set_visible(False)
    ruler.set_xticks([])
    ruler.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    ruler.tick_params(labelsize=TEXT_PT, length=3)
    ruler.set_ylabel(f"{scales.word('cm')} above the floor", fontsize=TEXT_PT)
    for side in ruler.spines.values():
        side.set_visible(False)


def _draw_ground(
    figure: Picture, record: Record, row: int, rows: np.ndarray, flows: Flows, look: str, top_in: float, us: bool
) -> None:
    """The ground enlarged, its air against depth, what passes the mesh, and the names of its parts."""
    height, top = figure.get_figheight(), ground_top_cm(record, np.array([row]))

    def add(left: float, wide: float) -> Axes:
        return figure.add_axes(
            (left / WIDTH_IN, 1.0 - (top_in + _GROUND_IN) / height, wide / WIDTH_IN, _GROUND_IN / height)
        )

    write(figure, 0.15, top_in - 0.32, "The ground, enlarged", HEADING_PT, weight="bold")
    column = add(_LEFT_IN, _COLUMN_IN)
    wide = frame_column(column, record, top, _COLUMN_IN, _GROUND_IN, us)
    draw_column(column, record, rows, row, look)
    scale = _GROUND_IN / top  # inches on the page for a cm of the ground
    foot = height - top_in - _GROUND_IN
    passing = [
        Label(_LEFT_IN + scale * x, foot - 0.05, said(text, us))
        for x, text in _passing_the_mesh(column, record, row, flows, wide)
    ]
    edge = _LEFT_IN + _COLUMN_IN + 0.1
    if sum(text_width(figure, one.text) + 0.15 for one in passing) > edge - 0.1:
        passing = [one._replace(text=one.text.replace(" a day", "\na day")) for one in passing]
    write_under(figure, passing, foot - 0.1, 0.1, edge)
    beside = _LEFT_IN + _COLUMN_IN + 0.22
    curve = add(beside, _CURVE_IN)
    frame_curve(curve, top, most_air([record], [rows]))
    draw_curve(curve, record, rows)
    write(figure, beside, top_in + _GROUND_IN + 0.24, AIR_AXIS, TEXT_PT)
    right = beside + _CURVE_IN
    parts = [Label(right + 0.03, foot + scale * y, text) for y, text in names(record, row, rows, us)]
    write_beside(figure, parts, right + 0.25, _RIGHT_IN, foot - 0.35, height - top_in + 0.3)


def _passing_the_mesh(axes: Axes, record: Record, row: int, flows: Flows, wide: float) -> list[tuple[float, str]]:
    """Arrows for what goes down and up through the foot of the soil; give the place of each and its words, as marks."""
    e, per = record.box.enclosure, flows.per
    top = axes.get_ylim()[1]
    if e.drainage is None:
        if not e.drain_hole:
            return [(0.5 * wide, "sealed floor: nothing can leave below")]
        draw_arrow(axes, 0.5 * wide, 0.12 * top, -0.09 * top, flows.taken_out, BLUE, per)
        return [(0.5 * wide, f"\nruns out of the drain hole\n{amount(flows.taken_out, per)}")]
    mesh, tip = soil_bottom_cm(e), 0.12 * top
    tip = min(tip, 0.7 * mesh) if mesh < 0.5 * top else tip
    by_wick = bool(e.drainage.wick_area_cm2) and flows.wick_up >= flows.contact_up
    out = []
    for share, value, words, colour, up in (
        (0.08, flows.drained, "drains", BLUE, False),
        (
            0.36,
            flows.vapour_up,
            f"{'up' if flows.vapour_up > -0.05 else 'down'} as\nvapour",
            VERMILLION,
            flows.vapour_up >= 0.0,
        ),
        (0.64, flows.contact_up + flows.wick_up, f"up by\n{'wick' if by_wick else 'contact'}", ORANGE, True),
    ):
        ends = (mesh - 0.7 * tip, mesh + tip) if up else (mesh + tip, mesh - 0.7 * tip)
        if abs(value) >= 0.005:
            draw_arrow(axes, share * wide, *ends, value, colour, per)
        out.append((share * wide, f"{words}\n{amount(abs(value), per)}"))
    if record.box.routine.siphons or flows.taken_out >= 0.005:
        if flows.taken_out >= 0.005:
            draw_arrow(axes, 0.93 * wide, 0.3 * level_cm(record, row), mesh + tip, flows.taken_out, BLACK, per)
        out.append((0.93 * wide, f"siphoned\n{amount(flows.taken_out, per)}"))
    return out
