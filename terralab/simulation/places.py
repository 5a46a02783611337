"""What a record tells of single places in the box: air below and above, in a hide, each pane, where animals sit.

Mixed into `Record`, which holds `raw`. Places go by a keeper's words.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from terralab.engine.kinds import LID, PANE
from terralab.errors import TerralabError, quoted
from terralab.physics.constants import MASS_RATIO, PRESSURE
from terralab.physics.moist_air import saturation_pressure
from terralab.validate import word

if TYPE_CHECKING:
    from terralab.simulation.raw import Raw

VISIBLE_FILM = 0.005  # kg/m2: a pane or leaf with more water than this counts as wet (a guess, a fine fogging)
WHOLE, BELOW, ABOVE, HIDE = "whole", "below", "above", "hide"
_PANES = ("front", "sides", "back", "lid")


class Places:
    """The places of a record's box; see the module."""

    raw: Raw

    # -- the air as a whole -------------------------------------------------------------------------------------------

    @cached_property
    def humidity_shown(self) -> np.ndarray:
        """Relative humidity of the air [%] as a hygrometer shows it, at most 100 where droplets float."""
        return np.minimum(100.0, self.relative_humidity)

    @cached_property
    def relative_humidity(self) -> np.ndarray:
        """Relative humidity of the air [%], of all zones mixed."""
        return read_only(humidity_of(self.air_c, self.humidity_ratio))

    def _mixed(self, name: str) -> np.ndarray:
        """A state of the stacked zones, weighted by their air."""
        n = int(self.raw.constants["stacked"])
        mass = self.raw.zone["mass"][:n]
        return self.raw.zones[name][:, :n] @ (mass / mass.sum())

    @cached_property
    def air_c(self) -> np.ndarray:
        """Temperature of the air [C], of all zones mixed, as a sensor half way up shows it."""
        return read_only(self._mixed("t"))

    @cached_property
    def humidity_ratio(self) -> np.ndarray:
        """Vapour in the air [kg/kg dry air], of all zones mixed."""
        return read_only(self._mixed("w"))

    @cached_property
    def glass_c(self) -> np.ndarray:
        """Mean temperature of the glass [C]."""
        return read_only(self._mean_c(np.isin(self.raw.surface["kind"], (PANE, LID))))

    @property
    def ground_c(self) -> np.ndarray:
        """Temperature of what lies uppermost [C]: the cover where there is one, else the soil's surface."""
        return self._mean_c(self.raw.of_name("cover")) if bool(self.raw.constants["cover"]) else self.raw.chain[:, 0]

    # -- single places ------------------------------------------------------------------------------------------------

    @property
    def zone_names(self) -> tuple[str, ...]:
        """The airs of the box from the ground up: ("below", "above"), or ("whole",) in a jar, and "hide" where there is one."""
        stacked = (WHOLE,) if int(self.raw.constants["stacked"]) == 1 else (BELOW, ABOVE)
        return stacked + (HIDE,) * (self.raw.zone.size - len(stacked))

    @property
    def pane_names(self) -> tuple[str, ...]:
        """The panes above the soil: "front", "sides", "back", and "lid" where the lid is not all open."""
        return tuple(name for name in _PANES if self.raw.of_name(name).any())

    def zone_c(self, zone: str) -> np.ndarray:
        """Temperature [C] of one of the airs in `zone_names`."""
        return self.raw.zones["t"][:, self._zone(zone)]

    def zone_humidity(self, zone: str) -> np.ndarray:
        """Relative humidity [%] of one of the airs in `zone_names`, at most 100 where droplets float."""
        place = self._zone(zone)
        return np.minimum(100.0, humidity_of(self.raw.zones["t"][:, place], self.raw.zones["w"][:, place]))

    def pane_c(self, pane: str, zone: str = "") -> np.ndarray:
        """Mean temperature [C] of one of the panes in `pane_names`; of its piece beside one air, if `zone` names that."""
        return self._mean_c(self._pieces(pane, zone))

    def pane_film(self, pane: str, zone: str = "") -> np.ndarray:
        """Water [kg/m2] on one of the panes in `pane_names`, or on its piece beside one air."""
        these = self._pieces(pane, zone)
        return self.raw.surfaces["film"][:, these].sum(axis=1) / self.raw.surface["area"][these].sum()

    def fogged(self, pane: str, zone: str = "") -> np.ndarray:
        """Whether a pane, or its piece beside one air, is visibly fogged in each row."""
        return self.pane_film(pane, zone) > VISIBLE_FILM

    def fogged_hours_a_day(self, pane: str, rows: np.ndarray, zone: str = "") -> float:
        """Hours a day for which a pane is visibly fogged, averaged over the rows."""
        return 24.0 * float(self.fogged(pane, zone)[checked_rows(self.raw, rows)].mean())

    def _mean_c(self, these: np.ndarray) -> np.ndarray:
        """Mean temperature [C] of the surfaces with a flag in `these`, weighted by their area."""
        area = np.where(these, self.raw.surface["area"], 0.0)
        return self.raw.surfaces["t"] @ (area / area.sum())

    def humidity_at(self, t: np.ndarray, zone: str) -> np.ndarray:
        """Relative humidity [%] right at a surface of t [C], with the vapour of the air that it lies in; at most 100.

        `t` is a series of this record, such as `basking_c` or `ground_c`, `zone` one of `zone_names`.
        """
        if not isinstance(t, np.ndarray) or t.shape != self.raw.t.shape or t.dtype.kind != "f":
            raise TerralabError(f"t must be a series of this record, such as record.ground_c; {quoted(t)} was given.")
        return np.minimum(100.0, humidity_of(t, self.raw.zones["w"][:, self._zone(zone)]))

    @property
    def has_basking(self) -> bool:
        """True when a basking place is described."""
        return bool(self.raw.of_name("basking place").any())

    @property
    def basking_c(self) -> np.ndarray:
        """Temperature [C] of the surface of the basking place."""
        return self._mean_c(self.raw.of_name("basking place"))

    @property
    def low_air(self) -> str:
        """The name of the air at the ground."""
        return self.zone_names[0]

    def _zone(self, zone: str) -> int:
        return self.zone_names.index(word("zone", zone, self.zone_names))

    def _pieces(self, pane: str, zone: str) -> np.ndarray:
        these = self.raw.of_name(word("pane", pane, self.pane_names))
        if not isinstance(zone, str) or zone:
            here = these & (self.raw.surface["zone"] == self._zone(zone))
            # the lid's glass lies beside the upper air alone
            these = here if here.any() else these
        return these


def humidity_of(t: np.ndarray, w: np.ndarray) -> np.ndarray:
    """Relative humidity [%] of air at t [C] with the humidity ratio w [kg/kg]."""
    saturated = np.array([saturation_pressure(one) for one in t])
    return 100.0 * PRESSURE * w / (MASS_RATIO + w) / saturated


def checked_rows(raw: Raw, rows: np.ndarray) -> np.ndarray:
    """Return `rows` as an array; raises TerralabError for what are no rows of this record."""
    given, last = np.asarray(rows), len(raw.t) - 1
    if given.dtype.kind not in "iu" or given.ndim != 1 or not given.size or given.min() < 0 or given.max() > last:
        raise TerralabError(
            f"rows must be whole numbers from 0 to {last}, as record.rows gives; {quoted(rows)} was given."
        )
    return given


def read_only(values: np.ndarray) -> np.ndarray:
    """Return the values, read-only, in an array of their own flags."""
    out = values.view()
    out.flags.writeable = False
    return out
