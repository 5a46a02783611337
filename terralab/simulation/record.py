"""What a run leaves behind: named series with units, soil profiles, budgets, gauges, and where it came from.

Keeper's units at this edge (C, % RH, ml, cm); the raw SI arrays stay inside for the auditor (`budget`).
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from terralab import wording
from terralab.atomic_files import file_path, write_new
from terralab.describe.box import Box
from terralab.describe.files import dumps, loads
from terralab.engine.flows_table import TABLE, WATER, sum_of
from terralab.engine.kinds import DISH
from terralab.errors import TerralabError, UnknownName, quoted
from terralab.folded import fold, page, paragraph
from terralab.physics.constants import MASS_RATIO, PRESSURE
from terralab.psychrometrics import dew_point_c
from terralab.quantities import said
from terralab.simulation import budget, where_it_goes
from terralab.simulation.as_start import box_as_at
from terralab.simulation.places import Places, checked_rows, read_only
from terralab.simulation.raw import Raw
from terralab.simulation.record_file import packed, unpacked
from terralab.simulation.soil_cells import SoilCells
from terralab.units import DAY_S
from terralab.validate import number, whole, word

if TYPE_CHECKING:
    import pandas

MOST_CM, MOST_DAYS = 1.0e4, 1.0e4  # far beyond any record: a depth or a day typed in another unit
DRY_DISH = 0.1  # kg/m2: a dish with less water is empty
ROUND_OFF_CM = 1.0e-6  # how far above the surface a depth may come out that was computed as a difference
_SURFACES = {"glass": ("glass_area", "glass film"), "leaves": ("leaf_area", "leaf film")}

_IN = {"below": "below", "above": "above", "hide": "in the hide", "whole": ""}
_GLASS = {"front": "front pane", "sides": "side panes", "back": "back pane", "lid": "lid glass"}


@dataclass(frozen=True, eq=False)
class Record(SoilCells, Places):
    """One run of a described box. Read `series`, `soil_water`, `air_space`, `water_budget()`, `table()`.

    Everything is sampled at `times_h` (hours since the start, at midnight). `settings` says how it was computed. A
    record cannot be changed: its arrays are read-only, so work on a copy (`record.series["..."].copy()`).
    """

    box: Box
    season: str
    raw: Raw
    settings: Mapping[str, object] = field(default_factory=dict)

    @property
    def times_h(self) -> np.ndarray:
        """Hours since the midnight of the first day: a run that starts at 14:00 begins at 14, a resumed one where the other ended."""
        return self.raw.t / 3600.0

    @property
    def times_s(self) -> np.ndarray:
        """Seconds since the start."""
        return self.raw.t

    @property
    def times_days(self) -> np.ndarray:
        """Days since the start."""
        return self.raw.t / DAY_S

    @property
    def days(self) -> float:
        """How many days the run took."""
        return float((self.raw.t[-1] - self.raw.t[0]) / DAY_S)

    @property
    def ran_dry_h(self) -> dict[str, float]:
        """When each tank first ran dry, in hours as `times_h` counts them, by the name of its device; only those that did.

        A water dish goes by "dish": the first row of this record in which a tenth of a millimetre or less is left.
        """
        found: dict[str, float] = {}
        dishes = self.raw.surface["kind"] == DISH
        if self.raw.constants["has_dish"]:
            left = self.raw.surfaces["film"][:, dishes].sum(axis=1) / self.raw.surface["area"][dishes].sum()
            if (left <= DRY_DISH).any():
                found["dish"] = float(self.times_h[np.argmax(left <= DRY_DISH)])
        if (end := self.raw.end) is not None:
            devices = zip(end.devices, end.arrays["ran_dry"], strict=True)
            found |= {name: float(t) / 3600.0 for name, t in devices if t >= 0.0}
        return found

    def box_at(self, row: int = -1) -> Box:
        """Return the box as it stands in a row (-1: the last), its `start` being what could be measured there.

        A run of it goes on much as this one does, not to the last digit; for that give this record as `start`.
        """
        end = len(self.raw.t) - 1
        row = end if isinstance(row, int) and row == -1 else whole("row", row, 0, end)
        on = {"glass": self.film("glass"), "leaves": self.film("leaves"), "cover": self._cover_film()}
        return box_as_at(self.box, self.raw, row, {"air": self.air_c, "humidity": self.relative_humidity}, on)

    def _cover_film(self) -> np.ndarray:
        """Water [kg/m2] in moss or litter on the soil; nothing where there is none."""
        area = float(self.raw.surface["area"][self.raw.of_name("cover")].sum())
        return self._water_on("cover") / area if area > 0.0 else np.zeros(len(self.raw.t))

    @property
    def step_s(self) -> float:
        """Seconds between two rows."""
        return float(self.raw.t[1] - self.raw.t[0])

    def __reduce__(self) -> tuple:
        # What was worked out from the arrays is worked out again after the trip between two processes.
        return Record, (self.box, self.season, self.raw, dict(self.settings))

    @property
    def series(self) -> Mapping[str, np.ndarray]:
        """Named series, each name with its unit. Flows are ml per hour, mean since the row before. Read-only."""
        return MappingProxyType(self._series)

    @cached_property
    def _series(self) -> dict[str, np.ndarray]:
        raw, b = self.raw, self.raw.constants
        t, w = self.air_c, self.humidity_ratio
        e = PRESSURE * w / (MASS_RATIO + w)
        hours = np.diff(raw.t, prepend=raw.t[0] - 1.0) / 3600.0
        rate = lambda amount: 1000.0 * amount / hours  # noqa: E731
        out = {
            "air temperature C": t,
            "relative humidity %": self.relative_humidity,
            "dew point C": np.array([dew_point_c(t, r) for t, r in zip(t, self.humidity_shown, strict=True)]),
            "vapour g/m3": 1000.0 * e / (461.524 * (t + 273.15)),
            "glass temperature C": self.glass_c,
            "soil surface temperature C": raw.chain[:, 0],
            "soil bottom temperature C": raw.chain[:, len(raw.layer_start) - 2],
            "water on glass g": 1000.0 * self._water_on("glass film"),
            "water on leaves g": 1000.0 * self._water_on("leaf film"),
            "water in cover g": 1000.0 * self._water_on("cover"),
            "soil water ml": 1000.0 * budget.stored_water(raw)["soil"],
            "air changes per hour": raw.amount("air_exchanged") / hours / float(b["air_mass"]),
        }
        for zone in self.zone_names if len(self.zone_names) > 1 else ():
            out[f"air temperature {_IN[zone]} C"] = self.zone_c(zone)
            out[f"relative humidity {_IN[zone]} %"] = self.zone_humidity(zone)
        for pane in self.pane_names:
            out[f"water on {_GLASS[pane]} g/m2"] = 1000.0 * self.pane_film(pane)
        if self.has_basking:
            out["basking place temperature C"] = self.basking_c
        for name, flows in TABLE.sums("shown_as").items():
            amount = sum_of(raw.amount, flows)
            if amount.any() or not all(flow.seldom for flow in flows):
                out[name] = rate(amount) if flows[0].carries == WATER else amount / hours / 3600.0
        if b["has_plants"]:
            out["leaf temperature C"] = self._mean_c(self.raw.of_name("leaves"))
        if b["cover"]:
            out["cover temperature C"] = self._mean_c(self.raw.of_name("cover"))
        if b["has_dish"]:
            out["dish temperature C"] = self._mean_c(self.raw.of_name("dish"))
        if b["has_reservoir"]:
            out["reservoir temperature C"] = raw.chain[:, -1]
            out["reservoir level cm"] = 100.0 * (raw.head[:, -1] + float(b["reservoir_depth"]))
            out["gap below mesh cm"] = self.gap_below_mesh_cm
        return {name: read_only(values) for name, values in out.items()}

    @property
    def gap_below_mesh_cm(self) -> np.ndarray:
        """Air between the standing water and the mesh [cm]; negative when water stands above the mesh."""
        return -100.0 * self.raw.head[:, -1]

    # -- what the box was taken to be ---------------------------------------------------------------------------------

    @property
    def floor_m2(self) -> float:
        """Area of the floor [m2]."""
        return float(self.raw.constants["floor"])

    @property
    def air_mass_kg(self) -> float:
        """Dry air in the box [kg]."""
        return float(self.raw.constants["air_mass"])

    @property
    def voids(self) -> float:
        """Share of the drainage layer that water can fill [-]; 0 without a layer."""
        return float(self.raw.constants["void"])

    @property
    def fringe_cm(self) -> float:
        """Height to which the grains of the drainage layer draw water up [cm]."""
        return 100.0 * float(self.raw.constants["fringe"])

    @property
    def reservoir_water_m(self) -> np.ndarray:
        """Water in the drainage layer [m over the floor]."""
        return self.raw.water[:, -1]

    @property
    def has_reservoir(self) -> bool:
        """True when the box has a drainage layer."""
        return bool(self.raw.constants["has_reservoir"])

    @property
    def depth_cm(self) -> np.ndarray:
        """Depth of the middle of each soil cell below the surface [cm]."""
        return 100.0 * (np.cumsum(self.raw.dz) - 0.5 * self.raw.dz)

    @property
    def soil_water(self) -> np.ndarray:
        """Water content [m3/m3], time by depth. A pond on the surface is not counted."""
        return np.minimum(self.raw.water[:, :-1] / self.raw.dz, self.raw.theta_s)

    @property
    def air_space(self) -> np.ndarray:
        """Air-filled porosity [m3/m3], time by depth. Roots want at least 0.10."""
        return self.raw.theta_s - self.soil_water

    def mean_over(self, values: np.ndarray, top_cm: float, bottom_cm: float) -> np.ndarray:
        """Mean of a time-by-depth array between two depths [cm]."""
        edges = 100.0 * np.concatenate([[0.0], np.cumsum(self.raw.dz)])
        values = np.asarray(values)
        if values.dtype.kind not in "fiu" or values.ndim == 0 or values.shape[-1] != self.raw.dz.size:
            raise TerralabError(
                f"values: {quoted(values)} was given; allowed is an array by depth, such as record.soil_water."
            )
        top_cm = number("top_cm", top_cm, -ROUND_OFF_CM, MOST_CM, "cm")
        bottom_cm = number("bottom_cm", bottom_cm, -ROUND_OFF_CM, MOST_CM, "cm")
        inside = np.clip(np.minimum(edges[1:], bottom_cm) - np.maximum(edges[:-1], top_cm), 0.0, None)
        if inside.sum() <= 0.0:
            raise TerralabError(f"No soil lies between {top_cm} and {bottom_cm} cm; it is {edges[-1]:.1f} cm deep.")
        return values @ inside / inside.sum()

    def rows(self, first_day: float, last_day: float) -> np.ndarray:
        """Indices of the rows after `first_day` up to `last_day` (in days since the start)."""
        first_day = number("first_day", first_day, 0.0, MOST_DAYS, "days")
        last_day = number("last_day", last_day, first_day, MOST_DAYS, "days")
        return np.flatnonzero((self.raw.t > first_day * DAY_S + 1.0) & (self.raw.t <= last_day * DAY_S + 1.0))

    # -- air and surfaces ---------------------------------------------------------------------------------------------

    def _water_on(self, store: str) -> np.ndarray:
        """Water of one store [kg]."""
        return budget.stored_water(self.raw)[store]

    def film(self, where: str) -> np.ndarray:
        """Water on "glass" or "leaves" [kg/m2]; nothing where there are none."""
        area_name, store = _SURFACES[word("where", where, _SURFACES)]
        area, film = float(self.raw.constants[area_name]), self._water_on(store)
        return film / area if area > 0.0 else np.zeros(len(film))

    # -- what moved ---------------------------------------------------------------------------------------------------

    def moved_kg(self, *names: str) -> np.ndarray:
        """Water [kg] that moved since the row before under these names of the table of flows, in every row.

        Names are those of the engine, such as "soil_evaporation", "transpiration", "siphoned", "drained".
        """
        out = self._amount(names[0])
        for name in names[1:]:
            out = out + self._amount(name)
        return out

    def _amount(self, name: str) -> np.ndarray:
        known = (*self.raw.flow.dtype.names, *self.raw.moved.dtype.names)
        if not isinstance(name, str) or name not in known:
            raise UnknownName.among("flow", name, known)
        return self.raw.amount(name)

    @property
    def air_exchanged_kg(self) -> np.ndarray:
        """Dry air [kg] that was exchanged with the room since the row before."""
        return self.raw.amount("air_exchanged")

    def where_it_goes(self, rows: np.ndarray | None = None) -> dict[str, float]:
        """Where the water goes, ml a day by a keeper's words, averaged over the rows (all by default).

        See `simulation.where_it_goes`.
        """
        rows = np.arange(1, len(self.raw.t)) if rows is None else checked_rows(self.raw, rows)
        return where_it_goes.ml_a_day(self.raw, rows)

    def arrow_kg(self, arrow: str) -> np.ndarray:
        """Water [kg] behind an arrow of the cross-section ("poured", "vapour_out", "drained", ...) in every row."""
        if not isinstance(arrow, str) or arrow not in where_it_goes.ARROWS:
            raise UnknownName.among("arrow", arrow, where_it_goes.ARROWS)
        return where_it_goes.arrow_kg(self.raw, arrow)

    def vapour_out_ml_a_day(self, rows: np.ndarray) -> float:
        """Water [ml a day] that leaves the box through the air, averaged over the rows."""
        rows = checked_rows(self.raw, rows)
        return where_it_goes.a_day(self.raw, rows, where_it_goes.vapour_out_kg(self.raw)[rows])

    def given_ml_a_day(self) -> float:
        """Water [ml a day] sprayed, misted and topped up, all but what is poured: the mean of the run, from its end back over as
        many days as sprays come round in.
        """
        round_s, run_s = DAY_S * self.box.routine.sprays_come_round_days, float(self.raw.t[-1] - self.raw.t[0])
        counted = round(max(1, run_s // round_s) * round_s / self.step_s)
        rows = np.arange(max(1, len(self.raw.t) - counted), len(self.raw.t))
        return where_it_goes.a_day(self.raw, rows, where_it_goes.given_kg(self.raw)[rows])

    @property
    def stored_kg(self) -> dict[str, np.ndarray]:
        """Water [kg] in each store ("soil", "reservoir", "cover", ...) in every row."""
        return budget.stored_water(self.raw)

    def water_budget(self, first: int = 0, last: int = -1) -> budget.Budget:
        """Water in, out and stored [kg] between two rows, recomputed from this record."""
        return budget.water_budget(self.raw, *self._between(first, last))

    def energy_budget(self, first: int = 0, last: int = -1) -> budget.Budget:
        """Heat in, out and stored [J] between two rows, recomputed from this record."""
        return budget.energy_budget(self.raw, *self._between(first, last))

    def _between(self, first: int, last: int) -> tuple[int, int]:
        end = len(self.raw.t) - 1
        first = whole("first", first, 0, end - 1)
        return first, end if isinstance(last, int) and last == -1 else whole("last", last, first + 1, end)

    @property
    def closure_water(self) -> float:
        """Misfit of the water budget as a share of all that moved and is stored [-]."""
        return self.water_budget().closure

    @property
    def closure_energy(self) -> float:
        """Misfit of the energy budget as a share of all that moved and is stored [-]."""
        return self.energy_budget().closure

    def table(self) -> pandas.DataFrame:
        """All series as a table, one row a time, indexed by hours since the start."""
        import pandas

        return pandas.DataFrame(self._series, index=pandas.Index(self.times_h, name="hours"))

    def save(self, path: str | os.PathLike, overwrite: bool = False) -> Path:
        """Write the record, without loss, to one file (.npz: plain arrays and the description). Returns the path.

        Refuses to replace a file unless `overwrite` is True; writes beside and renames, so nothing is half done.
        """
        target = file_path(path)
        if not isinstance(overwrite, bool):
            raise TerralabError(f"overwrite must be True or False; {quoted(overwrite)} was given.")
        if target.suffix != ".npz":
            target = target.with_name(target.name + ".npz")
        data = packed(dumps(self.box), self.season, self.settings, self.raw)
        advice = "Choose another name, or pass overwrite=True."
        return write_new(data, target, replace=overwrite, advice=advice)

    @classmethod
    def load(cls, path: str | os.PathLike) -> Record:
        """Read a record that `save` wrote. Nothing in the file is executed.

        Raises `TerralabError` for a file that is no record, or is one that was cut, altered or saved by another version.
        """
        text, season, settings, raw = unpacked(file_path(path))
        return cls(loads(text), season, raw, settings)

    def _seen(self) -> str:
        """What was seen, in a sentence or two."""
        rh = self.humidity_shown
        days = self.days
        text = (
            f"{self.box.name}, {wording.days(days)} in the room of {self.season}: air {self.air_c.min():.1f} to "
            f"{self.air_c.max():.1f} °C, humidity {rh.min():.0f} to {rh.max():.0f} %."
        )
        if self.has_reservoir:
            text += f" The water below stands {said(wording.level(float(self.gap_below_mesh_cm[-1])))} at the end."
        return text

    def _closed(self) -> str:
        return (
            f"Water closes to {self.closure_water:.0e}, energy to {self.closure_energy:.0e} (share of all that moved and is "
            "stored). Shown in tables by .table()."
        )

    def __str__(self) -> str:
        return f"{self._seen()} {self._closed()}"

    __repr__ = __str__

    def _repr_html_(self) -> str:
        """Return what a notebook shows: what was seen, and folded how exact it is."""
        return page(paragraph(self._seen()), fold("How exact, and what else it holds", paragraph(self._closed())))


def needs_record(record: object, who: str) -> None:
    """Raise TerralabError unless `record` is a Record; `who` is what needs it, such as "A picture"."""
    if not isinstance(record, Record):
        raise TerralabError(f"{who} needs a record, as tl.simulate gives it; it was given {quoted(record)}.")
