"""The soil of a record, cell by cell from the top down, as the engine divided it."""

from __future__ import annotations

import numpy as np

from terralab.simulation.raw import Raw


class SoilCells:
    """The words of a record for its cells of soil: thickness, layer, head, water, pores."""

    raw: Raw

    @property
    def cell_m(self) -> np.ndarray:
        """Thickness of each cell of soil [m]; a moss cover is one of the soil's layers."""
        return self.raw.dz

    @property
    def cells_deep_cm(self) -> float:
        """Depth of all cells together [cm]: the soil, and the moss on it where there is some."""
        return 100.0 * float(self.raw.dz.sum())

    @property
    def edges_cm(self) -> np.ndarray:
        """Depth of the edges of the cells [cm]: one more than there are cells."""
        return 100.0 * np.concatenate([[0.0], np.cumsum(self.raw.dz)])

    @property
    def layer_of_cell(self) -> np.ndarray:
        """The layer each cell lies in, as `Enclosure.porous_layers` counts them."""
        return self.raw.place

    @property
    def head_m(self) -> np.ndarray:
        """Pressure head of the water in each cell [m], time by depth; negative: so much suction."""
        return self.raw.head[:, :-1]

    @property
    def cell_water_m(self) -> np.ndarray:
        """Water of each cell [m], time by depth; a pond is the top cell's."""
        return self.raw.water[:, :-1]

    @property
    def pore_space(self) -> np.ndarray:
        """Water content of each cell with all pores full [m3/m3]."""
        return self.raw.theta_s

    @property
    def root_limits_m(self) -> tuple[float, float] | None:
        """Heads [m] from which on dry soil slows the roots, and at which they draw nothing more; None without plants."""
        b = self.raw.constants
        return (float(b["root_start"]), float(b["root_stop"])) if b["has_plants"] else None
