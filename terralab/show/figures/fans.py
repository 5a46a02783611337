"""Pictures of the fan answer: schedules as strips, what each costs and gains, and a day of the chosen one."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from terralab.answers.common.answer import Answer
from terralab.answers.common.optional import dry_words, known
from terralab.answers.fans.choice import first_lid, inside
from terralab.answers.fans.faults import FaultKind
from terralab.answers.fans.lid_words import first_lid_words
from terralab.answers.fans.measure import watering_ends
from terralab.describe.seasons import box_in
from terralab.errors import TerralabError, quoted
from terralab.quantities import said
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    LINE,
    NIGHT,
    ORANGE,
    SKY,
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
from terralab.simulation.record import Record
from terralab.units import DAY_S, parse
from terralab.wording import lines

_ROW_IN = 0.27
_LINE_IN = 0.27
_KEY_CHARACTERS = 106
_KEY_IN = 0.185  # of one line of the key
_NAME_IN = 2.55
_STRIP_IN = 2.85
DRY, IN, DAMP, WET = ORANGE, "#FFFFFF", SKY, BLUE
_MODES = (("none", BLACK, "s", "no fan"), ("exchange", VERMILLION, "o", "exchange"),
          ("circulate", GREEN, "^", "circulate"), ("mixed", BLUE, "D", "several fans"))  # fmt: skip
NOT_DRY_H = 24.0
LEAST_RH_SPAN = 30.0
LEAST_SPAN_H = 2.0  # of the axis of drying, so that minutes look like minutes


def _checked(answer: Any) -> Answer:
    if not isinstance(answer, Answer) or answer.question != "fan schedule":
        raise TerralabError(f"A fan picture needs the answer of fan_schedules; given {quoted(answer)}.")
    return answer


def _headline(answer: Answer) -> str:
    return short(f"Recommended: {answer.details['choice']}", 70)


def _verdict(answer: Answer) -> str:
    """The line under the headline where no schedule reaches what is wanted; else empty."""
    if answer.reachable is not False:
        return ""
    gap = answer.details["gap_points"]
    lid = first_lid(answer.details["covers"], gap)
    return "No schedule reaches the humidity wanted" + (
        f": {first_lid_words(answer.record.box, lid, gap)}." if lid else "."
    )


@plain_look
def fans(answer: Answer) -> Picture:
    """Draw the comparison as strips, one row a schedule; `answer` is that of `fan_schedules`.

    Each row: half hours of a day, coloured by whether the air is too dry, right or too damp; dots below where the
    front pane shows water; then bars of hours with a wet front pane, hours until dry after a spray, and water a day.
    """
    rows = _checked(answer).table
    target = answer.details["target"]
    verdict = _verdict(answer)
    key = _strip_key(target, rows)
    top = 1.0 + _LINE_IN * bool(verdict) + _KEY_IN * len(key)
    figure = Picture(top + _ROW_IN * len(rows) + 0.6)
    write(figure, 0.15, 0.13, _headline(answer), TITLE_PT, weight="bold", color=BLUE)
    write(figure, 0.15, 0.5, verdict, TEXT_PT, weight="bold")
    write(figure, 0.15, top - 0.48 - _KEY_IN * len(key), "\n".join(key), TEXT_PT)
    strips = _axes(figure, top, _ROW_IN * len(rows), _NAME_IN, _STRIP_IN)
    _draw_strips(strips, rows, target, answer.details["choice"])
    left = _NAME_IN + _STRIP_IN + 0.2
    each = (WIDTH_IN - left - 0.15) / 3.0
    for i, (heading, read, colour, hatch) in enumerate(_BARS):
        axes = _axes(figure, top, _ROW_IN * len(rows), left + i * each, each - 0.12)
        _draw_bars(axes, [read(row["now"]) for row in rows], heading, colour, hatch)
    figure.alt = fans_alt_text(answer)
    return figure


def _until_dry(seen: dict[str, Any]) -> float:
    if not seen["sprays"]:
        return 0.0
    return seen["dry_out_h"] if known(seen["dry_out_h"]) else NOT_DRY_H


_BARS = (
    ("front wet,\nh a day", lambda seen: seen["front_fogged_h"], SKY, ""),
    ("dry after\nspray, h", _until_dry, GREEN, "...."),
    ("water,\nml a day", lambda seen: seen["water_ml"], BLUE, "////"),
)


def _strip_key(target: dict[str, Any] | None, rows: tuple) -> list[str]:
    if target is None:
        text = "Humidity of a day, light: dry, dark: damp. No humidity is wanted in the description."
    else:
        text = (
            f"Midnight to midnight. Orange, hatched: too dry. White: as wanted, {target['day_low']:g} to {target['day_high']:g} % "
            f"by day, {target['night_low']:g} to {target['night_high']:g} % by night (dashed lines part them). Light blue, dotted: "
            "too damp. Black line under a strip: water on the front pane."
        )
    return lines(f"{text}{_faults_key(rows)}", _KEY_CHARACTERS)


def _faults_key(rows: tuple) -> str:
    """What the sign before a name means: the faults of the schedules that have one; "" where none has."""
    found = {fault["kind"] for row in rows for fault in row["now"]["faults"]}
    named = [said(kind.legend) for kind in FaultKind if str(kind) in found]
    return f" A ! before a name: {', or '.join(named)}." if named else ""


def _axes(figure: Picture, top_in: float, height_in: float, left_in: float, width_in: float) -> Axes:
    total = figure.get_figheight()
    axes = figure.add_axes(
        (left_in / WIDTH_IN, 1 - (top_in + height_in) / total, width_in / WIDTH_IN, height_in / total)
    )
    axes.tick_params(labelsize=TEXT_PT, length=3)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    return axes


def states_of(rh: list[float], target: dict[str, Any]) -> list[int]:
    """-1, 0 or 1 for each half hour of a day: too dry, as wanted, too damp; day and night by the band's hours."""
    start, end = _day_hours(target)
    out = []
    for i, value in enumerate(rh):
        hour = 0.5 * i + 0.25
        day = start <= hour < end if start < end else hour >= start or hour < end
        part = "day" if day else "night"
        out.append(-1 if value < target[f"{part}_low"] else 1 if value > target[f"{part}_high"] else 0)
    return out


def _day_hours(target: dict[str, Any]) -> tuple[float, float]:
    start, end = (parse(target[name], "time of day", "s") / 3600.0 for name in ("day_from", "day_to"))
    return start, end


def _draw_strips(axes: Axes, rows: tuple, target: dict[str, Any] | None, choice: str) -> None:
    count = len(rows)
    for k, row in enumerate(rows):
        course = row["now"]["course"]
        if target is None:
            axes.imshow([course["rh"]], aspect="auto", cmap="cividis_r", vmin=20, vmax=100,
                        extent=(0, 24, k + 0.34, k - 0.34), zorder=1)  # fmt: skip
        else:
            for i, state in enumerate(states_of(course["rh"], target)):
                looks = {-1: (DRY, "////"), 0: (IN, ""), 1: (DAMP, "....")}[state]
                axes.barh(k, 0.5, left=0.5 * i, height=0.68, facecolor="white" if state else IN, hatch=looks[1],
                          edgecolor=looks[0] if state else "white", linewidth=0.0, zorder=1)  # fmt: skip
                if state:
                    axes.barh(k, 0.5, left=0.5 * i, height=0.68, facecolor=looks[0], alpha=0.45, linewidth=0, zorder=2)
        axes.add_patch(_frame(k))
        for i, wet in enumerate(course["front"]):
            if wet:
                axes.plot([0.5 * i, 0.5 * (i + 1)], [k + 0.42, k + 0.42], color=BLACK, linewidth=1.8, zorder=4)
        star = row["name"] == choice
        mark = "! " if row["now"]["faults"] else ""
        axes.annotate(
            literal(mark + short(row["name"], 34)),
            ((_NAME_IN - 0.08) / WIDTH_IN, k),
            xycoords=("figure fraction", "data"),
            ha="right",
            va="center",
            fontsize=TEXT_PT,
            weight="bold" if star else "normal",
            color=BLUE if star else BLACK,
            annotation_clip=False,
        )
    for hour in () if target is None else _day_hours(target):
        axes.axvline(hour, color=LINE, linewidth=0.9, linestyle=(0, (4, 3)), zorder=0)
    axes.set_xlim(0, 24)
    axes.set_ylim(count - 0.5, -0.5)
    axes.set_yticks([])
    axes.set_xticks([0, 6, 12, 18, 24])
    axes.set_xlabel("hour of the day", fontsize=TEXT_PT)


def _frame(k: int) -> Rectangle:
    return Rectangle((0, k - 0.34), 24, 0.68, fill=False, edgecolor=LINE, linewidth=0.6, zorder=3)


def _draw_bars(axes: Axes, values: list[float], heading: str, colour: str, hatch: str) -> None:
    most = max([*values, 1e-6])
    for k, value in enumerate(values):
        axes.barh(k, value, height=0.6, facecolor=colour if not hatch else "white", hatch=hatch, edgecolor=colour)
        never = heading.startswith("dry") and value >= NOT_DRY_H
        text = "not" if never else f"{value:.0f}" if most >= 20 else f"{value:.1f}"
        axes.annotate(text, (value, k), xytext=(3, 0), textcoords="offset points", va="center", fontsize=TEXT_PT - 0.5)
    axes.set_xlim(0, 1.75 * most)
    axes.set_ylim(len(values) - 0.5, -0.5)
    axes.set_xticks([])
    axes.set_yticks([])
    axes.spines["left"].set_visible(True)
    axes.spines["bottom"].set_visible(False)
    axes.set_title(heading, fontsize=TEXT_PT, loc="left", pad=6)


def fans_alt_text(answer: Answer) -> str:
    """Say what `fans` shows, with the numbers."""
    target = answer.details["target"]
    parts = []
    verdict = _verdict(answer)
    for row in answer.table:
        seen = row["now"]
        hours = f"{inside(seen):.1f} h inside, " if target else ""
        parts.append(
            f"{row['name']}: {hours}front pane fogged {seen['front_fogged_h']:.1f} h, {dry_words(seen)}, {seen['water_ml']:.0f} ml a day"
            + "".join(f", but {said(fault['words'])}" for fault in seen["faults"])
        )
    return f"{_headline(answer)}. {verdict}{' ' if verdict else ''}Strips compare {len(answer.table)} fan schedules over a day. {'. '.join(parts)}."


@plain_look
def trade_off(answer: Answer) -> Picture:
    """Draw hours inside the humidity wanted against hours until dry after a spray; the size of a mark is the water."""
    rows = _checked(answer).table
    has_target = answer.details["target"] is not None
    figure = Picture(5.6)
    write(figure, 0.15, 0.13, "What each schedule gains and costs", TITLE_PT, weight="bold")
    axes = add_panel(
        figure, 0.95, 3.7, "", "hours a day inside the\nhumidity wanted" if has_target else "mean humidity by day, %"
    )
    most = max(1.0, max(row["now"]["water_ml"] for row in rows))
    for mode, colour, marker, words in _MODES:
        mine = [row["now"] for row in rows if row["mode"] == mode]
        if mine:
            x, y = [_until_dry(s) for s in mine], [_height_of(s, has_target) for s in mine]
            size = [30 + 200 * s["water_ml"] / most for s in mine]
            axes.scatter(
                x, y, s=size, marker=marker, facecolor="none", edgecolor=colour, linewidth=1.4, label=words, zorder=3
            )
    places = [(_until_dry(row["now"]), _height_of(row["now"], has_target)) for row in rows]
    _span(axes, [x for x, _ in places], has_target)
    _label(axes, places, rows, answer.details["choice"])
    axes.set_xlabel("hours until leaves and front pane are dry after a spray (24: not dry by then)", fontsize=TEXT_PT)
    axes.grid(color=NIGHT, zorder=0)
    legend_above(axes)
    write(figure, 0.15, 5.25, f"The larger a mark, the more water a day (largest {most:.0f} ml). Up and to the left is better. Near marks share a name.",
          TEXT_PT)  # fmt: skip
    figure.alt = f"A chart of hours inside the humidity wanted against dry-out time. {fans_alt_text(answer)}"
    return figure


def _height_of(seen: dict[str, Any], has_target: bool) -> float:
    return inside(seen) if has_target else seen["rh_day"]["mean"]


def _span(axes: Axes, xs: list[float], has_target: bool) -> None:
    """Axes from which one sees whether a difference is large: all hours of a day, and two hours of drying at least."""
    low, high = min(xs), max(xs)
    room = max(LEAST_SPAN_H, 1.15 * (high - low))
    left = max(-0.05 * room, 0.5 * (low + high) - 0.6 * room)
    axes.set_xlim(left, left + 1.2 * room)
    if has_target:
        axes.set_ylim(-1.0, 25.0)
        axes.set_yticks(range(0, 25, 6))
    else:
        axes.set_ylim(0.0, 103.0)


def _label(axes: Axes, places: list[tuple[float, float]], rows: tuple, choice: str) -> None:
    """Name the chosen schedule and the outermost marks; more names would lie on each other."""
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    near = lambda a, b: abs(a[0] - b[0]) < 0.16 * (x1 - x0) and abs(a[1] - b[1]) < 0.07 * (y1 - y0)  # noqa: E731
    names = [row["name"] for row in rows]
    of = range(len(rows))
    wanted = [names.index(choice)]
    wanted += [min(of, key=lambda i: places[i][axis] * sign) for sign in (1, -1) for axis in (0, 1)]
    named: list[int] = []
    for i in wanted:
        if any(near(places[i], places[j]) for j in named):
            continue
        named.append(i)
        others = sum(near(places[i], places[j]) for j in of) - 1
        left = places[i][0] > x0 + 0.7 * (x1 - x0)
        text = short(names[i], 36) + (f" and {others} near it" if others else "")
        axes.annotate(
            "\n".join(lines(literal(text), 26)),
            places[i],
            xytext=(-13 if left else 13, 0),
            textcoords="offset points",
            ha="right" if left else "left",
            va="center",
            fontsize=TEXT_PT,
            weight="bold" if names[i] == choice else "normal",
        )


@plain_look
def fan_day(answer: Answer) -> Picture:
    """Draw a day of the chosen schedule: humidity with what is wanted, air changes, water on leaves and front pane.

    It is the last day on which something is sprayed, else the last day.
    """
    record = _checked(answer).record
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
        legend_above(rh)
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
    start, end = _day_hours(target)
    day = [(start, end)] if start < end else [(0.0, end), (start, 24.0)]
    night = [(0.0, start), (end, 24.0)] if start < end else [(end, start)]
    label = "wanted"
    for part, spans in (("day", day), ("night", night)):
        for a, b in spans:
            axes.fill_between([a, b], target[f"{part}_low"], target[f"{part}_high"], facecolor=SKY, alpha=0.35, linewidth=0,
                              label=label, zorder=1)  # fmt: skip
            label = "_"
