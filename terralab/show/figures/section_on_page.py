"""The box of a cross-section in its place on the page: glass and arrows to scale, words above the lid and beside the wall."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from terralab.describe.system import speaks_us
from terralab.quantities import said
from terralab.show.figures.labels import Label, fitted, text_height, text_width, write_above, write_beside
from terralab.show.figures.scales import Scales
from terralab.show.figures.section_air import Airs
from terralab.show.figures.section_flows import Flows, amount, draw_arrow, volume
from terralab.show.figures.section_inside import LOST, POURED, SPRAYED, draw_inside, draw_rising, lead_to_wall
from terralab.show.figures.style import BLUE, SKY, TEXT_PT, VERMILLION, WIDTH_IN, Picture, short
from terralab.simulation.record import Record

TALLEST_IN = 3.4  # of the box on the page
LID_IN, FAN_IN = 0.42, 0.16  # for what stands on the lid, and for lines from there to its words
RIGHT_IN = WIDTH_IN - 0.1
_WIDEST_IN, _LEFT_IN = 4.5, 0.65
_LIST_IN, _LIST_WIDE_IN = 0.34, 2.55  # from the box to the words beside it, and their room
_LONGEST = 40  # letters of a name above the lid


class BoxOnPage(NamedTuple):
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
        cls,
        figure: Picture,
        airs: Airs,
        row: int,
        rows: np.ndarray,
        flows: Flows,
        look: str,
        tallest_in: float = TALLEST_IN,
        aside: bool = False,
    ) -> BoxOnPage:
        """Draw box and arrows onto new axes of the figure, and share out the words: above the lid what fits in a row.

        `aside`: far on the left, so that the words beside it have the most room.
        """
        record, e, us = airs.record, airs.record.box.enclosure, speaks_us(airs.record.box)
        per_in = max(e.width_cm / _WIDEST_IN, e.height_cm / tallest_in)
        wide, tall = e.width_cm / per_in, e.height_cm / per_in
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        beside, on_lid = draw_inside(axes, airs, row, rows, look, per_in)
        beside += draw_rising(axes, record, flows, per_in)
        above = [*_coming_and_going(axes, record, flows, 0.3 * per_in), *on_lid]
        above = [one._replace(text=short(said(one.text, us), _LONGEST)) for one in above]
        room = RIGHT_IN - 0.1 - sum(text_width(figure, one.text) + 0.15 for one in above)
        while room < 0.0 and on_lid:  # more than fits in a row: the last ones stand beside the box
            room += text_width(figure, above.pop().text) + 0.15
            beside.append(on_lid.pop())
        lead_to_wall(axes, beside)
        # a narrow box stands where its words have room to both sides
        row_wide = RIGHT_IN - 0.1 - room
        furthest = _LEFT_IN if aside else max(_LEFT_IN, RIGHT_IN - _LIST_WIDE_IN - _LIST_IN - wide)
        left = float(np.clip(0.1 + 0.5 * (row_wide - wide), _LEFT_IN, furthest))
        return cls(axes, left, wide, tall, per_in, above, [one._replace(text=said(one.text, us)) for one in beside])

    @property
    def words_tall(self) -> float:
        """Height of the words above the lid [in]."""
        return max((text_height(one.text) for one in self.above), default=0.0)

    def key_words(self, told: str) -> str:
        """What is named beside the box and not `told` yet, as a sentence for those who cannot see it; "" where all is."""
        more = [one.text for one in self.beside if one.text.lower() not in told.lower()]
        return f" Drawn and named: {'; '.join(more)}." if more else ""

    def list_tall(self, figure: Picture) -> float:
        """Height of the words beside the box, one under another [in]."""
        room = RIGHT_IN - self.left - self.wide - _LIST_IN
        return sum(text_height(fitted(figure, one.text, room)) + 0.05 for one in self.beside)

    def set_into(self, figure: Picture, lid: float, low: float) -> None:
        """Put it under `lid` [in from the bottom of the figure] and write its words, down to `low`."""
        height, foot = figure.get_figheight(), lid - self.tall
        self.axes.set_position((self.left / WIDTH_IN, foot / height, self.wide / WIDTH_IN, self.tall / height))
        above = [Label(self.left + x / self.per_in, foot + y / self.per_in, text) for x, y, text in self.above]
        write_above(figure, above, lid + LID_IN + FAN_IN, 0.1, RIGHT_IN)
        wall = self.left + self.wide
        beside = [Label(wall + 0.03, foot + y / self.per_in, text) for _, y, text in self.beside]
        write_beside(figure, beside, wall + _LIST_IN, RIGHT_IN, low, lid + 0.5 * LID_IN)


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


def draw_ruler(figure: Picture, glass: Axes, record: Record) -> None:
    """Heights above the floor to the left of the glass."""
    box, scales = glass.get_position(), Scales(speaks_us(record.box))
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
