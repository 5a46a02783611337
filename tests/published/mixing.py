"""Cases: plumes, pane currents, jets, a hide, and the one measured difference of temperature with height."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scipy.integrate import quad
from scipy.optimize import brentq

from terralab.physics import convection, mixing
from terralab.physics.constants import AIR_HEAT, GRAVITY
from terralab.physics.openings import AIR_DENSITY
from tests.engine.holes import hole, passes
from tests.published.cases import Point, Row, reads

FILE = "mixing.csv"
TOPIC = "Air above and below"
HIGHER = "0.142 is used, between 0.115 (entrainment 0.1) and the 0.2 of engineering tables; the range of air mixing covers both"


def layers(area: float, constant: float) -> float:
    """Height of the clear layer over a point source, as a share of the box: openings of A*/H^2 below and above.

    The plume brings to that height what the warm layer's weight drives through two equal holes, one at its foot and
    one at its top. `constant` takes the place of that of `mixing.plume`.
    """
    buoyancy, height = 1e-4, 1.0
    each = area / (0.61 * math.sqrt(2.0)) * math.sqrt(2.0)  # A* = sqrt(2) Cd Ae, Ae of two equal holes

    def over(share: float) -> float:
        brought = constant / mixing.PLUME * mixing.plume(buoyancy, share * height)
        light = buoyancy / brought / GRAVITY
        return brought - passes(light, hole(0.0, each), hole((1.0 - share) * height, each))[0]

    return brentq(over, 0.05, 0.95, xtol=1e-12)


@reads(FILE, TOPIC, "plume_constant", "plume_engineering")
def plumes(row: Row) -> Iterator[Point]:
    """Air that rises over a source of heat."""
    if row.id == "plume_constant":
        yield Point("plume of unit buoyancy, a metre up", row.take("C = 0.115353")[0], mixing.plume(1.0, 1.0), rel=1e-6,
                    at_most=0.24, misfit=HIGHER)  # fmt: skip
        return
    power, up = (row.take(text)[0] for text in ("10 kW", "3 m"))
    buoyancy = GRAVITY * 1000.0 * power / (AIR_DENSITY * AIR_HEAT * 295.0)
    yield Point("plume over 10 kW, 3 m up", row.take("0.8 m3/s")[0], mixing.plume(buoyancy, up), "m3/s", rel=0.05,
                at_most=0.28, misfit=HIGHER)  # fmt: skip


@reads(FILE, TOPIC, "two_layer_interface", "two_layer_inverse")
def displaced(row: Row) -> Iterator[Point]:
    """A box aired from below by a point source: where the warm layer begins. The plume beside the law of openings."""
    classic = 6.0 * 0.1 / 5.0 * (9.0 * 0.1 / 10.0) ** (1.0 / 3.0) * math.pi ** (2.0 / 3.0)
    if row.id == "two_layer_inverse":
        yield Point("foot of the warm layer with entrainment 0.1", row.take("0.503468")[0], layers(0.01, classic), "H",
                    abs=1e-5)  # fmt: skip
        return
    printed = row.take("0.0097945")[0]
    opened = lambda constant: brentq(lambda a: layers(a, constant) - 0.5, 1e-3, 0.1, xtol=1e-13)  # noqa: E731
    yield Point("openings for a warm layer from half height, entrainment 0.1", printed, opened(classic), "H2", abs=1e-6)
    yield Point("the same with the plume as shipped", printed, opened(mixing.PLUME), "H2", rel=1e-6, at_most=0.37,
                misfit=HIGHER)  # fmt: skip


@reads(FILE, TOPIC, "pane_current", "pane_current_coldness")
def pane(row: Row) -> Iterator[Point]:
    """Air that sinks along a cold pane."""
    if row.id == "pane_current":
        yield Point("pane 2 K colder, 0.4 m high, a metre wide", row.take("1.76792e-3 m2/s")[0],
                    mixing.pane_current(2.0 / 295.0, 0.4, 1.0), "m3/s", rel=1e-4)  # fmt: skip
    else:
        flow, _ = quad(lambda y: y * (1.0 - y) ** 2, 0.0, 1.0)
        cold, _ = quad(lambda y: y * (1.0 - y) ** 4, 0.0, 1.0)
        yield Point("mean coldness of the current over the pane's", row.take("0.4")[0], mixing.COLDNESS, abs=1e-12)
        yield Point("the same from the two profiles", row.take("0.4")[0], cold / flow, abs=1e-9)


@reads(FILE, TOPIC, "jet_entrainment", "jet_energy_limit")
def fan(row: Row) -> Iterator[Point]:
    """A circulating fan: what its jet takes along, and what it can lift."""
    if row.id == "jet_entrainment":
        yield Point("jet of 1 l/s from 5 cm, 21 cm on", row.take("1.344e-3 m3/s")[0], mixing.jet(0.001, 0.05, 0.21),
                    "m3/s", rel=1e-6)  # fmt: skip
    else:
        yield Point("most that it changes between layers 1.5 K apart", row.take("2.4795e-3 m3/s")[0],
                    mixing.jet_work_limit(0.001, 0.05, 1.5 / 295.0, 0.21, 0.2), "m3/s", rel=1e-3)  # fmt: skip


@reads(FILE, TOPIC, "hide_opening")
def hide(row: Row) -> Iterator[Point]:
    """A cave of four litres with one way in."""
    flow = mixing.one_opening(0.5 / 295.0, 0.0036, 0.06, 0.61)
    yield Point("opening of 6 by 6 cm, half a kelvin", row.take("2.3116e-5 m3/s")[0], flow, "m3/s", rel=1e-3)
    yield Point("air changes an hour of 4 litres", row.take("20.8")[0], 3600.0 * flow / 0.004, "1/h", rel=1e-3)


def gradient(height: float, hot: float, cold: float, follow: bool) -> float:
    """Rise of the air's temperature with height in a side-heated box, as a share of the walls' difference over it.

    Two stacked zones, four pane pieces, nothing else. A current that passes the boundary exchanges air; where `follow`
    is true the heat it took from its pane goes with it and ends in the zone beyond.
    """
    middle, half = 0.5 * (hot + cold), 0.5 * height
    kelvin = middle + 273.15

    def lower_gains(apart: float) -> float:
        """Heat [W for each metre of depth] that the lower zone gains, zones half of `apart` below and above `middle`."""
        near = 0.5 * (hot - cold) - 0.5 * apart  # hot pane and upper air, cold pane and lower air
        far = 0.5 * (hot - cold) + 0.5 * apart  # hot pane and lower air, cold pane and upper air
        taken = lambda k: convection.natural_vertical(k / kelvin, half) * half * k  # noqa: E731
        share = mixing.passes(mixing.COLDNESS * far / kelvin, apart / kelvin)
        moved = 2.0 * share * mixing.pane_current(far / kelvin, half, 1.0)
        led_on = 2.0 * share * taken(far) if follow else 0.0
        return taken(far) - taken(near) - led_on + AIR_DENSITY * AIR_HEAT * moved * apart

    apart = brentq(lower_gains, -0.4 * (hot - cold), 0.4 * (hot - cold), xtol=1e-10)
    return 2.0 * apart / (hot - cold)


@reads(FILE, TOPIC, "side_heated_box")
def side_heated(row: Row) -> Iterator[Point]:
    """A measured rise with height: a closed box of air between a hot and a cold wall."""
    hot, cold = row.take("at 50 C and 10 C")
    (printed,) = row.take("by 0.5 of")
    (height,) = row.take("0.75 m high")
    yield Point("rise over the walls' difference, the heat of a current ending where the current ends", printed,
                gradient(height, hot, cold, follow=True), rel=0.26)  # fmt: skip
    yield Point("the same with currents that exchange air alone", printed, gradient(height, hot, cold, follow=False),
                rel=0.26, at_most=1.0, misfit="a current that only exchanges air can level a difference, never make one")  # fmt: skip
