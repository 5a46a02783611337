"""What comes into a box in a day and what leaves it, side by side on one scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terralab.show.figures import budget
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import HEADING_PT, LINE, TEXT_PT, WIDTH_IN, Picture, literal, short, write

_ROW_IN, _HEAD_IN, _FOOT_IN = 0.24, 0.32, 0.46
_SIDES = ((0.15, 1.55, "Came in"), (3.55, 2.25, "Left the box"))  # left edge, room for names
_BAR_IN = 1.25


def height_in(amounts: Mapping[str, float], us: bool) -> float:
    """Height that the bars take [inches]."""
    return _HEAD_IN + _ROW_IN * max(1, *(len(rows) for rows, _ in _sides(amounts, us))) + _FOOT_IN


def _sides(amounts: Mapping[str, float], us: bool) -> list[tuple[list[tuple[str, float]], budget.Kind]]:
    found = {kind.name: (budget.shown(entries, us), kind) for kind, entries in budget.grouped(amounts)}
    return [found.get(name, ([], budget.KINDS["came in" if name == "Came in" else "left"])) for *_, name in _SIDES]


def in_words(amounts: Mapping[str, float], us: bool) -> str:
    """What both sides say, for the picture's words."""
    parts = []
    for (*_, head), (rows, _) in zip(_SIDES, _sides(amounts, us), strict=True):
        listed = ", ".join(f"{name} {budget.number(value, us)}" for name, value in rows) or "nothing"
        parts.append(f"{head} {budget.number(sum(value for _, value in rows), us)} {budget.unit(us)}: {listed}")
    return ". ".join([*parts, _kept(amounts, us)])


def _kept(amounts: Mapping[str, float], us: bool) -> str:
    """How much more or less the box holds each day."""
    more = sum(value for kind, rows in budget.grouped(amounts) if kind is budget.KINDS["stored"] for _, value in rows)
    if not budget.shown([("", more)], us):
        return "Each day the box holds as much as the day before"
    way = "more" if more > 0.0 else "less"
    return f"Each day the box holds {budget.number(abs(more), us)} {Scales(us).word('ml')} {way} than the day before"


def draw(figure: Picture, amounts: Mapping[str, float], top_in: float, us: bool) -> None:
    """Draw the two sides from `top_in` inches below the top of the figure on."""
    scales, total = Scales(us), figure.get_figheight()
    sides = _sides(amounts, us)
    most = max([1e-9, *(abs(scales.of("ml", value)) for rows, _ in sides for _, value in rows)])
    for (left, names, head), (rows, kind) in zip(_SIDES, sides, strict=True):
        heading = f"{head}: {budget.number(sum(value for _, value in rows), us)} {budget.unit(us)}"
        write(figure, left, top_in + 0.5 * _HEAD_IN, heading, HEADING_PT, middle=True, weight="bold")
        height = _ROW_IN * max(1, len(rows))
        start, low = (left + names) / WIDTH_IN, 1 - (top_in + _HEAD_IN + height) / total
        axes = figure.add_axes((start, low, _BAR_IN / WIDTH_IN, height / total))
        axes.set_axis_off()
        axes.set_xlim(0.0, most)
        axes.set_ylim(max(1, len(rows)) - 0.5, -0.5)
        looks: dict[str, Any] = (
            {"facecolor": "white", "hatch": kind.hatch} if kind.hatch else {"facecolor": kind.colour}
        )
        for row, (name, value) in enumerate(rows):
            axes.barh(row, scales.of("ml", value), height=0.7, edgecolor=kind.colour, linewidth=1.0, **looks)
            axes.annotate(
                budget.number(value, us),
                (scales.of("ml", value), row),
                xytext=(4, 0),
                textcoords="offset points",
                va="center",
                fontsize=TEXT_PT,
            )
            word = literal(short(name.removeprefix("vapour lost "), 34))
            axes.annotate(
                word, (0.0, row), xytext=(-4, 0), textcoords="offset points", va="center", ha="right", fontsize=TEXT_PT
            )
        if not rows:
            axes.text(0.0, 0, "nothing", va="center", ha="right", fontsize=TEXT_PT)
    write(
        figure,
        0.15,
        total - 0.22,
        f"{_kept(amounts, us)}. All of this is computed, not measured.",
        TEXT_PT,
        middle=True,
        color=LINE,
    )
