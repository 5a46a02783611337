"""Cautions: each once, where it belongs, and only those for which the box gives cause."""

from __future__ import annotations

from collections.abc import Iterator

from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid, is_cool, is_hot

UV = ("incandescent", "halogen", "fluorescent", "metal halide")  # kinds of lamp that are sold with UV too
AMPHIBIANS = ("frog", "salamander")

AID = (
    "A planning aid, not veterinary advice: your vet and the species guide come first, and a model never controls life "
    "support alone."
)
UNPLUG = "Water and mains: 30 mA residual-current protection, drip loops, unplug before hands go in."
MAINS = f"{UNPLUG[:-1]}, low-voltage fans; local codes and an electrician decide."
HEAT = (
    "Never cover the mesh under a hot lamp or heater, and never spray cold water on hot glass. Use a guard, a thermostat "
    "and a smoke alarm."
)
SUN = (
    "Sun on glass heats the air inside within minutes beyond what animals bear: shade the box in those hours, and never "
    "cover or close it more while the sun is on it."
)
LIGHT = "Do not look into a lamp that gives UV."
MIST = (
    "Mister and fogger water sits at temperatures at which Legionella grows: take fresh water, clean often, never use "
    "drain water again."
)
SIPHON = (
    "Drain water can carry Salmonella: not into the kitchen sink or a kitchen jug, wash your hands, never start a siphon by "
    "mouth."
)
DRAIN = (
    f"{SIPHON} Children under 5, the elderly, the pregnant and people with weak immunity keep away. Wipe up puddles: wet "
    "floors are slippery."
)
TIPPED = "Drain water from amphibians is disinfected and never tipped outdoors."
SOUR = "A sour smell from the soil: animals out first, then look for the cause."

_SHORT = {DRAIN: SIPHON, MAINS: UNPLUG}
EVERY = (AID, MAINS, SUN, HEAT, LIGHT, MIST, DRAIN, TIPPED, SOUR)


def for_box(box: Box, about: str = "") -> tuple[str, ...]:
    """The cautions for this box, most general first.

    `about`: the question they stand under, "water", "soak", "fans", "drainage" or "rescue"; empty gives all, as for a report.
    """
    return tuple(text for text, questions in _all(box) if not about or about in questions)


def nearest_caution(box: Box, about: str) -> str:
    """The one caution that concerns this box and this question most, the greatest harm first."""
    found = for_box(box, about)
    return next((_SHORT.get(text, text) for text in (SUN, HEAT, DRAIN, MIST, MAINS, AID) if text in found), "")


def _all(box: Box) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each caution that the box gives cause for, and the questions under which it stands."""
    r = box.routine
    yield AID, ("water", "soak", "fans", "drainage", "rescue")
    if r.lamps or r.heaters or r.fans or r.mists:
        yield MAINS, ("water", "soak", "fans", "drainage", "rescue")
    if box.room.sun is not None and box.room.sun.times.on_s > 0.0:
        yield SUN, ("water", "fans", "rescue")
    if r.heaters or any(is_hot(lamp) and (lamp.name in hot_at_lid(box) or not is_cool(lamp)) for lamp in r.lamps):
        yield HEAT, ("water", "fans")
    if any(word in lamp.kind for lamp in r.lamps for word in UV):
        yield LIGHT, ()
    if r.mists:
        yield MIST, ("water",)
    if box.enclosure.drainage is not None:
        yield DRAIN, ("drainage", "rescue", "soak", *(("water",) if r.siphons else ()))
        if any(word in box.group for word in AMPHIBIANS):
            yield TIPPED, ("drainage", "rescue")
        yield SOUR, ("drainage",)
