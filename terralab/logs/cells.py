"""What a single cell of a log may be: a number with or without its unit, nothing read, or something to do with time."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import pandas


def words_of(text: str) -> frozenset[str]:
    """Return the words of a text.

    >>> sorted(words_of("on off"))
    ['off', 'on']
    """
    return frozenset(text.split())


#: What loggers write where they read nothing.
NOTHING = words_of(
    "- -- --- ---- . .. * ** *** ? ?? n/a n.a. na nan null none nil nul inf -inf err err. error fault fail failed ofl ol o.l. ovf ufl "
    "over under overflow underflow open short hi lo hh ll -999 -999.0 -999.9 -999.99 -9999 -9999.0 -99.9 9999 999.9 65535 32767 "
    "-32768 -127 #n/a #value! #div/0! #ref! #num! #name? invalid no_data nodata missing offline unavailable unknown lost _"
)
#: A unit behind a number in the cell itself, and what it is called here.
_UNIT = r"(?P<unit>[°º˚]?\s*[cf]\b|[°º˚]|℃|℉|deg\s*[cf]|k|%\s*(?:rh|r\.h\.|rf|hr)?|rh|g/m[3³]|g/m\^3|w|watts?)?"
_NUMBER = re.compile(
    rf"\s*(?P<number>[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:e[+-]?\d{{1,3}})?)\s*{_UNIT}\s*", re.ASCII | re.IGNORECASE
)


def plain_text(text: str) -> str:
    """Return a text in small letters without accents, its blanks single.

    >>> plain_text("  Température\u00a0[°C] ")
    'temperature [°c]'
    """
    apart = unicodedata.normalize("NFKD", text.replace("°", "\x01").replace("º", "\x01").replace("ß", "ss"))
    kept = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return " ".join(kept.replace("\x01", "°").lower().split())


def is_nothing(cell: str) -> bool:
    """Whether the cell says that nothing was read."""
    return cell.strip().lower() in NOTHING


@lru_cache(maxsize=4096)
def is_number(cell: str) -> bool:
    """Whether the cell is a number, with or without a unit."""
    return len(cell) <= 60 and bool(_NUMBER.fullmatch(_minus(cell)))


def _minus(text: str) -> str:
    return text.replace("−", "-").replace("\u00a0", " ")


class Numbers:
    """A column read as numbers: `values` (NaN where there is none), and the `units` met behind them.

    `thousands`: some numbers have a comma, and each comma has three digits behind it, so that it might part thousands. `filled`:
    cells that hold something other than a sign that nothing was read.
    """

    def __init__(self, cells: pandas.Series, decimal: str | None) -> None:
        text = cells.str.replace("−", "-").str.replace("\u00a0", " ").str.strip().str.lower()
        empty = text == ""
        said_nothing = text.isin(NOTHING)
        found = text.where(text.str.len() <= 60, "").str.extract(f"^{_NUMBER.pattern}$", flags=re.IGNORECASE | re.ASCII)
        number = found["number"].where(~said_nothing)
        self.units = {plain_text(one).replace(" ", "") for one in found["unit"].dropna().unique()}
        commas = number.str.contains(",", regex=False, na=False)
        behind = number[commas].str.extract(r",(\d+)")[0].str.len()
        self.thousands = bool(commas.any()) and bool((behind == 3).all())
        mixed = number.str.contains(".", regex=False, na=False)
        if decimal == ".":
            number = number.mask(commas & (number.str.extract(r",(\d+)")[0].str.len() != 3))
            number = number.str.replace(",", "", regex=False)
        elif decimal == ",":
            number = number.mask(mixed & (number.str.extract(r"\.(\d+)")[0].str.len() != 3))
            number = number.str.replace(".", "", regex=False).str.replace(",", ".", regex=False)
        else:
            number = number.str.replace(",", ".", regex=False)
        values = np.array(number.fillna("nan").tolist(), dtype=float) if len(number) else np.empty(0)
        self.values = np.where(np.isfinite(values) & (np.abs(values) < 1e20), values, np.nan)
        self.filled = ~(empty | said_nothing).to_numpy()

    @property
    def share(self) -> float:
        """How many of the cells that hold something hold a number, 0 to 1."""
        held = int(self.filled.sum())
        return 0.0 if not held else float(np.isfinite(self.values[self.filled]).mean())
