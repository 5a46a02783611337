"""Cases: an artificial leaf in a wind tunnel, wet on one side, 3 cm long and as wide.

Its heat and vapour pass by the law of a plate; where it is covered with a foil of holes, the vapour passes them too. It
radiates to walls of the air's temperature with both sides. Warmth and evaporation were measured at once, so the law is
held in three ways: evaporation from the measured warmth, heat transfer, and both together from the balance of heat.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from scipy.optimize import brentq

from terralab.physics import convection, moist_air
from terralab.physics.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS
from tests.published.cases import Point, Row, Said, reads

FILE = "leaves.csv"
TOPIC = "An artificial leaf in a wind tunnel"
LENGTH = 0.03  # m
SHORT = "the laminar plate law gives more vapour than a small leaf in a tunnel of this turbulence lost, up to a quarter"
CLOSED = (
    "the printed coefficient closes the measured balance of heat, so it carries the errors of the leaf's warmth and of the "
    "light it took up, which a lamp makes large"
)
E_MISFITS = {"leaf_tunnel_02": 0.17, "leaf_tunnel_04": 0.25}
H_MISFITS = {"leaf_tunnel_01": 0.29, "leaf_tunnel_09": 0.29, "leaf_tunnel_16": 0.5, "leaf_tunnel_17": 0.32}


def number(text: str, pattern: str, missing: float | None = None) -> float:
    """Return the number that stands in `text` where the pattern has its brackets."""
    found = re.search(pattern, text)
    if found is None and missing is not None:
        return missing
    return float(found[1])


def at_saturation(t: float) -> float:
    """Humidity ratio of air just full at t [C]."""
    return moist_air.humidity_ratio(moist_air.saturation_pressure(t))


class Leaf:
    """The leaf of one row: what was set, and what was measured."""

    def __init__(self, row: Row) -> None:
        inputs = row.text["inputs"]
        self.wind, self.air_t = number(inputs, r"wind ([\d.]+) m/s"), number(inputs, r"air ([\d.]+) C")
        self.w = moist_air.humidity_ratio(number(inputs, r"vapour ([\d.]+) Pa"))
        self.light = number(inputs, r"on top ([\d.]+) W/m2")
        pores = number(inputs, r"\(([\d.]+) s/m", 0.0)
        self.h = convection.forced_plate(self.wind, LENGTH)
        self.g = convection.in_series(convection.vapour_conductance(self.h), pores)
        self.measured = [
            number(row.expected, p) for p in (r"E ([\d.]+) g", r"\(inner\) ([\d.]+) C", r"closure ([\d.]+) W")
        ]

    def evaporation(self, t: float) -> float:
        """From a leaf of t [C], in g/m2h."""
        return 3.6e6 * self.g * (at_saturation(t) - self.w)

    def balanced(self) -> float:
        """The temperature at which light, air, radiation and evaporation balance."""
        radiation = 4.0 * STEFAN_BOLTZMANN * (self.air_t + ZERO_CELSIUS) ** 3

        def gains(t: float) -> float:
            paid = moist_air.latent_heat(t) * self.evaporation(t) / 3.6e6
            return self.light + 2.0 * (self.h + radiation) * (self.air_t - t) - paid

        return brentq(gains, 0.0, 60.0)


@reads(FILE, TOPIC, *(f"leaf_tunnel_{number:02d}" for number in range(1, 22)))
def wet_leaf(row: Row) -> Iterator[Point]:
    """One steady state."""
    leaf = Leaf(row)
    evaporation, warm, h = leaf.measured
    at = f"{row.text['inputs'].split(';')[0]}, {leaf.wind:g} m/s"
    known = {"misfit": SHORT, "at_most": E_MISFITS[row.id]} if row.id in E_MISFITS else {}
    yield Point(
        f"evaporation at the measured warmth, {at}", evaporation, leaf.evaporation(warm), "g/m2h", rel=0.15, **known
    )
    known = {"misfit": CLOSED, "at_most": H_MISFITS[row.id]} if row.id in H_MISFITS else {}
    yield Point("heat transfer of each side", h, leaf.h, "W/m2K", rel=0.25, **known)
    yield Point("warmth by the balance of heat", warm, leaf.balanced(), "C", abs=1.5)
    yield Point("evaporation by the balance of heat", evaporation, leaf.evaporation(leaf.balanced()), "g/m2h", rel=0.15)


@reads(FILE, TOPIC, "leaf_tunnel_bias")
def bias(row: Row) -> Iterator[Said]:
    """How far the plate law lies above the wet paper, of the rows that are kept here."""
    over = []
    for name in ("01", "02", "03", "04", "05", "06", "07", "08", "16", "17", "18"):
        leaf = Leaf(Row(FILE, f"leaf_tunnel_{name}"))
        over.append(leaf.evaporation(leaf.measured[1]) / leaf.measured[0])
    low, high = abs(row.take("1.00-1.20")[0]), abs(row.take("1.03-1.25")[1])
    yield Said("evaporation computed over measured, wet paper", f"{low:.2f} to {high:.2f}",
               f"{min(over):.2f} to {max(over):.2f}", low - 5e-3 <= min(over) <= max(over) <= high + 5e-3)  # fmt: skip
