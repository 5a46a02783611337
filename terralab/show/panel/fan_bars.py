"""What stands beside the air in the panel of the fans: bars of how long schedules keep the humidity wanted, those alike as one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from terralab.answers.common.answer import Answer
from terralab.answers.fans.alike import groups_of
from terralab.answers.fans.alike_words import counted
from terralab.answers.fans.choice import inside
from terralab.answers.fans.schedules import AS_DESCRIBED
from terralab.show.figures.style import plain_look
from terralab.show.panel.air_picture import Air
from terralab.show.panel.small import Small

MOST = 5  # bars
_OTHERS = "other", "others"
_ROOM = 2.75  # of the scale behind the longest bar that there can be, for its number
#: how the timings of built-in schedules are said where there is little room
_IN_SHORT = {
    " min an hour": " min/h",
    "hour on, hour off": "1 h on, off",
    "with the lights": "with lights",
    "after spraying": "after spray",
}


class FanBars:
    """Bars, the recommended schedule first, then today's and the best of the others; a preview has the one of what is set.

    The scale is the same for all of them, so that nothing jumps when the answer comes: 24 hours, or 100 % where no humidity
    is wanted.
    """

    wide, between, split = 0.76, 0.27, 0.5

    @plain_look
    def make(self, small: Small) -> None:
        """Make the bars."""
        self.small = small
        self.bars = small.add_bars(small.right, MOST)

    def show(self, seen: Air, answer: Answer | None, system: str) -> str:
        """Show the hours a day inside what is wanted, or the mean humidity by day where nothing is."""
        by_hours = seen.humidity_target is not None
        if answer is None:
            found = [("as set", _hours_inside(seen) if by_hours else seen.mean_day, 0)]
        else:
            found = [(_name(row), _value(row, by_hours), len(group["names"]) - 1) for row, group in _chosen(answer)]
        names, values, more = zip(*found, strict=True)
        said = [f"{x:.1f} h" if by_hours else f"{x:.0f} %" for x in values]
        shown = [f"{text} (+{others} alike)" if others else text for text, others in zip(said, more, strict=True)]
        room = _ROOM * (24.0 if by_hours else 100.0) / max([*values, 1e-9])
        marked = -1 if answer is None else 0
        self.bars.show(names, values, shown, answer is None, marked=marked, room=room)
        self.small.say(self.bars.axes, "humid as wanted, h a day" if by_hours else "humidity by day, mean")
        what = "hours a day as humid as wanted" if by_hours else "mean humidity by day"
        first = "" if answer is None else "the recommended schedule first, "
        each = [
            f"{name}{f' and {counted(others, *_OTHERS)} alike' if others else ''} {text}"
            for name, text, others in zip(names, said, more, strict=True)
        ]
        return f"Bars, {first}{what}: {', '.join(each)}."


def _chosen(answer: Answer) -> list[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    """The recommended group, today's, and those of the others with the most hours inside, or the dampest."""
    groups = groups_of(answer)
    ahead = [one for one in groups if one[1]["recommended"] or one[1]["today"]]
    others = [one for one in groups if not (one[1]["recommended"] or one[1]["today"])]
    others.sort(key=lambda one: (-inside(one[0]["now"]), -one[0]["now"]["rh_day"]["mean"]))
    return [*ahead, *others][:MOST]


def _name(row: Mapping[str, Any]) -> str:
    """The name before a bar."""
    name = "your fans" if row["name"] == AS_DESCRIBED else row["name"]
    for long, brief in _IN_SHORT.items():
        name = name.replace(long, brief)
    return name


def _value(row: Mapping[str, Any], by_hours: bool) -> float:
    return inside(row["now"]) if by_hours else row["now"]["rh_day"]["mean"]


def _hours_inside(seen: Air) -> float:
    """Hours of the day shown at which the air is as humid as wanted."""
    low, high = seen.day.rh_wanted.ends(seen.day.by_day)  # type: ignore[union-attr]  # wanted, as `seen` has a target
    return 24.0 * float(np.mean((seen.day.rh.values >= low) & (seen.day.rh.values <= high)))
