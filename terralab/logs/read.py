"""Read the log of any hygrometer or logger: a text file, a spreadsheet or a table of pandas."""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING

import numpy as np

from terralab.errors import TerralabError, UnknownName, quoted
from terralab.logs import tidy, told
from terralab.logs.air import LEAVE_OUT, Readings, Sensor, place_named, read_sensor, sensors_in
from terralab.logs.cells import plain_text, words_of
from terralab.logs.headings import QUANTITIES, TEMPERATURE, key_of, place_in, tokens
from terralab.logs.joined import joined
from terralab.logs.layout import Sheet, laid_out
from terralab.logs.loads import device_columns, loads
from terralab.logs.log import Log, SensorLog
from terralab.logs.moments import moments
from terralab.logs.source import opened
from terralab.logs.steady import steady, zone_named
from terralab.units import DAY_S

if TYPE_CHECKING:
    import pandas

_MOST_YEARS = 10
_WHICH = words_of(
    "sensor device location name place probe id room channel where station node label gerat raum ort source tag"
)
_MOST_SENSORS = 12


def read_log(
    source: str | os.PathLike | pandas.DataFrame,
    *,
    place: str | None = None,
    sensors: Mapping[str, str | None] | None = None,
    columns: Mapping[str, str] | None = None,
    devices: Mapping[str, str | tuple[str, str]] | None = None,
    unit: str | None = None,
    decimal: str | None = None,
    separator: str | None = None,
    day_first: bool | None = None,
    first_date: str | date | None = None,
    time_zone: str | None = None,
    log_zone: str | None = None,
    timers_shift: bool = False,
    sheet: str | None = None,
) -> Log:
    """Read what one or more sensors logged, and say back in `Log.understood` how it was read.

    source: the path of a text file (CSV or the like, up to 200 MB and a million lines) or of a spreadsheet (.xlsx), or a DataFrame of
    pandas. Nothing in it is executed. Separator, decimal mark, encoding, lines before the header, units, order of day and month and
    the columns are found by themselves; where two readings are possible the error names both, and the option that says which:

    place: where a single sensor hangs: "box", "box low", "box high", "hide" or "room" (None: as the header says, else "box").
    sensors: the same for several, by words of their columns: {"Temp 1": "box low", "room": "room"}; "leave out" drops one.
    columns: what a column is, where its name does not tell: "time", "date", "temperature", "humidity", "dew point", "absolute humidity"
    or "leave out". Columns without a name are "column 1", "column 2" and so on.
    devices: the column of a device's load: {"plant light": "Lamp"}, with what stands there at full load where that is not clear:
    {"plant light": ("Lamp", "24 W")}. Devices are named as in the description.
    unit: of temperatures, "C", "F" or "K". decimal: "." or ",". separator: "comma", "semicolon", "tab", "bar" or "blank". day_first: True
    for 3.4. as 3 April. first_date: the day of the first row, where the log holds times of day alone. sheet: of a spreadsheet.
    time_zone: where the box stands, such as "Europe/Berlin", for logs in UTC. log_zone: the zone of the logger's clock, where it is another.
    timers_shift: times go by the clock that stood on the wall at the first row, as timers do that know nothing of summer time; True where
    the timers of the box follow it.

    Dew point and absolute humidity are turned into % RH with the temperature beside them. Humidity at the top of the sensor's range
    (99 % and above, or a lower top where it stays for hours) is marked `at_least`; readings of a sensor that froze are left out.
    Raises `FileError` for a file that cannot be read, `TerralabError` for anything else that is wrong.
    """
    _check(unit, decimal, day_first, timers_shift, sheet, sensors, columns, devices)
    place = None if place is None else place_named("place", place)
    zones = zone_named("time_zone", time_zone), zone_named("log_zone", log_zone)
    begins = _day(first_date)
    whole = laid_out(opened(source, sheet), separator)
    chosen = _chosen(whole, columns)
    found = moments(whole, chosen, day_first, begins)
    taken = {*found.columns, *(k for k, kind in chosen.items() if kind == "leave out")}
    seconds, zone_words = steady(found, *zones, timers_shift)
    split = _stacked(whole, taken, chosen, seconds, devices)
    ways = found.words + zone_words
    if split is not None:
        return _of_stacked(whole, split, seconds, taken, chosen, (sensors, place, decimal, unit), ways)
    return _log(whole, seconds, taken, chosen, (sensors, place, decimal, unit), devices, ways)


def _log(
    sheet: Sheet,
    seconds: np.ndarray,
    taken: set[int],
    chosen: dict[int, str],
    options: tuple,
    devices: object,
    ways: list[str],
) -> Log:
    named, place, decimal, unit = options
    lamps = device_columns(sheet, devices)  # type: ignore[arg-type]
    taken = taken | {k for k, _ in lamps.values()}
    sensors, left_out = sensors_in(sheet, taken, chosen, named, place)
    read = [(sensor, read_sensor(sheet, sensor, decimal, unit)) for sensor in sensors]
    worked = {device: loads(sheet, device, k, full, decimal) for device, (k, full) in lamps.items()}
    every = [one for _, got in read for one in (got.temperature_c, got.humidity) if one is not None]
    every += [load for load, _ in worked.values()]
    order = tidy.ordered(seconds, np.stack(every, axis=1))
    rows = order.rows
    air = [one for _, got in read for one in (got.temperature_c, got.humidity) if one is not None]
    empty = ~np.isfinite(np.stack(air, axis=1)[rows]).any(axis=1)
    rows = rows[~empty]
    _enough(sheet, seconds, rows)
    times = seconds[rows]
    devices_out = {device: load[rows] for device, (load, _) in worked.items()}
    logs, told_air = _sensors(sheet, times, rows, read)
    understood = told.paragraph(
        sheet, times, ways, told_air, [said for _, said in worked.values()], left_out, order, int(empty.sum()),
        sum(got.impossible for _, got in read),
    )  # fmt: skip
    return Log(times.astype("int64").astype("datetime64[s]"), logs, devices_out, understood, tidy.missing_share(times))


def _enough(sheet: Sheet, seconds: np.ndarray, rows: np.ndarray) -> None:
    if len(rows) < 2:
        raise TerralabError(
            f"Of {len(sheet.cells)} rows {len(rows)} {'has' if len(rows) == 1 else 'have'} both a time and a reading. A log needs two at least; a week "
            "or more teaches most."
        )
    if seconds[rows[-1]] - seconds[rows[0]] > _MOST_YEARS * 366 * DAY_S:
        raise TerralabError(
            f"The log spans more than {_MOST_YEARS} years. Cut it, or mend the dates of its first and last rows."
        )


def _stuck(sheet: Sheet, sensor: Sensor, reads: float) -> TerralabError:
    """What is said of a hygrometer that showed one humidity through the whole log while the temperature moved."""
    name = next(sheet.names[k] for quantity, k in sensor.columns.items() if quantity != TEMPERATURE)
    return TerralabError(
        f"The humidity in the column {quoted(name)} stood at {reads:g} % through the whole log while the temperature moved by many "
        "degrees: the sensor seems stuck. Replace it and log again. To read the rest of the file, say what the column is: "
        f'--column "{name}=leave out", or columns={{{quoted(name)}: "leave out"}} of tl.read_log.'
    )


def _sensors(
    sheet: Sheet, times: np.ndarray, rows: np.ndarray, read: list[tuple[Sensor, Readings]]
) -> tuple[dict[str, SensorLog], list[told.Told]]:
    columns: dict[tuple[str, str], np.ndarray] = {}
    at_least: dict[str, np.ndarray] = {}
    tops: dict[str, float] = {}
    for sensor, got in read:
        where = str(sensor.place)
        if got.temperature_c is not None:
            columns[where, "temperature"] = got.temperature_c[rows]
        if got.humidity is not None:
            held = got.humidity[rows]
            at_least[where], tops[where] = tidy.at_the_top(times, held)
            columns[where, "humidity"] = np.minimum(held, 100.0)
    stuck = tidy.frozen(times, columns, at_least)
    for where, quantity, a, b, fine in stuck:
        if fine:
            before = columns[where, quantity]
            columns[where, quantity] = before.copy()
            columns[where, quantity][a : b + 1] = np.nan
            if not np.isfinite(columns[where, quantity]).any():
                raise _stuck(sheet, next(sensor for sensor, _ in read if sensor.place == where), float(before[a]))
    logs, out = {}, []
    for sensor, got in read:
        where = str(sensor.place)
        logs[where] = SensorLog(
            columns.get((where, "temperature")), columns.get((where, "humidity")), at_least.get(where)
        )
        mine = [one for one in stuck if one[0] == where]
        out.append(
            told.Told(
                where, got.words, columns.get((where, "humidity")), at_least.get(where), tops.get(where, 100.0), mine
            )
        )
    return logs, out


def _stacked(sheet: Sheet, taken: set[int], chosen: dict[int, str], seconds: np.ndarray, devices: object) -> int | None:
    """The column that names the sensor, where rows of several sensors stand below each other."""
    lamps = {k for k, _ in device_columns(sheet, devices).values()}  # type: ignore[arg-type]
    for k, name in enumerate(sheet.names):
        if k in taken or k in lamps or k in chosen or not set(tokens(name)) & _WHICH:
            continue
        cells = sheet.cells[k]
        names = [one for one in cells.unique() if one]
        if 2 <= len(names) <= _MOST_SENSORS and len(names) < 0.2 * len(cells) and (cells != "").mean() > 0.9:
            return k
    return None


def _of_stacked(
    sheet: Sheet,
    column: int,
    seconds: np.ndarray,
    taken: set[int],
    chosen: dict[int, str],
    options: tuple,
    ways: list[str],
) -> Log:
    named, _, decimal, unit = options
    wanted = {plain_text(str(word)): where for word, where in (named or {}).items()}
    places: dict[str, str] = {}
    names = [one for one in sheet.cells[column].unique() if one]
    for name in names:
        where = wanted.get(plain_text(name), place_in(key_of(name)) if not wanted else None)
        if where is not None and plain_text(str(where)) not in LEAVE_OUT:
            places[name] = place_named("sensors", where)
        elif not wanted:
            example = ", ".join(
                f'{quoted(one)}: "{guess}"' for one, guess in zip(names, ("box", "room", "hide"), strict=False)
            )
            raise TerralabError(
                f"The column {quoted(sheet.names[column])} names {len(names)} sensors: {', '.join(quoted(one) for one in names)}. Say where each hangs, "
                f"as in sensors={{{example}}}."
            )
    strange = [str(word) for word in (named or {}) if plain_text(str(word)) not in {plain_text(one) for one in names}]
    if strange or not places:
        raise UnknownName.among("sensor in the log", strange[0] if strange else "", names)
    if len(set(places.values())) < len(places):
        raise TerralabError(
            'Two sensors were given one place. Give each a place of its own, or leave one out with "leave out".'
        )
    logs = []
    for name, where in places.items():
        mine = (sheet.cells[column] == name).to_numpy()
        cells = sheet.cells[mine].reset_index(drop=True)
        part = Sheet(sheet.names, sheet.units, cells, sheet.preamble, sheet.separator, 0, sheet.named)
        logs.append(
            _log(
                part,
                seconds[mine],
                taken | {column},
                chosen,
                (None, where, decimal, unit),
                None,
                ways if not logs else [],
            )
        )
    return logs[0] if len(logs) == 1 else joined(*logs)


def _chosen(sheet: Sheet, columns: Mapping[str, str] | None) -> dict[int, str]:
    """What the keeper said of columns, by their number."""
    out = {}
    allowed = ("time", "date", *QUANTITIES, "leave out")
    for name, kind in (columns or {}).items():
        hit = [k for k, one in enumerate(sheet.names) if plain_text(one) == plain_text(str(name))]
        hit = hit or [k for k in range(len(sheet.names)) if plain_text(str(name)) == f"column {k + 1}"]
        if not hit:
            raise UnknownName.among("column", name, sheet.names)
        word = plain_text(kind) if isinstance(kind, str) else kind
        if word not in allowed:
            raise UnknownName.among("kind of column", kind, allowed)
        out[hit[0]] = word
    return out


def _check(
    unit: object, decimal: object, day_first: object, timers_shift: object, sheet: object, *tables: object
) -> None:
    if unit is not None and (not isinstance(unit, str) or unit.strip("° ").upper() not in ("C", "F", "K")):
        raise TerralabError(f'unit must be "C", "F" or "K", the unit of the temperatures; {quoted(unit)} was given.')
    if decimal is not None and (not isinstance(decimal, str) or decimal not in (".", ",")):
        raise TerralabError(f'decimal must be "." or ","; {quoted(decimal)} was given.')
    if day_first is not None and not isinstance(day_first, bool):
        raise TerralabError(f"day_first must be True or False; {quoted(day_first)} was given.")
    if not isinstance(timers_shift, bool):
        raise TerralabError(f"timers_shift must be True or False; {quoted(timers_shift)} was given.")
    if sheet is not None and not isinstance(sheet, str):
        raise TerralabError(f"sheet must be the name of a sheet of the spreadsheet; {quoted(sheet)} was given.")
    for name, table in zip(("sensors", "columns", "devices"), tables, strict=True):
        if table is not None and not (isinstance(table, Mapping) and all(isinstance(key, str) for key in table)):
            raise TerralabError(
                f'{name} must be a table such as {{"name of a column": "box"}}; {quoted(table)} was given.'
            )


def _day(given: object) -> np.datetime64 | None:
    if given is None:
        return None
    if isinstance(given, datetime):
        if given != given:  # pandas' time that is none
            return _no_day(given)
        given = given.date()
    try:
        return (
            np.datetime64(date.fromisoformat(given) if isinstance(given, str) else given, "D")
            if isinstance(given, (str, date))
            else _no_day(given)
        )
    except ValueError:
        return _no_day(given)


def _no_day(given: object) -> np.datetime64:
    raise TerralabError(f'first_date must be a day such as "2026-05-01"; {quoted(given)} was given.')
