"""The forecast as fans of likely courses: soil water and suction by depth, the air day by day, the water below, with their limits."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, LogLocator, MaxNLocator, MultipleLocator, NullLocator

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import DRY_HEAD_M, TOP_CM, kept_dry
from terralab.answers.common.drying import WILTING as WILTING_SHARE
from terralab.answers.common.ensemble import EnsembleResults
from terralab.answers.common.humidity_target import target_of
from terralab.answers.common.statement import Kind
from terralab.answers.common.words import ml
from terralab.answers.forecast.course import MESH, TOP, WILTING, depths_of, fan
from terralab.answers.forecast.forecast import WITH, ran_times
from terralab.describe.seasons import room_in_words, room_of
from terralab.describe.wanted import temperatures_wanted
from terralab.errors import TerralabError, quoted
from terralab.show.figures.ground import edge_name
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    ORANGE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    Picture,
    add_panel,
    legend_above,
    plain_look,
    short,
    write,
)
from terralab.show.figures.wanted import draw_wanted, wanted_key

THIN = 5  # single draws that are drawn, from the one that ends driest to the one that ends wettest
WET_M = 0.01  # of suction: with less the soil is as good as full of water
_TOP_IN, _BETWEEN_IN, _BOTTOM_IN = 1.15, 0.45, 0.75
_HEIGHT_IN = {"soil": 2.0, "suction": 1.8, "humidity": 1.5, "warmth": 1.3, "level": 1.4}
#: Colour and stroke of each depth.
_LOOKS = {
    "whole": (BLUE, "-"), "top": (BLUE, "-"), "middle": (ORANGE, (0, (5, 2))), "bottom": (GREEN, (0, (6, 1.5, 1, 1.5))),
    "roots": (GREEN, (0, (5, 2))), "day": (ORANGE, "-"), "night": (BLUE, (0, (5, 2))), "gap": (BLUE, "-"),
}  # fmt: skip
_POURED = (0, (1, 1.5))  # the stroke of the course with the recommended pour, which is black


@plain_look
def forecast_picture(answer: Answer) -> Picture:
    """Draw a forecast and give the picture, 1200 pixels wide; `answer` is that of `tl.forecast`.

    Every band holds 80 of 100 draws of what is uncertain, the strong line in it is their middle, thin lines are single
    draws, the black dots the middle with the recommended pour. Limits are black dashes; a red bar on one holds 80 of 100 draws
    of the day on which it is passed. `picture.alt` says the same in words. Raises TerralabError for another answer.
    """
    if not isinstance(answer, Answer) or answer.question != "forecast":
        raise TerralabError(f"A picture of a forecast needs the answer of tl.forecast; given {quoted(answer)}.")
    parts = [name for name in _HEIGHT_IN if name != "level" or answer.record.has_reservoir]
    heights = [_HEIGHT_IN[name] for name in parts]
    figure = Picture(_TOP_IN + sum(heights) + _BETWEEN_IN * (len(parts) - 1) + _BOTTOM_IN)
    _title(figure, answer)
    top, panels = _TOP_IN, []
    units = {"m": Scales(answer.us).word("m"), "C": Scales(answer.us).word("°C")}
    for name, height in zip(parts, heights, strict=True):
        heading, unit, draw = _PANELS[name]
        panels.append(add_panel(figure, top, height, heading, unit.format(**units)))
        draw(panels[-1], answer)
        top += height + _BETWEEN_IN
    days = answer.details["days"]
    for axes in panels:
        axes.set_xlim(0.0, days)
        axes.xaxis.set_major_locator(MultipleLocator(_step(days)))
        axes.set_xticklabels([]) if axes is not panels[-1] else None
        axes.grid(axis="x", color=LINE, linewidth=0.4, alpha=0.4)
    began = answer.details["begins_day"]
    start = "now" if began == 0.0 else f"the end of the record (day {began:g} of its course)"
    panels[-1].set_xlabel(
        f"days from {start}\nband: 80 of 100 draws of what is uncertain; thin lines: single draws", fontsize=TEXT_PT
    )
    figure.alt = alt_text(answer)
    return figure


def _step(days: int) -> int:
    """Days between two marks of the axis: whole weeks where there are two or more."""
    return max(1, -(-days // 8)) if days < 14 else 7 * max(1, -(-days // 56))


def alt_text(answer: Answer) -> str:
    """What the picture shows, in words: what comes when, and where the courses end."""
    record, last, units = answer.record, answer.table[-1], Scales(answer.us)
    comes = [line for one in answer.of_kind(Kind.DO)[1:2] for line in one.under]
    text = [f"{record.box.name}, the next {answer.details['days']} days as fans of likely courses, {_going(answer)}"]
    text.append("Limits: " + "; ".join(map(units.said, comes)))
    for name in depths_of(record):
        low, middle, high = last[f"water {name}"]
        text.append(f"Water in the soil at the end, {name}: {middle:.0f} % ({low:.0f} to {high:.0f})")
    for part in ("day", "night"):
        (low, middle, high), (cool, mean, warm) = last[f"rh {part}"], last[f"C {part}"]
        text.append(
            f"By {part} {middle:.0f} % ({low:.0f} to {high:.0f}) at {units.words('°C', '.1f', mean)} ({units.words('°C', '.1f', cool, warm)})"
        )
    if record.has_reservoir:
        low, middle, high = last["gap"]
        text.append(
            f"Water below: {units.words('cm', '.1f', middle)} ({units.words('cm', '.1f', low, high)}) under the {edge_name(record)}"
        )
    return ". ".join(text) + "."


def _going(answer: Answer) -> str:
    """Which course it is: the routine alone, or the routine and the events that were given."""
    return "with what is to happen" if answer.details["events"] else "going on as now"


def _title(figure: Picture, answer: Answer) -> None:
    box, season, units = answer.record.box, answer.details["season"], Scales(answer.us)
    pour = answer.details["pour"]
    write(figure, 0.15, 0.13, short(f"{box.name}: {_going(answer)}", 60), TITLE_PT, weight="bold")
    room = units.said(room_in_words(room_of(box, season)))
    named = "now" if season == "now" else f"in {season}"
    write(figure, 0.15, 0.4, f"The room {named}: {room}. Computed, not measured.", TEXT_PT, color=LINE)
    dots = (
        "The routine pours what is recommended."
        if pour["as now"]
        else f"Black dots: the middle with the recommended pour, {units.said(ml(pour['ml']))} a day."
    )
    write(figure, 0.15, 0.6, dots, TEXT_PT, color=LINE)


def _fan(axes: Axes, answer: Answer, name: str, look: str, label: str) -> None:
    """One fan: the band of the draws, their middle, a few of them, and the middle with the recommended pour."""
    sample: EnsembleResults = answer.sample
    time = _time(sample, name)
    turn = _turn(answer, name)
    low, middle, high = (turn(course) for course in fan(sample, name))
    colour, stroke = _LOOKS[look]
    axes.fill_between(time, low, high, facecolor=colour, alpha=0.25, linewidth=0.0, zorder=2)
    for draw in _single(sample):
        axes.plot(time, turn(sample.results[name][draw]), color=colour, linewidth=0.5, alpha=0.55, zorder=3)
    axes.plot(time, middle, color=colour, linestyle=stroke, linewidth=1.8, zorder=5, label=label)
    if not answer.details["pour"]["as now"]:
        axes.plot(time, turn(fan(sample, WITH + name)[1]), color=BLACK, linestyle=_POURED, linewidth=1.5, zorder=6)


#: The unit of each kind of course that the two systems write differently.
_UNIT_OF = {"C": "°C", "gap": "cm", "suction": "m"}


def _turn(answer: Answer, name: str) -> Callable[[Any], Any]:
    """The way from a course of the sample onto its axis."""
    unit = _UNIT_OF.get(name.split()[0], "")
    return lambda values: Scales(answer.us).of(unit, values)


def _time(sample: EnsembleResults, name: str) -> np.ndarray:
    times, middles = ran_times(sample)
    return middles if name.split()[0] in ("rh", "C") else times


def _single(sample: EnsembleResults) -> np.ndarray:
    """A few draws, evenly from the driest end to the wettest."""
    ends = sample.results["litres"]
    order = np.argsort(np.where(np.isnan(ends), np.inf, ends), kind="stable")[: np.count_nonzero(np.isfinite(ends))]
    return order[np.unique(np.linspace(0, len(order) - 1, min(THIN, len(order))).astype(int))]


def _limit(axes: Axes, at: float, name: str, span: Any = None, days: int = 0) -> None:
    """A limit with its name on the right, and when it is passed as a bar; open to the right where that may be later."""
    axes.axhline(at, color=BLACK, linewidth=1.2, linestyle=(0, (6, 2)), zorder=6)
    axes.annotate(
        name,
        (1.0, at),
        xycoords=axes.get_yaxis_transform(),
        xytext=(4, 0),
        textcoords="offset points",
        va="center",
        fontsize=TEXT_PT,
        annotation_clip=False,
    )
    if span is None or span[0] is None:
        return
    low, middle, high = span
    axes.plot([low, days if high is None else high], [at, at], color=VERMILLION, linewidth=4.0, alpha=0.8, zorder=7)
    if middle is not None:
        axes.plot([middle], [at], marker="o", markersize=6, color=VERMILLION, markeredgecolor=BLACK, zorder=8)


def _soil(axes: Axes, answer: Answer) -> None:
    units = Scales(answer.us)
    for name, span in depths_of(answer.record).items():
        _fan(axes, answer, f"water {name}", name, f"{name}, {units.words('cm', '.0f', *span)}")
    low, high = axes.get_ylim()
    axes.set_ylim(max(0.0, low), min(100.0, high))
    legend_above(axes)


def _suction(axes: Axes, answer: Answer) -> None:
    record, details, units = answer.record, answer.details, Scales(answer.us)
    top = "whole" if "whole" in depths_of(record) else "top"
    axes.set_yscale("log")
    _fan(
        axes, answer, f"suction {top}", top, "whole soil" if top == "whole" else f"top {units.words('cm', 'g', TOP_CM)}"
    )
    limits = [(-DRY_HEAD_M, "dry", None if kept_dry(record.box) else details["limits"][TOP])]
    if record.root_limits_m is not None:
        _fan(axes, answer, "suction roots", "roots", "root zone")
        start, stop = record.root_limits_m
        limits.append((-(stop + WILTING_SHARE * (start - stop)), "wilting", details["limits"].get(WILTING)))
    for at, name, span in limits:
        _limit(axes, units.of("m", at), name, span, details["days"])
    low, high = axes.get_ylim()
    axes.set_ylim(max(low / 1.3, units.of("m", WET_M)), max(high, units.of("m", limits[-1][0])) * 1.5)
    axes.yaxis.set_major_locator(LogLocator(numticks=6))
    axes.yaxis.set_minor_locator(NullLocator())
    axes.yaxis.set_major_formatter(FuncFormatter(lambda x, _: f"{x:g}"))
    legend_above(axes)


def _humidity(axes: Axes, answer: Answer) -> None:
    target = target_of(answer.record.box)[0]
    if target is not None:
        _band(axes, answer, (target.day_low, target.day_high), "day")
        _band(axes, answer, (target.night_low, target.night_high), "night")
    for part in ("day", "night"):
        _fan(axes, answer, f"rh {part}", part, part)
    low, _ = axes.get_ylim()
    axes.set_ylim(max(0.0, 5.0 * np.floor(low / 5.0)), 102.0)
    _legend(axes, target is not None)


def _warmth(axes: Axes, answer: Answer) -> None:
    wanted = temperatures_wanted(answer.record.box)
    if wanted is not None:
        turn = _turn(answer, "C")
        _band(axes, answer, (turn(wanted.day_low), turn(wanted.day_high)), "day")
        _band(axes, answer, (turn(wanted.night_low), turn(wanted.night_high)), "night")
    for part in ("day", "night"):
        _fan(axes, answer, f"C {part}", part, part)
    low, high = axes.get_ylim()
    axes.set_ylim(np.floor(low - 0.5), np.ceil(high + 0.5))
    _legend(axes, wanted is not None)


def _band(axes: Axes, answer: Answer, ends: tuple[float, float], part: str) -> None:
    """What is wanted by day or by night, over the whole time."""
    draw_wanted(axes, 0.0, answer.details["days"], *ends, part)


def _legend(axes: Axes, with_wanted: bool) -> None:
    keys = [wanted_key(part) for part in ("day", "night")] if with_wanted else []
    legend_above(axes, handles=[*axes.get_legend_handles_labels()[0], *keys])


def _level(axes: Axes, answer: Answer) -> None:
    record, units = answer.record, Scales(answer.us)
    _fan(axes, answer, "gap", "gap", "water below")
    _limit(axes, 0.0, edge_name(record), answer.details["limits"].get(MESH), answer.details["days"])
    axes.set_ylabel(f"{units.word('cm')} below\nthe {edge_name(record)}", fontsize=TEXT_PT)
    floor = units.of("cm", record.box.enclosure.drainage.depth_cm)
    low = units.of("cm", float(np.nanmin(answer.sample.results["gap"])))
    axes.set_ylim(floor, min(-0.08 * floor, low - 0.05 * floor))
    axes.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))


_PANELS = {
    "soil": ("Water in the soil", "% of volume", _soil),
    "suction": ("Suction", "{m} of water", _suction),
    "humidity": ("Humidity, means", "% RH", _humidity),
    "warmth": ("Temperature, means", "{C}", _warmth),
    "level": ("Water in the drainage layer", "", _level),
}
