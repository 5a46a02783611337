"""Plants, ground and light of a description in plain English, with what follows from them in brief."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from terralab.describe.timer import hours_text
from terralab.measured import span, with_unit
from terralab.units import plain

if TYPE_CHECKING:
    from terralab.describe.enclosure import Enclosure
    from terralab.describe.light import Sun, Window
    from terralab.describe.room import Room
    from terralab.describe.routine import Lamp

_RAISED = {True: "They grew up in very damp air.", False: "They did not grow up in very damp air."}


def plant_words(glass: Enclosure, us: bool) -> Iterable[str]:
    """Yield what grows there: kind, leaf, roots, height."""
    plants = glass.plants
    if plants is None:
        return
    roots = with_unit(min(plants.root_depth_cm, glass.soil_depth_cm), "length", "cm", 3, us)
    if plants.leaf_area_cm2 is not None:
        leaf = f"{with_unit(plants.leaf_area_cm2, 'area', 'cm2')} of leaf"
    else:
        leaf = f"over {_percent(plants.cover)} of the floor ({_leaf_of_cover(glass)} of leaf)"
    high = f", {with_unit(plants.height_cm, 'length', 'cm', 3)} high" if plants.height_cm is not None else ""
    yield f"Growing in it: {plants.kind}, {leaf}, rooted {roots} deep{high}."
    if plants.raised_damp is not None:
        yield _RAISED[plants.raised_damp]


def _leaf_of_cover(glass: Enclosure) -> str:
    """The leaf area that follows from a share covered, from its low to its high end."""
    from terralab.materials import get  # late: tables are read only when a description needs them

    low, high = (
        float(f"{1e4 * glass.leaf_area_m2(lambda t, n, p, end=end: getattr(get(t, n)[p], end)):.2g}")
        for end in ("low", "high")
    )
    return span(low, high, "area", "cm2")


def ground_words(glass: Enclosure) -> Iterable[str]:
    """Yield what the ground is, where it is not planted soil all over."""
    if glass.ground is None:
        return
    soil = {"planted soil": glass.planted_share, "bare soil": glass.bare_soil_share}
    if glass.plants is None:
        soil = {"soil": sum(soil.values())}
    shares = soil | {
        "moss": glass.moss_share,
        "rock, tile, glass or sealed wood": glass.rock_share,
        "under the dish": glass.dish_share,
        "bare floor without soil": glass.bare_floor_share,
    }
    parts = [f"{_percent(share)} {name}" for name, share in shares.items() if share > 1e-9]
    yield (
        f"Of the floor {_and(parts)}."
        if len(parts) > 1
        else f"The floor is all {next(n for n, s in shares.items() if s > 1e-9)}."
    )


def light_words(room: Room) -> Iterable[str]:
    """Yield where daylight and sun come from, and that no daylight counts where no window is described but the sun is."""
    if room.window is not None:
        yield _window(room.window)
    if room.sun is not None:
        yield _sun(room.sun)


def _window(window: Window) -> str:
    away = with_unit(window.distance_m, "length", "m", 3)
    where = f"{away} from" if window.distance_m > 0.0 else "right at"
    article = "an" if window.faces[0] in "aeiou" else "a"
    return (
        f"It stands {where} {article} {window.faces} window of {window.glazing} glass{_reading(window, 'by daylight')}."
    )


def _sun(sun: Sun) -> str:
    if not sun.times.on_s:
        return "No sun falls straight on it."
    seasons = "" if len(sun.seasons) == 3 else f" ({_and(sun.seasons)} only)"
    strength = f", {with_unit(sun.strength_w_m2, 'sun strength', 'W/m2', 3)}" if sun.strength_w_m2 is not None else ""
    share = f", on {_percent(sun.share)} of it at a time" if sun.share is not None else ""
    return f"The sun falls on the {sun.wall} {hours_text(sun.times.periods_s())}{seasons}{strength}{share}."


def lamp_reading(lamp: Lamp) -> str:
    """What a meter shows under a lamp and how far it hangs from the leaves; empty where neither was typed."""
    hangs = f", {with_unit(lamp.to_plants_cm, 'length', 'cm', 3)} below it" if lamp.to_plants_cm is not None else ""
    read = _reading(lamp, "")
    if read:
        return f" Under it a meter{hangs} shows{read.partition('shows')[2]}."
    return f" The top leaves are {with_unit(lamp.to_plants_cm, 'length', 'cm', 3)} below it." if hangs else ""


def _reading(owner: Lamp | Window, by: str) -> str:
    if owner.par_at_plants is not None:
        shown = with_unit(owner.par_at_plants, "plant light", "umol/m2/s", 3)
    elif owner.lux_at_plants is not None:
        shown = with_unit(owner.lux_at_plants, "brightness", "lux", 3)
    else:
        return ""
    return f"; a meter at the plants shows {shown}{f' {by}' if by else ''}"


def _percent(share: float | None) -> str:
    return f"{plain(100.0 * (share or 0.0), 3)} %"


def _and(parts: Iterable[str]) -> str:
    items = list(parts)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
