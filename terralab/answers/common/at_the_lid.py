"""What is at the lid: what its opening is called, and when nothing is sprayed because of the hot glass over or under it."""

from __future__ import annotations

from terralab.describe.box import Box
from terralab.describe.hot import hot_at_lid
from terralab.units import DAY_S

GLASS_COOLS_S = 3600.0  # from lights out until a hot lamp's glass bears cold water (a choice)
GLASS_DRIES_S = 1800.0  # from a spray until a hot lamp may come on (a choice)


def lid_words(box: Box) -> str:
    """What one covers or opens up there: "the mesh lid", or "the opening in the lid" where it has no mesh."""
    lids = [o for o in box.enclosure.openings if o.wall == "lid"]
    return "the mesh lid" if not lids or any(o.mesh for o in lids) else "the opening in the lid"


def hours_for_spraying(box: Box, hours: tuple[int, ...]) -> tuple[int, ...]:
    """Those of the `hours` of the day in which no hot glass is near: cold water cracks it."""
    names = hot_at_lid(box)
    hot = [one for one in (*box.routine.lamps, *box.routine.heaters) if one.name in names]
    on = [(off - start + GLASS_COOLS_S + GLASS_DRIES_S, start) for one in hot for start, off in one.timer.periods_s()]
    near = lambda hour: any((3600.0 * hour - start + GLASS_DRIES_S) % DAY_S < lasts for lasts, start in on)  # noqa: E731
    return tuple(hour for hour in hours if not near(hour))
