"""What to measure next, as ranked bars: how much of an answer's range each home measurement would leave."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.answers.common.words import amount_span
from terralab.errors import TerralabError, quoted
from terralab.quantities import said
from terralab.show.figures.style import (
    BLUE,
    LINE,
    ORANGE,
    TEXT_PT,
    TITLE_PT,
    WIDTH_IN,
    Picture,
    add_panel,
    literal,
    plain_look,
    short,
    write,
)

_ROW_IN, _LEFT_IN, _TOP_IN = 0.3, 2.2, 0.95


@plain_look
def measure_picture(answer: Answer) -> Picture:
    """Draw `answer.measure_next` as ranked bars, one a home measurement, and give the picture, 1200 pixels wide.

    A bar is the range that would be left [% of the range now]; the whisker is how far that estimate may be off (one
    standard error). Raises TerralabError where the answer has nothing to rank. `picture.alt` says the same in words.
    """
    ranked = getattr(answer, "measure_next", None)
    if not ranked:
        raise TerralabError(
            f"A picture of what to measure needs an answer whose measure_next is filled; given {quoted(answer)}. "
            "Take tl.daily_water(box) of a box that needs water."
        )
    height = _ROW_IN * len(ranked)
    figure = Picture(_TOP_IN + height + 0.7)
    write(figure, 0.15, 0.13, "What to measure next", TITLE_PT, weight="bold")
    write(
        figure,
        0.15,
        0.45,
        f"The range is now {_span(answer, answer.low, answer.high)}. A short bar is a good measurement, a hatched one would not narrow it.",
        TEXT_PT,
    )
    axes = add_panel(figure, _TOP_IN, height, "")
    place = axes.get_position()
    axes.set_position((_LEFT_IN / WIDTH_IN, place.y0, (WIDTH_IN - _LEFT_IN - 1.9) / WIDTH_IN, place.height))
    for row, one in enumerate(ranked):
        _bar(axes, row, one, answer)
    axes.annotate(
        "range then",
        (105.0, -0.75),
        xytext=(6, 0),
        textcoords="offset points",
        fontsize=TEXT_PT,
        weight="bold",
        annotation_clip=False,
    )
    axes.axvline(100.0, color=LINE, linestyle="--", linewidth=1.0)
    axes.set_xlim(0.0, 105.0)
    axes.set_ylim(len(ranked) - 0.5, -0.5)
    axes.set_yticks(
        range(len(ranked)), [literal(short(said(one["what"], answer.us), 30)) for one in ranked], fontsize=TEXT_PT
    )
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("range left, % of the range now", fontsize=TEXT_PT)
    figure.alt = alt_text(answer)
    return figure


def _bar(axes: Axes, row: int, one: Any, answer: Answer) -> None:
    left = 100.0 * (1.0 - one["narrows_by"])
    helps = one["narrows_by"] >= 0.05
    looks = {"facecolor": BLUE} if helps else {"facecolor": "white", "hatch": "////"}
    axes.barh(row, left, height=0.62, edgecolor=BLUE if helps else ORANGE, linewidth=1.0, **looks)
    axes.errorbar(left, row, xerr=100.0 * one["give_or_take"], color=LINE, capsize=2.5, linewidth=1.2)
    axes.annotate(
        _span(answer, *one["range_then"]),
        (105.0, row),
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        fontsize=TEXT_PT,
        annotation_clip=False,
    )


def _span(answer: Answer, low: float, high: float) -> str:
    """A range in the units of the box."""
    return said(amount_span(low, high, answer.unit), answer.us)


def alt_text(answer: Answer) -> str:
    """What the picture shows, in words."""
    parts = [
        f"{said(one['what'], answer.us)} leaves {100.0 * (1.0 - one['narrows_by']):.0f} % ({said(one['accuracy'], answer.us)})"
        for one in answer.measure_next
    ]
    return (
        "Ranked bars of what each home measurement would leave of the range "
        f"{_span(answer, answer.low, answer.high)}: {'; '.join(parts)}."
    )
