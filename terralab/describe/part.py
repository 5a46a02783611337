"""The common base of everything that can be described: it checks itself, reads itself from a file's table
and writes itself back.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import MISSING, Field, fields
from functools import cache
from typing import Any, ClassVar, Self

from terralab.describe.fields import Part, Parts, key_of, strays
from terralab.errors import DescriptionError, Problem, TerralabWarning, quoted
from terralab.quantities import finished

_told: ContextVar[bool] = ContextVar("cautions are told", default=True)


@contextmanager
def cautions_untold() -> Iterator[None]:
    """Build parts without their cautions, where those of the keeper's own description have been told.

    In this thread alone: the filters of `warnings` belong to all threads at once, and runs are made in several.
    """
    mark = _told.set(False)
    try:
        yield
    finally:
        _told.reset(mark)


def cautions_told() -> bool:
    """Whether cautions are told here; see `cautions_untold`."""
    return _told.get()


class Described:
    """Base of the frozen classes. A subclass declares its fields with `describe.fields` and gives its
    `word`.

    Building one checks every field, then what the fields mean together (`conflicts`). All problems are
    raised at once in a `DescriptionError`. Values are cleaned: whole numbers become floats, lists become
    tuples.
    """

    __slots__ = ()
    word: ClassVar[str]

    def __post_init__(self) -> None:
        problems: list[Problem] = []
        entries = _entries(type(self))
        given = {key: getattr(self, declared.name) for declared, key, _ in entries}
        for declared, key, place in entries:
            try:
                object.__setattr__(self, declared.name, self.kind_of(declared, given).check(given[key], place))
            except DescriptionError as error:
                problems += error.problems
        # Fields that are wrong by themselves would only make nonsense of the questions that join them.
        problems = problems or list(self.conflicts())
        if problems:
            raise DescriptionError(problems)
        for caution in self.cautions() if cautions_told() else ():
            # Two calls up, past the __init__ that dataclass made, stands the line that builds the part.
            warnings.warn(str(finished(caution)), TerralabWarning, stacklevel=3)

    def cautions(self) -> Iterable[str]:
        """Return what is allowed but worth a warning, in sentences."""
        return ()

    def conflicts(self) -> Iterable[Problem]:
        """Return the problems of fields that are fine alone but not together."""
        return ()

    def problem(self, key: str, given: str, allowed: str, hint: str = "") -> Problem:
        """Word a problem with the entry `key` of this part; `key` may be dotted."""
        return Problem(self.word, key, *finished((given, allowed, hint)))

    @classmethod
    def kind_of(cls, declared: Field, given: Mapping[str, object]) -> Any:
        """Return what the field may hold. `given` are all entries, for a field whose unit another field
        decides.
        """
        return declared.metadata["kind"]

    @classmethod
    def read(cls, raw: object, place: str = "", bare: bool = False) -> Self:
        """Build the part from the table `raw` of a file. `place` is where it stands, for messages.

        With `bare=True` plain numbers are taken in the unit of the field; else a length, volume or
        temperature needs its unit. Raises `DescriptionError` with all problems, unknown entries included.
        """
        if not isinstance(raw, dict):
            raise DescriptionError.of(
                place or cls.word,
                f"given {quoted(raw)}",
                "a part of its own, with entries",
                f"Write it as a table, for example below a line [{place or cls.word}].",
            )
        declared = {key_of(field): field for field in fields(cls)}
        problems = strays(raw, declared, place)
        values: dict[str, Any] = {}
        for key, field in declared.items():
            where = f"{place}.{key}" if place else key
            try:
                if raw.get(key) is not None:
                    values[field.name] = cls.kind_of(field, raw).read(raw[key], where, bare)
                elif field.default is MISSING:
                    raise DescriptionError.of(
                        where,
                        "nothing given",
                        cls.kind_of(field, raw).needs,
                        _how_to_add(cls.kind_of(field, raw), where),
                    )
            except DescriptionError as error:
                problems += error.problems
        if problems:
            raise DescriptionError(problems)
        try:
            return cls(**values)
        except DescriptionError as error:
            raise relocated(error, cls.word, place) from None

    def write(self) -> dict[str, object]:
        """Return the table of a file that `read` turns back into this part. What is absent or empty is left
        out.
        """
        table: dict[str, object] = {}
        given = {key_of(field): getattr(self, field.name) for field in fields(self)}
        for field in fields(self):
            value = getattr(self, field.name)
            if value is None or value == "" or value == ():
                continue
            written = self.kind_of(field, given).write(value)
            if written != {}:
                table[key_of(field)] = written
        return table


@cache
def _entries(cls: type[Described]) -> tuple[tuple[Field, str, str], ...]:
    """Each field of a part with its key in a file and the place that messages name; asked for at every part of every draw."""
    keys = [(declared, key_of(declared)) for declared in fields(cls)]
    return tuple((declared, key, ".".join(part for part in (cls.word, key) if part)) for declared, key in keys)


def _how_to_add(kind: object, where: str) -> str:
    if isinstance(kind, Parts):
        return f"Begin each one with a line [[{where}]]."
    if isinstance(kind, Part) and hasattr(kind.cls, "line"):
        return f"Add a line `{kind.cls.line}` there."
    return f"Begin it with a line [{where}]." if isinstance(kind, Part) else "Add this entry."


def relocated(error: DescriptionError, word: str, place: str) -> DescriptionError:
    """Return `error`, raised by a part that calls itself `word`, with its problems placed under `place`."""
    problems = []
    for problem in error.problems:
        tail = problem.field.removeprefix(word).removeprefix(".") if word else problem.field
        owner, _, key = f"{place}.{tail}".strip(".").rpartition(".")
        problems.append(Problem(owner, key, problem.given, problem.allowed, problem.hint))
    return DescriptionError(problems)
