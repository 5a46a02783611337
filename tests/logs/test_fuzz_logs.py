"""Logs from strangers: whatever stands in a file, there is a log that can be trusted or a sentence; never a traceback or a warning."""

from __future__ import annotations

import io
import re
import tempfile
import warnings
import zipfile
from pathlib import Path

import numpy as np
import openpyxl
import pandas
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import terralab as tl
from terralab.errors import FileError, TerralabError
from terralab.logs import source
from tests.logs.layouts import BOX_ALONE, BOX_AND_ROOM

SOME = settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
#: Short beginnings of some layouts, as bytes.
SEEDS = {
    name: (text if isinstance(text, bytes) else text.encode())[:1400]
    for name, (text, _) in (BOX_ALONE | BOX_AND_ROOM).items()
    if name in ("plain", "decimal commas", "fahrenheit and am pm", "lines before the header", "blanks", "utf-16", "epoch seconds", "offset behind",
                "below each other", "a row of places above", "commas in quotes", "serial days", "bars")
}  # fmt: skip
ODD_CELLS = ["=1+1", "=cmd|' /C calc'!A0", "1e400", "-1e308", "nan", "∞", "٣", "99999999999999999999", "0x10", "31/02/2026", "2026-13-45", "25:61", '"',
             "'", '""', "\x00", "🐸", "a" * 3000, "1,2,3", "--", "", "<script>", "00:00", "1_000", "12.05.2026", "Z", "%", "°", "#REF!", "-", "+", "."]  # fmt: skip


def sane(make) -> tl.Log | None:
    """The log, None where it was refused in good order; anything else is the test's failure."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            log = make()
        except TerralabError as refused:
            said = str(refused)
            assert 20 < len(said) < 3000, said
            assert not re.search(r"object at 0x|Traceback|<class|NoneType|DataFrame\b.*\n", said), said
            return None
    assert len(log.times) >= 2
    assert log.times.dtype == "datetime64[s]"
    assert (np.diff(log.times).astype(int) > 0).all()
    assert 1989 < log.first_day.year < 2101
    assert 0.0 <= log.missing_share < 1.0
    assert log.sensors
    for one in log.sensors.values():
        assert one.temperature_c is not None or one.humidity is not None
        for values, low, high in ((one.temperature_c, -30, 70), (one.humidity, 0, 100)):
            if values is not None:
                assert len(values) == len(log.times)
                held = values[np.isfinite(values)]
                assert ((held >= low) & (held <= high)).all()
        if one.at_least is not None:
            assert one.at_least.dtype == bool
    assert re.search(r"\d rows from \d", log.understood)
    assert len(log.understood) < 5000
    return log


def read(content: bytes, **options) -> tl.Log | None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(content)
        return sane(lambda: tl.read_log(path, **options))


@st.composite
def mangled(draw):
    """A file with bytes changed, lines cut, doubled, shuffled or joined, columns exchanged, odd cells; or no log at all."""
    content = SEEDS[draw(st.sampled_from(sorted(SEEDS)))]
    deed = draw(st.sampled_from(["cut", "bytes", "lines", "cells", "columns", "noise", "text", "joined", "glued"]))
    if deed == "cut":
        return content[draw(st.integers(0, 200)) : draw(st.integers(0, len(content)))]
    if deed == "bytes":
        held = bytearray(content)
        for _ in range(draw(st.integers(1, 12))):
            held[draw(st.integers(0, len(held) - 1))] = draw(st.integers(0, 255))
        return bytes(held)
    if deed == "noise":
        return draw(st.binary(max_size=600))
    if deed == "text":
        return draw(st.text(max_size=400)).encode("utf-8", "surrogatepass")
    if deed == "glued":
        return content + SEEDS[draw(st.sampled_from(sorted(SEEDS)))]
    lines = content.decode("latin-1").split("\n")
    mark = draw(st.sampled_from([",", ";", "\t", "|", " "]))
    if deed == "lines":
        for _ in range(draw(st.integers(1, 8))):
            a, b = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
            lines[a] = lines[b]
    elif deed == "joined":
        a = draw(st.integers(0, len(lines) - 1))
        lines[a:] = [mark.join(lines[a:])]
    elif deed == "columns":
        order = draw(st.permutations(range(5)))
        lines = [mark.join(parts[k] for k in order if k < len(parts)) for parts in (line.split(mark) for line in lines)]
    else:
        odd = draw(st.sampled_from(ODD_CELLS))
        place = draw(st.integers(0, 3))
        every = draw(st.integers(1, 5))
        for k in range(0, len(lines), every):
            parts = lines[k].split(mark)
            if place < len(parts):
                parts[place] = odd
            lines[k] = mark.join(parts)
    return "\n".join(lines).encode("latin-1", "replace")


@SOME
@given(mangled())
def test_a_mangled_file_is_a_log_or_a_sentence(content):
    read(content)


@SOME
@given(
    mangled(),
    st.fixed_dictionaries(
        {},
        optional={
            "place": st.sampled_from(["room", "box low"]),
            "unit": st.sampled_from(["C", "F", "K"]),
            "decimal": st.sampled_from([".", ","]),
            "separator": st.sampled_from(["comma", "semicolon", "tab", "bar", "blank"]),
            "day_first": st.booleans(),
            "time_zone": st.sampled_from(["Europe/Berlin", "UTC", "Asia/Kathmandu"]),
            "log_zone": st.sampled_from(["UTC", "America/New_York"]),
            "timers_shift": st.booleans(),
            "first_date": st.just("2026-05-01"),
            "columns": st.dictionaries(st.sampled_from(["column 1", "column 2", "column 3"]), st.sampled_from(["time", "temperature", "humidity", "dew point"])),
            "devices": st.dictionaries(st.just("lamp"), st.sampled_from(["rh", "RH", "column 3", ("temp", "24 W")])),
        },
    ),
)  # fmt: skip
def test_a_mangled_file_read_with_options_is_a_log_or_a_sentence(content, options):
    read(content, **options)


@pytest.mark.parametrize("odd", ODD_CELLS, ids=range(len(ODD_CELLS)))
def test_an_odd_cell_here_and_there_costs_its_row_alone(odd):
    rows = [f"2026-05-{1 + k // 24:02d} {k % 24:02d}:00;21.5;{60 + k % 7}" for k in range(100)]
    rows[50] = f"2026-05-03 02:00;{odd};61"
    rows[60] = f"{odd};21.5;61"
    log = read(("time;temp;rh\n" + "\n".join(rows)).encode("utf-8", "replace"))
    if odd not in ('"', "\x00"):  # these may take a neighbour with them
        assert log is not None
        assert len(log.times) >= 97
        assert np.nanmax(np.abs(log.sensors["box"].temperature_c - 21.5)) < 10.0


def sheet_of(rows: list[list], change=lambda book: None) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    change(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


GOOD_SHEET = sheet_of(
    [["time", "temp", "rh"], *([f"2026-05-{1 + k // 24:02d} {k % 24:02d}:00", 21.5, 60 + k % 7] for k in range(60))]
)


@settings(SOME, max_examples=40)
@given(st.data())
def test_a_broken_spreadsheet_is_a_log_or_a_sentence(data):
    held = bytearray(GOOD_SHEET)
    if data.draw(st.booleans()):
        held = held[: data.draw(st.integers(4, len(held)))]
    for _ in range(data.draw(st.integers(1, 20))):
        held[data.draw(st.integers(4, len(held) - 1)) if len(held) > 5 else 3] = data.draw(st.integers(0, 255))
    read(bytes(held))


def packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in parts.items():
            out.writestr(name, content)
    return stream.getvalue()


def test_a_small_file_that_unpacks_without_end_is_refused_before_it_does(tmp_path, monkeypatch):
    monkeypatch.setattr(source, "LARGEST_UNPACKED", 1_000_000)
    bomb = packed({"xl/workbook.xml": b"<workbook/>", "xl/worksheets/sheet1.xml": b" " * 3_000_000})
    assert len(bomb) < 10_000
    (tmp_path / "log.xlsx").write_bytes(bomb)
    with pytest.raises(FileError, match="unpacks to more than"):
        tl.read_log(tmp_path / "log.xlsx")


def test_a_spreadsheet_that_defines_texts_to_grow_is_refused(tmp_path):
    grows = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><workbook>&c;</workbook>'
    (tmp_path / "log.xlsx").write_bytes(packed({"xl/workbook.xml": grows}))
    with pytest.raises(FileError, match="what no spreadsheet needs"):
        tl.read_log(tmp_path / "log.xlsx")


def test_a_huge_file_is_refused_at_once(tmp_path):
    path = tmp_path / "huge.csv"
    with open(path, "wb") as stream:
        stream.truncate(2**40)  # a terabyte by its size, nothing on the disk
    with pytest.raises(FileError, match="larger than 200 MB"):
        tl.read_log(path)


def test_too_many_lines_and_columns_are_refused(tmp_path, monkeypatch):
    path = tmp_path / "long.csv"
    monkeypatch.setattr(source, "MOST_ROWS", 50)
    path.write_text("time,temp,rh\n" + "2026-05-01 10:00,21,60\n" * 60)
    with pytest.raises(FileError, match="at most 50 are read"):
        tl.read_log(path)
    path.write_text("time" + ",x" * 300 + "\n" + ("2026-05-01 10:00" + ",1" * 300 + "\n") * 10)
    with pytest.raises(TerralabError, match="301 columns"):
        tl.read_log(path)


def test_nothing_in_a_log_is_carried_out(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    rows = [
        ["time", "temp", "rh", "note"],
        *([f"2026-05-{1 + k // 24:02d} {k % 24:02d}:00", 21.5, 60, '=HYPERLINK("file:///etc")'] for k in range(60)),
    ]
    (tmp_path / "log.xlsx").write_bytes(sheet_of(rows))
    log = tl.read_log(tmp_path / "log.xlsx")
    assert len(log.times) == 60
    text = "time,temp,rh,note\n" + "".join(
        f"{row[0]},21.5,60,=cmd|' /C touch made'!A0 `touch made`\n" for row in rows[1:]
    )
    (tmp_path / "log.csv").write_text(text)
    assert len(tl.read_log(tmp_path / "log.csv").times) == 60
    assert {path.name for path in tmp_path.iterdir()} == {"log.csv", "log.xlsx"}


@settings(SOME, max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["time", "temp", "rh", "Temp F", "", "x", 3, ("box", "rh")]),
            st.sampled_from(["times", "floats", "mixed", "zoned", "none", "ints", "bools"]),
        ),
        min_size=0, max_size=5,
    ),
    st.integers(0, 40),
)  # fmt: skip
def test_an_odd_table_of_pandas_is_a_log_or_a_sentence(columns, rows):
    held = {
        "times": pandas.date_range("2026-05-01", periods=rows, freq="h"),
        "zoned": pandas.date_range("2026-05-01", periods=rows, freq="h", tz="Europe/Berlin"),
        "floats": np.linspace(20, 25, rows),
        "ints": np.arange(rows) + 40,
        "mixed": [("a", None, 3.0, float("nan"), b"x", [1], pandas.NaT, pandas.NA)[k % 8] for k in range(rows)],
        "none": [None] * rows,
        "bools": [True] * rows,
    }
    frame = pandas.concat(
        [pandas.Series(held[kind], dtype=None if kind != "mixed" else object) for _, kind in columns]
        or [pandas.Series(dtype=float)],
        axis=1,
    )
    frame.columns = pandas.Index([name for name, _ in columns] or ["a"], tupleize_cols=False)
    sane(lambda: tl.read_log(frame))
