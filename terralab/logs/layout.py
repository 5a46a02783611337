"""Where in a file the log stands: what parts the columns, which lines come before the header, which rows hold readings."""

from __future__ import annotations

import csv
import io
import re
import warnings
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from terralab.errors import TerralabError, quoted
from terralab.logs.cells import is_nothing, is_number, plain_text
from terralab.logs.source import MOST_COLUMNS, Row, Source
from terralab.logs.times import is_when

if TYPE_CHECKING:
    import pandas

SEPARATORS = {"\t": "tab", ";": "semicolon", "|": "bar", ",": "comma"}
_BLANKS = " "
_LOOK = 400  # lines at the beginning from which all is judged
_UNIT_CELL = re.compile(
    r"[\[(]?\s*(°?\s*[cfk]|°|deg ?[cfk]|[?�â]*°? ?[cf]|celsius|fahrenheit|%|% ?rh|%? ?r\.?h\.?|% ?rf|percent|g/m3|g/m\^3|hpa|mbar|kpa|pa|ppm|lux|lx|v|mv"
    r"|w|watt|s|min|h|dbm|[ymdhst:/. -]{4,20}|utc|gmt|local|n/a|-|none|text|date|time|datetime|dd.*yy|yy.*dd|hh.*)\s*[\])]?"
)


@dataclass(frozen=True)
class Sheet:
    """A log as columns of text: their `names` and `units` (empty where none stands there), and all cells.

    `preamble`: the lines before the header. `separator`: in words, empty for a spreadsheet. `unread`: lines that no row of this
    table can be.
    """

    names: tuple[str, ...]
    units: tuple[str, ...]
    cells: pandas.DataFrame
    preamble: str = ""
    separator: str = ""
    unread: int = 0
    named: bool = True


def laid_out(source: Source, separator: str | None) -> Sheet:
    """Return the one table of readings in what was opened. Raises `TerralabError` where there is none, or more than one."""
    if source.lines is not None:
        return _of_lines(source.lines, source.name, separator)
    if separator is not None:
        raise TerralabError(
            f"separator: {quoted(separator)} was given, but {source.name} is no text file. Leave it out."
        )
    found: dict[str, Sheet] = {}
    refused: list[TerralabError] = []
    for title, rows in (source.sheets or {}).items():
        try:
            found[title] = _of_rows(rows, source.name, source.headed)
        except TerralabError as error:
            refused.append(error)
    if len(found) > 1:
        names = ", ".join(quoted(title) for title in found)
        raise TerralabError(
            f"{source.name} has readings on {len(found)} sheets: {names}. Say which, as sheet={quoted(next(iter(found)))}."
        )
    if not found:
        raise refused[0] if len(refused) == 1 else _no_rows(source.name)
    return next(iter(found.values()))


def _no_rows(name: str) -> TerralabError:
    return TerralabError(
        f"In {name} no rows with a time and a reading were found. A log has one row for each time, such as "
        '"2026-05-01 10:00, 21.5, 83", below the names of its columns.'
    )


def _of_lines(lines: list[str], name: str, wanted: str | None) -> Sheet:
    look = [line for line in lines[:_LOOK] if line.strip()]
    if wanted is not None:
        mark = (
            {word: one for one, word in SEPARATORS.items()}
            | {one: one for one in SEPARATORS}
            | {"blank": _BLANKS, " ": _BLANKS}
        )
        if not isinstance(wanted, str) or wanted not in mark:
            allowed = ", ".join(f'"{word}"' for word in (*SEPARATORS.values(), "blank"))
            raise TerralabError(f"separator must be one of {allowed}; {quoted(wanted)} was given.")
        candidates = [mark[wanted]]
    else:
        candidates = [*SEPARATORS, _BLANKS]
    scored = [(_score(look, one), -place, one) for place, one in enumerate(candidates)]
    best, _, chosen = max(scored)
    if best <= 0.0:
        raise _no_rows(name)
    return _of_text(lines, name, chosen)


def _split(lines: list[str], separator: str) -> list[Row]:
    if separator == _BLANKS:
        return [line.split() for line in lines]
    try:
        rows = list(csv.reader(lines, delimiter=separator, skipinitialspace=True))
    except csv.Error:
        rows = [line.split(separator) for line in lines]
    return [[" ".join(cell.split()) for cell in row] for row in rows]


def _score(lines: list[str], separator: str) -> float:
    """How well the lines come apart at `separator`: the share of rows of readings, and of these the share of clean cells."""
    if separator != _BLANKS and not any(separator in line for line in lines):
        return 0.0
    rows = _split(lines, separator)
    data = [row for row in rows if _is_data(row)]
    if not data:
        return 0.0
    cells = [cell for row in data for cell in row]
    clean = sum(
        not cell or is_number(cell) or is_when(cell) or is_nothing(cell) or cell.isalpha() for cell in cells
    ) / len(cells)
    widths = Counter(len(row) for row in data)
    even = widths.most_common(1)[0][1] / len(data)
    # blanks part dates from times and words from words, so they count only where nothing else parts the rows
    return len(data) / len(rows) * clean**2 * even * (0.5 if separator == _BLANKS else 1.0)


def _is_data(row: Row) -> bool:
    """Whether the row can hold readings: mostly values, a time or two numbers among them."""
    held = [cell for cell in row if cell]
    if len(held) < 2:
        return False
    whens = sum(is_when(cell) for cell in held)
    numbers = sum(is_number(cell) for cell in held)
    nothing = sum(is_nothing(cell) for cell in held)
    values = whens + sum(not is_when(cell) and (is_number(cell) or is_nothing(cell)) for cell in held)
    return values >= 0.5 * len(held) and (numbers >= 2 or (whens >= 1 and (numbers + nothing >= 1 or whens >= 3)))


def _start(rows: list[Row]) -> int | None:
    """The first row of readings: it and most of the next ten are such."""
    flags = [_is_data(row) for row in rows]
    for k, flag in enumerate(flags):
        if flag:
            ahead = [one for one, row in zip(flags[k : k + 11], rows[k : k + 11], strict=True) if any(row)]
            if sum(ahead) >= 0.6 * len(ahead):
                return k
    return None


def _of_text(lines: list[str], name: str, separator: str) -> Sheet:
    look = _split(lines[:_LOOK], separator)
    if len(look) != len(lines[:_LOOK]):  # a text in quotes runs over lines: take them as they stand
        look = [line.split(separator) for line in lines[:_LOOK]]
    start = _start(look)
    if start is None:
        raise _no_rows(name)
    names, units, above = _heads(look, start)
    if separator == _BLANKS:
        names = _names_of_blanks(lines[above] if above is not None else "", names, look[start])
        lines = ["\t".join(line.split()) for line in lines]
        separator = "\t"
        word = "blanks"
    else:
        word = SEPARATORS[separator]
    body = [line for line in lines[start:] if line.strip()]
    widths = Counter(line.count(separator) + 1 for line in body)
    usual = widths.most_common(1)[0][0]
    if usual > MOST_COLUMNS:
        raise TerralabError(
            f"{name} has {usual} columns; at most {MOST_COLUMNS} are read. Keep those of time, temperature and humidity."
        )
    if names is not None and separator == ",":
        _no_lost_decimals(look[start:], len(names), name)
    kept = [line for line in body if line.count(separator) < MOST_COLUMNS]
    width = max(line.count(separator) + 1 for line in kept)
    cells = _frame(kept, separator, width)
    preamble = "\n".join(lines[: start if above is None else above])
    return _finished(names, units, cells, preamble, word, len(body) - len(kept))


def _no_lost_decimals(rows: list[Row], named: int, name: str) -> None:
    """Refuse rows in which commas both part columns and stand in numbers."""
    data = [row for row in rows if _is_data(row)]
    widths = Counter(len(row) - (1 if row and not row[-1] else 0) for row in data)
    usual = widths.most_common(1)[0][0]
    if named >= 2 and usual > named:
        raise TerralabError(
            f"In {name} the header names {named} columns, but the rows have {usual} parts. Commas may both part the columns and stand "
            'in the numbers ("21,5" read as 21 and 5). Export the log with a decimal point, or with semicolons between columns.'
        )


def _frame(lines: list[str], separator: str, width: int) -> pandas.DataFrame:
    import pandas

    settings: dict[str, Any] = {
        "sep": separator, "header": None, "names": range(width), "dtype": str, "keep_default_na": False, "na_filter": False,
        "index_col": False, "skipinitialspace": True, "on_bad_lines": "skip", "engine": "c", "skip_blank_lines": True,
    }  # fmt: skip
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of rows longer than the others; they are counted by whoever reads their cells
        try:
            cells = pandas.read_csv(io.StringIO("\n".join(lines)), **settings)
            lost = len(cells) < 0.5 * len(lines)  # a stray quotation mark swallowed the lines after it
        except (pandas.errors.ParserError, ValueError, OverflowError):
            lost = True
        if lost:
            cells = pandas.read_csv(io.StringIO("\n".join(lines)), **settings, quoting=csv.QUOTE_NONE)
    return cells.fillna("").astype(object)


def _names_of_blanks(line: str, names: list[str] | None, first: Row) -> list[str] | None:
    """Names of columns where only blanks part them: by two blanks or tabs if that gives as many as the rows have."""
    if names is None or len(names) == len(first):
        return names
    wide = [part for part in re.split(r"\s{2,}|\t", line.strip()) if part]
    if len(wide) == len(first):
        return wide
    # a date and a time below one name
    if len(wide) == len(first) - 1:
        return [wide[0], wide[0], *wide[1:]]
    if len(names) == len(first) - 1:
        return [names[0], names[0], *names[1:]]
    return None


def _of_rows(rows: list[Row], name: str, headed: bool) -> Sheet:
    import pandas

    look = rows[:_LOOK]
    start = 1 if headed and len(rows) > 1 else _start(look)
    if start is None:
        raise _no_rows(name)
    if headed:
        units: list[str] = []
        heads: list[str] | None = list(rows[0])
        above: int | None = 0
    else:
        heads, units, above = _heads(look, start)
    body = [row for row in rows[start:] if any(row)]
    width = max((len(row) for row in body), default=0)
    if width == 0:
        raise _no_rows(name)
    cells = pandas.DataFrame([row + [""] * (width - len(row)) for row in body], columns=range(width), dtype=object)
    preamble = "\n".join(" ".join(row) for row in rows[: start if above is None else above])
    return _finished(heads, units, cells, preamble, "", 0)


def _heads(rows: list[Row], start: int) -> tuple[list[str] | None, list[str], int | None]:
    """The names and units of the columns from the rows above the first readings, and the row at which the header begins."""
    above = [k for k in range(start) if any(rows[k])]
    width = len(rows[start])
    head = lambda k: [cell.strip().strip("#").strip() if place == 0 else cell for place, cell in enumerate(rows[k])]  # noqa: E731
    if not above or not _names_columns(head(above[-1]), width):
        return None, [], None
    at = above[-1]
    units: list[str] = []
    if len(above) > 1 and _all_units(head(at)) and _names_columns(head(above[-2]), width):
        units = head(at)
        at = above[-2]
    names = head(at)
    if units:  # a name that stands over two columns
        names = [name or (names[k - 1] if k and k < len(units) and units[k] else "") for k, name in enumerate(names)]
        for k in range(1, len(names)):
            if not names[k] and k < len(units) and units[k]:
                names[k] = names[k - 1]
    before = [k for k in above if k < at]
    twice = len({plain_text(name) for name in names if name}) < sum(bool(name) for name in names)
    if before and before[-1] == at - 1 and (twice or not names[-1]):
        group = head(before[-1])
        if len(group) > 1 and any(group[1:]) and not _is_data(group):
            names = _grouped(group, names)
            at = before[-1]
    return names, units, at


def _grouped(group: Row, names: list[str]) -> list[str]:
    """Names below the words of the row above, each of which stands over its own column and those after it."""
    held, out = "", []
    for k, name in enumerate(names):
        held = group[k] if k < len(group) and group[k] else held
        out.append(f"{held} {name}".strip() if held else name)
    return out


def _names_columns(row: Row, width: int) -> bool:
    held = [cell for cell in row if cell]
    if len(held) < min(2, width) or _is_data(row):
        return False
    return sum(is_number(cell) or is_when(cell) for cell in held) <= 0.4 * len(held) and len(row) >= 0.5 * width


def _all_units(row: Row) -> bool:
    held = [plain_text(cell) for cell in row if cell]
    return bool(held) and all(_UNIT_CELL.fullmatch(cell) for cell in held)


def _finished(
    names: list[str] | None, units: list[str], cells: pandas.DataFrame, preamble: str, separator: str, unread: int
) -> Sheet:
    width = cells.shape[1]
    for column in cells.columns:
        cells[column] = cells[column].str.replace(r"\s+", " ", regex=True).str.strip().str.strip('"')
    given = [name.strip('"') for name in names] if names is not None else []
    titles: list[str] = []
    for k in range(width):
        title = given[k][:120] if k < len(given) and given[k] else f"column {k + 1}"
        again = sum(plain_text(one) == plain_text(title) for one in given[:k]) if k < len(given) else 0
        titles.append(f"{title} ({again + 1})" if again else title)
    filled = [k for k in range(width) if (cells[k] != "").any()]
    if len(filled) < width:
        cells = cells[filled]
        cells.columns = range(len(filled))
    kinds = tuple(units[k] if k < len(units) else "" for k in filled)
    return Sheet(tuple(titles[k] for k in filled), kinds, cells, preamble, separator, unread, names is not None)
