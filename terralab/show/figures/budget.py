"""The water budget as bars: what came in, what left, what the box holds more or less, what moved inside."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.rounding import jug
from terralab.errors import TerralabError, quoted
from terralab.quantities import quantity, said
from terralab.show.figures.scales import Scales
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
from terralab.simulation.where_it_goes import kind_of
from terralab.units import as_float, is_number

_ROW_IN, _HEAD_IN, _LEFT_IN = 0.25, 0.3, 2.75
_LEAST = 0.05  # less would be shown as 0.0, in either unit


@dataclass(frozen=True)
class Kind:
    """One group of the budget: its heading, its looks, and whether a sum makes sense."""

    name: str
    colour: str
    hatch: str
    adds_up: bool = True


#: By the kind that the table of flows gives to a word.
KINDS = {
    "came in": Kind("Came in", BLUE, ""),
    "left": Kind("Left the box", VERMILLION, "////"),
    "stored": Kind("Change in what the box holds (minus: less than before)", GREEN, "...."),
    "moved inside": Kind("Moved inside the box (no loss by itself)", ORANGE, "\\\\\\\\", adds_up=False),
    "": Kind("Also counted", PURPLE, "xxxx", adds_up=False),
}
_LABELS = {"vapour lost through vents": "vapour lost through vents and lid"}


@plain_look
def budget(amounts_ml_per_day: Mapping[str, float], title: str, us: bool = False) -> Picture:
    """Draw a water budget as bars, in ml a day (fl oz where `us` is True), and give the picture, 1200 pixels wide.

    `amounts_ml_per_day`: amounts by name, as `Answer.budget_ml_per_day` has them; negative means the other way
    round. `title`: what stands above. Raises TerralabError for anything that is not a number.
    `picture.alt` says the same in words.
    """
    groups = grouped(amounts_ml_per_day)
    if not isinstance(us, bool):
        raise TerralabError(f"us must be True or False; {quoted(us)} was given.")
    figure = Picture(0.55 + _height_in(groups, us))
    write(figure, 0.15, 0.13, short(str(title), 60), TITLE_PT, weight="bold")
    _draw(figure, groups, 0.55, us)
    figure.alt = alt_text(amounts_ml_per_day, title, us)
    return figure


def alt_text(amounts_ml_per_day: Mapping[str, float], title: str, us: bool = False) -> str:
    """Say what `budget` shows, with the numbers."""
    parts = []
    for kind, entries in grouped(amounts_ml_per_day):
        listed = ", ".join(f"{name} {number(value, us)}" for name, value in shown(entries, us))
        if listed:
            parts.append(f"{kind.name}{_total(kind, entries, us)}: {listed}")
    return f"{title}. Water in {unit(us)}. {'. '.join(parts) or 'No water moves'}."


def unit(us: bool) -> str:
    """The unit of the amounts."""
    return f"{Scales(us).word('ml')} a day"


def grouped(amounts: Mapping[str, float]) -> list[tuple[Kind, list[tuple[str, float]]]]:
    """Sort the amounts into the kinds, in the order given; kinds without any entry are left out."""
    if not isinstance(amounts, Mapping) or not amounts:
        raise TerralabError(
            'amounts_ml_per_day must be amounts by name, such as {"poured": 120.0}; '
            f"{quoted(amounts)} was given. Take answer.budget_ml_per_day."
        )
    found: dict[Kind, list[tuple[str, float]]] = {kind: [] for kind in KINDS.values()}
    for name, value in amounts.items():
        if not is_number(value) or not math.isfinite(as_float(value)):
            raise TerralabError(f"{name} must be a number of ml a day; {quoted(value)} was given.")
        kind, word, way = kind_of(str(name)), _LABELS.get(name, str(name)), float(value)
        if way <= -_LEAST and "lost" in word.split():
            # a damper room gives vapour to the box: that came in, and is no loss below nothing
            kind, word, way = "came in", word.replace("lost", "come in"), -way
        found[KINDS[kind]].append((word, way))
    return [(kind, entries) for kind, entries in found.items() if entries]


def _height_in(groups: list[tuple[Kind, list[tuple[str, float]]]], us: bool) -> float:
    return 0.75 + sum(_HEAD_IN + _ROW_IN * max(1, len(shown(entries, us))) for _, entries in groups)


def shown(entries: list[tuple[str, float]], us: bool = False) -> list[tuple[str, float]]:
    """Those entries that are more than nothing in the unit in which they are said."""
    return [(name, value) for name, value in entries if abs(Scales(us).of("ml", value)) >= _LEAST]


def _draw(figure: Picture, groups: list[tuple[Kind, list[tuple[str, float]]]], top_in: float, us: bool) -> None:
    """Draw all groups on one scale, their headings between the bars."""
    height = _height_in(groups, us) - 0.6
    axes = add_panel(figure, top_in, height, "")
    place = axes.get_position()
    axes.set_position((_LEFT_IN / WIDTH_IN, place.y0, (WIDTH_IN - _LEFT_IN - 0.6) / WIDTH_IN, place.height))
    turn = lambda value: Scales(us).of("ml", value)  # noqa: E731
    values = [turn(value) for _, entries in groups for _, value in entries]
    most = max(1e-9, max(abs(value) for value in values))
    low = min(0.0, min(values))
    axes.set_xlim(low - (0.12 * most if low < -_LEAST else 0.0), max(0.0, max(values)) + 0.15 * most)
    down = 0.0
    for kind, entries in groups:
        _head(axes, kind, entries, down + 0.5 * _HEAD_IN, us)
        down += _HEAD_IN
        listed = shown(entries, us)
        for row, (name, value) in enumerate(listed):
            _bar(axes, kind, name, turn(value), number(value, us), down + (row + 0.5) * _ROW_IN)
        if not listed:
            _name(axes, "nothing", down + 0.5 * _ROW_IN, color=LINE)
        rows = max(1, len(listed))
        axes.plot([0.0, 0.0], [down, down + rows * _ROW_IN], color=BLACK, linewidth=1.0)
        down += rows * _ROW_IN
    axes.set_ylim(down, 0.0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel(unit(us), fontsize=TEXT_PT)


def _head(axes: Axes, kind: Kind, entries: list[tuple[str, float]], y: float, us: bool) -> None:
    total = _total(kind, entries, us)
    heading = f"{kind.name}:{total} {unit(us)}" if total else kind.name
    axes.annotate(
        heading,
        (0.15 / WIDTH_IN, y),
        xycoords=("figure fraction", "data"),
        va="center",
        fontsize=TEXT_PT,
        weight="bold",
        annotation_clip=False,
    )


def _bar(axes: Axes, kind: Kind, name: str, value: float, words: str, y: float) -> None:
    looks = {"facecolor": kind.colour} if not kind.hatch else {"facecolor": "white", "hatch": kind.hatch}
    axes.barh(y, value, height=0.72 * _ROW_IN, edgecolor=kind.colour, linewidth=1.0, **looks)
    axes.annotate(
        words,
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


def _total(kind: Kind, entries: list[tuple[str, float]], us: bool) -> str:
    """The sum of a group, with a space before it; empty where a sum has no meaning."""
    return f" {number(sum(value for _, value in entries), us)}" if kind.adds_up else ""


def number(value_ml: float, us: bool = False) -> str:
    """An amount [ml] as the answers say it, with one decimal below ten, in ml or fl oz, and with a true minus sign."""
    rounded = (round(value_ml, 1) if abs(value_ml) < 9.95 else jug(value_ml)) + 0.0
    form = f".{1 if abs(rounded) < 10 else 0}f"
    return said(quantity("ml", form, rounded, bare=True), us).replace("-", "−")
