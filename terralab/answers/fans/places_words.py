"""What schedules do to single places of the box: which pane fogs, how far the air below and above differ, the basking place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terralab import wording
from terralab.answers.common.airs import airs_words, differs, hide_words
from terralab.answers.common.optional import dry_words
from terralab.answers.fans.compared import Compared, Row
from terralab.answers.fans.schedules import NO_FAN
from terralab.answers.fans.table_words import NAME_WIDE, leaders, marks_of
from terralab.quantities import column, quantity, unit_word

PANES = ("front", "sides", "back", "lid")
_PANE, _ONE, _WARM = 6, 5, 6  # widths
_K, _C = unit_word("K"), unit_word("°C")


def places_words(c: Compared) -> list[str]:
    """The panes, the airs and the hide under the recommended schedule, and the panes and airs without a fan beside them."""
    seen, still = c.now, c.none["now"]
    named = "" if c.best["name"] == NO_FAN else " Without a fan"
    out = [str(seen["fogged_words"])]
    if named:
        hours = f"{still['front_fogged_h']:.1f} h a day"
        out[0] += f"{named} the front pane is fogged for {hours}."
    airs = airs_words(seen["airs"])
    if named and (airs or differs(still["airs"])):
        airs = f"{airs or 'The air is about the same below and above.'}{named} they are {_apart(still)} apart."
    return [text for text in (out[0], airs, hide_words(seen["airs"])) if text]


def stirring_words(c: Compared) -> str:
    """What the circulating fan, run all day, does to the box against no fan; "" where none was tried."""
    stirred = [row for row in c.rows if row["mode"] == "circulate"]
    if not stirred:
        return ""
    most = max(stirred, key=lambda row: row["minutes_a_day"])
    seen, still = most["now"], c.none["now"]
    parts = []
    if seen["apart"]:
        parts.append(f"air below and above are {_apart(seen)} apart instead of {_apart(still)}")
    fog = wording.instead_of("h", ".1f", seen["front_fogged_h"], still["front_fogged_h"], " a day")
    parts.append(f"the front pane is fogged {fog}")
    if seen["sprays"]:
        parts.append(f"leaves and front pane are {dry_words(seen)} (without a fan: {dry_words(still)})")
    if seen["basking"] is not None:
        parts.append(
            f"the basking place reaches {wording.instead_of('°C', '.1f', seen['basking']['c'], still['basking']['c'])}"
        )
    parts.append(f"it takes {wording.instead_of('ml', '.0f', seen['water_ml'], still['water_ml'])} {c.water} a day")
    return f"What a circulating fan does ({most['name']}): {'; '.join(parts)}."


def _apart(seen: Row) -> str:
    """How far below and above differ, at the time of day at which they do most: "9 points and 2.1 °C"."""
    most = max(seen["apart"].values(), key=lambda one: abs(one["points"]) / 3.0 + abs(one["k"]))
    return f"{wording.points(most['points'])} and {quantity('K', '.1f', abs(most['k']))}"


def places_table(c: Compared) -> list[str]:
    """The schedules by pane and place, their heading first; columns as wide as those of the other table at most."""
    panes = [pane for pane in PANES if pane in c.none["now"]["fogged_h"]]
    heads = [(pane, _PANE) for pane in panes]
    heads += [("dif %", _PANE), (f"dif {_K}", _PANE + 1)] if c.none["now"]["apart"] else []
    heads += [(f"bask {_C}", _WARM + 2)] if c.none["now"]["basking"] is not None else []
    out = [f"{'schedule':<{NAME_WIDE}}{''.join(column(text, width) for text, width in heads)}"]
    return out + [_line(name, row, panes, row is c.best) for name, row in leaders(c)]


def _line(name: str, row: Mapping[str, Any], panes: list[str], best: bool) -> str:
    seen = row["now"]
    cells = [(f"{seen['fogged_h'][pane]:.1f}", _PANE) for pane in panes]
    if seen["apart"]:
        day = seen["apart"]["day"]
        cells += [(f"{round(day['points']):+d}", _PANE), (quantity("K", ".1f", day["k"], bare=True), _PANE + 1)]
    if seen["basking"] is not None:
        cells.append((quantity("°C", ".1f", seen["basking"]["c"], bare=True), _WARM + 2))
    return marks_of(name, seen, best) + "".join(column(text, width) for text, width in cells)


def places_legend(c: Compared) -> str:
    """What the columns of `places_table` mean."""
    lid = ", lid" if "lid" in c.none["now"]["fogged_h"] else ""
    dif = (
        f" dif: by how much it is damper (%) and warmer ({_K}) below than above, by day."
        if c.none["now"]["apart"]
        else ""
    )
    bask = " bask: the most that the basking place reaches." if c.none["now"]["basking"] is not None else ""
    return f"front, sides, back{lid}: hours a day with water to be seen on each pane.{dif}{bask}"
