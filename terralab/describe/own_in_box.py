"""How the own materials of a box and its layers find each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from terralab.describe.enclosure import Enclosure
from terralab.describe.own_material import OwnMaterial
from terralab.describe.part import cautions_untold
from terralab.describe.substance import renewed
from terralab.errors import DescriptionError, Problem, quoted
from terralab.materials.number import Entry
from terralab.materials.recipe import OwnName, spoken


def named_in(raw: object, bare: bool) -> dict[str, Entry | None]:
    """Own materials that the table of a file describes, by name; None for one that is at fault and reported in its place."""
    found: dict[str, Entry | None] = {}
    items = raw.get("materials") if isinstance(raw, dict) else None
    for item in items if isinstance(items, list) else []:
        name = item.get("name") if isinstance(item, dict) else None
        if not isinstance(name, str):
            continue
        try:
            found.setdefault(" ".join(name.split()).lower(), OwnMaterial.read(item, "materials", bare).entry)
        except DescriptionError:
            found[" ".join(name.split()).lower()] = None
    return found


def with_own(enclosure: object, own: object) -> object:
    """The enclosure whose layers carry the numbers of `own`; as it was where nothing of it changes."""
    if not isinstance(enclosure, Enclosure) or not isinstance(own, (tuple, list)):
        return enclosure
    mine = {one.name: one.entry for one in own if isinstance(one, OwnMaterial)}
    layers = tuple(replace(layer, material=renewed(layer.material, mine)) for layer in enclosure.layers)
    if layers == enclosure.layers:
        return enclosure
    with cautions_untold():  # one about the enclosure as described has been given already
        return replace(enclosure, layers=layers)


def left_out(enclosure: Enclosure, own: tuple[OwnMaterial, ...]) -> Iterable[Problem]:
    """Layers built in Python with a material that the box does not hold, so that its file would lack it."""
    mine = {one.name for one in own}
    for number, layer in enumerate(enclosure.layers, 1):
        for name in layer.material.entries if isinstance(layer.material, OwnName) else ():
            if name not in mine:
                yield Problem(
                    f"enclosure.layers.{number}",
                    "material",
                    f"given {quoted(name)}, which the box does not hold",
                    "a material of the tables, or one of the box",
                    "Give the box materials=(...) with it.",
                )


def made_up(box: object) -> Iterable[str]:
    """What was derived for the layers that no table holds, a sentence each: mixtures and own materials."""
    from terralab import materials  # late: tables are read only where a description needs them

    for material in dict.fromkeys(layer.material for layer in box.enclosure.layers):
        if material in materials.names("substrates"):
            continue
        entry = materials.get("substrates", material)
        pores, dry = entry["theta_s"], entry["bulk_density"]
        yield (
            f"{spoken(material)}: pore space {100 * pores.typical:.0f} % ({100 * pores.low:.0f} to {100 * pores.high:.0f} %), "
            f"{dry.typical:.0f} kg a cubic metre when dry ({dry.low:.0f} to {dry.high:.0f}). {' '.join(entry.notes)} "
            f"From: {pores.source} (grade {pores.grade})."
        )
