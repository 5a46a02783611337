"""The panels' picture of the air: humidity and temperature over a day, with what is wanted, and beside them a side of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.patheffects import withStroke
from matplotlib.text import Text

from terralab.answers.common.answer import Answer
from terralab.describe.box import HumidityTarget
from terralab.quantities import METRIC, US, said
from terralab.show.figures import day_air
from terralab.show.figures.budget import number
from terralab.show.figures.profile import AIR_PERCENT, LEAST_AIR, SHORT, Profile, profile_of
from terralab.show.figures.profile import in_words as soil_words
from terralab.show.figures.scales import Scales
from terralab.show.figures.settled import (
    Course,
    SettledDay,
    Wanted,
    outside,
    right_or_wrong,
    settled_day_of,
    spans_of,
    with_danger,
)
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    LINE,
    NIGHT,
    SKY,
    VERMILLION,
    plain_look,
    water_scale,
)
from terralab.show.figures.wanted import LOOKS, OUTSIDE
from terralab.show.panel.small import PT, Small

#: What leaves the soil and the box, as the bars call it.
_LOST = {
    "vapour lost through gaps": "through gaps",
    "vapour lost through vents": "vents and lid",
    "vapour lost by fan": "by fan",
    "vapour lost while the door is open": "by open door",
    "drained into the reservoir": "drains below",
}


def lost_ml(budget: Mapping[str, float]) -> dict[str, float]:
    """Where water goes [ml a day], by the names of the bars; what comes in instead counts as nothing."""
    return {name: max(0.0, budget[key]) for key, name in _LOST.items() if key in budget}


@dataclass(frozen=True)
class Air:
    """What a preview saw: the settled day of the air and the soil at its end, the pour that balances it, and where water goes.

    `humidity_target`: what is wanted, None where nothing is; `mean_day` and `mean_night`: mean humidity [%].
    """

    name: str
    day: SettledDay
    soil: Profile
    humidity_target: HumidityTarget | None
    pour_ml: float
    lost_ml: dict[str, float]
    mean_day: float
    mean_night: float


class Side(Protocol):
    """What stands at the right of the air: it makes its artists in `small`, and `show` moves them and says them in words."""

    wide: float  # where `small.right` begins, as a share of the width of the picture
    between: float  # from the end of the air to there, likewise
    split: float  # where the picture may be cut in two

    def make(self, small: Small) -> None:
        """Make what is drawn, in `small.right` and in axes of its own."""

    def show(self, seen: Air, answer: Answer | None, system: str) -> str:
        """Show what was seen, and the answer once it is there; the words end with a full stop."""


class AirPicture(Small):
    """Humidity over temperature over a day, with what is wanted and how sure it is; `side` is what stands beside them."""

    def __init__(self, side: Side | None = None) -> None:
        self.side = WaterSide() if side is None else side
        super().__init__(self.side.wide, self.side.between, self.side.split)
        self._build()

    @plain_look
    def _build(self) -> None:
        place = self.left.get_position()
        self.warmth = self._axes(place.x0, place.width)
        self.warmth.set_position((place.x0, 0.17, place.width, 0.26))
        self.left.set_position((place.x0, 0.56, place.width, 0.29))
        self.humidity = _Strip(self, self.left, BLUE)
        self.temperature = _Strip(self, self.warmth, VERMILLION)
        self.left.set_xticklabels([])
        self.say(self.left, "Humidity, %")
        self.say(self.warmth, x="hour of the day")
        self.side.make(self)

    def draw(self, seen: Air, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """The picture as PNG and in words. Once the answer is there, the day is the answer's, with how sure each hour is."""
        day, soil = seen.day, seen.soil
        bands = None if answer is None else answer.details.get("settled_day")
        if bands and answer.record is not None:
            day, soil = settled_day_of(answer.record, bands), profile_of(answer.record)
        day = replace(day, danger=with_danger(day.danger, answer))
        warned = self.warn(said(day.danger, system == US))
        scales = Scales(system == US)
        self.humidity.show(day, day.rh, day.rh_wanted, Scales(), "%", day_air.humidity_scale(day))
        self.temperature.show(day, day.c, day.c_wanted, scales, "°C", day_air.temperature_scale(day))
        self.say(self.warmth, f"Air, {scales.word('°C')}")
        beside = self.side.show(Air(**(vars(seen) | {"day": day, "soil": soil})), answer, system)
        text = ". ".join(day_air.in_words(day)[:2])
        alt = said(f"{seen.name}: {text[:1].lower()}{text[1:]}. {beside}", system == US)
        return self.png(), f"{warned}{alt}{'' if answer else ' A preview of one run.'}"


class _Strip:
    """One course over the day in a small picture: what is wanted, the band, the line, and where it is outside."""

    def __init__(self, small: Small, axes: Axes, colour: str) -> None:
        self.small, self.axes = small, axes
        axes.set_xlim(0, 24)
        axes.set_xticks(range(0, 25, 6))
        self.night = _area(axes, facecolor=NIGHT, zorder=0)
        self.wanted = {}
        for part, (face, strength, hatch, stroke, edge, _) in LOOKS.items():
            fill = _area(axes, facecolor=face, alpha=strength, zorder=1)
            outline = _area(
                axes, facecolor="none", edgecolor=edge, hatch=hatch, linestyle=stroke, linewidth=1.0, zorder=1
            )
            self.wanted[part] = (fill, outline)
        self.band = _area(axes, facecolor=colour, alpha=day_air.BAND_ALPHA, zorder=2)
        self.missed = [_area(axes, **OUTSIDE) for _ in range(2)]
        self.line = axes.plot([], [], color=colour, linewidth=1.8, zorder=5)[0]
        # it changes with the line, so it is no part of the title, for which all would be painted anew
        self.verdict = axes.text(1.0, 1.05, "", transform=axes.transAxes, ha="right", fontsize=PT)
        small.moves(self.band, *self.missed, self.line, self.verdict)
        small.follow(self.line)
        self._corridor: tuple | None = None

    def show(
        self,
        day: SettledDay,
        course: Course,
        wanted: Wanted | None,
        scales: Scales,
        unit: str,
        ends: tuple[float, float],
    ) -> None:
        turn = lambda values: scales.of(unit, values)  # noqa: E731
        self.small.fit(self.axes, "y", *(turn(end) for end in ends))
        self._outline(day, wanted, turn)
        self.line.set_data(*day_air.edged(day.hours, turn(course.values)))
        found = day_air.bar_of(day, course, wanted)
        self.verdict.set_text(right_or_wrong(found))
        self.verdict.set_weight("bold" if any(one.word for one in found) else "normal")
        self.band.set_visible(course.low is not None)
        if course.low is not None:
            low, high = day_air.band_at(day.hours, course)
            self.band.set_verts(_between(*day_air.edged(day.hours, turn(low), turn(high))))
        for area in self.missed:
            area.set_visible(wanted is not None)
        if wanted is not None:
            low, high = wanted.ends(day.by_day)
            wrong = outside(course.values, low, high, wanted.near)
            for area, where, end in zip(self.missed, wrong, (low, high), strict=True):
                line = np.where(where, course.values, end)
                area.set_verts(_between(*day_air.edged(day.hours, turn(line), turn(end))))

    def _outline(self, day: SettledDay, wanted: Wanted | None, turn) -> None:
        """The night and what is wanted, painted anew only where they have changed: they stay while most sliders move."""
        spans = spans_of(day.day_h)
        now = (day.day_h, None if wanted is None else tuple(turn(np.array([*wanted.day, *wanted.night]))))
        if now == self._corridor:
            return
        self._corridor = now
        self.night.set_verts([_box(start, end, -1e3, 1e3) for start, end in spans["night"]])
        for part, areas in self.wanted.items():
            ends = () if wanted is None else turn(np.array(getattr(wanted, part), float))
            for area in areas:
                area.set_verts([_box(start, end, *ends) for start, end in spans[part]] if len(ends) else [])
        self.axes.figure.stale = True


class WaterSide:
    """The soil from top to bottom, and bars of the pour and of where water goes."""

    wide, between, split = 0.56, 0.13, 0.475

    @plain_look
    def make(self, small: Small) -> None:
        """Make the soil and the bars."""
        self.small, self.axes = small, small.right
        self.axes.set_position((self.wide, 0.17, 0.11, 0.68))
        self.layer = _area(self.axes, facecolor="white", edgecolor=LINE, hatch="oo", linewidth=0.8, zorder=1)
        self.solid = _area(self.axes, facecolor=NIGHT, edgecolor=LINE, hatch="..", linewidth=0.5, zorder=1)
        self.water = _area(self.axes, edgecolor="face", linewidth=0.3, zorder=2)
        self.below = _area(self.axes, facecolor=SKY, edgecolor=BLUE, linewidth=0.8, alpha=0.8, zorder=2)
        self.short = _area(self.axes, **SHORT)
        self.edge = self.axes.plot([], [], color=BLACK, linewidth=1.0, zorder=4)[0]
        self.mesh = self.axes.plot([], [], color=BLACK, linewidth=1.2, linestyle=(0, (5, 2)), zorder=4)[0]
        self.least = self.axes.plot([], [], **LEAST_AIR)[0]
        self.names = [self._name(6.0, "water", "left"), self._name(97.0, "air", "right")]
        self.axes.set_xlim(0, 100)
        self.axes.set_xticks([0, 50, 100])
        small.say(self.axes, "In the soil", x="% of the volume")
        small.moves(
            self.layer, self.solid, self.water, self.below, self.short, self.least, self.edge, self.mesh, *self.names
        )
        small.follow(self.edge)
        bars = small.figure.add_axes((0.79, 0.17, 0.205, 0.68))
        for side in ("top", "right"):
            bars.spines[side].set_visible(False)
        small._titles[bars] = bars.set_title("", fontsize=PT + 1, loc="left", x=-0.47)
        self.bars = small.add_bars(bars, 5)

    def _name(self, across: float, word: str, ha: str) -> Text:
        paper = [withStroke(linewidth=2.0, foreground="white")]
        return self.axes.text(across, 0.0, word, ha=ha, va="top", fontsize=PT, path_effects=paper)

    def show(self, seen: Air, answer: Answer | None, system: str) -> str:
        """The soil at the end of the day, and the bars in ml or fl oz a day."""
        self._soil(seen.soil, Scales(system == US))
        scales = Scales(system == US)
        say = lambda ml: f"{scales.of('ml', ml):.0f}" if system == METRIC else f"{scales.of('ml', ml):.1f}"  # noqa: E731
        pour, lost = seen.pour_ml, seen.lost_ml
        if answer is not None and answer.value is not None:
            pour, lost = answer.value, lost_ml(answer.budget_ml_per_day)  # what the sentences say
        values = {"pour": pour, **lost}
        shown = [say(pour), *("0" if ml < 0.05 else number(ml, system == US) for ml in lost.values())]
        if answer is not None and answer.value is not None:
            shown[0] += f" ({say(answer.low)}–{say(answer.high)})"
        turned = [scales.of("ml", ml) for ml in values.values()]
        self.bars.show(list(values), turned, shown, answer is None, marked=0, room=2.3)
        unit = f"{scales.word('ml')} a day"
        self.small.say(self.bars.axes, f"{unit}: pour, and what leaves")
        bars = ", ".join(f"{name} {text}" for name, text in zip(values, shown, strict=True))
        return f"{soil_words(seen.soil)}. Bars, {unit}: {bars}."

    def _soil(self, soil: Profile, scales: Scales) -> None:
        top = soil.layer_cm + soil.soil_cm
        turn = lambda values: scales.of("cm", values)  # noqa: E731
        height = turn(top - np.repeat(soil.edges_cm, 2)[1:-1])
        water, air = np.repeat(soil.water, 2), np.repeat(soil.air, 2)
        ground = np.repeat(soil.edges_cm[1:] > soil.moss_cm + 1e-6, 2)
        short = np.repeat(soil.short, 2)
        self.small.fit(self.axes, "y", 0.0, float(turn(top)))
        self.small.say(self.axes, y=f"{scales.word('cm')} over the floor")
        for name in self.names:
            name.set_y(float(turn(top - soil.moss_cm - 0.02 * top)))
        ends = turn(top - soil.edges_cm)
        cells = zip(soil.water, ends[1:], ends[:-1], strict=True)
        self.water.set_verts([_box(0.0, wet, low, high) for wet, low, high in cells])
        self.water.set_facecolor(water_scale().to_rgba(soil.water))
        self.edge.set_data(water, height)
        self.solid.set_verts(_between(height, water, np.where(ground, 100.0 - air, water), upright=True))
        most = 100.0 - AIR_PERCENT
        self.short.set_verts(
            _between(height, np.full(len(air), most), np.where(short, 100.0 - air, most), upright=True)
        )
        self.least.set_data([most, most], turn(np.array([soil.layer_cm, top - soil.moss_cm])))
        layer, level = float(turn(soil.layer_cm)), float(turn(min(max(soil.level_cm, 0.0), soil.layer_cm)))
        self.layer.set_verts([_box(0, 100, 0.0, layer)])
        self.below.set_verts([_box(0, 100, 0.0, level)])
        self.mesh.set_data(*(([0, 100], [layer, layer]) if soil.layer_cm > 0.0 else ([], [])))


def _area(axes: Axes, **looks) -> PolyCollection:
    """An area that has no shape yet."""
    area = PolyCollection([], **({"linewidth": 0.0} | looks))
    axes.add_collection(area, autolim=False)
    return area


def _box(left: float, right: float, low: float, high: float) -> np.ndarray:
    return np.array([(left, low), (left, high), (right, high), (right, low)])


def _between(along: np.ndarray, one: np.ndarray, other: np.ndarray, upright: bool = False) -> list[np.ndarray]:
    """The area between two courses; `upright`: `along` runs upwards."""
    corners = np.column_stack([np.r_[along, along[::-1]], np.r_[one, other[::-1]]])
    return [corners[:, ::-1] if upright else corners]


__all__ = ["Air", "AirPicture", "Side", "WaterSide"]
