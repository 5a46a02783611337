"""Which lamps and heaters are hot and stand over or under the lid, so that its mesh must stay open. The one rule for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from terralab.describe.box import Box
    from terralab.describe.routine import Heater, Lamp

# Both are choices. Five watts on a piece of cover as large as a palm are half of full sunshine. A LED bar outside the
# lid sends 6 % of its power in as warmth, a heat mat under the floor 5 %, all others from 55 % up; of heat rays a LED bar
# sends 1 to 5 %, tubes, spots, panels and ceramic heaters a third or more (tables lamps, heaters).
HOT_W = 5.0
HOT_SHARE = 0.1
COOL_LAMPS = ("fluorescent", "led")  # words of the kinds of lamps that are warm at most


def _share(device: Lamp | Heater, name: str) -> float:
    """The "radiant" or "convective" share of a device's power that enters the box: as typed, else that of its kind."""
    from terralab.describe.routine import Lamp
    from terralab.materials import get  # late: tables are read only when a description needs them

    typed = getattr(device, name, None)
    if typed is not None:
        return typed
    return get("lamps" if isinstance(device, Lamp) else "heaters", device.kind).typical(name)


def is_hot(device: Lamp | Heater) -> bool:
    """True for a device that gives 5 W or more, and a tenth of its power or more, as heat rays or warm air."""
    share = _share(device, "radiant") + _share(device, "convective")
    in_a_season = device.timer_winter is not None or device.timer_summer is not None
    return share >= HOT_SHARE and share * device.power_w >= HOT_W and (in_a_season or device.timer.on_s > 0.0)


def sends_heat_rays(device: Lamp | Heater) -> bool:
    """True for a hot device that gives a tenth of its power or more as heat rays, so that what lies under it gets hot."""
    return is_hot(device) and _share(device, "radiant") >= HOT_SHARE


def hot_at_lid(box: Box) -> tuple[str, ...]:
    """Names of the hot lamps and heaters over or under the lid. Where there is one, no mesh of the lid is to be covered.

    Hot there is what sends out heat rays; the warm air of a LED bar scorches no cover, and how warm the box gets with one
    is judged by its temperatures. A description does not say over which part a lamp hangs, so the whole lid counts. A
    heater on a wall does not.
    """
    routine = box.routine
    at_lid = [*routine.lamps, *(heater for heater in routine.heaters if heater.place != "wall")]
    return tuple(device.name for device in at_lid if sends_heat_rays(device))


def hot_in_words(box: Box) -> str:
    """The hot devices at the lid as names in quotes, parted by commas."""
    return ", ".join(f'"{name}"' for name in hot_at_lid(box))


def is_cool(device: Lamp | Heater) -> bool:
    """True for a lamp that is warm at most, such as a fluorescent tube: nobody burns at it, but its mesh stays open."""
    from terralab.describe.routine import Lamp

    return isinstance(device, Lamp) and any(word in device.kind for word in COOL_LAMPS)


def hot_words(box: Box) -> str:
    """The heat at the lid, such as 'a hot lamp or heater ("spot")'; a lamp that is only warm is called so."""
    names = hot_at_lid(box)
    warm = {lamp.name for lamp in box.routine.lamps if is_cool(lamp)}
    what = "a lamp that gives off heat" if names and set(names) <= warm else "a hot lamp or heater"
    return f"{what} ({hot_in_words(box)})"
