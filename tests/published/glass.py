"""Cases: what passes a pane, when it wets, how fast."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.optimize import brentq

import terralab as tl
from terralab.engine.box_constants import box_row
from terralab.engine.kinds import LID, PANE
from terralab.engine.layout import Overrides
from terralab.physics import convection, moist_air
from tests.published.cases import Point, Row, reads
from tests.published.moist_air import w_of

FILE = "air.csv"
TOPIC = "Glass"


def outside_of(outer_h: float) -> float:
    """Conductance (W/m2K) from the middle of a 4 mm pane to the room, as the engine takes it."""
    bare = tl.load("fern-hollow").change(**{"enclosure.background": None})
    surfaces = box_row(bare, Overrides({"outer glass.h": outer_h}), np.full(10, 0.01))[1].surfaces
    out = [float(one["out"] / one["area"]) for one in surfaces if one["kind"] in (PANE, LID)]
    assert np.ptp(out) < 1e-12, "panes without a board are all of one glass"
    return out[0]


def transmitted(r_in: float, outer_h: float) -> float:
    """U (W/m2K) of the engine's pane behind an inside film of `r_in` m2K/W."""
    return 1.0 / (r_in + 0.002 / 1.0 + 1.0 / outside_of(outer_h))


@reads(FILE, TOPIC, "glass_u")
def pane(row: Row) -> Iterator[Point]:
    """Single 4 mm glass between room air on both sides."""
    side, top, bottom = row.take("3.79 4.90 2.91")
    yield Point("U of the sides", side, transmitted(0.13, 1.0 / 0.13), "W/m2K", rel=1e-2)
    yield Point("U of the top", top, transmitted(0.10, 1.0 / 0.10), "W/m2K", rel=1e-2)
    floor = box_row(tl.load("fern-hollow"), Overrides(), np.full(10, 0.01))[0][0]
    below = float(floor["bottom_out"] / floor["floor"])
    yield Point("U of the bottom", bottom, 1.0 / (0.17 + 1.0 / below), "W/m2K", rel=1e-2)


@reads(FILE, TOPIC, "en673_single")
def window(row: Row) -> Iterator[Point]:
    """The engine's pane as a window, 25 W/m2K outdoors and 7.7 indoors."""
    yield Point("U of a single window", row.take("5.75 W/m2K")[0], transmitted(1.0 / 7.7, 25.0), "W/m2K", rel=1e-2)


@reads(FILE, TOPIC, "iso13788_single")
def winter_window(row: Row) -> Iterator[Point]:
    """The engine's pane as a window at 0 C outdoors: its inner surface, and the humidity at which it wets."""
    u = transmitted(0.13, 1.0 / 0.04)
    surface = 20.0 - 20.0 * 0.13 * u
    yield Point("inner surface, 20 C in, 0 C out", row.take("surface 5.05 C")[0], surface, "C", rel=1e-2)
    yield Point("share of the warmth at the surface", row.take("f_Rsi .252")[0], surface / 20.0, rel=1e-2)
    wets = 100.0 * moist_air.saturation_pressure(surface) / moist_air.saturation_pressure(20.0)
    yield Point("wets above", row.take("limiting RH 37.4 %")[0], wets, "%", rel=1e-2)


@reads(FILE, TOPIC, "dew_on_glass")
def dew(row: Row) -> Iterator[Point]:
    """When the inner face of a pane wets: 7.2 W/m2K on both sides of 0.004 m2K/W."""
    pairs = ((26.0, 20.0), (24.0, 20.0), (28.0, 20.0), (26.0, 18.0), (28.0, 18.0))
    u = 1.0 / (2.0 / 7.2 + 0.004)
    for (inside, room), printed in zip(pairs, row.take("83.8 88.8 79.2 78.9 74.6"), strict=True):
        face = inside - u / 7.2 * (inside - room)
        wets = 100.0 * moist_air.saturation_pressure(face) / moist_air.saturation_pressure(inside)
        yield Point(f"wets above, {inside:g} C inside, {room:g} C outside", printed, wets, "%", rel=5e-3)


@reads(FILE, TOPIC, "film_rate")
def film(row: Row) -> Iterator[Point]:
    """How fast water settles on glass that pays for it with warmth."""
    states = ((26.0, 95.0, 20.0), (26.0, 90.0, 20.0), (28.0, 90.0, 18.0))
    rates, faces = row.take("15.7 8.9 24.1 g/m2h")[:3], row.take("23.70 23.37 24.07 C")
    g = convection.vapour_conductance(2.5)
    for (t_in, rh, room), rate, face in zip(states, rates, faces, strict=True):
        w = w_of(t_in, rh)

        def missing(t: float, w: float = w, t_in: float = t_in, room: float = room) -> float:
            return 7.2 * (t_in - t) - 7.2 * (t - room) + moist_air.latent_heat(t) * g * (w - w_of(t, 100.0))

        t = brentq(missing, room, t_in)
        at = f"{t_in:g} C {rh:g} %, room {room:g} C"
        yield Point(f"water on glass, {at}", rate, 3.6e6 * g * (w - w_of(t, 100.0)), "g/m2h", rel=3e-2)
        yield Point(f"the glass then, {at}", face, t, "C", abs=0.1)
