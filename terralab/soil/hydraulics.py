"""One soil or mix by its numbers: how it holds water and how fast it lets water through.

>>> loam = Soil(theta_r=0.078, theta_s=0.43, alpha_per_m=3.6, n=1.56, ks_m_per_s=2.89e-6)
>>> round(loam.water_content(-1.0), 4)
0.2421
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from terralab.errors import DescriptionError, UnknownName, quoted
from terralab.jit import kernel
from terralab.physics.conductivity import conductivity, conductivity_scale
from terralab.physics.retention import SOIL_COLUMNS, water_content
from terralab.validate import number, numbers, word

#: Tables searched for a soil by name, in this order.
SOIL_TABLES = ("substrates", "soils")
#: A head, or an array of them: what is asked about one is answered with one.
Heads = TypeVar("Heads", float, np.ndarray)
DRIEST_HEAD_M = -1.0e6  # beyond the 1e5 m at which even oven-dry soil holds nothing
HIGHEST_HEAD_M = 100.0  # a hundred metres of water standing above: no enclosure comes near


@kernel
def fill_curves(heads, soil, theta, capacity, k):
    """Write water content [-], its slope [1/m] and conductivity [m/s] for each head [m] of a flat array."""
    for i in range(heads.size):
        theta[i], capacity[i] = water_content(heads[i], soil)
        k[i], _ = conductivity(heads[i], soil)


class _Curves:
    """What every soil can be asked, whatever its form. Heads are in metres of water, negative in suction."""

    __slots__ = ()

    def row(self) -> np.ndarray:
        """Return the soil as the row of numbers the engine reads, in the order of `SOIL_COLUMNS`."""
        row = np.array([self._numbers().get(name, 0.0) for name in SOIL_COLUMNS])
        row[-1] = conductivity_scale(row)
        return row

    def water_content(self, head_m: Heads) -> Heads:
        """Return the water content (m3/m3) at `head_m` (m of water, -1e6 to 100), a number or an array.

        Source of the curve: see the class. A head out of range or not a number raises `DescriptionError`.
        """
        return self._curves(head_m)[0]

    def capacity(self, head_m: Heads) -> Heads:
        """Return the slope of the water content against head (1/m) at `head_m` (m of water, -1e6 to 100)."""
        return self._curves(head_m)[1]

    def conductivity(self, head_m: Heads) -> Heads:
        """Return the hydraulic conductivity (m/s) at `head_m` (m of water, -1e6 to 100), a number or an array.

        A head out of range or not a number raises `DescriptionError`.
        """
        return self._curves(head_m)[2]

    def _curves(self, head_m: float | np.ndarray) -> tuple:
        hint = "Suction is a negative head: 20 cm of suction is -0.2 m."
        heads = numbers("head_m", head_m, DRIEST_HEAD_M, HIGHEST_HEAD_M, "m", hint)
        flat = np.ascontiguousarray(heads).ravel()
        out = np.empty((3, flat.size))
        fill_curves(flat, self.row(), out[0], out[1], out[2])
        if heads.ndim == 0:
            return tuple(float(values[0]) for values in out)
        return tuple(values.reshape(heads.shape) for values in out)

    def _check_water(self) -> None:
        _store(self, "theta_r", 0.0, 0.6, "m3/m3")
        _store(self, "theta_s", 0.05, 1.0, "m3/m3")
        if not self.theta_r < self.theta_s:
            raise DescriptionError.of(
                "theta_r",
                f"given {self.theta_r:g} m3/m3",
                f"less than theta_s, which is {self.theta_s:g} m3/m3",
                "theta_r is what the driest soil keeps, theta_s what the soaked soil holds.",
            )
        _store(self, "alpha_per_m", 1e-5, 1e4, "1/m", "An alpha in 1/cm must be multiplied by 100.")
        _store(self, "ks_m_per_s", 1e-14, 10.0, "m/s", "A Ks in cm/day must be divided by 8640000.")


@dataclass(frozen=True, slots=True)
class Soil(_Curves):
    """A soil with the curves of van Genuchten and Mualem, in one or two pore domains.

    Water content: van Genuchten 1980, Soil Sci. Soc. Am. J. 44:892, eq. 3 with m = 1 - 1/n; two domains after
    Durner 1994. Conductivity: van Genuchten 1980 eq. 8 with Mualem's exponent left free; two domains after
    Priesack & Durner 2006.

    theta_r: water content of the driest soil, 0 to 0.6 m3/m3. theta_s: of the soaked soil, up to 1 m3/m3.
    alpha_per_m: 1e-5 to 1e4 1/m, the larger the coarser. n: 1.01 to 12. ks_m_per_s: conductivity when soaked,
    1e-14 to 10 m/s. l: Mualem's exponent, above -2/m so that drier soil never conducts better, at most 20.
    second: `(share, alpha_per_m, n)` of a second pore domain, or None. air_entry_m: suction up to which it
    conducts as if soaked, 0 to 0.05 m (conductivity only). dry_end: True lets theta_r itself dry out between
    1 m and 1e5 m of suction (Fayer & Simmons 1995, from memory).

    A number out of range raises `DescriptionError`, which names it and the range.
    """

    theta_r: float
    theta_s: float
    alpha_per_m: float
    n: float
    ks_m_per_s: float
    l: float = 0.5  # noqa: E741  (Mualem's own letter, and what every table of soils calls it)
    second: tuple[float, float, float] | None = None
    air_entry_m: float = 0.0
    dry_end: bool = False

    def __post_init__(self) -> None:
        self._check_water()
        _store(self, "n", 1.01, 12.0, "")
        _store(self, "air_entry_m", 0.0, 0.05, "m")
        if not isinstance(self.dry_end, bool):
            raise DescriptionError.of("dry_end", f"given {quoted(self.dry_end)}", "True or False")
        object.__setattr__(self, "second", _second_domain(self.second))
        steepest = max(self.n, self.second[2]) if self.second else self.n
        lowest = -2.0 / (1.0 - 1.0 / steepest)
        _store(self, "l", lowest, 20.0, "", "Below -2/m a drier soil would conduct better than a wetter one.")
        if self.l <= lowest:
            raise DescriptionError.of("l", f"given {self.l:g}", f"more than -2/m, here {lowest:g}")

    @classmethod
    def from_material(cls, name: str, which: str = "typical") -> Soil:
        """Return the soil or mix `name` of the tables "substrates" and "soils".

        `which` is "typical", or "low" or "high" to take that end of every range at once: one corner of what
        the material may be, not the driest or wettest case. Mixes of "substrates" get the dry end. An unknown
        name raises `UnknownName` with the nearest good one.
        """
        from terralab import materials  # late: the tables are read only when a name is asked for

        which = word("which", which, ("low", "typical", "high"))
        for table in SOIL_TABLES:
            try:
                entry = materials.get(table, name)
            except UnknownName:
                continue
            taken = {prop: getattr(value, which) for prop, value in entry.numbers.items()}
            second = (taken["w2"], taken["alpha2"], taken["n2"]) if taken.get("w2", 0.0) > 0.0 else None
            return cls(
                taken["theta_r"], taken["theta_s"], taken["alpha"], taken["n"], taken["ks"], taken["l"],
                second, taken["air_entry"], table == "substrates",
            )  # fmt: skip
        known = [good for table in SOIL_TABLES for good in materials.names(table)]
        raise UnknownName.among("soil or substrate", name, known, "`terralab material substrates`, or soils,")

    def _numbers(self) -> dict[str, float]:
        w2, alpha2, n2 = self.second or (0.0, 0.0, 0.0)
        return {
            "form": 1.0 if self.second else 0.0,
            "theta_r": self.theta_r,
            "theta_s": self.theta_s,
            "alpha": self.alpha_per_m,
            "n": self.n,
            "l": self.l,
            "ks": self.ks_m_per_s,
            "w2": w2,
            "alpha2": alpha2,
            "n2": n2,
            "air_entry": self.air_entry_m,
            "dry_end": float(self.dry_end),
        }


@dataclass(frozen=True, slots=True)
class ExponentialSoil(_Curves):
    """A soil whose water content and conductivity both fall off exponentially with suction.

    K = Ks exp(alpha h) (Gardner 1958, Soil Sci. 85:228-232) and, in the same way,
    theta = theta_r + (theta_s - theta_r) exp(alpha h). No real mix is like this. It is here because its
    equations can be solved on paper, which makes it the sharpest test of the engine.

    theta_r: 0 to 0.6 m3/m3. theta_s: up to 1 m3/m3. alpha_per_m: 1e-5 to 1e4 1/m. ks_m_per_s: 1e-14 to
    10 m/s. A number out of range raises `DescriptionError`.
    """

    theta_r: float
    theta_s: float
    alpha_per_m: float
    ks_m_per_s: float

    def __post_init__(self) -> None:
        self._check_water()

    def _numbers(self) -> dict[str, float]:
        return {
            "form": 2.0,
            "theta_r": self.theta_r,
            "theta_s": self.theta_s,
            "alpha": self.alpha_per_m,
            "ks": self.ks_m_per_s,
        }


def as_soil(soil: Soil | ExponentialSoil | str, field: str = "soil") -> Soil | ExponentialSoil:
    """Return `soil` itself, or the soil of that name; anything else raises `DescriptionError` at `field`."""
    if isinstance(soil, _Curves):
        return soil
    if isinstance(soil, str):
        return Soil.from_material(soil)
    raise DescriptionError.of(
        field,
        f"given {quoted(soil)}",
        "the name of a substrate or soil, a Soil or an ExponentialSoil",
        'Write for example "fine coir mix".',
    )


def _store(soil: _Curves, field: str, lowest: float, highest: float, unit: str, hint: str = "") -> None:
    object.__setattr__(soil, field, number(field, getattr(soil, field), lowest, highest, unit, hint))


def _second_domain(second: object) -> tuple[float, float, float] | None:
    if second is None:
        return None
    try:
        share, alpha, n = second
    except (TypeError, ValueError):
        raise DescriptionError.of(
            "second", f"given {quoted(second)}", "three numbers (share, alpha_per_m, n), or None"
        ) from None
    return (
        number("second.share", share, 1e-6, 1.0 - 1e-6, "", "Leave `second` out for a single pore domain."),
        number("second.alpha_per_m", alpha, 1e-5, 1e4, "1/m"),
        number("second.n", n, 1.01, 12.0, ""),
    )
