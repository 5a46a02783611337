"""The table of fan schedules by pane and place: hours of fog on each pane, how far below and above differ, the basking place."""

from __future__ import annotations

from collections.abc import Sequence

from terralab.answers.common.answer import Answer
from terralab.answers.fans.places_words import PANES
from terralab.quantities import quantity, unit_word
from terralab.show.report.parts import table

CAPTION = "The same schedules by pane and place: which pane fogs, and how much damper and warmer it is below than above"


def places_table(fans: Answer, chosen: Sequence[int]) -> str:
    """The numbers of the answer's own table, as many columns as the box has panes and places; `chosen`: rows that stand out."""
    first = fans.table[0]["now"]
    panes = [pane for pane in PANES if pane in first["fogged_h"]]
    heads = ["Schedule", *(f"Fogged {pane}, h a day" for pane in panes)]
    if first["apart"]:
        heads += ["Damper below by day, %", f"Warmer below by day, {unit_word('K')}"]
    if first["basking"] is not None:
        heads.append(f"Basking place at most, {unit_word('°C')}")
    rows = []
    for row in fans.table:
        seen = row["now"]
        line = [row["name"], *(f"{seen['fogged_h'][pane]:.1f}" for pane in panes)]
        if seen["apart"]:
            day = seen["apart"]["day"]
            line += [f"{day['points']:+.0f}", quantity("K", ".1f", day["k"], bare=True)]
        if seen["basking"] is not None:
            line.append(quantity("°C", ".1f", seen["basking"]["c"], bare=True))
        rows.append(line)
    return table(CAPTION, heads, rows, range(1, len(heads)), chosen)
