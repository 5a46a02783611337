"""How far each number of the tables may be moved by `overrides`: the widest value that can be real.

A keeper who measured may lie outside the range that a table gives to everybody's boxes, so the limits are those of
`materials.schema`, not low and high of the row. Limits of single numbers do not see that two of them contradict each
other; `contradiction` does, for those pairs that no computation survives.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from terralab import materials
from terralab.errors import TerralabError
from terralab.materials.checks import POWER
from terralab.materials.recipe import is_recipe
from terralab.materials.schema import schema

#: Tables whose numbers a run asks for. What is wanted (groups) and how readings err (measurements) moves no run.
TABLES = (
    *("substrates", "aggregates", "covers", "plants", "lamps", "heaters"),
    *("meshes", "backgrounds", "basking", "defaults"),
)
#: How far the whole room may be moved, from -20 to 20 K and from -60 to 60 points: far more than any sensor errs.
ROOM = {"room.temperature": (-20.0, 20.0, "K"), "room.humidity": (-60.0, 60.0, "points")}
#: Pairs of one entry of which the first must stay below the second.
_RISING = (("theta_r", "theta_s"), ("dry_limit_head", "dry_start_head"))


@dataclass(frozen=True, slots=True)
class Limits:
    """The least and the most that one number may be, both in `unit`, and the tables that hold it."""

    lowest: float
    highest: float
    unit: str
    tables: tuple[str, ...]


@cache
def limits() -> Mapping[str, Limits]:
    """Limits of every number of the tables that a run may ask for, by "name.property"."""
    out: dict[str, Limits] = {}
    for table in TABLES:
        for name in materials.names(table):
            for prop in materials.get(table, name):
                spec = schema(table, name)[prop]
                key, kept = f"{name}.{prop}", out.get(f"{name}.{prop}")
                # moss is a cover and a mix: a number of both must be believable as either
                low, high, tables = (
                    (spec.lowest, spec.highest, (table,))
                    if kept is None
                    else (max(spec.lowest, kept.lowest), min(spec.highest, kept.highest), (*kept.tables, table))
                )
                out[key] = Limits(low, high, spec.unit, tables)
    return out


def limits_of(key: str, own: Mapping[str, str]) -> Limits | None:
    """Limits of one number: of the tables, of a mixture, or of a material that `own` holds by name; None for no number."""
    known = limits().get(key)
    name, _, prop = key.rpartition(".")
    if known is not None or not (name in own or is_recipe(name)):
        return known
    try:
        entry = materials.get("substrates", own.get(name, name))
    except TerralabError:
        return None
    if prop not in entry:
        return None
    spec = schema("substrates", name)[prop]
    return Limits(spec.lowest, spec.highest, spec.unit, ("substrates",))


def bound(key: str) -> bool:
    """Whether a number of the tables may contradict another one of the same entry."""
    prop = key.rpartition(".")[2]
    return prop in POWER or any(prop in pair for pair in _RISING)


def contradiction(values: Mapping[str, float], own: Mapping[str, str] = MappingProxyType({})) -> str:
    """Say which two of the chosen numbers cannot stand together, "" where all can. Keys and `own` as in `limits_of`."""
    for key in filter(bound, values):
        name, _, prop = key.rpartition(".")
        for table in limits_of(key, own).tables:
            entry = materials.get(table, own.get(name, name))
            held = lambda p, e=entry, n=name: values.get(f"{n}.{p}", e.typical(p))  # noqa: E731
            for low, high in _RISING:
                if prop in (low, high) and low in entry and not held(low) < held(high):
                    return (
                        f"{name}.{low} would be {held(low):g} and {name}.{high} {held(high):g}; the first must be less."
                    )
            if table in ("lamps", "heaters") and (total := sum(held(p) for p in entry if p in POWER)) > 1.0 + 1e-9:
                return f"the shares of {name} would add up to {total:g}, more than the whole."
    return ""
