"""The one table of what a box stores and of what flows between its stores: a row a flow, every other list comes from it.

From the rows of TABLE follow the layouts of the records (`engine.tables`), what each store gains (`engine.exchange`),
both audits (`simulation.budget`), the series of a record, "where it goes" (`answers.common.balance`), the kinds of the
budget's picture and the arrows of the section. So a flow that stands here is counted everywhere. Only its rate is
computed elsewhere, in `exchange.flows` or in the soil clock.

The order of the rows is the order in which they are added up. Water is in kg, heat in J.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from terralab.engine.kinds import BASKING, COVER, DISH, LEAF, LID, MOSS, PANE, PATCHES, SHELL

WATER, HEAT = "water", "heat"
#: What happens to a flow in the eyes of a keeper.
CAME_IN, LEFT, INSIDE = "came in", "left", "moved inside"
#: Everything outside the glass.
ROOM = "room"
#: Places that are one store or another, or a share of two, as the box has them: see `shares`.
GROUND, FOOT_OF_GLASS, SURFACES = "ground", "foot of the glass", "surfaces"
#: Which clock computes a flow, and so in which record it is saved.
AIR_CLOCK, SOIL_CLOCK = "air clock", "soil clock"


@dataclass(frozen=True)
class Store:
    """Something that holds water or heat.

    Its water lies on the surfaces of its `kinds`, or is the field `zone` of each zone times its field `times`; else in the
    soil's cells. `gain` is the field with the heat that the air clock brings to it.
    """

    name: str
    holds: tuple[str, ...]
    kinds: tuple[float, ...] = ()
    zone: str = ""
    times: str = ""
    gain: str = ""
    label: str = "stored elsewhere"


@dataclass(frozen=True)
class Flow:
    """What goes from `source` to `target`, positive in that direction: water with its heat, or heat alone.

    `warmth`: the field in which the heat of the water is booked, several rows may share it; without one the heat is in
    the gain of the stores (vapour inside the box) or in that of the exchanged air. `label`: what a keeper reads in
    "where it goes", `series`: the name of its series without the unit, `way`: how vapour gets out, in words, and
    `arrows`: those of the section it belongs to. Rows with the same label, series or arrow are added up. `seldom`: said
    only where there is any. `part_of`: a share of another row, saved for itself, that changes no store.
    """

    name: str
    source: str
    target: str
    clock: str = AIR_CLOCK
    carries: str = WATER
    warmth: str = ""
    label: str = ""
    series: str = ""
    way: str = ""
    arrows: tuple[str, ...] = ()
    seldom: bool = False
    part_of: str = ""

    @property
    def crosses_the_glass(self) -> bool:
        """True for what comes from the room or goes to it."""
        return ROOM in (self.source, self.target)

    @property
    def kind(self) -> str:
        """CAME_IN, LEFT or INSIDE."""
        return CAME_IN if self.source == ROOM else LEFT if self.target == ROOM else INSIDE

    @property
    def shown_as(self) -> str:
        """The name of its series, with the unit."""
        return f"{self.series or self.name.replace('_', ' ')} {'ml/h' if self.carries == WATER else 'W'}"


STORES = (
    Store("soil", (WATER, HEAT), label="stored in the soil"),
    Store("reservoir", (WATER, HEAT), label="stored in the reservoir"),
    Store("cover", (WATER, HEAT), kinds=(COVER,), gain="cover_gain"),
    Store("leaf film", (WATER,), kinds=(LEAF,)),
    Store("glass film", (WATER,), kinds=(PANE, LID)),
    Store("dish", (WATER, HEAT), kinds=(DISH,), gain="dish_gain"),
    Store("air", (WATER, HEAT), zone="w", times="mass", gain="air_gain"),
    Store("fog", (WATER,), zone="fog"),
    Store("wood", (WATER,), zone="wood", times="wood_store"),
    Store("hide", (WATER, HEAT), kinds=(SHELL, MOSS), gain="hide_gain"),
    # rock, moss and bare floor beside the soil
    Store("patches", (WATER, HEAT), kinds=PATCHES, gain="patch_gain"),
    # with the heat of their films
    Store("glass", (HEAT,), kinds=(PANE, LID), gain="glass_gain"),
    Store("leaves", (HEAT,), kinds=(LEAF,), gain="leaf_gain"),
    Store("basking place", (HEAT,), kinds=(BASKING,), gain="basking_gain"),
)

_SPRAYED = {"label": "sprayed and misted", "series": "sprayed and misted", "arrows": ("sprayed",)}
_TAKEN = {"clock": SOIL_CLOCK, "label": "siphoned, drained away or spilled", "arrows": ("taken_out",)}
_DOOR = {"label": "vapour lost while the door is open", "way": "by the open door", "seldom": True}
_DRAINED = {"clock": SOIL_CLOCK, "label": "drained into the reservoir", "series": "drained into the reservoir"}

FLOWS = (
    # what a keeper and the devices bring
    Flow("poured", ROOM, "soil", SOIL_CLOCK, warmth="poured_heat", label="poured", arrows=("poured",)),
    Flow("spray_leaf", ROOM, "leaf film", warmth="spray_heat", **_SPRAYED),
    Flow("spray_glass", ROOM, "glass film", warmth="spray_heat", **_SPRAYED),
    Flow("spray_ground", ROOM, GROUND, warmth="spray_heat", **_SPRAYED),
    Flow("spray_moss", ROOM, "patches", warmth="spray_heat", seldom=True, **_SPRAYED),
    Flow("fog_in", ROOM, "fog", warmth="fog_in_heat", **_SPRAYED),
    Flow("refilled", ROOM, "dish", SOIL_CLOCK, warmth="refilled_heat", label="dish refilled"),
    Flow("hide_wetted", ROOM, "hide", SOIL_CLOCK, warmth="hide_wetted_heat", label="hide moistened", seldom=True),
    # through the mesh under the soil; `drained` is net, of all but what rises in a wick, `bypassed` a part of `poured`
    Flow("condensation", "air", "glass film", part_of="glass_film", label="condensed and returned"),
    Flow("drained", "soil", "reservoir", arrows=("drained",), **_DRAINED),
    Flow("contact_rise", "reservoir", "soil", SOIL_CLOCK, part_of="drained", arrows=("drained", "contact_up")),
    Flow("bypassed", "soil", "reservoir", arrows=("drained",), **_DRAINED),
    Flow("cover_drip", "cover", "soil"),
    # into the air
    Flow("soil_evaporation", "soil", "air", label="evaporated from the soil", arrows=("evaporated",)),
    Flow("cover_evaporation", "cover", "air", arrows=("evaporated",)),
    Flow("transpiration", "soil", "air", label="breathed out by plants", arrows=("breathed",)),
    Flow("leaf_film", "leaf film", "air", series="leaf film evaporation"),
    Flow("glass_film", "glass film", "air", series="glass film evaporation"),
    Flow("dish_evaporation", "dish", "air"),
    Flow("tube_evaporation", "reservoir", "air", arrows=("tube",)),
    Flow("wood_release", "wood", "air"),
    Flow("hide_film", "hide", "air", series="hide evaporation", seldom=True),
    Flow("patch_film", "patches", "air", series="evaporation of moss, rock and bare floor", seldom=True),
    Flow("fog_evaporation", "fog", "air"),
    # out of the box; the heat of the vapour is that of the exchanged air
    Flow("vapour_leak", "air", ROOM, label="vapour lost through gaps", series="vapour lost through gaps",
         way="through gaps", arrows=("vapour_out",)),
    Flow("vapour_openings", "air", ROOM, label="vapour lost through vents", series="vapour lost through vents",
         way="through vents and lid", arrows=("vapour_out",)),
    Flow("vapour_fan", "air", ROOM, label="vapour lost by fan", series="vapour lost by fan", way="by the fan",
         arrows=("vapour_out",)),
    Flow("vapour_door", "air", ROOM, series="vapour lost while the door is open", arrows=("vapour_out", "door"), **_DOOR),
    Flow("fog_lost", "fog", ROOM, warmth="fog_lost_heat", label="vapour lost through vents"),
    Flow("fog_door", "fog", ROOM, warmth="fog_lost_heat", **_DOOR),
    Flow("siphoned", "reservoir", ROOM, warmth="siphoned_heat", **_TAKEN),
    Flow("spilled", "soil", ROOM, warmth="spilled_heat", **_TAKEN),
    Flow("drained_away", "soil", ROOM, warmth="drained_away_heat", **_TAKEN),
    # films that run off, fog that falls, and what rises from below
    Flow("leaf_drip", "leaf film", GROUND),
    Flow("glass_drip", "glass film", FOOT_OF_GLASS),
    Flow("lid_drip", "glass film", GROUND, seldom=True),
    Flow("hide_drip", "hide", GROUND, seldom=True),
    Flow("moss_drip", "patches", GROUND, seldom=True),
    Flow("patch_drip", "patches", "soil", seldom=True),
    Flow("fog_settled", "fog", GROUND),
    Flow("reservoir_vapour", "reservoir", "soil", SOIL_CLOCK, arrows=("vapour_up",)),
    Flow("wick_rise", "reservoir", "soil", SOIL_CLOCK, arrows=("wick_up",)),
    # heat alone
    Flow("heat_devices", ROOM, SURFACES, carries=HEAT, series="heat from devices"),
    Flow("heat_floor", ROOM, "floor", carries=HEAT, series="heat from devices"),
    Flow("heat_glass", "glass", ROOM, carries=HEAT, series="heat lost through the glass"),
    Flow("heat_lid", SURFACES, ROOM, carries=HEAT, series="heat rays lost through the lid"),
    Flow("heat_vent", "air", ROOM, carries=HEAT, series="heat lost with exchanged air"),
    Flow("heat_door", "air", ROOM, carries=HEAT, series="heat lost while the door is open", seldom=True),
    Flow("heat_side", "soil", ROOM, carries=HEAT, series="heat lost through the sides of the soil"),
    Flow("heat_base", "floor", ROOM, carries=HEAT, series="heat lost through the floor"),
    # what a change of the box in the midst of a run brings, or takes: lies on what was put in, or goes with what is taken out
    *(
        Flow(f"brought_{store.name.replace(' ', '_')}", ROOM, store.name, SOIL_CLOCK,
             carries=WATER if WATER in store.holds else HEAT,
             warmth=f"brought_{store.name.replace(' ', '_')}_heat" if HEAT in store.holds and WATER in store.holds else "",
             label="brought or taken by a change" if WATER in store.holds else "", seldom=True)
        for store in STORES
        if store.name not in ("soil", "reservoir")
    ),
)  # fmt: skip

#: What is saved as well and is no flow from one store to another: the field, its clock.
READINGS = (
    ("air_exchanged", AIR_CLOCK),  # kg of dry air that went out, and as much came in
    ("air_mixed", AIR_CLOCK),  # kg of dry air that changed places between zones
    ("landed", AIR_CLOCK),  # kg of water that fell on the soil: drops, spray, fog, through the cover where there is one
    ("surface_up", AIR_CLOCK),  # m of water that rose into the surface cell
    ("run_off_heat", AIR_CLOCK),  # J with what runs down the glass
    ("fog_settled_heat", AIR_CLOCK),  # J with the fog that falls
    ("soil_liquid_heat", AIR_CLOCK),  # J of the liquid that evaporates from the soil
    ("root_heat", AIR_CLOCK),  # J of the liquid that roots draw
    ("tube_liquid_heat", AIR_CLOCK),  # J of the liquid that evaporates in the tube
    ("soil_gain", AIR_CLOCK),  # J that reach the soil with what lands on it
    ("to_soil", SOIL_CLOCK),  # kg that reached the soil from above, however it came
)


@dataclass(frozen=True)
class Table:
    """The stores, the flows between them and what else is saved. TABLE is that of the engine."""

    stores: tuple[Store, ...] = STORES
    flows: tuple[Flow, ...] = FLOWS
    readings: tuple[tuple[str, str], ...] = READINGS

    def fields(self, clock: str) -> tuple[str, ...]:
        """The names of all that a clock saves: its flows, the heat they carry, readings, and the gains of the stores."""
        rows = [flow for flow in self.flows if flow.clock == clock]
        names = [flow.name for flow in rows] + [flow.warmth for flow in rows if flow.warmth]
        names += [name for name, its in self.readings if its == clock]
        if clock == AIR_CLOCK:
            names += [store.gain for store in self.stores if store.gain]
        return tuple(dict.fromkeys(names))

    @property
    def booked(self) -> tuple[Flow, ...]:
        """The flows that change stores: all but those that are a part of another."""
        return tuple(flow for flow in self.flows if not flow.part_of)

    def crossing(self, carried: str, kind: str) -> tuple[str, ...]:
        """The fields of water or heat that CAME_IN or LEFT through the glass."""
        rows = [flow for flow in self.booked if flow.kind == kind]
        alone = [flow.name for flow in rows if flow.carries == carried]
        with_water = [flow.warmth for flow in rows if flow.warmth] if carried == HEAT else []
        return tuple(dict.fromkeys(alone + with_water))

    def water_gains(self, amount: Callable[[str], Any], constants: Mapping | np.void) -> dict[str, Any]:
        """What each store of water gains by all its rows: `amount(name)` gives that of a row, `constants` are a BOX record."""
        gains: dict[str, Any] = {store.name: 0.0 for store in self.stores if WATER in store.holds}
        for flow in self.booked:
            if flow.carries != WATER or not there(flow, constants):
                continue
            for store, share in shares(flow.source, constants).items():
                gains[store] = gains[store] - share * amount(flow.name)
            for store, share in shares(flow.target, constants).items():
                gains[store] = gains[store] + share * amount(flow.name)
        return gains

    def heat_gains(self, amount: Callable[[str], Any]) -> dict[str, Any]:
        """What each store with a gain of its own gains in heat: that gain, and what comes with the water of the hand."""
        gains = {store.name: amount(store.gain) for store in self.stores if store.gain}
        for flow in self.booked:
            warmth = flow.name if flow.carries == HEAT else flow.warmth
            if flow.clock == SOIL_CLOCK and warmth:
                for end, sign in ((flow.source, -1.0), (flow.target, 1.0)):
                    if end in gains:
                        gains[end] = gains[end] + sign * amount(warmth)
        return gains

    def sums(self, column: str, rows: Iterable[Flow] | None = None) -> dict[str, tuple[Flow, ...]]:
        """The rows that share a text of `column` ("label", "shown_as", "way" or "arrows"), by that text, in their order."""
        found: dict[str, list[Flow]] = {}
        for flow in self.flows if rows is None else rows:
            texts = getattr(flow, column)
            for text in (texts,) if isinstance(texts, str) else texts:
                if text:
                    found.setdefault(text, []).append(flow)
        return {text: tuple(flows) for text, flows in found.items()}

    def kind_of(self, label: str) -> str:
        """The kind of what "where it goes" says under `label`: of a flow, "stored", or "" for a word that is not in the table."""
        if any(store.label == label for store in self.stores):
            return "stored"
        return next((flow.kind for flow in self.flows if flow.label == label), "")

    @property
    def ways_out(self) -> dict[str, str]:
        """How vapour gets out of a box, in words, by the label of "where it goes"."""
        return {flow.label: flow.way for flow in self.flows if flow.way}


TABLE = Table()


def shares(place: str, constants: Mapping | np.void) -> dict[str, float]:
    """The stores behind a place, each with its share [-], in a box with these `constants` (a BOX record)."""
    if place == ROOM:
        return {}
    if place == GROUND:
        beside = float(constants["patch_share"])
        return {"cover" if constants["cover"] > 0.0 else "soil": 1.0 - beside, "patches": beside}
    if place == FOOT_OF_GLASS:
        if constants["stands_free"] > 0.0:
            return {"patches": 1.0}
        share = float(constants["run_off_to_soil"])
        return {"soil": share, "reservoir": 1.0 - share}
    return {place: 1.0}


def sum_of(amount: Callable[[str], np.ndarray], flows: Iterable[Flow]) -> np.ndarray:
    """The amounts of some rows added up in their order: `amount(name)` gives that of one."""
    first, *rest = (amount(flow.name) for flow in flows)
    for more in rest:
        first = first + more
    return first


def there(flow: Flow, constants: Mapping | np.void) -> bool:
    """False for a flow from or to a drainage layer that the box does not have."""
    return "reservoir" not in (flow.source, flow.target) or bool(constants["has_reservoir"])
