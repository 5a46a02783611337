"""What a record tells of single places in the box: air below and above, in a hide, each pane, where animals sit.

Mixed into `Record`, which holds `raw`. Places go by a keeper's words.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from terralab.engine.kinds import name_of
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
        return self.mean_c(self._pieces(pane, zone))

    def pane_film(self, pane: str, zone: str = "") -> np.ndarray:
        """Water [kg/m2] on one of the panes in `pane_names`, or on its piece beside one air."""
        these = self._pieces(pane, zone)
        return self.raw.surfaces["film"][:, these].sum(axis=1) / self.raw.surface["area"][these].sum()

    def fogged(self, pane: str, zone: str = "") -> np.ndarray:
        """Whether a pane, or its piece beside one air, is visibly fogged in each row."""
        return self.pane_film(pane, zone) > VISIBLE_FILM

    def fogged_hours_a_day(self, pane: str, rows: np.ndarray, zone: str = "") -> float:
        """Hours a day for which a pane is visibly fogged, averaged over the rows."""
        return 24.0 * float(self.fogged(pane, zone)[rows].mean())

    def mean_c(self, these: np.ndarray) -> np.ndarray:
        """Mean temperature [C] of the surfaces with a flag in `these`, weighted by their area."""
        area = np.where(these, self.raw.surface["area"], 0.0)
        return self.raw.surfaces["t"] @ (area / area.sum())

    def humidity_at(self, t: np.ndarray, zone: str) -> np.ndarray:
        """Relative humidity [%] right at a surface of t [C], with the vapour of the air that it lies in; at most 100."""
        return np.minimum(100.0, humidity_of(t, self.raw.zones["w"][:, self._zone(zone)]))

    @property
    def has_basking(self) -> bool:
        """True when a basking place is described."""
        return bool(self.raw.of_name("basking place").any())

    @property
    def basking_c(self) -> np.ndarray:
        """Temperature [C] of the surface of the basking place."""
        return self.mean_c(self.raw.of_name("basking place"))

    @property
    def low_air(self) -> str:
        """The name of the air at the ground."""
        return self.zone_names[0]

    def _zone(self, zone: str) -> int:
        return self.zone_names.index(word("zone", zone, self.zone_names))

    def _pieces(self, pane: str, zone: str) -> np.ndarray:
        these = self.raw.of_name(word("pane", pane, self.pane_names))
        if zone:
            here = these & (self.raw.surface["zone"] == self._zone(zone))
            # the lid's glass lies beside the upper air alone
            these = here if here.any() else these
        return these

    def surface_names(self) -> tuple[str, ...]:
        """What the surfaces are called, one name a surface: those in two airs stand twice."""
        return tuple(name_of(one["kind"], one["wall"]) for one in self.raw.surface)


def humidity_of(t: np.ndarray, w: np.ndarray) -> np.ndarray:
    """Relative humidity [%] of air at t [C] with the humidity ratio w [kg/kg]."""
    saturated = np.array([saturation_pressure(one) for one in t])
    return 100.0 * PRESSURE * w / (MASS_RATIO + w) / saturated
