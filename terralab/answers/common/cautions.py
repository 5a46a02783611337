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
ALONE = "Animals need a person's eyes every day. A model is no keeper: never leave them for weeks without a helper who looks in."
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
    "Mister and fogger water sits at temperatures at which Legionella grows: take fresh water, clean often, never put "
    "drain water into them."
)
LINES = (
    "A mister's line is under pressure: push every hose home and secure it, keep plugs and timer above the tank and out of "
    "the spray, and set the tank lower than the nozzles, so that nothing runs on by itself. Watch it for the first days, and "
    "never begin on the day you leave."
)
TANK = (
    "Fill a mister's tank with fresh, soft water (rain, distilled or reverse osmosis): hard water leaves lime in nozzles and "
    "on glass. While you are at home empty, clean and refill tank and line every week, whatever the tank would last for; keep "
    "it cool and dark. Do not breathe the mist: warm, old water breeds Legionella, and people with weak immunity or sick "
    "lungs keep away while it runs."
)
SIPHON = (
    "Drain water can carry Salmonella: not into the kitchen sink or a kitchen jug, wash your hands, never start a siphon by "
    "mouth."
)
DRAIN = (
    f"{SIPHON} Keep children under 5, the elderly, pregnant women and people with weak immunity away. Wipe up puddles: wet "
    "floors are slippery."
)
TIPPED = "Drain water from amphibians is disinfected and never tipped outdoors."
ALARMS = "An alarm only tells: it replaces no guard, no fuse, no thermostat and no vet. Mains work is an electrician's, by local codes."
HEAVY = (
    "A box full of wet soil is heavy; the answer on the drainage layer says how heavy. Never lift it alone, nor with animals in "
    "it. Before a large one stands upstairs or on a shelf, ask a structural engineer (common practice, no source)."
)
SOUR = "A sour smell from the soil: animals out first, then look for the cause."

_SHORT = {DRAIN: SIPHON, MAINS: UNPLUG}
EVERY = (AID, ALONE, MAINS, ALARMS, SUN, HEAT, LIGHT, MIST, LINES, TANK, DRAIN, TIPPED, SOUR, HEAVY)


def for_box(box: Box, about: str = "") -> tuple[str, ...]:
    """The cautions for this box, most general first.

    `about`: the question they stand under, "water", "soak", "fans", "drainage", "rescue", "mister", "away", "fails" or "normal";
    empty gives all, as for a report.
    """
    return tuple(text for text, questions in _all(box) if not about or about in questions)


def nearest_caution(box: Box, about: str) -> str:
    """The one caution that concerns this box and this question most, the greatest harm first."""
    found = for_box(box, about)
    first = (ALONE, ALARMS, SUN, HEAT, DRAIN, MIST, MAINS, AID)
    return next((_SHORT.get(text, text) for text in first if text in found), "")


def _all(box: Box) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each caution that the box gives cause for, and the questions under which it stands."""
    r = box.routine
    yield AID, ("water", "soak", "fans", "drainage", "rescue", "mister", "away", "fails", "normal")
    yield ALONE, ("away",)
    if r.lamps or r.heaters or r.fans or r.mists:
        yield MAINS, ("water", "soak", "fans", "drainage", "rescue", "mister", "away", "fails", "normal")
        yield ALARMS, ("fails",)
    if box.room.sun is not None and box.room.sun.times.on_s > 0.0:
        yield SUN, ("water", "fans", "rescue", "mister", "away", "fails", "normal")
    if r.heaters or any(is_hot(lamp) and (lamp.name in hot_at_lid(box) or not is_cool(lamp)) for lamp in r.lamps):
        yield HEAT, ("water", "fans", "mister", "away", "fails", "normal")
    if any(word in lamp.kind for lamp in r.lamps for word in UV):
        yield LIGHT, ()
    if r.mists:
        yield MIST, ("water", "mister", "away", "fails", "normal")
        yield LINES, ("mister",)
        yield TANK, ("mister",)
    if box.enclosure.drainage is not None:
        yield DRAIN, ("drainage", "rescue", "soak", *(("water", "away") if r.siphons else ()))
        if any(word in box.group for word in AMPHIBIANS):
            yield TIPPED, ("drainage", "rescue")
        yield SOUR, ("drainage",)
    yield HEAVY, ()
