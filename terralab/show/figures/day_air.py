"""Humidity and temperature over one settled day: the line, how sure it is, what is wanted, and a bar of right and wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from terralab.quantities import quantity
from terralab.show.figures.scales import Scales
from terralab.show.figures.settled import Course, SettledDay, Stretch, Wanted, outside, spans_of, stretches
from terralab.show.figures.style import BLACK, BLUE, GREEN, LINE, NIGHT, ORANGE, TEXT_PT, VERMILLION, YELLOW
from terralab.show.figures.wanted import LOOKS, OUTSIDE, draw_outside, draw_wanted, wanted_key

BAND_ALPHA = 0.3
ROOM = {"color": BLACK, "linestyle": (0, (1, 1.6)), "linewidth": 1.1}
#: of each air that is shown beside the one that counts: stroke and label
PARTS = {
    "below": ((0, (5, 1.5)), "below"),
    "above": ((0, (1.5, 1.2)), "above"),
    "hide": ((0, (6, 1.2, 1, 1.2)), "hide"),
}
DARK = ("too damp", "too cold")  # what is blue in the bar


def draw_humidity(axes: Axes, day: SettledDay) -> None:
    """The humidity [%] with its likely band and what is wanted."""
    parts = {name: rh for name, (rh, _) in day.parts.items()}
    _draw(axes, day, day.rh, BLUE, parts, day.rh_wanted, Scales(), "%")
    axes.set_ylim(*humidity_scale(day))


def draw_temperature(axes: Axes, day: SettledDay, scales: Scales) -> None:
    """The temperature of the air with its likely band, what is wanted, and the room's as dots."""
    parts = {name: c for name, (_, c) in day.parts.items()}
    _draw(axes, day, day.c, VERMILLION, parts, day.c_wanted, scales, "°C")
    axes.plot(*edged(day.hours, scales.of("°C", day.room_c)), **ROOM)
    axes.set_ylim(*(scales.of("°C", end) for end in temperature_scale(day)))
    axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10], integer=True))


def humidity_scale(day: SettledDay) -> tuple[float, float]:
    """The ends of the axis of humidity [%]: whole tens, with room for what is wanted and for how sure it is."""
    parts = [rh for rh, _ in day.parts.values()]
    low, high = min(_ends(day.rh, parts, day.rh_wanted)), max(_ends(day.rh, parts, day.rh_wanted, most=True))
    top = 10.0 * np.ceil((high + 2.0) / 10.0)
    return max(0.0, 10.0 * np.floor((low - 2.0) / 10.0)), top if top < 100.0 else 102.0


def temperature_scale(day: SettledDay) -> tuple[float, float]:
    """The ends of the axis of temperature [C]: whole even degrees."""
    series = [c for _, c in day.parts.values()]
    low = min(*_ends(day.c, series, day.c_wanted), float(day.room_c.min()))
    high = max(*_ends(day.c, series, day.c_wanted, most=True), float(day.room_c.max()))
    return 2.0 * np.floor((low - 0.5) / 2.0), 2.0 * np.ceil((high + 0.5) / 2.0)


def _ends(course: Course, more: list[np.ndarray], wanted: Wanted | None, most: bool = False) -> list[float]:
    pick = np.max if most else np.min
    ends = [course.values, *more, *([course.high if most else course.low] if course.low is not None else [])]
    found = [float(pick(one)) for one in ends]
    return found + ([wanted.day[most], wanted.night[most]] if wanted is not None else [found[0]])


def _draw(
    axes: Axes,
    day: SettledDay,
    course: Course,
    colour: str,
    parts: dict,
    wanted: Wanted | None,
    scales: Scales,
    unit: str,
) -> None:
    turn = lambda values: scales.of(unit, values)  # noqa: E731
    shade_night(axes, day.day_h)
    if wanted is not None:
        for part, spans in spans_of(day.day_h).items():
            for start, end in spans:
                draw_wanted(axes, start, end, *turn(np.array(getattr(wanted, part), float)), part)
    if course.low is not None:
        low, high = band_at(day.hours, course)
        axes.fill_between(
            *edged(day.hours, turn(low), turn(high)), facecolor=colour, alpha=BAND_ALPHA, linewidth=0, zorder=2
        )
    for name, values in parts.items():
        axes.plot(*edged(day.hours, turn(values)), color=LINE, linestyle=PARTS[name][0], linewidth=0.9, zorder=3)
    if wanted is not None:
        low, high = wanted.ends(day.by_day)
        missed = outside(course.values, low, high, wanted.near)
        draw_outside(axes, *edged(day.hours, turn(course.values), turn(low), turn(high), *missed))
    axes.plot(*edged(day.hours, turn(course.values)), color=colour, linewidth=2.2, zorder=5)
    clock_axis(axes)


def band_at(hours: np.ndarray, course: Course) -> tuple[np.ndarray, np.ndarray]:
    """The likely band at finer hours; what happens within an hour on the line itself lies inside it."""
    low, high = (np.interp(hours, course.band_hours, end, period=24.0) for end in (course.low, course.high))
    return np.minimum(low, course.values), np.maximum(high, course.values)


def edged(hours: np.ndarray, *values: np.ndarray) -> tuple[np.ndarray, ...]:
    """The same from midnight on: the day before was like it."""
    if not len(hours) or hours[-1] < 24.0 - 1e-6:
        return hours, *values
    return np.concatenate([[0.0], hours]), *(np.concatenate([one[-1:], one]) for one in values)


def shade_night(axes: Axes, day_h: tuple[float, float]) -> None:
    """Make the night grey."""
    for start, end in spans_of(day_h)["night"]:
        axes.axvspan(start, end, facecolor=NIGHT, edgecolor="none", zorder=0)


def clock_axis(axes: Axes, named: bool = False) -> None:
    """The hours of the day from midnight to midnight; `named`: write them."""
    axes.set_xlim(0.0, 24.0)
    axes.set_xticks(range(0, 25, 3))
    axes.set_xticklabels([f"{hour:02d}:00" for hour in range(0, 25, 3)] if named else [])
    axes.tick_params(axis="x", labelsize=TEXT_PT, length=3)


def draw_bar(axes: Axes, found: list[Stretch]) -> None:
    """A bar under the course: when it is as wanted, and when it is not and in which way."""
    axes.set_xlim(0.0, 24.0)
    axes.set_ylim(0.0, 1.0)
    axes.set_axis_off()
    for one in found:
        looks: dict[str, Any] = (
            {"facecolor": "white" if one.quiet else to_rgba(YELLOW if one.nearly else GREEN, 0.25), "edgecolor": LINE}
            if not one.word
            else {"facecolor": ORANGE if one.word in ("too dry", "too hot") else BLUE, "edgecolor": BLACK}
        )
        axes.axvspan(one.start, one.end, linewidth=0.8, **looks)
        _write_in(axes, one)
    axes.text(-0.4, 0.46, hours_words(found), ha="right", va="center", fontsize=TEXT_PT, weight="bold")


def _write_in(axes: Axes, one: Stretch) -> None:
    """Write the longest words that fit into a stretch of the bar, if any."""
    looks = {"weight": "bold" if one.word else "normal", "color": "white" if one.word in DARK else BLACK}
    held = axes.text(0.5 * (one.start + one.end), 0.46, "", ha="center", va="center", fontsize=TEXT_PT, **looks)
    room = (one.end - one.start) / 24.0 * axes.get_window_extent().width - 4.0
    for words in (one.words, one.word, ""):
        held.set_text(words)
        if not words or held.get_window_extent().width <= room:
            break


def hours_words(found: list[Stretch]) -> str:
    """For how long it is wrong, in few letters: "dry 3, damp 12 h"; "" where it never is."""
    hours: dict[str, float] = {}
    for one in found:
        if one.word:
            word = one.word.removeprefix("too ")
            hours[word] = hours.get(word, 0.0) + one.end - one.start
    said = [f"{word} {max(1.0, time):.0f}" for word, time in hours.items()]
    return f"{', '.join(said)} h" if said else ""


def bar_of(day: SettledDay, course: Course, wanted: Wanted | None) -> list[Stretch]:
    """When a course is as wanted and when not; [] where nothing is wanted. In danger nothing is called right."""
    found = [] if wanted is None else stretches(day.hours, course.values, wanted, day.day_h)
    return [replace(one, quiet=True) for one in found] if day.danger else found


def keys(day: SettledDay) -> list[list[tuple[Artist, str]]]:
    """What the lines and areas of both panels stand for: a row for what counts, a row for what is shown beside it."""
    first: list[tuple[Artist, str]] = [(Line2D([], [], color=BLUE, linewidth=2.2), "this box")]
    if day.rh.low is not None:
        first.append((Patch(facecolor=to_rgba(BLUE, BAND_ALPHA)), "8 in 10 boxes like it"))
    if day.rh_wanted is not None or day.c_wanted is not None:
        first += [(wanted_key(part), LOOKS[part][-1]) for part in ("day", "night")]
        first.append((Patch(**(OUTSIDE | {"linewidth": 0.5})), "outside it"))
    beside: list[tuple[Artist, str]] = [
        (Line2D([], [], color=LINE, linestyle=PARTS[name][0], linewidth=0.9), PARTS[name][1]) for name in day.parts
    ]
    return [first, [*beside, (Line2D([], [], **ROOM), "room")]]


def in_words(day: SettledDay) -> list[str]:
    """What both panels show, for the picture's words; temperatures as marks (see `terralab.quantities`)."""
    percent = lambda low, high: f"{low:.0f} to {high:.0f} %"  # noqa: E731
    degrees = lambda low, high: quantity("°C", ".1f", low, high)  # noqa: E731
    out = []
    for name, course, wanted, write in (
        ("Humidity", day.rh, day.rh_wanted, percent),
        ("Temperature", day.c, day.c_wanted, degrees),
    ):
        text = f"{name} {write(course.values.min(), course.values.max())}"
        if course.low is not None:
            low, high = band_at(day.hours, course)
            text += f" over the day, in 8 of 10 boxes like it {write(low.min(), high.max())}"
        out.append(": ".join(filter(None, (text, _right_and_wrong(bar_of(day, course, wanted))))))
    for at, (name, (rh, c)) in enumerate(day.parts.items()):
        where = "in the hide" if name == "hide" else f"air {name}"
        where = where if at else where.capitalize()
        out.append(f"{where} {percent(rh.min(), rh.max())} at {degrees(c.min(), c.max())}")
    return [*out[:2], *([", ".join(out[2:])] if out[2:] else [])]


def _right_and_wrong(found: list[Stretch]) -> str:
    """When it is wrong: "too dry 20:00 to 06:00"."""
    wrong = [f"{one.word} {_clock(one.start)} to {_clock(one.end)}" for one in found if one.word]
    if not found:
        return "nothing is known of what is wanted"
    if not wrong and any(one.quiet for one in found):
        return ""
    if not wrong and any(one.nearly for one in found):
        return "as wanted or nearly so all day and night"
    return ", ".join(wrong) if wrong else "as wanted all day and night"


def _clock(hour: float) -> str:
    minutes = round(60 * hour)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
