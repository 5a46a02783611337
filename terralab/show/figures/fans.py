"""The picture of the fan answer: schedules that come out alike as one row, all as differences from today, and the lid below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes

from terralab.answers.common.answer import Answer
from terralab.answers.common.optional import dry_words
from terralab.answers.common.statement import Kind
from terralab.answers.common.temperature import Verdict
from terralab.answers.fans.alike import HOURS, MEASURES, SAME, SAME_SHARE, groups_of, same_by
from terralab.answers.fans.alike_words import counted, listed
from terralab.answers.fans.choice import inside
from terralab.answers.fans.faults import FaultKind
from terralab.answers.fans.schedules import AS_DESCRIBED
from terralab.errors import TerralabError, quoted
from terralab.quantities import quantity, said
from terralab.show.figures.fan_lid import LID_IN, draw_lid, has_curve, lid_alt
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    LINE,
    NIGHT,
    ORANGE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    WIDTH_IN,
    Picture,
    literal,
    plain_look,
    short,
    write,
)
from terralab.wording import lines

_ROW_IN, _HEAD_IN, _KEY_IN, _LINE_IN = 0.43, 0.66, 0.17, 0.2
_NAME_IN, _END_IN = 2.36, 0.12
_KEY_CHARACTERS = 112
_NAME_CHARACTERS = 30
_TITLE_CHARACTERS, _BOLD_CHARACTERS = 58, 88
_WRONG_WARMTH = (Verdict.DANGEROUS, Verdict.TOO_HOT, Verdict.TOO_COLD)
_UP, _DOWN = -0.17, 0.2  # in a row: where the mark stands, and where its number


Groups = Sequence[tuple[Mapping[str, Any], Mapping[str, Any]]]


@dataclass(frozen=True)
class Column:
    """One column: what of `alike.MEASURES`, the lines over it, its metric unit on the axis ("" for one that is the same
    everywhere) and how many digits are said; `level` writes what today's schedule has.
    """

    name: str
    heading: tuple[str, str]
    unit: str
    digits: int
    level: str


_COLUMNS = (
    Column("rh day", ("humidity", "by day"), "", 0, "%"),
    Column("rh night", ("humidity", "by night"), "", 0, "%"),
    Column("c day", ("air", "by day"), "K", 1, "°C"),
    Column("c night", ("air", "by night"), "K", 1, "°C"),
    Column(HOURS, ("as humid", "as wanted"), "", 1, "h"),
    Column("fog h", ("front pane", "fogged"), "", 1, "h"),
    Column("water ml", ("water", "a day"), "ml", 0, "ml"),
)


def needs_fan_answer(answer: Any) -> Answer:
    """The answer itself. Raises TerralabError for anything that is no answer of `fan_schedules`."""
    if not isinstance(answer, Answer) or answer.question != "fan schedule":
        raise TerralabError(f"A fan picture needs the answer of fan_schedules; given {quoted(answer)}.")
    return answer


@plain_look
def fans(answer: Answer) -> Picture:
    """Draw the comparison of `fan_schedules`, and the lid as the other lever below it.

    One row for each group of schedules that come out alike, as differences from what is done today: the number is that of the
    run the table shows, the bar spans 80 % of the draws. What a keeper could tell is bold.
    """
    needs_fan_answer(answer)
    groups = groups_of(answer)
    now = _today(answer)
    columns = [one for one in _COLUMNS if one.name != HOURS or answer.details["target"] is not None]
    heads = _headline(answer)
    key = lines(_key(answer), _KEY_CHARACTERS)
    top = 0.5 + _LINE_IN * len(heads[1:]) + _HEAD_IN
    rows = _rows(groups, now)
    height = _ROW_IN * (len(rows) + 1)
    below = top + height + 0.12 + _KEY_IN * len(key)
    curve = has_curve(answer)
    figure = Picture(below + 0.15 + (LID_IN if curve else 0.0))
    write(figure, 0.15, 0.13, heads[0], TITLE_PT, weight="bold", color=VERMILLION if _danger(answer) else BLUE)
    for number, line in enumerate(heads[1:]):
        write(figure, 0.15, 0.5 + _LINE_IN * number, line, TEXT_PT, weight="bold")
    _names(figure, groups, now, top, height)
    wide = (WIDTH_IN - _NAME_IN - _END_IN) / len(columns)
    for number, column in enumerate(columns):
        axes = _axes(figure, top, height, _NAME_IN + number * wide, wide)
        _draw_column(axes, column, rows, now["now"], Scales(answer.us))
    write(figure, 0.15, top + height + 0.1, "\n".join(key), TEXT_PT)
    if curve:
        draw_lid(figure, answer, below + 0.1)
    figure.alt = fans_alt_text(answer)
    return figure


def _rows(groups: Groups, now: Mapping[str, Any]) -> Groups:
    """The groups that get a row of their own: all but the one of today's schedule, where the row of today is named after it."""
    return [(row, group) for row, group in groups if row is not now]


def _today(answer: Answer) -> Mapping[str, Any]:
    return next((row for row in answer.table if row["name"] == AS_DESCRIBED), answer.table[0])


# ---- words


def _headline(answer: Answer) -> list[str]:
    """What is recommended, and under it what comes out alike; danger, and that nothing reaches what is wanted, go before it."""
    do = lines(answer.of_kind(Kind.DO)[0].said(answer.us), _BOLD_CHARACTERS)
    if _danger(answer):
        what, _, why = said(answer.first[0], answer.us).split(". ")[0].partition(": ")
        why = why.split(";")[0].rstrip(".")
        return [short(what, _TITLE_CHARACTERS), *([f"{why[:1].upper()}{why[1:]}."] if why else []), *do]
    if answer.reachable is False:
        return ["No schedule reaches the humidity wanted", *do]
    out = [short(f"Recommended: {_named(answer.details['choice'])}", _TITLE_CHARACTERS)]
    group = next(group for group in answer.details["groups"] if group["recommended"])
    if more := len(group["names"]) - 1:
        others = counted(more, "other schedule comes", "other schedules come").capitalize()
        out.append(f"{others} out alike: any of these does the same.")
    return out


def _danger(answer: Answer) -> bool:
    """Whether the warmth is wrong, which is said before all else."""
    return bool(answer.first) and str((answer.heat or {}).get("verdict", "")) in _WRONG_WARMTH


def _named(name: str) -> str:
    return "your fans as they are" if name == AS_DESCRIBED else name


def _key(answer: Answer) -> str:
    """How the rows are read, with what each sign stands for."""
    draws, degrees = answer.details["draws_side_by_side"], Scales(answer.us)
    text = (
        f"Numbers: differences from today. Bars: the middle 80 % of {draws} boxes that fit. Bold: more than you could tell "
        f"(over {SAME['rh day']:g} points, {degrees.of('K', SAME['c day']):g} {degrees.word('°C')}, {SAME[HOURS]:g} h as wanted, "
        f"{60 * SAME['fog h']:.0f} minutes of fog, {quantity('ml', 'g', SAME['water ml'])}, and {100 * SAME_SHARE:.0f} % of fog and water)."
    )
    found = {fault["kind"] for row, _ in groups_of(answer) for fault in row["now"]["faults"]}
    named = [kind.legend for kind in FaultKind if str(kind) in found]
    faults = f" A ! before a name: {', or '.join(named)}." if named else ""
    return said(text + faults, answer.us)


def fans_alt_text(answer: Answer) -> str:
    """Say what `fans` shows, with the numbers."""
    target = answer.details["target"]
    parts = []
    for row, group in groups_of(answer):
        seen = row["now"]
        hours = f"{inside(seen):.1f} h inside, " if target else ""
        warm = quantity("°C", ".1f", seen["temperature_day_c"]), quantity("°C", ".1f", seen["temperature_night_c"])
        others = [name for name in group["names"] if name != group["name"]]
        parts.append(
            f"{row['name']}: {hours}{seen['rh_day']['mean']:.0f} % at {warm[0]} by day, {seen['rh_night']['mean']:.0f} % at "
            f"{warm[1]} by night, front pane fogged {seen['front_fogged_h']:.1f} h, {dry_words(seen)}, "
            f"{quantity('ml', '.0f', seen['water_ml'])} a day"
            + (f"; alike: {listed(others)}" if others else "")
            + "".join(f", but {fault['words']}" for fault in seen["faults"])
        )
    title, *rest = _headline(answer)
    heads = f"{title}. {' '.join(rest)}".rstrip(". ")  # the rest is whole sentences, cut into lines
    rows = f"Rows compare {counted(len(answer.table), 'fan schedule', 'fan schedules')} with today, those that come out alike in one"
    return said(f"{heads}. {rows}. {'. '.join(parts)}.{lid_alt(answer)}", answer.us)


# ---- drawing


def _axes(figure: Picture, top_in: float, height_in: float, left_in: float, width_in: float) -> Axes:
    total = figure.get_figheight()
    where = (left_in / WIDTH_IN, 1 - (top_in + height_in) / total, width_in / WIDTH_IN, height_in / total)
    axes = figure.add_axes(where)
    for side in ("top", "right", "left", "bottom"):
        axes.spines[side].set_visible(False)
    axes.set_xticks([])
    axes.set_yticks([])
    axes.patch.set_visible(False)
    return axes


def _names(figure: Picture, groups: Groups, now: Mapping[str, Any], top: float, height: float) -> None:
    """The names of the rows, what stands behind them, and lines that lead the eye."""
    rows = _rows(groups, now)
    own = next((group for row, group in groups if row is now), None)
    axes = _axes(figure, top, height, 0.1, WIDTH_IN - 0.2)
    axes.set_zorder(-1)
    axes.set_xlim(0.0, WIDTH_IN - 0.2)
    axes.set_ylim(len(rows) + 0.5, -0.5)
    axes.axhspan(-0.48, 0.48, facecolor=NIGHT, zorder=0)
    name = "your fans" if now["name"] == AS_DESCRIBED else now["name"]
    _name(axes, 0, f"today: {name}", _behind(own), now, own is not None and own["recommended"], True)
    for number, (row, group) in enumerate(rows, 1):
        _name(axes, number, row["name"], _behind(group), row, group["recommended"])


def _name(
    axes: Axes, number: int, name: str, behind: str, row: Mapping[str, Any], best: bool, today: bool = False
) -> None:
    if best:
        axes.axhspan(number - 0.47, number + 0.47, facecolor="none", edgecolor=BLUE, linewidth=1.8, zorder=3)
    elif not today:
        axes.axhline(number + 0.5, color=LINE, linewidth=0.4)
    mark = ("▶ " if best else "") + ("! " if row["now"]["faults"] else "")
    looks = {"fontsize": TEXT_PT, "va": "center", "color": BLUE if best else BLACK}
    text = literal(short(f"{mark}{name}", _NAME_CHARACTERS))
    axes.text(0.08, number + (_UP if behind else 0.0), text, weight="bold" if best or today else "normal", **looks)
    axes.text(0.08, number + _DOWN, behind, **looks)


def _behind(group: Mapping[str, Any] | None) -> str:
    """What stands behind the name of a group: how many more, and that today's is among them."""
    if group is None or len(group["names"]) == 1:
        return ""
    words = f"and {counted(len(group['names']) - 1, 'more alike', 'more alike')}"
    mixed = group["today"] and group["name"] != AS_DESCRIBED and AS_DESCRIBED in group["names"]
    return f"{words}, today's too" if mixed else words


def _draw_column(
    axes: Axes,
    column: Column,
    groups: Groups,
    now: Mapping[str, Any],
    scales: Scales,
) -> None:
    """One measure: today's level, then for each group the difference as a mark with its range, and as a number under it."""
    spans = [[scales.of(column.unit, x) for x in group["than_today"][column.name]] for _, group in groups]
    level = MEASURES[column.name](now)
    same = scales.of(column.unit, float(same_by(column.name, level)))
    most = max([2.0 * same, *(max(abs(x) for x in span) for span in spans)]) * 1.25
    axes.set_xlim(-most, most)
    axes.set_ylim(len(groups) + 0.5, -0.5)
    form = f".{column.digits + (1 if scales.us and column.unit == 'ml' else 0)}f"
    shown = quantity(column.level, form if column.level != "°C" else ".1f", level)
    axes.text(0.0, 0.0, said(shown, scales.us), fontsize=TEXT_PT, ha="center", va="center", weight="bold")
    unit = f"{scales.word('°C') if column.unit == 'K' else scales.word(column.level) if column.unit else ''}"
    unit = {"rh day": "points", "rh night": "points", HOURS: "h a day", "fog h": "h a day"}.get(column.name, unit)
    for number, text in enumerate((*column.heading, unit)):
        axes.text(
            0.0,
            -1.62 + 0.4 * number,
            text,
            fontsize=TEXT_PT,
            ha="center",
            va="center",
            color=BLACK if number < 2 else LINE,
        )
    for row, (low, shown_x, high) in enumerate(spans, 1):
        axes.vlines(0.0, row - 0.36, row + 0.02, color=LINE, linewidth=0.7, zorder=1)
        told = abs(shown_x) > same + 1e-9
        colour = LINE if not told else BLUE if shown_x > 0 else ORANGE
        axes.plot(
            [low, high], [row + _UP] * 2, color=colour, linewidth=3.2, alpha=0.55, solid_capstyle="butt", zorder=2
        )
        marker = "o" if not told else ">" if shown_x > 0 else "<"
        axes.plot([shown_x], [row + _UP], marker=marker, color=colour, markersize=5.0, markeredgecolor=BLACK, markeredgewidth=0.6, zorder=3)  # fmt: skip
        text = f"{shown_x:+{form}}"
        text = "0" if not float(text) else text.replace("-", "\N{MINUS SIGN}")
        axes.text(
            0.0,
            row + _DOWN,
            text,
            fontsize=TEXT_PT,
            ha="center",
            va="center",
            weight="bold" if told else "normal",
            zorder=4,
        )
