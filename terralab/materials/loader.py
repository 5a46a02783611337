"""Read the CSV tables, and refuse a row that hides where its number comes from.

A table has one number a row: `name,property,low,typical,high,unit,grade,source,note`. A row whose property is
`note` carries a sentence instead (unit `text`, no numbers), and it too needs a source and a grade. Tables of soils are
written in plain names (`materials.plain`); an entry holds its numbers under the names of the formulas.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

import numpy as np

from terralab.errors import TerralabError, UnknownName, advice, quoted
from terralab.materials.checks import problem_of
from terralab.materials.number import GRADES, Entry, Number
from terralab.materials.plain import inside, written
from terralab.materials.recipe import OwnName, is_recipe, recipe
from terralab.materials.schema import TABLES, UNITS, Property, schema
from terralab.quantities import bracketed

MIXED = "substrates"  # the table whose entries can be mixed with each other
COLUMNS = ("name", "property", "low", "typical", "high", "unit", "grade", "source", "note")


class TableError(TerralabError):
    """A material table holds a row that must not be used. The message names table, row and cure."""


def tables() -> tuple[str, ...]:
    """Return the names of the shipped tables."""
    return TABLES


def names(table: str) -> tuple[str, ...]:
    """Return the names of the entries of `table`, in the order of the file. Unknown table: `UnknownName`."""
    return tuple(_load(table))


def get(table: str, name: str) -> Entry:
    """Return the entry called `name` of `table`.

    Capitals and spaces around the name do not matter. In "substrates" a recipe such as "2 parts fine coir mix, 1 part
    washed sand" is a name too: its entry is mixed by the rule of `materials.mixing`. An unknown table or name raises
    `UnknownName` with the nearest good name, a recipe that cannot be read `TerralabError`.
    """
    entries = _load(table)
    if table == MIXED and isinstance(name, OwnName):
        entries = {**entries, **name.entries}
    key = " ".join(name.split()).lower() if isinstance(name, str) else None
    if table == MIXED and key not in entries and isinstance(name, str) and is_recipe(name):
        return _mix(name, entries)
    if key not in entries:
        raise UnknownName.among(f"entry in the table {table}", name, entries, f"`terralab material {table}`")
    return entries[key]


def _mix(name: str, entries: Mapping[str, Entry]) -> Entry:
    """The entry of a recipe, of the materials in `entries`."""
    from terralab.materials.mixing import mixed  # late: it needs the compiled curves, which no table does

    shares = recipe(name)
    for part in shares:
        if part not in entries:
            raise UnknownName.among("material to mix", part, entries, f"`terralab material {MIXED}`")
    return mixed([(share, entries[part]) for part, share in shares.items()])


def read_table(table: str, lines: Iterable[str]) -> dict[str, Entry]:
    """Read the lines of one CSV table into entries, checking every row.

    `table` decides which properties are needed (see `schema.py`). The first row at fault raises `TableError`.
    """
    held_lines = (
        None if isinstance(lines, str) or not (isinstance(lines, Iterable) and np.iterable(lines)) else list(lines)
    )
    if held_lines is None or not all(isinstance(line, str) for line in held_lines):
        raise TableError(f"Table {table}: {quoted(lines)} was given; the lines of a table are needed, each a text.")
    reader = csv.reader(held_lines, strict=True)
    header = tuple(next(reader, ()))
    if header != COLUMNS:
        wanted, given = ",".join(COLUMNS), ",".join(header)
        raise TableError(f"Table {table}: the first line must be {wanted}, it is {given}.")
    numbers: dict[str, dict[str, Number]] = {}
    notes: dict[str, list[str]] = {}
    for cells in reader:
        where = f"Table {table}, line {reader.line_num}"
        if len(cells) != len(COLUMNS):
            count = f"{len(cells)} cells, but {len(COLUMNS)} are needed"
            raise TableError(f"{where}: {count}. Put a text that holds a comma in quotes.")
        row = dict(zip(COLUMNS, (cell.strip() for cell in cells), strict=True))
        name, prop = row["name"], row["property"]
        where = f"{where} ({name or 'no name'}, {prop or 'no property'})"
        prop = inside(table, prop) or prop
        allowed = _allowed(table, name, where)
        _check_origin(row, where)
        held = numbers.setdefault(name, {})
        if prop == "note":
            notes.setdefault(name, []).append(_sentence(row, where))
        elif prop in held:
            raise TableError(f"{where}: the same property is given twice. Keep one row.")
        else:
            held[prop] = _number(table, row, allowed, where)
    if not numbers:
        raise TableError(f"Table {table} holds no rows.")
    return {name: _entry(table, name, held, notes.get(name, [])) for name, held in numbers.items()}


def _entry(table: str, name: str, held: dict[str, Number], notes: list[str]) -> Entry:
    missing = [prop for prop, spec in schema(table, name).items() if spec.required and prop not in held]
    if missing:
        lacking = ", ".join(written(table, prop) for prop in missing)
        raise TableError(f"Table {table}: {name} lacks {lacking}. Add a sourced row for each.")
    problem = problem_of(table, {prop: number.typical for prop, number in held.items()})
    if problem:
        raise TableError(f"Table {table}: {name}: {problem}")
    return Entry(table, name, held, tuple(notes))


def _allowed(table: str, name: str, where: str) -> Mapping[str, Property]:
    if not name or name != " ".join(name.split()).lower():
        raise TableError(f"{where}: the name must be given in small letters with single spaces.")
    allowed = schema(table, name)
    if allowed is None:
        raise TableError(f"{where}: no process of that name is known. Add it to the schema first.")
    return allowed


def _check_origin(row: Mapping[str, str], where: str) -> None:
    if not row["source"]:
        raise TableError(f"{where}: no source. Name it, or say 'from memory' or 'common practice'.")
    if row["grade"] not in GRADES:
        given = row["grade"] or "nothing"
        raise TableError(f"{where}: the grade is {given}. Allowed: {', '.join(GRADES)}.")


def _sentence(row: Mapping[str, str], where: str) -> str:
    if row["unit"] != "text" or row["low"] or row["typical"] or row["high"] or not row["note"]:
        raise TableError(f"{where}: a note needs the unit 'text', empty number cells and words at the end.")
    return bracketed(row["note"])


def _number(table: str, row: Mapping[str, str], allowed: Mapping[str, Property], where: str) -> Number:
    spec = allowed.get(inside(table, row["property"]) or "")
    if spec is None:
        known = [written(table, prop) for prop in allowed]
        raise TableError(f"{where}: unknown property. {advice(row['property'], known)}")
    if row["unit"] not in UNITS:
        raise TableError(f"{where}: unknown unit {row['unit']!r}. Known units: {', '.join(UNITS)}.")
    if row["unit"] != spec.unit:
        raise TableError(f"{where}: the unit is {row['unit']}, it must be {spec.unit}.")
    low, typical, high = (_value(row, column, where) for column in ("low", "typical", "high"))
    if not low <= typical <= high:
        raise TableError(f"{where}: low, typical and high are {low:g}, {typical:g}, {high:g}: they must rise.")
    if low < spec.lowest or high > spec.highest:
        raise TableError(
            f"{where}: {low:g} to {high:g} {spec.unit} cannot be real. "
            f"Allowed: {spec.lowest:g} to {spec.highest:g} {spec.unit}."
        )
    return Number(low, typical, high, row["unit"], row["grade"], row["source"], row["note"])


def _value(row: Mapping[str, str], column: str, where: str) -> float:
    try:
        value = float(row[column])
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise TableError(f"{where}: {column} is {row[column] or 'empty'}. A plain number such as 0.25 is needed.")
    return value


def _load(table: str) -> Mapping[str, Entry]:
    if not isinstance(table, str) or table not in TABLES:
        raise UnknownName.among("material table", table, TABLES)
    return _read_shipped(table)


@cache
def _read_shipped(table: str) -> Mapping[str, Entry]:
    text = files("terralab.materials").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return MappingProxyType(read_table(table, text.splitlines()))
