"""Light at the plants, from a description: what each lamp gives, and the daylight and sun of the room over a day.

Daylight is a device that no one switches: a row of DEVICE whose load follows the hours, and so is a patch of sun.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from terralab.describe.box import Box
from terralab.describe.enclosure import Enclosure
from terralab.describe.light import Window
from terralab.describe.opening import Opening
from terralab.describe.routine import Lamp
from terralab.engine.fans import open_area
from terralab.physics.light import (
    day_course,
    lamp_light_at,
    lamp_photons,
    lid_passes,
    light_heat,
    light_of_lux,
    window_light,
)
from terralab.units import DAY_S, HOUR_S

NEAREST = 0.02  # m, between a lamp and the leaves under it
SEASONS = {"now": "spring or autumn daylight", "winter": "winter daylight", "summer": "summer daylight"}


@dataclass(frozen=True)
class Sky:
    """Light from outside as a device: its `row` of DEVICE at full load, and its loads from each time of a day [s] on."""

    row: Mapping[str, float]
    times: np.ndarray
    loads: np.ndarray


def through_lid(e: Enclosure, pick: Callable) -> float:
    """Share of the light on the lid that comes through it [-]."""
    bare = meshed = passed = 0.0
    for opening in e.openings:
        if opening.wall == "lid" and opening.mesh:
            meshed += open_area(opening)
            passed += open_area(opening) * free_share(opening, pick)
        elif opening.wall == "lid":
            bare += open_area(opening)
    share = passed / meshed if meshed > 0.0 else 0.0
    return lid_passes(e.floor_area_m2, bare, meshed, share, pick("defaults", "clear glass", "light_transmission"))


def free_share(opening: Opening, pick: Callable) -> float:
    """Open share of the mesh of an opening [-]: as typed, by its kind, or that of a mesh nobody named."""
    if opening.open_share is not None:
        return opening.open_share
    if isinstance(opening.mesh, str):
        return pick("meshes", opening.mesh, "open_share")
    return pick("defaults", "mesh screen", "porosity")


def read_at_plants(owner: Lamp | Window, table: str, name: str, pick: Callable) -> float | None:
    """Light [umol/m2/s] that a meter showed at the plants of a lamp or window, None where none was read.

    A reading in lux is worth what the light of `name` in `table` makes of it.
    """
    if owner.par_at_plants is not None or owner.lux_at_plants is None:
        return owner.par_at_plants
    return light_of_lux(owner.lux_at_plants, pick(table, name, "lux_per_umol"))


def lamp_light(e: Enclosure, lamp: Lamp, pick: Callable) -> float:
    """Light of a lamp on the plants [umol/m2/s]: what was read there, else worked out from its power and place."""
    read = read_at_plants(lamp, "lamps", lamp.kind, pick)
    if read is not None:
        return read
    distance = max(NEAREST, lamp.above_plants_cm(e) / 100.0)
    photons = lamp_photons(lamp.power_w, pick("lamps", lamp.kind, "photons_per_joule"))
    if not lamp.kind.endswith("inside"):
        photons *= through_lid(e, pick)
    walls = 2.0 * (e.width_cm + e.front_to_back_cm) / 100.0 * distance
    number = lambda prop: pick("defaults", "lamp light", prop)  # noqa: E731
    return lamp_light_at(
        photons, distance, e.floor_area_m2, walls, number("walls_reflect"), number("plants_reflect"), number("beam")
    )


def noon_light(window: Window, season: str, pick: Callable) -> float:
    """Daylight on the plants around noon [umol/m2/s]: what was read there, else by distance, side and season."""
    read = read_at_plants(window, "defaults", "daylight", pick)
    if read is not None:
        return read
    pane = pick("defaults", "window", "at_pane")
    if window.panes == 1:
        pane *= pick("defaults", "clear glass", "light_transmission") / pick(
            "defaults", "double glazing", "light_transmission"
        )
    inside = (pick("defaults", "window", share) for share in ("share_1_m", "share_3_m"))
    light = window_light(window.distance_m, pane, *inside)
    light *= pick("defaults", f"{window.faces} window", "factor") * pick("defaults", SEASONS[season], "factor")
    return light * pick("defaults", "clear glass", "light_transmission")


def skies(box: Box, season: str, pick: Callable, shade: float) -> list[Sky]:
    """Daylight and sun patch of a box in a season, as far as they are described; `shade` is what leaves catch of light."""
    found = []
    if box.room.window is not None:
        found.append(daylight(box, season, pick, shade))
    if box.room.sun is not None and box.room.sun.shines_in(season):
        found.append(sun_patch(box, pick, shade))
    return found


def daylight(box: Box, season: str, pick: Callable, shade: float) -> Sky:
    """Daylight by the hour: the same light on the ground as on the front pane, from sunrise to sunset."""
    e = box.enclosure
    noon = noon_light(box.room.window, season, pick)
    number = lambda prop: pick("defaults", "daylight", prop)  # noqa: E731
    front = e.width_cm * e.air_height_cm / 1e4
    heat = light_heat(noon, number("umol_per_joule"), number("par_share")) * (e.floor_area_m2 + front)
    rises, sets = (pick("defaults", SEASONS[season], end) for end in ("rises", "sets"))
    minutes = (np.arange(6.0) + 0.5) / 6.0
    course = [np.mean([day_course(hour + part, rises, sets) for part in minutes]) for hour in range(24)]
    return Sky(heated(heat, shade, pick) | {"par": noon}, np.arange(24.0) * HOUR_S, np.array(course))


def sun_patch(box: Box, pick: Callable, shade: float) -> Sky:
    """Sun on a share of one pane in its hours: its heat, and its light on as large a share of the plants."""
    e, sun = box.enclosure, box.room.sun
    passes = pick("defaults", "clear glass", "light_transmission")
    number = lambda prop: pick("defaults", "daylight", prop)  # noqa: E731
    beam = sun.strength(pick) * passes * number("par_share") * number("umol_per_joule")
    times = np.array(sorted({0.0, *(t % DAY_S for period in sun.times.periods_s() for t in period)}))
    on = [sun.times.runs_at(time) for time in times]
    row = heated(passes * sun.watts(e, pick), shade, pick) | {"beam": beam}
    return Sky(row, times, np.array(on, float))


def heated(heat: float, shade: float, pick: Callable) -> dict[str, float]:
    """Where the `heat` [W] of light goes: some of it into the glass, the rest onto leaves and ground."""
    on_glass = pick("defaults", "lamp light", "on_glass")
    kept = heat * (1.0 - on_glass)
    return {"leaf_heat": kept * shade, "ground_heat": kept * (1.0 - shade), "glass_heat": heat * on_glass}
