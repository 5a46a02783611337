"""Pictures of checks: what somebody printed or measured, beside what terralab computes.

The functions draw what they are given. The numbers come from the checks themselves, so that a picture cannot
show anything else than a test.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter

from terralab.errors import TerralabError, quoted
from terralab.show.figures.style import (
    BLACK,
    BLUE,
    GREEN,
    ORANGE,
    TEXT_PT,
    TITLE_PT,
    VERMILLION,
    Picture,
    add_panel,
    plain_look,
    write,
)

_LOOKS = ((BLUE, "-"), (VERMILLION, "--"), (GREEN, "-."), (ORANGE, ":"))
_PANEL_IN, _TOP_IN, _BELOW_IN = 3.0, 0.95, 0.65

Points = tuple[Sequence[float], Sequence[float]]


@plain_look
def retention_picture(lines: Mapping[str, Points], printed: Mapping[str, Points]) -> Picture:
    """Draw water content (m3/m3) against suction (cm), as lines by terralab and as printed points, by soil."""
    lines = {name: _points(f"lines {name}", one) for name, one in _named("lines", lines).items()}
    printed = {name: _points(f"printed {name}", one) for name, one in _named("printed", printed).items()}
    figure, axes = _start("Water a soil holds against suction", "water in the soil, by suction", "water, m3/m3")
    axes.set_xscale("log")
    _lines(axes, lines)
    _printed(axes, printed)
    _finish(axes, "suction, cm of water")
    figure.alt = (
        f"Water content against suction for {_listed(lines)}. Lines by terralab fall from wet to dry and run "
        f"through all {sum(len(x) for x, _ in printed.values())} printed points."
    )
    return figure


@plain_look
def front_picture(depth_cm: np.ndarray, head_cm: np.ndarray, printed: Points) -> Picture:
    """Draw the heads (cm) by depth (cm) of water soaking into dry soil, and printed heads as points."""
    depth_cm, head_cm = _pair("depth_cm and head_cm", depth_cm, head_cm)
    printed = _points("printed", printed)
    figure, axes = _start("A day of water soaking into dry soil", "head by depth", "depth, cm")
    axes.plot(head_cm, depth_cm, color=BLUE, linewidth=1.8, label="terralab")
    axes.plot(printed[1], printed[0], "o", color=BLACK, markersize=6, markerfacecolor="none", label="printed")
    axes.set_xscale("symlog", linthresh=50.0)
    drier = float(head_cm.min())
    axes.set_xticks([tick for tick in (-10000, -3000, -1000, -300, -100, -50) if tick >= 1.01 * drier])
    axes.invert_yaxis()
    _finish(axes, "pressure head, cm of water (further left is drier)")
    front = float(depth_cm[np.argmin(np.abs(head_cm - np.sqrt(head_cm[0] * head_cm[-1]) * -1.0))])
    figure.alt = (
        f"Pressure head by depth after a day. The soil is damp down to a sharp front near {front:.0f} cm and as dry "
        f"as before below it. The {len(printed[0])} printed heads lie on terralab's line."
    )
    return figure


@plain_look
def balance_picture(step_s: Sequence[float], ratios: Mapping[str, Sequence[float]], printed: Points) -> Picture:
    """Draw water gained over water that came in, against the length of a step (s), by form of the equation."""
    ratios = {name: _pair(f"ratios {name}", step_s, one)[1] for name, one in _named("ratios", ratios).items()}
    step_s, printed = _numbers("step_s", step_s), _points("printed", printed)
    figure, axes = _start("Which way of writing the equation loses water", "water kept in the sum", "gained / came in")
    axes.set_xscale("log")
    _lines(axes, {name: (step_s, values) for name, values in ratios.items()}, marker="s")
    _printed(axes, {"printed": printed})
    axes.set_ylim(0.0, 1.08)
    _finish(axes, "length of a time step, s")
    worst = {name: min(values) for name, values in ratios.items()}
    said = ", ".join(f"{name} down to {value:.2f}" for name, value in worst.items())
    figure.alt = f"Share of the water that the sum still holds, against step length from {min(step_s):g} to " \
        f"{max(step_s):g} s: {said}. Printed points fall in the same way."  # fmt: skip
    return figure


@plain_look
def drying_picture(days: np.ndarray, measured: np.ndarray, computed: Mapping[str, np.ndarray]) -> Picture:
    """Draw rates of evaporation (cm/day) over days: measured on a scale as points, computed as lines."""
    days, measured = _pair("days and measured", days, measured)
    computed = {name: _pair(f"computed {name}", days, one)[1] for name, one in _named("computed", computed).items()}
    figure, axes = _start("Sand drying on a scale", "rate of evaporation", "cm of water a day")
    axes.plot(days, measured, "o", color=BLACK, markersize=4, markerfacecolor="none", label="measured")
    _lines(axes, {name: (days, rate) for name, rate in computed.items()})
    axes.set_ylim(bottom=0.0)
    _finish(axes, "days")
    half = 0.5 * float(np.median(measured[days < 2.0]))
    falls = ", ".join(
        f"{name} at {days[np.argmax(rate < half)]:.1f} days"
        for name, rate in {"measured": measured, **computed}.items()
    )
    figure.alt = f"Rates of evaporation over {days[-1]:.0f} days: level at first, then a fall, then a long slow tail. " \
        f"The rate is below half for the first time: {falls}."  # fmt: skip
    return figure


def _numbers(name: str, values: object) -> np.ndarray:
    """The values as an array; anything but a list of numbers raises TerralabError."""
    try:
        held = np.asarray(values)
    except ValueError:  # lists of uneven lengths
        held = np.empty(0)
    if held.dtype.kind not in "fiu" or held.ndim != 1 or held.size == 0 or np.ma.is_masked(values):
        raise TerralabError(f"{name}: {quoted(values)} was given; allowed is a list of numbers.")
    return held


def _pair(name: str, across: object, up: object) -> Points:
    """Two lists of numbers that belong together; raises TerralabError where they do not."""
    x, y = _numbers(name, across), _numbers(name, up)
    if x.size != y.size:
        raise TerralabError(f"{name}: {x.size} and {y.size} numbers were given; each needs a partner.")
    return x, y


def _points(name: str, points: object) -> Points:
    if not isinstance(points, (tuple, list)) or len(points) != 2:
        raise TerralabError(f"{name}: {quoted(points)} was given; allowed are two lists of numbers, across and up.")
    return _pair(name, *points)


def _named(name: str, held: object) -> Mapping[str, object]:
    if not isinstance(held, Mapping) or not held or not all(isinstance(key, str) for key in held):
        raise TerralabError(f"{name}: {quoted(held)} was given; allowed is a dict of lists of numbers by name.")
    return held


def _start(title: str, heading: str, unit: str) -> tuple[Picture, Axes]:
    figure = Picture(_TOP_IN + _PANEL_IN + _BELOW_IN)
    write(figure, 0.15, 0.15, title, TITLE_PT, weight="bold")
    return figure, add_panel(figure, _TOP_IN, _PANEL_IN, heading, unit)


def _lines(axes: Axes, lines: Mapping[str, Points], marker: str = "") -> None:
    for (name, (x, y)), (colour, stroke) in zip(lines.items(), _LOOKS, strict=False):
        axes.plot(x, y, color=colour, linestyle=stroke, linewidth=1.8, marker=marker, markersize=4, label=name)


def _printed(axes: Axes, points: Mapping[str, Points]) -> None:
    for (name, (x, y)), marker in zip(points.items(), "o^Dv", strict=False):
        axes.plot(x, y, marker, color=BLACK, markersize=6, markerfacecolor="none", label=name)


def _finish(axes: Axes, below: str) -> None:
    if axes.get_xscale() != "linear":
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.set_xlabel(below, fontsize=TEXT_PT)
    axes.grid(color="#D9D9D9", linewidth=0.6)
    axes.legend(frameon=False, fontsize=TEXT_PT)


def _listed(names: Mapping[str, object]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
