"""A column of soil on its own: pour on it, drain it, dry it, and read where the water went.

>>> column = Column([("fine coir mix", 10)], start_head_cm=-30)
>>> run = column.run(hours=6, top_flux_mm_per_h=[(0, 60), (0.25, 0)], bottom="seepage face")
>>> print(round(float(run.entered_mm[-1]), 3))
15.0
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from terralab.errors import DescriptionError, RunError, quoted
from terralab.soil import inputs as settings
from terralab.soil.arrays import HEAD, LIMITED, Grid
from terralab.soil.hydraulics import ExponentialSoil, Soil, fill_curves
from terralab.soil.inputs import BOTTOMS, HIGHEST_HEAD_CM, LOWEST_HEAD_CM, MM_PER_H, SUCTION_HINT, TOPS
from terralab.soil.result import ColumnRun
from terralab.soil.storage import stored
from terralab.soil.time_steps import DONE, Course, Kinds, Limits, Notes, advance
from terralab.validate import number, numbers, word

STORAGES = ("mixed", "head")
WORK_CAP = 3.0e9  # cell updates, about two minutes of one processor


@dataclass(frozen=True, eq=False)
class Column:
    """A column of one or more layers of soil, cut into cells.

    layers: (soil, depth_cm) from the top down, 1 to 50 of them. A soil is the name of a substrate or soil in
    the tables, a `Soil` or an `ExponentialSoil`; depth 0.01 to 1000 cm. cell_cm: thickest cell, 0.001 to
    100 cm; half a centimetre suits most questions. top_cell_cm: thickness of the topmost cell, where finer
    cells are wanted at the surface; from there each cell is `grading` times as thick as the one above (1 to
    3), up to `cell_cm`. start_head_cm: pressure head at the start in cm of water, -1e7 to 1000: one number,
    one for each cell, or "hydrostatic" (drained, and just soaked at the base). Where the head in the top cell
    is more than half that cell, the rest is water standing on the soil.

    Anything wrong raises `DescriptionError` (or `UnknownName` for a soil), which says what to write instead.
    """

    layers: tuple[tuple[Soil | ExponentialSoil, float], ...]
    cell_cm: float = 0.5
    top_cell_cm: float | None = None
    grading: float = 1.3
    start_head_cm: np.ndarray = field(default="hydrostatic", repr=False)
    thickness_cm: np.ndarray = field(init=False, repr=False)
    layer_of: np.ndarray = field(init=False, repr=False)

    if TYPE_CHECKING:  # the fields tell what a column holds; this, what may be written

        def __init__(
            self,
            layers: Sequence[tuple[str | Soil | ExponentialSoil, float]],
            cell_cm: float = 0.5,
            top_cell_cm: float | None = None,
            grading: float = 1.3,
            start_head_cm: float | str | Sequence[float] | np.ndarray = "hydrostatic",
        ) -> None: ...

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "layers", settings.read_layers(self.layers))
        put(self, "cell_cm", number("cell_cm", self.cell_cm, 0.001, 100.0, "cm"))
        put(self, "grading", number("grading", self.grading, 1.0, 3.0, "", "1 makes all cells alike."))
        first = self.cell_cm
        if self.top_cell_cm is not None:
            hint = "The topmost cell may not be thicker than cell_cm."
            first = number("top_cell_cm", self.top_cell_cm, 0.0001, self.cell_cm, "cm", hint)
            put(self, "top_cell_cm", first)
        depths = [depth for _, depth in self.layers]
        thickness, layer_of = settings.cut(depths, first, self.grading, self.cell_cm)
        put(self, "thickness_cm", _locked(thickness))
        put(self, "layer_of", _locked(layer_of))
        put(self, "start_head_cm", self._start(self.start_head_cm))

    @property
    def depth_cm(self) -> np.ndarray:
        """Depth of the middle of each cell (cm), from the surface down."""
        return np.cumsum(self.thickness_cm) - 0.5 * self.thickness_cm

    def after(self, run: ColumnRun) -> Column:
        """Return the same column with the heads it had at the end of `run`, to go on from there."""
        if not isinstance(run, ColumnRun):
            raise DescriptionError.of("run", f"given {quoted(run)}", "a run, as column.run gives it")
        return replace(self, start_head_cm=run.heads_cm[-1])

    def run(
        self,
        *,
        days: float | None = None,
        hours: float | None = None,
        seconds: float | None = None,
        times: object = None,
        top: str = "flux",
        top_flux_mm_per_h: object = None,
        top_head_cm: object = None,
        demand_mm_per_day: object = None,
        driest_head_cm: float | None = None,
        bottom: str = "no flow",
        bottom_head_cm: object = None,
        max_step_s: float = 900.0,
        tolerance: float | None = 3e-3,
        storage: str = "mixed",
    ) -> ColumnRun:
        """Let time pass for `days`, `hours` or `seconds` (one of them, up to 10 years) and return the course.

        times: when to note the state, rising, in the same unit; 101 even times if left out.

        top: "flux" takes `top_flux_mm_per_h` (-1e5 to 1e5, 0 if left out, negative draws water out); water
        that does not soak in stands on the surface. "head" holds the surface at `top_head_cm`.
        "evaporation" draws `demand_mm_per_day` (0 to 1000) as long as the soil can bring it up to a surface
        that is never drier than `driest_head_cm` (-1e6 if left out: air of about 48 % humidity at 25 C).

        bottom: "no flow" is a sealed floor. "seepage face" lets water out, never in, once the head at the
        base reaches `bottom_head_cm` (0 if left out; coarse stones below may need -1 to 0). "free drainage"
        drains as into endless soil of the same wetness. "fixed head" holds the base at `bottom_head_cm`.

        The flux, both heads and the demand may change: give pairs (hour from which it holds, value), the
        first at hour 0. tolerance: largest change of any water content in a step (1e-6 to 0.2 m3/m3, smaller
        is more exact), or None for steps of just `max_step_s` (1e-6 s to 1e7 s). storage: "mixed" keeps every
        drop; "head" is the older way of writing the equation that loses water (Celia, Bouloutas & Zarba 1990,
        Water Resour. Res. 26:1483), kept to show that loss.

        Settings that make no sense raise `DescriptionError`. A run that cannot be finished raises `RunError`.
        """
        unit, end = settings.read_duration(days, hours, seconds)
        noted = settings.read_times(times, unit, end)
        top_kind = TOPS[word("top", top, TOPS)]
        bottom_kind = BOTTOMS[word("bottom", bottom, BOTTOMS)]
        tops = settings.read_top(top_kind, top_flux_mm_per_h, top_head_cm, demand_mm_per_day)
        if driest_head_cm is not None and top_kind != LIMITED:
            raise settings.idle("driest_head_cm", 'top="evaporation"')
        driest = -1e6 if driest_head_cm is None else driest_head_cm
        driest = number("driest_head_cm", driest, LOWEST_HEAD_CM, -1.0, "cm", SUCTION_HINT)
        bases = settings.read_bottom(bottom_kind, bottom_head_cm)
        starts = np.unique(np.concatenate([tops[0], bases[0]]))
        max_step = number("max_step_s", max_step_s, 1e-6, 1e7, "s")
        careful = 0.0 if tolerance is None else number("tolerance", tolerance, 1e-6, 0.2, "m3/m3")
        head_form = word("storage", storage, STORAGES) == "head"

        soils, soil_of = self._rows()
        cells = self.thickness_cm.size
        heads, waters = np.empty((2, noted.size, cells))
        crossed = np.empty((noted.size, cells + 1))
        flows = np.empty((noted.size, 2))
        ponding = top_kind != HEAD
        dz = 0.01 * self.thickness_cm
        h = 0.01 * self.start_head_cm
        start = sum(stored(h[i], dz[i], soils[soil_of[i]], i == 0, ponding)[0] for i in range(cells))
        status, reached, steps, refused = advance(
            h,
            Grid(dz, soil_of, soils),
            Course(starts, settings.held(tops, starts), settings.held(bases, starts), np.zeros((starts.size, cells))),
            Kinds(top_kind, bottom_kind, 0.01 * driest, ponding, head_form),
            Limits(careful, max_step, WORK_CAP),
            Notes(noted, heads, waters, crossed, flows),
        )
        if status != DONE or not (np.isfinite(heads).all() and np.isfinite(crossed).all()):
            raise RunError(settings.excuse(status, reached, top_kind))
        return ColumnRun(
            times_s=_locked(noted),
            depth_cm=_locked(self.depth_cm),
            thickness_cm=self.thickness_cm,
            layer_of=self.layer_of,
            heads_cm=_locked(100.0 * heads),
            water_content=_locked(_contents(heads, soils, soil_of)),
            water_mm=_locked(1000.0 * waters),
            ponded_mm=_locked(1000.0 * ponding * np.maximum(heads[:, 0] - 0.5 * dz[0], 0.0)),
            passed_mm=_locked(1000.0 * crossed),
            flux_top_mm_per_h=_locked(flows[:, 0] / MM_PER_H),
            flux_bottom_mm_per_h=_locked(flows[:, 1] / MM_PER_H),
            start_mm=1000.0 * float(start),
            steps=int(steps),
            failed_steps=int(refused),
        )

    def _rows(self) -> tuple[np.ndarray, np.ndarray]:
        """One row a different soil, and which row each cell takes: two layers alike are one soil."""
        soils = list(dict.fromkeys(soil for soil, _ in self.layers))
        of_layer = np.array([soils.index(soil) for soil, _ in self.layers])
        return np.array([soil.row() for soil in soils]), of_layer[self.layer_of - 1]

    def _start(self, start: object) -> np.ndarray:
        if isinstance(start, str):
            word("start_head_cm", start, ("hydrostatic",))
            return _locked(self.depth_cm - self.thickness_cm.sum())
        heads = numbers("start_head_cm", start, LOWEST_HEAD_CM, HIGHEST_HEAD_CM, "cm", SUCTION_HINT)
        if heads.shape not in ((), (self.thickness_cm.size,)):
            raise DescriptionError.of(
                "start_head_cm",
                f"given {heads.size} numbers",
                f"one number, or one for each of the {self.thickness_cm.size} cells",
                "column.depth_cm tells how deep each cell lies.",
            )
        return _locked(np.broadcast_to(heads, self.thickness_cm.shape).copy())


def _contents(heads: np.ndarray, soils: np.ndarray, soil_of: np.ndarray) -> np.ndarray:
    """Water content (m3/m3) for heads (m) in the shape (time, cell), each cell by its own soil."""
    theta = np.empty_like(heads)
    for number_of_soil, soil in enumerate(soils):
        mine = soil_of == number_of_soil
        flat = np.ascontiguousarray(heads[:, mine]).ravel()
        out = np.empty((3, flat.size))
        fill_curves(flat, soil, out[0], out[1], out[2])
        theta[:, mine] = out[0].reshape(-1, mine.sum())
    return theta


def _locked(array: np.ndarray) -> np.ndarray:
    """Make an array read-only: a finished run and a described column do not change."""
    array.setflags(write=False)
    return array
