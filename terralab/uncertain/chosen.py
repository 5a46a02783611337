"""What a choice of uncertain numbers means: the words of a `choose` mapping, checked and applied.

Three kinds of key: `"name.property"` is a number of the materials tables, given as "low", "typical", "high" or a
value within its range; `"room.temperature"` [K] and `"room.humidity"` [points] move the whole room;
`"box.enclosure.plants.leaf_area_cm2"` is a number of the description, its field names joined by dots and the
items of a list counted from 0.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.errors import TerralabError, TerralabWarning, UnknownName

ENDS = ("low", "typical", "high")
ROOM_KEYS = ("room.temperature", "room.humidity")
LEAST_RH, MOST_RH = 2.0, 98.0


@cache
def _material_keys() -> frozenset[str]:
    return frozenset(
        f"{name}.{prop}"
        for table in materials.tables()
        for name in materials.names(table)
        for prop in materials.get(table, name)
    )


def check(choose: Mapping[str, float | str]) -> None:
    """Refuse a key that means nothing, an unknown end, or a value that is no number. Raises TerralabError."""
    for key, value in choose.items():
        if key.startswith("box.") or key in ROOM_KEYS:
            if not _is_number(value):
                raise TerralabError(f"choose, {key}: {value!r} was given; a plain number is needed.")
            continue
        if key not in _material_keys():
            raise UnknownName.among("uncertain number", key, sorted(_material_keys()))
        if value not in ENDS and not _is_number(value):
            raise TerralabError(f"choose, {key}: {value!r} was given; allowed are low, typical, high or a number.")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e12


def changed(box: Box, choose: Mapping[str, float | str]) -> Box:
    """The box with the described numbers that `choose` sets; the box itself where it sets none."""
    mine = {key: value for key, value in choose.items() if key.startswith("box.")}
    if not mine:
        return box
    with warnings.catch_warnings():
        # a caution about the box as described has been given already
        warnings.simplefilter("ignore", TerralabWarning)
        return _with_values(box, {tuple(key.split(".")[1:]): float(value) for key, value in mine.items()})


def _with_values(part: object, values: Mapping[tuple[str, ...], float]) -> object:
    """A copy of a described part with the numbers at some paths replaced; each part is built and checked once."""
    below: dict[str, dict[tuple[str, ...], float]] = {}
    for (step, *rest), value in values.items():
        below.setdefault(step, {})[tuple(rest)] = value
    if isinstance(part, tuple):
        items = list(part)
        for step, inside in below.items():
            index = _index(part, step)
            items[index] = _changed_at(part[index], inside)
        return tuple(items)
    known = [f.name for f in fields(part)] if is_dataclass(part) else []
    for step in below:
        if step not in known:
            raise UnknownName.among("entry of the description", step, known)
    return replace(part, **{step: _changed_at(getattr(part, step), inside) for step, inside in below.items()})


def _changed_at(held: object, inside: Mapping[tuple[str, ...], float]) -> object:
    return inside[()] if () in inside else _with_values(held, inside)


def value_at(part: object, path: tuple[str, ...]) -> float:
    """The number at `path` of a described part."""
    for step in path:
        part = part[_index(part, step)] if isinstance(part, tuple) else getattr(part, step)
    return float(part)


def _index(items: tuple, step: str) -> int:
    if not step.isdigit() or int(step) >= len(items):
        raise UnknownName.among("item of the description", step, map(str, range(len(items))))
    return int(step)


def shifted(room: RoomState, choose: Mapping[str, float | str]) -> RoomState:
    """The room moved by the degrees and points of humidity that `choose` gives; humidity stays within 2 to 98 %."""
    kelvin, points = (float(choose.get(key, 0.0)) for key in ROOM_KEYS)
    if not kelvin and not points:
        return room
    return RoomState(
        temperature=_moved(room.temperature, kelvin, -10.0, 60.0),
        humidity=_moved(room.humidity, points, LEAST_RH, MOST_RH),
    )


def _moved(signal: Signal, by: float, least: float, most: float) -> Signal:
    if not by:
        return signal
    move = lambda x: min(most, max(least, x + by))  # noqa: E731
    if signal.value is not None:
        return Signal.constant(move(signal.value))
    if signal.day is not None:
        return Signal.day_night(move(signal.day), move(signal.night), signal.day_from, signal.day_to)
    return Signal.series(signal.hours, tuple(move(x) for x in signal.values))
