"""What the keeper wants of soil and warmth: as typed in the description, else as the animal group wants it.

How the soil is at the start is another matter and stands in `start`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from terralab.quantities import as_typed

if TYPE_CHECKING:
    from terralab.describe.box import Box
    from terralab.materials import Entry, Number

MOIST, DRY = "moist", "dry"
PLANTS = ("orchids", "mosses", "ferns")  # groups that are no animals
# Both are choices: the first is what the table has between band and limit of the rainforest frogs, the second the step
# at which cool weather stops being a cool night.
MOST_OVER_K = 2.0  # how far above a typed band the limit lies, where no group gives one
COLD_UNDER_K = 5.0  # how far below the lowest temperature wanted it becomes dangerous


def soil_wanted(box: Box) -> str:
    """How the soil is to be kept, "moist" or "dry": as typed, else as the group wants it, else moist."""
    return box.soil_wanted or (_soil_of(box.group) if box.group else MOIST)


def humidity_wanted(box: Box) -> str:
    """The humidity that the animal group wants, as a sentence with a blank before it; empty where none is known, or one
    was typed and stands in the heading.
    """
    if not box.group or box.humidity_target is not None:
        return ""
    from terralab.materials import get  # late: tables are read only when a description needs them

    return f" Wanted humidity: {humidity_band(get('groups', box.group))}."


def humidity_band(group: Entry) -> str:
    """The humidity band of an entry of the table "groups", in words."""
    day, night = ((group.typical(f"{part}_rh_low"), group.typical(f"{part}_rh_high")) for part in ("day", "night"))
    if day == night:
        return f"{day[0]:g} to {day[1]:g} % by day and night"
    return f"{day[0]:g} to {day[1]:g} % by day, {night[0]:g} to {night[1]:g} % by night"


def group_band(group: Entry) -> str:
    """Humidity and temperature of an entry of the table "groups" side by side, with marks (see `terralab.quantities`)."""
    day, night = (
        as_typed("temperature", "C", group.typical(f"{part}_low"), group.typical(f"{part}_high"))
        for part in ("temp", "night_temp")
    )
    return f"{humidity_band(group)}; {day} by day, {night} by night"


def soil_reason(box: Box) -> str:
    """Who says so, in a few words."""
    if box.soil_wanted:
        return "as you wrote"
    return f"as {box.group} want it" if box.group else "since no group and no wish was given"


def soil_contradiction(box: Box) -> str:
    """A sentence against dry soil for a group that is always kept on moist soil; empty where nothing is wrong."""
    if box.soil_wanted != DRY or not box.group or _soil_moist(box.group).low < 1.0:
        return ""
    return (
        f'Dry soil is wrong for {box.group}: they are kept on moist soil. soil_wanted = "dry" is obeyed here, but take that '
        "line out unless your vet or the species guide tells you to keep it. How the soil is today belongs in start.soil."
    )


def _soil_of(group: str) -> str:
    return MOIST if _soil_moist(group).typical > 0.5 else DRY


def _soil_moist(group: str) -> Number:
    from terralab.materials import get  # late: tables are read only when a description needs them

    return get("groups", group)["soil_moist"]


@dataclass(frozen=True, slots=True)
class Temperatures:
    """The temperatures wanted, in C: by day and by night, and the limits past which it is dangerous.

    `most` is for the air, `surface_most` for ground and glass (the warm spot's upper end where the group has one),
    `least` for the coldest air. `source`: who says so. `whose`: "these animals" or "these plants". `by_plants`: the plants
    whose bands these are, where neither a group nor a temperature is given.
    """

    day_low: float
    day_high: float
    night_low: float
    night_high: float
    least: float
    most: float
    surface_most: float
    source: str
    whose: str = "these animals"
    by_plants: str = ""

    def band(self, time: str) -> tuple[float, float]:
        """The ends of the band by "day" or by "night" [C]."""
        return (self.day_low, self.day_high) if time == "day" else (self.night_low, self.night_high)

    def in_words(self) -> str:
        """The bands and the limit, as a keeper would say them; temperatures as marks."""
        night = (
            ""
            if (self.night_low, self.night_high) == (self.day_low, self.day_high)
            else f" by day, {as_typed('temperature', 'C', self.night_low, self.night_high)} by night"
        )
        day = as_typed("temperature", "C", self.day_low, self.day_high)
        return f"{day}{night}, never over {typed(self.most)}"


#: For boxes of nobody in particular: outside these not one group of the table is safe (a choice, at or past the extremes
#: of all groups).
ANYONE = Temperatures(
    5.0, 35.0, 5.0, 35.0, least=0.0, most=40.0, surface_most=45.0, source="what not one group of the tables bears"
)


def typed(value: float) -> str:
    """The mark (see `terralab.quantities`) of a temperature that is wanted or borne, in the unit it was typed in."""
    return as_typed("temperature", "C", value)


def temperatures_wanted(box: Box) -> Temperatures | None:
    """The temperatures wanted in `box`: as typed in its band, else as its group wants them, else as its plants do.

    None where none is known.
    """
    from terralab.materials import get  # late, as above

    group = get("groups", box.group) if box.group else None

    def ends(part: str, in_table: str) -> tuple[float, float] | None:
        if box.humidity_target is not None and getattr(box.humidity_target, f"{part}_temp_low_c") is not None:
            return getattr(box.humidity_target, f"{part}_temp_low_c"), getattr(
                box.humidity_target, f"{part}_temp_high_c"
            )
        if group is None:
            return None
        return group.typical(f"{in_table}_low"), group.typical(f"{in_table}_high")

    day, night = ends("day", "temp"), ends("night", "night_temp")
    day, night = day or night, night or day
    if day is None or night is None:
        return _of_plants(box)
    highest = max(day[1], night[1])
    most = highest + MOST_OVER_K if group is None else group.typical("temp_most")
    spot = most if group is None or "spot_temp_high" not in group else group.typical("spot_temp_high")
    typed = box.humidity_target is not None and box.humidity_target.has_temperatures
    return Temperatures(
        *day,
        *night,
        least=min(day[0], night[0]) - COLD_UNDER_K,
        most=most,
        surface_most=max(most, spot),
        source="typed in the description" if typed else f"{box.group} ({group['temp_high'].source})",
        whose="these plants" if box.group in PLANTS else "these animals",
    )


def plants_named(box: Box) -> tuple[str, ...]:
    """The groups of plants with bands of their own that the description names: its plants, then moss on the ground."""
    glass = box.enclosure
    kind = "" if glass.plants is None else glass.plants.kind
    found = [name for name in PLANTS if name in kind.split()]
    moss = glass.moss_share > 0.0 or (glass.cover is not None and glass.cover.is_moss)
    return tuple(dict.fromkeys([*found, *(["mosses"] if moss else [])]))


def _of_plants(box: Box) -> Temperatures | None:
    """What suits all plants named in `box`, or the first of them where nothing suits all; None where none has a band."""
    from terralab.materials import get  # late, as above

    names = plants_named(box)
    if not names:
        return None
    for some in (names, names[:1]):
        bands = [get("groups", name) for name in some]
        least = lambda prop: min(band.typical(prop) for band in bands)  # noqa: B023, E731
        most = lambda prop: max(band.typical(prop) for band in bands)  # noqa: B023, E731
        day, night = (most("temp_low"), least("temp_high")), (most("night_temp_low"), least("night_temp_high"))
        if day[0] < day[1] and night[0] < night[1]:
            break
    limit = least("temp_most")
    by = " and ".join(some)
    source = f"no animals are named, so by its {by} ({bands[0]['temp_high'].source})"
    return Temperatures(
        *day, *night, min(day[0], night[0]) - COLD_UNDER_K, limit, limit, source, "these plants", by_plants=by
    )
