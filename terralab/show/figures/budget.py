"""The water budget as bars, and the picture of a watering answer: the week above, its budget below."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from numbers import Real
from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import budget_ml
from terralab.answers.common.rounding import jug
from terralab.answers.common.words import likely, ml
from terralab.errors import TerralabError, quoted
from terralab.quantities import said
from terralab.show.figures import week as weeks
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    ORANGE,
    PURPLE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    WIDTH_IN,
    Picture,
    add_panel,
    literal,
    plain_look,
    short,
    write,
)
from terralab.simulation.record import Record
from terralab.simulation.where_it_goes import kind_of

_ROW_IN, _HEAD_IN, _LEFT_IN = 0.25, 0.3, 2.75
_LEAST_ML = 0.05  # less would be shown as 0.0


@dataclass(frozen=True)
class Kind:
    """One group of the budget: its heading, its looks, and whether a sum makes sense."""

    name: str
    colour: str
    hatch: str
    adds_up: bool = True


#: By the kind that the table of flows gives to a word.
_KINDS = {
    "came in": Kind("Came in", BLUE, ""),
    "left": Kind("Left the box", VERMILLION, "////"),
    "stored": Kind("Change in what the box holds (minus: less than before)", GREEN, "...."),
    "moved inside": Kind("Moved inside the box (no loss by itself)", ORANGE, "\\\\\\\\", adds_up=False),
    "": Kind("Also counted", PURPLE, "xxxx", adds_up=False),
}
_LABELS = {"vapour lost through vents": "vapour lost through vents and lid"}


@plain_look
def budget(amounts_ml_per_day: Mapping[str, float], title: str) -> Picture:
    """Draw a water budget as bars, in ml a day, and give the picture, 1200 pixels wide.

    `amounts_ml_per_day`: amounts by name, as `Answer.budget_ml_per_day` has them; negative means the other way
    round. `title`: what stands above. Raises TerralabError for anything that is not a number.
    `picture.alt` says the same in words.
    """
    groups = _groups(amounts_ml_per_day)
    figure = Picture(0.55 + _height_in(groups))
    write(figure, 0.15, 0.13, short(str(title), 60), TITLE_PT, weight="bold")
    _draw(figure, groups, 0.55)
    figure.alt = alt_text(amounts_ml_per_day, title)
    return figure


def alt_text(amounts_ml_per_day: Mapping[str, float], title: str) -> str:
    """Say what `budget` shows, with the numbers."""
    parts = []
    for kind, entries in _groups(amounts_ml_per_day):
        shown = ", ".join(f"{name} {_said(value)}" for name, value in entries if abs(value) >= _LEAST_ML)
        if shown:
            parts.append(f"{kind.name}{_total(kind, entries)}: {shown}")
    return f"{title}. Water in ml a day. {'. '.join(parts) or 'No water moves'}."


@plain_look
def water_answer(record: Record, answer: Answer) -> Picture:
    """Draw a watering answer: its number, the last week of `record`, and where the water goes below.

    `answer` has value, low, high, unit, reason and budget_ml_per_day, as `daily_water` and `first_soak` give
    it; without a budget that of the days shown is taken from the record. Raises TerralabError where `record` is
    none.
    """
    if not hasattr(answer, "value") and not hasattr(answer, "budget_ml_per_day"):
        raise TerralabError(
            f"A picture of the water needs an answer, as tl.daily_water gives it; given {quoted(answer)}."
        )
    above = 0.42
    amounts = _amounts(record, answer)
    groups = _groups(amounts)
    week_in = weeks.height_in(record)
    figure = Picture(above + week_in + 0.45 + _height_in(groups))
    write(figure, 0.15, 0.13, _headline(answer), TITLE_PT, weight="bold", color=BLUE)
    weeks.draw_week(figure, record, 7, None, above)
    write(figure, 0.15, above + week_in + 0.1, "Where the water goes, on an average day", TITLE_PT, weight="bold")
    _draw(figure, groups, above + week_in + 0.45)
    figure.alt = water_alt_text(record, answer)
    return figure


def water_alt_text(record: Record, answer: Answer) -> str:
    """Say what `water_answer` shows, with the main numbers."""
    below = alt_text(_amounts(record, answer), "Where the water goes, on an average day")
    return f"{_headline(answer)}. {weeks.alt_text(record)} {below}"


def _amounts(record: Record, answer: Answer) -> Mapping[str, float]:
    if not isinstance(record, Record):
        raise TerralabError(f"A picture of an answer needs its record, answer.record; given {quoted(record)}.")
    given = getattr(answer, "budget_ml_per_day", None)
    if given:
        return given
    return budget_ml(record, record.rows(max(0.0, record.days - 7), record.days))


def _headline(answer: Answer) -> str:
    if answer.value is None:
        return short(f"Answer: {answer.reason}", 70)
    # In the words of the answer itself: a jug shows no single millilitres.
    if answer.unit.startswith("ml"):
        amounts = [ml(value) for value in (answer.value, answer.low, answer.high)]
        rest = answer.unit.removeprefix("ml")
    else:
        amounts = [f"{value:.1f}" for value in (answer.value, answer.low, answer.high)]
        rest = f" {answer.unit}"
    return said(f"Answer: {amounts[0]}{rest}, {likely(amounts[1], amounts[2])}")


def _groups(amounts: Mapping[str, float]) -> list[tuple[Kind, list[tuple[str, float]]]]:
    """Sort the amounts into the kinds, in the order given; kinds without any entry are left out."""
    if not isinstance(amounts, Mapping) or not amounts:
        raise TerralabError(
            'amounts_ml_per_day must be amounts by name, such as {"poured": 120.0}; '
            f"{quoted(amounts)} was given. Take answer.budget_ml_per_day."
        )
    found: dict[Kind, list[tuple[str, float]]] = {kind: [] for kind in _KINDS.values()}
    for name, value in amounts.items():
        if isinstance(value, bool) or not isinstance(value, Real) or not math.isfinite(value):
            raise TerralabError(f"{name} must be a number of ml a day; {quoted(value)} was given.")
        kind, word, way = kind_of(str(name)), _LABELS.get(name, str(name)), float(value)
        if way <= -_LEAST_ML and "lost" in word.split():
            # a damper room gives vapour to the box: that came in, and is no loss below nothing
            kind, word, way = "came in", word.replace("lost", "come in"), -way
        found[_KINDS[kind]].append((word, way))
    return [(kind, entries) for kind, entries in found.items() if entries]


def _height_in(groups: list[tuple[Kind, list[tuple[str, float]]]]) -> float:
    return 0.75 + sum(_HEAD_IN + _ROW_IN * max(1, len(_shown(entries))) for _, entries in groups)


def _shown(entries: list[tuple[str, float]]) -> list[tuple[str, float]]:
    return [entry for entry in entries if abs(entry[1]) >= _LEAST_ML]


def _draw(figure: Picture, groups: list[tuple[Kind, list[tuple[str, float]]]], top_in: float) -> None:
    """Draw all groups on one scale, their headings between the bars."""
    height = _height_in(groups) - 0.6
    axes = add_panel(figure, top_in, height, "")
    place = axes.get_position()
    axes.set_position((_LEFT_IN / WIDTH_IN, place.y0, (WIDTH_IN - _LEFT_IN - 0.6) / WIDTH_IN, place.height))
    values = [value for _, entries in groups for _, value in entries]
    most = max(1e-9, max(abs(value) for value in values))
    low = min(0.0, min(values))
    axes.set_xlim(low - (0.12 * most if low < -_LEAST_ML else 0.0), max(0.0, max(values)) + 0.15 * most)
    down = 0.0
    for kind, entries in groups:
        _head(axes, kind, entries, down + 0.5 * _HEAD_IN)
        down += _HEAD_IN
        shown = _shown(entries)
        for row, (name, value) in enumerate(shown):
            _bar(axes, kind, name, value, down + (row + 0.5) * _ROW_IN)
        if not shown:
            _name(axes, "nothing", down + 0.5 * _ROW_IN, color=LINE)
        rows = max(1, len(shown))
        axes.plot([0.0, 0.0], [down, down + rows * _ROW_IN], color=BLACK, linewidth=1.0)
        down += rows * _ROW_IN
    axes.set_ylim(down, 0.0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel("ml a day", fontsize=TEXT_PT)


def _head(axes: Axes, kind: Kind, entries: list[tuple[str, float]], y: float) -> None:
    total = _total(kind, entries)
    heading = f"{kind.name}:{total} ml a day" if total else kind.name
    axes.annotate(
        heading,
        (0.15 / WIDTH_IN, y),
        xycoords=("figure fraction", "data"),
        va="center",
        fontsize=TEXT_PT,
        weight="bold",
        annotation_clip=False,
    )


def _bar(axes: Axes, kind: Kind, name: str, value: float, y: float) -> None:
    looks = {"facecolor": kind.colour} if not kind.hatch else {"facecolor": "white", "hatch": kind.hatch}
    axes.barh(y, value, height=0.72 * _ROW_IN, edgecolor=kind.colour, linewidth=1.0, **looks)
    axes.annotate(
        _said(value),
        (value, y),
        xytext=(4 if value >= 0 else -4, 0),
        textcoords="offset points",
        va="center",
        ha="left" if value >= 0 else "right",
        fontsize=TEXT_PT,
    )
    _name(axes, literal(short(name, 36)), y)


def _name(axes: Axes, text: str, y: float, **looks: Any) -> None:
    axes.annotate(
        text,
        ((_LEFT_IN - 0.1) / WIDTH_IN, y),
        xycoords=("figure fraction", "data"),
        va="center",
        ha="right",
        fontsize=TEXT_PT,
        annotation_clip=False,
        **looks,
    )


def _total(kind: Kind, entries: list[tuple[str, float]]) -> str:
    """The sum of a group, with a space before it; empty where a sum has no meaning."""
    return f" {_said(sum(value for _, value in entries))}" if kind.adds_up else ""


def _said(value: float) -> str:
    """An amount as the answers say it, or with one decimal below ten, with a true minus sign."""
    rounded = (round(value, 1) if abs(value) < 9.95 else jug(value)) + 0.0
    return f"{rounded:.{1 if abs(rounded) < 10 else 0}f}".replace("-", "−")
