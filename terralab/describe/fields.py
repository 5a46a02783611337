"""What one entry of a description may hold: a measure, a name, a choice, a switch, a part or a list of
parts.

Each kind says what it `needs` and does three things. `check` tests a value given in Python and returns it
cleaned. `read` turns what stands in a file into such a value. `write` turns it back. All of them raise
`DescriptionError` at the dotted place they were given.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, Field, dataclass, field
from functools import cache
from typing import Any, ClassVar

from terralab import measured
from terralab.errors import DescriptionError, Problem, advice, quoted, suggestion
from terralab.trade_words import ONCE
from terralab.units import as_float, example, is_number, parse, plain, show

_BLANKS = "\u115f\u1160\u2800\u3164\uffa0"  # letters by their kind, which show nothing all the same
#: A joiner between two signs that are not ASCII: the parts of an emoji, letters of Persian or Hindi.
_JOINED = re.compile("(?<=[^\x00-\x7f])[\u200c\u200d](?=[^\x00-\x7f])")
MOST_STRAYS = 12  # unknown entries of one part that are told; a file with more was made for another purpose
#: Endings of field names that say the unit. Files write the unit beside the number and leave them out.
UNIT_ENDINGS = (
    *("_ml_min", "_m3_h", "_pa", "_cm_s", "_days", "_cm2", "_min", "_ach", "_cm", "_mm", "_ml"),
    *("_w", "_s", "_g"),
)


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with a unit, from `lowest` to `highest` (both in `unit`), None allowed where `optional`."""

    quantity: str
    unit: str
    lowest: float
    highest: float
    optional: bool = False
    whole: bool = False

    @property
    def allowed(self) -> str:
        """The range in words."""
        low, high = (show(limit, self.quantity, self.unit) for limit in (self.lowest, self.highest))
        return f"{low} to {high}{', whole numbers' if self.whole else ''}"

    @property
    def needs(self) -> str:
        """How the field may be written in a file."""
        return example(self.quantity)

    def check(self, value: object, place: str) -> float | int | None:
        if value is None and self.optional:
            return None
        if not is_number(value):
            hint = "In Python give a plain number in the unit of the field." if isinstance(value, str) else ""
            raise DescriptionError.of(place, f"given {quoted(value)}, which is not a number", self.allowed, hint)
        number = as_float(value)
        if not math.isfinite(number):
            raise DescriptionError.of(place, f"given {quoted(value)}, which is not a usable number", self.allowed)
        if measured.fits(value, self.quantity, self.unit):
            number = value
        if self.quantity == "humidity":
            # The guard that a text without a % meets too: no air that keepers know has 0.45 % humidity.
            parse(number, "humidity", self.unit, field=place)
        if not self.lowest <= number <= self.highest:
            raise DescriptionError.of(
                place,
                f"given {self.write(number) if number is value else show(number, self.quantity, self.unit, 6)}",
                self.allowed,
                self._advice(number),
            )
        if self.whole and number != round(number):
            raise DescriptionError.of(place, f"given {plain(number, 6)}", self.allowed, "Write a whole number.")
        return int(number) if self.whole and self.quantity != "time of day" else number

    def read(self, raw: object, place: str, bare: bool) -> float | int | None:
        return self.check(measured.read(raw, self.quantity, self.unit, place, bare), place)

    def write(self, value: float) -> str:
        if measured.fits(value, self.quantity, self.unit):
            return value.text
        return show(value, self.quantity, self.unit)

    def _advice(self, number: float) -> str:
        if self.quantity == "temperature" and number > self.highest:
            return f'If that is Fahrenheit, write "{plain(number, 6)} F".'
        if number > self.highest:
            return "Check the unit."
        return "A size or an amount cannot be negative." if number < 0 and self.lowest >= 0 else ""


@dataclass(frozen=True, slots=True)
class Words:
    """A text of at most `longest` characters; over several lines where `lines`; empty only where
    `empty`.
    """

    longest: int
    lines: bool = False
    empty: bool = True
    label: bool = False

    @property
    def needs(self) -> str:
        """What the text may be."""
        kind = "text over several lines" if self.lines else "one line of text"
        return f"{kind}, {'0' if self.empty else '1'} to {self.longest} characters"

    def check(self, value: object, place: str) -> str:
        if not isinstance(value, str):
            raise DescriptionError.of(
                place, f"given {quoted(value)}, which is not a text", self.needs, "Put it between quotes."
            )
        # Text from a web page is full of spaces of odd widths.
        text = "".join(" " if letter in _BLANKS or unicodedata.category(letter) == "Zs" else letter for letter in value)
        text = text.replace("\r\n", "\n").strip()
        if len(text) > self.longest:
            raise DescriptionError.of(place, f"given {len(text)} characters", self.needs, "Shorten it.")
        if not text and not self.empty:
            raise DescriptionError.of(place, "given an empty text", self.needs, "Write a few words.")
        seen = _JOINED.sub("", text)
        if any(not (letter.isprintable() or (self.lines and letter in "\n\t")) for letter in seen):
            raise DescriptionError.of(
                place,
                f"given {quoted(text)}, which holds signs that cannot be printed",
                self.needs,
                "Type it again by hand.",
            )
        if self.label and ("." in text or text.isdigit()):
            raise DescriptionError.of(
                place,
                f"given {quoted(text)}",
                "a name without a dot that is not a number",
                "The name is used to point at this part, as in openings.lid.covered.",
            )
        return text

    def read(self, raw: object, place: str, bare: bool) -> str:
        return self.check(raw, place)

    def write(self, value: str) -> str:
        return value


@dataclass(frozen=True, slots=True)
class OneOf:
    """A word out of a short list, or the name of an entry of a material table; empty only where `empty`."""

    what: str
    options: Callable[[], tuple[str, ...]]
    empty: bool = False
    lists: str = ""

    @property
    def needs(self) -> str:
        """The words that may be chosen."""
        if self.lists:
            return f"a known {self.what}, as {self.lists} lists them"
        return f"a known {self.what}: {', '.join(self.options())}"

    def check(self, value: object, place: str) -> str:
        names = self.options()
        word = " ".join(value.split()).lower() if isinstance(value, str) else value
        if isinstance(word, str) and (word in names or (self.empty and word == "")):
            return word
        hint = (ONCE.get(word) if isinstance(word, str) else None) or advice(value, names, self.lists)
        raise DescriptionError.of(place, f"given {quoted(value)}", f"a known {self.what}", hint)

    def read(self, raw: object, place: str, bare: bool) -> str:
        return self.check(raw, place)

    def write(self, value: str) -> str:
        return value


@dataclass(frozen=True, slots=True)
class SomeOf:
    """One or more words out of a short list, each once; kept in the order of the list. One word alone may stand for
    a list of one.
    """

    what: str
    options: tuple[str, ...]

    @property
    def needs(self) -> str:
        """The words that may be chosen."""
        return f"a list of one or more of {', '.join(quoted(word) for word in self.options)}"

    def check(self, value: object, place: str) -> tuple[str, ...]:
        words = (value,) if isinstance(value, str) else value
        if not isinstance(words, (list, tuple)) or not words:
            raise DescriptionError.of(
                place, f"given {quoted(value)}", self.needs, f"Write a list such as [{quoted(self.options[0])}]."
            )
        one = OneOf(self.what, lambda: self.options)
        clean = [one.check(word, place) for word in words]
        twice = next((word for number, word in enumerate(clean) if word in clean[:number]), None)
        if twice is not None:
            raise DescriptionError.of(place, f"given {quoted(twice)} twice", self.needs, "Name each once.")
        return tuple(word for word in self.options if word in clean)

    def read(self, raw: object, place: str, bare: bool) -> tuple[str, ...]:
        return self.check(raw, place)

    def write(self, value: tuple[str, ...]) -> list[str]:
        return list(value)


@dataclass(frozen=True, slots=True)
class Switch:
    """Yes or no; None allowed where `optional`."""

    optional: bool = False
    needs: ClassVar[str] = "true or false"

    def check(self, value: object, place: str) -> bool | None:
        if value is None and self.optional:
            return None
        if not isinstance(value, bool):
            raise DescriptionError.of(place, f"given {quoted(value)}", self.needs, "Write it without quotes.")
        return value

    def read(self, raw: object, place: str, bare: bool) -> bool:
        return self.check(raw, place)

    def write(self, value: bool) -> bool:
        return value


@dataclass(frozen=True, slots=True)
class Part:
    """Another part of the description, of class `cls` (a `Part` below); None allowed where `optional`.

    A class with an `of` method takes the short form too: `timer="08:00-20:00"` for a Timer.
    """

    cls: Any
    optional: bool = False

    @property
    def needs(self) -> str:
        """How the part may be written in a file."""
        return getattr(self.cls, "needs", "a part of its own, with its entries")

    def check(self, value: object, place: str) -> object:
        if isinstance(value, self.cls) or (value is None and self.optional):
            return value
        if hasattr(self.cls, "of"):
            return self.cls.of(value, place)
        raise DescriptionError.of(
            place,
            f"given {quoted(value)}",
            f"a {self.cls.__name__}",
            f"Build it with {self.cls.__name__}(...).",
        )

    def read(self, raw: object, place: str, bare: bool) -> object:
        return raw if isinstance(raw, self.cls) else self.cls.read(raw, place, bare)

    def write(self, value: object) -> object:
        return value.write()


@dataclass(frozen=True, slots=True)
class Parts:
    """A list of at most `most` parts of class `cls`, at least `least`. Parts with a name must differ in
    it.
    """

    cls: Any
    most: int = 50
    least: int = 0

    def check(self, value: object, place: str) -> tuple:
        if not isinstance(value, (list, tuple)):
            raise DescriptionError.of(place, f"given {quoted(value)}", self.needs, "Give a list, even of one.")
        parts = tuple(value)
        self._check_count(len(parts), place)
        for number, part in enumerate(parts, 1):
            if not isinstance(part, self.cls):
                raise DescriptionError.of(f"{place}.{number}", f"given {quoted(part)}", f"a {self.cls.__name__}")
        names = [part.name for part in parts if hasattr(part, "name")]
        twice = next((name for number, name in enumerate(names) if name in names[:number]), None)
        if twice is not None:
            raise DescriptionError.of(
                f"{place}.{twice}.name",
                f"given {quoted(twice)} twice",
                "a name of its own",
                "Rename one of them.",
            )
        return parts

    def read(self, raw: object, place: str, bare: bool) -> tuple:
        if not isinstance(raw, list):
            raise DescriptionError.of(
                place, f"given {quoted(raw)}", self.needs, f"Start each one with a line [[{place}]]."
            )
        self._check_count(len(raw), place)
        parts, problems = [], []
        for number, item in enumerate(raw, 1):
            try:
                parts.append(self.cls.read(item, f"{place}.{label_of(item, number)}", bare))
            except DescriptionError as error:
                problems += error.problems
        if problems:
            raise DescriptionError(problems)
        return self.check(parts, place)

    def write(self, value: tuple) -> list:
        return [part.write() for part in value]

    @property
    def needs(self) -> str:
        """How many parts the list may have."""
        return f"a list of {self.least} to {self.most} parts"

    def _check_count(self, count: int, place: str) -> None:
        if not self.least <= count <= self.most:
            raise DescriptionError.of(place, f"given {count} of them", self.needs)


def label_of(item: object, number: int) -> str:
    """Name one item of a list for a message: its own name where it has a usable one, else its number from
    1.
    """
    name = item.get("name") if isinstance(item, dict) else getattr(item, "name", None)
    return name if isinstance(name, str) and 0 < len(name) <= 60 and "." not in name else str(number)


def strays(raw: Mapping[str, object], known: Collection[str], place: str) -> list[Problem]:
    """Return a problem for each entry of a file's table that is not known there, most often a slip."""
    from terralab.describe.places import where_it_belongs  # late: it looks at every part, this one too

    unknown = [key for key in raw if key not in known]
    found = [
        Problem(
            place,
            str(key)[:60],
            "this entry is not known here",
            ", ".join(known),
            where_it_belongs(str(key), known) or suggestion(key, known),
        )
        for key in unknown[:MOST_STRAYS]
    ]
    if left := len(unknown) - len(found):
        found.append(Problem(place, "", f"{left} more entries are not known here", ", ".join(known)))
    return found


def entry(kind: object, default: object = MISSING, key: str = "") -> Any:
    """Declare a field of a description. `key` is its name in files, where that is not the field name."""
    return field(default=default, metadata={"kind": kind, "key": key})


def measure(
    quantity: str,
    unit: str,
    lowest: float,
    highest: float,
    default: object = MISSING,
    *,
    whole: bool = False,
    key: str = "",
) -> Any:
    """Declare a field that holds a measure. A default of None makes it optional."""
    return entry(Measure(quantity, unit, lowest, highest, default is None, whole), default, key)


def choice(what: str, *options: str, default: object = MISSING, key: str = "") -> Any:
    """Declare a field that holds one of a few words."""
    return entry(OneOf(what, lambda: options), default, key)


def listed(what: str, table: str, default: object = MISSING) -> Any:
    """Declare a field that names an entry of a material table. An empty default makes it optional."""

    def options() -> tuple[str, ...]:
        from terralab.materials import (
            names,
        )  # late, so that describing a box does not read tables it never names

        return names(table)

    return entry(OneOf(what, options, empty=default == "", lists=f"`terralab material {table}`"), default)


@cache
def key_of(declared: Field) -> str:
    """Return the name of a field in files: without the unit at its end."""
    if declared.metadata["key"]:
        return declared.metadata["key"]
    ending = next((end for end in UNIT_ENDINGS if declared.name.endswith(end)), "")
    return declared.name.removesuffix(ending) if isinstance(declared.metadata["kind"], Measure) else declared.name
