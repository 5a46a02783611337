"""What the uncertain numbers of a box are called where a keeper reads of them."""

from __future__ import annotations

from fnmatch import fnmatch
from typing import TYPE_CHECKING

from terralab.materials.plain import in_words
from terralab.quantities import Quantity
from terralab.units import plain

if TYPE_CHECKING:
    from terralab.describe.box import Box

#: Numbers of the tables that stand for no one thing one could buy, by their keys.
_OF_TABLES = {
    "mesh law.factor": "how freely mesh lets air pass",
    "mesh exchange.factor": "how freely the mesh lets air pass",
    "discharge coefficient.factor": "how freely openings let air pass",
    "air mixing.factor": "how fast the air below and above mix",
    "air movement.speed": "air speed inside",
    "leakage.ach": "air changes through gaps in the glass",
    "outer glass.h": "heat that the glass gives to the room",
    "usual room.draught": "draught in the room",
    "calm room.draught": "draught in the room",
    "draughty room.draught": "draught in the room",
    "supersaturation time.time": "how long droplets float",
    "drip time.time": "how long drops cling before they run",
    "run-off share to soil.share": "share of what runs off the glass that reaches soil",
    "wood buffer.hours": "how slowly wood takes up vapour",
    "wood buffer.moisture_per_percent": "vapour that wood takes up",
    "radiation.emissivity": "heat that surfaces radiate",
    "canopy.shelter": "shelter that leaves give the ground",
    "leaves below.share": "share of the leaves in the lower air",
    "lamp light.on_glass": "share of the lamp's light that falls on glass",
    "lid column.length": "height of the warm air under the lid",
    "lamp heat above.share": "share of the lamp's heat that stays above the lid",
    "hand spray.airborne": "share of a spray that stays in the air",
    "leaf film.half_wet": "water on leaves that wets half of them",
    "glass film.half_wet": "water on glass that wets half of it",
    "logged room.warmed": "warmth of the room's sensor by itself or the sun",
    "logged.poured": "what was really poured, of what was noted",
    "start.suction": "suction of the soil when the log began",
    "room.temperature": "error of the room's thermometer",
    "room.humidity": "error of the room's hygrometer",
}
#: What a keeper typed, by the last word of its place.
_TYPED = {
    "leaf_area_cm2": "leaf area",
    "cover": "floor below the plants",
    "covered": "covered share",
    "open_share": "open share of its mesh",
    "thread_mm": "thread of its mesh",
    "power_w": "power",
    "flow_m3_h": "flow",
    "flow_ml_min": "flow",
    "par_at_plants": "light at the plants",
    "lux_at_plants": "light at the plants",
    "strength_w_m2": "strength of the sun",
    "share": "share of the pane in the sun",
    "draught": "draught in the room",
}
#: Shares of what a lamp or heater takes up, and what leaves do, by their property.
_OF_ENTRIES = {
    "convective": "power that warms the air at {}",
    "radiant": "power sent out as warmth by {}",
    "light": "power sent out as light by {}",
    "resistance_dark": "how far leaves hold back water in the dark ({})",
    "resistance_full": "how far leaves hold back water in full light ({})",
    "resistance_lit": "how far leaves hold back water in light ({})",
}
#: How far leaves hold back water takes up whatever the model of leaves lacks, so it is never shown as learned.
LEAF_LAWS = ("*.resistance_full", "*.resistance_dark", "*.resistance_lit")
NEVER_SHOWN = (*LEAF_LAWS, "leaf pores.*", "*.light_half")
_SHARES = ("share", "covered", "open_share", "cover")
#: Units that numbers of some size read badly in: (below this, in this unit, times, in that unit).
_SCALED = (
    (1.0, "m", 100.0, "cm"),
    (0.01, "m/s", 360_000.0, "cm/h"),
    (1.0, "m/s", 100.0, "cm/s"),
    (float("inf"), "J/m3K", 1e-6, "MJ/m3K"),
)
_UNITS = {"C": "°C", "-": "", "as described": ""}


def may_be_shown(key: str) -> bool:
    """Whether a number may stand among what was learned."""
    return not any(fnmatch(key, pattern) for pattern in NEVER_SHOWN)


def number_words(box: Box, key: str) -> str:
    """The number with this key in the words of a keeper, such as 'flow of "exchange fan"' or "open share (fine insect mesh)".

    Items of a list go by their number or their name.
    """
    if key in _OF_TABLES:
        return _OF_TABLES[key]
    if not key.startswith("box."):
        entry, _, prop = key.rpartition(".")
        return _OF_ENTRIES[prop].format(entry) if prop in _OF_ENTRIES else f"{in_words(prop)} ({entry})"
    *path, last = key.split(".")[1:]
    whose, part = "", box
    for step in path:
        if isinstance(part, tuple):
            part = part[int(step)] if step.isdigit() and int(step) < len(part) else _of_name(part, step)
        else:
            part = getattr(part, step, None)
        whose = getattr(part, "name", "") or whose
    words = _TYPED.get(last, in_words(last))
    return f'{words} of "{whose}"' if whose else words


def _of_name(items: tuple, name: str) -> object:
    return next((one for one in items if getattr(one, "name", None) == name), None)


def span_mark(key: str, unit: str, low: float, high: float) -> str:
    """The range of a number as a mark, with three figures; a share in per cent."""
    if unit in ("share", "m3/m3") or (unit in ("-", "as described") and key.rpartition(".")[2] in _SHARES):
        low, high, unit = 100.0 * low, 100.0 * high, "%"
    elif unit == "as described":
        unit = _unit_of_key(key)
    for limit, start, factor, end in _SCALED:
        if unit == start and max(abs(low), abs(high)) < limit:
            low, high, unit = factor * low, factor * high, end
            break
    return Quantity((plain(low, 3), plain(high, 3)), _UNITS.get(unit, unit)).mark()


def _unit_of_key(key: str) -> str:
    """The unit that the last word of a place of the description ends with."""
    last = key.rpartition(".")[2]
    ends = {"_cm2": "cm2", "_m3_h": "m3/h", "_ml_min": "ml/min", "_w": "W", "_mm": "mm", "_cm": "cm"}
    return next((unit for end, unit in ends.items() if last.endswith(end)), "")
