"""Why there is a wet band at the foot of every soil: pull by height, the mix's water curve, and what the two make of it."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from terralab import wording
from terralab.answers.common.balance import AIR_WANTED
from terralab.answers.drainage.at_rest import at_rest, gap_cm, touches
from terralab.answers.drainage.bottoms import SEEN_DAYS, soil_span_cm, wet_band_cm
from terralab.describe.box import Box
from terralab.describe.system import speaks_us
from terralab.errors import DescriptionError, quoted
from terralab.quantities import quantity
from terralab.quantities import said as in_units
from terralab.show.figures.scales import Scales
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    LINE,
    NIGHT,
    ORANGE,
    SKY,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    Picture,
    plain_look,
    short,
    write,
)
from terralab.simulation.record import Record
from terralab.soil.resting import Resting, resting
from terralab.validate import number
from terralab.wording import lines

HEADINGS = ("1  Higher up, more pull", "2  What the mix holds", "3  So this is the soil")
_STROKES = ("--", "-.", ":")
_BOTTOM_IN, _HEIGHT_IN, _AXES_IN = 0.95, 5.3, 3.15
_PLACES = ((0.085, 0.235), (0.395, 0.255), (0.725, 0.255))


@plain_look
def suction_picture(shown: Box | Record | str, depth_cm: float | None = None, level_cm: float | None = None) -> Picture:
    """Draw why the foot of a soil stays wet, in three steps, and give the picture, 1200 pixels wide.

    `shown`: a box, at rest over the water as described; a record, whose last week is drawn beside the soil at rest; or
    the name of a mix. A mix is `depth_cm` deep (0.5 to 100; None: 10), and water stands `level_cm` over its foot (-100 to
    100, less than 0 is under it; None: it stands on a drain hole). A box and a record know their own, and take neither.
    `picture.alt` says the same in words. Raises DescriptionError or UnknownName for anything else.
    """
    if isinstance(shown, str):
        depth = number("depth_cm", 10.0 if depth_cm is None else depth_cm, 0.5, 100.0, "cm")
        level = None if level_cm is None else number("level_cm", level_cm, -100.0, 100.0, "cm")
        rest, name, us = resting([(shown, depth)], -(level or 0.0)), shown, False
        below, gap = below_words(None, level), None if level is None else -level
    elif isinstance(shown, (Box, Record)):
        for name, given in (("depth_cm", depth_cm), ("level_cm", level_cm)):
            if given is not None:
                hint = "Change the box, or give the name of a mix in its place."
                raise DescriptionError.of(name, f"given {quoted(given)}", "none beside a box or a record", hint)
        box = shown.box if isinstance(shown, Record) else shown
        rest, name, us = at_rest(shown), box.name, speaks_us(box)
        below, gap = below_words(shown), gap_cm(shown)
    else:
        raise DescriptionError.of(
            "shown", f"given {quoted(shown)}", "a box, a record, or the name of a mix", 'Write "fine coir mix".'
        )
    figure = Picture(_HEIGHT_IN)
    axes = [figure.add_axes((left, _BOTTOM_IN / _HEIGHT_IN, width, _AXES_IN / _HEIGHT_IN)) for left, width in _PLACES]
    drawing = Drawing(axes, TEXT_PT)
    drawing.show(rest, layer_cm(shown), gap, us, shown if isinstance(shown, Record) else None)
    write(figure, 0.15, 0.13, short(name, 60) + ": why the foot stays wet", TITLE_PT, weight="bold")
    words = in_units(f"{below} {band_words(rest, shown)}", us)
    write(figure, 0.15, 0.42, "\n".join(lines(words, 112)), TEXT_PT, color=LINE)
    write(figure, 0.15, _HEIGHT_IN - 0.36, "\n".join(lines(key_words(shown, rest), 112)), TEXT_PT, color=LINE)
    figure.alt = in_units(
        f"{short(name, 60)}, three graphs side by side. {alt_words(rest)} {below} {band_words(rest, shown)}", us
    )
    return figure


class Drawing:
    """The three graphs, on axes that are given; `show` draws soil at rest into them, again and again.

    All three have the same scale upwards: in the second it is the pull, which at rest is the height plus the pull at the
    foot, so that one level line goes through all of them.
    """

    def __init__(self, axes: list[Axes], points: float) -> None:
        self.axes, self.points = axes, points
        for one, heading in zip(axes, HEADINGS, strict=True):
            one.set_facecolor("white")
            one.set_title(heading, fontsize=points + 0.5, loc="left", weight="bold", pad=6)
            one.tick_params(labelsize=points, length=2)
            for side in ("top", "right"):
                one.spines[side].set_visible(False)
        for one in axes:
            one.yaxis.set_major_locator(MaxNLocator(7, steps=[1, 2, 5, 10], integer=True))
        for one in axes[1:]:
            one.set_xlim(0.0, 100.0)
            one.set_xlabel("% of volume", fontsize=points)
        self.drawn: list[Any] = []

    def show(
        self,
        rest: Resting,
        layer_cm: float,
        gap: float | None,
        us: bool,
        record: Record | None = None,
        span: tuple[float, float] | None = None,
        before: Resting | None = None,
    ) -> None:
        """Draw `rest`, over a layer so deep, with so much air above its water.

        `record`: its last week as well. `span`: heights from and to [cm]. `before`: soil as it was, as a pale ghost.
        """
        for artist in self.drawn:
            artist.remove()
        self.drawn = []
        scale = Scales(us)
        unit, turn = scale.word("cm"), lambda x: scale.of("cm", x)
        foot, top = float(rest.pull_cm[0]), float(rest.height_cm[-1])
        low, high = span or (-max(layer_cm, 0.12 * top), 1.04 * top)
        first, curve, last = self.axes
        for one in (first, last):
            one.set_ylim(turn(low), turn(high))
        curve.set_ylim(turn(low + foot), turn(high + foot))
        most = max(float(rest.pull_cm[-1]), 1.0)
        first.set_xlim(0.0, turn(1.08 * (most if span is None else high)))
        first.set_ylabel(f"height above the foot, {unit}", fontsize=self.points)
        first.set_xlabel(f"pull, {unit} of water", fontsize=self.points)
        curve.set_ylabel(f"pull, {unit} of water", fontsize=self.points, labelpad=1)
        self._line(first, turn, rest, gap)
        self._curve(curve, turn, rest, high + foot)
        self._profile(last, turn, rest)
        self._mark(rest, turn)
        for one in (first, last):
            self._below(one, turn, layer_cm, gap, low)
        if record is not None:
            self._computed(record, turn)
        if before is not None:
            ghost = {"color": LINE, "alpha": 0.6, "linestyle": (0, (3, 2)), "linewidth": 1.4, "zorder": 6}
            self._keep(last.plot(100.0 * before.water, turn(before.height_cm), **ghost)[0])

    def _keep(self, artist: Any) -> Any:
        self.drawn.append(artist)
        return artist

    def _line(self, axes: Axes, turn: Any, rest: Resting, gap: float | None) -> None:
        pulls, heights = rest.pull_cm, rest.height_cm
        if gap is not None and abs(pulls[0] - gap) < 1e-9 and gap > 0.0:  # one body of water, down to its surface
            pulls, heights = np.r_[0.0, pulls], np.r_[-gap, heights]
        over = pulls >= 0.0
        self._keep(axes.plot(turn(pulls[over]), turn(heights[over]), color=BLUE, linewidth=2.2, zorder=5)[0])

    def _curve(self, axes: Axes, turn: Any, rest: Resting, high: float) -> None:
        """The water curve of the lowest mix, filled; of the mixes above it a line where they lie."""
        lowest = int(rest.place[0])
        soil = rest.soils[lowest]
        pulls = np.linspace(0.0, max(high, 0.1), 121)
        water = soil.water_content(-0.01 * pulls)
        self._fill(axes, turn(pulls), water, np.full(pulls.size, soil.theta_s))
        self._keep(axes.plot(100.0 * water, turn(pulls), color=BLUE, linewidth=2.0, zorder=5)[0])
        others = [int(p) for p in dict.fromkeys(rest.place) if p != lowest]
        for k, place in enumerate(others):
            here = (rest.place == place) & (rest.pull_cm >= 0.0)
            look = {"color": BLACK, "linewidth": 1.6, "linestyle": _STROKES[k % len(_STROKES)], "zorder": 5}
            self._keep(axes.plot(100.0 * rest.water[here], turn(rest.pull_cm[here]), **look)[0])

    def _fill(self, axes: Axes, up: np.ndarray, water: np.ndarray, pores: np.ndarray) -> None:
        """Water, air and solid matter side by side, so that every level line adds up to 100 %."""
        common = {"linewidth": 0.0, "zorder": 1}
        self._keep(axes.fill_betweenx(up, 0.0, 100.0 * water, facecolor=SKY, alpha=0.6, **common))
        self._keep(axes.fill_betweenx(up, 100.0 * pores, 100.0, facecolor=ORANGE, alpha=0.35, **common))

    def _profile(self, axes: Axes, turn: Any, rest: Resting) -> None:
        up = turn(rest.height_cm)
        self._fill(axes, up, rest.water, rest.pores)
        self._keep(axes.plot(100.0 * rest.water, up, color=BLUE, linewidth=2.0, zorder=5)[0])
        wet = rest.air < AIR_WANTED
        self._keep(
            axes.fill_betweenx(
                up, 0.0, 100.0 * rest.pores, where=wet, facecolor="none", edgecolor=VERMILLION, hatch="///",
                linewidth=0.0, zorder=4,
            )
        )  # fmt: skip
        for x, words, share in self._names(rest):
            place = float(up[int(share * (len(up) - 1))])
            self._keep(axes.text(x, place, words, fontsize=self.points, ha="center", va="center", zorder=6))

    def _names(self, rest: Resting) -> list[tuple[float, str, float]]:
        """Where "water", "air" and "solid" may stand: high up, each in the middle of its part, if it is wide enough."""
        found = []
        for name, share in (("water", 0.85), ("air", 0.85), ("solid", 0.7)):
            here = int(share * (len(rest.water) - 1))
            water, pores = 100.0 * float(rest.water[here]), 100.0 * float(rest.pores[here])
            left, right = {"water": (0.0, water), "air": (water, pores), "solid": (pores, 100.0)}[name]
            if right - left > 15.0:
                found.append((0.5 * (left + right), name, share))
        return found

    def _mark(self, rest: Resting, turn: Any) -> None:
        """The level line at the pull from which the lowest mix holds 10 % air, through all three graphs."""
        foot, place = float(rest.pull_cm[0]), int(rest.place[0])
        pull = rest.air_from_cm[place]
        height = pull - foot
        first, curve, last = self.axes
        if not 0.0 < height < float(rest.height_cm[-1]):
            return
        look = {"color": VERMILLION, "linewidth": 1.3, "linestyle": (0, (4, 2)), "zorder": 4}
        for one, at in ((first, height), (curve, pull), (last, height)):
            self._keep(one.axhline(turn(at), **look))
        here = rest.place == place
        water = 100.0 * float(np.interp(pull, rest.pull_cm[here], rest.water[here]))
        pores = 100.0 * float(rest.pores[0])
        self._keep(curve.plot([water, pores], [turn(pull)] * 2, color=VERMILLION, linewidth=3.0, zorder=6)[0])
        self._keep(first.plot([turn(pull)], [turn(height)], "o", color=VERMILLION, markersize=6, zorder=7)[0])
        paper = {"facecolor": "white", "edgecolor": "none", "pad": 1.0, "alpha": 0.85}
        words = {"fontsize": self.points, "color": BLACK, "zorder": 8, "bbox": paper}
        self._keep(
            curve.annotate("10 % air", (water, turn(pull)), (-4, 4), textcoords="offset points", ha="right", **words)
        )
        if height > 0.1 * (last.get_ylim()[1] - last.get_ylim()[0]) / turn(1.0):
            self._keep(last.text(45.0, turn(0.5 * height), "wet band", ha="center", va="center", **words))

    def _below(self, axes: Axes, turn: Any, layer_cm: float, gap: float | None, low: float) -> None:
        """What lies under the foot of the soil: stones and water, or nothing."""
        across = {"x": 0.0, "w": 1.0}
        place = axes.get_yaxis_transform()
        if layer_cm > 0.0:
            self._keep(
                axes.add_patch(
                    Rectangle((across["x"], turn(-layer_cm)), across["w"], turn(layer_cm), transform=place,
                              facecolor="white", edgecolor=NIGHT, hatch="OO", linewidth=0.0, zorder=0)
                )
            )  # fmt: skip
        if gap is not None:
            floor = -layer_cm if layer_cm > 0.0 else min(low, -gap)
            if -gap > floor:
                self._keep(
                    axes.add_patch(
                        Rectangle((0.0, turn(floor)), 1.0, turn(-gap - floor), transform=place, facecolor=SKY,
                                  alpha=0.5, linewidth=0.0, zorder=2)
                    )
                )  # fmt: skip
                self._keep(axes.axhline(turn(-gap), color=BLUE, linewidth=1.8, zorder=3))
        self._keep(axes.axhline(0.0, color=BLACK, linewidth=1.4, linestyle=(0, (4, 1.5)), zorder=6))

    def _computed(self, record: Record, turn: Any) -> None:
        """The soil as it was computed, day and night, roots and pours and all: the mean of the last week."""
        end = float(record.times_days[-1])  # a run that goes on from another counts its days on
        rows = record.rows(max(0.0, end - SEEN_DAYS), end)
        top, foot = soil_span_cm(record)
        mix = record.depth_cm > top
        heights = turn((foot - record.depth_cm)[mix])
        look = {"color": BLACK, "linewidth": 1.6, "linestyle": (0, (2, 1.2)), "zorder": 7}
        water = 100.0 * record.soil_water[rows].mean(axis=0)[mix]
        pulls = -100.0 * record.head_m[rows].mean(axis=0)[mix]
        first, _, last = self.axes
        seen = (pulls >= 0.0) & (pulls <= first.get_xlim()[1] / turn(1.0))
        self._keep(first.plot(turn(pulls[seen]), heights[seen], **look)[0])
        self._keep(last.plot(water, heights, **look)[0])


def layer_cm(shown: object) -> float:
    """How deep the layer below the soil is [cm]; 0 where there is none."""
    if isinstance(shown, str):
        return 0.0
    e = (shown.box if isinstance(shown, Record) else shown).enclosure
    return e.drainage.depth_cm if e.drainage else 0.0


def below_words(shown: Box | Record | None, level: float | None = None) -> str:
    """What the soil stands on, as sentences with marks; `level`: of water over the foot, where no box is given [cm]."""
    if shown is None:
        if level is None:
            return "It stands on a drain hole: at its foot the pull is nothing."
        where = "over its foot" if level > 0.0 else "under its foot, and reaches it by fine pores"
        return (
            f"Water stands {quantity('cm', '.1f', abs(level))} {where}." if level else "Water stands just at its foot."
        )
    gap = gap_cm(shown)
    if gap is None:
        e = (shown.box if isinstance(shown, Record) else shown).enclosure
        return f"It stands on a {'drain hole' if e.drain_hole else 'sealed floor'}: at its foot the pull is nothing."
    if gap >= layer_cm(shown):
        pull = quantity("cm", ".1f", float(at_rest(shown).pull_cm[0]))
        return f"The layer below is empty. Over stones the foot keeps {pull} of pull."
    stands = f"Water stands {wording.level(gap)}"
    if gap < 0.0:
        return f"{stands}, in the soil."
    if touches(shown):
        return f"{stands}, and the stones lift it to the soil: they are one."
    pull = quantity("cm", ".1f", float(at_rest(shown).pull_cm[0]))
    return f"{stands} and does not reach it. Over stones the foot keeps {pull} of pull."


def band_words(rest: Resting, shown: object = None) -> str:
    """How thick the wet band is, as sentences with marks."""
    air = f"{100.0 * AIR_WANTED:.0f} % air"
    pull = rest.air_from_cm[int(rest.place[0])]
    need = (
        f"The mix at the foot needs {quantity('cm', '.1f', pull)} of pull to hold {air}." if np.isfinite(pull) else ""
    )
    band = f"At rest the wet band (less than {air}) is {quantity('cm', '.1f', rest.wet_band_cm)} thick"
    if not isinstance(shown, Record):
        return f"{need} {band}.".strip()
    rows = shown.rows(max(0.0, shown.days - SEEN_DAYS), shown.days)
    lived = quantity("cm", ".1f", wet_band_cm(shown, rows))
    return f"{need} {band}; with its roots, pours and days it is {lived}, the mean of the last week.".strip()


def alt_words(rest: Resting) -> str:
    """What the three graphs show, as sentences with marks."""
    foot, top = float(rest.pull_cm[0]), float(rest.pull_cm[-1])
    low, high = (f"{100.0 * float(w):.0f} %" for w in (rest.water[0], rest.water[-1]))
    from_, to = quantity("cm", ".1f", max(0.0, foot)), quantity("cm", ".1f", max(0.0, top))
    return (
        f"First a straight line: the pull grows with the height, from {from_} at the foot to {to} at the top. Then the "
        f"water curve of the mix, and from both the soil: {low} water at its foot, {high} at its top."
    )


def key_words(shown: object, rest: Resting) -> str:
    """What colours and strokes stand for."""
    text = "Blue: water. White: air. Pale orange: solid matter. Stripes: less than 10 % air."
    text += " Black lines in 2: the mixes higher up." if len(set(rest.place)) > 1 else ""
    return text + (
        " Black dashes: the last week, as computed; blue line: at rest." if isinstance(shown, Record) else ""
    )


__all__ = ["Drawing", "alt_words", "band_words", "below_words", "layer_cm", "suction_picture"]
