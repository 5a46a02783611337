"""The courses of a forecast in words: water by depth, the water below, the air, in sentences and as tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.statement import Kind, Statement, View, state
from terralab.answers.forecast.course import depths_of
from terralab.quantities import column, quantity, unit_word
from terralab.simulation.record import Record

CELL = 16  # characters of a column


def soil_words(a: Answer, record: Record, days: int) -> str:
    """Water in the soil by depth and the water below, now and at the end."""
    first, last = a.table[0], a.table[-1]
    parts = []
    for name, span in depths_of(record).items():
        low, middle, high = last[f"water {name}"]
        where = "the whole soil" if name == "whole" else f"the {name} ({quantity('cm', '.0f', *span)})"
        parts.append(f"{where} {first[f'water {name}'][1]:.0f} % now, {middle:.0f} % ({low:.0f} to {high:.0f}) then")
    text = f"Water in the soil, by volume, now and after {wording.days(days)}: {'; '.join(parts)}."
    if record.has_reservoir:
        low, middle, high = last["gap"]
        between = f" ({wording.levels(low, high)})" if wording.level(low) != wording.level(high) else ""
        text += (
            f" The water below stands {wording.level(first['gap'][1])} now and {wording.level(middle)} then{between}."
        )
    return text


def wanted_words(details: Mapping[str, Any], as_now: bool) -> str:
    """For how much of the time it is as wanted, going on as now and with the recommended pour."""
    parts = []
    for name, span in details["as_wanted"].items():
        then = "" if as_now else f", with the recommended pour {_percent(details['as_wanted with the pour'][name])}"
        parts.append(f"{name} for {_percent(span)} of the time{then}")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."


def _percent(span: Sequence[float]) -> str:
    low, middle, high = (f"{100.0 * x:.0f}" for x in span)
    return f"{middle} %" if low == high else f"{middle} % ({low} to {high})"


def course_tables(a: Answer, record: Record) -> list[Statement]:
    """The course in steps: soil and water below, then the air."""
    names = [f"water {name}" for name in depths_of(record)]
    heads = [f"{name.removeprefix('water ')}, %" for name in names]
    gap = record.has_reservoir
    rows = []
    for row in a.table:
        cells = [column(_cell(row[name], ".0f"), CELL) for name in names]
        if gap:
            low, middle, high = row["gap"]
            inside = f"{quantity('cm', '.1f', middle, bare=True)} ({quantity('cm', '.1f', low, high, bare=True)})"
            cells.append(column(inside, CELL + 4))
        rows.append(f"{row['day']:>5}" + "".join(cells))
    heading = "  day" + "".join(f"{head:>{CELL}}" for head in heads)
    heading += column(f"below the mesh, {unit_word('cm')}", CELL + 4) if gap else ""
    out = state(Kind.TABLE, "Water in the soil by depth, going on as now:", under=[heading, *rows], views=View.ALL)
    rows = []
    for row in a.table[1:]:
        cells = [column(_cell(row[f"rh {part}"], ".0f"), CELL) for part in ("day", "night")]
        cells += [column(_degrees(row[f"C {part}"]), CELL) for part in ("day", "night")]
        rows.append(f"{row['day']:>5}" + "".join(cells))
    heading = f"  day{'day, %':>{CELL}}{'night, %':>{CELL}}" + "".join(
        column(f"{part}, {unit_word('°C')}", CELL) for part in ("day", "night")
    )
    return out + state(Kind.TABLE, "The air, means of that day and night:", under=[heading, *rows], views=View.ALL)


def _cell(span: Sequence[float], form: str) -> str:
    low, middle, high = (format(x, form) for x in span)
    return f"{middle} ({low} to {high})"


def _degrees(span: Sequence[float]) -> str:
    low, middle, high = span
    return f"{quantity('°C', '.0f', middle, bare=True)} ({quantity('°C', '.0f', low, high, bare=True)})"
