"""The times of a log by one clock that never jumps: time zones, and summer time that begins or ends within the log.

Timers of lamps and misters mostly know nothing of summer time. So the clock that stood on the wall when the log began is kept to
its end, and the routine of the box keeps its hours.
"""

from __future__ import annotations

import zoneinfo

import numpy as np

from terralab.errors import TerralabError, UnknownName, quoted
from terralab.logs.moments import Moments
from terralab.units import DAY_S, HOUR_S

_MONTHS_OF_CHANGE = (3, 4, 9, 10, 11)


def zone_named(field: str, name: object) -> str | None:
    """Return the name of a time zone, checked; None for None. Raises `TerralabError`."""
    if name is None:
        return None
    if not isinstance(name, str):
        raise TerralabError(
            f'{field} must be the name of a time zone such as "Europe/Berlin" or "UTC"; {quoted(name)} was given.'
        )
    try:
        zoneinfo.ZoneInfo(name)
    except Exception:  # of many kinds: no such file, a folder, odd characters
        raise UnknownName.among("time zone", name, sorted(zoneinfo.available_timezones())) from None
    return name


def steady(
    found: Moments, time_zone: str | None, log_zone: str | None, timers_shift: bool
) -> tuple[np.ndarray, list[str]]:
    """Return the times [s since 1970-01-01] by the box's clock, NaN where there is none, and what was done, in words."""
    local, words = found.local_s.copy(), []
    known = np.isfinite(local)
    if not known.any():
        return local, words
    if np.sum(np.diff(local[known]) < 0) > 0.5 * max(1, known.sum() - 1):
        words.append("the rows ran from the newest to the oldest")
        back, more = steady(_turned(found), time_zone, log_zone, timers_shift)
        return back[::-1], words + more
    offset = found.offset_s
    if log_zone is None and not np.isfinite(offset).any() and found.stated is not None:
        offset = np.where(known, found.stated, np.nan)
    if log_zone is None and np.isfinite(offset[known]).any():
        # a row that says nothing of its zone is taken as the one before it
        offset = np.where(known & ~np.isfinite(offset), offset[known & np.isfinite(offset)][0], offset)
        utc = local - offset
        if time_zone is None:
            if not np.any(offset[known] != 0.0):
                raise TerralabError(
                    "The times of the log are in UTC, and timers follow the clock on the wall. Say where the box stands, as in "
                    'time_zone="Europe/Berlin"; or time_zone="UTC" if its timers run in UTC.'
                )
            first = float(offset[known][int(np.argmin(utc[known]))])
            if timers_shift:
                return _once(local, utc, words)
            if np.ptp(offset[known]) > 0:
                words.append(
                    "summer time begins or ends in the log; times go on by the clock as it stood at its first row"
                )
            return utc + first, words
        return _in_zone(utc, time_zone, timers_shift, words)
    zone = log_zone or time_zone
    jumps = _jumps(local, zone)
    even = local.copy()
    for row, seconds in jumps:
        even[row:] += seconds
    if zone is not None and zone != (time_zone or zone):
        utc = even - _offset_at_local(even, zone)
        return _in_zone(utc, time_zone or zone, timers_shift, words)
    if jumps:
        which = " and ".join("back" if seconds > 0 else "forward" for _, seconds in jumps)
        if timers_shift:
            words.append(f"the clock was set {which} an hour within the log, and the timers with it")
            return _once(local, even, words)
        words.append(
            f"the clock was set {which} an hour within the log; times go on by the clock as it stood at its first row"
        )
    elif zone is not None and _changes(even[known], zone):
        if timers_shift:
            return _in_zone(even - _offset_at_local(even, zone), zone, True, words)
        words.append("summer time begins or ends within the log, but the logger's clock did not follow")
    elif zone is None:
        words.append("times are taken for those of the clock on the wall")
    return even, words


def _turned(found: Moments) -> Moments:
    return Moments(found.local_s[::-1], found.columns, found.offset_s[::-1], found.stated)


def _in_zone(utc: np.ndarray, zone: str, timers_shift: bool, words: list[str]) -> tuple[np.ndarray, list[str]]:
    known = np.isfinite(utc)
    ahead = np.full(len(utc), np.nan)
    ahead[known] = _ahead(utc[known], zone)
    first = float(ahead[known][int(np.argmin(utc[known]))])
    words.append(f"times were turned into those of {zone}, {_hours(first)} UTC")
    if timers_shift:
        return _once(utc + ahead, utc, words)
    if np.ptp(ahead[known]) > 0.0:
        words.append("summer time begins or ends in the log; times go on by the clock as it stood at its first row")
    return utc + first, words


def _hours(seconds: float) -> str:
    if seconds == 0.0:
        return "the same as"
    size = abs(seconds) / HOUR_S
    return f"{size:g} {'hour' if size == 1 else 'hours'} {'ahead of' if seconds > 0 else 'behind'}"


def _once(wall: np.ndarray, true: np.ndarray, words: list[str]) -> tuple[np.ndarray, list[str]]:
    """Wall-clock times without the hour that comes a second time; `true`: the same rows by a clock that does not jump."""
    known = np.flatnonzero(np.isfinite(true) & np.isfinite(wall))
    order = known[np.argsort(true[known], kind="stable")]
    highest = np.maximum.accumulate(wall[order])
    again = np.concatenate([[False], (wall[order][1:] <= highest[:-1]) & (true[order][1:] > true[order][:-1])])
    out = wall.copy()
    out[order[again]] = np.nan
    if again.any():
        words.append(f"the hour that came twice was kept once ({int(again.sum())} rows left out)")
    return out, words


def _ahead(utc: np.ndarray, zone: str) -> np.ndarray:
    """How far the clocks of a zone are ahead of UTC [s] at times in UTC."""
    import pandas

    there = (
        pandas.DatetimeIndex(np.round(utc).astype("int64").astype("datetime64[s]")).tz_localize("UTC").tz_convert(zone)
    )
    naive = there.tz_localize(None).to_numpy().astype("datetime64[s]").astype("int64")
    return naive - np.round(utc)


def _offset_at_local(local: np.ndarray, zone: str) -> float:
    """How far the zone is ahead of UTC [s] at the first of times by its own clock."""
    first = np.array([float(np.nanmin(local))])
    guess = _ahead(first, zone)
    return float(_ahead(first - guess, zone)[0])


def _changes(local: np.ndarray, zone: str) -> list[float]:
    """By the clock before it, the times [s] at which the zone's clocks are set within the span of `local`."""
    start, end = float(local.min()), float(local.max())
    grid = np.arange(start - DAY_S - start % HOUR_S, end + DAY_S, HOUR_S)
    if len(grid) > 24 * 366 * 20:
        return []
    ahead = _ahead(grid, zone)
    changed = np.flatnonzero(np.diff(ahead))
    return [t for t in (float(grid[k + 1] + ahead[k]) for k in changed) if start < t < end]


def _jumps(local: np.ndarray, zone: str | None) -> list[tuple[int, float]]:
    """Rows from which the logger's clock runs an hour off, and the seconds that set it even again."""
    rows = np.flatnonzero(np.isfinite(local))
    times = local[rows]
    steps = np.diff(times)
    rising = steps[steps > 0]
    if len(rising) < 20 or len(rising) < 0.9 * len(steps):
        return []
    usual = float(np.median(rising))
    if usual > HOUR_S:
        return []
    slack = max(60.0, 0.3 * usual)
    changes = None if zone is None else _changes(times, zone)
    out: list[tuple[int, float]] = []
    for k in np.flatnonzero((np.abs(steps - usual + HOUR_S) <= slack) | (np.abs(steps - usual - HOUR_S) <= slack)):
        back = steps[k] < usual
        if changes is None:
            if not _a_night_of_change(times[k], bool(back)):
                continue
        elif not any(abs(times[k] - one) <= HOUR_S + 2.0 * usual for one in changes):
            continue
        if out and out[-1][1] == (HOUR_S if back else -HOUR_S):
            continue  # clocks are set forward and back in turn
        out.append((int(rows[k + 1]), HOUR_S if back else -HOUR_S))
    return out


def _a_night_of_change(second: float, back: bool) -> bool:
    """Whether clocks are set somewhere at that time: early on a Sunday in spring or autumn."""
    day = np.datetime64(int(second // DAY_S), "D").item()
    hour = second % DAY_S / HOUR_S
    return day.weekday() == 6 and day.month in _MONTHS_OF_CHANGE and (0.9 if back else 0.4) <= hour <= 3.5
