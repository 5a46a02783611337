"""The strips that show what runs when: one row a device, and one for all pours, sprays or siphonings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch

from terralab.answers.common.words import as_typed
from terralab.describe.routine import Door, Pour, Routine, Spray
from terralab.quantities import said
from terralab.show.figures.days import DAY_S, Span, shade_nights
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    ORANGE,
    PURPLE,
    SKY,
    TEXT_PT,
    VERMILLION,
    legend_above,
    literal,
    short,
)
from terralab.simulation.record import Record

MOST_ROWS = 16  # more strips would be too thin to read
_LONGEST_NAME = 19
_LEAST_SHARE = 0.003  # of the width: a pour lasts minutes and would vanish in a week


@dataclass(frozen=True)
class Strip:
    """One row: its name (amounts as marks, see `terralab.quantities`), colour, (start, end) times in days, and whether a thermostat has the last word."""

    name: str
    colour: str
    periods: tuple[tuple[float, float], ...]
    may: bool = False


AnyStrip = TypeVar("AnyStrip", bound=Strip)


def strips_of(record: Record, span: Span) -> list[Strip]:
    """The rows of a record's routine, in the order water, light, heat, air, siphon."""
    routine = record.box.routine.in_season(record.season)
    out = [
        *_by_hand("poured", BLUE, [p for p in routine.pours if p.into == "soil"], span),
        *_by_hand("poured below", BLUE, [p for p in routine.pours if p.into != "soil"], span),
        *_by_hand("sprayed", SKY, list(routine.sprays), span),
        *_devices(routine, span),
    ]
    for door in routine.doors:
        opened = _times(door, door.open_min, span)
        if opened:
            out.append(Strip(f"{door.name} open", LINE, opened))
    if routine.siphons:
        # A siphon that watches the gap follows no clock, so the deeds are read from the record.
        rows = span.rows(record)
        times = record.times_s[rows[record.moved_kg("siphoned")[rows] > 0.0]] / DAY_S
        out.append(Strip("siphoned" if times.size else "siphoned (never)", BLACK, tuple((t, t) for t in times)))
    return out


def draw_strips(axes: Axes, strips: list[Strip], span: Span, us: bool) -> None:
    """Draw the rows over the days of `span`, with what hatched ones mean."""
    shade_nights(axes, span)
    shown = draw_rows(axes, strips, MOST_ROWS, _LEAST_SHARE * (span.last - span.first), us)
    if any(strip.may for strip in shown):
        keys = [
            Patch(facecolor=LINE, edgecolor=LINE, label="runs"),
            Patch(facecolor="white", edgecolor=LINE, hatch="/////", label="allowed by its timer, runs when needed"),
        ]
        legend_above(axes, handles=keys)


def draw_rows(axes: Axes, strips: Sequence[AnyStrip], most: int, least: float, us: bool) -> list[AnyStrip]:
    """Draw strips as rows, the first on top and each at least `least` wide, and give those that are drawn.

    Of more than `most` the last are left out and counted.
    """
    shown = list(strips if len(strips) <= most else strips[: most - 1])
    for row, strip in enumerate(shown):
        bars = [(start, max(least, end - start)) for start, end in strip.periods]
        looks = {"facecolor": "white", "hatch": "/////"} if strip.may else {"facecolor": strip.colour}
        axes.broken_barh(bars, (row - 0.33, 0.66), edgecolor=strip.colour, linewidth=0.5, zorder=2, **looks)
    names = [literal(short(said(strip.name, us), _LONGEST_NAME)) for strip in shown]
    if len(shown) < len(strips):
        names.append(f"{len(strips) - len(shown)} more, not shown")
    axes.set_yticks(range(len(names)), names, fontsize=TEXT_PT)
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(max(1, len(names)) - 0.5, -0.5)
    axes.spines["left"].set_visible(False)
    if not strips:
        words = "nothing is poured, sprayed or switched"
        axes.text(0.5, 0.5, words, transform=axes.transAxes, ha="center", va="center", fontsize=TEXT_PT)
    return shown


def in_words(strips: list[Strip], us: bool) -> str:
    """What the rows are, for the picture's words."""
    if not strips:
        return "Nothing is poured, sprayed or switched."
    names = [said(strip.name, us) + (" (when needed)" if strip.may else "") for strip in strips[:MOST_ROWS]]
    more = f" and {len(strips) - MOST_ROWS} more" if len(strips) > MOST_ROWS else ""
    return f"Strips show when things happen: {', '.join(names)}{more}."


def _by_hand(word: str, colour: str, waters: list[Pour] | list[Spray], span: Span) -> list[Strip]:
    if not waters:
        return []
    amounts = {water.amount_ml for water in waters}
    name = f"{word} {as_typed(amounts.pop())}" if len(amounts) == 1 else word
    periods = [period for water in waters for period in _times(water, water.over_min, span)]
    return [Strip(name, colour, tuple(sorted(periods)))]


def _times(deed: Pour | Spray | Door, minutes: float, span: Span) -> tuple[tuple[float, float], ...]:
    """When something that the keeper does on some days goes on, in days."""
    starts = np.arange(0, int(np.ceil(span.last)), deed.every_days) + deed.time_s / DAY_S
    return _within([(start, start + 60.0 * minutes / DAY_S) for start in starts], span)


def _devices(routine: Routine, span: Span) -> list[Strip]:
    out = []
    whole = range(int(np.floor(span.first)), int(np.ceil(span.last)))
    for kind, colour in (("mists", PURPLE), ("lamps", ORANGE), ("heaters", VERMILLION), ("fans", GREEN)):
        for device in getattr(routine, kind):
            daily = device.timer.periods_s()
            periods = [(day + on / DAY_S, day + off / DAY_S) for day in whole for on, off in daily]
            out.append(Strip(device.name, colour, _within(periods, span), device.control is not None))
    return out


def _within(periods: list[tuple[float, float]], span: Span) -> tuple[tuple[float, float], ...]:
    cut = sorted((max(span.first, start), min(span.last, end)) for start, end in periods)
    return tuple((start, end) for start, end in cut if start < end)
