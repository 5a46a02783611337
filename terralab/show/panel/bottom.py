"""The picture of the drainage panel: air in the soil by height, beside the gap under the mesh over the weeks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.common.temperature import heat_of
from terralab.answers.drainage.bottoms import soil_span_cm, wet_band_cm
from terralab.quantities import US, quantity
from terralab.quantities import said as in_units
from terralab.show.figures.scales import Scales
from terralab.show.figures.settled import danger_of, with_danger
from terralab.show.figures.style import BLACK, BLUE, LINE, NIGHT, ORANGE, SKY, VERMILLION, plain_look
from terralab.show.panel.small import PT, Small
from terralab.simulation.record import Record

WEEKS, AFTER_DAYS = 12, 7
SEEN_DAYS = 3  # before that: over them the wet band is taken
_SEASONS = (("winter", BLUE, "-"), ("summer", ORANGE, "--"))


@dataclass(frozen=True)
class Bottom:
    """What a run shows of the soil and the layer under it, a week after an over-watering.

    `air_percent` stands at even steps from the surface down to the foot; `gap_cm` at `days`, None without a layer.
    `danger`: what of the warmth is dangerous, in a few words; "" where nothing is.
    """

    name: str
    air_percent: np.ndarray
    soil_cm: float
    layer_cm: float
    level_cm: float
    days: np.ndarray
    gap_cm: np.ndarray | None
    wet_band_cm: float
    danger: str = ""


def bottom_of(record: Record) -> Bottom:
    """What `record`, whose first day has the over-watering, shows after a week."""
    rows = record.rows(0.0, AFTER_DAYS)
    e, last = record.box.enclosure, rows[-1]
    # without a moss cover, which is computed as soil
    shown = np.interp(np.linspace(*soil_span_cm(record), 60), record.depth_cm, 100.0 * record.air_space[last])
    layer = e.drainage.depth_cm if e.drainage else 0.0
    gap = record.gap_below_mesh_cm[rows] if record.has_reservoir else None
    return Bottom(
        name=record.box.name,
        air_percent=shown,
        soil_cm=e.soil_depth_cm,
        layer_cm=layer,
        level_cm=0.0 if gap is None else layer - float(gap[-1]),
        days=record.times_days[rows],
        gap_cm=gap,
        wet_band_cm=round(wet_band_cm(record, record.rows(AFTER_DAYS - SEEN_DAYS, AFTER_DAYS)), 1),
        danger=danger_of(heat_of(record)),
    )


class BottomPicture(Small):
    """Soil by height with its air, over stones and water; and the gap under the mesh. No scale jumps between preview and answer."""

    def __init__(self) -> None:
        super().__init__(right_from=0.56, between=0.13, split=0.48)
        self._build()

    @plain_look
    def _build(self) -> None:
        left, right = self.left, self.right
        across = left.get_yaxis_transform()
        patch = lambda **look: left.add_patch(Rectangle((0.0, 0.0), 1.0, 0.0, transform=across, **look))  # noqa: E731
        for axes in (left, right):
            axes.yaxis.set_major_locator(MaxNLocator(6, integer=True))
        self.stones = patch(facecolor="white", edgecolor=NIGHT, hatch="OO", linewidth=0.0)
        self.water = patch(facecolor=SKY, alpha=0.6, linewidth=0.0)
        self.band = patch(facecolor="none", edgecolor=VERMILLION, hatch="///", linewidth=0.0)
        self.level = left.plot([0, 1], [0, 0], color=BLUE, linewidth=1.8, transform=across)[0]
        self.mesh = left.plot([0, 1], [0, 0], color=BLACK, linewidth=1.4, linestyle=(0, (4, 1.5)), transform=across)[0]
        self.air = left.plot([], [], color=BLUE, linewidth=2.0)[0]
        self.marked = left.axvline(100.0 * AIR_WANTED, color=VERMILLION, linewidth=1.2, linestyle=(0, (4, 2)))
        left.set_xlim(0.0, 60.0)
        left.set_xticks([0, 10, 20, 40, 60])
        self.gap = right.plot([], [], color=BLACK, linewidth=1.8, linestyle=(0, (2, 1)), label="after a mishap")[0]
        self.lines = [right.plot([], [], color=c, linestyle=s, linewidth=1.8, label=n)[0] for n, c, s in _SEASONS]
        self.ranges = [
            right.fill_between([0, 1], [0, 0], [0, 0], facecolor=c, alpha=0.2, linewidth=0) for _, c, _ in _SEASONS
        ]
        right.axhline(0.0, color=LINE, linewidth=1.0)
        right.set_xlim(0, WEEKS)
        right.set_xticks(range(0, WEEKS + 1, 2))
        self.legend = right.legend(
            handles=[self.gap, *self.lines],
            fontsize=PT,
            frameon=False,
            loc="upper right",
            ncols=3,
            handlelength=1.6,
            columnspacing=1.0,
        )
        self.none = right.text(0.5, 0.5, "no drainage layer", transform=right.transAxes, ha="center", fontsize=PT + 1)
        self.moves(self.stones, self.water, self.band, self.level, self.mesh, self.air)
        self.moves(*self.ranges, *self.lines, self.gap, self.none)
        self.follow(self.air, self.gap)

    def draw(self, seen: Bottom, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """The picture as PNG and in words. Once an answer has a layer's run with a mishap, that is what is drawn."""
        us = system == US
        record = getattr(answer, "record", None)
        if record is not None:
            seen = replace(seen, danger=danger_of(heat_of(record)))
        if record is not None and seen.gap_cm is not None and answer.value:  # type: ignore[union-attr]
            seen = bottom_of(record)
        warned = self.warn(in_units(with_danger(seen.danger, answer), us))
        scale = Scales(us)
        unit, turn = scale.word("cm"), lambda x: scale.of("cm", x)
        top, foot = seen.layer_cm + seen.soil_cm, seen.layer_cm
        self.stones.set_height(turn(foot))
        level = max(0.0, min(seen.level_cm, top))
        self.water.set_height(turn(level))
        self.level.set_ydata([turn(level)] * 2)
        self.level.set_visible(seen.gap_cm is not None)
        self.mesh.set_ydata([turn(foot)] * 2)
        self.band.set_y(turn(foot))
        self.band.set_height(turn(seen.wet_band_cm))
        self.air.set_data(seen.air_percent, turn(np.linspace(top, foot, len(seen.air_percent))))
        self.fit(self.left, "x", 0.0, max(60.0, 10.0 * np.ceil(float(seen.air_percent.max()) / 10.0)))
        self.fit(self.left, "y", 0.0, float(turn(1.04 * top)))
        self.say(self.left, "A week after a mishap", "air in the soil, %", f"height over the floor, {unit}")
        said = self._gap(seen, answer, unit, turn)
        first = "" if answer else " A preview of one run."
        alt = (
            f"{seen.name}, a week after an over-watering: in {quantity('cm', '.1f', seen.soil_cm)} of soil the air goes from "
            f"{seen.air_percent[0]:.0f} % at the top to {seen.air_percent[-1]:.0f} % at the foot, and "
            f"{quantity('cm', '.1f', seen.wet_band_cm)} (striped) hold less than {100 * AIR_WANTED:.0f} %; {said}{first}"
        )
        return self.png(), f"{warned}{in_units(alt, us)}"

    def _gap(self, seen: Bottom, answer: Answer | None, unit: str, turn: Any) -> str:
        # the courses of a box without a layer are those of one that is not there
        weeks = {} if answer is None or seen.gap_cm is None else answer.details.get("gap_cm_by_week", {})
        self.none.set_visible(seen.gap_cm is None)
        self.gap.set_data(*(([], []) if seen.gap_cm is None else (seen.days / 7.0, turn(seen.gap_cm))))
        for (season, *_), line, patch in zip(_SEASONS, self.lines, self.ranges, strict=True):
            course = weeks.get(season)
            for artist in (line, patch):
                artist.set_visible(course is not None)
            if course is None:
                continue
            n = np.arange(len(course["gap_cm"]))
            line.set_data(n, turn(np.array(course["gap_cm"])))
            low, high = (turn(np.array(course[key])) for key in ("low_cm", "high_cm"))
            patch.set_verts([np.column_stack([np.r_[n, n[::-1]], np.r_[low, high[::-1]]])])
        most = max(0.5, seen.layer_cm)
        self.fit(self.right, "y", float(turn(-0.15 * most)), float(turn(1.3 * most)))
        self.say(self.right, "Gap under the mesh (0: water touches it)", "weeks without siphoning", f"gap, {unit}")
        if seen.gap_cm is None:
            return "there is no drainage layer."
        deep = quantity("cm", ".1f", max(0.0, seen.level_cm))
        first = f"water stands {deep} deep in a layer of {quantity('cm', '.1f', seen.layer_cm)}. "
        if weeks:
            gaps = ", ".join(f"{s} {wording.gap(c['gap_cm'][-1])}" for s, c in weeks.items())
            return f"{first}Gap after {WEEKS} weeks: {gaps}."
        return f"{first}At the end the water stands {wording.level(float(seen.gap_cm[-1]))}."


__all__ = ["Bottom", "BottomPicture"]
