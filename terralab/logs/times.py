"""Dates and times as loggers write them, read as numbers; which order of day and month they can have."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from terralab.errors import TerralabError
from terralab.units import DAY_S, HOUR_S

if TYPE_CHECKING:
    import pandas

FIRST_YEAR, LAST_YEAR = 1990, 2100
#: The first letters of the months' names, in some languages, without accents.
_MONTHS = {
    1: "jan gen ene sty", 2: "feb fev lut", 3: "mar maa mrt mae marz", 4: "apr avr abr kwi", 5: "may mai mei mag maj", 6: "jun juin giu cze",
    7: "jul juil lug lip", 8: "aug aou ago sie", 9: "sep set wrz", 10: "oct okt ott out paz", 11: "nov lis", 12: "dec dez dic gru",
}  # fmt: skip
_MONTH_OF = {word: month for month, words in _MONTHS.items() for word in words.split()}
_NAMES = "|".join(sorted(_MONTH_OF, key=len, reverse=True))
#: Zones that are written as letters, hours ahead of UTC.
ZONES = {
    "z": 0, "utc": 0, "gmt": 0, "wet": 0, "west": 1, "cet": 1, "cest": 2, "mez": 1, "mesz": 2, "eet": 2, "eest": 3,
    "est": -5, "edt": -4, "cdt": -5, "mst": -7, "mdt": -6, "pst": -8, "pdt": -7, "aest": 10, "aedt": 11, "nzst": 12, "nzdt": 13,
}  # fmt: skip
_DATE = rf"""(?:[a-z]{{2,10}}[.,]?\s+(?=\d))?(?:
    (?P<y1>(?:19|20)\d\d)(?P<s1>[-/.\s])(?P<m1>\d{{1,2}})(?P=s1)(?P<d1>\d{{1,2}})
  | (?P<y2>(?:19|20)\d\d)(?P<m2>[01]\d)(?P<d2>[0-3]\d)
  | (?P<a>\d{{1,2}})(?P<sep>[-/.\s])\s?(?P<b>\d{{1,2}})(?P=sep)\s?(?P<c>\d{{4}}|\d{{2}})
  | (?P<d3>\d{{1,2}})(?:st|nd|rd|th)?[-./\s]*(?:de\s+)?(?P<n3>{_NAMES})[a-z]*[-./,\s]*(?:de\s+)?(?P<y3>\d{{4}}|\d{{2}})
  | (?:[a-z]{{2,10}}[.,]?\s+)?(?P<n4>{_NAMES})[a-z]*[-./\s]*(?P<d4>\d{{1,2}})(?:st|nd|rd|th)?[-./,\s]+(?P<y4>\d{{4}}|\d{{2}})
)"""
_ZONE = r"(?P<zone>z|[+-]\d{2}:?(?:\d{2})?|(?:utc|gmt)[+-]\d{1,2}(?::?\d{2})?|[a-z]{3,4})"
_HOUR = (
    r"""(?P<hh>\d{1,2})\s?(?:[:h]\s?(?P<mm>\d{2})(?:[:.ms]\s?(?P<ss>\d{1,2})(?:[.,:]\d+)?s?)?)
    (?:\s*(?P<half>[ap])\.?\s?m\b\.?)?(?:\s*"""
    + _ZONE
    + ")?"
)
_BARE_HOUR = r"(?P<hh>\d{1,2})(?:\.(?P<mm>\d{2})(?:\.(?P<ss>\d{2}))?|\s*(?=[ap]\.?m))(?:\s*(?P<half>[ap])\.?\s?m\b\.?)?(?P<zone>$)?"
_WEEKDAY = r"(?:[a-z]{2,10}[.,]?\s+)?"
FORMS = tuple(
    re.compile(form, re.VERBOSE | re.ASCII)
    for form in (
        rf"{_DATE}(?:\s*[t,;]\s*|\s+){_HOUR}",
        rf"{_WEEKDAY}{_HOUR}[,;\s]+{_DATE}",
        rf"{_DATE}(?:\s*[t,;]\s*|\s+){_BARE_HOUR}",
        _DATE,
        _HOUR,
    )
)
_PARTS = (
    "y1",
    "m1",
    "d1",
    "y2",
    "m2",
    "d2",
    "a",
    "b",
    "c",
    "sep",
    "d3",
    "n3",
    "y3",
    "n4",
    "d4",
    "y4",
    "hh",
    "mm",
    "ss",
    "half",
    "zone",
)


@lru_cache(maxsize=4096)
def is_when(cell: str) -> bool:
    """Whether the cell is a date, a time of day, or both."""
    text = _tidy(cell)
    return 3 < len(text) <= 60 and any(form.fullmatch(text) for form in FORMS)


def _tidy(cell: str) -> str:
    return cell.replace("\u00a0", " ").replace("\u202f", " ").strip().lower()


@dataclass
class Written:
    """The parts of a column of dates or times. Numbers are NaN where a cell is no such thing.

    `fixed`: (year, month, day) where the order is plain; `open`: the three numbers as they stand where it is not; `dotted`: they
    stand between dots. `day_s`: seconds since midnight; `halves`: am or pm was written. `offset_s`: ahead of UTC, as written.
    """

    fixed: np.ndarray
    open: np.ndarray
    dotted: bool
    day_s: np.ndarray
    halves: bool
    offset_s: np.ndarray
    zones: tuple[str, ...]

    @property
    def dated(self) -> np.ndarray:
        """Rows that hold a date."""
        return np.isfinite(self.fixed[:, 0]) | np.isfinite(self.open[:, 0])

    @property
    def timed(self) -> np.ndarray:
        """Rows that hold a time of day."""
        return np.isfinite(self.day_s)


def read_written(cells: pandas.Series) -> Written:
    """Take a column of text apart into dates and times. Raises `TerralabError` for a zone it does not know."""
    import pandas

    text = cells.str.replace("\u00a0", " ").str.replace("\u202f", " ").str.strip().str.lower().str.slice(0, 60)
    text = text.str.replace("é", "e").str.replace("û", "u").str.replace("ä", "a")
    parts = pandas.DataFrame(np.nan, index=cells.index, columns=list(_PARTS), dtype=object)
    left = text != ""
    for form in FORMS:
        if not left.any():
            break
        whole = re.compile(f"^(?:{form.pattern})$", form.flags)
        found = text[left].str.extract(whole)
        hit = found.notna().any(axis=1)
        if hit.any():
            own = [name for name in _PARTS if name in found.columns]
            parts.loc[found.index[hit], own] = found.loc[hit, own].astype(object)
            left = left & ~hit.reindex(left.index, fill_value=False)
    number = {name: _number(parts[name]) for name in _PARTS if name not in ("sep", "n3", "n4", "half", "zone")}
    named = {
        name: np.array([_MONTH_OF.get(one, np.nan) if isinstance(one, str) else np.nan for one in parts[name]])
        for name in ("n3", "n4")
    }
    pick = lambda *choices: _first(*choices)  # noqa: E731
    year = pick(number["y1"], number["y2"], _full_year(number["y3"]), _full_year(number["y4"]))
    month = pick(number["m1"], number["m2"], named["n3"], named["n4"])
    day = pick(number["d1"], number["d2"], number["d3"], number["d4"])
    separators = set(parts["sep"].dropna().unique())
    zones, offset = _offsets(parts["zone"])
    half = parts["half"].fillna("").to_numpy()
    return Written(
        np.stack([year, month, day], axis=1),
        np.stack([number["a"], number["b"], number["c"]], axis=1),
        separators == {"."},
        _seconds(number["hh"], number["mm"], number["ss"], half),
        bool((half != "").any()),
        offset,
        zones,
    )


def _number(texts: pandas.Series) -> np.ndarray:
    return np.array([float(one) if isinstance(one, str) and one else np.nan for one in texts], dtype=float)


def _first(*choices: np.ndarray) -> np.ndarray:
    out = choices[0].copy()
    for one in choices[1:]:
        out = np.where(np.isnan(out), one, out)
    return out


def _full_year(year: np.ndarray) -> np.ndarray:
    return np.where(year < 100, np.where(year < 90, 2000 + year, 1900 + year), year)


def _seconds(hours: np.ndarray, minutes: np.ndarray, seconds: np.ndarray, half: np.ndarray) -> np.ndarray:
    minutes, seconds = np.where(np.isnan(minutes), 0.0, minutes), np.where(np.isnan(seconds), 0.0, seconds)
    halved = half != ""
    # some write 0:30 am, and some 13:30 pm
    clock = np.where(halved & (hours <= 12), hours % 12 + np.where(half == "p", 12, 0), hours)
    good = (minutes < 60) & (seconds <= 60) & np.where(halved, hours <= np.where(half == "p", 23, 12), hours <= 24)
    total = HOUR_S * clock + 60.0 * minutes + seconds
    return np.where(good & (total <= DAY_S), total, np.nan)


def offset_of(text: str) -> float | None:
    """Return how far a zone written as "z", "+02:00", "utc+2" or "cest" is ahead of UTC [s]; None where it is not known."""
    found = re.fullmatch(r"(?:utc|gmt)?\s*([+-])(\d{1,2}):?(\d{2})?", text)
    if found is None:
        return None if text not in ZONES else HOUR_S * ZONES[text]
    seconds = HOUR_S * int(found[2]) + 60.0 * int(found[3] or 0)
    return None if seconds > 14 * HOUR_S else seconds if found[1] == "+" else -seconds


def _offsets(texts: pandas.Series) -> tuple[tuple[str, ...], np.ndarray]:
    words = tuple(sorted({one for one in texts.dropna().unique() if one}))
    known = {one: offset_of(one) for one in words}
    unknown = [one for one in words if known[one] is None]
    if unknown:
        raise TerralabError(
            f'The times end in "{unknown[0].upper()}", which is no time zone that can be told. Take it out of the file, or write times '
            'such as "2026-05-01 10:00+02:00".'
        )
    return words, np.array([known[one] if isinstance(one, str) and one else np.nan for one in texts], dtype=float)


def day_in_words(days: float) -> str:
    """Return the day that is `days` after 1970-01-01, as it is read out.

    >>> day_in_words(19675.0).split()
    ['14', 'November', '2023']
    """
    day = np.datetime64(int(days), "D").item()
    return f"{day.day} {day:%B %Y}"


def day_numbers(year: np.ndarray, month: np.ndarray, day: np.ndarray) -> np.ndarray:
    """Return days since 1970-01-01; NaN for what is no date between 1990 and 2100."""
    good = (year >= FIRST_YEAR) & (year <= LAST_YEAR) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
    y, m, d = (np.where(good, one, 1 if k else 2000).astype(int) for k, one in enumerate((year, month, day)))
    months = ((y - 1970) * 12 + m - 1).astype("datetime64[M]")
    first = months.astype("datetime64[D]")
    length = ((months + 1).astype("datetime64[D]") - first).astype(int)
    return np.where(good & (d <= length), first.astype(float) + d - 1, np.nan)
