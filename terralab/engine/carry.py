"""What lives on between two runs: all that a run changes in its arrays, taken out, and put back where the next one begins.

Whatever is not a description is a state. So what one day is added to `Work` is carried over without a word here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from terralab.engine.air_clock import CURRENT, SLOPE
from terralab.engine.flows_table import HEAT, TABLE, WATER
from terralab.engine.settings import FIRST_AIR, FIRST_SOIL
from terralab.engine.tables import Work
from terralab.errors import TerralabError
from terralab.physics.constants import AIR_HEAT, LATENT_ZERO, VAPOUR_HEAT, WATER_HEAT

#: What the description alone decides. All else of `Work` is state.
DESCRIBED = frozenset(
    [
        "box",
        "devices",
        "openings",
        "vents",
        "schedule_t",
        "schedule_on",
        "schedule_rate",
        "hand_t",
        "hand",
        "room",
        "dz",
        "soil_of",
        "soils",
        "thermal",
        "layer_start",
        "root_weight",
        "side",
        "air.zone",
        "air.surface",
        "air.link",
        "air.heat_share",
        "air.mean_share",
    ]
)
#: The same memory as a `*_v`, by names.
TWICE = frozenset(["flow", "moved", "air.zones", "air.surfaces", "air.cell", "air.zone_flow", "air.surface_flow"])


@dataclass(frozen=True, eq=False)
class EndState:
    """Where a run stood at its end: every array that lives on, by its name in `Work`, and the clocks [s].

    `devices` are the names of its devices, in the order of the arrays, `surfaces` kind, wall and zone of each.
    """

    arrays: Mapping[str, np.ndarray]
    t: float
    wanted: float
    size: float
    devices: tuple[str, ...]
    surfaces: tuple[tuple[float, float, float], ...]

    def __post_init__(self) -> None:
        for array in self.arrays.values():
            array.flags.writeable = False

    def __reduce__(self) -> tuple:
        arrays = {name: np.array(array) for name, array in self.arrays.items()}
        return EndState, (arrays, self.t, self.wanted, self.size, self.devices, self.surfaces)


def living(work: Work) -> Iterator[tuple[str, np.ndarray]]:
    """Yield every array of a run that is state, as plain numbers, by its name."""
    for name, held in _named(work, ""):
        if name in DESCRIBED or name in TWICE:
            continue
        yield name, held.view(np.ndarray).view(np.float64) if held.dtype.names else held


def _named(arrays: tuple, before: str) -> Iterator[tuple[str, np.ndarray]]:
    for name in arrays._fields:
        held = getattr(arrays, name)
        if isinstance(held, np.ndarray):
            yield before + name, held
        else:
            yield from _named(held, f"{before}{name}.")


def taken(work: Work, clock: np.ndarray, devices: tuple[str, ...]) -> EndState:
    """Return the state that a run has come to."""
    arrays = {name: held.copy() for name, held in living(work)}
    one = clock[0]
    return EndState(
        arrays, float(one["t"]), float(one["wanted"]), float(one["air_step"]), devices, tuple(surface_keys(work))
    )


def put_back(work: Work, state: EndState) -> str:
    """Set a freshly packed run to `state`; returns "" or the name of an array that does not fit."""
    for name, held in living(work):
        if name not in state.arrays or state.arrays[name].shape != held.shape:
            return name
    for name, held in living(work):
        held[...] = state.arrays[name]
    return ""


def surface_keys(work: Work) -> list[tuple[float, float, float]]:
    """Return kind, wall and zone of each surface, by which it is known in another box."""
    return [(float(s["kind"]), float(s["wall"]), float(s["zone"])) for s in np.asarray(work.air.surface)]


def disturbed(work: Work, clock: np.ndarray) -> None:
    """Begin again with short steps: what went on so far says nothing about what comes."""
    one = clock[0]
    one["wanted"], one["air_step"] = min(one["wanted"], FIRST_SOIL), min(one["air_step"], FIRST_AIR)
    work.air.state_v[SLOPE] = 0.0
    work.chain[SLOPE] = 0.0
    work.cells.course[:] = 0.0


_DEVICES = ("device_on", "device_since", "tank_left", "ran_dry")
_SAME = ("floor", "reservoir_depth", "void", "aggregate_capacity", "stacked", "has_reservoir")


def handed_on(old: Work, new: Work, old_names: tuple[str, ...], new_names: tuple[str, ...]) -> None:
    """Give a freshly packed run the state of the one before, and book what the change of the box brings or takes.

    Raises TerralabError where the soil, what lies under it or the glass itself is another.
    """
    same = all(np.array_equal(getattr(old, name), getattr(new, name)) for name in ("dz", "soil_of", "soils", "thermal"))
    top = int(new.box["stacked"][0]) - 1
    same = same and old.air.zone["top"][min(top, old.air.zone.size - 1)] == new.air.zone["top"][top]
    if not same or any(old.box[name][0] != new.box[name][0] for name in _SAME):
        raise TerralabError(
            "An event cannot change the soil, the drainage layer or the size of the glass: water would have to be moved by "
            "hand. Describe the new box and run it by itself."
        )
    keys, before = surface_keys(new), surface_keys(old)
    alike = keys == before and old.air.zone.size == new.air.zone.size
    theirs = dict(living(old))
    for name, held in living(new):
        of_devices = name in _DEVICES or name == "device_kept"
        if (of_devices and old_names != new_names) or (name.startswith("air.") and not alike):
            continue
        if theirs[name].shape == held.shape:
            held[...] = theirs[name]
    if old_names != new_names:
        for name in _DEVICES:
            for i, device in enumerate(new_names):
                if device in old_names:
                    getattr(new, name)[i] = getattr(old, name)[old_names.index(device)]
    for i in range(len(new_names)):
        new.tank_left[i] = min(new.tank_left[i], new.devices["tank"][i])
        if new.devices["senses"][i] == 0.0:
            new.device_on[i] = 1.0
    if not alike:
        zones, theirs_z = new.air.zones[CURRENT], old.air.zones[CURRENT]
        for i in range(new.air.zone.size):
            zones[i] = theirs_z[i if i < old.air.zone.size else 0]
        skins, theirs_s = new.air.surfaces[CURRENT], old.air.surfaces[CURRENT]
        for j, key in enumerate(keys):
            if key in before:
                skins[j] = theirs_s[before.index(key)]
            else:
                # it was in the room's care, or lay about: as warm as the air it comes into; what it holds is described
                skins["t"][j] = zones["t"][int(key[2])]
        new.air.cell[CURRENT] = old.air.cell[CURRENT]
    was, now = stores(old), stores(new)
    moved = new.moved[0:1]
    for store in TABLE.stores:
        if store.name in ("soil", "reservoir"):
            continue
        base = f"brought_{store.name.replace(' ', '_')}"
        for kind, suffix in ((WATER, ""), (HEAT, "_heat" if WATER in store.holds else "")):
            if kind in store.holds and store.name in now[kind]:
                moved[base + suffix] += now[kind][store.name] - was[kind][store.name]


def stores(work: Work) -> dict[str, dict[str, float]]:
    """Return water [kg] and heat [J] of each store that hangs on the tables of the air, as the auditor counts them."""
    zone, surface = np.asarray(work.air.zone), np.asarray(work.air.surface)
    z, s = np.asarray(work.air.zones)[CURRENT], np.asarray(work.air.surfaces)[CURRENT]
    water: dict[str, float] = {}
    heat = {"air": float(((AIR_HEAT * z["t"] + z["w"] * (LATENT_ZERO + VAPOUR_HEAT * z["t"])) * zone["mass"]).sum())}
    heat["air"] += float(WATER_HEAT * (z["fog"] * z["t"]).sum())
    for store in TABLE.stores:
        these = np.isin(surface["kind"], store.kinds)
        if WATER in store.holds and store.kinds:
            water[store.name] = float(s["film"][these].sum())
        elif WATER in store.holds and store.zone:
            water[store.name] = float((z[store.zone] * (zone[store.times] if store.times else 1.0)).sum())
        if HEAT in store.holds and store.kinds:
            warmth = (surface["capacity"] + WATER_HEAT * s["film"]) * s["t"]
            heat[store.name] = float(warmth[these].sum())
    return {WATER: water, HEAT: heat}
