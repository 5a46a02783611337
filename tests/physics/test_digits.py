"""The pores' formulas keep their digits from brimful to bone-dry: van Genuchten 1980 in 50-digit decimals."""

from __future__ import annotations

from decimal import Decimal, localcontext

import numpy as np
import pytest

from terralab.physics.conductivity import hydraulics

THETA_R, THETA_S, K_SCALE = 0.05, 0.5, 1e-4


def textbook(h: float, alpha: float, n: float, power: float) -> tuple[float, float, float]:
    """Water content, capacity and conductivity by the printed formulas, van Genuchten 1980 eqs 3 and 8."""
    with localcontext() as context:
        context.prec = 50
        n, alpha, suction = Decimal(n), Decimal(alpha), Decimal(-h)
        m = 1 - 1 / n
        x = (alpha * suction) ** n
        se = (1 + x) ** -m
        span = Decimal(THETA_S) - Decimal(THETA_R)
        bracket = 1 - (1 - se ** (1 / m)) ** m
        k = Decimal(K_SCALE) * se ** Decimal(power) * bracket**2
        return float(Decimal(THETA_R) + span * se), float(span * m * n * se * x / ((1 + x) * suction)), float(k)


@pytest.mark.parametrize("n", [1.05, 1.3, 2.7, 4.0])
@pytest.mark.parametrize("alpha", [0.5, 14.5])
@pytest.mark.parametrize("power", [0.5, -1.3])
def test_water_and_conductivity_keep_their_digits(n: float, alpha: float, power: float) -> None:
    """Measured: 8e-14 of the conductivity, 6e-15 of the capacity, over twelve decades of suction."""
    soil = np.array([0.0, THETA_R, THETA_S, alpha, n, power, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, K_SCALE])
    for h in -np.logspace(-7, 5, 37):
        theta, capacity, k, slope = hydraulics(h, soil)
        exact = textbook(h, alpha, n, power)
        assert theta == pytest.approx(exact[0], rel=1e-14)
        assert capacity == pytest.approx(exact[1], rel=5e-14)
        assert k == pytest.approx(exact[2], rel=5e-13)
        # the slope against the conductivity a little either side
        near = hydraulics(h * 1.0001, soil)[2] - hydraulics(h * 0.9999, soil)[2]
        assert slope == pytest.approx(near / (0.0002 * h), rel=1e-6, abs=1e-9 * exact[2] / -h)
