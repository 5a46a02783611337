"""A diary's table of text, whoever wrote it: its columns by their meaning, and its rows with their lines."""

from __future__ import annotations

import csv
import io
import os
import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path
from typing import Any

import numpy as np

from terralab.atomic_files import read_whole
from terralab.errors import FileError, TerralabError, advice, quoted
from terralab.logs.diary_words import SAID
from terralab.logs.source import refuse_endless

LARGEST_FILE = 2_000_000
LARGEST_UNPACKED = 20_000_000  # bytes, of a spreadsheet's parts together
MOST_ROWS = 20_000
SEPARATORS = {"\t": "tabs", ";": "semicolons", ",": "commas", "|": "bars"}
SPREADSHEETS = (".xlsx", ".xls", ".xlsm", ".ods")
COLUMNS = ("date", "time", "what", "how much", "note")
#: As people head their columns -> one of `COLUMNS`.
HEADINGS = {
    **{name: name for name in COLUMNS},
    **dict.fromkeys(("day", "when", "date and time", "date time", "datetime", "timestamp", "date/time"), "date"),
    **dict.fromkeys(("hour", "clock", "time of day", "at", "o'clock"), "time"),
    **dict.fromkeys(
        ("action", "event", "entry", "done", "what was done", "what i did", "task", "kind", "type"), "what"
    ),
    **dict.fromkeys(("amount", "quantity", "value", "measure", "how many", "qty", "reading", "number"), "how much"),
    **dict.fromkeys(("notes", "comment", "comments", "remark", "remarks", "which"), "note"),
}
_MOST = 10**300  # no amount; and Python writes no whole number of more than 4300 digits
_PLAIN = (bool, int, float, date, time)  # what a cell of a DataFrame may hold besides text
_UNIT = re.compile(r"(.*?)\s*(?:[\[(]\s*(.+?)\s*[\])]|,\s*(\S+))")


@dataclass(frozen=True)
class Row:
    """One row: its line in the file, and a cell for each column of the table."""

    line: int
    cells: tuple[Any, ...]


@dataclass(frozen=True)
class Table:
    """The columns by their meaning: `at` for `COLUMNS`, `wide` for a column of its own for something done; and the rows.

    `units`: of the columns whose heading gives one. `name`: how the source is called in messages. `how`: how it was read.
    """

    at: dict[str, int]
    wide: dict[int, str]
    units: dict[int, str]
    rows: tuple[Row, ...]
    name: str
    how: str
    left_out: tuple[str, ...] = ()


def table_of(source: object) -> Table:
    """Read a file, a text or a DataFrame into a table. Raises TerralabError."""
    if hasattr(source, "columns") and hasattr(source, "iloc"):
        return _from_frame(source, "the table")
    if isinstance(source, str) and ("\n" in source or "\r" in source):
        return _from_text(source, "the text")
    if not isinstance(source, (str, os.PathLike)):
        raise FileError(f"A diary is a file, a text of several lines, or a DataFrame; {quoted(source)} was given.")
    path = Path(source)
    if path.suffix.lower() in SPREADSHEETS:
        return _from_spreadsheet(path)
    return _from_text(_decoded(_bytes(path), path.name), path.name)


def _bytes(path: Path) -> bytes:
    shown = quoted(str(path))
    return read_whole(
        path,
        LARGEST_FILE,
        missing=f"There is no file {shown}. `terralab diary BOX` writes an empty diary to fill in.",
        larger=f"{shown} is larger than 2 MB, which is no diary. Give the table that you filled in by hand.",
        wanted="a CSV file, a text file or a spreadsheet (.xlsx)",
    )


def _decoded(content: bytes, name: str) -> str:
    """The text of a file: UTF-8, UTF-16 with its mark, or what Windows programs write."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encodings: tuple[str, ...] = ("utf-16",)
    else:
        encodings = ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" not in text:
            return text
    raise FileError(f"{name} is no text. Save the table as CSV and give that file.")


def _from_spreadsheet(path: Path) -> Table:
    content = _bytes(path)
    try:
        import pandas as pd

        if zipfile.is_zipfile(packed := io.BytesIO(content)):
            with zipfile.ZipFile(packed) as parts:
                refuse_endless(parts, path.name, LARGEST_UNPACKED)
        frame = pd.read_excel(io.BytesIO(content), dtype=object, nrows=MOST_ROWS + 1)
    except ImportError:
        raise FileError(
            f"{path.name}: reading a spreadsheet needs a library that is not here. Save it as CSV."
        ) from None
    except FileError:
        raise
    except Exception as error:  # a broken file makes its reader fail in any way
        text = " ".join(str(error).split())[:100]
        raise FileError(f"{path.name} cannot be read as a spreadsheet ({text}). Save it as CSV.") from None
    return _from_frame(frame, path.name)


def _from_frame(frame: Any, name: str) -> Table:
    headings = [" ".join(str(one).split()) for one in frame.columns]
    if len(frame) > MOST_ROWS:
        raise TerralabError(f"{name} has more than {MOST_ROWS} rows, which is no diary.")
    columns = [list(frame.iloc[:, k]) for k in range(len(headings))]
    rows = [Row(n + 2, tuple(map(_cell, cells))) for n, cells in enumerate(zip(*columns, strict=True))]
    return _table(headings, rows, name, "")


def _cell(value: Any) -> Any:
    """A cell as plain Python: a text, a number, a date or a time; "" where nothing stands in it, and any other thing as text."""
    if hasattr(value, "to_pydatetime") and str(value) != "NaT":
        return value.to_pydatetime(warn=False)
    if isinstance(value, np.datetime64):
        return "" if np.isnat(value) else value.astype("datetime64[s]").item()
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, int) and abs(value) > _MOST:
        return "a number that is too long to be shown"
    if value is None or str(value) in ("nan", "NaT", "<NA>"):
        return ""
    return value.strip() if isinstance(value, str) else value if isinstance(value, _PLAIN) else str(value)[:60]


def _from_text(text: str, name: str) -> Table:
    lines = text.splitlines()
    first = next((n for n, line in enumerate(lines) if not _is_comment(line)), None)
    if first is None:
        raise TerralabError(
            f"{name} holds no entry. Write one a line, and take the # away from the lines that you use."
        )
    if len(lines) > MOST_ROWS:
        raise TerralabError(f"{name} has {len(lines)} lines, which is no diary; allowed are {MOST_ROWS}.")
    mark = max(SEPARATORS, key=lambda one: _known(lines[first], one))
    if mark not in lines[first]:
        raise TerralabError(
            f"Line {first + 1} of {name}: {quoted(lines[first])} has no columns. The first line names them: {', '.join(COLUMNS)}."
        )
    # a comment may hold a lone quote, so it is blanked before the quotes are looked at
    plain = "\n".join("" if _is_comment(line) else line for line in lines)
    reader = csv.reader(io.StringIO(plain), delimiter=mark, strict=True, skipinitialspace=True)
    rows, begins = [], 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append(Row(begins, tuple(cell.strip() for cell in cells)))
            begins = reader.line_num + 1
    except csv.Error:
        raise TerralabError(
            f'Line {begins} of {name}: a quote (") opens there and does not close rightly. Write inches as "in", and a note without quotes.'
        ) from None
    headings = list(rows[0].cells)
    if not any(_meaning(one) in COLUMNS for one in headings) and re.match(r"\s*\d", headings[0]):
        return _table(list(COLUMNS[: len(headings)]), rows, name, f"separated by {SEPARATORS[mark]}, without headings")
    return _table(headings, rows[1:], name, f"separated by {SEPARATORS[mark]}")


def _is_comment(line: str) -> bool:
    return not line.strip(" \t,;|\"'") or line.lstrip(" \t\"'").startswith("#")


def _known(line: str, mark: str) -> tuple[int, int]:
    """How many headings a line has with a separator, those that are known first."""
    parts = line.split(mark)
    return sum(_meaning(part.strip().strip('"')) != "" for part in parts) if len(parts) > 1 else 0, len(parts)


def _meaning(heading: str) -> str:
    """The column of `COLUMNS`, or what of a diary, that a heading means; "" for neither."""
    word, _ = _heading(heading)
    return HEADINGS.get(word) or SAID.get(word, "")


def _heading(heading: str) -> tuple[str, str]:
    """The words of a heading in small letters, and the unit that it gives."""
    plain = " ".join(heading.replace("_", " ").replace("\u00a0", " ").split()).strip(":").lower()
    if (found := _UNIT.fullmatch(plain)) and found[1]:
        return found[1], found[2] or found[3]
    return plain, ""


def _table(headings: Sequence[str], rows: Sequence[Row], name: str, how: str) -> Table:
    at: dict[str, int] = {}
    wide: dict[int, str] = {}
    units: dict[int, str] = {}
    strange = []
    for k, heading in enumerate(headings):
        word, unit = _heading(heading)
        if unit:
            units[k] = unit
        if word in HEADINGS:
            if HEADINGS[word] in at:
                raise TerralabError(
                    f"{name} has two columns for the {HEADINGS[word]}, the second headed {quoted(heading)}."
                )
            at[HEADINGS[word]] = k
        elif word in SAID:
            wide[k] = SAID[word]
        elif word:
            strange.append(heading)
    missing = [one for one in ("date", "what") if one not in at and not (one == "what" and wide)]
    if missing:
        near = [advice(one.lower(), COLUMNS).split(" Known:")[0] for one in strange]
        hint = next((f" {quoted(s)}: {n}" for s, n in zip(strange, near, strict=True) if n.startswith("Did")), "")
        raise TerralabError(
            f"{name} has no column {quoted(missing[0])}; its first line names {', '.join(map(quoted, headings))}. "
            f"Allowed are the headings {', '.join(COLUMNS)}.{hint}"
        )
    if "what" in at:
        strange += [headings[k] for k in wide]
        wide = {}
    held = [one for one in rows if not (isinstance(c := one.cells[0] if one.cells else "", str) and c.startswith("#"))]
    if "separated by commas" in how and units.get(at.get("how much", -1)):
        for one in held:
            _no_comma_lost(one, at["how much"], name)
    fitting = tuple(_fitting(one, len(headings), at, name) for one in held)
    return Table(at, wide, units, fitting, name, how, tuple(strange))


def _no_comma_lost(row: Row, at: int, name: str) -> None:
    """Refuse what looks like a decimal comma that was taken for the end of a column, where the heading gives the unit."""
    pair = [str(cell) for cell in row.cells[at : at + 2]]
    if len(pair) == 2 and all(part.isdigit() for part in pair):
        raise TerralabError(
            f"Line {row.line} of {name} has {','.join(pair)}, which can be one number or two. Write {'.'.join(pair)}, or put it "
            "between quotes."
        )


def _fitting(row: Row, wanted: int, at: dict[str, int], name: str) -> Row:
    """A row with as many cells as there are headings; a note may hold the separator."""
    cells = list(row.cells)
    while len(cells) > wanted and cells[-1] in ("", None):
        cells.pop()
    if len(cells) > wanted:
        amount = cells[at["how much"]] if at.get("how much", wanted) < wanted else ""
        if at.get("note") != wanted - 1 or not re.search(r"[a-z%]", str(amount), re.IGNORECASE):
            raise TerralabError(
                f"Line {row.line} of {name} has {len(cells)} columns, the first line {wanted}. Put what holds the separating sign "
                'between quotes, such as "0,5 l".'
            )
        cells[wanted - 1 :] = [", ".join(str(one) for one in cells[wanted - 1 :])]
    return Row(row.line, (*cells, *[""] * (wanted - len(cells))))
