"""What a soil comes to when nothing changes any more: the water a drained layer keeps, the steady rise to a
dry surface.

>>> loam = Soil(theta_r=0.078, theta_s=0.43, alpha_per_m=3.6, n=1.56, ks_m_per_s=2.88889e-6)
>>> round(container_capacity(loam, height_cm=10), 4)
0.4207
>>> round(steady_rise(loam, table_depth_cm=30), 1)
14.1
"""

from __future__ import annotations

import math
from typing import Protocol

import numpy as np

from terralab.errors import DescriptionError, quoted
from terralab.soil.hydraulics import DRIEST_HEAD_M, ExponentialSoil, Soil, as_soil
from terralab.units import DAY_S
from terralab.validate import number

MM_PER_DAY = 1.0e-3 / DAY_S
_WETTEST_M = 1.0e-9  # suction from which the rise is summed; what lies below adds less than the last digit
_POINTS = 4001
_SLOWEST = 1.0e-60  # m/s; slower than this is nothing


class Conducts(Protocol):
    """Anything that gives its conductivity (m/s) at an array of heads (m), such as a `Soil`."""

    def conductivity(self, head_m: np.ndarray) -> np.ndarray:
        """Return the conductivity (m/s) at each head (m, negative in suction)."""


def container_capacity(soil: Soil | ExponentialSoil | str, height_cm: float, base_suction_cm: float = 0.0) -> float:
    """Return the mean water content (m3/m3) of a layer that was soaked and then drained to the end.

    soil: a soil or the name of one. height_cm: how high it stands, 0.01 to 1000 cm. base_suction_cm: suction
    at which the base lets water go, 0 to 1e5 cm: 0 at a drain hole, about 0.5 to 1 over coarse stones. The
    suction then grows by 1 cm a centimetre upwards. Times the height this is the water the layer keeps.
    Source: the approach of Bilderback & Fonteno 1987, J. Environ. Hort. 5:180-182, by quadrature to 1e-10.
    Bad input raises `DescriptionError`.
    """
    from scipy.integrate import quad  # late: only this question needs it

    held = as_soil(soil)
    height = 0.01 * number("height_cm", height_cm, 0.01, 1000.0, "cm")
    hint = "Suction is given as a positive number here."
    base = 0.01 * number("base_suction_cm", base_suction_cm, 0.0, 1e5, "cm", hint)
    total, _ = quad(
        lambda suction: held.water_content(-suction), base, base + height, epsabs=0.0, epsrel=1e-10, limit=500
    )
    return total / height


def steady_rise(soil: Conducts | str, table_depth_cm: float) -> float:
    """Return the fastest steady rise (mm/day) from standing water `table_depth_cm` below a dry surface.

    soil: a soil, the name of one, or anything with a `conductivity`. table_depth_cm: 0.1 to 1000 cm. It is
    the most that can evaporate for weeks on end, however dry the air (vapour in the pores left out).
    Source: Gardner 1958, Soil Sci. 85:228-232: depth = integral of ds/(1 + q/K(s)) over all suctions s,
    solved for q. Beyond 1e6 m of suction K is continued as a power of s. Bad input raises `DescriptionError`.
    """
    from scipy.optimize import brentq  # late: only this question needs it

    if isinstance(soil, str):
        soil = as_soil(soil)
    if not callable(getattr(soil, "conductivity", None)):
        raise DescriptionError.of("soil", f"given {quoted(soil)}", "a soil or the name of one")
    depth = 0.01 * number("table_depth_cm", table_depth_cm, 0.1, 1000.0, "cm")
    # Even steps in the logarithm of suction: the terms die away at both ends, so the plain sum is very exact.
    log_s, step = np.linspace(math.log(_WETTEST_M), math.log(-DRIEST_HEAD_M), _POINTS, retstep=True)
    suction = np.exp(log_s)
    width = step * suction
    width[[0, -1]] *= 0.5
    k = np.asarray(soil.conductivity(-suction), dtype=float)
    tail = 0.0
    if k[-1] > 0.0:
        power = -(math.log(k[-1]) - math.log(k[-2])) / step
        if power <= 1.0:
            raise DescriptionError.of(
                "soil", "given one whose conductivity hardly falls", "one that falls faster than 1/suction"
            )
        tail = suction[-1] * k[-1] / (power - 1.0)

    def too_deep(log_q: float) -> float:
        q = math.exp(log_q)
        return float((width * k / (k + q)).sum() + tail / q - depth)

    fastest = float((width * k).sum() + tail) / depth
    if fastest <= _SLOWEST or too_deep(math.log(_SLOWEST)) <= 0.0:
        return 0.0
    q = math.exp(brentq(too_deep, math.log(_SLOWEST), math.log(fastest), xtol=1e-13, rtol=1e-14))
    return q / MM_PER_DAY
