"""The cases: every row of data/*.csv, run through the public functions or the engine.

A case reads one row and yields findings: a `Point` is a printed number beside ours, a `Said` is a printed statement.
The tests and the book (reference/validation.md) share these very cases, so that a number has one home.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import import_module

from tests.published.left_out import LEFT_OUT
from tests.published.published_rows import figures, rows

FILES = (
    "air.csv",
    "column.csv",
    "retention_and_column_equilibrium.csv",
    "ventilation.csv",
    "openings.csv",
    "mixing.csv",
    "leaves.csv",
)
#: The modules that hold cases, in the order of the book.
MODULES = (
    "curves",
    "resting",
    "rising",
    "soaking",
    "drying",
    "drying_mixes",
    "moist_air",
    "surfaces",
    "glass",
    "exchange",
    "openings",
    "mixing",
    "leaves",
    "light",
    "tunnel",
)


@dataclass(frozen=True)
class Point:
    """A printed number and ours. It agrees within `rel` (share of the printed number) or `abs` (its unit).

    Where it does not, `misfit` says why, and `at_most` how far off it may be, in the same measure.
    """

    what: str
    printed: float
    ours: float
    unit: str = ""
    rel: float = 0.0
    abs: float = 0.0
    misfit: str = ""
    at_most: float = 0.0

    @property
    def off(self) -> float:
        """How far ours is off, in the measure of the tolerance: a share, or the unit."""
        return (self.ours - self.printed) / (abs(self.printed) if self.rel else 1.0)

    @property
    def allowed(self) -> float:
        """The row's own tolerance, in the same measure."""
        return self.rel or self.abs

    @property
    def holds(self) -> bool:
        """True where ours agrees within the row's tolerance."""
        return abs(self.off) <= self.allowed * (1.0 + 1e-9)

    @property
    def as_stated(self) -> bool:
        """True where it agrees, or misses just as the note says."""
        if not self.misfit:
            return self.holds
        return not self.holds and abs(self.off) <= self.at_most


@dataclass(frozen=True)
class Said:
    """A printed statement that is not one number, and what ours comes to."""

    what: str
    printed: str
    ours: str
    holds: bool
    misfit: str = ""

    @property
    def as_stated(self) -> bool:
        """True where it holds, or fails just as the note says."""
        return self.holds != bool(self.misfit)


@dataclass(frozen=True)
class Row:
    """One row of a CSV: what was computed or measured, by whom, how sure."""

    file: str
    id: str

    @cached_property
    def text(self) -> dict[str, str]:
        """The columns of the row."""
        return rows(self.file)[self.id]

    @property
    def source(self) -> str:
        """Who printed it."""
        return self.text["source"]

    @property
    def grade(self) -> str:
        """How sure the printed number is: S seen, L by an independent library, D derived, M from memory."""
        return self.text["grade"]

    @property
    def expected(self) -> str:
        """The text that holds the printed numbers."""
        return self.text["expected"]

    def take(self, text: str) -> list[float]:
        """Return the numbers of `text`, which must stand in the row just so."""
        if not any(text in column for column in self.text.values()):
            raise AssertionError(f"{self.id}: {text!r} does not stand in the row")
        return figures(text)

    @property
    def named(self) -> str:
        """The source in short, then the row: what a test is called."""
        short = re.match(r".*?\b(1[89]|20)\d\d\b|[^,;:(]*", self.source)[0]
        return f"{re.sub(r'[^A-Za-z0-9&]+', '_', short).strip('_')[:60]}-{self.id}"


@dataclass(frozen=True)
class Case:
    """A row with what reads it."""

    row: Row
    topic: str
    read: Callable[[Row], Iterator[Point | Said]]

    @property
    def findings(self) -> tuple[Point | Said, ...]:
        """Everything the row says, beside ours; computed once."""
        return _found(self)


_CASES: list[Case] = []


def reads(file: str, topic: str, *ids: str, starting: str = "") -> Callable:
    """Make a function the reader of the rows `ids` of a file, or of all that begin with `starting`."""
    chosen = ids or tuple(row for row in rows(file) if row.startswith(starting))

    def write_new(read: Callable[[Row], Iterator[Point | Said]]) -> Callable[[Row], Iterator[Point | Said]]:
        _CASES.extend(Case(Row(file, name), topic, read) for name in chosen)
        return read

    return write_new


@cache
def all_cases() -> tuple[Case, ...]:
    """Return every case, in the order of the book."""
    for module in MODULES:
        import_module(f"tests.published.{module}")
    return tuple(sorted(_CASES, key=lambda case: MODULES.index(case.read.__module__.rpartition(".")[2])))


@cache
def _found(case: Case) -> tuple[Point | Said, ...]:
    return tuple(case.read(case.row))


def unread() -> dict[str, str]:
    """Return the rows that nothing is held against, each with the reason."""
    return LEFT_OUT
