"""Columns of a log as sensors of the air: which belong together, where each hangs, in C and % RH."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from terralab.errors import TerralabError, UnknownName, quoted
from terralab.logs.cells import Numbers, plain_text
from terralab.logs.headings import (
    DEW_POINT,
    HUMIDITY,
    QUANTITIES,
    TEMPERATURE,
    VAPOUR,
    key_of,
    place_in,
    quantity_in,
    unit_in,
)
from terralab.logs.layout import Sheet
from terralab.logs.log import BOX, HIDE, HIGH, LOW, PLACES, ROOM
from terralab.physics.constants import GAS_VAPOUR, ZERO_CELSIUS
from terralab.physics.moist_air import saturation_pressure
from terralab.units import convert

#: Readings outside are no air of a room or a box, C and % RH; humidity a little past the end is the sensor's error.
COLDEST_C, HOTTEST_C = -30.0, 70.0
DAMPEST = 110.0
_LIKELY_C = (3.0, 50.0)  # C: where the middle of a log of a box or a room lies, to tell C from F
#: What a keeper writes in place of a place, to drop a sensor.
LEAVE_OUT = ("leave out", "none", "")


@dataclass
class Sensor:
    """The columns of one sensor: by quantity, where they stand; its `key` in the header, its place."""

    key: str
    columns: dict[str, int] = field(default_factory=dict)
    place: str | None = None


def sensors_in(
    sheet: Sheet,
    taken: set[int],
    chosen: Mapping[int, str],
    named: Mapping[str, str | None] | None,
    place: str | None,
) -> tuple[list[Sensor], list[str]]:
    """Return the sensors with their places, and the names of columns left out. Raises `TerralabError` where a place is not clear."""
    found: dict[str, Sensor] = {}
    left_out: list[str] = []
    wanted = {} if named is None else _wanted(sheet, named, taken)
    for k, name in enumerate(sheet.names):
        if k in taken:
            continue
        quantity = chosen.get(k) or quantity_in(name, unit_in(name) or unit_in(sheet.units[k]))
        if quantity not in QUANTITIES or wanted.get(k) == "":
            left_out.append(name)
            continue
        key = wanted.get(k) or key_of(name)
        sensor = found.setdefault(key, Sensor(key, place=wanted.get(k)))
        if quantity in sensor.columns:
            kept = _one_of_two(sheet, sensor.columns[quantity], k)
            if kept is None:
                first = sheet.names[sensor.columns[quantity]]
                raise TerralabError(
                    f"Both {quoted(first)} and {quoted(name)} seem to be the {quantity} of one sensor. Say where each hangs, as in "
                    f'sensors={{{quoted(first)}: "box", {quoted(name)}: "room"}}; "leave out" drops one.'
                )
            left_out.append(sheet.names[k if kept != k else sensor.columns[quantity]])
            sensor.columns[quantity] = kept
            continue
        sensor.columns[quantity] = k
    return _placed(sheet, list(found.values()), left_out, named is not None, place)


def _one_of_two(sheet: Sheet, first: int, second: int) -> int | None:
    """Of two columns of one quantity the one in C, where the other is the same in F."""
    units = [unit_in(sheet.names[k]) or unit_in(sheet.units[k]) for k in (first, second)]
    return {("C", "F"): first, ("F", "C"): second}.get((units[0], units[1]))


def _wanted(sheet: Sheet, named: Mapping[str, str | None], taken: set[int]) -> dict[int, str]:
    """The place the keeper gave for each column; empty for one to be left out."""
    out: dict[int, str] = {}
    free = [k for k in range(len(sheet.names)) if k not in taken]
    for word, where in named.items():
        low = plain_text(str(word))
        hit = [k for k in free if plain_text(sheet.names[k]) == low]
        hit = hit or [k for k in free if low and low == key_of(sheet.names[k])]
        hit = hit or [k for k in free if low and f" {low} " in f" {plain_text(sheet.names[k])} "]
        hit = hit or [k for k in free if low and key_of(str(word)) and key_of(str(word)) == key_of(sheet.names[k])]
        if not hit:
            raise UnknownName.among("column", word, [sheet.names[k] for k in free])
        gone = where is None or (isinstance(where, str) and plain_text(where) in LEAVE_OUT)
        for k in hit:
            out[k] = "" if gone else place_named("sensors", where)
    return out


def place_named(option: str, where: object) -> str:
    """Return one of `PLACES`, as a keeper may write it; raises UnknownName."""
    low = " ".join(str(where).lower().replace("_", " ").split()) if isinstance(where, str) else where
    if not isinstance(low, str) or low not in PLACES:
        raise UnknownName.among(f"place of a sensor (option {option})", where, PLACES)
    return low


def _placed(
    sheet: Sheet, found: list[Sensor], left_out: list[str], by_hand: bool, place: str | None
) -> tuple[list[Sensor], list[str]]:
    found = _paired(found)
    if by_hand:
        for sensor in [one for one in found if one.place is None]:
            sensor.place = place_in(sensor.key)
            if sensor.place is None:
                left_out += [sheet.names[k] for k in sensor.columns.values()]
        found = [one for one in found if one.place is not None]
    elif len(found) == 1:
        found[0].place = place or place_in(found[0].key) or BOX
    else:
        for sensor in found:
            sensor.place = place_in(sensor.key)
        open_ones = [one for one in found if one.place is None]
        if len(open_ones) == 1 and (place or BOX) not in {one.place for one in found} and not open_ones[0].key:
            open_ones[0].place = place or BOX
            open_ones = []
        if open_ones:
            example = ", ".join(
                f'{quoted(one.key or sheet.names[min(one.columns.values())])}: "{guess}"'
                for one, guess in zip(found, (BOX, ROOM, LOW, HIGH, HIDE), strict=False)
            )
            names = ", ".join(quoted(sheet.names[k]) for one in open_ones for k in one.columns.values())
            raise TerralabError(
                f"Where some sensors hang is not clear: {names}. Say it, as in sensors={{{example}}}. Places: {', '.join(PLACES)}; "
                '"leave out" drops one.'
            )
        if place is not None and place not in {one.place for one in found}:
            raise TerralabError(
                f"place={quoted(place)} was given, but the log holds {len(found)} sensors: {', '.join(str(one.place) for one in found)}. Say where "
                'each hangs with sensors={"words of a column": "room"}.'
            )
    found = _merged(found)
    places = [one.place for one in found]
    twice = next((one for one in places if places.count(one) > 1), None)
    if twice is not None:
        keys = [one.key or "(no name)" for one in found if one.place == twice]
        raise TerralabError(
            f"{len(keys)} sensors hang at {quoted(twice)}: {', '.join(keys)}. Give each a place of its own with sensors=...; "
            f'places: {", ".join(PLACES)}; "leave out" drops one.'
        )
    if not found:
        named = ", ".join(quoted(name) for name in sheet.names[:8])
        raise TerralabError(
            f'No column of temperature or humidity was found among {named}. Name them in the header, such as "Temp (C)" and "RH (%)"; or say '
            'which they are with columns={"its name": "temperature"}.'
        )
    return found, left_out


def _paired(found: list[Sensor]) -> list[Sensor]:
    """Temperature and humidity with names of their own (serial numbers) belong together where there is one of each."""
    if len(found) == 2 and all(one.place is None for one in found):
        first, second = found
        told = {place_in(one.key) for one in found} - {None}
        if (
            len(told) < 2
            and not set(first.columns) & set(second.columns)
            and len(first.columns) == len(second.columns) == 1
        ):
            return [Sensor(first.key if place_in(first.key) else second.key, first.columns | second.columns)]
    return found


def _merged(found: list[Sensor]) -> list[Sensor]:
    """Sensors of one place that read different quantities are one."""
    out: dict[str | None, Sensor] = {}
    rest = []
    for one in found:
        there = out.setdefault(one.place, one)
        if there is not one:
            if one.place is None or set(there.columns) & set(one.columns):
                rest.append(one)
            else:
                there.columns |= one.columns
    return [*out.values(), *rest]


@dataclass
class Readings:
    """Temperature [C] and humidity [% RH] of one sensor, row by row (None: it has none), and what was done in words."""

    temperature_c: np.ndarray | None
    humidity: np.ndarray | None
    words: list[str]
    impossible: int = 0


def read_sensor(sheet: Sheet, sensor: Sensor, decimal: str | None, unit: str | None) -> Readings:
    """Return what the sensor read, in C and % RH. Raises `TerralabError` where a unit can be two."""
    columns = sensor.columns
    words, lost = [], 0
    temperature = humidity = None
    if TEMPERATURE in columns:
        temperature, said = _celsius(sheet, columns[TEMPERATURE], decimal, unit)
        temperature, gone = _within(temperature, COLDEST_C, HOTTEST_C)
        _mostly(sheet, columns[TEMPERATURE], temperature, gone, f"{COLDEST_C:g} to {HOTTEST_C:g} °C")
        words.append(said)
        lost += gone
    for quantity in (HUMIDITY, DEW_POINT, VAPOUR):
        if quantity not in columns:
            continue
        k = columns[quantity]
        if quantity == HUMIDITY:
            humidity, said = _percent(sheet, k, decimal)
        else:
            if temperature is None:
                raise TerralabError(
                    f"The column {quoted(sheet.names[k])} is {quantity}, which tells the humidity only with the temperature beside it. Add a column of "
                    "temperature."
                )
            humidity, said = _from_vapour(sheet, k, quantity, temperature, decimal, unit)
        humidity, gone = _within(humidity, 0.0, DAMPEST)
        _mostly(sheet, k, humidity, gone, "0 to 100 % RH")
        words.append(said)
        lost += gone
        break
    return Readings(temperature, humidity, words, lost)


def _within(values: np.ndarray, low: float, high: float) -> tuple[np.ndarray, int]:
    out = (values < low) | (values > high)
    return np.where(out, np.nan, values), int(out.sum())


def _mostly(sheet: Sheet, column: int, left: np.ndarray, gone: int, allowed: str) -> None:
    held = int(np.isfinite(left).sum())
    if gone > held:
        raise TerralabError(
            f"Most readings of the column {quoted(sheet.names[column])} are outside {allowed}. Look at its unit, or say what it is, as in "
            f'columns={{{quoted(sheet.names[column])}: "leave out"}}.'
        )


def _numbers(sheet: Sheet, column: int, decimal: str | None) -> Numbers:
    numbers = Numbers(sheet.cells[column], decimal)
    if numbers.share < 0.5 and numbers.filled.any():
        example = next(
            cell
            for cell, bad in zip(sheet.cells[column], numbers.filled & np.isnan(numbers.values), strict=True)
            if bad
        )
        raise TerralabError(
            f"Most cells of the column {quoted(sheet.names[column])} are no numbers, such as {quoted(example)}."
        )
    return numbers


def _celsius(sheet: Sheet, column: int, decimal: str | None, unit: str | None) -> tuple[np.ndarray, str]:
    numbers = _numbers(sheet, column, decimal)
    name = sheet.names[column]
    in_cells = {
        one
        for one in (unit_in(f"[{text}]") if text not in ("°", "%") else "" for text in numbers.units)
        if one in ("C", "F", "K")
    }
    if len(in_cells) > 1 and unit is None:
        raise TerralabError(
            f"The column {quoted(name)} holds temperatures in {' and '.join(sorted(in_cells))}. Export it in one unit."
        )
    stated = unit_in(name) or unit_in(sheet.units[column]) or "".join(in_cells) or _stated_above(sheet)
    known = unit or (stated if stated in ("C", "F", "K") else "")
    held = numbers.values[np.isfinite(numbers.values)]
    # sentinels such as -127 or 850 do not decide
    held = held[(held > -60.0) & (held < 400.0)]
    sure = ""
    if not known:
        known, sure = _guessed_unit(name, held), ", judged by its numbers"
    turned = convert(0.0, "temperature", known, "C"), convert(1.0, "temperature", known, "C")
    values = turned[0] + (turned[1] - turned[0]) * numbers.values
    return (
        values,
        f"temperature from {quoted(name)} in °{known}{sure}"
        if known != "K"
        else f"temperature from {quoted(name)} in K",
    )


def _stated_above(sheet: Sheet) -> str:
    for line in sheet.preamble.split("\n")[:50]:
        low = plain_text(line)
        if "unit" in low or "temp" in low or "einheit" in low:
            found = unit_in(low)
            if found in ("C", "F"):
                return found
    return ""


def _guessed_unit(name: str, held: np.ndarray) -> str:
    if not len(held):
        return "C"
    middle = float(np.median(held))
    fits = [
        unit for unit in ("C", "F", "K") if _LIKELY_C[0] <= convert(middle, "temperature", unit, "C") <= _LIKELY_C[1]
    ]
    if len(fits) == 1:
        return fits[0]
    asked = 'Say which: unit="C" or unit="F".'
    if not fits:
        raise TerralabError(
            f"The column {quoted(name)} has no unit, and {middle:g} is no likely temperature of a box or a room in °C or °F. {asked}"
        )
    other = convert(middle, "temperature", "F", "C")
    raise TerralabError(
        f"The column {quoted(name)} has no unit: {middle:g} can be {middle:g} °C, or {middle:g} °F, which is {other:.1f} °C. {asked}"
    )


def _percent(sheet: Sheet, column: int, decimal: str | None) -> tuple[np.ndarray, str]:
    numbers = _numbers(sheet, column, decimal)
    held = numbers.values[np.isfinite(numbers.values) & (numbers.values >= 0.0)]
    name = quoted(sheet.names[column])
    if len(held) and np.quantile(held, 0.98) <= 1.1 and held.max() > 0.0:
        return 100.0 * numbers.values, f"humidity from {name}, a share of 1, in %"
    return numbers.values, f"humidity from {name} in %"


def _from_vapour(
    sheet: Sheet, column: int, quantity: str, temperature_c: np.ndarray, decimal: str | None, unit: str | None
) -> tuple[np.ndarray, str]:
    name = quoted(sheet.names[column])
    saturated = _saturated(temperature_c)
    if quantity == DEW_POINT:
        dew, said = _celsius(sheet, column, decimal, unit)
        pressure = _saturated(dew)
        return (
            100.0 * pressure / saturated,
            f"humidity worked out from the {said.replace('temperature', 'dew point', 1)} and the temperature",
        )
    density = _numbers(sheet, column, decimal).values / 1000.0
    pressure = density * GAS_VAPOUR * (temperature_c + ZERO_CELSIUS)
    return 100.0 * pressure / saturated, f"humidity worked out from {name} in g/m3 and the temperature"


def _saturated(t_c: np.ndarray) -> np.ndarray:
    values, where = np.unique(t_c, return_inverse=True)
    return np.array([saturation_pressure(float(one)) for one in values])[where]
