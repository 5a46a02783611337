"""One number of a material table, and the entry that holds them: frozen, and printing their own source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from terralab.errors import UnknownName
from terralab.folded import fold, lines_below, page, paragraph, table
from terralab.materials.plain import PLAIN, groups_of, in_words

#: How far a number can be trusted, from best to least.
GRADES: Mapping[str, str] = MappingProxyType(
    {
        "S": "seen in its source or in a faithful copy of it",
        "L": "reproduced by an independent library",
        "D": "derived by arithmetic from a stated relation or fitted to seen data",
        "M": "from memory, not confirmed",
        "CP": "common practice among keepers, no source",
        "G": "a guess, to be narrowed by your own measurement",
    }
)


@dataclass(frozen=True, slots=True)
class Number:
    """A number with the range it may lie in, its unit, its source and its grade.

    `low`, `typical` and `high` are in `unit` (see `schema.py`) and in rising order; all three are equal where
    a printed value carries no spread. `grade` is a key of `GRADES`. Source and grade speak for the typical
    value; the range is terralab's own judgement unless the source or note gives it.
    """

    low: float
    typical: float
    high: float
    unit: str
    grade: str
    source: str
    note: str = ""

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the value with its range, grade and source in a sentence."""
        return page(paragraph(str(self)))

    def __str__(self) -> str:
        unit = "" if self.unit == "-" else f" {self.unit}"
        spread = "" if self.low == self.high else f", range {self.low:g} to {self.high:g}"
        note = f" {self.note}" if self.note else ""
        return f"{self.typical:g}{unit}{spread}. [{self.grade}] {self.source}.{note}"


@dataclass(frozen=True, slots=True)
class Entry:
    """Everything one table says about one material, kind of device or process.

    `numbers` maps a property to its `Number`; `notes` are sentences for the keeper. `entry["alpha"]` gives
    the `Number`, `entry.typical("alpha")` its typical value. Asking for a property the entry lacks raises
    `UnknownName`, which names the nearest one. `print(entry)` shows every number with its source.
    """

    table: str
    name: str
    numbers: Mapping[str, Number]
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "numbers", MappingProxyType(dict(self.numbers)))

    def __reduce__(self) -> tuple:
        # A read-only mapping cannot be pickled; runs in several processes send entries across.
        return Entry, (self.table, self.name, dict(self.numbers), self.notes)

    def __getitem__(self, name: str) -> Number:
        try:
            return self.numbers[name]
        except (KeyError, TypeError):  # TypeError: what can be no name, such as a list
            raise UnknownName.among(f"property of {self.name}", name, self.numbers) from None

    def __contains__(self, name: object) -> bool:
        return name in self.numbers

    def __iter__(self) -> Iterator[str]:
        return iter(self.numbers)

    def __hash__(self) -> int:
        return hash((self.table, self.name))

    def get(self, name: str, default: Number | None = None) -> Number | None:
        """Return the `Number` called `name`, or `default` where the entry has none."""
        return self.numbers.get(name, default)

    def typical(self, name: str) -> float:
        """Return the typical value of property `name` in the table's unit, or raise `UnknownName`."""
        return self[name].typical

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the typical values as a table; ranges, grades and sources folded."""
        rows = [
            (in_words(prop), f"{one.typical:g}", "" if one.unit == "-" else one.unit, one.grade)
            for prop, one in self.numbers.items()
        ]
        return page(
            paragraph(f"{self.name} (table {self.table})"),
            table(("", "typical", "unit", "grade"), rows),
            *map(paragraph, self.notes),
            fold("Ranges and sources, and what the grades mean", lines_below(str(self).splitlines()[1:])),
        )

    def __str__(self) -> str:
        lines = [f"{self.name} (table {self.table})"]
        for heading, props in groups_of(self.table, self.numbers):
            lines += [f"  {heading}"] if heading else []
            lines += [f"  {in_words(prop)}: {self.numbers[prop]}" for prop in props]
        lines += [f"  note: {note}" for note in self.notes]
        used = [grade for grade in GRADES if any(n.grade == grade for n in self.numbers.values())]
        lines += [f"  [{grade}] {GRADES[grade]}" for grade in used]
        lettered = [f"{prop} ({in_words(prop)})" for prop in self.numbers if prop in PLAIN]
        if lettered:
            lines.append(f"  Names in Python: {', '.join(lettered)}")
        return "\n".join(lines)
