"""Which lamps and heaters are hot and stand over or under the lid, so that its mesh must stay open. The one rule for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from terralab.describe.box import Box
    from terralab.describe.routine import Heater, Lamp

# Both are choices. Five watts on a piece of cover as large as a palm are half of full sunshine. A LED bar outside the
# lid sends 6 % of its power in as warmth, a heat mat under the floor 5 %, all others from 55 % up (tables lamps, heaters).
HOT_W = 5.0
HOT_SHARE = 0.1


def warmth_share(device: Lamp | Heater) -> float:
    """Share of a device's power that leaves it downwards as heat rays or warm air: as typed, else that of its kind."""
    from terralab.describe.routine import Lamp
    from terralab.materials import get  # late: tables are read only when a description needs them

    kind = get("lamps" if isinstance(device, Lamp) else "heaters", device.kind)
    typed = [getattr(device, name, None) for name in ("radiant", "convective")]
    return sum(
        kind.typical(name) if value is None else value
        for name, value in zip(("radiant", "convective"), typed, strict=True)
    )


def is_hot(device: Lamp | Heater) -> bool:
    """True for a device that gives 5 W or more, and a tenth of its power or more, as heat rays or warm air."""
    share = warmth_share(device)
    return share >= HOT_SHARE and share * device.power_w >= HOT_W and device.timer.on_s > 0.0


def hot_at_lid(box: Box) -> tuple[str, ...]:
    """Names of the hot lamps and heaters over or under the lid. Where there is one, no mesh of the lid is to be covered.

    A description does not say over which part a lamp hangs, so the whole lid counts. A heater on a wall does not.
    """
    routine = box.routine
    found = [lamp.name for lamp in routine.lamps if is_hot(lamp)]
    found += [heater.name for heater in routine.heaters if heater.place != "wall" and is_hot(heater)]
    return tuple(found)


def hot_in_words(box: Box) -> str:
    """The hot devices at the lid as names in quotes, parted by commas."""
    return ", ".join(f'"{name}"' for name in hot_at_lid(box))
