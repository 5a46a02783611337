"""Does the water below make the air damp? Humidity, warmth and what rises, against the gap under the mesh."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from terralab.answers.drainage.gap import GapAndHumidity, GapRow
from terralab.errors import TerralabError, quoted
from terralab.quantities import quantity
from terralab.quantities import said as in_units
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLUE,
    LINE,
    NIGHT,
    ORANGE,
    SKY,
    TEXT_PT,
    TITLE_PT,
    Picture,
    add_panel,
    legend_above,
    plain_look,
    short,
    write,
)
from terralab.wording import lines

SAME_POINTS = 1.0  # a smaller difference no household hygrometer shows
#: rows, words, colour, stroke, mark
_LOOKS = (
    ("given", "watered as described", BLUE, "-", "o"),
    ("nothing_given", "nothing poured or sprayed", ORANGE, "--", "s"),
)
_TOP_IN, _SPACE_IN = 1.3, 0.5
_HIGH_IN = (2.0, 0.85, 1.25)


@plain_look
def gap_picture(found: GapAndHumidity) -> Picture:
    """Draw what `gap_and_humidity` found, and give the picture, 1200 pixels wide: near water is on the left.

    Humidity stands on the whole scale from 0 to 100 %, beside that of the room and of the same box without a layer; below
    it the temperature of the air, and what rises into the soil. `picture.alt` says the same in words. Raises
    TerralabError for anything else.
    """
    if not isinstance(found, GapAndHumidity):
        raise TerralabError(f"A picture of gaps needs what gap_and_humidity(box) gives; {quoted(found)} was given.")
    scale = Scales(found.us)
    height = _TOP_IN + sum(_HIGH_IN) + 2 * _SPACE_IN + 0.95
    figure = Picture(height)
    damp, warm, rises = _panels(figure, scale)
    for key, words, colour, stroke, mark in _LOOKS:
        rows = getattr(found, key)
        look = {"color": colour, "linestyle": stroke, "marker": mark, "markersize": 5, "linewidth": 1.8}
        for axes, values in (
            (damp, [row.humidity for row in rows]),
            (warm, scale.of("°C", [row.air_c for row in rows])),
            (rises, scale.of("ml", [_up(row) for row in rows])),
        ):
            axes.plot(_places(rows[:-1], scale), values[:-1], label=words, **look)
            axes.plot([_aside(found, scale)], values[-1:], clip_on=False, **look)
    _frame(damp, warm, rises, found, scale)
    write(
        figure, 0.15, 0.13, f"{short(found.name, 40)}: does the water below make the air damp?", TITLE_PT, weight="bold"
    )
    said = in_units(gap_words(found), found.us)
    write(figure, 0.15, 0.44, "\n".join(lines(said, 112)), TEXT_PT, color=LINE)
    figure.alt = in_units(alt_text(found), found.us)
    return figure


def _panels(figure: Picture, scale: Scales) -> list[Axes]:
    names = ("Humidity of the air", "Its temperature", "What rises to the soil")
    units = ("relative humidity, %", scale.word("°C"), f"{scale.word('ml')} a day")
    top, made = _TOP_IN, []
    for name, unit, high in zip(names, units, _HIGH_IN, strict=True):
        made.append(add_panel(figure, top, high, name, unit))
        top += high + _SPACE_IN
    return made


def _places(rows: Sequence[GapRow], scale: Scales) -> Any:
    return scale.of("cm", [row.gap_cm for row in rows])


def _aside(found: GapAndHumidity, scale: Scales) -> float:
    """Where the box without a layer stands: beside the largest gap, as it has none."""
    return float(scale.of("cm", 1.17 * found.given[0].gap_cm))


def _frame(damp: Axes, warm: Axes, rises: Axes, found: GapAndHumidity, scale: Scales) -> None:
    """Scales, the room, and how far the stones lift water."""
    aside, widest = _aside(found, scale), float(scale.of("cm", found.given[0].gap_cm))
    humidity, room_c = found.room
    temperatures = [row.air_c for row in (*found.given, *found.nothing_given)] + [room_c]
    damp.set_ylim(0.0, 100.0)
    warm.set_ylim(*scale.of("°C", [min(temperatures) - 2.0, max(temperatures) + 2.0]))
    rises.set_ylim(0.0, float(scale.of("ml", max(10.0, 1.15 * max(map(_up, (*found.given, *found.nothing_given)))))))
    for axes, level in ((damp, humidity), (warm, float(scale.of("°C", room_c)))):
        axes.axhline(level, color=LINE, linewidth=1.2, linestyle=(0, (1, 1.5)))
        axes.annotate("the room", (1.0, level), (5, 0), xycoords=("axes fraction", "data"), textcoords="offset points",
                      fontsize=TEXT_PT, ha="left", va="center", color=LINE)  # fmt: skip
    for axes in (damp, warm, rises):
        axes.set_xlim(-0.03 * aside, 1.04 * aside)
        axes.axvspan(0.0, float(scale.of("cm", found.reach_cm)), facecolor=SKY, alpha=0.3, linewidth=0, zorder=0)
        axes.axvline(0.5 * (widest + aside), color=NIGHT, linewidth=1.5)
        ticks = MaxNLocator(6, steps=[1, 2, 5, 10]).tick_values(0.0, widest)
        ticks = [tick for tick in ticks if 0.0 <= tick <= widest + 1e-9]
        words = [f"{tick:g}" for tick in ticks] + ["no layer"]
        axes.set_xticks([*ticks, aside], words if axes is rises else [""] * len(words))
    rises.set_xlabel(
        f"gap between mesh and water on the first day, {scale.word('cm')} (0: it touches; blue: the stones lift it up)",
        fontsize=TEXT_PT,
    )
    legend_above(damp)


def _up(row: GapRow) -> float:
    """What rises into the soil [ml a day]; a trickle of vapour downwards is none."""
    return max(0.0, row.vapour_ml_per_day + row.contact_ml_per_day)


def gap_words(found: GapAndHumidity) -> str:
    """The finding in sentences with marks."""
    out = [f"{found.days} days after the water was set; means of the last week."]
    for key, words in (("given", "With the routine"), ("nothing_given", "With nothing poured or sprayed")):
        rows = [row for row in getattr(found, key) if row.gap_cm is not None]
        seen = [row.humidity for row in rows]
        low, high = (quantity("°C", ".1f", end([row.air_c for row in rows])) for end in (min, max))
        warm = f"at {low}" if low == high else f"at {low} to {high}"
        if found.spread(key) <= SAME_POINTS:
            out.append(
                f"{words} it is {sum(seen) / len(seen):.0f} % at every gap, within {_points(found.spread(key))}, {warm}."
            )
        else:
            why = "" if rows[0].top_moist else ": the top of the soil is dry"
            out.append(f"{words} it goes from {seen[0]:.0f} % far off to {seen[-1]:.0f} % at the mesh, {warm}{why}.")
    return " ".join(out)


def _points(spread: float) -> str:
    return "a tenth of a point" if spread < 0.15 else f"{spread:.1f} points"


def alt_text(found: GapAndHumidity) -> str:
    """What the picture shows, in words with marks."""
    parts = [
        f"{short(found.name, 40)}. Humidity, temperature and what rises to the soil, against the gap under the mesh."
    ]
    parts.append(gap_words(found))
    for key, words, *_ in _LOOKS:
        *rows, bare = getattr(found, key)
        far, near = rows[0], rows[-1]
        parts.append(
            f"{words.capitalize()}: {quantity('ml', '.0f', _up(far))} a day rise at a gap of {quantity('cm', 'g', far.gap_cm)}, "
            f"{quantity('ml', '.0f', _up(near))} at {quantity('cm', 'g', near.gap_cm)}; without a layer the humidity is "
            f"{bare.humidity:.0f} % at {quantity('°C', '.1f', bare.air_c)}."
        )
    parts.append(f"The room: {found.room[0]:.0f} % at {quantity('°C', '.1f', found.room[1])}.")
    return " ".join(parts)


__all__ = ["SAME_POINTS", "gap_picture"]
