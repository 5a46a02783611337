"""Published and derived values the soil is held against, one row an id: what, expected, tolerance, source."""

from __future__ import annotations

import csv
import re
from functools import cache
from pathlib import Path

DATA = Path(__file__).parent / "data"
_NUMBER = re.compile(r"[-+]?\d*\.?\d+(?:e[-+]?\d+)?", re.IGNORECASE)


@cache
def rows(file: str) -> dict[str, dict[str, str]]:
    """Return the rows of one CSV file by their id."""
    with open(DATA / file, encoding="utf-8", newline="") as lines:
        return {row["id"]: row for row in csv.DictReader(lines)}


def figures(text: str) -> list[float]:
    """Return every number that stands in a text."""
    return [float(found) for found in _NUMBER.findall(text)]


def named(text: str, name: str) -> list[float]:
    """Return the numbers after `name=` or `name =`, up to the next semicolon or the next word with an = sign."""
    after = re.split(rf"{re.escape(name)}\s*=\s*", text, maxsplit=1)[1]
    return figures(re.split(r";|[A-Za-z]\w*\s*=", after, maxsplit=1)[0])
