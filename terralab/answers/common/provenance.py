"""Every number of the tables that the answers for a box rest on, each with its source and grade."""

from __future__ import annotations

from dataclasses import dataclass

from terralab import materials
from terralab.describe.box import Box
from terralab.describe.fields import UNIT_ENDINGS
from terralab.describe.seasons import is_own
from terralab.materials import Number
from terralab.materials.limits import ROOM
from terralab.materials.plain import in_words
from terralab.uncertainty import UncertainInput, asked, uncertain_inputs
from terralab.uncertainty.inputs import AS_TYPED
from terralab.uncertainty.learned import number_now


@dataclass(frozen=True)
class Used:
    """One number: the entry and its property in words, and the `Number` itself with range, unit, source and grade."""

    entry: str
    property: str
    number: Number


def numbers_used(box: Box) -> tuple[Used, ...]:
    """The numbers behind the answers for `box`: those of its runs, then those of what the runs are judged by.

    What a log of the box taught stands in place of the tables. What the description itself says is not listed, but where a log
    taught otherwise.
    """
    found = {key: number_now(box, key, number) for key, (_, number) in asked(box).items()}
    found |= {
        place_of(one): box.learned.number(one.name, one.unit)
        for one in uncertain_inputs(box)
        if one.log and (one.name.startswith("box.") or one.name in ROOM)
    }
    for table, name in _beside(box):
        for prop, number in materials.get(table, name).numbers.items():
            if table == "groups" and box.humidity_target is not None and prop.endswith(("rh_low", "rh_high")):
                continue  # the humidity typed stands in its place
            found.setdefault(f"{name}.{prop}", number)
    return tuple(Used(*_split(key), number) for key, number in found.items())


def place_of(one: UncertainInput) -> str:
    """An uncertain number as "entry.property", those of the description and of the room's sensor in plain words."""
    if not one.name.startswith("box.") and one.name not in ROOM:
        return one.name
    if one.name in ROOM:
        return f"room sensor.{one.name.partition('.')[2]}_error"
    part, _, prop = one.name.removeprefix("box.").rpartition(".")
    unit = next((end for end in UNIT_ENDINGS if prop.endswith(end)), "")
    return f"{part.replace('.', ' ')}.{prop.removesuffix(unit)}"


def _split(key: str) -> tuple[str, str]:
    entry, _, prop = key.rpartition(".")
    return entry, in_words(prop)


def _beside(box: Box) -> list[tuple[str, str]]:
    """(table, entry) of numbers that no run asks for: what is wanted, how readings err, what breathes and weighs."""
    out = [("groups", box.group)] if box.group else []
    out += [("defaults", f"{season} room") for season in ("winter", "summer") if not is_own(box, season)]
    out += [("defaults", name) for name in ("household sensor", *AS_TYPED.values())]
    out += [("defaults", name) for name in ("soil life", "leaf breath", "frog breath", "animal breath")]
    out += [("defaults", "room air")]
    out += [("substrates", layer.material) for layer in box.enclosure.layers]
    if box.enclosure.drainage is not None:
        out.append(("aggregates", box.enclosure.drainage.material))
    return out
