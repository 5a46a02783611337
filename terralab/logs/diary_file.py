"""Read a diary from a file, a text or a table, and say how it was read."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time
from typing import Any

import numpy as np

from terralab.errors import TerralabError, quoted
from terralab.logs.diary import WHATS, Diary, Entry, minute
from terralab.logs.diary_table import Row, Table, table_of
from terralab.logs.diary_times import day_and_rest, moment, order_of
from terralab.logs.diary_words import amount_of, what_of
from terralab.measured import US_UNITS
from terralab.quantities import quantity, said
from terralab.units import parse, written_as

MOST_PROBLEMS = 5  # told at once
LITRES_FROM_ML = 3000.0  # below it millilitres read better
#: What is counted, for one and for several; those in ml are added up.
_COUNTED = {
    "poured": ("pour", "pours"),
    "sprayed": ("spray", "sprays"),
    "siphoned": ("time siphoned", "times siphoned"),
    "dish filled": ("filling of the dish", "fillings of the dish"),
    "hide wetted": ("wetting of the hide", "wettings of the hide"),
    "siphoned to": ("time siphoned to a level", "times siphoned to a level"),
    "gap below mesh": ("gap below the mesh", "gaps below the mesh"),
    "water depth": ("depth of water", "depths of water"),
    "lid covered": ("change of the lid", "changes of the lid"),
    "lamp": ("change of a lamp", "changes of a lamp"),
    "box weighs": ("weight of the box", "weights of the box"),
    "bottle weighs": ("weight of the bottle", "weights of the bottle"),
    "leaves wet": ("look at wet leaves", "looks at wet leaves"),
}


def read_diary(source: Any, *, day_first: bool | None = None, usual_time: str | None = None) -> Diary:
    """Read a diary, a table of what was done to a box and weighed of it, and return its entries in their order of time.

    source: a CSV file or a spreadsheet, a text of several lines, or a pandas DataFrame, with the columns date, time, what, how
    much and note, in any order; a line that begins with # is left out. What may stand in `what`: poured, sprayed, siphoned,
    siphoned to, dish filled, hide wetted, gap below mesh, water depth, lid covered, lamp, box weighs, bottle weighs, leaves wet. Amounts have
    their unit, "120 ml", "17 fl oz", "3 cm", "60 %", "13 lb 4 oz", or the heading gives it, "how much (ml)". day_first: whether
    3/8/2026 is 3 August, where no date tells it. usual_time: the time that stands for lines without one, such as "18:00". A line
    without a date counts for the day above it. Nothing in a file is executed. Raises TerralabError, which names the line, what
    was given and what is allowed.
    """
    if day_first is not None and not isinstance(day_first, bool):
        raise TerralabError(f"day_first must be True, False or None; {quoted(day_first)} was given.")
    if usual_time is not None:
        parse(usual_time, "time of day", "s", field="usual_time")
    table = table_of(source)
    days = [(row.line, text) for row in table.rows if isinstance(text := row.cells[table.at["date"]], str) and text]
    try:
        order = order_of(days, day_first)
    except TerralabError as error:
        raise TerralabError(f"{table.name}: {error}") from None
    entries: list[Entry] = []
    problems: list[str] = []
    notes = {"above": 0, "usual": 0}
    last: date | None = None
    us = 0
    for row in table.rows:
        try:
            last, rest = _day(table, row, last, order, notes)
            when = _when(table, row, last, rest, usual_time, notes)
            for entry, typed_us in _entries(table, row, when):
                entries.append(entry)
                us += typed_us
        except TerralabError as error:
            problems.append(f"line {row.line}: {error}")
    if problems:
        raise TerralabError(_told(problems, table.name))
    if not entries:
        raise TerralabError(
            f"{table.name} holds no entry. Write one a line, and take the # away from the lines that you use."
        )
    kept = sorted(dict.fromkeys(entries), key=lambda one: one.when)
    return Diary(tuple(kept), _understood(table, kept, len(entries) - len(kept), order, notes, usual_time, us))


def _told(problems: list[str], name: str) -> str:
    if len(problems) == 1:
        return f"{name}, {problems[0]}"
    more = len(problems) - MOST_PROBLEMS
    lines = [f"{len(problems)} lines of {name} need a change:", *(f"  - {one}" for one in problems[:MOST_PROBLEMS])]
    return "\n".join([*lines, f"  - and {more} more."] if more > 0 else lines)


def _day(
    table: Table, row: Row, last: date | None, order: bool | None, notes: dict[str, int]
) -> tuple[date, str | time]:
    """The day of a row, and the time that stands behind it; `last` is the day of the row above."""
    given = row.cells[table.at["date"]]
    if given != "":
        return day_and_rest(given, order)
    if last is None:
        raise TerralabError('date: nothing was given; write a date such as "2026-08-03".')
    notes["above"] += 1
    return last, ""


def _when(
    table: Table, row: Row, day: date, rest: str | time, usual: str | None, notes: dict[str, int]
) -> np.datetime64:
    """The moment of a row, whose date cell gave the day and the `rest`."""
    hour = row.cells[table.at["time"]] if "time" in table.at else ""
    if hour == "":
        hour = rest
    elif rest != "" and moment(day, hour) != moment(day, rest):
        raise TerralabError(
            f"time: {quoted(str(hour))} was given, beside {quoted(str(rest))} with the date. Keep one of them."
        )
    if hour == "":
        if usual is None:
            raise TerralabError(
                'time: nothing was given. Write one, even a rough one such as "18:00", or say usual_time="18:00" for all.'
            )
        hour = usual
        notes["usual"] += 1
    return moment(day, hour)


def _entries(table: Table, row: Row, when: np.datetime64) -> Iterator[tuple[Entry, bool]]:
    """The entries of a row, and whether each was typed in a unit of the US."""
    note = str(row.cells[table.at["note"]]).strip() if "note" in table.at else ""
    if table.wide:
        for k, what in table.wide.items():
            if row.cells[k] != "":
                yield _entry(when, what, row.cells[k], table.units.get(k, ""), note, "")
        return
    given = row.cells[table.at["what"]]
    if given == "":
        raise TerralabError(f"what: nothing was given. Write one of: {', '.join(WHATS)}.")
    what, name = what_of(str(given))
    place = table.at.get("how much")
    raw = "" if place is None else row.cells[place]
    yield _entry(when, what, raw, "" if place is None else table.units.get(place, ""), note, name)


def _entry(when: np.datetime64, what: str, raw: Any, unit: str, note: str, name: str) -> tuple[Entry, bool]:
    if isinstance(raw, bool) or not isinstance(raw, (str, int, float)):
        raise TerralabError(
            f'how much: {quoted(str(raw))} was given; allowed is an amount with its unit, such as "120 ml".'
        )
    if raw == "" and WHATS[what]:
        raise TerralabError(f"how much: nothing was given for {quoted(what)}. Write an amount with its unit.")
    amount, step = amount_of(what, raw, unit)
    return Entry(when, what, amount, note, name, step), _is_us(str(raw), unit)


def _is_us(raw: str, unit: str) -> bool:
    for kind in ("volume", "length", "weight"):
        try:
            typed = written_as(raw if any(one.isalpha() for one in raw) else f"{raw} {unit}", kind)
        except TerralabError:
            continue
        if typed is not None:
            return typed[1] in (*US_UNITS, "lb", "oz")
    return "lb" in raw.lower() or "oz" in raw.lower()


def _understood(
    table: Table,
    entries: list[Entry],
    twice: int,
    order: bool | None,
    notes: dict[str, int],
    usual: str | None,
    us: int,
) -> str:
    """One paragraph on how the diary was read."""
    first, final = (minute(one.when) for one in (entries[0], entries[-1]))
    parts = []
    for what, words in _COUNTED.items():
        found = [one for one in entries if one.what == what]
        if not found:
            continue
        ml = sum(one.amount or 0.0 for one in found)
        total = quantity("ml", ".0f", ml) if ml < LITRES_FROM_ML else quantity("l", ".2f", ml / 1000.0)
        parts.append(f"{len(found)} {words[len(found) > 1]}" + (f" ({total} in all)" if WHATS[what] == "ml" else ""))
    text = [
        f"Read {len(entries)} {'entries' if len(entries) > 1 else 'entry'} from {first} to {final}: {', '.join(parts)}."
    ]
    how = [table.how] if table.how else []
    if order is not None:
        how.append("dates such as 3/8 begin with the day" if order else "dates such as 8/3 begin with the month")
    if how:
        text.append(f"The table is read as {'; '.join(how)}.")
    if notes["above"]:
        text.append(f"{_lines(notes['above'])} without a date count for the day above.")
    if notes["usual"]:
        text.append(f"{_lines(notes['usual'])} without a time count at {usual}.")
    if twice:
        text.append(f"{_lines(twice)} that stood there twice count once.")
    if table.left_out:
        text.append(f"Not used: {', '.join(map(quoted, table.left_out))}.")
    return said(" ".join(text), us=2 * us > len([one for one in entries if one.amount is not None]))


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"
