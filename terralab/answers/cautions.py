"""Cautions that belong to a watering answer, once, and only those the box gives cause for."""

from __future__ import annotations

from terralab.describe.box import Box


def for_box(box: Box) -> tuple[str, ...]:
    """The cautions for this box, most general first."""
    out = [
        "A planning aid, not veterinary advice: your vet and the species guide come first, and a model never controls "
        "life support alone."
    ]
    r = box.routine
    if r.lamps or r.heaters or r.fans or r.mists:
        out.append(
            "Water and mains: 30 mA residual-current protection, drip loops, unplug before hands go in; local codes and an "
            "electrician decide."
        )
    if r.heaters or any("incandescent" in lamp.kind for lamp in r.lamps):
        out.append("Never cover the mesh under a hot lamp or heater, and never spray cold water on hot glass.")
    if r.mists:
        out.append(
            "Mister and fogger water sits in the range where Legionella grows: fresh water, clean often, never drain water."
        )
    if box.enclosure.drainage is not None:
        out.append("Drain water: not into the kitchen sink, wash hands, never start a siphon by mouth.")
    return tuple(out)
