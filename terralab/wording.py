"""Small words for every face: counted days, numbers without a minus before nothing, lines that break only at blanks."""

from __future__ import annotations

import re
import textwrap

GLUE = "\u00a0"  # a blank at which no line ends
_UNITS = (
    "%", "°C", "°F", "C", "F", "K", "W", "Pa", "ppm", "points", "ml", "l", "litres", "gal", "gallons", "fl", "oz", "cm", "mm",
    "m", "in", "ft", "cm2", "m2", "in2", "ft2", "m3", "m3/h", "cfm", "cm/s", "ft/min", "ml/min", "l/h", "kg", "g", "lb",
    "s", "min", "minutes", "h", "hours", "hour", "d", "day", "days", "weeks", "am", "pm",
)  # fmt: skip
_BEFORE_UNIT = re.compile(
    rf"(?<=\d) (?=(?:{'|'.join(sorted(map(re.escape, _UNITS), key=len, reverse=True))})(?![\w/]))"
)
_WITHIN_UNIT = re.compile(r"(?<=\bfl) (?=oz\b)")
_COMMAND = re.compile(r"`[^`\n]{1,60}`")


def together(text: str) -> str:
    """The text with glued blanks where no line may end: between a number and its unit, and within a command.

    >>> together("pour 4 fl oz, see `terralab water`").count(GLUE)
    3
    """
    text = _WITHIN_UNIT.sub(GLUE, _BEFORE_UNIT.sub(GLUE, text))
    return _COMMAND.sub(lambda found: found[0].replace(" ", GLUE), text)


def lines(text: str, columns: int, first: str = "", later: str = "") -> list[str]:
    """Break a text into lines of at most `columns`, never inside a word, at its hyphen, or between number and unit.

    A word that is longer than a line stands out. `first` and `later` stand before the first and the other lines.
    """
    broken = textwrap.wrap(
        together(text), columns, initial_indent=first, subsequent_indent=later, break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace(GLUE, " ") for line in broken]


def days(count: float, unit: str = "day") -> str:
    """So many whole days, or what else is counted.

    >>> days(1.2), days(3.0), days(0.6, "hour")
    ('1 day', '3 days', '1 hour')
    """
    return f"{count:.0f} {unit}{'' if f'{count:.0f}' == '1' else 's'}"


def points(count: float) -> str:
    """Points of humidity, rounded, in words.

    >>> points(1.2), points(-4.6)
    ('1 point', '5 points')
    """
    whole = round(abs(count))
    return f"{whole} {'point' if whole == 1 else 'points'}"


def fixed(value: float, digits: int) -> str:
    """A number with so many digits after the point, and no minus before nothing.

    >>> fixed(-0.001, 2), fixed(-0.26, 1)
    ('0.00', '-0.3')
    """
    return f"{round(value, digits) + 0.0:.{digits}f}"


def gap(length: float, unit: str = "cm") -> str:
    """The gap under the mesh; where there is none, how far the water stands over the mesh.

    >>> gap(2.61), gap(-0.04), gap(-0.3)
    ('2.6 cm', 'at the mesh', '0.3 cm over the mesh')
    """
    said = fixed(length, 1)
    if float(said) == 0.0:
        return "at the mesh"
    return f"{said} {unit}" if length > 0.0 else f"{said.removeprefix('-')} {unit} over the mesh"


def level(length: float, unit: str = "cm") -> str:
    """Where the water below stands, from the gap under the mesh.

    >>> level(2.61), level(0.0), level(-0.3)
    ('2.6 cm under the mesh', 'at the mesh', '0.3 cm over the mesh')
    """
    said = gap(length, unit)
    return said if said.endswith("mesh") else f"{said} under the mesh"


def instead_of(now: float, before: float, unit: str, digits: int = 1) -> str:
    """Two numbers compared, in words that hold where both read the same.

    >>> instead_of(2.93, 1.1, "cm"), instead_of(0.01, 0.0, "cm")
    ('2.9 cm instead of 1.1', '0.0 cm as before')
    """
    new, old = fixed(now, digits), fixed(before, digits)
    return f"{new} {unit} as before" if new == old else f"{new} {unit} instead of {old}"


def cut(text: str, most: int) -> str:
    """A text of at most `most` characters, cut at a blank and never between a number and its unit.

    >>> cut("stop pouring, siphon daily, fan all day", 36), cut("exchange 15 min an hour", 14)
    ('stop pouring, siphon daily, fan ..', 'exchange ..')
    """
    if len(text) <= most:
        return text
    kept = together(text)[: most - 2]
    whole, blank, _ = kept.rpartition(" ")
    return f"{whole if blank else kept} ..".replace(GLUE, " ") if blank else f"{kept}..".replace(GLUE, " ")
