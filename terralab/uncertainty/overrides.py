"""What a choice of uncertain numbers means: the words of a `overrides` mapping, checked and applied.

Three kinds of key: `"name.property"` is a number of the materials tables, given as "low", "typical", "high" or as a
value within the widest limits that can be real (`materials.limits`; a measured value may lie outside low and high);
`"room.temperature"` [K, -20 to 20] and `"room.humidity"` [points, -60 to 60] move the whole room;
`"box.enclosure.plants.leaf_area_cm2"` is a number of the description, within the limits of its field, the field names
joined by dots and the items of a list counted from 0. The properties of the tables and what they mean in plain words
stand in `materials.PLAIN`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace

import numpy as np

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.fields import Measure
from terralab.describe.part import cautions_untold
from terralab.describe.room import RoomState
from terralab.describe.signal import Signal
from terralab.errors import TerralabError, UnknownName, quoted, suggestion
from terralab.materials.limits import ROOM, contradiction, limits, limits_of
from terralab.validate import is_real

ENDS = ("low", "typical", "high")
ROOM_KEYS = tuple(ROOM)
LEAST_RH, MOST_RH = 2.0, 98.0


def check(overrides: Mapping[str, float | str], box: Box | None = None) -> None:
    """Refuse a key that means nothing, a value that is no number, and one that cannot be real. Raises TerralabError.

    `box`: that of the run, whose own materials may be named.
    What a `box.` key leads to is checked when it is applied, by the description itself.
    """
    if not isinstance(overrides, Mapping):
        raise TerralabError(
            f'overrides must be keys with values, such as {{"mesh exchange.factor": "high"}}; {quoted(overrides)} was given.'
        )
    numbers = {}
    own = {str(layer.material): layer.material for layer in box.enclosure.layers} if isinstance(box, Box) else {}
    for key, value in overrides.items():
        if not isinstance(key, str):
            raise TerralabError(f'overrides, the key must be a text such as "leakage.ach"; {quoted(key)} was given.')
        if key.startswith("box."):
            if not is_real(value) or abs(value) >= 1e12:
                raise TerralabError(f"overrides, {key}: {quoted(value)} was given; a plain number is needed.")
        elif key in ROOM:
            _check_value(key, value, *ROOM[key])
        elif (known := limits_of(key, own)) is not None:
            if isinstance(value, str) and value in ENDS:
                name, _, prop = key.rpartition(".")
                numbers[key] = getattr(materials.get(known.tables[0], own.get(name, name))[prop], value)
                continue
            _check_value(key, value, known.lowest, known.highest, known.unit, "low, typical, high, or ")
            numbers[key] = float(value)
        else:
            raise _unknown(key)
    wrong = contradiction(numbers, own) if numbers else ""
    if wrong:
        raise TerralabError(f"overrides: {wrong}")


def _check_value(key: str, value: object, lowest: float, highest: float, unit: str, words: str = "") -> None:
    if is_real(value) and lowest <= value <= highest:
        return
    unit = "" if unit == "-" else f" {unit}"
    raise TerralabError(
        f"overrides, {key} must be {words}a number from {lowest:g} to {highest:g}{unit}; {quoted(value)} was given."
    )


def _unknown(key: str) -> UnknownName:
    """The error for a key that no table holds: the nearest number of the entry named, else the nearest key of all."""
    name, _, prop = key.rpartition(".")
    mine = [known for known in limits() if known.rpartition(".")[0] == name]
    near = suggestion(f"{name}.{prop}", mine or [*limits(), *ROOM])
    if mine:
        here = ", ".join(known.rpartition(".")[2] for known in mine)
        return UnknownName(
            f"overrides: {quoted(key)} is no uncertain number. {near} {name} has: {here}.".replace("  ", " ")
        )
    return UnknownName(
        f'overrides: {quoted(key)} is no uncertain number. {near} A key is "name.property" of a table, such as '
        f'"mesh exchange.factor", or "room.temperature", "room.humidity", or "box." and an entry of the description; '
        "tl.uncertainty.uncertain_inputs(box) lists those of a box.".replace("  ", " ")
    )


def changed(box: Box, overrides: Mapping[str, float | str]) -> Box:
    """The box with the described numbers that `overrides` sets; the box itself where it sets none."""
    mine = {key: value for key, value in overrides.items() if key.startswith("box.")}
    if not mine:
        return box
    for key in mine:
        _check_place(box, key)
    with cautions_untold():
        return _with_values(box, {tuple(key.split(".")[1:]): float(value) for key, value in mine.items()})


def _check_place(box: Box, key: str) -> None:
    """Refuse a `box.` key that leads to no number of this box."""
    here: object = box
    empty = False  # True where an entry that takes a number has none yet
    for step in key.split(".")[1:]:
        if isinstance(here, tuple):
            here = here[_index(here, step)]
            continue
        known = [f.name for f in fields(here)] if is_dataclass(here) else []
        if step not in known:
            raise UnknownName(
                f"overrides, {key}: {quoted(step)} is no entry there. {suggestion(step, known)} "
                f"{'Known: ' + ', '.join(known) + '.' if known else 'The way ends before it.'}".replace("  ", " ")
            )
        kind = next(f for f in fields(here) if f.name == step).metadata.get("kind")
        here = getattr(here, step)
        empty = here is None and isinstance(kind, Measure)
    if not (is_real(here) or empty):
        raise TerralabError(f"overrides, {key}: that is {quoted(here)} in this box, not a number that can be moved.")


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


def shifted(room: RoomState, overrides: Mapping[str, float | str]) -> RoomState:
    """The room moved by the degrees and points of humidity that `overrides` gives; humidity stays within 2 to 98 %."""
    kelvin, points = (float(overrides.get(key, 0.0)) for key in ROOM_KEYS)
    if not kelvin and not points:
        return room
    return RoomState(
        temperature=_shifted(room.temperature, kelvin, -10.0, 60.0),
        humidity=_shifted(room.humidity, points, LEAST_RH, MOST_RH),
    )


def _shifted(signal: Signal, by: float, least: float, most: float) -> Signal:
    if not by:
        return signal
    move = lambda x: min(most, max(least, x + by))  # noqa: E731
    if signal.value is not None:
        return Signal.constant(move(signal.value))
    if signal.day is not None:
        return Signal.day_night(move(signal.day), move(signal.night), signal.day_from, signal.day_to)
    return Signal.trusted(signal.hours, np.clip(np.array(signal.values) + by, least, most), signal.repeat)
