"""The picture of a watering answer: one settled day of the air, what happens in it, the soil, and where the water goes."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import budget_ml
from terralab.answers.common.fair_rows import fair_days
from terralab.answers.common.statement import Kind, Verdict, View
from terralab.answers.common.words import likely, ml
from terralab.describe.seasons import room_in_words, room_of
from terralab.describe.system import speaks_us
from terralab.errors import TerralabError, quoted
from terralab.quantities import marked, quantity, said
from terralab.show.figures import day_air, day_strips, in_and_out, profile
from terralab.show.figures.ground import gap_words
from terralab.show.figures.scales import Scales
from terralab.show.figures.settled import SettledDay, Stretch, settled_day_of, with_danger
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    HEADING_PT,
    LINE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    WIDTH_IN,
    Picture,
    add_panel,
    plain_look,
    short,
    write,
)
from terralab.simulation.record import Record

_LEFT_IN, _COURSE_IN = 1.5, 4.2  # names on the left; the width of the day
_SOIL_LEFT_IN, _SOIL_IN = 6.5, 1.35
_RH_IN, _C_IN, _BAR_IN, _BETWEEN_IN, _ROW_IN, _AXIS_IN = 2.3, 1.45, 0.21, 0.42, 0.21, 0.3
_BAR_DOWN_IN, _KEY_IN = 0.06, 0.21
_LINE_IN, _WRAP = 0.2, 100


@plain_look
def water_answer(record: Record, answer: Answer) -> Picture:
    """Draw a watering answer: its number, one settled day of the box of `record`, its soil, and where the water goes.

    `answer` has value, low, high, unit, reason and budget_ml_per_day, as `daily_water` gives it, and in its details how sure
    each hour of the day is; without a budget that of the days shown is taken from the record. It is in the units of the
    answer. Raises TerralabError where `record` is none. `picture.alt` says the same in words.
    """
    shown = _shown(record, answer)
    keys = day_air.keys(shown.day)
    top = 0.48 + _LINE_IN * (1 + len(shown.lines)) + 0.08
    key_top, top = top, top + _KEY_IN * len(keys) + 0.4
    strips_in = _ROW_IN * day_strips.rows_of(shown.strips)
    below = top + _RH_IN + _C_IN + 2 * (_BAR_IN + _BETWEEN_IN) - 0.15 + strips_in + _AXIS_IN + 0.1
    figure = Picture(below + in_and_out.height_in(shown.amounts, shown.us))
    _write_head(figure, record, answer, shown)
    _key(figure, keys, 0.15, key_top)
    _draw_day(figure, shown, top, strips_in)
    in_and_out.draw(figure, shown.amounts, below, shown.us)
    figure.alt = _alt_text(record, answer, shown)
    return figure


@dataclass(frozen=True)
class _Shown:
    """All that the picture shows, worked out once."""

    us: bool
    day: SettledDay
    strips: list[day_strips.DayStrip]
    soil: profile.Profile
    amounts: Mapping[str, float]
    lines: list[tuple[str, bool]]

    @property
    def scales(self) -> Scales:
        """The units on the axes."""
        return Scales(self.us)


def _shown(record: Record, answer: Answer) -> _Shown:
    if not hasattr(answer, "statements") and not hasattr(answer, "budget_ml_per_day"):
        raise TerralabError(
            f"A picture of the water needs an answer, as tl.daily_water gives it; given {quoted(answer)}."
        )
    if not isinstance(record, Record):
        raise TerralabError(f"A picture of an answer needs its record, answer.record; given {quoted(record)}.")
    us = bool(getattr(answer, "us", speaks_us(record.box)))
    day = settled_day_of(record, (getattr(answer, "details", None) or {}).get("settled_day"))
    day = replace(day, danger=with_danger(day.danger, answer))
    given = getattr(answer, "budget_ml_per_day", None)
    end = float(record.times_days[-1])  # a run that goes on from another counts its days on
    amounts = given or budget_ml(record, record.rows(max(0.0, end - fair_days(record.box)), end))
    return _Shown(us, day, day_strips.day_strips(record), profile.profile_of(record), amounts, _lines(answer, us))


def _draw_day(figure: Picture, shown: _Shown, top: float, strips_in: float) -> None:
    day, scales = shown.day, shown.scales
    humidity, at = _panel(figure, top, _RH_IN, "Humidity of the air", "% RH"), top + _RH_IN
    day_air.draw_humidity(humidity, day)
    at = _bar(figure, at, day_air.bar_of(day, day.rh, day.rh_wanted))
    warmth, at = _panel(figure, at, _C_IN, "Temperature of the air", scales.word("°C")), at + _C_IN
    day_air.draw_temperature(warmth, day, scales)
    soil_in = at - top - _KEY_IN * len(profile.keys(shown.soil)) - 0.45
    at = _bar(figure, at, day_air.bar_of(day, day.c, day.c_wanted)) - 0.15
    unit = f"{scales.word('cm')} below the surface"
    ground = _panel(figure, top, soil_in, "", unit, _SOIL_LEFT_IN, _SOIL_IN)
    write(figure, _SOIL_LEFT_IN - 0.6, top - 0.19, "In the soil", HEADING_PT, middle=True, weight="bold")
    profile.draw_profile(ground, shown.soil, scales)
    soil_keys = [[one] for one in profile.keys(shown.soil)]
    _key(figure, soil_keys, _SOIL_LEFT_IN - 0.45, top + soil_in + 0.45)
    rows = _panel(figure, at, strips_in, "")
    day_air.shade_night(rows, day.day_h)
    day_strips.draw_day_strips(rows, shown.strips, shown.us)
    day_air.clock_axis(rows, named=True)


def _bar(figure: Picture, at: float, found: list[Stretch]) -> float:
    """Draw the bar of right and wrong under a panel that ends at `at`, and give where the next one begins."""
    if found:
        day_air.draw_bar(_panel(figure, at + _BAR_DOWN_IN, _BAR_IN), found)
    return at + _BAR_IN + _BETWEEN_IN


def _panel(
    figure: Picture,
    top: float,
    height: float,
    heading: str = "",
    unit: str = "",
    left: float = _LEFT_IN,
    wide: float = _COURSE_IN,
) -> Axes:
    axes = add_panel(figure, top, height, heading, unit)
    place = axes.get_position()
    axes.set_position((left / WIDTH_IN, place.y0, wide / WIDTH_IN, place.height))
    return axes


def _key(figure: Picture, keys: Sequence[Sequence[tuple[Artist, str]]], left: float, top: float) -> None:
    """A legend of some rows, with its upper left corner so many inches from the left and from the top."""
    columns, nothing = max(map(len, keys)), (Line2D([], [], alpha=0.0), "")
    padded = [[*row, *[nothing] * (columns - len(row))] for row in keys]
    held = [row[column] for column in range(columns) for row in padded]  # a legend is filled by columns
    figure.legend(
        [handle for handle, _ in held],
        [words for _, words in held],
        loc="upper left",
        bbox_to_anchor=(left / WIDTH_IN, 1 - top / figure.get_figheight()),
        ncols=columns,
        frameon=False,
        fontsize=TEXT_PT,
        borderpad=0.0,
        borderaxespad=0.0,
        handlelength=2.2,
        handletextpad=0.5,
        columnspacing=1.4,
        labelspacing=0.45,
    )


def _write_head(figure: Picture, record: Record, answer: Answer, shown: _Shown) -> None:
    write(figure, 0.15, 0.13, headline(answer, shown.us), TITLE_PT, weight="bold", color=BLUE)
    room = said(room_in_words(room_of(record.box, record.season)), shown.us)
    under = f"{short(record.box.name, 40)}: one day once it has settled. The room: {room}."
    write(figure, 0.15, 0.45, short(under, 105), TEXT_PT, color=LINE)
    for row, (text, wrong) in enumerate(shown.lines):
        looks = {"color": VERMILLION, "weight": "bold"} if wrong else {"color": BLACK}
        write(figure, 0.15, 0.48 + _LINE_IN * (row + 1), text, TEXT_PT, **looks)


def _lines(answer: Answer, us: bool) -> list[tuple[str, bool]]:
    """What the answer says of the air by day and by night, and whether it is wrong; each a line of the picture.

    Where the warmth is wrong though not that of the air, what is most wrong stands below; danger stands first.
    """
    short_ones = [one for one in getattr(answer, "statements", ()) if View.SHORT in one.views]
    texts = [said(marked(one.text), us) for one in short_ones if one.kind == Kind.AIR]
    wrong = [said(marked(one.text), us) for one in short_ones if one.kind == Kind.WRONG]
    wrong = [f"{text.partition('. ')[0].rstrip('.')}." for text in wrong]
    danger = texts and getattr(answer, "verdict", None) is Verdict.DANGEROUS
    warmth = answer.heat.get("too_hot") or answer.heat.get("too_cold") if texts else False
    if not danger and warmth and not any("too hot" in text or "too cold" in text for text in texts):
        texts += wrong
    told = [(text, True) for text in wrong] if danger else []
    told += [(text, ": too " in text) for text in texts]
    return [(line, is_wrong) for text, is_wrong in told for line in textwrap.wrap(text, _WRAP)]


def headline(answer: Answer, us: bool = False) -> str:
    """The number of an answer with its range, in the words of the answer: a jug shows no single millilitres."""
    if answer.value is None:
        return short(f"Answer: {said(marked(answer.reason), us)}", 70)
    if answer.unit.startswith("ml"):
        amounts = [ml(value) for value in (answer.value, answer.low, answer.high)]
        rest = answer.unit.removeprefix("ml")
    else:
        amounts = [quantity(answer.unit, ".1f", value) for value in (answer.value, answer.low, answer.high)]
        rest = ""
    return said(f"Answer: {amounts[0]}{rest}, {likely(amounts[1], amounts[2])}", us)


def _alt_text(record: Record, answer: Answer, shown: _Shown) -> str:
    """Say what the picture shows, with the main numbers."""
    parts = [
        headline(answer, shown.us),
        f"{record.box.name}: one day once it has settled",
        *([" ".join(line for line, _ in shown.lines).rstrip(".")] if shown.lines else []),
        *day_air.in_words(shown.day),
        day_strips.in_words(shown.strips, shown.us),
        profile.in_words(shown.soil),
    ]
    if record.has_reservoir:
        parts.append(f"Water in the drainage layer: {gap_words(record)}")
    parts.append(in_and_out.in_words(shown.amounts, shown.us))
    return said(". ".join(parts), shown.us) + "."
