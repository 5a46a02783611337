"""Retention and conductivity against an independent library, over the whole range of suction."""

from __future__ import annotations

import numpy as np
import pytest
import unsatfit

from tests.published.soils import ASINH, DUAL, LOAM_MEAN, SAND


@pytest.mark.parametrize("soil", [SAND, LOAM_MEAN, ASINH, DUAL], ids=["sand", "loam", "asinh", "dual"])
def test_curves_of_unsatfit(soil) -> None:
    """unsatfit computes theta from its textbook form; K by its own Mualem integral."""
    suction = np.geomspace(1e-3, 10.0, 25)
    fit = unsatfit.Fit()
    fit.set_model("vg2" if soil.second else "VG", const=["q=1", "r=2"])
    water = [soil.theta_s, soil.theta_r]
    if soil.second:
        share, alpha, n = soil.second
        water += [1.0 - share, soil.alpha_per_m, 1.0 - 1.0 / soil.n, alpha, 1.0 - 1.0 / n]
    else:
        water += [soil.alpha_per_m, 1.0 - 1.0 / soil.n]
    np.testing.assert_allclose(soil.water_content(-suction), fit.f_ht(water, suction), rtol=1e-9)
    conductivity = fit.f_hk([*water, soil.ks_m_per_s, soil.l], suction)
    # 1e-7: the textbook form loses its own digits at the dry end of this range
    np.testing.assert_allclose(soil.conductivity(-suction), conductivity, rtol=1e-7)
