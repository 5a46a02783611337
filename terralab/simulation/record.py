"""What a run leaves behind: named series with units, soil profiles, budgets, gauges, and where it came from.

Keeper's units at this edge (C, % RH, ml, cm); the raw SI arrays stay inside for the auditor (`budget`).
"""

from __future__ import annotations

import io
import json
import os
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from terralab import wording
from terralab.atomic_files import file_path, write_new
from terralab.describe.box import Box
from terralab.describe.files import dumps, loads
from terralab.errors import TerralabError, quoted
from terralab.physics.constants import MASS_RATIO, PRESSURE
from terralab.physics.moist_air import saturation_pressure
from terralab.psychrometrics import dew_point_c
from terralab.quantities import said
from terralab.simulation import budget
from terralab.validate import number, whole, word

if TYPE_CHECKING:
    import pandas

VISIBLE_FILM = 0.005  # kg/m2: a pane or leaf with more water than this counts as wet (a guess, a fine fogging)
MOST_CM, MOST_DAYS = 1.0e4, 1.0e4  # far beyond any record: a depth or a day typed in another unit
ROUND_OFF_CM = 1.0e-6  # how far above the surface a depth may come out that was computed as a difference
_ARRAYS = (
    "t",
    "state",
    "chain",
    "water",
    "head",
    "flow",
    "moved",
    "dz",
    "place",
    "theta_s",
    "dry_heat",
    "layer_start",
    "constants",
)


@dataclass(frozen=True, eq=False)
class Raw:
    """The engine's own arrays, SI, one row a saved time; flows and moved are amounts since the row before."""

    t: np.ndarray
    state: np.ndarray
    chain: np.ndarray
    water: np.ndarray
    head: np.ndarray
    flow: np.ndarray
    moved: np.ndarray
    dz: np.ndarray
    place: np.ndarray
    theta_s: np.ndarray
    dry_heat: np.ndarray
    layer_start: np.ndarray
    constants: np.void

    def __post_init__(self) -> None:
        for one in fields(self):
            held = getattr(self, one.name)
            if isinstance(held, np.ndarray):
                # every series, budget and answer reads these: what is changed here by a slip is changed everywhere
                held.flags.writeable = False

    def __reduce__(self) -> tuple:
        # Arrays come out of a pickle writeable, so they go through the door once more.
        return Raw, tuple(getattr(self, one.name) for one in fields(self))


@dataclass(frozen=True, eq=False)
class Record:
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
        """Hours since the start; the run starts at midnight."""
        return self.raw.t / 3600.0

    def __reduce__(self) -> tuple:
        # What was worked out from the arrays is worked out again after the trip between two processes.
        return Record, (self.box, self.season, self.raw, dict(self.settings))

    @property
    def series(self) -> Mapping[str, np.ndarray]:
        """Named series, each name with its unit. Flows are ml per hour, mean since the row before. Read-only."""
        return MappingProxyType(self._series)

    @cached_property
    def _series(self) -> dict[str, np.ndarray]:
        raw, s, f, m, b = self.raw, self.raw.state, self.raw.flow, self.raw.moved, self.raw.constants
        e = PRESSURE * s["air_w"] / (MASS_RATIO + s["air_w"])
        hours = np.diff(raw.t, prepend=raw.t[0] - 1.0) / 3600.0
        rate = lambda amount: 1000.0 * amount / hours  # noqa: E731
        out = {
            "air temperature C": s["air_t"],
            "relative humidity %": self.relative_humidity,
            "dew point C": np.array(
                [dew_point_c(t, min(100.0, r)) for t, r in zip(s["air_t"], self.relative_humidity, strict=True)]
            ),
            "vapour g/m3": 1000.0 * e / (461.524 * (s["air_t"] + 273.15)),
            "glass temperature C": s["glass_t"],
            "soil surface temperature C": raw.chain[:, 0],
            "soil bottom temperature C": raw.chain[:, len(raw.layer_start) - 2],
            "water on glass g": 1000.0 * s["glass_film"],
            "water on leaves g": 1000.0 * s["leaf_film"],
            "water in cover g": 1000.0 * s["cover_water"],
            "soil water ml": 1000.0 * budget.stored_water(raw)["soil"],
            "poured ml/h": rate(m["poured"]),
            "sprayed and misted ml/h": rate(f["spray_leaf"] + f["spray_glass"] + f["spray_ground"] + f["fog_in"]),
            "soil evaporation ml/h": rate(f["soil_evaporation"]),
            "cover evaporation ml/h": rate(f["cover_evaporation"]),
            "transpiration ml/h": rate(f["transpiration"]),
            "leaf film evaporation ml/h": rate(f["leaf_film"]),
            "glass film evaporation ml/h": rate(f["glass_film"]),
            "dish evaporation ml/h": rate(f["dish_evaporation"]),
            "condensation ml/h": rate(f["condensation"]),
            "vapour lost through gaps ml/h": rate(f["vapour_leak"]),
            "vapour lost through vents ml/h": rate(f["vapour_openings"]),
            "vapour lost by fan ml/h": rate(f["vapour_fan"]),
            "drained into the reservoir ml/h": rate(m["drained"] + m["bypassed"]),
            "air changes per hour": f["air_exchanged"] / hours / float(b["air_mass"]),
            "heat from devices W": (f["heat_devices"] + f["heat_floor"]) / hours / 3600.0,
        }
        if b["has_plants"]:
            out["leaf temperature C"] = s["leaf_t"]
        if b["cover"]:
            out["cover temperature C"] = s["cover_t"]
        if b["has_dish"]:
            out["dish temperature C"] = s["dish_t"]
        if b["has_reservoir"]:
            out["reservoir temperature C"] = raw.chain[:, -1]
            out["reservoir level cm"] = 100.0 * (raw.head[:, -1] + float(b["reservoir_depth"]))
            out["gap below mesh cm"] = self.gap_below_mesh_cm
        for name in ("poured ml/h", "sprayed and misted ml/h"):
            out[name] = np.where(np.arange(len(raw.t)) > 0, out[name], 0.0)
        return {name: _fixed(values) for name, values in out.items()}

    @property
    def gap_below_mesh_cm(self) -> np.ndarray:
        """Air between the standing water and the mesh [cm]; negative when water stands above the mesh."""
        return -100.0 * self.raw.head[:, -1]

    @property
    def has_reservoir(self) -> bool:
        """True when the box has a drainage layer."""
        return bool(self.raw.constants["has_reservoir"])

    @cached_property
    def relative_humidity(self) -> np.ndarray:
        """Relative humidity of the air [%]."""
        e_s = np.array([saturation_pressure(t) for t in self.raw.state["air_t"]])
        w = self.raw.state["air_w"]
        return _fixed(100.0 * PRESSURE * w / (MASS_RATIO + w) / e_s)

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
        return np.flatnonzero((self.raw.t > first_day * 86400.0 + 1.0) & (self.raw.t <= last_day * 86400.0 + 1.0))

    def wet_hours(self, where: str, rows: np.ndarray | None = None) -> float:
        """Hours with visible water on "glass" or "leaves" among the rows given (all by default)."""
        where = word("where", where, ("glass", "leaves"))
        area = float(self.raw.constants[{"glass": "glass_area", "leaves": "leaf_area"}[where]])
        film = self.raw.state[{"glass": "glass_film", "leaves": "leaf_film"}[where]]
        rows = np.arange(1, len(film)) if rows is None else np.asarray(rows)
        if rows.dtype.kind not in "iu" or rows.ndim != 1 or not np.all((rows >= 0) & (rows < len(film))):
            raise TerralabError(
                f"rows: {quoted(rows)} was given; allowed are whole numbers from 0 to {len(film) - 1}, as record.rows gives."
            )
        step = (self.raw.t[1] - self.raw.t[0]) / 3600.0
        return 0.0 if area <= 0.0 else float(np.sum(film[rows] > VISIBLE_FILM * area) * step)

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
            raise TerralabError(f"overwrite: {quoted(overwrite)} was given; allowed are True and False.")
        if target.suffix != ".npz":
            target = target.with_name(target.name + ".npz")
        about = {"box": dumps(self.box), "season": self.season, "settings": dict(self.settings)}
        arrays = {name: np.asarray(getattr(self.raw, name)) for name in _ARRAYS}
        held = io.BytesIO()
        np.savez(held, about=np.frombuffer(json.dumps(about).encode(), np.uint8), **arrays)
        advice = "Choose another name, or pass overwrite=True."
        return write_new(held.getvalue(), target, replace=overwrite, advice=advice)

    @classmethod
    def load(cls, path: str | os.PathLike) -> Record:
        """Read a record that `save` wrote. Nothing in the file is executed."""
        source = file_path(path)
        try:
            with np.load(io.BytesIO(source.read_bytes()), allow_pickle=False) as data:
                about = json.loads(bytes(data["about"]).decode())
                arrays = {name: data[name] for name in _ARRAYS}
        except FileNotFoundError:
            raise TerralabError(f"There is no file {path}.") from None
        except (KeyError, ValueError, OSError, zipfile.BadZipFile, EOFError) as error:
            raise TerralabError(f"{path} is not a record that terralab saved ({error}).") from None
        arrays["constants"] = arrays["constants"][()]
        return cls(loads(about["box"]), about["season"], Raw(**arrays), about["settings"])

    def __str__(self) -> str:
        rh = self.relative_humidity
        days = self.raw.t[-1] / 86400.0
        text = (
            f"{self.box.name}, {wording.days(days)} in the room of {self.season}: air {self.raw.state['air_t'].min():.1f} to "
            f"{self.raw.state['air_t'].max():.1f} °C, humidity {rh.min():.0f} to {min(100.0, rh.max()):.0f} %."
        )
        if self.has_reservoir:
            text += f" The water below stands {said(wording.level(float(self.gap_below_mesh_cm[-1])))} at the end."
        return (
            text + f" Water closes to {self.closure_water:.0e}, energy to {self.closure_energy:.0e}"
            f" (share of all that moved and is stored). Shown in tables by .table()."
        )

    __repr__ = __str__


def needs_record(record: object, who: str) -> None:
    """Raise TerralabError unless `record` is a Record; `who` is what needs it, such as "A picture"."""
    if not isinstance(record, Record):
        raise TerralabError(f"{who} needs a record, as tl.simulate gives it; it was given {quoted(record)}.")


def _fixed(values: np.ndarray) -> np.ndarray:
    """The values, read-only, in an array of their own flags."""
    out = values.view()
    out.flags.writeable = False
    return out
