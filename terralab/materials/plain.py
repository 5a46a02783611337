"""What every number of the tables is called in plain words, and how the rows of a soil are named and grouped.

One mapping for all faces: the printed material, the report's list of sources, the errors and `overrides` look here. The
tables of soils and mixes are written in names of their own, in groups a keeper can follow. Inside, where the formulas
stand, a property keeps the letter that the field's papers use (theta_s, alpha, n): so code and formula can be held
against each other, and keys of `overrides` ("fine coir mix.theta_s") are those of the code.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

#: The rows of one soil or mix in the order of its table, by group: name in the table -> property inside.
SOIL_GROUPS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "weight": {"dry_density": "bulk_density"},
        "room for water and air": {
            "pore_space": "theta_s",
            "evenness_of_pores": "n",
            "ease_of_emptying": "alpha",
            "second_pores_share": "w2",
            "second_pores_evenness": "n2",
            "second_pores_ease": "alpha2",
            "water_left_when_dry": "theta_r",
        },
        "flow of water": {
            "air_entry": "air_entry",
            "crookedness_of_pores": "l",
            "flow_when_full": "ks",
        },
        "once dried out": {
            "sheds_water_below": "repellent_below",
            "share_that_runs_past": "bypass_share",
            "refuses_water_when_dry": "refuses_dry",
            "hours_to_wet": "wetting_hours",
        },
        "heat": {
            "heat_capacity_dry": "heat_capacity_dry",
            "heat_conductivity_dry": "lambda_dry",
            "heat_conductivity_wet": "lambda_wet",
        },
    }
)
_SOIL_NAMES: Mapping[str, str] = MappingProxyType({k: v for group in SOIL_GROUPS.values() for k, v in group.items()})
_WRITTEN: Mapping[str, Mapping[str, str]] = MappingProxyType({"substrates": _SOIL_NAMES, "soils": _SOIL_NAMES})

#: property -> plain words, where they are not simply its name without the underscores.
PLAIN: Mapping[str, str] = MappingProxyType(
    {
        "theta_s": "pore space",
        "theta_r": "water left when dry",
        "alpha": "how easily its pores empty",
        "n": "how alike its pores are in size",
        "w2": "share of its second kind of pores",
        "alpha2": "how easily those of the second kind empty",
        "n2": "how alike those of the second kind are",
        "ks": "flow of water when full",
        "l": "how crooked its pores are",
        "air_entry": "suction at which air enters",
        "bulk_density": "weight when dry",
        "repellent_below": "sheds water when drier than",
        "bypass_share": "share that then runs past",
        "refuses_dry": "share that refuses water when air-dry",
        "wetting_hours": "hours of contact until 1/e of that is left",
        "easy_above": "wets easily from this share of its drained water on",
        "pond_mm": "what may stand on a dry mix before it runs off",
        "ach": "air changes",
        "h": "heat transfer",
        "lambda": "heat conductivity",
        "lambda_dry": "heat conductivity, dry",
        "lambda_wet": "heat conductivity, wet",
        "heat_capacity_dry": "heat capacity, dry",
        "thread_mm": "thickness of its threads",
        "hole_mm": "width of its holes",
        "sheet_mm": "thickness of the sheet",
        "thickness_mm": "how thick it is",
        "film_capacity": "water that clings to its face",
        "absorbs": "share of light and heat it takes up",
        "beam": "angle of its beam",
    }
)


def in_words(prop: str) -> str:
    """A property in plain words.

    >>> in_words("theta_s"), in_words("void_fraction")
    ('pore space', 'void fraction')
    """
    return PLAIN.get(prop, prop.replace("_", " "))


def inside(table: str, written: str) -> str | None:
    """The property that a row of `table` means by its written name; None where the table knows no such name.

    >>> inside("substrates", "pore_space"), inside("lamps", "light")
    ('theta_s', 'light')
    """
    names = _WRITTEN.get(table)
    return written if names is None else names.get(written)


def written(table: str, prop: str) -> str:
    """The way back: how `table` writes a property.

    >>> written("soils", "ks")
    'flow_when_full'
    """
    names = _WRITTEN.get(table, {})
    return next((name for name, held in names.items() if held == prop), prop)


def groups_of(table: str, props: Iterable[str]) -> Iterator[tuple[str, list[str]]]:
    """The properties of an entry in the groups under which they are printed: (heading, properties); "" for no heading."""
    left = list(props)
    if table in _WRITTEN:
        for heading, names in SOIL_GROUPS.items():
            yield f"{heading[0].upper()}{heading[1:]}", [prop for prop in left if prop in names.values()]
    else:
        yield "", left
