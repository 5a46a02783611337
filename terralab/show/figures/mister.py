"""The picture of the mister answer: hours in the band against hours of wet leaves, and against water, for every way tried."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.errors import TerralabError, quoted
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    NIGHT,
    ORANGE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    Picture,
    add_panel,
    plain_look,
    write,
)

_PANEL_IN = 2.6
_LOOKS = {"gentlest": (GREEN, "s"), "balanced": (BLUE, "D"), "dampest": (VERMILLION, "^")}
_MOST_H = 24.0


def _checked(answer: Any) -> Answer:
    if not isinstance(answer, Answer) or answer.question != "automatic watering":
        raise TerralabError(f"This picture needs the answer of mister; given {quoted(answer)}.")
    if not answer.table:
        raise TerralabError("There is nothing to draw: for this box no mister was tried. The answer says why.")
    return answer


@plain_look
def mister(answer: Answer) -> Picture:
    """Draw what every way of misting that was tried gains and costs; `answer` is that of `mister`, with ways tried.

    Above, hours a day in the band against hours with wet leaves; below, against ml a day. Small marks are short runs of
    the typical box, large ones the named choices: the middle of the draws, with bars that hold 80 of 100.
    """
    wet = _wet(_checked(answer))
    water = Scales(answer.us).word("ml")
    figure = Picture(8.1)
    write(figure, 0.15, 0.13, "What each way of misting gains and costs", TITLE_PT, weight="bold")
    write(figure, 0.15, 0.5, _key(answer), TEXT_PT)
    for top, name, words in ((1.55, "wet_h", f"hours a day with {wet} wet"), (5.0, "ml", f"water, {water} a day")):
        axes = add_panel(figure, top, _PANEL_IN, "", "hours a day in the band")
        _draw(axes, answer, name)
        axes.set_xlabel(words, fontsize=TEXT_PT)
    figure.axes[0].legend(
        loc="lower left",
        bbox_to_anchor=(0.0, 1.02),
        ncols=3,  # the names are long
        frameon=False,
        fontsize=TEXT_PT,
        borderaxespad=0.0,
        columnspacing=1.2,
        handletextpad=0.4,
    )
    figure.alt = mister_alt_text(answer)
    return figure


def _wet(answer: Answer) -> str:
    return "leaves" if answer.record.box.enclosure.plants is not None else "the front pane"


def _key(answer: Answer) -> str:
    text = "Small: short runs of the typical box. Up and to the left is better. Dashed: without a mister."
    if answer.details["choices"]:
        text += "\nLarge: the named choices, middle of the draws; bars hold 80 of 100 boxes that fit the description."
    return text


def _draw(axes: Axes, answer: Answer, name: str) -> None:
    rows = answer.table
    turn = lambda value: Scales(answer.us).of("ml" if name == "ml" else "h", value)  # noqa: E731
    kinds = (
        ("by the clock", "o", LINE, lambda row: row["allowed"] and row["set_point"] is None),
        ("with a humidity switch", "v", ORANGE, lambda row: row["allowed"] and row["set_point"] is not None),
        ("not to be recommended", "x", BLACK, lambda row: not row["allowed"]),
    )
    for words, marker, colour, mine in kinds:
        found = [row for row in rows if mine(row)]
        if found:
            face = {} if marker == "x" else {"facecolor": "none", "edgecolor": colour}
            axes.scatter(
                [turn(row[name]) for row in found],
                [row["inside_h"] for row in found],
                s=26,
                marker=marker,
                linewidth=1.1,
                label=words,
                zorder=2,
                **(face or {"color": colour}),
            )
    front = sorted((turn(row[name]), row["inside_h"]) for row in rows if row["on_the_front"])
    if front:
        axes.plot(*zip(*_stairs(front), strict=True), color=LINE, linewidth=0.9, zorder=1)
    for one in answer.details["choices"]:
        colour, marker = _LOOKS[one["kinds"][0]]
        (left, x, right), (low, y, high) = map(turn, one[name]), one["inside_h"]
        axes.errorbar(
            x,
            y,
            xerr=[[max(0.0, x - left)], [max(0.0, right - x)]],
            yerr=[[max(0.0, y - low)], [max(0.0, high - y)]],
            color=colour,
            marker=marker,
            markersize=9,
            linewidth=1.2,
            capsize=3,
            label=" and ".join(one["kinds"]),
            linestyle="none",
            zorder=4,
        )
    axes.axhline(
        answer.details["without_typical"]["inside_h"], color=BLACK, linewidth=1.0, linestyle=(0, (5, 3)), zorder=1.5
    )
    axes.set_ylim(-0.5, _MOST_H + 0.7)
    axes.set_yticks(range(0, 25, 6))
    axes.set_xlim(left=0.0 if name == "ml" else -0.4)
    axes.grid(color=NIGHT)
    axes.set_axisbelow(True)


def _stairs(front: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The edge of what can be had with no more than so much of the one cost."""
    out: list[tuple[float, float]] = []
    best = -1.0
    for x, y in front:
        if y > best:
            if out:
                out.append((x, best))
            out.append((x, y))
            best = y
    return out


def mister_alt_text(answer: Answer) -> str:
    """Say what `mister` shows, with the numbers."""
    wet, units = _wet(answer), Scales(answer.us)
    allowed = sum(row["allowed"] for row in answer.table)
    without = answer.details["without_typical"]["inside_h"]
    parts = [
        f"Two charts of hours a day in the humidity band, above against hours with {wet} wet, below against water in {units.word('ml')} a day. "
        f"{len(answer.table)} ways of misting were tried, {allowed} may be recommended. Without a mister it is {without:.1f} h a day"
    ]
    for one in answer.details["choices"]:
        parts.append(
            f"{' and '.join(one['kinds'])}: {one['inside_h'][1]:.1f} h in the band ({one['inside_h'][0]:.0f} to {one['inside_h'][2]:.0f}), "
            f"{wet} wet {one['wet_h'][1]:.1f} h, {units.words('ml', '.0f', one['ml'][1])} a day"
        )
    return f"{'. '.join(parts)}."
