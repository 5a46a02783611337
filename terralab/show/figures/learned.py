"""What a log taught, drawn: what was read over what was computed, where in the day they part, and ranges before and after."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator, MultipleLocator

from terralab.answers.learn.doubt_words import WHERE
from terralab.answers.learn.learn import Learned
from terralab.answers.learn.misfit import UNIT_OF, missed, together
from terralab.answers.learn.words import RESULT_WORDS, narrowed, result_spans
from terralab.describe.number_words import number_words, span_mark
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.learning.fit import Course, Fit, Narrowed
from terralab.learning.readings import HUMIDITY, TEMPERATURE
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
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

LOG, HOURS, RANGES = "log", "hours", "ranges"
PARTS = (LOG, HOURS, RANGES)
MOST_NUMBERS = 6
_TOP_IN, _BETWEEN_IN, _LABELLED_IN, _BOTTOM_IN = 1.2, 0.42, 0.42, 0.05
_LOG_IN, _HOURS_IN, _ROW_IN = 1.75, 1.35, 0.46
_WIDE_LEFT_IN = 0.4
_NAMES = {HUMIDITY: "Humidity", TEMPERATURE: "Temperature"}
#: The unit of each sensor on an axis.
_AXIS = {HUMIDITY: "% RH", TEMPERATURE: "°C"}


@plain_look
def learned_picture(answer: Learned, parts: Sequence[str] = PARTS) -> Picture:
    """Draw an answer of `tl.learn` and give the picture, 1200 pixels wide.

    parts: "log" (what each sensor read over the band that was computed before and after learning), "hours" (read less
    computed, by hour of the day) and "ranges" (what was learned, before and after), in this order. `picture.alt` says the same
    in words. Raises TerralabError for another answer, UnknownName for another part.
    """
    if not isinstance(answer, Learned) or answer.fit is None:
        raise TerralabError(f"A picture of a log needs an answer of tl.learn; {quoted(answer)} was given.")
    if isinstance(parts, str) or not isinstance(parts, Sequence) or not parts:
        raise TerralabError(f"parts must be a list of some of {', '.join(PARTS)}; {quoted(parts)} was given.")
    for part in parts:
        if part not in PARTS:
            raise UnknownName.among("part of the picture", part, PARTS)
    fit, units = answer.fit, Scales(answer.us)
    rows = _rows(answer)
    height = {
        LOG: len(fit.courses) * (_LOG_IN + _BETWEEN_IN) + _LABELLED_IN,
        HOURS: len(_quantities(fit)) * (_HOURS_IN + _BETWEEN_IN) + _LABELLED_IN,
        RANGES: len(rows) * _ROW_IN + 0.6,
    }
    wanted = [part for part in PARTS if part in parts]
    figure = Picture(_TOP_IN + sum(height[part] for part in wanted) + _BOTTOM_IN)
    _title(figure, answer)
    top = _TOP_IN
    for part in wanted:
        if part == LOG:
            _log(figure, top, fit, units)
        elif part == HOURS:
            _hours(figure, top, fit, units)
        else:
            _ranges(figure, top, rows)
        top += height[part]
    figure.alt = _alt(answer, wanted)
    return figure


def _title(figure: Picture, answer: Learned) -> None:
    fit = answer.fit
    name = answer.record.box.name
    write(figure, 0.15, 0.13, short(f"{name}: what its log tells", 60), TITLE_PT, weight="bold")
    days = (fit.hours[-1] - fit.hours[0]) / 24.0
    none = "what was weighed does not count" if answer.details.get("uncounted") else "nothing weighed"
    weighed = f", {fit.weighed} weighed amount{'' if fit.weighed == 1 else 's'}" if fit.weighed else f", {none}"
    hint = f"{days:.0f} days from {fit.first_day.day} {fit.first_day:%B %Y}{weighed}. Bands hold 80 of 100 boxes."
    write(figure, 0.15, 0.42, hint, TEXT_PT, color=LINE)
    found = (
        f"{Scales(answer.us).said(answer.lost_words)}."
        if answer.value is not None
        else "This log does not tell how much water is lost a day."
    )
    write(figure, 0.15, 0.62, found, TEXT_PT, color=LINE)


# -- read over computed -----------------------------------------------------------------------------------------------


def _log(figure: Picture, top: float, fit: Fit, units: Scales) -> None:
    panels: list[Axes] = []
    explained: set[str] = set()
    for number, course in enumerate(fit.courses):
        heading = f"{_NAMES[course.quantity]} {WHERE[course.place]}"
        axes = add_panel(
            figure, top + number * (_LOG_IN + _BETWEEN_IN), _LOG_IN, heading, units.word(_AXIS[course.quantity])
        )
        _course(axes, fit, course, units)
        panels.append(axes)
        # what a panel above has explained is not explained again
        pairs = zip(*axes.get_legend_handles_labels(), strict=True)
        new = {words: line for line, words in pairs if words not in explained}
        explained |= set(new)
        if new:
            legend_above(axes, handles=list(new.values()), labels=list(new))
    for axes in panels:
        axes.set_xlim(fit.hours[0] / 24.0 - 0.05, fit.hours[-1] / 24.0 + 0.05)
        axes.xaxis.set_major_locator(MultipleLocator(_step((fit.hours[-1] - fit.hours[0]) / 24.0)))
        axes.grid(axis="x", color=LINE, linewidth=0.4, alpha=0.4)
        if axes is not panels[-1]:
            axes.set_xticklabels([])
    if panels:
        panels[-1].set_xlabel(f"days from the midnight of {fit.first_day.day} {fit.first_day:%B}", fontsize=TEXT_PT)


def _step(days: float) -> int:
    return max(1, -(-round(days) // 8)) if days < 20 else 7 * max(1, -(-round(days) // 56))


def _course(axes: Axes, fit: Fit, course: Course, units: Scales) -> None:
    """One sensor: what was computed before and after as bands, what was read as a line, the part held back on grey."""
    days = fit.hours / 24.0
    turn = lambda values: units.of(_AXIS[course.quantity], values)  # noqa: E731
    held = np.isfinite(course.held_out[1])
    if held.any():
        first = days[np.flatnonzero(held)[0]]
        axes.axvspan(first, days[-1], facecolor=NIGHT, linewidth=0.0, zorder=0, label="held back")
    axes.fill_between(
        days,
        turn(course.before[0]),
        turn(course.before[2]),
        facecolor=SKY,
        alpha=0.3,
        linewidth=0.0,
        zorder=2,
        label="without the log",
    )
    axes.fill_between(
        days,
        turn(course.after[0]),
        turn(course.after[2]),
        facecolor=BLUE,
        alpha=0.5,
        linewidth=0.0,
        zorder=3,
        label="with it",
    )
    if held.any():
        axes.plot(
            days,
            turn(course.held_out[1]),
            color=VERMILLION,
            linewidth=1.1,
            linestyle=(0, (5, 2)),
            zorder=4,
            label="foretold",
        )
    axes.plot(days, turn(course.measured), color=BLACK, linewidth=1.0, zorder=5, label="read")
    top = course.at_least & np.isfinite(course.measured)
    if top.any():
        axes.plot(
            days[top], turn(course.measured[top]), color=ORANGE, marker="^", markersize=5, linestyle="none", markeredgecolor=BLACK,
            markeredgewidth=0.4, zorder=6, label="that or more",
        )  # fmt: skip
    values = turn(np.concatenate([course.measured, *course.after, *course.before]))
    values = values[np.isfinite(values)]
    low, high = (float(x) for x in np.quantile(values, [0.0, 1.0])) if len(values) else (0.0, 1.0)
    room = 0.06 * max(high - low, 1.0)
    ceiling = 104.0 if course.quantity == HUMIDITY else np.inf
    axes.set_ylim(low - room, min(high + room, max(ceiling, high)))
    axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))


# -- by hour of the day -----------------------------------------------------------------------------------------------


def _quantities(fit: Fit) -> list[str]:
    return [name for name in UNIT_OF if any(one.quantity == name for one in fit.courses)]


_STROKES = ("-", (0, (5, 2)), (0, (1, 1.5)), (0, (5, 1.5, 1, 1.5)), (0, (8, 3)))
_COLOURS = (BLUE, ORANGE, VERMILLION, BLACK, SKY)


def _hours(figure: Picture, top: float, fit: Fit, units: Scales) -> None:
    panels = []
    for number, name in enumerate(_quantities(fit)):
        heading = f"{_NAMES[name]}: read less computed"
        axes = add_panel(
            figure, top + number * (_HOURS_IN + _BETWEEN_IN), _HOURS_IN, heading, units.word(UNIT_OF[name])
        )
        courses = [one for one in fit.courses if one.quantity == name]
        for colour, stroke, course in zip(_COLOURS, _STROKES, courses, strict=False):
            middle, low, high = (units.of(UNIT_OF[name], x) for x in by_hour(fit, course))
            clock = np.arange(24) + 0.5
            axes.fill_between(clock, low, high, facecolor=colour, alpha=0.22, linewidth=0.0, zorder=2)
            axes.plot(clock, middle, color=colour, linestyle=stroke, linewidth=1.8, zorder=3, label=WHERE[course.place])
        axes.axhline(0.0, color=BLACK, linewidth=0.8, zorder=4)
        axes.set_xlim(0.0, 24.0)
        axes.xaxis.set_major_locator(MultipleLocator(3))
        axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
        axes.grid(axis="x", color=LINE, linewidth=0.4, alpha=0.4)
        legend_above(axes)
        panels.append(axes)
    for axes in panels[:-1]:
        axes.set_xticklabels([])
    if panels:
        panels[-1].set_xlabel("hour of the day; line: mean of the days, band: 80 of 100 days", fontsize=TEXT_PT)


def by_hour(fit: Fit, course: Course) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mean of read less computed in each hour of the day, and the ends of its central 80 % over the days; NaN where nothing was read."""
    gap = course.residual()
    ends_at = np.mod(np.ceil(fit.hours - 1e-9).astype(int) - 1, 24)  # the hour that a row ends
    out = np.full((3, 24), np.nan)
    for hour in range(24):
        found = gap[(ends_at == hour) & np.isfinite(gap)]
        if len(found):
            out[:, hour] = found.mean(), *np.quantile(found, [0.1, 0.9])
    return out[0], out[1], out[2]


# -- ranges -----------------------------------------------------------------------------------------------------------


def _rows(answer: Learned) -> list[tuple[str, Narrowed]]:
    """What is drawn as a range, in words, with its numbers: the results, then the numbers that were narrowed most."""
    fit, units, out = answer.fit, Scales(answer.us), []
    for name, one in fit.results.items():
        before, after = map(units.said, result_spans(one))
        now = "not told" if one.refused or not fit.usable else f"now {after}"
        out.append((f"{RESULT_WORDS[name]}: {before}, {now}", one))
    for one in narrowed(fit)[:MOST_NUMBERS]:
        before, after = (units.said(span_mark(one.name, one.unit, x[0], x[2])) for x in (one.before, one.after))
        out.append((f"{number_words(answer.fit.box, one.name)}: {before}, now {after}", one))
    return out


def _ranges(figure: Picture, top: float, rows: list[tuple[str, Narrowed]]) -> None:
    """Each range on the scale of what it was before: pale from 0 to 100 % before, dark what is left of it."""
    axes = add_panel(figure, top + 0.1, len(rows) * _ROW_IN - 0.1, "Ranges", "")
    place = axes.get_position()
    axes.set_position((_WIDE_LEFT_IN / WIDTH_IN, place.y0, 1.0 - 2.0 * _WIDE_LEFT_IN / WIDTH_IN, place.height))
    for row, (words, one) in enumerate(rows):
        low, middle, high = one.before
        scale = lambda x, low=low, high=high: 100.0 * (x - low) / (high - low) if high > low else 50.0  # noqa: E731
        at = row + 0.3
        axes.plot([0.0, 100.0], [at, at], color=SKY, alpha=0.5, linewidth=9.0, solid_capstyle="butt", zorder=2)
        axes.plot([scale(middle)], [at], marker="|", markersize=9, color=BLACK, zorder=3)
        told = not one.refused and one.after != one.before
        if told:
            ends = [scale(one.after[0]), scale(one.after[2])]
            axes.plot(ends, [at, at], color=BLUE, linewidth=4.5, solid_capstyle="butt", zorder=4)
            axes.plot(
                [scale(one.after[1])], [at], marker="o", markersize=6, color=ORANGE, markeredgecolor=BLACK, zorder=5
            )
        axes.text(0.0, at - 0.24, literal(short(words, 104)), fontsize=TEXT_PT, va="bottom", ha="left", zorder=6)
    ends = [line.get_xdata() for line in axes.lines]
    reach = [float(x) for pair in ends for x in pair]
    axes.set_xlim(min(-6.0, min(reach) - 3.0), max(112.0, max(reach) + 3.0))
    axes.set_ylim(len(rows) - 0.25, -0.35)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.xaxis.set_major_locator(MultipleLocator(25))
    axes.set_xlabel(
        "% of the range before (pale bar, its middle a stroke); dark: what the log leaves of it, the dot its middle",
        fontsize=TEXT_PT,
    )


# -- in words ---------------------------------------------------------------------------------------------------------


def _alt(answer: Learned, parts: Sequence[str]) -> str:
    """What the picture shows, in words."""
    fit, units = answer.fit, Scales(answer.us)
    text = [f"{answer.record.box.name}, what a log of {(fit.hours[-1] - fit.hours[0]) / 24.0:.0f} days tells"]
    if LOG in parts:
        for course in fit.courses:
            before, after, held = (missed(course, which) for which in ("before", "after", "held_out"))
            if not after.hours:
                text.append(f"{_NAMES[course.quantity]} {WHERE[course.place]}: nothing was read")
                continue
            unit = UNIT_OF[course.quantity]
            words = f"{_NAMES[course.quantity]} {WHERE[course.place]}: what is computed misses what was read by {units.words(unit, '.1f', after.rms)}"
            words += f" after learning, {units.words(unit, '.1f', before.rms)} before" if fit.usable else ""
            text.append(words + (f"; the part held back by {units.words(unit, '.1f', held.rms)}" if held.hours else ""))
            if course.at_least.any():
                text.append(f"{int(course.at_least.sum())} hours are marked in which the sensor stood at its top")
    if HOURS in parts:
        for name in _quantities(fit):
            one = together(fit, name)
            sign = "-" if one.mean < 0.0 else "+"
            text.append(
                f"By hour of the day: {name} read less computed, {sign}{units.words(UNIT_OF[name], '.1f', abs(one.mean))} on average"
            )
    if RANGES in parts:
        text += [f"Range: {words}" for words, _ in _rows(answer)]
    return ". ".join(text) + "."
