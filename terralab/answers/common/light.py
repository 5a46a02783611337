"""The light at the plants in words: how much, how long, and for which plants it is too dark. No plan for lamps.

The levels are those of a table for house plants in foot-candles (see `defaults`, "light level"); which plants belong to
which is common practice, no source.
"""

from __future__ import annotations

from typing import Any

from terralab import materials
from terralab.answers.common.words import RANGE
from terralab.describe.box import Box
from terralab.simulation.light_at_plants import light_at_plants, light_inputs
from terralab.uncertainty import Ensemble, middle_range
from terralab.uncertainty.sampling import drawn_beside

LEVELS = ("low_light", "medium_light", "bright_light", "direct_light")
#: What each level is called, darkest first, and what it is enough and too little or too much for.
NAMES = ("too dark for plants", "low light", "medium light", "bright light", "as bright as the sun behind a window")
SAID = (
    "Too dark for most plants: they live on what they have stored.",
    "Low light: plants of deep shade hold out; low for ferns and for most others.",
    "Medium light: enough for ferns, mosses and most leafy plants; low for bromeliads, orchids and succulents.",
    "Bright: enough for nearly all plants of a planted box.",
    "As bright as the sun behind a window: too bright for ferns, mosses and plants of the shade.",
)
PARTS = ("umol", "lux", "hours", "mol_a_day")


def light_of(box: Box, members: Ensemble, season: str = "now") -> dict[str, Any]:
    """Low, middle and high of the light at the plants over the `members`, and its `level`; empty where none is described."""
    members = drawn_beside(members, light_inputs(box, season))
    found = [light_at_plants(box, overrides, season) for overrides in members.overrides]
    if not found or found[0] is None:
        return {}
    out: dict[str, Any] = {}
    for name in PARTS:
        low, middle, high = middle_range([getattr(one, name) for one in found])
        out[name] = {"low": low, "value": middle, "high": high}
    out["level"] = NAMES[level(out["umol"]["value"])]
    return out


def level(umol: float) -> int:
    """Return the place in `NAMES` of a mean light [umol/m2/s]: how many of the levels it reaches."""
    return sum(umol >= materials.get("defaults", "light level")[name].typical for name in LEVELS)


def light_words(box: Box, light: dict[str, Any]) -> str:
    """One or two sentences on `light`, as `light_of` gives it; without any, only what plants then lack."""
    if not light:
        if box.enclosure.plants is None:
            return ""
        return (
            "Light at the plants: none is described, no lamp and no window, and the leaves are computed as in the dark."
        )
    if light["umol"]["high"] == 0.0:
        return "Light at the plants: none; no lamp is ever on and no daylight comes in."
    low, high = (level(light["umol"][end]) for end in ("low", "high"))
    either = f" ({NAMES[low]} to {NAMES[high]} is possible)" if high > low else ""
    said = SAID[level(light["umol"]["value"])]
    bit = " A patch of sun is not counted in it." if box.room.sun is not None and box.room.sun.shines_in("now") else ""
    return (
        f"Light at the plants: {span(light['umol'])} µmol/m²/s, as a plant-light (PAR) meter shows it, for {_hours(light['hours'])} h a day "
        f"({span(light['mol_a_day'])} mol/m² a day; a lux meter shows {span(light['lux'])}), in {RANGE}. "
        f"{said[:-1]}{either}.{bit}"
    )


def span(part: dict[str, float]) -> str:
    """Return "low to high" of a quantity to two figures, or one number where both round to the same."""
    ends = [_two_figures(part[end]) for end in ("low", "high")]
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def _two_figures(value: float) -> str:
    rounded = float(f"{value:.2g}")
    return f"{rounded:,.0f}" if rounded >= 10.0 else f"{rounded:g}"


def _hours(part: dict[str, float]) -> str:
    ends = [f"{2.0 * round(part[end] * 2.0) / 4.0:g}" for end in ("low", "high")]
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
