"""Words beside a drawing: how wide they are, and how they are moved apart so that none stands on another. In inches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D

from terralab.show.figures.style import LINE, TEXT_PT, literal

_LINE_HEIGHT = 1.2  # of a line of text, in sizes of its letters
_BETWEEN_IN = 0.05  # the least room between two words


class Label(NamedTuple):
    """Words that belong to a point of the drawing [inches from the left and from the bottom of the figure]."""

    x: float
    y: float
    text: str


def text_width(figure: Figure, text: str, size: float = TEXT_PT, weight: str = "normal") -> float:
    """Return the width [in] of a text of one or more lines."""
    renderer = figure.canvas.get_renderer()
    letters = FontProperties(size=size, weight=weight)
    wide = [renderer.get_text_width_height_descent(one, letters, False)[0] for one in literal(text).split("\n")]
    return max(wide) / figure.dpi


def text_height(text: str, size: float = TEXT_PT) -> float:
    """Return the height [in] of a text of one or more lines."""
    return (text.count("\n") + 1) * _LINE_HEIGHT * size / 72.0


def fitted(figure: Figure, text: str, width: float, size: float = TEXT_PT, most_lines: int = 2) -> str:
    """Break a text at its blanks to at most so many lines of `width` [in]; what is still too long ends in dots."""
    kept: list[str] = []
    words = text.split()
    while words:
        count = len(words)
        while count > 1 and text_width(figure, " ".join(words[:count]), size) > width:
            count -= 1
        kept.append(" ".join(words[:count]))
        words = words[count:]
    if len(kept) > most_lines:
        kept = [*kept[: most_lines - 1], " ".join(kept[most_lines - 1 :])]
    return "\n".join(_dotted(figure, line, width, size) for line in kept)


def _dotted(figure: Figure, line: str, width: float, size: float) -> str:
    if text_width(figure, line, size) <= width:
        return line
    while len(line) > 1 and text_width(figure, f"{line}…", size) > width:
        line = line[:-1].rstrip()
    return f"{line}…"


def spread(wanted: Sequence[float], sizes: Sequence[float], low: float, high: float) -> np.ndarray:
    """Return middles of pieces of these `sizes`, each as near as can be to where it is `wanted`, none over another.

    They keep the order of `wanted` and stay between `low` and `high`; where these leave too little room, they begin at
    `low` and go on beyond `high`.
    """
    if not len(wanted):
        return np.zeros(0)
    order = np.argsort(wanted, kind="stable")
    size = np.asarray(sizes, float)[order]
    # The middles in a row without room between them; what is added to them must not fall along the row.
    packed = np.concatenate([[0.0], np.cumsum(0.5 * (size[1:] + size[:-1]))])
    groups: list[list[float]] = []  # sum and number of what neighbours want to add
    for want in np.asarray(wanted, float)[order] - packed:
        groups.append([want, 1])
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            total, count = groups.pop()
            groups[-1][0] += total
            groups[-1][1] += count
    added = np.concatenate([np.full(int(count), total / count) for total, count in groups])
    least, most = low + 0.5 * size[0], high - 0.5 * size[-1] - packed[-1]
    out = np.empty(len(order))
    out[order] = packed + np.clip(added, least, max(least, most))
    return out


def write_beside(figure: Figure, labels: Sequence[Label], left: float, right: float, low: float, high: float) -> None:
    """Write labels one under another from `left` to `right`, each beside its point, with a line to it where it had to move."""
    texts = [fitted(figure, one.text, right - left) for one in labels]
    tall = [text_height(text) + _BETWEEN_IN for text in texts]
    for one, text, y in zip(labels, texts, spread([one.y for one in labels], tall, low, high), strict=True):
        _line(figure, (one.x, left - 0.16, left - 0.05), (one.y, y, y))
        _write(figure, left, y, text, "left", "center")


def write_above(figure: Figure, labels: Sequence[Label], foot: float, low: float, high: float) -> None:
    """Write labels side by side, their feet at `foot`, each above its point, with a line to it where it had to move."""
    _in_a_row(figure, labels, foot, low, high, 1.0)


def write_under(figure: Figure, labels: Sequence[Label], top: float, low: float, high: float) -> None:
    """Write labels side by side, their heads at `top`, each under its point; see `write_above`."""
    _in_a_row(figure, labels, top, low, high, -1.0)


def _in_a_row(figure: Figure, labels: Sequence[Label], edge: float, low: float, high: float, up: float) -> None:
    wide = [text_width(figure, one.text) + 3.0 * _BETWEEN_IN for one in labels]
    for one, x in zip(labels, spread([one.x for one in labels], wide, low, high), strict=True):
        if abs(x - one.x) > 0.05:
            _line(figure, (one.x, x), (one.y, edge - up * 0.02))
        _write(figure, float(x), edge, one.text, "center", "bottom" if up > 0.0 else "top")


def _write(figure: Figure, x: float, y: float, text: str, across: str, up: str) -> None:
    wide, tall = figure.get_size_inches()
    figure.text(x / wide, y / tall, literal(text), fontsize=TEXT_PT, ha=across, va=up, linespacing=1.1)


def _line(figure: Figure, x: Sequence[float], y: Sequence[float]) -> None:
    wide, tall = figure.get_size_inches()
    line = Line2D(
        np.asarray(x) / wide, np.asarray(y) / tall, color=LINE, linewidth=0.7, transform=figure.transFigure, zorder=1
    )
    figure.add_artist(line)
