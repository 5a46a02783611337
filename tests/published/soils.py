"""The soils of the published cases, and three devices that come up again.

Small steps: backward Euler is of first order in time (shown by `manufactured_solution`). Rows given to four digits
are therefore read from two runs with steps of dt and dt/2, carried on to dt = 0.

No gravity: the engine always has it. A soil whose suctions are a thousand times larger (alpha a thousandth) soaks
and dries in the same way a thousand times faster, and gravity then counts a thousandth as much.

Grid: the sources put nodes on the surface, terralab puts them in the middle of cells.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from terralab.soil.column import Column
from terralab.soil.hydraulics import ExponentialSoil, Soil

DAY_S, HOUR_S = 86400.0, 3600.0
CM_PER_H = 0.01 / HOUR_S
CM_PER_DAY = 0.01 / DAY_S
STANDING_WATER = {"bottom": "fixed head", "bottom_head_cm": 0}
WEIGHTLESS = 1000.0

CELIA = Soil(theta_r=0.102, theta_s=0.368, alpha_per_m=3.35, n=2.0, ks_m_per_s=0.00922e-2)
LINEAR = ExponentialSoil(theta_r=0.06, theta_s=0.40, alpha_per_m=10.0, ks_m_per_s=CM_PER_H)
#: The loam of the drying and layering rows; the class mean of the tables is LOAM_MEAN.
LOAM = Soil(theta_r=0.08, theta_s=0.43, alpha_per_m=4.0, n=1.6, ks_m_per_s=50.0 * CM_PER_DAY)
# The published curves have no air-entry height: it is a shipped cure for fine soils, switched off here.
SAND = replace(Soil.from_material("sand"), air_entry_m=0.0)
LOAM_MEAN = replace(Soil.from_material("loam"), air_entry_m=0.0, ks_m_per_s=24.96 * CM_PER_DAY)
GRAVEL = Soil(theta_r=0.02, theta_s=0.40, alpha_per_m=400.0, n=3.0, ks_m_per_s=5e4 * CM_PER_DAY)
ASINH = Soil(theta_r=0.1, theta_s=0.9, alpha_per_m=10.0, n=2.0, ks_m_per_s=1e-4)
DUAL = Soil(0.05, 0.95, 100.0, 2.0, ks_m_per_s=1.0, l=0.5, second=(0.4, 2.0, 1.5))
NAMED = {"sand": SAND, "loam": LOAM_MEAN, "asinh": ASINH}

CELIA_SOAK = {"top": "head", "top_head_cm": -75, "bottom": "fixed head", "bottom_head_cm": -1000}


class PowerSoil:
    """Gardner's conductivity a/(b + s^n): not one of terralab's forms, but `steady_rise` asks for no more."""

    def __init__(self, a: float, b: float, n: float) -> None:
        self.a, self.b, self.n = a, b, n

    def conductivity(self, head_m: np.ndarray) -> np.ndarray:
        """Return the conductivity (m/s) at each head (m)."""
        return self.a / (self.b + np.abs(head_m) ** self.n)


def celia(cell_cm: float) -> Column:
    """The metre of dry soil of Celia, Bouloutas & Zarba 1990."""
    return Column([(CELIA, 100)], cell_cm=cell_cm, start_head_cm=-1000)


def weightless(soil: Soil) -> Soil:
    """The same soil with suctions a thousand times larger."""
    return replace(soil, alpha_per_m=soil.alpha_per_m / WEIGHTLESS)


def small_steps(column: Column, step_s: float, read, **settings) -> np.ndarray:
    """Carry what `read` takes from a run on to steps of no length, from `step_s` and half of it."""
    coarse, fine = (column.run(tolerance=None, max_step_s=step, **settings) for step in (step_s, 0.5 * step_s))
    assert coarse.failed_steps == fine.failed_steps == 0
    return 2.0 * read(fine) - read(coarse)


def surface_head_cm(run) -> np.ndarray:
    """The head at the surface itself, on the line through the two topmost cells."""
    ratio = run.thickness_cm[0] / (run.thickness_cm[0] + run.thickness_cm[1])
    return run.heads_cm[:, 0] + ratio * (run.heads_cm[:, 0] - run.heads_cm[:, 1])


def head_above_base(run, above_cm) -> np.ndarray:
    """Heads (cm) at heights above the base, between cells and up to the surface, at each time."""
    height = run.thickness_cm.sum() - run.depth_cm
    known = np.column_stack([run.heads_cm[:, ::-1], surface_head_cm(run)])
    return np.array([np.interp(above_cm, [*height[::-1], run.thickness_cm.sum()], row) for row in known])


def column_rise_mm(soil, depth_cm: float) -> float:
    """Return the steady rise (mm/day) of a column that stands in water and dries freely at the top.

    The surface is held at 100 m of suction, where none of these soils conducts any more. Much drier, the
    1e-16 m/s that keep bone-dry cells connected would begin to count: 10 % of the slowest case at 10 km.
    """
    column = Column([(soil, depth_cm)], cell_cm=0.25, top_cell_cm=0.002)
    run = column.run(
        days=3000, times=[3000], top="evaporation", demand_mm_per_day=1000, driest_head_cm=-1e4, max_step_s=1e6,
        tolerance=0.02, **STANDING_WATER,
    )  # fmt: skip
    np.testing.assert_allclose(run.flux_bottom_mm_per_h[0], run.flux_top_mm_per_h[0], rtol=1e-3)
    return float(-24.0 * run.flux_top_mm_per_h[0])
