"""One picture of a run: humidity against the band, temperatures, what runs when, soil water, water below."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from terralab.answers.common.humidity_target import hours, target_of
from terralab.describe.box import HumidityTarget
from terralab.describe.seasons import room_in_words, room_of
from terralab.describe.system import speaks_us
from terralab.describe.wanted import temperatures_wanted
from terralab.quantities import quantity, said
from terralab.show.figures import ground
from terralab.show.figures.days import DAY_S, Span, shade_nights, share_days
from terralab.show.figures.scales import Scales
from terralab.show.figures.settled import Wanted, humidity_wanted, room_c, warmth_wanted
from terralab.show.figures.strips import MOST_ROWS, draw_strips, in_words, strips_of
from terralab.show.figures.style import (
    BLACK,
    BLUE,
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
from terralab.simulation.record import Record

_BETWEEN_IN = 0.42  # between two panels: heading and legend stand there
_TOP_IN, _BOTTOM_IN = 1.15, 0.7
_STRIP_IN = 0.22


@plain_look
def week(record: Record, days: int = 7, target: HumidityTarget | None = None) -> Picture:
    """Draw the last `days` days of a record (all of a shorter one) and give the picture, 1200 pixels wide.

    `days`: a whole number from 1 to 31. `target`: the humidity wanted; None takes that of the box or of its animal
    group. It is in the units of the description. Raises TerralabError for anything else. `picture.alt` says the same in words.
    """
    figure = Picture(height_in(record))
    draw_week(figure, record, days, target)
    figure.alt = alt_text(record, days, target)
    return figure


def alt_text(record: Record, days: int = 7, target: HumidityTarget | None = None) -> str:
    """Say what `week` shows, with the main numbers."""
    span, target = _span_and_band(record, days, target)
    rows = span.rows(record)
    s = record.series
    rh = record.humidity_shown[rows]
    text = [f"{record.box.name}, {span.words}: relative humidity {rh.min():.0f} to {rh.max():.0f} %"]
    if target is not None:
        text[0] += f", wanted {_band_words(target)}. {_hours_inside(record, span, target)}"
    air, surface = s["air temperature C"][rows], record.ground_c[rows]
    room = room_c(record)[rows]
    for zone, _, _, name in _airs(record) if len(record.zone_names) > 1 else ():
        damp, warm = record.zone_humidity(zone)[rows], record.zone_c(zone)[rows]
        where = "In the hide" if zone == "hide" else f"Air {name}"
        text.append(f"{where} {damp.min():.0f} to {damp.max():.0f} % at {_spread(warm)}")
    text.append(f"Air {_spread(air)}, ground {_spread(surface)}, room {_spread(room)}")
    warm = temperatures_wanted(record.box)
    if warm is not None:
        text.append(f"Wanted {warm.in_words()}")
    us = speaks_us(record.box)
    text.append(in_words(strips_of(record, span), us).rstrip("."))
    water = 100.0 * record.soil_water[rows]
    text.append(
        f"Water fills {water.min():.0f} to {water.max():.0f} % of the soil's volume "
        f"({ground.airless_words(record, span)})"
    )
    if record.has_reservoir:
        gap = record.gap_below_mesh_cm[rows]
        shown = quantity("cm", ".1f", gap.min(), gap.max())
        text.append(
            f"Water in the drainage layer: {ground.gap_words(record)} (shown: {shown} below the {ground.edge_name(record)})"
        )
    return said(". ".join(text), us) + "."


def _spread(values: np.ndarray) -> str:
    return quantity("°C", ".1f", values.min(), values.max())


def height_in(record: Record) -> float:
    """Height of the picture [inches]: ten, and more where many devices need a strip."""
    return 10.0 + _STRIP_IN * max(0, _strip_rows(record) - 7)


def draw_week(figure: Picture, record: Record, days: int, target: HumidityTarget | None, top_in: float = 0.0) -> None:
    """Draw the panels onto a figure, `height_in(record)` inches of it from `top_in` inches below its top."""
    span, target = _span_and_band(record, days, target)
    _write_title(figure, record, span, target, top_in)
    strips = strips_of(record, span)
    strips_in = _STRIP_IN * min(MOST_ROWS, max(2, len(strips)))
    parts = 4 if not record.has_reservoir else 5
    free = height_in(record) - _TOP_IN - _BOTTOM_IN - strips_in - _BETWEEN_IN * (parts - 1)
    heights = _heights(free, record.has_reservoir)
    top = top_in + _TOP_IN
    panels = []

    def panel(height: float, heading: str, unit: str = "") -> Axes:
        nonlocal top
        axes = add_panel(figure, top, height, heading, unit)
        top += height + _BETWEEN_IN
        panels.append(axes)
        return axes

    us = speaks_us(record.box)
    scales = Scales(us)
    _draw_humidity(panel(heights[0], "Relative humidity", "% RH"), record, span, target)
    _draw_temperatures(panel(heights[1], "Temperature", scales.word("°C")), record, span, scales)
    draw_strips(panel(strips_in, "What happens when"), strips, span, us)
    soil = f"Water in the soil ({ground.airless_words(record, span)})"
    length = scales.word("cm")
    ground.draw_soil(panel(heights[2], said(soil, us), f"{length} below\nthe surface"), record, span, figure, scales)
    if record.has_reservoir:
        below = f"Water in the drainage layer ({ground.gap_words(record)})"
        axes = panel(heights[3], said(below, us), f"{length} below\nthe {ground.edge_name(record)}")
        ground.draw_gap(axes, record, span, scales)
    share_days(panels, span)


def _span_and_band(record: Record, days: int, target: HumidityTarget | None) -> tuple[Span, HumidityTarget | None]:
    span = Span.of(record, days, target)
    if target is None:
        target, _ = target_of(record.box)
        span = Span.of(record, days, target)
    return span, target


def _strip_rows(record: Record) -> int:
    return min(MOST_ROWS, len(strips_of(record, Span.of(record, 1, None))))


def _heights(free: float, has_reservoir: bool) -> list[float]:
    weights = (1.6, 1.3, 1.5, 0.8) if has_reservoir else (1.6, 1.3, 1.5)
    return [free * weight / sum(weights) for weight in weights]


def _write_title(figure: Picture, record: Record, span: Span, target: HumidityTarget | None, top_in: float) -> None:
    write(figure, 0.15, top_in + 0.13, short(record.box.name, 60), TITLE_PT, weight="bold")
    season = "now" if record.season == "now" else f"in {record.season}"
    room = said(room_in_words(room_of(record.box, record.season)), speaks_us(record.box))
    write(
        figure,
        0.15,
        top_in + 0.4,
        f"{span.words.capitalize()}. The room {season}: {room}. Computed, not measured.",
        TEXT_PT,
        color=LINE,
    )
    if target is None:
        wanted = "No wanted humidity is shown: the description has neither a band nor an animal group."
    else:
        wanted = f"Wanted: {_band_words(target)}. {_hours_inside(record, span, target)}."
    write(figure, 0.15, top_in + 0.6, wanted, TEXT_PT, color=LINE)


def _hours_inside(record: Record, span: Span, target: HumidityTarget) -> str:
    inside = hours(record, record.rows(span.first, span.last), target)
    day = (span.day_to_s - span.day_from_s) / 3600.0 % 24.0
    return (
        f"Reached for {inside['day inside']:.1f} of {day:.3g} h by day, {inside['night inside']:.1f} of "
        f"{24 - day:.3g} h by night"
    )


def _band_words(target: HumidityTarget) -> str:
    return (
        f"{target.day_low:g} to {target.day_high:g} % by day, {target.night_low:g} to {target.night_high:g} % by night"
    )


def _airs(record: Record) -> list[tuple[str, str, str | tuple, str]]:
    """Each air of the box as a line: its name in the record, colour, stroke and label."""
    looks = {
        "whole": (BLUE, "-", "air in the box"),
        "below": (BLUE, "-", "below"),
        "above": (ORANGE, (0, (4, 1.2)), "above"),
        "hide": (BLACK, (0, (6, 1.2, 1, 1.2)), "hide"),
    }
    return [(zone, *looks[zone]) for zone in record.zone_names]


def _draw_humidity(axes: Axes, record: Record, span: Span, target: HumidityTarget | None) -> None:
    rows = span.rows(record)
    time, rh = record.times_s[rows] / DAY_S, record.humidity_shown[rows]
    shade_nights(axes, span)
    low = float(rh.min())
    wanted = humidity_wanted(target)
    if wanted is not None:
        low = min(low, *wanted.day, *wanted.night)
        _corridor(axes, span, wanted, Scales(), "%")
    for zone, colour, stroke, name in _airs(record):
        humidity = record.zone_humidity(zone)[rows]
        low = min(low, float(humidity.min()))
        axes.plot(time, humidity, color=colour, linestyle=stroke, linewidth=1.3, label=name, zorder=5)
    axes.set_ylim(max(0.0, 10.0 * np.floor((low - 3.0) / 10.0)), 102.0)
    named = [] if wanted is None else [wanted_key(part) for part in ("day", "night")]
    legend_above(axes, handles=[*named, *axes.lines])


def _corridor(axes: Axes, span: Span, wanted: Wanted, scales: Scales, unit: str) -> None:
    """What is wanted by day and by night."""
    for part, spans in (("day", span.daytimes()), ("night", span.nights())):
        low, high = scales.of(unit, np.array(getattr(wanted, part), float))
        for start, end in spans:
            draw_wanted(axes, start, end, low, high, part)


def _draw_temperatures(axes: Axes, record: Record, span: Span, scales: Scales) -> None:
    rows = span.rows(record)
    time = record.times_s[rows] / DAY_S
    shade_nights(axes, span)
    lines = (
        *((record.zone_c(zone)[rows], colour, stroke, name) for zone, colour, stroke, name in _airs(record)),
        (record.ground_c[rows], VERMILLION, (0, (5, 2)), "ground"),
        (room_c(record)[rows], BLACK, (0, (1, 1.5)), "room"),
    )
    ends = [float(end) for line in lines for end in (line[0].min(), line[0].max())]
    wanted = warmth_wanted(temperatures_wanted(record.box))
    if wanted is not None:
        ends += [*wanted.day, *wanted.night]
        _corridor(axes, span, wanted, scales, "°C")
    for values, colour, stroke, name in lines:
        axes.plot(time, scales.of("°C", values), color=colour, linestyle=stroke, linewidth=1.3, label=name, zorder=5)
    axes.set_ylim(*(scales.of("°C", end) for end in (np.floor(min(ends) - 0.5), np.ceil(max(ends) + 0.5))))
    legend_above(axes)  # what is wanted is named beside the humidity
