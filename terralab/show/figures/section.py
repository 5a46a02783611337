"""A cross-section of the box that anyone can read, alone or several side by side."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from terralab.answers.common.glass import fogged_panes, fogged_words
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.quantities import said
from terralab.show.figures.labels import Label, text_width, write_beside, write_under
from terralab.show.figures.section_air import Airs
from terralab.show.figures.section_flows import Flows, amount, draw_arrow, flows_of
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
from terralab.show.figures.section_on_page import FAN_IN, LID_IN, RIGHT_IN, BoxOnPage, draw_ruler
from terralab.show.figures.section_soil import level_cm, soil_bottom_cm
from terralab.show.figures.section_words import checked_look, row_at, rows_before, section_words, span, when
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    HEADING_PT,
    LINE,
    ORANGE,
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
from terralab.wording import lines

MOST_SIDE_BY_SIDE = 6
_CHARACTERS = 112  # of small letters across the picture
_LEFT_IN = 0.65
_GROUND_IN, _COLUMN_IN, _CURVE_IN = 2.0, 3.3, 1.55


@plain_look
def section(
    record: Record, day: float | None = None, look: str = "water", mean_days: float | None = None, ground: bool = True
) -> Picture:
    """Draw a cross-section of the box at `day` of the record (None: its end) and give the picture, 1200 pixels wide.

    Above the box as it stands, below its ground enlarged, with the air in the soil against depth. `look`: soil coloured by
    its "water" or by its "air". Soil and arrows are means of the `mean_days` (0.1 to 366) before;
    None: a week, or whole periods of what is done every few days. `picture.alt` says the
    same in words. `ground`: False leaves the enlarged ground out. Units are those of the box. Raises TerralabError for a day
    that the record does not have.
    """
    checked_look(look)
    if not isinstance(ground, bool):
        raise TerralabError(f"ground must be true or false; {quoted(ground)} was given.")
    needs_record(record, "A section")
    row = row_at(record, day)
    rows = rows_before(record, row, mean_days)
    flows, us = flows_of(record, rows), speaks_us(record.box)
    told = f"{when(record, row)}. Soil and arrows: means of the {span(rows, record)} before."
    fog = said(fogged_words(fogged_panes(record, rows)), us)
    head = [*lines(said(told, us), _CHARACTERS), *lines(f"Computed, not measured. {fog}", _CHARACTERS)]
    figure = Picture(4.0)  # as high as it needs to be, once its words are known
    box = BoxOnPage.drawn(figure, Airs.at(record, row), row, rows, flows, look)
    lid = 0.58 + 0.18 * len(head) + box.words_tall + FAN_IN + LID_IN
    foot = lid + max(box.tall, box.list_tall(figure) - 0.5 * LID_IN)
    height = foot + (_GROUND_IN + 1.9 if ground else 0.7)
    figure.set_size_inches(WIDTH_IN, height)
    box.set_into(figure, height - lid, height - foot)
    draw_ruler(figure, box.axes, record)
    if ground:
        _draw_ground(figure, record, row, rows, flows, look, foot + 0.7, us)
    draw_scale(figure, 0.15, height - 0.42, 3.9, look)
    write(figure, 4.3, height - 0.44, "dotted: air passes; drops: a fogged pane", TEXT_PT, color=LINE)
    striped = "striped soil and grey band: under 10 % air" if ground else "striped soil: under 10 % air"
    write(figure, 4.3, height - 0.26, striped, TEXT_PT, color=LINE)
    write(figure, 0.15, 0.12, short(record.box.name, 60), TITLE_PT, weight="bold")
    for k, line in enumerate(head):
        write(figure, 0.15, 0.4 + 0.18 * k, line, TEXT_PT, color=LINE)
    told = f"{section_words(record, row, flows, rows=rows)} {fog}"
    figure.alt = f"{told}{box.key_words(told)}"
    return figure


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
    write_beside(figure, parts, right + 0.25, RIGHT_IN, foot - 0.35, height - top_in + 0.3)


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
