"""The box cut open for a sheet of paper: what the table on the sheet says, drawn low enough to be printed as wide as it is."""

from __future__ import annotations

from terralab.answers.common.humidity_target import target_of
from terralab.describe.system import speaks_us
from terralab.quantities import said
from terralab.show.figures.section_air import Airs
from terralab.show.figures.section_flows import flows_of
from terralab.show.figures.section_ground import draw_scale
from terralab.show.figures.section_on_page import FAN_IN, LID_IN, TALLEST_IN, BoxOnPage, draw_ruler
from terralab.show.figures.section_words import row_at, rows_before, section_words, span
from terralab.show.figures.style import LINE, TEXT_PT, Picture, plain_look, write
from terralab.simulation.record import Record, needs_record
from terralab.units import clock
from terralab.wording import lines

_CHARACTERS = 118  # of small letters across the picture
_LEAST_IN = 1.5  # of a box on the page, below which nothing in it can be told apart
_ABOVE_LID_IN = 0.48  # three lines of words
_LINE_IN, _FOOT_IN = 0.17, 0.55


@plain_look
def section_on_sheet(record: Record, room_in: float) -> Picture:
    """Draw the box with its means by day and by night, and give a picture about `room_in` inches high, 8 wide.

    Soil, arrows and air are means of the last days of the record, as the answers take them; water below is that of its end.
    Raises TerralabError where `record` is none. `picture.alt` says the same in words.
    """
    needs_record(record, "A section")
    row = row_at(record, None)
    rows = rows_before(record, row, None)
    airs, flows, us = Airs.over(record, rows), flows_of(record, rows), speaks_us(record.box)
    head = lines(
        f"{_day_words(record)} Air, soil and arrows: means of the last {span(rows, record)}. Computed, not measured.",
        _CHARACTERS,
    )
    figure = Picture(4.0)  # as high as it needs to be, once its words are known
    fixed = 0.1 + _LINE_IN * len(head) + FAN_IN + LID_IN + _FOOT_IN
    tallest = min(TALLEST_IN, max(_LEAST_IN, room_in - fixed - _ABOVE_LID_IN))
    box = BoxOnPage.drawn(figure, airs, row, rows, flows, "water", tallest, aside=True)
    lid = fixed - _FOOT_IN + box.words_tall
    foot = lid + max(box.tall, box.list_tall(figure) - 0.5 * LID_IN)
    height = foot + _FOOT_IN
    figure.set_size_inches(figure.get_figwidth(), height)
    box.set_into(figure, height - lid, height - foot)
    draw_ruler(figure, box.axes, record)
    draw_scale(figure, 0.15, height - 0.42, 3.9)
    write(figure, 4.3, height - 0.42, "bluer air: damper; dotted: air passes;", TEXT_PT, color=LINE)
    write(
        figure,
        4.3,
        height - 0.42 + _LINE_IN,
        "drops: often fogged; striped soil: under 10 % air",
        TEXT_PT,
        color=LINE,
    )
    for k, line in enumerate(head):
        write(figure, 0.15, 0.06 + _LINE_IN * k, line, TEXT_PT, color=LINE)
    told = said(f"{section_words(record, row, flows, rows=rows, airs=airs)} {' '.join(head)}", us)
    figure.alt = f"{told}{box.key_words(told)}"
    return figure


def _day_words(record: Record) -> str:
    """When it is day: from then to then, as the humidity wanted has it."""
    target = target_of(record.box)[0]
    if target is None:
        return "Day: 08:00 to 20:00."
    return f"Day: {clock(target.day_from_s)} to {clock(target.day_to_s)}."
