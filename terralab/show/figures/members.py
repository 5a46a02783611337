"""The members behind an answer: each box that fits the description as a block, the range that is told, and how it settles.

With what was weighed, the blocks that fit it stay and the others turn pale, and so does what they say of the humidity.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PatchCollection
from matplotlib.patches import Rectangle

from terralab.answers.common.answer import Answer
from terralab.answers.common.words import amount_span
from terralab.errors import TerralabError, quoted
from terralab.quantities import quantity, said
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLUE,
    LINE,
    ORANGE,
    SKY,
    TEXT_PT,
    TITLE_PT,
    Picture,
    add_panel,
    literal,
    plain_look,
    short,
    write,
)
from terralab.uncertainty import middle_range
from terralab.uncertainty.spread import SHARE

COLUMNS = 10  # of blocks, about, for nine in ten of the boxes
LEAST = 8  # members: a range of fewer is not drawn
_TOP_IN, _BLOCKS_IN, _BARS_IN, _BELOW_IN = 1.0, 2.2, 1.2, 0.6
_GAP_IN = 0.35  # for the heading of the lower panel
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@plain_look
def members_picture(answer: Answer, weighed_ml: tuple[float, float] | None = None) -> Picture:
    """Draw the members behind an answer of `daily_water` and give the picture, 1200 pixels wide.

    A block is one box that fits the description, over the amount it needs a day. Between the dashed lines lie 80 in 100.
    Below: how that range settles as members are added. `weighed_ml`: (least, most) ml a day that weighing left possible; the
    members between them stay, and below stands what they and all say of the humidity by day. `picture.alt` says it in
    words. Raises TerralabError for another answer, and where fewer than two members lie between the two.
    """
    sample = getattr(answer, "sample", None)
    pours = np.asarray(getattr(sample, "results", {}).get("pour", []), float)
    if np.isfinite(pours).sum() < LEAST:
        raise TerralabError(
            f"A picture of the members needs an answer of tl.daily_water with {LEAST} members or more; given {quoted(answer)}."
        )
    scales = Scales(answer.us)
    stay = np.isfinite(pours) if weighed_ml is None else _between(pours, weighed_ml)
    shown = scales.of("ml", pours)
    figure = Picture(_TOP_IN + _BLOCKS_IN + 2 * _BELOW_IN + _GAP_IN + (_BARS_IN if weighed_ml is None else _BLOCKS_IN))
    title = f"{answer.record.box.name}: boxes that fit the same description"
    write(figure, 0.15, 0.13, short(title, 70), TITLE_PT, weight="bold")
    write(figure, 0.15, 0.45, literal(_lead(answer, weighed_ml, int(stay.sum()))), TEXT_PT)
    axes = add_panel(figure, _TOP_IN, _BLOCKS_IN, "What each of them needs", "boxes")
    _blocks(axes, shown, stay)
    low, _, high = middle_range(shown)
    _ends(axes, *((low, high) if weighed_ml is None else scales.of("ml", np.asarray(weighed_ml, float))))
    axes.set_xlabel(f"{scales.word('ml')} a day", fontsize=TEXT_PT)
    top = _TOP_IN + _BLOCKS_IN + _BELOW_IN + _GAP_IN
    if weighed_ml is None:
        below = _settling(figure, top, shown, scales)
    else:
        below = _humidity(figure, top, np.asarray(sample.results["day"], float), stay)
    figure.alt = f"{title}. {_lead(answer, weighed_ml, int(stay.sum()))} {below}"
    return figure


def _between(pours: np.ndarray, weighed_ml: Any) -> np.ndarray:
    try:
        low, high = (float(one) for one in weighed_ml)
    except (TypeError, ValueError):
        low = high = np.nan
    if isinstance(weighed_ml, str) or not low < high:
        raise TerralabError(
            f"weighed_ml must be the least and the most ml a day, such as (92, 128); {quoted(weighed_ml)} was given."
        )
    stay = (pours >= low) & (pours <= high)
    if stay.sum() < 2:
        raise TerralabError(
            f"weighed_ml: of {len(pours)} boxes {stay.sum()} need {low:g} to {high:g} ml a day; two or more have to be left. "
            f"All need {np.nanmin(pours):.0f} to {np.nanmax(pours):.0f} ml: look at the description or at the weighing."
        )
    return stay


def _lead(answer: Answer, weighed_ml: tuple[float, float] | None, stay: int) -> str:
    """What the picture shows, in a sentence or two, in the units of the box."""
    span = said(amount_span(answer.low, answer.high, "ml a day"), answer.us)
    if weighed_ml is None:
        return (
            f"Each block is one of {stay} boxes. {100 * SHARE:.0f} in 100 lie between the dashed lines: {span} a day."
        )
    left = said(quantity("ml", ".0f", *weighed_ml), answer.us)
    return f"Weighing left {left} a day, between the dashed lines: {stay} of {len(answer.sample.results['pour'])} boxes stay, the others are pale."


def _blocks(axes: Axes, values: np.ndarray, stay: np.ndarray) -> None:
    """Every member as a block over its value, those that stay at the foot."""
    good = values[np.isfinite(values)]
    width = _step((np.quantile(good, 0.95) - np.quantile(good, 0.05)) / COLUMNS)
    start = width * np.floor(float(good.min()) / width)
    number = np.floor((values - start) / width)
    most = 1
    for kept, colour, edge in ((True, BLUE, "white"), (False, "white", SKY)):
        blocks = []
        for column in np.unique(number[(stay == kept) & np.isfinite(values)]):
            count = int(np.sum((number == column) & (stay == kept)))
            foot = 0 if kept else int(np.sum((number == column) & stay))
            most = max(most, foot + count)
            x = start + column * width
            blocks += [Rectangle((x + 0.05 * width, foot + n + 0.08), 0.9 * width, 0.84) for n in range(count)]
        axes.add_collection(PatchCollection(blocks, facecolor=colour, edgecolor=edge, linewidth=0.7))
    axes.set_xlim(start - width, start + (float(np.nanmax(number)) + 2) * width)
    axes.set_ylim(0.0, most + 1.0)
    axes.yaxis.get_major_locator().set_params(integer=True)


def _step(width: float) -> float:
    """A round width near this one."""
    scale = 10.0 ** np.floor(np.log10(max(width, 1e-9)))
    return float(scale * min(_STEPS, key=lambda one: abs(np.log(one * scale / max(width, 1e-9)))))


def _ends(axes: Axes, low: float, high: float) -> None:
    axes.axvspan(low, high, facecolor=ORANGE, alpha=0.16, linewidth=0.0, zorder=0)
    for end in (low, high):
        axes.axvline(end, color=LINE, linestyle="--", linewidth=1.4)


def _settling(figure: Picture, top_in: float, shown: np.ndarray, scales: Scales) -> str:
    """The range from the first 16, 32, 64 ... members, as bars below one another."""
    sizes = [n for n in (LEAST, 16, 32, 64, 128, 256, 512) if n < len(shown)] + [len(shown)]
    sizes = sizes[-4:]
    axes = add_panel(figure, top_in, _BARS_IN, "How the range settles as boxes are added")
    said_ = []
    for row, size in enumerate(sizes):
        low, middle, high = middle_range(shown[:size])
        axes.barh(row, high - low, left=low, height=0.5, color=ORANGE, alpha=0.45, edgecolor=LINE)
        axes.plot([middle, middle], [row - 0.25, row + 0.25], color=LINE, linewidth=2.0)
        digits = 1 if scales.us else 0
        words = f"{low:.{digits}f} to {high:.{digits}f}"
        axes.annotate(words, (high, row), xytext=(6, 0), textcoords="offset points", va="center", fontsize=TEXT_PT)
        said_.append(f"{size}: {words}")
    axes.set_yticks(range(len(sizes)), [f"{size} boxes" for size in sizes], fontsize=TEXT_PT)
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(len(sizes) - 0.4, -0.6)
    axes.set_xlim(figure.axes[0].get_xlim())
    axes.set_xlabel(f"{scales.word('ml')} a day", fontsize=TEXT_PT)
    return f"By number of boxes the range is, {scales.word('ml')} a day: {'; '.join(said_)}."


def _humidity(figure: Picture, top_in: float, day: np.ndarray, stay: np.ndarray) -> str:
    """What the same members say of the mean humidity by day, before and after weighing."""
    axes = add_panel(figure, top_in, _BLOCKS_IN, "And the humidity they have by day", "boxes")
    _blocks(axes, day, stay)
    before, after = middle_range(day), middle_range(day[stay])
    _ends(axes, after[0], after[2])
    axes.set_xlabel("humidity by day, mean, %", fontsize=TEXT_PT)
    return (
        f"Humidity by day, mean: {before[0]:.0f} to {before[2]:.0f} % in 80 of 100 of all, {after[0]:.0f} to {after[2]:.0f} % "
        "of those that stay."
    )
