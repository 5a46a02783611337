"""Which columns of a log tell the time, and what time they tell: day and month, epoch seconds, serial days."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np

from terralab.errors import TerralabError, quoted
from terralab.logs.cells import Numbers, plain_text, words_of
from terralab.logs.headings import tokens
from terralab.logs.layout import Sheet
from terralab.logs.times import Written, day_in_words, day_numbers, is_when, offset_of, read_written
from terralab.units import DAY_S, HOUR_S

TIME_WORDS = words_of(
    "time date datetime timestamp zeit datum uhrzeit zeitpunkt zeitstempel heure fecha hora data ora tijd tid dato stamp epoch unix when "
    "recorded created logged hour hours stunde czas godzina measured clock utc gmt"
)
_SAMPLE = 120
_SERIAL = (32_874.0, 73_051.0)  # days since 1899-12-30: the years 1990 to 2100
_SERIAL_ZERO = -25_569.0  # days from 1970-01-01 to the day that spreadsheets count from
_EPOCH = (631_152_000.0, 4_102_444_800.0)  # s: the same years
#: So many times longer the way through a log must be for an order of day and month to be out of the question; a choice.
_CLOSE = 4.0
_ORDERS = {"day first": (2, 1, 0), "month first": (2, 0, 1), "year first": (0, 1, 2)}
# "exported at 10:05 UTC" tells nothing of the rows
_OF_ZONE = re.compile(r"zone|offset|\btimes? (?:are|is|in)\b|times?tamps")
_ZONED = re.compile(r"\b(?:utc|gmt)\s*(?:[+-]\s*\d{1,2}(?::?\d{2})?)?")


@dataclass
class Moments:
    """The time of each row in seconds since 1970-01-01 by the logger's own clock (NaN: none), and what was found on the way.

    `offset_s`: ahead of UTC where the rows say so. `stated`: what header or preamble say of it, None where nothing.
    `columns`: those that were used.
    """

    local_s: np.ndarray
    columns: tuple[int, ...]
    offset_s: np.ndarray
    stated: float | None = None
    words: list[str] = field(default_factory=list)


def moments(sheet: Sheet, chosen: dict[int, str], day_first: bool | None, first_date: np.datetime64 | None) -> Moments:
    """Return the times of all rows. `chosen`: columns that the keeper named as "time" or "date". Raises `TerralabError`."""
    cells = sheet.cells
    kinds: dict[int, str] = {}
    for k in cells.columns:
        if chosen.get(k, "time") not in ("time", "date"):
            continue
        filled = cells[k][cells[k] != ""]
        sample = filled.iloc[:: max(1, len(filled) // _SAMPLE)].head(_SAMPLE)
        if not any(map(is_when, sample)):
            continue
        seen = _seen(sample)
        if seen is not None:
            kinds[k] = seen
    if "hour" in kinds.values():  # a spreadsheet writes a bare date as its midnight
        kinds = {k: "date" if kind == "midnight" else kind for k, kind in kinds.items()}
    kinds = {k: "both" if kind == "midnight" else kind for k, kind in kinds.items()}
    named = [k for k, kind in chosen.items() if kind in ("time", "date")]
    whole = [k for k in kinds if kinds[k] == "both" and (not named or k in named)]
    dates = [k for k in kinds if kinds[k] == "date" and (not named or k in named)]
    hours = [k for k in kinds if kinds[k] == "hour" and (not named or k in named)]
    if whole:
        return _whole(sheet, whole, day_first)
    counted = _counted(sheet, named, set(dates) | set(hours))
    if dates and not hours:
        hours_of = _bare_hours(sheet, dates[0])
        if hours_of is not None:
            column, seconds = hours_of
            written = read_written(cells[dates[0]])
            written.day_s = seconds
            return _dated(sheet, (dates[0], column), written, day_first)
    if dates and hours:
        written, hour = read_written(cells[dates[0]]), read_written(cells[hours[0]])
        written.day_s, written.halves = hour.day_s, hour.halves
        written.offset_s, written.zones = hour.offset_s, hour.zones
        return _dated(sheet, (dates[0], hours[0]), written, day_first)
    if counted is not None:
        return counted
    if hours:
        return _undated(sheet, hours[0], first_date)
    if dates:
        raise TerralabError(
            f"The column {quoted(sheet.names[dates[0]])} holds dates, but no column holds the time of day. Export the log with times; "
            "means of whole days tell too little."
        )
    raise TerralabError(
        "No column holds dates and times. Name it in the header, and write times such as 2026-05-01 10:05; or say which it is with "
        'columns={"its name": "time"}.'
    )


def _seen(sample) -> str | None:
    if not len(sample):
        return None
    try:
        written = read_written(sample)
    except TerralabError:
        return "both"  # a zone that is not known: said once the column is read as a whole
    both = float((written.dated & written.timed).mean())
    if both >= 0.6:
        return "midnight" if not np.nanmax(written.day_s) else "both"
    if float(written.dated.mean()) >= 0.6:
        return "date"
    return "hour" if float(written.timed.mean()) >= 0.6 else None


def _whole(sheet: Sheet, whole: list[int], day_first: bool | None) -> Moments:
    word = lambda k: tokens(sheet.names[k])  # noqa: E731
    local = [k for k in whole if {"local", "lokal", "ortszeit"} & set(word(k))]
    not_utc = [k for k in whole if not {"utc", "gmt"} & set(word(k))]
    chosen = (local or not_utc or whole)[0]
    out = _dated(sheet, (chosen,), read_written(sheet.cells[chosen]), day_first)
    if len(whole) > 1:
        out.words.append(f"times are those of the column {quoted(sheet.names[chosen])}")
        out.columns = tuple(whole)
    return out


def _dated(sheet: Sheet, columns: tuple[int, ...], written: Written, day_first: bool | None) -> Moments:
    words: list[str] = []
    days = day_numbers(*written.fixed.T)
    opened = np.isfinite(written.open[:, 0])
    if opened.any():
        _no_turned_days(sheet, columns[0], written)
        ordered, said = _ordered(sheet, columns[0], written, days, day_first)
        days = np.where(np.isfinite(days), days, ordered)
        words += said
    local = days * DAY_S + written.day_s
    _no_lost_half(written, local)
    if written.halves:
        words.append("am and pm were read")
    return Moments(local, columns, written.offset_s, _stated(sheet, columns), words=words)


def _ordered(
    sheet: Sheet, column: int, written: Written, fixed: np.ndarray, day_first: bool | None
) -> tuple[np.ndarray, list[str]]:
    parts = written.open
    short = bool((parts[np.isfinite(parts[:, 2]), 2] < 100).all())
    ways: dict[str, np.ndarray] = {}
    for order, (y, m, d) in _ORDERS.items():
        if order == "year first" and not short:
            continue
        year = parts[:, y]
        if order == "year first" and not (np.nanmin(year) >= 15 and np.nanmax(year) <= 60):
            continue
        ways[order] = day_numbers(np.where(year < 100, 2000 + year, year), parts[:, m], parts[:, d])
    wanted = {True: ("day first",), False: ("month first", "year first"), None: tuple(_ORDERS)}[day_first]
    opened = int(np.isfinite(parts[:, 0]).sum())
    good = {order: int(np.isfinite(days).sum()) for order, days in ways.items() if order in wanted}
    most = max(good.values(), default=0)
    few = opened < 0.5 * (opened + int(np.isfinite(fixed).sum()))  # odd cells among dates that are plain
    if most < 0.5 * opened:
        if few:
            return np.full(len(fixed), np.nan), []
        example = sheet.cells[column][np.isfinite(parts[:, 0])].iloc[0]
        asked = "" if day_first is None else f" with day_first={day_first}"
        raise TerralabError(
            f"Most dates of the column {quoted(sheet.names[column])}, such as {quoted(example)}, are no days of a calendar{asked}."
        )
    left = {order: ways[order] for order, count in good.items() if count >= 0.98 * most and count > 0}
    if len(left) == 1 or day_first is not None:
        order, days = next(iter(left.items()))
        certain = "as asked for" if day_first is not None else "since the other order gives no days of a calendar"
        return days, [f"dates were read {order}, {certain}"]
    length = {
        order: _way(np.where(np.isfinite(fixed), fixed, days) * DAY_S + np.nan_to_num(written.day_s))
        for order, days in left.items()
    }
    best, second = sorted(left, key=lambda order: length[order][0])[:2]
    if np.array_equal(left[best], left[second], equal_nan=True):
        return left[best], []  # such as 04/04: both orders are the same
    if length[second][0] >= _CLOSE * max(length[best][0], DAY_S) and length[best][1] <= 6 * HOUR_S:
        return left[best], [f"dates were read {best}, since only so does one day follow the other"]
    if written.dotted and "day first" in left:
        return left["day first"], ["dates with dots were read day first"]
    if few:
        return np.full(len(fixed), np.nan), []
    k = int(np.flatnonzero(np.isfinite(left[best]) & np.isfinite(left[second]) & (left[best] != left[second]))[0])
    said = [day_in_words(left[order][k]) for order in (best, second)]
    raise TerralabError(
        f"{quoted(sheet.cells[column].iloc[k])} can be {said[0]} or {said[1]}, and the log is too short to tell. Say which: day_first=True or "
        "day_first=False."
    )


def _no_turned_days(sheet: Sheet, column: int, written: Written) -> None:
    """Refuse dates of which a spreadsheet took those up to the twelfth for months, and left the others as text."""
    fixed, parts = np.isfinite(written.fixed[:, 0]), np.isfinite(written.open[:, 0])
    if min(fixed.sum(), parts.sum()) < 0.1 * (fixed.sum() + parts.sum()):
        return
    if written.fixed[fixed, 2].max() <= 12 and np.median(written.open[parts, :2].max(axis=1)) > 12:
        raise TerralabError(
            f"The column {quoted(sheet.names[column])} holds dates up to the 12th in one form and later ones in another: a spreadsheet seems to have "
            "exchanged day and month of the first. Export the log from the logger anew, and read that file before a spreadsheet has saved it."
        )


def _way(seconds: np.ndarray) -> tuple[float, float]:
    """How long the way through all times is [s], and the usual step."""
    steps = np.abs(np.diff(seconds[np.isfinite(seconds)]))
    return (float(steps.sum()), float(np.median(steps))) if len(steps) else (0.0, 0.0)


def _no_lost_half(written: Written, local: np.ndarray) -> None:
    """Refuse a twelve-hour clock without am and pm: each time then stands for two."""
    known = local[np.isfinite(local)]
    if written.halves or len(known) < 40 or written.day_s[np.isfinite(written.day_s)].max() >= 13 * HOUR_S:
        return
    if known.max() - known.min() >= 1.5 * DAY_S and len(np.unique(known)) <= 0.6 * len(known):
        raise TerralabError(
            "The times run from 1 to 12 o'clock twice a day, without am or pm. Export the log with am and pm, or with hours from 0 to 23."
        )


def _bare_hours(sheet: Sheet, date: int) -> tuple[int, np.ndarray] | None:
    """A column of hours written as 1005 or as a part of a day, beside dates."""
    for k in sheet.cells.columns:
        if k == date or not TIME_WORDS & set(tokens(sheet.names[k])):
            continue
        numbers = Numbers(sheet.cells[k], None)
        held = numbers.values[np.isfinite(numbers.values)]
        if numbers.share < 0.9 or not len(held) or held.min() < 0.0:
            continue
        if held.max() < 1.0:
            return k, np.round(numbers.values * DAY_S)
        if held.max() <= 24:
            return k, numbers.values * HOUR_S
        if held.max() <= 2359 and (held % 1 == 0).all() and (held % 100 < 60).all():
            return k, numbers.values // 100 * HOUR_S + numbers.values % 100 * 60.0
    return None


def _counted(sheet: Sheet, named: list[int], taken: set[int]) -> Moments | None:
    """Times counted in seconds since 1970 or in days of a spreadsheet."""
    for k in sheet.cells.columns:
        if k in taken or (named and k not in named):
            continue
        numbers = Numbers(sheet.cells[k], None)
        if numbers.share < 0.9 or not np.isfinite(numbers.values).any():
            continue
        middle = float(np.nanmedian(numbers.values))
        none = np.full(len(numbers.values), np.nan)
        for unit, words in ((1.0, "seconds"), (1e3, "milliseconds"), (1e6, "microseconds"), (1e9, "nanoseconds")):
            if _EPOCH[0] * unit <= middle <= _EPOCH[1] * unit:
                seconds = numbers.values / unit
                inside = (seconds >= _EPOCH[0]) & (seconds <= _EPOCH[1])
                said = [f"times were counted in {words} since 1970 in UTC"]
                return Moments(np.where(inside, np.floor(seconds + 1e-6), np.nan), (k,), none, 0.0, said)
        time_like = bool(TIME_WORDS & set(tokens(sheet.names[k]))) or k in named or (not sheet.named and k == 0)
        if time_like and _SERIAL[0] <= middle <= _SERIAL[1]:
            inside = (numbers.values >= _SERIAL[0]) & (numbers.values <= _SERIAL[1])
            seconds = np.round((np.where(inside, numbers.values, np.nan) + _SERIAL_ZERO) * DAY_S)
            if np.nanmax(seconds % DAY_S) == 0.0:
                hours = _bare_hours(sheet, k)
                if hours is not None:
                    seconds = seconds + hours[1]
            return Moments(
                seconds, (k,), none, _stated(sheet, (k,)), words=["times were counted in days, as a spreadsheet does"]
            )
    return None


def _undated(sheet: Sheet, column: int, first_date: np.datetime64 | None) -> Moments:
    if first_date is None:
        raise TerralabError(
            f"The column {quoted(sheet.names[column])} holds times of day, but no column holds dates. Export the log with dates, or give "
            'the day of its first row: first_date="2026-05-01".'
        )
    written = read_written(sheet.cells[column])
    known = np.isfinite(written.day_s)
    seconds = written.day_s[known]
    days = np.concatenate([[0], np.cumsum(np.diff(seconds) < -6 * HOUR_S)]) if len(seconds) else np.empty(0)
    local = np.full(len(known), np.nan)
    local[known] = first_date.astype("datetime64[D]").astype(float) * DAY_S + days * DAY_S + seconds
    return Moments(
        local, (column,), written.offset_s, _stated(sheet, (column,)), words=["days were counted from the one given"]
    )


def _stated(sheet: Sheet, columns: tuple[int, ...]) -> float | None:
    """What the header, the unit below it or the lines above it say of how far the clock is ahead of UTC [s]."""
    above = [line for line in sheet.preamble.split("\n")[:50] if _OF_ZONE.search(line.lower())]
    for text in [f"{sheet.names[k]} {sheet.units[k]}" for k in columns] + above:
        found = _ZONED.search(plain_text(text.replace("_", " ")))
        if found:
            return offset_of(found[0].replace(" ", ""))
    return None
