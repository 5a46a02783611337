"""Hours to danger: for each failure bars until the band is left, until it is too hot or cold, until danger; a mark for the alarm."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.answers.fails.hours_words import between
from terralab.errors import TerralabError, quoted
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    LINE,
    ORANGE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    WIDTH_IN,
    Picture,
    add_panel,
    legend_above,
    literal,
    plain_look,
    short,
    write,
)

LEAST_H = 0.25  # the rows of a record are no nearer to each other
_ROW_IN, _LEFT_IN, _TOP_IN, _MOST_ROWS = 0.42, 2.35, 1.3, 20
_TICKS = (0.25, 0.5, 1, 2, 4, 8, 12, 24, 48, 72)
_OFF = 0.25  # rows between two bars of a failure
_BAR = 0.2  # rows, the height of a bar


@plain_look
def fails_picture(answer: Answer) -> Picture:
    """Draw what `tl.fails(box)` found as bars of hours, the worst failure first, and give the picture, 1200 pixels wide.

    A bar goes from the low to the high end of the boxes drawn, with a dot in the middle; an arrow at its end says that it never
    comes in some of them. Raises TerralabError where nothing can fail. `picture.alt` says the same in words.
    """
    rows = answer.table if isinstance(answer, Answer) else ()
    if not rows or "hours_until_danger" not in rows[0]:
        raise TerralabError(
            f"A picture of failures needs an answer of tl.fails, of a box with a device; given {quoted(answer)}."
        )
    rows = rows[:_MOST_ROWS]
    last = float(answer.details["followed_h"])
    height = _ROW_IN * len(rows)
    figure = Picture(_TOP_IN + height + 0.75)
    write(figure, 0.15, 0.13, "What if a device fails: hours to danger", TITLE_PT, weight="bold")
    words = f"Each begins at the worst hour of the day in its worst season, and is followed for {last:g} hours.\nA bar spans when 80 of 100 boxes drawn first pass the limit, the dot is their middle."
    write(figure, 0.15, 0.45, words, TEXT_PT)
    axes = add_panel(figure, _TOP_IN, height, "")
    place = axes.get_position()
    axes.set_position((_LEFT_IN / WIDTH_IN, place.y0, (WIDTH_IN - _LEFT_IN - 1.4) / WIDTH_IN, place.height))
    for row, one in enumerate(rows):
        _bar(axes, row - _OFF, one["hours_until_out_of_band"], last, BLUE, "")
        _bar(axes, row, one["hours_until_too_hot_or_cold"], last, ORANGE, "")
        _bar(axes, row + _OFF, one["hours_until_danger"], last, VERMILLION, "////")
        _alarm(axes, row, one)
        told = _right(one)
        axes.annotate(
            told, (last, row), xytext=(8, 0), textcoords="offset points", va="center", fontsize=TEXT_PT - 1.0,
            annotation_clip=False,
        )  # fmt: skip
        if row:
            axes.axhline(row - 0.5, color="#DDDDDD", linewidth=0.6, zorder=0)
    _legend(axes)
    axes.set_xscale("log")
    axes.set_xlim(0.9 * LEAST_H, last)
    ticks = [tick for tick in _TICKS if tick <= last]
    axes.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    axes.set_xticks([], minor=True)
    axes.set_ylim(len(rows) - 0.5, -0.5)
    axes.set_yticks(range(len(rows)), [literal(short(one["fault"], 34)) for one in rows], fontsize=TEXT_PT)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("hours from the beginning of the failure (each step to the right is longer)", fontsize=TEXT_PT)
    figure.alt = alt_text(answer)
    return figure


def _bar(axes: Axes, at: float, span: list[float | None], last: float, color: str, hatch: str) -> None:
    low, middle, high = span
    if low is None:
        return
    begins = max(LEAST_H, low)
    ends = last if high is None else max(high, 1.08 * begins)
    axes.barh(at, ends - begins, left=begins, height=_BAR, facecolor="white" if hatch else color, edgecolor=color,
              hatch=hatch, linewidth=1.0, alpha=None if hatch else 0.55)  # fmt: skip
    if middle is not None:
        axes.plot(max(LEAST_H, middle), at, "o", color=color, markersize=5.0, markeredgecolor="white", zorder=3)
    if high is None:
        axes.plot(last, at, ">", color=color, markersize=6.0, clip_on=False, zorder=3)


def _alarm(axes: Axes, row: int, one: Mapping[str, Any]) -> None:
    hours = one["hours_until_alarm"][1]
    if one["alarm"] and hours is not None:
        axes.plot(max(LEAST_H, hours), row - 0.4, "v", color=BLACK, markersize=6.0, zorder=4)


def _right(one: Mapping[str, Any]) -> str:
    """What stands at the right end of a row."""
    if one["hours_until_out_of_band"][0] is None and one["hours_until_danger"][0] is None:
        return "no limit passed"
    return one["season"] if one["alarm"] else f"{one['season']}, no alarm"


def _legend(axes: Axes) -> None:
    axes.barh(-9, 1, color=BLUE, alpha=0.55, label="out of band")
    axes.barh(-9, 1, color=ORANGE, alpha=0.55, label="too hot or cold")
    axes.barh(-9, 1, facecolor="white", edgecolor=VERMILLION, hatch="////", label="danger")
    axes.plot([], [], "v", color=BLACK, linestyle="none", label="alarm")
    axes.plot([], [], "o", color=LINE, linestyle="none", label="middle")
    legend_above(axes)


def alt_text(answer: Answer) -> str:
    """What the picture shows, in words."""
    parts = []
    for one in answer.table[:_MOST_ROWS]:
        names = ("hours_until_out_of_band", "hours_until_too_hot_or_cold", "hours_until_danger")
        band, warm, danger = (_span(one[name]) for name in names)
        alarm = f"alarm ({one['alarm']}) {_span(one['hours_until_alarm'])}" if one["alarm"] else "no alarm"
        parts.append(
            f"{one['fault']} in the season {one['season']}: out of band {band}, too hot or too cold {warm}, danger {danger}, {alarm}"
        )
    return f"Bars of hours from the beginning of each failure, the worst first. {'; '.join(parts)}."


def _span(span: list[float | None]) -> str:
    low, middle, high = ("never" if hours is None else f"{hours:.1f}" for hours in span)
    if low == "never":
        return "never"
    if middle == "never":
        return f"after {low} h in some boxes, in most never"
    return f"after {middle} h ({between(low, high)})"
