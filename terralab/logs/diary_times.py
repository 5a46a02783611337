"""Days and hours as people write them in a diary."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

import numpy as np

from terralab.errors import DescriptionError, TerralabError, quoted
from terralab.units import parse

FIRST_YEAR, LAST_YEAR = 2000, 2100
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMES = (*_MONTHS, "january", "february", "march", "april", "june", "july", "august", "september", "sept", "october")
_NAMES = (*_NAMES, "november", "december")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ t,]+(.*))?", re.IGNORECASE)
_PLAIN = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?:[ t,]+(.*))?", re.IGNORECASE)
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[ .-]+([a-z]{3,9})\.?[ ,-]+(\d{4})(?:[ t,]+(.*))?", re.IGNORECASE)
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})(?:[ t,]+(.*))?", re.IGNORECASE)
ALLOWED = 'a date such as "2026-08-03"'


def order_of(texts: Iterable[tuple[int, str]], day_first: bool | None) -> bool | None:
    """Return whether dates such as 3/8/2026 begin with the day, from all dates of a diary (each with its line); None where no
    date needs to know it.

    A number above 12 tells it. Dates with dots begin with the day unless `day_first` says otherwise. Raises TerralabError where
    nothing tells it, or where two dates tell it differently.
    """
    seen = [(line, text, _PLAIN.fullmatch(text.strip())) for line, text in texts]
    found = [(line, text, int(m[1]), int(m[3]), m[2]) for line, text, m in seen if m]
    if not found:
        return None
    day = next((one for one in found if one[2] > 12), None)
    month = next((one for one in found if one[3] > 12), None)
    if day and month:
        raise TerralabError(
            f"Line {day[0]} has {quoted(day[1])}, which begins with the day, line {month[0]} has {quoted(month[1])}, which begins "
            'with the month. Write all dates as "2026-08-03".'
        )
    if day_first is not None:
        wrong = month if day_first else day
        if wrong:
            raise TerralabError(
                f"Line {wrong[0]} has {quoted(wrong[1])}, which cannot be read with day_first={day_first}. Leave that out."
            )
        return day_first
    if day or month:
        return day is not None
    open_ = next((one for one in found if one[2] != one[3] and one[4] != "."), None)
    if open_:
        line, text, first, second, _ = open_
        names = [date(2000, m, 1).strftime("%B") for m in (second, first) if 1 <= m <= 12]
        read = f"{first} {names[0]} or {second} {names[-1]}" if len(names) == 2 else "two days"
        raise TerralabError(
            f"Line {line} has the date {quoted(text)}, which can be {read}. Say day_first=True or day_first=False, or write dates as "
            '"2026-08-03".'
        )
    return True


def day_and_rest(value: object, day_first: bool | None) -> tuple[date, str | time]:
    """Return the day, and the time of day that stands behind it ("" for none). Raises TerralabError."""
    if isinstance(value, np.datetime64):
        value = value.astype("datetime64[s]").item()
    if isinstance(value, datetime):
        if value.tzinfo is not None:
            raise TerralabError(f"date: {value} was given with a time zone. Write the clock on the wall.")
        return value.date(), value.time() if value.time() != time(0) else ""
    if isinstance(value, date):
        return value, ""
    if not isinstance(value, str) or len(value) > 60:
        raise TerralabError(f"date: {quoted(value)} was given; allowed is {ALLOWED}.")
    text = " ".join(value.replace("\u00a0", " ").split())
    if m := _ISO.fullmatch(text):
        year, month, day, rest = int(m[1]), int(m[2]), int(m[3]), m[4]
    elif m := _PLAIN.fullmatch(text):
        first, second = int(m[1]), int(m[3])
        day, month = (first, second) if day_first in (True, None) else (second, first)
        year, rest = int(m[4]) + (2000 if len(m[4]) == 2 else 0), m[5]
    elif (m := _DAY_FIRST.fullmatch(text)) and m[2].lower() in _NAMES:
        day, month, year, rest = int(m[1]), _MONTHS.index(m[2].lower()[:3]) + 1, int(m[3]), m[4]
    elif (m := _MONTH_FIRST.fullmatch(text)) and m[1].lower() in _NAMES:
        day, month, year, rest = int(m[2]), _MONTHS.index(m[1].lower()[:3]) + 1, int(m[3]), m[4]
    else:
        raise TerralabError(f"date: {quoted(value)} was given; allowed is {ALLOWED}.")
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise TerralabError(f"date: {quoted(value)} was given; the year must be {FIRST_YEAR} to {LAST_YEAR}.")
    try:
        return date(year, month, day), rest or ""
    except ValueError:
        raise TerralabError(f"date: {quoted(value)} was given, and there is no such day.") from None


def moment(day: date, hour: object) -> np.datetime64:
    """Return the day with its hour of the clock. Raises TerralabError."""
    if isinstance(hour, datetime):
        hour = hour.time()
    if isinstance(hour, str) and hour.strip().lower() == "noon":
        hour = "12:00"
    if isinstance(hour, str):
        if re.search(r"(z|[+-]\d\d:?\d\d)$", hour.strip(), re.IGNORECASE):
            raise TerralabError(f"time: {quoted(hour)} was given with a time zone. Write the clock on the wall.")
        hour = re.sub(r"\.\d+$", "", hour.strip()) if hour.count(":") == 2 else hour.strip()
    elif not isinstance(hour, time):
        raise TerralabError(f'time: {quoted(hour)} was given; allowed is a time such as "08:00" or "8:30 pm".')
    try:
        seconds = parse(hour, "time of day", "s", field="time")
    except DescriptionError as error:
        raise TerralabError(str(error)) from None
    midnight = datetime(day.year, day.month, day.day)
    return np.datetime64(midnight + timedelta(seconds=round(seconds)), "s")
