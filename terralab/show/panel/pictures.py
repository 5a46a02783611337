"""The small pictures of the panels. Each keeps its figure and only moves what is in it, so that it follows a slider."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from terralab import wording
from terralab.answers.common.answer import Answer
from terralab.describe.box import HumidityTarget
from terralab.quantities import METRIC, US
from terralab.quantities import said as in_units
from terralab.show.figures.style import BLUE, GREEN, LINE, ORANGE, PURPLE, SKY, Picture, literal, plain_look, short
from terralab.units import convert

_WIDTH_IN, _HEIGHT_IN, _DPI = 7.6, 2.7, 100
_PT = 8.5
PALE = 0.45  # how strongly a preview is drawn


@dataclass(frozen=True)
class Air:
    """What a preview saw of the air: the last day's course of humidity, the humidity wanted, and where water goes."""

    name: str
    hours: np.ndarray
    rh: np.ndarray
    humidity_target: HumidityTarget | None
    pour_ml: float
    lost_ml: dict[str, float]
    mean_day: float
    mean_night: float


@dataclass(frozen=True)
class Bottom:
    """What a preview saw of the soil and the layer under it, two weeks after an over-watering."""

    name: str
    air_percent: np.ndarray
    soil_cm: float
    layer_cm: float
    level_cm: float
    days: np.ndarray
    gap_cm: np.ndarray | None
    wet_band_cm: float


class _Small:
    """A figure with one drawing area on the left and one on the right."""

    @plain_look
    def __init__(self, right_from: float = 0.68, between: float = 0.19) -> None:
        self.figure = Picture(_HEIGHT_IN)
        self.figure.set_size_inches(_WIDTH_IN, _HEIGHT_IN)
        self.figure.set_dpi(_DPI)
        self.left = self._axes(0.085, right_from - 0.085 - between)
        self.right = self._axes(right_from, 0.985 - right_from)

    def _axes(self, start: float, width: float) -> Axes:
        axes = self.figure.add_axes((start, 0.19, width, 0.66))
        axes.tick_params(labelsize=_PT, length=2)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        return axes

    def png(self) -> bytes:
        """The figure as PNG, packed lightly: a slider waits for it."""
        held = io.BytesIO()
        self.figure.canvas.print_png(held, metadata={"Software": "terralab"}, pil_kwargs={"compress_level": 1})
        return held.getvalue()


class _Bars:
    """Horizontal bars with names, whose lengths, names and count may change."""

    def __init__(self, axes: Axes, most: int) -> None:
        self.axes, self.most = axes, most
        self.bars = axes.barh(range(most), [0.0] * most, height=0.6, color=BLUE, edgecolor=BLUE)
        self.texts = [axes.text(0.0, row, "", va="center", fontsize=_PT) for row in range(most)]
        axes.set_ylim(most - 0.4, -0.6)
        axes.set_yticks(range(most), [""] * most, fontsize=_PT)
        axes.tick_params(axis="y", length=0)
        axes.set_xticks([])  # each bar has its number; drawing ticks takes a tenth of a preview
        axes.spines["bottom"].set_visible(False)

    def show(
        self, names: Sequence[str], values: Sequence[float], words: Sequence[str], pale: bool, marked: int = -1
    ) -> None:
        top = max([*values, 1e-9])
        for row in range(self.most):
            there = row < len(values)
            value = float(values[row]) if there else 0.0
            self.bars[row].set_width(value)
            self.bars[row].set_alpha(PALE if pale else 1.0)
            self.bars[row].set_hatch("///" if row == marked else "")
            self.bars[row].set_facecolor("white" if row == marked else BLUE)
            self.texts[row].set_position((value + 0.02 * top, row))
            self.texts[row].set_text(words[row] if there else "")
        self.axes.set_yticklabels([literal(short(n, 22)) for n in names] + [""] * (self.most - len(values)))
        self.axes.set_xlim(0.0, 1.35 * top)


class AirPicture(_Small):
    """Humidity over a day beside bars: where the water goes, or how long each fan schedule keeps the humidity wanted."""

    def __init__(self, bars: str = "water") -> None:
        super().__init__(*((0.68, 0.19) if bars == "water" else (0.76, 0.27)))
        self.kind = bars
        self._build()

    @plain_look
    def _build(self) -> None:
        left = self.left
        self.line = left.plot([], [], color=BLUE, linewidth=1.8)[0]
        self.wanted = [
            left.fill_between([0, 1], [0, 0], [1, 1], facecolor=c, alpha=0.35, linewidth=0, hatch=h, edgecolor=c)
            for c, h in ((GREEN, ""), (PURPLE, "...."))
        ]
        left.set_xlim(0, 24)
        left.set_xticks(range(0, 25, 6))
        left.set_xlabel("hour of the day", fontsize=_PT)
        left.set_ylabel("relative humidity, %", fontsize=_PT)
        self.title = left.set_title("", fontsize=_PT + 1, loc="left")
        self.bars = _Bars(self.right, 5)
        self.right.set_title("", fontsize=_PT + 1, loc="left")

    def draw(self, seen: Air, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """The picture as PNG and in words; pale bars are a preview."""
        self.line.set_data(seen.hours, seen.rh)
        low = [float(seen.rh.min())]
        words = "no humidity is asked for"
        for patch in self.wanted:
            patch.set_visible(seen.humidity_target is not None)
        if seen.humidity_target is not None:
            b = seen.humidity_target
            low += [b.day_low, b.night_low]
            words = f"wanted are {b.day_low:g} to {b.day_high:g} % by day and {b.night_low:g} to {b.night_high:g} % by night"
            day = (b.day_from_s / 3600.0, b.day_to_s / 3600.0)
            for inside, (bottom, top), patch in (
                (True, (b.day_low, b.day_high), self.wanted[0]),
                (False, (b.night_low, b.night_high), self.wanted[1]),
            ):
                patch.set_verts(_spans(day, inside, bottom, top))
        self.left.set_ylim(max(0.0, 10.0 * np.floor((min(low) - 3.0) / 10.0)), 102.0)
        self.title.set_text(
            literal(
                "Humidity in the box" + ("" if seen.humidity_target is None else ", shaded: wanted (dotted by night)")
            )
        )
        said = self._water(seen, answer, system) if self.kind == "water" else self._fans(seen, answer)
        alt = (
            f"{seen.name}: over a day the air has {seen.rh.min():.0f} to {seen.rh.max():.0f} % relative humidity, "
            f"{words}. {said}{'' if answer else ' A preview of one run.'}"
        )
        return self.png(), alt

    def _water(self, seen: Air, answer: Answer | None, system: str) -> str:
        unit = "ml" if system == METRIC else "fl oz"
        turn = lambda x: x if system == METRIC else convert(x, "volume", "ml", "fl oz")  # noqa: E731
        write = lambda x: f"{turn(x):.0f}" if system == METRIC else f"{turn(x):.1f}"  # noqa: E731
        pour = seen.pour_ml if answer is None or answer.value is None else answer.value
        values = {"pour": pour, **seen.lost_ml}
        shown = [write(x) for x in values.values()]
        if answer is not None and answer.value is not None:
            shown[0] += f" ({write(answer.low)} to {write(answer.high)})"
        self.bars.show(list(values), [turn(x) for x in values.values()], shown, answer is None, marked=0)
        self.right.set_xlim(0.0, 1.75 * max(turn(max(values.values())), 1e-9))
        self.right.set_title(f"{unit} a day: pour, and what leaves", fontsize=_PT + 1, loc="left")
        return f"Bars, {unit} a day: " + ", ".join(f"{n} {s}" for n, s in zip(values, shown, strict=True)) + "."

    def _fans(self, seen: Air, answer: Answer | None) -> str:
        if answer is None:
            self.bars.show(["as set"], [seen.mean_day], [f"{seen.mean_day:.0f} %"], True)
            self.right.set_title("humidity by day, mean", fontsize=_PT + 1, loc="left")
            return f"A bar: {seen.mean_day:.0f} % humidity by day."
        best = answer.details["choice"]
        by_hours = seen.humidity_target is not None
        rows = sorted(
            answer.table,
            key=lambda r: (r["name"] != best, r["name"] != "no fan", r["name"] != "as described", -_inside(r)),
        )[:5]
        values = [_inside(r) if by_hours else r["now"]["rh_day"]["mean"] for r in rows]
        shown = [f"{x:.1f} h" if by_hours else f"{x:.0f} %" for x in values]
        names = [r["name"] for r in rows]
        self.bars.show(names, values, shown, False, marked=0)
        self.right.set_title(
            "hours a day as wanted" if by_hours else "humidity by day, mean", fontsize=_PT + 1, loc="left"
        )
        return (
            "Bars, the recommended schedule first: "
            + ", ".join(f"{n} {s}" for n, s in zip(names, shown, strict=True))
            + "."
        )


def _inside(row: dict[str, Any]) -> float:
    hours = row["now"]["hours"]
    return hours["day inside"] + hours["night inside"] if hours else 0.0


def _spans(day: tuple[float, float], inside: bool, low: float, high: float) -> list[np.ndarray]:
    """Boxes over the hours of the day (or of the night), either of which may run past midnight."""
    start, end = day if inside else (day[1], day[0])
    spans = [(start, end)] if start < end else [(0.0, end), (start, 24.0)]
    return [np.array([(a, low), (a, high), (b, high), (b, low)]) for a, b in spans]


class BottomPicture(_Small):
    """The soil and the layer in section, beside the gap under the mesh over time."""

    def __init__(self) -> None:
        super().__init__(right_from=0.5)
        self._build()

    @plain_look
    def _build(self) -> None:
        from matplotlib.patches import Rectangle

        left = self.left
        self.soil = left.imshow(np.zeros((2, 1)), cmap="cividis_r", vmin=0, vmax=50, aspect="auto", extent=(0, 1, 0, 1))
        self.stones = left.add_patch(
            Rectangle((0, 0), 1, 1, facecolor="white", edgecolor=LINE, hatch="oo", linewidth=0.8)
        )
        self.water = left.add_patch(Rectangle((0, 0), 1, 1, facecolor=SKY, alpha=0.75, edgecolor=BLUE))
        left.set_xlim(0, 1)
        left.set_xticks([])
        bar = self.figure.colorbar(self.soil, cax=self.figure.add_axes((0.325, 0.19, 0.012, 0.66)))
        bar.set_ticks([0, 25, 50])
        bar.ax.tick_params(labelsize=_PT, length=2)
        bar.set_label("air in the soil, % (dark: none)", fontsize=_PT)
        self.soil.set_cmap("cividis")
        self.gap = self.right.plot([], [], color=BLUE, linewidth=1.8)[0]
        self.seasons = [
            self.right.plot([], [], color=c, linestyle=s, linewidth=1.8, label=n)[0]
            for c, s, n in ((BLUE, "-", "winter"), (ORANGE, "--", "summer"))
        ]
        self.ranges = [
            self.right.fill_between([0, 1], [0, 0], [0, 0], facecolor=c, alpha=0.2, linewidth=0) for c in (BLUE, ORANGE)
        ]
        self.right.axhline(0.0, color=LINE, linewidth=1.0)
        self.legend = self.right.legend(handles=self.seasons, fontsize=_PT, frameon=False, loc="upper right", ncols=2)
        self.none = self.right.text(
            0.5, 0.5, "no drainage layer", transform=self.right.transAxes, ha="center", fontsize=_PT + 1
        )

    def draw(self, seen: Bottom, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """The picture as PNG and in words."""
        unit = "cm" if system == METRIC else "in"
        turn = lambda x: x if unit == "cm" else np.asarray(x) / 2.54  # noqa: E731
        top = seen.layer_cm + seen.soil_cm
        self.soil.set_data(seen.air_percent[:, None])
        self.soil.set_extent((0, 1, float(turn(seen.layer_cm)), float(turn(top))))
        self.soil.set_alpha(0.7 if answer is None else 1.0)
        self.stones.set_height(float(turn(seen.layer_cm)))
        self.water.set_height(float(turn(max(0.0, min(seen.level_cm, top)))))
        self.left.set_ylim(0, float(turn(top * 1.02)))
        self.left.set_ylabel(f"height over the floor, {unit}", fontsize=_PT)
        self.left.set_title("14 days after a mishap", fontsize=_PT + 1, loc="left")
        said = self._gap(seen, answer, unit, turn, system == US)
        target = f"{float(turn(seen.wet_band_cm)):.1f} {unit}"
        alt = (
            f"{seen.name}, cut open two weeks after an over-watering: {float(turn(seen.soil_cm)):.1f} {unit} of soil with a wet band of "
            f"{target} at its foot; {said}{'' if answer else ' A preview of one run.'}"
        )
        return self.png(), alt

    def _gap(self, seen: Bottom, answer: Answer | None, unit: str, turn: Any, us: bool) -> str:
        weeks = {} if answer is None else answer.details.get("gap_cm_by_week", {})
        self.none.set_visible(seen.gap_cm is None)
        self.legend.set_visible(bool(weeks))
        preview = seen.gap_cm is not None and not weeks
        self.gap.set_data(*((seen.days, turn(seen.gap_cm)) if preview else ([], [])))
        for season, line, patch in zip(("winter", "summer"), self.seasons, self.ranges, strict=True):
            course = weeks.get(season)
            line.set_visible(course is not None)
            patch.set_visible(course is not None)
            if course is None:
                continue
            n = np.arange(len(course["gap_cm"]))
            line.set_data(n, turn(np.array(course["gap_cm"])))
            low, high = (turn(np.array(course[key])) for key in ("low_cm", "high_cm"))
            patch.set_verts([np.column_stack([np.r_[n, n[::-1]], np.r_[low, high[::-1]]])])
        most = max(0.5, seen.layer_cm)
        self.right.set_ylim(float(turn(-0.15 * most)), float(turn(1.3 * most)))
        self.right.set_ylabel(f"gap under the mesh, {unit}", fontsize=_PT)
        self.right.set_xlim(0, 12 if weeks else 14)
        self.right.set_xlabel("weeks without siphoning" if weeks else "days without siphoning", fontsize=_PT)
        self.right.set_title("Air left under the mesh (0: water touches it)", fontsize=_PT + 1, loc="left")
        if seen.gap_cm is None:
            return "there is no drainage layer."
        first = f"water stands {float(turn(seen.level_cm)):.1f} {unit} deep in a layer of {float(turn(seen.layer_cm)):.1f} {unit}. "
        if weeks:
            return (
                first
                + "Gap after 12 weeks: "
                + ", ".join(f"{s} {in_units(wording.gap(c['gap_cm'][-1]), us)}" for s, c in weeks.items())
                + "."
            )
        return first + f"At the end the water stands {in_units(wording.level(float(seen.gap_cm[-1])), us)}."


@dataclass(frozen=True)
class Guess:
    """What a preview saw of an answer's range: the pour with the mesh at its low, typical and high end [ml a day]."""

    name: str
    pours_ml: tuple[float, float, float]


class SurePicture(_Small):
    """The boxes that fit the description, by what they need, beside what each home measurement leaves of the range."""

    def __init__(self) -> None:
        super().__init__(right_from=0.72)
        self._build()

    @plain_look
    def _build(self) -> None:
        self.columns = self.left.bar(range(16), [0.0] * 16, color=SKY, edgecolor="white")
        self.ends = [self.left.axvline(0.0, color=LINE, linestyle="--", linewidth=1.2) for _ in range(2)]
        self.guesses = self.left.plot([], [], color=ORANGE, marker="D", linestyle="-", linewidth=1.2)[0]
        self.left.set_title("", fontsize=_PT + 1, loc="left")
        self.bars = _Bars(self.right, 5)

    def draw(self, seen: Guess, answer: Answer | None, system: str) -> tuple[bytes, str]:
        """The picture as PNG and in words."""
        unit = "ml" if system == METRIC else "fl oz"
        turn = lambda x: np.asarray(x, float) if unit == "ml" else np.asarray(x, float) / 29.5735295625  # noqa: E731
        write = lambda x: f"{float(turn(x)):.0f}" if unit == "ml" else f"{float(turn(x)):.1f}"  # noqa: E731
        self.left.set_xlabel(f"pour, {unit} a day", fontsize=_PT)
        pours = np.array([]) if answer is None else answer.sample.results["pour"]
        pours = pours[np.isfinite(pours)]
        top = float(turn(max([1.0, *seen.pours_ml, *pours]))) * 1.1
        edges = np.linspace(0.0, top, len(self.columns) + 1)
        counts, _ = np.histogram(turn(pours), edges)
        for column, count, edge in zip(self.columns, counts, edges, strict=False):
            column.set_x(edge)
            column.set_width(edges[1])
            column.set_height(count)
        most = max(4, int(counts.max()) + 1)
        self.guesses.set_data(turn(seen.pours_ml), [0.08 * most] * 3)
        self.left.set_xlim(0.0, top)
        self.left.set_ylim(0.0, most)
        self.left.set_ylabel("boxes", fontsize=_PT)
        low, middle, high = (write(x) for x in seen.pours_ml)
        said = f"with the mesh at its low, typical and high end it needs {low}, {middle} and {high} {unit} a day"
        self.left.set_title(
            "Boxes that fit" + ("; diamonds: the mesh alone" if answer else " (diamonds: the mesh alone)"),
            fontsize=_PT + 1,
            loc="left",
        )
        for end in self.ends:
            end.set_visible(answer is not None)
        self.right.set_title("% of the range left after measuring", fontsize=_PT + 1, loc="right")
        if answer is None:
            self.right.set_visible(False)
            return self.png(), f"{seen.name}: {said}. A preview of three runs."
        self.right.set_visible(True)
        for end, x in zip(self.ends, (answer.low, answer.high), strict=True):
            end.set_xdata([float(turn(x))] * 2)
        ranked = answer.measure_next[:5]
        left = [100.0 * (1.0 - max(0.0, one["narrows_by"])) for one in ranked]
        self.bars.show([one["what"] for one in ranked], left, [f"{x:.0f}" for x in left], False)
        alt = (
            f"{seen.name}: {len(pours)} boxes that fit the description; 80 of 100 need {write(answer.low)} to {write(answer.high)} {unit} a day; "
            f"{said}. Left of the range after measuring: "
            + ", ".join(f"{one['what']} {x:.0f} %" for one, x in zip(ranked, left, strict=True))
            + "."
        )
        return self.png(), alt


__all__ = ["Air", "AirPicture", "Bottom", "BottomPicture", "Guess", "SurePicture"]
