"""Lamps, heaters, misters and fans of a cross-section, as signs where they are: on the lid, inside, on a wall, under the floor."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyBboxPatch, Polygon, Rectangle, Wedge

from terralab.describe.box import Box
from terralab.describe.enclosure import Enclosure
from terralab.describe.opening import Opening
from terralab.describe.routine import Fan, Heater, Lamp, Mist
from terralab.show.figures.section_box import basking_x
from terralab.show.figures.style import BLACK, BLUE, GREEN, VERMILLION, YELLOW

_BARS = ("led bar outside lid", "led bar inside", "fluorescent tube")
_SIGN_IN = 0.30  # a bulb's height on the page
_LEAST_IN = 0.12


class Device(NamedTuple):
    """A device with its name and the point that its name belongs to [cm]; `above`: it stands on the lid."""

    name: str
    x: float
    y: float
    above: bool


def draw_devices(axes: Axes, box: Box, per_in: float, arrows: tuple[float, ...]) -> list[Device]:
    """Draw all devices of a box and return them; `per_in`: cm of the box in an inch of the page.

    On the lid they keep clear of the `arrows` [cm from the left wall] as far as there is room.
    """
    e, routine = box.enclosure, box.routine
    w, h = e.width_cm, e.height_cm
    out: list[Device] = []
    at_lid = [d for d in (*routine.lamps, *routine.heaters, *routine.mists, *routine.fans) if _at_lid(d, e)]
    spot = e.basking.lamp if e.basking is not None else ""
    fixed = [basking_x(e) for device in at_lid if device.name == spot]
    free = iter(_free_places(w, len(at_lid) - len(fixed), (*arrows, *fixed)))
    size = min(_SIGN_IN * per_in, max(_LEAST_IN * per_in, 0.8 * w / max(1, len(at_lid) + len(arrows))))
    for device in at_lid:
        x = basking_x(e) if device.name == spot else next(free)
        inside = isinstance(device, Lamp) and device.kind == "led bar inside"
        y = h - 0.5 * size if inside else h
        _draw_sign(axes, device, x, y, size)
        out.append(Device(device.name, x, y, not inside))
    for device in (*routine.heaters, *routine.fans):
        if device not in at_lid:
            out.append(_draw_elsewhere(axes, device, e, size, 0.14 * len(out)))
    drips = [mist for mist in routine.mists if mist.onto == "soil"]
    return out + [_draw_drip(axes, mist, e, size, 0.12 + 0.1 * k) for k, mist in enumerate(drips)]


def _draw_drip(axes: Axes, mist: Mist, e: Enclosure, size: float, share: float) -> Device:
    """A thin hose from the lid down to the soil, with a drop at its end."""
    x, foot = share * e.width_cm, e.surface_cm
    end = foot + min(0.45 * size, 0.3 * (e.height_cm - foot))
    for colour, width in (("white", 3.4), (BLACK, 1.8)):
        axes.plot([x, x], [e.height_cm, end], color=colour, linewidth=width, zorder=10)
    drop, turn = 0.12 * size, np.linspace(-np.pi, 0.0, 16)
    outline = [(x, end), *((x + drop * np.cos(t), foot + 1.2 * drop + drop * np.sin(t)) for t in turn)]
    axes.add_patch(Polygon(outline, facecolor=BLUE, edgecolor="white", linewidth=0.6, zorder=11))
    return Device(mist.name, x, 0.5 * (end + e.height_cm), False)


def _at_lid(device: Lamp | Heater | Mist | Fan, e: Enclosure) -> bool:
    if isinstance(device, Heater):
        return device.place != "wall" and "under floor" not in device.kind
    if isinstance(device, Fan):
        return device.mode == "exchange" and (seat := _seat(device, e)) is not None and seat.wall == "lid"
    return not isinstance(device, Mist) or device.onto == "all"


def _seat(fan: Fan, e: Enclosure) -> Opening | None:
    """The opening a fan sits in: the one it names, else the largest."""
    named = [o for o in e.openings if o.name == fan.opening]
    return max(named or e.openings, key=lambda o: o.area_cm2 * (1.0 - o.covered), default=None)


def _free_places(w: float, count: int, taken: tuple[float, ...]) -> list[float]:
    """So many places along the lid, from left to right, each where the gap to its neighbours is widest."""
    places = [0.0, *sorted(taken), w]
    out: list[float] = []
    for _ in range(count):
        gaps = np.diff(places)
        widest = int(np.argmax(gaps))
        out.append(float(places[widest] + 0.5 * gaps[widest]))
        places = sorted([*places, out[-1]])
    return sorted(out)


def _draw_sign(axes: Axes, device: Lamp | Heater | Mist | Fan, x: float, y: float, size: float) -> None:
    """A bar, a bulb, a heated dome or a nozzle whose foot stands at (x, y)."""
    edge = {"edgecolor": BLACK, "linewidth": 1.0, "zorder": 11, "clip_on": False}
    if isinstance(device, Fan):
        _draw_fan(axes, x, y, 0.45 * size)
        return
    if isinstance(device, Mist):
        axes.add_patch(
            Polygon(
                [(x - 0.16 * size, y + 0.3 * size), (x + 0.16 * size, y + 0.3 * size), (x, y - 0.1 * size)],
                facecolor=BLUE,
                **edge,
            )
        )
        for turn in (-0.5, -0.17, 0.17, 0.5):
            axes.plot([x, x + 0.9 * size * np.sin(turn)], [y - 0.2 * size, y - 0.2 * size - 0.9 * size * np.cos(turn)], color=BLUE,
                      linewidth=1.4, linestyle=(0, (1, 1.4)), zorder=11)  # fmt: skip
        return
    warm = isinstance(device, Heater)
    colour = VERMILLION if warm else YELLOW
    if (not warm and device.kind in _BARS) or (warm and device.kind == "heat panel"):
        wide = 1.25 * size
        axes.add_patch(
            FancyBboxPatch(
                (x - 0.5 * wide, y + 0.08 * size),
                wide,
                0.22 * size,
                boxstyle=f"round,pad={0.05 * size}",
                facecolor=colour,
                **edge,
            )
        )
    else:
        axes.add_patch(
            Rectangle((x - 0.14 * size, y + 0.55 * size), 0.28 * size, 0.35 * size, facecolor="#777777", **edge)
        )
        axes.add_patch(Wedge((x, y + 0.12 * size), 0.48 * size, 0.0, 180.0, facecolor=colour, **edge))
    if warm:
        return
    for step in (-0.5, 0.0, 0.5):
        axes.plot(
            [x + 0.8 * step * size, x + 1.15 * step * size],
            [y - 0.12 * size, y - 0.5 * size],
            color="#B58900",
            linewidth=1.3,
            zorder=11,
        )


def _draw_elsewhere(axes: Axes, device: Heater | Fan, e: Enclosure, size: float, lower: float) -> Device:
    """A heater under the floor or on the right wall, a fan in a wall or hanging in the air, a share `lower` of it."""
    w, h, ground = e.width_cm, e.height_cm, e.surface_cm
    if isinstance(device, Fan):
        seat = _seat(device, e) if device.mode == "exchange" else None
        x, y = 0.5 * w, h - (0.18 + lower % 0.6) * (h - ground)
        if seat is not None:
            x, y = {"left": 0.0, "right": w}.get(seat.wall, x), seat.bottom_cm + 0.5 * seat.height_cm
        _draw_fan(axes, x, y, 0.45 * size)
        return Device(device.name, x, y, False)
    if "under floor" in device.kind:
        y, stroke = -0.22 * size, "-" if "mat" in device.kind else (0, (1, 0.8))
        look = {"color": VERMILLION, "linewidth": 3.2, "linestyle": stroke}
        axes.plot([0.08 * w, 0.92 * w], [y, y], clip_on=False, zorder=8, **look)
        return Device(device.name, 0.92 * w, y, False)
    middle, tall = ground + 0.6 * (h - ground), min(1.6 * size, 0.5 * (h - ground))
    where, look = (
        (w - 0.25 * size, middle - 0.5 * tall),
        {"facecolor": VERMILLION, "edgecolor": BLACK, "linewidth": 1.0},
    )
    axes.add_patch(Rectangle(where, 0.2 * size, tall, zorder=9, **look))
    return Device(device.name, w - 0.05 * size, middle, False)


def _draw_fan(axes: Axes, x: float, y: float, radius: float) -> None:
    axes.add_patch(Circle((x, y), radius, facecolor="white", edgecolor=BLACK, linewidth=1.2, zorder=11, clip_on=False))
    for start in (20.0, 140.0, 260.0):
        axes.add_patch(
            Wedge((x, y), 0.85 * radius, start, start + 65.0, facecolor=GREEN, linewidth=0.0, zorder=12, clip_on=False)
        )
