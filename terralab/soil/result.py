"""What a run of a soil column came to: heads, water contents, flows, and a balance to check them by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from terralab.folded import fold, lines_below, page, paragraph
from terralab.units import DAY_S, HOUR_S
from terralab.validate import number

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, eq=False)
class ColumnRun:
    """The course of a soil column. Row k of an array belongs to `times_s[k]`; cells count from the top down.

    times_s: times (s since the start). depth_cm: depth of the middle of each cell. thickness_cm: thickness of
    each cell. layer_of: which layer each cell belongs to, from 1 at the top. heads_cm: pressure head (cm of
    water, negative in suction). water_content: m3/m3. water_mm: water in each cell (mm over the area), in the
    top cell with what stands on it. ponded_mm: what stands on the surface. passed_mm: water that came down
    through each face of the cells since the start, the first face is the surface, the last the base (negative
    upwards). flux_top_mm_per_h and flux_bottom_mm_per_h: flow into the surface and out of the base at that
    time (negative: evaporation, rise). start_mm: water at the start. steps: time steps taken. failed_steps:
    steps refused and taken again, shorter.
    """

    times_s: np.ndarray
    depth_cm: np.ndarray
    thickness_cm: np.ndarray
    layer_of: np.ndarray
    heads_cm: np.ndarray
    water_content: np.ndarray
    water_mm: np.ndarray
    ponded_mm: np.ndarray
    passed_mm: np.ndarray
    flux_top_mm_per_h: np.ndarray
    flux_bottom_mm_per_h: np.ndarray
    start_mm: float
    steps: int
    failed_steps: int

    @property
    def stored_mm(self) -> np.ndarray:
        """Water in the column, with what stands on it, at each time (mm)."""
        return self.water_mm.sum(axis=1)

    @property
    def entered_mm(self) -> np.ndarray:
        """Water that came in through the surface since the start (mm); negative where more evaporated."""
        return self.passed_mm[:, 0]

    @property
    def left_mm(self) -> np.ndarray:
        """Water that went out through the base since the start (mm); negative where more rose into it."""
        return self.passed_mm[:, -1]

    @property
    def balance_ratio(self) -> float | None:
        """Water gained by the column over the water that came in net, at the end. Honest when it is 1.

        This is the ratio of Celia, Bouloutas & Zarba 1990. None where less than 1e-6 mm came in or left net.
        """
        net = self.entered_mm[-1] - self.left_mm[-1]
        return float((self.stored_mm[-1] - self.start_mm) / net) if abs(net) > 1e-6 else None

    @property
    def balance_error(self) -> float:
        """Water lost or made by the arithmetic by the end, as a share of the water held or moved.

        The larger of the two counts: the water held at the start, or what passed the surface and the base.
        """
        lost = self.stored_mm[-1] - self.start_mm - self.entered_mm[-1] + self.left_mm[-1]
        moved = abs(self.entered_mm[-1]) + abs(self.left_mm[-1])
        return float(abs(lost) / max(self.start_mm, moved))

    def layer_mm(self, layer: int) -> np.ndarray:
        """Return the water in layer number `layer` (1 is the top one) at each time (mm).

        A number that no layer has raises `DescriptionError`.
        """
        count = int(self.layer_of.max())
        wanted = number("layer", layer, 1, count, "", "Layers count from the top down.")
        return self.water_mm[:, self.layer_of == wanted].sum(axis=1)

    def to_frame(self) -> pandas.DataFrame:
        """Return one row a time: flows, amounts since the start and water held, as a pandas table."""
        import pandas

        return pandas.DataFrame(
            {
                "flux_top_mm_per_h": self.flux_top_mm_per_h,
                "flux_bottom_mm_per_h": self.flux_bottom_mm_per_h,
                "entered_mm": self.entered_mm,
                "left_mm": self.left_mm,
                "stored_mm": self.stored_mm,
                "ponded_mm": self.ponded_mm,
            },
            index=pandas.Index(self.times_s, name="time_s"),
        )

    def __str__(self) -> str:
        entered, left = self.entered_mm[-1], self.left_mm[-1]
        depth = self.thickness_cm.sum()
        lines = [
            f"Soil column, {depth:.4g} cm deep in {self.depth_cm.size} cells, over {_span(self.times_s[-1])}",
            f"  water held      {self.start_mm:.1f} mm at the start, {self.stored_mm[-1]:.1f} mm at the end",
            f"  at the surface  {abs(entered):.1f} mm {'came in' if entered >= 0.0 else 'evaporated'}",
            f"  at the base     {abs(left):.1f} mm {'drained' if left >= 0.0 else 'rose into the soil'}",
            f"  balance error   {self.balance_error:.1e} of the water held or moved",
            f"  time steps      {self.steps}, and {self.failed_steps} taken again, shorter",
        ]
        if self.ponded_mm[-1] > 0.05:
            lines.insert(2, f"  on the surface  {self.ponded_mm[-1]:.1f} mm of that stand on the soil")
        return "\n".join(lines)

    __repr__ = __str__

    def _repr_html_(self) -> str:
        """Return what a notebook shows: what the soil took in, held and gave; how exact that is, folded."""
        first, *lines = (line.strip() for line in str(self).splitlines())
        exact = [line for line in lines if line.startswith(("balance error", "time steps"))]
        return page(
            paragraph(first + "."),
            lines_below([line for line in lines if line not in exact]),
            fold("How exact", lines_below(exact)),
        )


def _span(seconds: float) -> str:
    for unit, name in ((DAY_S, "days"), (HOUR_S, "hours"), (60.0, "minutes")):
        if seconds >= 2.0 * unit:
            return f"{seconds / unit:.4g} {name}"
    return f"{seconds:.4g} seconds"
