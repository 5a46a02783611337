"""A day of the recommended fan schedule: humidity with what is wanted, air changes, water on leaves and front pane."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.answers.fans.measure import watering_ends
from terralab.describe.seasons import box_in
from terralab.show.figures.fans import needs_fan_answer
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    NIGHT,
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
from terralab.simulation.record import Record
from terralab.units import DAY_S, parse

LEAST_RH_SPAN = 30.0


@plain_look
def fan_day(answer: Answer) -> Picture:
    """Draw a day of the chosen schedule: humidity with what is wanted, air changes, water on leaves and front pane.

    It is the last day on which something is sprayed, else the last day.
    """
    record = needs_fan_answer(answer).record
    target = answer.details["target"]
    last = _day_shown(record)
    rows = record.rows(last - 1, last)
    hour = (record.times_s[rows] - DAY_S * (last - 1)) / 3600.0
    figure = Picture(6.6)
    name = answer.details["choice"]
    write(figure, 0.15, 0.13, short(f"A day with {name}", 70), TITLE_PT, weight="bold")
    rh = add_panel(figure, 0.85, 1.6, "Humidity", "%")
    rh.plot(
        hour,
        record.humidity_shown[rows],
        color=BLUE,
        linewidth=1.4,
        label="air in the box",
        zorder=3,
    )
    if target is not None:
        _draw_band(rh, target)
        drawn, _ = rh.get_legend_handles_labels()
        legend_above(rh, handles=[*drawn, *(wanted_key(part) for part in ("day", "night"))])
    low, high = rh.get_ylim()
    rh.set_ylim(min(low, high - LEAST_RH_SPAN), min(101.0, high + 1.0))
    air = add_panel(figure, 2.95, 1.3, "Air changes", "an hour")
    air.plot(hour, record.series["air changes per hour"][rows], color=VERMILLION, linewidth=1.2, zorder=3)
    air.set_ylim(bottom=0)
    wet = add_panel(figure, 4.75, 1.3, "Water on surfaces", "g/m²")
    leaves, front = 1000.0 * record.film("leaves")[rows], 1000.0 * record.pane_film("front")[rows]
    wet.plot(hour, leaves, color=GREEN, linewidth=1.4, label="leaves", zorder=3)
    wet.plot(
        hour,
        front,
        color=BLACK,
        linewidth=1.4,
        linestyle=(0, (4, 2)),
        label="front pane",
        zorder=3,
    )
    # at least a fine fogging high, so that what nobody can see does not fill the panel
    wet.set_ylim(0, max(6.0, 1.1 * wet.get_ylim()[1]))
    legend_above(wet)
    for axes in (rh, air, wet):
        axes.set_xlim(0, 24)
        axes.set_xticks(range(0, 25, 3))
        for fan in record.box.routine.in_season(record.season).fans:
            for on, off in fan.timer.periods_s():
                axes.axvspan(on / 3600.0, off / 3600.0, facecolor=NIGHT, edgecolor="none", zorder=0)
    grey = "; grey: a fan may run" if record.box.routine.fans else ""
    wet.set_xlabel(f"hour of the day{grey}", fontsize=TEXT_PT)
    seen = record.humidity_shown[rows]
    figure.alt = (
        f"A day with {name}. Humidity between {seen.min():.0f} and {seen.max():.0f} %. Air changes between "
        f"{record.series['air changes per hour'][rows].min():.1f} and {record.series['air changes per hour'][rows].max():.1f} an hour. "
        f"Water on leaves at most {leaves.max():.0f} g/m², on the front pane at most {front.max():.0f} g/m²."
    )
    return figure


def _day_shown(record: Record) -> int:
    days = int(record.days)
    sprayed = [
        int(end // DAY_S) + 1 for end in watering_ends(box_in(record.box, record.season), max(0, days - 7), days)
    ]
    return max((day for day in sprayed if day <= days), default=days)


def _draw_band(axes: Axes, target: dict[str, Any]) -> None:
    start, end = (parse(target[name], "time of day", "s") / 3600.0 for name in ("day_from", "day_to"))
    day = [(start, end)] if start < end else [(0.0, end), (start, 24.0)]
    night = [(0.0, start), (end, 24.0)] if start < end else [(end, start)]
    for part, spans in (("day", day), ("night", night)):
        for a, b in spans:
            draw_wanted(axes, a, b, target[f"{part}_low"], target[f"{part}_high"], part)
