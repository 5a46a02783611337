"""What lies on the floor of a box as rows of surfaces: rock, moss, bare floor, and last the cover and the soil.

Also what every surface in the making is (`Row`) and what panes of glass have in common, since a bare floor is one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from terralab import materials
from terralab.describe.enclosure import Enclosure
from terralab.engine.kinds import BARE, CARPET, COVER, HANGING, SOIL, STONE, UPWARDS
from terralab.physics.conductivity import vapour_diffusivity
from terralab.physics.convection import litter_resistance

LONG_WAVE_AT = 22.0  # C, temperature about which long-wave exchange is made linear
COVER_HALF_WET = 0.15  # of the water a cover holds: then half of it evaporates
ENDLESS = 1e9  # kg
WARMED_BOARD = 0.02  # m of a board that follows the warmth of a day (a guess)
BELOW_GLASS = 0.17  # m2K/W, room air below the glass (ISO 6946)
MOSS_HEAT = 8000.0  # J/m2K, dry moss with some ground (a guess)
STONE_HEAT, STONE_CONTACT = 40000.0, 60.0  # J/m2K and W/m2K: 2 cm of rock, down to the soil under it (guesses)
MOSS_CONTACT = 4.0  # W/m2K, through 1 cm of moss (0.035 to 0.05 W/mK, table of covers)
NO_GROUND = 1e-6  # m2, of open soil at least: laws over an area of nothing have no number


@dataclass
class Row:
    """A surface in the making: its numbers in SURFACE, what of it radiates [m2], and the film it starts with [kg]."""

    kind: float
    zone: int
    numbers: dict[str, float]
    radiates: float = 0.0
    film: float = 0.0


def pane(e: Enclosure, pick: Callable, area: float, boarded: float) -> dict[str, float]:
    """What every pane of `area` [m2] has in common: heat, its way to the room, its film; `boarded` is the share with a board.

    A board before the glass takes the film and the warmth on itself, one behind it keeps the glass warm.
    """
    thick = e.glass_mm / 1000.0
    bare = {
        "out": 1.0
        / (1.0 / pick("defaults", "outer glass", "h") + 0.5 * thick / pick("defaults", "glass pane", "conductivity")),
        "capacity": thick * pick("defaults", "glass pane", "heat_capacity"),
        "film_max": pick("defaults", "glass film", "capacity"),
        "film_half": pick("defaults", "glass film", "half_wet"),
    }
    out = {name: (1.0 - boarded) * value for name, value in bare.items()}
    if boarded > 0.0:
        board = e.background
        number = lambda prop: pick("backgrounds", board.material, prop)  # noqa: E731
        deep = board.thickness_cm / 100.0
        behind = dict(bare)
        behind["out"] = 1.0 / (1.0 / bare["out"] + deep / number("lambda"))
        if board.inside:
            # of the board the side towards the air goes along with a day, to about the depth given
            behind["capacity"] = min(deep, WARMED_BOARD) * number("heat_capacity")
            behind["film_max"] = number("film_capacity")
            behind["film_half"] = bare["film_half"] * behind["film_max"] / bare["film_max"]
        out = {name: value + boarded * behind[name] for name, value in out.items()}
    return {"area": area, "faces": 1.0} | {name: area * value for name, value in out.items()}


def through_floor(e: Enclosure, pick: Callable) -> float:
    """Conductance of the floor of the glass down to the room [W/m2K]."""
    return 1.0 / (BELOW_GLASS + e.glass_mm / 1000.0 / pick("defaults", "glass pane", "conductivity"))


def patches(e: Enclosure, pick: Callable, b: np.void, zones: np.ndarray) -> Iterator[Row]:
    """What is not soil: moss on wood first, which drips on the others, then rock, a carpet of moss, and bare floor.

    Dry things are dry unless water lands on them; then a film as on glass. Rock and moss lie on the soil; the bare
    floor of the glass lies on the table, and what gathers there stays until it has evaporated.
    """
    footprint = e.floor_area_m2
    film = {name: pick("defaults", "glass film", name) for name in ("capacity", "half_wet")}
    for kind, area in (
        (HANGING, (e.moss_on_wood_area_cm2 or 0.0) / 1e4),
        (STONE, e.rock_share * footprint),
        (CARPET, e.moss_share * footprint),
        (BARE, e.bare_floor_share * footprint),
    ):
        if area <= 0.0:
            continue
        low = {
            "area": area,
            "faces": 1.0,
            "length": math.sqrt(area),
            "facing": UPWARDS,
            "high": float(zones[0]["bottom"]),
        }
        water = 0.0
        if kind != HANGING:
            low["lands"] = area / footprint
            b["patch_share"] += area / footprint
            b["ground"] += area
        if kind in (CARPET, HANGING):
            holds = area * pick("defaults", "moss carpet", "water")
            low |= {"capacity": MOSS_HEAT * area, "film_max": holds, "film_half": COVER_HALF_WET * holds}
            low["resistance"] = pick("defaults", "moss carpet", "resistance")
            water = holds
            if kind == CARPET:
                low["between"] = MOSS_CONTACT * area
        elif kind == STONE:
            low |= {"capacity": STONE_HEAT * area, "between": STONE_CONTACT * area}
            low |= {"film_max": film["capacity"] * area, "film_half": film["half_wet"] * area}
        else:
            low |= pane(e, pick, area, 0.0) | {"out": area * through_floor(e, pick)}
            low["film_max"] = ENDLESS
        yield Row(kind, 0, low, area, water)


def ground(e: Enclosure, pick: Callable, b: np.void, zones: np.ndarray, over: int) -> list[Row]:
    """The cover, where there is one that is no soil of its own, and the soil; `over` is the place of the first row."""
    area = max(NO_GROUND, (e.open_soil_share - e.moss_share) * e.floor_area_m2)
    lands = 1.0 - float(b["patch_share"])
    hidden = e.hide.floor_area_cm2 / 1e4 if e.hide is not None and e.hide.floor == "soil" else 0.0
    soil = {"area": area, "faces": 1.0, "length": math.sqrt(area), "facing": UPWARDS, "high": float(zones[0]["bottom"])}
    if e.cover is None or materials.get("covers", e.cover.material).typical("porous") > 0:
        b["ground"] += max(NO_GROUND, area - hidden)
        return [Row(SOIL, 0, soil | {"area": max(NO_GROUND, area - hidden)}, area)]
    b["ground"] += area
    number = lambda prop: pick("covers", e.cover.material, prop)  # noqa: E731
    thick = e.cover.depth_cm / 100.0
    holds = area * e.cover.depth_cm * number("water_capacity")
    cover = soil | {"capacity": area * thick * number("heat_capacity"), "film_max": holds, "lands": lands}
    cover["between"] = area * number("lambda") / (0.5 * thick)
    cover["film_half"] = COVER_HALF_WET * holds
    soil |= {
        "area": max(NO_GROUND, area - hidden),
        "faces": 0.0,
        "over": float(over),
    }
    soil["resistance"] = litter_resistance(
        thick, number("porosity"), number("vapour_resistance_factor"), vapour_diffusivity(LONG_WAVE_AT)
    )
    return [Row(COVER, 0, cover, area), Row(SOIL, 0, soil)]
