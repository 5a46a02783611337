"""An absence: the days until each thing happens, and the chance that all is well day by day, with and without preparing."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from terralab.answers.away.orders import name_of, span_words
from terralab.answers.away.preparations import Prep
from terralab.answers.away.words import thing_words
from terralab.answers.common.answer import Answer
from terralab.answers.common.limits import OUT_OF_BAND
from terralab.errors import TerralabError, quoted
from terralab.quantities import said
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
    legend_above,
    literal,
    plain_look,
    short,
    write,
)

_ROW_IN, _LEFT_IN, _CURVE_IN = 0.34, 2.6, 1.5
_STROKES = ((0, (5, 2)), (0, (1, 1.5)), (0, (5, 1.5, 1, 1.5)))
_COLOURS = (VERMILLION, GREEN, PURPLE)
_CURVES = (
    ("unharmed", "Not dangerous, and nothing run dry"),
    ("as with you there", "Air no worse than while you are there"),
)


@plain_look
def away_picture(answer: Answer) -> Picture:
    """Draw an answer of `tl.away`: bars of the days until each thing happens, and the chance day by day; 1200 pixels wide.

    A bar holds 80 of 100 boxes that fit the description, the dot its middle; an arrow leads past the days that were run.
    Raises TerralabError for anything else. `picture.alt` says the same in words.
    """
    if not isinstance(answer, Answer) or answer.question != "away":
        raise TerralabError(f"A picture of an absence needs an answer of tl.away(box); {quoted(answer)} was given.")
    d = answer.details
    things = shown(answer)
    prepared = d["days_until_prepared"] != d["days_until"]
    tall = _ROW_IN * max(1, len(things))
    top = 1.35
    figure = Picture(top + tall + 2 * (_CURVE_IN + 0.95) + 0.6)
    name = answer.record.box.name
    write(figure, 0.15, 0.13, short(f"{name}: {d['days']} days alone", 60), TITLE_PT, weight="bold")
    hint = "Bars: 80 of 100 boxes that fit the description, dots their middle. Computed, not measured."
    if prepared:
        hint += "\nBlack: nothing prepared. Blue: with what is recommended, where that differs."
    write(figure, 0.15, 0.46, hint, TEXT_PT)
    axes = _wide(figure, top, tall, "Days until it happens")
    for row, thing in enumerate(things):
        before, after = d["days_until"][thing], d["days_until_prepared"][thing]
        apart = before != after
        _bar(axes, row - (0.17 if apart else 0.0), before, d["run_days"], BLACK, "o")
        if apart:
            _bar(axes, row + 0.17, after, d["run_days"], BLUE, "D")
    axes.axvline(d["days"], color=LINE, linestyle="--", linewidth=1.0)
    axes.set_xlim(0.0, d["run_days"] * 1.04)
    axes.set_ylim(max(1, len(things)) - 0.5, -0.5)
    axes.set_yticks(
        range(len(things)), [literal(short(said(_name(one), answer.us), 34)) for one in things], fontsize=TEXT_PT
    )
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("days since leaving; the dashed line is your return", fontsize=TEXT_PT)
    for number, (key, heading) in enumerate(_CURVES):
        _curves(figure, top + tall + 0.95 + number * (_CURVE_IN + 0.95), key, heading, answer)
    figure.alt = alt_text(answer)
    return figure


def shown(answer: Answer) -> list[str]:
    """The things that get a bar: what happens in some of the boxes, and always the soil, the dish and the tanks."""
    return [
        name
        for name, span in answer.details["days_until"].items()
        if not name.startswith("worse: ")
        and (span[0] is not None or (name not in OUT_OF_BAND and "danger" not in name))
    ]


def _name(thing: str) -> str:
    return f"air {thing} for hours" if thing in OUT_OF_BAND else thing_words(thing)


def _wide(figure: Picture, top: float, tall: float, heading: str) -> Axes:
    axes = add_panel(figure, top, tall, heading)
    place = axes.get_position()
    axes.set_position((_LEFT_IN / WIDTH_IN, place.y0, (WIDTH_IN - _LEFT_IN - 0.4) / WIDTH_IN, place.height))
    return axes


def _bar(axes: Axes, row: float, span: Any, run_days: float, colour: str, mark: str) -> None:
    low, middle, high = span
    if low is None:
        axes.text(run_days, row, f"not in {run_days:g} days", ha="right", va="center", fontsize=TEXT_PT, color=colour)
        return
    end = run_days if high is None else high
    axes.plot([low, end], [row, row], color=colour, linewidth=4.0, solid_capstyle="butt", alpha=0.75)
    if high is None:
        axes.plot([end], [row], marker=">", color=colour, markersize=7.0, clip_on=False)
    if middle is not None:
        axes.plot([middle], [row], marker=mark, color=colour, markeredgecolor="white", markersize=7.0)


def _curves(figure: Picture, top: float, key: str, heading: str, answer: Answer) -> None:
    axes = add_panel(figure, top, _CURVE_IN, heading, "of 100 boxes")
    courses = [("nothing prepared", answer.details["by_day"]["as_asked"][key], BLACK, "-")]
    helps = [row for row in answer.table if row["recommended"]]
    if len(helps) > 1:
        courses += [
            (name_of(Prep(row["name"])), row["by_day"][key], colour, stroke)
            for row, colour, stroke in zip(helps, _COLOURS, _STROKES, strict=False)
        ]
    if helps:
        name = "all that is recommended" if len(helps) > 1 else name_of(Prep(helps[0]["name"]))
        courses.append((name, answer.details["by_day"]["prepared"][key], BLUE, (0, (3, 1))))
    for name, course, colour, stroke in courses:
        axes.plot(
            range(len(course)), [100.0 * x for x in course], color=colour, linestyle=stroke, linewidth=2.0, label=name
        )
    axes.axhline(90.0, color=ORANGE, linewidth=1.0, linestyle=":")
    axes.set_ylim(0.0, 104.0)
    axes.set_xlim(0.0, answer.details["days"])
    axes.set_yticks([0, 50, 90, 100])
    axes.set_xlabel("days since leaving", fontsize=TEXT_PT)
    if len(courses) > 1:
        legend_above(axes)


def alt_text(answer: Answer) -> str:
    """What the picture shows, in words."""
    d = answer.details
    lines = [f"{answer.record.box.name} alone for {d['days']} days."]
    for thing in shown(answer):
        before, after = d["days_until"][thing], d["days_until_prepared"][thing]
        then = "" if before == after else f", prepared {span_words(after, d['run_days'])}"
        lines.append(f"{_name(thing)}: {span_words(before, d['run_days'])}{then}.")
    for key, heading in _CURVES:
        ends = [d["by_day"][which][key][-1] for which in ("as_asked", "prepared")]
        lines.append(f"{heading} to the end: {100 * ends[0]:.0f} of 100 boxes, prepared {100 * ends[1]:.0f}.")
    return said(" ".join(lines), answer.us)
