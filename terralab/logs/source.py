"""What a log is read from: a text file of any logger, a spreadsheet, or a table of pandas, as lines or as cells of text.

Nothing in a file is executed: a formula counts with the value last computed for it, and a link stays text.
"""

from __future__ import annotations

import datetime
import io
import os
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING

from terralab.atomic_files import read_whole
from terralab.errors import FileError, TerralabError, UnknownName, quoted

if TYPE_CHECKING:
    import pandas

LARGEST_FILE = 200_000_000  # bytes
LARGEST_UNPACKED = 400_000_000  # bytes, of a spreadsheet's parts together
MOST_PARTS = 2_000  # files within a spreadsheet
MOST_ROWS = 1_000_000
MOST_COLUMNS = 200
LONGEST_CELL = 500  # letters that are looked at
_ZIP, _OLD_SHEET, _GZIP = b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"\x1f\x8b"
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe\x00\x00", "utf-32"), (b"\x00\x00\xfe\xff", "utf-32"))
_MARKS_16 = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))

Row = list[str]


@dataclass(frozen=True)
class Source:
    """What was opened: its `name` for sentences, and either `lines` of text or `sheets`, by name, of rows of cells.

    `headed`: True where the first row is known to hold the names of the columns.
    """

    name: str
    lines: list[str] | None = None
    sheets: dict[str, list[Row]] | None = None
    encoding: str = ""
    headed: bool = False


def opened(source: object, sheet: str | None) -> Source:
    """Return what `source` holds: a path, or a pandas DataFrame; `sheet` names one of a spreadsheet. Raises `FileError`."""
    if type(source).__module__.startswith("pandas") and hasattr(source, "columns"):
        if sheet is not None:
            raise TerralabError(f"sheet: {quoted(sheet)} was given, but a DataFrame has no sheets. Leave it out.")
        return Source("the table", sheets={"": _of_frame(source)}, headed=True)  # type: ignore[arg-type]
    if not isinstance(source, (str, os.PathLike)):
        raise FileError(
            f"A log is read from a file or from a DataFrame of pandas; {quoted(source)} was given. Give the path of the file."
        )
    shown = quoted(str(source))
    content = _content(Path(source), shown)
    if content.startswith(_ZIP):
        return Source(shown, sheets=_spreadsheet(content, shown, sheet))
    if sheet is not None:
        raise FileError(f"sheet: {quoted(sheet)} was given, but {shown} is no spreadsheet. Leave it out.")
    if content.startswith(_OLD_SHEET):
        raise FileError(f"{shown} is a spreadsheet of an old kind. Save it as .xlsx or as CSV, and give that file.")
    if content.startswith(_GZIP):
        raise FileError(f"{shown} is packed. Unpack it first, and give the file inside.")
    text, encoding = _decoded(content, shown)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_ROWS:
        raise FileError(
            f"{shown} has {len(lines):,} lines; at most {MOST_ROWS:,} are read. Cut the log, or thin it out."
        )
    return Source(shown, lines=lines, encoding=encoding)


def _content(path: Path, shown: str) -> bytes:
    content = read_whole(
        path,
        LARGEST_FILE,
        missing=f"There is no file called {shown}. Check its name and folder.",
        larger=f"{shown} is larger than {LARGEST_FILE // 1_000_000} MB. Cut the log, or thin it out.",
        wanted="a CSV file, a text file or a spreadsheet (.xlsx)",
    )
    if not content.strip(b"\x00 \t\r\n"):
        raise FileError(f"{shown} is empty. Read the logger out again.")
    return content


def _decoded(content: bytes, shown: str) -> tuple[str, str]:
    """The text of the bytes and the name of its encoding; what holds characters no text has is refused."""
    no_text = FileError(f"{shown} is not a text file and not a spreadsheet (.xlsx). Export the log as CSV.")
    encoding = next((name for mark, name in (*_MARKS, *_MARKS_16) if content.startswith(mark)), "")
    if not encoding and b"\x00" in content[:2000]:
        # without a mark: Western letters in two bytes have every other one empty
        start = content[:2000]
        encoding = "utf-16-le" if start[1::2].count(0) > start[::2].count(0) else "utf-16-be"
    try:
        text = content.decode(encoding or "utf-8")
    except UnicodeDecodeError:
        if encoding.startswith(("utf-16", "utf-32")):
            text = content.decode(encoding, errors="replace")
        else:
            encoding = "windows-1252"
            try:
                text = content.decode("cp1252")
            except UnicodeDecodeError:
                encoding, text = "latin-1", content.decode("latin-1")
    look = text[:100_000]
    odd = sum(
        1 for letter in look if (letter < " " and letter not in "\t\r\n\f") or letter == "\ufffd" or letter > "\ud7ff"
    )
    if odd > 0.01 * len(look) + 1:
        raise no_text
    return text.replace("\x00", "").replace("\ufeff", ""), encoding or "utf-8"


def _of_frame(frame: pandas.DataFrame) -> list[Row]:
    import pandas

    if len(frame) > MOST_ROWS or frame.shape[1] > MOST_COLUMNS:
        raise TerralabError(
            f"The table has {len(frame):,} rows and {frame.shape[1]} columns; at most {MOST_ROWS:,} and {MOST_COLUMNS} are read. "
            "Thin it out."
        )
    if not isinstance(frame.index, pandas.RangeIndex):
        names = [str(name) if name is not None else "time" for name in frame.index.names]
        columns = [_column(frame.index.get_level_values(level)) for level in range(frame.index.nlevels)]
    else:
        names, columns = [], []
    for place, name in enumerate(frame.columns):
        names.append(" ".join(str(part) for part in name) if isinstance(name, tuple) else str(name))
        columns.append(_column(frame.iloc[:, place]))
    return [names, *map(list, zip(*columns, strict=True))]


def _column(values: object) -> list[str]:
    import pandas

    if isinstance(getattr(values, "dtype", None), pandas.PeriodDtype):
        values = values.to_timestamp() if isinstance(values, pandas.PeriodIndex) else values.dt.to_timestamp()  # type: ignore[attr-defined]
    return [written(one) for one in values.tolist()]  # type: ignore[attr-defined]


def _spreadsheet(content: bytes, shown: str, sheet: str | None) -> dict[str, list[Row]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if "xl/workbook.xml" not in packed.namelist():
                raise FileError(f"{shown} is packed, but no spreadsheet (.xlsx). Save the log as .xlsx or as CSV.")
            refuse_endless(packed, shown, LARGEST_UNPACKED)
        return _sheets(io.BytesIO(content), shown, sheet)
    except TerralabError:
        raise
    except Exception as error:  # whatever a broken file does to the library that reads it
        raise FileError(
            f"{shown} cannot be read as a spreadsheet ({type(error).__name__}). Open it, and save the log as CSV."
        ) from None


def refuse_endless(packed: zipfile.ZipFile, shown: str, most: int) -> None:
    """Refuse a spreadsheet that would unpack to more than `most` bytes, called `shown`. Raises `FileError`."""
    parts = packed.infolist()
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > most:
        raise FileError(f"{shown} unpacks to more than {most // 1_000_000} MB. Save its table as CSV.")
    for part in parts:
        if part.filename.endswith((".xml", ".rels")):
            with packed.open(part) as stream:
                # a spreadsheet program writes none; with one a small file can grow without end
                if b"<!DOCTYPE" in stream.read(4096):
                    raise FileError(f"{shown} holds what no spreadsheet needs. Save its table as CSV.")


def _sheets(file: io.BytesIO, shown: str, sheet: str | None) -> dict[str, list[Row]]:
    import warnings

    import openpyxl

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of styles and extensions it does not know; values are all that counts
        book = openpyxl.load_workbook(file, read_only=True, data_only=True, keep_links=False)
        try:
            tables = {one.title: one for one in book.worksheets}
            if sheet is not None and sheet not in tables:
                raise UnknownName.among("sheet in the file", sheet, tables)
            wanted = tables if sheet is None else {sheet: tables[sheet]}
            return {title: _rows(one, shown) for title, one in wanted.items()}
        finally:
            book.close()


def _rows(table: object, shown: str) -> list[Row]:
    rows: list[Row] = []
    blank = 0
    for cells in _cells(table):
        row = [written(cell.value, getattr(cell, "number_format", "")) for cell in cells]
        while row and not row[-1]:
            row.pop()
        # a sheet may be formatted far below its last row
        blank = 0 if row else blank + 1
        if blank > 10_000:
            break
        rows.append(row)
        if len(rows) > MOST_ROWS:
            raise FileError(f"{shown} has more than {MOST_ROWS:,} rows. Cut the log, or thin it out.")
    while rows and not rows[-1]:
        rows.pop()
    return rows


def _cells(table: object) -> Iterator[tuple]:
    table.reset_dimensions()  # type: ignore[attr-defined]  # what a file says of its own size may be wrong
    yield from table.iter_rows(max_col=MOST_COLUMNS)  # type: ignore[attr-defined]


def written(value: object, form: str = "") -> str:
    """Return a cell as text that is read like that of a text file; empty for nothing.

    >>> written(21.5), written(0.655, "0.0%"), written(None), written(datetime.datetime(2026, 5, 1, 8, 5))
    ('21.5', '65.5 %', '', '2026-05-01 08:05:00')
    """
    if value is None or type(value).__name__ in ("NAType", "NaTType") or (isinstance(value, float) and isnan(value)):
        return ""
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, (datetime.datetime, datetime.date, datetime.time)):
        return str(value)
    if isinstance(value, datetime.timedelta):
        seconds = round(value.total_seconds())
        return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}" if 0 <= seconds < 864_000 else ""
    if isinstance(value, float) and "%" in form:
        return f"{round(100.0 * value, 9):.12g} %"
    return " ".join(str(value)[:LONGEST_CELL].split())
