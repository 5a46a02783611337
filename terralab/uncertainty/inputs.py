"""Which numbers of a described box are uncertain, and how far: found by watching what a run asks for.

Three sources: numbers of the materials tables that carry a range; what a keeper typed by eye (leaf area, covered
share, flows, powers) and the room's sensor, with the spread that the table of defaults gives to such readings; and
what the description itself gives as `[[ranges]]`, which stands before the others. What a log of the box taught stands
before all of them (`learned`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.room import DraughtField
from terralab.describe.seasons import room_of
from terralab.engine.layout import Overrides
from terralab.engine.pack import pack
from terralab.materials import Number
from terralab.uncertainty.learned import as_learned
from terralab.uncertainty.overrides import value_at

#: Numbers of one soil mix that move together, and how strongly each follows the coarseness of the mix: the coarser,
#: the larger alpha, n and Ks and the smaller what it holds at the dry end. Signs after the correlations of Carsel &
#: Parrish (1988, Water Resour. Res. 24:755-769, from memory); the sizes are a choice of this project (grade G).
COARSENESS = {"alpha": 0.8, "alpha2": 0.8, "ks": 0.7, "n": 0.5, "n2": 0.5, "theta_r": -0.4, "air_entry": -0.3}

#: What a keeper types, by the last word of its place, and the entry of the defaults that says how far it may be off.
AS_TYPED = {
    "leaf_area_cm2": "leaf area as typed",
    "covered": "covered share as typed",
    "open_share": "open share as typed",
    "thread_mm": "thread as typed",
    "power_w": "power as typed",
    "flow_m3_h": "fan flow as typed",
    "flow_ml_min": "mist flow as typed",
    "cover": "plant cover as typed",
    "par_at_plants": "light as typed",
    "lux_at_plants": "light as typed",
    "strength_w_m2": "sun strength as typed",
    "share": "sun share as typed",
}
_PARTS = (
    *("enclosure.plants", "enclosure.openings", "room.window", "room.sun"),
    *("routine.mists", "routine.lamps", "routine.heaters", "routine.fans"),
)


@dataclass(frozen=True, slots=True)
class UncertainInput:
    """One uncertain number: its `key` in a `overrides` mapping, ends and typical value in `unit`, source and grade.

    `follows` names the common cause it moves with and `strength` (-1 to 1) how closely; empty and 0: on its own. `name`
    is what its draws are found by: the key, in which the item of a list has its own name in place of its number. `log`: from
    which log it was learned, in words; empty where it was not.
    """

    key: str
    low: float
    typical: float
    high: float
    unit: str
    grade: str
    source: str
    follows: str = ""
    strength: float = 0.0
    name: str = ""
    log: str = ""


class _Watching(Overrides):
    """A Choice that remembers which numbers were asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: dict[str, tuple[str, Number]] = {}

    def __call__(self, table: str, name: str, prop: str) -> float:
        self.asked[f"{name}.{prop}"] = (table, materials.get(table, name)[prop])
        return super().__call__(table, name, prop)


def asked(box: Box, season: str = "now") -> dict[str, tuple[str, Number]]:
    """Every number of the tables that a run of `box` in `season` asks for: (table, number) by "name.property"."""
    needs_box(box, "the list of uncertain numbers")
    watching = _Watching()
    pack(box, room_of(box, season), 1, watching, season=season)
    return watching.asked


def asked_by(work: Callable[[Overrides], object]) -> tuple[UncertainInput, ...]:
    """Return every uncertain number of the tables that `work` asks of the `Overrides` it is given, in a fixed order."""
    watching = _Watching()
    work(watching)
    found = {key: _of_number(key, n, table) for key, (table, n) in watching.asked.items() if n.low < n.high}
    return tuple(replace(found[key], name=key) for key in sorted(found))


def uncertain_inputs(box: Box, season: str = "now") -> tuple[UncertainInput, ...]:
    """Every uncertain number that a run of `box` in `season` uses, in a fixed order.

    One that was learned from a log has the ends of its draws, which hang together with those of the others.
    """
    return as_learned(box, before_any_log(box, season), season)


def before_any_log(box: Box, season: str = "now") -> tuple[UncertainInput, ...]:
    """The uncertain numbers as tables and description give them, whatever a log has taught."""
    found = {}
    for key, (table, number) in asked(box, season).items():
        if number.low < number.high:
            found[key] = _of_number(key, number, table)
    for key, number in _typed(box).items():
        found[key] = _of_number(key, number, "")
    sensor = materials.get("defaults", "household sensor")
    for key, prop in (("room.temperature", "temperature_error"), ("room.humidity", "humidity_error")):
        error = sensor[prop]
        found[key] = UncertainInput(key, -error.high, 0.0, error.high, error.unit, error.grade, error.source)
    for own in box.ranges:
        key, low, typical, high = own.numbers(box)
        found[key] = UncertainInput(key, low, typical, high, "as described", "", "given in the description")
    return tuple(replace(found[key], name=name_of(box, key)) for key in sorted(found))


def name_of(box: Box, key: str) -> str:
    """The key with the names of items for their numbers, so that a fan keeps its draws when another one is removed."""
    if not key.startswith("box."):
        return key
    steps, part = ["box"], box
    for step in key.split(".")[1:]:
        item = isinstance(part, tuple)
        part = part[int(step)] if item else getattr(part, step)
        steps.append(getattr(part, "name", step) if item else step)
    return ".".join(steps)


def _of_number(key: str, n: Number, table: str) -> UncertainInput:
    out = UncertainInput(key, n.low, n.typical, n.high, n.unit, n.grade, n.source)
    name, _, prop = key.rpartition(".")
    if table == "substrates" and prop in COARSENESS:
        return replace(out, follows=f"coarseness of {name}", strength=COARSENESS[prop])
    return out


def _typed(box: Box) -> dict[str, Number]:
    """The numbers a keeper typed by eye, each with the spread of such a reading around the typed value."""
    out = {}
    for part in _PARTS:
        owner, _, name = part.partition(".")
        held = getattr(getattr(box, owner), name)
        items = [("", held)] if not isinstance(held, tuple) else [(f".{i}", item) for i, item in enumerate(held)]
        for place, item in items:
            for word, entry in AS_TYPED.items():
                value = getattr(item, word, None)
                if not value:
                    continue  # nothing there, or none of it: closed, off
                number = _around(value, materials.get("defaults", entry))
                field = type(item).__dataclass_fields__[word].metadata["kind"]
                # what no description may hold is no draw of one either
                low, high = max(field.lowest, number.low), min(field.highest, number.high)
                out[f"box.{part}{place}.{word}"] = replace(number, low=low, high=high)
    if isinstance(box.room.draught, float):
        number = _around(box.room.draught, materials.get("defaults", "draught as typed"))
        out["box.room.draught"] = replace(number, high=min(DraughtField.speed.highest, number.high))
    return out


def _around(value: float, spread: materials.Entry) -> Number:
    if "factor" in spread:
        n = spread["factor"]
        low, high = value * n.low, value * n.high
    else:
        n = spread["offset"]
        low, high = max(0.0, value + n.low), min(1.0, value + n.high)
    return Number(low, value, high, n.unit, n.grade, n.source)


def described(box: Box, key: str) -> float:
    """The value of a `box.` key as described."""
    return value_at(box, tuple(key.split(".")[1:]))
